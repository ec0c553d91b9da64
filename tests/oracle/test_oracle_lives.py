"""The oracle held against cases worked out by hand: lives, signatures, second initials later, evidence of a line."""

from __future__ import annotations

from typing import Any

import pytest

from .pen import Pen, bolted, checklist, gapped, line, measured

# Lives.


def lived(**fields: Any) -> Pen:
    """The robot with a blade whose kind lasts so long."""
    pen = Pen()
    pen.kind("weapon", look_from=4, **fields)
    return pen


def test_a_life_is_counted_in_fights_the_part_sat_in() -> None:
    pen = Pen()
    assert pen.word("life:blade") is None
    pen = lived(life_fights=2)
    assert pen.word("life:blade") == "pass"
    pen("fight_ended", "one", 10)
    pen("fight_ended", "theirs", 11, robot="S")
    pen("removed", "blade", 12, place="nose", to="spares")
    pen("fight_ended", "two", 13)
    pen("fitted", "blade", 14, place="nose")
    assert pen.word("life:blade") == "pass"
    last = pen("fight_ended", "three", 15)
    assert pen.word("life:blade") == "due"
    pen("removed", "blade", 16, place="nose", to="spares")
    assert pen.word("life:blade") is None
    pen("fitted", "blade", 17, place="nose")
    pen.withdraw(last, 18)
    assert pen.word("life:blade") == "pass"


@pytest.mark.parametrize(
    ("kind", "part", "word"),
    [
        ({"life_fights": 3}, {"fights": 2}, "pass"),
        ({"life_fights": 3}, {"fights": 3}, "due"),
        ({"life_fights": 3}, {"fights": 9}, "due"),
        ({"life_fights": 3}, {"hard_hits": 9}, "pass"),
        ({"life_hard_hits": 2}, {"hard_hits": 1}, "pass"),
        ({"life_hard_hits": 2}, {"hard_hits": 2}, "due"),
        ({"life_fights": 3, "life_hard_hits": 2}, {"fights": 1, "hard_hits": 2}, "due"),
    ],
)
def test_what_a_part_had_behind_it_counts(kind: dict[str, int], part: dict[str, int], word: str) -> None:
    pen = lived(**kind)
    pen.part("blade", "weapon", **part)
    assert pen.word("life:blade") == word


def test_a_life_is_counted_in_hits_felt_as_hard_ones_and_one_blow_counts_once() -> None:
    pen = lived(life_hard_hits=2)
    pen.hit("front", 10, grade=2)
    pen.hit("middle", 11, grade=3)
    pen.hit("front", 12, grade=3, act="blow")
    pen.hit("front", 12, grade=3, act="blow")
    assert pen.word("life:blade") == "pass"
    pen.hit("front", 13, grade=2, act="another")
    assert pen.word("life:blade") == "pass"
    found = pen.find("blade", 14, raises=True)
    raise_of_it = pen.hit("front", 13, grade=3, act="another", because=found)
    assert pen.word("life:blade") == "due"
    pen.withdraw(raise_of_it, 15)
    assert pen.word("life:blade") == "pass"


# Signed off.


def signable() -> tuple[Pen, list[str]]:
    """A robot fit to fight but for the signature its crew wants, and what it rests on."""
    pen = gapped()
    pen("robot", "R", name="robot", event="E", sign_off=True)
    pen.instrument("official", 0.05)
    pen("weighed", "bare", 5, value_kg=9.0, instrument="official")
    pen.fight("one", 6)
    return pen, measured(pen, 10.2)


def signed(pen: Pen, at: float, rests_on: list[str], fight: str | None = "one") -> str:
    named: dict[str, Any] = {} if fight is None else {"fight": fight}
    return pen("signed", "R", at, rests_on=rests_on, **named)


def test_a_crew_that_signs_is_fit_with_a_signature_for_this_fight() -> None:
    pen, rests_on = signable()
    judged = pen.judged()
    assert (judged.fit, judged.verdicts["signed:R"]) == (False, "due")
    signed(pen, 20, rests_on, fight="another")
    signed(pen, 21, rests_on, fight=None)
    assert pen.word("signed:R") == "due"
    signed(pen, 22, rests_on)
    assert (pen.judged().fit, pen.word("signed:R")) == (True, "pass")
    pen.fight("two", 30)
    assert pen.word("signed:R") == "due"
    pen("fight_ended", "two", 40)
    assert pen.word("signed:R") is None


def test_a_crew_that_does_not_sign_is_not_asked() -> None:
    pen, _ = signable()
    pen("robot", "R", 10, name="robot", event="E", sign_off=False)
    assert (pen.judged().fit, pen.word("signed:R")) == (True, None)


@pytest.mark.parametrize("change", ["withdrawn", "written again", "unknown"])
def test_a_signature_falls_with_what_it_rests_on(change: str) -> None:
    pen, rests_on = signable()
    signed(pen, 20, [*rests_on, "not merged yet"] if change == "unknown" else rests_on)
    if change == "withdrawn":
        pen.withdraw(rests_on[0], 21)
        pen.read("R", "slot", 21, 0.0102, instrument="caliper")
    if change == "written again":
        pen.read("R", "slot", 10, 0.0102, replaces=rests_on[0], instrument="caliper")
    assert {key for key, word in pen.judged().verdicts.items() if word != "pass"} == {"signed:R"}
    assert pen.word("signed:R") == "recheck"
    signed(pen, 30, rests_on[1:])
    assert (pen.judged().fit, pen.word("signed:R")) == (True, "pass")


def test_a_signature_does_not_stand_while_anything_else_blocks_and_stands_again_when_it_does_not() -> None:
    pen, rests_on = signable()
    signed(pen, 20, rests_on)
    pen.hit("front", 21)
    assert pen.word("signed:R") == "recheck"
    pen("looked_at", "blade", 22)
    measured(pen, 10.2, 23)
    assert (pen.judged().fit, pen.word("signed:R")) == (True, "pass")


def test_what_is_marginal_blocks_a_signature_until_it_is_accepted() -> None:
    pen, _ = signable()
    rests_on = measured(pen, 10.105, 12)
    signed(pen, 20, rests_on)
    assert (pen.word("stack:gap"), pen.word("signed:R")) == ("marginal", "recheck")
    pen("accepted", "stack:gap", 21, fight="one", rests_on=rests_on)
    assert (pen.judged().fit, pen.word("signed:R")) == (True, "pass")


# Second initials later.


def test_second_initials_come_later_from_another_person_and_name_the_torque() -> None:
    pen = bolted(second=True)
    torque = pen.torque("hub", 10, by="AB", instrument="wrench")
    assert pen.word("joint:hub") == "due"
    pen("signed", "joint:hub", 11, by="AB", rests_on=[torque])
    pen("signed", "joint:hub", 12, by="CD", rests_on=[])
    pen("signed", "joint:rim", 12, by="CD", rests_on=[torque])
    pen("signed", "joint:hub", 9, by="CD", rests_on=[torque])
    assert pen.word("joint:hub") == "due"
    signature = pen("signed", "joint:hub", 13, by="CD", rests_on=[torque])
    pen("signed", "joint:hub", 14, by="CD", rests_on=[])
    assert pen.word("joint:hub") == "pass"
    pen.withdraw(signature, 15)
    assert pen.word("joint:hub") == "due"


def test_second_initials_are_for_a_torque_as_it_was_written_and_for_every_fastener() -> None:
    pen = bolted(second=True)
    first = pen.torque("hub", 10, fasteners=[1], by="AB", instrument="wrench")
    second = pen.torque("hub", 11, fasteners=[2], by="AB", instrument="wrench")
    pen("signed", "joint:hub", 12, by="CD", rests_on=[first])
    assert pen.word("joint:hub") == "due"
    pen("signed", "joint:hub", 13, by="CD", rests_on=[second])
    assert pen.word("joint:hub") == "pass"
    again = pen.torque("hub", 10, 10.1, [1], by="AB", replaces=first, instrument="wrench")
    assert pen.word("joint:hub") == "due"
    pen("signed", "joint:hub", 14, by="CD", rests_on=[again])
    assert pen.word("joint:hub") == "pass"


# Lines that the book answers.


def test_the_book_answers_a_line_where_there_is_something_to_go_by_and_nothing_of_it_blocks() -> None:
    pen = bolted()
    lists = [checklist(line("bolts", evidence=("joint",)), line("covers on"))]
    pen("answered", "R/list/covers on", 1, answer="yes")
    assert pen.word("check:list", lists=lists) == "due"
    pen.torque("hub", 10, instrument="wrench")
    assert pen.word("check:list", lists=lists) == "pass"
    pen("fight_ended", "one", 11)
    pen("answered", "R/list/covers on", 12, answer="yes")
    assert pen.word("check:list", lists=lists) == "pass"
    pen("opened", "hub", 13, fasteners=[1])
    assert pen.word("check:list", lists=lists) == "due"
    pen("answered", "R/list/bolts", 14, answer="yes")
    assert pen.word("check:list", lists=lists) == "pass"


@pytest.mark.parametrize(
    ("evidence", "word"),
    [(("look",), "pass"), (("finding",), "due"), (("finding", "look"), "pass"), (("look", "joint"), "due")],
)
def test_what_a_line_may_go_by(evidence: tuple[str, ...], word: str) -> None:
    pen = bolted()
    assert {"look:blade", "joint:hub"} == pen.judged().verdicts.keys()
    assert pen.word("check:list", lists=[checklist(line("seen", evidence=evidence))]) == word


def test_a_no_speaks_against_the_book_and_what_is_marginal_must_be_accepted() -> None:
    lists = [checklist(line("gap", evidence=("stack",)))]
    pen = gapped()
    pen.fight("one", 6)
    rests_on = measured(pen, 10.105)
    assert pen.word("check:list", lists=lists) == "due"
    pen("accepted", "stack:gap", 20, fight="one", rests_on=rests_on)
    assert pen.word("check:list", lists=lists) == "pass"
    pen("answered", "R/list/gap", 21, answer="no")
    assert pen.word("check:list", lists=lists) == "fail"
    pen("answered", "R/list/gap", 22, answer="skipped")
    assert pen.word("check:list", lists=lists) == "pass"


@pytest.mark.parametrize("unfit", [True, False])
def test_a_list_that_the_book_answers_stands_before_a_signature(unfit: bool) -> None:
    pen, rests_on = signable()
    lists = [checklist(line("seen", evidence=("look",)))]
    signed(pen, 20, rests_on)
    if unfit:
        pen("symptom", "blade", 21)
    judged = pen.judged(lists=lists)
    assert judged.verdicts["check:list"] == ("due" if unfit else "pass")
    assert judged.verdicts["signed:R"] == ("recheck" if unfit else "pass")
