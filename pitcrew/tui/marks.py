"""The margin mark: where a reading stands against its limits, in fifteen cells.

The walls `|` stand in the same columns in every mark of one sort, so that a column of marks is read downwards:
two limits have nine cells between them and two outside, one limit has ten inside and four outside. `#` is a
reading that counts, `=` its doubt, `o` a reading that does not count; `<` and `>` say that it is off the picture.

The picture never argues with the word beside it. Where a cell is too coarse to tell, the side that the verdict
says is drawn: a pass keeps off the walls, a marginal reading stands on both sides of one, a fail has nothing inside.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from pitcrew.engineering.conformity import NOISE

WIDTH = 15
"""Cells of every mark."""

_BETWEEN = 9
_COLONS = 4
_HALF_DOUBTS = 2
_FAR = 99
_HAIR = 1e-6
"""Of a cell: what binary fractions may add where a figure falls between two cells."""

_LARGEST = 1e300
_SURE = frozenset(("pass", "warns"))
_MIRROR = str.maketrans("<>", "><")


class _Frame(NamedTuple):
    """A picture before anything is read.

    Cells are counted from the wall in column `first`, 0 being the first inside; `second` is the cell that the other
    sign stands before, and `last` the last inner cell, with the other wall behind it if there is one.
    """

    blank: str
    first: int
    second: int
    last: int


_TWO_LIMITS = _Frame("  |         |  ", 2, _BETWEEN, _BETWEEN - 1)
_ONE_LIMIT = _Frame("    |          ", 4, _FAR, _FAR)
_OWN_MARGIN = _Frame("    |    :     ", 4, _COLONS, _FAR)


class _Drawn(NamedTuple):
    """A reading in cells of a frame: its own, and the first and last that its doubt touches."""

    cell: int
    start: int
    end: int


def mark(
    value_m: float | None,
    u_m: float | None,
    low_m: float | None,
    high_m: float | None,
    verdict: str,
    counts: bool = True,
) -> str:
    """The mark of a reading against one limit or two.

    Between two limits a cell is a ninth of the band. At one limit a cell is half the doubt, so that a pass stands
    at least two cells off; without doubt there is no scale, and only the side can be told.

    Args:
        value_m: the reading, in metres or any other one unit; None if there never was one.
        u_m: its expanded uncertainty, in the same unit; None or less than zero is none. A reading that does not
            count has no doubt drawn, but at one limit it needs it for the scale.
        low_m: the least allowed, in the same unit; None if there is no such limit.
        high_m: the most allowed, in the same unit; None if there is no such limit.
        verdict: the word beside the mark, in capitals or not; any but pass, warns, marginal and fail moves nothing.
        counts: False draws the reading hollow.

    Raises:
        ValueError: a value, doubt or limit that is not a number.

    >>> mark(0.55, 0.04, 0.25, 0.75, "pass")
    '  |    =#=  |  '
    >>> mark(4.2, 0.35, 4.0, None, "MARGINAL")
    '   =|=#==      '
    >>> mark(0.65, 0.05, 0.25, 0.75, "RECHECK", counts=False)
    '  |       o |  '
    """
    value, u = _tame(value_m), max(_tame(u_m) or 0.0, 0.0)
    low, high = _tame(low_m), _tame(high_m)
    if low is not None and high is not None:
        return _between(value, u, min(low, high), max(low, high), verdict.lower(), counts)
    if low is not None:
        return _beside(None if value is None else value - low, u, low, verdict.lower(), counts)
    if high is not None:
        return _mirrored(_beside(None if value is None else high - value, u, high, verdict.lower(), counts))
    return " " * WIDTH


def weight_mark(
    kg: float | None,
    u_kg: float | None,
    limit_kg: float | None,
    margin_kg: float | None,
    verdict: str,
    counts: bool = True,
) -> str:
    """The mark of a weight: the limit as a wall, and the crew's own margin as `:` four cells before it.

    The reading stands on the near side of `:` exactly when it keeps the own margin. Without an own margin it is the
    mark of one upper limit.

    Args:
        kg: the weight, weighed or figured, in kg; None if it is not known.
        u_kg: its expanded uncertainty, in kg; None or less than zero is none.
        limit_kg: the most allowed, in kg; None if there is no limit, then the mark is blank.
        margin_kg: what the crew wants to stay under the limit, in kg; None or 0 if nothing.
        verdict: the word beside the mark, as for `mark`.
        counts: False draws the weight hollow.

    Raises:
        ValueError: a weight, doubt, limit or margin that is not a number.

    >>> weight_mark(113.12, 0.06, 113.40, 0.25, "pass")
    '   =#:=   |    '
    """
    value, limit, margin = _tame(kg), _tame(limit_kg), _tame(margin_kg)
    u = max(_tame(u_kg) or 0.0, 0.0)
    if limit is None or margin is None or margin <= 0.0:
        return mark(value, u, None, limit, verdict, counts)
    if value is None:
        return _mirrored(_OWN_MARGIN.blank)
    under, cell = limit - value, margin / _COLONS
    inside = under >= -NOISE * max(abs(limit), u)
    drawn = _Drawn(_from(under, cell), _from(under - u, cell), _until(under + u, cell))
    return _mirrored(_picture(_OWN_MARGIN, drawn, inside, verdict.lower(), counts))


def _between(value: float | None, u: float, low: float, high: float, word: str, counts: bool) -> str:
    if value is None:
        return _TWO_LIMITS.blank
    leeway, cell = NOISE * max(abs(low), abs(high), u), (high - low) / _BETWEEN
    inside = low - leeway <= value <= high + leeway
    drawn = _Drawn(_from(value - low, cell), _from(value - u - low, cell), _until(value + u - low, cell))
    return _picture(_TWO_LIMITS, drawn, inside, word, counts)


def _beside(distance: float | None, u: float, limit: float, word: str, counts: bool) -> str:
    """The mark at one lower limit; `distance` is how far inside it the reading is."""
    if distance is None:
        return _ONE_LIMIT.blank
    # The scale itself says how many cells the doubt has, wherever in its cell the reading lies.
    doubt = _HALF_DOUBTS if u > 0.0 else 0
    if distance >= -NOISE * max(abs(limit), u):
        whole = _from(max(distance, 0.0), u / _HALF_DOUBTS)
    else:
        whole = min(_from(distance, u / _HALF_DOUBTS), -1)
    if word in _SURE:
        whole = max(whole, doubt)
    elif word == "fail":
        whole = min(whole, -doubt - 1)
    return _picture(_ONE_LIMIT, _Drawn(whole, whole - doubt, whole + doubt), whole >= 0, word, counts)


def _picture(frame: _Frame, found: _Drawn, inside: bool, word: str, counts: bool) -> str:
    cell, start, end = _settled(found, frame.last, inside, word)
    row = list(frame.blank)
    if counts:
        for column in range(max(_column(frame, start), 0), min(_column(frame, end), WIDTH - 1) + 1):
            if row[column] == " ":
                row[column] = "="
    column = _column(frame, cell)
    if column < 0:
        row[0] = "<"
    elif column >= WIDTH:
        row[-1] = ">"
    else:
        row[column] = "#" if counts else "o"
    return "".join(row)


def _settled(found: _Drawn, last: int, inside: bool, word: str) -> _Drawn:
    """The cells of a reading, pushed to the side of the wall that the word says."""
    cell, at_first = found.cell, last == _FAR or found.cell < last / 2
    beyond = -1 if at_first else last + 1
    if inside:
        cell = min(max(cell, 0), last)
    elif 0 <= cell <= last:
        cell = beyond
    start, end = min(found.start, cell), max(found.end, cell)
    if word in _SURE:
        return _Drawn(*(min(max(one, 0), last) for one in (cell, start, end)))
    if word == "fail" and at_first:
        return _Drawn(*(min(one, beyond) for one in (cell, start, end)))
    if word == "fail":
        return _Drawn(*(max(one, beyond) for one in (cell, start, end)))
    if word == "marginal" and not (start < 0 <= end or start <= last < end):
        near, far = sorted((beyond, 0 if at_first else last))
        return _Drawn(cell, min(start, near), max(end, far))
    return _Drawn(cell, start, end)


def _column(frame: _Frame, cell: int) -> int:
    return frame.first + cell + (cell >= 0) + (cell >= frame.second)


def _from(length: float, cell: float) -> int:
    """The cell that begins at this length from the wall, or holds it."""
    return math.floor(_cells(length, cell) + _HAIR)


def _until(length: float, cell: float) -> int:
    """The cell that ends at this length from the wall, or holds it."""
    return math.ceil(_cells(length, cell) - _HAIR) - 1


def _cells(length: float, cell: float) -> float:
    """A length in cells, no further out than any picture reaches; what has no scale is far unless it is nothing."""
    cells = length / cell if cell > 0.0 else math.copysign(_FAR, length) if length else 0.0
    return min(max(cells, -float(_FAR)), float(_FAR))


def _tame(number: float | None) -> float | None:
    """A number whose sums and differences stay finite.

    Raises:
        ValueError: it is not a number.
    """
    if number is None:
        return None
    if math.isnan(number):
        raise ValueError("a mark needs numbers, and one of them is not a number")
    return min(max(number, -_LARGEST), _LARGEST)


def _mirrored(picture: str) -> str:
    return picture[::-1].translate(_MIRROR)
