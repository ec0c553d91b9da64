"""The logbook: every line of the robot, newest below, to be narrowed, put right and taken out; nothing is erased."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.history import HistoryLine
from pitcrew.bench.line import MOST_DIGITS, VERBS
from pitcrew.bench.meanings import read_line
from pitcrew.bench.openbook import number
from pitcrew.bench.session import Session
from pitcrew.errors import PitcrewError
from pitcrew.tui.loglines import LogLines
from pitcrew.tui.page import Answer, Answers, Go, Outcome, Page, Step, filled, marked, parting
from pitcrew.tui.pages.logline import (
    LONGEST_NAME,
    LogLine,
    Moved,
    about_of,
    behind,
    counts,
    figure_of,
    line_answers,
    state_words,
)
from pitcrew.tui.paint import Line, Span, cells, cut, labelled, line, pad, spread
from pitcrew.tui.strips import shorten

EMPTY = "nothing is written down yet. Type what you do: a reading, a torque, dr hard, in, out, note"
NARROW, WIDE = 76, 100  # columns below which the heading is short, and from which the instrument has room
LOW, TALL = 17, 26  # rows of the sheet below which the detail is short, and from which it is long
DETAIL, LEAST_DETAIL, MOST_DETAIL = 5, 3, 14
SAID_ROWS = 2
KEPT_ROWS = 1000

Painted = dict[tuple[str, ...], tuple[Line, Line]]


class Logbook(Page):
    """Lines, newest below, and under them the one the keys are at: what was said and what speaks now."""

    name = "logbook"
    title = "every line, newest below"
    blocks = "PgUp pages"

    def __init__(self, session: Session, about: str = "") -> None:
        super().__init__(session)
        self.lines = LogLines(session)
        self._show(about)
        self._list_rows = 10
        self._moved = Moved()
        self._rows: tuple[tuple[object, ...], Painted] = ((), {})
        self._behind: tuple[tuple[object, ...], list[Line]] | None = None

    # the keys

    def keys(self) -> Sequence[str]:
        return [item.ids[0] for item in self.lines.held()]

    def key(self) -> str:
        item = self.lines.line()
        return item.ids[0] if item is not None else ""

    def hold(self, key: str) -> None:
        self.lines.place(key)

    def move(self, step: int) -> None:
        self.lines.move(step)

    def block(self, step: int) -> None:
        self.move(step * max(self._list_rows - 1, 1))

    def own(self, text: str) -> Answer | None:
        words = " ".join(text.split())
        first = words.partition(" ")[0].casefold()
        if not words or words[0].isdigit() or first in VERBS or self._loggable(words):
            return None

        def narrow() -> Outcome:
            self._show(words)
            return Step(0)

        return Answer(f"line {words}" if words.startswith("#") else f"only lines about: {words}", narrow)

    def _show(self, words: str) -> None:
        """Narrow to some words; the number of a line is where the keys go, among all the others."""
        n = words.removeprefix("#")
        is_number = words.startswith("#") and n.isascii() and n.isdigit() and len(n) <= MOST_DIGITS
        if not (is_number and self.lines.jump(int(n))):
            self.lines.narrow(words)

    def _loggable(self, words: str) -> bool:
        """Would the bench log these words?"""
        if self.session.case() is None:
            return False
        try:
            return bool(read_line(self.session.desk(), words, lambda n: number(self.session.book, n)).meanings)
        except PitcrewError:
            return False

    def leaving(self) -> bool:
        if not self.lines.about:
            return False
        self.lines.narrow("")
        return True

    def waits(self) -> bool:
        return self.lines.short()

    def work(self) -> bool:
        return self.lines.fetch()

    # what can be said

    def answers(self) -> Answers:
        item = self.lines.line()
        if item is None:
            return Answers(hint="Back shows every line" if self.lines.about else "type what you do")
        return line_answers(self.session, item, [*self._only(item), Answer("open", self.opened)])

    def _only(self, item: HistoryLine) -> list[Answer]:
        name = about_of(self.session, item)
        if not name or name.casefold() == self.lines.about.casefold():
            return []

        def only() -> Outcome:
            self.lines.narrow(name)
            return Step(0)

        return [Answer(f"only {shorten(name, LONGEST_NAME)}", only)]

    def opened(self) -> Outcome:
        item = self.lines.line()
        return Go(LogLine(self.session, item)) if item is not None else None

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        item = self.lines.line()
        if item is None:
            return [self._heading(width), *self._nothing(width)][:height]
        most = LEAST_DETAIL if height < LOW else DETAIL if height < TALL else min(height // 3, MOST_DETAIL)
        room = max(height - 2 - most, 1)
        self._list_rows = room
        state, other = state_words(item)
        right = f"{state} {other}".strip() if counts(item) else "stays readable, no longer counts"
        name = f"#{item.n}" if counts(item) else f"#{item.n}, {state}"
        if len(item.ids) > 1:
            name = f"{name} and {len(item.ids) - 1} more"
        rule = parting(name, width, right)
        return [self._heading(width), *filled(self._list(width, room), room), rule, *self._detail(item, width, most)]

    def _heading(self, width: int) -> Line:
        item = self.lines.line()
        day = f"{item.day}   " if item is not None else ""
        about = f"only lines about: {self.lines.about}   " if self.lines.about else ""
        whole = not self.lines.about and width >= NARROW
        right = f"{self.session.seen} in the book{', newest below' if whole else ''}"
        if self.lines.about and self.lines.searching():
            right = "searching older lines.."
        return spread(line(Span("  logbook   ", "quiet"), day, about), line(f" {right}"), width)

    def _nothing(self, width: int) -> list[Line]:
        if self.lines.searching():
            return [line(Span(f"  {'':9} searching older lines..", "quiet"))]
        if self.lines.about:
            text = f"nothing about: {self.lines.about}. Back shows all lines"
            return labelled("", text, width, "quiet")
        return labelled("", EMPTY, width, "quiet")

    def _list(self, width: int, room: int) -> list[Line]:
        """As many rows as there is room for, the line the keys are at near the middle, days set apart."""
        held, at = self.lines.held(), self.lines.at
        painted = self._painted(width)
        rows: list[Line] = []
        here = 0
        start = max(at - room, 0)
        for index in range(start, min(at + room + 1, len(held))):
            item = held[index]
            first = self.lines.whole if index == 0 else held[index - 1].day != item.day
            if first:
                rows.append(line(Span(f"  {'':9} {item.day}", "quiet")))
            if index == at:
                here = len(rows)
            here_row, other_row = self._row(painted, item, width)
            rows.append(here_row if index == at else other_row)
        top = min(max(here - room // 2, 0), max(len(rows) - room, 0))
        return rows[top : top + room]

    def _painted(self, width: int) -> Painted:
        """Rows painted so far, for as long as the book and the width are the same."""
        of = (self.session.seen, self.session.robot, width)
        if self._rows[0] != of or len(self._rows[1]) > KEPT_ROWS:
            self._rows = (of, {})
        return self._rows[1]

    def _row(self, painted: Painted, item: HistoryLine, width: int) -> tuple[Line, Line]:
        """A line as it stands with the keys at it, and without them."""
        if item.ids not in painted:
            row = _row(self.session, item, width)
            painted[item.ids] = (marked(row, True, width), marked(row, False, width))
        return painted[item.ids]

    def _detail(self, item: HistoryLine, width: int, most: int) -> list[Line]:
        key = (self.session.seen, id(self.session.view), item.ids, width, most)
        if self._behind is None or self._behind[0] != key:
            rows: list[Line] = []
            tall = most > DETAIL
            for label, text in behind(self.session, item, self._moved.words(self.session, item)):
                rows += labelled(label, text, width, "", most if tall else SAID_ROWS if label == "said" else 1)
            self._behind = (key, filled(rows, most))
        return self._behind[1]


def _row(session: Session, item: HistoryLine, width: int) -> Line:
    """State, number, time, initials, what, and the figure at the right edge."""
    state, other = state_words(item)
    digits = len(str(session.seen)) + 1
    figure = figure_of(item)
    words = " ".join(item.words.replace(figure, "", 1).split()) if figure else item.words
    if item.kind == "withdrawn":
        words = words.removeprefix("withdrawn").strip() or "taken out"
    if other:
        words = f"{other}: {words}"
    tool = ""
    if figure and width >= WIDE:
        fact = next(session.evidence.facts("instrument", str(item.entry.detail.get("instrument"))), None)
        tool = f" {pad(str(fact.detail['name']) if fact else '', 4)}"
    tail = f"  {figure}{tool}" if figure else ""
    role = "quiet" if state in ("replaced", "withdrawn") else ""
    head = f" #{item.n:<{digits - 1}} {item.time} {pad(item.by, 3)} "
    room = width - 1 - 10 - cells(head) - cells(tail) - 1
    return line(
        " ", Span(f"{state:<9}", role), Span(head, role), Span(pad(cut(words, room), room), role), Span(tail, role)
    )
