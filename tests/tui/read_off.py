"""A screen read off as a person reads it: the standing, the worklist, what an opened row says; nothing behind it."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any, NamedTuple

from tests.end_to_end import commands
from tests.tui.driver import Driver

MOMENTS: list[dict[str, Any]] = tomllib.loads(Path(commands.__file__).with_name("moments.toml").read_text("utf-8"))[
    "moment"
]
VERDICTS = ("fail", "recheck", "due", "unchecked", "marginal")
LIMIT_KG = {commands.TA: 113.4, commands.NS: 13.61}
SIZE = 200, 60
TALL = 5  # rows of large letters above the standing
BOTTOM = 3
LABEL = 12
LATE = r"(?:, LATE \d+)?"
BLOCKS = r"(?:(\d+) blocks?: (.+?)|nothing blocks(?:, no fight entered)?)( \(rest work\))?"
BESIDES = r"((?:, \d+ (?:deferred|warns?))*)"
CALL = r"(?:(-?\d+) min|(\d):\d\d|no call set)?.*?(\d\d:\d\d)$"
STANDING = re.compile(rf" (NOT FIT|FIT TO FIGHT){LATE}   {BLOCKS}{BESIDES}  +{CALL}")
WEIGHT = re.compile(r"^ (.+?)   (?:(\S+) in (\S+)|no fight entered)   (~?)(\d+\.\d\d) kg, (\d+\.\d\d) (under|OVER)")
JOB = re.compile(r"^[> ] (.{9}) (.+?) +(\S+) +(\d+|-) +(\d+) +(\d+)$")
GROUPS = "finding|joint|look|stack|weight|check|hand|locking|pack|tread"
CLEARED = re.compile(rf"^[> ] ([A-Z]+) +((?:{GROUPS}) .+|packs|configuration)$")
ROBOT_KG = re.compile(r"^[> ] (.{9}) (\S+) .*?(~?) ?(\d+\.\d\d) +(-?\d+\.\d\d)  ")


class Standing(NamedTuple):
    """Row 1: fit or not, how many block by verdict, whole minutes to the call (None: not said), the clock."""

    fit: bool
    counts: dict[str, int]
    minutes: int | None
    clock: str
    deferred: int


class Weight(NamedTuple):
    """Row 2: whose, entered with what (empty: no fight), whether nobody has read it off a scale, kg, kg under."""

    robot: str
    entered: str
    figured: bool
    kg: float
    under_kg: float


class Block(NamedTuple):
    """What blocks, as its opened row says it."""

    name: str
    verdict: str
    reason: str


def expected(moment: dict[str, Any]) -> Counter[tuple[str, str]]:
    """What blocks, by name and verdict."""
    return Counter((name, verdict) for verdict in VERDICTS for name in moment.get(verdict, ()))


def sheet(bench: Driver) -> list[str]:
    """The rows between the standing and the line."""
    return bench.screen(*SIZE)[TALL + 2 : -BOTTOM]


def jobs(bench: Driver) -> list[tuple[str, str, int]]:
    """The worklist: verdict, job, how many it clears; a step that clears nothing by itself counts none."""
    head, *rows = sheet(bench)
    if "people" not in head:
        assert "nothing" in bench.screen(*SIZE)[TALL]
        return []
    # Other things stand to the right of the list.
    end = head.index("people") + len("people")
    found = [JOB.match(row[:end]) for row in rows]
    return [(job[1].strip(), job[2], int(job[4].replace("-", "0"))) for job in found if job is not None]


def labelled(rows: list[str], label: str) -> str:
    """The text behind a label, with what goes on below it."""
    said: list[str] = []
    for row in rows:
        if row[2:LABEL].strip() == label or (said and row[:LABEL].strip() == ""):
            said.append(row[LABEL:])
        elif said:
            break
    return " ".join(said)


def opened(bench: Driver) -> list[Block]:
    """Every requirement of the row the keys are at, read from the row opened; the keys are on home again after."""
    bench.keys("enter")
    found: list[Block] = []
    # The row itself stands on top of what it clears.
    count = sum(CLEARED.match(row) is not None for row in sheet(bench)[1:])
    for index in range(count):
        rows = sheet(bench)
        (here,) = (at for at, row in enumerate(rows) if row.startswith(">"))
        row = CLEARED.match(rows[here])
        assert row is not None, rows[here]
        # The reasons stand below the whole list, whichever row of it the keys are at.
        found.append(Block(row[2], row[1].casefold(), labelled(rows[here - index + count :], "why")))
        bench.keys("down")
    bench.keys("backspace")
    return found


def blocks(bench: Driver) -> list[Block]:
    """What blocks, from every row of the worklist opened, one after the other."""
    found: list[Block] = []
    for verdict, job, clears in jobs(bench):
        mine = opened(bench)
        bench.keys("down")
        assert len(mine) == clears, job
        if mine:
            worst = min((block.verdict for block in mine), key=VERDICTS.index)
            assert verdict == worst.upper(), job
        found += mine
    return found


def standing(bench: Driver) -> Standing:
    """Row 1 of the screen."""
    row = bench.screen(*SIZE)[TALL]
    found = STANDING.match(row)
    assert found is not None, row
    counts = {word.casefold(): int(count) for count, word in re.findall(r"(\d+) ([A-Z]+)", found[3] or "")}
    assert int(found[2] or 0) == sum(counts.values()), row
    minutes = found[6] or found[7]
    deferred = re.search(r"(\d+) deferred", found[5] or "")
    return Standing(
        found[1] == "FIT TO FIGHT",
        counts,
        int(minutes) if minutes else None,
        found[8],
        int(deferred[1] if deferred else 0),
    )


def weight(bench: Driver) -> Weight:
    """Row 2 of the screen."""
    row = bench.screen(*SIZE)[TALL + 1]
    found = WEIGHT.match(row)
    assert found is not None, row
    under = float(found[6]) * (1 if found[7] == "under" else -1)
    return Weight(found[1], found[3] or "", found[4] == "~", float(found[5]), under)


def configurations(bench: Driver) -> dict[str, tuple[str, float, float]]:
    """The rows of the weight screen: verdict as it stands there, kg, kg under, by name."""
    rows = [row for text in sheet(bench) if (row := ROBOT_KG.match(text)) is not None]
    return {row[2]: (row[1].strip(), float(row[4]), float(row[5])) for row in rows}
