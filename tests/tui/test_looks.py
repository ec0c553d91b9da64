"""Parts looked at one by one: what each key writes, what is left, and that the driver's word is not passed over."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import correcting, fitting, mending
from pitcrew.readiness.jobs import Job
from pitcrew.tui.pages.looks import Looks
from tests.tui.driver import Driver, bench_at


def at_job(tmp_path: Path, words: str, at: str = "15:24", **named: str) -> Driver:
    """The bench with the home row of a job at the keys."""
    driver = bench_at(tmp_path, at, **named)
    while words not in here(driver):
        before = driver.shell.page.row
        driver.keys("down")
        assert driver.shell.page.row > before, words
    driver.count = 0
    return driver


def here(driver: Driver) -> str:
    return next(row for row in driver.screen() if row.startswith(">"))


def looks(driver: Driver) -> Looks:
    page = driver.shell.page
    assert isinstance(page, Looks)
    return page


def labels(driver: Driver) -> list[str]:
    return [item.label for item in driver.shell.page.answers().items]


def due(driver: Driver) -> set[str]:
    assert driver.session.view is not None
    return {item.subject for item in driver.session.view.standing.blocking if item.group == "look"}


def test_the_parts_of_the_drive_at_15_24(tmp_path: Path) -> None:
    rows = at_job(tmp_path, "drive motor R").keys("space").screen()
    assert rows[2:8] == [
        "  verdict   look at                  why",
        "> DUE       drive motor R           driver says: smoke, right rear, 15:23 DV",
        "  DUE       gearbox R               driver says: pulls right after the wall, 1..",
        "  DUE       wheel 3 (front R)       driver says: pulls right after the wall, 1..",
        "  DUE       wheel 4 (rear R)        driver says: pulls right after the wall, 1..",
        "            0 of 4 looked at",
    ]
    assert rows[9].startswith("-- drive motor 2 ---")
    assert rows[10] == "  why       driver says: smoke, right rear, 15:23 DV"
    assert rows[21].startswith("  answer    [ looked at, good ]   found something")


def test_four_parts_take_five_keys_and_one_to_leave(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R")
    asked = {item.subject for item in driver.shell.pages[0].job().clears}  # type: ignore[attr-defined]
    driver.keys(*["space"] * 5)
    assert driver.count == 5
    entries = driver.newest(4)
    assert {entry.subject for entry in entries} == asked
    assert {entry.kind for entry in entries} == {"looked_at"}
    assert len({entry.act for entry in entries}) == 4
    assert not due(driver) & asked
    assert here(driver) == ">           4 of 4 looked at"
    assert driver.screen()[21] == "  answer    [ done ]"
    assert driver.keys("space").shell.page.name == "home"
    assert driver.newest(4) == entries


def test_a_look_stands_in_its_row_and_is_not_asked_again(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space", "space")
    (entry,) = driver.newest()
    row = next(row for row in driver.screen() if "drive motor R" in row)
    assert row == f"  pass      drive motor R           looked at 15:24 MK  #{entry.n}"
    driver.keys("up")
    assert labels(driver)[0] == "next"
    driver.keys("space")
    assert driver.newest() == (entry,)
    assert "gearbox R" in here(driver)


def test_the_end_is_not_done_while_a_part_is_left(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space", "space", "down", "down", "down")
    assert here(driver) == ">           1 of 4 looked at"
    assert driver.shell.page.answers().first is None
    driver.keys("space")
    assert "3 not looked at yet" in driver.screen()[21]
    assert looks(driver).row == 4


def test_a_part_passed_over_is_come_back_to(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space", "down", "space", "space", "space")
    assert "drive motor R" in here(driver)
    driver.keys("space")
    assert here(driver) == ">           4 of 4 looked at"


def test_what_the_driver_named_is_never_good_with_the_rest(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space")
    assert labels(driver) == ["looked at, good", "found something"]


def test_parts_that_nobody_named_can_be_good_at_once(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "weapon shaft").keys("space")
    assert driver.screen()[3] == "! Lock in before any hand. Out of the plane of the weapon. Eye protection."
    assert labels(driver) == ["looked at, good", "found something", "all 5 good"]
    driver.keys("space")
    assert labels(driver)[-1] == "all 4 good"
    driver.keys("left", "space")
    assert len({entry.act for entry in driver.newest(4)}) == 1
    assert here(driver) == ">           5 of 5 looked at"


def test_found_something_opens_the_form_and_its_finding_counts_as_the_look(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space")
    part = looks(driver).parts[0].id
    driver.keys("right", "space")
    assert driver.shell.page.name == "found"
    driver.session.write(mending.found(driver.session.desk(), part, _place(driver, part), "shorted"))
    driver.settle()
    driver.keys("backspace")
    row = next(row for row in driver.screen() if "drive motor R" in row)
    assert "found 15:24 MK" in row
    assert "1 of 4 looked at" in driver.text()


def _place(driver: Driver, part: str) -> str:
    case = driver.session.case()
    assert case is not None
    return case.scope()[part] or ""


def test_what_was_found_on_a_part_before_stands_behind_it(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space")
    part = looks(driver).parts[0].id
    session = driver.session
    note = "[/] brush [red]dust"
    finding = session.write(mending.found(session.desk(), part, _place(driver, part), "worn", note=note))[0]
    session.write(mending.mended(session.desk(), finding.id, "found straight"))
    driver.settle()
    text = driver.text()
    assert f"  before    #{finding.n} 15:24 MK" in text
    assert "[/] brush" in text
    assert "[red]dust" in text
    assert "found straight 15:24" in text


def test_a_correction_of_an_earlier_look_is_no_look(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space")
    page = looks(driver)
    case = driver.session.case()
    assert case is not None
    earlier = case.newest("looked_at", page.parts[0].id)
    assert earlier is not None
    driver.session.write(correcting.correct(driver.session.desk(), earlier.id, {}, "left drive, not right"))
    driver.settle()
    assert page.looked(page.parts[0]) is None
    assert "0 of 4 looked at" in driver.text()


def test_packs_are_looked_at_by_case_and_cells(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    case = driver.session.case()
    assert case is not None
    chosen = case.chosen()
    assert chosen is not None
    session = driver.session
    session.write(fitting.packs_in(session.desk(), str(chosen.detail["pack_set"])))
    session.write([session.desk().draft("hit", _box(driver), {"source": "taken"}, grade=3)])
    driver.settle()
    assert driver.session.view is not None
    job = next(job for job in driver.session.view.jobs if job.action == "look at packs")
    driver.shell.show(Looks(driver.session, job))
    assert labels(driver)[0] == "case whole, cells within"
    names = [row[12:15] for row in driver.screen()[3 : 3 + len(job.clears)]]
    assert all(name.startswith("P") for name in names)
    driver.keys("space")
    (entry,) = driver.newest()
    assert (entry.kind, entry.subject) == ("looked_at", job.clears[0].subject)


def _box(driver: Driver) -> str:
    case = driver.session.case()
    assert case is not None
    return next(zone.id for zone in case.defs.zones.values() if zone.name == "BT")


def test_the_screen_agrees_with_the_standing(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "weapon shaft").keys("space", "space")
    assert driver.session.view is not None
    now = {item.subject: item for item in driver.session.view.standing.requirements if item.group == "look"}
    rows = driver.screen()[4:9]
    for part, row in zip(looks(driver).parts, rows, strict=True):
        item = now[part.id]
        assert row[2:11].strip() == (item.verdict.upper() if item.blocks else item.verdict)


def test_a_part_out_of_the_robot_is_still_shown_and_refused_by_nobody(tmp_path: Path) -> None:
    driver = at_job(tmp_path, "drive motor R").keys("space")
    part = looks(driver).parts[0].id
    driver.session.write(fitting.part_out(driver.session.desk(), _place(driver, part)))
    driver.settle()
    assert "drive motor 2" in driver.screen()[3]
    driver.keys("space")
    assert driver.newest()[0].subject == part


def test_an_empty_job_is_done(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    driver.shell.show(Looks(driver.session, Job(2, "look at each", "", None, (), 1)))
    assert here(driver) == ">           0 of 0 looked at"
    assert driver.keys("space").shell.page.name == "home"


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40), (200, 60), (40, 10)])
def test_every_size_keeps_the_row_at_the_keys(tmp_path: Path, width: int, height: int) -> None:
    driver = at_job(tmp_path, "weapon shaft").keys("space")
    for _ in range(6):
        rows = driver.screen(width, height)
        assert len(rows) == height
        assert all(len(row) <= width for row in rows)
        assert sum(row.startswith(">") for row in rows) == 1
        driver.keys("down")
