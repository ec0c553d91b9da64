"""Facts read lazily, newest first, any number of times; and the one question of staleness asked of them."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from pitcrew.robot.records import Fact, clears


class Stream:
    """A lazily read run of facts, newest first, that can be walked again without asking the book again."""

    def __init__(self, source: Iterable[Fact]) -> None:
        self._source = iter(source)
        self._read: list[Fact] = []

    def __iter__(self) -> Iterator[Fact]:
        index = 0
        while True:
            if index == len(self._read):
                fact = next(self._source, None)
                if fact is None:
                    self._source = iter(())
                    return
                self._read.append(fact)
            yield self._read[index]
            index += 1

    def first(self) -> Fact | None:
        """The newest fact, or None."""
        return self._read[0] if self._read else next(iter(self), None)

    @classmethod
    def of(cls, source: Iterable[Fact]) -> Stream:
        """A stream of these facts; for a walk not begun yet the stream it goes along, which is read already."""
        return source.stream if isinstance(source, Walk) and not source.begun else cls(source)

    @property
    def read(self) -> Sequence[Fact]:
        """What was read of it so far, newest first."""
        return self._read


class Walk:
    """One walk along a stream, from its newest fact on."""

    def __init__(self, stream: Stream) -> None:
        self.stream = stream
        self.begun = False
        self._facts = iter(stream)

    def __iter__(self) -> Iterator[Fact]:
        return self

    def __next__(self) -> Fact:
        self.begun = True
        return next(self._facts)


def merged(*sources: Iterable[Fact]) -> Iterator[Fact]:
    """Several runs as one, newest first."""
    return iter(sources[0]) if len(sources) == 1 else _merged(sources)


def _merged(sources: Sequence[Iterable[Fact]]) -> Iterator[Fact]:
    # Most runs are empty: one that is left over alone is walked as it is.
    runs: list[Iterator[Fact]] = []
    for source in sources:
        run = iter(source)
        head = next(run, None)
        if head is not None:
            runs.append(chain((head,), run))
    if len(runs) > 1:
        yield from heapq.merge(*runs, key=_order, reverse=True)
    elif runs:
        yield from runs[0]


def _order(fact: Fact) -> tuple[int, int, str, str]:
    return fact.order


def uncleared(disturbances: Iterable[Fact], evidence: Iterable[Fact], doubt_ms: int) -> Fact | None:
    """The newest disturbance that no evidence clears, or None.

    Both runs come newest first. Only a window as wide as the clock doubt behind the newest evidence is walked:
    whatever is older than that is cleared by it, whoever wrote either.
    """
    proofs: list[Fact] = []
    source = iter(evidence)
    waiting = next(source, None)
    newest = waiting
    for disturbance in disturbances:
        if newest is not None and newest.happened > disturbance.happened + doubt_ms:
            return None
        while waiting is not None and waiting.happened >= disturbance.happened:
            proofs.append(waiting)
            waiting = next(source, None)
        if not any(clears(proof, disturbance, doubt_ms) for proof in proofs):
            return disturbance
    return None
