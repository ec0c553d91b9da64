"""One crew at one open book: the robot on the bench, who writes, the standing last judged, what was written last."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import NamedTuple

from pitcrew.bench import openbook, shifts
from pitcrew.bench.correcting import taken_back
from pitcrew.bench.desk import Desk
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.standing import View, viewing
from pitcrew.bench.supposing import supposing
from pitcrew.clock import Clock, Ids
from pitcrew.errors import BookError, EntryError
from pitcrew.logbook.book import Book, newest_row
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.definitions import Robot, robots
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Entry

PAGE = 1000


class Source(NamedTuple):
    """What a session is made of: the book, where moments and ids come from, the checklists, a title for the book."""

    book: Book
    clock: Clock
    ids: Ids
    checklists: tuple[Checklist, ...]
    title: str = ""


class Session:
    """The state of the bench: everything the screen shows is asked of this, everything it does goes through it.

    `view` is the standing as last judged; `stale` says that entries or the clock have passed it by and that
    `judging()` should be run.
    """

    def __init__(self, source: Source, robot: str | None = None) -> None:
        self.source = source
        self.by = ""
        self.view: View | None = None
        self.stale = True
        self.seen = newest_row(self.book)
        self.own: list[tuple[Entry, ...]] = []  # what was written here, and not taken back
        self.own_acts: list[str] = []  # under which acts, in their order
        self.unwritten: list[tuple[tuple[Draft, ...], str | None]] = []
        self._again: dict[str, str] = {}  # what was put back as it was, by what it had been before
        self._case: Case | None = None
        self.evidence = Remembered(self.book.evidence())
        known = self.robots()
        self.robot = robot or (known[0].id if known else "")

    @property
    def book(self) -> Book:
        """The book on the bench."""
        return self.source.book

    def now(self) -> int:
        """The moment the screen shows, milliseconds UTC; never before the newest entry."""
        return max(self.source.clock.now_ms(), self.book.highest_tick())

    def robots(self) -> tuple[Robot, ...]:
        """Every robot of the book."""
        return robots(self.evidence)

    def choose(self, robot: str) -> None:
        """Put another robot on the bench."""
        self.robot, self.view, self._case, self.stale = robot, None, None, True

    def zone(self) -> str:
        """The time zone moments are shown in."""
        event = self.view.case.defs.event if self.view else None
        return event.time_zone if event else openbook.time_zone(self.evidence)

    def clock_text(self) -> str:
        """The clock as the screen shows it."""
        return clock_text(self.now(), self.zone())

    def desk(self, happened: int | None = None) -> Desk:
        """A desk at the robot for whoever is writing."""
        now = self.now()
        mint: Callable[[], str] = lambda: self.source.ids.mint(now)  # noqa: E731
        return Desk(self.evidence, self.robot, self.by or "?", now, mint, happened, self.case())

    # judging

    def judging(self) -> Iterator[None]:
        """Judge the robot in small steps; at the end `view` holds the new standing.

        Whoever takes the steps stops when the session is stale again, and asks for new ones.
        """
        self.stale = False
        return self._judging()

    def _judging(self) -> Iterator[None]:
        if self.robot:
            robot = self.robot
            found = yield from viewing(self.evidence, robot, self.now(), self.source.checklists)
            if robot == self.robot:
                self.view = found

    def judge(self) -> View:
        """Judge the robot here and now."""
        for _ in self.judging():
            pass
        if self.view is None:
            raise BookError("there is no robot in this book yet.", "Add one first.", "robot")
        return self.view

    def suppose(self, drafts: Sequence[Draft]) -> Case | None:
        """The robot's case as it would be with these entries in the book; nothing is written."""
        case = self.case()
        return supposing(case, drafts, self.book.writer) if case is not None else None

    def case(self) -> Case | None:
        """The robot as the book has it now, judged or not; None without a robot."""
        if self.view is not None and self.view.case.evidence is self.evidence:
            return self.view.case
        if self._case is None or self._case.evidence is not self.evidence:
            definitions = self.evidence.gathered(self.robot) if self.robot else None
            self._case = Case(self.evidence, definitions, self.now(), self.source.checklists) if definitions else None
        return self._case

    # writing

    def write(self, drafts: Sequence[Draft], act: str | None = None) -> tuple[Entry, ...]:
        """Write down as one act; on the disk when this returns. What is written is known at once.

        Whoever writes for the first time today begins a shift with it, which is not among what is given back.

        Raises:
            EntryError: an entry cannot be taken.
            BookError: the book cannot be written; unless it is open for reading only, the entries wait in `unwritten`.
        """
        if self.book.readonly:
            raise BookError("this book is open for reading only.", "Open it where it can be written.", "book")
        named = tuple(draft if draft.id else draft._replace(id=self._mint()) for draft in drafts)
        act = act or self._mint()
        named = (*shifts.begins(self.evidence, named, self.now(), self.zone(), self._mint), *named)
        try:
            self.write_again()  # what has waited longer goes first
            return self._written(named, act)
        except BookError:
            self.unwritten.append((named, act))
            raise

    def _mint(self) -> str:
        return self.source.ids.mint(self.now())

    def write_again(self) -> tuple[Entry, ...]:
        """Try once more what could not be written; what was written after all is not written twice.

        Raises:
            BookError: it still cannot be written; it goes on waiting.
            EntryError: an entry cannot be taken any more, another window has seen to that; it is given up.
        """
        written: tuple[Entry, ...] = ()
        while self.unwritten:
            try:
                written += self._written(*self.unwritten[0])
            except EntryError:
                self.unwritten.pop(0)
                raise
            self.unwritten.pop(0)
        return written

    def _written(self, drafts: Sequence[Draft], act: str | None) -> tuple[Entry, ...]:
        written = self.book.append(drafts, act)
        # A shift that began with these lines has an act of its own: taking the lines back does not end it.
        entries = tuple(entry for entry in written if entry.kind != shifts.KIND or entry.act == act)
        if entries:
            self.own.append(entries)
            self.own_acts.append(entries[0].act)
            self._know(self._since())
        return entries

    def news(self) -> tuple[Entry, ...]:
        """What other windows have written since last asked; shifts that began with something else are not told."""
        fresh = self._since()
        if fresh:
            self._know(fresh)
        return tuple(entry for entry in fresh if entry.kind != shifts.KIND) or fresh

    def _since(self) -> tuple[Entry, ...]:
        found: list[Entry] = []
        while page := self.book.entries_after(self.seen, PAGE):
            found += page
            self.seen = page[-1].n
        return tuple(found)

    def _know(self, entries: Sequence[Entry]) -> None:
        self.evidence = self.evidence.after(self.book.evidence(), entries)
        self.stale = True

    def overdue(self) -> bool:
        """Has time alone made the standing old?"""
        changes = self.view.standing.changes_at if self.view else None
        return changes is not None and self.now() >= changes > self.view.standing.at if self.view else False

    def keep_draft(self, text: str) -> None:
        """Keep what is half typed in this file, for the next one who opens it here; empty forgets it.

        On a full disk it is not kept: what cannot be logged either is said where it is logged.
        """
        with suppress(BookError):
            self.book.drafts.keep(text)

    def kept_draft(self) -> str:
        """What was half typed when a screen went away without being left."""
        with suppress(BookError):
            return self.book.drafts.left_behind()
        return ""

    def take_back(self) -> tuple[Entry, ...]:
        """Take back what was written here last: what was new is withdrawn, what was put right is put back as it was.

        Raises:
            EntryError: nothing written here is left to take back, or it was a withdrawal, which is final.
            BookError: the book cannot be written.
        """
        while self.own:
            entries = self.own[-1]
            drafts = taken_back(self.desk(), entries, self.book.read, self._again)
            if not drafts:
                self.own.pop()
                continue
            written = self.write(drafts)
            del self.own[-2:]
            before = {entry.id: entry.replaces for entry in entries}
            self._again |= {str(before[e.replaces]): e.id for e in written if e.replaces and before.get(e.replaces)}
            return written
        raise EntryError("nothing was written here yet that could be taken back.", "Withdraw it in the logbook.", "")

    def last_of(self, act: str) -> tuple[Entry, ...]:
        """Entries of an act that count."""
        return tuple(fact.entry for fact in self.evidence.act(act))
