"""The registry of everything that can be logged: one row a kind, with its fields and how they are checked.

Adding a kind is adding a row here (a definition: to its own table), its line in the disturbance table if it
unsettles anything, and a use case in `bench`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pitcrew.robot import fields as f
from pitcrew.robot.definition_kinds import DEFINITIONS
from pitcrew.robot.fields import NAME, NOTE, EntryKind, Field
from pitcrew.robot.records import Entry

TYPED = Field("typed", "the figure as typed", f.words, optional=True)
INSTRUMENT = f.text("instrument", optional=True)
FASTENERS = Field("fasteners", "all, or a list of fastener numbers", f.fasteners)
SECOND = f.text("second", optional=True)
PACK_FIGURES = ("cells_v", "lowest_v", "cells_ohm", "ohm_per_cell", "temperature_k", "used_coulomb")
WHERE_TO = ("spares", "quarantine", "scrapped", "lost")
# What is done to a part where it sits that may change its lengths, its mass and its balance.
IN_PLACE = ("straightened", "welded", "ground", "drilled")
SOURCES = ("taken", "given", "slam", "landing", "no hit seen")

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
        "tip_speed",
        "tip speed",
        "configuration",
        (f.positive("value_m_s"), f.choice("how", "figured", "measured", optional=True), TYPED, NOTE),
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
    EntryKind(
        "pack_read",
        "pack read",
        "part",
        (
            Field("cells_v", "volts of every cell, in order", f.figures, optional=True),
            f.not_negative("lowest_v", optional=True),
            Field("cells_ohm", "ohms of every cell, in order", f.figures, optional=True),
            f.not_negative("ohm_per_cell", optional=True),
            f.not_negative("temperature_k", optional=True),
            f.not_negative("used_coulomb", optional=True),
            INSTRUMENT,
            TYPED,
            NOTE,
        ),
    ),
    EntryKind(
        "charge_started",
        "on charge",
        "part",
        (
            f.positive("current_a", optional=True),
            f.not_negative("to_put_back_coulomb", optional=True),
            f.not_negative("temperature_k", optional=True),
            f.text("watched_by", optional=True),
            NOTE,
        ),
    ),
    EntryKind(
        "charge_ended",
        "off charge",
        "part",
        (
            f.choice("to", "full", "storage", "stopped"),
            f.not_negative("lowest_v", optional=True),
            f.not_negative("put_back_coulomb", optional=True),
            INSTRUMENT,
            NOTE,
        ),
    ),
    EntryKind(
        "stocked",
        "stock",
        "stock item",
        (
            f.choice("how", "counted", "used", "bought"),
            Field("count", "a whole number", f.moment_value),
            f.text("where", optional=True),
            NOTE,
        ),
        robot="[robot]",
    ),
    EntryKind("shift", "shift", "initials", (f.flag("on"), NOTE), robot=""),
    EntryKind(
        "signed",
        "signed off",
        "requirement, or robot",
        (f.texts("rests_on"), f.text("fight", optional=True), NOTE),
    ),
    EntryKind("worked", "worked in place", "part", (f.choice("how", *IN_PLACE), NOTE), place="[position]"),
    EntryKind("rewired", "wiring touched", "part", (NOTE,), place="[position]"),
    EntryKind("reprogrammed", "memory changed", "part, or robot for its transmitter", (NOTE,), place="[position]"),
    EntryKind("note", "note", "[robot]", (Field("note", "text", f.words),), robot="[robot]"),
    EntryKind("withdrawn", "withdrawn", "what the withdrawn line was about", (NOTE,), robot="[robot]"),
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
    yield from _robot_problems(kind, entry)
    if kind.grade and not f.whole_from(1, 3, entry.grade):
        yield "grade: 1 light, 2 solid or 3 hard"
    if not kind.grade and entry.grade is not None:
        yield f"grade: {kind.name} has none"
    if entry.happened > entry.tick:
        yield "happened: later than it was written"
    if entry.kind == "withdrawn" and not entry.replaces:
        yield "replaces: missing, it names what is withdrawn"


def _robot_problems(kind: EntryKind, entry: Entry) -> Iterable[str]:
    if kind.robot == "robot" and not entry.robot:
        yield f"robot: missing, {kind.name} belongs to one"
    if not kind.robot and entry.robot is not None:
        yield f"robot: {kind.name} has none"


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
            yield f"{field.name}: takes {field.takes}, got {_shown(value)}"


def _shown(value: Any) -> str:
    try:
        return f"{value!r:.60}"
    except ValueError:  # Python spells out no number of more than some thousand digits
        return "a number too long to show"


def problems(entry: Entry) -> tuple[str, ...]:
    """What is wrong with an entry, as `field: sentence` lines; empty when it may be written."""
    kind = KINDS.get(entry.kind)
    if kind is None:
        return (f"kind: {entry.kind!r:.40} is not a kind of entry",)
    found = [*_column_problems(kind, entry), *_detail_problems(kind, entry.detail)]
    if entry.kind == "direct":
        found += _direct_problems(entry.detail)
    if entry.kind == "pack_read" and all(entry.detail.get(name) is None for name in PACK_FIGURES):
        found.append("cells_v: a pack that was read has a figure: volts, ohms, a temperature or the charge used")
    return tuple(found)


def _direct_problems(detail: Mapping[str, Any]) -> list[str]:
    goes, stops = detail.get("goes_m"), detail.get("stops_m")
    feeler = goes is not None or stops is not None
    if (detail.get("value_m") is None) != feeler:
        return ["value_m: give either a figure or what a feeler did (goes_m, stops_m), not both"]
    if f.finite(goes) and f.finite(stops) and goes >= stops:
        return ["goes_m: takes less than stops_m, for the feeler that goes is the thinner one"]
    return []
