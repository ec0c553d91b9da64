"""The packs as they stand: set by set when it is ready and whether that makes the call, pack by pack what was read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from pitcrew.bench import pack_words
from pitcrew.bench.names import pairs, part_name
from pitcrew.bench.pack_lines import packs_known
from pitcrew.bench.packing import chosen_set, look_due
from pitcrew.bench.standing import View
from pitcrew.bench.words import cut
from pitcrew.readiness.call import call_at
from pitcrew.readiness.case import PUT_AWAY, Case
from pitcrew.readiness.packs import charge_of, ready_at, resistance, uses
from pitcrew.readiness.stream import merged
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Fact
from pitcrew.text import plain

WIDTH = 80
MOST_READ = 8  # what a trend of a pack's resistance goes back


class PackNow(NamedTuple):
    """One pack: volts of its lowest cell since its last fight, how far its cells are apart, ohms of its worst, kelvin.

    `ratio` is the resistance against the new pack's; `cycles` those it came with and every charge since; `where` the
    place it sits at, else where it is. `trend` holds resistances as they were read, oldest first.
    """

    id: str
    name: str
    state: str
    volts: float | None
    spread_v: float | None
    ohm: float | None
    ratio: float | None
    heat_k: float | None
    read: Fact | None
    cycles: int | None
    where: str
    look: bool = False
    trend: tuple[float, ...] = ()


class SetNow(NamedTuple):
    """A set of packs. `ready_at` is the earliest moment all are full and cool, None where that is not known.

    `too_late` says that it cannot make the call of a fight that is entered; `away` names its packs that are put away:
    it is no set to fight with.
    """

    id: str
    name: str
    packs: tuple[PackNow, ...]
    chosen: bool
    state: str
    ready_at: int | None
    call_at: int | None
    entered: bool = True
    away: tuple[str, ...] = ()

    @property
    def full(self) -> bool:
        """Are all of its packs full and cool?"""
        return self.state == "full"

    @property
    def too_late(self) -> bool:
        """Can it not be ready for the call?"""
        if self.call_at is None or self.ready_at is None or self.full:
            return False
        return self.entered and self.ready_at > self.call_at


def sets_of(case: Case) -> tuple[SetNow, ...]:
    """Every set of the robot, the one chosen first, those with a pack put away last."""
    chosen = chosen_set(case)
    call = call_at(case, case.fight())
    found = [_set(case, ident, name, ident == chosen, call) for ident, name in pairs(case.defs.pack_sets)]
    return tuple(sorted(found, key=lambda item: (not item.chosen, bool(item.away))))


def set_can_be_ready(case: Case) -> bool:
    """Is a set chosen that can make the call? Without a fight that is entered nothing is asked for."""
    chosen = next((item for item in sets_of(case) if item.chosen), None)
    if chosen is None:
        return case.fight() is None
    return not chosen.too_late and not chosen.away


def loose_packs(case: Case) -> tuple[PackNow, ...]:
    """Packs that belong to no set."""
    held = {pack for item in case.defs.pack_sets.values() for pack in item.packs}
    return tuple(pack_now(case, ident) for ident, _ in packs_known(case) if ident not in held)


def _set(case: Case, ident: str, name: str, chosen: bool, call: int | None) -> SetNow:
    packs = tuple(pack_now(case, pack) for pack in case.defs.pack_sets[ident].packs)
    away = tuple(pack.name for pack in packs if case.put_away(pack.id) is not None)
    ready = None if away else ready_at(case, [pack.id for pack in packs])
    return SetNow(ident, name, packs, chosen, _worst(case, packs), ready, call, case.fight() is not None, away)


def _worst(case: Case, packs: Sequence[PackNow]) -> str:
    """The state of a set is that of the pack that is furthest from full."""
    if not packs:
        return "empty"

    def far(pack: PackNow) -> tuple[int, int]:
        now = charge_of(case, pack.id)
        away = case.put_away(pack.id) is not None
        order = 5 if away else ("full", "on charge", "not full", "used", "never read").index(now.state)
        return (max(order, 1) if now.cool_at else order, now.full_at or 0)

    worst = max(packs, key=far)
    return f"{worst.name} {worst.state}" if case.put_away(worst.id) is not None else worst.state


def pack_now(case: Case, pack: str) -> PackNow:
    """One pack as it stands."""
    return case.once("pack now", pack, of=lambda: _pack(case, pack))


def _pack(case: Case, pack: str) -> PackNow:
    part, now = case.part(pack), charge_of(case, pack)
    ohm, _ = resistance(case, pack)
    new = part.ohm_new if part is not None else None
    reads = case.facts("pack_read", pack)
    cells = next((fact for fact in reads if fact.detail.get("cells_v")), None)
    volts = _lowest_now(case, pack)
    heat = next((f.detail["temperature_k"] for f in _warmth(case, pack) if "temperature_k" in f.detail), None)
    return PackNow(
        id=pack,
        name=part_name(case, pack),
        state=pack_words.state_words(case, pack),
        volts=volts,
        spread_v=max(cells.detail["cells_v"]) - min(cells.detail["cells_v"]) if cells is not None else None,
        ohm=ohm,
        ratio=ohm / new if ohm is not None and new else None,
        heat_k=heat,
        read=now.fact or reads.first(),
        cycles=_cycles(case, pack),
        where=_where(case, pack),
        look=case.put_away(pack) is None and look_due(case, pack),
        trend=_trend(case, pack),
    )


def _volts(fact: Fact) -> float | None:
    cells, lowest = fact.detail.get("cells_v"), fact.detail.get("lowest_v")
    return min(cells) if cells else lowest


def _lowest_now(case: Case, pack: str) -> float | None:
    """What its lowest cell showed last, if that was after its last fight; what was read before says nothing of it."""
    use = uses(case, pack).first()
    for fact in merged(case.facts("pack_read", pack), case.facts("charge_ended", pack)):
        if use is not None and fact.order < use.order:
            return None
        if (volts := _volts(fact)) is not None:
            return volts
    return None


def _warmth(case: Case, pack: str) -> Iterator[Fact]:
    return merged(case.facts("pack_read", pack), case.facts("charge_started", pack))


def _cycles(case: Case, pack: str) -> int | None:
    """Those it came with, and every charge since that was not to storage."""
    part = case.part(pack)
    charged = sum(fact.detail.get("to") != "storage" for fact in case.facts("charge_ended", pack))
    came = part.cycles if part is not None else None
    return None if came is None and not charged else (came or 0) + charged


def _where(case: Case, pack: str) -> str:
    last = case.whereabouts(pack).first()
    if last is None:
        return "box"
    if last.entry.kind != "fitted":
        to = str(last.detail.get("to"))
        return to if to in PUT_AWAY else "box"
    found = case.position(last.entry.place or "")
    return found[0].name if found is not None else "on a robot"


def _trend(case: Case, pack: str) -> tuple[float, ...]:
    part = case.part(pack)
    values: list[float] = []
    for fact in case.facts("pack_read", pack):
        cells, one = fact.detail.get("cells_ohm"), fact.detail.get("ohm_per_cell")
        if cells or one is not None:
            values.append(max(cells) if cells else float(one or 0))
        if len(values) == MOST_READ:
            break
    came = part.ohm_per_cell if part is not None else None
    return (*(() if came is None else (came,)), *reversed(values))


# in words


def at(case: Case, ms: int | None) -> str:
    """A moment as hours and minutes in the event's zone."""
    return clock_text(ms, case.defs.event.time_zone if case.defs.event else "UTC") if ms is not None else "?"


def ready_words(case: Case, item: SetNow) -> str:
    """Can a set be ready for the call? full, now; ready 15:44, 23 min to spare; ready 16:24, call 16:07: too late."""
    if item.away:
        return f"{' '.join(item.away)} put away: no set to fight with"
    if item.ready_at is None:
        return "not known: read the packs"
    if item.ready_at <= case.now:
        return "ready now"
    ready = f"ready {at(case, item.ready_at)}"
    if item.call_at is None:
        return ready
    spare = (item.call_at - item.ready_at) // 60_000
    if not item.entered:
        return f"{ready}, earliest call {at(case, item.call_at)}"
    call = f"call {at(case, item.call_at)}"
    return f"{ready}, {call}: too late" if item.too_late else f"{ready}, {spare} min to spare"


def why_ready(case: Case, item: SetNow) -> str:
    """How the moment a set is ready comes about, by the pack that is last."""
    if not item.packs or item.ready_at is None or item.ready_at <= case.now:
        return ""
    last = max(item.packs, key=lambda pack: charge_of(case, pack.id).full_at or 0)
    now = charge_of(case, last.id)
    if now.state == "on charge" and now.fact is not None:
        return f"on charge since {at(case, now.fact.happened)}, takes {now.minutes} min"
    if now.minutes is None:
        return f"cool at {at(case, now.cool_at)}"
    start = f"cool at {at(case, now.cool_at)}" if now.cool_at is not None else "on charge now"
    return f"{start}, then {now.minutes} min of charging"


SET_ROW = "  {:<9} {:<13} {:<20} {}"
PACK_ROW = "  {:<9} {:<13} {:<20} {:>6} {:>5} {:>5} {:>5} {:>6}"
HEADINGS = ("", "pack", "state", "lowest", "apart", "mOhm", "new x", "cycles")


def packs_lines(item: View) -> Iterator[str]:
    """A robot's packs: each set and whether it can be ready for the call, then its packs."""
    case = item.case
    yield plain(f"{item.robot}   at {at(case, case.now)}")
    for each in sets_of(case):
        lead = SET_ROW.format(set_word(each), cut(each.name, 13), cut(each.state, 20), "")
        yield plain(cut(f"{lead}{ready_words(case, each)}", WIDTH)).rstrip()
        why = why_ready(case, each)
        if why:
            yield plain(f"{'':12}{why}")
    packs = all_packs(case)
    if packs:
        yield PACK_ROW.format(*HEADINGS).rstrip()
    for pack in packs:
        yield plain(cut(PACK_ROW.format("look" if pack.look else "", *pack_cells(pack)), WIDTH)).rstrip()


def all_packs(case: Case) -> list[PackNow]:
    """Every pack once, those of the set chosen first."""
    found = [pack for item in sets_of(case) for pack in item.packs]
    return list({pack.id: pack for pack in [*found, *loose_packs(case)]}.values())


def set_word(item: SetNow) -> str:
    """A set in a word: chosen, too late for the call, away because a pack of it is."""
    return "chosen" if item.chosen else "away" if item.away else "too late" if item.too_late else ""


def pack_cells(pack: PackNow) -> tuple[str, ...]:
    """A pack's columns: name, state, volts of the lowest cell, cells apart, milliohms, against new, cycles."""
    return (
        pack.name,
        cut(pack.state, 20),
        pack_words.volts(pack.volts) if pack.volts is not None else "-",
        f"{pack.spread_v:.2f}" if pack.spread_v is not None else "-",
        f"{pack.ohm * 1000:.1f}" if pack.ohm is not None else "-",
        f"{pack.ratio:.2f}" if pack.ratio is not None else "-",
        str(pack.cycles) if pack.cycles is not None else "-",
    )


def packs_data(views: Sequence[View], book: str) -> dict[str, Any]:
    """The same of each robot as plain data: moments in milliseconds UTC, figures in SI."""
    return {"book": book, "robots": [_robot(item) for item in views]}


def _robot(item: View) -> dict[str, Any]:
    case = item.case
    sets = [
        {
            "set": each.name,
            "chosen": each.chosen,
            "state": each.state,
            "ready_at": at(case, each.ready_at) if each.ready_at is not None else None,
            "ready_ms": each.ready_at,
            "call_at": at(case, each.call_at) if each.call_at is not None else None,
            "too_late": each.too_late,
            "put_away": list(each.away),
            "packs": [_pack_data(pack) for pack in each.packs],
        }
        for each in sets_of(case)
    ]
    return {"robot": item.robot, "sets": sets, "other_packs": [_pack_data(pack) for pack in loose_packs(case)]}


def _pack_data(pack: PackNow) -> dict[str, Any]:
    return {
        "pack": pack.name,
        "state": pack.state,
        "lowest_v": pack.volts,
        "spread_v": pack.spread_v,
        "ohm": pack.ohm,
        "of_new": round(pack.ratio, 3) if pack.ratio is not None else None,
        "temperature_k": pack.heat_k,
        "cycles": pack.cycles,
        "where": pack.where,
        "look_due": pack.look,
    }
