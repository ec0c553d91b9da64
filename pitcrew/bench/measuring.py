"""Readings: a dimension, a run through the pieces of a stack, a gap measured directly, a weight."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.stacks import key_of
from pitcrew.robot.definitions import Piece


class Read(NamedTuple):
    """One piece read: what it is, its figure in metres, what with, and the figure as typed."""

    piece: Piece
    value_m: float
    instrument: str | None = None
    typed: str = ""


def dimension(
    desk: Desk,
    of: str,
    name: str,
    value_m: float,
    instrument: str | None = None,
    typed: str = "",
    note: str = "",
) -> list[Draft]:
    """A dimension of a part (or of the robot's structure, by the robot's id), metres."""
    detail = {
        "of": of,
        "dimension": name,
        "value_m": value_m,
        "instrument": desk.instrument(instrument),
        "typed": typed or None,
    }
    return [desk.draft("reading", f"{of}/{name}", detail, note=note)]


def pieces(desk: Desk, reads: Sequence[Read], note: str = "") -> list[Draft]:
    """Pieces of a stack, one reading each, of whatever part sits there now."""
    case = desk.case()
    drafts: list[Draft] = []
    for read in reads:
        key = key_of(case, read.piece)
        if key is None:
            raise EntryError(f"nothing sits where {read.piece.name} is read.", "Put the part in first.", "piece")
        of, name = key.rsplit("/", 1)
        drafts += dimension(desk, of, name, read.value_m, read.instrument, read.typed, note)
    return drafts


def direct(
    desk: Desk, stack: str, value_m: float, instrument: str | None = None, typed: str = "", note: str = ""
) -> list[Draft]:
    """A gap measured directly, metres."""
    known(desk.definitions().stacks, stack, "stack")
    detail = {"value_m": value_m, "instrument": desk.instrument(instrument), "typed": typed or None}
    return [desk.draft("direct", stack, detail, note=note)]


def feeler(desk: Desk, stack: str, goes_m: float | None, stops_m: float | None, note: str = "") -> list[Draft]:
    """A gap by feeler: which one went in, which did not, metres."""
    known(desk.definitions().stacks, stack, "stack")
    return [desk.draft("direct", stack, {"goes_m": goes_m, "stops_m": stops_m}, note=note)]


def weigh_robot(
    desk: Desk, configuration: str, value_kg: float, instrument: str, typed: str = "", note: str = ""
) -> list[Draft]:
    """What a scale shows for the robot in a configuration, kg."""
    known(desk.definitions().configurations, configuration, "configuration")
    detail = {"value_kg": value_kg, "instrument": desk.instrument(instrument), "typed": typed or None}
    return [desk.draft("weighed", configuration, detail, note=note)]


def tip_speed(desk: Desk, configuration: str, value_m_s: float, typed: str = "", note: str = "") -> list[Draft]:
    """How fast the weapon's tip is in a configuration at full charge, m/s: figured or measured."""
    known(desk.definitions().configurations, configuration, "configuration")
    return [desk.draft("tip_speed", configuration, {"value_m_s": value_m_s, "typed": typed or None}, note=note)]


def weigh_part(
    desk: Desk, part: str, value_kg: float, instrument: str | None = None, typed: str = "", note: str = ""
) -> list[Draft]:
    """What a scale shows for a part, kg."""
    detail = {"value_kg": value_kg, "instrument": desk.instrument(instrument), "typed": typed or None}
    return [desk.draft("part_weighed", desk.part(part), detail, note=note)]
