"""Readings: dimensions, runs through a stack, gaps measured directly, weights."""

from __future__ import annotations

import math

import pytest

from pitcrew.bench import fitting, measuring
from pitcrew.bench.measuring import Read
from pitcrew.robot.definitions import Piece
from tests.bench.shop import Said, Shop, said

GAP = Piece("gap", 1, "gap")
WIDTH = Piece("width", -1, "width", "rotor")


def test_a_dimension_of_a_part(shop: Shop) -> None:
    entries = shop.do(measuring.dimension, "wh1", "tread", 0.0042, "CAL", "4.2 mm", "rear")
    detail = {"of": "wh1", "dimension": "tread", "value_m": 0.0042, "instrument": "CAL", "typed": "4.2 mm"}
    assert said(entries) == [Said("reading", "wh1/tread", {**detail, "note": "rear"})]


def test_what_is_not_known_is_left_out(shop: Shop) -> None:
    assert said(shop.do(measuring.dimension, "R", "gap", 0.1)) == [
        Said("reading", "R/gap", {"of": "R", "dimension": "gap", "value_m": 0.1})
    ]


def test_pieces_are_read_of_whatever_sits_there_now(shop: Shop) -> None:
    shop.do(fitting.part_in, "rotor2", "rotor")
    entries = shop.do(measuring.pieces, [Read(GAP, 0.1005, "CAL", "100.5"), Read(WIDTH, 0.1, "CAL")], "cold")
    assert [(e.subject, e.detail["of"], e.detail["value_m"], e.detail["note"]) for e in entries] == [
        ("R/gap", "R", 0.1005, "cold"),
        ("rotor2/width", "rotor2", 0.1, "cold"),
    ]
    assert len({e.act for e in entries}) == 1


def test_a_piece_where_nothing_sits_is_refused_whole(shop: Shop) -> None:
    shop.do(fitting.part_out, "rotor")
    shop.refused("nothing sits where width is read", measuring.pieces, [Read(GAP, 0.1005), Read(WIDTH, 0.1)])


def test_a_direct_look_outranks_the_sum(shop: Shop) -> None:
    shop.ready()
    detail = {"value_m": 0.001, "instrument": "CAL", "typed": "1 mm"}
    assert said(shop.do(measuring.direct, "float", 0.001, "CAL", "1 mm")) == [Said("direct", "float", detail)]
    assert shop.blocks()["stack:float"] == "fail"


@pytest.mark.parametrize(
    ("goes", "stops", "verdict"),
    [(0.0002, 0.0008, "pass"), (0.0001, 0.0002, "fail"), (0.0008, None, "fail"), (0.0001, 0.0005, "marginal")],
)
def test_a_feeler_says_between_what_the_gap_lies(
    shop: Shop, goes: float | None, stops: float | None, verdict: str
) -> None:
    shop.ready()
    (entry,) = shop.do(measuring.feeler, "float", goes, stops)
    assert entry.detail == {k: v for k, v in (("goes_m", goes), ("stops_m", stops)) if v is not None}
    assert shop.requirement("stack:float").verdict == verdict


def test_a_feeler_that_did_nothing_is_refused(shop: Shop) -> None:
    shop.refused("value_m: give either a figure", measuring.feeler, "float", None, None)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_figure_that_is_none_is_refused(shop: Shop, value: float) -> None:
    shop.refused("value_m: takes a finite number", measuring.dimension, "R", "gap", value)
    shop.refused("value_m: takes a finite number", measuring.direct, "float", value)


def test_a_weighing_counts_for_its_configuration(shop: Shop) -> None:
    shop.ready()
    assert said(shop.do(measuring.weigh_robot, "A", 10.5, "OFF", "10.5 kg")) == [
        Said("weighed", "A", {"value_kg": 10.5, "instrument": "OFF", "typed": "10.5 kg"})
    ]
    assert shop.blocks()["weight:A"] == "fail"


@pytest.mark.parametrize("value", [0.0, -1.0])
def test_a_robot_weighs_something(shop: Shop, value: float) -> None:
    shop.refused("value_kg: takes a number above zero", measuring.weigh_robot, "A", value, "OFF")


def test_a_part_weighs_nothing_at_least(shop: Shop) -> None:
    assert said(shop.do(measuring.weigh_part, "rotor2", 0.0)) == [Said("part_weighed", "rotor2", {"value_kg": 0.0})]
    shop.refused("value_kg: takes zero or more", measuring.weigh_part, "rotor2", -0.1)


def test_a_parts_new_weight_goes_into_what_is_figured(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.weigh_part, "rotor2", 3.0, "OWN")
    shop.do(fitting.part_in, "rotor2", "rotor")
    row = shop.standing().weights[0]
    # Weighed 5.0 kg with the 2.0 kg rotor in.
    assert row.how == "figured"
    assert row.kg == pytest.approx(6.0, abs=1e-9)


@pytest.mark.parametrize("what", ["part", "stack", "configuration", "instrument"])
def test_a_figure_of_nothing_is_refused(shop: Shop, what: str) -> None:
    if what == "part":
        shop.refused(what, measuring.weigh_part, "nothing", 1.0)
    elif what == "stack":
        shop.refused(what, measuring.direct, "nothing", 0.001)
    elif what == "configuration":
        shop.refused(what, measuring.weigh_robot, "nothing", 5.0, "OFF")
    else:
        shop.refused(what, measuring.weigh_robot, "A", 5.0, "nothing")
