"""A row opened: each thing it clears, why, the entries it rests on, the working, and its answers."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import names
from pitcrew.bench.correcting import correct_as
from pitcrew.bench.detail import evidence_of
from pitcrew.bench.standing import View
from pitcrew.bench.working import working_rows
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.home import Home
from pitcrew.tui.pages.why import Why
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at
from tests.tui.test_home import to


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def seen(bench: Driver) -> View:
    assert bench.session.view is not None
    return bench.session.view


def opened(bench: Driver, action: str) -> Why:
    to(bench, action).keys("enter")
    page = bench.shell.page
    assert isinstance(page, Why)
    return page


def test_everything_a_row_clears_is_listed_by_name_and_verdict(bench: Driver) -> None:
    page = opened(bench, "look at each")
    assert bench.screen()[2].endswith("W1   3 min   clears 5")
    assert bench.screen()[3] == "! Lock in before any hand. Out of the plane of the weapon. Eye protection."
    for index, item in enumerate(page.job.clears):
        mark = ">" if index == 0 else " "
        row = f"{mark} {item.verdict.upper():<9} {names.label(seen(bench).case, item)}"
        assert row in bench.screen()


def test_up_and_down_go_through_the_reasons(bench: Driver) -> None:
    page = opened(bench, "look over")
    assert len(page.job.clears) > 1
    for item in page.job.clears:
        assert page.key() == item.key
        text = bench.text(80, 60)
        for fact in evidence_of(item):
            assert f"#{fact.entry.n} " in text
        bench.keys("down")


@pytest.mark.parametrize("action", ["check:make safe", "measure:", "measure part", "change over", "packs in", "hand"])
def test_what_a_row_rests_on_and_its_working_are_the_benchs(bench: Driver, action: str) -> None:
    page = opened(bench, action)
    text = bench.text(200, 60)
    item = page.job.clears[0]
    for fact in evidence_of(item):
        assert f"#{fact.entry.n} " in text
    for row in working_rows(seen(bench).case, item):
        assert row in text


def test_one_reason_of_five_lines_is_said_once(bench: Driver) -> None:
    opened(bench, "check:make safe")
    assert bench.text().count("good for one fight; H3 ended 15:22") == 1


def test_its_answers_are_those_of_the_list_and_it_says_done_afterwards(bench: Driver) -> None:
    to(bench, "hand check")
    answers = bench.row("  answer")
    bench.keys("enter")
    assert bench.row("  answer") == answers
    bench.keys("space")
    (entry,) = bench.newest()
    assert entry.kind == "hand_checked"
    assert bench.row("  answer") == "  answer    done"
    assert "clears 0" in bench.text()
    bench.keys("space")
    assert bench.newest() == (entry,)


def test_a_figure_can_be_typed_here_too(bench: Driver) -> None:
    opened(bench, "measure part")
    bench.type("5").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["value_m"]) == ("reading", 0.005)
    assert bench.row("  answer") == "  answer    done"


def test_a_figure_that_cannot_be_read_stays_and_writes_nothing(bench: Driver) -> None:
    opened(bench, "measure part")
    before = bench.newest()
    bench.type("5 parsecs").keys("enter")
    assert "not taken" in bench.text()
    assert "5 parsecs_" in bench.text()
    assert bench.newest() == before


def test_back_is_where_one_came_from_on_the_same_row(bench: Driver) -> None:
    opened(bench, "look over")
    bench.keys("backspace")
    assert isinstance(bench.shell.page, Home)
    assert bench.shell.page.key().startswith("look over")


def test_a_row_cleared_elsewhere_is_done_here(bench: Driver) -> None:
    page = opened(bench, "hand check")
    bench.session.write([bench.session.desk().draft("hand_checked", page.job.zone or "", {"sign": False})])
    bench.settle()
    assert bench.row("  answer") == "  answer    done"


def test_another_robot_on_the_bench_breaks_nothing(bench: Driver) -> None:
    opened(bench, "look at each")
    other = next(robot for robot in bench.session.robots() if robot.id != bench.session.robot)
    bench.session.choose(other.id)
    bench.screen()
    bench.settle()
    before = bench.newest()
    bench.keys("space", "down", "right", "space")
    assert "clears 0" in bench.text()
    assert bench.newest() == before


def test_notes_stand_as_typed(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    hit = bench.newest()[0]
    bench.session.write(correct_as(bench.session.desk(), hit.id, "hard", "[red]wall[/red]"))
    bench.settle()
    opened(bench, "look over")
    text = ""
    for _ in range(8):
        text += bench.text(200, 60)
        bench.keys("down")
    bench.keys("backspace")
    to(bench, "look at each")
    assert "([red]wall[/red])" in text + bench.text(200, 60)


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size_for_every_job(bench: Driver, width: int, height: int) -> None:
    for job in seen(bench).jobs:
        bench.shell.show(Why(bench.session, job))
        for _ in range(2):
            rows = frame(bench.shell, width, height)
            assert len(rows) == height
            assert all(cells(text_of(row)) <= width for row in rows)
            bench.keys("down")
        bench.keys("backspace")
