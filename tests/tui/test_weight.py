"""The weight screen: every configuration against the limit, the figure it waits for, the past drawn below."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from pitcrew.bench.weight_list import weight_list
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from pitcrew.readiness.case import Case
from pitcrew.tui.app import Bench
from pitcrew.tui.frame import frame
from pitcrew.tui.marks import weight_mark
from pitcrew.tui.pages import weight as weight_page
from pitcrew.tui.pages.weight import Past, Weight
from pitcrew.tui.pages.weight_plot import letters
from pitcrew.tui.paint import text_of
from tests.bench.begun import NOON, Fresh
from tests.tui.driver import Driver, bench_at, empty_bench


def worked(bench: Driver) -> Driver:
    """Let the screen find out all it has still to find out."""
    while bench.shell.page.waits():
        bench.shell.page.work()
    return bench


def case_of(bench: Driver) -> Case:
    assert bench.session.view is not None
    return bench.session.view.case


def to_answer(bench: Driver, label: str) -> Driver:
    for _ in (None, *bench.shell.page.answers().items):
        answer = bench.shell.answer()
        if answer is not None and answer.label == label:
            return bench
        bench.keys("right")
    raise AssertionError(f"no answer {label}: {bench.text()}")


def begun(tmp_path: Path) -> tuple[Driver, Fresh]:
    """A book just begun, with a robot that has a limit, a scale, and nothing weighed."""
    clock = FixedClock(NOON)
    book = Book.create(tmp_path / "begun.db", clock, SeededIds(3))
    fresh = Fresh(book, clock)
    return Driver(book, clock, SeededIds(9)), fresh


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return worked(bench_at(tmp_path).keys("tab", "w"))


# --- What stands there


def test_every_configuration_stands_against_the_limit(bench: Driver) -> None:
    assert bench.screen()[2:7] == [
        "  verdict   configuration             kg under  from             own : | limit",
        "  pass      A drum, forks        ~112.72  0.68  SHS 09:02      <    :    |",
        "> pass      B bar, plow, 0.20..  ~113.12  0.28  SHS 14:20         =#:=   |",
        "  fail      C drum, plow         ~114.41 -1.01  parts added up      :    |   >",
        "  pass      D bar, forks, 0.2..  ~111.42  1.98  OFH 08:15      <    :    |",
    ]
    assert bench.screen()[7].endswith("B on the robot; A entered; C not declared --")


@pytest.mark.parametrize("robot", ["TALLOW ANVIL", "NETTLE SPROCKET"])
@pytest.mark.parametrize("at", ["10:30", "12:05", "13:30", "15:24", "15:54"])
def test_the_rows_say_what_was_judged(tmp_path: Path, at: str, robot: str) -> None:
    bench = bench_at(tmp_path, at, robot).keys("tab", "w")
    view = bench.session.view
    assert view is not None
    by_key = {item.key: item for item in view.standing.requirements}
    rows = bench.screen()[3:]
    for row, weight in zip(rows, view.standing.weights, strict=False):
        item = by_key.get(f"weight:{weight.configuration}")
        blocks = item is not None and item.blocks
        verdict = item.verdict if item is not None else weight.verdict
        assert row[2:11].rstrip() == (verdict.upper() if blocks else verdict)
        assert weight.kg is None or f"{weight.kg:.2f} " in row
        margin = view.case.defs.robot.crew_margin_kg
        assert row.endswith(weight_mark(weight.kg, weight.u_kg, weight.limit_kg, margin, verdict).rstrip())


def test_the_working_says_the_scale_and_the_sum_and_enter_says_all(bench: Driver) -> None:
    rows = bench.screen()
    weighed = bench.number("robot weighed 113.04 kg B")
    assert rows[8] == f"  working   14:20 PB 113.04 kg shown on SHS {weighed}, +0.06 kg as it reads low"
    assert rows[9] == "            = 113.120 kg +-0.056 kg (k = 2), figured; 8 parts in or out: Enter"
    bench.keys("enter")
    text = bench.text()
    assert "+1.170 kg P9 in" in text
    assert "-1.150 kg P1 out" in text
    bench.keys(*["down"] * 10, "backspace")
    assert bench.shell.page.name == "weight"


def test_the_day_is_drawn_a_capital_where_a_scale_was_read(bench: Driver) -> None:
    rows = bench.screen()[10:21]
    assert rows[0].startswith("113.4 -- limit 113.40 ---")
    assert rows[2].startswith("113.2 . own margin 113.15 .")
    heavy = next(row for row in rows if row.startswith("113.1 "))
    assert "bumper block off -0.10 bbbBbb" in heavy
    assert next(row for row in rows if row.startswith("112.5 ")).split()[1].startswith("AaaaaaaaaaA")
    assert rows[-1].split()[-1] == "call"
    assert "H1" in rows[-1]


def test_until_the_past_is_figured_it_says_so_and_takes_a_slice_at_a_time(tmp_path: Path) -> None:
    bench = bench_at(tmp_path).keys("tab", "w")
    slices = 0
    while bench.shell.page.waits():
        assert "figuring the past.." in bench.text()
        bench.shell.page.work()
        slices += 1
    assert slices > 10
    assert "limit 113.40" in bench.text()
    assert not bench.keys("backspace", "tab", "w").shell.page.waits()


def test_the_old_past_stands_until_the_new_one_is_figured(bench: Driver) -> None:
    worked(bench.later(2)).type("113.3").keys("enter")
    assert bench.shell.page.waits()
    assert "limit 113.40" in bench.text()
    worked(bench)
    series = weight_page.past(bench.session.evidence, bench.session.robot).series
    assert series is not None
    assert series[1].steps[-1].text == "scale +0.24"
    # 113.30 shown and 0.06 that this scale reads low.
    assert next(row for row in bench.screen(120, 40) if row.startswith("113.35 ")).split()[-1].startswith("B")


def test_a_past_that_cannot_be_figured_is_not_tried_again(bench: Driver) -> None:
    told = Past(bench.book.evidence(), bench.session.robot, bench.session.now())
    assert told.step()
    bench.book.close()
    with pytest.raises(BookError):
        while told.step():
            pass
    assert told.series == ()
    assert not told.step()


def test_the_line_of_the_row_is_drawn_and_of_others_only_what_is_on_or_entered(bench: Driver) -> None:
    def drawn() -> set[str]:
        plot = [row for row in bench.screen(200, 60) if row[:1].isdigit()]
        return {letter for letter in "abcd" if any(letter * 5 in row for row in plot)}

    assert drawn() == {"a", "b"}
    bench.keys("down", "down")
    assert drawn() == {"a", "b", "d"}


def test_letters_tell_configurations_apart(tmp_path: Path) -> None:
    bench = worked(bench_at(tmp_path, robot="NETTLE SPROCKET").keys("tab", "w"))
    assert bench.session.view is not None
    given = letters(bench.session.view)
    assert len(set(given.values())) == len(given) == 3
    assert bench.row("lines     ").split()[1:] == [given[bench.shell.page.key()], "N2"]


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40), (200, 60)])
def test_it_fits_every_size(bench: Driver, width: int, height: int) -> None:
    for _ in range(4):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        shown = bench.screen(width, height)
        assert len([row for row in shown if row.startswith(">")]) == 1
        assert any("limit 113.40" in row for row in shown)
        bench.keys("down")


# --- Weighing


def test_a_bare_figure_is_what_the_scale_shows_for_the_row(bench: Driver) -> None:
    bench.keys("up")
    count = bench.count
    bench.type("112.71").keys("enter")
    assert bench.count - count - len("112.71") == 1
    written = bench.newest()[0]
    case = case_of(bench)
    assert (written.kind, written.by, written.detail["value_kg"], written.detail["typed"]) == (
        "weighed",
        "MK",
        112.71,
        "112.71",
    )
    assert case.defs.configurations[written.subject].name == "A"
    assert case.defs.instruments[written.detail["instrument"]].name == "SHS"
    # 112.71 shown and 0.06 that this scale reads low.
    assert "112.77  0.63  SHS 15:24" in bench.screen()[3]


def test_the_figure_is_offered_once_and_with_its_scale(bench: Driver) -> None:
    bench.type("113.04")
    meanings = [row for row in bench.screen() if " B 113.04 kg" in row]
    assert len(meanings) == 1
    assert meanings[0].startswith("> B 113.04 kg with SHS")


def test_another_scale_is_an_answer_away_and_comes_round(bench: Driver) -> None:
    label = "other scale: OFH"
    to_answer(bench, label).keys("space")
    assert "read with OFH from here on" in bench.text()
    bench.type("113.05").keys("enter")
    written = bench.newest()[0]
    assert case_of(bench).defs.instruments[written.detail["instrument"]].name == "OFH"
    assert bench.screen()[4].startswith("> pass      B bar, plow, 0.20..   113.05  0.35  OFH 15:24")
    seen = []
    for _ in range(4):
        name = next(item.label for item in bench.shell.page.answers().items if "scale" in item.label)
        seen.append(name)
        to_answer(bench, name).keys("space")
    assert len(set(seen)) == 4


@pytest.mark.parametrize(("typed", "why"), [("0", "above"), ("-3", "above")])
def test_what_no_scale_shows_is_not_taken(bench: Driver, typed: str, why: str) -> None:
    before = bench.newest()[0]
    bench.type(typed).keys("enter", "enter")
    assert why in bench.text()
    assert "not taken" in bench.text()
    assert bench.newest()[0] == before


def test_a_figure_far_off_asks_twice(bench: Driver) -> None:
    before = bench.newest()[0]
    bench.type("1130.4").keys("enter")
    assert "sure?" in bench.text()
    assert bench.newest()[0] == before


def test_declaring_is_an_answer_and_never_the_first(bench: Driver) -> None:
    before = bench.newest()[0]
    bench.keys("down", "space")
    assert bench.newest()[0] == before
    to_answer(bench, "declare").keys("space")
    written = bench.newest()[0]
    assert (written.kind, written.detail["declared"]) == ("declared", True)
    assert "C not declared" not in bench.text()
    to_answer(bench, "undeclare").keys("space")
    assert bench.newest()[0].detail["declared"] is False


# --- Nothing there


def test_a_robot_never_weighed_says_what_to_type_and_takes_it(tmp_path: Path) -> None:
    bench, fresh = begun(tmp_path)
    worked(bench.keys("tab", "w"))
    assert "never weighed. Type what the scale shows: 13.6" in bench.text()
    assert bench.row("> UNCHECKED A").split()[3:5] == ["?", "-"]
    fresh.book.append(weight_list(fresh.desk(), ["2.62 kg frame", "0.39 kg pack"]))
    bench.shell.elsewhere(bench.session.news())
    bench.settle()
    assert bench.row("> pass").startswith("> pass      A                      ~3.01")
    bench.type("12.5").keys("enter")
    assert bench.newest()[0].kind == "weighed"
    worked(bench)
    assert bench.row("12.5 A").startswith("12.5 A")


def test_a_book_without_a_robot_says_so(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "w")
    assert "no robot in this book yet" in bench.text()
    bench.keys("up", "down", "space", "enter", "left")
    assert not bench.shell.page.waits()


def test_it_opens_at_the_configuration_asked_for(bench: Driver) -> None:
    for ident in case_of(bench).defs.configurations:
        page = Weight(bench.session, ident)
        assert page.key() == ident
    assert Weight(bench.session, "unknown").key() in case_of(bench).defs.configurations


async def test_the_past_is_figured_between_the_keys_on_a_terminal(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    app = Bench(driver.session, driver.shell, "dark")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("tab", "w")
        async with asyncio.timeout(10):
            while not any("limit 113.40" in text_of(row) for row in app.sheet.rows):
                await asyncio.sleep(0.01)
        await pilot.press("down")
        await pilot.pause()
    assert not app.faults
