"""What spares a tired hand keys, and what one key too many must not log."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.damage import taken_out
from pitcrew.tui.pages.run import Run
from tests.tui.driver import Driver, bench_at
from tests.tui.test_parts import place

SMALL = "NETTLE SPROCKET"


def row(bench: Driver, text: str) -> Driver:
    """Down to the row that holds a text."""
    for _ in range(40):
        here = next(row for row in bench.screen(200, 60) if row.startswith(">"))
        if text in here:
            return bench
        bench.keys("down")
    raise AssertionError(bench.text())


def labels(bench: Driver) -> list[str]:
    """What can be said to the row."""
    return [answer.label for answer in bench.shell.page.answers().items]


def test_what_is_seen_on_a_pack_just_taken_out_is_found_at_its_place(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "12:20")
    case = bench.session.case()
    assert case is not None
    pack = taken_out(case, place(bench, "pack 3"))
    bench.type("pack 3").keys("enter")
    assert labels(bench) == ["put a part in", "found something"]
    bench.keys("right", "space")
    assert bench.row("pack 3  ").startswith(">           pack 3            P7")
    bench.keys("left", "space").type("dented").keys("enter")
    assert bench.row("  answer").startswith("  answer    [ by the blow of 12:13, solid in BT ]")
    bench.keys("space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["what"]) == ("finding", pack, "dented")


@pytest.mark.parametrize(("typed", "what"), [("frayed", "frayed"), ("Bent", "bent"), ("worn at the edge",) * 2])
def test_what_is_wrong_is_typed_on_the_form_itself(tmp_path: Path, typed: str, what: str) -> None:
    bench = bench_at(tmp_path, "15:29").type("belt R").keys("enter")
    bench.keys(*["right"] * labels(bench).index("found something"), "space").type(typed)
    assert f"> found on belt R 1: {typed}" in bench.text()
    bench.keys("enter", "left", "space")
    finding = next(entry for entry in bench.newest(2) if entry.kind == "finding")
    assert (finding.detail["what"], finding.detail.get("hit")) == (what, None)


@pytest.mark.parametrize("typed", ["wheel 3", "gearbox", "note belt box is empty", "DR hard", "home"])
def test_what_is_typed_on_the_form_and_means_something_else_is_no_finding(tmp_path: Path, typed: str) -> None:
    bench = bench_at(tmp_path, "15:29").type("belt R").keys("enter")
    bench.keys(*["right"] * labels(bench).index("found something"), "space").type(typed)
    assert "found on" not in bench.text(120, 40)


def test_a_blow_is_named_with_every_zone_that_felt_it(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "12:25").type("bearing L outer").keys("enter")
    bench.keys(*["right"] * labels(bench).index("found something"), "space", "left", "space")
    bench.type("notchy").keys("enter")
    assert labels(bench)[0] == "by the blow of 12:13, hard in UL W1"


def test_a_motor_shorted_by_a_blow_says_that_the_blow_was_hard(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:29").type("drive motor R").keys("enter")
    bench.keys(*["right"] * labels(bench).index("found something"), "space")
    bench.keys(*["right"] * (labels(bench).index("shorted") + 1), "space")
    assert bench.row("  then ").startswith("  then      named as its cause, a blow counts as hard")
    bench.keys("space")
    raised, finding = bench.newest(2)
    assert (finding.kind, finding.detail["raises"]) == ("finding", True)
    assert (raised.kind, raised.grade, raised.detail["because"]) == ("hit", 3, finding.id)


@pytest.mark.parametrize("typed", ["262.05 ROD", "262.05 mm rod", "262.05 with ROD"])
def test_a_figure_is_typed_with_what_it_was_read_with(tmp_path: Path, typed: str) -> None:
    bench = row(bench_at(tmp_path, "13:45"), "measure: weapon float").keys("space").type(typed)
    assert "> gap between uprights 262.05 mm ROD, this run" in bench.text(120, 30)
    bench.keys("enter")
    (entry,) = bench.newest()
    assert bench.session.view is not None
    assert bench.session.view.case.defs.instruments[entry.detail["instrument"]].name == "ROD"
    assert entry.detail["value_m"] == pytest.approx(0.26205)


def test_a_unit_is_no_instrument(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "13:45"), "measure: weapon float").keys("space").type("26.205 cm").keys("enter")
    assert bench.newest()[0].detail["value_m"] == pytest.approx(0.26205)


def test_a_run_goes_on_to_the_next_gap_that_shares_a_piece(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "15:38"), "measure: screw clear R").keys("space")
    page = bench.shell.page
    assert isinstance(page, Run)
    bench.type("7.00").keys("enter", "space", "space", "space")
    assert bench.row("  answer").startswith("  answer    [ next: screw engagement R ]   done")
    bench.keys("space")
    assert "screw engagement R" in bench.screen()[2]
    assert bench.shell.page is page
    bench.keys("down", "down").type("6.00").keys("enter")
    # The plate was in all of them: one run, one act, and nothing is left to read.
    assert len({entry.act for entry in bench.newest(2)}) == 1
    assert bench.row("  answer").startswith("  answer    [ done ]")


def test_a_figure_stands_in_the_log_as_it_was_typed(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "13:45"), "measure: weapon float").keys("space").type("262.10").keys("enter")
    assert "gap between uprights 262.10 mm" in bench.screen(120, 40)[-2]


def test_threadlocker_that_sets_too_late_is_not_put_on_again_by_a_habit_of_the_thumb(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "15:48"), "torque: motor R")
    before = bench.newest()
    bench.keys("space")
    assert "the same once more sets later still" in bench.text()
    assert bench.newest() == before


def test_a_configuration_that_is_only_declared_says_what_ends_it(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "12:43", SMALL), "weigh: N3")
    assert bench.row("  do   ").startswith(
        "  do        this sheet wants every declared configuration in weight: bring N3"
    )


def test_another_robot_begins_at_its_first_row(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "11:35").keys("down", "down", "down", "tab", "r", "down", "space")
    assert bench.session.view is not None and bench.session.view.case.defs.robot.name == SMALL
    assert bench.screen()[3].startswith("> ")


def test_a_bad_part_swapped_out_goes_to_quarantine(tmp_path: Path) -> None:
    bench = row(bench_at(tmp_path, "15:31"), "mend or replace: belt R").keys("right", "space", "down", "space")
    fitted, out = bench.newest(2)
    assert (fitted.kind, out.kind, out.detail["to"]) == ("fitted", "removed", "quarantine")
