"""The open line on the screen: what was typed, what it means, what it would do, and what stands when it is logged."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitcrew.bench.standing import View, view
from pitcrew.checklists import load
from pitcrew.tui.actions import PLACES
from pitcrew.tui.frame import frame
from pitcrew.tui.paint import cells, text_of
from tests.tui.driver import Driver, bench_at, empty_bench

NOTE = "neither: keep it as a note"


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path)


def seen(bench: Driver) -> View:
    assert bench.session.view is not None
    return bench.session.view


def meanings(bench: Driver) -> list[str]:
    """What the line may mean, the one picked first marked with `>`."""
    return [choice.text for choice in bench.shell.line.found]


def picked(bench: Driver, width: int = 160) -> str:
    """The row of the meaning that is picked."""
    rows = [row for row in bench.screen(width, 40) if row.startswith("> ")]
    assert len(rows) == 1
    return rows[0]


def foretold(bench: Driver) -> str:
    """What the meaning that is picked would do."""
    return picked(bench).rpartition("  ")[2].strip()


def clear(bench: Driver) -> Driver:
    while bench.shell.line.is_open:
        bench.keys("backspace")
    return bench


def judged_as_the_book(bench: Driver) -> bool:
    item = view(bench.book.evidence(), bench.session.robot, bench.session.now(), load())
    return seen(bench).standing == item.standing


def paste(bench: Driver, text: str) -> Driver:
    """A whole text in one go, as a gauge types it."""
    bench.shell.paste(text)
    bench.settle()
    return bench


# figures


def test_the_value_first_or_the_subject_first_is_the_same_reading(bench: Driver) -> None:
    written = []
    for text in ("262.05 gap between uprights", "gap between uprights 262.05"):
        paste(bench, text)
        assert picked(bench).startswith("> dimension measured gap between uprights 262.05 mm")
        bench.keys("enter")
        (entry,) = bench.newest()
        written.append((entry.kind, entry.subject, dict(entry.detail)))
    assert written[0] == written[1]
    assert bench.shell.line.is_open is False


def test_a_figure_alone_offers_what_it_is_near_and_one_is_picked_first(bench: Driver) -> None:
    before = bench.newest()
    bench.type("262.05")
    assert meanings(bench) == [
        "gap between uprights 262.05 mm with ROD",
        "rotor or hub width weapon 262.05 mm with CAL",
        NOTE,
    ]
    bench.keys("enter")
    assert "several fit  pick one with Up and Down, then Enter" in bench.text()
    assert bench.newest() == before
    bench.keys("down")
    assert picked(bench).startswith("> gap between uprights")
    bench.keys("down", "enter")
    (entry,) = bench.newest()
    assert entry.detail["dimension"] == "width over hub"
    bench.type("262.05").keys("up", "enter")
    assert bench.newest()[0].detail == {"note": "262.05"}


def test_a_name_of_two_things_is_picked_from(bench: Driver) -> None:
    bench.type("22 hubs").keys("down", "down")
    assert picked(bench).startswith("> hubs R 22 N m with TW5")
    bench.keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, seen(bench).case.defs.joints[entry.subject].name) == ("torqued", "hubs R")


@pytest.mark.parametrize(
    "typed",
    [
        "262.05 gap between uprights",
        "22 hubs r",
        "19 hubs r",
        "5.1 tread wheel 4",
        "4.1 tread wheel 4",
        "0.5 weapon float",
        "112.4 kg a with shs",
        "114 kg a with shs",
        "dr hard",
        "w1 not sure",
        "ul light",
        "out weapon",
        "in drum at weapon",
        "open hubs r",
        "marks hubs r",
        "look wheel 4",
        "over dr",
        "note belt box is empty",
    ],
)
def test_what_is_said_before_is_what_stands_after(bench: Driver, typed: str) -> None:
    """The verdict, or what it adds to the list and clears of it."""
    was = {item.key: item.verdict for item in seen(bench).standing.blocking}
    paste(bench, typed)
    said = foretold(bench)
    bench.keys("enter")
    if bench.shell.line.is_open:  # a slip is asked about once more
        bench.keys("enter")
    assert bench.shell.line.is_open is False
    assert judged_as_the_book(bench)
    now = {item.key: item.verdict for item in seen(bench).standing.blocking}
    if said.startswith(("adds", "clears", "changes")):
        added = sum(was.get(key) != word for key, word in now.items())
        assert sum(int(word) for word in said.partition("clears")[0].split() if word.isdigit()) == added
        cleared = len(set(was) - set(now))
        assert (f"clears {cleared}" in said) == bool(cleared)
    else:
        verdict = said.rpartition(": ")[2].partition(" (")[0]
        words = {(item.verdict.upper() if item.blocks else item.verdict) for item in seen(bench).standing.requirements}
        assert verdict in words


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(tenths=st.integers(30, 70))
def test_the_verdict_of_a_figure_awaited_is_the_one_it_gets(
    tmp_path_factory: pytest.TempPathFactory, tenths: int
) -> None:
    bench = bench_at(tmp_path_factory.mktemp("bench"))
    paste(bench, f"{tenths / 10} tread wheel 4")
    said = foretold(bench).rpartition(": ")[2]
    bench.keys("enter")
    if bench.shell.line.is_open:
        bench.keys("enter")
    (entry,) = bench.newest()
    item = next(item for item in seen(bench).standing.requirements if item.key == f"limit:{entry.subject}")
    assert said == (item.verdict.upper() if item.blocks else item.verdict)
    bench.book.close()


def test_a_figure_far_off_wants_a_second_enter(bench: Driver) -> None:
    before = bench.newest()
    paste(bench, "400 gap between uprights").keys("enter")
    assert bench.newest() == before
    assert "sure?" in bench.text()
    assert "137.95 mm off the last gap between uprights, 262.05 mm" in bench.text()
    bench.keys("enter")
    assert bench.newest()[0].detail["value_m"] == 0.4


@pytest.mark.parametrize("key", ["backspace", "0", "down", "left"])
def test_a_second_enter_counts_only_for_what_stood_there(bench: Driver, key: str) -> None:
    before = bench.newest()
    paste(bench, "400 gap between uprights").keys("enter", key)
    if key == "left":
        bench.keys("enter")
        assert bench.newest()[0].detail.get("value_m") == 0.4  # the text is still the same
        return
    assert bench.newest() == before
    if key == "0":
        bench.keys("enter")
        assert bench.newest() == before


# names


def test_a_name_with_a_number_is_the_place_and_no_reading(bench: Driver) -> None:
    before = bench.newest()
    bench.type("wheel 3")
    assert meanings(bench)[:2] == ["show place wheel 3 (front R)", "show part wheel 3"]
    bench.keys("enter")
    assert bench.shell.page.name == "parts"
    assert bench.newest() == before
    assert bench.shell.line.is_open is False
    assert any(row.startswith(">") and "wheel 3 (front R)" in row for row in bench.screen())


@pytest.mark.parametrize("place", [place for place in PLACES if not place.act], ids=lambda place: place.name)
def test_every_screen_is_found_by_its_name(bench: Driver, place: object) -> None:
    name = place.name  # type: ignore[attr-defined]
    paste(bench, name)
    index = next(at for at, text in enumerate(meanings(bench)) if text.startswith(f"go to {name}: "))
    bench.keys(*["down"] * index, "enter")
    assert bench.shell.page.name == name
    bench.keys("tab", "h")
    assert bench.shell.page.name == "home"


@pytest.mark.parametrize(
    ("typed", "says", "page"),
    [
        ("hubs r", "show joint hubs R", "joints"),
        ("weapon float", "show stack weapon float", "measure"),
        ("upright l", "show place upright L", "parts"),
        ("wheel 5", "show part wheel 5", "parts"),
        ("dr", "show zone DR drive, right", "parts"),
        ("make safe", "show checklist make safe", "check"),
    ],
)
def test_any_thing_is_found_by_its_name(bench: Driver, typed: str, says: str, page: str) -> None:
    before = paste(bench, typed).newest()
    index = [text.casefold() for text in meanings(bench)].index(says.casefold())
    bench.keys(*["down"] * index, "enter")
    assert bench.shell.page.name == page
    assert bench.newest() == before


def test_a_verb_before_a_name_is_what_is_done_and_comes_first(bench: Driver) -> None:
    bench.type("look wheel 4")
    assert meanings(bench)[0].startswith("part looked at wheel 4")


# hits, corrections, notes


def test_a_hit_is_a_zone_and_a_grade_and_one_enter(bench: Driver) -> None:
    bench.type("DR hard")
    assert picked(bench).startswith("> hit hard taken DR")
    assert foretold(bench) == "adds 5 RECHECK, 2 DUE"
    typed = bench.count
    bench.keys("enter")
    assert bench.count - typed == 1
    (entry,) = bench.newest()
    assert (entry.kind, entry.grade, entry.detail["source"]) == ("hit", 3, "taken")
    assert bench.row("  last ").endswith(f"#{entry.n}")


def test_a_line_is_put_right_and_taken_out_by_its_number(bench: Driver) -> None:
    bench.type("22 hubs r").keys("enter")
    (old,) = bench.newest()
    paste(bench, f"correct {old.n} 21.5")
    assert picked(bench).startswith(f"> puts #{old.n} right: joint torqued 21.5 N m hubs R")
    bench.keys("enter")
    (new,) = bench.newest()
    assert (new.replaces, new.detail["torque_nm"]) == (old.id, 21.5)
    paste(bench, f"withdraw {new.n}")
    assert picked(bench).startswith(f"> withdraws #{new.n} joint torqued 21.5 N m hubs R")
    bench.keys("enter")
    assert (bench.newest()[0].kind, bench.newest()[0].replaces) == ("withdrawn", old.id)
    assert judged_as_the_book(bench)


def test_a_note_is_kept_as_typed(bench: Driver) -> None:
    paste(bench, "note [red]belts[/red] low").keys("enter")
    assert bench.newest()[0].detail == {"note": "[red]belts[/red] low"}
    assert "note ([red]belts[/red] low)" in bench.row("  last ")


# refusals


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("nonsense", "no figure here"),
        ("22 hubs r #9", "fasteners 1 to 8"),
        ("5 kg hubs r", "5 kg is a mass"),
        ("correct 999999 5", "by its number"),
        ("withdraw", "by its number"),
        ("in nothing at weapon", "no part called"),
        ("hit dr", "a hit has a zone and a grade"),
        ("95 kg a", "a weighing needs its scale"),
    ],
)
def test_what_is_refused_keeps_its_text_and_writes_nothing(bench: Driver, typed: str, says: str) -> None:
    before = paste(bench, typed).newest()
    assert says in " ".join(bench.text().split())
    bench.keys("enter")
    text = " ".join(bench.text().split())
    assert "not taken" in text
    assert says in text
    assert f"{typed}_" in bench.text()
    assert bench.newest() == before
    # It can be mended where it stands.
    clear(bench).type("note x").keys("enter")
    assert bench.newest()[0].detail == {"note": "x"}


def test_the_list_does_not_move_while_meanings_come_and_go(bench: Driver) -> None:
    bench.keys("down")
    before = bench.screen()[2:12]
    for letter in "262.05 gap":
        bench.keys("space" if letter == " " else letter)
        assert [row[1:] for row in bench.screen()[2:12]] == [row[1:] for row in before]


def test_in_an_empty_book_the_line_finds_screens_and_says_why_it_logs_nothing(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path)
    bench.type("262.05 gap").keys("enter")
    assert "not taken" in bench.text()
    assert bench.newest() == ()
    clear(bench).type("logbook").keys("enter")
    assert bench.shell.page.name == "logbook"


@pytest.mark.parametrize("text", ["262.05", "pack", "dr hard", "x" * 200, "22 hubs r #9", "\u754c" * 60])
def test_it_fits_every_size(bench: Driver, text: str) -> None:
    paste(bench, text)
    for width, height in ((80, 24), (60, 20), (120, 40), (200, 60), (40, 10)):
        rows = frame(bench.shell, width, height)
        assert len(rows) == height
        assert all(cells(text_of(row)) <= width for row in rows)
