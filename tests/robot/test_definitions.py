"""What a robot is, written into a book and read back: every sort of definition, with all it can hold."""

from __future__ import annotations

from typing import Any

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import (
    Charging,
    Configuration,
    CrewMember,
    Definitions,
    Dimension,
    Event,
    Instrument,
    Joint,
    Limit,
    Locker,
    PackSet,
    Part,
    PartKind,
    Piece,
    Position,
    Robot,
    Stack,
    Stock,
    Zone,
    gather,
    read,
    robots,
)
from pitcrew.robot.kinds import DEFINITION_KINDS

EVENT = Event(
    "ev",
    "Open",
    "heavy",
    113.4,
    0.5,
    "OFH",
    45.0,
    "leaving the arena",
    180.0,
    5.0,
    3.0,
    60.0,
    30.0,
    "transmitter last",
    "declared",
    1.5,
    110.0,
    2,
    30.0,
    "+01:00",
    {"gap_min": "No robot shall be called within 45 minutes of its last fight."},
)
PIECES = (Piece("gap", 1, "gap"), Piece("width", -1, "width", "rotor"))
STACK = Stack(
    "float",
    "float",
    ("W",),
    2,
    (PIECES, (Piece("gap again", 1, "gap"), Piece("face", 1, "face", "belt"))),
    0.0002,
    0.0008,
    ("upright", "rotor"),
    ("cap",),
    ("A",),
    "by feeler",
)
JOINT = Joint(
    "cap",
    "cap",
    "W",
    4,
    "lock nuts",
    2,
    "M8",
    25.0,
    5.0,
    "medium",
    "aluminium",
    3,
    "TW",
    True,
    ("rotor", "upright"),
    "M8x25",
    ("nuts",),
)

# A kind, whether it belongs to one robot, its detail and the record it is read into.
ROWS: list[tuple[str, str | None, dict[str, Any], Any]] = [
    ("event", None, {k: v for k, v in EVENT._asdict().items() if k != "id"}, EVENT),
    ("crew", None, {"role": "pit boss"}, CrewMember("PB", "pit boss")),
    (
        "instrument",
        None,
        {
            "name": "CAL",
            "what": "caliper",
            "unit": "mm",
            "resolution": 1e-5,
            "permissible": 3e-5,
            "permissible_percent": 4,
            "offset": -1e-5,
            "checked": "2026-05-30",
            "check_due": "2027-05-30",
        },
        Instrument("CAL", "CAL", "mm", 1e-5, "caliper", 3e-5, 4, -1e-5, "2026-05-30", "2027-05-30"),
    ),
    (
        "locker",
        None,
        {"name": "medium", "material": "steel", "primer": True, "set_min": 15, "full_h": 24},
        Locker("lk", "medium", "steel", True, 15, 24),
    ),
    (
        "part_kind",
        None,
        {
            "name": "wheel",
            "look_from": 2,
            "look": "own",
            "load_path": True,
            "first_look": True,
            "function_check": True,
            "pack": False,
            "life_fights": 4,
            "life_hard_hits": 3,
            "limits": [{"dimension": "tread", "low_m": 0.004}, {"dimension": "bore", "high_m": 0.02}],
            "charging": {"cells": 6, "full_v": 4.15, "cool_min": 15},
            "spares_wanted": 2,
            "spins": True,
            "sets_speed": True,
        },
        PartKind(
            "wheel",
            "wheel",
            2,
            "own",
            True,
            True,
            True,
            False,
            4,
            3,
            (Limit("tread", 0.004), Limit("bore", None, 0.02)),
            Charging(cells=6, full_v=4.15, cool_min=15),
            2,
            True,
            True,
        ),
    ),
    (
        "robot",
        None,
        {"name": "SMALL", "event": "ev", "crew_margin_kg": 0.25, "sign_off": True},
        Robot("R", "SMALL", "ev", 0.25, True),
    ),
    ("stock", None, {"name": "M10x30", "wanted": 6, "batch": "B7"}, Stock("bolts", "M10x30", 6, "B7")),
    ("zone", "R", {"name": "W", "title": "weapon", "passes_to": ["U"]}, Zone("W", "W", "weapon", ("U",))),
    (
        "position",
        "R",
        {"name": "shim", "zone": "W", "role": "shim", "may_be_empty": True},
        Position("shim", "shim", "W", "shim", True),
    ),
    (
        "part",
        "R",
        {
            "name": "rotor 1",
            "part_kind": "rotor",
            "mass_kg": 2.5,
            "mass_instrument": "KIT",
            "mass_tolerance_kg": 0.1,
            "dimensions": {"width": {"value_m": 0.1, "instrument": "CAL", "tolerance_m": 1e-4, "typed": "100 mm"}},
            "cycles": 14,
            "ohm_per_cell": 0.0041,
            "ohm_new": 0.0036,
            "fights": 2,
            "hard_hits": 1,
            "batch": "B7",
        },
        Part(
            "rotor1",
            "rotor 1",
            "rotor",
            2.5,
            "KIT",
            0.1,
            {"width": Dimension(0.1, "CAL", 1e-4, "100 mm")},
            14,
            0.0041,
            0.0036,
            2,
            1,
            "B7",
        ),
    ),
    (
        "joint",
        "R",
        {
            **{k: v for k, v in JOINT._asdict().items() if k not in ("id", "fastener_count")},
            "holds": list(JOINT.holds),
            "through": list(JOINT.through),
            "count": 4,
        },
        JOINT,
    ),
    (
        "stack",
        "R",
        {
            "name": "float",
            "zones": ["W"],
            "recheck_from": 2,
            "chains": [
                [{k: v for k, v in piece._asdict().items() if v is not None} for piece in chain]
                for chain in STACK.chains
            ],
            "low_m": 0.0002,
            "high_m": 0.0008,
            "positions": ["upright", "rotor"],
            "joints": ["cap"],
            "only_in": ["A"],
            "note": "by feeler",
        },
        STACK,
    ),
    (
        "configuration",
        "R",
        {"name": "A", "parts": {"weapon": "drum", "front": None}},
        Configuration("A", "A", {"weapon": "drum", "front": None}),
    ),
    ("pack_set", "R", {"name": "set 1", "packs": ["P1", "P2"]}, PackSet("S1", "set 1", ("P1", "P2"))),
]


@pytest.fixture
def book() -> Book:
    return Book.memory(FixedClock(1_000_000), SeededIds(1))


def filled(book: Book) -> Book:
    book.append([Draft(kind, record.id, "PB", robot, detail=detail) for kind, robot, detail, record in ROWS])
    return book


def gathered(book: Book) -> Definitions:
    found = gather(book.evidence(), "R")
    assert found is not None
    return found


def test_no_sort_of_definition_is_left_out() -> None:
    assert {row[0] for row in ROWS} == DEFINITION_KINDS


@pytest.mark.parametrize(("kind", "robot", "detail", "record"), ROWS, ids=[row[0] for row in ROWS])
def test_a_definition_reads_back(book: Book, kind: str, robot: str | None, detail: dict[str, Any], record: Any) -> None:
    book.append([Draft(kind, record.id, "PB", robot, detail=detail)])
    assert read(type(record), next(book.evidence().facts(kind, record.id))) == record


def test_a_robot_is_gathered_whole(book: Book) -> None:
    records = {row[0]: row[3] for row in ROWS}
    found = gathered(filled(book))
    assert found.robot == records["robot"]
    assert found.event == EVENT
    assert found.zones == {"W": records["zone"]}
    assert found.positions == {"shim": records["position"]}
    assert found.kinds == {"wheel": records["part_kind"]}
    assert found.joints == {"cap": JOINT}
    assert found.stacks == {"float": STACK}
    assert found.configurations == {"A": records["configuration"]}
    assert found.pack_sets == {"S1": records["pack_set"]}
    assert found.instruments == {"CAL": records["instrument"]}
    assert found.lockers == (records["locker"],)
    assert found.doubt_ms == 30_000


def test_what_is_not_said_takes_its_usual_value(book: Book) -> None:
    book.append([Draft("robot", "R", "PB", detail={"name": "SMALL"})])
    book.append([Draft("joint", "j", "PB", "R", detail=_joint())])
    found = gathered(book)
    assert found.event is None
    assert found.doubt_ms == 120_000
    assert found.joints["j"] == Joint("j", "j", "W", 2, "none", 2)
    assert (found.joints["j"].band_percent, found.joints["j"].material, found.joints["j"].second) == (
        10.0,
        "",
        False,
    )


def _joint(**more: Any) -> dict[str, Any]:
    return {"name": "j", "zone": "W", "count": 2, "locking": "none", "recheck_from": 2, **more}


def test_a_robot_the_book_does_not_know(book: Book) -> None:
    assert gather(book.evidence(), "R") is None
    assert robots(book.evidence()) == ()


def test_another_robots_things_are_not_gathered(book: Book) -> None:
    filled(book)
    book.append([Draft("robot", "Q", "PB", detail={"name": "OTHER"})])
    book.append([Draft("zone", "QW", "PB", "Q", detail={"name": "W"})])
    found = gather(book.evidence(), "Q")
    assert found is not None
    assert set(found.zones) == {"QW"}
    assert (found.joints, found.pack_sets) == ({}, {})
    assert set(found.instruments) == {"CAL"}
    assert [robot.name for robot in robots(book.evidence())] == ["SMALL", "OTHER"]


def test_the_latest_definition_counts_and_keeps_its_place(book: Book) -> None:
    book.append([Draft("robot", "R", "PB", detail={"name": "SMALL"})])
    for name in ("a", "b"):
        book.append([Draft("zone", name, "PB", "R", detail={"name": name})])
    book.append([Draft("zone", "a", "PB", "R", detail={"name": "a", "title": "front"})])
    zones = gathered(book).zones
    assert list(zones) == ["a", "b"]
    assert zones["a"].title == "front"


def test_a_definition_withdrawn_is_gone(book: Book) -> None:
    filled(book)
    fact = next(book.evidence().facts("zone", "W"))
    book.append([Draft("withdrawn", "W", "PB", "R", replaces=fact.id)])
    assert gathered(book).zones == {}


def test_a_stack_names_each_piece_and_place_once() -> None:
    assert STACK.pieces() == (PIECES[0], PIECES[1], Piece("face", 1, "face", "belt"))
    assert STACK.places() == ("rotor", "belt", "upright")


@pytest.mark.parametrize(
    ("kind", "detail"),
    [
        (
            "part_kind",
            {
                "name": "wheel",
                "look_from": 2,
                "look": "own",
                "limits": [{"dimension": "tread", "low_m": 0.004, "colour": "red"}],
            },
        ),
        (
            "stack",
            {
                "name": "s",
                "zones": ["W"],
                "recheck_from": 2,
                "chains": [[{"name": "gap", "sign": 1, "dimension": "gap", "colour": "red"}]],
            },
        ),
    ],
)
def test_what_no_record_knows_is_not_written(book: Book, kind: str, detail: dict[str, Any]) -> None:
    with pytest.raises(EntryError, match=r"limits: takes|chains: takes"):
        book.append([Draft(kind, "x", "PB", None if kind == "part_kind" else "R", detail=detail)])
    assert list(book.evidence().facts(kind, "x")) == []
