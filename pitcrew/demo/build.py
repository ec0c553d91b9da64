"""Build the demo's book from its facts: the same clock and ids give the same content every time."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from pitcrew.bench.desk import Desk
from pitcrew.bench.shifts import begins
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.demo.day import Stage, play
from pitcrew.demo.robots import Names, definitions
from pitcrew.logbook.book import Book
from pitcrew.robot.moments import typed
from pitcrew.robot.records import Entry

SEED = 1
BEGUN = "06-07 09:00"


def facts(name: str) -> dict[str, Any]:
    """One of the demo's files of facts."""
    return tomllib.loads(files("pitcrew.demo").joinpath(name).read_text("utf-8"))


def build(path: Path) -> None:
    """Write the demo's book to a new file."""
    clock, ids = FixedClock(0), SeededIds(SEED)
    with Book.memory(clock, ids) as book:
        fill(book, clock, ids)
        book.backup(path)


def fill(book: Book, clock: FixedClock, ids: SeededIds) -> None:
    """Play the robots' definitions and the whole day into an empty book."""
    day = facts("day.toml")
    year_start, _ = typed(f"{day['year']}-01-01 00:00", day["zone"], 0)

    def moment(text: str) -> int:
        return typed(text, day["zone"], year_start)[0]

    names = Names(lambda: ids.mint(clock.now_ms()))
    clock.set(moment(BEGUN))
    book.append(list(definitions(facts("robots.toml"), names)))
    said: dict[str, tuple[Entry, ...]] = {}
    checklists = load()
    for row in day["line"]:
        clock.set(moment(row["at"]))
        robot = names.of("robot", row["robot"])
        desk = Desk(book.evidence(), robot, row["by"], clock.now_ms(), mint=lambda: ids.mint(clock.now_ms()))
        drafts = play(Stage(desk, names, checklists, moment, said), row)
        shift = begins(desk.evidence, drafts, desk.now, day["zone"], desk.mint)
        entries = book.append([*shift, *drafts])[len(shift) :]
        if "name" in row:
            said[row["name"]] = entries


if __name__ == "__main__":
    import sys

    build(Path(sys.argv[1]))
