"""Weights through time, drawn with letters: a capital where a scale was read, a small letter where it was figured."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from pitcrew.text import plain
from pitcrew.tui.strips import cell_width, characters

Points = Sequence[tuple[int, float | None, bool]]
"""Steps of one line: from when (ms), how heavy (kg), and whether a scale was read or the sum was figured.

Where the weight is None it is not known, and the line has a gap.
"""

_LARGEST_KG = 1e12
_FINEST_POWER = -4
_LONELY_POWER = -2
_FEWEST_COLUMNS = 10
_DOT_EVERY = 4
_REACH = 3
_TICK_COLUMNS = 12
_MINUTE_MS = 60_000
_TICK_MINUTES = (5, 10, 15, 30, 60, 120, 180, 360, 720, 1440)


class Line(NamedTuple):
    """One weight through time: its letter, a to z in either case, and its steps in any order."""

    letter: str
    points: Points


class Span(NamedTuple):
    """The time that is drawn, in ms; a line whose last step is past ends at `now_ms`, or at the end without one."""

    start_ms: int
    end_ms: int
    now_ms: int | None = None
    zone_ms: int = 0
    """What local time is ahead of UTC, so that the hours of the axis are whole local hours."""


class _Scale(NamedTuple):
    """Rows of weight: each is a whole number of steps of `step` times ten to `power` kg."""

    step: int
    power: int
    top: int
    rows: int

    def nearest(self, kg: float) -> int:
        return _nearest(kg, self.step, self.power)

    def row(self, kg: float) -> int:
        """The row of a weight, counted from the top; outside 0 to `rows` if it is off the picture."""
        return self.top - self.nearest(kg)

    def label(self, row: int) -> str:
        return f"{(self.top - row) * self.step * 10.0**self.power:.{max(-self.power, 0)}f}"


Grid = list[list[str]]


def weight_plot(
    lines: Sequence[Line],
    limit_kg: float | None,
    margin_kg: float | None,
    span: Span,
    clock_text: Callable[[int], str],
    width: int,
    height: int,
    moments: Sequence[tuple[int, str]] = (),
    steps: Sequence[tuple[int, float, str]] = (),
) -> list[str]:
    """The rows of the plot: weights downwards, and the time axis as the last row.

    The kg of a row are the least of 1, 2, 5 times a power of ten with which every weight in the span, the limit and
    the own margin stand on the picture. Where lines meet, a capital covers a small letter and an earlier line a
    later one.

    Args:
        lines: the weights; a step before the span shows where it still holds, one behind the span does not.
        limit_kg: the most allowed, drawn as dashes; None if there is no limit.
        margin_kg: what the crew wants to stay under the limit, drawn as dots; None or 0 if nothing.
        span: the time drawn.
        clock_text: what the axis says at a whole local hour or a part of it (ms).
        width: cells of a row.
        height: rows, with the time axis.
        moments: (ms, label) of fights and calls, on the time axis before any hour.
        steps: (ms, kg after it, label) of changes, the one that matters most first; placed beside the step where
            there is room, else left out.

    Returns:
        `height` rows, none wider than `width`, without blanks at their ends. User text is cleaned.

    Raises:
        ValueError: a weight that is not a number or is beyond any, or a letter that is not one of a to z.
    """
    if height < 1:
        return []
    for line in lines:
        if not (len(line.letter) == 1 and line.letter.isascii() and line.letter.isalpha()):
            raise ValueError(f"a line of the plot needs a letter from a to z, not {line.letter!r}")
    own_kg = limit_kg - margin_kg if limit_kg is not None and margin_kg is not None and margin_kg > 0 else None
    scale = _scale([*_weights(lines, span), *(kg for kg in (limit_kg, own_kg) if kg is not None)], height - 1)
    labels = [scale.label(row) for row in range(scale.rows)] if scale is not None else [""] * (height - 1)
    axis = max(len(label) for label in [*labels, "time"])
    columns = width - axis - 1
    if columns < _FEWEST_COLUMNS:
        return [""] * height
    grid = [[" "] * columns for _ in range(height)]
    if scale is not None:
        _draw_lines(grid, lines, span, scale)
        _draw_limits(grid, limit_kg, own_kg, scale)
        _draw_steps(grid, steps, span, scale)
    _draw_time(grid[-1], span, clock_text, moments)
    heads = [*labels, "time"]
    return [f"{head:>{axis}} {''.join(row)}".rstrip() for head, row in zip(heads, grid, strict=True)]


def _weights(lines: Sequence[Line], span: Span) -> Iterator[float]:
    for line in lines:
        for _, _, kg, _ in _runs(line.points, span, _FEWEST_COLUMNS):
            yield kg


def _nearest(kg: float, step: int, power: int) -> int:
    """The whole number of steps nearest to a weight, the heavier of two; 113.15 must not fall short by a hair."""
    tens = kg * 10.0**-power if power <= 0 else kg / 10.0**power
    return math.floor(tens / step + 0.5 + 1e-9)


def _scale(weights: Sequence[float], rows: int) -> _Scale | None:
    """The finest scale on which all these weights find a row; None if there is nothing to draw."""
    for kg in weights:
        if not abs(kg) <= _LARGEST_KG:
            raise ValueError(f"a weight of {kg} kg cannot be drawn")
    if not weights or rows < 1:
        return None
    low, high = min(weights), max(weights)
    power = _FINEST_POWER if high > low else _LONELY_POWER
    while True:
        for step in (1, 2, 5):
            top, bottom = _nearest(high, step, power), _nearest(low, step, power)
            spare = rows - (top - bottom + 1)
            if spare >= 0:
                return _Scale(step, power, top + spare // 2, rows)
        power += 1


def _column(ms: int, span: Span, columns: int) -> int:
    """The column of an instant; the end belongs to the last one."""
    whole = max(span.end_ms - span.start_ms, 1)
    return min(max((ms - span.start_ms) * columns // whole, 0), columns - 1)


def _runs(points: Points, span: Span, columns: int) -> Iterator[tuple[int, int, float, bool]]:
    """Each step in the span: its first column, the column where the next one begins, kg, whether a scale was read.

    A step from before the span is never said to be read there: the scale was not read in that column.
    """
    known = sorted((point for point in points if point[0] <= span.end_ms), key=lambda point: point[0])
    if not known:
        return
    now_ms = span.end_ms if span.now_ms is None else min(span.now_ms, span.end_ms)
    last_ms = max(now_ms, known[-1][0])
    ends_ms = [ms for ms, _, _ in known[1:]]
    for (ms, kg, weighed), until_ms in zip(known, [*ends_ms, None], strict=True):
        over = last_ms < span.start_ms if until_ms is None else until_ms <= span.start_ms
        if kg is None or (over and ms < span.start_ms):
            continue
        begin = _column(ms, span, columns)
        end = _column(last_ms, span, columns) + 1 if until_ms is None else _column(until_ms, span, columns)
        yield begin, end, kg, weighed and ms >= span.start_ms


def _draw_lines(grid: Grid, lines: Sequence[Line], span: Span, scale: _Scale) -> None:
    columns = len(grid[0])
    found = [(line.letter, list(_runs(line.points, span, columns))) for line in lines]
    for letter, runs in reversed(found):
        for begin, end, kg, _ in runs:
            grid[scale.row(kg)][begin:end] = [letter.lower()] * (end - begin)
    for letter, runs in reversed(found):
        for begin, _, kg, weighed in runs:
            if weighed:
                grid[scale.row(kg)][begin] = letter.upper()


def _draw_limits(grid: Grid, limit_kg: float | None, own_kg: float | None, scale: _Scale) -> None:
    if limit_kg is None:
        return
    wall, own = f"limit {_written(limit_kg)}", f"own margin {_written(own_kg or 0.0)}"
    together = own_kg is not None and scale.row(own_kg) == scale.row(limit_kg)
    row = grid[scale.row(limit_kg)]
    gap = (together and _label(row, f"{wall}, {own}", 3)) or _label(row, wall, 3)
    _rule(row, "-", 1, gap)
    if own_kg is not None and not together:
        row = grid[scale.row(own_kg)]
        _rule(row, ".", _DOT_EVERY, _label(row, own, 2))


def _written(kg: float) -> str:
    """A weight to the gram, its last nought left out."""
    text = f"{kg:.3f}"
    return text.removesuffix("0")


def _label(row: list[str], text: str, first: int) -> range | None:
    """Write a label into the first gap of a row from a column on; the columns it keeps free of anything else."""
    cells = _cells(text)
    for at in range(first, len(row) - len(cells) + 1):
        if _put(row, cells, at):
            return range(at - 1, at + len(cells) + 1)
    return None


def _rule(row: list[str], sign: str, every: int, gap: range | None) -> None:
    for column in range(0, len(row), every):
        beside = row[max(column - 1, 0) : column + 2] if every > 1 else row[column : column + 1]
        if all(cell == " " for cell in beside) and (gap is None or column not in gap):
            row[column] = sign


def _cells(text: str) -> list[str]:
    """A cleaned text cell by cell: behind a character that takes two cells stands an empty one."""
    cells: list[str] = []
    for piece in characters(plain(text)):
        taken = cell_width(piece)
        cells += [piece, *[""] * (taken - 1)] if taken else []
    return cells


def _put(row: list[str], cells: list[str], at: int) -> bool:
    """Write cells into a row if they stand free there, with a blank or the edge on both sides."""
    end = at + len(cells)
    if not cells or at < 0 or end > len(row) or any(cell != " " for cell in row[max(at - 1, 0) : end + 1]):
        return False
    row[at:end] = cells
    return True


def _draw_steps(grid: Grid, steps: Sequence[tuple[int, float, str]], span: Span, scale: _Scale) -> None:
    """Labels of changes: on the row of the new weight or the nearest with room, behind the step or before it."""
    columns = len(grid[0])
    for ms, kg, text in steps:
        if not (span.start_ms <= ms <= span.end_ms and abs(kg) <= _LARGEST_KG):
            continue
        cells, column, home = _cells(text), _column(ms, span, columns), scale.row(kg)
        rows = [row for row in _outwards(home) if 0 <= row < scale.rows]
        places = (min(column, columns - len(cells)), column - 1 - len(cells))
        any(_put(grid[row], cells, at) for row in rows for at in places)


def _outwards(home: int) -> Iterator[int]:
    yield home
    for away in range(1, _REACH + 1):
        yield home - away
        yield home + away


def _draw_time(
    row: list[str], span: Span, clock_text: Callable[[int], str], moments: Sequence[tuple[int, str]]
) -> None:
    columns = len(row)
    # From the latest back: where there is room for one, it is the call that is still to come.
    known = [(ms, text) for ms, text in sorted(moments, reverse=True) if span.start_ms <= ms <= span.end_ms]
    for ms, text in [*known, *((ms, clock_text(ms)) for ms in _ticks(span, columns))]:
        cells = _cells(text)
        _put(row, cells, min(_column(ms, span, columns), columns - len(cells)))


def _ticks(span: Span, columns: int) -> range:
    """Instants on whole local parts of the day, far enough apart to be read."""
    whole_ms = max(span.end_ms - span.start_ms, 1)
    minutes = [*_TICK_MINUTES]
    while minutes[-1] * _MINUTE_MS * columns < _TICK_COLUMNS * whole_ms:
        minutes.append(minutes[-1] * 2)
    every = next(one * _MINUTE_MS for one in minutes if one * _MINUTE_MS * columns >= _TICK_COLUMNS * whole_ms)
    first = -(-(span.start_ms + span.zone_ms) // every) * every - span.zone_ms
    return range(first, span.end_ms + 1, every)
