"""Help: the keys, what the screen below is for, what can be typed, and where Tab leads."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from pitcrew.bench.line import VERBS
from pitcrew.tui.actions import ACTIONS, BY_KEY, BY_LETTER, PLACES, help_rows
from pitcrew.tui.frame import frame
from pitcrew.tui.page import Page
from pitcrew.tui.pages.help import ABOUT, LINE_HELP, Help
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench

PAGES = Path(import_module("pitcrew.tui.pages").__path__[0])


def classes() -> Iterator[type[Page]]:
    """Every screen there is."""
    for path in sorted(PAGES.glob("*.py")):
        module = import_module(f"pitcrew.tui.pages.{path.stem}")
        for found in vars(module).values():
            if isinstance(found, type) and issubclass(found, Page) and found.__module__ == module.__name__:
                yield found


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def whole(bench: Driver) -> str:
    """All of the help, whatever the height."""
    return bench.text(80, 120)


@pytest.mark.parametrize("page", list(classes()), ids=lambda page: page.__name__)
def test_every_screen_has_a_name_and_says_what_it_is_for(page: type[Page]) -> None:
    assert page.name
    assert ABOUT.get(page.name) or page.title


def test_what_is_said_of_screens_is_of_screens_that_are_there() -> None:
    assert set(ABOUT) <= {page.name for page in classes()}


@pytest.mark.parametrize("place", [place for place in PLACES if not place.act], ids=lambda place: place.name)
def test_question_mark_helps_with_the_screen_one_is_on(bench: Driver, place: object) -> None:
    letter, name = place.letter, place.name  # type: ignore[attr-defined]
    bench.keys("tab", letter)
    below = bench.shell.page
    bench.keys("?")
    assert isinstance(bench.shell.page, Help)
    assert f"  help      the screen called {name}" in bench.screen()
    said = ABOUT.get(name) or below.title
    assert said.split(". ")[0][:40] in whole(bench).replace("\n  ", " ")
    bench.keys("backspace")
    assert bench.shell.page is below


def test_every_key_every_place_and_every_sort_of_line_is_told(bench: Driver) -> None:
    bench.keys("?")
    text = whole(bench)
    for label, said in help_rows():
        assert said in text, label
    for place in PLACES:
        assert f"  {place.letter}  {place.name}" in text
    for label, _ in LINE_HELP:
        assert f"  {label}" in text
    assert "people decide" in text


def test_one_key_does_one_thing_and_one_letter_leads_to_one_place() -> None:
    keys = [key for action in ACTIONS for key in action.keys]
    assert len(keys) == len(set(keys)) == len(BY_KEY)
    assert len(BY_LETTER) == len(PLACES)
    assert len({place.name for place in PLACES}) == len(PLACES)


@pytest.mark.parametrize("verb", sorted({"in", "out", "withdraw", "correct"} & set(VERBS)))
def test_the_verbs_that_are_told_can_be_typed(bench: Driver, verb: str) -> None:
    bench.keys("?")
    assert verb in whole(bench)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("22 hubs r", "hubs R"),
        ("84 in-lb hubs r", "84 in-lb"),
        ("dr hard", "hit hard taken DR"),
        ("hubs", "joint hubs"),
    ],
)
def test_what_is_told_as_an_example_is_understood(bench: Driver, typed: str, says: str) -> None:
    bench.type(typed)
    assert says in bench.text()


def test_it_rolls_to_its_end_and_back(bench: Driver) -> None:
    bench.keys("?")
    assert "the screen called home" in bench.text()
    bench.keys(*["pagedown"] * 9)
    assert "overrule the screen" in bench.text()
    bench.keys(*["down"] * 9)
    assert "overrule the screen" in bench.text()
    bench.keys("up")
    assert "overrule the screen" not in bench.text() or bench.shell.page.row > 0
    bench.keys(*["pageup"] * 9)
    assert "the screen called home" in bench.text()


def test_it_logs_nothing_whatever_is_pressed(bench: Driver) -> None:
    before = bench.newest()
    bench.keys("?", "space", "enter", "left", "right", "space", "?")
    assert bench.newest() == before


def test_help_of_an_empty_book(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.keys("?")
    assert "the screen called home" in bench.text()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size_and_cuts_no_sentence(bench: Driver, width: int, height: int) -> None:
    bench.keys("?")
    seen = ""
    for _ in range(80):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
        seen += "\n".join(text_of(row) for row in rows)
        bench.keys("down")
    if width >= 80:
        assert ".." not in seen.replace("...", "")
