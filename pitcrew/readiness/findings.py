"""Findings that still stand, and hits that want a hand on the place.

A finding belongs to its part. Mending closes it; replacing takes it off with the part, once the replacement is
bolted in; refitting the part brings it back.
"""

from __future__ import annotations

from collections.abc import Container, Iterator

from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import looks
from pitcrew.readiness.joints import closed_since
from pitcrew.readiness.stream import merged
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.robot.definitions import Position
from pitcrew.robot.records import Fact

NEVER_DEFERRED = frozenset(("bent", "cracked", "shorted", "stripped"))


def judge_findings(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement for each finding that stands; of those asked for by key."""
    scope = case.scope()
    for part, place in scope.items():
        for finding in case.open_findings(part):
            if f"finding:{finding.root}" in asked:
                zone = case.zone_of(place or str(finding.detail["position"]))
                yield requirement("finding", finding.root, [_standing(case, part, finding)], zone)
    for position in case.defs.positions.values():
        for part, finding in half_replaced(case, position):
            if part not in scope and f"finding:{finding.root}" in asked:
                yield requirement("finding", finding.root, [_standing(case, part, finding)], position.zone)


def half_replaced(case: Case, position: Position) -> Iterator[tuple[str, Fact]]:
    """Findings of the part last taken out of a fixed place while its replacement is not in and bolted down."""
    if position.role != "fixed":
        return
    occupant = case.occupant(position.id)
    move = case.moves(position.id).first()
    holding = (joint for joint in case.defs.joints.values() if position.id in joint.holds)
    # Bolted in once, it is off for good: what is undone later for something else brings nothing back.
    if occupant is not None and move is not None and all(closed_since(case, joint, move) for joint in holding):
        return
    last = next((fact.subject for fact in case.placed(position.id) if fact.subject != occupant), None)
    if last is not None:
        for finding in case.open_findings(last):
            if finding.detail["position"] == position.id:
                yield last, finding


def _standing(case: Case, part: str, finding: Fact) -> Ruling:
    deferral = case.newest("deferred", finding.root)
    if deferral is None or never_deferred(case, part, finding):
        return Ruling("fail", Because("found", (finding,)), (finding,))
    until = deferral.detail.get("until_fight")
    over = case.newest("fight_ended", str(until)) if until else None
    if over is not None:
        return Ruling("fail", Because("deferral ran out", (finding, deferral, over)), (finding,))
    limit = deferral.detail.get("limit_m")
    grown = _last_size(case, part, finding) if limit is not None else None
    if grown is not None and float(grown.detail["size_m"]) > float(str(limit)):
        return Ruling("fail", Because("past its limit", (finding, deferral, grown)), (finding,))
    if table.disturbs(table.FIGHT_ENDED, "finding"):
        kind = case.kind(part)
        own = merged(case.facts("looked_at", part), case.facts("finding", part))
        end = case.uncleared(case.ends(), merged([deferral], looks(case, part, kind) if kind else own))
        if end is not None:
            return Ruling("due", Because("look each turnaround", (end, deferral)), (finding,))
    return Ruling("deferred", Because("run as is", (finding, deferral)), (finding, deferral))


def never_deferred(case: Case, part: str, finding: Fact) -> bool:
    """Bent, cracked, shorted or stripped in the load path is never run as is."""
    kind = case.kind(part)
    return kind is not None and kind.load_path and finding.detail["what"] in NEVER_DEFERRED


def _last_size(case: Case, part: str, finding: Fact) -> Fact | None:
    for other in case.facts("finding", part):
        if other.detail["what"] == finding.detail["what"] and other.detail.get("size_m") is not None:
            return other
    return None


def judge_hands(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement for each blow nobody was sure of, until a hand has felt the place or it was raised.

    Of the requirements asked for by key.
    """
    blows: dict[str, list[Fact]] = {}
    if table.disturbs(table.HIT, "hand"):
        for zone in case.defs.zones:
            for hit in unfelt(case, zone):
                blows.setdefault(hit.entry.act, []).append(hit)
    for act, hits in sorted(blows.items(), key=lambda item: item[1][0].order):
        if f"hand:{act}" in asked and not _raised(case, act):
            yield requirement("hand", act, [Ruling("due", Because("not sure", tuple(hits)))], hits[0].entry.place)


def _raised(case: Case, act: str) -> bool:
    return any(fact.entry.kind == "hit" and fact.detail.get("because") for fact in case.evidence.act(act))


def unfelt(case: Case, zone: str) -> Iterator[Fact]:
    """Hits on a zone nobody was sure of that no hand check there clears, newest first."""
    checks = case.facts("hand_checked", zone)
    newest = checks.first()
    for hit in case.stream("not sure", zone, of=lambda: case.evidence.at_place("hit", zone)):
        if newest is not None and newest.happened > hit.happened + case.defs.doubt_ms:
            return
        if case.uncleared([hit], checks) is not None:
            yield hit
