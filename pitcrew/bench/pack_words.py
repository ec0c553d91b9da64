"""Packs in sentences: why a set is not ready to fight, what was read, how a pack stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from pitcrew.bench.names import fight_name, part_name
from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import Charge, charge_of
from pitcrew.readiness.verdict import Because
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Entry
from pitcrew.units import show

# Common practice with lithium packs; the event's own rules go before it.
CAUTION = (
    "Charge attended, in the charging place, in a fire-resistant box. Dented, puffed or hot: never charged, outside, "
    "watched. The event's rules overrule."
)
AFTER = {"used": "used, not charged", "not full": "not charged to full", "never read": "never read"}


def volts(value: float) -> str:
    """Volts of a cell: as fine as they were read, a hundredth at least."""
    figure = f"{value:.3f}"
    return f"{figure[:-1] if figure.endswith('0') else figure} V"


def ohms(value: float) -> str:
    """The resistance of a cell, milliohms."""
    return f"{value * 1000:.1f} mOhm"


def heat(kelvin: float) -> str:
    """A temperature in degrees Celsius."""
    return show(kelvin, "temperature", "deg C")


def charge(coulomb: float) -> str:
    """A charge in ampere hours."""
    return show(coulomb, "charge", "Ah")


def named(case: Case, packs: Iterable[str]) -> str:
    """Packs by name; all of a set by the set's name."""
    listed = list(dict.fromkeys(packs))
    chosen = case.chosen()
    sets = list(case.defs.pack_sets.values())
    sets.sort(key=lambda item: chosen is None or item.id != chosen.detail["pack_set"])
    for item in sets:
        if len(listed) > 1 and set(item.packs) == set(listed):
            return item.name
    return " ".join(part_name(case, pack) for pack in listed)


def state_words(case: Case, pack: str) -> str:
    """How one pack stands: full, on charge till 14:02, cooling till 15:44, used and not charged, in quarantine."""
    away = case.put_away(pack)
    if away is not None:
        return "quarantined" if away == "quarantine" else away
    now = charge_of(case, pack)
    if now.state == "on charge":
        return f"on charge till {_at(case, now.full_at)}" if now.full_at is not None else "on charge"
    if now.cool_at is not None:
        return f"cooling till {_at(case, now.cool_at)}"
    if now.state == "not full" and now.fact is not None and now.fact.detail.get("to") == "storage":
        return "storage"
    return AFTER.get(now.state, now.state)


def _at(case: Case, ms: int | None) -> str:
    return clock_text(ms, case.defs.event.time_zone if case.defs.event else "UTC") if ms is not None else "?"


# why


def _packs(because: Because) -> list[str]:
    return [str(value) for name, value in because.figures if name == "pack"]


def _apart(unit: Callable[[float], str], what: str) -> Callable[[Case, Because], str]:
    def sentence(case: Case, because: Because) -> str:
        pair = " and ".join(part_name(case, pack) for pack in _packs(because))
        spread, limit = (float(because.figure(name) or 0) for name in ("spread", "limit"))
        return f"{pair} are {unit(spread)} apart {what}, {unit(limit)} allowed"

    return sentence


def _states(case: Case, because: Because) -> list[Charge]:
    return [charge_of(case, pack) for pack in _packs(because)]


def _latest(moments: Iterable[int | None]) -> int | None:
    return max((at for at in moments if at is not None), default=None)


def _on_charge(case: Case, because: Because) -> str:
    full = _latest(state.full_at for state in _states(case, because))
    told = f", full {_at(case, full)}" if full is not None else "; nobody said how much goes back"
    return f"{named(case, _packs(because))} on charge{told}"


def _not_charged(case: Case, because: Because) -> str:
    states = _states(case, because)
    used = next((state.fact for state in states if state.state == "used" and state.fact is not None), None)
    since = f" since {fight_name(case, used.subject)}" if used is not None and used.entry.kind == "fight_ended" else ""
    minutes, start_by = because.figure("minutes"), because.figure("start_by")
    takes = f": takes {minutes} min" if minutes is not None else ": read what was used"
    begin = f", begin by {_at(case, int(start_by))}" if start_by is not None else ""
    return f"{named(case, _packs(because))} not charged{since}{takes}{begin}"


def _too_late(case: Case, because: Because) -> str:
    full = _latest(state.full_at for state in _states(case, because))
    return f"{named(case, _packs(because))} cannot be full for the call: {_at(case, full)} at the earliest"


def _warm(case: Case, because: Because) -> str:
    return f"{named(case, _packs(because))} warm, cooling till {_at(case, int(because.figure('until') or 0))}"


def _of_packs(words: str) -> Callable[[Case, Because], str]:
    return lambda case, because: f"{named(case, _packs(because))} {words}"


SENTENCES: dict[str, Callable[[Case, Because], str]] = {
    "packs not matched": _apart(ohms, "a cell"),
    "resistance unknown": _of_packs("has no resistance: read it, 2.4 mOhm"),
    "on charge": _on_charge,
    "not charged": _not_charged,
    "too late": _too_late,
    "warm": _warm,
    "not equal": _apart(volts, "a cell"),
    "never read": _of_packs("never read: are they full?"),
}


# what an entry says

Detail = Mapping[str, Any]


def _figures(detail: Detail) -> list[str]:
    """What was read, each figure with its unit."""
    said = [_cells(detail["cells_v"], volts)] if detail.get("cells_v") else []
    said += [volts(detail["lowest_v"])] if detail.get("lowest_v") is not None else []
    said += [_cells(detail["cells_ohm"], ohms)] if detail.get("cells_ohm") else []
    said += [ohms(detail["ohm_per_cell"])] if detail.get("ohm_per_cell") is not None else []
    said += [heat(detail["temperature_k"])] if detail.get("temperature_k") is not None else []
    return said + ([charge(detail["used_coulomb"])] if detail.get("used_coulomb") is not None else [])


def _read(entry: Entry, detail: Detail) -> str:
    used = " used" if detail.get("used_coulomb") is not None else ""
    return f"{', '.join(_figures(detail))}{used}:"


def _cells(figures: list[float], unit: Callable[[float], str]) -> str:
    """Every cell: 4.18 4.19 4.18 V."""
    shown = [unit(figure).split() for figure in figures]
    return f"{' '.join(figure for figure, _ in shown)} {shown[0][1]}"


def _begun(entry: Entry, detail: Detail) -> str:
    said = [show(detail["current_a"], "current", "A")] if detail.get("current_a") is not None else []
    back = detail.get("to_put_back_coulomb")
    said += [f"{charge(back)} to put back"] if back is not None else []
    said += [heat(detail["temperature_k"])] if detail.get("temperature_k") is not None else []
    said += [f"watched by {detail['watched_by']}"] if detail.get("watched_by") else []
    return f"{', '.join(said)}:" if said else ""


def _ended(entry: Entry, detail: Detail) -> str:
    said = [str(detail["to"])] + ([volts(detail["lowest_v"])] if detail.get("lowest_v") is not None else [])
    return f"{', '.join(said)}:"


EXTRAS: dict[str, Callable[[Entry, Detail], str]] = {
    "pack_read": _read,
    "charge_started": _begun,
    "charge_ended": _ended,
}


def _begun_again(detail: Detail) -> str:
    said = [show(detail["current_a"], "current", "A")] if detail.get("current_a") is not None else []
    back, warm = detail.get("to_put_back_coulomb"), detail.get("temperature_k")
    said += [charge(back)] if back is not None else []
    said += [heat(warm)] if warm is not None else []
    return " ".join([*said, *([f"watched {detail['watched_by']}"] if detail.get("watched_by") else [])])


# What such a line said, as it can be typed anew to put it right.
AGAIN: dict[str, Callable[[Detail], str]] = {
    "pack_read": lambda detail: " ".join(_figures(detail)),
    "charge_started": _begun_again,
    "charge_ended": lambda detail: (
        f"{detail['to']} {volts(detail['lowest_v'])}" if detail.get("lowest_v") is not None else str(detail["to"])
    ),
}


def charge_job(case: Case) -> str:
    """The job of charging the packs chosen, and when they are cool enough."""
    packs = [pack for pack in case.packs() if charge_of(case, pack).state in ("used", "not full")]
    cool = _latest(charge_of(case, pack).cool_at for pack in packs)
    wait = f": cool at {_at(case, cool)}" if cool is not None else ": somebody stays with them"
    return f"charge {named(case, packs)}{wait}"
