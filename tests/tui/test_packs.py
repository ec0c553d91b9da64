"""Packs on the screen: what each set and pack is at, what each answer writes, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import fitting, mending, packing
from pitcrew.bench.packing import PackRead
from pitcrew.tui.pages.packs import Packs
from tests.tui.driver import Driver, bench_at, empty_bench


def packs_at(tmp_path: Path, at: str, name: str = "", robot: str = "TALLOW ANVIL") -> Driver:
    """The packs at a moment of the demo's day, the keys at a set or a pack; no key counted yet."""
    driver = bench_at(tmp_path, at, robot)
    driver.shell.show(Packs(driver.session, ident(driver, name) if name else None))
    assert not name or f" {name} " in here(driver), driver.text()
    return driver


def ident(driver: Driver, name: str) -> str:
    """The id of a part or a set by its name."""
    assert driver.session.view is not None
    case = driver.session.view.case
    sets = {item.name: item.id for item in case.defs.pack_sets.values()}
    parts = {str(fact.detail["name"]): fact.subject for fact in case.evidence.definitions("part", case.robot)}
    return {**parts, **sets}[name]


def here(driver: Driver) -> str:
    return next(row for row in driver.screen() if row.startswith(">"))


def labels(driver: Driver) -> list[str]:
    return [item.label for item in driver.shell.page.answers().items]


def to(driver: Driver, label: str) -> Driver:
    """The bench with an answer in brackets."""
    driver.patient = False
    for _ in range(12):
        found = driver.shell.answer()
        if found is not None and found.label == label:
            driver.patient = True
            return driver
        driver.keys("right")
    raise AssertionError((label, driver.text()))


def written(driver: Driver, since: int) -> list[tuple[str, str]]:
    """Every entry after a number, oldest first: its kind, and the pack by name."""
    assert driver.session.view is not None
    case = driver.session.view.case
    names = {fact.subject: str(fact.detail["name"]) for fact in case.evidence.definitions("part", case.robot)}
    newer = [entry for entry in driver.newest(20) if entry.n > since]
    return [(entry.kind, names.get(entry.subject, "")) for entry in reversed(newer)]


def last(driver: Driver) -> int:
    """The number of the newest entry."""
    return driver.newest()[0].n


def test_a_set_that_cannot_make_the_call_says_so_at_15_35(tmp_path: Path) -> None:
    rows = packs_at(tmp_path, "15:35", "set 1").screen()
    assert rows[2:10] == [
        "  verdict   set           state                ready",
        "  DUE       set 2 with P9 full                 now, chosen",
        "> too late  set 1         cooling till 15:44   16:24, too late",
        "  away      set 2         P7 quarantined       -",
        "            pack          state                lowest apart  mOhm x new cycles",
        "            P5            full                 4.19 V     -   2.3  1.21     29",
        "            P6            full                 4.19 V     -   2.3  1.21     29",
        "            P8            full                 4.19 V     -   2.3  1.21     29",
    ]
    assert "  ready     16:24, call 16:07: too late; cool at 15:44, then 40 min of charging" in rows


def test_the_cautions_of_lithium_packs_stand_above_the_answers(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "10:52", "set 1")
    text = " ".join(row.strip("! ") for row in driver.screen())
    assert "Charge attended" in text
    assert "fire-resistant" in text
    assert "never charged, outside, watched. The event's rules overrule." in text
    shown = driver.screen()
    caution = next(index for index, row in enumerate(shown) if row.startswith("! Charge attended"))
    assert caution < next(index for index, row in enumerate(shown) if row.startswith("  answer"))


def test_packs_come_out_with_heat_and_what_was_used_in_one_line(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:24", "set 1")
    begun = last(driver)
    to(driver, "packs out").keys("space").type("45 C 3.9 Ah")
    assert "45 deg C, 3.9 Ah used" in driver.text()
    assert last(driver) == begun
    driver.keys("enter")
    names = ["P1", "P2", "P3", "P4"]
    assert written(driver, begun) == [
        *(("removed", name) for name in names),
        *(("pack_read", name) for name in names),
    ]
    assert len({entry.act for entry in driver.newest(8)}) == 1
    assert "cooling till 15:39" in driver.row("set 1         ")


def test_packs_out_of_the_arena_are_one_key_and_nothing_typed(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:24", "set 1")
    begun = last(driver)
    to(driver, "packs out").keys("space", "enter")
    assert written(driver, begun) == [("removed", name) for name in ("P1", "P2", "P3", "P4")]


def test_the_charge_stands_on_the_line_already_and_takes_two_keys(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "10:52", "set 1").later(14)
    begun = last(driver)
    assert driver.screen()[21].startswith("  answer    [ on charge ]")
    driver.keys("space")
    assert "8 A 5.2 Ah watched MK" in driver.text()
    driver.keys("enter")
    assert driver.count == 2
    assert written(driver, begun) == [("charge_started", name) for name in ("P1", "P2", "P3", "P4")]
    detail = driver.newest()[0].detail
    assert detail == {"current_a": 8.0, "to_put_back_coulomb": pytest.approx(18720.0), "watched_by": "MK"}
    # 5.2 Ah at 8 A are 39 minutes, and a tail of ten.
    assert "on charge till 11:55" in here(driver)
    assert labels(driver)[0] == "full"


def test_warm_packs_are_not_charged_without_an_arrow(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "10:52", "set 1")
    begun = last(driver)
    assert driver.shell.page.answers().first is None
    driver.keys("space")
    assert "warm (above 30 deg C): let them cool till 11:05" in driver.text()
    assert last(driver) == begun
    driver.keys("right", "space")
    assert "warm: let them cool till 11:05" in driver.text()


def test_packs_in_the_box_that_was_hit_are_looked_at_first(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "12:28", "P6")
    begun = last(driver)
    assert "It was in the box that was hit: look first" in driver.row("  state     cool")
    assert driver.screen()[21].startswith("  answer    [ cases whole, looked at ]")
    driver.keys("space")
    assert written(driver, begun) == [("looked_at", "P6")]
    assert "hit: look first" not in driver.text()


def test_a_set_that_was_hit_is_looked_at_without_the_pack_put_away(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "12:28", "set 2")
    begun = last(driver)
    driver.keys("space")
    assert written(driver, begun) == [("looked_at", name) for name in ("P5", "P6", "P8")]
    assert driver.count == 1


def test_a_dented_pack_is_refused_with_its_sentence_and_nothing_is_written(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "12:28", "P6")
    session = driver.session
    place = next(p.id for p in session.desk().definitions().positions.values() if p.name == "pack 2")
    session.write(mending.found(session.desk(), ident(driver, "P6"), place, "dented"))
    driver.settle()
    begun = last(driver)
    driver.type("charge P6 8 A 4.4 Ah").keys("enter")
    assert "P6 is dented, and that is not put right" in driver.text()
    assert last(driver) == begun


def test_a_pack_in_quarantine_is_only_read(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "12:28", "P7")
    assert "quarantined" in here(driver)
    assert labels(driver) == ["read"]


def test_a_pack_goes_into_quarantine_and_out_of_its_place(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:24", "P2")
    begun = last(driver)
    to(driver, "quarantine").keys("space")
    assert written(driver, begun) == [("removed", "P2")]
    assert driver.newest()[0].detail == {"to": "quarantine"}
    assert "quarantined" in here(driver)


def test_off_charge_full_with_the_lowest_cell(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "P9")
    begun = last(driver)
    assert driver.screen()[21].startswith("  answer    [ full ]")
    driver.keys("space").type("4.19 V").keys("enter")
    assert driver.count == 2 + len("4.19 V")
    assert written(driver, begun) == [("charge_ended", "P9")]
    assert driver.newest()[0].detail == {"to": "full", "lowest_v": 4.19}
    assert "full                 4.19 V" in here(driver)


def test_a_set_to_storage_is_no_longer_ready(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "set 1")
    to(driver, "storage").keys("space").type("3.80 V").keys("enter")
    assert here(driver).split()[:5] == [">", "set", "1", "storage", "?"]


@pytest.mark.parametrize(("text", "says"), [("16.8 V", "no single cell"), ("8 A", "has no place here")])
def test_what_cannot_be_of_a_pack_is_refused_and_stays_on_the_line(tmp_path: Path, text: str, says: str) -> None:
    driver = packs_at(tmp_path, "13:30", "P6")
    begun = last(driver)
    to(driver, "read").keys("space").type(text).keys("enter")
    assert says in driver.text()
    assert text in driver.row(" read ")
    assert last(driver) == begun


def test_figures_typed_alone_are_of_the_row_at_the_keys(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:35", "set 1")
    begun = last(driver)
    driver.type("29 C")
    assert "> set 1 read 29 C" in driver.text()
    driver.keys("enter")
    assert written(driver, begun) == [("pack_read", name) for name in ("P1", "P2", "P3", "P4")]
    # Cool now: full 40 minutes from now, no longer from 15:44.
    assert "16:15, too late" in here(driver)


def test_every_cell_shows_how_far_they_are_apart(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "P6")
    driver.type("4.18 4.19 4.19 4.15 4.20 4.18 V").keys("enter")
    assert "4.15 V  0.05" in here(driver)


def test_another_set_is_chosen_and_then_put_in(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "set 1")
    begun = last(driver)
    assert driver.screen()[21].startswith("  answer    [ choose set 1 ]")
    driver.keys("space")
    assert [entry.kind for entry in driver.newest(last(driver) - begun)] == ["chosen"]
    assert "set 1 " in driver.screen()[3]
    driver.shell.show(Packs(driver.session, ident(driver, "set 1")))
    assert driver.screen()[21].startswith("  answer    [ set 1 in ]")
    driver.keys("space")
    assert written(driver, begun)[1:] == [("fitted", name) for name in ("P1", "P2", "P3", "P4")]
    assert "  pass      set 1" in driver.text().replace(">", " ")


def test_volts_read_before_a_fight_are_no_volts_of_now(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:35", "P2")
    assert "4.18" not in here(driver)


def test_the_set_of_the_fight_before_is_not_chosen_for_this_one(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "set 2")
    assert "no packs chosen for this fight" in driver.text()
    assert "chosen" not in here(driver)


@pytest.mark.parametrize(("at", "robot"), [("15:35", "TALLOW ANVIL"), ("10:52", "NETTLE SPROCKET")])
def test_the_row_of_the_set_agrees_with_the_standing(tmp_path: Path, at: str, robot: str) -> None:
    driver = packs_at(tmp_path, at, robot=robot)
    assert driver.session.view is not None
    item = next(item for item in driver.session.view.standing.requirements if item.group == "packs")
    assert here(driver)[2:11].strip() == (item.verdict.upper() if item.blocks else item.verdict)
    assert here(driver).endswith("chosen")


def test_home_leads_to_the_packs_that_want_charging(tmp_path: Path) -> None:
    driver = bench_at(tmp_path, "15:35")
    session = driver.session
    session.write(fitting.choose_packs(session.desk(), ident(driver, "set 1")))
    driver.settle()
    driver.shell.page.row = 0
    driver.count = 0
    assert "charge set 1" in here(driver)
    assert "cool at 15:44" in here(driver)
    assert "Charge attended" in driver.text()
    assert labels(driver) == ["on charge", "packs"]
    assert driver.shell.page.answers().first is None
    to(driver, "packs").keys("space")
    assert driver.shell.page.name == "packs"
    assert here(driver).startswith("> FAIL      set 1 ")


def test_a_name_with_marks_in_it_is_shown_as_it_is(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "P6")
    session = driver.session
    note = "[red]hot[/] {x}"
    session.write(packing.read_packs(session.desk(), [ident(driver, "P6")], PackRead(lowest_v=4.1), note))
    driver.settle()
    assert note in driver.text(120, 40)


def test_a_book_without_a_robot_says_so(tmp_path: Path) -> None:
    driver = empty_bench(tmp_path).keys("tab", "k")
    assert "no robot in this book yet" in driver.text()
    driver.keys("space", "enter", "down", "pagedown")
    assert driver.shell.page.name == "packs"


def test_enter_on_a_pack_leads_to_the_part_and_back(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "13:30", "P6").keys("enter")
    assert driver.shell.page.name == "parts"
    driver.keys("backspace")
    assert " P6 " in here(driver)


def test_every_size_keeps_the_row_at_the_keys(tmp_path: Path) -> None:
    driver = packs_at(tmp_path, "15:35")
    driver.patient = False
    for _ in range(9):
        for width, height in ((60, 20), (80, 24), (200, 60), (40, 10)):
            shown = driver.screen(width, height)
            assert len(shown) == height
            assert all(len(row) <= width for row in shown)
            assert sum(row.startswith(">") for row in shown) == 1
        driver.keys("down")
