"""Lines put right by typing what they should have said, and what was written here taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import answering, correcting, fastening, fighting, fitting, looking, measuring, mending
from pitcrew.robot.records import Entry
from tests.bench.shop import Shop
from tests.readiness.small import CHECK

LOGGED: dict[str, tuple[Any, tuple[Any, ...]]] = {
    "reading": (measuring.dimension, ("wh1", "tread", 0.006, "CAL", "6 mm")),
    "direct": (measuring.direct, ("float", 0.0005, "CAL")),
    "part weighed": (measuring.weigh_part, ("rotor1", 2.0, "OWN", "2 kg")),
    "weighed": (measuring.weigh_robot, ("A", 5.0, "OFF")),
    "torqued": (fastening.torque, ("cap", 25.0)),
    "hit": (fighting.hit, (["W"], 2)),
    "finding": (mending.found, ("wh1", "wheel", "worn")),
    "note": (correcting.note, ("two bolts short",)),
    "looked at": (looking.look_at, (["rotor"],)),
    "symptom": (looking.driver_says, (["motor"], "weapon slow")),
}


def logged(shop: Shop, name: str) -> Entry:
    use, given_ = LOGGED[name]
    return shop.do(use, *given_)[-1]


@pytest.mark.parametrize(
    ("name", "text", "changes"),
    [
        ("reading", "5.8", {"value_m": 0.0058, "typed": "5.8"}),
        ("reading", "0.25 in", {"value_m": 0.00635, "typed": "0.25 in"}),
        ("direct", "0.6 mm", {"value_m": 0.0006, "typed": "0.6 mm"}),
        ("part weighed", "2.1", {"value_kg": 2.1, "typed": "2.1"}),
        ("weighed", "5,1 kg", {"value_kg": 5.1, "typed": "5,1 kg"}),
        ("torqued", "24 N m", {"torque_nm": 24.0, "typed": "24 N m"}),
        ("finding", "bent", {"what": "bent"}),
        ("note", " three  short ", {"note": "three  short"}),
        ("looked at", "again", {"note": "again"}),
        ("symptom", "weapon stopped", {"note": "weapon stopped"}),
    ],
)
def test_a_line_is_put_right_by_what_it_should_have_said(
    shop: Shop, name: str, text: str, changes: dict[str, object]
) -> None:
    old = logged(shop, name)
    (new,) = shop.do(correcting.correct_as, old.id, text)
    assert new.detail == {**old.detail, **changes}
    assert (new.kind, new.subject, new.place, new.grade, new.happened, new.act) == (
        *(old.kind, old.subject, old.place, old.grade, old.happened, old.act),
    )
    assert new.replaces == old.id


def test_the_grade_of_a_hit_and_the_mass_of_a_part_are_put_right(shop: Shop) -> None:
    (hit,) = shop.do(correcting.correct_as, logged(shop, "hit").id, "Hard")
    assert (hit.grade, hit.detail["source"]) == (3, "taken")
    part = next(entry for entry in shop.rows() if (entry.kind, entry.subject) == ("part", "rotor1"))
    (right,) = shop.do(correcting.correct_as, part.id, "2.2 kg")
    assert right.detail == {**part.detail, "mass_kg": 2.2}


def test_a_figure_takes_the_place_of_what_a_feeler_said(shop: Shop) -> None:
    (old,) = shop.do(measuring.feeler, "float", 0.0004, 0.0006)
    (new,) = shop.do(correcting.correct_as, old.id, "0.5")
    assert new.detail == {"value_m": 0.0005, "typed": "0.5"}


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("reading", "", "nothing was typed"),
        ("note", " \x1b\u202e ", "nothing was typed"),
        ("reading", "thick", "does not begin with a number"),
        ("reading", "5 kg", "is a mass; the line is a length"),
        ("torqued", "25 mm", "is a length; the line is a torque"),
        ("weighed", "1e999", "written with an exponent"),
        ("hit", "4", "no grade of a hit"),
        ("hit", "not sure", "no grade of a hit"),
    ],
)
def test_what_such_a_line_cannot_hold_is_refused(shop: Shop, name: str, text: str, says: str) -> None:
    shop.refused(says, correcting.correct_as, logged(shop, name).id, text)


def test_a_line_that_is_gone_is_not_put_right(shop: Shop) -> None:
    old = logged(shop, "reading")
    shop.do(correcting.withdraw, old.id)
    shop.refused("that line was withdrawn", correcting.correct_as, old.id, "5")
    shop.refused("not in the book", correcting.correct_as, "nothing", "5")


def test_what_is_said_of_a_line_is_what_may_be_typed_anew(shop: Shop) -> None:
    texts = {name: correcting.said(logged(shop, name)) for name in LOGGED}
    assert texts["reading"] == "6 mm"
    assert texts["direct"] == "0.5 mm"
    assert texts["torqued"] == "25 N m"
    assert texts["hit"] == "solid"
    assert texts["finding"] == "worn"
    assert texts["looked at"] == ""
    assert correcting.said(shop.do(measuring.feeler, "float", 0.0004, 0.0006)[0]) == ""


@pytest.mark.parametrize("name", [name for name in LOGGED if name != "looked at"])
def test_a_line_typed_again_as_it_stands_says_what_it_said(shop: Shop, name: str) -> None:
    old = logged(shop, name)
    (new,) = shop.do(correcting.correct_as, old.id, correcting.said(old))
    same = {key: value for key, value in new.detail.items() if key != "typed"}
    assert same == {key: value for key, value in old.detail.items() if key != "typed"}
    assert (new.grade, new.place) == (old.grade, old.place)


@settings(max_examples=20)
@given(st.sampled_from(["reading", "torqued", "weighed"]), st.integers(1, 30))
def test_putting_right_never_freshens(name: str, figure: int) -> None:
    """Whatever a line is corrected to, what came after it still stands against it."""
    shop = Shop().ready()
    old = logged(shop, name)
    shop.do(fighting.hit, ["W", "D"], 3, in_fight=False)
    before = {key for key, word in shop.verdicts().items() if word in ("recheck", "due")}
    shop.do(correcting.correct_as, old.id, str(figure))
    after = shop.verdicts()
    assert all(after[key] in ("recheck", "due", "fail") for key in before)


# taken back

DOING: list[Callable[[Shop], tuple[Entry, ...]]] = [
    lambda shop: shop.do(fighting.hit, ["W", "U"], 3, in_fight=False),
    lambda shop: shop.do(fitting.part_in, "rotor2", "rotor"),
    lambda shop: shop.do(mending.found, "rotor1", "rotor", "bent"),
    lambda shop: shop.do(fastening.open_joint, "cap"),
    lambda shop: shop.do(correcting.correct_as, newest(shop, "weighed").id, "11 kg"),
    lambda shop: shop.do(correcting.correct, newest(shop, "torqued", "cap").id, {"torque_nm": 1.0, "fasteners": [1]}),
    lambda shop: shop.do(answering.answer_all, CHECK, "EW"),
    lambda shop: shop.do(fitting.packs_out),
]


def newest(shop: Shop, kind: str, subject: str = "") -> Entry:
    return next(entry for entry in shop.rows() if entry.kind == kind and subject in ("", entry.subject))


def judged(shop: Shop) -> list[tuple[str, str]]:
    return [(item.key, item.verdict) for item in shop.standing().requirements]


def back(shop: Shop, entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    return shop.do(correcting.taken_back, entries, shop.book.read)


@pytest.mark.parametrize("doing", DOING)
def test_taking_back_restores_the_standing(doing: Callable[[Shop], tuple[Entry, ...]]) -> None:
    shop = Shop().ready()
    before = judged(shop)
    entries = doing(shop)
    changed = judged(shop) != before
    back(shop, entries)
    assert judged(shop) == before
    assert changed or entries[0].kind == "answered"


@settings(max_examples=20)
@given(st.lists(st.sampled_from(range(len(DOING))), max_size=5, unique=True))
def test_taking_back_in_turn_restores_every_standing_before(order: list[int]) -> None:
    shop = Shop().ready()
    stands = [judged(shop)]
    done = []
    for index in order:
        done.append(DOING[index](shop))
        stands.append(judged(shop))
    for entries in reversed(done):
        assert judged(shop) == stands.pop()
        back(shop, entries)
    assert judged(shop) == stands.pop()


def test_a_correction_taken_back_says_what_it_replaced(shop: Shop) -> None:
    old = logged(shop, "reading")
    put = shop.do(correcting.correct_as, old.id, "5")
    (new,) = back(shop, put)
    assert (new.kind, new.replaces, new.detail, new.happened) == ("reading", put[0].id, old.detail, old.happened)


def test_what_does_not_count_any_more_is_passed_over(shop: Shop) -> None:
    entries = shop.do(looking.look_over, ["W", "U"])
    shop.do(correcting.withdraw, entries[0].id)
    shop.do(correcting.correct, entries[1].id, {"except": ["cap"]})
    assert correcting.taken_back(shop.desk(), entries, shop.book.read) == []


def test_a_withdrawal_is_not_taken_back(shop: Shop) -> None:
    gone = shop.do(correcting.withdraw, logged(shop, "reading").id)
    shop.refused("a withdrawal is final", correcting.taken_back, gone, shop.book.read)
