"""Fights: entered, started, ended, left the arena, and the way to their hits; a few keys each."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.standing import View, view
from pitcrew.checklists import load
from pitcrew.logbook.writing import Draft
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.fights import RESULTS, Fights
from pitcrew.tui.pages.hits import Hits
from pitcrew.tui.pages.turnaround import Turnaround
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return at_fights(bench_at(tmp_path))


def at_fights(bench: Driver) -> Driver:
    bench.keys("tab", "f")
    assert isinstance(bench.shell.page, Fights)
    bench.count = 0
    return bench


def seen(bench: Driver) -> View:
    assert bench.session.view is not None
    return bench.session.view


def judged_as_the_book(bench: Driver) -> bool:
    item = view(bench.book.evidence(), bench.session.robot, bench.session.now(), load())
    return seen(bench).standing == item.standing


def test_every_fight_stands_newest_above_with_its_times_and_result(bench: Driver) -> None:
    # The robot is still in the arena: the fight that is not quite over is the one the keys begin at.
    assert bench.screen()[4].startswith("> over      H3 ")
    assert bench.row("  answer").startswith("  answer    [ left the arena ]")
    bench.keys("up")
    assert bench.screen()[2:8] == [
        "  fight     name    in  against                call  start end   result",
        "> entered   H4      A   GRAVEL HYMN (vertica.. 16:07",
        "  over      H3      B   SLOW CATHEDRAL (lift.. 15:12 15:20 15:22 win, KO",
        "  over      H2      A   NINTH KETTLE (drum)    12:02 12:10 12:13 loss, KO",
        "  over      H1      A   MOSS VERDICT (horizo.. 10:32 10:40 10:43 win, judges",
        "-- H4 --------------------------------------------------------------------------",
    ]


def test_the_hits_of_a_fight_and_what_the_driver_said_stand_below_it(bench: Driver) -> None:
    bench.keys("up")
    assert "  hits      none logged. Enter logs them" in bench.screen()
    bench.keys("down")
    text = bench.text()
    assert "-- H3 ---" in text
    for said in (
        f"{bench.number('hit solid given')} 15:22 DV hit solid given, not sure W1",
        f"{bench.number('hit solid slam')} 15:22 DV hit solid slam DR",
        "15:23 DV driver says drive motor 2 at drive motor R, gearbox R",
    ):
        assert said in text
    bench.keys("down")
    assert "W1, W1" not in bench.text()  # a blow that two findings raised is one blow


def test_a_fight_entered_is_changed_on_a_line_that_says_it_already(bench: Driver) -> None:
    bench.keys("up", "left", "space")
    line = "H4 16:07 in A against GRAVEL HYMN (vertical disc)"
    assert bench.shell.line.text == line
    (was,) = [fact for fact in seen(bench).case.facts("entered", bench.shell.page.key())][:1]
    bench.keys(*["backspace"] * (len(line) - 3)).type("16:20 in B against GRAVEL HYMN").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["opponent"]) == ("entered", was.subject, "GRAVEL HYMN")
    assert entry.detail["call_at"] - was.detail["call_at"] == 13 * 60_000
    assert "start_at" not in entry.detail or entry.detail["start_at"] is None
    assert "to call 16:20" in bench.screen()[0]
    assert judged_as_the_book(bench)


def test_another_opponent_leaves_the_times_of_a_fight(bench: Driver) -> None:
    bench.keys("up", "left", "space").type(" II").keys("enter")
    (entry,) = bench.newest()
    assert entry.detail["opponent"] == "GRAVEL HYMN (vertical disc) II"
    assert entry.detail["start_at"] - entry.detail["call_at"] == 8 * 60_000


def test_before_its_call_a_fight_is_not_started_by_habit(bench: Driver) -> None:
    before = bench.newest()
    bench.keys("up", "space")
    assert "choose first: it is not called yet" in bench.text()
    assert bench.newest() == before
    bench.keys("right", "space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject) == ("fight_started", bench.shell.page.key())
    assert bench.row("> on").startswith("> on        H4      A   GRAVEL HYMN (vertica.. 16:07 15:24")


def test_called_started_ended_left_and_the_next_is_a_key_each(tmp_path: Path) -> None:
    bench = at_fights(bench_at(tmp_path, "16:07"))
    bench.keys("space")
    assert bench.newest()[0].kind == "fight_started"
    bench.later(3).keys("space")
    (ended,) = bench.newest()
    assert (ended.kind, ended.detail) == ("fight_ended", {"result": RESULTS[0]})
    assert isinstance(bench.shell.page, Turnaround)
    assert bench.count == 2
    bench.keys("backspace", "space")
    assert bench.newest()[0].kind == "fight_left"
    assert seen(bench).standing.fight is None
    assert bench.row("> over").endswith("16:07 16:07 16:10 win")
    assert judged_as_the_book(bench)


@pytest.mark.parametrize("index", range(len(RESULTS)))
def test_every_result_can_be_said(tmp_path: Path, index: int) -> None:
    bench = at_fights(bench_at(tmp_path, "16:07"))
    bench.keys("space", *["right"] * index)
    assert f"[ ended: {RESULTS[index]} ]" in bench.row("  answer", 200, 60)
    bench.keys("space")
    assert bench.newest()[0].detail == {"result": RESULTS[index]}


def test_an_end_makes_the_checks_of_one_fight_due(tmp_path: Path) -> None:
    bench = at_fights(bench_at(tmp_path, "16:07"))
    assert seen(bench).standing.fit
    bench.keys("space", "space")
    assert not seen(bench).standing.fit
    assert "check:make safe" in {item.key for item in seen(bench).standing.blocking}


# the next fight


def over(tmp_path: Path) -> Driver:
    """After the last fight of the day, at its row."""
    bench = at_fights(bench_at(tmp_path, "16:40"))
    assert seen(bench).case.fight() is None
    return bench


def ask(bench: Driver) -> Driver:
    """The next fight asked for on the line."""
    while "[ enter the next fight ]" not in bench.row("  answer", 200, 60):
        bench.keys("right")
    return bench.keys("space")


@pytest.mark.parametrize(
    ("typed", "name", "opponent", "call"),
    [
        ("H5 17:20 against GRAVEL HYMN", "H5", "GRAVEL HYMN", True),
        ("17:20 final", "final", None, True),
        ("H5", "H5", None, False),
        ("semi final 17:20", "semi final", None, True),
        ("17:20 against X", "fight 5", "X", True),
    ],
)
def test_the_next_fight_is_one_line(tmp_path: Path, typed: str, name: str, opponent: str | None, call: bool) -> None:
    bench = ask(over(tmp_path))
    bench.type(typed).keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["name"], entry.detail.get("opponent")) == ("entered", name, opponent)
    assert ("call_at" in entry.detail) == call
    fitted = next(row.configuration for row in seen(bench).standing.weights if row.fitted)
    assert entry.detail["configuration"] == fitted
    assert seen(bench).standing.fight is not None
    assert f" {name} in " in bench.screen()[1]
    assert judged_as_the_book(bench)


@pytest.mark.parametrize(
    ("typed", "says"),
    [("H5 12:00", "has gone by"), ("H5 25:00", "25:00"), ("x" * 70, "too long"), ("H5 1:2:3", "1:2:3")],
)
def test_a_fight_that_cannot_be_entered_stays_on_the_line(tmp_path: Path, typed: str, says: str) -> None:
    bench = ask(over(tmp_path))
    before = bench.newest()
    bench.type(typed).keys("enter")
    assert says in bench.text()
    assert bench.shell.line.text == typed
    assert bench.newest() == before


def test_a_fight_given_up_on_the_line_is_not_entered(tmp_path: Path) -> None:
    bench = ask(over(tmp_path))
    before = bench.newest()
    bench.type("H5").keys("backspace", "backspace", "backspace")
    assert bench.newest() == before
    assert "last" in bench.screen()[-2]


def test_undo_of_an_end_puts_the_fight_on_again(tmp_path: Path) -> None:
    bench = at_fights(bench_at(tmp_path, "16:07")).keys("space")
    standing = [(item.key, item.verdict) for item in seen(bench).standing.requirements]
    bench.keys("space", "backspace", "tab", "u")
    assert bench.row("> on").startswith("> on        H4")
    assert [(item.key, item.verdict) for item in seen(bench).standing.requirements] == standing


def test_enter_leads_to_the_hits_and_back(bench: Driver) -> None:
    bench.keys("enter")
    assert isinstance(bench.shell.page, Hits)
    bench.keys("backspace")
    assert isinstance(bench.shell.page, Fights)


def test_without_a_fight_the_first_is_entered_from_here(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.keys("tab", "f", "space", "enter", "right", "space")
    assert bench.newest() == ()
    assert "none entered yet" in bench.text() or "no robot" in bench.text()


def test_without_a_configuration_it_is_said_and_nothing_written(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.session.write([Draft("robot", "R", "MK", detail={"name": "NEW"})])
    bench.session.choose("R")
    bench.settle()
    before = bench.newest()
    bench.keys("tab", "f", "space").type("H1 16:07").keys("enter")
    assert "no configuration yet" in bench.text()
    assert bench.newest() == before


def test_names_stand_as_typed(tmp_path: Path) -> None:
    bench = ask(over(tmp_path))
    bench.shell.paste("[b]5[/b] 17:20 against [red]Y[/]\x1b[2J")
    bench.keys("enter")
    assert bench.newest()[0].detail["opponent"] == "[red]Y[/][2J"
    assert "[red]Y[/][2J" in bench.text()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size_on_every_row(bench: Driver, width: int, height: int) -> None:
    for _ in range(5):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
        assert len([row for row in rows if text_of(row).startswith(">")]) == 1
        bench.keys("down")
