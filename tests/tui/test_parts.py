"""Parts of a zone: what sits where, how it stands, what it has been through; the spares; looks and weighings."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.ledger import SPARES, Ledger
from pitcrew.tui.page import Page
from pitcrew.tui.pages.parts import Parts, Story
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def place(bench: Driver, name: str) -> str:
    """A place's id by its name."""
    assert bench.session.view is not None
    return next(item.id for item in bench.session.view.case.defs.positions.values() if item.name == name)


def part(bench: Driver, name: str) -> str:
    """A part's id by its name."""
    assert bench.session.view is not None
    case = bench.session.view.case
    return next(f.subject for f in case.evidence.definitions("part", case.robot) if f.detail["name"] == name)


def here(bench: Driver) -> str:
    """The row the keys are at."""
    (row,) = (row for row in bench.screen() if row.startswith(">"))
    return row


def detail(bench: Driver, label: str) -> str:
    """The text behind a label, as far as its first row goes."""
    (row,) = (row for row in bench.screen() if row.startswith(f"  {label:<9} "))
    return row[12:]


def at(bench: Driver, name: str) -> Driver:
    """The bench with the keys at a place."""
    bench.shell.show(Parts(bench.session, place(bench, name)))
    return bench


def spares(bench: Driver, name: str) -> Driver:
    """The bench with the keys at a spare."""
    bench.shell.show(Parts(bench.session, part(bench, name)))
    return bench


def test_the_first_zone_where_something_blocks_is_open(bench: Driver) -> None:
    bench.keys("tab", "p")
    assert bench.screen()[2:13] == [
        "  zones     [ W1 6 ]  W2  UL  UR  DL  DR 8  FR  AF 1  AS  AR  BT  EL 1  RS  ..",
        "  verdict   place             part              kg fights hard  life",
        "> DUE       weapon shaft      weapon shaft   3.300      3    2  own look",
        "  DUE       bearing L outer   bearing 5      0.220      1    0  #..... 1 of 6",
        "  DUE       bearing L inner   bearing 6      0.220      1    0  #..... 1 of 6",
        "  DUE       bearing R outer   bearing 7      0.220      1    0  #..... 1 of 6",
        "  DUE       bearing R inner   bearing 8      0.220      1    0  #..... 1 of 6",
        "  pass      spacers.. washers spa.. washers  0.520      3    2  from hard only",
        "  DUE       weapon            bar           22.900      1    0  A has drum",
        "  pass      shim              0.20 shim      0.002      1    0  from hard only",
        "-- weapon shaft: weapon shaft --------------------------------------------------",
    ]


def test_the_detail_says_why_life_story_and_what_was_there_before(bench: Driver) -> None:
    at(bench, "bearing L outer")
    assert bench.row("-- bearing L outer").startswith("-- bearing L outer: bearing 5 ---")
    assert bench.row("  why ").startswith("  why       since then solid own blow on W1 15:22, not sure")
    assert bench.row("  life      ") == "  life      1 of 6 fights, 0 of 3 hard hits: 5 fights or 3 hard hits left"
    assert bench.row("  story ").startswith("  story     15:22 DV  felt solid hit given, W1")
    assert bench.row("  story ").endswith(bench.number("hit solid given, not sure W1"))
    assert bench.row("before it").startswith("  before it bearing 1: 2 fights, 2 hard hits; found notchy; out 13:04")
    assert detail(bench, "spares").startswith("bearing 2 (2 of 3 hard hits), bearing 3 (2 of 3 hard hits)")


def test_verdicts_are_those_of_the_standing_in_every_zone(bench: Driver) -> None:
    view = bench.session.view
    assert view is not None
    bench.keys("tab", "p")
    shown = 0
    ledger = Ledger(view)
    for block in ledger.blocks:
        for row in ledger.rows(block):
            assert isinstance(bench.shell.page, Parts)
            bench.shell.page.hold(row.key)
            said = next(text for text in bench.screen() if text.startswith(">"))
            verdict = row.verdict.upper() if row.blocks else row.verdict
            assert said[2:11].strip() == verdict
            shown += row.blocks
        bench.keys("pagedown")
    looks = {item.subject for item in view.standing.blocking if item.group == "look"}
    assert shown >= len(looks)
    assert bench.row("  zones ").startswith("  zones     [ W1 6 ]")


def test_pages_go_through_the_zones_and_the_spares_and_round(bench: Driver) -> None:
    bench.keys("tab", "p", "pageup")
    assert "[ spares ]" in bench.row("  zones ")
    bench.keys("pagedown", "pagedown")
    assert "[ W2 ]" in bench.row("  zones ")


def test_a_name_typed_at_home_leads_to_its_row(bench: Driver) -> None:
    bench.type("bearing L outer").keys("enter")
    assert here(bench).startswith("> DUE       bearing L outer")
    assert bench.shell.page.key() == place(bench, "bearing L outer")


def test_a_part_that_sits_somewhere_is_shown_at_its_place_a_spare_among_the_spares(bench: Driver) -> None:
    spares(bench, "wheel 5")
    assert here(bench).startswith("> DUE       wheel 3 (front R) wheel 5")
    spares(bench, "P7")
    assert here(bench).startswith(">           quarantine        P7")


def test_space_says_a_due_look_good_and_steps_to_the_next(bench: Driver) -> None:
    at(bench, "bearing L outer").keys("space", "space")
    last, before = bench.newest(2)
    assert (last.kind, last.subject) == ("looked_at", part(bench, "bearing 6"))
    assert (before.kind, before.subject) == ("looked_at", part(bench, "bearing 5"))
    assert here(bench).startswith("> DUE       bearing R outer")
    assert "  pass      bearing L outer   bearing 5" in bench.text()
    assert "[ W1 4 ]" in bench.row("  zones ")


def test_where_no_look_is_due_the_swap_comes_first(bench: Driver) -> None:
    at(bench, "upright L")
    assert "[ swap the part ]   found something   looked at, good   take out" in bench.row("  answer")
    bench.keys("space")
    assert bench.shell.page.name == "swap"
    bench.keys("backspace")
    assert here(bench).startswith("> pass      upright L")


def test_a_bare_figure_is_the_mass_of_the_part(bench: Driver) -> None:
    at(bench, "bearing L outer").type("0.221").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["value_kg"]) == ("part_weighed", part(bench, "bearing 5"), 0.221)
    assert "bearing 5      0.221" in here(bench)


def test_a_figure_of_another_kind_is_not_taken_for_a_mass(bench: Driver) -> None:
    at(bench, "bearing L outer").type("3 V")
    assert "bearing 5 3" not in bench.text()
    bench.keys("enter")
    assert bench.newest()[0].kind != "part_weighed"


def test_take_out_asks_where_with_the_spares_box_first(bench: Driver) -> None:
    at(bench, "upright L").keys("left", "space")
    assert "[ to the spares box ]   quarantine   scrapped   lost" in bench.row("  answer")
    bench.keys("right", "right", "space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.place, entry.detail["to"]) == ("removed", place(bench, "upright L"), "scrapped")
    assert here(bench) == "> FAIL      upright L         empty"
    assert "[ put a part in ]" in bench.row("  answer")
    assert "nothing sits there" in bench.row("  why")


def test_enter_shows_the_whole_story_and_back_comes_back(bench: Driver) -> None:
    at(bench, "weapon").keys("enter")
    assert isinstance(bench.shell.page, Story)
    assert len(bench.shell.page.keys()) >= 6
    assert bench.screen()[2].startswith("-- weapon: bar ---")
    bench.keys("down")
    assert here(bench).startswith(">           15:22 DV  fought H3")
    bench.keys("backspace")
    assert here(bench).startswith("> DUE       weapon ")


def test_a_module_says_what_the_entered_configuration_has_there(bench: Driver) -> None:
    at(bench, "front")
    assert here(bench) == "> DUE       front             plow           6.300      1    0  A has forks"
    assert detail(bench, "entered") == "A has forks"


def test_a_spare_is_put_away_and_brought_back(bench: Driver) -> None:
    spares(bench, "drive motor 3")
    assert "[ in at drive motor L ]" in bench.row("  answer")
    bench.keys("right", "right", "space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["to"]) == ("removed", part(bench, "drive motor 3"), "quarantine")
    assert here(bench).startswith(">           quarantine        drive motor 3")
    count = len(bench.newest(2000))
    bench.keys("space")
    assert len(bench.newest(2000)) == count
    bench.keys("right", "space")
    assert bench.newest()[0].detail["to"] == "spares"


def test_a_new_spare_is_a_line_of_the_weight_list(bench: Driver) -> None:
    spares(bench, "P7").keys("left", "space").type("0.95 kg wheel 11").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["name"], entry.detail["mass_kg"]) == ("part", "wheel 11", 0.95)
    assert not [fact for fact in bench.newest(3) if fact.kind == "fitted"][1:]
    assert bench.shell.page.key() == part(bench, "P7")
    assert "no mass" not in bench.text()


def test_a_new_spare_without_a_mass_is_refused_and_what_was_typed_stays(bench: Driver) -> None:
    before = bench.newest()
    spares(bench, "P7").keys("left", "space").type("wheel 11").keys("enter")
    assert "not taken" in bench.text()
    assert bench.row("  spare ").startswith("  spare     wheel 11_")
    assert bench.newest() == before


def test_a_zone_without_places_says_what_goes_there(tmp_path: Path, bench: Driver) -> None:
    view = bench.session.view
    assert view is not None
    from pitcrew.bench.desk import Desk

    desk: Desk = bench.session.desk()
    bench.session.write([desk.draft("zone", desk.mint(), {"name": "ZZ", "title": "tail", "passes_to": []})])
    bench.settle()
    zone = bench.newest()[0].subject
    bench.shell.show(Parts(bench.session, zone))
    assert "none in ZZ yet" in bench.text()
    bench.keys("space").type("1.2 kg tail plate").keys("enter")
    assert [entry.kind for entry in bench.newest(3)][:2] == ["fitted", "position"]
    assert here(bench).startswith("> pass      tail plate")


def test_an_empty_book_says_so_and_takes_every_key(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.shell.show(Parts(bench.session))
    bench.keys("up", "down", "left", "space", "enter", "pagedown", "pageup")
    assert "no robot in this book yet" in bench.text()
    assert bench.newest() == ()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 12)])
def test_every_zone_fits_every_size(bench: Driver, width: int, height: int) -> None:
    page = Parts(bench.session)
    bench.shell.show(page)
    for _ in range(16):
        for sheet_height in (height - 5, 6, 3):
            rows = page.sheet(width, sheet_height)
            assert len(rows) <= sheet_height
            assert all(cells(text_of(row)) <= width for row in rows)
        assert len([row for row in bench.screen(width, height) if row.startswith(">")]) == 1
        page.block(1)


def test_what_a_crew_named_is_shown_as_typed(bench: Driver) -> None:
    desk = bench.session.desk()
    name = "[red]wheel[/] {0}"
    drafts = [desk.draft("part", desk.mint(), {"name": name, "part_kind": _kind(bench, "wheel 4"), "mass_kg": 1.0})]
    bench.session.write(drafts)
    bench.settle()
    bench.shell.show(Parts(bench.session, bench.newest()[0].subject))
    shown = bench.text(120, 40)
    assert "[red]wheel[/] {0}" in shown


def _kind(bench: Driver, name: str) -> str:
    case = bench.session.case()
    record = case.part(part(bench, name)) if case else None
    assert record is not None
    return record.part_kind


def test_another_robot_on_the_bench_shows_its_own_parts(bench: Driver) -> None:
    at(bench, "bearing L outer")
    page: Page = bench.shell.page
    other = next(robot for robot in bench.session.robots() if robot.id != bench.session.robot)
    bench.session.choose(other.id)
    assert page.keys() == []
    bench.settle()
    assert "bearing L outer" not in bench.text()
    assert isinstance(page, Parts)
    assert page.rows()
    assert page.ledger() is not None
    assert SPARES in Ledger(page.session.view).blocks if page.session.view else False
