"""Packs: matched, charged, cool and equal, and when they can be; judged by the figures of their kind.

The figures are the crew's own and hold its margin, so that no doubt of a meter is added to them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil
from typing import NamedTuple

from pitcrew.readiness import table
from pitcrew.readiness.call import call_at
from pitcrew.readiness.case import Case
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import Because, Ruling
from pitcrew.robot.definitions import Charging
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Fact

HAIR = 1e-9  # what adding and taking away leaves behind, in any unit here
Figures = tuple[tuple[str, float | int | str | None], ...]


class Charge(NamedTuple):
    """How one pack stands. Moments in milliseconds UTC, volts of its lowest cell.

    `state` is "full", "on charge", "used" (a fight since it was last read or charged), "not full" (read or taken off
    the charger below full), or "never read". `fact` is what says so. `minutes` is what charging takes or takes in all,
    None where nobody said how much was used or at what current; `full_at` the earliest moment it can be full. `cool_at`
    is when it is cool enough to charge, None if it is.
    """

    state: str
    fact: Fact | None = None
    volts: float | None = None
    minutes: int | None = None
    full_at: int | None = None
    cool_at: int | None = None


def charging_of(case: Case, pack: str) -> Charging | None:
    """What a pack is charged and judged by, if its kind says so."""
    kind = case.kind(pack)
    return kind.charging if kind is not None else None


def charge_of(case: Case, pack: str) -> Charge:
    """How one pack stands now, whether it is chosen or not."""
    return case.once("charge", pack, of=lambda: _charge(case, pack, charging_of(case, pack) or Charging()))


def ready_at(case: Case, packs: Iterable[str]) -> int | None:
    """The earliest moment all of these packs can be full and cool, milliseconds UTC; None where that is not known."""
    found = [case.now]
    for pack in packs:
        charge = charge_of(case, pack)
        if charge.state != "full" and charge.full_at is None:
            return None
        found += [at for at in (charge.full_at, charge.cool_at) if at is not None]
    return max(found)


def _charge(case: Case, pack: str, rule: Charging) -> Charge:
    cool_at = _cool_at(case, pack, rule)
    on = _on_charger(case, pack)
    if on is not None:
        minutes = _minutes(case, pack, rule, on)
        full_at = None if minutes is None else on.happened + minutes * MINUTE_MS
        return Charge("on charge", on, minutes=minutes, full_at=full_at, cool_at=cool_at)
    evidence = _evidence(case, pack)
    newest, use = evidence.first(), case.uncleared(uses(case, pack), evidence)
    volts = _volts(newest, rule) if newest is not None else None
    if use is None and newest is not None and volts is not None and volts >= (rule.full_v or 0.0) - HAIR:
        return Charge("full", newest, volts, cool_at=cool_at)
    if newest is None and use is None:
        return Charge("never read", cool_at=cool_at)
    minutes = _minutes(case, pack, rule)
    full_at = None if minutes is None else max(case.now, cool_at or 0) + minutes * MINUTE_MS
    return Charge("used" if use else "not full", use or newest, volts, minutes, full_at, cool_at)


def uses(case: Case, pack: str) -> Stream:
    """Ends of this robot's fights at which a pack sat at one of its places, newest first."""
    return case.stream("uses", pack, of=lambda: _fought(case, pack))


def _fought(case: Case, pack: str) -> Iterator[Fact]:
    if case.newest("fitted", pack) is None or not table.disturbs(table.FIGHT_ENDED, "packs"):
        return
    for end in case.ends():
        if case.sat(pack, end) in case.defs.positions:
            yield end


def _evidence(case: Case, pack: str) -> Stream:
    """What says how full a pack is, newest first."""
    read = (fact for fact in case.facts("pack_read", pack) if _lowest(fact) is not None)
    return case.stream("charge read", pack, of=lambda: merged(read, case.facts("charge_ended", pack)))


def _lowest(fact: Fact) -> float | None:
    cells, lowest = fact.detail.get("cells_v"), fact.detail.get("lowest_v")
    return min(cells) if cells else None if lowest is None else float(lowest)


def _volts(fact: Fact, rule: Charging) -> float | None:
    """The volts of the lowest cell; one taken off the charger as full without a reading is just full."""
    lowest = _lowest(fact)
    return rule.full_v if lowest is None and fact.detail.get("to") == "full" else lowest


def _on_charger(case: Case, pack: str) -> Fact | None:
    """The charge that was begun and is still going on."""
    begun = case.newest("charge_started", pack)
    if begun is None:
        return None
    ends = (case.newest("charge_ended", pack), case.newest("fitted", pack), uses(case, pack).first())
    return None if any(end is not None and end.order > begun.order for end in ends) else begun


def _minutes(case: Case, pack: str, rule: Charging, begun: Fact | None = None) -> int | None:
    """What a charge takes, whole minutes: what is to put back at its current, and the tail."""
    said = begun.detail if begun is not None else {}
    amps, coulomb = said.get("current_a") or rule.current_a, said.get("to_put_back_coulomb")
    if coulomb is None:
        coulomb = used_coulomb(case, pack)
    if not amps or coulomb is None:
        return None
    return ceil(coulomb / amps / 60.0 + rule.tail_min - 1e-6)


def used_coulomb(case: Case, pack: str) -> float | None:
    """The charge read as used since its last fight or since it was put to storage charge, coulombs."""
    stored = (fact for fact in case.facts("charge_ended", pack) if fact.detail.get("to") == "storage")
    last = next(merged(uses(case, pack), stored), None)
    for fact in case.facts("pack_read", pack):
        if last is not None and fact.order < last.order:
            return None
        if fact.detail.get("used_coulomb") is not None:
            return float(fact.detail["used_coulomb"])
    return None


def _cool_at(case: Case, pack: str, rule: Charging) -> int | None:
    if rule.cool_k is None:
        return None
    for fact in merged(case.facts("pack_read", pack), case.facts("charge_started", pack)):
        heat = fact.detail.get("temperature_k")
        if heat is not None:
            cool = fact.happened + round(rule.cool_min * MINUTE_MS)
            return cool if heat > rule.cool_k + HAIR and case.now < cool else None
    return None


def resistance(case: Case, pack: str) -> tuple[float | None, Fact | None]:
    """The resistance of a pack's worst cell, ohms, and where it was read; None where it came with the pack."""
    for fact in case.facts("pack_read", pack):
        cells, one = fact.detail.get("cells_ohm"), fact.detail.get("ohm_per_cell")
        if cells or one is not None:
            return (max(cells) if cells else float(one or 0.0)), fact
    part = case.part(pack)
    return (part.ohm_per_cell if part is not None else None), None


def rulings(case: Case, packs: Sequence[str], call: int | None) -> Iterator[Ruling]:
    """What keeps the packs chosen from fighting, apart from where they are. `call` in milliseconds UTC."""
    known = [(pack, rule) for pack in packs if (rule := charging_of(case, pack)) is not None]
    yield from _matched(case, known)
    yield from _charged(case, [pack for pack, rule in known if rule.full_v is not None], call)
    warm = [pack for pack, _ in known if charge_of(case, pack).cool_at is not None]
    if warm:
        until = max(charge_of(case, pack).cool_at or 0 for pack in warm)
        yield Ruling("due", Because("warm", (), (*_named(warm), ("until", until))))
    yield from _equal(case, known)


def _named(packs: Iterable[str]) -> Figures:
    return tuple(("pack", pack) for pack in packs)


Known = Sequence[tuple[str, Charging]]


def _matched(case: Case, known: Known) -> Iterator[Ruling]:
    limits = [(pack, rule.spread_ohm) for pack, rule in known if rule.spread_ohm is not None]
    found = {pack: resistance(case, pack) for pack, _ in limits}
    unknown = [pack for pack, (ohm, _) in found.items() if ohm is None]
    if unknown:
        yield Ruling("unchecked", Because("resistance unknown", (), _named(unknown)))
    apart = _apart(found, [limit for _, limit in limits if limit is not None])
    if apart is not None:
        yield Ruling("fail", Because("packs not matched", apart.facts, apart.figures), apart.facts)


def _equal(case: Case, known: Known) -> Iterator[Ruling]:
    limits = [(pack, rule.equal_v) for pack, rule in known if rule.equal_v is not None]
    found = {pack: _numbered(case, pack, charging_of(case, pack) or Charging()) for pack, _ in limits}
    apart = _apart(found, [limit for _, limit in limits if limit is not None])
    if apart is not None:
        yield Ruling("fail", Because("not equal", apart.facts, apart.figures), apart.facts)


def _numbered(case: Case, pack: str, rule: Charging) -> tuple[float | None, Fact | None]:
    """The newest volts of a pack, and where they were read."""
    for fact in _evidence(case, pack):
        volts = _volts(fact, rule)
        if volts is not None:
            return volts, fact
    return None, None


class _Apart(NamedTuple):
    """Two packs too far apart: where their figures were read, and the figures to be said."""

    facts: tuple[Fact, ...]
    figures: Figures


def _apart(found: dict[str, tuple[float | None, Fact | None]], limits: Sequence[float]) -> _Apart | None:
    """The packs with the least and the greatest figure, where these are further apart than the tightest limit."""
    values = {pack: value for pack, (value, _) in found.items() if value is not None}
    if len(values) < 2 or not limits:
        return None
    least, most = min(values, key=values.__getitem__), max(values, key=values.__getitem__)
    spread, limit = values[most] - values[least], min(limits)
    if spread <= limit + HAIR:
        return None
    facts = tuple(fact for pack in (least, most) if (fact := found[pack][1]) is not None)
    return _Apart(facts, (*_named((least, most)), ("spread", spread), ("limit", limit)))


def _charged(case: Case, packs: Sequence[str], call: int | None) -> Iterator[Ruling]:
    groups: dict[tuple[bool, str], list[str]] = {}
    for pack in packs:
        state = charge_of(case, pack)
        if state.state != "full":
            late = call is not None and state.full_at is not None and state.full_at > call
            reason = {"on charge": "on charge", "never read": "never read"}.get(state.state, "not charged")
            groups.setdefault((late, reason), []).append(pack)
    for (late, reason), names in groups.items():
        yield _not_full(case, reason, late, names, call)


def _not_full(case: Case, reason: str, late: bool, packs: Sequence[str], call: int | None) -> Ruling:
    states = [charge_of(case, pack) for pack in packs]
    facts = tuple({fact.id: fact for state in states if (fact := state.fact) is not None}.values())
    minutes = max((state.minutes for state in states if state.minutes is not None), default=None)
    start_by = min(filter(None, (_start_by(state, call) for state in states)), default=None)
    figures = (*_named(packs), ("minutes", minutes), ("start_by", start_by))
    if late:
        return Ruling("fail", Because("too late", facts, figures), facts)
    if reason == "never read":
        return Ruling("unchecked", Because("never read", facts, figures), facts)
    code = "on charge" if reason == "on charge" else "not charged"
    return Ruling("due", Because(code, facts, figures), facts)


def _start_by(charge: Charge, call: int | None) -> int | None:
    """The last moment at which charging can begin and make the call; None for a pack that needs none or is on it."""
    if charge.state not in ("used", "not full") or charge.minutes is None or call is None:
        return None
    return call - charge.minutes * MINUTE_MS


def moments(case: Case) -> Iterator[int]:
    """When the packs chosen for the fight are cool, and the first moments too late for charging them."""
    fight = case.fight()
    for pack in case.packs() if fight is not None else ():
        charge, rule = charge_of(case, pack), charging_of(case, pack)
        if charge.cool_at is not None:
            yield charge.cool_at
        start_by = _start_by(charge, call_at(case, fight))
        if start_by is not None and rule is not None and rule.full_v is not None:
            yield start_by + 1
