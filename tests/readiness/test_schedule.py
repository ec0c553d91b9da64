"""Jobs laid over people: nobody in two places, no two hands in one zone, everything in its order."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.readiness.jobs import CHECK, FASTEN, LOOK, MAKE_SAFE, MEASURE, OPEN, PACKS, REPAIR, Job
from pitcrew.readiness.schedule import ALONE, Laid, lay
from pitcrew.robot.moments import MINUTE_MS

NOW = 1_781_360_640_000
CREW = ("PB", "MK", "EW", "DV")


def job(stage: int, minutes: int, zone: str | None = None, people: int = 1, name: str = "") -> Job:
    return Job(stage, f"job {name or stage}", zone or "", zone, (), minutes, people)


def minutes(laid: Laid) -> tuple[int, int]:
    return (laid.start - NOW) // MINUTE_MS, (laid.end - NOW) // MINUTE_MS


def test_two_zones_are_worked_on_side_by_side_and_one_zone_is_not() -> None:
    plan = lay([job(LOOK, 3, "W1"), job(LOOK, 2, "DR"), job(LOOK, 4, "W1")], CREW, NOW)
    assert [minutes(item) for item in plan.laid] == [(0, 3), (0, 2), (3, 7)]
    assert plan.ready_at == NOW + 7 * MINUTE_MS


def test_all_else_waits_for_making_safe_and_a_check_of_the_whole_for_all_else() -> None:
    listed = [
        job(MAKE_SAFE, 4, people=2),
        job(OPEN, 3),
        job(LOOK, 5, "W1"),
        job(LOOK, 1, "DR"),
        job(CHECK, 2, people=2),
    ]
    assert [minutes(item) for item in lay(listed, CREW, NOW).laid] == [(0, 4), (4, 7), (7, 12), (7, 8), (12, 14)]


def test_one_pair_of_hands_does_one_thing_after_the_other() -> None:
    listed = [job(LOOK, 3, "W1"), job(LOOK, 2, "DR"), job(REPAIR, 10, "DL")]
    plan = lay(listed, ("MK",), NOW)
    assert [minutes(item) for item in plan.laid] == [(0, 3), (3, 5), (5, 15)]


def test_a_job_that_wants_more_people_than_there_are_is_done_by_all_of_them() -> None:
    plan = lay([job(REPAIR, 8, people=2)], ("MK",), NOW)
    assert plan.laid[0].people == ("MK",)


def test_without_people_nothing_is_laid_and_that_is_said() -> None:
    listed = [job(LOOK, 3, "W1")]
    plan = lay(listed, (), NOW)
    assert (plan.laid, plan.short, plan.ready_at) == ((), tuple(listed), NOW)


def test_nothing_to_do_is_ready_now() -> None:
    assert lay([], CREW, NOW).ready_at == NOW


def test_a_change_over_is_finished_before_what_it_moved_is_measured() -> None:
    plan = lay([job(REPAIR, 8, None, 2), job(MEASURE, 3, "W1"), job(FASTEN, 2, "W1")], CREW, NOW)
    assert [minutes(item) for item in plan.laid] == [(0, 8), (8, 11), (11, 13)]


STAGES = (MAKE_SAFE, OPEN, LOOK, REPAIR, MEASURE, FASTEN, PACKS, CHECK)
JOBS = st.builds(
    job,
    st.sampled_from(STAGES),
    st.integers(1, 15),
    st.sampled_from([None, "W1", "DR", "DL", "FR"]),
    st.integers(1, 3),
)


@given(st.lists(JOBS, max_size=14), st.integers(1, 5))
def test_the_laws_of_any_plan(listed: list[Job], hands: int) -> None:
    ordered = sorted(listed, key=lambda item: item.stage)
    plan = lay(ordered, CREW[:hands] if hands < 5 else (*CREW, "XX"), NOW)
    assert [item.job for item in plan.laid] == ordered
    for item in plan.laid:
        assert item.start >= NOW
        assert item.end - item.start == item.job.minutes * MINUTE_MS
        assert len(set(item.people)) == len(item.people) == min(item.job.people, hands)
    for first, then in combinations(plan.laid, 2):
        apart = first.end <= then.start or then.end <= first.start
        if set(first.people) & set(then.people):
            assert apart, "one person in two places"
        if first.job.zone is not None and first.job.zone == then.job.zone:
            assert first.end <= then.start, "two hands in one zone, or out of order"
        if first.job.stage in ALONE or then.job.stage in ALONE:
            assert first.end <= then.start, "beside a job on the whole robot"
    work = sum(item.minutes * min(item.people, hands) for item in listed)
    longest = max((item.minutes for item in listed), default=0)
    took = (plan.ready_at - NOW) // MINUTE_MS
    assert took >= max(longest, work / hands)
    assert took <= sum(item.minutes for item in listed)


@pytest.mark.parametrize("stage", sorted(ALONE))
def test_a_job_on_the_whole_robot_is_done_alone(stage: int) -> None:
    plan = lay([job(LOOK, 3, "W1"), job(stage, 2), job(LOOK, 3, "DR")], CREW, NOW)
    assert [minutes(item) for item in plan.laid] == [(0, 3), (3, 5), (5, 8)]


def at(minute: int) -> int:
    return NOW + minute * MINUTE_MS


def test_who_is_away_gets_no_work_they_would_have_to_leave() -> None:
    listed = [job(LOOK, 4, "W1"), job(LOOK, 4, "DR"), job(REPAIR, 3, "DL", people=2)]
    busy = {"MK": [(at(3), at(9))]}
    plan = lay(listed, ("MK", "EW"), NOW, busy)
    assert [(minutes(item), item.people) for item in plan.laid] == [
        ((0, 4), ("EW",)),
        ((4, 8), ("EW",)),
        ((9, 12), ("MK", "EW")),
    ]


def test_a_short_job_still_fits_before_somebody_goes() -> None:
    plan = lay([job(LOOK, 3, "W1")], ("MK",), NOW, {"MK": [(at(3), at(9))], "XX": [(NOW, at(90))]})
    assert [minutes(item) for item in plan.laid] == [(0, 3)]


def test_a_job_waits_for_its_moment_and_what_comes_after_it_waits_too() -> None:
    listed = [job(LOOK, 3, "W1"), job(PACKS, 2)._replace(after=at(20)), job(CHECK, 5)]
    assert [minutes(item) for item in lay(listed, CREW, NOW).laid] == [(0, 3), (20, 22), (22, 27)]
    gone_by = [job(PACKS, 2)._replace(after=at(-5))]
    assert [minutes(item) for item in lay(gone_by, CREW, NOW).laid] == [(0, 2)]


SPELLS = st.lists(st.tuples(st.integers(-10, 60), st.integers(1, 40)), max_size=3)


@settings(max_examples=60, deadline=None)
@given(st.lists(JOBS, max_size=8), st.dictionaries(st.sampled_from(CREW), SPELLS), st.integers(0, 30))
def test_the_laws_of_a_plan_round_those_who_are_away(
    listed: list[Job], spells: dict[str, list[tuple[int, int]]], after: int
) -> None:
    ordered = sorted(listed, key=lambda item: item.stage)
    ordered = [item._replace(after=at(after)) if item.stage == PACKS else item for item in ordered]
    busy = {who: [(at(start), at(start + length)) for start, length in each] for who, each in spells.items()}
    plan = lay(ordered, CREW, NOW, busy)
    assert [item.job for item in plan.laid] == ordered
    for item in plan.laid:
        assert item.start >= max(NOW, item.job.after or NOW)
        assert len(item.people) == min(item.job.people, len(CREW))
        for who in item.people:
            assert all(last <= item.start or item.end <= first for first, last in busy.get(who, ()))
    for first, then in combinations(plan.laid, 2):
        if set(first.people) & set(then.people):
            assert first.end <= then.start or then.end <= first.start
    away_till = max((last for each in busy.values() for _, last in each), default=NOW)
    assert plan.ready_at <= max(away_till, at(after), NOW) + sum(item.minutes for item in listed) * MINUTE_MS
