"""The box: parts that sit nowhere, kind by kind; stock that is used up; what went out today and what is to buy."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pitcrew.bench import fitting, names, stocking
from pitcrew.bench import spares as box_of
from pitcrew.bench.desk import Desk
from pitcrew.bench.ledger import SPARES
from pitcrew.bench.meanings import drafts_words
from pitcrew.bench.session import Session
from pitcrew.bench.spare_words import counted
from pitcrew.bench.spares import AWAY, GOOD, Buy
from pitcrew.bench.standing import View
from pitcrew.bench.swapping import places_for
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.spares import Left
from pitcrew.tui.jobs import figure_awaited, logs
from pitcrew.tui.page import Answer, Answers, Ask, Awaited, Go, Outcome, Page, Write, filled, marked, parting, window
from pitcrew.tui.pages.parts import Story, adding, not_judged, waits, within
from pitcrew.tui.pages.spare_rows import (
    BOX,
    STEP,
    STOCK,
    TITLES,
    TO_AWAY,
    TODAY,
    Row,
    blocks_row,
    details,
    heading,
    name_of,
    painted,
    rows_of,
)
from pitcrew.tui.paint import Line, labelled
from pitcrew.units import read

DETAIL = 4
MOST_PLACES = 2
NO_BOX = "every part sits on the robot. Space adds a spare by its mass and name: 0.95 kg wheel"
NO_STOCK = "nothing is counted yet. Space adds an item: M10x30 12 wanted 6"
NOTHING = "nothing went out of the box today, and nothing is short"


class Spares(Page):
    """A list of the block that is open, and below it the row the keys are at."""

    name = "spares"
    title = "the box: spares and stock"
    blocks = "next list"

    def __init__(self, session: Session, ident: str | None = None) -> None:
        super().__init__(session)
        self._ident = ident
        self._block = BOX
        self._known: tuple[View, dict[int, list[Row]]] | None = None
        self._said: tuple[View, tuple[object, ...], Answers] | None = None
        self._listed: tuple[View, tuple[object, ...], list[Line]] | None = None
        self._detailed: tuple[View, tuple[object, ...], list[Line]] | None = None

    def rows(self, block: int | None = None) -> list[Row]:
        """The rows of a block; of the one that is open, if none is named."""
        view = self.session.view
        if view is None:
            return []
        if self._known is None or self._known[0] is not view:
            self._known = (view, {each: rows_of(view.case, each) for each in (BOX, STOCK, TODAY)})
            self._turn_to(self._known[1])
        return self._known[1][self._block if block is None else block]

    def _turn_to(self, known: dict[int, list[Row]]) -> None:
        """Open the block of what was asked for."""
        for block, rows in known.items() if self._ident is not None else ():
            # A sort of part is found at the first of its spares.
            at = [self._ident in (row.key, row.box.kind.id if row.box else None) for row in rows]
            if any(at):
                self._block, self.row = block, at.index(True)
        self._ident = None

    def at(self) -> Row | None:
        """The row the keys are at."""
        rows = self.rows()
        return rows[min(self.row, len(rows) - 1)] if rows else None

    def keys(self) -> Sequence[str]:
        return [row.key for row in self.rows()]

    def block(self, step: int) -> None:
        self._block, self.row = (self._block + step) % len(TITLES), 0

    def answers(self) -> Answers:
        view, row = self.session.view, self.at()
        if view is None:
            return waits(self.session)
        key = (self._block, row.key if row else "")
        if self._said is None or self._said[0] is not view or self._said[1] != key:
            self._said = (view, key, self._answers(view, row))
        return self._said[2]

    def _answers(self, view: View, row: Row | None) -> Answers:
        if self._block == STOCK:
            return stock_answers(self.session, row.left if row else None)
        if row is None:
            return Answers((adding(self.session, view.case, SPARES),) if self._block == BOX else (), 0, NOTHING)
        if row.buy is not None:
            return _buy_answers(self.session, view.case, row.buy)
        if row.gone is not None:
            return Answers(hint="Enter shows its story" if row.gone.part else "Enter shows what is left of it")
        return box_answers(self.session, view, row)

    def awaited(self) -> Awaited | None:
        view, row = self.session.view, self.at()
        return figure_awaited(view, row.spare.part) if view and row and row.spare else None

    def own(self, text: str) -> Answer | None:
        row = self.at()
        if row is None or row.left is None:
            return None
        item = row.left.item
        try:
            drafts = stocking.stepped(self.session.desk(), item.id, text)
        except EntryError:
            return None
        said = drafts_words(self.session.evidence, drafts)
        return logs(said, lambda desk: stocking.stepped(desk, item.id, text))

    def opened(self) -> Outcome:
        view, row = self.session.view, self.at()
        if view is None or row is None:
            return None
        part = row.spare.part if row.spare else row.gone.part if row.gone else row.buy.part if row.buy else None
        if part is not None:
            return Go(Story(self.session, part, names.part_name(view.case, part)))
        listed = row.gone.item if row.gone else row.buy.item or row.buy.kind if row.buy else None
        return Go(Spares(self.session, listed)) if listed is not None else None

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return [not_judged(self.session)]
        rows, at = self.rows(), self.at()
        top = blocks_row(self._counts(), self._block)
        if at is None:
            empty = (NO_BOX, NO_STOCK, NOTHING)[self._block]
            return within([top, *labelled(TITLES[self._block].split()[0], empty, width, "quiet")], width, height)
        detail = self._detail(view, at, width)
        room = max(height - 3 - max(len(detail), DETAIL), 3)
        listed = self._list(view, rows, width)
        held, below = window(listed, self.row, room)
        here = listed[min(self.row, len(rows) - 1)]
        shown = [marked(row, row is here, width) for row in held]
        rule = parting(name_of(at), width, f"{counted(below, 'row')} below" if below else "")
        return within([top, heading(self._block, width), *shown, rule, *filled(detail, height)], width, height)

    def _counts(self) -> list[str]:
        """What stands beside the names of the blocks: how much is short, or to buy."""
        short = len({row.box.kind.id for row in self.rows(BOX) if row.box is not None and row.box.short})
        low = sum(row.left is not None and row.left.short for row in self.rows(STOCK))
        todo = [row.buy for row in self.rows(TODAY) if row.buy is not None]
        buy = sum(bool(item.number) for item in todo)
        look = f", look at {len(todo) - buy}" if len(todo) > buy else ""
        return [f"{short} short" if short else "", f"{low} short" if low else "", f"{buy}{look}" if todo else ""]

    def _detail(self, view: View, row: Row, width: int) -> list[Line]:
        key = (row.key, self._block, width)
        if self._detailed is None or self._detailed[0] is not view or self._detailed[1] != key:
            self._detailed = (view, key, details(view.case, row, width))
        return self._detailed[2]

    def _list(self, view: View, rows: Sequence[Row], width: int) -> list[Line]:
        """Every row of the block, painted once a standing, block and width."""
        key = (self._block, width)
        if self._listed is None or self._listed[0] is not view or self._listed[1] != key:
            self._listed = (view, key, [painted(view.case, row, self._block, width) for row in rows])
        return self._listed[2]


# what can be said


def box_answers(session: Session, view: View, row: Row) -> Answers:
    """What can be said to a spare: in at its place, tested, put away, weighed; how many of its kind are wanted."""
    case, spare, box = view.case, row.spare, row.box
    wanted = [_asks_for_number("how many wanted", box.kind.name, _wants(box.kind.id))] if box is not None else []
    new = adding(session, case, SPARES)
    if spare is None:
        return Answers((new, *wanted))
    part = spare.part
    called = set(names.name_words(spare.name))
    # Of several places the one that the part is named for goes first: belt R 2 at belt R.
    alike = {
        place: set(names.name_words(case.defs.positions[place].name)) <= called for place in places_for(case, part)
    }
    places = sorted(alike, key=lambda place: not alike[place])[:MOST_PLACES]
    put = [Answer(f"in at {case.defs.positions[place].name}", _swaps(session, place, part)) for place in places]
    good = logs("tested, good", lambda desk: box_of.bench_tested(desk, part))
    test = [good] if spare.state == GOOD else []
    back = [logs("back in the box", lambda desk: fitting.put_away(desk, part, "spares"))] if spare.state == AWAY else []
    away = [_put(part, to, label) for to, label in TO_AWAY.items() if to != spare.where]
    batch = _asks(session, "batch", "what it was bought with: B7", lambda desk, text: box_of.of_batch(desk, part, text))
    items = (*put, *test, *back, *away, _weighs(view, part), *wanted, batch, new)
    # What has something found on it must not go in by habit, and no part is tested by habit.
    return Answers(items, 0 if spare.state == GOOD and put else None, "choose first")


def _swaps(session: Session, place: str, part: str) -> Callable[[], Outcome]:
    def go() -> Outcome:
        from pitcrew.tui.pages.swap import Swap

        page = Swap(session, place)
        page.hold(part)
        return Go(page)

    return go


def _put(part: str, to: str, label: str) -> Answer:
    return logs(label, lambda desk: fitting.put_away(desk, part, to))


def _weighs(view: View, part: str) -> Answer:
    """An answer that asks what the scale shows; the figure can be typed without it too."""

    def take(text: str) -> Outcome:
        awaited = figure_awaited(view, part)
        if awaited is None:
            raise EntryError("this part cannot be weighed here.", "Type its name behind the figure.", "weigh")
        known = awaited
        quantity = read(text, expect="mass", bare_unit="kg", subject=known.name)
        return Write(lambda desk: known.take(desk, quantity.si, quantity.typed))

    return Answer("weigh", lambda: Ask("weight", take, "what the scale shows, in kg or with its unit: 0.225, 8 oz"))


def stock_answers(session: Session, now: Left | None) -> Answers:
    """What can be said to a stock item: counted, used, bought; how many are wanted; another item."""
    new = Answer("a new item", lambda: Ask("stock", _adds(session), "its name and how many: M10x30 12 wanted 6"))
    if now is None:
        return Answers((new,))
    item = now.item

    def steps(sign: str) -> Callable[[Desk, str], list[Draft]]:
        return lambda desk, text: stocking.stepped(desk, item.id, f"{sign}{text.strip().lstrip('+-')}")

    count = _asks(session, "count", f"how many {item.name} are left?", steps(""))
    used = _asks(session, "used", "how many, and what for if you like: 4 for upright L", steps("-"))
    wanted = _asks_for_number("how many wanted", item.name, lambda desk, number: stocking.want(desk, item.id, number))
    return Answers((count, used, _bought(session, item.id), wanted, new), 0, STEP)


def _bought(session: Session, item: str) -> Answer:
    hint = "how many came in? a new batch behind it: 20 batch B8"

    def drafts(desk: Desk, text: str) -> list[Draft]:
        name = next(name for ident, name in stocking.items(desk) if ident == item)
        return stocking.bought_line(desk, [*name.split(), *text.lstrip("+ ").split()])

    return _asks(session, "bought", hint, drafts)


def _asks(session: Session, label: str, hint: str, drafts: Callable[[Desk, str], list[Draft]]) -> Answer:
    """An answer that asks for a number and logs it; refused while what was typed still stands."""

    def take(text: str) -> Outcome:
        drafts(session.desk(), text)
        return Write(lambda desk: drafts(desk, text))

    return Answer(label, lambda: Ask(label, take, hint))


def _asks_for_number(label: str, of: str, drafts: Callable[[Desk, int], list[Draft]]) -> Answer:
    def take(text: str) -> Outcome:
        number = text.strip()
        if not (number.isascii() and number.isdigit() and len(number) < 7):
            raise EntryError(f"{text!r:.20} is no whole number.", "Type one: 4.", "wanted")
        return Write(lambda desk: drafts(desk, int(number)))

    return Answer(label, lambda: Ask("wanted", take, f"how many good ones of {of} should be in the box?"))


def _wants(kind: str) -> Callable[[Desk, int], list[Draft]]:
    return lambda desk, number: stocking.want_spares(desk, kind, number)


def _adds(session: Session) -> Callable[[str], Outcome]:
    def take(text: str) -> Outcome:
        stocking.added_line(session.desk(), text)
        return Write(lambda desk: stocking.added_line(desk, text))

    return take


def _buy_answers(session: Session, case: Case, buy: Buy) -> Answers:
    if buy.item is not None:
        return Answers((_bought(session, buy.item),))
    if buy.kind is not None:
        return Answers((adding(session, case, SPARES),))
    return Answers(hint="Enter shows the story of what failed")
