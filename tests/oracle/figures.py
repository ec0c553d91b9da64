"""Values, their doubt, and the decision, written out from the formulas once more."""

from __future__ import annotations

import math
from typing import NamedTuple

from pitcrew.robot.records import Fact

from .lines import Book, Detail, newest


class Figure(NamedTuple):
    """One value with what it was read by (or made to), and the entry it comes from, if any."""

    value: float
    instrument: str | None = None
    step: float = 0.0
    permissible: float = 0.0
    tolerance: float = 0.0
    entry: str | None = None


def figure(book: Book, shown: float, instrument: str | None, tolerance: float | None, entry: str | None) -> Figure:
    """A value with the doubt of its instrument; without one, that of its tolerance, if it has any.

    A figure that comes from an entry is what the instrument showed, so its offset is added; one that stands
    in a definition is already what it means.
    """
    sheet = book.definition("instrument", instrument)
    if sheet is None:
        return Figure(shown, tolerance=tolerance or 0.0, entry=entry)
    permissible = (sheet.get("permissible") or 0.0) + abs(shown) * (sheet.get("permissible_percent") or 0.0) / 100
    offset = (sheet.get("offset") or 0.0) if entry is not None else 0.0
    return Figure(shown + offset, instrument, sheet["resolution"], permissible, entry=entry)


def doubt(signed: list[tuple[int, Figure]]) -> float:
    """U = 2 sqrt(sum per instrument (sum signs x permissible)^2/3 + steps^2/12 + tolerances^2/3)."""
    variance = 0.0
    for instrument in {part.instrument for _, part in signed if part.instrument is not None}:
        error = sum(sign * part.permissible for sign, part in signed if part.instrument == instrument)
        variance += error**2 / 3
    for _, part in signed:
        variance += part.step**2 / 12 + part.tolerance**2 / 3
    return 2 * math.sqrt(variance)


def margin_of(value: float, low: float | None, high: float | None) -> float:
    """Distance to the nearest limit, negative outside."""
    above = math.inf if low is None else value - low
    below = math.inf if high is None else high - value
    return min(above, below)


def decide(value: float, u: float, low: float | None, high: float | None) -> tuple[str, bool]:
    """The word, and whether the value itself lies inside; borders give way by 1e-9 of the largest number."""
    margin = margin_of(value, low, high)
    slack = 1e-9 * max(abs(low or 0.0), abs(high or 0.0), u)
    inside = margin >= -slack
    if margin >= u - slack:
        return "pass", inside
    if margin < -u - slack:
        return "fail", inside
    return "marginal", inside


def of_reading(book: Book, reading: Fact) -> Figure:
    """What a dimension reading says, in metres."""
    detail = reading.detail
    return figure(book, detail["value_m"], detail.get("instrument"), detail.get("tolerance_m"), reading.id)


def of_dimension(book: Book, part: Detail, dimension: str) -> Figure | None:
    """What a part's definition says of a dimension, in metres."""
    stated = (part.get("dimensions") or {}).get(dimension)
    if stated is None:
        return None
    return figure(book, stated["value_m"], stated.get("instrument"), stated.get("tolerance_m"), None)


def mass_of(book: Book, part: str) -> Figure | None:
    """What a part weighs, in kilograms: its newest weighing, else its definition."""
    weighing = newest(book.all("part_weighed", part))
    if weighing is not None:
        detail = weighing.detail
        return figure(book, detail["value_kg"], detail.get("instrument"), None, weighing.id)
    sheet = book.definition("part", part) or {}
    if sheet.get("mass_kg") is None:
        return None
    return figure(book, sheet["mass_kg"], sheet.get("mass_instrument"), sheet.get("mass_tolerance_kg"), None)
