"""Every question on the way to a verdict goes by index, at the same price in a book of any size."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from itertools import islice
from typing import Any

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook import book as book_module
from pitcrew.logbook import evidence, lines
from pitcrew.logbook.book import Book
from pitcrew.logbook.evidence import BookEvidence
from tests.logbook.making import NOON, entry, hit

# The rows of the recursion itself are walked in memory; nothing else may be.
WALKED = {"SCAN up", "SCAN down", "SCAN CONSTANT ROW"}

PROBES = {
    "facts": (evidence.LATEST, "latest (subject=? AND kind=? AND happened<?)"),
    "placed, at_place": (evidence.AT_PLACE, "at_place (place=? AND kind=? AND happened<?)"),
    "hits": (evidence.HITS, "hits (subject=? AND grade=? AND happened<?)"),
    "fights_ended": (evidence.ENDS, "counts (robot=? AND kind=? AND happened>?)"),
    "last_fights_ended": (evidence.LAST_ENDS, "counts (robot=? AND kind=? AND happened<?)"),
    "act": (evidence.ACT, "acts (act=?)"),
    "definitions": (evidence.DEFINED, "subjects (robot=? AND kind=?)"),
    "the way up a line": (lines.ANCESTORS, "sqlite_autoindex_entry_1 (id=?)"),
    "the way down a line": (lines.MEMBERS, "replaces (replaces=? AND tick<?)"),
    "by id": (lines.BY_ID, "sqlite_autoindex_entry_1 (id=?)"),
    "by number": (book_module.BY_NUMBER, "INTEGER PRIMARY KEY (rowid=?)"),
    "what is new": (book_module.AFTER, "INTEGER PRIMARY KEY (rowid>?)"),
    "newest first": (book_module.BEFORE, "tick (tick<?)"),
    "highest row": (evidence.LAST, "SEARCH entry"),
    "highest tick": ("SELECT max(tick) FROM entry", "COVERING INDEX tick"),
}


def values_for(sql: str) -> Any:
    names = re.findall(r":(\w+)", sql)
    return dict.fromkeys(names, 1) if names else (1,) * sql.count("?")


def plan(connection: sqlite3.Connection, sql: str) -> list[str]:
    return [row[3] for row in connection.execute("EXPLAIN QUERY PLAN " + sql, values_for(sql))]


@pytest.fixture
def scratch() -> Iterator[Book]:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        yield book


@pytest.mark.parametrize("name", PROBES)
@pytest.mark.parametrize("measured", [False, True])
def test_a_question_goes_by_its_index(scratch: Book, name: str, measured: bool) -> None:
    sql, index = PROBES[name]
    if measured:
        # Statistics that another program left in the file must not lead to another way.
        fill(scratch, 1000)
        scratch._connection.execute("ANALYZE")
    steps = plan(scratch._connection, sql)
    assert any(step.endswith(index) for step in steps), steps
    assert not [step for step in steps if "SCAN" in step and step not in WALKED], steps
    assert not [step for step in steps if "TEMP B-TREE" in step], steps


def test_every_question_of_the_evidence_is_held_here() -> None:
    questions = {
        value
        for module in (evidence, lines)
        for name, value in vars(module).items()
        if name.isupper() and isinstance(value, str) and " entry" in value and "SELECT " in value
    }
    assert questions - {evidence.SELECT} == {sql for sql, _ in PROBES.values()} & questions
    assert len(questions) == 12


@pytest.mark.parametrize("name", PROBES)
def test_a_question_is_planned_once(scratch: Book, name: str) -> None:
    # SQLite asks the authorizer while it plans, and only then.
    sql, _ = PROBES[name]
    values = values_for(sql)
    asked: list[int] = []

    def authorizer(action: int, *_: object) -> int:
        asked.append(action)
        return sqlite3.SQLITE_OK

    scratch._connection.set_authorizer(authorizer)
    scratch._connection.execute(sql, values).fetchall()
    assert asked
    asked.clear()
    again = {key: 2 for key in values} if isinstance(values, dict) else (2,) * len(values)
    scratch._connection.execute(sql, again).fetchall()
    assert asked == []


# --- Steps

KEYS = 50
FILL = """INSERT INTO entry
    (id, act, tick, happened, writer, "by", robot, kind, subject, place, grade, replaces, detail)
WITH RECURSIVE number(i) AS (VALUES (0) UNION ALL SELECT i + 1 FROM number WHERE i + 1 < :size)
SELECT printf('f%08d', i), printf('a%08d', i / 3), i + 1, i + 1, 'w1', 'AB', 'r1',
    CASE i % 4 WHEN 0 THEN 'looked_at' WHEN 1 THEN 'fitted' WHEN 2 THEN 'hit' ELSE 'fight_ended' END,
    printf('k%d', i % :keys), CASE i % 4 WHEN 1 THEN printf('q%d', i % :keys) END,
    CASE i % 4 WHEN 2 THEN 1 + i % 3 END, NULL, '{"source":"taken"}'
FROM number"""


def fill(book: Book, size: int) -> None:
    """Entries that the questions below meet: the histories grow with the book."""
    book._connection.execute("BEGIN")
    book._connection.execute(FILL, {"size": size, "keys": KEYS})
    book._connection.execute("COMMIT")


def newest(book: Book) -> None:
    """The same last entries in a book of any size, with corrections, a withdrawal and a raised hit."""
    at = book.highest_tick()
    book.insert_raw(
        [
            *(entry(f"d{n}", "zone", f"z{n}", tick=at + n, detail={"name": "z"}) for n in range(1, 9)),
            entry("c1", tick=at + 10, subject="k0"),
            entry("c2", tick=at + 11, happened=at + 10, subject="k0", replaces="c1"),
            entry("g1", tick=at + 12, subject="k1"),
            entry("g2", "withdrawn", tick=at + 13, subject="k1", replaces="g1"),
            entry("h1", "hand_checked", "k2", tick=at + 14, detail={"sign": True}),
            hit("h2", subject="k2", tick=at + 15, because="h1"),
        ]
    )


def first(facts: Iterator[Any]) -> list[Any]:
    return list(islice(facts, 3))


# Fights ended: by the newest few only, as judging asks from the moment of a fitting on.
QUESTIONS: dict[str, Callable[[BookEvidence, int], object]] = {
    "facts": lambda e, at: [first(e.facts("looked_at", f"k{n}")) for n in range(KEYS)],
    "facts upto": lambda e, at: [first(e.facts("looked_at", f"k{n}", at - 500)) for n in range(KEYS)],
    "facts of nothing": lambda e, at: [first(e.facts("symptom", f"k{n}")) for n in range(KEYS)],
    "placed": lambda e, at: [first(e.placed(f"q{n}")) for n in range(KEYS)],
    "at_place": lambda e, at: [first(e.at_place("fitted", f"q{n}")) for n in range(KEYS)],
    "hits": lambda e, at: [first(e.hits(f"k{n}", 1)) for n in range(KEYS)],
    "fights_ended": lambda e, at: first(e.fights_ended("r1", at - 500)),
    "last_fights_ended": lambda e, at: first(e.last_fights_ended("r1")),
    "act": lambda e, at: [e.act(f"a{n:08}") for n in range(KEYS)],
    "speaking": lambda e, at: [e.speaking(name) for name in ("c1", "c2", "g1", "h2", "f00000001", "none")],
    "definitions": lambda e, at: e.definitions("zone", "r1"),
}


def steps(book: Book, cut: int | None = None) -> dict[str, int]:
    """How many steps of SQLite's machine each question takes."""
    counted = 0

    def count() -> int:
        nonlocal counted
        counted += 1
        return 0

    at = book.highest_tick() if cut is None else cut
    taken = {}
    for name, question in QUESTIONS.items():
        answers = book.evidence(cut)
        book._connection.set_progress_handler(count, 1)
        counted = 0
        question(answers, at)
        book._connection.set_progress_handler(None, 0)
        taken[name] = counted
    return taken


def worst_ratio(small: dict[str, int], large: dict[str, int]) -> float:
    assert min(small.values()) > 0
    return max(large[name] / small[name] for name in small)


def grown(size: int, probed_at: Callable[[Book], int | None]) -> dict[str, int]:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        fill(book, size)
        newest(book)
        return steps(book, probed_at(book))


def test_a_book_ten_times_as_long_takes_the_same_steps() -> None:
    assert worst_ratio(grown(10_000, lambda _: None), grown(100_000, lambda _: None)) <= 1.05


def test_a_look_far_back_takes_no_more_steps_than_one_at_the_end() -> None:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        fill(book, 30_000)
        assert worst_ratio(steps(book, 29_000), steps(book, 5_000)) <= 1.05


@pytest.mark.soak
def test_a_million_entries_take_the_steps_of_ten_thousand() -> None:
    assert worst_ratio(grown(10_000, lambda _: None), grown(1_000_000, lambda _: None)) <= 1.05
