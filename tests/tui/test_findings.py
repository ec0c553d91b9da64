"""Findings on the screen: what stands, what is run as is, what was put right, and what can be said to each."""

from __future__ import annotations

from pathlib import Path

from pitcrew.tui.finding import page_of
from pitcrew.tui.pages.findings import Findings
from tests.tui.driver import Driver, bench_at, empty_bench


def at_findings(tmp_path: Path, at: str = "15:24", **crew: str) -> Driver:
    return bench_at(tmp_path, at, **crew).keys("tab", "g")


def agree(bench: Driver) -> None:
    """Every finding that is judged stands on the screen with the same verdict, and no other does."""
    page, view = bench.shell.page, bench.session.view
    assert isinstance(page, Findings)
    assert view is not None
    judged = {item.subject: item for item in view.standing.requirements if item.group == "finding"}
    shown = {item.fact.root: item.requirement for item in page.items() if item.requirement is not None}
    assert shown == judged


def test_what_stands_is_first_then_what_is_run_as_is_then_what_was_put_right(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "15:40")
    rows = bench.screen()
    assert rows[2] == "  findings  2 stands   1 run as is   8 put right"
    assert rows[4].startswith("> FAIL      dr.. motor R")
    frayed, cracked, worn = (bench.number(f"found {what}") for what in ("frayed", "cracked", "worn"))
    assert rows[5] == f"  FAIL      belt R       belt R 1    frayed              15:30             {frayed}"
    assert rows[6] == f"  deferred  rear armour  rear armour cracked     14 mm   15:30 PB 25 mm    {cracked}"
    assert rows[10] == f"  mended    wheel 3      wheel 3     worn                10:55 replaced    {worn}"
    assert "clears it mend it or swap the part: shorted in the load path is never run" in bench.text()
    agree(bench)
    bench.keys("pagedown")
    assert "> deferred  rear armour" in bench.text()
    assert "why       run as is to 25 mm or the end of H4, taken on by PB" in bench.text()
    assert f"{bench.number('run as is')} 15:31 MK run as is rear armour: cracked" in bench.text()
    bench.keys("pagedown")
    assert "done      replaced 13:13 MK; it stands again if this very part is fitted again" in bench.text()
    bench.keys("pageup", "pageup", "pageup")
    assert bench.screen()[4].startswith("> FAIL")


def test_on_a_wide_screen_it_says_how_and_when_in_the_row(tmp_path: Path) -> None:
    text = at_findings(tmp_path, "15:40").text(120, 40)
    assert "wheel 3 (front R)    wheel 3              worn                     06-13 10:55 replaced 11:03" in text
    assert "06-13 15:30 PB 25 mm" in text


def test_on_a_small_screen_the_row_and_its_story_stay(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "15:40")
    rows = bench.screen(60, 20)
    assert max(map(len, rows)) <= 60
    assert "FAIL" in rows[4] and rows[4].endswith(bench.number("found shorted"))
    assert any("story" in row for row in rows)


def test_a_finding_is_put_right_and_sinks_to_the_end(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "16:40")
    root = bench.shell.page.key()
    labels = [answer.label for answer in bench.shell.page.answers().items]
    assert labels[:4] == ["swap the part", "replaced", "straightened", "welded"]
    bench.count = 0
    bench.keys("space")
    assert "choose first" in bench.text()
    bench.keys("right", "right", "right", "right", "space")
    assert bench.count == 6
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["how"]) == ("mended", root, "welded")
    agree(bench)
    page = bench.shell.page
    assert isinstance(page, Findings)
    assert next(item.group for item in page.items() if item.fact.root == root) == 2
    bench.keys("tab", "u")
    agree(bench)
    page = bench.shell.page
    assert isinstance(page, Findings)
    assert next(item.group for item in page.items() if item.fact.root == root) == 0


def test_what_must_not_be_run_as_is_is_refused_in_a_sentence(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "15:40")
    before = bench.newest()
    labels = [answer.label for answer in bench.shell.page.answers().items]
    # Another motor sits there already: that it was replaced is bracketed.
    assert bench.row("  answer").startswith("  answer    [ replaced ]")
    bench.keys(*["right"] * labels.index("run as is"), "space").type("PB").keys("enter")
    assert "shorted in the load path cannot be run as is" in bench.text()
    assert bench.newest() == before


def test_what_was_done_is_said_in_other_words(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "16:40")
    root, before = bench.shell.page.key(), bench.newest()
    labels = [answer.label for answer in bench.shell.page.answers().items]
    bench.keys(*["left"] * (len(labels) - labels.index("in other words")), "space", "enter")
    assert "nothing was typed" in bench.text()
    assert bench.newest() == before
    bench.type("wire  insert").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.detail["how"]) == ("mended", root, "wire insert")


def test_run_as_is_goes_to_a_size_and_to_the_end_of_the_fight(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, "15:30").keys("tab", "g")
    rows = bench.screen()
    bench.keys(*["down"] * (next(at for at, row in enumerate(rows) if "rear armour" in row) - 4))
    labels = [answer.label for answer in bench.shell.page.answers().items]
    bench.keys(*["left"] * (len(labels) - labels.index("run as is")), "space")
    assert "the most it may" in bench.text() and "PB 25 mm?" in bench.text()
    bench.type("XX 25 mm").keys("enter")
    assert "nobody in the crew has the initials" in bench.text()
    bench.keys(*["backspace"] * len("XX 25 mm")).type("pb 25").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.detail["accepted_by"], entry.detail["limit_m"]) == ("deferred", "PB", 0.025)
    assert bench.session.view is not None
    assert entry.detail["until_fight"] == bench.session.view.case.fight_id()
    agree(bench)


def test_enter_opens_what_blocks_or_the_line_in_the_logbook(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "15:40").keys("enter")
    assert bench.shell.page.name == "why"
    bench.keys("backspace", "pagedown", "pagedown", "enter")
    assert bench.shell.page.name == "logbook"


def test_something_found_is_on_the_list_at_once_and_shown_literally(tmp_path: Path) -> None:
    bench = at_findings(tmp_path)
    assert bench.screen()[2] == "  findings  0 stands   0 run as is   8 put right"
    notchy = bench.number("found notchy")
    assert bench.screen()[4] == f"> mended    be.. L outer bearing 1   notchy              12:28 replaced    {notchy}"
    bench.keys("right", "space")
    assert bench.shell.page.name == "found"
    bench.keys("left", "space").type("[red]bent").keys("enter", "space")
    assert bench.newest()[0].detail["what"] == "[red]bent"
    assert bench.shell.page.name == "findings"
    bent = bench.number("found [red]bent")
    assert bench.screen()[4] == f"  FAIL      be.. L outer bearing 5   [red]bent           15:24             {bent}"
    agree(bench)


def test_a_book_without_a_robot_says_so(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "g")
    assert "no robot in this book yet" in bench.text()
    bench.keys("space", "enter")
    assert bench.newest() == ()


def test_a_robot_without_findings_says_what_goes_here(tmp_path: Path) -> None:
    bench = at_findings(tmp_path, "2026-06-07 09:30", robot="NETTLE SPROCKET")
    assert "none yet. Space on a place says what is wrong" in bench.text()
    bench.keys("space")
    assert bench.shell.page.name == "found"


def test_the_keys_are_put_at_a_finding_by_its_line(tmp_path: Path) -> None:
    bench = at_findings(tmp_path)
    root = bench.shell.page.keys()[3]
    page = Findings(bench.session, root)
    assert (page.keys()[page.row], page.key()) == (root, root)
    assert page_of(bench.session, "entry", bench.number("found worn")) is not None
