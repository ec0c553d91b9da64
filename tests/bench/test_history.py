"""The logbook as lines: the same from wherever they are read, at the same price anywhere in a book of any length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from itertools import groupby
from statistics import median
from time import perf_counter
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import fastening, measuring
from pitcrew.bench.correcting import withdraw
from pitcrew.bench.history import BUDGET, Cursor, HistoryLine, Known, Page, detail, likeness, newer, page
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book, stretch
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.moments import MINUTE_MS, typed
from pitcrew.robot.records import Entry
from tests.bench.demo_day import HEAVY, ZONE, DemoDay
from tests.bench.shop import Shop
from tests.logbook.making import NOON, books, entry

Turn = Callable[[Cursor | None], Page]


def back(turn: Turn) -> list[HistoryLine]:
    """Every line, page by page from the newest back."""
    lines: list[HistoryLine] = []
    before: Cursor | None = None
    while True:
        found = turn(before)
        lines = [*found.lines, *lines]
        if found.ended:
            assert found.older is None
            return lines
        before = found.older


def forth(turn: Callable[[Cursor], Page]) -> list[HistoryLine]:
    """Every line, page by page from the beginning."""
    lines: list[HistoryLine] = []
    after: Cursor = (0, 0)
    while True:
        found = turn(after)
        lines += found.lines
        if found.ended:
            return lines
        after = found.newer


def line_called(demo: DemoDay, words: str, at: str | None = None) -> HistoryLine:
    cut = typed(at, ZONE, demo.now)[1] if at else None
    return next(line for line in back(lambda c: page(demo.book, c, cut=cut)) if words in line.words)


# --- Pages


@pytest.mark.parametrize("count", [1, 3, 40])
@pytest.mark.parametrize("definitions", [False, True])
def test_pages_joined_are_the_whole_log(demo: DemoDay, count: int, definitions: bool) -> None:
    kept = [e for e in demo.entries if definitions or e.kind not in DEFINITION_KINDS]
    whole = [[e.id for e in group] for _, group in groupby(kept, key=likeness)]
    older = back(lambda c: page(demo.book, c, count, definitions=definitions))
    assert [list(line.ids) for line in older] == whole
    assert forth(lambda c: newer(demo.book, c, count, definitions=definitions)) == older


def test_an_act_is_never_parted(demo: DemoDay) -> None:
    edge: Cursor | None = None
    while True:
        found = page(demo.book, edge, 7, definitions=True)
        assert len(found.lines) >= 7 or found.ended
        if found.ended:
            return
        edge = found.older
        assert edge is not None
        (before, _), *_ = stretch(demo.book, edge, 1)
        assert before.act != found.lines[0].act


@pytest.mark.parametrize("robot", [HEAVY, "NETTLE SPROCKET"])
def test_one_robots_lines_are_those_of_its_entries(demo: DemoDay, robot: str) -> None:
    ident = demo.robots[robot]
    kept = [e for e in demo.entries if e.robot == ident and e.kind not in DEFINITION_KINDS]
    lines = back(lambda c: page(demo.book, c, 5, robot=ident))
    assert [ident for line in lines for ident in line.ids] == [e.id for e in kept]
    assert forth(lambda c: newer(demo.book, c, 5, robot=ident)) == lines


@given(books(), st.integers(1, 4), st.integers(1, 5), st.sampled_from([None, 3, 7, 12]), st.booleans())
@settings(deadline=None)
def test_lines_are_the_same_from_wherever_they_are_read(
    made: list[Entry], count: int, budget: int, cut: int | None, definitions: bool
) -> None:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        book.insert_raw(made, checked=True)
        in_order = [e for e in book.entries(cut)[::-1] if definitions or e.kind not in DEFINITION_KINDS]
        whole = page(book, None, 1000, cut=cut, definitions=definitions, budget=1000)
        assert [ident for line in whole.lines for ident in line.ids] == [e.id for e in in_order]
        older = back(lambda c: page(book, c, count, cut=cut, definitions=definitions, budget=budget))
        later = forth(lambda c: newer(book, c, count, cut=cut, definitions=definitions, budget=budget))
        assert older == later == list(whole.lines)
        for line in whole.lines:
            rest = page(book, line.start, 1000, cut=cut, definitions=definitions, budget=1000)
            on = newer(book, line.end, 1000, cut=cut, definitions=definitions, budget=1000)
            assert (*rest.lines, line, *on.lines) == whole.lines


def test_a_page_leads_both_ways(demo: DemoDay) -> None:
    last = page(demo.book, count=10)
    middle = page(demo.book, last.older, count=10)
    assert newer(demo.book, middle.newer, len(last.lines)).lines == last.lines
    after = newer(demo.book, middle.newer, 3)
    assert page(demo.book, after.older, len(middle.lines)).lines == middle.lines
    for line in middle.lines:
        assert page(demo.book, newer(demo.book, line.end, 1).older, 1).lines[-1] == line


def test_what_is_written_meanwhile_is_found_from_the_newest_page(shop: Shop) -> None:
    shown = page(shop.book)
    assert newer(shop.book, shown.newer).lines == ()
    (written,) = shop.do(fastening.torque, "cap", 25.0)
    found = newer(shop.book, shown.newer)
    assert [line.ids for line in found.lines] == [(written.id,)]
    assert newer(shop.book, found.newer).lines == ()


def test_an_empty_book_has_no_lines_until_something_is_written() -> None:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        shown = page(book)
        assert shown == Page((), None, (0, 0), True)
        book.insert_raw([entry("e1")])
        assert [line.ids for line in newer(book, shown.newer).lines] == [("e1",)]


# --- What a line says


def test_a_line_says_when_who_and_what_to_what(demo: DemoDay) -> None:
    line = line_called(demo, "drive motor 3 at drive motor R")
    assert (line.time, line.day, line.by, line.kind, line.state) == ("15:38", "2026-06-13", "MK", "fitted", "")
    assert line.words == "part in drive motor 3 at drive motor R (spare motor on 6.0 plate)"
    assert (line.n, line.ids, line.act) == (line.entry.n, (line.entry.id,), line.entry.act)


def test_alike_entries_of_an_act_are_one_line(demo: DemoDay) -> None:
    line = line_called(demo, "part out to spares P1 at pack 1, P2 at pack 2")
    assert len(line.ids) == 4
    assert line.end == (line.start[0] + 3, line.start[1] + 3)


def test_a_line_that_no_longer_counts_says_so_and_numbers_point_both_ways(demo: DemoDay) -> None:
    wrong = line_called(demo, "part weighed 1.07 kg P9")
    right = line_called(demo, "part weighed 1.17 kg P9")
    assert (wrong.state, right.state) == ("replaced", f"corrects #{wrong.n}")
    gone = line_called(demo, "note (charge started: P5 P6 P8, 30 C")
    out = line_called(demo, "charge NOT started")
    assert (gone.state, out.state) == ("withdrawn", f"takes out #{gone.n}")


def test_a_line_not_yet_corrected_at_a_moment_counts_at_it(demo: DemoDay) -> None:
    assert line_called(demo, "part weighed 1.07 kg P9", "06-13 12:55").state == ""


def test_one_of_several_withdrawn_is_a_line_of_its_own(shop: Shop) -> None:
    first, second, third = shop.book.append(
        [shop.desk().draft("marks_good", joint) for joint in ("cap", "nuts", "duo")],
    )
    assert page(shop.book, count=1).lines[0].words == "marks looked at, unbroken cap, nuts, duo"
    shop.do(withdraw, second.id)
    lines = page(shop.book, count=2).lines
    assert [(line.ids, line.state) for line in lines[:-1]] == [
        ((first.id,), ""),
        ((second.id,), "withdrawn"),
        ((third.id,), ""),
    ]
    assert lines[-1].state == f"takes out #{second.n}"


def test_what_a_terminal_would_obey_is_not_in_a_line() -> None:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        made = [entry("e1", "note", detail={"note": "one\ntwo"}), entry("d1", "zone", detail={"name": "W\u202e1"})]
        book.insert_raw(made, checked=True)
        words = [line.words for line in page(book, definitions=True).lines]
        assert words and all(word.isprintable() for word in words)


# --- Only lines about


def about(demo: DemoDay, words: str, count: int = 40) -> list[HistoryLine]:
    known = Known(demo.book)
    return back(lambda c: page(demo.book, c, count, about=words, known=known))


@pytest.mark.parametrize(
    "words", ["pack", "mk torqued", "TORQUED mk", "bearing l outer", "withdrawn", "part_weighed p9"]
)
def test_every_word_asked_for_is_in_the_line_and_no_line_is_missed(demo: DemoDay, words: str) -> None:
    def holds(line: HistoryLine) -> bool:
        numbers = "".join(f"#{e.n}|" for e in demo.entries if e.id in line.ids)
        text = f"{line.words}|{line.by}|{line.kind}|{line.state}|{numbers}".lower()
        return all(word in text for word in words.lower().split())

    whole = back(lambda c: page(demo.book, c, definitions=True))
    found = about(demo, words)
    assert found == [line for line in whole if holds(line)]
    assert 0 < len(found) < len(whole)
    assert about(demo, words, 2) == found == forth(lambda c: newer(demo.book, c, about=words))


def test_a_number_asked_for_finds_the_line_and_what_corrects_it(demo: DemoDay) -> None:
    wrong = line_called(demo, "part weighed 1.07 kg P9")
    found = [line for line in about(demo, f"#{wrong.n}") if line.kind == "part_weighed"]
    assert [line.state for line in found] == ["replaced", f"corrects #{wrong.n}"]


def test_definitions_are_left_out_until_they_are_asked_for(demo: DemoDay) -> None:
    assert not [line for line in back(lambda c: page(demo.book, c)) if line.kind in DEFINITION_KINDS]
    assert [line.kind for line in about(demo, "pack_set set")] == ["pack_set", "pack_set"]


def test_a_search_stops_for_now_and_says_how_far_it_came(demo: DemoDay) -> None:
    found = page(demo.book, about="no such word")
    assert found.lines == () and not found.ended
    assert found.searched_to == found.older
    assert found.searched_to is not None
    looked_at = len(demo.entries) + 1 - found.searched_to[1]
    acts = [e.act for e in demo.entries[-looked_at - 1 :]]
    assert BUDGET <= looked_at < BUDGET + acts.count(acts[1]) and acts[0] != acts[1]
    assert page(demo.book, about="no such word", budget=len(demo.entries)).searched_to is None
    assert page(demo.book, count=3).searched_to is None


# --- What stands behind a line


def behind(demo: DemoDay, line: HistoryLine) -> dict[str, str]:
    rows = detail(demo.book.evidence(), demo.book, line)
    assert len(dict(rows)) == len(rows)
    return dict(rows)


def test_behind_a_replaced_line_stands_what_speaks_now(demo: DemoDay) -> None:
    wrong, right = (line_called(demo, f"part weighed {kg} kg P9") for kg in ("1.07", "1.17"))
    assert behind(demo, wrong) == {
        "said": wrong.words,
        "by": "EW 12:50 on 2026-06-13",
        "with": "KIT",
        "now": f"#{right.n} 12:50 EW: {right.words}; since 12:58, speaks for 12:50",
    }
    assert behind(demo, right) == {
        "said": right.words,
        "by": "EW 12:50 on 2026-06-13, written down 12:58 on 2026-06-13",
        "with": "KIT",
        "corrects": f"#{wrong.n} 12:50 EW: {wrong.words}",
    }


def test_behind_a_withdrawn_line_stands_who_took_it_out(demo: DemoDay) -> None:
    gone, out = line_called(demo, "note (charge started: P5 P6 P8, 30 C"), line_called(demo, "charge NOT started")
    assert behind(demo, gone)["now"].startswith(f"#{out.n} 12:31 EW: withdrawn (charge NOT started")
    assert behind(demo, out)["takes out"].startswith(f"#{gone.n} 12:30 EW: note (charge started")


def test_behind_a_corrected_and_then_withdrawn_line_stands_the_withdrawal(shop: Shop) -> None:
    (wrong,) = shop.do(measuring.weigh_part, "rotor1", 2.0, "OWN")
    right = shop.put("part_weighed", "rotor1", {"value_kg": 2.1, "instrument": "OWN"}, replaces=wrong.id)
    (out,) = shop.do(withdraw, right.id)
    line = next(line for line in page(shop.book).lines if line.ids == (wrong.id,))
    assert line.state == "withdrawn"
    assert dict(detail(shop.book.evidence(), shop.book, line))["now"].startswith(f"#{out.n} ")


def test_behind_a_hard_hit_stands_what_raised_it_and_behind_a_repair_what_was_found(demo: DemoDay) -> None:
    hit = next(line for line in back(lambda c: page(demo.book, c)) if line.entry.detail.get("because"))
    ground = demo.book.read(hit.entry.detail["because"])
    assert ground is not None
    assert behind(demo, hit)["because"].startswith(f"#{ground.n} ")
    mended = line_called(demo, "mended replaced belt R")
    assert "found frayed belt R 1" in behind(demo, mended)["rests on"]


def test_a_hit_whose_reason_fell_says_so(shop: Shop) -> None:
    reason = shop.put("hand_checked", "W", {"sign": True})
    hit = shop.put("hit", "W", {"source": "taken", "because": reason.id}, grade=3)
    shop.do(withdraw, reason.id)
    line = next(line for line in page(shop.book).lines if line.ids == (hit.id,))
    assert line.state == "withdrawn"
    rows = dict(detail(shop.book.evidence(), shop.book, line))
    assert rows["now"] == "what it was written because of no longer counts"


def test_behind_any_line_stands_at_least_what_was_said_and_by_whom(demo: DemoDay) -> None:
    evidence = demo.book.evidence()
    for line in back(lambda c: page(demo.book, c)):
        rows = detail(evidence, demo.book, line)
        assert [label for label, _ in rows[:2]] == ["said", "by"]
        assert all(text and text.isprintable() for _, text in rows)


# --- The price


def generated(size: int) -> Iterator[Entry]:
    """A long book of two robots: acts of one to four entries, a correction and a withdrawal in every hundred."""
    for i in range(size):
        robot = f"r{i // 4 % 2}"
        made = partial(entry, f"e{i:07}", tick=NOON + i * 7, act=f"a{i // 4:07}", robot=robot)
        if i % 100 == 51:
            yield made("marks_good", f"j{i % 30}", replaces=f"e{i - 3:07}")
        elif i % 100 == 76:
            yield made("withdrawn", f"j{i % 30}", replaces=f"e{i - 20:07}")
        elif i % 4 < 2:
            yield made("marks_good", f"j{i % 30}")
        else:
            yield made("looked_at", f"p{i % 50}", place=f"q{i % 50}")


def long_book(size: int) -> Book:
    book = Book.memory(FixedClock(NOON + size * 7 + MINUTE_MS), SeededIds(0))
    named = [
        *(entry(f"dj{n}", "joint", f"j{n}", n + 1, detail={"name": f"joint {n}"}, act="d") for n in range(30)),
        *(entry(f"dp{n}", "part", f"p{n}", n + 1, detail={"name": f"part {n}"}, act="d") for n in range(50)),
        *(entry(f"dq{n}", "position", f"q{n}", n + 1, detail={"name": f"place {n}"}, act="d") for n in range(50)),
    ]
    book.insert_raw(named, checked=True)
    book.insert_raw(generated(size), checked=True)
    return book


PLACES = (0.001, 0.25, 0.5, 0.75, 1.0)


class Search(NamedTuple):
    robot: str | None = None
    about: str = ""


SEARCHES = {"all": Search(), "one robot": Search("r0"), "a word": Search(about="joint 7")}


def steps(book: Book, question: Callable[[], object]) -> int:
    """Steps of SQLite's machine that a question takes."""
    counted = 0

    def count() -> int:
        nonlocal counted
        counted += 1
        return 0

    book._connection.set_progress_handler(count, 1)
    question()
    book._connection.set_progress_handler(None, 0)
    return counted


def dearest(book: Book, size: int, search: Search) -> int:
    """The price of the dearest page anywhere in the book, either way."""
    prices = []
    for place in PLACES:
        edge = (NOON + int(size * place) * 7, 0)
        prices.append(steps(book, partial(page, book, edge, 40, *search)))
        prices.append(steps(book, partial(newer, book, edge, 40, *search)))
    return max(prices)


def test_a_book_of_any_length_is_paged_at_the_same_price_anywhere() -> None:
    with long_book(2_000) as short, long_book(20_000) as long:
        for search in SEARCHES.values():
            assert dearest(long, 20_000, search) <= dearest(short, 2_000, search) * 1.1


def test_pages_of_twenty_thousand_entries_are_its_lines() -> None:
    with long_book(20_000) as book:
        known = Known(book)
        lines = back(lambda c: page(book, c, 200, known=known, budget=1000))
        assert sum(len(line.ids) for line in lines) == 20_000
        states = Counter(line.state.split(" #")[0] for line in lines)
        assert [states[word] for word in ("replaced", "corrects", "withdrawn", "takes out")] == [200] * 4
        found = back(lambda c: page(book, c, 200, about="joint 7", known=known))
        everything = back(lambda c: page(book, c, 200, known=known, definitions=True, budget=1000))
        assert [x for x in found if "joint 7" in x.words] == [x for x in everything if "joint 7" in x.words]
        assert len(found) > 300


@pytest.mark.soak
def test_a_million_entries_are_paged_at_the_price_of_two_thousand() -> None:
    with long_book(2_000) as short, long_book(1_000_000) as long:
        for search in SEARCHES.values():
            assert dearest(long, 1_000_000, search) <= dearest(short, 2_000, search) * 1.1


@pytest.mark.benchmark
@pytest.mark.parametrize("size", [20_000, 1_000_000])
def test_how_long_a_page_takes(size: int, capsys: pytest.CaptureFixture[str]) -> None:
    with long_book(size) as book:
        for name, search in SEARCHES.items():
            for names, known in (("anew", None), ("kept", Known(book))):
                took = []
                for place in PLACES * 8:
                    start = perf_counter()
                    page(book, (NOON + int(size * place) * 7, 0), 40, *search, known=known)
                    took.append((perf_counter() - start) * 1000)
                with capsys.disabled():
                    said = f"median {median(took):.2f} ms, worst {max(took):.2f} ms"
                    print(f"\n{size:>9} {name:<10} names {names}: {said}")  # noqa: T201
