"""Typed lines and the entry each becomes, on the demo's book after its day.

Factors behind the figures: inch 25.4 mm, pound 0.45359237 kg and ounce a sixteenth of it, exact by the
international yard and pound agreement of 1959; pound-force inch 0.112 984 829 N m and pound-force foot
1.355 817 948 N m, from those and standard gravity (NIST SP 811, appendix B).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import pytest

from tests.bench.demo_day import HEAVY, SMALL, DemoDay


class Row(NamedTuple):
    """A line and what it means: kind, subject by its name, the detail with names for ids."""

    text: str
    kind: str
    subject: str
    detail: dict[str, Any]
    robot: str = HEAVY


def length(
    text: str, of: str, dimension: str, value_m: float, typed: str, tool: str | None = None, robot: str = HEAVY
) -> Row:
    detail = {"of": of, "dimension": dimension, "value_m": value_m, "instrument": tool, "typed": typed}
    return Row(text, "reading", f"{of}/{dimension}", detail, robot)


def gap(text: str, value_m: float, typed: str, tool: str | None = None) -> Row:
    return length(text, HEAVY, "gap between uprights", value_m, typed, tool)


def direct(text: str, stack: str, value_m: float, typed: str, tool: str | None = None, robot: str = HEAVY) -> Row:
    return Row(text, "direct", stack, {"value_m": value_m, "instrument": tool, "typed": typed}, robot)


def mass(text: str, part: str, value_kg: float, typed: str, tool: str | None = None, robot: str = HEAVY) -> Row:
    return Row(text, "part_weighed", part, {"value_kg": value_kg, "instrument": tool, "typed": typed}, robot)


def scale(text: str, configuration: str, value_kg: float, typed: str, tool: str, robot: str = HEAVY) -> Row:
    return Row(text, "weighed", configuration, {"value_kg": value_kg, "instrument": tool, "typed": typed}, robot)


def torque(
    text: str,
    joint: str,
    torque_nm: float,
    typed: str,
    fasteners: list[int] | str = "all",
    robot: str = HEAVY,
    **more: Any,
) -> Row:
    detail = {"fasteners": fasteners, "torque_nm": torque_nm, "instrument": "TW5", "locker": True, "typed": typed}
    return Row(text, "torqued", joint, {**detail, **more}, robot)


FIGURES = [
    gap("262.05 gap between uprights with ROD", 0.26205, "262.05", "ROD"),
    gap("gap between uprights 262.05 mm with ROD", 0.26205, "262.05 mm", "ROD"),
    gap("gap between uprights 262.05", 0.26205, "262.05"),
    gap("262,05 gap between uprights with ROD", 0.26205, "262,05", "ROD"),
    gap("262,05 mm gap between uprights", 0.26205, "262,05 mm"),
    gap("10.316 in gap between uprights", 0.2620264, "10.316 in"),
    gap('10-5/16" gap between uprights', 0.2619375, '10-5/16"'),
    gap('gap between uprights 10-5/16"', 0.2619375, '10-5/16"'),
    gap("10 5/16 in gap between uprights", 0.2619375, "10 5/16 in"),
    gap("gap uprights 262.05", 0.26205, "262.05"),
    gap("uprights gap 262.05 with rod", 0.26205, "262.05", "ROD"),
    gap("GAP BETWEEN UPRIGHTS 262.05 WITH rod", 0.26205, "262.05", "ROD"),
    gap("with ROD 262.05 gap between uprights", 0.26205, "262.05", "ROD"),
    gap("   262.05   gap  between uprights ", 0.26205, "262.05"),
    gap("gap\u00a0between\u00a0uprights\u00a0262.05", 0.26205, "262.05"),
    length("tread wheel 4 4.2 mm with TRG", "wheel 4", "tread", 0.0042, "4.2 mm", "TRG"),
    length("tread wheel 4 4.2", "wheel 4", "tread", 0.0042, "4.2"),
    length("4.2 tread wheel 4", "wheel 4", "tread", 0.0042, "4.2"),
    length("tread wheel 3 (front R) 6.0 mm", "wheel 5", "tread", 0.006, "6.0 mm"),
    length("motor face thread depth drive motor R 7", "drive motor 3", "face thread depth", 0.007, "7"),
    length("pinion face drive motor L 20", "drive motor 1", "pinion face", 0.02, "20"),
    length("screw length motor screws L 16 mm with CAL", "M5x16 screws L", "length", 0.016, "16 mm", "CAL"),
    length("adapter plate adapter plate L 8 mm", "8.0 plate L", "thickness", 0.008, "8 mm"),
    length("washer L spacers and thrust washers 2.00", "spacers and washers", "washer L", 0.002, "2.00"),
    length("shim shim 0.2 mm with MIC", "0.20 shim", "thickness", 0.0002, "0.2 mm", "MIC"),
    length("inside width 62.4 with CAL", SMALL, "inside width", 0.0624, "62.4", "CAL", SMALL),
    length("inside width 2.457 in", SMALL, "inside width", 0.0624078, "2.457 in", None, SMALL),
    direct("weapon float 0.5 mm", "weapon float", 0.0005, "0.5 mm"),
    direct("0.5 weapon float with CAL", "weapon float", 0.0005, "0.5", "CAL"),
    direct("0.020 in weapon float", "weapon float", 0.000508, "0.020 in"),
    direct("bottom gap L 1/32 in", "bottom gap L", 0.00079375, "1/32 in"),
    direct("bottom gap L 31 thou", "bottom gap L", 0.0007874, "31 thou"),
    direct("screw clear L 0.5", "screw clear L", 0.0005, "0.5"),
    direct("bar shaft float 0.4", "bar shaft float", 0.0004, "0.4", None, SMALL),
    mass("P9 1.17 kg with KIT", "P9", 1.17, "1.17 kg", "KIT"),
    mass("1.17 P9", "P9", 1.17, "1.17"),
    mass("2 lb 6.5 oz P9", "P9", 1.0914566403125, "2 lb 6.5 oz"),
    mass("P9 2 lb 6.5 oz with KIT", "P9", 1.0914566403125, "2 lb 6.5 oz", "KIT"),
    mass("6.0 plate 0.23 kg with KIT", "6.0 plate", 0.23, "0.23 kg", "KIT"),
    mass("wheel 3 0.95 kg", "wheel 3", 0.95, "0.95 kg"),
    mass("0.95 wheel 3", "wheel 3", 0.95, "0.95"),
    mass("rear armour 2.7 kg", "rear armour", 2.7, "2.7 kg"),
    mass("Q3 0.39", "Q3", 0.39, "0.39", None, SMALL),
    scale("113.04 kg B with SHS", "B", 113.04, "113.04 kg", "SHS"),
    scale("B 113.04 kg with SHS", "B", 113.04, "113.04 kg", "SHS"),
    scale("113.04 B with SHS", "B", 113.04, "113.04", "SHS"),
    scale("113,04 b with shs", "B", 113.04, "113,04", "SHS"),
    scale("30 lb N2 with OFS", "N2", 13.6077711, "30 lb", "OFS", SMALL),
    scale("29 lb 15.7 oz N2 with OFS", "N2", 13.5992662430625, "29 lb 15.7 oz", "OFS", SMALL),
    torque("hubs R 22 N m 1-4 new", "hubs R", 22.0, "22 N m", [1, 2, 3, 4], new_fasteners=True),
    torque("22 N m hubs R 1-4 no locker", "hubs R", 22.0, "22 N m", [1, 2, 3, 4], locker=False),
    torque("22 N m 1-4 hubs R", "hubs R", 22.0, "22 N m", [1, 2, 3, 4]),
    torque("hubs R 22 N m 3-3", "hubs R", 22.0, "22 N m", [3]),
    torque("hubs R 22 N m 1-2,5,7-8", "hubs R", 22.0, "22 N m", [1, 2, 5, 7, 8]),
    torque("hubs R 22 Nm", "hubs R", 22.0, "22 Nm"),
    torque("22 hubs R", "hubs R", 22.0, "22"),
    torque("hubs R 22", "hubs R", 22.0, "22"),
    torque("22,5 N m hubs R", "hubs R", 22.5, "22,5 N m"),
    torque("hubs R 195 in-lb", "hubs R", 195 * 0.1129848290276167, "195 in-lb"),
    torque("hubs R 16 ft-lb 1,3,5", "hubs R", 16 * 1.3558179483314004, "16 ft-lb", [1, 3, 5]),
    torque("hubs R 22 with TW1", "hubs R", 22.0, "22", instrument="TW1"),
    torque("upright R 45 N m 3,5 new second PB", "upright R", 45.0, "45 N m", [3, 5], new_fasteners=True, second="PB"),
    torque(
        "motor L 4.0 N m primer new second EW",
        "motor L",
        4.0,
        "4.0 N m",
        instrument="TW1",
        primer=True,
        new_fasteners=True,
        second="EW",
    ),
    torque("motor L 4 N m no primer", "motor L", 4.0, "4 N m", instrument="TW1"),
    torque("motor L 4 N m no locker", "motor L", 4.0, "4 N m", instrument="TW1", locker=False),
    torque("front bolts 40 N m locker", "front bolts", 40.0, "40 N m"),
    torque("gearbox L 84 in-lb", "gearbox L", 84 * 0.1129848290276167, "84 in-lb", locker=False),
    torque("rear armour 20 N m", "rear armour", 20.0, "20 N m", locker=False),
    torque("side armour 20", "side armour", 20.0, "20", locker=False),
    torque("armour 30 5 N m new", "armour 30", 5.0, "5 N m", robot=SMALL, locker=False, new_fasteners=True),
    torque("bar bolts 14", "bar bolts", 14.0, "14", robot=SMALL, locker=False),
    torque("\u202ehubs R 22\u0007 N m", "hubs R", 22.0, "22 N m"),
    torque("hubs \u2066R 22 N m\x00", "hubs R", 22.0, "22 N m"),
]

Written = tuple[str, str, str | None, int | None, dict[str, Any]]


def hit(zone: str, grade: int, unsure: bool = False, **detail: str) -> Written:
    return ("hit", zone, zone if unsure else None, grade, {"source": "taken", "fight": "H4", **detail})


def one(kind: str, subject: str, place: str | None = None, **detail: Any) -> Written:
    return (kind, subject, place, None, detail)


WHEEL_3, WHEEL_4 = "wheel 3 (front R)", "wheel 4 (rear R)"

VERBS: list[tuple[str, list[Written]]] = [
    ("hit DR hard", [hit("DR", 3)]),
    ("HIT dr Hard", [hit("DR", 3)]),
    ("hit solid DR", [hit("DR", 2)]),
    ("hit in the AR light", [hit("AR", 1)]),
    ("hit on TP hard", [hit("TP", 3)]),
    ("hit W1 given not sure", [hit("W1", 2, unsure=True, source="given")]),
    ("hit W1 hard not sure", [hit("W1", 2, unsure=True)]),
    ("hit UR W1 solid", [hit("UR", 2), hit("W1", 2)]),
    ("hit DR slam light", [hit("DR", 1, source="slam")]),
    ("hit AR landing solid", [hit("AR", 2, source="landing")]),
    ("hit DR hard pit", [("hit", "DR", None, 3, {"source": "taken"})]),
    ("in wheel 5 at wheel 3", []),
    (
        "in wheel 3 at wheel 3",
        [one("removed", "wheel 5", WHEEL_3, to="spares"), one("fitted", "wheel 3", WHEEL_3, new=False)],
    ),
    ("in plow at front", [one("removed", "forks", "front", to="spares"), one("fitted", "plow", "front", new=False)]),
    ("in bumper block at bumper", [one("fitted", "bumper block", "bumper block", new=False)]),
    ("out wheel 3 to scrapped", [one("removed", "wheel 5", WHEEL_3, to="scrapped")]),
    ("out wheel 3", [one("removed", "wheel 5", WHEEL_3, to="spares")]),
    ("out weapon to Quarantine", [one("removed", "drum", "weapon", to="quarantine")]),
    ("out front to lost", [one("removed", "forks", "front", to="lost")]),
    ("look wheel 4", [one("looked_at", "wheel 4", WHEEL_4)]),
    ("look weapon", [one("looked_at", "drum", "weapon")]),
    ("over DR", [one("looked_over", "DR")]),
    ("over DR, UL", [one("looked_over", "DR"), one("looked_over", "UL")]),
    ("marks hubs R", [one("marks_good", "hubs R")]),
    ("open motor R", [one("opened", "motor R", fasteners="all")]),
    ("open motor R 2", [one("opened", "motor R", fasteners=[2])]),
    ("open hubs R 1-3 6", [one("opened", "hubs R", fasteners=[1, 2, 3, 6])]),
    ("in bumper block", [one("fitted", "bumper block", "bumper block", new=False)]),
    ("in plow", [one("removed", "forks", "front", to="spares"), one("fitted", "plow", "front", new=False)]),
    (
        "change over to D",
        [one("removed", "drum", "weapon", to="spares"), one("fitted", "bar", "weapon", new=False)],
    ),
    ("change D", [one("removed", "drum", "weapon", to="spares"), one("fitted", "bar", "weapon", new=False)]),
    ("wiring loom", [one("rewired", "loom and receiver", "loom and receiver")]),
    ("memory ESC R", [one("reprogrammed", "drive ESC 2", "drive ESC R")]),
    ("note belts whistle", [one("note", HEAVY, note="belts whistle")]),
    ("note 22 N m hubs R", [one("note", HEAVY, note="22 N m hubs R")]),
    ("note \x1b[31mred\u202e", [one("note", HEAVY, note="[31mred")]),
]


@pytest.mark.parametrize("row", FIGURES, ids=lambda row: row.text.encode("ascii", "backslashreplace").decode())
def test_a_line_with_a_figure(demo: DemoDay, row: Row) -> None:
    (draft,) = demo.typed(row.text, row.robot)
    detail = {name: demo.called(value) for name, value in draft.detail.items()}
    expected = {name: value for name, value in row.detail.items() if value is not None}
    figure = next(name for name in ("value_m", "value_kg", "torque_nm") if name in expected)
    assert detail == {**expected, figure: pytest.approx(expected[figure], rel=1e-12)}
    assert (draft.kind, demo.called(draft.subject), draft.place, draft.grade) == (row.kind, row.subject, None, None)
    assert (draft.by, draft.robot, draft.happened, draft.replaces) == ("MK", demo.robots[row.robot], None, None)


@pytest.mark.parametrize(("text", "entries"), VERBS, ids=[text.encode("unicode_escape").decode() for text, _ in VERBS])
def test_a_line_with_a_verb(demo: DemoDay, text: str, entries: list[Written]) -> None:
    found = demo.typed(text)
    said = [(d.kind, demo.called(d.subject), demo.called(d.place), d.grade, _named(demo, d.detail)) for d in found]
    assert said == entries
    assert {(d.by, d.robot) for d in found} <= {("MK", demo.robots[HEAVY])}


def _named(demo: DemoDay, detail: Any) -> dict[str, Any]:
    return {name: value if name == "note" else demo.called(value) for name, value in detail.items()}


def test_a_hit_typed_late_takes_the_end_of_the_fight(demo: DemoDay) -> None:
    end = max(e.happened for e in demo.entries if e.kind == "fight_ended")
    assert demo.typed("hit DR hard")[0].happened == end
    assert demo.typed("hit DR hard pit")[0].happened is None


@pytest.mark.parametrize("text", ["withdraw {n}", "withdraw #{n}", "WITHDRAW {n} misread twice"])
def test_a_line_is_withdrawn_by_its_number(demo: DemoDay, text: str) -> None:
    entry = next(e for e in reversed(demo.entries) if e.kind == "looked_at")
    (draft,) = demo.typed(text.format(n=entry.n))
    assert (draft.kind, draft.replaces, draft.subject) == ("withdrawn", entry.id, entry.subject)
    assert draft.detail == ({"note": "misread twice"} if "misread" in text else {})


@pytest.mark.parametrize(
    ("kind", "text", "changes"),
    [
        ("part_weighed", "correct {n} 1.17 kg", {"value_kg": 1.17, "typed": "1.17 kg"}),
        ("part_weighed", "CORRECT #{n} 1,17", {"value_kg": 1.17, "typed": "1,17"}),
        ("reading", "correct {n} 261.9 mm", {"value_m": 0.2619, "typed": "261.9 mm"}),
        ("torqued", "correct #{n} 24", {"torque_nm": 24.0, "typed": "24"}),
    ],
)
def test_a_line_is_put_right_by_its_number(demo: DemoDay, kind: str, text: str, changes: dict[str, Any]) -> None:
    entry = next(e for e in reversed(demo.entries) if e.kind == kind and demo.book.evidence().speaking(e.id))
    speaks = demo.book.evidence().speaking(entry.id)
    assert speaks is not None
    (draft,) = demo.typed(text.format(n=entry.n))
    assert (draft.kind, draft.replaces, draft.subject) == (kind, speaks.id, speaks.subject)
    assert draft.detail == {**speaks.detail, **changes}
    assert (draft.happened, draft.act) == (speaks.happened, speaks.entry.act)


def test_there_are_enough_lines() -> None:
    assert len({row.text for row in FIGURES}) + len(VERBS) >= 60


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("gap between uprights 262,05 with ROD", 0.26205),
        ("weapon float 0,5 mm", 0.0005),
        ("tread wheel 4 4,2 mm with TRG", 0.0042),
        ("B 113,04 with SHS", 113.04),
        ("wheel 3 0,95 kg", 0.95),
    ],
)
def test_a_decimal_comma_after_the_subject(demo: DemoDay, text: str, figure: float) -> None:
    (draft,) = demo.typed(text)
    assert next(v for k, v in draft.detail.items() if k.startswith("value")) == pytest.approx(figure, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "torque_nm", "fasteners"),
    [
        ("hubs R 22,5 N m", 22.5, "all"),
        ("hubs R 22,5 N m 3", 22.5, [3]),
        ("22,5 N m hubs R 1,3", 22.5, [1, 3]),
        ("hubs R 22,5 1,3", 22.5, [1, 3]),
        ("22 hubs R 1,3", 22.0, [1, 3]),
        ("22 N m 1,3 hubs R", 22.0, [1, 3]),
        ("motor R 4 N m 1,2", 4.0, [1, 2]),
        ("4,5 motor R 1", 4.5, [1]),
        ("hubs R 22 N m 3", 22.0, [3]),
        ("hubs R 22 3", 22.0, [3]),
        ("4.0 N m motor R 1", 4.0, [1]),
        ("4.0 motor R 1", 4.0, [1]),
        ("motor R 1 4.0 N m", 4.0, [1]),
        ("motor R #1 4 N m", 4.0, [1]),
        ("hubs R 22 N m 1-3 #6", 22.0, [1, 2, 3, 6]),
        ("4 N m motor R #1", 4.0, [1]),
    ],
)
def test_a_torque_and_its_fasteners(demo: DemoDay, text: str, torque_nm: float, fasteners: list[int] | str) -> None:
    (draft,) = demo.typed(text)
    assert (draft.detail["torque_nm"], draft.detail["fasteners"]) == (torque_nm, fasteners)


@pytest.mark.parametrize(
    ("text", "kind", "subject"),
    [
        ("joint rear armour 20", "torqued", "rear armour"),
        ("2.7 part rear armour", "part_weighed", "rear armour"),
        ("5.85 thickness adapter plate R with CAL", "reading", "6.0 plate/thickness"),
        ("thickness adapter plate R 5.85", "reading", "6.0 plate/thickness"),
        ("5.85 thickness 6.0 plate", "reading", "6.0 plate/thickness"),
        ("length M5x16 screws L 16", "reading", "M5x16 screws L/length"),
        ("4.2 tread wheel 5", "reading", "wheel 5/tread"),
        ("bar to fork 9", "reading", f"{HEAVY}/bar to fork"),
    ],
)
def test_other_names_of_a_thing(demo: DemoDay, text: str, kind: str, subject: str) -> None:
    (draft,) = demo.typed(text)
    assert (draft.kind, demo.called(draft.subject)) == (kind, subject)


def test_a_zone_looked_over_twice_is_looked_over_once(demo: DemoDay) -> None:
    assert len(demo.typed("over DR DR")) == 1


@pytest.mark.parametrize("text", ["12 mm bar to fork", "bar to fork 9.0"])
def test_a_plain_clearance_can_be_read(demo: DemoDay, text: str) -> None:
    assert len(demo.typed(text)) == 1


@pytest.mark.parametrize(("text", "fasteners"), [("open uprights 30", "all"), ("open uprights 30 1,3", [1, 3])])
def test_a_number_that_ends_a_joint_s_name_is_no_fastener(demo: DemoDay, text: str, fasteners: list[int] | str) -> None:
    (draft,) = demo.typed(text, SMALL)
    assert (draft.kind, draft.detail["fasteners"]) == ("opened", fasteners)


def test_all_zones_are_looked_over_in_two_words(demo: DemoDay) -> None:
    assert {draft.kind for draft in demo.typed("over all")} == {"looked_over"}
    assert len({draft.subject for draft in demo.typed("over all")}) == 14


def test_a_bare_mass_of_a_bar(demo: DemoDay) -> None:
    assert demo.typed("2.35 bar 1", SMALL)[0].detail["value_kg"] == 2.35


def test_a_tab_parts_words(demo: DemoDay) -> None:
    assert len(demo.typed("262.05\tgap between uprights")) == 1
