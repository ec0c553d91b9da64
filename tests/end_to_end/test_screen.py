"""What a crew does between two fights, through a real terminal: few keys, and the screen says what the file says."""

from __future__ import annotations

import json
import re
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from pitcrew.clock import SystemClock, SystemIds
from pitcrew.demo.scratch import shipped_demo
from pitcrew.logbook.book import Book
from pitcrew.robot.records import Entry
from tests.end_to_end.at_bench import OnBench, book_at
from tests.end_to_end.commands import INSTALLED, TA, fingerprint, run, seen
from tests.end_to_end.tmux import Open, Tmux

MOST_KEYS = 6
# Space is not taken on a row that has stood for less than 0.4 s, nor twice within 0.15 s.
HAND_S = 0.45
# Rows of large letters above row 1 on a tall screen.
TALL = 5
HEADING = "next, in this order"
# Room for every row and every name of the list.
WHOLE_LIST = 200, 60
COUNTS = re.compile(r"^ (?:NOT FIT|FIT TO FIGHT) +(?:(\d+) blocks?: ((?:\d+ [A-Z]+(?:, )?)+)|nothing blocks)")
JOB = re.compile(r"^[> ] (.{9}) (.+?) +(\S+) +(\d+|-) +(\d+) +(\d+)$")
LAST = re.compile(r"^[* ] last .*?#(\d+)(?:-(\d+))?$")


class Typed(NamedTuple):
    """Letters, and what stands on the screen once they are read."""

    text: str
    sees: str


class Key(NamedTuple):
    """A key, and what stands on the screen once it is answered."""

    name: str
    sees: str


class Flow(NamedTuple):
    """Something the crew does: its steps, how many entries it writes, and for how many lines of a list it is."""

    name: str
    steps: tuple[Typed | Key, ...]
    entries: int
    lines: int = 1

    @property
    def keys(self) -> int:
        """Keys beside what is typed."""
        return sum(isinstance(step, Key) for step in self.steps)

    @property
    def letters(self) -> int:
        """What is typed."""
        return sum(len(step.text) for step in self.steps if isinstance(step, Typed))


FLOWS = (
    Flow(
        "a wheel swapped for a heavier one",
        (
            Typed("wheel 3", "> show place wheel 3 (front R)"),
            Key("Enter", "-- wheel 3 (front R): wheel 5 -"),
            Key("Right", "[ found something ]"),
            Key("Right", "[ swap the part ]"),
            Key("Space", "[ a new part ]"),
            Key("Space", "new part  _"),
            Typed("1.02 kg wheel 7", "1.02 kg wheel 7_"),
            Key("Enter", "-- wheel 3 (front R): wheel 7 -"),
        ),
        entries=3,
    ),
    Flow(
        "a hard hit on one zone",
        (Typed("dr hard", "> hit hard taken DR"), Key("Enter", "MK  hit hard taken DR")),
        entries=1,
    ),
    Flow(
        "a joint torqued, by its figure",
        (Typed("22 hubs r", "> joint torqued 22 N m hubs R"), Key("Enter", "MK  joint torqued 22 N m hubs R")),
        entries=1,
    ),
    Flow(
        "a joint torqued, all clicked",
        (
            Typed("shaft cap l", "> show joint shaft cap L"),
            Key("Enter", "-- joint shaft cap L -"),
            Key("Right", "[ 4 of 4 at 25 N m ]"),
            Key("Space", "MK  joint torqued 25 N m shaft cap L"),
        ),
        entries=1,
    ),
    Flow(
        "a reading corrected",
        (
            Key("Tab", "  go to "),
            Key("l", "newest below"),
            Typed("float", "log       float_"),
            Key("Enter", "-- #"),
            Key("Space", "correct   _"),
            Typed("0.25", "correct   0.25_"),
            Key("Enter", "> corrects  #"),
        ),
        entries=1,
    ),
    Flow(
        "make safe, five lines, a second person",
        (
            Key("Space", "make safe, after H3   0 of 5 answered"),
            Key("Space", "> DUE       weapon lock in, flag seen"),
            Key("Space", "2 of 5 answered"),
            Key("Space", "3 of 5 answered"),
            Key("Space", "4 of 5 answered"),
            Key("Space", "5 of 5 answered, 2 want a second person"),
            Key("Space", "second    _"),
            Typed("pb", "second    pb_"),
            Key("Enter", "pass      make safe, after H3   5 of 5 answered"),
        ),
        entries=7,
        lines=5,
    ),
)


def signed_on(tmux: Open, words: Sequence[str | Path], **options: Any) -> Tmux:
    """The screen once the robot is judged and somebody writes: asked once a shift, so it is no part of a flow."""
    bench = tmux(words, **options)
    bench.wait_for(" block: ")
    bench.send("Tab", "i")
    bench.type("mk")
    bench.wait_for("initials  mk_")
    bench.send("Enter")
    bench.wait_for("MK is writing")
    return bench


def walk(bench: Tmux, flow: Flow) -> None:
    """Do every step, each once the one before is answered."""
    for step in flow.steps:
        if isinstance(step, Typed):
            bench.type(step.text)
        else:
            if step.name == "Space":
                time.sleep(HAND_S)
            bench.send(step.name)
        bench.wait_for(step.sees)


def blocking(rows: list[str]) -> Counter[str] | None:
    """What row 1 says blocks, by verdict; None when it says nothing of it."""
    found = COUNTS.match(rows[0]) if rows else None
    if found is None:
        return None
    counts = Counter({word: int(count) for count, word in re.findall(r"(\d+) ([A-Z]+)", found[2] or "")})
    assert counts.total() == int(found[1] or 0), rows[0]
    return counts


def jobs_on(rows: list[str]) -> list[tuple[str, str, str, int, int, int]]:
    """The list as it stands on home: verdict, job, zone, clears, minutes, people."""
    (top,) = (index for index, row in enumerate(rows) if HEADING in row)
    # On a wide screen other things stand to the right of the list.
    end = rows[top].index("people") + len("people")
    found = [JOB.match(row[:end]) for row in rows[top + 1 :]]
    return [
        (job[1].strip(), job[2], job[3], int(job[4].replace("-", "0")), int(job[5]), int(job[6]))
        for job in found
        if job is not None
    ]


def jobs_in(path: Path, at: str) -> list[tuple[str, str, str, int, int, int]]:
    """The same list as the commands give it for the file."""
    (robot,) = json.loads(run("worklist", str(path), TA, "--at", at, "--json").stdout)["robots"]
    return [
        (
            job["verdict"].upper(),
            job["job"],
            job["zone"] or "all",
            len(job["clears"]),
            job["minutes"],
            job["people"],
        )
        for job in robot["jobs"]
    ]


def agrees(bench: Tmux, path: Path) -> None:
    """Row 1 and the whole worklist are what the commands say of the very file at this minute."""
    bench.send("Tab", "h")
    bench.resize(*WHOLE_LIST)
    at = bench.wait_until(lambda rows: blocking(rows[TALL:]) is not None)[TALL].split()[-1]
    done = run("standing", str(path), TA, "--at", at, "--json")
    told = seen(done.exit_code, done.stdout)
    verdicts = Counter(verdict.upper() for _, verdict in told.blocks.elements())
    rows = bench.wait_until(lambda rows: blocking(rows[TALL:]) == verdicts, what=f"{verdicts} in the standing")
    assert jobs_on(rows) == jobs_in(path, at)
    bench.resize(80, 24)


def newest(path: Path, count: int) -> tuple[Entry, ...]:
    """The entries that are in the file last, newest first."""
    with Book.open(path, SystemClock(), SystemIds(), readonly=True) as book:
        return book.entries(limit=count)


@pytest.fixture
def bench_book(tmp_path: Path) -> OnBench:
    """The demo's book at 15:24, two minutes after a won fight."""
    return book_at(tmp_path)


@pytest.mark.parametrize("flow", FLOWS, ids=lambda flow: flow.name)
def test_few_keys_and_the_screen_says_what_the_file_says(tmux: Open, bench_book: OnBench, flow: Flow) -> None:
    before = newest(bench_book.path, 1)[0].n
    bench = signed_on(tmux, bench_book.words())
    walk(bench, flow)
    sys.stdout.write(f"\n{flow.name:<40} {flow.keys} keys beside {flow.letters} letters, for {flow.lines} line(s)\n")
    assert flow.keys <= MOST_KEYS * flow.lines
    (said,) = (found for row in bench.screen() if (found := LAST.match(row)))
    written = newest(bench_book.path, flow.entries + 1)
    assert written[0].n == int(said[2] or said[1]) == before + flow.entries
    assert written[-1].n == before
    assert {entry.by for entry in written[:-1]} == {"MK"}
    agrees(bench, bench_book.path)
    bench.send("Tab", "q")
    assert bench.status() == 0


def test_a_book_opened_long_after_its_day_is_judged_by_today(tmux: Open, bench_book: OnBench) -> None:
    bench = signed_on(tmux, [INSTALLED, bench_book.path])
    assert re.search(r"call 16:07 gone by \d+ days +\d\d:\d\d$", bench.screen()[0])
    walk(bench, next(flow for flow in FLOWS if flow.name == "a hard hit on one zone"))
    done = run("standing", str(bench_book.path), TA, "--json")
    verdicts = Counter(verdict.upper() for _, verdict in seen(done.exit_code, done.stdout).blocks.elements())
    bench.wait_until(lambda rows: blocking(rows) == verdicts, what=f"{verdicts} in the standing")
    bench.send("Tab", "b")
    rows = bench.wait_for("next: make safe")
    # Minutes that nobody can grasp are not cut off in the middle.
    assert not any(row.endswith("..") or "min to call" in row for row in rows[2:])
    bench.send("Tab", "q")
    assert bench.status() == 0


@pytest.mark.parametrize("keys", [("Tab", "q"), ("C-c",), ("C-q",)], ids=" ".join)
def test_the_demo_is_tried_out_and_nothing_of_it_is_left(tmux: Open, tmp_path: Path, keys: tuple[str, ...]) -> None:
    shipped = shipped_demo()
    before = fingerprint(shipped), sorted(shipped.parent.glob(f"{shipped.name}*"))
    bench = signed_on(tmux, [INSTALLED, "demo"], more={"TMPDIR": str(tmp_path)})
    assert [path.name for path in tmp_path.iterdir()] != []
    assert bench.screen()[0].endswith("15:24")
    assert blocking(bench.screen()) == {"RECHECK": 7, "DUE": 21}
    walk(bench, next(flow for flow in FLOWS if flow.name == "a hard hit on one zone"))
    bench.send(*keys)
    assert bench.status() == 0
    assert list(tmp_path.iterdir()) == []
    assert (fingerprint(shipped), sorted(shipped.parent.glob(f"{shipped.name}*"))) == before
