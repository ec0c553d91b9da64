"""Every robot of the book; the one picked goes on the bench, and a new one is begun from here."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.logbook.writing import Draft
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.begin import Begin
from pitcrew.tui.pages.home import Home
from pitcrew.tui.pages.robots import Robots
from pitcrew.tui.paint import text_of
from tests.tui.driver import Driver, bench_at, empty_bench

OTHER = "NETTLE SPROCKET"


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path).keys("tab", "r")


def test_the_keys_are_at_the_robot_on_the_bench(bench: Driver) -> None:
    assert bench.screen()[2:5] == [
        "  robots",
        "> TALLOW ANVIL                             on the bench",
        "  NETTLE SPROCKET",
    ]
    assert bench.row("  answer") == "  answer    [ on the bench ]   a new robot"


@pytest.mark.parametrize("key", ["space", "enter"])
def test_another_robot_goes_on_the_bench_in_four_keys(tmp_path: Path, key: str) -> None:
    bench = bench_at(tmp_path)
    before = bench.newest()
    bench.keys("tab", "r", "down", key)
    assert bench.count == 4
    assert isinstance(bench.shell.page, Home)
    assert bench.screen()[1].startswith(f" {OTHER}")
    assert bench.session.view is not None
    assert bench.session.view.robot == OTHER
    assert bench.newest() == before
    bench.keys("tab", "r")
    assert f"> {OTHER}                          on the bench" in bench.screen()


def test_the_robot_already_there_stays_and_is_judged_again(bench: Driver) -> None:
    was = bench.session.view
    bench.keys("space")
    assert bench.session.view is not None
    assert was is not None
    assert bench.session.view.standing == was.standing


def test_back_changes_nothing(bench: Driver) -> None:
    robot = bench.session.robot
    bench.keys("down", "backspace")
    assert bench.session.robot == robot
    assert isinstance(bench.shell.page, Home)


def test_a_line_half_typed_is_for_the_robot_on_the_bench_when_it_is_logged(bench: Driver) -> None:
    bench.keys("tab", "h").type("note bel").keys("tab", "r", "down", "space")
    bench.type("t").keys("enter")
    (entry,) = bench.newest()
    assert entry.detail["note"] == "belt"
    assert entry.robot == bench.session.robot


def test_a_new_robot_is_begun_and_is_listed_afterwards(bench: Driver) -> None:
    bench.keys("right", "space")
    assert isinstance(bench.shell.page, Begin)
    bench.type("PEWTER WASP").keys("enter").type("13.61").keys("enter", "space").type("1 kg frame").keys("enter")
    bench.keys("space", "right", "space")
    assert isinstance(bench.shell.page, Robots)
    assert "  PEWTER WASP                              on the bench" in [
        row.replace(">", " ") for row in bench.screen()
    ]


def test_a_book_without_robots_begins_the_first(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    assert "no robot in this book yet. Tab r begins one" in bench.text()
    bench.keys("tab", "r")
    assert "none in this book yet. Space begins the first one" in bench.text()
    bench.keys("down", "enter")  # nothing to put on the bench
    bench.keys("tab", "r", "space")
    assert isinstance(bench.shell.page, Begin)


def test_names_stand_as_they_were_typed(bench: Driver) -> None:
    bench.session.write([Draft("robot", "Q", "MK", detail={"name": "[b]MUD[/]"})])
    bench.settle()
    bench.keys("tab", "r")
    assert "  [b]MUD[/]" in bench.screen()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_thirty_robots_fit_every_size_and_the_keys_stay_in_sight(bench: Driver, width: int, height: int) -> None:
    bench.session.write([Draft("robot", f"Q{n}", "MK", detail={"name": f"ROBOT {n} " + "M" * 50}) for n in range(30)])
    bench.settle()
    bench.keys("tab", "r")
    for _ in range(32):
        rows = [text_of(row) for row in frame(bench.shell, width, height)]
        assert len(rows) == height
        assert all(len(row) <= width for row in rows)
        assert len([row for row in rows if row.startswith(">")]) == 1
        bench.keys("down")
    assert "ROBOT 29" in next(row for row in bench.screen(width, height) if row.startswith(">"))
