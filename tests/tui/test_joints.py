"""Joints on the screen: the list of a zone, what each answer writes, and that the screen says what is judged."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.joints_now import joint_now, zones_of
from pitcrew.bench.standing import view
from pitcrew.logbook.writing import Draft
from pitcrew.tui.page import Answers
from tests.tui.driver import Driver, bench_at, empty_bench


def at_joints(tmp_path: Path, at: str = "15:24", **crew: str) -> Driver:
    return bench_at(tmp_path, at, **crew).keys("tab", "j")


def joint_id(driver: Driver, name: str) -> str:
    assert driver.session.view is not None
    return next(item.id for item in driver.session.view.case.defs.joints.values() if item.name == name)


def go_to(driver: Driver, name: str) -> Driver:
    ident = joint_id(driver, name)
    while driver.shell.page.key() != ident:
        before = driver.shell.page.row
        driver.keys("down")
        assert driver.shell.page.row > before, name
    return driver


def here(driver: Driver) -> str:
    (row,) = [row for row in driver.screen() if row.startswith(">")]
    return row


def verdict(driver: Driver, name: str, group: str = "joint") -> str:
    assert driver.session.view is not None
    key = f"{group}:{joint_id(driver, name)}"
    return next(item.verdict for item in driver.session.view.standing.requirements if item.key == key)


def answers(driver: Driver) -> Answers:
    return driver.shell.page.answers()


def labels(driver: Driver) -> list[str]:
    return [item.label for item in answers(driver).items]


def test_the_first_zone_that_blocks_is_open(tmp_path: Path) -> None:
    rows = at_joints(tmp_path).screen()
    assert rows[2] == "  zones     [ W1 2 ]   W2 -   UL 1   UR -   DL -   DR 2   AF 1   AS -   AR -"
    assert rows[3] == "  verdict   joint       each one  thread            N m  limits    locking"
    assert rows[4] == "> RECHECK   shaft cap L oooo      M8x1.25, 10.9      25  22.5-27.5 wedge washers"
    assert rows[7] == "            # holds   o not enough now: see why   . open   x mark turned"
    assert rows[9] == "! Lock in before any hand. Out of the plane of the weapon. Eye protection."


def test_every_joint_of_the_day_shows_the_verdict_it_was_given(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:47")
    seen = driver.session.view
    assert seen is not None
    judged = view(driver.session.evidence, driver.session.robot, driver.session.now(), driver.session.source.checklists)
    driver.shell.page.row = 0
    for _, joints in zones_of(seen):
        for ident in joints:
            assert driver.shell.page.key() == ident
            about = [r for r in judged.standing.requirements if r.group in ("joint", "locking") and r.subject == ident]
            words = {r.verdict.upper() if r.blocks else r.verdict for r in about}
            (row,) = [row for row in driver.screen() if row.startswith(">")]
            assert row[2:12].strip() in words
            if any(item.blocks for item in about):
                assert row[2:12].strip().isupper()
            driver.keys("down")


def test_zones_are_turned_over_to_their_first_joint_that_blocks(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40").keys(*["pagedown"] * 5)
    assert "[ DR 3 ]" in driver.screen()[2]
    assert driver.shell.page.key() == joint_id(driver, "hubs R")
    driver.keys("pagedown", "pagedown", "pagedown", "pagedown", "pagedown")
    assert "[ AR 1 ]" in driver.screen()[2]
    driver.keys(*["pageup"] * 20)
    assert "[ W1 2 ]" in driver.screen()[2]


def test_what_primer_will_do_is_said_before_the_answer(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:40"), "motor R")
    assert here(driver) == "> RECHECK   motor R   ....      M5x0.8, 8.8           4  3.6-4.4   open"
    text = driver.text()
    assert "! Not yet: screw clear R fails, -1.00 mm" in text
    assert "  wrench    TW1 at 4 N m (35 in-lb): lands 3.76 to 4.24, inside the limits" in text
    assert "  expect    primer: sets in 15 min, 15 to spare at staging 16:10: pass" in text
    assert "            no primer: sets in 45 min, 15 short at staging 16:10: FAIL" in text
    assert answers(driver).first is None
    before = driver.newest()
    driver.keys("space")
    assert driver.newest() == before
    assert "a caution stands: choose first" in driver.text()


def test_minutes_to_spare_follow_the_clock(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:40"), "motor R")
    driver.later(10)
    assert "primer: sets in 15 min, 5 to spare at staging 16:10: pass" in driver.text()


def test_with_primer_and_a_second_person(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:45"), "motor R")
    driver.count = 0
    driver.keys("right", "space").type("mk").keys("enter")
    assert "who did it cannot be the second person" in driver.text()
    driver.keys("backspace", "backspace").type("ew").keys("enter")
    (entry,) = driver.newest()
    assert (entry.kind, entry.by) == ("torqued", "MK")
    assert entry.detail["torque_nm"] == 4.0
    assert (entry.detail["primer"], entry.detail["locker"], entry.detail["second"]) == (True, True, "EW")
    assert (verdict(driver, "motor R"), verdict(driver, "motor R", "locking")) == ("pass", "pass")
    assert driver.count == 5 + 5


def test_without_primer_it_fails_just_as_it_was_said(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:45"), "motor R")
    driver.keys("right", "right", "space").type("ew").keys("enter")
    assert "primer" not in driver.newest()[0].detail
    assert verdict(driver, "motor R", "locking") == "fail"
    go_to(driver.keys("pageup"), "motor R")
    assert driver.row("> FAIL").rstrip().endswith("sets 16:30")


def test_all_clicked_is_one_key_and_the_next_joint_is_there(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40")
    assert labels(driver)[0] == "4 of 4 at 25 N m"
    driver.count = 0
    driver.keys("space")
    assert driver.count == 1
    (entry,) = driver.newest()
    assert (entry.kind, entry.subject, entry.detail["fasteners"]) == ("torqued", joint_id(driver, "shaft cap L"), "all")
    assert verdict(driver, "shaft cap L") == "pass"
    assert driver.shell.page.key() == joint_id(driver, "shaft cap R")
    driver.keys("space")
    assert verdict(driver, "shaft cap R") == "pass"
    # Nothing blocks here any more: the keys stay, and Space says no more.
    before = driver.newest()
    driver.keys("space")
    assert driver.newest() == before
    assert "it holds" in driver.text()


def test_marks_come_first_where_only_they_were_disturbed(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path), "hubs R")
    assert here(driver).startswith("> RECHECK   hubs R    oooooooo")
    assert labels(driver)[0] == "marks good"
    driver.keys("space")
    assert driver.newest()[0].kind == "marks_good"
    assert verdict(driver, "hubs R") == "pass"
    assert driver.shell.page.key() == joint_id(driver, "motor R")


def test_no_marks_are_good_on_an_open_joint(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40")
    assert "marks good" not in labels(driver)
    assert "opened" not in labels(driver)


def test_only_some(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40").keys("right", "space")
    assert "which of 1-4?" in driver.text()
    before = driver.newest()
    driver.type("5").keys("enter")
    assert "the joint has fasteners 1 to 4" in driver.text()
    assert driver.newest() == before
    driver.keys("backspace").type("1,3").keys("enter")
    assert driver.newest()[0].detail["fasteners"] == [1, 3]
    assert here(driver).startswith("> RECHECK   shaft cap L #.#.")
    # What is still open is offered.
    driver.keys("right", "space")
    assert driver.screen()[-2].startswith("  fasteners 2,4_")
    driver.keys("enter")
    assert verdict(driver, "shaft cap L") == "pass"


def test_opened(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path), "side armour")
    assert labels(driver)[:2] == ["marks good", "opened"]
    driver.keys("right", "right", "space")
    assert driver.newest()[0].kind == "opened"
    assert here(driver).startswith("> RECHECK   side armour ............")
    driver.keys("space")
    assert verdict(driver, "side armour") == "pass"
    assert "use 2 of 3" in go_to(driver.keys("pageup"), "side armour").row("> pass")


def test_a_nut_used_up_wants_new_ones_first(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path), "side armour")
    for _ in range(3):
        while labels(driver)[0] != "marks good":
            driver.keys("space")
        driver.keys("right", "right", "space", "space")
    assert verdict(driver, "side armour", "locking") == "fail"
    assert driver.row("> FAIL").rstrip().endswith("use 4 of 3")
    assert labels(driver)[0] == "12 of 12 at 20 N m, new ones"
    driver.keys("space")
    assert driver.newest()[0].detail["new_fasteners"] is True
    assert verdict(driver, "side armour", "locking") == "pass"


def test_a_bare_figure_is_the_torque_of_the_joint_at_hand(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:40"), "hubs R")
    driver.count = 0
    driver.type("22").keys("enter")
    assert driver.count == 3
    (entry,) = driver.newest()
    assert (entry.subject, entry.detail["torque_nm"]) == (joint_id(driver, "hubs R"), 22.0)
    assert verdict(driver, "hubs R") == "pass"


def test_a_figure_in_another_unit_or_of_another_sort(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:40"), "gearbox R")
    driver.type("84 in-lb").keys("enter")
    assert driver.newest()[0].detail["torque_nm"] == pytest.approx(9.4908, abs=1e-4)
    assert verdict(driver, "gearbox R") == "pass"


def test_who_signs_later_signs_the_same_torque(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:45"), "motor R")
    driver.type("4")
    driver.keys("enter")
    (torque,) = driver.newest()
    assert verdict(driver, "motor R") == "due"
    go_to(driver.keys("pageup"), "motor R")
    assert labels(driver)[0] == "second person signs"
    driver.keys("right", "space").type("ew").keys("enter")
    (signed,) = driver.newest()
    assert (signed.kind, signed.by, signed.detail) == ("signed", "EW", {"rests_on": [torque.id]})
    assert verdict(driver, "motor R") == "pass"
    assert "15:45 MK+EW" in go_to(driver.keys("pageup"), "motor R").text()


def test_nobody_of_another_crew_signs(tmp_path: Path) -> None:
    driver = go_to(at_joints(tmp_path, "15:45"), "motor R").keys("right", "space")
    before = driver.newest()
    driver.type("zz").keys("enter")
    assert "nobody in the crew has the initials" in driver.text()
    assert driver.newest() == before


def test_a_finding_is_told_from_here(tmp_path: Path) -> None:
    driver = at_joints(tmp_path)
    driver.keys(*["right"] * labels(driver).index("found"), "space")
    assert driver.shell.page.name == "found"


def test_enter_opens_the_row_and_comes_back(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40").keys("enter")
    assert driver.shell.page.name == "why"
    driver.keys("backspace")
    assert driver.shell.page.name == "joints"
    go_to(driver, "upright R").keys("enter")
    assert driver.shell.page.name == "trend"


def test_a_joint_is_found_by_its_name(tmp_path: Path) -> None:
    driver = bench_at(tmp_path).type("gearbox r")
    while not any(row.startswith("> show joint gearbox R") for row in driver.screen()):
        driver.keys("down")
    driver.keys("enter")
    assert driver.shell.page.key() == joint_id(driver, "gearbox R")


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40), (200, 60), (40, 10)])
def test_it_keeps_its_place_at_every_size(tmp_path: Path, width: int, height: int) -> None:
    driver = go_to(at_joints(tmp_path, "15:47"), "motor R")
    rows = driver.screen(width, height)
    assert len(rows) == height and max(map(len, rows)) <= width
    assert all(row.isascii() for row in rows)
    here = [row for row in rows if row.startswith("> FAIL      ")]
    assert len(here) == 1 and "motor R" in here[0]


def test_with_room_every_zone_stands_in_one_list(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:47")
    text = driver.text(120, 60)
    view_now = driver.session.view
    assert view_now is not None
    for joint in view_now.case.defs.joints.values():
        zone = view_now.case.defs.zones[joint.zone].name
        assert f"{zone} {joint.name} " in text
    assert "15:47 MK+EW, new" in text


def test_names_are_shown_as_they_were_typed(tmp_path: Path) -> None:
    driver = at_joints(tmp_path, "15:40")
    joint = driver.session.evidence.facts("joint", joint_id(driver, "shaft cap L"))
    entry = next(joint).entry
    name = "[red]cap[/red] \x1b[31mL"
    driver.session.write(
        [Draft("joint", entry.subject, "MK", robot=entry.robot, detail={**entry.detail, "name": name[:12]})]
    )
    driver.settle()
    assert "[red]cap[/re" in driver.text()
    assert "\x1b" not in driver.text()


def test_an_empty_book(tmp_path: Path) -> None:
    driver = empty_bench(tmp_path).keys("tab", "j", "space", "enter", "down", "pagedown")
    assert "no robot in this book yet" in driver.text()


def test_a_robot_without_joints(tmp_path: Path) -> None:
    driver = empty_bench(tmp_path)
    driver.session.write([Draft("robot", "R", "MK", detail={"name": "BARE"})])
    driver.session.choose("R")
    driver.settle()
    driver.keys("tab", "j", "space", "enter", "down", "pagedown")
    assert "  joints    none in this robot yet." in driver.text()


def test_painting_again_works_nothing_out_again(tmp_path: Path) -> None:
    driver = at_joints(tmp_path)
    seen = driver.session.view
    assert seen is not None
    driver.screen()
    first = joint_now(seen, driver.shell.page.key())
    driver.screen()
    assert joint_now(seen, driver.shell.page.key()) is first
