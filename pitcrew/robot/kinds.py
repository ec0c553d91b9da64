"""The registry of everything that can be logged: one row a kind, with its fields and how they are checked.

Adding a kind is adding a row here, its line in the disturbance table if it unsettles anything, and a use case
in `bench`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from pitcrew.robot import fields as f
from pitcrew.robot.fields import Field
from pitcrew.robot.records import Entry


class EntryKind(NamedTuple):
    """One row of the registry.

    `subject`, `place` and `grade` say in words what those columns hold; an empty word means the column stays
    empty, a word in brackets that it may.
    """

    name: str
    says: str
    subject: str
    fields: tuple[Field, ...] = ()
    place: str = ""
    grade: str = ""
    definition: bool = False
    robot: bool = True


NAME = f.text("name")
NOTE = Field("note", "text", f.words, optional=True)
TYPED = Field("typed", "the figure as typed", f.words, optional=True)
INSTRUMENT = f.text("instrument", optional=True)
FASTENERS = Field("fasteners", "all, or a list of fastener numbers", f.fasteners)
SECOND = f.text("second", optional=True)
WHERE_TO = ("spares", "quarantine", "scrapped", "lost")
SOURCES = ("taken", "given", "slam", "landing", "no hit seen")

DEFINITIONS: tuple[EntryKind, ...] = (
    EntryKind(
        "event",
        "the sheet of an event",
        "event",
        (
            NAME,
            f.text("class_name", optional=True),
            f.positive("limit_kg", optional=True),
            f.not_negative("allowance_kg", optional=True),
            f.text("official_scale", optional=True),
            f.not_negative("gap_min", optional=True),
            f.choice("gap_counts_from", "fight end", "leaving the arena", optional=True),
            f.positive("match_s", optional=True),
            f.not_negative("staging_before_start_min", optional=True),
            f.not_negative("walk_min", optional=True),
            f.positive("power_cut_s", optional=True),
            f.positive("spin_down_s", optional=True),
            f.text("start_order", optional=True),
            f.choice("weight_rule", "entered", "declared", optional=True),
            f.not_negative("reweigh_band_percent", optional=True),
            f.positive("tip_speed_cap_m_s", optional=True),
            Field("postponements", "a whole number", f.moment_value, optional=True),
            f.not_negative("clock_doubt_s", optional=True),
            f.text("time_zone", optional=True),
        ),
        definition=True,
        robot=False,
    ),
    EntryKind("crew", "a crew member", "initials", (f.text("role", optional=True),), definition=True, robot=False),
    EntryKind(
        "instrument",
        "an instrument",
        "instrument",
        (
            NAME,
            f.text("what", optional=True),
            f.text("unit"),
            f.not_negative("resolution"),
            f.not_negative("permissible", optional=True),
            f.not_negative("permissible_percent", optional=True),
            f.number("offset", optional=True),
            f.text("checked", optional=True),
            f.text("check_due", optional=True),
        ),
        definition=True,
        robot=False,
    ),
    EntryKind(
        "locker",
        "a threadlocker on a material",
        "locker",
        (
            NAME,
            f.text("material"),
            f.flag("primer"),
            f.not_negative("set_min"),
            f.not_negative("full_h", optional=True),
        ),
        definition=True,
        robot=False,
    ),
    EntryKind(
        "part_kind",
        "a sort of part",
        "part kind",
        (
            NAME,
            Field("look_from", "a grade from 1 to 4", lambda v: v in (1, 2, 3, 4)),
            f.choice("look", "own", "zone"),
            f.flag("load_path", optional=True),
            f.flag("first_look", optional=True),
            f.flag("function_check", optional=True),
            f.flag("pack", optional=True),
            Field("life_fights", "a whole number", f.whole, optional=True),
            Field("life_hard_hits", "a whole number", f.whole, optional=True),
            Field("limits", "a list of dimension, low_m, high_m", f.limits, optional=True),
        ),
        definition=True,
        robot=False,
    ),
    EntryKind(
        "robot",
        "a robot",
        "robot",
        (NAME, f.text("event", optional=True), f.not_negative("crew_margin_kg", optional=True)),
        definition=True,
        robot=False,
    ),
    EntryKind(
        "zone",
        "a zone",
        "zone",
        (NAME, f.text("title", optional=True), f.texts("passes_to", optional=True)),
        definition=True,
    ),
    EntryKind(
        "position",
        "a position",
        "position",
        (
            NAME,
            f.text("zone"),
            f.choice("role", "fixed", "module", "shim", "pack", optional=True),
            f.flag("may_be_empty", optional=True),
        ),
        definition=True,
    ),
    EntryKind(
        "part",
        "a part",
        "part",
        (
            NAME,
            f.text("part_kind"),
            f.not_negative("mass_kg", optional=True),
            f.text("mass_instrument", optional=True),
            f.not_negative("mass_tolerance_kg", optional=True),
            Field("dimensions", "dimensions by name", f.dimensions, optional=True),
            Field("cycles", "a whole number", f.moment_value, optional=True),
            f.not_negative("ohm_per_cell", optional=True),
            f.not_negative("ohm_new", optional=True),
        ),
        definition=True,
    ),
    EntryKind(
        "joint",
        "a joint",
        "joint",
        (
            NAME,
            f.text("zone"),
            f.text("thread", optional=True),
            Field("count", "a whole number above zero", f.whole),
            f.positive("target_nm", optional=True),
            f.not_negative("band_percent", optional=True),
            f.choice("locking", "threadlocker", "lock nuts", "wedge washers", "none"),
            f.text("locker_name", optional=True),
            f.text("material", optional=True),
            Field("max_uses", "a whole number above zero", f.whole, optional=True),
            Field("recheck_from", "a grade from 1 to 4", lambda v: v in (1, 2, 3, 4)),
            f.text("wrench", optional=True),
            f.flag("second", optional=True),
            f.texts("holds", optional=True),
        ),
        definition=True,
    ),
    EntryKind(
        "stack",
        "a stack or clearance",
        "stack",
        (
            NAME,
            f.texts("zones"),
            f.number("low_m", optional=True),
            f.number("high_m", optional=True),
            Field("recheck_from", "a grade from 1 to 4", lambda v: v in (1, 2, 3, 4)),
            Field("chains", "lists of signed pieces", f.chains),
            f.texts("positions", optional=True),
            f.texts("joints", optional=True),
            f.texts("only_in", optional=True),
            NOTE,
        ),
        definition=True,
    ),
    EntryKind(
        "configuration",
        "a configuration",
        "configuration",
        (NAME, Field("parts", "a part or nothing for each position", f.fitting_plan)),
        definition=True,
    ),
    EntryKind("pack_set", "packs used together", "pack set", (NAME, f.texts("packs")), definition=True),
)

EVENTS: tuple[EntryKind, ...] = (
    EntryKind("fitted", "part in", "part", (f.flag("new", optional=True), NOTE), place="position"),
    EntryKind("removed", "part out", "part", (f.choice("to", *WHERE_TO), NOTE), place="[position]"),
    EntryKind(
        "reading",
        "dimension measured",
        "part or robot / dimension",
        (
            f.text("of"),
            f.text("dimension"),
            f.number("value_m"),
            INSTRUMENT,
            f.not_negative("tolerance_m", optional=True),
            TYPED,
            NOTE,
        ),
    ),
    EntryKind(
        "direct",
        "gap measured directly",
        "stack",
        (
            f.number("value_m", optional=True),
            INSTRUMENT,
            f.not_negative("goes_m", optional=True),
            f.not_negative("stops_m", optional=True),
            TYPED,
            NOTE,
        ),
    ),
    EntryKind("part_weighed", "part weighed", "part", (f.not_negative("value_kg"), INSTRUMENT, TYPED, NOTE)),
    EntryKind(
        "weighed",
        "robot weighed",
        "configuration",
        (f.positive("value_kg"), f.text("instrument"), TYPED, NOTE),
    ),
    EntryKind(
        "torqued",
        "joint torqued",
        "joint",
        (
            FASTENERS,
            f.positive("torque_nm"),
            INSTRUMENT,
            f.flag("locker", optional=True),
            f.flag("primer", optional=True),
            f.flag("new_fasteners", optional=True),
            SECOND,
            TYPED,
            NOTE,
        ),
    ),
    EntryKind("opened", "joint opened", "joint", (FASTENERS, NOTE)),
    EntryKind("marks_good", "marks looked at, unbroken", "joint", (NOTE,)),
    EntryKind("looked_over", "zone looked over", "zone", (f.texts("except", optional=True), NOTE)),
    EntryKind("looked_at", "part looked at", "part", (NOTE,), place="[position]"),
    EntryKind("symptom", "driver says", "part", (NOTE,), place="[position]"),
    EntryKind("hand_checked", "hand check", "zone", (f.flag("sign"), NOTE)),
    EntryKind(
        "hit",
        "hit",
        "zone",
        (
            f.choice("source", *SOURCES),
            f.text("fight", optional=True),
            f.flag("spreads", optional=True),
            f.text("because", optional=True),
            NOTE,
        ),
        place="[the zone a hand check is wanted in]",
        grade="grade",
    ),
    EntryKind(
        "finding",
        "found",
        "part",
        (
            f.text("what"),
            f.text("position"),
            f.text("joint", optional=True),
            Field("fasteners", "all, or a list of fastener numbers", f.fasteners, optional=True),
            f.text("hit", optional=True),
            f.flag("raises", optional=True),
            f.not_negative("size_m", optional=True),
            TYPED,
            NOTE,
        ),
        place="joint or position",
    ),
    EntryKind("mended", "mended", "finding", (f.text("how"), NOTE)),
    EntryKind(
        "deferred",
        "run as is",
        "finding",
        (
            f.not_negative("limit_m", optional=True),
            f.text("until_fight", optional=True),
            f.text("accepted_by"),
            NOTE,
        ),
    ),
    EntryKind(
        "entered",
        "fight entered",
        "fight",
        (
            NAME,
            f.text("opponent", optional=True),
            f.text("configuration"),
            f.moment("call_at", optional=True),
            f.moment("staging_at", optional=True),
            f.moment("start_at", optional=True),
            NOTE,
        ),
        place="robot",
    ),
    EntryKind("fight_started", "fight started", "fight", (NOTE,)),
    EntryKind("fight_ended", "fight ended", "fight", (f.text("result", optional=True), NOTE)),
    EntryKind("fight_left", "left the arena", "fight", (NOTE,)),
    EntryKind("declared", "configuration declared", "configuration", (f.flag("declared"), NOTE)),
    EntryKind("chosen", "pack set chosen", "robot", (f.text("pack_set"), NOTE)),
    EntryKind(
        "answered",
        "check answered",
        "robot / checklist / line",
        (f.choice("answer", "yes", "no", "skipped"), SECOND, f.number("figure", optional=True), NOTE),
    ),
    EntryKind("accepted", "marginal accepted", "requirement", (f.text("fight"), f.texts("rests_on"), NOTE)),
    EntryKind("bench_tested", "bench test", "[part]", (NOTE,)),
    EntryKind("note", "note", "[robot]", (Field("note", "text", f.words),)),
    EntryKind("withdrawn", "withdrawn", "what the withdrawn line was about", (NOTE,)),
)

KINDS: dict[str, EntryKind] = {kind.name: kind for kind in (*DEFINITIONS, *EVENTS)}
DEFINITION_KINDS = frozenset(kind.name for kind in DEFINITIONS)


def _column_problems(kind: EntryKind, entry: Entry) -> Iterable[str]:
    if not entry.subject:
        yield "subject: missing"
    if kind.place and not kind.place.startswith("[") and not entry.place:
        yield f"place: missing, it names the {kind.place}"
    if not kind.place and entry.place is not None:
        yield f"place: {kind.name} has none"
    if kind.grade and entry.grade not in (1, 2, 3):
        yield "grade: 1 light, 2 solid or 3 hard"
    if not kind.grade and entry.grade is not None:
        yield f"grade: {kind.name} has none"
    if entry.happened > entry.tick:
        yield "happened: later than it was written"
    if entry.kind == "withdrawn" and not entry.replaces:
        yield "replaces: missing, it names what is withdrawn"


def _detail_problems(kind: EntryKind, detail: Mapping[str, Any]) -> Iterable[str]:
    known = {field.name: field for field in kind.fields}
    for name in detail:
        if name not in known:
            yield f"{name}: not a field of {kind.name}"
    for field in kind.fields:
        value = detail.get(field.name)
        if value is None:
            if not field.optional:
                yield f"{field.name}: missing, it takes {field.takes}"
        elif not field.check(value):
            yield f"{field.name}: takes {field.takes}, got {value!r:.60}"


def problems(entry: Entry) -> tuple[str, ...]:
    """What is wrong with an entry, as `field: sentence` lines; empty when it may be written."""
    kind = KINDS.get(entry.kind)
    if kind is None:
        return (f"kind: {entry.kind!r:.40} is not a kind of entry",)
    found = [*_column_problems(kind, entry), *_detail_problems(kind, entry.detail)]
    if entry.kind == "direct":
        found += _direct_problems(entry.detail)
    return tuple(found)


def _direct_problems(detail: Mapping[str, Any]) -> list[str]:
    feeler = detail.get("goes_m") is not None or detail.get("stops_m") is not None
    if (detail.get("value_m") is None) != feeler:
        return ["value_m: give either a figure or what a feeler did (goes_m, stops_m), not both"]
    return []
