"""Weights through time: the day's own story, and what a correction, a repair or a short memory makes of it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from pitcrew.bench import fitting
from pitcrew.bench.weighings import Point, Series, Step, history, slices
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.weights import weight_of
from pitcrew.robot.definitions import gather
from pitcrew.robot.moments import MINUTE_MS, clock_text, typed
from tests.bench.demo_day import HEAVY, SMALL, ZONE, DemoDay
from tests.bench.shop import Shop
from tests.readiness.small import Small

MOMENTS = Path(__file__).parents[1] / "end_to_end" / "moments.toml"


def kg_at(series: Series, ms: int) -> float | None:
    """What the line shows at a moment."""
    kg = None
    for point in series.points:
        if point.ms <= ms:
            kg = point.kg
    return kg


def drawn(small: Small) -> dict[str, Series]:
    """Every series of the small robot, up to a minute from its last entry, by name."""
    now = small.clock.now_ms() + MINUTE_MS
    return {series.name: series for series in history(small.book.evidence(), "R", now)}


def texts(series: Series) -> list[str]:
    return [step.text for step in series.steps]


def weigh(small: Small, kg: float, configuration: str = "A", instrument: str = "OWN", **columns: Any) -> int:
    """Weigh a configuration; when that was."""
    return small.put("weighed", configuration, {"value_kg": kg, "instrument": instrument}, **columns).happened


@pytest.fixture(scope="module")
def heavy(demo: DemoDay) -> dict[str, Series]:
    return {series.name: series for series in history(demo.book.evidence(), demo.robots[HEAVY], demo.now)}


def test_the_day_stands_at_the_weights_worked_out_by_hand(demo: DemoDay) -> None:
    compared = 0
    series = {
        name: {found.name: found for found in history(demo.book.evidence(), robot, demo.now)}
        for name, robot in demo.robots.items()
    }
    for row in tomllib.loads(MOMENTS.read_text("utf-8"))["moment"]:
        for name, kg in row.get("weights", {}).items():
            shown = kg_at(series[row["robot"]][name], typed(row["at"], ZONE, demo.now)[1])
            assert shown == pytest.approx(kg, abs=0.005), (row["at"], name)
            compared += 1
    assert compared > 12


@pytest.mark.parametrize("robot", [HEAVY, SMALL])
def test_every_point_is_what_the_book_of_that_moment_says(demo: DemoDay, robot: str) -> None:
    """The demo corrects no weight after it counted, so what is known now was known then."""
    ident, compared = demo.robots[robot], 0
    for series in history(demo.book.evidence(), ident, demo.now):
        for point in series.points:
            evidence = demo.book.evidence(point.ms + MINUTE_MS)
            definitions = gather(evidence, ident)
            assert definitions is not None
            case = Case(evidence, definitions, point.ms)
            assert point.kg == weight_of(case, definitions.configurations[series.configuration]).kg
            compared += 1
    assert compared > 8


def test_the_steps_say_when_it_got_heavy_and_by_what(heavy: dict[str, Series]) -> None:
    """By hand from the day's story (invented): what each swap weighed off and on."""
    said = [(clock_text(step.ms, ZONE), step.text) for step in heavy["B"].steps]
    assert said == [
        ("11:00", "wheel 3 (front R) +0.03"),
        ("13:00", "upright L +0.27"),
        ("14:05", "bumper block off -0.10"),
        ("15:24", "set 2 with P9 +0.02"),
        ("15:38", "drive motor R, adapter plate R +0.14"),
    ]
    # 15:51, the drum goes in and the bar's shim is left in with it.
    assert [text for text in texts(heavy["A"]) if text not in texts(heavy["B"])] == ["0.20 shim +0.002"]
    for series in heavy.values():
        assert [step.kg for step in series.steps] == [kg_at(series, step.ms) for step in series.steps]


def test_a_point_off_a_scale_is_told_from_a_figured_one(heavy: dict[str, Series]) -> None:
    weighed = {name: [clock_text(p.ms, ZONE) for p in s.points if p.weighed] for name, s in heavy.items()}
    assert weighed == {"A": ["07:50", "09:02"], "B": ["08:30", "14:20"], "C": [], "D": ["08:15"]}


def test_a_line_begins_at_the_own_first_weighing_or_else_the_robots(demo: DemoDay, heavy: dict[str, Series]) -> None:
    begins = {name: clock_text(series.points[0].ms, ZONE) for name, series in heavy.items()}
    assert begins == {"A": "07:50", "B": "08:30", "C": "07:50", "D": "08:15"}
    assert {series.points[-1].ms for series in heavy.values()} == {demo.now}


def test_the_last_point_is_the_weight_of_now(demo: DemoDay, heavy: dict[str, Series]) -> None:
    definitions = gather(demo.book.evidence(), demo.robots[HEAVY])
    assert definitions is not None
    case = Case(demo.book.evidence(), definitions, demo.now)
    for series in heavy.values():
        assert series.points[-1].kg == weight_of(case, definitions.configurations[series.configuration]).kg


@pytest.mark.parametrize("at", ["06-13 09:30", "06-13 12:30", "06-13 14:10"])
def test_a_book_looked_at_earlier_shows_the_same_up_to_then(demo: DemoDay, heavy: dict[str, Series], at: str) -> None:
    start, end = typed(at, ZONE, demo.now)
    for series in history(demo.book.evidence(end), demo.robots[HEAVY], start):
        assert series.points[:-1] == tuple(p for p in heavy[series.name].points if p.ms < start)
        assert series.points[-1] == Point(start, kg_at(heavy[series.name], start), False)


def test_slices_are_as_many_as_they_say(demo: DemoDay, heavy: dict[str, Series]) -> None:
    steps = slices(demo.book.evidence(), demo.robots[HEAVY], demo.now)
    left = [next(steps)]
    for _ in range(left[0]):
        left.append(next(steps))
    assert left == list(range(left[0], -1, -1))
    with pytest.raises(StopIteration) as done:
        next(steps)
    assert done.value.value == tuple(heavy.values())


def test_only_the_newest_moments_are_figured(demo: DemoDay, heavy: dict[str, Series]) -> None:
    few = {s.name: s for s in history(demo.book.evidence(), demo.robots[HEAVY], demo.now, most=6)}
    whole = len(list(slices(demo.book.evidence(), demo.robots[HEAVY], demo.now)))
    assert len(list(slices(demo.book.evidence(), demo.robots[HEAVY], demo.now, most=6))) == 6 < whole
    for name, series in few.items():
        first = series.points[0]
        assert first.kg == pytest.approx(kg_at(heavy[name], first.ms))
        assert series.points[1:] == tuple(point for point in heavy[name].points if point.ms > first.ms)


def test_a_robot_that_was_never_weighed_has_no_line() -> None:
    small = Small()
    assert drawn(small) == {"A": Series("A", "A", (), ())}
    assert history(small.book.evidence(), "nobody", small.clock.now_ms()) == []


def test_a_part_swapped_for_a_heavier_one_is_a_step() -> None:
    small = Small()
    first = weigh(small, 5.0)
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    swapped = small.put("fitted", "rotor2", place="rotor").happened
    found = drawn(small)["A"]
    now = small.clock.now_ms() + MINUTE_MS
    assert found.points == (Point(first, 5.0, True), Point(swapped, 5.5, False), Point(now, 5.5, False))
    assert found.steps == (Step(swapped, 5.5, "rotor +0.50"),)


def test_a_place_left_empty_shows_when_it_is_still_empty() -> None:
    small = Small()
    weigh(small, 5.0)
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    assert texts(drawn(small)["A"]) == ["rotor off -2.00"]
    small.put("fitted", "rotor1", place="rotor")
    assert texts(drawn(small)["A"]) == []


def test_what_a_scale_shows_of_a_robot_that_is_apart_is_told() -> None:
    small = Small()
    weigh(small, 5.0)
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    weigh(small, 3.1)
    small.put("fitted", "rotor1", place="rotor")
    assert texts(drawn(small)["A"]) == ["rotor off, scale -1.90", "rotor +2.00"]


def test_a_weighing_that_differs_from_the_sum_is_a_step_of_the_scale() -> None:
    small = Small()
    weigh(small, 5.0)
    weigh(small, 5.125)
    assert texts(drawn(small)["A"]) == ["scale +0.125"]


def test_a_part_put_on_the_scale_moves_what_was_figured_with_it() -> None:
    small = Small()
    weigh(small, 5.0)
    small.put("fitted", "rotor2", place="rotor")
    small.put("part_weighed", "rotor2", {"value_kg": 2.62, "instrument": "OWN"})
    small.put("part_weighed", "mot2", {"value_kg": 1.5, "instrument": "OWN"})
    assert texts(drawn(small)["A"]) == ["rotor +0.50", "rotor 2 weighed +0.12"]


def test_a_corrected_weighing_counts_from_when_it_was_done() -> None:
    small = Small()
    wrong = small.put("weighed", "A", {"value_kg": 50.0, "instrument": "OWN"})
    later = small.put("weighed", "A", {"value_kg": 5.1, "instrument": "OWN"})
    weigh(small, 5.0, replaces=wrong.id, happened=wrong.happened)
    found = drawn(small)["A"]
    assert found.points[:2] == (Point(wrong.happened, 5.0, True), Point(later.happened, 5.1, True))


def test_a_withdrawn_weighing_was_never_there() -> None:
    small = Small()
    weigh(small, 5.0)
    wrong = small.put("weighed", "A", {"value_kg": 50.0, "instrument": "OWN"})
    small.put("fitted", "rotor2", place="rotor")
    small.put("withdrawn", "A", replaces=wrong.id)
    assert [point.kg for point in drawn(small)["A"].points] == [5.0, 5.5, 5.5]


def test_a_part_nobody_weighed_leaves_the_line_open() -> None:
    small = Small()
    weigh(small, 5.0)
    small.book.append([Draft("part", "r3", "PB", robot="R", detail={"name": "rotor 3", "part_kind": "rotor"})])
    small.put("fitted", "r3", place="rotor")
    small.put("part_weighed", "r3", {"value_kg": 2.25, "instrument": "OWN"})
    found = drawn(small)["A"]
    assert [point.kg for point in found.points] == [5.0, None, 5.25, 5.25]


def test_what_was_defined_since_tells_the_past_too() -> None:
    small = Small()
    weigh(small, 5.0)
    fitted = small.clock.now_ms() + MINUTE_MS
    small.clock.set(fitted + MINUTE_MS)
    detail = {"name": "rotor 3", "part_kind": "rotor", "mass_kg": 2.4, "mass_instrument": "OWN"}
    small.book.append([Draft("part", "r3", "PB", robot="R", detail=detail)])
    small.put("fitted", "r3", place="rotor", happened=fitted)
    assert drawn(small)["A"].steps == (Step(fitted, 5.4, "rotor +0.40"),)


def test_packs_put_in_with_their_set_chosen_are_said_by_the_set(shop: Shop) -> None:
    shop.do(fitting.choose_packs, "S1")
    weigh(shop, 5.0)
    shop.put("part_weighed", "P3", {"value_kg": 0.13, "instrument": "OWN"})
    shop.clock.set(shop.clock.now_ms() + MINUTE_MS)
    desk = shop.desk()
    chosen = desk.draft("chosen", "R", {"pack_set": "S2"})
    shop.book.append([chosen, *(desk.draft("fitted", f"P{n}", place=f"pack {n - 2}") for n in (3, 4))])
    assert texts(drawn(shop)["A"]) == ["set 2 +0.03"]


def test_more_weighings_of_parts_than_moments_leave_the_newest() -> None:
    small = Small()
    small.book.append([Draft("configuration", "B", "PB", robot="R", detail={"name": "B", "parts": {}})])
    small.put("fitted", "rotor2", place="rotor")
    for kg in (5.5, 5.6, 5.7):
        weigh(small, kg)
        small.put("part_weighed", "rotor2", {"value_kg": kg - 3, "instrument": "OWN"})
    now = small.clock.now_ms() + MINUTE_MS
    assert len(list(slices(small.book.evidence(), "R", now, most=3))) == 3
    _, other = history(small.book.evidence(), "R", now, most=3)
    assert texts(other) == ["rotor 2 weighed +0.10"]


def test_another_configurations_weighing_adds_no_point() -> None:
    small = Small()
    small.book.append([Draft("configuration", "B", "PB", robot="R", detail={"name": "B", "parts": {}})])
    first = weigh(small, 5.0)
    second = weigh(small, 6.0, "B")
    found = drawn(small)
    assert [point.ms for point in found["A"].points[:-1]] == [first]
    assert [point.ms for point in found["B"].points[:-1]] == [second]


def probes(small: Small) -> int:
    """Steps of SQLite's machine that the whole history takes."""
    counted = 0

    def count() -> int:
        nonlocal counted
        counted += 1
        return 0

    small.book._connection.set_progress_handler(count, 1)
    drawn(small)
    small.book._connection.set_progress_handler(None, 0)
    return counted


def test_a_long_book_of_other_things_costs_nothing() -> None:
    small = Small()
    weigh(small, 5.0)
    small.put("fitted", "rotor2", place="rotor")
    before = probes(small)
    small.book.append([Draft("looked_at", f"p{number}", "MK", robot="R") for number in range(3000)])
    assert probes(small) <= before * 1.05
