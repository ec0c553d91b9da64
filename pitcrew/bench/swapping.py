"""A swap before it is made: which spares can go to a place, what each does to every weight, what it unsettles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.bench import names
from pitcrew.bench.desk import Desk
from pitcrew.bench.ledger import is_used_up, sits_at, used_words, whereabouts_words
from pitcrew.bench.names import name_words
from pitcrew.errors import EntryError
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import BLOCKING, WeightRow
from pitcrew.readiness.weights import mass_of, wanted_weights, weight_row
from pitcrew.robot.definitions import Joint, Stack
from pitcrew.robot.records import Fact


class Spare(NamedTuple):
    """A part that can go to a place.

    `alike` is true for one of the sort that belongs there: of the kind of what sits or sat there, or named for the
    place by a configuration. `used` says how much of its life is gone, empty where none is; `used_up` that it is all of
    it; `found` is what still stands against it.
    """

    part: str
    name: str
    mass_kg: float | None
    alike: bool
    where: str
    used: str = ""
    found: tuple[Fact, ...] = ()
    used_up: bool = False


class Effect(NamedTuple):
    """One configuration's weight as it is and as it would be, and whether it would keep the robot from fighting."""

    name: str
    now: WeightRow
    then: WeightRow
    blocks: bool

    @property
    def change_kg(self) -> float | None:
        """What it gets heavier by, kg; None when either weight is not known."""
        return None if self.now.kg is None or self.then.kg is None else self.then.kg - self.now.kg


def last_there(case: Case, place: str) -> str | None:
    """What sits at a place, else what sat there last; None where nothing ever was."""
    here = case.occupant(place)
    if here is not None:
        return here
    last = case.placed(place).first()
    return last.subject if last is not None else None


def kinds_there(case: Case, place: str) -> frozenset[str]:
    """The kinds of part that belong at a place, by id: of what sits or sat there, or a configuration names for it."""
    named = [item.parts.get(place) for item in case.defs.configurations.values()]
    parts = (case.part(part) for part in (last_there(case, place), *named) if part is not None)
    return frozenset(part.part_kind for part in parts if part is not None)


def spares(case: Case, place: str) -> tuple[Spare, ...]:
    """The robot's parts of the place's own sort that sit nowhere and are not put away.

    Where no sort belongs yet, every such part is one. A pack goes to pack places only, and nothing else goes there.
    """
    kinds, position = kinds_there(case, place), case.defs.positions.get(place)
    packs = position is not None and position.role == "pack"
    found: list[Spare] = []
    for fact in case.evidence.definitions("part", case.robot):
        part, kind = fact.subject, case.kind(fact.subject)
        if sits_at(case, part) is not None or case.put_away(part) is not None:
            continue
        if (kind is not None and kind.pack) == packs:
            found.append(
                Spare(
                    part,
                    names.part_name(case, part),
                    kg_of(case, part),
                    alike=str(fact.detail["part_kind"]) in kinds,
                    where=whereabouts_words(case, part),
                    used=used_words(case, part),
                    found=case.open_findings(part),
                    used_up=is_used_up(case, part),
                )
            )
    fits = [spare for spare in found if spare.alike or not kinds]
    return tuple(sorted(fits, key=lambda spare: spare.used_up))


def kg_of(case: Case, part: str | None) -> float | None:
    """A part's mass, kg; None when nobody knows it."""
    mass = mass_of(case, part) if part is not None else None
    return mass.reading.value if mass is not None else None


def effects(now: Sequence[WeightRow], then: Case) -> tuple[Effect, ...]:
    """Every configuration's weight as it was judged, and as it is in another case of the same robot."""
    before, wanted, found = {row.configuration: row for row in now}, wanted_weights(then), []
    for item in then.defs.configurations.values():
        if item.id in before:
            row = weight_row(then, item)
            blocks = item.id in wanted and row.verdict in BLOCKING
            found.append(Effect(item.name, before[item.id], row, blocks))
    return tuple(found)


def opens(case: Case, place: str) -> tuple[Joint, ...]:
    """The joints that count as opened when what sits at a place changes."""
    return tuple(joint for joint in case.defs.joints.values() if place in joint.holds)


def unsettles(case: Case, place: str) -> tuple[Stack, ...]:
    """The stacks that want measuring when what sits at a place changes: theirs, and those a joint it opens clamps."""
    opened = {joint.id for joint in opens(case, place)}
    return tuple(
        stack for stack in case.defs.stacks.values() if place in stack.places() or not opened.isdisjoint(stack.joints)
    )


def place_for(desk: Desk, part: str) -> str:
    """The place a part goes to when none is named: its own in a configuration, one of its name, the only one free.

    Raises:
        EntryError: several fit as well, or none.
    """
    case, name = desk.case(), set(name_words(names.part_name(desk.case(), part)))
    fits = places_for(case, part)
    worn = {place for item in case.defs.configurations.values() for place, held in item.parts.items() if held == part}
    alike = [place for place in fits or case.defs.positions if set(name_words(case.defs.positions[place].name)) <= name]
    free = [place for place in fits if case.occupant(place) is None]
    for found in (sorted(worn), alike, free, fits):
        if len(found) == 1:
            return found[0]
    known = ", ".join(case.defs.positions[place].name for place in free or fits)
    raise EntryError("say where it goes.", f"Type: in wheel 5 at wheel 3. It can go to: {known or 'no place'}.", "in")


def places_for(case: Case, part: str) -> tuple[str, ...]:
    """The places a spare belongs to, by id: the empty ones first."""
    record = case.part(part)
    if record is None or case.put_away(part) is not None:
        return ()
    found = [place for place in case.defs.positions if record.part_kind in kinds_there(case, place)]
    return tuple(sorted(found, key=lambda place: case.occupant(place) is not None))
