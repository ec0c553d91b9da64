"""The walk after a fight: every job in one step, what is done with its time, what is next."""

from __future__ import annotations

from itertools import pairwise

import pytest

from pitcrew.bench import fighting, looking
from pitcrew.bench.standing import View, view
from pitcrew.bench.turnaround import ACTIONS, ARENA, DONE, LATER, NOTHING, NOW, Step, fight_of, walk
from pitcrew.checklists import load
from pitcrew.robot.moments import typed
from tests.bench.demo_day import HEAVY, SMALL, ZONE, DemoDay
from tests.bench.shop import Shop

ORDER = [
    "arena",
    "check:make safe",
    "packs out",
    "result",
    "hits",
    "driver",
    "hands",
    "old",
    "looks",
    "mend",
    "measure",
    "fasten",
    "next",
    "packs in",
    "weigh",
    "check:test box",
    "check:before call",
]


MOMENTS = ("10:45", "10:56", "12:30", "13:53", "15:23", "15:26", "15:35", "15:50", "15:58", "16:04", "16:06")


def seen(demo: DemoDay, clock: str, robot: str = HEAVY) -> View:
    now, cut = typed(f"2026-06-13 {clock}", ZONE, demo.now)
    return view(demo.book.evidence(cut), demo.robots[robot], now, demo.checklists)


def steps_at(demo: DemoDay, clock: str, robot: str = HEAVY) -> dict[str, Step]:
    return {step.id: step for step in walk(seen(demo, clock, robot))}


def test_at_every_turn_of_a_day_every_job_stands_in_one_step_and_one_step_is_next(demo: DemoDay) -> None:
    states = set()
    for item in (seen(demo, clock, robot) for robot in (HEAVY, SMALL) for clock in MOMENTS):
        steps, (fight, end) = walk(item), fight_of(item.case)
        states |= {(step.id, step.state) for step in steps}
        placed = [id(job) for step in steps for job in step.jobs]
        on = bool(fight) and end is None
        assert sorted(placed) == ([] if on else sorted(map(id, item.jobs)))
        left = [step for step in steps if step.state in (NOW, LATER)]
        assert [step.state for step in left] == [NOW, *[LATER] * (len(left) - 1)][: len(left)]
        assert all(step.at is not None for step in steps if step.state == DONE)
        assert all((step.at, step.jobs) == (None, ()) for step in steps if step.state == NOTHING)
        begins = {id(laid.job): laid.start for laid in item.plan.laid}
        assert all(step.at == min(begins[id(job)] for job in step.jobs) for step in steps if step.jobs)
    for ident in ("check:make safe", "packs out", "looks", "fasten", "packs in", "check:before call"):
        assert {(ident, LATER), (ident, DONE)} <= states, ident


def test_every_action_of_the_worklist_belongs_to_one_step() -> None:
    named = [action for actions in ACTIONS.values() for action in actions]
    assert len(named) == len(set(named))


def test_back_from_the_arena_the_two_first_stand_first_whatever_else_is_open(demo: DemoDay) -> None:
    steps = steps_at(demo, "15:23")
    assert list(steps) == ORDER
    assert [step.state for step in list(steps.values())[:3]] == [NOW, LATER, LATER]
    assert all("Lock in before any hand" in step.caution for step in list(steps.values())[:2])
    assert "goes outside" in steps["packs out"].caution
    assert (steps["result"].state, steps["result"].told) == (DONE, "win, KO")
    assert steps["hits"].told == "3 blows: W1, DR, AF"
    assert steps["driver"].told.startswith("pulls right after the wall; ")
    assert (steps["next"].state, steps["next"].told) == (LATER, "none entered yet")


def test_what_is_done_stands_with_when_and_what_came_out(demo: DemoDay) -> None:
    steps = steps_at(demo, "16:06")
    assert {step.state for step in steps.values()} == {DONE, NOTHING}
    assert (steps["hands"].state, steps["hands"].told) == (DONE, "no sign")
    assert steps["mend"].told.endswith("parts in")
    assert steps["next"].told == "H4 in A, call 16:07, set 2 with P9"
    assert steps["packs in"].told.startswith("set 2 with P9 in 15:5")
    assert (steps["weigh"].state, steps["weigh"].told) == (NOTHING, "figured 112.86 kg, 0.54 under: not needed")
    done = [step.at for name, step in steps.items() if name.startswith("check:") and step.at is not None]
    assert all(before < after for before, after in pairwise(done))


def test_a_robot_without_a_fight_yet_has_no_arena_to_come_from(demo: DemoDay) -> None:
    steps = steps_at(demo, "10:02")
    assert ARENA not in steps and "hits" not in steps
    assert next(iter(steps_at(demo, "11:24", SMALL))) == ARENA


def walked(shop: Shop) -> dict[str, Step]:
    item = view(shop.book.evidence(), "R", shop.clock.now_ms(), load())
    return {step.id: step for step in walk(item)}


def test_while_a_fight_is_on_only_its_end_is_asked_for(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.started, "F1")
    item = view(shop.book.evidence(), "R", shop.clock.now_ms(), load())
    first, *rest = walk(item)
    assert (first.id, first.state) == (ARENA, NOW)
    assert {(step.state, step.told, step.jobs) for step in rest} == {(LATER, "", ())}


def test_the_arena_is_left_by_the_word_or_by_making_safe(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.started, "F1")
    shop.do(fighting.ended, "F1", "")
    steps = walked(shop)
    assert (steps[ARENA].state, steps["result"].state) == (NOW, LATER)
    shop.do(fighting.left, "F1")
    steps = walked(shop)
    assert (steps[ARENA].state, steps["check:make safe"].state) == (DONE, NOW)


def test_old_findings_in_the_zones_that_were_hit_want_a_look(shop: Shop) -> None:
    shop.ready()
    shop.put("finding", "up1", {"what": "worn", "position": "upright"}, place="upright")
    shop.put("finding", "wh1", {"what": "worn", "position": "wheel"}, place="wheel")
    shop.do(fighting.started, "F1")
    shop.do(fighting.ended, "F1", "win")
    shop.do(fighting.hit, ["U"], 2)
    steps = walked(shop)
    assert (steps["old"].told, steps["old"].state) == ("upright worn", LATER)
    shop.do(looking.look_at, ["up1"])
    assert walked(shop)["old"].state == DONE


@pytest.mark.parametrize(("blows", "told"), [(0, "none logged"), (1, "1 blow: U"), (2, "2 blows: U")])
def test_hits_are_asked_for_until_the_robot_was_looked_over(shop: Shop, blows: int, told: str) -> None:
    shop.ready()
    shop.do(fighting.started, "F1")
    shop.do(fighting.ended, "F1", "win")
    for _ in range(blows):
        shop.do(fighting.hit, ["U"], 2)
    steps = walked(shop)
    assert (steps["hits"].told, steps["hits"].state) == (told, DONE if blows else LATER)
    shop.do(looking.look_over, ["U", "W", "D"])
    assert walked(shop)["hits"].state == (DONE if blows else NOTHING)
    assert walked(shop)["driver"].state == NOTHING
