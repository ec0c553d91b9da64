"""What a thing was last read as and with what: the first guess for the next reading, and where a slip is seen."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.bench import correcting, fastening, measuring
from pitcrew.bench.subjects import Figured, subjects
from pitcrew.bench.usual import last_reading, last_value, usual_instrument
from pitcrew.logbook.writing import Draft
from tests.bench.demo_day import DemoDay
from tests.bench.shop import Shop


def item(shop: Shop, group: str, ident: str) -> Figured:
    found = [item for item in subjects(shop.case()) if (item.group, item.ident) == (group, ident)]
    assert len(found) == 1, (group, ident)
    return found[0]


def last(shop: Shop, group: str, ident: str) -> float | None:
    return last_value(shop.case(), item(shop, group, ident))


def tool(shop: Shop, group: str, ident: str) -> str | None:
    return usual_instrument(shop.case(), item(shop, group, ident))


def define(shop: Shop, kind: str, ident: str, **detail: Any) -> None:
    shop.book.append([Draft(kind, ident, "PB", detail={"name": ident, **detail})])


READINGS: tuple[tuple[str, str, Any, tuple[Any, ...]], ...] = (
    ("joint", "cap", fastening.torque, ("cap", 24.0)),
    ("stack", "float", measuring.direct, ("float", 0.0005, "CAL")),
    ("configuration", "A", measuring.weigh_robot, ("A", 5.1, "OWN")),
    ("part", "rotor1", measuring.weigh_part, ("rotor1", 2.1, "OWN")),
    ("reading", "wh1/tread", measuring.dimension, ("wh1", "tread", 0.005, "CAL")),
    ("reading", "R/gap", measuring.dimension, ("R", "gap", 0.1, "CAL")),
)


@pytest.mark.parametrize(("group", "ident", "use", "given_"), READINGS)
def test_the_newest_reading_of_a_thing_is_the_one_that_counts(
    shop: Shop, group: str, ident: str, use: Any, given_: tuple[Any, ...]
) -> None:
    assert last_reading(shop.case(), item(shop, group, ident)) is None
    shop.do(use, *given_)
    (newest,) = shop.do(use, *given_)
    found = last_reading(shop.case(), item(shop, group, ident))
    assert found is not None
    assert found.id == newest.id
    figure = next(value for value in given_ if isinstance(value, float))
    assert last(shop, group, ident) == figure
    shop.do(correcting.withdraw, newest.id)
    before = last_reading(shop.case(), item(shop, group, ident))
    assert before is not None
    assert before.id != newest.id


def test_a_corrected_reading_is_what_was_last_read(shop: Shop) -> None:
    (entry,) = shop.do(measuring.dimension, "wh1", "tread", 0.005, "CAL")
    shop.do(correcting.correct_as, entry.id, "4.4")
    assert last(shop, "reading", "wh1/tread") == 0.0044


def test_before_any_reading_the_figure_is_what_is_expected(shop: Shop) -> None:
    assert last(shop, "joint", "cap") == 25.0
    assert last(shop, "joint", "nuts") is None
    assert last(shop, "part", "rotor1") == 2.0
    assert last(shop, "configuration", "A") is None
    assert last(shop, "reading", "wh1/tread") is None
    assert last(shop, "stack", "float") is None


def test_a_gap_never_measured_directly_is_expected_to_be_its_sum(shop: Shop) -> None:
    shop.do(measuring.dimension, "R", "gap", 0.1005, "CAL")
    shop.do(measuring.dimension, "rotor1", "width", 0.1, "CAL")
    assert last(shop, "stack", "float") == pytest.approx(0.0005)
    shop.do(measuring.direct, "float", 0.0006, "CAL")
    assert last(shop, "stack", "float") == 0.0006


def test_a_feeler_that_gave_no_figure_leaves_what_is_expected(shop: Shop) -> None:
    shop.do(measuring.feeler, "float", 0.0004, 0.0006)
    assert last(shop, "stack", "float") is None
    shop.do(measuring.dimension, "R", "gap", 0.1005, "CAL")
    shop.do(measuring.dimension, "rotor1", "width", 0.1, "CAL")
    assert last(shop, "stack", "float") == pytest.approx(0.0005)


def test_a_dimension_a_part_came_with_is_its_first_figure(shop: Shop) -> None:
    came = {"width": {"value_m": 0.0999, "instrument": "CAL"}}
    shop.put("part", "rotor2", {"name": "rotor 2", "part_kind": "rotor", "dimensions": came})
    shop.put("fitted", "rotor2", {"new": True}, place="rotor")
    assert last(shop, "reading", "rotor2/width") == 0.0999
    assert tool(shop, "reading", "rotor2/width") == "CAL"
    shop.do(measuring.dimension, "rotor2", "width", 0.1001)
    assert last(shop, "reading", "rotor2/width") == 0.1001


# instruments


def test_a_thing_is_read_with_what_it_was_last_read_with(shop: Shop) -> None:
    define(shop, "instrument", "GAUGE", unit="mm", resolution=1e-5, permissible=3e-5)
    assert tool(shop, "reading", "wh1/tread") is None  # two would do, and neither is usual yet
    shop.do(measuring.dimension, "wh1", "tread", 0.005, "GAUGE")
    assert tool(shop, "reading", "wh1/tread") == "GAUGE"
    assert tool(shop, "reading", "R/gap") is None


def test_the_only_instrument_of_a_unit_is_the_usual_one(shop: Shop) -> None:
    assert tool(shop, "reading", "wh1/tread") == "CAL"
    assert tool(shop, "stack", "float") == "CAL"


def test_a_joint_goes_by_its_own_wrench_until_another_was_used(shop: Shop) -> None:
    assert tool(shop, "joint", "cap") == "TW"
    define(shop, "instrument", "TW2", unit="N m", resolution=0.1, permissible_percent=6)
    assert tool(shop, "joint", "nuts") is None
    shop.do(fastening.torque, "cap", 25.0, instrument="TW2")
    assert tool(shop, "joint", "cap") == "TW2"


def test_the_official_scale_is_not_the_crews_own(shop: Shop) -> None:
    assert tool(shop, "part", "rotor1") == "OWN"
    assert tool(shop, "configuration", "A") == "OWN"
    shop.do(measuring.weigh_robot, "A", 5.0, "OFF")
    assert tool(shop, "configuration", "A") == "OFF"


def test_a_robot_is_weighed_on_some_scale_where_the_crew_has_several(shop: Shop) -> None:
    define(shop, "instrument", "OWN2", unit="kg", resolution=0.01, permissible=0.01)
    assert tool(shop, "part", "rotor1") is None
    assert tool(shop, "configuration", "A") in ("OWN", "OWN2")


def test_a_book_without_an_event_or_instruments_offers_none(shop: Shop) -> None:
    define(shop, "robot", "R")
    assert tool(shop, "configuration", "A") in ("OWN", "OFF")
    lone = Figured("part", "nothing", "nothing", "mass", "oz")
    assert usual_instrument(shop.case(), lone) is None
    assert last_value(shop.case(), lone) is None


@given(st.lists(st.floats(0.001, 100.0), min_size=1, max_size=4))
def test_what_was_read_last_is_what_is_said_last(values: list[float]) -> None:
    shop = Shop()
    for value in values:
        shop.do(measuring.weigh_part, "rotor1", value, "OWN")
    assert last(shop, "part", "rotor1") == values[-1]


def test_everything_of_the_demo_that_was_read_has_its_last_figure(demo: DemoDay) -> None:
    case = demo.desk().case()
    for thing in subjects(case):
        fact = last_reading(case, thing)
        if fact is not None and fact.entry.kind != "direct":
            assert last_value(case, thing) in fact.detail.values()
        if fact is not None and fact.detail.get("instrument"):
            assert usual_instrument(case, thing) == fact.detail["instrument"]
