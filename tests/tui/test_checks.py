"""Short lists on the screen: answering by keys, cautions above their lines, figures, a second person."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import fitting
from pitcrew.bench.standing import view
from pitcrew.checklists import load
from tests.tui.driver import Driver, bench_at, empty_bench

EVERY = {item.id: item for item in load()}
LISTS = {ident: item for ident, item in EVERY.items() if item.each_fight}
OTHERS = [ident for ident in EVERY if ident not in LISTS]


def at_checks(tmp_path: Path, at: str = "15:24", by: str = "MK") -> Driver:
    return bench_at(tmp_path, at, by=by).keys("tab", "c")


def at_list(tmp_path: Path, checklist: str, by: str = "MK") -> Driver:
    driver = at_checks(tmp_path, by=by)
    while driver.shell.page.key() != checklist:
        driver.keys("down")
    return driver.keys("space")


def verdict(driver: Driver, checklist: str) -> str:
    source = driver.session.source
    judged = view(driver.session.evidence, driver.session.robot, driver.session.now(), source.checklists)
    return next(item.verdict for item in judged.standing.requirements if item.key == f"check:{checklist}")


def labels(driver: Driver) -> list[str]:
    return [item.label for item in driver.shell.page.answers().items]


def here(driver: Driver, width: int = 80, height: int = 24) -> str:
    (row,) = [row for row in driver.screen(width, height) if row.startswith(">")]
    return row


def test_the_lists_of_the_day_in_their_order(tmp_path: Path) -> None:
    rows = at_checks(tmp_path).screen()
    assert rows[2] == "  verdict   list           lines                min people  when"
    assert rows[3].startswith("> DUE       make safe      0 of 5 answered        4      2  each fight,")
    assert [row[12:23].strip() for row in rows[3:6]] == ["make safe", "test box", "before call"]
    assert rows[6:11] == [
        "  other moments: none keeps it from fighting           min people  last in full",
        "  due       first robot on a new event      0 of 12     30      1  never",
        "  due       weigh-in and safety inspection  0 of 12     15      2  never",
        "  due       pack charging                   0 of 11      5      1  never",
        "  due       close of day                    0 of 12     20      2  never",
    ]
    assert "  why       good for one fight; H3 ended 15:22" in rows


def test_every_list_of_the_day_shows_the_verdict_it_was_given(tmp_path: Path) -> None:
    driver = at_checks(tmp_path, "16:05")
    for checklist in ("make safe", "test box", "before call"):
        judged = verdict(driver, checklist)
        shown = judged if judged == "pass" else judged.upper()
        assert here(driver).startswith(f"> {shown:<9} {checklist}")
        driver.keys("down")


def test_make_safe_by_two_people_takes_ten_keys_from_home(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    driver.count = 0
    driver.keys("space")  # the first row of home: start
    driver.keys(*["space"] * 5)
    assert "5 of 5 answered, 2 want a second person" in driver.text()
    assert verdict(driver, "make safe") == "due"
    assert labels(driver)[0] == "second person signs"
    driver.keys("space").type("ew").keys("enter")
    assert driver.count == 10
    assert verdict(driver, "make safe") == "pass"
    signed = driver.newest(2)
    assert [(entry.by, entry.detail) for entry in signed] == [("MK", {"answer": "yes", "second": "EW"})] * 2
    assert len({entry.act for entry in signed}) == 1
    assert {entry.subject.rsplit("/", 1)[1] for entry in signed} == {"lock in", "power off"}
    # Done: Space goes back to where one came from.
    driver.keys("space")
    assert driver.shell.page.name == "home"
    assert "make safe" not in driver.row("> ")


def test_rows_say_who_when_and_who_must_still_sign(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe").keys(*["space"] * 5)
    rows = driver.screen()
    assert rows[2] == "  DUE       make safe, after H3   5 of 5 answered, 2 want a second person"
    assert "> DUE       weapon lock in, flag seen                    second ?   MK    15:24" in rows
    assert "  DUE       main power off, power light out              second ?   MK    15:24" in rows
    assert "  pass      edge covers on                                          MK    15:24" in rows
    assert "  second    look at it yourself, then sign; MK did it and cannot" in rows


def test_who_answered_cannot_sign_whoever_is_at_the_keys(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe").keys(*["space"] * 5)
    before = driver.newest()
    driver.keys("space").type("mk").keys("enter")
    assert "who did it cannot be the second person" in driver.text()
    assert driver.newest() == before
    driver.keys("backspace", "backspace").type("zz").keys("enter")
    assert "nobody in the crew has the initials" in driver.text()
    assert driver.newest() == before
    driver.keys("backspace", "backspace", "backspace")
    driver.session.by = "EW"
    driver.keys("space").type("mk").keys("enter")
    assert driver.newest() == before
    driver.keys("backspace", "backspace").type("ew").keys("enter")
    assert (driver.newest()[0].by, driver.newest()[0].detail["second"]) == ("MK", "EW")
    assert verdict(driver, "make safe") == "pass"


def test_a_caution_stands_directly_above_the_line_it_guards(tmp_path: Path) -> None:
    rows = at_list(tmp_path, "make safe").screen()
    for line in LISTS["make safe"].lines:
        if line.caution:
            (at,) = [index for index, row in enumerate(rows) if row[12:].startswith(line.text)]
            assert rows[at - 1] == f"! {line.caution}"


@pytest.mark.parametrize("checklist", list(LISTS))
@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40)])
def test_no_line_is_shown_without_its_caution(tmp_path: Path, checklist: str, width: int, height: int) -> None:
    driver = at_list(tmp_path, checklist)
    for _ in LISTS[checklist].lines:
        rows = driver.screen(width, height)
        assert len(rows) == height and max(map(len, rows)) <= width
        shown = " ".join(row.strip() for row in rows)
        current = next(line for line in LISTS[checklist].lines if line.id == driver.shell.page.key())
        if current.caution:
            words = " ".join(row[2:].strip() for row in rows)
            assert current.caution in words, (current.caution, shown)
        assert here(driver, width, height)
        driver.keys("down")


def test_a_figure_goes_with_its_line_and_steps_on(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe")
    assert "type the spin-down in s, then Enter: at most 60 s" in driver.text()
    driver.count = 0
    driver.type("24").keys("enter")
    assert driver.count == 3
    (entry,) = driver.newest()
    assert entry.detail == {"answer": "yes", "figure": 24.0}
    assert driver.row("24 s of 60").startswith("  pass      weapon at rest")
    assert driver.shell.page.key() == "lock in"


@pytest.mark.parametrize(("typed", "seconds"), [("24 s", 24.0), ("0.5 min", 30.0), ("0:45", 45.0)])
def test_a_figure_is_read_in_any_unit_of_time(tmp_path: Path, typed: str, seconds: float) -> None:
    driver = at_list(tmp_path, "make safe").type(typed).keys("enter")
    assert driver.newest()[0].detail["figure"] == pytest.approx(seconds)


def test_a_figure_over_the_limit_fails_and_the_keys_stay(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe").type("70").keys("enter")
    assert here(driver).startswith("> FAIL      weapon at rest")
    assert "70 s of 60: more than the event allows" in driver.text()
    assert verdict(driver, "make safe") == "fail"


def test_a_figure_of_another_sort_answers_nothing(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe").type("24 mm").keys("enter")
    assert driver.newest()[0].kind != "answered"
    assert "0 of 5 answered" in driver.text()
    assert driver.shell.page.key() == "weapon at rest"


def test_what_proves_a_safety_item_wants_its_figure(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "test box")
    while driver.shell.page.key() != "power cut":
        driver.keys("down")
    before = driver.newest()
    driver.keys("space")
    assert driver.newest() == before
    assert "type the figure, or choose" in driver.text()
    driver.type("8").keys("enter")
    assert driver.newest()[0].detail == {"answer": "yes", "figure": 8.0}


def test_no_fails_and_yes_mends_it(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "before call").keys("down", "right", "right", "space")
    assert driver.newest()[0].detail["answer"] == "no"
    assert here(driver).startswith("> FAIL      right packs in, charged")
    assert verdict(driver, "before call") == "fail"
    before = driver.newest()
    driver.keys("space")
    assert driver.newest() == before
    driver.keys("right", "space")
    assert driver.newest()[0].detail["answer"] == "yes"
    assert verdict(driver, "before call") == "due"


def test_only_what_may_be_skipped_is_and_with_a_word_why(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "test box")
    for line in LISTS["test box"].lines:
        assert driver.shell.page.key() == line.id
        assert ("skipped" in labels(driver)) == line.may_skip
        driver.keys("down")
    while driver.shell.page.key() != "weapon direction":
        driver.keys("up")
    before = driver.newest()
    driver.keys("right", "right", "space", "enter")
    assert "a skipped line wants a word why" in driver.text()
    assert driver.newest() == before
    driver.type("no time").keys("enter")
    assert driver.newest()[0].detail == {"answer": "skipped", "note": "no time"}
    assert "skipped   weapon turns its right way" in driver.text()


def test_what_the_book_itself_knows_is_answered_by_it(tmp_path: Path) -> None:
    driver = at_checks(tmp_path, "16:06")
    while driver.shell.page.key() != "before call":
        driver.keys("down")
    driver.keys("space")
    assert driver.screen()[2] == "  pass      before call, after H3   12 of 12 answered"
    while driver.shell.page.key() != "weight":
        driver.keys("down")
    assert here(driver).startswith("> pass      in weight as it is entered")
    assert here(driver).endswith(" book")
    assert "  the book  figured 112.862 kg +-" in driver.text(), driver.text()
    driver.keys("up")
    assert ", 14 joints, 9" in driver.text(height=40)
    assert "threadlockers: none blocks" in driver.text(height=40)
    # Somebody who sees it otherwise is heard.
    driver.keys("right", "space")
    assert here(driver).startswith("> FAIL      nothing to mend, look at or torque")
    assert verdict(driver, "before call") == "fail"


def test_what_the_book_cannot_answer_yet_says_why_and_takes_an_answer_by_hand(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "before call").keys(*["down"] * 3)
    assert driver.shell.page.key() == "work done"
    assert "  the book  answers it when these 23 no longer block, first" in driver.text(), driver.text()
    before = driver.newest()
    driver.keys("space")
    assert driver.newest() == before
    assert "the book sees it otherwise" in driver.text()
    driver.keys("right", "space")
    assert driver.newest()[0].subject.endswith("/before call/work done")
    assert "nothing to mend, look at or torque" in driver.row("MK    15:24")


def test_an_answer_that_still_stands_is_not_asked_for_again(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "before call").keys("down", "right", "space", "backspace", "space")
    # Back in the list, the keys are at the first line that nobody answered.
    assert driver.shell.page.key() == "lock in"
    driver.keys("space")
    assert driver.shell.page.key() == "plugs"
    assert driver.row("right packs in, charged").startswith("  pass")


def test_what_is_taken_back_is_asked_for_again(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "make safe").keys("space", "space")
    assert driver.shell.page.key() == "power off"
    driver.keys("tab", "u")
    row = driver.row("weapon lock in, flag seen")
    assert row.startswith("  DUE") and "MK" not in row


def test_the_event_s_wording_stands_with_the_line(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "test box")
    assert driver.session.view is not None and driver.session.view.case.defs.event is not None
    order = driver.session.view.case.defs.event.start_order
    assert order and order in driver.text()


def test_a_list_of_another_moment_is_answered_and_used_up_and_blocks_nothing(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "charging")
    blocking = driver.screen()[0]
    assert "28 block" in blocking
    assert driver.row("pack charging").startswith("  due       pack charging   0 of 11 answered")
    driver.keys("right", "space")
    assert here(driver).startswith("> fail      cases flat and whole")
    driver.keys("right", "space")
    for line in EVERY["charging"].lines[1:]:
        assert driver.shell.page.key() == line.id
        driver.type("12").keys("enter") if line.figure else driver.keys("space")
    assert driver.screen()[0] == blocking
    driver.keys("backspace")
    assert here(driver).startswith("> pass      pack charging                   11 of 11     5      1  15:24")
    assert "  last      answered in full 15:24 by MK" in driver.screen()
    driver.session.write(fitting.packs_out(driver.session.desk()))
    driver.later(1)
    assert here(driver).startswith("> due       pack charging                   0 of 11      5      1  15:24")
    assert "answered in full 15:24 by MK; used up: #" in driver.text(200, 60)
    assert "why       good for one charge; #" in driver.text()


def test_lists_of_other_moments_show_each_caution_above_its_line_on_the_smallest_screen(tmp_path: Path) -> None:
    driver = at_checks(tmp_path)
    for checklist in OTHERS:
        while driver.shell.page.key() != checklist:
            driver.keys("down")
        assert "never answered in full" in driver.text(60, 20)
        driver.keys("space")
        for line in EVERY[checklist].lines:
            assert driver.shell.page.key() == line.id
            rows = driver.screen(60, 20)
            assert len(rows) == 20 and max(map(len, rows)) <= 60
            assert here(driver, 60, 20).startswith("> due ")
            assert (line.caution or "") in " ".join(row[2:].strip() for row in rows)
            driver.keys("down")
        driver.keys("backspace")


def test_notes_are_shown_as_they_were_typed(tmp_path: Path) -> None:
    driver = at_list(tmp_path, "test box")
    while driver.shell.page.key() != "weapon direction":
        driver.keys("down")
    driver.keys("right", "right", "space").type("[b]x[/b] \\[").keys("enter", "up")
    text = driver.text(120, 40)
    assert "[b]x[/b] \\[" in text


def test_an_empty_book(tmp_path: Path) -> None:
    driver = empty_bench(tmp_path).keys("tab", "c", "space", "enter", "down")
    assert "no robot in this book yet" in driver.text()
