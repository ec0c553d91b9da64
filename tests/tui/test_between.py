"""What a screen shows while the robot is being judged is not kept once it is: nothing old stays on a sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import fastening, fighting, fitting, measuring
from pitcrew.bench.answering import answer
from pitcrew.bench.desk import Desk
from pitcrew.checklists import load
from pitcrew.logbook.writing import Draft
from tests.tui.driver import Driver, bench_at

SCREENS: dict[str, tuple[str, ...]] = {
    "home": (),
    "why": ("enter",),
    "fights": ("tab", "f"),
    "hits": ("tab", "f", "enter"),
    "stacks": ("tab", "s"),
    "measure": (*"float", "enter"),
    "joints": (*"hubs", "space", "r", "enter"),
    "parts": (*"wheel", "space", "3", "enter"),
    "swap": (*"wheel", "space", "3", "enter", "right", "right", "space"),
    "weight": ("tab", "w"),
    "checks": ("tab", "c"),
    "make safe": ("space",),
    "logbook": ("tab", "l"),
    "big": ("tab", "b"),
    "robot": ("tab", "r"),
}


def fresh(tmp_path: Path, name: str) -> Driver:
    """A bench at the demo's book at 15:24, in a folder of its own."""
    folder = tmp_path / name
    folder.mkdir()
    return bench_at(folder)


def elsewhere(bench: Driver) -> None:
    """What another window has written: a hard hit, a joint torqued, a gap read, a pack set, the first list answered."""
    desk = bench.session.desk()._replace(by="DV")
    case = bench.session.case()
    assert case is not None
    zone = next(zone.id for zone in case.defs.zones.values() if zone.name == "DR")
    joint = next(joint for joint in case.defs.joints.values() if joint.name == "hubs R")
    stack = next(stack for stack in case.defs.stacks.values() if stack.name == "weapon float")
    assert joint.target_nm is not None
    tool = next(tool.id for tool in case.defs.instruments.values() if tool.name == "ROD")
    acts: list[list[Draft]] = [
        fighting.hit(desk, [zone], fighting.GRADES["hard"], "taken"),
        fastening.torque(desk, joint.id, joint.target_nm),
        measuring.pieces(desk, [measuring.Read(stack.chains[0][0], 0.26207, tool, "262.07")]),
        fitting.packs_out(desk),
        answered(desk),
    ]
    for drafts in acts:
        if drafts:
            bench.book.append(drafts)


def answered(desk: Desk) -> list[Draft]:
    """Every line of the first list, signed by a second person."""
    safe = next(checklist for checklist in load() if checklist.id == "make safe")
    return [draft for line in safe.lines for draft in answer(desk, safe, line, "yes", second="PB")]


def to_the_top(bench: Driver, width: int, height: int) -> list[str]:
    """The screen with the keys on its first row, but for what says what was logged last."""
    rows = bench.keys(*["up"] * 40).screen(width, height)
    return rows[: height - 3]


@pytest.mark.parametrize("name", SCREENS)
def test_nothing_old_stays_on_a_screen_painted_while_the_robot_is_judged(tmp_path: Path, name: str) -> None:
    bench, other = fresh(tmp_path, "one"), fresh(tmp_path, "other")
    for each in (bench, other):
        each.keys(*SCREENS[name])
        each.screen()
    before = to_the_top(bench, 80, 24)
    assert to_the_top(other, 80, 24) == before
    elsewhere(bench)
    bench.shell.elsewhere(bench.session.news())
    bench.screen()
    steps = bench.session.judging()
    for count, _ in enumerate(steps):
        # Painted in the midst of it, as the program does after a key or a tick.
        if count % 7 == 0:
            bench.screen()
            bench.shell.answer()
    bench.shell.judged(bench.seconds)
    elsewhere(other)
    other.shell.elsewhere(other.session.news())
    other.settle()
    now = to_the_top(bench, 80, 24)
    assert now == to_the_top(other, 80, 24)
    assert now != before
    bench.book.close()
    other.book.close()
