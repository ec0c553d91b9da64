"""What the crew is told at each turn of the demo's day: every block, no other, and why."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import time
import tomllib
from collections import Counter
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import pytest

from tests.end_to_end.commands import INSTALLED, NS, TA, See, cut_ms, rows, run, seen

MOMENTS: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("moments.toml").read_text("utf-8"))["moment"]
VERDICTS = ("fail", "recheck", "due", "unchecked", "marginal")
WEIGHT_KG = 0.005
every_moment = pytest.mark.parametrize("moment", MOMENTS, ids=lambda m: f"{m['at'][6:]} {m['robot']}: {m['story']}")


def expected(moment: dict[str, Any]) -> Counter[tuple[str, str]]:
    return Counter((name, verdict) for verdict in VERDICTS for name in moment.get(verdict, ()))


def test_the_day_is_covered() -> None:
    assert len(MOMENTS) == 22
    assert sum(expected(moment).total() for moment in MOMENTS) > 200


@every_moment
def test_exactly_this_blocks(see: See, moment: dict[str, Any]) -> None:
    found = see(moment["robot"], moment["at"])
    assert found.blocks == expected(moment)
    assert found.data["fit"] is moment["fit"]
    assert found.status == (0 if moment["fit"] else 1)
    assert found.data["robot"] == moment["robot"]
    assert not found.blocking & set(moment.get("absent", ()))


@every_moment
def test_each_block_says_why(see: See, moment: dict[str, Any]) -> None:
    found = see(moment["robot"], moment["at"])
    for name in sorted(found.blocking):
        words = next((words for pattern, *words in moment["why"] if fnmatchcase(name, pattern)), None)
        assert words, f"nothing is said of why {name} blocks"
        reason = found.reasons(name)
        assert [word for word in words if word not in reason] == [], f"{name}: {reason}"


@every_moment
def test_weights_minutes_and_what_a_person_took_on(see: See, moment: dict[str, Any]) -> None:
    found = see(moment["robot"], moment["at"])
    for name, kg in moment.get("weights", {}).items():
        assert found.weight(name)["kg"] == pytest.approx(kg, abs=WEIGHT_KG)
    if "minutes" in moment:
        assert found.data["minutes_to_call"] == moment["minutes"]
    accepted = {name for name, row in found.met.items() if row["accepted"]}
    assert accepted == set(moment.get("accepted", ()))
    assert all(found.met[name]["verdict"] == "marginal" for name in accepted)
    deferred = {name for name, row in found.met.items() if row["verdict"] == "deferred"}
    assert deferred == set(moment.get("deferred", ()))
    for words in moment.get("warns", ()):
        assert any(said.startswith(words) for said in found.data["warns"]), found.data["warns"]


@every_moment
def test_each_block_names_entries_that_were_there(see: See, demo: Path, moment: dict[str, Any]) -> None:
    ticks = dict(rows(demo, "SELECT id, tick FROM entry"))
    robot_of = dict(rows(demo, "SELECT id, robot FROM entry"))
    (robot,) = (ident for ident, name in _robots(demo) if name == moment["robot"])
    for block in see(moment["robot"], moment["at"]).data["blocks"]:
        named = block["evidence"]
        assert named or block["requirement"] == "configuration", block
        assert all(ident in ticks and ticks[ident] < cut_ms(moment["at"]) for ident in named), block
        assert {robot_of[ident] for ident in named} <= {robot}, block


def _robots(book: Path) -> list[tuple[Any, ...]]:
    return rows(book, "SELECT subject, detail ->> 'name' FROM entry WHERE kind = 'robot'")


def test_a_configuration_that_is_not_fitted_names_the_entry_that_asks_for_it(see: See) -> None:
    (block,) = [row for row in see(TA, "06-13 15:24").data["blocks"] if row["requirement"] == "configuration"]
    assert block["evidence"]


def test_the_story_of_each_entry_named_is_the_one_told(see: See, demo: Path) -> None:
    """The reason's time is that of an entry it names."""
    for block in see(TA, "06-13 15:24").data["blocks"]:
        if "own blow on W1 15:22" in block["reason"]:
            marks = ",".join("?" * len(block["evidence"]))
            sql = f"SELECT count(*) FROM entry WHERE kind = 'hit' AND id IN ({marks}) AND happened = ?"
            assert rows(demo, sql, *block["evidence"], cut_ms("06-13 15:22") - 60_000) == [(1,)]


@pytest.mark.parametrize("at", ["06-13 10:30", "06-13 15:24"])
def test_without_a_robot_the_worst_of_all_decides(see: See, demo: Path, at: str) -> None:
    done = run("standing", str(demo), "--at", at)
    assert TA in done.stdout
    assert NS in done.stdout
    assert done.exit_code == max(see(TA, at).status, see(NS, at).status)


def test_the_worklist_clears_what_blocks_and_nothing_else(see: See, demo: Path) -> None:
    done = run("worklist", str(demo), TA, "--at", "06-13 15:24", "--json")
    (robot,) = json.loads(done.stdout)["robots"]
    assert Counter(name for job in robot["jobs"] for name in job["clears"]) == Counter(
        name for name, _ in see(TA, "06-13 15:24").blocks.elements()
    )
    assert done.exit_code == 1


@pytest.mark.parametrize(
    ("robot", "at"),
    [(TA, "06-13 10:30"), (TA, "06-13 15:24"), (NS, "06-13 12:56")],
)
def test_the_installed_command_says_the_same(see: See, demo: Path, robot: str, at: str) -> None:
    words = [str(INSTALLED), "standing", str(demo), robot, "--at", at, "--json"]
    done = subprocess.run(words, check=False, capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    assert seen(done.returncode, done.stdout) == see(robot, at)


@pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here")
def test_in_a_terminal_of_80_by_24(demo: Path, tmp_path: Path) -> None:
    screen = _screen(tmp_path, f"'{INSTALLED}' standing '{demo}' '{NS}' --at '06-13 15:24'; echo status $?")
    assert "NETTLE SPROCKET   NOT FIT   no fight entered; rest work: 5" in screen[0]
    assert max(map(len, screen)) <= 80
    blocks = [line.split(None, 1) for line in screen if line.startswith(("  RECHECK", "  DUE"))]
    assert [word for word, _ in blocks] == ["RECHECK", "DUE", "DUE", "DUE", "DUE"]
    assert blocks[0][1].startswith("joint bar bolts")
    assert "status 1" in screen


def _screen(folder: Path, command: str) -> list[str]:
    """What stands on the screen when the command has ended."""
    socket = str(folder / "tmux")
    tmux = ["tmux", "-S", socket, "-f", os.devnull]
    shell = f"clear; {command}; sleep 30"
    subprocess.run([*tmux, "new-session", "-d", "-x", "80", "-y", "24", shell], check=True, timeout=20)
    try:
        for _ in range(100):
            lines = _captured(tmux)
            if any(line.startswith("status ") for line in lines):
                return lines
            time.sleep(0.1)
        raise AssertionError(f"the command did not end: {_captured(tmux)}")
    finally:
        subprocess.run([*tmux, "kill-server"], check=False, capture_output=True, timeout=20)


def _captured(tmux: list[str]) -> list[str]:
    words = [*tmux, "capture-pane", "-p"]
    return subprocess.run(words, check=True, capture_output=True, text=True, timeout=20).stdout.splitlines()
