"""The walk after a fight on the screen: from its end to make safe and on, a key a step where one is enough."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.standing import view
from pitcrew.bench.turnaround import LOCK, NOW
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.turnaround import Turnaround
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench


def at_walk(tmp_path: Path, at: str = "15:23", robot: str = "TALLOW ANVIL") -> Driver:
    bench = bench_at(tmp_path, at, robot).keys("tab", "a")
    assert isinstance(bench.shell.page, Turnaround)
    bench.count = 0
    return bench


def here(bench: Driver, width: int = 80, height: int = 24) -> str:
    (row,) = [row for row in bench.screen(width, height) if row.startswith(">")]
    return row


def to(bench: Driver, step: str) -> Driver:
    while bench.shell.page.key() != step:
        bench.keys("down" if step in list(bench.shell.page.keys())[bench.shell.page.row :] else "up")
    return bench


def judged_as_the_book(bench: Driver) -> bool:
    session = bench.session
    judged = view(bench.book.evidence(), session.robot, session.now(), session.source.checklists)
    return session.view is not None and session.view.standing == judged.standing


def test_back_from_the_arena(tmp_path: Path) -> None:
    rows = at_walk(tmp_path).screen()
    assert rows[2] == "  step      when  after H3, ended 15:22                                      min"
    assert rows[3] == f"! {LOCK}"
    assert rows[4].startswith("! A hot, puffed or dented pack goes outside")
    assert rows[5] == "> NOW             off the arena         H3 ended 15:22"
    assert rows[6] == "  later     15:23 make safe             5 of 5 lines to answer                 4"
    assert "  done      15:22 result                win, KO" in rows
    assert "  done      15:23 hits                  3 blows: W1, DR, AF" in rows


def test_how_a_fight_ended_leads_here_and_the_walk_begins(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:21").keys("tab", "a")
    assert here(bench).startswith("> NOW             off the arena         H3 is on: say how it ended")
    bench.keys("tab", "f")
    while bench.shell.page.key() != bench.session.case().fight_id():  # type: ignore[union-attr]
        bench.keys("up" if bench.shell.page.row else "down")
    bench.keys("right", "space")
    assert bench.newest()[0].detail == {"result": "win, KO"}
    assert isinstance(bench.shell.page, Turnaround)
    bench.count = 0
    bench.keys("space")
    assert bench.newest()[0].kind == "fight_left"
    # The keys are at make safe, whose list opens with a key and is left with one.
    bench.keys("space")
    assert bench.shell.page.name == "check"
    bench.keys(*["space"] * 6).type("ew").keys("enter", "space")
    assert isinstance(bench.shell.page, Turnaround)
    assert here(bench).startswith("> NOW       15:21 packs out")
    assert bench.count == 12
    bench.keys("space").type("46 C 5.2 Ah").keys("enter")
    assert {"removed", "pack_read"} == {entry.kind for entry in bench.newest(8)}
    assert "  done      15:21 packs out             46 deg C, 5.2 Ah used" in bench.screen()
    assert judged_as_the_book(bench)


def test_hits_and_the_drivers_words_are_a_key_away_and_back(tmp_path: Path) -> None:
    bench = to(at_walk(tmp_path), "driver").keys("space")
    assert bench.shell.page.name == "hits"
    assert bench.shell.page.key().startswith("says ")
    bench.keys("backspace")
    assert bench.shell.page.key() == "driver"
    to(bench, "hits").keys("space")
    assert bench.shell.page.row == 0


def test_space_does_the_next_thing_of_a_step_until_it_is_done(tmp_path: Path) -> None:
    bench = to(at_walk(tmp_path, "15:24"), "hands").keys("space")
    assert bench.newest()[0].kind == "hand_checked"
    # What is done is left: the keys are at what is next again.
    assert here(bench).split()[1] == NOW.upper()
    assert judged_as_the_book(bench)
    to(bench, "next")
    assert "show" in bench.row("  answer")
    bench.keys("enter")
    assert bench.shell.page.name == "fights"


def test_enter_shows_all_of_the_next_job(tmp_path: Path) -> None:
    bench = to(at_walk(tmp_path, "15:35"), "mend").keys("enter")
    assert bench.shell.page.name == "why"
    bench.keys("backspace")
    assert bench.shell.page.key() == "mend"


def test_a_fight_that_ended_without_a_word_is_asked_for_its_result(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:21")
    case = bench.session.case()
    assert case is not None
    from pitcrew.bench import fighting

    bench.session.write(fighting.ended(bench.session.desk(), case.fight_id()))
    bench.settle()
    to(bench.keys("tab", "a"), "result")
    before = bench.newest()
    bench.keys("space")
    assert bench.newest() == before
    bench.keys("right", "right", "space")
    assert (bench.newest()[0].kind, bench.newest()[0].detail) == ("fight_ended", {"result": "win, KO"})
    assert "  done      15:21 result                win, KO" in bench.screen()


def test_when_all_is_done_it_says_so_with_its_times(tmp_path: Path) -> None:
    bench = at_walk(tmp_path, "16:06")
    text = bench.text(height=30)
    assert "NOW" not in text and "later" not in text and LOCK not in text
    assert "  done      16:05 before call           all answered" in text
    assert "figured 112.86 kg, 0.54 under:" in text


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (40, 10)])
@pytest.mark.parametrize("at", ["15:21", "15:23", "15:50"])
def test_it_fits_every_size_on_every_row(tmp_path: Path, at: str, width: int, height: int) -> None:
    bench = at_walk(tmp_path, at)
    bench.shell.page.row = 0
    for _ in range(len(bench.shell.page.keys()) + 1):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
        assert len([row for row in rows if text_of(row).startswith(">")]) == 1
        bench.keys("down")


def test_the_first_two_cautions_stand_on_the_smallest_screen_whatever_row_the_keys_are_at(tmp_path: Path) -> None:
    bench = to(at_walk(tmp_path), "check:before call")
    rows = bench.screen(60, 20)
    assert rows[3].startswith("! Lock in before any hand.")
    assert rows[5].startswith("! A hot, puffed or dented pack goes outside")


def test_user_text_stands_as_typed(tmp_path: Path) -> None:
    bench = at_walk(tmp_path)
    bench.type("says [b]rubs[/b] \\[ at gearbox L").keys("enter")
    assert "[b]rubs[/b] \\[" in to(bench, "driver").text()


def test_home_offers_the_walk_while_the_robot_is_not_safe(tmp_path: Path) -> None:
    bench = bench_at(tmp_path).keys("right", "space")
    assert isinstance(bench.shell.page, Turnaround)


def test_an_empty_book(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "a", "space", "enter", "down", "pagedown")
    assert "no robot in this book yet" in bench.text()
    assert bench.newest() == ()
