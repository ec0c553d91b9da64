"""The lists that come with the program: they load from wherever it is installed, and ask what they must."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pitcrew import checklists
from pitcrew.checklists import load, load_all, unasked
from pitcrew.robot.checklist import Checklist, Line

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def shipped() -> dict[str, Checklist]:
    return {checklist.id: checklist for checklist in load()}


def line_of(checklist: Checklist, name: str) -> Line:
    return next(line for line in checklist.lines if line.id == name)


EACH_FIGHT = ["make safe", "test box", "before call"]
OTHER_MOMENTS = ["new event", "inspection", "charging", "close of day"]


def test_the_lists_of_each_fight_stand_in_the_order_of_the_turnaround(shipped: dict[str, Checklist]) -> None:
    assert list(shipped) == [*EACH_FIGHT, *OTHER_MOMENTS]
    assert [item.id for item in shipped.values() if item.each_fight] == EACH_FIGHT
    assert load_all() == (load(), ())


@pytest.mark.parametrize(
    ("checklist", "title", "good_for", "used_up_by"),
    [
        ("new event", "first robot on a new event", "one event", ("event_changed",)),
        ("inspection", "weigh-in and safety inspection", "one event", ("event_changed",)),
        ("charging", "pack charging", "one charge", ("pack_moved", "fight_ended")),
        ("close of day", "close of day", "one day", ("day_over",)),
    ],
)
def test_a_list_of_another_moment_says_how_long_it_stands(
    shipped: dict[str, Checklist], checklist: str, title: str, good_for: str, used_up_by: tuple[str, ...]
) -> None:
    found = shipped[checklist]
    assert (found.title, found.good_for, found.stale_when) == (title, good_for, used_up_by)


def test_a_list_of_another_moment_proves_no_safety_item(shipped: dict[str, Checklist]) -> None:
    box = shipped["test box"]
    assert unasked([box]) == ()
    assert unasked([box._replace(asked="when wanted")]) == ("weapon lock", "power cut-off", "power light", "failsafe")


def test_each_list_is_good_for_one_fight_and_signed_by_a_second_person(shipped: dict[str, Checklist]) -> None:
    for checklist in (shipped[name] for name in EACH_FIGHT):
        assert checklist.good_for == "one fight"
        assert "fight_ended" in checklist.stale_when
        assert checklist.second_person
    assert "function_part_moved" in shipped["test box"].stale_when


def test_the_lists_are_short_and_every_line_says_what_it_rests_on(shipped: dict[str, Checklist]) -> None:
    for checklist in shipped.values():
        assert 1 <= len(checklist.lines) <= 12
        assert len({line.id for line in checklist.lines}) == len(checklist.lines)
        for line in checklist.lines:
            assert line.ground.startswith(("event rule: ", "common practice: "))


def test_a_line_leaves_room_for_its_figure_and_initials_in_80_columns(shipped: dict[str, Checklist]) -> None:
    # Text begins in column 13; figure, initials and time stand from column 52.
    for checklist in shipped.values():
        assert [line.text for line in checklist.lines if len(line.text) > 38] == []


def test_every_safety_item_is_asked_before_each_fight(shipped: dict[str, Checklist]) -> None:
    before = (shipped["test box"], shipped["before call"])
    asked = {line.safety for checklist in before for line in checklist.lines}
    assert asked >= {"weapon lock", "power cut-off", "power light", "failsafe"}
    assert unasked(before) == ()
    assert unasked([shipped["make safe"]]) == ("power light", "failsafe")


def test_no_safety_line_is_skipped_or_answered_by_one_person_alone(shipped: dict[str, Checklist]) -> None:
    for checklist in shipped.values():
        for line in checklist.lines:
            if line.safety is not None:
                assert line.second and not line.may_skip


@pytest.mark.parametrize(
    ("checklist", "name", "figure", "rule"),
    [
        ("make safe", "weapon at rest", "spin-down, s", "spin_down_s"),
        ("test box", "spin-down", "spin-down, s", "spin_down_s"),
        ("inspection", "spin-down", "spin-down, s", "spin_down_s"),
        ("inspection", "power cut", "power cut, s", "power_cut_s"),
        ("test box", "power cut", "power cut, s", "power_cut_s"),
    ],
)
def test_timed_lines_are_held_against_the_seconds_of_the_event(
    shipped: dict[str, Checklist], checklist: str, name: str, figure: str, rule: str
) -> None:
    line = line_of(shipped[checklist], name)
    assert (line.figure, line.limit_from) == (figure, rule)


def test_the_test_box_drives_each_side_and_takes_the_radio_away(shipped: dict[str, Checklist]) -> None:
    box = shipped["test box"]
    assert "left" in line_of(box, "left side").text
    assert "right" in line_of(box, "right side").text
    assert line_of(box, "failsafe").safety == "failsafe"


def test_make_safe_waits_for_the_weapon_then_locks_then_cuts_the_power(shipped: dict[str, Checklist]) -> None:
    assert [line.id for line in shipped["make safe"].lines] == [
        "weapon at rest",
        "lock in",
        "power off",
        "edge covers",
        "on the cart",
    ]


def test_before_the_call_asks_what_the_queue_cannot_mend(shipped: dict[str, Checklist]) -> None:
    asked = {line.id for line in shipped["before call"].lines}
    assert asked >= {
        "lock in",
        "packs in",
        "plugs",
        "power light",
        "covers on",
        "tools out",
        "start-up order",
        "driver told",
    }
    order = line_of(shipped["before call"], "start-up order")
    assert order.text_from == "start_order"
    assert not line_of(shipped["before call"], "driver told").may_skip


@pytest.mark.parametrize(
    ("checklist", "words"),
    [
        ("make safe", ("plane of the weapon", "Eye protection", "lift table", "energy", "puffed", "cut")),
        ("test box", ("plane of the weapon", "Eye protection", "lift table", "box open", "puffed")),
        ("before call", ("plane of the weapon", "Eye protection", "lift table", "quarantined", "cut")),
        ("inspection", ("plane of the weapon", "Eye protection", "lift table", "energy", "quarantined", "shut")),
        ("charging", ("puffed", "never charged", "quarantined", "stand clear", "toxic", "People first")),
        ("close of day", ("puffed", "plane of the weapon", "Eye protection", "lift table", "lock in")),
        ("new event", ("live weapon", "lift table", "first pack")),
    ],
)
def test_cautions_name_the_dangers_of_their_moment(
    shipped: dict[str, Checklist], checklist: str, words: tuple[str, ...]
) -> None:
    chosen = shipped[checklist]
    cautions = [*chosen.cautions, *(line.caution for line in chosen.lines if line.caution)]
    said = " ".join(cautions)
    assert [word for word in words if word not in said] == []
    assert chosen.cautions[-1].endswith(" this list.")
    assert "event" in chosen.cautions[-1] and "overrule" in chosen.cautions[-1]


def run_away_from_home(site: Path, code: str) -> str:
    """Run code with `site` ahead of all else, from a folder that holds no checklists."""
    elsewhere = site / "elsewhere"
    elsewhere.mkdir(exist_ok=True)
    command = [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(site)!r}); {code}"]
    return subprocess.run(command, cwd=elsewhere, check=True, capture_output=True, text=True).stdout


@pytest.mark.parametrize("lists", ["pitcrew/_shipped/checklists", "checklists"])
def test_the_lists_are_found_inside_the_package_and_beside_it(tmp_path: Path, lists: str) -> None:
    for name in (
        "__init__.py",
        "errors.py",
        "checklists/__init__.py",
        "checklists/keys.py",
        "robot/__init__.py",
        "robot/checklist.py",
    ):
        target = tmp_path / "pitcrew" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / "pitcrew" / name, target)
    shutil.copytree(ROOT / "checklists", tmp_path / lists)
    code = "from pitcrew import checklists as c; print(c.__file__); print(*[x.id for x in c.load()], sep=';')"
    assert run_away_from_home(tmp_path, code).splitlines() == [
        str(tmp_path / "pitcrew" / "checklists" / "__init__.py"),
        ";".join([*EACH_FIGHT, *OTHER_MOMENTS]),
    ]


def test_lists_missing_from_an_installation_are_said_and_not_raised(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checklists, "__file__", str(tmp_path / "pitcrew" / "checklists" / "__init__.py"))
    good, problems = load_all()
    assert good == ()
    assert [problem.message for problem in problems] == ["the shipped checklists are missing."]


def test_reading_the_lists_loads_nothing_heavy() -> None:
    code = (
        "import json, sys; from pitcrew.checklists import load; load(); "
        "print(json.dumps([m for m in ('pydantic', 'pint', 'sqlite3', 'sqlite_utils', 'textual', 'difflib') "
        "if m in sys.modules]))"
    )
    out = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True)
    assert json.loads(out.stdout) == []
