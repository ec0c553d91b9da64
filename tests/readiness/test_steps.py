"""Judging in small steps, and judging only what is asked for, against judging at one go."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench.standing import viewing
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from pitcrew.readiness.case import Case
from pitcrew.readiness.judge import only, standing_of, steps
from pitcrew.readiness.steps import Steps, Underway, finished
from pitcrew.robot.definitions import Joint, gather
from pitcrew.robot.records import Evidence
from tests.bench.demo_day import DemoDay
from tests.oracle.histories import random_book
from tests.readiness.small import CHECK, Small

# A question takes some thirty microseconds, so that this many stay within two milliseconds.
MOST_QUESTIONS = 60


class Counting:
    """Evidence that counts what it is asked."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        self.asked = 0

    def __getattr__(self, name: str) -> Any:
        self.asked += 1
        return getattr(self.evidence, name)


@contextmanager
def random_case(seed: int) -> Iterator[Case | None]:
    """A random robot's case; None where its book does not know it."""
    history = random_book(seed, 30)
    with Book.memory(FixedClock(history.now), SeededIds(1)) as book:
        book.insert_raw(history.entries, checked=True)
        evidence = book.evidence(history.cut)
        defined = gather(evidence, history.robot)
        yield Case(evidence, defined, history.now, history.checklists) if defined else None


def case_of(small: Small, evidence: Evidence | None = None) -> Case:
    evidence = evidence or small.book.evidence()
    defined = gather(evidence, "R")
    assert defined is not None
    return Case(evidence, defined, small.clock.now_ms(), [CHECK])


def test_no_step_asks_much_of_the_book() -> None:
    demo = DemoDay()
    with demo.book as book:
        for robot in demo.robots.values():
            counting = Counting(book.evidence())
            underway = Underway(viewing(counting, robot, demo.now, demo.checklists))
            asked = []
            while not underway.done:
                before = counting.asked
                underway.step()
                asked.append(counting.asked - before)
            assert sum(asked) > 150
            assert max(asked) <= MOST_QUESTIONS


def test_what_is_written_between_two_steps_does_not_count() -> None:
    small = Small().ready()
    whole = standing_of(case_of(small))
    underway = Underway(steps(case_of(small)))
    count = 0
    while not underway.step():
        count += 1
        if count % 9 == 0:
            now = small.clock.now_ms()
            small.hit("W", 3)
            small.clock.set(now)
    assert count > 20
    assert underway.result == whole
    assert "joint:cap" in {item.key for item in standing_of(case_of(small)).blocking}


def test_two_judgings_taken_in_turns_do_not_disturb_each_other() -> None:
    small = Small().ready()
    small.hit("W", 2)
    earlier = case_of(small, small.book.evidence(small.clock.now_ms()))
    wanted = [standing_of(case_of(small)), standing_of(earlier)]
    turns = [Underway(steps(case_of(small))), Underway(steps(case_of(small, earlier.evidence)))]
    while not all([underway.step() for underway in turns]):
        pass
    assert [underway.result for underway in turns] == wanted
    assert wanted[0] != wanted[1]


def counted_to(last: int) -> Steps[int]:
    for number in range(last):
        if number == 7:
            raise BookError("it cannot be read.", "Try again.", "book")
        yield
    return last


def test_the_result_is_there_after_the_last_step_and_stays() -> None:
    underway = Underway(counted_to(2))
    assert [underway.step(), underway.step()] == [False, False]
    with pytest.raises(RuntimeError):
        _ = underway.result
    assert [underway.step(), underway.step(), underway.done, underway.result] == [True, True, True, 2]
    assert finished(counted_to(0)) == 0


def test_an_error_comes_out_of_the_step_it_happens_in() -> None:
    underway = Underway(counted_to(9))
    assert [underway.step() for _ in range(7)] == [False] * 7
    with pytest.raises(BookError):
        underway.step()
    assert not underway.done


def test_a_robot_the_book_does_not_know_is_said_with_the_first_step() -> None:
    small = Small()
    underway = Underway(viewing(small.book.evidence(), "nobody", 0, []))
    with pytest.raises(BookError):
        underway.step()


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, 2**32 - 1))
def test_what_is_asked_for_alone_is_what_stands_in_the_whole(seed: int, choice: int) -> None:
    with random_case(seed) as case:
        if case is None:
            return
        whole = standing_of(case).requirements
        rng = Random(choice)
        keys = {item.key for item in whole if rng.random() < 0.3}
        alone = Case(case.evidence, case.defs, case.now, case.checklists)
        assert only(alone, [*keys, "stack:unknown", "nothing"]) == tuple(item for item in whole if item.key in keys)


def test_what_is_asked_for_alone_asks_the_book_for_little() -> None:
    small = Small().ready()
    counting = Counting(small.book.evidence())
    case = case_of(small, counting)
    counting.asked = 0
    assert [item.key for item in only(case, ["stack:float"])] == ["stack:float"]
    little, counting.asked = counting.asked, 0
    standing_of(case)
    assert little * 4 < counting.asked


def judged_by_fastener(small: Small, joint: str) -> tuple[str, tuple[str, ...]]:
    found = next(item for item in standing_of(case_of(small)).requirements if item.key == f"joint:{joint}")
    return found.verdict, tuple(because.code for because in found.because)


@pytest.mark.parametrize("opened", [1, 2])
def test_a_fastener_that_fares_otherwise_is_judged_by_itself(opened: int) -> None:
    small = Small().ready()
    assert judged_by_fastener(small, "cap")[0] == "pass"
    small.put("opened", "cap", {"fasteners": [opened]})
    assert judged_by_fastener(small, "cap") == ("recheck", ("opened since",))
    small.put("torqued", "cap", {"fasteners": [3 - opened], "torque_nm": 25.0, "instrument": "TW", "locker": True})
    assert judged_by_fastener(small, "cap") == ("recheck", ("opened since",))
    small.put("torqued", "cap", {"fasteners": [opened], "torque_nm": 40.0, "instrument": "TW", "locker": True})
    assert judged_by_fastener(small, "cap") == ("fail", ("torqued",))


def test_fasteners_that_fare_the_same_are_judged_once() -> None:
    small = Small().ready()
    case = case_of(small)
    wide = case.defs.joints["cap"]._replace(fastener_count=400)
    joints: dict[str, Joint] = {**case.defs.joints, "cap": wide}
    counted = Case(case.evidence, case.defs._replace(joints=joints), case.now, [CHECK])
    found = next(item for item in standing_of(counted).requirements if item.key == "joint:cap")
    assert found == next(item for item in standing_of(case).requirements if item.key == "joint:cap")
    assert [key for key in counted._streams if key[:2] == ("torques", "cap")] == [("torques", "cap", "1")]


@pytest.mark.benchmark
def test_how_long_the_longest_step_takes() -> None:
    demo = DemoDay()
    with demo.book as book:
        for name, robot in demo.robots.items():
            least: list[float] = []
            for _ in range(12):
                underway = Underway(viewing(book.evidence(), robot, demo.now, demo.checklists))
                took = []
                while not underway.done:
                    start = time.process_time()
                    underway.step()
                    took.append(1000 * (time.process_time() - start))
                least = took if not least else [min(pair) for pair in zip(least, took, strict=True)]
            print(f"{name}: {len(least)} steps, {sum(least):.1f} ms, longest {max(least):.2f} ms")  # noqa: T201
