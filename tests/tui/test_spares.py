"""The box on the screen: spares by kind, stock, used today and to buy; and a part's life where it is met."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import mending
from pitcrew.bench.spares import used_today
from pitcrew.tui.pages.parts import Story
from pitcrew.tui.pages.spares import Spares
from pitcrew.tui.pages.swap import Swap
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return bench_at(tmp_path).keys("tab", "x")


def here(bench: Driver) -> str:
    """The row the keys are at."""
    (row,) = (row for row in bench.screen() if row.startswith(">"))
    return row[2:]


def part(bench: Driver, name: str) -> str:
    """A part's id by its name."""
    assert bench.session.view is not None
    case = bench.session.view.case
    return next(f.subject for f in case.evidence.definitions("part", case.robot) if f.detail["name"] == name)


def spare(bench: Driver, name: str) -> Driver:
    """The bench with the keys at a spare."""
    bench.shell.show(Spares(bench.session, part(bench, name)))
    return bench


def to_answer(bench: Driver, label: str) -> Driver:
    """The bench with an answer in brackets."""
    for _ in range(20):
        found = bench.shell.answer()
        if found is not None and found.label == label:
            return bench
        bench.keys("right")
    raise AssertionError((label, bench.text()))


def test_the_box_says_of_each_spare_how_it_stands(bench: Driver) -> None:
    assert bench.screen()[2:13] == [
        "  lists     [ box 1 short ]  stock 1 short  used today, to buy 2",
        "  state     kind           part               kg tested      life used",
        "> good      bearing        bearing 2       0.220 2 fights    2 of 3 hard hits",
        "  good      bearing        bearing 3       0.220 2 fights    2 of 3 hard hits",
        "  good      bearing        bearing 4       0.220 2 fights    2 of 3 hard hits",
        "  away      bearing        bearing 1       0.220 scrapped    2 of 3 hard hits",
        "  good      bumper block   bumper block    0.100 2 fights",
        "  good      belt           belt L 2        0.140 not tested",
        "  good      belt           belt R 2        0.140 not tested",
        "  good      drive motor    drive motor 3   2.110 bench test",
        "  good      adapter plate  6.0 plate       0.230 not tested",
    ]
    assert bench.row("  box   ") == "  box       bearing: 3 good, 1 scrapped; 4 wanted, 1 short"
    spare(bench, "P7")
    assert (here(bench).split()[:3], here(bench).split()[-1]) == (["away", "pack", "P7"], "quarantine")
    spare(bench, "M5x14 screws")
    assert here(bench).split()[-3:] == ["-", "not", "tested"]


def test_a_spare_goes_in_by_the_swap_screen_and_nothing_is_logged_before(bench: Driver) -> None:
    before = bench.newest()
    spare(bench, "belt L 2").keys("space")
    assert isinstance(bench.shell.page, Swap)
    assert "belt L 2" in here(bench)
    assert bench.newest() == before
    bench.keys("space")
    assert bench.newest()[0].kind == "fitted"
    assert bench.newest()[0].subject == part(bench, "belt L 2")


@pytest.mark.parametrize(
    ("answer", "kind", "detail"),
    [
        ("tested, good", "bench_tested", {}),
        ("to quarantine", "removed", {"to": "quarantine"}),
        ("scrap", "removed", {"to": "scrapped"}),
    ],
)
def test_what_is_said_to_a_spare_is_logged(bench: Driver, answer: str, kind: str, detail: dict[str, str]) -> None:
    to_answer(spare(bench, "belt L 2"), answer).keys("space")
    entry = bench.newest()[0]
    assert (entry.kind, entry.subject, dict(entry.detail)) == (kind, part(bench, "belt L 2"), detail)


def test_a_part_put_away_wants_a_choice_and_comes_back(bench: Driver) -> None:
    spare(bench, "bearing 1")
    before = bench.newest()
    bench.keys("space")
    assert bench.newest() == before
    to_answer(bench, "back in the box").keys("space")
    assert bench.newest()[0].detail == {"to": "spares"}


def test_a_spare_is_weighed_by_its_answer_or_by_a_bare_figure(bench: Driver) -> None:
    to_answer(spare(bench, "belt L 2"), "weigh").keys("space").type("a lot").keys("enter")
    assert "not taken" in bench.text()
    bench.keys(*["backspace"] * 5).type("5 oz").keys("enter")
    assert bench.newest()[0].kind == "part_weighed"
    bench.type("0.142").keys("enter")
    assert bench.newest()[0].detail["value_kg"] == pytest.approx(0.142)


def test_what_is_wanted_is_asked_warned_of_and_to_buy(bench: Driver) -> None:
    to_answer(spare(bench, "belt L 2"), "how many wanted").keys("space").type("4").keys("enter")
    assert bench.newest()[0].detail["spares_wanted"] == 4
    assert bench.screen()[2] == "  lists     [ box 2 short ]  stock 1 short  used today, to buy 3"
    said = "  box       belt: 2 good, 2 of them not tested; 4 wanted, 2 short"
    assert bench.row("  box   ") == said
    assert bench.session.view is not None
    assert "belt short, 2 good spares, 4 wanted" in bench.session.view.warnings()
    bench.keys("pageup")
    assert [row.split()[:3] for row in bench.screen()[4:7]] == [
        [">", "buy", "belt"],
        ["buy", "bearing", "1"],
        ["buy", "M10x30", "10.9"],
    ]
    assert here(bench).split() == ["buy", "belt", "2", "2", "good,", "4", "wanted"]
    assert bench.row("-- buy ").startswith("-- buy 2 belts --")
    assert bench.row("  box       ") == said
    bench.keys("enter")
    assert here(bench).split()[:3] == ["good", "belt", "belt"]


def test_what_the_day_left_short_is_counted_out_and_to_buy(bench: Driver) -> None:
    bench.keys("pagedown")
    assert bench.screen()[2] == "  lists     box 1 short  [ stock 1 short ]  used today, to buy 2"
    assert bench.screen()[4:6] == [
        "> short     M10x30 10.9                       10     12  09:22 #487, batch box 7",
        "  enough    M5x14 8.8                         12      8  09:23 #488",
    ]
    assert bench.row("  left  ") == "  left      10: 18 counted 09:22, 8 used; 12 wanted, 2 short"
    assert bench.row("  goes into") == "  goes into upright L, upright R"
    begin = next(n for n, row in enumerate(bench.screen()) if row.startswith("  story"))
    story = [row.replace("story", "").split() for row in bench.screen()[begin : begin + 3]]
    assert [(row[0], row[1], row[-1]) for row in story] == [
        ("-6", "13:12", "#778"),
        ("-2", "11:07", "#592"),
        ("18", "09:22", "#487"),
    ]
    assert bench.session.view is not None
    assert "M10x30 10.9 short, 10 left, 12 wanted" in bench.session.view.warnings()
    bench.keys("pagedown", "down")
    assert here(bench).split() == ["buy", "M10x30", "10.9", "2", "10", "left,", "12", "wanted"]
    bench.keys("space").type("2").keys("enter")
    assert bench.screen()[2] == "  lists     box 1 short  stock  [ used today, to buy 1 ]"
    bench.keys("pageup")
    assert bench.row("  left  ") == "  left      12: 18 counted 09:22, 2 bought, 8 used; 12 wanted"


def test_what_came_with_a_part_that_failed_is_to_look_at(bench: Driver) -> None:
    belt = part(bench, "belt L 1")
    desk = bench.session.desk()
    fitted = desk.case().whereabouts(belt).first()
    assert fitted is not None
    bench.session.write(mending.found(desk, belt, fitted.entry.place or "", "cracked"))
    bench.settle()
    bench.keys("pageup")
    assert bench.screen()[2] == "  lists     box 1 short  stock 1 short  [ used today, to buy 2, look at 1 ]"
    bench.keys("down", "down")
    assert " ".join(here(bench).split()) == "look at belt R same batch box 3 as belt L 1"
    assert bench.row("  why   ") == "  why       same batch box 3 as belt L 1"
    bench.keys("enter")
    assert isinstance(bench.shell.page, Story)
    assert "belt L 1" in bench.text()


def test_stock_is_added_counted_used_and_bought_in_few_keys(bench: Driver) -> None:
    bench.keys("pagedown")
    to_answer(bench, "a new item").keys("space").type("M6x20 12 wanted 10").keys("enter")
    bench.shell.show(Spares(bench.session, bench.newest()[0].subject))
    assert here(bench).split()[:4] == ["enough", "M6x20", "12", "10"]
    before = bench.count
    bench.type("-4 for upright L").keys("enter")
    assert bench.count - before == 17
    assert bench.newest()[0].detail["how"] == "used"
    assert here(bench).split()[:4] == ["short", "M6x20", "8", "10"]
    bench.type("+20").keys("enter")
    assert here(bench).split()[:4] == ["enough", "M6x20", "28", "10"]
    bench.keys("space").type("27").keys("enter")
    to_answer(bench, "used").keys("space").type("x").keys("enter")
    assert "is no count" in bench.text()
    bench.keys("backspace").type("2").keys("enter")
    to_answer(bench, "bought").keys("space").type("1 batch B8").keys("enter")
    assert here(bench).split()[:4] == ["enough", "M6x20", "26", "10"]
    assert here(bench).endswith("batch B8")


def test_the_line_counts_anywhere_and_a_new_name_is_asked_twice(bench: Driver) -> None:
    bench.keys("tab", "h").type("stock M6x20 40").keys("enter")
    assert "sure?" in bench.text()
    bench.keys("enter")
    assert {entry.kind for entry in bench.newest(2)} == {"stock", "stocked"}
    bench.type("m6x20").keys("enter")
    assert isinstance(bench.shell.page, Spares)
    assert here(bench).split()[0] == "M6x20"


def test_what_was_used_today_is_listed_with_its_entry(bench: Driver) -> None:
    bench.keys("pageup")
    assert "used today, to buy" in bench.screen()[2]
    rows = [row for row in bench.screen() if row[2:].startswith("used")]
    assert any("bearing 8" in row and "at bearing R inner" in row for row in rows)
    assert any("M10x30 10.9  " in row and " 6  new in upright L" in row for row in rows)
    while "bearing 8" not in here(bench):
        bench.keys("down")
    number = here(bench).split()[-1]
    assert bench.row("  rests on").startswith(f"  rests on  {number} 13:05 MK part in bearing 8 at bearing R inner")
    bench.keys("enter")
    assert isinstance(bench.shell.page, Story)


def test_stock_used_today_leads_to_what_is_left_of_it(bench: Driver) -> None:
    bench.keys("pageup", "down", "down")
    assert here(bench).split()[:3] == ["used", "M10x30", "10.9"]
    bench.keys("enter")
    assert here(bench).split()[:3] == ["short", "M10x30", "10.9"]


def test_what_changed_with_the_configuration_is_not_among_what_was_used(bench: Driver) -> None:
    assert bench.session.view is not None
    names = {gone.name for gone in used_today(bench.session.view.case)}
    assert {"bearing 8", "wheel 5", "M10x30 10.9"} <= names
    assert not names & {"plow", "0.20 shim"}


def test_a_small_screen_and_an_empty_book(tmp_path: Path, bench: Driver) -> None:
    for _ in range(3):
        assert all(len(row) <= 60 for row in bench.screen(60, 20))
        bench.keys("pagedown")
    empty = empty_bench(tmp_path).keys("tab", "x")
    assert "no robot in this book yet" in empty.text()


def test_names_are_shown_as_they_are(bench: Driver) -> None:
    to_answer(bench.keys("pagedown"), "a new item").keys("space").type("[b]nut[/b] 4").keys("enter")
    bench.keys("down", "down")
    assert "[b]nut[/b]" in here(bench)


# lives


def story(bench: Driver, name: str) -> Driver:
    bench.shell.show(Story(bench.session, part(bench, name), name))
    return bench


def test_the_story_says_the_life_and_gives_one(bench: Driver) -> None:
    story(bench, "belt L 1")
    assert bench.row("  life  ") == "  life      3 of 4 fights: 1 fight left"
    before = bench.newest()
    bench.keys("space")
    assert bench.newest() == before
    bench.keys("right", "space").type("3 fights").keys("enter")
    assert bench.newest()[0].kind == "part_kind"
    assert bench.row("  life  ") == "  life      3 of 3 fights: used up"
    assert bench.session.view is not None
    assert [job.action for job in bench.session.view.jobs if job.action == "renew"] == ["renew", "renew"]


def test_a_life_used_up_is_renewed_from_home(bench: Driver) -> None:
    bench.keys("tab", "h").type("add life belt 3 fights").keys("enter")
    rows = bench.screen(80, 40)
    assert any(row[2:].startswith("DUE       renew: belt L ") for row in rows)
    while "renew: belt L" not in here(bench):
        bench.keys("down")
    before = bench.count
    assert "life used up, 3 of 3 fights" in bench.text()
    bench.keys("space")
    assert isinstance(bench.shell.page, Swap)
    bench.keys("down", "space")
    assert bench.count - before == 3
    assert bench.newest()[0].subject == part(bench, "belt L 2")
    assert bench.session.view is not None
    assert [
        item.subject for item in bench.session.view.standing.requirements if item.group == "life" and item.blocks
    ] == [part(bench, "belt R 1")]


def test_what_its_kind_failed_at_is_told_and_offered(bench: Driver) -> None:
    story(bench, "wheel 5")
    assert bench.row("  failed") == "  failed    its kind failed at 1 fight; this one has 2"
    bench.keys("right", "space")
    assert "this kind failed at 1 fight. how long does every wheel last?" in " ".join(bench.text().split())
    assert bench.shell.line.text == "1 fight"
    bench.keys("enter")
    assert bench.newest()[0].detail["life_fights"] == 1


def test_what_it_had_behind_it_is_asked(bench: Driver) -> None:
    story(bench, "belt L 2")
    to_answer(bench, "had fights before").keys("space").type("2").keys("enter")
    assert bench.row("  life  ") == "  life      2 of 4 fights: 2 fights left"


def test_a_finding_of_a_kind_without_a_life_offers_one(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "10:56").keys("tab", "g")
    assert "worn" in bench.text()
    labels = {answer.label for answer in bench.shell.page.answers().items}
    assert {"swap the part", "give it a life"} <= labels
    to_answer(bench, "give it a life").keys("space").type("3 fights").keys("enter")
    assert bench.newest()[0].detail["life_fights"] == 3


def test_a_new_item_taken_back_is_gone(bench: Driver) -> None:
    to_answer(bench.keys("pagedown"), "a new item").keys("space").type("M6x20 12").keys("enter")
    assert "M6x20" in "\n".join(bench.screen()[4:8])
    bench.keys("tab", "u")
    assert "[ stock 1 short ]" in bench.screen()[2]
    assert [row.split()[1] for row in bench.screen()[4:6]] == ["short", "M5x14"]
    assert "M6x20" not in "\n".join(bench.screen()[3:-3])


def test_a_book_without_stock_asks_for_the_first_item(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "r", "space").type("PEWTER WASP").keys("enter")
    bench.type("13.61").keys("enter", "space").type("1 kg frame").keys("enter", "space", "right", "space")
    bench.keys("tab", "x", "pagedown")
    assert bench.row("  stock   ").strip().startswith("stock     nothing is counted yet")
    bench.keys("space").type("M10x30 12 wanted 10").keys("enter")
    assert here(bench).split()[:4] == ["enough", "M10x30", "12", "10"]
    bench.keys("tab", "u")
    assert "nothing is counted yet" in bench.text()


def test_a_part_goes_to_the_place_it_is_named_for(bench: Driver) -> None:
    answer = spare(bench, "belt R 2").shell.answer()
    assert answer is not None
    assert answer.label == "in at belt R"
