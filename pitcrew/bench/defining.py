"""A part the book does not know yet, defined where it is put in: 3.42 kg wheel 7."""

from __future__ import annotations

from contextlib import suppress

from pitcrew.bench import fitting
from pitcrew.bench.desk import Desk, known
from pitcrew.bench.names import name_words
from pitcrew.bench.starting import label
from pitcrew.bench.swapping import kinds_there, last_there
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.weights import limit_kg
from pitcrew.units import read

UNIT_WORDS = 4
_EXAMPLE = "Type its mass and its name: 3.42 kg wheel 7."


def new_part(desk: Desk, text: str, place: str) -> list[Draft]:
    """Define a part of the sort that belongs at a place, by its mass and name, and put it in there as new.

    What sits there goes to the spares box first. A bare figure is in kg.

    Raises:
        EntryError: no mass, no name or one that is taken, or nobody can tell the sort of part; nothing is written.
    """
    case = desk.case()
    known(case.defs.positions, place, "place")
    mass_kg, name = mass_and_name(text)
    _check(desk, case, mass_kg, name)
    out = fitting.part_out(desk, place) if case.occupant(place) is not None else []
    part = desk.mint()
    detail = {"name": name, "part_kind": _kind(case, place), "mass_kg": mass_kg, "mass_instrument": _scale(case)}
    return [
        *out,
        desk.draft("part", part, detail),
        desk.draft("fitted", part, {"new": True}, place=place),
    ]


def mass_and_name(text: str) -> tuple[float, str]:
    """The mass (kg) a line begins with, and the name behind it.

    Raises:
        EntryError: it begins with no mass, or no name follows.
    """
    words = text.split()
    for count in range(min(UNIT_WORDS, len(words)), 0, -1):
        mass_kg = _mass(" ".join(words[:count]))
        if mass_kg is not None:
            name = " ".join(words[count:])
            if mass_kg < 0 or not any(letter.isalpha() for letter in name):
                raise EntryError(f"{text!r:.40} is no mass and name.", _EXAMPLE, "new part")
            return mass_kg, label(name, "new part")
    raise EntryError("a new part begins with its mass.", _EXAMPLE, "new part")


def _mass(text: str) -> float | None:
    """A mass, kg; None for a text that is no figure.

    Raises:
        EntryError: a figure of something else, such as a length.
    """
    with suppress(NotationError):
        return read(text, expect="mass", bare_unit="kg", subject="mass").si
    try:
        read(text)
    except NotationError:
        return None
    raise EntryError(f"{text!r:.30} is no mass.", _EXAMPLE, "new part")


def _check(desk: Desk, case: Case, mass_kg: float, name: str) -> None:
    taken = (str(fact.detail["name"]) for fact in desk.evidence.definitions("part", desk.robot))
    if any(name_words(other) == name_words(name) for other in taken):
        raise EntryError(f"there is a {name!r:.40} already.", "Give this one another number.", "new part")
    limit = limit_kg(case)
    if limit is not None and mass_kg > limit:
        over = f"{mass_kg:g} kg is more than the whole robot may weigh, {limit:g} kg."
        raise EntryError(over, "Type the unit: 390 g, or 2 lb 6.5 oz.", "new part")


def _kind(case: Case, place: str) -> str:
    """The kind of what sits or sat at a place, else the one kind that a configuration names for it."""
    last = last_there(case, place)
    record = case.part(last) if last is not None else None
    if record is not None:
        return record.part_kind
    kinds = kinds_there(case, place)
    if len(kinds) != 1:
        raise EntryError(
            "nothing was ever in that place, so nobody knows what sort of part it wants.",
            "Add the part to the weight list first.",
            "new part",
        )
    return next(iter(kinds))


def _scale(case: Case) -> str | None:
    """The crew's own scale, if it has one."""
    official = case.defs.event.official_scale if case.defs.event else None
    return next((tool.id for tool in case.defs.instruments.values() if tool.unit == "kg" and tool.id != official), None)
