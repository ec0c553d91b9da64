"""The stretch of the logbook that a screen holds: lines around the keys, further ones fetched as the keys come near."""

from __future__ import annotations

from itertools import takewhile

from pitcrew.bench.history import Cursor, HistoryLine, Known, newer, page
from pitcrew.bench.session import Session
from pitcrew.logbook.book import stretch
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry

FIRST_LINES = 24  # about as many as a screen shows: what a key has to wait for
SLICE_LINES = 16
ENTRIES = 48  # looked at in one fetch: a few milliseconds
MARGIN = 50
MOST_HELD = 400


class LogLines:
    """Lines of the robot on the bench, newest last, and the one the keys are at.

    A book may hold a million entries: at most `MOST_HELD` lines are in memory, and one fetch looks at a bounded
    number of entries. The keys stay on their line when the book grows, unless they were on the newest.
    """

    def __init__(self, session: Session, about: str = "") -> None:
        self.session = session
        self.about = about
        self.at = 0
        self._held: list[HistoryLine] = []
        self._older: Cursor | None = None
        self._newer: Cursor = (0, 0)
        self._ended = True
        self._known: Known | None = None
        self._left: HistoryLine | None = None  # where the keys were before all lines were narrowed
        self._of: tuple[object, ...] = ()

    def held(self) -> list[HistoryLine]:
        """The lines at hand; read anew around the keys when the book, the robot or the narrowing is another."""
        session = self.session
        of = (session.seen, session.robot, self.about)
        if of != self._of:
            here = self._stays(of)
            self._of = of
            self._read_anew(here)
        return self._held

    def _stays(self, of: tuple[object, ...]) -> HistoryLine | None:
        """The line to read around; None for the newest."""
        same_robot, same_words = self._of[1:2] == of[1:2], self._of[2:] == of[2:]
        if not same_robot or (self.about and not same_words):
            return None
        here = self._held[self.at] if self._held else None
        if same_words:
            return None if self._ended and self.at == len(self._held) - 1 else here
        return here or self._left

    def line(self) -> HistoryLine | None:
        """The line the keys are at; None where there is none."""
        held = self.held()
        return held[self.at] if held else None

    def narrow(self, about: str) -> None:
        """Only lines that hold all these words, the keys on the newest; empty: all of them again.

        The keys stay on the line they found, or go back to where they were before, where they found none.
        """
        self.held()
        if about and not self.about:
            self._left = self.line()
        self.about = about

    def jump(self, n: int) -> bool:
        """Put the keys on the line of an entry by its number, among all lines; False where it is in none of them."""
        session = self.session
        entry = session.book.by_number(n)
        if entry is None or entry.robot != session.robot or entry.kind in DEFINITION_KINDS:
            return False
        self.about, self._of = "", (session.seen, session.robot, "")
        self._read_before(self._after_act(entry))
        self._ended = False
        self._fetch_newer(FIRST_LINES)
        self.place(entry.id)
        return True

    def _after_act(self, entry: Entry) -> Cursor:
        """The place behind the last entry that stands together with this one in its act: no line reaches over it."""
        last = entry
        while rows := stretch(self.session.book, (last.tick, last.n), ENTRIES, newer=True):
            together = [found for found, _ in takewhile(lambda row: row[0].act == entry.act, rows)]
            last = together[-1] if together else last
            if len(together) < len(rows):
                break
        return last.tick, last.n + 1

    @property
    def whole(self) -> bool:
        """Is the first line held the first there is?"""
        return self._older is None

    def move(self, step: int) -> None:
        """Up or down by lines; what is not at hand yet is fetched, a stretch of it."""
        held = self.held()
        if self.at + step < 0 and self._older is not None:
            self._fetch_older(FIRST_LINES)
        elif self.at + step >= len(held) and not self._ended:
            self._fetch_newer(FIRST_LINES)
        self.at = min(max(self.at + step, 0), max(len(self._held) - 1, 0))

    def place(self, ident: str) -> None:
        """Put the keys on the line that an entry is in, if it is at hand."""
        self.at = next((index for index, line in enumerate(self.held()) if ident in line.ids), self.at)

    def short(self) -> bool:
        """Are there lines to be fetched, so that the keys will not have to wait for them?"""
        return self.searching() or self._wants_newer()

    def searching(self) -> bool:
        """Are there older lines to be fetched?"""
        held = self.held()
        return self._older is not None and (self.at < MARGIN or len(held) < MARGIN)

    def fetch(self) -> bool:
        """Fetch a few lines; are there more to fetch?"""
        if self.searching():
            self._fetch_older(SLICE_LINES)
        elif self._wants_newer():
            self._fetch_newer(SLICE_LINES)
        return self.short()

    def _wants_newer(self) -> bool:
        held = self.held()
        return not self._ended and len(held) - self.at <= MARGIN

    def _read_before(self, before: Cursor | None) -> None:
        session = self.session
        robot = session.robot or None
        self._known = Known(session.book, robot=robot, evidence=session.evidence)
        found = page(session.book, before, FIRST_LINES, robot, self.about, known=self._known, budget=ENTRIES)
        self._held, self._older, self._newer = list(found.lines), found.older, found.newer
        self.at = max(len(self._held) - 1, 0)

    def _read_anew(self, here: HistoryLine | None) -> None:
        # With the line the keys are at: what it says now may be another than it was.
        self._read_before((here.end[0], here.end[1] + 1) if here is not None else None)
        self._ended = here is None
        if here is not None:
            self._fetch_newer(FIRST_LINES)
            wanted = (ident for ident in here.ids if any(ident in line.ids for line in self._held))
            ident = next(wanted, None)
            self.at = next((i for i, line in enumerate(self._held) if ident in line.ids), self.at)

    def _fetch_older(self, count: int) -> None:
        session = self.session
        robot = session.robot or None
        found = page(session.book, self._older, count, robot, self.about, known=self._known, budget=ENTRIES)
        self.at = self.at + len(found.lines) if self._held else max(len(found.lines) - 1, 0)
        self._held[:0] = found.lines
        self._older = found.older
        if len(self._held) > MOST_HELD and self.at < MOST_HELD - MARGIN:
            del self._held[MOST_HELD:]
            self._newer, self._ended = self._held[-1].end, False

    def _fetch_newer(self, count: int) -> None:
        session = self.session
        robot = session.robot or None
        found = newer(session.book, self._newer, count, robot, self.about, known=self._known, budget=ENTRIES)
        self._held += found.lines
        self._newer, self._ended = found.newer, found.ended
        over = min(len(self._held) - MOST_HELD, self.at - MARGIN)
        if over > 0:
            del self._held[:over]
            self.at -= over
            self._older = self._held[0].start
