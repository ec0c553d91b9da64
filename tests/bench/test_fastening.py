"""Joints: what a torque, an opening and a look at the marks write, and what they do to the standing."""

from __future__ import annotations

import pytest

from pitcrew.bench import fastening
from tests.bench.shop import Said, Shop, said


def test_a_torque_takes_wrench_and_locker_from_the_joint(shop: Shop) -> None:
    assert said(shop.do(fastening.torque, "cap", 25.0, typed="25 N m", note="dry")) == [
        Said(
            "torqued",
            "cap",
            {
                "fasteners": "all",
                "torque_nm": 25.0,
                "instrument": "TW",
                "locker": True,
                "typed": "25 N m",
                "note": "dry",
            },
        )
    ]
    (nuts,) = shop.do(fastening.torque, "nuts", 5.0)
    assert nuts.detail == {"fasteners": "all", "torque_nm": 5.0, "locker": False}


def test_what_is_said_goes_before_what_the_joint_says(shop: Shop) -> None:
    (entry,) = shop.do(
        fastening.torque,
        "cap",
        25.0,
        fasteners=[2, 1, 2],
        instrument="OWN",
        locker=False,
        primer=True,
        new_fasteners=True,
        second="EW",
    )
    assert entry.detail == {
        "fasteners": [1, 2],
        "torque_nm": 25.0,
        "instrument": "OWN",
        "locker": False,
        "primer": True,
        "new_fasteners": True,
        "second": "EW",
    }


@pytest.mark.parametrize("fasteners", [[], [0], [3], [1, 3], [-1]])
def test_a_fastener_the_joint_has_not_is_refused(shop: Shop, fasteners: list[int]) -> None:
    shop.refused("the joint has fasteners 1 to 2", fastening.torque, "cap", 25.0, fasteners=fasteners)
    shop.refused("the joint has fasteners 1 to 2", fastening.open_joint, "cap", fasteners)


@pytest.mark.parametrize("torque_nm", [0.0, -5.0])
def test_a_torque_is_above_zero(shop: Shop, torque_nm: float) -> None:
    shop.refused("a torque is above zero", fastening.torque, "cap", torque_nm)


def test_opening_one_fastener_opens_the_joint_until_that_one_is_torqued(shop: Shop) -> None:
    shop.ready()
    assert said(shop.do(fastening.open_joint, "cap", [2], "shim")) == [
        Said("opened", "cap", {"fasteners": [2], "note": "shim"})
    ]
    assert shop.blocks()["joint:cap"] == "recheck"
    shop.do(fastening.torque, "cap", 25.0, fasteners=[1])
    assert shop.blocks()["joint:cap"] == "recheck"
    shop.do(fastening.torque, "cap", 25.0, fasteners=[2])
    assert "joint:cap" not in shop.blocks()


def test_marks_good_clears_a_hit_and_no_opening(shop: Shop) -> None:
    shop.ready()
    shop.hit("W", 2)
    assert shop.blocks()["joint:cap"] == "recheck"
    assert said(shop.do(fastening.marks_good, "cap")) == [Said("marks_good", "cap", {})]
    assert "joint:cap" not in shop.blocks()
    shop.do(fastening.open_joint, "cap")
    shop.do(fastening.marks_good, "cap")
    assert shop.blocks()["joint:cap"] == "recheck"


def test_a_second_person_is_another_one(shop: Shop) -> None:
    shop.ready()
    shop.refused("cannot be the second person", fastening.torque, "duo", 10.0, second=" mk")
    shop.do(fastening.torque, "duo", 10.0)
    assert shop.blocks() == {"joint:duo": "due"}
    shop.do(fastening.torque, "duo", 10.0, second="EW")
    assert shop.standing().fit


def test_torquing_an_unknown_joint_is_refused(shop: Shop) -> None:
    shop.refused("joint", fastening.torque, "nothing", 5.0)


def test_opening_an_unknown_joint_is_refused(shop: Shop) -> None:
    shop.refused("joint", fastening.open_joint, "nothing")


def test_marks_of_an_unknown_joint_are_refused(shop: Shop) -> None:
    shop.refused("joint", fastening.marks_good, "nothing")
