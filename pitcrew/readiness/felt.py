"""What felt what: how a hit passes from zone to zone, which parts were there, and which looks count for them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pitcrew.readiness.case import Case
from pitcrew.readiness.stream import Stream, merged
from pitcrew.robot.definitions import PartKind, Zone, read
from pitcrew.robot.records import Fact

HARDEST = 3
Sources = tuple[tuple[str, int], ...]


def reach(zones: Mapping[str, Zone]) -> dict[str, Sources]:
    """For each zone, the zones from which a hit reaches it, nearest first, and in how many steps (itself: none)."""
    sources: dict[str, list[tuple[str, int]]] = {zone: [] for zone in zones}
    for start in zones:
        edge, seen = {start}, {start}
        for steps in range(HARDEST):
            for zone in edge:
                sources.setdefault(zone, []).append((start, steps))
            edge = {to for zone in edge if zone in zones for to in zones[zone].passes_to} - seen
            seen |= edge
    return {zone: tuple(sorted(found, key=lambda item: item[1])) for zone, found in sources.items()}


def felt(case: Case, zone: str, least: int, robot: str | None = None, upto: int | None = None) -> Iterator[Fact]:
    """Hits that reach a zone with at least this grade, newest first; with `upto`, none that happened after it."""
    owner = robot or case.robot
    runs = [
        _hits_from(case, source, least + steps, steps, upto)
        for source, steps in _reaching(case, owner, zone)
        if least + steps <= HARDEST
    ]
    return merged(*runs)


def _reaching(case: Case, robot: str, zone: str) -> Sources:
    """Where a hit comes from; a zone the book does not know, as after a half merge, still feels its own."""
    known = _sources(case, robot).get(zone, ())
    return known if any(source == zone for source, _ in known) else ((zone, 0), *known)


def _sources(case: Case, robot: str) -> Mapping[str, Sources]:
    if robot not in case.reach:
        own = robot == case.robot
        zones = case.defs.zones if own else _zones_of(case, robot)
        case.reach[robot] = reach(zones)
    return case.reach[robot]


def _zones_of(case: Case, robot: str) -> dict[str, Zone]:
    return {fact.subject: read(Zone, fact) for fact in case.evidence.definitions("zone", robot)}


def _hits_from(case: Case, zone: str, least: int, steps: int, upto: int | None) -> Iterator[Fact]:
    if upto is None:
        run: Iterable[Fact] = case.stream("hits", zone, str(least), of=lambda: case.evidence.hits(zone, least))
    else:
        run = case.evidence.hits(zone, least, upto)
    return (hit for hit in run if steps == 0 or hit.detail.get("spreads") is not False)


def felt_by(case: Case, part: str, least: int) -> Iterator[Fact]:
    """Hits a part felt with at least this grade, wherever it sat at each, newest first."""
    for zone, robot, since, until in stays(case, part):
        upto = until.happened if until is not None else None
        for hit in felt(case, zone, least, robot, upto):
            if hit.order <= since.order:
                break
            if until is None or hit.order < until.order:
                yield hit


def looks(case: Case, part: str, kind: PartKind) -> Stream:
    """Everything that counts as a look at a part, newest first; a finding counts as one."""

    def runs() -> Iterator[Fact]:
        own = [case.facts("looked_at", part), case.facts("finding", part)]
        return merged(*own, _zone_looks(case, part)) if kind.look == "zone" else merged(*own)

    return case.stream("looks", part, of=runs)


def _zone_looks(case: Case, part: str) -> Iterator[Fact]:
    for zone, _robot, since, until in stays(case, part):
        for look in case.facts("looked_over", zone):
            if look.order <= since.order:
                break
            if (until is None or look.order < until.order) and not excepts(look, part, since.entry.place):
                yield look


def stays(case: Case, part: str) -> Iterator[tuple[str, str | None, Fact, Fact | None]]:
    """Where a part sat, newest first: zone, robot, the fitting, and the next move (None: still there)."""
    until: Fact | None = None
    for move in case.whereabouts(part):
        place = move.entry.place if move.entry.kind == "fitted" else None
        found = case.position(place) if place else None
        if found is not None:
            yield found[0].zone, found[1], move, until
        until = move


def excepts(look: Fact, *ids: str | None) -> bool:
    """Does a look over a zone leave one of these out by name?"""
    return any(item in look.detail.get("except", ()) for item in ids)
