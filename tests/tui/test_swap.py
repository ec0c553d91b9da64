"""A swap before it is made: what every configuration would weigh, what it unsettles, and only then the entries."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from pitcrew.__main__ import main
from pitcrew.bench.fitting import put_away
from pitcrew.bench.standing import as_data
from pitcrew.logbook.writing import Draft
from pitcrew.tui.pages.swap import Swap, TakeOut
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench
from tests.tui.test_parts import at, here, part, place

# Wheel 3 is gouged and still in; the spare wheel 5 is 0.03 kg heavier.
BEFORE_THE_SWAP = "10:57"


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


@pytest.fixture
def early(tmp_path: Path) -> Driver:
    return bench_at(tmp_path, BEFORE_THE_SWAP)


def swap(bench: Driver, name: str) -> Driver:
    """The bench with a swap at a place on top."""
    bench.shell.show(Swap(bench.session, place(bench, name)))
    return bench


def _swapped(bench: Driver) -> None:
    """The flow from the part shown on: swap, down, in."""
    keys = bench.count
    bench.keys("space", "down", "space")
    assert bench.count - keys == 3
    fitted, out = bench.newest(2)
    wheel_3 = place(bench, "wheel 3 (front R)")
    assert (out.kind, out.subject, out.place) == ("removed", part(bench, "wheel 3"), wheel_3)
    # It was found worn: it must not lie among the good spares.
    assert out.detail == {"to": "quarantine"}
    assert (fitted.kind, fitted.subject, fitted.place) == ("fitted", part(bench, "wheel 5"), wheel_3)
    assert fitted.detail == {"new": True}
    assert fitted.act == out.act


def test_a_heavier_wheel_goes_in_with_four_keys_beside_its_name(early: Driver) -> None:
    early.type("wheel 3")
    typed = early.count
    early.keys("enter")
    assert here(early).startswith("> FAIL      wheel 3 (front R) wheel 3")
    _swapped(early)
    assert early.count - typed == 4
    # Back where one came from, with the new wheel there.
    assert here(early).startswith("> pass      wheel 3 (front R) wheel 5        0.980")
    assert "~112.53 kg, 0.87" in early.screen()[1]


def test_the_standing_after_a_swap_is_what_the_command_says(early: Driver, tmp_path: Path) -> None:
    at(early, "wheel 3 (front R)")
    _swapped(early)
    view = early.session.view
    assert view is not None
    path = tmp_path / "scratch.db"
    asked = ["standing", str(path), "TALLOW ANVIL", "--at", f"2026-06-13 {BEFORE_THE_SWAP}", "--json"]
    result = CliRunner().invoke(main, asked)
    said = json.loads(result.output)
    shown = json.loads(json.dumps(as_data([view], said["book"], early.session.now())))
    assert said["robots"] == shown["robots"]
    assert {row["configuration"]: row["kg"] for row in said["robots"][0]["weights"]}["A"] == pytest.approx(112.53)


def test_every_weight_stands_before_anything_is_logged(early: Driver) -> None:
    before = early.newest()
    swap(early, "wheel 3 (front R)").keys("down")
    assert early.screen()[2:5] == [
        "            part                         kg differs  where",
        "  sits      wheel 3                   0.950",
        "> spare     wheel 5                   0.980  +0.030  spares, never in",
    ]
    assert early.screen()[5:11] == [
        "-- wheel 5 at wheel 3 (front R), DR --------------------------------------------",
        "  then      configuration       kg now  kg then  under differs  own : | limit",
        "  pass      A                    112.50  ~112.53   0.87   +0.03  <    :    |",
        "  pass      B                    112.90  ~112.93   0.47   +0.03  =#=  :    |",
        "  fail      C                   ~114.19  ~114.22  -0.82   +0.03       :    |   >",
        "  pass      D                    111.20  ~111.23   2.17   +0.03  <    :    |",
    ]
    assert early.newest() == before


def test_what_is_shown_beforehand_is_what_stands_afterwards(bench: Driver) -> None:
    swap(bench, "drive motor R").keys("down")
    page = bench.shell.page
    assert isinstance(page, Swap)
    foretold = {effect.name: (effect.then.kg, effect.then.verdict) for effect in page.effects()}
    assert bench.row("  opens ") == "  opens     motor R"
    assert "screw clear R, screw engagement R, bottom gap R, pinion overlap R" in bench.row("  unsettles ")
    bench.keys("space")
    view = bench.session.view
    assert view is not None
    names = {item.id: item.name for item in view.case.defs.configurations.values()}
    assert {names[row.configuration]: (row.kg, row.verdict) for row in view.standing.weights} == foretold
    verdicts = {item.key: item.verdict for item in view.standing.requirements}
    joint = next(item.id for item in view.case.defs.joints.values() if item.name == "motor R")
    assert verdicts[f"joint:{joint}"] == "recheck"
    for name in ("screw clear R", "pinion overlap R"):
        stack = next(item.id for item in view.case.defs.stacks.values() if item.name == name)
        assert verdicts[f"stack:{stack}"] == "recheck"


def test_the_row_on_top_is_what_sits_there_and_nothing_is_bracketed(bench: Driver) -> None:
    before = bench.newest()
    swap(bench, "drive motor R").keys("space")
    assert bench.newest() == before
    assert "[" not in bench.row("down: the spares")
    assert "  A                   ~112.72  ~112.72   0.68   +0.00" in bench.text()


def test_without_a_spare_a_new_part_is_one_key_away(bench: Driver) -> None:
    swap(bench, "upright L")
    assert "no spare can go here: a new part is one answer away" in bench.text()
    assert "[ a new part ]" in bench.row("  answer")
    bench.keys("space").type("4.40 kg upright L 3").keys("enter")
    defined, fitted = bench.newest(2)[::-1]
    assert (defined.kind, fitted.kind, fitted.subject) == ("part", "fitted", defined.subject)


def test_only_parts_of_the_sort_that_belongs_there_are_listed(bench: Driver) -> None:
    swap(bench, "drive motor R")
    assert [row for row in bench.screen() if "spare  " in row or "other  " in row] == [
        "  spare     drive motor 3             2.110  +0.210  spares, never in"
    ]


def test_where_no_sort_belongs_yet_every_spare_is_listed_and_wants_an_arrow_first(bench: Driver) -> None:
    zone = next(zone for zone in bench.book.entries(limit=2000) if zone.kind == "zone")
    skid = Draft("position", "skid", "MK", robot=bench.session.robot, detail={"name": "skid", "zone": zone.subject})
    bench.session.write([skid])
    bench.settle()
    before = bench.newest()
    bench.shell.show(Swap(bench.session, "skid"))
    assert "[" not in bench.row("down: the spares")
    bench.keys("down", "space")
    assert here(bench).startswith("> other     bumper block")
    assert bench.newest() == before
    assert "another sort of part: choose first" in bench.text()
    bench.keys("right", "space")
    assert (bench.newest()[0].kind, bench.newest()[0].place) == ("fitted", "skid")


def test_a_spare_with_a_finding_says_it_and_wants_an_arrow_first(early: Driver) -> None:
    at(early, "wheel 3 (front R)")
    _swapped(early)
    early.session.write(put_away(early.session.desk(), part(early, "wheel 3"), "spares"))
    early.settle()
    before = early.newest()
    swap(early, "wheel 3 (front R)").keys("down")
    assert here(early).startswith("> found     wheel 3                   0.950  -0.030  spares")
    assert early.row("  found     #").startswith(f"  found     {early.number('found worn')} 10:55 MK found worn")
    early.keys("space")
    assert early.newest() == before
    early.keys("right", "space")
    assert early.newest()[0].subject == part(early, "wheel 3")


def test_what_was_scrapped_or_lost_is_no_spare(bench: Driver) -> None:
    swap(bench, "bearing L outer")
    assert "bearing 1 " not in bench.text(120, 60)
    assert "  spare     bearing 2 " in bench.text(120, 60)
    assert bench.row("  spare     bearing 2 ").endswith("spares, 2 of 3 hard hits")


def test_a_new_part_is_asked_for_in_one_line_and_goes_in(bench: Driver) -> None:
    at(bench, "wheel 3 (front R)").keys("right", "right", "space")
    swapping = bench.count
    bench.keys("space").type("1.02 kg wheel 7").keys("enter")
    assert bench.count - swapping == 2 + len("1.02 kg wheel 7")
    fitted, defined, out = bench.newest(3)
    assert (out.kind, defined.kind, fitted.kind) == ("removed", "part", "fitted")
    assert defined.detail["name"] == "wheel 7"
    assert defined.detail["mass_kg"] == 1.02
    assert here(bench).startswith("> pass      wheel 3 (front R) wheel 7        1.020")


def test_a_new_part_that_cannot_be_read_stays_on_the_line(bench: Driver) -> None:
    before = bench.newest()
    swap(bench, "wheel 3 (front R)").keys("space").type("wheel 7").keys("enter")
    assert "not taken  a new part begins with its mass." in bench.text()
    assert bench.row("  new part").startswith("  new part  wheel 7_")
    bench.keys("backspace", "8").keys("enter")
    assert bench.newest() == before


def test_leave_it_empty_takes_it_out_to_the_spares(bench: Driver) -> None:
    at(bench, "upright L").keys("space", "left", "space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.place, entry.detail) == ("removed", place(bench, "upright L"), {"to": "spares"})
    assert here(bench) == "> FAIL      upright L         empty"


def test_a_bare_figure_is_the_mass_of_the_spare_the_keys_are_at(bench: Driver) -> None:
    swap(bench, "drive motor R").keys("down").type("2.15").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["value_kg"]) == ("part_weighed", part(bench, "drive motor 3"), 2.15)
    assert here(bench).startswith("> spare     drive motor 3             2.150  +0.250")
    assert "~112.97" in bench.text()


def test_what_was_found_must_be_taken_somewhere_by_choice(early: Driver) -> None:
    before = early.newest()
    early.shell.show(TakeOut(early.session, place(early, "wheel 3 (front R)")))
    early.keys("space")
    assert early.newest() == before
    early.keys("right", "right", "right", "space")
    assert early.newest()[0].detail["to"] == "scrapped"


def test_taking_out_says_what_it_opens_and_what_is_left_to_weigh(bench: Driver) -> None:
    at(bench, "drive motor R")
    bench.shell.show(TakeOut(bench.session, place(bench, "drive motor R")))
    assert bench.screen()[2].startswith("-- drive motor 2 out of drive motor R, DR ---")
    assert "  pass      A                   ~112.72  ~110.82   2.58   -1.90  <    :    |" in bench.screen()
    assert bench.row("  opens ") == "  opens     motor R"


def test_a_spare_chosen_among_the_spares_goes_to_its_place(bench: Driver) -> None:
    from pitcrew.tui.pages.parts import Parts

    bench.shell.show(Parts(bench.session, part(bench, "6.0 plate")))
    assert "[ in at adapter plate L ]   in at adapter plate R" in bench.row("  answer")
    bench.keys("right", "space")
    assert here(bench).startswith("> spare     6.0 plate")
    bench.keys("space")
    assert bench.newest()[0].place == place(bench, "adapter plate R")
    assert isinstance(bench.shell.page, Parts)


def test_without_initials_they_are_asked_for_once_and_the_swap_goes_on(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, BEFORE_THE_SWAP, by="")
    at(bench, "wheel 3 (front R)").keys("space", "down", "space").type("mk").keys("enter")
    assert [entry.by for entry in bench.newest(2)] == ["MK", "MK"]
    assert here(bench).startswith("> pass      wheel 3 (front R) wheel 5")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60)])
def test_it_fits_every_size(bench: Driver, width: int, height: int) -> None:
    for name in ("drive motor R", "weapon", "bumper block", "pack 1", "frame rails"):
        page = Swap(bench.session, place(bench, name))
        bench.shell.show(page)
        for _ in range(3):
            rows = page.sheet(width, height - 5)
            assert len(rows) <= height - 5
            assert all(cells(text_of(row)) <= width for row in rows)
            assert len([row for row in bench.screen(width, height) if row.startswith(">")]) == 1
            bench.keys("down")


def test_without_a_robot_or_with_a_place_of_another_nothing_breaks(bench: Driver, tmp_path: Path) -> None:
    swap(bench, "drive motor R")
    other = next(robot for robot in bench.session.robots() if robot.id != bench.session.robot)
    bench.session.choose(other.id)
    assert "judging the robot.." in bench.text()
    bench.settle()
    assert "the robot on the bench has no such place" in bench.text()
    before = bench.newest()
    bench.keys("down", "right", "space", "enter", "left", "space")
    assert bench.newest() == before
    empty = empty_bench(tmp_path)
    for page in (Swap(empty.session, "x"), TakeOut(empty.session, "x")):
        empty.shell.show(page)
        empty.keys("down", "space", "enter", "right", "space")
        assert "no robot in this book yet" in empty.text()
