"""An invented bench: instruments, stack readings and weighings that no workshop ever had.

The readings, values, doubts and verdicts are one made-up day's book; they hold the code to the rules
of the book and are no evidence from outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.engineering.stacks import Piece
from pitcrew.engineering.uncertainty import Reading, nominal

MM = 1e-3

# step and permissible error, mm
LENGTHS = {"CAL": (0.01, 0.03), "MIC": (0.001, 0.004), "ROD": (0.01, 0.015)}
# step and permissible error, kg
SCALES = {"SHS": (0.02, 0.04), "KIT": (0.005, 0.005), "OFH": (0.05, 0.0), "OFS": (0.02, 0.0)}


def length(value_mm: float, instrument: str) -> Reading:
    step, error = LENGTHS[instrument]
    return Reading(value_mm * MM, instrument, step * MM, error * MM)


def made_to(value_mm: float, tolerance_mm: float) -> Reading:
    return nominal(value_mm * MM, tolerance_mm * MM)


def weighed(value_kg: float, scale: str = "KIT") -> Reading:
    return Reading(value_kg, scale, *SCALES[scale])


def weapon_float(gap: float, hub: float, shim: float | None = None, caliper: bool = False) -> list[Piece]:
    small = "CAL" if caliper else "MIC"
    pieces = [
        Piece("gap between uprights", 1, length(gap, "CAL" if caliper else "ROD")),
        Piece("washer L", -1, length(2.0, small)),
        Piece("spacer L", -1, length(6.0, small)),
        Piece("rotor or hub width", -1, length(hub, "CAL")),
        Piece("spacer R", -1, length(6.0, small)),
        Piece("washer R", -1, length(2.0, small)),
    ]
    return pieces if shim is None else [*pieces, Piece("shim", -1, length(shim, small))]


def shaft_float(inside: float) -> list[Piece]:
    return [
        Piece("inside width", 1, length(inside, "CAL")),
        Piece("hub and spacers", -1, length(62.0, "CAL")),
    ]


def screw_clear(screw: float, washer: float, plate: float) -> list[Piece]:
    return [
        Piece("motor face thread depth", 1, length(7.0, "CAL")),
        Piece("screw length", -1, made_to(screw, 0.35)),
        Piece("washer", 1, made_to(washer, 0.05)),
        Piece("adapter plate", 1, length(plate, "CAL")),
    ]


def screw_engagement(screw: float, washer: float, plate: float) -> list[Piece]:
    return [
        Piece("screw length", 1, made_to(screw, 0.35)),
        Piece("washer", -1, made_to(washer, 0.05)),
        Piece("adapter plate", -1, length(plate, "CAL")),
    ]


def bottom_gap(plate: float) -> list[Piece]:
    return [
        Piece("gearbox floor depth", 1, length(23.30, "CAL")),
        Piece("adapter plate", 1, length(plate, "CAL")),
        Piece("motor face to pinion tip", -1, length(29.00, "CAL")),
    ]


def pinion_overlap(plate: float) -> list[list[Piece]]:
    """The four chains of an overlap: both faces, and each end less the other's start."""
    tip = length(29.00, "CAL")
    adapter = length(plate, "CAL")
    pinion, gear_start, gear = length(20.00, "CAL"), length(5.00, "CAL"), length(18.00, "CAL")
    return [
        [
            Piece("motor face to pinion tip", 1, tip),
            Piece("adapter plate", -1, adapter),
            Piece("gear start", -1, gear_start),
        ],
        [
            Piece("gear start", 1, gear_start),
            Piece("gear face", 1, gear),
            Piece("motor face to pinion tip", -1, tip),
            Piece("adapter plate", 1, adapter),
            Piece("pinion face", 1, pinion),
        ],
        [Piece("pinion face", 1, pinion)],
        [Piece("gear face", 1, gear)],
    ]


class StackRow(NamedTuple):
    """One stack reading of the book, in millimetres."""

    name: str
    chains: Sequence[Sequence[Piece]]
    low: float
    high: float | None
    value: float
    u: float
    verdict: str


def drive(side: str, screw: float, washer: float, plate: float) -> list[tuple[str, list[list[Piece]]]]:
    return [
        (f"screw clear {side}", [screw_clear(screw, washer, plate)]),
        (f"screw engagement {side}", [screw_engagement(screw, washer, plate)]),
        (f"bottom gap {side}", [bottom_gap(plate)]),
        (f"pinion overlap {side}", pinion_overlap(plate)),
    ]


LIMITS: dict[str, tuple[float, float | None]] = {
    "weapon float": (0.25, 0.75),
    "bar shaft float": (0.20, 0.60),
    "screw clear": (0.50, None),
    "screw engagement": (5.0, None),
    "bottom gap": (0.20, 3.00),
    "pinion overlap": (12.6, None),
}

_FOUND: list[tuple[str, list[tuple[str, list[list[Piece]]]], list[tuple[float, float, str]]]] = [
    (
        "06-07 13:10",
        drive("L", 16, 1, 8),
        [(0.0, 0.414, "fail"), (7.0, 0.410, "pass"), (2.3, 0.036, "pass"), (16.0, 0.036, "pass")],
    ),
    (
        "06-07 13:40",
        drive("L", 16, 2, 8),
        [(1.0, 0.414, "pass"), (6.0, 0.410, "pass"), (2.3, 0.036, "pass"), (16.0, 0.036, "pass")],
    ),
    (
        "06-07 13:44",
        drive("R", 16, 2, 8),
        [(1.0, 0.414, "pass"), (6.0, 0.410, "pass"), (2.3, 0.036, "pass"), (16.0, 0.036, "pass")],
    ),
    ("06-07 16:55", [("bar shaft float", [shaft_float(62.40)])], [(0.40, 0.008, "pass")]),
    ("06-13 08:07", [("bar shaft float", [shaft_float(62.40)])], [(0.40, 0.008, "pass")]),
    ("06-13 08:56", [("weapon float", [weapon_float(262.00, 245.50)])], [(0.50, 0.044, "pass")]),
    ("06-13 11:24", [("weapon float", [weapon_float(262.00, 245.50)])], [(0.50, 0.044, "pass")]),
    ("06-13 11:52", [("bar shaft float", [shaft_float(62.42)])], [(0.42, 0.008, "pass")]),
    ("06-13 12:24", [("weapon float", [weapon_float(263.10, 245.50)])], [(1.60, 0.044, "fail")]),
    ("06-13 13:17", [("weapon float", [weapon_float(262.05, 245.50)])], [(0.55, 0.044, "pass")]),
    (
        "06-13 13:45",
        [("weapon float", [weapon_float(262.05, 245.20, 0.20, caliper=True)])],
        [(0.65, 0.174, "marginal")],
    ),
    ("06-13 13:52", [("weapon float", [weapon_float(262.05, 245.20, 0.20)])], [(0.65, 0.046, "pass")]),
    (
        "06-13 15:39",
        drive("R", 16, 2, 6),
        [(-1.0, 0.414, "fail"), (8.0, 0.410, "pass"), (0.3, 0.036, "pass"), (18.0, 0.036, "pass")],
    ),
    (
        "06-13 15:42",
        drive("R", 14, 2, 6),
        [(1.0, 0.414, "pass"), (6.0, 0.410, "pass"), (0.3, 0.036, "pass"), (18.0, 0.036, "pass")],
    ),
    ("06-13 15:55", [("weapon float", [weapon_float(262.05, 245.50, 0.20)])], [(0.35, 0.046, "pass")]),
]

STACK_ROWS = [
    StackRow(f"{when} {stack}", chains, *LIMITS[stack.removesuffix(" L").removesuffix(" R")], value, u, verdict)
    for when, stacks, results in _FOUND
    for (stack, chains), (value, u, verdict) in zip(stacks, results, strict=True)
]
