"""A joint and a gap added by the keys where the list has none yet: what is said, what is written, undo."""

from __future__ import annotations

from pathlib import Path

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from tests.bench.begun import NOON, Fresh
from tests.tui.driver import Driver, bench_at


def begun(tmp_path: Path) -> tuple[Driver, Fresh]:
    """A book just begun, with a robot that has no joint and no gap."""
    clock = FixedClock(NOON)
    book = Book.create(tmp_path / "begun.db", clock, SeededIds(3))
    fresh = Fresh(book, clock)
    return Driver(book, clock, SeededIds(9)), fresh


def test_the_first_joint_comes_by_space_and_goes_by_undo(tmp_path: Path) -> None:
    bench, fresh = begun(tmp_path)
    bench.keys("tab", "j")
    assert "none in this robot yet" in bench.text()
    assert "25 N m 4 M8 cap L in W1" in bench.text()
    assert "[ a new joint ]" in bench.text()
    before = bench.newest()
    bench.keys("space").type("25 N m 4 M8 cap L").keys("enter")
    assert "no word says where 'cap L' is" in bench.text()
    assert bench.newest() == before
    bench.type(" in W1")
    assert "a new joint cap L: 4 x M8, 25 N m, in W1" in bench.text()
    bench.keys("enter")
    assert [entry.kind for entry in bench.newest(2)] == ["torqued", "joint"]
    assert any(row.startswith("> pass") and " cap L " in row for row in bench.screen())
    assert [item.name for item in fresh.defs().joints.values()] == ["cap L"]
    bench.keys("tab", "u")
    assert fresh.defs().joints == {}
    assert "none in this robot yet" in bench.text()


def test_the_first_gap_comes_by_space_and_goes_by_undo(tmp_path: Path) -> None:
    bench, fresh = begun(tmp_path)
    bench.keys("tab", "s")
    assert "none in this robot yet" in bench.text()
    assert "[ a new gap ]" in bench.text()
    bench.keys("space").type(".5 float .25 .75 in W1")
    assert "a new gap float: 0.5 mm now, 0.25 mm to 0.75 mm, in W1" in bench.text()
    bench.keys("enter")
    assert [entry.kind for entry in bench.newest(2)] == ["reading", "stack"]
    assert "0.50" in bench.row("> pass")
    bench.keys("tab", "u")
    assert fresh.defs().stacks == {}


def test_a_line_typed_anywhere_adds_what_nobody_knew_with_one_key_beside_it(tmp_path: Path) -> None:
    bench, fresh = begun(tmp_path)
    text = "25 N m 4 M8 cap L in W1"
    bench.type(text).keys("enter")
    assert bench.count == len(text) + 1
    assert [item.name for item in fresh.defs().joints.values()] == ["cap L"]
    bench.type("open cap L").keys("enter")
    assert bench.newest()[0].kind == "opened"
    bench.type("open cap R")
    assert "no joint called 'cap R'" in bench.text()
    assert "25 N m 4 M8 cap R in W1" in bench.text()


def test_a_name_like_one_that_is_there_is_asked_about_first(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    before = bench.newest()
    bench.type("25 N m 4 M8 cap L in W1").keys("enter")
    assert "there is shaft cap L already" in bench.text()
    assert bench.newest() == before
    bench.keys("enter")
    assert [entry.kind for entry in bench.newest(2)] == ["torqued", "joint"]


def test_more_can_be_added_to_lists_that_have_some_and_it_fits_a_small_screen(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    for place, label in (("j", "a new joint"), ("s", "a new gap")):
        bench.keys("tab", place)
        while (answer := bench.shell.answer()) is None or answer.label != label:
            bench.keys("left")
        assert f"[ {label} ]" in bench.text(60, 20)
        assert all(len(row) <= 60 for row in bench.screen(60, 20))
