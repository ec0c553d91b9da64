"""The bench driven by keys without a terminal: a scratch book of the demo's day, a clock that stands."""

from __future__ import annotations

from copy import copy
from functools import cache
from pathlib import Path

from pitcrew.bench.history import said
from pitcrew.bench.openbook import moment_of
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.session import Session, Source
from pitcrew.bench.standing import View, view
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.demo.scratch import shipped_demo
from pitcrew.logbook.book import Book, copy_until
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.definitions import robots
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Entry
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.home import Home
from pitcrew.tui.paint import text_of
from pitcrew.tui.shell import Shell

NAMED = {"up", "down", "left", "right", "space", "enter", "backspace", "escape", "tab", "pageup", "pagedown", "?"}


@cache
def checklists() -> tuple[Checklist, ...]:
    """The lists that come with the program, read once."""
    return load()


class Driver:
    """One bench: its keys, its screen, its book. Every key comes a second after the one before."""

    def __init__(
        self,
        book: Book,
        clock: FixedClock,
        ids: SeededIds,
        by: str = "MK",
        robot: str | None = None,
        warm: View | None = None,
    ) -> None:
        self.book, self.clock, self.ids = book, clock, ids
        self.session = Session(Source(book, clock, ids, checklists(), "demo"))
        known = {item.name: item.id for item in self.session.robots()}
        if robot is not None:
            self.session.choose(known[robot])
        if warm is not None:
            self._begin_at(warm)
        self.session.by = by
        self.shell = Shell(self.session, Home)
        self.seconds = 100.0
        self.count = 0
        self.patient = True  # wait after every key until all is judged, and the line read; else only where one looks
        if not self.session.stale:
            self.shell.judged(self.seconds)
        self.settle()

    def _begin_at(self, view: View) -> None:
        """Begin with a standing that was judged before, of this very book: it is the same, and judged but once."""
        known = view.case.evidence
        assert isinstance(known, Remembered)
        self.session.evidence = known.after(self.book.evidence(), ())
        # What the case has found out is kept, and more is asked of this bench's own book.
        case = copy(view.case)
        vars(case).update({name: dict(kept) for name, kept in vars(view.case).items() if isinstance(kept, dict)})
        case.evidence = self.session.evidence
        self.session.view = view._replace(case=case)
        self.session.stale = False

    def settle(self) -> None:
        """Read the line and judge until nothing is left to do."""
        while self.patient and self.shell.line.catch_up():
            pass
        while self.session.stale and self.session.robot:
            for _ in self.session.judging():
                pass
            self.shell.judged(self.seconds)
            self.seconds += 1

    def idle(self) -> None:
        """Let a screen do what it does between keys, to the end."""
        work = getattr(self.shell.page, "work", None)
        while work is not None and work():
            pass

    def keys(self, *keys: str) -> Driver:
        """Keys by name, or letters one at a time."""
        for key in keys:
            self.seconds += 1
            self.count += 1
            letter = " " if key == "space" else key if key not in NAMED or key == "?" else ""
            self.shell.key(key, letter, self.seconds)
            if self.patient:
                self.settle()
        return self

    def type(self, text: str) -> Driver:
        """Text, letter by letter."""
        return self.keys(*("space" if letter == " " else letter for letter in text))

    def screen(self, width: int = 80, height: int = 24) -> list[str]:
        """Every row of the screen, blanks at the right edge left off."""
        return [text_of(row).rstrip() for row in frame(self.shell, width, height)]

    def text(self, width: int = 80, height: int = 24) -> str:
        """The screen as one text."""
        return "\n".join(self.screen(width, height))

    def row(self, beginning: str, width: int = 80, height: int = 24) -> str:
        """The one row that holds a text."""
        found = [row for row in self.screen(width, height) if beginning in row]
        assert len(found) == 1, (beginning, self.text(width, height))
        return found[0]

    def newest(self, count: int = 1) -> tuple[Entry, ...]:
        """The entries written last, newest first."""
        return self.book.entries(limit=count)

    def number(self, words: str) -> str:
        """The number of the newest line that says these words, as it is shown: #843."""
        evidence = self.session.evidence
        return next(f"#{entry.n}" for entry in self.book.entries(limit=5000) if words in said(evidence, [entry]))

    def later(self, minutes: float) -> Driver:
        """Put the clock on."""
        self.clock.set(self.clock.now_ms() + round(minutes * MINUTE_MS))
        self.session.stale = True
        self.settle()
        return self


def bench_at(tmp_path: Path, at: str = "15:24", robot: str = "TALLOW ANVIL", by: str = "MK") -> Driver:
    """A bench at a moment of the demo's day; the book is a scratch copy, the clock stands at the typed minute."""
    known = at_moment(at)
    clock, ids = FixedClock(known.now), SeededIds(7)
    path = tmp_path / "scratch.db"
    copy_until(known.book, path, known.cut)
    book = Book.open(path, clock, ids)
    return Driver(book, clock, ids, by, robot, known.judged(robot, max(known.now, book.highest_tick())))


class Known:
    """The demo's book at a moment, opened once, and what judging it has asked: every bench begins with that known."""

    def __init__(self, at: str) -> None:
        self.book = Book.open(shipped_demo(), FixedClock(0), SeededIds(7), readonly=True)
        moment = moment_of(self.book, FixedClock(0), at)
        self.now, self.cut = moment.now, moment.cut
        self.views: dict[str, View] = {}

    def judged(self, robot: str, now: int) -> View:
        """One robot judged once, on evidence that keeps what it was asked. `now` as the bench has it, ms UTC."""
        if robot not in self.views:
            evidence = Remembered(self.book.evidence(self.cut))
            known = {item.name: item.id for item in robots(evidence)}
            self.views[robot] = view(evidence, known[robot], now, checklists())
        return self.views[robot]


@cache
def at_moment(at: str) -> Known:
    """The demo at a moment, kept to the end: it is only read."""
    return Known(at)


def empty_bench(tmp_path: Path, by: str = "MK") -> Driver:
    """A bench at a book with nothing in it."""
    clock, ids = FixedClock(1_800_000_000_000), SeededIds(7)
    return Driver(Book.create(tmp_path / "empty.db", clock, ids), clock, ids, by)
