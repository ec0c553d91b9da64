"""Work done a little at a time, so that whoever waits for a key can do some of it between two keys."""

from __future__ import annotations

from collections.abc import Generator
from typing import Generic, TypeVar

T = TypeVar("T")
Steps = Generator[None, None, T]


class Underway(Generic[T]):
    """Steps being taken towards a result.

    An error in the work is raised by the step it happens in; the work is over then, without a result.
    """

    def __init__(self, steps: Steps[T]) -> None:
        self._steps = steps
        self._result: list[T] = []

    @property
    def done(self) -> bool:
        """Has the last step been taken?"""
        return bool(self._result)

    @property
    def result(self) -> T:
        """What the steps led to.

        Raises:
            RuntimeError: they are not done.
        """
        if not self._result:
            raise RuntimeError("the work is not done yet")
        return self._result[0]

    def step(self) -> bool:
        """Take one step; true when that was the last one, or it is done already."""
        if not self._result:
            try:
                next(self._steps)
            except StopIteration as end:
                self._result.append(end.value)
        return self.done


def finished(steps: Steps[T]) -> T:
    """Take every step; give the result."""
    underway = Underway(steps)
    while not underway.step():
        pass
    return underway.result
