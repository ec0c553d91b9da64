"""Parts in and out: from the spares box to a place and back, a module on, packs in and out, into quarantine."""

from __future__ import annotations

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft


def part_in(desk: Desk, part: str, position: str, *, new: bool | None = None, note: str = "") -> list[Draft]:
    """Put a part in; what sits there is taken out first, as `aside` says. `new` None: new if it was never fitted.

    Putting a part where it already sits writes nothing.
    """
    case = desk.case()
    if position not in case.defs.positions:
        raise EntryError("this robot has no such place.", "Name one of its places.", "place")
    if case.part(part) is None:
        raise EntryError("the book has no such part.", "Name a part it has, or add it first.", "part")
    here = case.occupant(position)
    if here == part:
        return []
    drafts = [] if here is None else [_out(desk, here, position, aside(desk, here))]
    last = case.whereabouts(part).first()
    elsewhere = last.entry.place if last is not None and last.entry.kind == "fitted" else None
    if elsewhere is not None and elsewhere != position and case.occupant(elsewhere) == part:
        drafts.append(_out(desk, part, elsewhere, "spares"))
    if new is None:
        new = case.newest("fitted", part) is None
    return [*drafts, desk.draft("fitted", part, {"new": new}, place=position, note=note)]


def aside(desk: Desk, part: str) -> str:
    """Where a part goes that is taken out and nobody says: to the spares box; in quarantine if something was found."""
    return "quarantine" if desk.case().open_findings(part) else "spares"


def part_out(desk: Desk, position: str, to: str | None = None, note: str = "") -> list[Draft]:
    """Take out what sits at a place, and say where it went; `to` None: as `aside` says."""
    case = desk.case()
    known(case.defs.positions, position, "place")
    here = case.occupant(position)
    if here is None:
        raise EntryError("nothing sits there.", "Name a place that holds a part.", "place")
    return [_out(desk, here, position, to or aside(desk, here), note)]


def _out(desk: Desk, part: str, position: str | None, to: str, note: str = "") -> Draft:
    return desk.draft("removed", part, {"to": to}, place=position, note=note)


def put_away(desk: Desk, part: str, to: str = "quarantine", note: str = "") -> list[Draft]:
    """Put a part aside, out of its place if it sits in one."""
    case = desk.case()
    last = case.whereabouts(desk.part(part)).first()
    place = last.entry.place if last is not None and last.entry.kind == "fitted" else None
    sits = place is not None and case.occupant(place) == part
    return [_out(desk, part, place if sits else None, to, note)]


def packs_in(desk: Desk, pack_set: str, note: str = "") -> list[Draft]:
    """Put the packs of a set in, one a pack position, in order; whatever else sits there comes out first."""
    case = desk.case()
    places = [position.id for position in case.defs.positions.values() if position.role == "pack"]
    packs = known(case.defs.pack_sets, pack_set, "pack set").packs
    if len(packs) > len(places):
        raise EntryError(f"{len(packs)} packs for {len(places)} places.", "Check the set.", "packs")
    wanted = dict(zip(places, packs, strict=False))
    held = {place: case.occupant(place) for place in places}
    out = [
        _out(desk, part, place, "spares")
        for place, part in held.items()
        if part is not None and part != wanted.get(place)
    ]
    fitted = [
        desk.draft("fitted", desk.part(pack), {"new": False}, place=place, note=note)
        for place, pack in wanted.items()
        if held[place] != pack
    ]
    return [*out, *fitted]


def packs_out(desk: Desk, note: str = "") -> list[Draft]:
    """Take every pack out."""
    case = desk.case()
    drafts: list[Draft] = []
    for position in case.defs.positions.values():
        if position.role == "pack" and case.occupant(position.id) is not None:
            drafts += part_out(desk, position.id, note=note)
    return drafts


def choose_packs(desk: Desk, pack_set: str, note: str = "") -> list[Draft]:
    """Choose the packs for the next fight."""
    known(desk.definitions().pack_sets, pack_set, "pack set")
    return [desk.draft("chosen", desk.robot, {"pack_set": pack_set}, note=note)]


def change_over(desk: Desk, configuration: str, note: str = "") -> list[Draft]:
    """Put on what a configuration names, position by position; what sits there is taken out, as `aside` says."""
    wanted = known(desk.definitions().configurations, configuration, "configuration").parts
    case = desk.case()
    out: dict[str | None, Draft] = {}
    fitted: list[Draft] = []
    for position, part in wanted.items():
        here = case.occupant(position)
        if here == part:
            continue
        if here is not None:
            out[position] = _out(desk, here, position, aside(desk, here), note)
        if part is not None:
            for draft in part_in(desk, part, position, note=note):
                if draft.kind == "fitted":
                    fitted.append(draft)
                else:
                    out[draft.place] = _out(desk, draft.subject, draft.place, str(draft.detail["to"]), note)
    # Everything comes out before anything goes in: two parts may change places.
    return [*out.values(), *fitted]
