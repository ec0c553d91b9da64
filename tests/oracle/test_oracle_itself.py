"""The oracle held against cases worked out by hand: lines and clocks, hits, looks.

Every expectation here is reasoned from the rules of readiness, none was read off the oracle. Most cases ask about
`look:blade`: a part looked at after solid hits, which only a look clears.
"""

from __future__ import annotations

from typing import Any

import pytest

from .figures import decide
from .pen import MINUTE, Pen

LOOK = "look:blade"


# Lines, corrections, the cut.


def test_a_correction_speaks_where_the_first_entry_stood_and_never_freshens() -> None:
    pen = Pen()
    look = pen("looked_at", "blade", 10)
    pen.hit("front", 20)
    pen("looked_at", "blade", 10, replaces=look, note="the right one")
    assert pen.entries[-1].tick > pen.entries[-2].tick
    assert pen.word(LOOK) == "due"


def test_a_correction_of_the_time_moves_the_fact() -> None:
    pen = Pen()
    look = pen("looked_at", "blade", 10)
    pen.hit("front", 20)
    pen("looked_at", "blade", 25, replaces=look)
    assert pen.word(LOOK) == "pass"


def test_a_correction_of_the_grade_and_a_correction_of_that() -> None:
    pen = Pen()
    blow = pen.hit("front", 20, grade=3)
    light = pen.hit("front", 20, grade=1, replaces=blow)
    assert pen.word(LOOK) == "pass"
    pen.hit("front", 20, grade=2, replaces=light)
    assert pen.word(LOOK) == "due"


def test_of_two_corrections_the_later_speaks_whichever_they_name() -> None:
    pen = Pen()
    blow = pen.hit("front", 20, grade=1)
    pen.hit("front", 20, grade=3, replaces=blow)
    pen.hit("front", 20, grade=1, replaces=blow)
    assert pen.word(LOOK) == "pass"


def test_a_correction_may_name_another_subject() -> None:
    pen = Pen()
    blow = pen.hit("front", 20)
    pen.hit("back", 20, replaces=blow)
    assert pen.word(LOOK) == "pass"


@pytest.mark.parametrize("named", ["root", "correction"])
def test_a_withdrawal_takes_out_the_line_for_ever(named: str) -> None:
    pen = Pen()
    blow = pen.hit("front", 20)
    correction = pen.hit("front", 20, grade=2, replaces=blow)
    pen.withdraw(blow if named == "root" else correction, 25)
    pen.hit("front", 20, replaces=correction)
    assert pen.word(LOOK) == "pass"


def test_what_replaces_an_unknown_entry_stands_by_itself_and_an_unknown_withdrawal_does_nothing() -> None:
    pen = Pen()
    pen.hit("front", 20, replaces="not merged yet")
    pen.withdraw("not merged yet either", 25)
    assert pen.word(LOOK) == "due"


def test_the_cut_takes_entries_of_an_earlier_tick_only() -> None:
    pen = Pen()
    pen.hit("front", 20)
    tick = pen.entries[-1].tick
    assert pen.judged(cut=tick).verdicts[LOOK] == "pass"
    assert pen.judged(cut=tick + 1).verdicts[LOOK] == "due"


def test_before_the_cut_of_a_correction_the_first_entry_speaks() -> None:
    pen = Pen()
    blow = pen.hit("front", 20)
    pen.withdraw(blow, 30)
    assert pen.judged(cut=pen.entries[-1].tick).verdicts[LOOK] == "due"
    assert pen.judged().verdicts[LOOK] == "pass"


# What clears what.


@pytest.mark.parametrize(
    ("writer", "late", "event", "word"),
    [
        ("a", 0, {}, "pass"),
        ("b", 0, {}, "due"),
        ("b", 2, {}, "due"),
        ("b", 2 + 1 / MINUTE, {}, "pass"),
        ("b", 2, {"clock_doubt_s": 60}, "pass"),
        ("b", 0, {"clock_doubt_s": 0}, "due"),
    ],
)
def test_between_writers_a_look_must_be_later_by_more_than_the_clock_doubt(
    writer: str, late: float, event: dict[str, int], word: str
) -> None:
    pen = Pen(**event)
    pen.hit("front", 20)
    pen("looked_at", "blade", 20 + late, writer=writer)
    assert pen.word(LOOK) == word


def test_on_equal_times_of_one_writer_what_was_written_first_came_first() -> None:
    pen = Pen()
    pen("looked_at", "blade", 20)
    pen.hit("front", 20)
    assert pen.word(LOOK) == "due"


def test_each_disturbance_may_be_cleared_by_another_look() -> None:
    pen = Pen()
    pen.hit("front", 10, writer="a")
    pen("looked_at", "blade", 11, writer="a")
    pen.hit("front", 12, writer="b")
    pen("looked_at", "blade", 12.5, writer="b")
    assert pen.word(LOOK) == "pass"
    pen.hit("front", 13, writer="a")
    assert pen.word(LOOK) == "due"


# Where a hit is felt, and what raises it.


@pytest.mark.parametrize(
    ("zone", "grade", "spreads", "word"),
    [
        ("front", 2, None, "due"),
        ("front", 1, None, "pass"),
        ("front", 3, False, "due"),
        ("middle", 3, None, "pass"),
        ("back", 3, None, "pass"),
    ],
)
def test_a_hit_is_felt_where_its_zone_passes_load(zone: str, grade: int, spreads: bool | None, word: str) -> None:
    pen = Pen()
    pen.hit(zone, 20, grade, spreads=spreads)
    assert pen.word(LOOK) == word


@pytest.mark.parametrize(
    ("position", "grade", "spreads", "word"),
    [
        ("belly", 3, True, "due"),
        ("belly", 2, True, "pass"),
        ("belly", 3, False, "pass"),
        ("tail", 3, True, "pass"),
    ],
)
def test_a_hit_loses_a_grade_a_step(position: str, grade: int, spreads: bool, word: str) -> None:
    pen = Pen()
    pen.part("motor", "weapon")
    pen("fitted", "motor", 5, place=position)
    pen.hit("front", 20, grade, spreads=spreads)
    assert pen.word("look:motor") == word


@pytest.mark.parametrize(
    ("zone", "grade", "spreads", "word"),
    [
        ("front", 2, True, "due"),
        ("front", 1, True, "pass"),
        ("front", 3, False, "pass"),
        ("back", 3, True, "pass"),
        ("middle", 1, True, "due"),
    ],
)
def test_less_than_a_light_hit_is_not_felt_at_all(zone: str, grade: int, spreads: bool, word: str) -> None:
    pen = Pen()
    pen.kind("glass", look_from=1)
    pen.part("receiver", "glass")
    pen("fitted", "receiver", 5, place="belly")
    pen.hit(zone, 20, grade, spreads=spreads)
    assert pen.word("look:receiver") == word


def test_load_goes_round_in_circles_by_the_shortest_way() -> None:
    pen = Pen()
    pen("zone", "back", 1, name="back", passes_to=["front"])
    pen.hit("back", 20, grade=3)
    assert pen.word(LOOK) == "due"


def test_a_part_feels_a_hit_where_it_sat_and_keeps_it_when_moved() -> None:
    pen = Pen()
    pen.hit("front", 20)
    pen("removed", "blade", 30, place="nose", to="spares")
    assert pen.word(LOOK) is None
    pen("fitted", "blade", 31, place="tail")
    assert pen.word(LOOK) == "due"


def test_a_part_in_the_spares_box_feels_nothing() -> None:
    pen = Pen()
    pen.kind("weapon", look_from=1)
    pen("removed", "blade", 10, place="nose", to="spares")
    pen.hit("front", 20)
    pen("fitted", "blade", 30, place="nose")
    assert pen.word(LOOK) == "pass"


def raised(pen: Pen, looked: bool, ground: str) -> None:
    """A light hit, perhaps a look, and then a ground to count the hit as hard."""
    pen.part("plate", "weapon")
    pen.hit("front", 10, grade=1, act="blow")
    if looked:
        pen("looked_at", "blade", 12)
    pen.hit("front", 10, grade=3, act="blow", because=ground)


@pytest.mark.parametrize(("looked", "word"), [(True, "pass"), (False, "due")])
def test_a_look_between_the_hit_and_its_raise_stands(looked: bool, word: str) -> None:
    pen = Pen()
    ground = pen.find("plate", 9, position="tail", raises=True)
    raised(pen, looked, ground)
    assert pen.word(LOOK) == word


@pytest.mark.parametrize(
    ("fields", "word"), [({"raises": True}, "due"), ({}, "pass"), ({"what": "bent", "raises": False}, "pass")]
)
def test_a_finding_raises_only_when_it_says_so(fields: dict[str, Any], word: str) -> None:
    pen = Pen()
    raised(pen, False, pen.find("plate", 9, position="tail", **fields))
    assert pen.word(LOOK) == word


@pytest.mark.parametrize(("what", "word"), [("bent", "due"), ("cracked", "due"), ("worn", "pass")])
def test_a_bend_that_nobody_saw_happen_counts_as_a_hit(what: str, word: str) -> None:
    pen = Pen()
    found = pen.find("plate", 9, what, position="tail")
    pen.hit("front", 9, grade=2, because=found, source="no hit seen")
    assert pen.word(LOOK) == word


def test_a_raise_falls_with_its_ground() -> None:
    pen = Pen()
    ground = pen.find("plate", 9, position="tail", raises=True)
    raised(pen, False, ground)
    pen.withdraw(ground, 20)
    assert pen.word(LOOK) == "pass"


def test_a_raise_falls_when_its_ground_is_corrected_and_on_an_unknown_ground() -> None:
    pen = Pen()
    ground = pen.find("plate", 9, position="tail", raises=True)
    raised(pen, False, ground)
    pen.find("plate", 9, position="tail", replaces=ground)
    raised(pen, False, "not merged yet")
    assert pen.word(LOOK) == "pass"


@pytest.mark.parametrize(("sign", "word"), [(True, "due"), (False, "pass")])
def test_a_hand_check_raises_on_a_sign(sign: bool, word: str) -> None:
    pen = Pen()
    raised(pen, False, pen("hand_checked", "front", 11, sign=sign))
    assert pen.word(LOOK) == word


# 1. Looks.


@pytest.mark.parametrize(
    ("look", "zone", "besides", "word"),
    [
        ("zone", "front", [], "pass"),
        ("zone", "back", [], "due"),
        ("zone", "front", ["blade"], "due"),
        ("zone", "front", ["nose"], "due"),
        ("zone", "front", ["tail"], "pass"),
        ("own", "front", [], "due"),
    ],
)
def test_a_zone_looked_over_clears_what_needs_no_look_of_its_own(
    look: str, zone: str, besides: list[str], word: str
) -> None:
    pen = Pen()
    pen.kind("weapon", look=look)
    pen.hit("front", 20)
    pen.look_over(zone, 30, besides)
    assert pen.word(LOOK) == word


def test_a_symptom_asks_for_a_look_and_a_finding_is_one() -> None:
    pen = Pen()
    pen("symptom", "blade", 20)
    assert pen.word(LOOK) == "due"
    pen.find("blade", 21)
    assert pen.word(LOOK) == "pass"


@pytest.mark.parametrize(
    ("new", "first_look", "word"), [(True, True, "due"), (False, True, "pass"), (True, False, "pass")]
)
def test_a_new_part_is_due_for_a_look_after_its_first_fight(new: bool, first_look: bool, word: str) -> None:
    pen = Pen()
    pen.kind("belt", first_look=first_look)
    pen.part("band", "belt")
    pen("fitted", "band", 10, place="belly", new=new)
    assert pen.word("look:band") == "pass"
    pen("fight_ended", "one", 20)
    assert pen.word("look:band") == word
    pen("looked_at", "band", 30)
    pen("fight_ended", "two", 40)
    assert pen.word("look:band") == "pass"


def test_the_first_fight_is_the_first_on_this_robot_with_the_part_in_it() -> None:
    pen = Pen()
    pen.kind("belt", first_look=True)
    pen.part("band", "belt")
    pen("fitted", "band", 10, place="belly", new=True)
    pen("fight_ended", "theirs", 15, robot="S")
    pen("removed", "band", 16, place="belly", to="spares")
    pen("fight_ended", "one", 20)
    pen("fitted", "band", 25, place="belly")
    assert pen.word("look:band") == "pass"
    pen("fight_ended", "two", 30)
    assert pen.word("look:band") == "due"


# What is sure enough. 0.8 - 0.7 is a hair more than 0.1 in binary, 0.75 - 0.65 a hair less, 0.1 + 0.2 more than 0.3.


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "expected"),
    [
        (0.65, 0.10, 0.25, 0.75, ("pass", True)),
        (0.65, 0.11, 0.25, 0.75, ("marginal", True)),
        (0.8, 0.1, None, 0.7, ("marginal", False)),
        (0.8, 0.09, None, 0.7, ("fail", False)),
        (0.1 + 0.2, 0.1, None, 0.3, ("marginal", True)),
        (0.1 + 0.2, 0.0, None, 0.3, ("pass", True)),
        (5.0, 1.0, None, None, ("pass", True)),
    ],
)
def test_a_value_is_decided_with_its_doubt(
    value: float, u: float, low: float | None, high: float | None, expected: tuple[str, bool]
) -> None:
    assert decide(value, u, low, high) == expected
