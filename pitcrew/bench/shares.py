"""Where the weight sits, and whether the scale and the ledger tell the same story."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import NamedTuple

from pitcrew.bench import names
from pitcrew.bench.words import at, doubt
from pitcrew.engineering.mass import rolled_up
from pitcrew.readiness.case import Case
from pitcrew.readiness.figures import Figure, reading_with
from pitcrew.readiness.weights import mass_of, parts_of
from pitcrew.robot.definitions import Configuration


class Share(NamedTuple):
    """What one zone weighs in a configuration, kg, and its part of the whole, 0 to 1. `unknown` parts have no mass."""

    zone: str
    kg: float
    part: float
    unknown: int


def shares(case: Case, configuration: str) -> tuple[Share, ...]:
    """A configuration's weight zone by zone, the heaviest first; parts at no place count under `packs`."""
    record = case.defs.configurations[configuration]
    places = _places(case, record)
    kg: dict[str, float] = {}
    unknown: dict[str, int] = {}
    for part in parts_of(case, record):
        zone = names.zone_name(case, case.zone_of(places.get(part))) or "packs"
        known = mass_of(case, part)
        kg[zone] = kg.get(zone, 0.0) + (known.reading.value if known else 0.0)
        unknown[zone] = unknown.get(zone, 0) + (known is None)
    whole = sum(kg.values())
    found = (Share(zone, mass, mass / whole if whole else 0.0, unknown[zone]) for zone, mass in kg.items())
    return tuple(sorted(found, key=lambda share: (-share.kg, share.zone)))


def _places(case: Case, configuration: Configuration) -> dict[str, str]:
    """Where each part of a configuration sits, or would sit."""
    found: dict[str, str] = {}
    for position in case.defs.positions.values():
        named = configuration.parts.get(position.id) if position.role == "module" else None
        part = named or case.occupant(position.id)
        if part is not None:
            found.setdefault(part, position.id)
    return found


def scale_against_ledger(case: Case, configuration: str) -> Iterator[str]:
    """The last weighing beside the sum of the parts that were on the scale; nothing where either is not known.

    Their difference is asked about only where it is larger than its doubt (k = 2, the scale's and the parts' together,
    JCGM 100:2008, 5.1.2): then a part is missing from the ledger, a mass is wrong, or the scale is.
    """
    record = case.defs.configurations[configuration]
    anchor = case.newest("weighed", configuration)
    if anchor is None:
        return
    masses = [mass_of(case, part) for part in sorted(parts_of(case, record, anchor))]
    known = [mass for mass in masses if isinstance(mass, Figure)]
    if len(known) < len(masses):
        yield f"{len(masses) - len(known)} of {len(masses)} parts have no mass: the sum says nothing yet"
        return
    shown = reading_with(case, float(anchor.detail["value_kg"]), anchor.detail.get("instrument"), None)
    added = rolled_up([(1, mass.reading) for mass in known], 0.0)
    scale = rolled_up([(1, shown)], 0.0)
    off, unsure = scale.kg - added.kg, hypot(scale.u_kg, added.u_kg)
    yield f"{len(known)} parts add to {added.kg:.2f} kg +-{doubt(added.u_kg)}, on the scale {scale.kg:.2f} kg"
    said = f"{abs(off):.2f} kg {'more' if off >= 0 else 'less'} on the scale {at(case, anchor.happened)}"
    if abs(off) > unsure:
        yield f"{said}, and only {doubt(unsure)} is doubt: a part is missing, or a mass is wrong, or the scale"
    else:
        yield f"{said}, inside its doubt of {doubt(unsure)}"
