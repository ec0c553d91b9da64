"""Parts, zone by zone: what sits where, how it stands and what it has been through; behind the zones the spares."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pitcrew.bench import fitting, looking, names, words
from pitcrew.bench.damage import taken_out
from pitcrew.bench.desk import Desk
from pitcrew.bench.ledger import SPARES, Ledger, Row, Told, before, counted, of_its_kind, story
from pitcrew.bench.lives_now import failures_told, life_told
from pitcrew.bench.session import Session
from pitcrew.bench.swapping import places_for
from pitcrew.bench.trends import limits_of
from pitcrew.bench.weight_list import weight_line
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.tui.jobs import figure_awaited
from pitcrew.tui.life import before_answer, life_answer
from pitcrew.tui.page import (
    Answer,
    Answers,
    Ask,
    Awaited,
    Go,
    Outcome,
    Page,
    Step,
    Write,
    filled,
    marked,
    parting,
    window,
)
from pitcrew.tui.paint import BLANK, Line, Span, cells, fitted, labelled, line, pad, spread, word
from pitcrew.tui.strips import life, shorten

DETAIL = 7
NARROW = 76
MOST_PLACES = 3
AWAY = ("quarantine", "scrapped", "lost")


class Parts(Page):
    """The places of a zone, and below them the part the keys are at: why, life, story, what was there before."""

    name = "parts"
    title = "parts of a zone"
    blocks = "next zone"

    def __init__(self, session: Session, ident: str | None = None) -> None:
        super().__init__(session)
        self._ident = ident
        self._block = ""
        self._ledger: Ledger | None = None
        self._painted: tuple[tuple[object, ...], list[Line]] | None = None

    def ledger(self) -> Ledger | None:
        """The ledger of the standing last judged; None while nothing is judged."""
        view = self.session.view
        if view is None:
            return None
        if self._ledger is None or self._ledger.view is not view:
            fresh = self._ledger is None or self._ledger.view.case.robot != view.case.robot
            self._ledger = Ledger(view)
            if fresh:
                self._turn_to(self._ledger)
        return self._ledger

    def _turn_to(self, ledger: Ledger) -> None:
        """Open the zone of what was asked for, else the first one where something blocks."""
        found = ledger.block_of(self._ident) if self._ident is not None else None
        blocking = (block for block in ledger.blocks if ledger.blocking(block))
        self._block = found if found is not None else next(blocking, ledger.blocks[0])
        keys = [row.key for row in ledger.rows(self._block)]
        key = ledger.key_of(self._ident) if found is not None and self._ident is not None else ""
        self.row = keys.index(key) if key in keys else 0

    def rows(self) -> tuple[Row, ...]:
        """The rows of the zone that is open."""
        ledger = self.ledger()
        return ledger.rows(self._block) if ledger else ()

    def at(self) -> Row | None:
        """The row the keys are at."""
        rows = self.rows()
        return rows[min(self.row, len(rows) - 1)] if rows else None

    def keys(self) -> Sequence[str]:
        return [row.key for row in self.rows()]

    def block(self, step: int) -> None:
        ledger = self.ledger()
        if ledger is not None:
            blocks = ledger.blocks
            self._block, self.row = blocks[(blocks.index(self._block) + step) % len(blocks)], 0

    def answers(self) -> Answers:
        ledger, row = self.ledger(), self.at()
        if ledger is None:
            return waits(self.session)
        if row is None:
            return Answers((adding(self.session, ledger.case, self._block),))
        spare = row.place is None
        found = spare_answers(self.session, ledger.case, row) if spare else place_answers(self.session, row)
        about = [f"limit:{row.part}/{limit.dimension}" for limit in limits_of(ledger.case, row.part or "")]
        trend = [Answer("trend", lambda: _trend(self.session, about))] if about else []
        return found._replace(items=(*found.items, *trend))

    def awaited(self) -> Awaited | None:
        view, row = self.session.view, self.at()
        return figure_awaited(view, row.part) if view and row and row.part else None

    def opened(self) -> Outcome:
        ledger, row = self.ledger(), self.at()
        return (
            Go(Story(self.session, row.part, f"{row.name}: {row.part_name}")) if ledger and row and row.part else None
        )

    def sheet(self, width: int, height: int) -> list[Line]:
        ledger = self.ledger()
        if ledger is None:
            return [
                line(Span(f"  {'judging the robot..' if self.session.robot else 'no robot in this book yet'}", "quiet"))
            ]
        rows, top = ledger.rows(self._block), zones_row(ledger, self._block, width)
        if not rows:
            return within([top, *_nothing(ledger.case, self._block, width)], width, height)
        room = max(min(len(rows), height - 3 - DETAIL), 3)
        held, below = window(rows, self.row, room)
        at = rows[min(self.row, len(rows) - 1)]
        shown = [marked(figures_row(row, width), row is at, width) for row in held]
        name = f"{at.name}: {at.part_name}" if at.part else f"{at.name}: empty"
        rule = parting(name, width, f"{below} rows below" if below else "")
        detail = self._detail(ledger, at, width, max(height - 3 - len(shown), 0))
        return within([top, figures_heading(width), *shown, rule, *detail], width, height)

    def _detail(self, ledger: Ledger, row: Row, width: int, height: int) -> list[Line]:
        key = (ledger, row.key, width, height)
        if self._painted is None or self._painted[0] != key:
            self._painted = (key, filled(row_detail(ledger.case, row, width, height), height))
        return self._painted[1]


def _trend(session: Session, about: Sequence[str]) -> Outcome:
    from pitcrew.tui.pages.trend import Trends

    return Go(Trends(session, about))


def not_judged(session: Session) -> Line:
    """What stands in place of a sheet while there is nothing to show."""
    return line(Span(f"  {'judging the robot..' if session.robot else 'no robot in this book yet'}", "quiet"))


def within(rows: Sequence[Line], width: int, height: int) -> list[Line]:
    """Rows cut to a sheet's size."""
    return [row if sum(cells(span.text) for span in row) <= width else fitted(row, width) for row in rows[:height]]


def waits(session: Session) -> Answers:
    """What stands in place of answers while there is nothing to show."""
    return Answers(hint="judging.." if session.robot else "no robot yet")


def zones_row(ledger: Ledger, at: str, width: int) -> Line:
    """The zones with how many of their rows block, the open one in brackets; as many around it as fit."""
    said = []
    for block in ledger.blocks:
        count = ledger.blocking(block) if block != SPARES else 0
        name = names.zone_name(ledger.case, block) if block != SPARES else "spares"
        text = f"{name} {count}" if count else name
        said.append(Span(f"[ {text} ]", "here") if block == at else Span(text, "owed" if count else "quiet"))
    place, room = ledger.blocks.index(at), width - 12 - 6
    first = 0
    while first < place and sum(len(span.text) + 2 for span in said[first : place + 1]) > room:
        first += 1
    row: list[Span] = [Span(f"  {'zones':<9} ", "quiet"), Span(".. " if first else "", "quiet")]
    for span in said[first:]:
        if sum(len(done.text) for done in row) + len(span.text) + 4 > width:
            return line(*row, Span("..", "quiet"))
        row += [span, Span("  ")]
    return line(*row)


def _widths(width: int) -> tuple[int, int]:
    """How many columns a place and a part get beside the figures."""
    room = width - (33 if width < NARROW else 50)
    part = min(max(room * 13 // 30, 6), 34)
    return min(max(room - part, 8), 34), part


def figures_heading(width: int) -> Line:
    """The heading of the columns of `figures_row`."""
    place, part = _widths(width)
    tail = "" if width < NARROW else "  life"
    return line(Span(f"  {'verdict':<9} {pad('place', place)} {pad('part', part)}     kg fights hard{tail}", "quiet"))


def figures_row(row: Row, width: int) -> Line:
    """One place or spare: verdict, where, what, kg, fights and hard hits while fitted, and the life it has used."""
    place, part = _widths(width)
    start = f" {pad(shorten(row.name, place), place)} "
    if row.part is None:
        return line(" ", word(row.verdict, row.blocks), start, Span("empty", "quiet"))
    kg = f"{row.mass_kg:6.3f}" if row.mass_kg is not None else "     ?"
    figures = f"{pad(shorten(row.part_name, part), part)} {kg} {row.fights:>6} {row.hard_hits:>4}"
    return line(" ", word(row.verdict, row.blocks), f"{start}{figures}", "" if width < NARROW else f"  {_life(row)}")


def _life(row: Row) -> str:
    if not row.lives:
        return row.beside
    top = row.lives[0]
    said = f"{top.used} of {top.of}"
    return f"{life(top.used, top.of)} {said}" if top.unit == "fights" else f"{life(top.used, top.of, 4)} {said} hard"


def row_detail(case: Case, row: Row, width: int, height: int) -> list[Line]:
    """What stands behind a row: why, life, story, what was there before, spares of its kind; the story gives way."""
    why = [words.reason(case, item) for item in row.about if item.verdict != "pass"]
    above = [part for text in why[:2] for part in labelled("why", text, width, "", 2)]
    if row.beside and row.place is not None and row.blocks and "has" in row.beside.split():
        above += labelled("entered", row.beside, width)
    if row.part is not None:
        above += life_rows(case, row.part, width)
    below: list[Line] = []
    for index, text in enumerate(before(case, row.place) if row.place else ()):
        below += labelled("" if index else "before it", text, width, "quiet", 1)
    if row.part is not None:
        alike = of_its_kind(case, row.part)
        below += labelled("spares", ", ".join(alike) if alike else "no other of its kind", width, "quiet", 1)
    room = max(height - len(above) - len(below), 2)
    told = story(case, row.part, room) if row.part else []
    rows = [line(" ", *told_row(each, "" if index else "story", width)) for index, each in enumerate(told)]
    return [*above, *rows, *below] if rows or above or below else labelled("story", "nothing yet", width, "quiet")


def life_rows(case: Case, part: str, width: int) -> list[Line]:
    """What is used of a part's life, and when others of its kind failed."""
    used, failed = life_told(case, part), failures_told(case, part)
    rows = labelled("life", used, width, "", 2) if used else []
    return [*rows, *(labelled("failed", failed, width, "", 2) if failed else [])]


def told_row(told: Told, label: str, width: int) -> Line:
    """One line of a story from column 2 on, its number at the right edge."""
    number = f" #{told.n} " if told.n is not None else " "
    text = f"{told.when:>5} {pad(told.by, 2)}  {told.words}"
    return spread(line(Span(f" {label:<9} ", "quiet"), text), line(Span(number, "quiet")), width - 1)


def place_answers(session: Session, row: Row) -> Answers:
    """What can be said to a place: looked at where a look is due, swap, found something, take out."""
    place = row.place or ""
    put = Answer("swap the part" if row.part else "put a part in", lambda: _swap(session, place))
    found = Answer("found something", lambda: _found(session, place))
    if row.part is None:
        case = session.case()
        out_of_it = (found,) if case is not None and taken_out(case, place) is not None else ()
        return Answers((_look(session, row), put, *out_of_it) if _due(row) else (put, *out_of_it))
    out = Answer("take out", lambda: _take_out(session, place))
    return Answers((_look(session, row), found, put, out) if _due(row) else (put, found, _look(session, row), out))


def _due(row: Row) -> str:
    """The part at a row whose look is due, by its id; empty when none is."""
    return next((item.subject for item in row.about if item.group == "look" and item.verdict == "due"), "")


def _look(session: Session, row: Row) -> Answer:
    part = _due(row) or row.part or ""
    case = session.case()
    name = f"{names.part_name(case, part)} " if case and part != row.part else ""
    # The next part is looked at next.
    return Answer(f"{name}looked at, good", lambda: Write(lambda desk: looking.look_at(desk, [part]), then=Step))


def _swap(session: Session, place: str, spare: str = "") -> Outcome:
    from pitcrew.tui.pages.swap import Swap

    page = Swap(session, place)
    page.hold(spare)
    return Go(page)


def _found(session: Session, place: str) -> Outcome:
    from pitcrew.tui.pages.found import Found

    return Go(Found(session, place=place))


def _take_out(session: Session, place: str) -> Outcome:
    from pitcrew.tui.pages.swap import TakeOut

    return Go(TakeOut(session, place))


def spare_answers(session: Session, case: Case, row: Row) -> Answers:
    """What can be said to a part that sits nowhere: put it in where its sort belongs, put it away, a new one."""
    part = row.part or ""
    items = [
        Answer(f"in at {case.defs.positions[place].name}", lambda place=place: _swap(session, place, part))  # type: ignore[misc]
        for place in places_for(case, part)[:MOST_PLACES]
    ]
    away = case.put_away(part)
    for to in (*(["spares"] if away else []), *(where for where in AWAY if where != away)):
        items.append(Answer(to, _put_away(part, to)))
    first = 0 if items and items[0].label.startswith("in at") else None
    return Answers((*items, adding(session, case, SPARES)), first, "where is it now? choose first")


def _put_away(part: str, to: str) -> Callable[[], Outcome]:
    return lambda: Write(lambda desk: fitting.put_away(desk, part, to))


def adding(session: Session, case: Case, block: str) -> Answer:
    """An answer that asks for a line of the weight list: a spare, or a part at a new place of a zone."""
    zone = names.zone_name(case, block)
    label, example = ("a new place", "3.30 kg weapon shaft") if zone else ("a new spare", "0.95 kg wheel")

    def drafts(desk: Desk, text: str) -> list[Draft]:
        return weight_line(desk, f"{text} in {zone}" if zone else f"{text} spare")

    def take(text: str) -> Outcome:
        drafts(session.desk(), text)
        return Write(lambda desk: drafts(desk, text))

    return Answer(label, lambda: Ask(label.split()[-1], take, f"its mass and its name: {example}"))


def _nothing(case: Case, block: str, width: int) -> list[Line]:
    zone = names.zone_name(case, block)
    where = f"none in {zone} yet. Space, then" if zone else "no spares in this book. Space, then"
    return labelled("parts", f"{where} a mass and a name: 3.30 kg weapon shaft", width, "quiet")


class Story(Page):
    """Everything a part has been through, newest first."""

    name = "story"
    title = "a part's story"

    def __init__(self, session: Session, part: str, called: str) -> None:
        super().__init__(session)
        self.part, self.called = part, called
        self._told: tuple[object, list[Told]] | None = None
        self._life: tuple[object, int, list[Line]] | None = None

    def _lives(self, width: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return []
        if self._life is None or self._life[0] is not view or self._life[1] != width:
            self._life = (view, width, life_rows(view.case, self.part, width))
        return self._life[2]

    def told(self) -> list[Told]:
        """The lines of the story."""
        view = self.session.view
        if view is None:
            return []
        if self._told is None or self._told[0] is not view:
            self._told = (view, story(view.case, self.part, 400))
        return self._told[1]

    def keys(self) -> Sequence[str]:
        return [f"{index}" for index in range(len(self.told()))]

    def answers(self) -> Answers:
        view = self.session.view
        if view is None or view.case.kind(self.part) is None:
            return Answers(hint="up and down go through it")
        items = (life_answer(self.session, view.case, self.part), before_answer(self.session, self.part))
        return Answers(items, None, "up and down go through it")

    def sheet(self, width: int, height: int) -> list[Line]:
        told = self.told()
        lives = self._lives(width)
        rule = parting(self.called, width, counted(len(told), "line"))
        if not told:
            return [rule, *lives, *labelled("story", "nothing yet", width, "quiet")]
        painted = [marked(told_row(each, "", width), index == self.row, width) for index, each in enumerate(told)]
        shown, below = window(painted, self.row, height - 2 - len(lives))
        more = line(Span(f"   {below} rows below", "quiet")) if below else BLANK
        return within([rule, *lives, *shown, more], width, height)
