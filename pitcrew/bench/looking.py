"""Looks: a zone over, a part by itself, a hand on the place, and what the driver says."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Fact


def look_over(desk: Desk, zones: Sequence[str], besides: Sequence[str] = (), note: str = "") -> list[Draft]:
    """Zones looked over, marks good; `besides` names the joints, parts or places that are left out."""
    detail = {"except": list(besides) or None}
    defined = desk.definitions().zones
    for zone in zones:
        known(defined, zone, "zone")
    return [desk.draft("looked_over", zone, detail, note=note) for zone in zones]


def look_at(desk: Desk, places: Sequence[str], note: str = "") -> list[Draft]:
    """Parts looked at, each by itself, named by the place they sit at or by themselves."""
    return [desk.draft("looked_at", part, place=place, note=note) for part, place in _parts(desk, places)]


def driver_says(desk: Desk, places: Sequence[str], note: str = "") -> list[Draft]:
    """What the driver noticed, and the parts it points at."""
    return [desk.draft("symptom", part, place=place, note=note) for part, place in _parts(desk, places)]


def _parts(desk: Desk, places: Sequence[str]) -> list[tuple[str, str | None]]:
    case = desk.case()
    found: list[tuple[str, str | None]] = []
    for name in places:
        part = case.occupant(name) if name in case.defs.positions else name
        if part is None or case.part(part) is None:
            raise EntryError("nothing sits there.", "Name a place that holds a part, or the part.", "place")
        found.append((part, name if name in case.defs.positions else None))
    return found


def hand_check(desk: Desk, act: str, sign: bool, note: str = "") -> list[Draft]:
    """A hand on every place of a blow nobody was sure of; any sign makes it a hard one from then on."""
    hits = [f for f in desk.evidence.act(act) if f.entry.kind == "hit" and f.entry.place]
    if not hits:
        raise EntryError("no such blow waits for a hand check.", "Pick one from the worklist.", "hand check")
    drafts: list[Draft] = []
    for hit in hits:
        ident = desk.mint()
        drafts.append(desk.draft("hand_checked", hit.subject, {"sign": sign}, id=ident, note=note))
        if sign:
            drafts.append(raised(desk, hit, because=ident))
    return drafts


def raised(desk: Desk, hit: Fact, because: str) -> Draft:
    """The same hit once more, hard: what a sign or a finding makes of it. It keeps the hit's act and time."""
    detail = {name: hit.detail.get(name) for name in ("source", "fight", "spreads")}
    draft = desk.draft("hit", hit.subject, {**detail, "because": because}, grade=3, happened=hit.happened)
    return draft._replace(act=hit.entry.act)
