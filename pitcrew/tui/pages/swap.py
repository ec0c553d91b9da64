"""A swap before it is made: the spares that can go to a place, and what each does to every weight, joint and stack."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pitcrew.bench import fitting, names
from pitcrew.bench.defining import new_part
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.swapping import Effect, Spare, effects, kg_of, opens, spares, unsettles
from pitcrew.errors import PitcrewError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import WeightRow
from pitcrew.tui.jobs import figure_awaited
from pitcrew.tui.marks import weight_mark
from pitcrew.tui.page import Answer, Answers, Ask, Awaited, Back, Go, Outcome, Page, Write, marked, parting, window
from pitcrew.tui.pages.parts import Story, not_judged, waits, within
from pitcrew.tui.paint import Line, Span, labelled, line, pad, word
from pitcrew.tui.strips import shorten

NARROW = 78
STAYS = "stays"
TO = {"spares": "to the spares box", "quarantine": "quarantine", "scrapped": "scrapped", "lost": "lost"}


class Swap(Page):
    """What sits at a place on top, below it what could go there. Nothing is logged before it is said."""

    name = "swap"
    title = "a swap before it is made"

    def __init__(self, session: Session, place: str) -> None:
        super().__init__(session)
        self.place = place
        self._spares: tuple[View, tuple[Spare, ...]] | None = None
        self._tried: tuple[object, str, tuple[Effect, ...]] | None = None

    def spares(self) -> tuple[Spare, ...]:
        """What could go there."""
        view = self.session.view
        if view is None or self.place not in view.case.defs.positions:
            return ()
        if self._spares is None or self._spares[0] is not view:
            self._spares = (view, spares(view.case, self.place))
        return self._spares[1]

    def spare(self) -> Spare | None:
        """The spare the keys are at; None on the row of what sits there."""
        found = self.spares()
        return found[min(self.row, len(found)) - 1] if self.row and found else None

    def keys(self) -> Sequence[str]:
        return [STAYS, *(spare.part for spare in self.spares())] if self.session.view else []

    def answers(self) -> Answers:
        view, spare = self.session.view, self.spare()
        if view is None:
            return waits(self.session)
        if self.place not in view.case.defs.positions:
            return Answers(hint="Back leaves")
        new = Answer("a new part", lambda: _ask_for_new(self.session, self.place))
        empty = Answer("leave it empty", lambda: Write(lambda desk: fitting.part_out(desk, self.place), then=Back))
        rest = (new, empty) if view.case.occupant(self.place) is not None else (new,)
        if spare is None:
            return Answers(rest, None if self.spares() else 0, "down: the spares")
        put = Answer("put it in", lambda: Write(lambda desk: fitting.part_in(desk, spare.part, self.place), then=Back))
        doubt = "its life is used up" if spare.used_up else "" if spare.alike else "another sort of part"
        doubt = "something was found on it" if spare.found else doubt
        return Answers((put, *rest), None if doubt else 0, f"{doubt}: choose first")

    def awaited(self) -> Awaited | None:
        view, spare = self.session.view, self.spare()
        part = spare.part if spare else view.case.occupant(self.place) if view else None
        return figure_awaited(view, part) if view and part else None

    def opened(self) -> Outcome:
        view, spare = self.session.view, self.spare()
        part = spare.part if spare else view.case.occupant(self.place) if view else None
        return Go(Story(self.session, part, names.part_name(view.case, part))) if view and part else None

    def effects(self) -> tuple[Effect, ...]:
        """Every configuration's weight, as it is and with the spare the keys are at."""
        spare = self.spare()

        def drafts(desk: Desk) -> list[Draft]:
            return fitting.part_in(desk, spare.part, self.place) if spare else []

        view, key = self.session.view, spare.part if spare else STAYS
        if self._tried is None or self._tried[0] is not view or self._tried[1] != key:
            self._tried = (view, key, supposed_effects(self.session, drafts))
        return self._tried[2]

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return [not_judged(self.session)]
        if self.place not in view.case.defs.positions:
            return _no_such_place(width)
        spare, case = self.spare(), view.case
        here = case.occupant(self.place)
        name = spare.name if spare else names.part_name(case, here) if here else "nothing"
        below = [parting(f"{name} at {place_title(case, self.place)}", width), *weights(case, self.effects(), width)]
        below += unsettled(case, self.place, width) if spare else []
        for index, fact in enumerate(spare.found if spare else case.open_findings(here) if here else ()):
            below += labelled("" if index else "found", fact_words(case, fact), width, "owed", 2)
        painted = [marked(row, index == self.row, width) for index, row in enumerate(self._rows(case, here, width))]
        shown, more = window(painted, self.row, max(height - 1 - len(below), 3))
        tail = f"   {more} rows below" if more else ""
        head = line(Span(f"  {'':9} {pad('part', 24)}     kg differs  where{tail}", "quiet"))
        return within([head, *shown, *below], width, height)

    def _rows(self, case: Case, here: str | None, width: int) -> list[Line]:
        """What sits there, and each spare with what it is heavier by."""
        kg = kg_of(case, here)
        name = names.part_name(case, here) if here else "nothing"
        rows = [line(" ", f"{'sits' if here else 'empty':<9} {pad(shorten(name, 24), 24)} {_kg(kg) if here else ''}")]
        rows += [_spare_row(spare, kg if here else 0.0) for spare in self.spares()]
        if len(rows) == 1:
            rows.append(line(Span(" " * 11 + "no spare can go here: a new part is one answer away", "quiet")))
        return rows


def _spare_row(spare: Spare, kg: float | None) -> Line:
    """A spare with what it is heavier by than what sits there (kg; None: not known)."""
    where = ", ".join(filter(None, (spare.where, spare.used)))
    state = "found" if spare.found else "spare" if spare.alike else "other"
    change = "      ?" if spare.mass_kg is None or kg is None else f"{spare.mass_kg - kg:+7.3f}"
    figures = f" {pad(shorten(spare.name, 24), 24)} {_kg(spare.mass_kg)} {change}  {where}"
    return line(" ", Span(f"{state:<9}", "owed" if spare.found else ""), figures)


def _kg(kg: float | None) -> str:
    return f"{kg:6.3f}" if kg is not None else "     ?"


def _no_such_place(width: int) -> list[Line]:
    return labelled("place", "the robot on the bench has no such place: Back", width, "stop")


def place_title(case: Case, place: str) -> str:
    """A place with its zone: wheel 3 (front R), DR."""
    found = case.defs.positions[place]
    return f"{found.name}, {names.zone_name(case, found.zone)}"


def supposed_effects(session: Session, drafts: Callable[[Desk], list[Draft]]) -> tuple[Effect, ...]:
    """Every configuration's weight as judged, and as it would be with drafts in the book; nothing is written."""
    view = session.view
    if view is None:
        return ()
    try:
        made = drafts(session.desk())
        then = session.suppose(made) if made else view.case
    except PitcrewError:
        return ()
    return effects(view.standing.weights, then) if then is not None else ()


def weights(case: Case, found: Sequence[Effect], width: int) -> list[Line]:
    """Every configuration: its verdict then, kilograms now and then, what is under the limit, the mark."""
    room, tail = _room(width), "  own : | limit" if width >= NARROW else ""
    head = f"  {'then':<9} {pad('configuration', room)}  kg now  kg then  under differs{tail}"
    margin = case.defs.robot.crew_margin_kg
    return [line(Span(head, "quiet")), *(_weight(effect, margin, width) for effect in found)]


def _room(width: int) -> int:
    """How many columns a configuration's name gets."""
    return min(max(width - (62 if width >= NARROW else 45), 6), 30)


def _weight(effect: Effect, margin_kg: float, width: int) -> Line:
    then, room = effect.then, _room(width)
    under = f"{then.margin_kg:6.2f}" if then.margin_kg is not None else "     ?"
    change = f"{effect.change_kg:+7.2f}" if effect.change_kg is not None else "      ?"
    drawn = ""
    if width >= NARROW:
        drawn = f"  {weight_mark(then.kg, then.u_kg, then.limit_kg, margin_kg, then.verdict)}"
    name = pad(shorten(effect.name, room), room)
    figures = f" {name} {_robot_kg(effect.now)} {_robot_kg(then)} {under} {change}{drawn}"
    return line("  ", word(then.verdict, effect.blocks), figures)


def _robot_kg(row: WeightRow) -> str:
    """A robot's weight in eight columns, with `~` before it when nobody has read it off a scale."""
    if row.kg is None:
        return "       ?"
    return f"{'~' if row.how in ('figured', 'added up') else ''}{row.kg:.2f}".rjust(8)


def unsettled(case: Case, place: str, width: int) -> list[Line]:
    """The joints that count as opened by a swap, and the stacks that want measuring after it."""
    joints = ", ".join(joint.name for joint in opens(case, place))
    stacks = ", ".join(stack.name for stack in unsettles(case, place))
    if not joints and not stacks:
        return labelled("opens", "no joint, and no stack wants measuring for it", width, "quiet")
    rows = labelled("opens", joints or "no joint", width, "", 2)
    return [*rows, *labelled("unsettles", stacks or "no stack", width, "", 2)]


def _ask_for_new(session: Session, place: str) -> Outcome:
    def take(text: str) -> Outcome:
        new_part(session.desk(), text, place)  # refused here, what was typed can still be mended
        return Write(lambda desk: new_part(desk, text, place), then=Back)

    def told(text: str) -> str:
        found = supposed_effects(session, lambda desk: new_part(desk, text, place))
        return "   ".join(_told(effect) for effect in found)

    return Ask("new part", take, "its mass and its name: 3.42 kg wheel 7", told=told)


def _told(effect: Effect) -> str:
    """One configuration's weight in a few words: A 112.79 kg, 0.61 under."""
    then = effect.then
    if then.kg is None or then.margin_kg is None:
        return f"{effect.name} not known"
    return f"{effect.name} {then.kg:.2f} kg, {abs(then.margin_kg):.2f} {'under' if then.margin_kg >= 0 else 'OVER'}"


class TakeOut(Page):
    """What taking a part out does, and where it goes."""

    name = "take out"
    title = "a part taken out"

    def __init__(self, session: Session, place: str) -> None:
        super().__init__(session)
        self.place = place
        self._tried: tuple[View, tuple[Effect, ...]] | None = None

    def answers(self) -> Answers:
        view = self.session.view
        if view is None:
            return waits(self.session)
        if self.place not in view.case.defs.positions:
            return Answers(hint="Back leaves")
        part = view.case.occupant(self.place)
        doubt = part is not None and bool(view.case.open_findings(part))
        items = tuple(Answer(label, self._out(to)) for to, label in TO.items())
        # What is bent or cracked must not lie among the good spares by habit.
        return Answers(items, None if doubt else 0, "something was found on it: choose first" if doubt else "")

    def _out(self, to: str) -> Callable[[], Outcome]:
        return lambda: Write(lambda desk: fitting.part_out(desk, self.place, to), then=Back)

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return [not_judged(self.session)]
        if self.place not in view.case.defs.positions:
            return _no_such_place(width)
        if self._tried is None or self._tried[0] is not view:
            found = supposed_effects(self.session, lambda desk: fitting.part_out(desk, self.place))
            self._tried = (view, found)
        part = view.case.occupant(self.place)
        name = names.part_name(view.case, part) if part else "empty"
        rows = [parting(f"{name} out of {place_title(view.case, self.place)}", width)]
        rows += [*weights(view.case, self._tried[1], width), *unsettled(view.case, self.place, width)]
        for index, fact in enumerate(view.case.open_findings(part) if part else ()):
            rows += labelled("" if index else "found", fact_words(view.case, fact), width, "owed", 2)
        return within(rows, width, height)
