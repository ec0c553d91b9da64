"""Trends: a figure through its readings, what happened between, its change a fight and when that meets a limit."""

from __future__ import annotations

import random
from statistics import linear_regression

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import fitting, mending
from pitcrew.bench.trends import (
    LEAST,
    STUDENT,
    Change,
    Point,
    Trend,
    between_words,
    change,
    change_words,
    fasteners_words,
    foretold,
    foretold_words,
    gap_trend,
    happened_words,
    part_trend,
    torque_trend,
    trend_of,
)
from pitcrew.readiness.case import Case
from pitcrew.robot.records import Entry, Fact
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop

MM = 1e-3
SOME = Fact(Entry("e", "a", 0, 0, "w", "MK", "R", "reading", "wh1/tread", None, None, None, {}), 0, "w", "e")
# Readings in tenths of a millimetre, so that a slope of nothing is exactly nothing.
TENTHS = st.tuples(st.integers(0, 30), st.integers(-200, 200), st.integers(0, 9))


@pytest.fixture(scope="module")
def evening(demo: DemoDay) -> Case:
    """The heavy robot after the whole day."""
    case = demo.desk(HEAVY).case()
    return case


def points(*figures: tuple[int, float, float]) -> list[Point]:
    """Readings: fights run, mm, U in mm."""
    return [Point(SOME, value * MM, u * MM, "pass", "CAL", run) for run, value, u in figures]


def treads(shop: Shop, *figures_mm: float, instrument: str | None = "CAL") -> Trend:
    """A wheel's tread read before the first fight and after each of as many as there are figures left."""
    for count, value in enumerate(figures_mm):
        if count:
            shop.put("entered", f"F{count}", {"name": f"F{count}", "configuration": "A"}, place="R")
            shop.put("fight_ended", f"F{count}")
        read(shop, value, instrument)
    return part_trend(shop.case(), "wh1", "tread")


def read(shop: Shop, value_mm: float, instrument: str | None = "CAL") -> None:
    """The wheel's tread read."""
    detail = {"of": "wh1", "dimension": "tread", "value_m": value_mm * MM, "instrument": instrument}
    shop.put("reading", "wh1/tread", detail)


# the demo's day, by hand


def test_the_demos_float_ran_as_its_pieces_add_up(demo: DemoDay, evening: Case) -> None:
    trend = gap_trend(evening, demo.id_of("stack", "weapon float"))
    # From the day's log, gap - washers - spacers - hub - shim: 262.05 - 2.00 - 6.00 - 245.20 - 6.00 - 2.00 - 0.20 is
    # 0.65 mm at 13:52; after H2 the bent upright let it out to 1.60 mm.
    assert [round(point.value / MM, 3) for point in trend.points] == [0.5, 0.5, 1.6, 0.55, 0.65, 0.65, 0.35]
    assert [point.word for point in trend.points] == ["pass", "pass", "fail", "pass", "marginal", "pass", "pass"]
    assert [point.run for point in trend.points] == [0, 1, 2, 2, 2, 2, 3]
    assert between_words(trend.points[2].between) == "1 fight, 1 hit"
    (hit,) = (fact for fact in trend.points[2].between if fact.entry.kind == "hit")
    assert happened_words(evening, hit).startswith("hard hit on W1 12:13")
    assert [happened_words(evening, fact) for fact in trend.since] == ["H4 ended 16:18"]


def test_another_weapon_in_the_gap_begins_it_anew(demo: DemoDay, evening: Case) -> None:
    trend = gap_trend(evening, demo.id_of("stack", "weapon float"))
    assert trend.runs == len(trend.points) - 1  # the drum went in before the last reading
    assert trend.change is None
    assert change_words(trend) == "1 reading since it was last changed or put right: a change a fight takes three"
    assert foretold_words(trend) == ""


def test_the_demos_tread_was_read_twice_and_nothing_is_foretold(demo: DemoDay, evening: Case) -> None:
    trend = part_trend(evening, demo.id_of("part", "wheel 4"), "tread")
    # By hand, U = 2 sqrt(permissible^2 / 3 + step^2 / 12): 0.3 and 0.1 mm give 0.351, 0.03 and 0.01 mm give 0.0351.
    assert [(round(p.value / MM, 3), round(p.u / MM, 4), p.tool) for p in trend.points] == [
        (4.2, 0.3512, "TRG"),
        (4.11, 0.0351, "CAL"),
    ]
    assert [point.word for point in trend.points] == ["marginal", "pass"]
    assert (trend.low, trend.high, trend.points[1].run) == (0.004, None, 1)
    assert change_words(trend) == "2 readings: a change a fight takes three"
    assert foretold(trend) is None


def test_a_torque_is_set_anew_and_has_no_change(demo: DemoDay, evening: Case) -> None:
    trend = torque_trend(evening, demo.id_of("joint", "upright R"))
    assert [(point.value, fasteners_words(point)) for point in trend.points] == [(45.0, "all"), (45.0, "3,5")]
    assert [trend.low, trend.high] == pytest.approx([40.5, 49.5])
    said = [happened_words(evening, fact) for fact in trend.points[1].between]
    assert said[0] == "H1 ended 10:43"
    assert said[-2:] == ["found marks turned 10:52 MK", "upright R opened 11:04 MK"]
    assert trend.change is None
    assert change_words(trend).startswith("a torque is set anew")


def test_trends_are_asked_for_by_the_keys_of_requirements(demo: DemoDay, evening: Case) -> None:
    wheel, joint, stack = (
        demo.id_of(kind, name) for kind, name in (("part", "wheel 4"), ("joint", "hubs R"), ("stack", "bar to fork"))
    )
    for key, name in (
        (f"limit:{wheel}/tread", "tread of wheel 4"),
        (f"joint:{joint}", "torque of hubs R"),
        (f"stack:{stack}", "bar to fork"),
    ):
        found = trend_of(evening, key)
        assert found is not None and found.name == name
    for key in ("limit:nothing/tread", "joint:nothing", "stack:nothing", f"look:{wheel}", "limit", ""):
        assert trend_of(evening, key) is None


# a line through readings


def test_wear_is_a_line_of_least_squares(shop: Shop) -> None:
    figures = (8.0, 7.55, 7.1, 6.7, 6.2)
    trend = treads(shop, *figures)
    other = linear_regression(range(len(figures)), figures)
    assert trend.change is not None
    assert trend.change.a_fight / MM == pytest.approx(other.slope)
    assert trend.change.now / MM == pytest.approx(other.intercept + other.slope * 4)
    assert trend.change.decided
    # By hand: the slope is -0.445 mm, the line is at 6.22 mm now, 2.22 / 0.445 is 4.99 fights to 4 mm. The residuals
    # are 0, -5, -10, 35, -20 um with three degrees of freedom: 3.18 sqrt(0.00175 / 3 / 10) is 0.0243 mm.
    assert change_words(trend) == "0.445 mm less a fight +-0.0243, by 5 readings over 4 fights"
    assert trend.change.u / MM == pytest.approx(0.0243, abs=1e-4)
    # After 4 more it is at 4.44, 6 fights from the middle: 0.035 + 6 x 0.0243 is 0.18; after 5 nothing is left.
    found = foretold(trend)
    assert found is not None and (found.limit, found.fight, found.sure) == (0.004, 5, 4)
    assert foretold_words(trend) == "if it goes on so, at 4 mm in fight 5 from now; surely not in the next 4"


def test_fights_since_the_last_reading_have_worn_it_too(shop: Shop) -> None:
    before = treads(shop, 8.0, 7.5, 7.0, 6.5)
    for fight in ("G1", "G2"):
        shop.put("entered", fight, {"name": fight, "configuration": "A"}, place="R")
        shop.put("fight_ended", fight)
    after = part_trend(shop.case(), "wh1", "tread")
    first, second = foretold(before), foretold(after)
    assert first is not None and second is not None and (first.fight, second.fight) == (5, 3)
    assert [fact.subject for fact in after.since] == ["G1", "G2"]


def test_two_readings_foretell_nothing_and_three_that_scatter_do_not(shop: Shop) -> None:
    assert treads(shop, 8.0, 7.0).change is None
    scattered = treads(Shop(), 8.0, 7.0, 7.6)
    assert scattered.change is not None and not scattered.change.decided
    assert change_words(scattered).startswith("the readings do not decide it: 0.2 mm less a fight +-")
    assert foretold(scattered) is None and foretold_words(scattered) == ""


def test_readings_without_a_fight_between_give_no_change(shop: Shop) -> None:
    for value in (8.0, 7.9, 8.0):
        read(shop, value)
    trend = part_trend(shop.case(), "wh1", "tread")
    assert (len(trend.points), trend.change) == (3, None)
    assert change_words(trend) == "no fight lies between these readings: no change a fight can be worked out"


def test_a_fight_in_which_the_part_was_off_wears_nothing(shop: Shop) -> None:
    read(shop, 8.0)
    shop.do(fitting.part_out, "wheel", "spares")
    shop.put("entered", "F1", {"name": "F1", "configuration": "A"}, place="R")
    shop.put("fight_ended", "F1")
    shop.do(fitting.part_in, "wh1", "wheel")
    read(shop, 8.0)
    trend = part_trend(shop.case(), "wh1", "tread")
    assert [point.run for point in trend.points] == [0, 0]
    assert between_words(trend.points[1].between) == "2 moves"


def test_what_was_put_right_begins_anew(shop: Shop) -> None:
    treads(shop, 8.0, 7.5, 7.0)
    worn, torn = (shop.do(mending.found, "wh1", "wheel", "worn")[0].id for _ in range(2))
    shop.do(mending.mended, worn, "replaced")
    assert part_trend(shop.case(), "wh1", "tread").runs == 0  # it is the same wheel as it was
    shop.do(mending.mended, torn, "ground")
    read(shop, 9.0)
    trend = part_trend(shop.case(), "wh1", "tread")
    assert (trend.runs, trend.change) == (3, None)
    assert change_words(trend).startswith("1 reading since it was last changed or put right")
    assert between_words(trend.points[3].between) == "1 mend"


def test_a_reading_taken_back_or_corrected_counts_as_it_speaks_now(shop: Shop) -> None:
    treads(shop, 8.0, 7.5, 7.0)
    wrong = shop.book.entries(limit=1)[0]
    detail = {"of": "wh1", "dimension": "tread", "value_m": 0.0072, "instrument": "CAL"}
    shop.put("reading", "wh1/tread", detail, replaces=wrong.id, happened=wrong.happened)
    trend = part_trend(shop.case(), "wh1", "tread")
    assert [round(point.value / MM, 2) for point in trend.points] == [8.0, 7.5, 7.2]


def test_a_figure_past_its_limit_by_the_line_is_met_already() -> None:
    found = change(points((0, 5.0, 0), (1, 4.5, 0), (2, 4.0, 0)), 3)
    trend = Trend("tread", "length", 0.004, None, (), change=found)
    assert foretold_words(trend) == "by the line it is at 4 mm already: read it before the next fight"


def test_a_figure_that_moves_to_no_limit_meets_none() -> None:
    growing = change(points((0, 5.0, 0.01), (1, 5.5, 0.01), (2, 6.0, 0.01)), 2)
    assert foretold(Trend("tread", "length", 0.004, None, (), change=growing)) is None
    found = foretold(Trend("gap", "length", 0.004, 0.007, (), change=growing))
    assert found is not None and (found.limit, found.fight) == (0.007, 2)
    slow = change(points((0, 100.0, 0), (1, 99.5, 0), (2, 99.0, 0)), 2)
    assert foretold_words(Trend("tread", "length", 0.004, None, (), change=slow)).endswith(
        "at 4 mm in the next 20 fights"
    )


@settings(max_examples=50)
@given(st.lists(TENTHS, min_size=LEAST, max_size=12), st.integers(0, 40))
def test_the_line_is_that_of_another_hand(figures: list[tuple[int, int, int]], fights: int) -> None:
    made = points(*((run, value / 10, u / 10) for run, value, u in figures))
    found = change(made, fights)
    runs = [float(run) for run, _, _ in figures]
    if len(set(runs)) == 1:
        assert found is None
        return
    other = linear_regression(runs, [value / 10 for _, value, _ in figures])
    assert found is not None
    assert found.a_fight / MM == pytest.approx(other.slope, abs=1e-9)
    assert found.now / MM == pytest.approx(other.intercept + other.slope * fights, abs=1e-9)
    assert found.after(3)[0] == pytest.approx(found.now + 3 * found.a_fight)


@settings(max_examples=20)
@given(st.lists(TENTHS, max_size=LEAST - 1))
def test_fewer_than_three_never_give_a_change(figures: list[tuple[int, int, int]]) -> None:
    assert change(points(*figures), 5) is None


def test_the_factors_are_those_of_student_by_another_hand() -> None:
    from scipy.special import stdtrit

    assert list(STUDENT) == [pytest.approx(stdtrit(freedom, 0.975), abs=0.005) for freedom in range(1, 11)]


def test_the_doubt_is_the_larger_of_what_readings_and_scatter_allow() -> None:
    # Fights 0, 1, 3, 4 from their mean: -2, -1, 1, 2; the squares add to 10. 8.0, 7.4, 6.9, 6.0 mm slope by -0.45 mm;
    # about the line lie 0.025, -0.125, 0.275, -0.175 mm, squares adding to 0.1225: s is 0.2475 with two degrees of
    # freedom, its share of the slope 0.2475 / sqrt(10) = 0.07826, and 4.30 times that 0.3365 mm.
    figures = ((0, 8.0), (1, 7.4), (3, 6.9), (4, 6.0))
    exact = change(points(*((run, value, 0.0) for run, value in figures)), 4)
    assert exact is not None
    assert [exact.a_fight / MM, exact.u / MM] == pytest.approx([-0.45, 0.3365], abs=1e-4)
    # A doubt of 1.2 mm in each leaves 1.2 / sqrt(10) = 0.3795 mm, which is more.
    coarse = change(points(*((run, value, 1.2) for run, value in figures)), 4)
    assert coarse is not None and coarse.u / MM == pytest.approx(0.3795, abs=1e-4)
    assert (exact.decided, coarse.decided) == (True, True)
    assert not change(points(*((run, value, 1.5) for run, value in figures)), 4).decided  # type: ignore[union-attr]


def test_the_true_change_lies_within_the_doubt_nineteen_times_in_twenty() -> None:
    """Instruments that err by up to their permissible error, each reading on its own: at least 95 % are covered."""
    dice, permissible, covered, tries = random.Random(5), 0.03, 0, 400
    for _ in range(tries):
        count, slope = dice.randint(LEAST, 6), dice.uniform(-0.5, 0.5)
        figures = (8.0 + slope * run + dice.uniform(-permissible, permissible) for run in range(count))
        found = change(points(*((run, value, 2 * permissible / 3**0.5) for run, value in enumerate(figures))), count)
        assert isinstance(found, Change)
        covered += abs(found.a_fight / MM - slope) <= found.u / MM
    assert covered >= 0.95 * tries
