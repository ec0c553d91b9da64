"""Why a job is on the list, what ends it, what it rests on, and the caution before it: the rows below the list."""

from __future__ import annotations

import re

import pytest

from pitcrew.bench import fastening, measuring
from pitcrew.bench.detail import (
    CAUTIONS,
    DO,
    WEAPON,
    caution,
    evidence_of,
    fact_words,
    job_detail,
    requirement_detail,
)
from pitcrew.bench.standing import View, view
from pitcrew.readiness.jobs import Job
from pitcrew.robot.moments import typed
from tests.bench.demo_day import HEAVY, SMALL, ZONE, DemoDay
from tests.bench.shop import Shop
from tests.readiness.small import CHECK


def jobs(views: list[View]) -> list[tuple[View, Job]]:
    return [(item, job) for item in views for job in item.jobs]


def at(demo: DemoDay, clock: str, robot: str = HEAVY) -> View:
    start, end = typed(f"2026-06-13 {clock}", ZONE, 0)
    return view(demo.book.evidence(end), demo.robots[robot], start, demo.checklists)


def job(seen: View, action: str, zone: str = "") -> Job:
    zones = {item.id: item.name for item in seen.case.defs.zones.values()}
    return next(job for job in seen.jobs if job.action == action and zone in ("", zones.get(job.zone or "", "")))


def of_shop(shop: Shop) -> View:
    return view(shop.book.evidence(), "R", shop.clock.now_ms(), [CHECK])


# On the demo's day packs are charged in time, no life is used up, and no robot asks for a signature.
NOT_THAT_DAY = {"charge packs", "renew", "sign", "tip speed"}


def test_every_sort_of_job_of_the_day_has_words_for_what_ends_it(views: list[View]) -> None:
    seen = {job.action for _, job in jobs(views)}
    assert seen <= set(DO)
    assert set(DO) - seen == NOT_THAT_DAY


def test_every_job_says_why_and_what_to_do_and_names_entries_that_are_in_the_book(
    demo: DemoDay, views: list[View]
) -> None:
    entries = {entry.n: entry for entry in demo.entries}
    for item, job in jobs(views):
        rows = list(job_detail(item, job))
        labels = [label for label, _ in rows if label]
        assert labels.count("do") == 1
        assert ("why" in labels) == bool(job.clears)
        assert all(text for _, text in rows)
        rests = [text for text in (text for _, text in rows) if text.startswith("#")]
        assert len(rests) <= 2
        for text in rests:
            number = re.match(r"#(\d+) \d\d:\d\d (\w+) ", text)
            assert number is not None, text
            assert entries[int(number[1])].by == number[2]


def test_the_reasons_shown_are_the_first_and_the_rest_is_counted(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    many = job(seen, "look over", "DR")
    rows = list(job_detail(seen, many))
    assert len(many.clears) == 6
    assert [label for label, _ in rows][:4] == ["why", "", "", ""]
    assert rows[3][1] == "and 3 more: Enter shows all"
    assert len([row for row in job_detail(seen, many, most=6) if ": " in row[1] and not row[1].startswith("#")]) >= 6
    assert not any("more: Enter" in text for _, text in job_detail(seen, many, most=6))


def test_a_job_that_clears_one_thing_does_not_say_its_name_twice(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    rows = list(job_detail(seen, job(seen, "hand check")))
    assert rows[0][0] == "why"
    assert rows[0][1].startswith("solid own blow on W1 15:22, not sure")


def test_the_newest_entries_are_named_newest_first(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    for item in seen.jobs:
        numbers = [int(text[1:].split()[0]) for _, text in job_detail(seen, item) if text.startswith("#")]
        facts = {fact.entry.n: fact.order for clears in item.clears for fact in evidence_of(clears)}
        assert [facts[n] for n in numbers] == sorted(facts.values(), reverse=True)[: len(numbers)]


# cautions


@pytest.mark.parametrize("action", sorted(set(CAUTIONS) - NOT_THAT_DAY))
def test_a_caution_stands_before_packs_and_lifts(views: list[View], action: str) -> None:
    found = [(item, job) for item, job in jobs(views) if job.action == action]
    assert found
    assert {caution(item, job) for item, job in found} == {CAUTIONS[action]}


def test_a_caution_stands_before_the_weapon_and_nowhere_else_by_habit(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    assert caution(seen, job(seen, "look over", "W1")) == WEAPON
    assert caution(seen, job(seen, "look at each", "W1")) == WEAPON
    assert caution(seen, job(seen, "look over", "DR")) == ""


def test_a_checklists_own_cautions_are_said_before_it(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    first = job(seen, "check")
    checklist = next(item for item in demo.checklists if item.id == first.subject)
    assert checklist.cautions
    assert caution(seen, first) == " ".join(checklist.cautions[:2])
    assert caution(seen, first._replace(subject="no such list")) == ""
    assert caution(seen, job(seen, "look over", "DR")._replace(zone="no such zone")) == ""


# one requirement in full


def test_every_requirement_names_each_entry_it_rests_on(views: list[View]) -> None:
    for item in views:
        for requirement in item.standing.requirements:
            rows = list(requirement_detail(item, requirement))
            numbers = [text.split()[0] for _, text in rows if text.startswith("#")]
            assert numbers == [f"#{fact.entry.n}" for fact in evidence_of(requirement)]
            assert {fact.id for fact in evidence_of(requirement)} == set(requirement.evidence)


def test_one_reason_of_many_lines_is_said_once(demo: DemoDay) -> None:
    seen = at(demo, "15:24")
    item = next(item for item in seen.standing.requirements if item.key == "check:make safe")
    assert len(item.because) > 1
    whys = [text for label, text in requirement_detail(seen, item) if label == "why" or text.startswith("good for")]
    assert whys == ["good for one fight; H3 ended 15:22"]


def test_who_took_a_marginal_on_is_said(views: list[View]) -> None:
    found = [
        (item, requirement)
        for item in views
        for requirement in item.standing.requirements
        if requirement.accepted is not None
    ]
    assert found
    for item, requirement in found:
        (text,) = [text for label, text in requirement_detail(item, requirement) if label == "taken on"]
        assert requirement.accepted is not None
        assert text.startswith(f"by {requirement.accepted.entry.by} ")


def test_an_entry_is_said_with_number_time_and_initials(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.do(fastening.torque, "cap", 25.0, typed="25 N m", note="after the rotor")
    fact = shop.case().newest("torqued", "cap")
    assert fact is not None
    text = fact_words(shop.case(), fact)
    assert text.startswith(f"#{entry.n} ")
    assert text.endswith(" MK joint torqued 25 N m cap (after the rotor)")


def test_what_was_typed_stays_as_it_was_typed(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.dimension, "wh1", "tread", 0.001, "CAL", "1 mm", note="[bold]worn[/bold]")
    seen = of_shop(shop)
    item = next(item for item in seen.standing.requirements if item.key == "limit:wh1/tread")
    assert item.verdict == "fail"
    assert any("([bold]worn[/bold])" in text for _, text in requirement_detail(seen, item))


def test_the_other_robot_has_its_own_reasons(demo: DemoDay) -> None:
    seen = at(demo, "10:00", SMALL)
    for item in seen.jobs:
        for _, text in job_detail(seen, item):
            assert "01K" not in text  # no id reaches the screen
