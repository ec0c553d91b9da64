"""The logbook on the screen: a line put right or taken out, and both stay readable."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from pitcrew.bench import correcting, fighting
from pitcrew.logbook.book import Book
from pitcrew.tui.app import Bench
from pitcrew.tui.paint import text_of
from tests.tui.at_logbook import here, logbook, narrowed, to_answer, worked
from tests.tui.driver import Driver, bench_at


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return worked(bench_at(tmp_path).keys("tab", "l"))


# --- Putting right


def test_a_reading_is_put_right_with_five_keys_beside_what_is_typed(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    typed = len("p9 weighed") + len("1.18")
    narrowed(bench.keys("tab", "l"), "p9 weighed").keys("space")
    assert "what should #" in bench.text()
    assert "instead of 1.17 kg? A bare figure is kg." in bench.text()
    bench.type("1.18").keys("enter")
    assert bench.count - typed == 5
    written = bench.newest()[0]
    assert (written.kind, written.by, written.detail["value_kg"]) == ("part_weighed", "MK", 1.18)
    assert written.replaces is not None
    replaced = bench.book.read(written.replaces)
    assert replaced is not None
    assert (written.happened, written.act) == (replaced.happened, replaced.act)
    assert "~112.73 kg" in bench.screen()[1]


def test_a_correction_stands_below_and_the_keys_stay_on_the_line(bench: Driver) -> None:
    narrowed(bench, "measured tread")
    line = logbook(bench).lines.line()
    worked(bench.keys("backspace"))
    assert line is not None
    worked(to_answer(bench, "correct").keys("space").type("4.4").keys("enter"))
    assert here(bench).startswith(f"> replaced  #{line.n}")
    item = logbook(bench).lines.held()[-1]
    assert (item.n, item.state) == (bench.newest()[0].n, f"corrects #{line.n}")


def test_the_keys_follow_the_newest_line_when_they_were_on_it(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    assert f"#{bench.newest()[0].n} " in here(bench)
    bench.keys("up")
    at = here(bench)
    bench.type("ur light").keys("enter")
    assert here(bench) == at


def test_another_windows_entries_stand_below_at_once(bench: Driver) -> None:
    session = bench.session
    (entered,) = session.book.append(fighting.hit(session.desk(), [zone(bench, "AF")], 2))
    bench.shell.elsewhere(session.news())
    assert f"#{entered.n} " in here(bench)


async def test_another_window_on_a_terminal_and_a_search_between_the_keys(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    app = Bench(bench.session, bench.shell, "dark")
    path = bench.book.path
    assert path is not None

    async def until(text: str) -> None:
        async with asyncio.timeout(10):
            while not any(text in text_of(row) for row in app.sheet.rows):
                await asyncio.sleep(0.01)

    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("tab", "l")
        with Book.open(path, bench.clock, bench.session.source.ids) as other:
            desk = bench.session.desk()._replace(by="EW", evidence=other.evidence())
            (entered,) = other.append(correcting.note(desk, "belt box is empty"))
        await until(f">           #{entered.n} 15:24 EW  note (belt box is empty)")
        await pilot.press(*("space" if letter == " " else letter for letter in "misread display"), "enter")
        await until("> corrects  #")
        await pilot.press("backspace")
        await until("newest below")
    assert not app.faults


def test_the_lines_are_those_of_the_robot_on_the_bench(bench: Driver) -> None:
    other = next(item.id for item in bench.session.robots() if item.id != bench.session.robot)
    bench.session.choose(other)
    bench.settle()
    worked(bench)
    assert {item.entry.robot for item in logbook(bench).lines.held()} == {other}
    assert logbook(bench).lines.at == len(logbook(bench).lines.held()) - 1


def zone(bench: Driver, name: str) -> str:
    case = bench.session.case()
    assert case is not None
    return next(item.id for item in case.defs.zones.values() if item.name == name)


def test_a_hit_is_put_right_by_its_grade_and_words_by_changing_them(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    bench.keys("space")
    assert bench.screen()[-2].split()[:2] == ["correct", "_"]
    bench.type("light").keys("enter")
    assert (bench.newest()[0].kind, bench.newest()[0].grade) == ("hit", 1)
    worked(bench.type("note belt box is emty").keys("enter"))
    bench.keys("space")
    assert "belt box is emty_" in bench.text()
    bench.keys("backspace", "backspace", "backspace").type("mpty").keys("enter")
    assert bench.newest()[0].detail["note"] == "belt box is empty"


@pytest.mark.parametrize(("typed", "why"), [("heavy", "not"), ("84 in-lb", "torque"), ("", "nothing was typed")])
def test_what_such_a_line_cannot_say_is_refused_and_stays_for_mending(bench: Driver, typed: str, why: str) -> None:
    narrowed(bench, "p9 weighed")
    before = bench.newest()[0]
    bench.keys("space").type(typed).keys("enter")
    assert "not taken" in bench.text()
    assert why in bench.text()
    assert f"correct   {typed}_" in bench.text()
    assert bench.newest()[0] == before


@pytest.mark.parametrize("answer", ["correct", "withdraw"])
def test_what_no_longer_counts_says_so(bench: Driver, answer: str) -> None:
    narrowed(bench, "p9 weighed")
    bench.keys("up")
    before = bench.newest()[0]
    assert "[ open ]" in bench.text()
    to_answer(bench, answer).keys("space")
    assert "is replaced and no longer counts; put right the line that speaks now" in bench.text()
    assert bench.newest()[0] == before
    narrowed(bench.keys("backspace"), "box that was hit")
    to_answer(bench, f"{answer} all 3").keys("space")
    assert "is a withdrawal, and stands for ever" in bench.text()
    assert bench.newest()[0] == before


# --- Taking out


def test_a_line_is_taken_out_with_why(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    blocking = bench.screen()[0]
    hit = bench.newest()[0]
    worked(to_answer(bench, "withdraw").keys("space").type("seen wrong").keys("enter"))
    taken_out = bench.newest()[0]
    assert (taken_out.kind, taken_out.replaces, taken_out.detail) == ("withdrawn", hit.id, {"note": "seen wrong"})
    assert bench.screen()[0] != blocking
    assert here(bench).startswith("> withdraws #")
    bench.keys("up")
    assert here(bench).startswith(f"> withdrawn #{hit.n}")


def test_no_reason_is_allowed(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    to_answer(bench, "withdraw").keys("space", "enter")
    assert (bench.newest()[0].kind, bench.newest()[0].detail) == ("withdrawn", {})


def test_a_line_that_is_a_whole_act_goes_as_one(bench: Driver) -> None:
    narrowed(bench, "looked over all zones before h3")
    line = logbook(bench).lines.line()
    assert line is not None
    assert len(line.ids) == 14
    before = bench.newest()[0].n
    to_answer(bench, "withdraw all 14").keys("space", "enter")
    written = [found for found in bench.newest(20) if found.n > before]
    assert {found.replaces for found in written} == set(line.ids)
    assert len({found.act for found in written}) == 1


def test_of_an_act_of_several_lines_only_the_line_goes(bench: Driver) -> None:
    narrowed(bench, "float again washer L")
    line = logbook(bench).lines.line()
    assert line is not None
    before = bench.newest()[0].n
    to_answer(bench, "withdraw").keys("space")
    assert "6 more of the same act stay" in bench.text()
    bench.keys("enter")
    assert [found.replaces for found in bench.newest(20) if found.n > before] == list(line.ids)
