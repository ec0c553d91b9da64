"""The keys: each does one thing on every screen, nothing typed is lost, nothing is logged by a bounce."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitcrew.tui.actions import PLACES
from pitcrew.tui.frame import frame
from pitcrew.tui.paint import text_of
from tests.tui.driver import NAMED, Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def test_the_first_screen_says_fit_or_not_how_many_block_and_the_minutes(bench: Driver) -> None:
    first, second = bench.screen()[:2]
    assert first == " NOT FIT   28 block: 7 RECHECK, 21 DUE              43 min to call 16:07   15:24"
    assert second.startswith(" TALLOW ANVIL   H4 in A   ~112.72 kg, 0.68 under")


def test_up_and_down_move_the_one_mark_and_stop_at_the_ends(bench: Driver) -> None:
    bench.keys("up")
    assert bench.row("> DUE").startswith("> DUE       make safe")
    bench.keys("down", "down")
    assert bench.row("> DUE").startswith("> DUE       feel by hand: W1")
    bench.keys(*["down"] * 40)
    assert len([row for row in bench.screen() if row.startswith(">")]) == 1


def test_left_and_right_pick_the_answer_and_wrap(bench: Driver) -> None:
    bench.keys("down", "down")
    assert "[ no sign ]" in bench.text()
    bench.keys("right")
    assert "[ a sign: it was hard ]" in bench.text()
    bench.keys("right")
    assert "[ no sign ]" in bench.text()


def test_space_logs_the_bracketed_answer_and_the_number_proves_it(bench: Driver) -> None:
    bench.keys("down", "down", "space")
    written = bench.newest()[0]
    assert (written.kind, written.by, written.detail["sign"]) == ("hand_checked", "MK", False)
    assert bench.row("last").endswith(f"#{written.n}")
    assert bench.screen()[0].startswith(" NOT FIT   27 block")


def test_the_first_entry_of_a_shift_asks_for_initials_and_then_logs_it(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, by="")
    before = bench.newest()[0].id
    bench.keys("down", "down", "space")
    assert "initials  _" in bench.text()
    assert bench.newest()[0].id == before
    bench.type("mk").keys("enter")
    assert (bench.newest()[0].kind, bench.newest()[0].by) == ("hand_checked", "MK")
    bench.keys("space")
    assert "initials" not in bench.row("last")


def test_initials_that_nobody_has_are_refused_and_stay_for_mending(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, by="")
    bench.keys("down", "down", "space").type("xx").keys("enter")
    assert "nobody in the crew has the initials 'xx'" in bench.text()
    assert "initials  xx_" in bench.text()
    bench.keys("backspace", "backspace").type("dv").keys("enter")
    assert bench.newest()[0].by == "DV"


def test_a_line_given_up_at_the_initials_is_there_again(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, by="")
    bench.type("dr hard").keys("enter", "backspace")
    assert bench.newest()[0].kind != "hit"
    assert "dr hard" in bench.row("kept")
    bench.type("!")
    assert "dr hard!_" in bench.text()


def test_a_space_that_bounces_is_dropped(bench: Driver) -> None:
    bench.keys("down", "down")
    before = bench.newest()[0].n
    bench.shell.key("space", " ", 1000.0)
    bench.settle()
    bench.shell.key("space", " ", 1000.1)
    bench.settle()
    assert bench.newest()[0].n == before + 1


def test_a_row_that_has_just_come_under_the_keys_takes_no_space(bench: Driver) -> None:
    bench.keys("down", "down")
    bench.shell.key("space", " ", 2000.0)
    for _ in bench.session.judging():
        pass
    bench.shell.judged(2000.05)  # the row logged has left the list, another is under the keys
    before = bench.newest()[0].n
    bench.shell.key("space", " ", 2000.3)
    assert bench.newest()[0].n == before


def test_backspace_goes_back_one_step_at_a_time(bench: Driver) -> None:
    bench.keys("enter")
    assert "clears 1" in bench.text()
    bench.type("2").keys("backspace")
    assert "log " in bench.screen()[-2]
    bench.keys("backspace")
    assert "last" in bench.screen()[-2]
    bench.keys("backspace")
    assert "next, in this order" in bench.text()
    bench.keys("backspace")
    assert "next, in this order" in bench.text()


@pytest.mark.parametrize("place", [place for place in PLACES if not place.act and place.letter not in "h"])
def test_tab_and_a_letter_lead_everywhere_and_back(bench: Driver, place: object) -> None:
    letter = place.letter  # type: ignore[attr-defined]
    bench.keys("tab", letter)
    assert len(bench.shell.pages) == 2
    assert bench.shell.page.name == place.name  # type: ignore[attr-defined]
    bench.keys("tab", "space")
    assert bench.shell.page.name == "home"


def test_the_strip_brackets_the_place_before(bench: Driver) -> None:
    bench.keys("tab", "f", "tab", "b", "tab")
    assert "Space [ fights ]" in bench.text()
    bench.keys("space")
    assert bench.shell.page.name == "fights"


def test_a_line_typed_halfway_is_kept_when_one_goes_elsewhere(bench: Driver) -> None:
    bench.type("262.0").keys("tab", "f")
    assert "262.0" in bench.row("kept")
    bench.keys("tab", "h").type("5")
    assert "262.05_" in bench.text()


def test_undo_takes_back_the_whole_last_act(bench: Driver) -> None:
    before = bench.text()
    bench.keys("down", "down", "space")
    said = bench.newest()[0]
    bench.keys("tab", "u")
    assert bench.newest()[0].kind == "withdrawn"
    assert bench.newest()[0].replaces == said.id
    assert bench.screen()[0] == before.split("\n")[0]


def test_undo_of_nothing_says_so_and_writes_nothing(bench: Driver) -> None:
    before = bench.newest()[0].n
    bench.keys("tab", "u")
    assert "nothing was written here yet" in bench.text()
    assert bench.newest()[0].n == before


def test_help_names_the_screen_and_question_mark_can_be_typed(bench: Driver) -> None:
    bench.keys("?")
    assert "the screen called home" in bench.text()
    bench.keys("backspace").type("note why?").keys("enter")
    assert bench.newest()[0].detail["note"] == "why?"


def test_a_paste_of_several_lines_loses_nothing(bench: Driver) -> None:
    bench.shell.paste("note one\ntwo\x1b[31m three")
    bench.settle()
    bench.keys("enter")
    assert bench.newest()[0].detail["note"] == "one two[31m three"


def test_an_empty_book_says_what_goes_here(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    assert "no robot in this book yet" in bench.text()
    for place in PLACES:
        if not place.act:
            bench.keys("tab", place.letter)
            assert len(bench.screen()) == 24
            bench.keys("space", "enter", "pagedown", "right", "down")


def test_a_book_that_is_read_only_refuses_in_a_sentence(bench: Driver) -> None:
    bench.book.writer = ""
    bench.keys("down", "down", "space")
    assert "open for reading only" in bench.text()
    assert bench.shell.unsaved == ""


KEYS = st.one_of(
    st.sampled_from(sorted(NAMED)),
    st.sampled_from([place.letter for place in PLACES if place.letter != "q"]),
    st.characters(min_codepoint=32, max_codepoint=0x2FF),
)


@pytest.mark.parametrize("size", [(80, 24), (200, 60), (40, 10)])
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(keys=st.lists(KEYS, max_size=25))
def test_no_run_of_keys_breaks_the_screen(
    tmp_path_factory: pytest.TempPathFactory, size: tuple[int, int], keys: list[str]
) -> None:
    bench = bench_at(tmp_path_factory.mktemp("bench"))
    width, height = size
    for key in keys:
        bench.keys(key)
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        for row in rows:
            text = text_of(row)
            assert text.isprintable()
            assert len(text) <= width
    bench.book.close()
