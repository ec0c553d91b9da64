"""The weight plot: every weighing in its place, and nothing outside the box."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.tui.plot import Line, Span, weight_plot
from pitcrew.tui.strips import cell_width, characters

HOUR, MINUTE = 3_600_000, 60_000
SPAN = Span(0, 8 * HOUR, 7 * HOUR)


def clock_text(ms: int) -> str:
    hour, minute = ms // HOUR % 24, ms // MINUTE % 60
    return f"{hour:02}:{minute:02}" if minute else f"{hour:02}"


def at(hour: int, minute: int) -> int:
    return hour * HOUR + minute * MINUTE


DAY = Span(at(7, 45), at(16, 7), at(15, 24))
WITH_DRUM = Line("A", [(at(7, 50), 112.50, True), (at(9, 2), 112.50, True), (at(13, 5), 112.77, False)])
WITH_BAR = Line("B", [(at(8, 15), 112.90, True), (at(13, 5), 113.22, False), (at(14, 20), 113.12, True)])
FIGHTS = [(at(10, 30), "H1"), (at(12, 2), "H2"), (at(15, 10), "H3"), (at(16, 7), "call")]
CHANGES = [(at(13, 5), 113.22, "upright L +0.27"), (at(14, 20), 113.12, "bumper off -0.10")]
PICTURE = """\
113.4 -- limit 113.40 ----------------------------------------------------
113.3                                            upright L +0.27
113.2 . own margin 113.15 .   .   .   .   .   .  bbbbbbbbbb   .   .   .
113.1                                     bumper off -0.10 Bbbbbbbbbb
113.0
112.9     Bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb
112.8                                            aaaaaaaaaaaaaaaaaaaa
112.7
112.6
112.5 AaaaaaaaaaAaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa
 time   08              10  H1          H2              14        H3  call
"""

weights = st.integers(11000, 11600).map(lambda n: n / 100) | st.floats(0.1, 200)
points = st.lists(st.tuples(st.integers(-2 * HOUR, 10 * HOUR), st.none() | weights, st.booleans()), max_size=8)
lines = st.lists(points, max_size=3).map(
    lambda found: [Line(letter, one) for letter, one in zip("ABC", found, strict=False)]
)
texts = st.sampled_from(["H1", "H2", "call", "wheel 3 +0.03", "\u8ef8\u53d7 +0.10", "a\nb", "g\u030ag", "", "x" * 200])
moments = st.lists(st.tuples(st.integers(-HOUR, 9 * HOUR), texts), max_size=6)
steps = st.lists(st.tuples(st.integers(-HOUR, 9 * HOUR), weights, texts), max_size=6)
boxes = st.tuples(st.integers(40, 150), st.integers(6, 40))
limits = st.none() | weights
margins = st.none() | st.floats(0, 2)


def test_a_day_of_two_configurations() -> None:
    plot = weight_plot([WITH_DRUM, WITH_BAR], 113.40, 0.25, DAY, clock_text, 74, 11, FIGHTS, CHANGES)
    assert plot == PICTURE.splitlines()


@given(lines=lines, limit=limits, margin=margins, box=boxes, moments=moments, steps=steps)
def test_nothing_stands_outside_the_box(
    lines: list[Line],
    limit: float | None,
    margin: float | None,
    box: tuple[int, int],
    moments: list[tuple[int, str]],
    steps: list[tuple[int, float, str]],
) -> None:
    width, height = box
    plot = weight_plot(lines, limit, margin, SPAN, clock_text, width, height, moments, steps)
    assert len(plot) == height
    assert all(cell_width(row) <= width and row == row.rstrip() and "\n" not in row for row in plot)
    assert plot == weight_plot(lines, limit, margin, SPAN, clock_text, width, height, moments, steps)


def body(plot: list[str]) -> tuple[int, list[float], list[str]]:
    """Where the picture begins, the weight of each row, and the rows without their heads, a character a cell."""
    begin = plot[-1].index("time") + len("time ")
    return begin, [float(row[:begin]) for row in plot[:-1]], [in_cells(row[begin:]) for row in plot[:-1]]


def in_cells(row: str) -> str:
    return "".join(piece[0].ljust(cell_width(piece), "_") for piece in characters(row))


@given(lines=lines, limit=limits, margin=margins, box=boxes, steps=steps)
def test_every_weighing_is_a_capital_in_its_column_on_the_nearest_row(
    lines: list[Line],
    limit: float | None,
    margin: float | None,
    box: tuple[int, int],
    steps: list[tuple[int, float, str]],
) -> None:
    width, height = box
    plot = weight_plot(lines, limit, margin, SPAN, clock_text, width, height, (), steps)
    for line in lines:
        for ms, kg, weighed in line.points:
            if kg is None or not weighed or not SPAN.start_ms <= ms <= SPAN.end_ms:
                continue
            begin = plot[-1].index("time") + len("time ")
            columns = width - begin
            column = min(ms * columns // SPAN.end_ms, columns - 1)
            signs = on_row(plot, kg, column)
            assert signs & set("ABC"[: "ABC".index(line.letter) + 1]), (line.letter, ms, kg)


@given(lines=lines, limit=weights, margin=margins, box=boxes)
def test_all_that_matters_is_on_the_picture_at_even_steps(
    lines: list[Line], limit: float, margin: float | None, box: tuple[int, int]
) -> None:
    plot = weight_plot(lines, limit, margin, SPAN, clock_text, *box)
    _, heads, _ = body(plot)
    if len(heads) > 1:
        step = heads[0] - heads[1]
        assert f"{step:.0e}"[0] in "125"
        assert all(math.isclose(a - b, step, rel_tol=1e-6) for a, b in pairwise(heads))
        assert min(heads) - step <= limit <= max(heads) + step


@given(lines=lines, limit=limits, box=boxes)
def test_in_every_column_each_line_stands_where_its_newest_step_is(
    lines: list[Line], limit: float | None, box: tuple[int, int]
) -> None:
    plot = weight_plot(lines, limit, None, SPAN, clock_text, *box)
    begin = plot[-1].index("time") + len("time ")
    columns = box[0] - begin

    def column_of(ms: int) -> int:
        return min(max(ms * columns // SPAN.end_ms, 0), columns - 1)

    for line in lines:
        known = [point for point in line.points if point[0] <= SPAN.end_ms]
        if not known:
            continue
        last_ms = max(7 * HOUR, *(ms for ms, _, _ in known))
        for column in range(column_of(last_ms) + 1):
            begun = [(ms, order) for order, (ms, _, _) in enumerate(known) if column_of(ms) <= column]
            kg = known[max(begun)[1]][1] if begun else None
            if kg is not None:
                assert on_row(plot, kg, column) & set("abcABC"), (line, column)


def on_row(plot: list[str], kg: float, column: int) -> set[str]:
    """What stands in a column on the row nearest to a weight, or on the two that are equally near."""
    _, heads, rows = body(plot)
    nearest = min(abs(head - kg) for head in heads)
    near = [row for head, row in zip(heads, rows, strict=True) if abs(head - kg) <= nearest + 1e-6]
    return {row[column] for row in near if column < len(row)}


@given(kg=weights, first=st.integers(0, 7 * HOUR), box=boxes)
def test_a_line_runs_from_its_first_step_to_now(kg: float, first: int, box: tuple[int, int]) -> None:
    plot = weight_plot([Line("c", [(first, kg, False)])], None, None, SPAN, clock_text, *box)
    _, _, rows = body(plot)
    columns = box[0] - plot[-1].index("time") - len("time ")
    [drawn] = [row for row in rows if row]
    assert drawn.strip() == drawn.strip()[0] * len(drawn.strip()) and drawn.strip()[0] == "c"
    assert drawn.index("c") == first * columns // (8 * HOUR)
    assert len(drawn) == 7 * HOUR * columns // (8 * HOUR) + 1


def test_a_capital_covers_a_small_letter_and_an_earlier_line_a_later_one() -> None:
    same = [(0, 5.0, False), (4 * HOUR, 5.0, True)]
    plot = weight_plot([Line("a", [(0, 5.0, False)]), Line("b", same)], None, None, SPAN, clock_text, 45, 6)
    [row] = [row for row in plot[:-1] if "a" in row]
    assert row.count("B") == 1 and "b" not in row


def test_two_weighings_in_one_column_are_both_seen() -> None:
    twice = Line("a", [(0, 5.0, False), (HOUR, 5.5, True), (HOUR + 1, 5.2, True)])
    plot = weight_plot([twice], None, None, SPAN, clock_text, 60, 10)
    assert [row.count("A") for row in plot[:-1] if "A" in row] == [1, 1]


def test_a_weighing_replaced_at_once_is_still_seen() -> None:
    plot = weight_plot([Line("a", [(0, 5.0, True), (0, 5.5, False)])], None, None, SPAN, clock_text, 60, 10)
    assert sum(row.count("A") for row in plot) == 1


def test_a_weighing_from_before_the_span_holds_but_was_not_read_there() -> None:
    plot = weight_plot([Line("a", [(-HOUR, 5.0, True)])], None, None, SPAN, clock_text, 45, 6)
    assert "a" * 36 in "".join(plot) and "A" not in "".join(plot)


def test_what_is_planned_stands_behind_now() -> None:
    planned = Line("a", [(0, 5.0, True), (7 * HOUR + 30 * MINUTE, 5.5, False)])
    plot = weight_plot([planned], None, None, SPAN, clock_text, 45, 6)
    assert sum(row.count("a") for row in plot[:-1]) == 37


def test_of_two_rows_equally_near_the_heavier_is_taken() -> None:
    """10.10 - 0.05 is a hair under 10.05 in binary."""
    plot = weight_plot([Line("a", [(0, 9.5, True)])], 10.10, 0.05, SPAN, clock_text, 60, 8)
    assert "limit 10.10, own margin 10.05" in next(row for row in plot if row.startswith("10.1"))


def test_an_unknown_weight_is_a_gap() -> None:
    parted = Line("a", [(0, 5.0, False), (2 * HOUR, None, False), (4 * HOUR, 5.0, False)])
    [row] = [row for row in weight_plot([parted], None, None, SPAN, clock_text, 45, 6) if "a" in row]
    assert row.split(" ", 1)[1].split() == ["a" * 10, "a" * 16]


def test_limit_and_own_margin_on_one_row_share_a_label() -> None:
    wide = Line("a", [(0, 50.0, True)])
    plot = weight_plot([wide], 113.40, 0.25, SPAN, clock_text, 70, 6)
    assert any("-- limit 113.40, own margin 113.15 --" in row for row in plot)
    plot = weight_plot([wide], 113.40, 0.25, SPAN, clock_text, 32, 6)
    assert any("-- limit 113.40 --" in row for row in plot) and "own" not in "".join(plot)
    assert "limit 13.608 -" in "".join(weight_plot([], 13.608, None, SPAN, clock_text, 60, 6))


def test_letters_are_never_written_over() -> None:
    heavy = Line("a", [(0, 113.40, True), (6 * HOUR, 113.15, True)])
    plot = weight_plot([heavy], 113.40, 0.25, SPAN, clock_text, 66, 8, (), [(HOUR, 113.40, "ballast +0.30")])
    limit = next(row for row in plot if row.startswith("113.40"))
    assert "A" + "a" * 43 + " limit 113.40 -" in limit
    assert "ballast +0.30" in "".join(plot) and "ballast" not in limit


def test_a_label_without_room_is_left_out() -> None:
    crowd = [(4 * HOUR, 5.0, f"part number {n} +0.01") for n in range(40)]
    plot = weight_plot([Line("a", [(0, 5.0, True)])], None, None, SPAN, clock_text, 60, 10, (), crowd)
    shown = [n for n in range(40) if any(f"part number {n} +0.01" in row for row in plot)]
    assert 0 in shown and 39 not in shown


def test_fights_come_before_hours_and_the_call_before_all() -> None:
    fights = [(2 * HOUR, "H1"), (7 * HOUR + 30 * MINUTE, "H2"), (8 * HOUR, "call")]
    axis = weight_plot([], 5.0, None, SPAN, clock_text, 45, 6, fights)[-1]
    assert axis.endswith("call") and "H1" in axis and "H2" not in axis
    assert "02" not in axis.split() and "04" not in axis and "00" in axis


def test_the_hours_are_local_ones() -> None:
    half = HOUR // 2
    span = Span(0, 8 * HOUR, None, half)
    axis = weight_plot([], 5.0, None, span, lambda ms: clock_text(ms + half), 60, 6)[-1]
    assert axis.split()[1:] == ["02", "04", "06", "08"]


def test_nothing_to_draw_leaves_the_time_axis() -> None:
    plot = weight_plot([], None, None, SPAN, clock_text, 60, 6)
    assert plot[:-1] == [""] * 5 and plot[-1].startswith("time")
    assert weight_plot([WITH_BAR], 113.4, 0.25, DAY, clock_text, 12, 6) == [""] * 6
    assert weight_plot([WITH_BAR], 113.4, 0.25, DAY, clock_text, 60, 0) == []
    assert len(weight_plot([WITH_BAR], 113.4, 0.25, DAY, clock_text, 60, 1)) == 1
    assert len(weight_plot([WITH_BAR], 113.4, 0.25, Span(5, 5), clock_text, 60, 6)) == 6


def test_what_cannot_be_drawn_is_refused() -> None:
    for kg in (math.nan, math.inf, 1e300):
        with pytest.raises(ValueError, match="cannot be drawn"):
            weight_plot([Line("a", [(0, kg, True)])], None, None, SPAN, clock_text, 60, 6)
    for letter in ("", "ab", "1", "\u00e4"):
        with pytest.raises(ValueError, match="letter"):
            weight_plot([Line(letter, [])], None, None, SPAN, clock_text, 60, 6)
