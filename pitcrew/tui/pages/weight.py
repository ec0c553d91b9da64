"""Weight: every configuration against the limit, how the one the keys are at came about, and the weights of the day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from pitcrew.bench import names
from pitcrew.bench.answering import declare
from pitcrew.bench.desk import Desk
from pitcrew.bench.line import of_figure
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.subjects import Figured
from pitcrew.bench.usual import last_value, usual_instrument
from pitcrew.bench.weighings import Series, slices
from pitcrew.bench.words import at
from pitcrew.bench.working import weight_working
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import Requirement, WeightRow
from pitcrew.robot.definitions import Configuration, Instrument
from pitcrew.robot.moments import MINUTE_MS, day_text
from pitcrew.robot.records import Evidence
from pitcrew.tui.jobs import logs
from pitcrew.tui.marks import weight_mark
from pitcrew.tui.page import Answer, Answers, Awaited, Go, Outcome, Page, Say, marked, parting, window
from pitcrew.tui.pages.weight_plot import plotted
from pitcrew.tui.paint import Line, Span, cells, cut, labelled, line, pad, word
from pitcrew.tui.strips import shorten
from pitcrew.units import Quantity

EMPTY = "no configuration of this robot yet: a weight is of one. It is made where the robot is set up: Tab r"
NEVER = "never weighed. Type what the scale shows: {:.1f}"
EXAMPLE_KG = 112.5
KG, UNDER, FROM, MARK = 8, 6, 15, 17
WIDE = 72  # columns from which it has room where a weight comes from
LEAST_PLOT, LEAST_LIST, TALL = 5, 3, 26
LEEWAY_KG = 1e-9
FAULTY = "what it weighed before cannot be figured"
FOREVER = 2**62  # lines go on to the end of the picture, wherever that is


class Past:
    """Every configuration's weight through time, figured a moment at a time."""

    def __init__(self, evidence: Evidence, robot: str, now: int) -> None:
        self._steps = slices(evidence, robot, now)
        self.series: tuple[Series, ...] | None = None

    def step(self) -> bool:
        """Figure one moment more; is there more to do? What cannot be figured is not tried again."""
        if self.series is None:
            try:
                next(self._steps)
            except StopIteration as done:
                self.series = done.value
            except BaseException:
                self.series = ()
                raise
        return self.series is None


@lru_cache(maxsize=2)
def past(evidence: Evidence, robot: str) -> Past:
    """The past of a robot as a book tells it, kept until the book has another."""
    return Past(evidence, robot, FOREVER)


class Weight(Page):
    """Configurations in a list; a bare figure is what the scale shows for the one the keys are at."""

    name = "weight"
    title = "every configuration against the limit"

    def __init__(self, session: Session, configuration: str | None = None) -> None:
        super().__init__(session)
        self._wanted: str | None = configuration or ""
        self._scales: dict[str, str] = {}
        self._shown: tuple[Series, ...] | None = None
        self._rows: tuple[View, int, list[Line]] | None = None
        self._below: tuple[tuple[object, ...], list[Line], object] | None = None

    # what is known

    def weights(self) -> tuple[WeightRow, ...]:
        """Each configuration's weight as it was judged."""
        return self.session.view.standing.weights if self.session.view else ()

    def keys(self) -> Sequence[str]:
        rows = self.weights()
        found = [row.configuration for row in rows]
        if self._wanted is not None and rows:
            # What stands on the scale is what is on the robot; where to put the keys is known once it is judged.
            fit = [row.configuration for row in rows if row.fitted] + [row.configuration for row in rows if row.entered]
            wanted = self._wanted or next(iter(fit), found[0])
            self.row, self._wanted = found.index(wanted) if wanted in found else 0, None
        return found

    def at(self) -> WeightRow | None:
        """The configuration the keys are at."""
        key = self.key()
        return next((row for row in self.weights() if row.configuration == key), None)

    def _past(self) -> Past | None:
        return past(self.session.evidence, self.session.robot) if self.session.robot else None

    def waits(self) -> bool:
        found = self._past()
        return found is not None and found.series is None

    def work(self) -> bool:
        found = self._past()
        if found is None:
            return False
        more = found.step()
        self._series()
        return more

    def move(self, step: int) -> None:
        self.keys()  # where the keys are is settled before they move
        super().move(step)

    # what can be said

    def answers(self) -> Answers:
        view, row = self.session.view, self.at()
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        if row is None:
            return Answers(hint="no configuration yet")
        said = logs(
            "undeclare" if row.declared else "declare",
            lambda desk: declare(desk, [row.configuration], not row.declared),
        )
        items = (*self._other_scale(view, row), Answer("working", self.opened), said)
        return Answers(items, None, "type the weight")

    def scale(self, view: View, configuration: str) -> Instrument | None:
        """The scale a figure is read off: the one picked here, else the usual one."""
        record = view.case.defs.configurations[configuration]
        usual = usual_instrument(view.case, _figured(record))
        return view.case.defs.instruments.get(self._scales.get(configuration) or usual or "")

    def _other_scale(self, view: View, row: WeightRow) -> tuple[Answer, ...]:
        """The next of the scales that weigh a robot; said again, the one after it."""
        scales = _scales(view.case)
        used = self.scale(view, row.configuration)
        if not scales or (used is not None and scales == [used.id]):
            return ()
        other = scales[(scales.index(used.id) + 1) % len(scales)] if used and used.id in scales else scales[0]
        name = view.case.defs.instruments[other].name

        def take() -> Outcome:
            self._scales[row.configuration] = other
            return Say(f"read with {name} from here on: type what it shows")

        return (Answer(f"{'other' if used else 'the'} scale: {name}", take),)

    def awaited(self) -> Awaited | None:
        view, row = self.session.view, self.at()
        if view is None or row is None:
            return None
        record = view.case.defs.configurations[row.configuration]
        item, tools = _figured(record), view.case.defs.instruments

        def read_with(tool: Instrument | None) -> Awaited:
            def take(desk: Desk, si: float, typed: str) -> list[Draft]:
                if tool is None:
                    raise EntryError(
                        "a weighing needs its scale.", "Pick one with Right and Space, then type.", "scale"
                    )
                return of_figure(desk, item, Quantity(item.dimension, si, item.unit, typed), tool.id)

            note = f" with {tool.name}" if tool else ""
            return Awaited(record.name, item.dimension, item.unit, take, note, None, last_value(view.case, item))

        def named(text: str) -> Awaited | None:
            found = names.fitting(text, ((tool.id, tool.name) for tool in tools.values() if tool.unit == "kg"))
            return read_with(tools[found[0]]) if len(found) == 1 else None

        return read_with(self.scale(view, row.configuration))._replace(with_tool=named)

    def opened(self) -> Outcome:
        from pitcrew.tui.pages.weighed import Weighed

        row = self.at()
        return Go(Weighed(self.session, row.configuration)) if row is not None else None

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        view, row = self.session.view, self.at()
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet"
            return [line(Span(f"  {text}", "quiet"))]
        if row is None:
            return labelled("weight", EMPTY, width, "quiet")
        rows = self._list(view, width)
        room = min(len(rows), max(height - 4 - LEAST_PLOT, LEAST_LIST))
        shown, below = window([marked(each, i == self.row, width) for i, each in enumerate(rows)], self.row, room)
        left = max(height - 1 - len(shown), 0)
        return [_heading(width), *shown, *self._foot(view, row, width, left, below)][:height]

    def _list(self, view: View, width: int) -> list[Line]:
        """Every row, painted once a standing and width."""
        if self._rows is None or self._rows[0] is not view or self._rows[1] != width:
            self._rows = (view, width, [_row(view, row, width) for row in view.standing.weights])
        return self._rows[2]

    def _foot(self, view: View, row: WeightRow, width: int, height: int, below: int) -> list[Line]:
        """Below the list: what is on and entered, the working, the plot; worked out when something of it is new."""
        series = self._series()
        key = (id(view), id(series), self.row, self.session.now() // MINUTE_MS, width, height, below)
        if self._below is None or self._below[0] != key:
            # What the key names by its place in memory is held with it, so that the place stays its own.
            rows = list(_foot_rows(self.session, view, row, series, width, height, below))
            self._below = (key, rows, (view, series))
        return self._below[1]

    def _series(self) -> tuple[Series, ...] | None:
        """The past, None while it is not figured: an older telling stands until the newer one is."""
        found = self._past()
        if found is not None and found.series is not None:
            self._shown = found.series
        return self._shown


def _foot_rows(
    session: Session, view: View, row: WeightRow, series: tuple[Series, ...] | None, width: int, height: int, below: int
) -> Iterator[Line]:
    name = names.configuration_name(view.case, row.configuration)
    right = f"{below} rows below" if below else _note(view, width - cells(name) - 12)
    yield parting(name, width, right)
    short = height < TALL
    working = list(_working(view.case, row, width, short=short))[: max(height - 1, 0)]
    yield from working
    left = height - 1 - len(working)
    if left < LEAST_PLOT:
        return
    if series is None:
        yield line(Span("  figuring the past..", "quiet"))
    elif not any(item.points for item in series):
        yield line(Span(f"  {NEVER.format(row.limit_kg or EXAMPLE_KG) if series else FAULTY}", "quiet"))
    else:
        yield from map(line, plotted(view, series, row, session.now(), width, left))


def _figured(record: Configuration) -> Figured:
    return Figured("configuration", record.id, record.name, "mass", "kg")


def _scales(case: Case) -> list[str]:
    """The scales of the book, those that have weighed this robot before the others."""
    used = [
        str(fact.detail["instrument"])
        for item in case.defs.configurations
        if (fact := case.newest("weighed", item)) is not None
    ]
    every = [tool.id for tool in case.defs.instruments.values() if tool.unit == "kg"]
    return [*dict.fromkeys(tool for tool in [*used, *every] if tool in every)]


def _requirement(view: View, row: WeightRow) -> Requirement | None:
    key = f"weight:{row.configuration}"
    return next((item for item in view.standing.requirements if item.key == key), None)


def _heading(width: int) -> Line:
    origin = pad("from", FROM) if width >= WIDE else ""
    name = pad("configuration", width - 12 - KG - UNDER - 2 - cells(origin) - MARK)
    return line(Span(f"  {'verdict':<9} {name}{'kg':>{KG}}{'under':>{UNDER}}  {origin}{'own : | limit':>15}", "quiet"))


def _row(view: View, row: WeightRow, width: int) -> Line:
    """Verdict, name and what makes it, kilograms, what is under the limit, where from, the mark."""
    case, item = view.case, _requirement(view, row)
    record = case.defs.configurations[row.configuration]
    verdict, blocks = (item.verdict, item.blocks) if item is not None else (row.verdict, False)
    margin = case.defs.robot.crew_margin_kg
    sign = "~" if row.how in ("figured", "added up") else ""
    kg = f"{sign}{row.kg:.2f}" if row.kg is not None else "?"
    under = f"{row.margin_kg:.2f}" if row.margin_kg is not None else "-"
    origin = pad(_origin(case, row), FROM) if width >= WIDE else ""
    name = f"{record.name} {_made_of(case, record)}"
    room = width - 12 - KG - UNDER - 2 - cells(origin) - MARK
    mark = weight_mark(row.kg, row.u_kg, row.limit_kg, margin, verdict)
    return line(
        " ",
        word(verdict, blocks),
        f" {pad(cut(name, room - 1), room)}{kg:>{KG}}",
        Span(f"{under:>{UNDER}}", "watch" if _is_close(row, margin) else ""),
        f"  {origin}{mark}",
    )


def _made_of(case: Case, record: Configuration) -> str:
    """What is put on for it, in the words of the parts: drum, forks."""
    parts = [names.part_name(case, part) for part in record.parts.values() if part is not None]
    return ", ".join(parts)


def _origin(case: Case, row: WeightRow) -> str:
    anchor = case.newest("weighed", row.configuration)
    if row.missing:
        return f"{len(row.missing)} mass{'es' if len(row.missing) > 1 else ''} missing"
    if anchor is None:
        return "parts added up"
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    tool = case.defs.instruments.get(str(anchor.detail.get("instrument")))
    today = day_text(anchor.happened, zone) == day_text(case.now, zone)
    when = at(case, anchor.happened) if today else day_text(anchor.happened, zone)[5:]
    return f"{shorten(tool.name, FROM - 7) if tool else 'scale'} {when}"


def _note(view: View, room: int) -> str:
    """What is on the robot, what is entered, what is not declared, whose own margin is not kept; as much as fits."""
    case, rows = view.case, view.standing.weights
    called = {row.configuration: names.configuration_name(case, row.configuration) for row in rows}
    fitted = [called[row.configuration] for row in rows if row.fitted and len(rows) > 1]
    entered = [called[row.configuration] for row in rows if row.entered]
    apart = [called[row.configuration] for row in rows if not row.declared and not row.entered]
    margin = case.defs.robot.crew_margin_kg
    close = [called[row.configuration] for row in rows if _is_close(row, margin)]
    sentences = (
        ("on the robot", fitted),
        ("entered", entered),
        ("not declared", apart if len(apart) < len(rows) else []),
        (f"inside your own margin, {margin:g} kg", close),
    )
    said = [f"{' '.join(listed)} {text}" for text, listed in sentences if listed]
    while said and cells("; ".join(said)) > room:
        said.pop()
    return "; ".join(said)


def _working(case: Case, row: WeightRow, width: int, short: bool) -> Iterator[Line]:
    """The last weighing, what it came to since, the sum; in full where there is room, else Enter shows it."""
    rows = list(weight_working(case, row.configuration))
    if short:
        changes = sum(text.endswith((" in", " out")) for text in rows)
        more = f"; {changes} parts in or out: Enter" if changes else ""
        off = _offset(case, row.configuration) if row.how != "added up" else ""
        rows = [f"{rows[0]}{off}", *([f"{rows[-1]}{more}"] if len(rows) > 1 else [])]
    for index, text in enumerate(rows):
        yield from labelled("working" if index == 0 else "", text, width, "", 1 if short else 2)


def _offset(case: Case, configuration: str) -> str:
    anchor = case.newest("weighed", configuration)
    tool = case.defs.instruments.get(str(anchor.detail.get("instrument"))) if anchor else None
    if tool is None or not tool.offset:
        return ""
    return f", {tool.offset:+.3g} kg as it reads {'low' if tool.offset > 0 else 'high'}"


def _is_close(row: WeightRow, margin_kg: float) -> bool:
    """Is it under the limit, and by less than the crew's own margin?"""
    return row.margin_kg is not None and 0 <= row.margin_kg < margin_kg - LEEWAY_KG
