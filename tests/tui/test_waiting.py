"""A book that cannot be written: the first row says so, nothing is lost, all is written once when it can be."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench.correcting import withdraw
from pitcrew.bench.session import Session, Source
from pitcrew.clock import SeededIds
from pitcrew.logbook.book import Book
from tests.tui.driver import Driver, bench_at


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    bench = bench_at(tmp_path)
    bench.book._connection.execute("PRAGMA busy_timeout = 30")
    return bench


def lock(bench: Driver) -> Book:
    """Another window that holds the book and does not let go."""
    assert bench.book.path is not None
    other = Book.open(bench.book.path, bench.clock, SeededIds(3))
    other._connection.execute("BEGIN IMMEDIATE")
    return other


def release(other: Book) -> None:
    other._connection.execute("ROLLBACK")


def log(bench: Driver, text: str) -> Driver:
    bench.shell.paste(text)
    return bench.keys("enter")


def test_what_waits_is_counted_in_the_first_row_and_written_once_in_its_order(bench: Driver) -> None:
    before, other = bench.newest()[0].n, lock(bench)
    log(bench, "dr hard")
    assert bench.screen()[0].startswith(" NOT SAVED ")
    assert "1 entry waits" in bench.screen()[0]
    log(bench, "note belts low")
    assert "2 entries wait" in bench.screen()[0]
    bench.shell.try_again()
    assert "2 entries wait" in bench.screen()[0]
    release(other)
    bench.shell.try_again()
    bench.settle()
    assert bench.screen()[0].startswith(" NOT FIT ")
    assert [entry.kind for entry in bench.newest(bench.newest()[0].n - before)] == ["note", "hit"]
    bench.shell.try_again()
    assert bench.newest()[0].n == before + 2
    other.close()


def test_the_next_entry_takes_along_what_waited(bench: Driver) -> None:
    before, other = bench.newest()[0].n, lock(bench)
    log(bench, "dr hard")
    release(other)
    log(bench, "note belts low")
    assert [entry.kind for entry in bench.newest(bench.newest()[0].n - before)] == ["note", "hit"]
    assert bench.screen()[0].startswith(" NOT FIT ")
    other.close()


def test_leaving_with_something_unsaved_wants_to_be_said_twice(bench: Driver) -> None:
    other = lock(bench)
    log(bench, "dr hard")
    bench.keys("tab", "q")
    assert not bench.shell.left
    assert "Leave once more to lose it" in bench.text()
    bench.keys("tab", "q")
    assert bench.shell.left
    other.close()


def test_what_another_window_has_made_impossible_is_said_and_no_longer_waits(bench: Driver) -> None:
    log(bench, "ul light")
    (old,) = bench.newest()
    other = lock(bench)
    log(bench, f"correct {old.n} hard")
    assert bench.screen()[0].startswith(" NOT SAVED ")
    release(other)
    session = Session(Source(other, bench.clock, SeededIds(4), ()), bench.session.robot)
    session.by = "EW"
    session.write(withdraw(session.desk(), old.id))
    bench.shell.try_again()
    assert "withdrawn, which is final" in " ".join(bench.text().split())
    bench.settle()
    assert bench.screen()[0].startswith(" NOT FIT ")
    assert bench.session.unwritten == []
    other.close()
