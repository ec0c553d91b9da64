"""The logbook on the screen: every line to be found, put right or taken out, in a book of any length."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

import pytest

from pitcrew.bench import correcting, fighting
from pitcrew.bench.remembering import Remembered
from pitcrew.logbook.book import Book
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry
from pitcrew.tui.app import Bench
from pitcrew.tui.frame import frame
from pitcrew.tui.loglines import MOST_HELD
from pitcrew.tui.pages.logbook import Logbook
from pitcrew.tui.pages.logline import LogLine
from pitcrew.tui.paint import text_of
from tests.logbook.making import entry
from tests.tui.driver import Driver, bench_at, empty_bench

WIDTH = 200


def worked(bench: Driver) -> Driver:
    """Let the screen find out all it has still to find out."""
    while bench.shell.page.waits():
        bench.shell.page.work()
    return bench


def logbook(bench: Driver) -> Logbook:
    page = bench.shell.page
    assert isinstance(page, Logbook)
    return page


def narrowed(bench: Driver, words: str) -> Driver:
    return worked(bench.type(words).keys("enter"))


def to_line(bench: Driver, words: str) -> Driver:
    """Put the keys on the line that holds these words."""
    while words not in here(bench):
        at = logbook(bench).lines.at
        bench.keys("up")
        assert logbook(bench).lines.at != at or logbook(bench).waits(), f"no line holds {words}"
        worked(bench)
    return bench


def here(bench: Driver) -> str:
    (row,) = [row for row in bench.screen() if row.startswith(">")]
    return row


def to_answer(bench: Driver, label: str) -> Driver:
    for _ in (None, *bench.shell.page.answers().items):
        answer = bench.shell.answer()
        if answer is not None and answer.label == label:
            return bench
        bench.keys("right")
    raise AssertionError(f"no answer {label}: {bench.text()}")


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


# --- Putting right


def test_a_reading_is_put_right_with_five_keys_beside_what_is_typed(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    typed = len("p9 weighed") + len("1.18")
    narrowed(bench.keys("tab", "l"), "p9 weighed").keys("space")
    assert "what should #" in bench.text()
    assert "instead of 1.17 kg? A bare figure is kg." in bench.text()
    bench.type("1.18").keys("enter")
    assert bench.count - typed == 5
    written = bench.newest()[0]
    assert (written.kind, written.by, written.detail["value_kg"]) == ("part_weighed", "MK", 1.18)
    assert written.replaces is not None
    replaced = bench.book.read(written.replaces)
    assert replaced is not None
    assert (written.happened, written.act) == (replaced.happened, replaced.act)
    assert "~112.73 kg" in bench.screen()[1]


def test_a_correction_stands_below_and_the_keys_stay_on_the_line(bench: Driver) -> None:
    narrowed(bench, "measured tread")
    line = logbook(bench).lines.line()
    worked(bench.keys("backspace"))
    assert line is not None
    worked(to_answer(bench, "correct").keys("space").type("4.4").keys("enter"))
    assert here(bench).startswith(f"> replaced  #{line.n}")
    item = logbook(bench).lines.held()[-1]
    assert (item.n, item.state) == (bench.newest()[0].n, f"corrects #{line.n}")


def test_the_keys_follow_the_newest_line_when_they_were_on_it(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    assert f"#{bench.newest()[0].n} " in here(bench)
    bench.keys("up")
    at = here(bench)
    bench.type("ur light").keys("enter")
    assert here(bench) == at


def test_another_windows_entries_stand_below_at_once(bench: Driver) -> None:
    session = bench.session
    (entered,) = session.book.append(fighting.hit(session.desk(), [zone(bench, "AF")], 2))
    bench.shell.elsewhere(session.news())
    assert f"#{entered.n} " in here(bench)


async def test_another_window_on_a_terminal_and_a_search_between_the_keys(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    app = Bench(bench.session, bench.shell, "dark")
    path = bench.book.path
    assert path is not None

    async def until(text: str) -> None:
        async with asyncio.timeout(10):
            while not any(text in text_of(row) for row in app.sheet.rows):
                await asyncio.sleep(0.01)

    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("tab", "l")
        with Book.open(path, bench.clock, bench.session.source.ids) as other:
            desk = bench.session.desk()._replace(by="EW", evidence=other.evidence())
            (entered,) = other.append(correcting.note(desk, "belt box is empty"))
        await until(f">           #{entered.n} 15:24 EW  note (belt box is empty)")
        await pilot.press(*("space" if letter == " " else letter for letter in "misread display"), "enter")
        await until("> corrects  #")
        await pilot.press("backspace")
        await until("newest below")
    assert not app.faults


def test_the_lines_are_those_of_the_robot_on_the_bench(bench: Driver) -> None:
    other = next(item.id for item in bench.session.robots() if item.id != bench.session.robot)
    bench.session.choose(other)
    bench.settle()
    worked(bench)
    assert {item.entry.robot for item in logbook(bench).lines.held()} == {other}
    assert logbook(bench).lines.at == len(logbook(bench).lines.held()) - 1


def zone(bench: Driver, name: str) -> str:
    case = bench.session.case()
    assert case is not None
    return next(item.id for item in case.defs.zones.values() if item.name == name)


def test_a_hit_is_put_right_by_its_grade_and_words_by_changing_them(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    bench.keys("space")
    assert bench.screen()[-2].split()[:2] == ["correct", "_"]
    bench.type("light").keys("enter")
    assert (bench.newest()[0].kind, bench.newest()[0].grade) == ("hit", 1)
    worked(bench.type("note belt box is emty").keys("enter"))
    bench.keys("space")
    assert "belt box is emty_" in bench.text()
    bench.keys("backspace", "backspace", "backspace").type("mpty").keys("enter")
    assert bench.newest()[0].detail["note"] == "belt box is empty"


@pytest.mark.parametrize(("typed", "why"), [("heavy", "not"), ("84 in-lb", "torque"), ("", "nothing was typed")])
def test_what_such_a_line_cannot_say_is_refused_and_stays_for_mending(bench: Driver, typed: str, why: str) -> None:
    narrowed(bench, "p9 weighed")
    before = bench.newest()[0]
    bench.keys("space").type(typed).keys("enter")
    assert "not taken" in bench.text()
    assert why in bench.text()
    assert f"correct   {typed}_" in bench.text()
    assert bench.newest()[0] == before


@pytest.mark.parametrize("answer", ["correct", "withdraw"])
def test_what_no_longer_counts_says_so(bench: Driver, answer: str) -> None:
    narrowed(bench, "p9 weighed")
    bench.keys("up")
    before = bench.newest()[0]
    assert "[ open ]" in bench.text()
    to_answer(bench, answer).keys("space")
    assert "is replaced and no longer counts; put right the line that speaks now" in bench.text()
    assert bench.newest()[0] == before
    narrowed(bench.keys("backspace"), "box that was hit")
    to_answer(bench, f"{answer} all 3").keys("space")
    assert "is a withdrawal, and stands for ever" in bench.text()
    assert bench.newest()[0] == before


# --- Taking out


def test_a_line_is_taken_out_with_why(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    blocking = bench.screen()[0]
    hit = bench.newest()[0]
    worked(to_answer(bench, "withdraw").keys("space").type("seen wrong").keys("enter"))
    taken_out = bench.newest()[0]
    assert (taken_out.kind, taken_out.replaces, taken_out.detail) == ("withdrawn", hit.id, {"note": "seen wrong"})
    assert bench.screen()[0] != blocking
    assert here(bench).startswith("> withdraws #")
    bench.keys("up")
    assert here(bench).startswith(f"> withdrawn #{hit.n}")


def test_no_reason_is_allowed(bench: Driver) -> None:
    bench.type("dr hard").keys("enter")
    to_answer(bench, "withdraw").keys("space", "enter")
    assert (bench.newest()[0].kind, bench.newest()[0].detail) == ("withdrawn", {})


def test_a_line_that_is_a_whole_act_goes_as_one(bench: Driver) -> None:
    narrowed(bench, "looked over all zones before h3")
    line = logbook(bench).lines.line()
    assert line is not None
    assert len(line.ids) == 14
    before = bench.newest()[0].n
    to_answer(bench, "withdraw all 14").keys("space", "enter")
    written = [found for found in bench.newest(20) if found.n > before]
    assert {found.replaces for found in written} == set(line.ids)
    assert len({found.act for found in written}) == 1


def test_of_an_act_of_several_lines_only_the_line_goes(bench: Driver) -> None:
    narrowed(bench, "float again washer L")
    line = logbook(bench).lines.line()
    assert line is not None
    before = bench.newest()[0].n
    to_answer(bench, "withdraw").keys("space")
    assert "6 more of the same act stay" in bench.text()
    bench.keys("enter")
    assert [found.replaces for found in bench.newest(20) if found.n > before] == list(line.ids)


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
