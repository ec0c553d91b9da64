"""Parts worked on in place, tip speed, parts not run in and findings that pile up, in sentences."""

from __future__ import annotations

from collections.abc import Callable

from pitcrew.bench import names
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import Because, Caveat
from pitcrew.robot.moments import clock_text
from pitcrew.units import show


def _worked(case: Case, because: Because) -> str:
    fact = because.facts[0]
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    finding = case.evidence.speaking(fact.subject) if fact.entry.kind == "mended" else None
    part = finding.subject if finding is not None else fact.subject
    said = f"{names.part_name(case, part)} {fact.detail['how']} {clock_text(fact.happened, zone)} {fact.entry.by}"
    kind = case.kind(part)
    return f"{said}: is it still in balance?" if kind is not None and kind.spins else said


def _speed(value: float | int | str | None) -> str:
    return show(float(value or 0), "speed", "m/s")


def _against_cap(case: Case, because: Because) -> str:
    return f"tip speed {_speed(because.figure('value_m_s'))}, the cap is {_speed(because.figure('cap_m_s'))}"


SENTENCES: dict[str, Callable[[Case, Because], str]] = {
    "worked since": _worked,
    "tip speed": _against_cap,
    "too fast": _against_cap,
    "tip speed unknown": lambda case, b: f"nobody said how fast the tip is; the cap is {_speed(b.figure('cap_m_s'))}",
    "speed changed": lambda case, b: f"another part sets the speed since it was {_speed(b.figure('value_m_s'))}",
}


CAVEATS: dict[str, Callable[[Case, Caveat], str]] = {
    "not run in": lambda case, caveat: f"{names.place_name(case, caveat.subject)} new, not run in on the bench",
    "piling up": lambda case, caveat: (
        f"{dict(caveat.figures)['count']} findings run as is in {names.zone_name(case, caveat.subject)}"
    ),
}
