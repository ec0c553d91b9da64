"""What a robot weighs now, without a scale: the last weighing and what has changed since."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.engineering.uncertainty import Doubt, Reading, combined
from pitcrew.engineering.working import KILOGRAMS, Shown, Working, finite, not_negative, with_unit, written
from pitcrew.errors import FigureError

_DISPLAY = "next official display"


class Figured(NamedTuple):
    """A mass worked out, not read: kilograms, its U (k = 2) in kilograms, and how it came about."""

    kg: float
    u_kg: float
    working: Working


def figured(
    anchor_kg: float,
    anchor: Reading,
    changes: Sequence[tuple[int, Reading]],
    next_display_step_kg: float,
    shown: Shown = KILOGRAMS,
) -> Figured:
    """What the official scale is expected to show, from a weighing and the parts changed since.

    Formula: mass = anchor + parts in - parts out;
    U = 2 sqrt( anchor step^2 / 12 + sum over instruments (sum of signs x permissible)^2 / 3
    + each changed part's step^2 / 12 or tolerance^2 / 3 + next display step^2 / 12 ).
    The anchor's instrument joins its own changes: a part weighed on that scale and taken out again
    takes that scale's error with it.

    Args:
        anchor_kg: the last weighing with the scale's known offset applied, in kg.
        anchor: that weighing as shown, with its instrument, step and permissible error, in kg.
        changes: (+1, part in) and (-1, part out), in kg; like for like is both.
        next_display_step_kg: the step of the scale that will decide, in kg; 0 if none will.
        shown: the unit the working is written in.

    Raises:
        FigureError: a number that is not finite, a negative one, an anchor without instrument, or
            more taken out than was there.

    Range: changes all known and weighed or nominal. Source: plain addition; doubt after JCGM
    100:2008, 4.3.7, 5.2.2, F.2.2.1.

    >>> shed = Reading(49.94, "SHS", 0.02, 0.04)
    >>> figured(50.00, shed, [(1, Reading(0.30, "KIT", 0.005, 0.005))], 0.05).working.numbers
    '49.94 + 0.06 offset + 0.300 = 50.300 kg'
    """
    not_negative(anchor_kg, "last weighing")
    if anchor.instrument is None:
        raise FigureError("The last weighing names no scale.", "Name the scale.", "last weighing")
    offset_kg = anchor_kg - anchor.value
    mass_kg = math.fsum([anchor_kg, *(sign * part.value for sign, part in changes)])
    doubt = _doubt([(1, anchor), *changes], next_display_step_kg, shown)
    start = written(anchor.value, shown, anchor.resolution)
    if not math.isclose(anchor.value, anchor_kg, rel_tol=1e-9):
        start += f" {_signed(offset_kg, shown, anchor.resolution)} offset"
    first = f"last weighing {with_unit(start, shown)} on {anchor.instrument}"
    return _result(mass_kg, doubt, (start, first, anchor.resolution), changes, shown)


def rolled_up(parts: Sequence[tuple[int, Reading]], next_display_step_kg: float, shown: Shown = KILOGRAMS) -> Figured:
    """What a robot that was never weighed is expected to show, from its parts.

    Formula: mass = sum of the parts; U as for `figured`, without an anchor.

    Args:
        parts: (+1, part), in kg; -1 for what was cut away and weighed.
        next_display_step_kg: the step of the scale that will decide, in kg; 0 if none will.
        shown: the unit the working is written in.

    Raises:
        FigureError: no parts, a number that is not finite, or a negative one.

    Range: every part in the list; a part forgotten is not in the doubt. Source: plain addition;
    doubt after JCGM 100:2008, 4.3.7, 5.2.2, F.2.2.1.

    >>> each = Reading(1.45, "KIT", 0.005, 0.005)
    >>> total = rolled_up([(1, each)] * 2, 0.0)
    >>> total.kg, round(total.u_kg, 4)
    (2.9, 0.0122)
    """
    if not parts:
        raise FigureError("There are no parts to add up.", "Put parts in the weight list.", "weight list")
    mass_kg = math.fsum(sign * part.value for sign, part in parts)
    return _result(mass_kg, _doubt(parts, next_display_step_kg, shown), None, parts, shown)


def _doubt(readings: Sequence[tuple[int, Reading]], display_step_kg: float, shown: Shown) -> Doubt:
    not_negative(display_step_kg, "display step")
    for _, reading in readings:
        not_negative(reading.value, "mass")
    display = Reading(0.0, _DISPLAY, display_step_kg, 0.0)
    return combined([*readings, (1, display)] if display_step_kg else readings, shown)


def _result(
    mass_kg: float,
    doubt: Doubt,
    anchor: tuple[str, str, float] | None,
    changes: Sequence[tuple[int, Reading]],
    shown: Shown,
) -> Figured:
    if finite(mass_kg, "mass") < 0.0:
        raise FigureError("More was taken out than was there.", "Look for a part logged twice.", "mass")
    steps = [part.resolution for _, part in changes] + ([anchor[2]] if anchor else [])
    terms = [anchor[0]] if anchor else []
    terms += [_signed(sign * part.value, shown, part.resolution) for sign, part in changes]
    total = with_unit(written(mass_kg, shown, min(filter(None, steps), default=0.0)), shown)
    changed = tuple(
        f"{'in' if sign > 0 else 'out'} {with_unit(written(part.value, shown, part.resolution), shown)}"
        f" {part.instrument or 'nominal'}"
        for sign, part in changes
    )
    working = Working(
        inputs=((anchor[1],) if anchor else ()) + changed,
        formula="mass = last weighing + parts in - parts out" if anchor else "mass = sum of the parts",
        numbers=f"{' '.join(terms).removeprefix('+ ')} = {total}",
        result=f"{total}; {doubt.working.numbers}",
        source="plain addition; U after JCGM 100:2008",
        range="every change known, weighed or nominal",
    )
    return Figured(mass_kg, doubt.expanded, working)


def _signed(value_kg: float, shown: Shown, step_kg: float) -> str:
    return f"{'-' if value_kg < 0.0 else '+'} {written(abs(value_kg), shown, step_kg)}"
