"""The terminal side: what the shell paints is what stands on the screen, and a fault never takes the screen away."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest

from pitcrew.tui.app import Bench
from pitcrew.tui.frame import frame
from pitcrew.tui.looks import LOOKS, chosen, styles
from pitcrew.tui.paint import ROLES, text_of
from tests.tui.driver import Driver, bench_at


def app_of(driver: Driver, look: str = "dark") -> Bench:
    return Bench(driver.session, driver.shell, look)


def shown(app: Bench) -> list[str]:
    """What the terminal was sent: the compositor's own rows, as text."""
    return ["".join(segment.text for segment in strip).rstrip() for strip in app.screen._compositor.render_strips()]


async def until(true: Callable[[], bool]) -> None:
    async with asyncio.timeout(10):
        while not true():
            await asyncio.sleep(0.01)


@pytest.fixture
def driver(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


async def test_what_is_painted_stands_on_the_screen(driver: Driver) -> None:
    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(lambda: driver.session.view is not None)
        await pilot.press("down")
        await pilot.pause()
        assert shown(app) == [text_of(row).rstrip() for row in frame(driver.shell, 80, 24)]
        assert [row for row in shown(app) if row.startswith(">")]


async def test_space_logs_and_the_standing_follows(driver: Driver) -> None:
    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "down", "space")
        await until(lambda: shown(app)[0].startswith(" NOT FIT   27 block"))
        assert "hand check no sign" in shown(app)[22]


async def test_the_line_is_read_after_the_letter_is_painted(driver: Driver) -> None:
    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", "r", "space", "h", "a", "r", "d")
        await until(lambda: any("adds 5 RECHECK, 2 DUE" in row for row in shown(app)))
        assert "dr hard_" in shown(app)[22]


async def test_a_resized_screen_is_painted_anew(driver: Driver) -> None:
    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert len(shown(app)) == 40
        assert shown(app)[0].strip().startswith("##")
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        assert len(shown(app)) == 20
        assert shown(app)[0].startswith(" NOT FIT")


async def test_a_fault_of_the_program_is_said_and_the_screen_stays(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> None:
        raise ZeroDivisionError("a fault")

    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(driver.shell.page, "opened", broken)
        await pilot.press("enter")
        await pilot.pause()
        assert any("fault of the program" in row for row in shown(app))
        assert len(app.faults) == 1
        await pilot.press("down")
        await pilot.pause()
        assert not any("fault of the program" in row for row in shown(app))


async def test_entries_of_another_window_appear_with_a_star(driver: Driver, tmp_path: Path) -> None:
    from pitcrew.bench import correcting
    from pitcrew.logbook.book import Book

    app = app_of(driver)
    path = driver.book.path
    assert path is not None
    async with app.run_test(size=(80, 24)):
        await until(lambda: driver.session.view is not None)
        with Book.open(path, driver.clock, driver.session.source.ids) as other:
            desk = driver.session.desk()._replace(by="EW", evidence=other.evidence())
            other.append(correcting.note(desk, "belt box is empty"))
        await until(lambda: "* last" in shown(app)[22] and "belt box is empty" in shown(app)[22])


async def test_leaving_keeps_what_is_half_typed(driver: Driver) -> None:
    app = app_of(driver)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "4", "5")
        await pilot.press("ctrl+c")
        await pilot.pause()
    assert driver.shell.left
    assert driver.shell.line.draft() == "245"


@pytest.mark.parametrize("look", LOOKS)
def test_every_role_has_a_look_and_none_is_needed_to_read(look: str) -> None:
    table = styles(look)
    assert set(table) <= set(ROLES)
    coloured = [style for style in table.values() if style.color is not None or style.bgcolor is not None]
    assert bool(coloured) == (look != "mono")


def test_the_look_follows_what_the_terminal_says() -> None:
    assert chosen(None, {"NO_COLOR": "1", "COLORTERM": "truecolor"}) == "mono"
    assert chosen(None, {"TERM": "vt100"}) == "mono"
    assert chosen(None, {"COLORTERM": "truecolor"}) == "dark"
    assert chosen(None, {"TERM": "linux"}) == "16"
    assert chosen("light", {"COLORTERM": "truecolor"}) == "light"
    assert chosen("light", {"NO_COLOR": "1"}) == "mono"
