"""Home: the worklist in its order, why and what ends it, and the answer that does it in few keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.looking import hand_check
from pitcrew.bench.saying import job_words
from pitcrew.bench.standing import View, view
from pitcrew.checklists import load
from pitcrew.logbook.writing import Draft
from pitcrew.tui.frame import frame
from pitcrew.tui.pages.home import Home
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def seen(bench: Driver) -> View:
    assert bench.session.view is not None
    return bench.session.view


def to(bench: Driver, beginning: str) -> Driver:
    """The keys at the job whose name begins so."""
    for index, key in enumerate(bench.shell.page.keys()):
        if key.startswith(beginning):
            bench.shell.page.row = index
            return bench
    raise AssertionError((beginning, bench.shell.page.keys()))


def test_the_list_stands_in_the_order_of_the_work(bench: Driver) -> None:
    assert bench.screen()[2:13] == [
        "  verdict   next, in this order                         zone clears min people",
        "> DUE       make safe                                   all       1   4      2",
        "            packs out: feel for heat, look at the cases all       -   3      1",
        "  DUE       feel by hand: W1                            W1        1   1      1",
        "  DUE       look at each: weapon shaft, bearing L out.. W1        5   3      1",
        "  RECHECK   look over W1: marks and parts               W1        2   1      1",
        "  DUE       look over UL: marks and parts               UL        1   1      1",
        "  DUE       look at each: drive motor R, gearbox R, w.. DR        4   2      1",
        "  RECHECK   look over DR: marks and parts               DR        6   3      1",
        "  RECHECK   look over AF: marks and parts               AF        1   1      1",
        "   7 rows below, they clear 7",
    ]


def test_every_blocking_thing_is_cleared_by_a_row_and_the_list_is_the_benchs(bench: Driver) -> None:
    item = view(bench.book.evidence(), bench.session.robot, bench.session.now(), load())
    assert seen(bench).standing == item.standing
    assert [job_words(seen(bench).case, job) for job in seen(bench).jobs] == [
        job_words(item.case, job) for job in item.jobs
    ]
    cleared = {requirement.key for job in seen(bench).jobs for requirement in job.clears}
    assert cleared == {requirement.key for requirement in seen(bench).standing.blocking}


def test_why_what_to_do_and_what_it_rests_on_stand_below(bench: Driver) -> None:
    bench.keys("down", "down")
    text = bench.text()
    assert "  why       solid own blow on W1 15:22, not sure: counts as solid" in text
    assert "  do        feel it by hand: play, notches, bends. Any sign makes the blow a" in text
    said = "hit solid given, not sure W1"
    assert f"  rests on  {bench.number(said)} 15:22 DV {said}" in text


def test_a_caution_stands_above_the_step_it_guards(bench: Driver) -> None:
    rows = bench.screen()
    caution = next(index for index, row in enumerate(rows) if row.startswith("! "))
    assert caution < next(index for index, row in enumerate(rows) if row.startswith("  do "))
    to(bench, "look over")
    assert "! Lock in before any hand. Out of the plane of the weapon. Eye protection." in bench.screen()


ONE_KEY = {
    "hand check": ("hand_checked", {"sign": False}),
    "look over": ("looked_over", {}),
}


@pytest.mark.parametrize("action", ONE_KEY)
def test_space_does_what_is_bracketed_and_the_row_is_cleared(bench: Driver, action: str) -> None:
    to(bench, action)
    key, before = bench.shell.page.key(), bench.newest()[0].n
    blocking = len(seen(bench).standing.blocking)
    job = next(job for job in seen(bench).jobs if f"{job.action}:{job.subject}" == key)
    bench.keys("space")
    assert bench.count == 1
    kind, detail = ONE_KEY[action]
    written = bench.newest(bench.newest()[0].n - before)
    assert {entry.kind for entry in written} == {kind}
    assert all(entry.detail == detail for entry in written)
    assert key not in list(bench.shell.page.keys())
    if job.clears:
        assert len(seen(bench).standing.blocking) <= blocking - 1
    assert (
        seen(bench).standing == view(bench.book.evidence(), bench.session.robot, bench.session.now(), load()).standing
    )


@pytest.mark.parametrize(("typed", "kinds"), [("", {"removed"}), ("46 C 3.9 Ah", {"removed", "pack_read"})])
def test_packs_out_asks_what_was_read_and_enter_alone_is_enough(bench: Driver, typed: str, kinds: set[str]) -> None:
    to(bench, "packs out").keys("space")
    assert "how warm, and what was used in each? 46 C 5.2 Ah. Enter alone: only out" in " ".join(bench.text().split())
    bench.type(typed).keys("enter")
    written = [entry for entry in bench.newest(8) if entry.act == bench.newest()[0].act]
    assert {entry.kind for entry in written} == kinds
    assert not any(key.startswith("packs out") for key in list(bench.shell.page.keys()))


def test_a_module_is_changed_over_with_one_key(bench: Driver) -> None:
    to(bench, "change over").keys("space")
    case = seen(bench).case
    weapon = next(place.id for place in case.defs.positions.values() if place.name == "weapon")
    part = case.part(case.occupant(weapon) or "")
    assert part is not None
    assert part.name == "drum"
    assert "change over" not in " ".join(bench.shell.page.keys())


def test_packs_go_in_with_one_key(bench: Driver) -> None:
    to(bench, "packs in").keys("space")
    case = seen(bench).case
    chosen = case.chosen()
    assert chosen is not None
    packs = set(case.defs.pack_sets[str(chosen.detail["pack_set"])].packs)
    places = [place.id for place in case.defs.positions.values() if place.role == "pack"]
    assert {case.occupant(place) for place in places} == packs


def test_a_figure_waited_for_is_typed_bare_and_what_it_does_is_said(bench: Driver) -> None:
    to(bench, "measure part")
    assert "(type the figure)" in bench.row("  answer")
    bench.keys("space")
    assert "type the figure" in bench.text()
    before = bench.newest()
    bench.type("4.6")
    assert bench.newest() == before
    row = bench.row("> tread wheel 4", 120, 40)
    assert row.startswith("> tread wheel 4 (rear R) 4.6 mm with TRG")
    foretold = row.rpartition(": ")[2]
    bench.keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["value_m"], entry.detail["typed"]) == ("reading", 0.0046, "4.6")
    found = next(item for item in seen(bench).standing.requirements if item.key == f"limit:{entry.subject}")
    assert foretold == (found.verdict.upper() if found.blocks else found.verdict)


@pytest.mark.parametrize("typed", ["4.6 kg", "4.6 N m"])
def test_a_figure_of_the_wrong_kind_is_no_reading_of_what_is_waited_for(bench: Driver, typed: str) -> None:
    to(bench, "measure part").type(typed)
    assert "tread wheel 4" not in "\n".join(row for row in bench.screen()[15:] if row.startswith(("> ", "  ")))


def test_the_keys_stay_on_their_row_when_one_above_it_leaves(bench: Driver) -> None:
    bench.keys("down", "down", "down", "down", "down")
    key, row = bench.shell.page.key(), bench.shell.page.row
    act = next(job.clears[0].subject for job in seen(bench).jobs if job.action == "hand check")
    bench.session.write(hand_check(bench.session.desk(), act, sign=False))
    bench.settle()
    assert (bench.shell.page.key(), bench.shell.page.row) == (key, row - 1)
    bench.keys("space")
    assert bench.newest()[0].kind == "looked_over"


def test_a_row_that_slips_under_the_keys_takes_no_space_at_once(bench: Driver) -> None:
    to(bench, "hand check").keys("up", "down")
    act = seen(bench).jobs[bench.shell.page.row].clears[0].subject
    bench.session.write(hand_check(bench.session.desk(), act, sign=False))
    for _ in bench.session.judging():
        pass
    bench.shell.judged(3000.0)
    before, page = bench.newest(), bench.shell.page
    bench.shell.key("space", " ", 3000.3)
    assert (bench.newest(), bench.shell.page) == (before, page)
    bench.shell.key("space", " ", 3001.0)
    assert (bench.newest(), bench.shell.page) != (before, page)


def test_what_does_not_block_is_below_the_list_and_a_fit_robot_says_so(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:12")
    assert bench.screen()[0].startswith(" FIT TO FIGHT   nothing blocks")
    assert bench.screen()[2] == "  next      nothing blocks."
    assert bench.row("  accepted").startswith("  accepted  tread wheel 4 (rear R)")
    before = bench.newest()
    bench.keys("space", "enter", "right", "down", "space")
    assert bench.newest() == before


def test_rest_work_without_a_fight_says_how_to_enter_one(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    assert bench.screen()[2] == "  no robot in this book yet. Tab r begins one"
    bench.session.write([Draft("robot", "R", "MK", detail={"name": "NEW"})])
    bench.session.choose("R")
    bench.settle()
    assert bench.screen()[1].startswith(" NEW   no fight entered")


def test_notes_and_names_stand_as_typed(bench: Driver) -> None:
    zone = next(zone for zone in seen(bench).case.defs.zones.values() if zone.name == "DR")
    bench.session.write(
        [Draft("zone", zone.id, "MK", robot=bench.session.robot, detail={"name": "[b]D[/]", "passes_to": []})]
    )
    bench.type("note [red]x[/red]").keys("enter")
    assert "note ([red]x[/red])" in bench.row("last")
    assert "look over [b]D[/]: marks and parts" in bench.text()


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size_on_every_row(bench: Driver, width: int, height: int) -> None:
    assert isinstance(bench.shell.page, Home)
    for _ in range(len(seen(bench).jobs) + 1):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
        assert len([row for row in rows if text_of(row).startswith(">")]) == 1
        bench.keys("down")


def test_a_wide_screen_shows_weights_packs_and_the_last_entries_beside_the_list(bench: Driver) -> None:
    text = bench.text(120, 40)
    assert "weights          kg under      own : | limit" in text
    assert "last entries" in text
    for row in seen(bench).standing.weights:
        assert row.kg is not None
        assert f"{row.kg:.2f}" in text
    bench.type("dr hard").keys("enter")
    assert "hit hard taken DR" in bench.text(120, 40)
