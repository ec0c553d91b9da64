"""Packs: set by set whether it can be ready for the call, pack by pack what was read; on charge and off it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pitcrew.bench import pack_words, words
from pitcrew.bench.history import said
from pitcrew.bench.pack_lines import figures_of
from pitcrew.bench.packing import chosen_set
from pitcrew.bench.packs_now import (
    PackNow,
    SetNow,
    all_packs,
    at,
    pack_cells,
    ready_words,
    set_word,
    sets_of,
    why_ready,
)
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.errors import PitcrewError
from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import charge_of
from pitcrew.readiness.stream import merged
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.records import Fact
from pitcrew.tui.pack_answers import (
    charge_answer,
    choose_answer,
    empty_of,
    in_answer,
    in_read_answer,
    look_answer,
    off_answer,
    out_answer,
    quarantine_answer,
    read_answer,
    reading,
    warm_till,
)
from pitcrew.tui.page import (
    Answer,
    Answers,
    Go,
    Outcome,
    Page,
    Write,
    filled,
    guarded_by,
    marked,
    parting,
    window,
)
from pitcrew.tui.paint import Line, Span, labelled, line, pad, word

EMPTY = "no packs in this robot yet. A pack is a part of a kind with cells: add part P1 1.15 kg pack in BT"
STATE, NAME, WIDE = 20, 13, 76
MOST_NAME = 24
STORY = 3


class Packs(Page):
    """A row a set, the one chosen on top, then a row a pack."""

    name = "packs"
    title = "sets and packs"
    blocks = "sets, packs"

    def __init__(self, session: Session, ident: str | None = None) -> None:
        super().__init__(session)
        self._wanted = ident
        self._known: tuple[View, tuple[SetNow, ...], list[PackNow]] | None = None
        self._painted: tuple[View, tuple[int, int, int], list[Line]] | None = None

    # what there is

    def _all(self, view: View) -> tuple[tuple[SetNow, ...], list[PackNow]]:
        if self._known is None or self._known[0] is not view:
            self._known = (view, sets_of(view.case), all_packs(view.case))
        return self._known[1], self._known[2]

    def keys(self) -> Sequence[str]:
        view = self.session.view
        if view is None:
            return ()
        sets, packs = self._all(view)
        found = [*(item.id for item in sets), *(item.id for item in packs)]
        if self._wanted in found:
            self.row, self._wanted = found.index(self._wanted), None
        return found

    def at(self) -> tuple[SetNow | None, PackNow | None]:
        """The set or the pack that the keys are at."""
        view, ident = self.session.view, self.key()
        if view is None or not ident:
            return None, None
        sets, packs = self._all(view)
        found = next((item for item in sets if item.id == ident), None)
        return found, None if found is not None else next(item for item in packs if item.id == ident)

    def block(self, step: int) -> None:
        view = self.session.view
        if view is not None:
            self.row = len(self._all(view)[0]) if step > 0 else 0
            self.move(0)

    # what can be said

    def answers(self) -> Answers:
        view = self.session.view
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        chosen, pack = self.at()
        if chosen is not None:
            return _set_answers(self.session, view.case, chosen)
        if pack is not None:
            return _pack_answers(self.session, view.case, pack)
        return Answers(hint="type it: add part P1 1.15 kg pack in BT")

    def own(self, text: str) -> Answer | None:
        """Figures typed alone were read of the row the keys are at: 46 C 5.2 Ah."""
        chosen, pack = self.at()
        packs = [item.id for item in chosen.packs] if chosen is not None else [pack.id] if pack is not None else []
        name = chosen.name if chosen is not None else pack.name if pack is not None else ""
        try:
            figures_of(self.session.desk(), text)
            reading(packs)(self.session.desk(), text)
        except PitcrewError:
            return None
        return Answer(f"{name} read {text.strip()}", lambda: Write(lambda desk: reading(packs)(desk, text)))

    def opened(self) -> Outcome:
        from pitcrew.tui.pages.parts import Parts

        _, pack = self.at()
        if pack is not None:
            return Go(Parts(self.session, pack.id))
        self.block(1)
        return None

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet"
            return [line(Span(f"  {text}", "quiet"))]
        if not self.keys():
            return labelled("packs", EMPTY, width, "quiet")
        key = (self.row, width, height)
        if self._painted is None or self._painted[0] is not view or self._painted[1] != key:
            self._painted = (view, key, self._sheet(view, width, height))
        return self._painted[2]

    def _sheet(self, view: View, width: int, height: int) -> list[Line]:
        sets, packs = self._all(view)
        rows = [*(_set_row(view, item, width) for item in sets), *(_pack_row(view, item, width) for item in packs)]
        rows = [marked(row, index == self.row, width) for index, row in enumerate(rows)]
        heads = [_heading(sets, width), _pack_heading(width)]
        listed = [heads[0], *rows[: len(sets)], heads[1], *rows[len(sets) :]]
        here = self.row + (1 if self.row < len(sets) else 2)
        detail = [*guarded_by(pack_words.CAUTION, width), *self._detail(view, width)]
        room = max(min(len(listed), height - 1 - min(len(detail), 9)), 3)
        shown, below = window(listed, here, room)
        rule = parting(self._name(), width, f"{below} rows below" if below else "")
        return filled([*shown, rule, *detail], height)

    def _name(self) -> str:
        chosen, pack = self.at()
        return chosen.name if chosen is not None else pack.name if pack is not None else ""

    def _detail(self, view: View, width: int) -> list[Line]:
        chosen, pack = self.at()
        rows: list[Line] = []
        if chosen is not None:
            for label, text, role in _of_set(view, chosen):
                rows += labelled(label, text, width, role, 2)
        elif pack is not None:
            for label, text, role in _of_pack(view.case, pack):
                rows += labelled(label, text, width, role, 2)
        return rows


def _heading(sets: Sequence[SetNow], width: int) -> Line:
    if not sets:
        return line(Span("  packs     no set yet", "quiet"))
    return line(Span(f"  {'verdict':<9} {pad('set', _name_width(width))} {pad('state', STATE)} ready", "quiet"))


def _name_width(width: int) -> int:
    return min(max(NAME + width - 80, NAME), MOST_NAME)


def _pack_heading(width: int) -> Line:
    wide = f"{'lowest':>6} {'apart':>5} {'mOhm':>5} {'x new':>5} {'cycles':>6}"
    columns = wide if width >= WIDE else f"{'lowest':>6} {'mOhm':>5}"
    return line(Span(f"  {'':<9} {pad('pack', _name_width(width))} {pad('state', STATE)} {columns}", "quiet"))


def _set_row(view: View, item: SetNow, width: int) -> Line:
    requirement = packs_requirement(view) if item.chosen else None
    if requirement is not None:
        lead = word(requirement.verdict, requirement.blocks)
    else:
        lead = Span(f"{set_word(item):<9}", "owed" if item.too_late and not item.away else "quiet")
    ready = at(view.case, item.ready_at) if item.ready_at is not None else "?"
    text = "now" if item.ready_at is not None and item.ready_at <= view.case.now else ready
    text = "-" if item.away else f"{text}, too late" if item.too_late else text
    text = f"{text}, chosen" if requirement is not None else text
    return line(" ", lead, f" {pad(item.name, _name_width(width))} {pad(item.state, STATE)} {text}")


def packs_requirement(view: View) -> Requirement | None:
    """What is asked of the packs for the fight entered."""
    return next((item for item in view.standing.requirements if item.group == "packs"), None)


def _pack_row(view: View, pack: PackNow, width: int) -> Line:
    asked = any(item.key == f"look:{pack.id}" and item.blocks for item in view.standing.requirements)
    lead = word("due") if asked else Span(f"{'look' if pack.look else '':<9}", "watch")
    name, state, lowest, apart, ohm, ratio, cycles = pack_cells(pack)
    columns = f"{apart:>5} {ohm:>5} {ratio:>5} {cycles:>6}" if width >= WIDE else f"{ohm:>5}"
    return line(" ", lead, f" {pad(name, _name_width(width))} {pad(state, STATE)} {lowest:>6} {columns}")


Said = tuple[str, str, str]


def _of_set(view: View, item: SetNow) -> Iterator[Said]:
    case = view.case
    why = why_ready(case, item)
    late = "stop" if item.too_late else ""
    more = (
        f"; {why}"
        if why
        else ", and type what was used: 46 C 5.2 Ah"
        if item.ready_at is None and not item.away
        else ""
    )
    yield "ready", f"{ready_words(case, item).removeprefix('ready ')}{more}", late
    asked_of_it = item.chosen or chosen_set(case) is None
    requirement = packs_requirement(view) if asked_of_it else None
    if requirement is not None and requirement.blocks:
        yield "why", words.reason(case, requirement), ""
    where: dict[str, list[str]] = {}
    for pack in item.packs:
        where.setdefault(pack.where, []).append(pack.name)
    yield "where", "; ".join(f"{place}: {' '.join(names)}" for place, names in where.items()), "quiet"
    for index, text in enumerate(_story(case, [pack.id for pack in item.packs])):
        yield "rests on" if index == 0 else "", text, "quiet"


def _of_pack(case: Case, pack: PackNow) -> Iterator[Said]:
    charge, part = charge_of(case, pack.id), case.part(pack.id)
    look = ". It was in the box that was hit: look first" if pack.look else ""
    yield "state", f"{pack.state}, {pack.where}{look}", "stop" if pack.look else ""
    heat = f"{pack_words.heat(pack.heat_k)} when last read" if pack.heat_k is not None else "never read"
    came = part.cycles if part is not None else None
    since = f" ({came} it came with)" if came else ""
    yield "heat", f"{heat}. cycles {pack.cycles if pack.cycles is not None else '?'}{since}", ""
    yield "a cell", trend_words(pack, part.ohm_new if part is not None else None), ""
    if charge.minutes is not None and charge.state != "full":
        yield "charging", f"takes {charge.minutes} min, full {at(case, charge.full_at)} at the earliest", ""
    for index, text in enumerate(_story(case, [pack.id])):
        yield "rests on" if index == 0 else "", text, "quiet"


def trend_words(pack: PackNow, new: float | None) -> str:
    """How a pack's resistance went: new 1.9, then 2.3 2.4 mOhm, x1.26 of new."""
    if pack.ohm is None:
        return "resistance never read: 2.4 mOhm typed here"
    came = f"new {new * 1000:.1f}, then " if new is not None else ""
    values = " ".join(f"{value * 1000:.1f}" for value in pack.trend)
    ratio = f", {pack.ratio:.2f} times new" if pack.ratio is not None else ""
    return f"{came}{values} mOhm{ratio}"


def _story(case: Case, packs: Sequence[str]) -> Iterator[str]:
    """The newest things logged about packs; what one act said of several is one line."""
    kinds = ("pack_read", "charge_started", "charge_ended", "looked_at")
    found: dict[tuple[str, str], list[Fact]] = {}
    for fact in merged(*(iter(case.facts(kind, pack)) for kind in kinds for pack in packs)):
        act = (fact.entry.act, fact.entry.kind)
        if act not in found and len(found) == STORY:
            break
        found.setdefault(act, []).append(fact)
    for facts in found.values():
        first, entries = facts[-1].entry, [fact.entry for fact in reversed(facts)]
        yield f"#{first.n} {at(case, first.happened)} {first.by} {said(case.evidence, entries)}"


# answers, the likeliest first


def _set_answers(session: Session, case: Case, item: SetNow) -> Answers:
    packs = [pack.id for pack in item.packs]
    inside = [pack for pack in packs if _sits(case, pack)]
    empty = empty_of(case, packs)
    on = [pack for pack in packs if charge_of(case, pack).state == "on charge"]
    read = [pack for pack in packs if case.put_away(pack) is None]
    unseen = [pack.id for pack in item.packs if pack.look]
    made = {
        "look": look_answer(unseen) if unseen else None,
        "out": out_answer(session) if inside else None,
        "read": read_answer(session, read) if read else None,
        "charge": charge_answer(session, case, empty) if empty and not inside else None,
        "full": off_answer(session, on, "full") if on else None,
        "stopped": off_answer(session, on, "stopped") if on else None,
        "in": in_answer(item.id, item.name) if not item.away and len(inside) < len(packs) else None,
        "in, read": in_read_answer(session, item.id) if not item.away and len(inside) < len(packs) else None,
        "choose": choose_answer(item.id, item.name) if not item.chosen and not item.away else None,
        "storage": off_answer(session, on or packs, "storage") if not inside and not item.away else None,
        "quarantine": quarantine_answer(packs) if not item.away else None,
    }
    wanted = "look" if unseen and not inside else _next_of_set(case, item, inside, empty, on)
    return _in_order(made, wanted, warm_till(case, empty) if not inside else "")


def _next_of_set(case: Case, item: SetNow, inside: list[str], empty: list[str], on: list[str]) -> str:
    used = [pack for pack in empty if charge_of(case, pack).state == "used"]
    if inside and used:
        return "out"
    if on:
        return "full"
    if empty and any(charge_of(case, pack).state == "never read" for pack in empty):
        return "read"
    if empty:
        return "charge"
    return "in" if item.chosen else "choose"


def _pack_answers(session: Session, case: Case, pack: PackNow) -> Answers:
    state, away = charge_of(case, pack.id).state, case.put_away(pack.id) is not None
    if away:
        return Answers((read_answer(session, [pack.id]),), None, "it is put away: only read it")
    on, inside = state == "on charge", _sits(case, pack.id)
    empty = empty_of(case, [pack.id])
    made = {
        "look": look_answer([pack.id]) if pack.look else None,
        "read": read_answer(session, [pack.id]),
        "charge": charge_answer(session, case, [pack.id]) if empty and not inside else None,
        "full": off_answer(session, [pack.id], "full") if on else None,
        "stopped": off_answer(session, [pack.id], "stopped") if on else None,
        "storage": off_answer(session, [pack.id], "storage") if not inside else None,
        "quarantine": quarantine_answer([pack.id]),
    }
    wanted = "look" if pack.look else "full" if on else "charge" if empty and state != "never read" else "read"
    return _in_order(made, wanted, warm_till(case, empty) if not inside else "")


def _in_order(made: dict[str, Answer | None], wanted: str, warm: str) -> Answers:
    """The wanted answer first, then the others in the order a crew goes through them; a warm pack wants an arrow."""
    names = sorted((name for name in made if made[name] is not None), key=lambda name: name != wanted)
    items = tuple(answer for name in names if (answer := made[name]) is not None)
    if warm and names and names[0] == "charge":
        return Answers(items, None, warm)
    return Answers(items, 0 if items else None)


def _sits(case: Case, pack: str) -> bool:
    last = case.whereabouts(pack).first()
    place = last.entry.place if last is not None and last.entry.kind == "fitted" else None
    return place is not None and place in case.defs.positions and case.occupant(place) == pack
