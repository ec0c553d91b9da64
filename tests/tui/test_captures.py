"""Every screen as it stands at 80x24, kept as text: what the README shows, and what a change is judged by.

After a change that is meant, write them anew with PITCREW_WRITE_CAPTURES=1 and read the difference.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.driver import Driver, bench_at

HERE = Path(__file__).parent / "captures"
ROOT = Path(__file__).parents[2]
SCREENS: dict[str, Callable[[Driver], object]] = {
    "home": lambda bench: bench,
    "why": lambda bench: bench.keys(*["down"] * 11, "enter"),
    "line": lambda bench: bench.type("dr hard"),
    "figure": lambda bench: bench.type("262.05"),
    "go": lambda bench: bench.keys("tab"),
    "fights": lambda bench: bench.keys("tab", "f", "down"),
    "after": lambda bench: bench.keys("tab", "a"),
    "hits": lambda bench: bench.keys("tab", "f", "enter"),
    "stacks": lambda bench: bench.keys("tab", "s"),
    "measure": lambda bench: bench.type("weapon float").keys("enter"),
    "joints": lambda bench: bench.keys("tab", "j"),
    "parts": lambda bench: bench.keys("tab", "p"),
    "swap": lambda bench: bench.type("wheel 3").keys("enter", "right", "right", "space", "down"),
    "found": lambda bench: bench.keys(*["down"] * 7, "right", "space"),
    "weight": lambda bench: bench.keys("tab", "w"),
    "packs": lambda bench: bench.keys("tab", "k", "down"),
    "spares": lambda bench: bench.keys("tab", "x"),
    "time": lambda bench: bench.keys("tab", "t"),
    "findings": lambda bench: bench.keys("tab", "g"),
    "event": lambda bench: bench.keys("tab", "e"),
    "crew": lambda bench: bench.keys("tab", "m"),
    "checks": lambda bench: bench.keys("tab", "c"),
    "checklist": lambda bench: bench.keys("space", "space", "space"),
    "logbook": lambda bench: bench.keys("tab", "l"),
    "big": lambda bench: bench.keys("tab", "b"),
    "robot": lambda bench: bench.keys("tab", "r"),
    "help": lambda bench: bench.keys("?"),
}


def captured(tmp_path: Path, name: str, width: int = 80, height: int = 24) -> str:
    bench = bench_at(tmp_path)
    SCREENS[name](bench)
    bench.idle()
    text = bench.text(width, height)
    bench.book.close()
    return text + "\n"


@pytest.mark.parametrize("name", SCREENS)
def test_a_screen_stands_as_it_was_judged(tmp_path: Path, name: str) -> None:
    now = captured(tmp_path, name)
    kept = HERE / f"{name}.txt"
    if os.environ.get("PITCREW_WRITE_CAPTURES"):
        HERE.mkdir(exist_ok=True)
        kept.write_text(now, "utf-8")
    assert now == kept.read_text("utf-8"), "if this is meant, see the head of this file"


@pytest.mark.parametrize("name", SCREENS)
@pytest.mark.parametrize("size", [(60, 20), (200, 60)])
def test_a_screen_fits_every_size(tmp_path: Path, name: str, size: tuple[int, int]) -> None:
    width, height = size
    rows = captured(tmp_path, name, width, height).rstrip("\n").split("\n")
    assert len(rows) <= height
    assert max(map(len, rows)) <= width
    assert rows[0].strip()


def test_the_readme_shows_screens_as_they_are() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    shown = re.findall(r"<!-- capture (\w+) -->\n```text\n(.*?)```\n<!-- end -->", readme, re.DOTALL)
    assert shown
    for name, text in shown:
        assert text == (HERE / f"{name}.txt").read_text("utf-8"), f"the README's {name} is not what the program shows"


def test_every_capture_is_of_a_screen() -> None:
    assert {path.stem for path in HERE.glob("*.txt")} == set(SCREENS)
