"""Weights through time: what each configuration weighed from its first weighing on, and what made it heavier."""

from __future__ import annotations

import heapq
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from pitcrew.bench.names import part_name
from pitcrew.bench.remembering import Remembered
from pitcrew.readiness.case import Case
from pitcrew.readiness.weights import parts_of, weight_of
from pitcrew.robot.definitions import Configuration, Definitions, gather
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Evidence, Fact
from pitcrew.text import plain

MOMENTS = 200
# Below half a gram nothing is said to have changed: scales in a pit show whole grams at best (common practice).
LEAST_KG = 0.0005
MOST_NAMES = 3


class Point(NamedTuple):
    """A weight from a moment (ms UTC) on: kg, None when a mass is missing; read off a scale then, or figured."""

    ms: int
    kg: float | None
    weighed: bool


class Step(NamedTuple):
    """A change at a moment (ms UTC), kg afterwards, and what made it: `upright L +0.27`."""

    ms: int
    kg: float
    text: str


class Series(NamedTuple):
    """One configuration's weight from its first weighing to now; a point holds until the next one.

    One that was never weighed is figured from the robot's first weighing on.
    """

    configuration: str
    name: str
    points: tuple[Point, ...]
    steps: tuple[Step, ...]


def history(evidence: Evidence, robot: str, now: int, most: int = MOMENTS) -> list[Series]:
    """Every configuration's weight through time, all at once; see `slices`."""
    steps = slices(evidence, robot, now, most)
    while True:
        try:
            next(steps)
        except StopIteration as done:
            return list(done.value)


def slices(evidence: Evidence, robot: str, now: int, most: int = MOMENTS) -> Generator[int, None, tuple[Series, ...]]:
    """Every configuration's weight through time, a moment at a time: yields how many are left, returns the series.

    The past is told as it is known now: a corrected weighing counts as corrected from when it was done, a withdrawn
    one was never there, and what was defined today is what the past is read by. While a place that must hold something
    stood empty for a while the line goes on level, so that a repair shows as what it came to.

    Args:
        evidence: the book, as it stands or cut at the moment it is looked at.
        robot: the robot's id; one the book does not know has no series.
        now: the moment the series end, ms UTC.
        most: how many moments to figure weights at; what is older is left out.
    """
    definitions = gather(evidence, robot)
    if definitions is None:
        return ()
    told = _Told(evidence if isinstance(evidence, Remembered) else Remembered(evidence))
    changes = _changes(told, definitions, now, most)
    plots = _starts(told.until(now), definitions, changes)
    if not plots:
        return tuple(Series(item.id, item.name, (), ()) for item in definitions.configurations.values())
    earliest = min(plot.start for plot in plots)
    moments = [ms for ms in changes if ms >= earliest]
    gaps = _gaps(told.until(now), definitions, earliest)
    for left, ms in zip(range(len(moments) - 1, -1, -1), moments, strict=True):
        case = Case(told.until(ms), definitions, ms)
        apart = any(opened <= ms < closed for opened, closed in gaps)
        for plot in plots:
            plot.add(case, changes[ms], apart)
        yield left
    return tuple(plot.series(now) for plot in plots)


class _Told:
    """The evidence with all that had happened by a moment; definitions are the same at every moment."""

    def __init__(self, evidence: Evidence, ms: int | None = None) -> None:
        self._evidence = evidence
        self._ms = ms
        self.act, self.speaking, self.definitions = evidence.act, evidence.speaking, evidence.definitions

    def until(self, ms: int) -> _Told:
        """The same with nothing that happened after a moment."""
        return _Told(self._evidence, ms)

    def facts(self, kind: str, subject: str, upto: int | None = None) -> Iterator[Fact]:
        run = self._evidence.facts(kind, subject)
        return run if kind in DEFINITION_KINDS else self._past(run, upto)

    def placed(self, place: str, upto: int | None = None) -> Iterator[Fact]:
        return self._past(self._evidence.placed(place), upto)

    def at_place(self, kind: str, place: str) -> Iterator[Fact]:
        return self._past(self._evidence.at_place(kind, place))

    def hits(self, zone: str, least: int, upto: int | None = None) -> Iterator[Fact]:
        return self._past(self._evidence.hits(zone, least, upto))

    def fights_ended(self, robot: str, after: int) -> Iterator[Fact]:
        return self._past(self._evidence.fights_ended(robot, after))

    def last_fights_ended(self, robot: str) -> Iterator[Fact]:
        return self._past(self._evidence.last_fights_ended(robot))

    def _past(self, run: Iterable[Fact], upto: int | None = None) -> Iterator[Fact]:
        bounds = [ms for ms in (self._ms, upto) if ms is not None]
        if not bounds:
            return iter(run)
        return (fact for fact in run if fact.happened <= min(bounds))


Changes = Mapping[int, list[Fact]]


def _changes(told: _Told, defs: Definitions, now: int, most: int) -> Changes:
    """What may have changed a weight, by when it happened, oldest first; of the newest moments only.

    What matters of a part is its weighings while it was at hand: of every part that sat somewhere in that time, that
    a configuration names, or that is in a pack set.
    """
    until = told.until(now)
    runs = [until.placed(position) for position in defs.positions]
    runs += [until.facts("weighed", configuration) for configuration in defs.configurations]
    runs.append(until.facts("chosen", defs.robot.id))
    found = _newest(runs, most)
    parts = {fact.subject for facts in found.values() for fact in facts if fact.entry.kind in ("fitted", "removed")}
    parts |= {part for item in defs.configurations.values() for part in item.parts.values() if part is not None}
    parts |= {part for item in defs.pack_sets.values() for part in item.packs}
    oldest = min(found, default=now)
    start = Case(told.until(oldest), defs, oldest)
    parts |= {part for part in map(start.occupant, defs.positions) if part is not None}
    weighed = _newest([until.facts("part_weighed", part) for part in sorted(parts)], most)
    moments = sorted({*found, *(ms for ms in weighed if ms >= oldest)})[-most:]
    return {ms: [*found.get(ms, ()), *weighed.get(ms, ())] for ms in moments}


def _newest(runs: Iterable[Iterator[Fact]], most: int) -> dict[int, list[Fact]]:
    """Facts of several runs by when they happened, of the newest moments only."""
    found: dict[int, list[Fact]] = {}
    for fact in heapq.merge(*runs, key=lambda fact: fact.order, reverse=True):
        if fact.happened not in found and len(found) == most:
            break
        found.setdefault(fact.happened, []).append(fact)
    return found


def _starts(told: _Told, defs: Definitions, changes: Changes) -> list[_Plot]:
    """A plot for each configuration from where its line begins; none when the robot was never weighed."""
    oldest = min(changes, default=0)
    first: dict[str, int] = {}
    for name in defs.configurations:
        for fact in told.facts("weighed", name):
            first[name] = fact.happened
            if fact.happened < oldest:
                break
    if not first:
        return []
    return [_Plot(item, first.get(item.id, min(first.values()))) for item in defs.configurations.values()]


def _gaps(told: _Told, defs: Definitions, oldest: int) -> list[tuple[int, int]]:
    """When a place that must hold something stood empty for a while: from the removal up to the next fitting."""
    gaps = []
    for position in defs.positions.values():
        if position.role != "fixed" or position.may_be_empty:
            continue
        filled: int | None = None
        for fact in told.placed(position.id):
            if fact.happened < oldest:
                break
            if fact.entry.kind == "removed" and filled is not None:
                gaps.append((fact.happened, filled))
            filled = fact.happened if fact.entry.kind == "fitted" else None
    return gaps


class _Plot:
    """One configuration's line, made moment by moment."""

    def __init__(self, configuration: Configuration, start: int) -> None:
        self._configuration = configuration
        self.start = start
        self._points: list[Point] = []
        self._steps: list[Step] = []
        # What happened since the last look at it, and how the robot was then.
        self._since: list[Fact] = []
        self._before: Case | None = None

    def add(self, case: Case, facts: Sequence[Fact], apart: bool) -> None:
        """Go on to a moment, at which these facts happened; while it is apart, only what a scale shows is told."""
        own = self._configuration.id
        if case.now < self.start:
            return
        self._since += [fact for fact in facts if fact.entry.kind != "weighed" or fact.subject == own]
        weighed = any(fact.entry.kind == "weighed" and fact.subject == own for fact in facts)
        if weighed or not self._points or (self._since and not apart):
            self._go_on(case, weighed)

    def _go_on(self, case: Case, weighed: bool) -> None:
        kg = weight_of(case, self._configuration).kg
        last = self._points[-1].kg if self._points else None
        changed = kg != last if kg is None or last is None else abs(kg - last) >= LEAST_KG
        if weighed or changed or not self._points:
            self._points.append(Point(case.now, kg, weighed))
        if changed and self._before is not None and kg is not None and last is not None:
            text = plain(f"{self._what(case, self._before)} {_signed(kg - last)}")
            self._steps.append(Step(case.now, kg, text))
        self._before, self._since = case, []

    def series(self, now: int) -> Series:
        """The line up to now."""
        points = self._points
        if points and points[-1].ms < now:
            points = [*points, Point(now, points[-1].kg, False)]
        return Series(self._configuration.id, self._configuration.name, tuple(points), tuple(self._steps))

    def _what(self, case: Case, before: Case) -> str:
        """What made the change: the places whose parts changed, the packs, a part on the scale, the scale itself."""
        now = parts_of(case, self._configuration)
        changed = now ^ parts_of(before, self._configuration)
        in_order = sorted(self._since, key=lambda fact: fact.order)
        chosen = any(fact.entry.kind == "chosen" for fact in in_order)
        said = {}
        for fact in in_order:
            position = case.defs.positions.get(fact.entry.place or "")
            pack = chosen and position is not None and position.role == "pack"
            if fact.entry.kind in ("fitted", "removed") and fact.subject in changed and not pack:
                said[fact.entry.place] = _moved(case, fact)
            elif fact.entry.kind == "chosen" and changed:
                said["packs"] = _set_name(case, fact)
            elif fact.entry.kind == "part_weighed":
                said[fact.subject] = f"{part_name(case, fact.subject)} weighed"
            elif fact.entry.kind == "weighed" and fact.subject == self._configuration.id:
                said["scale"] = "scale"
        # A shim left in as a module comes on counts for another configuration than before, though nobody moved it.
        left = (part_name(case, part) + ("" if part in now else " off") for part in sorted(changed))
        names = list(said.values()) or list(left) or ["figured anew"]
        more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
        return ", ".join(names[:MOST_NAMES]) + more


def _moved(case: Case, fact: Fact) -> str:
    place = fact.entry.place or ""
    position = case.defs.positions.get(place)
    name = position.name if position else part_name(case, fact.subject)
    return name if case.occupant(place) is not None else f"{name} off"


def _set_name(case: Case, fact: Fact) -> str:
    chosen = case.defs.pack_sets.get(str(fact.detail["pack_set"]))
    return chosen.name if chosen else "packs"


def _signed(kg: float) -> str:
    """A change with its sign, in hundredths of a kilogram, or in grams where hundredths would not say it."""
    return f"{kg:+.2f}" if abs(round(kg, 2) - kg) < LEAST_KG else f"{kg:+.3f}"
