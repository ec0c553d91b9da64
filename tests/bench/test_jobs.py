"""The worklist through the demo's day: nothing that blocks is left out or asked twice, and the order holds."""

from __future__ import annotations

from collections import Counter

import pytest

from pitcrew.bench.saying import ACTIONS, job_words
from pitcrew.bench.standing import View, as_data
from pitcrew.readiness.jobs import CHECK, MAKE_SAFE, OPEN
from tests.bench.demo_day import DemoDay


def test_the_whole_day_is_looked_at(demo: DemoDay, views: list[View]) -> None:
    assert len(views) == sum(len(demo.minutes(robot)) for robot in demo.robots.values()) > 150
    # The day has every sort of job in it.
    assert {job.action for view in views for job in view.jobs} >= {
        "packs out",
        "look over",
        "look at each",
        "look at packs",
        "hand check",
        "mend",
        "change over",
        "measure",
        "measure part",
        "torque",
        "packs in",
        "weigh",
        "check",
    }


def test_what_the_jobs_clear_adds_up_to_what_blocks(views: list[View]) -> None:
    for view in views:
        cleared = Counter(item.key for job in view.jobs for item in job.clears)
        assert cleared == Counter(item.key for item in view.standing.blocking)
        assert set(cleared.values()) <= {1}
        assert all(view.job_of(item) is not None for item in view.standing.blocking)


def test_stages_follow_one_another(views: list[View]) -> None:
    for view in views:
        stages = [job.stage for job in view.jobs]
        assert stages == sorted(stages)


def test_make_safe_is_first_and_packs_out_next(views: list[View]) -> None:
    seen = 0
    for view in views:
        safe = [index for index, job in enumerate(view.jobs) if job.stage == MAKE_SAFE]
        assert safe == ([0] if any(item.key == "check:make safe" for item in view.standing.blocking) else [])
        out = [index for index, job in enumerate(view.jobs) if job.action == "packs out"]
        assert out in ([], [len(safe)])
        if safe and out:
            seen += 1
            assert (view.jobs[0].subject, view.jobs[0].action) == ("make safe", "check")
            assert view.jobs[1].stage == OPEN
    assert seen >= 4


def test_the_lists_come_last_in_their_own_order(views: list[View]) -> None:
    for view in views:
        last = [job.subject for job in view.jobs if job.stage == CHECK]
        assert last == [name for name in ("test box", "before call") if name in last]
        assert [job.subject for job in view.jobs[len(view.jobs) - len(last) :]] == last


def test_what_fails_is_mended_before_what_is_due(views: list[View]) -> None:
    order = ["fail", "recheck", "due", "unchecked", "marginal"]
    for view in views:
        repairs = [order.index(job.verdict) for job in view.jobs if job.action in ("mend", "fit", "change over")]
        assert repairs == sorted(repairs)


def test_only_packs_out_clears_nothing(views: list[View]) -> None:
    for view in views:
        assert {job.action for job in view.jobs if not job.clears} <= {"packs out"}
        assert len({(job.stage, job.action, job.subject) for job in view.jobs}) == len(view.jobs)


def test_a_fit_robot_with_its_packs_in_has_nothing_to_do(views: list[View]) -> None:
    fit = [view for view in views if view.standing.fit]
    assert {view.robot for view in fit} == {"TALLOW ANVIL", "NETTLE SPROCKET"}
    assert [job for view in fit for job in view.jobs] == []


def test_every_job_takes_minutes_and_people_and_says_what_it_is(views: list[View]) -> None:
    for view in views:
        for job in view.jobs:
            assert job.minutes >= 1
            assert job.people in (1, 2)
            text = job_words(view.case, job)
            assert job.action in ACTIONS
            assert text == text.strip()
            assert text.isascii()
            assert "  " not in text


def test_a_script_gets_the_same(demo: DemoDay, views: list[View]) -> None:
    for view in views[::20]:
        (robot,) = as_data([view], "b", view.standing.at)["robots"]
        assert [block["key"] for block in robot["blocks"]] == [item.key for item in view.standing.blocking]
        assert all(block["clears"] and block["minutes"] and block["reason"] for block in robot["blocks"])
        assert robot["fit"] == view.standing.fit


@pytest.mark.soak
def test_every_minute_of_the_day_adds_up(demo: DemoDay) -> None:
    every = list(demo.views(every=1))
    test_what_the_jobs_clear_adds_up_to_what_blocks(every)
    test_stages_follow_one_another(every)
    test_make_safe_is_first_and_packs_out_next(every)
