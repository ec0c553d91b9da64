"""Something found: where, what, how big, and by which blow; what it does to the standing."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.tui.pages.found import Found
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench
from tests.tui.test_parts import at, here, part, place


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def found(bench: Driver, name: str) -> Driver:
    """The bench with a finding at a place on top."""
    bench.shell.show(Found(bench.session, place=place(bench, name)))
    return bench


def zone(bench: Driver, name: str) -> str:
    """A zone's id by its short name."""
    assert bench.session.view is not None
    return next(item.id for item in bench.session.view.case.defs.zones.values() if item.name == name)


def arrows(bench: Driver, label: str) -> Driver:
    """Right until an answer is bracketed."""
    for _ in range(12):
        if f"[ {label}" in bench.text():
            return bench
        bench.keys("right")
    raise AssertionError(bench.text())


def test_nothing_is_bracketed_until_an_arrow_picks(bench: Driver) -> None:
    before = bench.newest()
    found(bench, "gearbox R").keys("space")
    assert bench.newest() == before
    assert "what is wrong? choose, or type it" in bench.text()


def test_a_bent_part_by_the_blow_of_the_fight_makes_it_hard(bench: Driver) -> None:
    found(bench, "gearbox R")
    keys = bench.count
    bench.keys("right", "space")
    assert "[ by the blow of 15:22, solid in DR ]   no blow known" in bench.row("  answer")
    assert bench.row("  then ").startswith("  then      named as its cause, a blow counts as hard")
    bench.keys("space")
    assert bench.count - keys == 3
    raised, finding = bench.newest(2)
    assert (finding.kind, finding.subject, finding.place) == (
        "finding",
        part(bench, "gearbox R"),
        place(bench, "gearbox R"),
    )
    assert (finding.detail["what"], finding.detail["raises"]) == ("bent", True)
    assert (raised.kind, raised.grade, raised.subject) == ("hit", 3, zone(bench, "DR"))
    assert raised.act == finding.detail["hit"]
    view = bench.session.view
    assert view is not None
    verdicts = {item.key: item.verdict for item in view.standing.requirements}
    assert verdicts[f"finding:{finding.id}"] == "fail"
    # A hard hit reaches the adapter plate, which a solid one does not.
    assert verdicts[f"look:{part(bench, '8.0 plate R')}"] == "due"
    assert bench.shell.page.name == "home"


def test_a_bent_part_that_no_blow_explains_counts_as_one_nobody_saw(bench: Driver) -> None:
    found(bench, "gearbox R").keys("right", "space", "right", "space")
    finding, unseen = bench.newest(2)
    assert "hit" not in finding.detail
    assert (unseen.kind, unseen.grade, unseen.detail["source"]) == ("hit", 2, "no hit seen")


def test_a_gouge_names_its_blow_and_raises_nothing(bench: Driver) -> None:
    arrows(found(bench, "wheel 4 (rear R)"), "gouged").keys("space")
    assert "named as its cause" not in bench.text()
    bench.keys("space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["what"]) == ("finding", "gouged")
    assert entry.detail["hit"]
    assert "raises" not in entry.detail


def test_wear_has_no_blow(bench: Driver) -> None:
    arrows(found(bench, "wheel 4 (rear R)"), "worn").keys("space")
    (entry,) = bench.newest()
    assert (entry.detail["what"], "hit" in entry.detail) == ("worn", False)


def test_a_place_that_felt_nothing_asks_for_no_blow(bench: Driver) -> None:
    arrows(found(bench, "drive motor L"), "shorted").keys("space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["what"], "hit" in entry.detail) == ("finding", "shorted", False)


def test_a_size_typed_first_is_logged_with_it(bench: Driver) -> None:
    found(bench, "gearbox R")
    before = bench.newest()
    bench.type("14 mm").keys("enter")
    assert bench.newest() == before
    assert bench.row("  size ") == "  size      14 mm"
    arrows(bench, "cracked").keys("space", "space")
    finding = bench.newest(2)[1]
    assert (finding.detail["size_m"], finding.detail["typed"]) == (0.014, "14 mm")


def test_a_bare_size_is_in_millimetres_and_another_row_forgets_it(bench: Driver) -> None:
    found(bench, "gearbox R").type("1.1").keys("enter")
    assert bench.row("  size ") == "  size      1.1 mm"
    bench.keys("down", "up")
    assert "type it if it has one" in bench.row("  size ")


def test_words_that_are_no_size_mean_what_they_mean_everywhere(bench: Driver) -> None:
    found(bench, "gearbox R").type("hit AS light").keys("enter")
    assert bench.newest()[0].kind == "hit"


def test_other_asks_for_words(bench: Driver) -> None:
    found(bench, "belt L").keys("left", "space").type("frayed at the edge").keys("enter")
    arrows(bench, "no blow known").keys("space")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["what"], entry.subject) == (
        "finding",
        "frayed at the edge",
        part(bench, "belt L 1"),
    )


def test_other_without_words_is_refused(bench: Driver) -> None:
    before = bench.newest()
    found(bench, "belt L").keys("left", "space", "enter")
    assert "not taken  nothing was typed." in bench.text()
    assert bench.newest() == before


def test_a_turned_mark_asks_which_fasteners_of_its_joint_and_opens_them(bench: Driver) -> None:
    arrows(found(bench, "hub 3 (front R)"), "turned mark").keys("space", "right", "space")
    assert "hubs R: which of 1 to 8? Enter alone: all of them" in bench.text()
    bench.type("2").keys("enter")
    assert "[ by the blow of 15:22, solid in DR ]" in bench.row("  answer")
    bench.keys("space")
    raised, finding = bench.newest(2)
    view = bench.session.view
    assert view is not None
    joint = next(item.id for item in view.case.defs.joints.values() if item.name == "hubs R")
    assert (finding.detail["what"], finding.detail["joint"], finding.detail["fasteners"]) == (
        "marks turned",
        joint,
        [2],
    )
    assert (finding.detail["raises"], raised.grade) == (True, 3)
    reasons = next(item.because for item in view.standing.requirements if item.key == f"joint:{joint}")
    assert "turned since" in {because.code for because in reasons}


@pytest.mark.parametrize(("typed", "says"), [("9", "fasteners 1 to 8"), ("x", "names no fasteners"), ("0", "1 to 8")])
def test_fasteners_that_the_joint_has_not_are_refused(bench: Driver, typed: str, says: str) -> None:
    before = bench.newest()
    arrows(found(bench, "hub 3 (front R)"), "turned mark").keys("space", "right", "space").type(typed).keys("enter")
    assert says in bench.text()
    assert bench.newest() == before


def test_a_place_held_by_no_joint_asks_which_of_its_zone(bench: Driver) -> None:
    arrows(found(bench, "chain 3 (front R)"), "turned mark").keys("space")
    assert "in which joint? choose first" in bench.text()
    before = bench.newest()
    bench.keys("space")
    assert bench.newest() == before
    arrows(bench, "gearbox R").keys("space", "enter")
    arrows(bench, "no blow known").keys("space")
    (entry,) = bench.newest()
    assert entry.detail["what"] == "marks turned"
    assert "fasteners" not in entry.detail


def test_another_row_or_zone_begins_again(bench: Driver) -> None:
    found(bench, "gearbox R").keys("right", "space", "down")
    assert bench.row("  answer").startswith("  answer    bent   cracked   gouged")
    bench.keys("right", "space", "pagedown")
    assert bench.row("  answer").startswith("  answer    bent   cracked   gouged")
    assert "[ FR ]" in bench.row("  zones ")
    bench.keys("pageup")
    assert "[ DR 8 ]" in bench.row("  zones ")


def test_it_opens_at_a_place_from_its_part_and_goes_back_there(bench: Driver) -> None:
    at(bench, "gearbox R").keys("right", "space")
    assert here(bench).startswith("> DUE       gearbox R")
    arrows(bench, "worn").keys("space")
    assert bench.shell.page.name == "parts"
    assert here(bench).startswith("> FAIL      gearbox R")


def test_a_job_opens_it_at_its_zone(bench: Driver) -> None:
    bench.shell.show(Found(bench.session, zone(bench, "DR")))
    assert "[ DR 8 ]" in bench.row("  zones ")
    assert here(bench).startswith("> DUE       drive motor R")


def test_what_stands_already_is_shown(bench: Driver) -> None:
    arrows(found(bench, "gearbox R"), "worn").keys("space")
    found(bench, "gearbox R")
    assert "found worn gearbox R at gearbox R" in bench.row("  stands ")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40)])
def test_it_fits_every_size(bench: Driver, width: int, height: int) -> None:
    page = Found(bench.session, place=place(bench, "gearbox R"))
    bench.shell.show(page)
    bench.keys("right", "space")
    for _ in range(15):
        rows = page.sheet(width, height - 5)
        assert len(rows) <= height - 5
        assert all(cells(text_of(row)) <= width for row in rows)
        page.block(1)


def test_an_empty_book_says_so_and_takes_every_key(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.shell.show(Found(bench.session))
    bench.keys("up", "down", "left", "space", "pagedown").type("14 mm").keys("enter")
    assert "no robot in this book yet" in bench.text()
    assert bench.newest() == ()
