"""The margin mark: where it stands, and that it never argues with the word beside it."""

from __future__ import annotations

import math
import sys
import timeit

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pitcrew.engineering.conformity import decide
from pitcrew.tui.marks import WIDTH, mark, weight_mark

# name, value, U, low, high, word, counts, picture
CASES = (
    ("inside", 0.55, 0.04, 0.25, 0.75, "pass", True, "  |    =#=  |  "),
    ("inside, doubt up to the wall", 0.65, 0.05, 0.25, 0.75, "pass", True, "  |      =#=|  "),
    ("doubt crosses", 0.65, 0.17, 0.25, 0.75, "MARGINAL", True, "  |    ===#=|=="),
    ("off the picture", 1.60, 0.04, 0.25, 0.75, "FAIL", True, "  |         | >"),
    ("below the picture", -0.45, 0.04, 0.25, 0.75, "FAIL", True, "< |         |  "),
    ("disturbed since", 0.65, 0.05, 0.25, 0.75, "RECHECK", False, "  |       o |  "),
    ("never read", None, None, 0.25, 0.75, "UNCHECKED", True, "  |         |  "),
    ("expected", 0.55, 0.04, 0.25, 0.75, "pass", False, "  |     o   |  "),
    ("expected near the wall", 0.35, 0.05, 0.25, 0.75, "pass", False, "  | o       |  "),
    ("in the middle", 0.50, 0.04, 0.25, 0.75, "pass", True, "  |   =#=   |  "),
    ("near the low wall", 0.35, 0.05, 0.25, 0.75, "pass", True, "  |=#=      |  "),
    ("a wide band hides the margin", 0.30, 0.05, 0.20, 3.00, "pass", True, "  |#        |  "),
    ("at least", 1.00, 0.41, 0.50, None, "pass", True, "    |==#==     "),
    ("at least, doubt crosses", 4.2, 0.35, 4.0, None, "MARGINAL", True, "   =|=#==      "),
    ("at least, accepted", 4.2, 0.35, 4.0, None, "marginal", True, "   =|=#==      "),
    ("at least, off the picture", -1.00, 0.41, 0.50, None, "FAIL", True, "<   |          "),
    ("at least, planned", 1.00, 0.41, 0.50, None, "pass", False, "    |  o       "),
    ("at least, planned far inside", 3.00, 0.41, 0.50, None, "pass", False, "    |         >"),
    ("at least, never read", None, None, 0.50, None, "UNCHECKED", True, "    |          "),
    ("at most", 1.00, 0.41, None, 1.50, "pass", True, "     ==#==|    "),
    ("at most, doubt crosses", 1.80, 0.35, None, 2.0, "MARGINAL", True, "      ==#=|=   "),
    ("at most, off the picture", 3.00, 0.41, None, 1.50, "FAIL", True, "          |   >"),
    ("at most, far inside", -9.0, 0.41, None, 1.50, "pass", True, "<         |    "),
    ("no limit", 1.00, 0.41, None, None, "pass", True, " " * 15),
)

WEIGHTS = (
    ("under the own margin", 113.12, 0.06, "pass", "   =#:=   |    "),
    ("far inside", 112.72, 0.06, "pass", "<    :    |    "),
    ("over the limit", 114.41, 0.10, "fail", "     :    |   >"),
    ("at the edge of the picture", 112.86, 0.06, "pass", "#=   :    |    "),
    ("over the own margin", 113.26, 0.06, "warns", "     :=#= |    "),
    ("not known", None, None, "UNCHECKED", "     :    |    "),
    ("on the own margin", 113.15, 0.0, "pass", "    #:    |    "),
    ("on the limit", 113.40, 0.0, "pass", "     :   #|    "),
    ("a hair over the limit", 113.41, 0.0, "FAIL", "     :    |#   "),
)

number = st.one_of(
    st.floats(-10, 10),
    st.integers(-100, 100).map(lambda n: n / 20),
    st.floats(allow_nan=False, allow_infinity=True),
)
maybe = st.none() | number
words = st.sampled_from(["pass", "MARGINAL", "marginal", "FAIL", "fail", "RECHECK", "DUE", "warns", "deferred", ""])
near = st.one_of(st.floats(-3, 4), st.integers(-60, 80).map(lambda n: n / 20))
doubts = st.one_of(st.just(0.0), st.floats(1e-6, 3), st.integers(0, 40).map(lambda n: n / 40))


@pytest.mark.parametrize(("value", "u", "low", "high", "word", "counts", "picture"), [case[1:] for case in CASES])
def test_the_mark_stands_as_it_is_drawn(
    value: float | None, u: float | None, low: float | None, high: float | None, word: str, counts: bool, picture: str
) -> None:
    assert mark(value, u, low, high, word, counts) == picture


@pytest.mark.parametrize(("kg", "u_kg", "word", "picture"), [case[1:] for case in WEIGHTS])
def test_a_weight_stands_as_it_is_drawn(kg: float | None, u_kg: float | None, word: str, picture: str) -> None:
    assert weight_mark(kg, u_kg, 113.40, 0.25, word) == picture


def inner(picture: str) -> str:
    """What is drawn between two walls."""
    return picture[3:12]


def outer(picture: str) -> str:
    return picture[:2] + picture[13:]


@given(value=near, u=doubts, band=st.tuples(near, near).map(sorted))
def test_between_two_limits_the_picture_says_what_the_word_says(value: float, u: float, band: list[float]) -> None:
    low, high = band
    word = decide(value, u, low, high).word
    picture = mark(value, u, low, high, word)
    assert (picture[2], picture[12]) == ("|", "|")
    if word == "pass":
        assert outer(picture).strip() == "" and inner(picture).count("#") == 1
    elif word == "fail":
        assert inner(picture).strip() == "" and outer(picture).strip() != ""
    else:
        assert any(picture[wall - 1] in "=#" and picture[wall + 1] in "=#" for wall in (2, 12))


@given(value=near, u=doubts, limit=near, least=st.booleans())
def test_at_one_limit_the_picture_says_what_the_word_says(value: float, u: float, limit: float, least: bool) -> None:
    low, high = (limit, None) if least else (None, limit)
    word = decide(value, u, low, high).word
    picture = mark(value, u, low, high, word)
    assert picture[4 if least else 10] == "|"
    inside, outside = (picture[5:], picture[3::-1]) if least else (picture[9::-1], picture[11:])
    if word == "pass":
        assert outside.strip() == "" and inside.strip() != ""
        assert u == 0.0 or inside.find("#") not in (0, 1)
    elif word == "fail":
        assert inside.strip() == "" and outside.strip() != ""
    else:
        assert inside[0] in "=#" and outside[0] in "=#"


@given(kg=st.integers(11200, 11400), u=st.integers(0, 30), margin=st.integers(1, 100))
def test_a_weight_says_what_the_word_says_and_whether_the_own_margin_is_kept(kg: int, u: int, margin: int) -> None:
    word = decide(kg / 100, u / 100, None, 113.40).word
    picture = weight_mark(kg / 100, u / 100, 113.40, margin / 100, word)
    assert (picture[5], picture[10]) == (":", "|")
    reading = max(picture.find(sign) for sign in "#<>")
    assert (reading < 5) == (11340 - kg >= margin)
    if word == "pass":
        assert picture[11:].strip() == ""
    elif word == "fail":
        assert (picture[:5] + picture[6:10]).strip() == "" and reading > 10
    else:
        assert picture[9] in "=#" and picture[11] in "=#>"


@given(value=near, u=doubts, band=st.tuples(near, near).map(sorted), hollow=st.booleans())
def test_a_word_that_rests_on_more_than_the_figure_is_not_argued_with(
    value: float, u: float, band: list[float], hollow: bool
) -> None:
    """A gauge that goes in, or an official display, can outrank what the figure alone would say."""
    low, high = band
    good, bad = mark(value, u, low, high, "pass", not hollow), mark(value, u, low, high, "FAIL", not hollow)
    assert outer(good).strip() == "" and inner(good).strip() != ""
    assert inner(bad).strip() == "" and outer(bad).strip() != ""
    good, bad = mark(value, u, low, None, "pass", not hollow), mark(value, u, low, None, "FAIL", not hollow)
    assert good[:4].strip() == "" and good[5:].strip() != ""
    assert u == 0.0 or set(good[5:7]) <= {"=", " "}
    assert bad[5:].strip() == "" and bad[:4].strip() != ""
    assert u == 0.0 or set(bad[2:4]) <= {"=", " "}


@given(steps=st.integers(-40, 130), u=st.integers(0, 60))
@example(steps=90, u=0)
@example(steps=20, u=10)
def test_the_doubt_covers_the_cells_it_reaches_and_no_other(steps: int, u: int) -> None:
    """In tenths of a cell, so that what a cell holds can be counted without binary fractions."""
    picture = mark((steps + 10) / 100, u / 100, 0.1, 1.0, "RECHECK")
    columns = [0, 1, *range(3, 12), 13, 14]
    for cell, column in zip(range(-2, 11), columns, strict=True):
        holds = cell * 10 <= steps < cell * 10 + 10 if steps != 90 else cell == 8
        touched = max(cell * 10, steps - u) < min(cell * 10 + 10, steps + u)
        off = (cell == -2 and steps < -20) or (cell == 10 and steps >= 110)
        sign = "<" if off and cell < 0 else ">" if off else "#" if holds else "=" if touched else " "
        assert picture[column] == sign, picture


@given(value=maybe, u=maybe, low=maybe, high=maybe, word=words, counts=st.booleans())
def test_any_number_makes_a_mark_of_fifteen_cells(
    value: float | None, u: float | None, low: float | None, high: float | None, word: str, counts: bool
) -> None:
    for picture in (mark(value, u, low, high, word, counts), weight_mark(value, u, high, low, word, counts)):
        assert len(picture) == WIDTH and set(picture) <= set(" |:#=o<>")
        assert not (set(picture) & set("=#") and not counts)
        assert not (value is None and set(picture) & set("#=o<>"))


@given(value=near, u=doubts, low=near, high=near, word=words, counts=st.booleans())
def test_the_limits_stand_in_the_same_columns_and_a_reading_is_drawn_once(
    value: float, u: float, low: float, high: float, word: str, counts: bool
) -> None:
    both = mark(value, u, low, high, word, counts)
    least, most = mark(value, u, low, None, word, counts), mark(value, u, None, high, word, counts)
    assert [at for at, sign in enumerate(both) if sign == "|"] == [2, 12]
    assert (least.find("|"), least.count("|")) == (4, 1)
    assert (most.find("|"), most.count("|")) == (10, 1)
    for picture in (both, least, most):
        assert sum(picture.count(sign) for sign in "#o<>") == 1


@given(value=near, u=doubts, low=near, word=words, counts=st.booleans())
def test_at_most_is_at_least_in_a_mirror(value: float, u: float, low: float, word: str, counts: bool) -> None:
    other = mark(-value, u, None, -low, word, counts)[::-1].translate(str.maketrans("<>", "><"))
    assert mark(value, u, low, None, word, counts) == other


def test_a_far_value_and_equal_limits_are_drawn() -> None:
    assert mark(0.5 + 1e-12, 0.0, 0.5, 0.5, "pass").count("#") == 1
    assert mark(-1e9, 0.01, 0.5, 0.75, "FAIL") == "< |         |  "
    assert mark(0.5, 0.1, 0.5, 0.5, "MARGINAL") == "==|#========|=="
    assert mark(6.0, 0.0, 6.0, None, "pass") == "    |#         "
    assert mark(6.5, 0.0, 6.0, None, "pass") == "    |         >"
    assert mark(1.0, 9.0, 0.0, 1e-3, "MARGINAL")[-3:] == "|=>"


def test_what_is_called_marginal_stands_on_both_sides_even_where_no_doubt_would_reach() -> None:
    assert mark(0.74, 0.0, 0.25, 0.75, "MARGINAL") == "  |        #|= "
    assert mark(0.26, 0.0, 0.25, 0.75, "MARGINAL") == " =|#        |  "
    assert mark(0.80, 0.0, 0.25, 0.75, "MARGINAL") == "  |        =|# "
    assert mark(4.0, 0.0, 4.0, None, "MARGINAL") == "   =|#         "


def test_a_doubt_that_crosses_one_wall_is_not_drawn_over_the_other() -> None:
    assert mark(4.2, 4.3, 0.0, 9.0, "MARGINAL") == " =|====#====|  "
    assert mark(4.8, 4.3, 0.0, 9.0, "MARGINAL") == "  |====#====|= "


def test_the_side_of_one_limit_is_told_as_finely_as_it_is_judged() -> None:
    assert decide(-1e-7, 1.0, 0.0, None).inside is False
    assert mark(-1e-7, 1.0, 0.0, None, "RECHECK") == " ==#|==        "
    assert decide(1e6 - 9e-4, 1e-3, 1e6, None).inside is True
    assert mark(1e6 - 9e-4, 1e-3, 1e6, None, "RECHECK") == "  ==|#==       "


def test_what_is_not_a_number_is_refused() -> None:
    for numbers in ((math.nan, 0.1, 0.0, 1.0), (0.5, math.nan, 0.0, 1.0), (0.5, 0.1, math.nan, 1.0)):
        with pytest.raises(ValueError, match="not a number"):
            mark(*numbers, "pass")
    with pytest.raises(ValueError, match="not a number"):
        weight_mark(113.0, 0.1, 113.4, math.nan, "pass")


def test_an_own_margin_of_nothing_leaves_the_limit() -> None:
    for margin in (None, 0.0, -1.0):
        assert weight_mark(113.12, 0.14, 113.40, margin, "pass") == mark(113.12, 0.14, None, 113.40, "pass")
    assert weight_mark(113.12, 0.06, None, 0.25, "unchecked") == " " * WIDTH


@pytest.mark.benchmark
def test_a_mark_takes_microseconds(capsys: pytest.CaptureFixture[str]) -> None:
    once = min(timeit.repeat(lambda: mark(0.65, 0.17, 0.25, 0.75, "MARGINAL"), number=2000, repeat=5)) / 2000
    with capsys.disabled():
        sys.stdout.write(f"\na mark: {once * 1e6:.1f} us\n")
    assert once < 50e-6
