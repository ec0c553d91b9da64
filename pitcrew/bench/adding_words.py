"""What a line adds, in one sentence; and what a line that names nothing known could add."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pitcrew.bench.adding import COUNTED, FIGURE, Adding, figure_of, gap, gap_parts, joint, sections
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import fitting, name_words, pairs, zone_name
from pitcrew.bench.parting import UNIT_WORDS
from pitcrew.bench.subjects import PLACE
from pitcrew.bench.weight_list import weight_line
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.units import show

Detail = Mapping[str, Any]


def meant_anew(text: str) -> Adding | None:
    """What a line would add that has a figure and names nothing the robot has; None where it has no such shape."""
    words = tuple(text.split())
    if COUNTED.search(text):
        return joint
    figure, name, limits = gap_parts(sections(words, ("in", "with"))[0])
    if figure is not None and name and len(limits) == 2:
        return gap
    heads = (words[:count] for count in range(min(UNIT_WORDS, len(words) - 1), 0, -1))
    masses = any(figure_of(head, "mass") for head in heads if FIGURE.match(head[0]))
    return weight_line if masses else None


def unknown(desk: Desk, text: str, error: EntryError) -> tuple[Adding, list[Draft]]:
    """What a refused line would add if what it names is new, and its drafts.

    Raises:
        EntryError: the line names something known, or cannot be anything new; it says what to type.
    """
    use = meant_anew(text) if error.place == PLACE and "more than one" not in error.message else None
    if use is None:
        raise _how(desk, text, error)
    try:
        return use, use(desk, text)
    except EntryError:
        if use is weight_line:
            raise error from None  # of a part, what is there already is more likely meant
        raise


def _how(desk: Desk, text: str, error: EntryError) -> EntryError:
    """The refusal of a torque says how a new joint is typed, where no joint has a word of what was typed."""
    words = tuple(text.split())
    ways = [words[:count] for count in range(1, UNIT_WORDS + 1)] + [words[-count:] for count in range(1, UNIT_WORDS)]
    if error.place != PLACE or not any(figure_of(way, "torque") for way in ways if FIGURE.match(way[0])):
        return error
    known = {word for item in desk.definitions().joints.values() for word in name_words(item.name)}
    if known & set(name_words(text)):
        return error
    return EntryError(error.message, "A new one is typed so: 25 N m 4 M8 cap L in W1.", PLACE)


def nearly(desk: Desk, drafts: Sequence[Draft]) -> str:
    """What the robot has that a new name may have meant; empty where nothing is like it."""
    defs = desk.definitions()
    tables = {"joint": pairs(defs.joints), "stack": pairs(defs.stacks)}
    for draft in drafts:
        known = tables.get(draft.kind, [])
        like = fitting(str(draft.detail.get("name")), known)
        if like:
            return f"there is {dict(known)[like[0]]} already"
    return ""


def said(desk: Desk, drafts: Sequence[Draft]) -> str:
    """What these drafts add, in one sentence: a new joint cap L: 4 x M8, 25 N m, in W1."""
    for kind, says in SAYS.items():
        found = [draft for draft in drafts if draft.kind == kind]
        if found:
            return says(desk, drafts, found)
    return ""


def _joint(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    detail = found[0].detail
    case = desk.case()
    thread = f"{detail['count']} x {detail['thread']}" if detail.get("thread") else f"{detail['count']} fasteners"
    parts = [thread, show(detail["target_nm"], "torque", "N m"), f"in {zone_name(case, detail['zone'])}"]
    if detail["locking"] != "none":
        parts.append(detail["locking"] + (f" on {detail['material']}" if detail.get("material") else ""))
    if detail.get("holds"):
        parts.append("holds " + " and ".join(case.defs.positions[place].name for place in detail["holds"]))
    return f"a new joint {detail['name']}: {', '.join(parts)}"


def _gap(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    detail, case = found[0].detail, desk.case()
    zones = " ".join(zone_name(case, zone) for zone in detail["zones"])
    figures = [f"{show(draft.detail['value_m'], 'length', 'mm')} now" for draft in drafts if draft.kind == "reading"]
    limits = within(detail.get("low_m"), detail.get("high_m"))
    return f"a new gap {detail['name']}: {', '.join([*figures, limits, f'in {zones}'])}"


def within(low_m: float | None, high_m: float | None) -> str:
    """Limits in words, from metres: 0.25 mm to 0.75 mm, at least 4.00 mm, at most 8.00 mm."""
    low, high = (show(value, "length", "mm") if value is not None else "" for value in (low_m, high_m))
    if low and high:
        return f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}"


def _parts(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    case = desk.case()
    places = [draft for draft in drafts if draft.kind == "position"]
    zones = " ".join(dict.fromkeys(zone_name(case, draft.detail["zone"]) for draft in places))
    mass = show(found[0].detail["mass_kg"], "mass", "kg")
    where = f"in {zones}" if zones else "a spare"
    if len(found) == 1:
        return f"a new part {found[0].detail['name']}: {mass}, {where}"
    names = [draft.detail["name"] for draft in found]
    return f"{len(found)} new parts {names[0]} to {names[-1]}: {mass} each, {where}"


def _zone(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    detail, case = found[0].detail, desk.case()
    passes = " ".join(zone_name(case, zone) for zone in detail.get("passes_to") or ())
    told = [str(detail.get("title") or ""), f"passes a hit to {passes}" if passes else "passes no hit on"]
    return f"a new zone {detail['name']}: {', '.join(filter(None, told))}"


def _sort(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    detail = found[0].detail
    fights, hard = detail.get("life_fights"), detail.get("life_hard_hits")
    told = [f"lasts {fights} fights"] if fights else []
    told += [f"{hard} hard hits" if told else f"lasts {hard} hard hits"] if hard else []
    told += [
        f"{item['dimension']} {within(item.get('low_m'), item.get('high_m'))}" for item in detail.get("limits") or ()
    ]
    wanted = detail.get("spares_wanted")
    told += [f"{wanted} good spares wanted"] if wanted is not None else []
    return f"every {detail['name']} of every robot: {', '.join(told)}"


def _stock(desk: Desk, drafts: Sequence[Draft], found: Sequence[Draft]) -> str:
    detail, case = found[0].detail, desk.case()
    told = [f"{draft.detail['how']} {draft.detail['count']}" for draft in drafts if draft.kind == "stocked"]
    told += [f"{detail['wanted']} wanted"] if detail.get("wanted") is not None else []
    told += [f"batch {detail['batch']}"] if detail.get("batch") else []
    joints = [case.defs.joints[draft.subject].name for draft in drafts if draft.kind == "joint"]
    told += [f"new fasteners of {' and '.join(joints)} come out of it"] if joints else []
    new = "new in stock: " if next(desk.evidence.facts("stock", found[0].subject), None) is None else "stock "
    return f"{new}{detail['name']}, {', '.join(told)}"


SAYS: dict[str, Callable[[Desk, Sequence[Draft], Sequence[Draft]], str]] = {
    "stock": _stock,
    "joint": _joint,
    "stack": _gap,
    "part": _parts,
    "zone": _zone,
    "part_kind": _sort,
}
