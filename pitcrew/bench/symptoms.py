"""What a driver says after a fight, and the parts each word points at.

Which part a symptom points at: common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Zone


class Symptom(NamedTuple):
    """One thing a driver says, and words of the sorts of part it points at, the likeliest first."""

    words: str
    sorts: tuple[str, ...]


SYMPTOMS = (
    Symptom("pulls to one side", ("drive motor", "gearbox", "chain", "drive ESC", "wheel", "hub")),
    Symptom("weapon slow", ("belt", "weapon motor", "weapon ESC", "bearing", "pulley")),
    Symptom("weapon stopped", ("weapon motor", "weapon ESC", "belt", "bearing")),
    Symptom("no drive", ("drive ESC", "drive motor", "gearbox", "chain", "receiver")),
    Symptom("cut out", ("switch", "loom", "pack", "receiver")),
    Symptom("radio lost", ("receiver", "loom")),
    Symptom("smoke", ("drive ESC", "weapon ESC", "ESC", "drive motor", "weapon motor", "pack")),
    Symptom("heat", ("pack", "drive motor", "weapon motor", "ESC")),
    Symptom("noise", ("gearbox", "bearing", "chain", "hub")),
    Symptom("lost a part", ("armour", "wheel", "bumper", "plate")),
)


class Where(NamedTuple):
    """A side or a zone that a symptom may come from, with the parts there that it points at, by id and place."""

    name: str
    parts: tuple[tuple[str, str], ...]


def wheres(case: Case, symptom: Symptom) -> list[Where]:
    """Where a symptom may come from: right, left, or a zone; the place of the likeliest sort of part first."""
    return case.once("where", symptom.words, of=lambda: _wheres(case, symptom))


def _wheres(case: Case, symptom: Symptom) -> list[Where]:
    grouped: dict[str, dict[str, str]] = {}
    scope = case.scope()
    for sort in symptom.sorts:
        for part, position in scope.items():
            kind, place, record = case.kind(part), case.defs.positions.get(position or ""), case.part(part)
            name = place.name if place else record.name if record else part
            if sort.casefold() in f"{kind.name if kind else ''} {name}".casefold():
                zone = case.defs.zones.get(place.zone) if place else None
                grouped.setdefault(_side(name, zone), {}).setdefault(part, name)
    return [Where(name, tuple(parts.items())) for name, parts in grouped.items()]


def _side(name: str, zone: Zone | None) -> str:
    words = name.casefold().replace("(", " ").replace(")", " ").split()
    title = zone.title.casefold() if zone else ""
    for letter, side in (("l", "left"), ("r", "right")):
        if letter in words or (title.startswith("drive") and side in title):
            return side
    return zone.title or zone.name if zone else "packs"
