"""A run through the pieces of a gap by keys: what each writes, what it makes of the gap, what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pitcrew.logbook.writing import Draft
from pitcrew.tui.pages.gaps import known
from pitcrew.tui.pages.run import Run
from tests.tui.driver import Driver, bench_at
from tests.tui.test_stacks import at_stacks, go_to, here, requirement_verdict


def at_run(tmp_path: Path, at: str = "15:24", name: str = "weapon float", **named: str) -> Driver:
    driver = at_stacks(tmp_path, at, **named)
    go_to(driver, name).keys("space")
    assert isinstance(driver.shell.page, Run)
    return driver


def run_of(driver: Driver) -> Run:
    page = driver.shell.page
    assert isinstance(page, Run)
    return page


def test_the_run_at_15_24(tmp_path: Path) -> None:
    rows = at_run(tmp_path).screen()
    assert rows[2:13] == [
        "  RECHECK   weapon float                                 W1 UL UR   0 of 7 read",
        "! Lock in before any hand. Out of the plane of the weapon. Eye protection.",
        "    piece                    reading   with  when      last           doubt",
        "> + gap between uprights       ?       ROD             262.05 at 13:52     16%",
        "  - washer L                           MIC             2.00 at 13:52        5%",
        "  - spacer L                           MIC             6.00 at 13:52        5%",
        "  - rotor or hub width                 CAL             245.20 at 13:52     59%",
        "  - spacer R                           MIC             6.00 at 13:52        5%",
        "  - washer R                           MIC             2.00 at 13:52        5%",
        "  - shim                               MIC             0.20 at 13:52        5%",
        "  = weapon float               0.65 mm +-0.046   |       o |   0.25 to 0.75",
    ]
    assert rows[21].startswith("  answer    [ not touched ]   0.25 goes, 0.75 does not   the gap itself")


def test_a_typed_run_takes_nineteen_keys_from_the_row_and_is_one_act(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    go_to(driver, "measure: weapon float")
    driver.count = 0
    driver.keys("space").type("262.05").keys("enter", "space", "space").type("245.5").keys("enter", *["space"] * 3)
    assert driver.count == 19
    width, gap = driver.newest(2)
    assert (gap.subject.split("/")[1], gap.detail["value_m"], gap.detail["typed"]) == (
        "gap between uprights",
        0.26205,
        "262.05",
    )
    assert (width.subject.split("/")[1], width.detail["value_m"]) == ("width over hub", 0.2455)
    assert width.act == gap.act == run_of(driver).act
    rows = driver.screen()
    assert rows[2] == "  pass      weapon float                 W1 UL UR   2 of 7 read, the rest stand"
    assert rows[5] == "  + gap between uprights     262.05 mm ROD   15:24 MK  262.05, no change   16%"
    assert rows[8] == "  - rotor or hub width       245.50 mm CAL   15:24 MK  245.20, +0.30       59%"
    assert rows[12] == "> = weapon float               0.35 mm +-0.046   |=#=      |   0.25 to 0.75"
    assert rows[21].startswith("  answer    [ done ]")
    assert requirement_verdict(driver) == "pass"
    assert driver.keys("space").shell.page.name == "home"


def test_a_feeler_takes_two_keys_from_the_row(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    go_to(driver, "measure: weapon float")
    driver.count = 0
    driver.keys("right", "space")
    assert driver.count == 2
    (entry,) = driver.newest()
    assert (entry.kind, entry.detail) == ("direct", {"goes_m": 0.00025, "stops_m": 0.00075})
    assert requirement_verdict(driver) == "pass"


def test_not_touched_logs_nothing(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    before = driver.newest()
    driver.keys(*["space"] * 7)
    assert driver.newest() == before
    assert here(driver).startswith("> = weapon float")
    assert driver.shell.page.answers().first is None
    driver.keys("space")
    assert isinstance(driver.shell.page, Run)
    assert "nothing proves it yet" in driver.screen()[21]


def test_the_feeler_in_the_run_ends_at_the_gap(tmp_path: Path) -> None:
    driver = at_run(tmp_path).keys("right", "space")
    assert here(driver) == "> = weapon float             feeler              |=========|   0.25 to 0.75"
    assert driver.screen()[21].startswith("  answer    [ done ]")


def test_the_gap_itself_is_typed_at_its_own_row(tmp_path: Path) -> None:
    driver = at_run(tmp_path).keys("right", "right", "space")
    assert "type the gap as it is measured directly" in driver.screen()[21]
    driver.type("1.2").keys("enter")
    (entry,) = driver.newest()
    assert (entry.kind, entry.detail["value_m"], entry.act) == ("direct", 0.0012, run_of(driver).act)
    rows = driver.screen()
    assert rows[2].startswith("  FAIL      weapon float")
    assert rows[4].startswith("! The direct look and the sum of the pieces are further apart than their doubt:")


def test_another_instrument_is_picked_by_saying_it(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    driver.keys("right", "right", "right")
    names = []
    for _ in range(4):
        driver.keys("space")
        names.append(here(driver)[38:43].strip())
    assert names == ["TRG", "CAL", "MIC", "ROD"]
    driver.keys("space").type("262.05").keys("enter")
    (entry,) = driver.newest()
    case = driver.session.case()
    assert case is not None
    assert case.defs.instruments[entry.detail["instrument"]].name == "TRG"


def test_a_piece_read_again_goes_on_to_what_is_not_read(tmp_path: Path) -> None:
    driver = at_run(tmp_path).type("262.05").keys("enter").type("2.00").keys("enter")
    assert "spacer L" in here(driver)
    driver.keys("up", "up").type("262.10").keys("enter")
    assert "spacer L" in here(driver)
    assert driver.screen()[5].startswith("  + gap between uprights     262.10 mm ROD   15:24 MK  262.05, +0.05")
    assert driver.screen()[2].endswith("2 of 7 read, the rest stand")


@pytest.mark.parametrize("typed", ["95 in-lb", "3 kg", "1/0", "--5"])
def test_what_is_no_length_is_refused_and_the_keys_stay(tmp_path: Path, typed: str) -> None:
    driver = at_run(tmp_path)
    driver.type(typed).keys("enter")
    assert driver.newest()[0].kind not in ("reading", "direct")
    assert run_of(driver).row == 0
    assert "0 of 7 read" in driver.text()


def test_a_far_off_figure_is_asked_for_twice(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    before = driver.newest()
    driver.type("26.205").keys("enter")
    assert driver.newest() == before
    assert "Enter again logs it" in driver.text()


def test_entries_of_others_do_not_move_the_keys(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    assert driver.session.view is not None
    robot = driver.session.robot
    detail = {"of": robot, "dimension": "gap between uprights", "value_m": 0.26205}
    driver.book.append([Draft("reading", f"{robot}/gap between uprights", "DV", robot=robot, detail=detail)])
    driver.shell.elsewhere(driver.session.news())
    driver.settle()
    assert "gap between uprights" in here(driver)
    assert "262.05 mm" in here(driver)
    assert "15:24 DV" in here(driver)


def test_taking_back_takes_the_readings_off_the_run(tmp_path: Path) -> None:
    driver = at_run(tmp_path).type("262.05").keys("enter")
    assert driver.screen()[2].startswith("  pass ")
    driver.keys("tab", "u")
    assert driver.screen()[2] == "  RECHECK   weapon float                                 W1 UL UR   0 of 7 read"
    assert "262.05 at 13:52" in driver.screen()[5]


def test_where_nothing_sits_says_so_and_takes_no_figure(tmp_path: Path) -> None:
    driver = at_run(tmp_path, "15:40")
    go_to(driver, "rotor or hub width")
    assert here(driver) == "> - rotor or hub width                                 no part in"
    assert driver.shell.page.awaited() is None
    labels = [item.label for item in driver.shell.page.answers().items]
    assert labels[:2] == ["not touched", "put a part in"]
    assert all(not label.startswith("read with") for label in labels)
    assert driver.keys("right", "space").shell.page.name == "parts"


def test_no_shim_is_no_gap_in_the_chain(tmp_path: Path) -> None:
    driver = at_run(tmp_path, "13:18")
    go_to(driver, "- shim")
    assert here(driver).endswith("none in: counts 0")
    assert "put a part in" not in [item.label for item in driver.shell.page.answers().items]


def test_which_screw_stands_in_the_run(tmp_path: Path) -> None:
    text = at_run(tmp_path, "15:40", "screw clear R").text()
    assert "  why       1.50 outside 0.50, by more than its doubt, 0.414" in text
    assert "  what if   M5x14 screws          1.00     |  o        pass" in text
    assert "            but then screw engagement R would not pass" in text


def test_a_marginal_says_what_settles_it_and_the_pit_boss_takes_it_on(tmp_path: Path) -> None:
    driver = at_run(tmp_path, "13:46", by="PB")
    text = driver.text()
    assert "  why       0.10 inside 0.75, but pass needs 0.174" in text
    assert "  settle    read washer L, spacer L, spacer R with MIC: the doubt is 0.072 then," in text
    driver.keys(*["down"] * 7, "right", "space")
    (entry,) = driver.newest()
    assert (entry.kind, entry.by) == ("accepted", "PB")
    assert driver.screen()[2].startswith("  marginal  weapon float")
    assert "taken on  by PB" in driver.text()


def test_somebody_else_cannot_take_a_marginal_on(tmp_path: Path) -> None:
    driver = at_run(tmp_path, "13:46", by="MK")
    before = driver.newest()
    driver.keys(*["down"] * 7, "right", "space")
    assert driver.newest() == before
    assert "only the pit boss takes on a marginal" in driver.text()


def test_found_something_opens_the_form_at_the_place(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    go_to(driver, "rotor or hub width").keys("left", "space")
    assert driver.shell.page.name == "found"


def test_the_working_opens_from_the_run_and_can_be_read_to_its_end(tmp_path: Path) -> None:
    driver = at_run(tmp_path).keys("enter")
    first = driver.screen()
    assert first[2] == "  RECHECK   weapon float"
    driver.keys("pagedown")
    assert "13:45 MK 0.65 +-0.174    |    ===#=|== marginal" in driver.text()
    driver.keys(*["pagedown"] * 4)
    assert "own bar, the knock-out" in driver.text()
    assert driver.keys("backspace").shell.page.name == "measure"


def test_the_working_names_the_instruments_and_their_shares_in_figures(tmp_path: Path) -> None:
    rows = at_run(tmp_path).keys("enter").screen(80, 50)
    assert "            U = 2 sqrt( (ROD 0.015)^2/3 + (MIC 0.02)^2/3 + (CAL 0.03)^2/3 + 2 x" in rows
    assert "            0.01^2/12 + 5 x 0.001^2/12 ) = 0.046 mm" in rows


def test_what_would_be_no_better_is_not_offered(tmp_path: Path) -> None:
    driver = at_run(tmp_path, "13:46")
    now = run_of(driver).known()
    assert now is not None
    assert {item.word for item in now.ifs} == {"marginal", "fail"}
    assert "what if" not in driver.text(80, 35)


def test_an_overlap_of_four_chains(tmp_path: Path) -> None:
    driver = at_run(tmp_path, name="pinion overlap L")
    rows = driver.screen()
    # By hand: 29.00 - 8.00 - 5.00 = 16.00 decides; the faces, 18.00 and 20.00, are longer and own no doubt.
    assert "  working   29.00 - 8.00 - 5.00 = 16.00 mm" in rows
    face = next(row for row in rows if "gear face" in row)
    assert not face.endswith("%")


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40), (200, 60), (40, 10)])
def test_every_size_keeps_the_row_at_the_keys(tmp_path: Path, width: int, height: int) -> None:
    driver = at_stacks(tmp_path)
    for page in range(2):
        for _ in range(10):
            rows = driver.screen(width, height)
            assert len(rows) == height
            assert all(len(row) <= width for row in rows)
            assert sum(row.startswith(">") for row in rows) == 1, rows
            driver.keys("down")
        if page == 0:
            driver.keys(*["up"] * 10, "space")


def test_sixty_columns_keep_figure_and_mark(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    rows = driver.screen(60, 20)
    assert "  = weapon float             0.65 mm +-0.046   |       o |" in rows
    assert ">" in rows[6][:1]


def test_a_wide_run_has_the_days_gaps_beside_it(tmp_path: Path) -> None:
    rows = at_run(tmp_path).screen(120, 40)
    beside = [row[72:] for row in rows if "|" in row[72:]]
    assert beside == [
        "13:52 MK 0.65 +-0.046    |      =#=|   pass",
        "13:45 MK 0.65 +-0.174    |    ===#=|== marginal",
        "13:17 MK 0.55 +-0.044    |    =#=  |   pass",
        "12:24 MK 1.60 +-0.044    |         | > fail",
        "11:24 MK 0.50 +-0.044    |   =#=   |   pass",
        "08:56 MK 0.50 +-0.044    |   =#=   |   pass",
    ]


def test_names_from_elsewhere_are_shown_as_they_are(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    nasty = "[/] [red]gap\x1b[31m"
    piece = {"name": "[b]x\x07[/b]", "sign": 1, "dimension": "d"}
    detail = {"name": nasty, "zones": [], "recheck_from": 2, "low_m": 0.001, "chains": [[piece]]}
    # As a foreign program might have written it into the file: past every check of ours.
    (last,) = driver.newest()
    ident = driver.session.source.ids.mint(last.tick)
    columns: dict[str, Any] = {
        "id": ident,
        "tick": last.tick + 1,
        "kind": "stack",
        "subject": "odd",
        "place": None,
        "detail": detail,
    }
    driver.book.insert_raw([last._replace(**columns)], checked=True)
    driver.shell.elsewhere(driver.session.news())
    driver.settle()
    driver.keys("tab", "s")
    go_to(driver, "[red]gap").keys("space")
    text = driver.text()
    assert "[/] [red]gap" in text
    assert "[b]x" in text
    assert "\x1b" not in text
    assert "\x07" not in text


def test_what_is_shown_of_a_gap_is_of_the_book_as_it_is(tmp_path: Path) -> None:
    driver = at_run(tmp_path)
    page = run_of(driver)
    held = page.known()
    assert held is not None
    assert page.known() is held
    driver.type("262.05")
    driver.seconds += 1
    driver.shell.key("enter", "", driver.seconds)  # written, and not judged yet
    between = page.known()
    assert between is not None
    assert between is not held
    assert between.gap.requirement.verdict == "pass"
    assert len(between.past) == 6
    assert driver.session.stale
    driver.settle()
    view = driver.session.view
    assert view is not None
    anew = known(view.case, between.stack)
    assert page.known() is between
    assert anew._replace(case=between.case) == between
