"""Time: the lanes add up to the list, the call is a wall, and late is said on top."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import shifts
from pitcrew.logbook.writing import Draft
from pitcrew.robot.moments import MINUTE_MS
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path).keys("tab", "t")


def lanes(bench: Driver) -> dict[str, str]:
    """Each person's lane, a column a minute."""
    rows = bench.screen()[3:7]
    return {row[2:6].strip(): row[6:] for row in rows}


def test_every_person_has_a_lane_and_every_job_its_minutes(bench: Driver) -> None:
    view = bench.session.view
    assert view is not None
    drawn = lanes(bench)
    assert sorted(drawn) == ["DV", "EW", "MK", "PB"]
    for index, item in enumerate(view.plan.laid):
        letter = chr(ord("A") + index)
        who = [name for name, lane in drawn.items() if letter in lane]
        assert sorted(who) == sorted(item.people)
        assert all(drawn[name].count(letter) == item.job.minutes for name in who)


def test_the_call_is_a_wall_in_its_minute(bench: Driver) -> None:
    view = bench.session.view
    assert view is not None and view.standing.call_at is not None
    wall = (view.standing.call_at - view.standing.at) // MINUTE_MS
    assert {lane.index("|") for lane in lanes(bench).values()} == {wall}


def test_ready_and_spare_stand_on_top_and_go_on_with_the_clock(bench: Driver) -> None:
    assert bench.screen()[1].endswith("ready 15:57, 10 to spare")
    bench.later(4)
    assert bench.screen()[1].endswith("ready 16:01, 6 to spare")


def test_late_joins_the_standing(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    bench.later(15)
    first, second = bench.screen()[:2]
    assert first.startswith(" NOT FIT, LATE 5   28 block")
    assert second.endswith("ready 16:12, 5 too late")
    assert "NOT FIT, LATE" not in bench.screen(120, 40)[0]


def test_a_row_can_be_answered_and_opened(bench: Driver) -> None:
    bench.keys("down", "down")
    assert "[ no sign ]" in bench.text()
    bench.keys("space")
    assert bench.newest()[0].kind == "hand_checked"
    bench.keys("enter")
    assert bench.shell.page.name == "why"


@pytest.mark.parametrize("size", [(60, 20), (40, 12), (200, 60)])
def test_it_fits_every_size(bench: Driver, size: tuple[int, int]) -> None:
    rows = bench.screen(*size)
    assert max(map(len, rows)) <= size[0]
    assert any(row.startswith(">") for row in rows)


def test_without_a_robot_there_is_nothing_to_lay(tmp_path: Path) -> None:
    assert "no robot yet" in empty_bench(tmp_path).keys("tab", "t").text()


def charge_watched(bench: Driver, by: str = "EW") -> None:
    """A charge of every pack of the second set begins, for 25 minutes and what its kind adds."""
    case = bench.session.case()
    assert case is not None
    packs = list(case.defs.pack_sets.values())[1].packs
    detail = {"current_a": 8.0, "to_put_back_coulomb": 8.0 * 60 * 25, "watched_by": by}
    bench.session.write([Draft("charge_started", p, "PB", robot=bench.session.robot, detail=detail) for p in packs])
    bench.settle()


def test_who_watches_a_charge_has_no_work_meanwhile_and_it_is_said_why(bench: Driver) -> None:
    charge_watched(bench)
    view = bench.session.view
    assert view is not None
    assert {item.by for item in view.away} == {"EW"}
    end = view.away[0].end
    assert all(item.start >= end for item in view.plan.laid if "EW" in item.people)
    assert lanes(bench)["EW"].startswith("-" * ((end - view.standing.at) // MINUTE_MS))
    assert bench.row("EW  - ").startswith("  EW  - watches 4 packs on charge, till ")


def test_work_is_laid_over_those_on_shift_and_what_more_hands_would_do_is_said_when_late(bench: Driver) -> None:
    desk, zone = bench.session.desk(), bench.session.zone()
    bench.session.write([draft for who in ("PB", "DV", "EW") for draft in shifts.begin(desk, who, zone)])
    bench.session.write([draft for who in ("PB", "DV", "EW") for draft in shifts.end(bench.session.desk(), who, zone)])
    bench.session.write(shifts.begin(bench.session.desk(), "MK", zone))
    bench.later(5)
    assert bench.screen()[0].startswith(" NOT FIT, LATE ")
    assert [row[2:4] for row in bench.screen()[3:4]] == ["MK"]
    said = bench.row("off shift: PB EW DV. With them it is ready ")
    assert said.endswith(": Tab m puts them on")
