"""The demo's book and its two robots, for tests that want a whole day's worth of names and reasons."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from functools import cache, cached_property
from typing import Any

from pitcrew.bench import openbook
from pitcrew.bench.desk import Desk
from pitcrew.bench.line import drafts
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.standing import View, view
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.demo.build import SEED, fill
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import robots
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.moments import MINUTE_MS, typed
from pitcrew.robot.records import Entry

ZONE = "+01:00"
FIRST, LAST = "2026-06-13 07:50", "2026-06-13 16:51"
EVERY = 30
HEAVY, SMALL = "TALLOW ANVIL", "NETTLE SPROCKET"


@cache
def written() -> tuple[Entry, ...]:
    """Everything the demo's day writes, oldest first; it is played once."""
    clock, ids = FixedClock(0), SeededIds(SEED)
    with Book.memory(clock, ids) as book:
        fill(book, clock, ids)
        return book.entries(limit=100_000)[::-1]


class DemoDay:
    """The demo's book after the whole day, never written to."""

    def __init__(self) -> None:
        lines = written()
        self.now = lines[-1].tick + MINUTE_MS
        self.clock, self.ids = FixedClock(lines[-1].tick), SeededIds(SEED + 1)
        self.book = Book.memory(self.clock, self.ids)
        self.book.insert_raw(lines, checked=True)
        self.checklists = load()
        self.entries = self.book.entries(limit=100_000)[::-1]
        self.robots = {robot.name: robot.id for robot in robots(self.book.evidence())}

    @cached_property
    def names(self) -> dict[str, str]:
        """Every defined thing's name by its id."""
        named = {e.subject: str(e.detail.get("name", e.subject)) for e in self.entries if e.kind in DEFINITION_KINDS}
        fights = {e.subject: str(e.detail["name"]) for e in self.entries if e.kind == "entered"}
        return {**named, **fights}

    def id_of(self, kind: str, name: str, robot: str = HEAVY) -> str:
        """The id of a defined thing."""
        owner = self.robots[robot]
        return next(
            e.subject
            for e in self.entries
            if e.kind == kind and e.robot in (owner, None) and self.names[e.subject] == name
        )

    def desk(self, robot: str = HEAVY, by: str = "MK") -> Desk:
        """A desk at a robot, a minute after the last entry."""
        return openbook.desk(self.book, self.robots[robot], by, self.now, self.ids)

    def typed(self, text: str, robot: str = HEAVY, by: str = "MK") -> list[Draft]:
        """What a typed line means."""
        return drafts(self.desk(robot, by), text, lambda n: openbook.number(self.book, n))

    def called(self, value: Any) -> Any:
        """A value with the names of things in place of their ids."""
        if isinstance(value, str):
            head, slash, tail = value.partition("/")
            return self.names.get(value) or f"{self.names.get(head, head)}{slash}{tail}"
        return value

    def minutes(self, robot: str, every: int = EVERY) -> list[int]:
        """Every minute of the event day in which a robot's log was written, and every so-manieth minute besides."""
        start, end = (typed(text, ZONE, 0)[0] for text in (FIRST, LAST))
        written = {e.tick // MINUTE_MS * MINUTE_MS for e in self.entries if e.robot == robot}
        return sorted({m for m in written if start <= m < end} | set(range(start, end, every * MINUTE_MS)))

    def views(self, every: int = EVERY) -> Iterator[View]:
        """Both robots at their minutes, as known then."""
        ticks = [e.tick for e in self.entries]
        for robot in self.robots.values():
            # What an entry does not touch is remembered, which tests/bench/test_remembering.py proves the same.
            evidence, known = Remembered(self.book.evidence(0)), 0
            for minute in self.minutes(robot, every):
                count = bisect_left(ticks, minute + MINUTE_MS)
                if count != known:
                    evidence = evidence.after(self.book.evidence(minute + MINUTE_MS), self.entries[known:count])
                    known = count
                yield view(evidence, robot, minute, self.checklists)
