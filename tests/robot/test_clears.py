"""Does evidence stand after a disturbance? Laws that hold for any two facts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.robot.records import Entry, Fact, clears

DOUBT = 120_000


def fact(happened: int, tick: int, writer: str = "w1", ident: str = "a") -> Fact:
    entry = Entry(ident, "act", tick, happened, writer, "MK", "R", "looked_at", "p", None, None, None, {})
    return Fact(entry, tick, writer, ident)


TIMES = st.integers(0, 400_000)


@st.composite
def facts(draw: st.DrawFn, writers: str = "uvw") -> Fact:
    happened = draw(TIMES)
    return fact(
        happened, happened + draw(st.integers(0, 5)), draw(st.sampled_from(writers)), draw(st.sampled_from("abc"))
    )


@given(one=facts(), other=facts(), doubt=TIMES)
def test_never_both_ways(one: Fact, other: Fact, doubt: int) -> None:
    assert not (clears(one, other, doubt) and clears(other, one, doubt))


@given(one=facts(), doubt=TIMES)
def test_nothing_clears_itself(one: Fact, doubt: int) -> None:
    assert not clears(one, one, doubt)


@given(one=facts("u"), other=facts("u"), doubt=TIMES)
def test_one_writers_order_decides_whatever_the_doubt(one: Fact, other: Fact, doubt: int) -> None:
    assert clears(one, other, doubt) == (one.order > other.order)
    assert clears(one, other, doubt) or clears(other, one, doubt) or one.order == other.order


@given(one=facts("u"), other=facts("v"), doubt=TIMES)
def test_between_writers_it_is_later_by_more_than_the_doubt(one: Fact, other: Fact, doubt: int) -> None:
    assert clears(one, other, doubt) == (one.happened - other.happened > doubt)


@given(one=facts(), other=facts(), doubt=TIMES, more=TIMES)
def test_more_doubt_never_clears_more(one: Fact, other: Fact, doubt: int, more: int) -> None:
    assert clears(one, other, doubt) or not clears(one, other, doubt + more)


@given(one=facts(), other=facts(), doubt=TIMES, more=TIMES)
def test_later_evidence_never_clears_less(one: Fact, other: Fact, doubt: int, more: int) -> None:
    later = fact(one.happened + more, one.tick + more, one.writer, one.root)
    assert clears(later, other, doubt) or not clears(one, other, doubt)


@given(one=facts("u"), two=facts("u"), three=facts("u"))
def test_one_writers_order_goes_on(one: Fact, two: Fact, three: Fact) -> None:
    if clears(one, two, DOUBT) and clears(two, three, DOUBT):
        assert clears(one, three, DOUBT)


@pytest.mark.parametrize(
    ("evidence", "disturbance", "stands"),
    [
        (fact(200_000, 200_000), fact(200_000, 199_999), True),
        (fact(200_000, 199_999), fact(200_000, 200_000), False),
        (fact(100_000, 300_000), fact(200_000, 200_000), False),
        (fact(320_000, 320_000, "w2"), fact(200_000, 200_000), False),
        (fact(320_001, 320_001, "w2"), fact(200_000, 200_000), True),
        (fact(200_000, 200_001, "w2"), fact(200_000, 200_000), False),
    ],
)
def test_in_figures(evidence: Fact, disturbance: Fact, stands: bool) -> None:
    assert clears(evidence, disturbance, DOUBT) is stands


def test_a_correction_stands_where_its_line_began() -> None:
    speaking = fact(100, 900, ident="c").entry
    corrected = Fact(speaking, 150, "w1", "a")
    opened = fact(100, 500, ident="b")
    assert corrected.order == (100, 150, "w1", "a")
    assert not clears(corrected, opened, DOUBT)
