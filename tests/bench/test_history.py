"""Pages of the logbook: the same lines from wherever they are read, at one price anywhere in a book of any length."""

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

from pitcrew.bench import fastening
from pitcrew.bench.history import Cursor, HistoryLine, Known, Page, likeness, newer, page
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book, stretch
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Entry
from tests.bench.demo_day import HEAVY, DemoDay
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


# --- Pages


@pytest.mark.parametrize("count", [1, 40])
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


@pytest.fixture(scope="module")
def long() -> Iterator[Book]:
    """Twenty thousand entries; nobody writes among them."""
    with long_book(20_000) as book:
        yield book


def test_a_book_of_any_length_is_paged_at_the_same_price_anywhere(long: Book) -> None:
    with long_book(2_000) as short:
        for search in SEARCHES.values():
            assert dearest(long, 20_000, search) <= dearest(short, 2_000, search) * 1.1


def test_pages_of_twenty_thousand_entries_are_its_lines(long: Book) -> None:
    known = Known(long)
    everything = back(lambda c: page(long, c, 200, known=known, definitions=True, budget=1000))
    lines = [line for line in everything if line.kind not in DEFINITION_KINDS]
    assert sum(len(line.ids) for line in lines) == 20_000
    states = Counter(line.state.split(" #")[0] for line in lines)
    assert [states[word] for word in ("replaced", "corrects", "withdrawn", "takes out")] == [200] * 4
    found = back(lambda c: page(long, c, 200, about="joint 7", known=known))
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
