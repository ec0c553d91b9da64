"""How one figure ran: a row a reading with its mark, what happened between, the change a fight where it is decided."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pitcrew.bench import words
from pitcrew.bench.ledger import when
from pitcrew.bench.session import Session
from pitcrew.bench.trends import (
    Point,
    Trend,
    between_words,
    change_words,
    fasteners_words,
    figure,
    foretold_words,
    happened_words,
    trend_of,
)
from pitcrew.readiness.case import Case
from pitcrew.tui.marks import mark
from pitcrew.tui.page import Answers, Page, filled, marked, parting, window
from pitcrew.tui.paint import Line, Span, cells, cut, labelled, line, pad, word
from pitcrew.tui.strips import shorten

EMPTY = {
    "limit": "no reading of it yet. Type its figure and its name on the line: 4.2 tread wheel 4",
    "stack": "never measured. Tab s, then Enter on its row, and type each piece as it is read",
    "joint": "never torqued. Type its figure and its name on the line: 22 hubs R",
}
WHO, FIGURE, FASTENERS = 3, 13, 5
LEAST_TOOL, MOST_TOOL = 4, 7
WIDE = 76  # columns from which the tool and what happened between have room
DETAIL = 7


class Trends(Page):
    """One figure through its readings, oldest first; the keys begin at the newest. PgDn: the next of several figures.

    `about` are keys of requirements: limit:PART/DIMENSION, stack:ID or joint:ID.
    """

    name = "trend"
    title = "a figure through its readings"

    def __init__(self, session: Session, about: Sequence[str]) -> None:
        super().__init__(session)
        self.about = list(about)
        self._at = 0
        self._known: tuple[Case, str, Trend | None] | None = None
        self._painted: tuple[tuple[object, ...], list[Line]] | None = None
        self.row = max(len(self.keys()) - 1, 0)
        self.blocks = "next figure" if len(self.about) > 1 else ""

    def trend(self) -> Trend | None:
        """The figure that is shown; None without a robot, and of what the book does not know."""
        case = self.session.case()
        if case is None or not self.about:
            return None
        key = self.about[self._at]
        if self._known is None or self._known[0] is not case or self._known[1] != key:
            self._known = (case, key, trend_of(case, key))
        return self._known[2]

    def keys(self) -> Sequence[str]:
        trend = self.trend()
        return [point.at.id for point in trend.points] if trend else ()

    def answers(self) -> Answers:
        return Answers(hint="up and down go through the readings" if self.keys() else "Back leaves it")

    def block(self, step: int) -> None:
        if self.about:
            self._at = (self._at + step) % len(self.about)
            self.row = max(len(self.keys()) - 1, 0)

    def sheet(self, width: int, height: int) -> list[Line]:
        case, trend = self.session.case(), self.trend()
        if case is None or trend is None:
            return [line(Span("  this is not in the book of this robot", "quiet"))]
        if not trend.points:
            empty = EMPTY[self.about[self._at].partition(":")[0]]
            return [parting(trend.name, width), *labelled("trend", empty, width, "quiet", height - 1)]
        self.move(0)
        key = (trend, self.row, width, height)
        if self._painted is None or self._painted[0] != key:
            self._painted = (key, list(self._rows(case, trend, width, height))[:height])
        return self._painted[1]

    def _rows(self, case: Case, trend: Trend, width: int, height: int) -> Iterator[Line]:
        detail = list(_detail(case, trend, self.row, width))
        room = max(height - 2 - max(len(detail), DETAIL), 3)
        columns = _columns(case, trend, width)
        painted = (_row(case, trend, point, columns) for point in trend.points)
        rows = [marked(row, at == self.row, width) for at, row in enumerate(painted)]
        shown, below = window(rows, self.row, min(room, len(rows)))
        yield _heading(trend, columns, width)
        yield from shown
        yield parting(trend.name, width, f"{below} rows below" if below else "")
        yield from filled(detail, max(height - 2 - len(shown), 0))


class _Columns(NamedTuple):
    """How wide the columns are that follow what is in them; a tool of 0 leaves it and what happened out."""

    when: int
    tool: int


def _columns(case: Case, trend: Trend, width: int) -> _Columns:
    moments = max(len(when(case, point.at.happened)) for point in trend.points)
    tools = max(cells(point.tool) for point in trend.points)
    return _Columns(moments, min(max(tools, LEAST_TOOL), MOST_TOOL) if width >= WIDE else 0)


def _heading(trend: Trend, columns: _Columns, width: int) -> Line:
    unit = "N m" if trend.dimension == "torque" else "mm"
    which = f" {'which':<{FASTENERS}}" if trend.dimension == "torque" else ""
    last = f" {'with':<{columns.tool}} since the one before" if columns.tool else ""
    start = f"  {'verdict':<9} {'when':<{columns.when}} {'who':<{WHO}} {unit:<{FIGURE}} "
    return line(Span(cut(f"{start}{pad(_limits(trend), 15)}{which}{last}", width), "quiet"))


def _limits(trend: Trend) -> str:
    """The limits over the marks, as short as they are wide."""
    low, high = (_digits(trend, limit) if limit is not None else "" for limit in (trend.low, trend.high))
    if low and high:
        return f"{low} to {high}"
    return f"from {low}" if low else f"to {high}" if high else ""


def _digits(trend: Trend, value: float) -> str:
    return figure(trend, value).rpartition(" ")[0].removesuffix(" N")


def _row(case: Case, trend: Trend, point: Point, columns: _Columns) -> Line:
    scale = 1.0 if trend.dimension == "torque" else 1000.0
    doubtful = f"{_digits(trend, point.value)} +-{words.doubt(point.u * scale)}"
    picture = mark(point.value, point.u, trend.low, trend.high, point.word)
    which = f" {pad(fasteners_words(point), FASTENERS)}" if trend.dimension == "torque" else ""
    last = ""
    if columns.tool:
        last = f" {pad(shorten(point.tool, columns.tool), columns.tool)} {between_words(point.between)}"
    start = f" {pad(when(case, point.at.happened), columns.when)} {pad(point.at.entry.by, WHO)} "
    return line(" ", word(point.word, blocks=False), start, pad(doubtful, FIGURE), " ", picture, which, last)


def _detail(case: Case, trend: Trend, at: int, width: int) -> Iterator[Line]:
    """The change and what it foretells, what happened before the reading picked, and after it if it is the newest."""
    yield from labelled("change", change_words(trend), width, "", 2)
    ahead = foretold_words(trend)
    if ahead:
        yield from labelled("ahead", ahead, width, "watch", 2)
    point = trend.points[at]
    said = [happened_words(case, fact) for fact in point.between]
    first = "the first reading here" if at == 0 else "nothing that matters to it"
    yield from labelled("before it", "; ".join(said) or first, width, "", 4)
    if at == len(trend.points) - 1:
        after = "; ".join(happened_words(case, fact) for fact in trend.since)
        yield from labelled("since", after or "nothing that matters to it", width, "", 4)
    number = f"#{point.at.entry.n}" if point.at.entry.n is not None else ""
    note = str(point.at.detail.get("note") or "")
    yield from labelled("logged", " ".join(filter(None, (number, note))), width, "quiet", 1)
