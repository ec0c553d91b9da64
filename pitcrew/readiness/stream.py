"""Facts read lazily, newest first, any number of times; and the one question of staleness asked of them."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator

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
                    return
                self._read.append(fact)
            yield self._read[index]
            index += 1

    def first(self) -> Fact | None:
        """The newest fact, or None."""
        return next(iter(self), None)


def merged(*sources: Iterable[Fact]) -> Iterator[Fact]:
    """Several runs as one, newest first."""
    return heapq.merge(*sources, key=lambda fact: fact.order, reverse=True)


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
