"""Back from a fight: hits zone by zone in a few keys, then what the driver says; and what each asks for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pitcrew.bench.standing import View, view
from pitcrew.bench.symptoms import SYMPTOMS
from pitcrew.checklists import load
from pitcrew.logbook.writing import Draft
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.hits import BLOWS, GIVEN, Hits
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench

# The fight has ended at 15:22 and nothing of it is logged yet.
BACK = "15:21"


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return at_hits(bench_at(tmp_path))


def at_hits(bench: Driver) -> Driver:
    bench.keys("tab", "f", "enter")
    assert isinstance(bench.shell.page, Hits)
    bench.count = 0
    return bench


def seen(bench: Driver) -> View:
    assert bench.session.view is not None
    return bench.session.view


def zone(bench: Driver, name: str) -> str:
    return next(zone.id for zone in seen(bench).case.defs.zones.values() if zone.name == name)


def to(bench: Driver, key: str) -> Driver:
    bench.shell.page.row = list(bench.shell.page.keys()).index(key)
    return bench


def judged_as_the_book(bench: Driver) -> bool:
    item = view(bench.book.evidence(), bench.session.robot, bench.session.now(), load())
    return seen(bench).standing == item.standing


def test_what_was_logged_after_the_fight_stands_by_its_zone(bench: Driver) -> None:
    assert bench.screen()[2] == "  hits      zone                       grade              fight ended 15:22"
    assert bench.screen()[3].startswith("> W1        own weapon, blow given     solid, not sure          #")
    assert bench.screen()[4] == "  W1        weapon"
    assert bench.row("  DR  ").startswith("  DR        drive, right               solid, slam              #")
    assert bench.row("  AF  ").startswith("  AF        front attachment           solid                    #")
    assert "  light: scuffed   solid: robot moved   hard: thrown, bent, or something stopped" in bench.screen()


def test_three_hits_take_a_key_a_hit_and_a_key_a_zone_passed(bench: Driver) -> None:
    """Own blow not sure, a hard one on the next zone but one, a solid one on the one after."""
    before = bench.newest()[0].n
    bench.keys("space", "down", "right", "space", "space")
    assert bench.count == 5
    written = bench.newest(bench.newest()[0].n - before)[::-1]
    assert [(entry.subject, entry.grade, entry.detail["source"], entry.place) for entry in written] == [
        (zone(bench, "W1"), 2, "given", zone(bench, "W1")),
        (zone(bench, "W2"), 3, "taken", None),
        (zone(bench, "UL"), 2, "taken", None),
    ]
    assert bench.screen()[7].startswith("> UR")
    assert judged_as_the_book(bench)


def test_hits_are_of_the_last_fight_and_at_its_end(bench: Driver) -> None:
    bench.keys("down", "space")
    (entry,) = bench.newest()
    end = seen(bench).case.ends().first()
    assert end is not None
    assert (entry.detail["fight"], entry.happened) == (end.subject, end.happened)


@pytest.mark.parametrize("index", range(len(BLOWS)))
def test_every_answer_of_a_zone_writes_what_it_says(bench: Driver, index: int) -> None:
    label, grade, source, unsure = BLOWS[index]
    to(bench, zone(bench, "UR")).keys(*["right"] * index)
    assert f"[ {label} ]" in bench.row("  answer", 200, 60)
    bench.keys("space")
    (entry,) = bench.newest()
    assert (entry.grade, entry.detail["source"], bool(entry.place)) == (
        {"light": 1, "solid": 2, "hard": 3}[grade],
        source,
        unsure,
    )
    row = next(row for row in bench.screen() if row[2:].startswith("UR "))
    assert row.endswith(f"#{entry.n}")
    assert grade in row
    assert ("not sure" in row) == unsure
    assert judged_as_the_book(bench)


@pytest.mark.parametrize("index", range(len(GIVEN)))
def test_every_answer_of_the_own_blow_is_one_given(bench: Driver, index: int) -> None:
    bench.keys(*["right"] * index, "space")
    (entry,) = bench.newest()
    assert entry.detail["source"] == "given"
    assert bool(entry.place) == GIVEN[index][3]


def test_the_hardest_of_a_zone_is_shown_and_all_are_kept(bench: Driver) -> None:
    to(bench, zone(bench, "UR"))
    for keys in (["right", "right"], [], ["right"]):
        bench.keys(*keys, "space", "up")
    assert [entry.grade for entry in bench.newest(3)] == [3, 2, 1]
    row = next(row for row in bench.screen() if row[2:].startswith("UR "))
    assert "hard" in row


def test_a_hit_not_sure_asks_for_a_hand_check(bench: Driver) -> None:
    to(bench, zone(bench, "UR")).keys("right", "right", "right", "space")
    (entry,) = bench.newest()
    assert f"hand:{entry.act}" in {item.key for item in seen(bench).standing.blocking}


def test_undo_takes_the_hit_back(bench: Driver) -> None:
    before = bench.screen()
    standing = seen(bench).standing
    to(bench, zone(bench, "UR")).keys("right", "space", "tab", "u")
    assert bench.newest()[0].kind == "withdrawn"
    assert [(item.key, item.verdict) for item in seen(bench).standing.requirements] == [
        (item.key, item.verdict) for item in standing.requirements
    ]
    assert next(row for row in bench.screen() if row[2:].startswith("UR ")) == next(
        row for row in before if row[2:].startswith("UR ")
    )


# the driver


def test_page_down_goes_to_what_the_driver_says_and_up_again(bench: Driver) -> None:
    bench.keys("pagedown")
    assert bench.row(">  ").startswith(">           pulls to one side")
    bench.keys("pageup")
    assert bench.row("> W1").startswith("> W1        own weapon")


def test_what_the_driver_says_is_logged_for_the_parts_it_points_at(bench: Driver) -> None:
    before = bench.newest()[0].n
    bench.keys("pagedown", "right", "space")
    assert bench.count == 3
    written = bench.newest(bench.newest()[0].n - before)
    assert {(entry.kind, entry.detail["note"]) for entry in written} == {("symptom", "pulls to one side, right")}
    due = {item.key for item in seen(bench).standing.blocking}
    assert {f"look:{entry.subject}" for entry in written} <= due
    assert bench.row("pulls to one side ").rstrip().endswith("right")
    assert bench.row(">  ").startswith(">           weapon slow")
    assert judged_as_the_book(bench)


def test_every_word_of_the_driver_can_be_said(bench: Driver) -> None:
    bench.keys("pagedown")
    for symptom in SYMPTOMS:
        assert symptom.words in bench.row(">  ")
        before = bench.newest()[0].n
        bench.keys("space")
        assert all(entry.kind == "symptom" for entry in bench.newest(bench.newest()[0].n - before))
    assert judged_as_the_book(bench)


def test_all_that_the_driver_said_stands_with_its_looks_and_can_be_taken_back(bench: Driver) -> None:
    bench.keys("pagedown", "pagedown")
    assert bench.row("> DUE").startswith("> DUE       pulls right after the wall")
    assert "15:23 DV  0 of 4" in bench.row("> DUE")
    assert bench.row("  look at ").startswith("  look at   drive motor R, gearbox R, wheel 3")
    # The first of its looks is done in two keys, and the count follows.
    bench.keys("space", "space", "backspace")
    assert "15:23 DV  1 of 4" in bench.row("> DUE")
    assert bench.row("  looked at ").startswith("  looked at drive motor R 15:24")
    before = {item.key for item in seen(bench).standing.blocking}
    count = bench.newest()[0].n
    bench.keys("left", "space")
    assert {entry.kind for entry in bench.newest(bench.newest()[0].n - count)} == {"withdrawn"}
    assert bench.newest()[0].n - count == 4
    assert "pulls right" not in bench.text()
    assert {item.key for item in seen(bench).standing.blocking} <= before
    assert judged_as_the_book(bench)


def test_what_is_not_in_the_list_is_typed_and_the_part_asked_for(bench: Driver) -> None:
    bench.keys("pagedown", *["down"] * len(SYMPTOMS), "space").type("whines [b]left[/b]").keys("enter")
    assert "which part may it be?" in bench.text()
    bench.type("violin").keys("enter")
    assert "there is no part called" in bench.text()
    bench.keys(*["backspace"] * len("violin")).type("gearbox L").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["note"]) == ("symptom", "whines [b]left[/b]")
    assert f"look:{entry.subject}" in {item.key for item in seen(bench).standing.blocking}
    assert bench.row("whines [b]left[/b]  ").startswith("  DUE       whines [b]left[/b]")
    assert judged_as_the_book(bench)


def test_what_he_says_is_typed_on_the_line_anywhere(bench: Driver) -> None:
    bench.keys("tab", "h").type("says gearbox L whines").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["note"]) == ("symptom", "gearbox L whines")


# while a fight is on, and without one


def test_while_a_fight_is_on_hits_are_of_that_one(tmp_path: Path) -> None:
    bench = at_hits(bench_at(tmp_path, BACK))
    assert bench.screen()[2].endswith("the fight is on")
    on = seen(bench).case.fight_id()
    bench.keys("down", "down", "space")
    (entry,) = bench.newest()
    assert entry.detail["fight"] == on
    assert next(row for row in bench.screen() if row[2:].startswith("W2 ")).endswith(f"#{entry.n}")


def test_without_any_fight_hits_can_be_logged_all_the_same(tmp_path: Path) -> None:
    bench = at_hits(bench_at(tmp_path, "08:30"))
    assert bench.screen()[2].endswith("no fight has ended yet")
    bench.keys("down", "space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail.get("fight")) == ("hit", None)


def test_a_robot_without_zones_or_no_robot_logs_nothing(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.shell.show(Hits(bench.session))
    bench.keys("space", "enter", "right", "space", "pagedown", "space", "down", "space")
    assert bench.newest() == ()
    assert "no robot yet" in bench.text()


def test_titles_stand_as_typed(bench: Driver) -> None:
    detail: dict[str, Any] = {"name": "UR", "title": "[b]right[/b]", "passes_to": []}
    bench.session.write([Draft("zone", zone(bench, "UR"), "MK", robot=bench.session.robot, detail=detail)])
    bench.settle()
    assert "  UR        [b]right[/b]" in bench.screen()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size_on_every_row(bench: Driver, width: int, height: int) -> None:
    for _ in range(len(bench.shell.page.keys()) + 1):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
        assert len([row for row in rows if text_of(row).startswith(">")]) == 1
        bench.keys("down")
