"""From what was logged to a figure with its doubt: instrument step, permissible error and offset, or a tolerance."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from pitcrew.engineering.conformity import Decision, decide
from pitcrew.engineering.uncertainty import Reading, combined, permissible_of
from pitcrew.readiness.case import Case
from pitcrew.robot.records import Fact

# A robot's figures are some hundreds, and nearly all are the same when it is judged again a key press later.
KEPT = 1024


class Figure(NamedTuple):
    """A reading fit for arithmetic, and the fact it came from (None: it came with the part's definition)."""

    reading: Reading
    fact: Fact | None = None


def reading_with(
    case: Case, value: float, instrument: str | None, tolerance: float | None, offset: bool = True
) -> Reading:
    """A figure (SI) as its instrument gives it: offset added, step and permissible error from its definition.

    A figure with neither instrument nor tolerance carries no doubt of its own.
    """
    tool = case.defs.instruments.get(instrument) if instrument else None
    if tool is None:
        return Reading(value, None, 0.0, 0.0, tolerance or 0.0)
    true = value + tool.offset if offset else value
    permissible = 0.0
    if tool.permissible is not None or tool.permissible_percent is not None:
        permissible = permissible_of(true, tool.permissible, tool.permissible_percent)
    return Reading(true, tool.id, tool.resolution, permissible)


def figure_of(case: Case, fact: Fact, name: str) -> Figure:
    """The figure a fact carries under `name`."""
    detail = fact.detail
    return Figure(reading_with(case, float(detail[name]), detail.get("instrument"), detail.get("tolerance_m")), fact)


class Against(NamedTuple):
    """A single length against its limits: the decision, and the figures a reason names."""

    decision: Decision
    figures: tuple[tuple[str, float | int | str | None], ...]


def length_against(case: Case, fact: Fact, low_m: float | None, high_m: float | None) -> Against:
    """The length a fact carries, with its own doubt, against limits in metres."""
    reading = figure_of(case, fact, "value_m").reading
    decision = decided(reading, low_m, high_m)
    figures = (
        ("value_m", reading.value),
        ("u_m", doubt_of(reading)),
        ("low_m", low_m),
        ("high_m", high_m),
        ("margin_m", decision.margin),
    )
    return Against(decision, figures)


@lru_cache(maxsize=KEPT)
def doubt_of(figure: Reading) -> float:
    """The expanded doubt of a single figure."""
    return combined([(1, figure)]).expanded


@lru_cache(maxsize=KEPT)
def decided(figure: Reading, low: float | None, high: float | None) -> Decision:
    """A single figure against its limits, by its own doubt."""
    return decide(figure.value, doubt_of(figure), low, high)
