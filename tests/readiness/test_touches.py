"""Wiring touched and memories changed: which lists they use up, whose they are, and what clears them."""

from __future__ import annotations

import pytest

from pitcrew.logbook.writing import Draft
from pitcrew.readiness.judge import judge
from tests.readiness.small import CHECK, Small

TOUCHES = {"rewired": "wiring touched", "reprogrammed": "memory changed"}


@pytest.fixture
def small() -> Small:
    return Small().ready()


@pytest.mark.parametrize("kind", TOUCHES)
def test_wiring_or_a_memory_touched_asks_each_list_of_functions_again_and_nothing_else(small: Small, kind: str) -> None:
    for subject in ("mot1", "rotor1", "mot2"):  # a motor, a part without a function, a spare
        small.put(kind, subject)
        assert small.blocks() == {"check:test box": "due"}, subject
        reasons = small.requirement("check:test box").because
        assert {(because.code, because.facts[0].subject) for because in reasons} == {(TOUCHES[kind], subject)}
        small.answer()
        assert small.blocks() == {}
    small.put(kind, "R")
    assert small.blocks() == {"check:test box": "due"}


@pytest.mark.parametrize("kind", TOUCHES)
def test_what_is_touched_on_another_robot_uses_nothing_up_here(small: Small, kind: str) -> None:
    small.book.append([Draft("part", "theirs", "PB", "S", detail={"name": "theirs", "part_kind": "motor"})])
    for subject in ("theirs", "S", "never defined"):
        small.put(kind, subject)
    assert small.standing().fit
    # Whoever wrote it at whichever bench: a part of this robot is this robot's.
    small.book.append([Draft(kind, "mot2", "MK", "S")])
    assert small.blocks() == {"check:test box": "due"}


def test_a_list_that_does_not_hang_on_functions_stays_answered_when_wiring_is_touched(small: Small) -> None:
    small.put("rewired", "mot1")
    small.put("reprogrammed", "mot1")
    for stale_when, verdict in ((("fight_ended",), "pass"), (("function_part_moved",), "due")):
        listed = CHECK._replace(stale_when=stale_when)
        standing = judge(small.book.evidence(), "R", small.clock.now_ms(), [listed])
        assert standing is not None
        assert [item.verdict for item in standing.requirements if item.group == "check"] == [verdict]


def test_a_touch_taken_out_or_put_right_counts_as_it_stands(small: Small) -> None:
    wrong = small.put("rewired", "mot1", place="motor")
    small.put("withdrawn", "mot1", replaces=wrong.id)
    assert small.standing().fit
    early = small.put("reprogrammed", "mot1", place="motor")
    small.answer()
    small.put("reprogrammed", "rotor1", replaces=early.id, happened=early.happened)
    assert small.standing().fit, "a correction never freshens"
    late = small.put("reprogrammed", "mot1", place="motor")
    small.put("reprogrammed", "S", replaces=late.id, happened=late.happened)
    assert small.standing().fit, "it was another robot's"


def test_an_answer_by_another_clock_must_be_later_by_more_than_the_doubt(small: Small) -> None:
    touch = small.put("rewired", "mot1")
    for line in CHECK.lines:
        answer = touch._replace(kind="answered", subject=f"R/test box/{line.id}", detail={"answer": "yes"}, act="other")
        near = touch.happened + 120_000
        small.book.insert_raw([answer._replace(id=f"near {line.id}", writer="other", tick=near, happened=near)])
        assert small.blocks() == {"check:test box": "due"}
    for line in CHECK.lines:
        answer = touch._replace(kind="answered", subject=f"R/test box/{line.id}", detail={"answer": "yes"}, act="other")
        late = touch.happened + 120_001
        small.book.insert_raw([answer._replace(id=f"late {line.id}", writer="other", tick=late, happened=late)])
    assert small.blocks() == {}
