"""A figure through its readings on the screen: from a joint that holds, from a wheel, with and without a change."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import fighting, measuring
from pitcrew.bench.names import find, pairs
from pitcrew.tui.pages.joints import Joints
from pitcrew.tui.pages.parts import Parts
from pitcrew.tui.pages.trend import EMPTY, Trends
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench

MARK = slice(36, 51)  # where the marks stand when every reading is of today


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path, "15:56")


def ident(bench: Driver, what: str, name: str) -> str:
    """The id of a joint, stack or place by its name, or of a part."""
    case = bench.session.case()
    assert case is not None
    if what == "parts":
        return find(name, ((f.subject, f.detail["name"]) for f in case.evidence.definitions("part", case.robot)), what)
    return find(name, pairs(getattr(case.defs, what)), what)


def rows(bench: Driver) -> list[str]:
    """The rows of the readings: between the heading and the rule."""
    screen = bench.screen()
    rule = next(index for index, row in enumerate(screen) if row.startswith("--"))
    return screen[3:rule]


def detail(bench: Driver, label: str) -> str:
    """The text behind a label, its rows together."""
    screen = bench.screen()
    at = next(index for index, row in enumerate(screen) if row.startswith(f"  {label:<9} "))
    said = [screen[at][12:]]
    while screen[at + 1].startswith(" " * 12):
        at += 1
        said.append(screen[at][12:])
    return " ".join(said)


def read(bench: Driver, part: str, tread_mm: float, note: str = "") -> None:
    """A tread read with the caliper."""
    desk, caliper = bench.session.desk(), ident(bench, "instruments", "CAL")
    bench.session.write(
        measuring.dimension(desk, ident(bench, "parts", part), "tread", tread_mm / 1000, caliper, "", note)
    )


def wear(bench: Driver, part: str, *treads_mm: float) -> None:
    """A tread read after each of so many fights."""
    for count, tread in enumerate(treads_mm):
        bench.later(10)
        configuration = ident(bench, "configurations", "A")
        bench.session.write(fighting.enter(bench.session.desk(), f"fight {count}", f"X{count}", configuration))
        bench.session.write(fighting.ended(bench.session.desk(), f"fight {count}"))
        bench.later(1)
        read(bench, part, tread)
    bench.later(1)


def test_a_joint_that_holds_opens_its_torques(bench: Driver) -> None:
    bench.shell.show(Joints(bench.session, ident(bench, "joints", "upright R")))
    bench.keys("enter")
    assert bench.shell.page.name == "trend"
    assert [row[:57].rstrip() for row in rows(bench)] == [
        "  pass      06-07 15:00 MK  45 +-2.1        |  ==#==  |",
        "> pass      11:07       MK  45 +-2.1        |  ==#==  |",
    ]
    assert [row[57:62].strip() for row in rows(bench)] == ["all", "3,5"]
    assert detail(bench, "before it").endswith("found marks turned 10:52 MK; upright R opened 11:04 MK")
    assert detail(bench, "change") == "a torque is set anew each time: no change a fight is worked out"
    bench.keys("backspace")
    assert bench.shell.page.name == "joints"


def test_a_joint_that_blocks_opens_its_row_and_answers_with_its_trend_too(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:24")
    bench.shell.show(Joints(bench.session, ident(bench, "joints", "shaft cap L")))
    before = bench.newest()
    assert any(row.startswith("> RECHECK ") for row in bench.screen())
    labels = [item.label for item in bench.shell.page.answers().items]
    assert labels.count("trend") == 1
    bench.keys(*["right"] * (labels.index("trend") - (bench.shell.page.answers().first or 0)), "space")
    assert bench.shell.page.name == "trend"
    assert bench.newest() == before
    bench.keys("backspace", "enter")
    assert bench.shell.page.name == "why"


def test_a_wheel_answers_with_its_tread_and_two_readings_foretell_nothing(bench: Driver) -> None:
    bench.shell.show(Parts(bench.session, ident(bench, "parts", "wheel 4")))
    answers = bench.shell.page.answers()
    assert [item.label for item in answers.items][-1] == "trend"
    bench.keys(*["right"] * (len(answers.items) - 1 - (answers.first or 0)), "space")
    assert bench.screen()[2] == "  verdict   when  who mm            from 4          with since the one before"
    assert rows(bench) == [
        "  marginal  14:10 MK  4.2 +-0.35       =|=#==       TRG",
        "> pass      15:55 MK  4.11 +-0.035      |    ==#==  CAL  1 fight, 1 hit",
    ]
    assert detail(bench, "change") == "2 readings: a change a fight takes three"
    assert "ahead" not in bench.text()
    bench.keys("up")
    assert detail(bench, "before it") == "the first reading here"


def test_a_part_whose_sort_has_no_limits_has_no_trend(bench: Driver) -> None:
    bench.shell.show(Parts(bench.session, ident(bench, "parts", "upright L 2")))
    assert "trend" not in [item.label for item in bench.shell.page.answers().items]


def test_a_gap_is_read_downwards_in_one_column_of_marks(bench: Driver) -> None:
    bench.shell.show(Trends(bench.session, [f"stack:{ident(bench, 'stacks', 'weapon float')}"]))
    drawn = [row[MARK] for row in rows(bench)]
    assert drawn == [
        "  |   =#=   |  ",
        "  |   =#=   |  ",
        "  |         | >",
        "  |    =#=  |  ",
        "  |    ===#=|==",
        "  |      =#=|  ",
        "  |=#=      |  ",
    ]
    assert rows(bench)[-1].startswith("> pass      15:55 DV  0.35 +-0.046")
    assert detail(bench, "change").startswith("1 reading since it was last changed or put right")
    bench.keys("up", "up", "up", "up")
    assert detail(bench, "before it").startswith("H2 ended 12:13; hard hit on W1 12:13")


def test_wear_that_is_decided_says_when_it_meets_the_limit(bench: Driver) -> None:
    read(bench, "wheel 1", 6.4)
    wear(bench, "wheel 1", 6.0, 5.6, 5.2)
    bench.shell.show(Trends(bench.session, [f"limit:{ident(bench, 'parts', 'wheel 1')}/tread"]))
    # By hand: all on one line, so that the readings' doubt decides: U is 0.0351 mm, and for fights 0 to 3 the slope
    # has 0.0351 / sqrt(5) = 0.0157 mm. From 5.2 mm it is 3 fights to 4.0; after 2 more it is at 4.4 +-0.09 mm.
    assert detail(bench, "change") == "0.400 mm less a fight +-0.016, by 4 readings over 3 fights"
    assert detail(bench, "ahead") == "if it goes on so, at 4 mm in fight 3 from now; surely not in the next 2"


def test_a_coarse_gauge_among_fine_ones_keeps_wear_undecided(bench: Driver) -> None:
    # 4.2 mm by the tread gauge, good for 0.351 mm, then 4.11 mm after H3 by the caliper, good for 0.035 mm. By hand:
    # the slope is (4.05 - 4.20) / 2 = -0.075 mm, its doubt sqrt(0.351^2 + 0.035^2) / 2 = 0.176 mm.
    bench.shell.show(Trends(bench.session, [f"limit:{ident(bench, 'parts', 'wheel 4')}/tread"]))
    wear(bench, "wheel 4", 4.05)
    assert [row[22:26] for row in rows(bench)] == ["4.2 ", "4.11", "4.05"]
    assert detail(bench, "change") == (
        "the readings do not decide it: 0.07 mm less a fight +-0.18, 3 readings over 2 fights"
    )
    assert "  ahead " not in bench.text()


def test_nothing_read_says_what_to_type(bench: Driver) -> None:
    wheel, gap = ident(bench, "parts", "wheel 1"), ident(bench, "stacks", "bar to fork")
    bench.shell.show(Trends(bench.session, [f"limit:{wheel}/tread", f"stack:{gap}"]))
    assert detail(bench, "trend") == EMPTY["limit"]
    bench.keys("pagedown")
    assert detail(bench, "trend") == EMPTY["stack"]
    assert bench.shell.page.blocks == "next figure"
    bench.keys("pageup", "enter", "space", "down")
    assert bench.shell.page.name == "trend"


def test_it_fits_every_size(bench: Driver) -> None:
    gap, joint = ident(bench, "stacks", "weapon float"), ident(bench, "joints", "upright R")
    for key in (f"stack:{gap}", f"joint:{joint}"):
        page = Trends(bench.session, [key])
        for width, height in ((60, 15), (80, 19), (120, 35), (200, 55), (60, 6)):
            sheet = page.sheet(width, height)
            assert len(sheet) <= height
            assert all(cells(text_of(row)) <= width for row in sheet)
            assert any(text_of(row).startswith(">") for row in sheet)


def test_of_nothing_known_it_says_so(tmp_path: Path, bench: Driver) -> None:
    for driver, about in ((bench, ["joint:nothing"]), (bench, []), (empty_bench(tmp_path), ["joint:nothing"])):
        driver.shell.show(Trends(driver.session, about))
        assert "this is not in the book of this robot" in driver.text()
        driver.keys("pagedown", "enter", "up", "space")
        assert driver.shell.page.name == "trend"


def test_what_people_typed_is_shown_as_typed(bench: Driver) -> None:
    read(bench, "wheel 4", 4.0, "[red]worn[/red]\x1b[2J")
    bench.later(1)
    bench.shell.show(Trends(bench.session, [f"limit:{ident(bench, 'parts', 'wheel 4')}/tread"]))
    assert "[red]worn[/red]" in bench.text()
    assert "\x1b" not in bench.text()
