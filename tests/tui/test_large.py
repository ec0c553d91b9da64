"""The standing in letters to be read from afar: it says what the first row says."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.saying import job_words
from pitcrew.tui.figures import large
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.home import Home
from pitcrew.tui.pages.large import Large
from pitcrew.tui.paint import text_of
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path).keys("tab", "b")


def shows(bench: Driver, text: str, width: int = 80, height: int = 24) -> bool:
    """Do these large letters stand on the screen, one below the other, somewhere in its columns?"""
    rows, wanted = bench.screen(width, height), [row.rstrip() for row in large(text)]
    for top in range(len(rows) - len(wanted) + 1):
        at = rows[top].find(wanted[0])
        while at >= 0:
            if all(row[at : at + len(want)] == want for row, want in zip(rows[top:], wanted, strict=False)):
                return True
            at = rows[top].find(wanted[0], at + 1)
    return False


def test_it_says_not_fit_how_many_block_and_the_minutes(bench: Driver) -> None:
    assert isinstance(bench.shell.page, Large)
    assert bench.screen()[0].startswith(" NOT FIT   28 block")
    assert shows(bench, "NOT FIT")
    assert shows(bench, "28")
    assert shows(bench, "43")
    assert not shows(bench, "29")
    assert "block" in bench.text()
    assert "min to call" in bench.text()


def test_the_next_job_is_the_first_of_the_list(bench: Driver) -> None:
    view = bench.session.view
    assert view is not None
    assert bench.row("   next: ") == f"   next: {job_words(view.case, view.jobs[0])}"


def test_the_minutes_run_down(bench: Driver) -> None:
    bench.later(9)
    assert shows(bench, "34")
    assert not shows(bench, "43")


def test_it_follows_what_is_logged(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    view = bench.session.view
    assert view is not None
    assert len(view.standing.blocking) > 28
    assert shows(bench, str(len(view.standing.blocking)))


def test_without_a_call_no_minutes_are_said(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "16:50", "NETTLE SPROCKET").keys("tab", "b")
    assert bench.session.view is not None
    assert bench.session.view.minutes_to_call() is None
    assert "min to call" not in "\n".join(bench.screen()[2:])


@pytest.mark.parametrize(("clock", "fit"), [("15:12", True), ("15:24", False)])
def test_a_robot_that_is_fit_is_said_to_be_fit(tmp_path: Path, clock: str, fit: bool) -> None:
    bench = bench_at(tmp_path, clock).keys("tab", "b")
    assert bench.session.view is not None
    assert bench.session.view.standing.fit == fit
    assert shows(bench, "FIT" if fit else "NOT FIT")
    assert shows(bench, "NOT FIT") != fit
    assert shows(bench, str(len(bench.session.view.standing.blocking)))


@pytest.mark.parametrize("key", ["enter", "backspace", "escape"])
def test_one_key_comes_back(bench: Driver, key: str) -> None:
    before = bench.newest()
    bench.keys(key)
    assert isinstance(bench.shell.page, Home)
    assert bench.newest() == before


def test_space_logs_nothing_here(bench: Driver) -> None:
    before = bench.newest()
    bench.keys("space", "right", "space")
    assert bench.newest() == before
    assert isinstance(bench.shell.page, Large)


def test_an_empty_book_is_not_said_to_be_fit(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "b")
    assert not shows(bench, "FIT")
    assert "NOT JUDGED" in bench.text()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size(bench: Driver, width: int, height: int) -> None:
    rows = [text_of(row) for row in frame(bench.shell, width, height)]
    assert len(rows) == height
    assert all(len(row) <= width for row in rows)
    if height >= 20 and width >= 60:
        assert shows(bench, "NOT FIT", width, height)
        assert shows(bench, "28", width, height)
