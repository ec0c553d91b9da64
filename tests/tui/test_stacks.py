"""The list of gaps on the screen: what stands in it, what it answers, and that it says what is judged."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.standing import view
from pitcrew.logbook.writing import Draft
from pitcrew.tui.pages.stacks import Stacks
from tests.tui.driver import Driver, bench_at, empty_bench

LEVERS = ("up", "down", "left", "right", "space", "enter", "pagedown", "?", "backspace")


def at_stacks(tmp_path: Path, at: str = "15:24", **named: str) -> Driver:
    return bench_at(tmp_path, at, **named).keys("tab", "s")


def go_to(driver: Driver, name: str) -> Driver:
    while name not in here(driver):
        before = driver.shell.page.row
        driver.keys("down")
        assert driver.shell.page.row > before, name
    return driver


def here(driver: Driver) -> str:
    """The row the keys are at; `:` keeps it while they are with the meanings of a line."""
    rows = driver.screen()
    return next((row for row in rows if row.startswith(": ")), None) or next(r for r in rows if r.startswith("> "))


def meaning(driver: Driver) -> str:
    """The meaning that the line would be logged as."""
    return next(row for row in driver.screen() if row.startswith("> "))


def requirement_verdict(driver: Driver, name: str = "weapon float") -> str:
    assert driver.session.view is not None
    stacks = driver.session.view.case.defs.stacks
    ident = next(stack.id for stack in stacks.values() if stack.name == name)
    items = driver.session.view.standing.requirements
    return next(item.verdict for item in items if item.key == f"stack:{ident}")


def test_the_list_at_15_24(tmp_path: Path) -> None:
    rows = at_stacks(tmp_path).screen()
    assert rows[2:7] == [
        "  verdict   gap                  mm                             limits, mm",
        "> RECHECK   weapon float         0.65 +-0.046     |       o |   0.25 to 0.75",
        "  unchecked bar to fork          not known          |           at least 8.00",
        "  pass      screw clear L        1.00 +-0.414       |==#==      at least 0.50",
        "  pass      screw engagement L   6.00 +-0.41        |  ==#==    at least 5.00",
    ]
    assert rows[13] == "-- weapon float ---------------------------------------------------- W1 UL UR --"
    assert rows[14] == "! Lock in before any hand. Out of the plane of the weapon. Eye protection."
    assert rows[15] == "  first     A is entered and not on yet: put it on, then measure"
    assert rows[16] == "  why       since then solid own blow on W1 15:22, not sure: counts as solid;"
    assert rows[18] == "  what if   A on                  0.55   |     o   |   pass"
    assert rows[21].startswith("  answer    [ measure ]   0.25 goes, 0.75 does not   found something")


@pytest.mark.parametrize("at", ["12:25", "13:46", "15:24", "15:40", "15:54", "15:57"])
@pytest.mark.parametrize("robot", ["TALLOW ANVIL", "NETTLE SPROCKET"])
def test_every_gap_shows_the_verdict_it_was_given(tmp_path: Path, at: str, robot: str) -> None:
    driver = at_stacks(tmp_path, at, robot=robot)
    session = driver.session
    judged = view(session.evidence, session.robot, session.now(), session.source.checklists)
    by_key = {item.key: item for item in judged.standing.requirements}
    shown = {
        row[12:33].strip(): row[2:11].strip() for row in driver.screen(80, 30)[3 : 3 + len(judged.case.defs.stacks)]
    }
    for stack in judged.case.defs.stacks.values():
        item = by_key.get(f"stack:{stack.id}")
        if item is not None:
            assert shown[stack.name] == (item.verdict.upper() if item.blocks else item.verdict)
        else:
            assert shown[stack.name].islower()


def test_a_stack_may_be_named_to_put_the_keys_there(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    assert driver.session.view is not None
    idents = list(driver.session.view.case.defs.stacks)
    assert Stacks(driver.session, idents[4]).key() == idents[4]
    assert Stacks(driver.session, "no such gap").key() == idents[0]


def test_a_bare_figure_in_the_list_is_the_gap_itself(tmp_path: Path) -> None:
    driver = at_stacks(tmp_path).type("0.5")
    assert meaning(driver).startswith("> weapon float, the gap itself 0.5 mm")
    driver.keys("enter")
    (entry,) = driver.newest()
    assert (entry.kind, entry.detail["value_m"], entry.by) == ("direct", 0.0005, "MK")
    assert requirement_verdict(driver) == "pass"


def test_nothing_to_measure(tmp_path: Path) -> None:
    driver = empty_bench(tmp_path).keys("tab", "s")
    assert driver.screen()[2] == "  stacks    no robot in this book yet"
    driver.keys(*LEVERS)


def test_a_robot_without_gaps_says_so(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    driver.session.write([Draft("robot", "bare", "MK", detail={"name": "BARE"})])
    driver.session.choose("bare")
    driver.settle()
    driver.keys("tab", "s")
    assert driver.screen()[2].startswith("  stacks    none in this robot yet")
    driver.keys(*LEVERS)
