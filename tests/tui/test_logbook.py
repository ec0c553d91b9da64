"""The logbook on the screen: every line to be found, in a book of any length."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

import pytest

from pitcrew.bench.remembering import Remembered
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry
from pitcrew.tui.frame import frame
from pitcrew.tui.loglines import MOST_HELD
from pitcrew.tui.pages.logbook import Logbook
from pitcrew.tui.pages.logline import LogLine
from tests.logbook.making import entry
from tests.tui.at_logbook import WIDTH, here, logbook, narrowed, to_answer, worked
from tests.tui.driver import Driver, bench_at, empty_bench


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    return worked(bench_at(tmp_path).keys("tab", "l"))


# --- What stands there


def test_the_newest_line_is_below_and_has_the_keys(bench: Driver) -> None:
    rows = bench.screen()
    count = bench.newest()[0].n
    assert rows[2] == f"  logbook   2026-06-13{f'{count} in the book, newest below':>58}"
    assert rows[14] == f">           #{count} 15:24 EW  pack set chosen set 2 with P9 (set 2 with P9 for H4)"
    assert rows[15].startswith(f"-- #{count} ---")
    assert rows[16] == "  said      pack set chosen set 2 with P9 (set 2 with P9 for H4)"
    assert rows[17] == "  by        EW 15:24 on 2026-06-13"
    assert rows[18] == "  moves     packs DUE"


def test_every_line_of_the_robot_comes_by_once_on_the_way_up(bench: Driver) -> None:
    page, seen = logbook(bench), set[str]()
    while True:
        item = page.lines.line()
        assert item is not None
        seen |= set(item.ids)
        at = page.lines.at
        bench.shell.key("up", "", bench.seconds)
        worked(bench)
        if page.lines.at == at == 0:
            break
    robot = bench.session.robot
    wanted = {
        found.id
        for found in bench.book.entries_after(0, 10_000)
        if found.robot == robot and found.kind not in DEFINITION_KINDS
    }
    assert seen == wanted


def test_a_correction_and_what_it_corrects_point_at_each_other(bench: Driver) -> None:
    narrowed(bench, "p9 weighed")
    replaced, corrects = bench.screen()[4:6]
    assert replaced.startswith("  replaced  #")
    assert replaced.endswith("1.07 kg")
    assert corrects.startswith("> corrects  #")
    assert corrects.endswith("1.17 kg")
    first = replaced.split()[1]
    assert f"{first}: part weighed P9" in corrects
    assert bench.row("  corrects  #").startswith(f"  corrects  {first} 12:50 EW: part weighed 1.07 kg P9")
    assert "weight A pass" in bench.row("moves")
    bench.keys("up")
    assert "stays readable, no longer counts" in bench.text()
    assert "part weighed 1.17 kg P9" in bench.row("  now  ")


def test_a_withdrawn_line_and_its_withdrawal_say_so(bench: Driver) -> None:
    narrowed(bench, "box that was hit")
    taken_out = here(bench)
    assert taken_out.startswith("> withdraws #")
    bench.keys("backspace", "up")
    assert here(bench).startswith("> withdrawn #")
    assert f"#{here(bench).split()[2].lstrip('#')}-" in taken_out  # three packs went on the charger in one act


def test_days_are_set_apart(bench: Driver) -> None:
    narrowed(bench, "p9")
    days = [row.strip() for row in bench.screen() if row.strip().startswith("2026-")]
    assert days == ["2026-06-07", "2026-06-13"]


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (120, 40), (200, 60)])
def test_the_line_the_keys_are_at_stands_on_every_size(bench: Driver, width: int, height: int) -> None:
    for _ in range(60):
        bench.shell.key("up", "", bench.seconds)
        worked(bench)
        rows = bench.screen(width, height)
        assert len([row for row in rows if row.startswith(">")]) == 1
        assert all(len(row) <= width for row in rows)


def test_pages_turn_by_the_rows_that_are_shown(bench: Driver) -> None:
    bench.screen()
    start = logbook(bench).lines.line()
    worked(bench.keys("pageup"))
    middle = logbook(bench).lines.line()
    assert start is not None
    assert middle is not None
    assert start.n - middle.n >= 5
    worked(bench.keys("pagedown"))
    assert logbook(bench).lines.line() == start


# --- Narrowing


def test_words_narrow_and_back_shows_all_again_before_it_leaves(bench: Driver) -> None:
    narrowed(bench, "upright L")
    assert "only lines about: upright L" in bench.screen()[2]
    for item in logbook(bench).lines.held():
        assert all(word in f"{item.words} {item.by} {item.kind}".casefold() for word in ("upright", "l"))
    at = here(bench)
    bench.keys("backspace")
    assert isinstance(bench.shell.page, Logbook)
    assert "only lines" not in bench.text()
    assert here(bench) == at
    bench.keys("backspace")
    assert bench.shell.page.name == "home"


def test_words_that_nothing_holds_say_so_and_back_is_where_one_was(bench: Driver) -> None:
    bench.keys("up", "up", "up")
    at = here(bench)
    narrowed(bench, "no such word")
    assert "nothing about: no such word. Back shows all lines" in bench.text()
    assert "every line" in bench.row("answer")
    bench.keys("up", "pageup", "down", "enter")
    bench.keys("backspace")
    assert here(bench) == at


@pytest.mark.parametrize("line", ["hit dr hard", "dr solid", "out wheel 3", "note narrow me", "look wheel 4"])
def test_what_the_bench_would_log_is_logged(bench: Driver, line: str) -> None:
    before = bench.newest()[0].n
    bench.type(line).keys("enter")
    assert bench.newest()[0].n > before
    assert not logbook(bench).lines.about


@pytest.mark.parametrize("line", ["262.05", "in wheel 5", "withdraw"])
def test_a_figure_or_a_verb_never_narrows(bench: Driver, line: str) -> None:
    bench.type(line).keys("enter")
    assert not logbook(bench).lines.about


@pytest.mark.parametrize("words", ["driver says", "part weighed 1.07 kg P9", "found melted plug"])
def test_a_number_leads_to_its_line_among_all_the_others(bench: Driver, words: str) -> None:
    n = int(bench.number(words)[1:])
    worked(bench.type(f"#{n}").keys("enter"))
    line = logbook(bench).lines.line()
    entry = bench.book.by_number(n)
    assert line is not None
    assert entry is not None
    assert entry.id in line.ids
    assert not logbook(bench).lines.about
    assert Logbook(bench.session, f"#{n}").lines.line() == line
    held = logbook(bench).lines.held()
    bench.keys("tab", "l")
    for item in held:
        while logbook(bench).lines.line() != item and logbook(bench).lines.at:
            worked(bench).shell.page.move(-1)
    walked = {item.ids for item in logbook(bench).lines.held()}
    assert {item.ids for item in held} <= walked


def test_a_number_of_no_line_narrows_to_nothing(bench: Driver) -> None:
    worked(bench.type("#999999").keys("enter"))
    assert "nothing about: #999999" in bench.text()


def test_what_was_defined_is_never_withdrawn(bench: Driver) -> None:
    narrowed(bench, "together")
    assert [item.label for item in bench.shell.page.answers().items] == ["only set 1", "open"]
    bench.keys("enter")
    assert not any("withdraw" in item.label for item in bench.shell.page.answers().items)


def test_only_this_narrows_to_the_thing_of_the_line(bench: Driver) -> None:
    worked(to_answer(bench, "only set 2 with P9").keys("space"))
    assert "only lines about: set 2 with P9" in bench.screen()[2]
    assert all("set 2 with P9" in item.words for item in logbook(bench).lines.held())


# --- A line opened


def test_a_line_of_several_entries_opens_to_each_of_them(bench: Driver) -> None:
    narrowed(bench, "pulls right")
    line = logbook(bench).lines.line()
    assert line is not None
    bench.keys("enter")
    page = bench.shell.page
    assert isinstance(page, LogLine)
    assert list(page.keys()) == list(line.ids)
    bench.keys("down")
    to_answer(bench, "withdraw").keys("space", "enter")
    assert bench.newest()[0].replaces == line.ids[1]
    assert [item.state for item in page.entries()] == ["", "withdrawn", "", ""]
    assert here(bench).startswith("> withdrawn #")


def test_a_line_leads_to_the_screen_of_its_thing(bench: Driver) -> None:
    narrowed(bench, "weighed b own scale")
    bench.keys("enter")
    to_answer(bench, "show B").keys("space")
    assert bench.shell.page.name == "weight"


# --- Nothing there, hostile text


def test_an_empty_book_says_what_to_type(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "l")
    assert "nothing is written down yet. Type what you do" in bench.text()
    bench.keys("up", "down", "pageup", "pagedown", "space", "enter", "left")
    assert not bench.shell.page.waits()


def test_user_text_is_shown_as_typed_and_steers_nothing(bench: Driver) -> None:
    last = bench.newest()[0]
    nasty = "[/] [red]x[/red] \x1b[31m\x9b1m\u202eback"
    bench.book.insert_raw(
        [last._replace(id=f"{last.id[:-2]}ZZ", act="other", tick=last.tick + 1, kind="note", detail={"note": nasty})],
        checked=True,
    )
    bench.shell.elsewhere(bench.session.news())
    for keys in ((), ("enter",)):
        bench.keys(*keys)
        text = bench.text(WIDTH, 24)
        assert "[/] [red]x[/red]" in text
        assert not {"\x1b", "\x9b", "\u202e"} & set(text)


# --- The length of the book


def long(bench: Driver, size: int) -> None:
    """Lengthen the book: acts of four, a correction and a withdrawal in every hundred entries."""
    case = bench.session.case()
    assert case is not None
    joints, last = list(case.defs.joints), bench.newest()[0]
    start = last.tick + 1000

    def made() -> Iterator[Entry]:
        for i in range(size):
            replaces = f"e{i - 3:07}" if i % 100 == 51 else f"e{i - 20:07}" if i % 100 == 76 else None
            subject = joints[(i - 3 if i % 100 == 51 else i - 20 if i % 100 == 76 else i) % len(joints)]
            kind = "withdrawn" if i % 100 == 76 else "marks_good"
            tick = start + i * 7
            yield entry(
                f"e{i:07}", kind, subject, tick, act=f"a{i // 4:07}", robot=bench.session.robot, replaces=replaces
            )

    bench.book.insert_raw(made(), checked=True)
    bench.clock.set(start + size * 7)
    bench.session.evidence = Remembered(bench.book.evidence())
    bench.session.seen = bench.newest()[0].n
    bench.session.stale = True
    bench.settle()


def test_a_long_book_is_walked_with_few_lines_in_memory_and_comes_back_to_the_newest(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    long(bench, 5_000)
    worked(bench.keys("tab", "l"))
    lines, newest = logbook(bench).lines, here(bench)
    seen = []
    for _ in range(1500):
        bench.shell.key("up", "", bench.seconds)
        bench.shell.page.work()
        line = lines.line()
        assert line is not None
        assert len(lines.held()) <= MOST_HELD + 100
        seen.append(line.n)
    assert seen == sorted(set(seen), reverse=True)
    back = []
    for _ in range(1500):
        bench.shell.key("down", "", bench.seconds)
        line = lines.line()
        assert line is not None
        back.append(line.n)
    assert back[:-1] == seen[::-1][1:]
    assert here(bench) == newest


def test_a_search_goes_on_between_the_keys_and_finds_the_oldest_line(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    long(bench, 5_000)
    bench.keys("tab", "l").type("misread display").keys("enter")
    assert "searching older lines.." in bench.screen()[2]
    slices = 0
    while bench.shell.page.waits():
        bench.shell.page.work()
        slices += 1
    assert slices > 50
    assert "misread display" in bench.row("said")


@pytest.mark.benchmark
@pytest.mark.parametrize("size", [20_000, 1_000_000])
def test_how_long_a_key_takes(tmp_path: Path, size: int, capsys: pytest.CaptureFixture[str]) -> None:
    """It prints and judges no time."""
    bench = bench_at(tmp_path)
    long(bench, size)
    worked(bench.keys("tab", "l"))
    took: dict[str, list[float]] = {"key": [], "paint": [], "work": []}
    for key in ("up",) * 1000 + ("pageup",) * 200 + ("down",) * 300:
        for name, do in (
            ("key", lambda key=key: bench.shell.key(key, "", bench.seconds)),
            ("paint", lambda: frame(bench.shell, 80, 24)),
            ("work", bench.shell.page.work),
        ):
            start = perf_counter()
            do()
            took[name].append((perf_counter() - start) * 1000)
    said = (
        f"{name}: median {sorted(each)[len(each) // 2]:.2f} ms, longest {max(each):.2f} ms"
        for name, each in took.items()
    )
    with capsys.disabled():
        sys.stdout.write(f"\n{size} entries: {'; '.join(said)}\n")
