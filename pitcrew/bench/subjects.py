"""What a typed figure can be of: a joint's torque, a piece of a stack, a part's own dimension, a gap, a weight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.names import fitting, name_words, part_name
from pitcrew.errors import EntryError
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import key_of
from pitcrew.robot.definitions import Piece

PLACE = "thing to read"


class Figured(NamedTuple):
    """Something a figure can be of: its group, id, name, dimension, the unit a bare figure takes, other names.

    `also` holds names that count beside the first, `by_part` the name by the part that sits there now, which counts
    where no name by a place fits.
    """

    group: str
    ident: str
    name: str
    dimension: str
    unit: str
    also: tuple[str, ...] = ()
    by_part: str = ""


def figured_subject(desk: Desk, text: str, dimension: str | None) -> Figured:
    """What a figure is of, by its name and (where a unit was typed) by its dimension.

    Raises:
        EntryError: nothing or more than one thing fits; a figure of the wrong dimension names both.
    """
    known = subjects(desk.case())
    asked = [item for item in known if dimension in (None, item.dimension)]
    found = fits(text, asked)
    if len(found) == 1:
        return found[0]
    if found:
        raise _several(text, found)
    others = fits(text, known)
    if len(others) == 1:
        return others[0]
    raise _nothing(text, asked)


def fits(text: str, known: Sequence[Figured]) -> list[Figured]:
    """What is meant by a name; joint rear armour says of what sort the thing is, where names alone do not."""
    called = [(item, name) for item in known for name in (item.name, *item.also)]
    by_part = [item for item in known if item.by_part and name_words(item.by_part) == name_words(text)]
    sort, _, rest = text.partition(" ")
    of_sort = [(item, name) for item, name in called if item.group == sort.casefold()]
    return fitting(text, called) or by_part or fitting(rest, of_sort)


def names_a_figure(case: Case, text: str) -> bool:
    """Is the whole text the name of something a figure can be of, its number and all: tread wheel 4?"""
    wanted = name_words(text)
    return any(wanted in map(name_words, _names(item)) for item in subjects(case))


def _names(item: Figured) -> Iterator[str]:
    yield from (item.name, item.name.partition("(")[0], *item.also)
    if item.by_part:
        yield item.by_part


def _several(text: str, found: list[Figured]) -> EntryError:
    names = sorted(item.name for item in found)
    alike = len(set(names)) < len(names)
    if alike:
        names = sorted(f"{item.group} {item.name}" for item in found)
    hint = f"Type more of the name: {names[0]}" if alike else "Type more of the name"
    units = sorted({item.unit for item in found})
    if len(units) > 1:
        hint += f", or the unit: {', '.join(units)}"
    return EntryError(f"{text!r:.40} fits more than one thing to read: {', '.join(names[:4])}.", f"{hint}.", PLACE)


def _nothing(text: str, asked: Sequence[Figured]) -> EntryError:
    """Nothing of this name; what shares most words with it is offered, of the dimension that was asked for."""
    words = set(name_words(text))
    shared = {item: len(words & _words(item)) for item in asked}
    near = [item.name for item in asked if shared[item] == max(shared.values())]
    some = ", ".join(list(dict.fromkeys(near))[:6])
    return EntryError(f"there is no {PLACE} called {text!r:.40}.", f"There is: {some}." if some else "", PLACE)


def _words(item: Figured) -> set[str]:
    return set(name_words(" ".join((item.name, *item.also, item.by_part))))


@lru_cache(maxsize=4)
def subjects(case: Case) -> tuple[Figured, ...]:
    """Everything of a robot that a figure can be of, by name; found out once a case, for lines are read key by key."""
    return tuple(_subjects(case))


def _subjects(case: Case) -> Iterator[Figured]:
    for joint in case.defs.joints.values():
        yield Figured("joint", joint.id, joint.name, "torque", "N m")
    yield from _lengths(case)
    for configuration in case.defs.configurations.values():
        yield Figured("configuration", configuration.id, configuration.name, "mass", "kg")
    for fact in case.evidence.definitions("part", case.robot):
        yield Figured("part", fact.subject, str(fact.detail["name"]), "mass", "kg")


def _lengths(case: Case) -> Iterator[Figured]:
    seen: set[str] = set()
    for stack in case.defs.stacks.values():
        if all(piece.name != stack.name for piece in stack.pieces()):
            yield Figured("stack", stack.id, stack.name, "length", "mm")
        for piece in stack.pieces():
            key = key_of(case, piece)
            if key is not None and key not in seen:
                seen.add(key)
                yield _piece(case, piece, key)
    for part, position in case.scope().items():
        kind = case.kind(part)
        place = case.defs.positions.get(position or "")
        for limit in kind.limits if kind else ():
            key = f"{part}/{limit.dimension}"
            if key not in seen:
                by_part = f"{limit.dimension} {part_name(case, part)}"
                name = f"{limit.dimension} {place.name}" if place else by_part
                yield Figured("reading", key, name, "length", "mm", (), by_part)


def _piece(case: Case, piece: Piece, key: str) -> Figured:
    place = case.defs.positions.get(piece.position or "")
    if place is None:
        return Figured("reading", key, piece.name, "length", "mm")
    by_part = f"{piece.dimension} {part_name(case, key.rsplit('/', 1)[0])}"
    also = (f"{piece.dimension} {place.name}",)
    return Figured("reading", key, f"{piece.name} {place.name}", "length", "mm", also, by_part)
