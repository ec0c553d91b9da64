"""The rows of a run: each piece with what was read and what it was before, the gap, and what explains it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.bench.runs import PieceNow
from pitcrew.bench.words import doubt
from pitcrew.robot.records import Fact
from pitcrew.tui.page import marked
from pitcrew.tui.pages.gaps import (
    Known,
    cautions,
    explained,
    gap_mark,
    limits_text,
    millimetres,
    past_rows,
    past_words,
    rests_on,
    role_of,
    when_text,
    zones_text,
)
from pitcrew.tui.paint import BLANK, Line, Span, fitted, line, pad, spread, word
from pitcrew.tui.strips import shorten

NARROW, ROOMY = 76, 79
BESIDE, BESIDE_ROOMY = 119, 128
LEFT, LEFT_ROOMY = 70, 79


class Reading(NamedTuple):
    """A piece in a run: the instrument's name, what this run has read, and the figure and fact known before it."""

    now: PieceNow
    tool: str
    read: Fact | None
    before_m: float | None
    before: Fact | None


class Rows(NamedTuple):
    """The parts of the sheet: what always stands on top, the pieces, the gap, and the detail below it."""

    top: list[Line]
    pieces: list[Line]
    bottom: list[Line]
    detail: list[Line]


class _Columns(NamedTuple):
    """Widths: the name, and whether there is room for who read it and for its share of the doubt."""

    name: int
    decimals: int
    when: bool
    share: bool


def sheet_rows(now: Known, readings: Sequence[Reading], at: int, width: int) -> Rows:
    """Everything of a run at a width; what does not fit the height is for the caller to leave out."""
    room = width if width < BESIDE else LEFT if width < BESIDE_ROOMY else LEFT_ROOMY
    columns = _columns(readings, room)
    pieces = [
        marked(_piece(now, reading, columns, index == at), index == at, room) for index, reading in enumerate(readings)
    ]
    top = [_head(now, readings, room), *cautions(now, room), _heading(columns)]
    bottom = [marked(_gap(now, columns, room), at == len(readings), room)]
    detail = [BLANK, *explained(now, room), *rests_on(now, room)]
    if width < BESIDE:
        return Rows(top, pieces, bottom, [*detail, *past_rows(now, room)])
    return _beside(Rows(top, pieces, bottom, detail), now, room, width)


def _columns(readings: Sequence[Reading], width: int) -> _Columns:
    lengths = [length for item in readings for length in (item.now.length_m, item.before_m) if length is not None]
    decimals = max((len(millimetres(length).partition(".")[2]) for length in lengths), default=2)
    return _Columns(22 if width >= ROOMY else 20, decimals, width >= LEFT, width >= ROOMY)


def _head(now: Known, readings: Sequence[Reading], width: int) -> Line:
    gap = now.gap
    read = sum(item.read is not None for item in readings)
    rest = ", the rest stand" if 0 < read < len(readings) else ""
    right = line(
        Span(
            f"  {zones_text(now)}   {read} of {len(readings)} read{rest} "
            if width >= LEFT
            else f"  {read} of {len(readings)} read ",
            "quiet",
        )
    )
    return spread(line("  ", word(gap.requirement.verdict, gap.blocks), f" {now.stack.name}"), right, width)


def _heading(columns: _Columns) -> Line:
    when = "when      " if columns.when else ""
    share = "     doubt" if columns.share else ""
    reading = pad("   reading", 10 + columns.decimals)
    return line(Span(f"    {pad('piece', columns.name)}{reading} with  {when}last      {share}", "quiet"))


def _piece(now: Known, item: Reading, columns: _Columns, here: bool) -> Line:
    sign = "+" if item.now.piece.sign > 0 else "-"
    figure, role = _figure(item, columns, here)
    when = pad(f"{when_text(now.case, item.read.happened)} {item.read.entry.by}" if item.read else "", 10)
    share = (
        f"{item.now.share:>6.0%}" if columns.share and item.now.key is not None and item.now.share is not None else ""
    )
    return line(
        f" {sign} {pad(shorten(item.now.piece.name, columns.name), columns.name)}",
        Span(figure, role),
        Span(f" {pad(shorten(item.tool, 5), 5)} {when if columns.when else ''}", ""),
        Span(pad(_last(now, item), 17), "quiet"),
        Span(share, "quiet"),
    )


def _figure(item: Reading, columns: _Columns, here: bool) -> tuple[str, str]:
    if item.read is not None and item.now.length_m is not None:
        return f"{_aligned(item.now.length_m, columns.decimals)} mm", ""
    asked = "?" if here and item.now.key is not None else ""
    return f"{asked:>6}{' ' * (columns.decimals + 4)}", "yours"


def _aligned(length_m: float, decimals: int) -> str:
    """Digits with the decimal points under each other."""
    text = millimetres(length_m)
    whole, _, fraction = text.partition(".")
    return f"{whole:>6}.{fraction:<{decimals}}"


def _last(now: Known, item: Reading) -> str:
    """What was known of a piece before this run."""
    if item.now.key is None:
        place = now.case.defs.positions.get(item.now.piece.position or "")
        return "none in: counts 0" if place is not None and place.role == "shim" else "no part in"
    if item.read is not None and item.now.length_m is not None:
        if item.before_m is None:
            return "never read before"
        off = millimetres(item.now.length_m - item.before_m)
        change = "no change" if not off.strip("-0.") else off if off.startswith("-") else f"+{off}"
        return f"{millimetres(item.before_m)}, {change}"
    if item.before_m is None:
        return "never read"
    if item.before is None:
        within = f" +-{doubt(item.now.tolerance_m * 1000)}" if item.now.tolerance_m else " as it came"
        return f"{millimetres(item.before_m)}{within}"
    return f"{millimetres(item.before_m)} at {when_text(now.case, item.before.happened)}"


def _gap(now: Known, columns: _Columns, width: int) -> Line:
    gap, stack = now.gap, now.stack
    name = pad(shorten(stack.name, columns.name), columns.name)
    blocks = gap.requirement.verdict in ("fail", "marginal", "recheck", "unchecked") and gap.blocks
    picture = Span(gap_mark(gap, stack), role_of(gap.requirement.verdict, blocks))
    if gap.how == "feeler":
        figure, doubts = pad("   feeler", 10 + columns.decimals), ""
    elif gap.value_m is None:
        figure, doubts = " " * (10 + columns.decimals), ""
    else:
        figure = f"{_aligned(gap.value_m, columns.decimals)} mm"
        doubts = f"+-{doubt(gap.u_m * 1000)}"
    limits = f" {limits_text(stack)}" if width >= NARROW else ""
    return line(f" = {name}{figure} ", pad(doubts, 8), picture, Span(limits, "quiet"))


def _beside(rows: Rows, now: Known, left: int, width: int) -> Rows:
    """The same with the gaps of earlier readings to the right of the pieces."""
    room = width - left - 2
    title = line(Span(f"gap at earlier readings, {limits_text(now.stack)} mm", "quiet"))
    was = [title, *(past_words(now, past) for past in reversed(now.past))]
    head = len(rows.top) - 1
    listed = [*rows.top[head:], *rows.pieces, *rows.bottom, *rows.detail]
    listed += [BLANK] * (len(was) - len(listed))
    joined = [
        line(*fitted(row, left), "  ", *fitted(was[index], room)) if index < len(was) else row
        for index, row in enumerate(listed)
    ]
    pieces, bottom = 1 + len(rows.pieces), 1 + len(rows.pieces) + len(rows.bottom)
    return Rows([*rows.top[:head], joined[0]], joined[1:pieces], joined[pieces:bottom], joined[bottom:])
