"""The case of one robot at one moment: what sits where, what felt what, and which parts count.

Everything here is asked of the evidence lazily and kept, so that each rule reads as its sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from pitcrew.readiness.stream import Stream, merged, uncleared
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.definitions import Definitions, Part, PartKind, Position, read
from pitcrew.robot.records import Evidence, Fact

T = TypeVar("T")

PUT_AWAY = frozenset(("quarantine", "scrapped", "lost"))


class Case:
    """Evidence about one robot, with the definitions to read it by. `now` in milliseconds UTC."""

    def __init__(
        self, evidence: Evidence, definitions: Definitions, now: int, checklists: Sequence[Checklist] = ()
    ) -> None:
        self.evidence = evidence
        self.defs = definitions
        self.now = now
        self.checklists = tuple(checklists)
        self.robot = definitions.robot.id
        self.reach: dict[str, dict[str, tuple[tuple[str, int], ...]]] = {}
        self._streams: dict[tuple[str, ...], Stream] = {}
        self._parts: dict[str, Part | None] = {}
        self._elsewhere: dict[str, tuple[Position, str | None] | None] = {}
        self._held: dict[str, str | None] = {}
        self._once: dict[tuple[str, ...], Any] = {}

    def once(self, *key: str, of: Callable[[], T]) -> T:
        """Something worked out once and kept under its name."""
        if key not in self._once:
            self._once[key] = of()
        found: T = self._once[key]
        return found

    def stream(self, name: str, *keys: str, of: Callable[[], Iterable[Fact]]) -> Stream:
        """A run of facts, read once and kept under its name."""
        key = (name, *keys)
        if key not in self._streams:
            self._streams[key] = Stream.of(of())
        return self._streams[key]

    def facts(self, kind: str, subject: str) -> Stream:
        """Facts of a kind about a subject, newest first."""
        key = (kind, subject)
        if key not in self._streams:
            self._streams[key] = Stream.of(self.evidence.facts(kind, subject))
        return self._streams[key]

    def newest(self, kind: str, subject: str) -> Fact | None:
        """The newest fact of a kind about a subject."""
        return self.facts(kind, subject).first()

    def uncleared(self, disturbances: Iterable[Fact], evidence: Iterable[Fact]) -> Fact | None:
        """The newest disturbance that none of the evidence clears."""
        return uncleared(disturbances, evidence, self.defs.doubt_ms)

    # what sits where

    def placed(self, position: str) -> Stream:
        """Fittings and removals at a position, newest first."""
        return self.stream("placed", position, of=lambda: self.evidence.placed(position))

    def occupant(self, position: str, before: Fact | None = None) -> str | None:
        """The part at a position, now or as it was just before a fact."""
        if before is None:
            if position not in self._held:
                last = self.placed(position).first()
                self._held[position] = last.subject if last is not None and last.entry.kind == "fitted" else None
            return self._held[position]
        for fact in self.placed(position):
            if fact.order < before.order:
                return fact.subject if fact.entry.kind == "fitted" else None
        return None

    def moves(self, position: str) -> Stream:
        """Fittings and removals that changed what sits at a position, newest first."""
        return self.stream("moves", position, of=lambda: _changing(self.placed(position)))

    def whereabouts(self, part: str) -> Stream:
        """Fittings and removals of a part, newest first."""
        return self.stream(
            "whereabouts", part, of=lambda: merged(self.facts("fitted", part), self.facts("removed", part))
        )

    def sat(self, part: str, at: Fact) -> str | None:
        """Where a part sat when something happened, or None when it was off."""
        for fact in self.whereabouts(part):
            if fact.order < at.order:
                return fact.entry.place if fact.entry.kind == "fitted" else None
        return None

    def put_away(self, part: str) -> str | None:
        """Quarantine, scrapped or lost, if that is where the part was last put."""
        last = self.whereabouts(part).first()
        if last is None or last.entry.kind == "fitted":
            return None
        where = str(last.detail.get("to"))
        return where if where in PUT_AWAY else None

    def part(self, part: str) -> Part | None:
        """A part's definition."""
        if part not in self._parts:
            fact = self.newest("part", part)
            self._parts[part] = read(Part, fact) if fact else None
        return self._parts[part]

    def kind(self, part: str) -> PartKind | None:
        """What sort of part it is."""
        record = self.part(part)
        return self.defs.kinds.get(record.part_kind) if record else None

    def position(self, position: str) -> tuple[Position, str | None] | None:
        """A position and its robot's id: of this robot, or of the one a part came from."""
        own = self.defs.positions.get(position)
        if own is not None:
            return own, self.robot
        if position not in self._elsewhere:
            fact = self.newest("position", position)
            self._elsewhere[position] = (read(Position, fact), fact.entry.robot) if fact else None
        return self._elsewhere[position]

    # fights

    def ends(self) -> Stream:
        """Ends of this robot's fights, newest first."""
        return self.stream("ends", of=lambda: self.evidence.last_fights_ended(self.robot))

    def fight(self) -> Fact | None:
        """The fight entered and not yet over."""
        return self.once("fight", of=lambda: _entered(self))

    def fight_id(self) -> str:
        """The fight entered and not yet over, by its id; empty when there is none."""
        fight = self.fight()
        return fight.subject if fight else ""

    def staging_at(self) -> int | None:
        """When the robot must be at staging, milliseconds UTC."""
        fight = self.fight()
        if fight is None:
            return None
        if fight.detail.get("staging_at") is not None:
            return int(fight.detail["staging_at"])
        if fight.detail.get("call_at") is None:
            return None
        walk = self.defs.event.walk_min if self.defs.event else 0.0
        return int(fight.detail["call_at"] + walk * 60_000)

    def open_findings(self, part: str) -> tuple[Fact, ...]:
        """What was found on a part and still stands, oldest first."""
        return tuple(reversed([fact for fact in self.facts("finding", part) if _stands(self, fact)]))

    # which parts count

    def chosen(self, before: Fact | None = None) -> Fact | None:
        """The pack set chosen, now or just before a fact."""
        for fact in self.facts("chosen", self.robot):
            if before is None or fact.order < before.order:
                return fact
        return None

    def packs(self, before: Fact | None = None) -> tuple[str, ...]:
        """The packs of the set chosen; none chosen, those at the pack positions."""
        fact = self.chosen(before)
        chosen = self.defs.pack_sets.get(str(fact.detail["pack_set"])) if fact else None
        if chosen is not None:
            return chosen.packs
        held = (self.occupant(p.id, before) for p in self.defs.positions.values() if p.role == "pack")
        return tuple(part for part in held if part is not None)

    def at_position(self, position: Position) -> str | None:
        """The part that counts at a fixed, shim or module position."""
        fight = self.fight()
        if position.role == "module" and fight is not None:
            entered = self.defs.configurations.get(str(fight.detail["configuration"]))
            if entered is not None and position.id in entered.parts:
                return entered.parts[position.id]
        return self.occupant(position.id)

    def scope(self) -> Mapping[str, str | None]:
        """Every part that counts for this fight, with the position it counts at (None for a chosen pack)."""
        return self.once("scope", of=lambda: _counted(self))

    def zone_of(self, position: str | None) -> str | None:
        """The zone a position of this robot lies in."""
        found = self.defs.positions.get(position) if position else None
        return found.zone if found else None


def first_end_after(case: Case, fact: Fact, when: Callable[[Fact], bool] = lambda end: True) -> Fact | None:
    """The first fight that ended after something, where `when` holds."""
    for end in case.evidence.fights_ended(case.robot, fact.happened):
        if end.order > fact.order and when(end):
            return end
    return None


def _entered(case: Case) -> Fact | None:
    run = case.stream("entered", of=lambda: case.evidence.at_place("entered", case.robot))
    entered = run.first()
    if entered is None or case.newest("fight_ended", entered.subject) is not None:
        return None
    return entered


def _counted(case: Case) -> dict[str, str | None]:
    counted: dict[str, str | None] = {}
    for position in case.defs.positions.values():
        part = case.at_position(position) if position.role != "pack" else None
        if part is not None:
            counted.setdefault(part, position.id)
    for pack in case.packs():
        if case.put_away(pack) is None:
            counted.setdefault(pack, None)
    return counted


# What was put right by taking the part off comes back with the part; anything else was put right on it.
OFF_WITH_THE_PART = frozenset(("replaced", "taken out of use"))


def _stands(case: Case, finding: Fact) -> bool:
    """Does a finding still stand: not mended, or taken off with its part and the part is back since?"""
    mends = case.facts("mended", finding.root)
    if any(mend.detail["how"] not in OFF_WITH_THE_PART for mend in mends):
        return False
    newest = mends.first()
    return newest is None or case.uncleared(case.facts("fitted", finding.subject), [newest]) is not None


def covers(fact: Fact, fastener: int) -> bool:
    """Does a torque, an opening or a finding cover this fastener?"""
    listed = fact.detail.get("fasteners", "all")
    return listed == "all" or fastener in listed


def _changing(newest_first: Iterable[Fact]) -> Iterator[Fact]:
    """Of the fittings and removals at one position, those that changed what sits there."""
    last: Fact | None = None
    for older in newest_first:
        if last is not None and _changes(last, older):
            yield last
        last = older
    if last is not None:
        yield last


def _changes(fact: Fact, before: Fact) -> bool:
    """Did this change what sits there, given the one just before it?"""
    if fact.entry.kind == "removed":
        return True
    return before.entry.kind == "removed" or before.subject != fact.subject
