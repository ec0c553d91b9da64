"""What a typed figure can be of: a joint's torque, a piece of a stack, a part's own dimension, a gap, a weight."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, fitting, part_name
from pitcrew.errors import EntryError
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import key_of


class Figured(NamedTuple):
    """Something a figure can be of: its group, id, name, dimension, the unit a bare figure takes, another name."""

    group: str
    ident: str
    name: str
    dimension: str
    unit: str
    alias: str = ""


def figured_subject(desk: Desk, text: str, dimension: str | None) -> Figured:
    """What a figure is of, by its name and (where a unit was typed) by its dimension.

    Raises:
        EntryError: nothing or more than one thing fits; a figure of the wrong dimension names both.
    """
    known = list(subjects(desk.case()))
    fitting = [item for item in known if dimension in (None, item.dimension)]
    try:
        return _pick(text, fitting)
    except EntryError:
        other = next(iter(_found(text, known)), None)
        if other is None or any(item.dimension == dimension for item in _found(text, fitting)):
            raise
        return other


def _found(text: str, known: list[Figured]) -> list[Figured]:
    try:
        return [_pick(text, known)]
    except EntryError:
        return []


def _pick(text: str, known: list[Figured]) -> Figured:
    """The one thing meant; things of one name are told apart by their sort: joint rear armour, part rear armour."""
    table = {f"{item.group} {item.ident}": item for item in known}
    called = [(key, item.alias) for key, item in table.items() if item.alias]
    called += [(key, item.name) for key, item in table.items()]
    fits = fitting(text, called)
    if len(fits) > len({table[key].name for key in fits}):
        called = [(key, f"{item.group} {item.name}") for key, item in table.items() if key in fits or not fits]
    return table[find(text, called, "thing to read")]


def subjects(case: Case) -> Iterator[Figured]:
    """Everything of a robot that a figure can be of, by name."""
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
                place = case.defs.positions.get(piece.position or "")
                name = f"{piece.name} {place.name}" if place else piece.name
                alias = f"{piece.dimension} {place.name}" if place else ""
                yield Figured("reading", key, name, "length", "mm", alias)
    for part, position in case.scope().items():
        kind = case.kind(part)
        for limit in kind.limits if kind else ():
            place = case.defs.positions.get(position or "")
            name = f"{limit.dimension} {place.name if place else part_name(case, part)}"
            yield Figured("reading", f"{part}/{limit.dimension}", name, "length", "mm")
