"""From nothing to the newest version, once, whoever starts first."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook import schema
from pitcrew.logbook.book import Book
from pitcrew.logbook.migrations import STEPS, migrate, version
from pitcrew.logbook.writing import Draft
from tests.logbook.outside import child

START = """
import sys
from pathlib import Path
from pitcrew.clock import SystemClock, SystemIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
path = Path(sys.argv[1])
sys.stdin.readline()
try:
    book, how = Book.create(path, SystemClock(), SystemIds()), "made"
except BookError as error:
    book, how = Book.open(path, SystemClock(), SystemIds()), error.message
book.append([Draft("looked_at", "p1", "AB", robot="r1")] * 5)
book.close()
print(how)
"""


def shape(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    return connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()


def test_there_is_a_step_to_every_version() -> None:
    assert len(STEPS) == schema.VERSION


def test_a_new_book_is_what_it_should_be(path: Path, book: Book) -> None:
    with closing(sqlite3.connect(path)) as connection:
        assert version(connection) == schema.VERSION
        assert connection.execute("PRAGMA application_id").fetchone() == (int.from_bytes(b"PITC", "big"),)
        assert schema.flaws(connection) == []
        assert connection.execute("SELECT strict FROM pragma_table_list('entry')").fetchone() == (1,)
    assert book.verify() == []


def test_bringing_up_to_date_twice_changes_nothing_more() -> None:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        migrate(connection)
        before = (shape(connection), connection.total_changes)
        migrate(connection)
        assert (shape(connection), connection.total_changes) == before


def older(connection: sqlite3.Connection) -> None:
    """A version that had one index and one view less than the first."""
    schema.create(connection)
    connection.execute("DROP INDEX counts")
    connection.execute("DROP VIEW weighings")


def today(connection: sqlite3.Connection) -> None:
    connection.execute(schema.INDEXES["counts"])
    connection.execute(schema.VIEWS["weighings"])
    schema.second(connection)


def old_book() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    older(connection)
    connection.execute("PRAGMA user_version = 1")
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    connection.execute(
        'INSERT INTO entry (id, act, tick, happened, writer, "by", kind, subject, detail)'
        " VALUES ('e1', 'a1', 5, 5, 'w1', 'AB', 'looked_at', 'p1', '{}')"
    )
    return connection


def test_an_old_book_is_brought_up_to_date_with_its_entries() -> None:
    with closing(old_book()) as connection:
        before = connection.execute("SELECT * FROM entry").fetchall()
        migrate(connection, (older, today))
        assert schema.flaws(connection) == []
        assert version(connection) == 2
        assert connection.execute("SELECT * FROM entry").fetchall() == before


@pytest.mark.parametrize("at", range(1, schema.VERSION))
def test_a_book_of_every_version_is_brought_up_to_date_where_it_lies(path: Path, clock: FixedClock, at: int) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for step in STEPS[:at]:
            step(connection)
        connection.execute(f"PRAGMA user_version = {at}")
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    with Book.open(path, clock, SeededIds(1)) as book:
        book.append([Draft("looked_at", "p1", "AB", robot="r1")])
        assert book.verify() == []
    with closing(sqlite3.connect(path)) as connection:
        assert version(connection) == schema.VERSION


def test_an_older_book_is_read_as_it_is(path: Path, clock: FixedClock) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        schema.create(connection)
        connection.execute("PRAGMA user_version = 1")
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    with Book.open(path, clock, SeededIds(1), readonly=True) as book:
        assert book.verify() == []
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        assert version(connection) == 1
        connection.execute("DROP TRIGGER entry_delete")
    with pytest.raises(BookError, match="entry_delete is missing"):
        Book.open(path, clock, SeededIds(1), readonly=True)


def lose_a_guard(connection: sqlite3.Connection) -> None:
    """What rebuilding a table does without a word."""
    import sqlite_utils

    today(connection)
    sqlite_utils.Database(connection, execute_plugins=False).table("entry").transform(defaults={"robot": "r1"})


def stop_half_way(connection: sqlite3.Connection) -> None:
    connection.execute(schema.INDEXES["counts"])
    connection.execute("CREATE INDEX counts ON nothing (n)")


@pytest.mark.parametrize(("step", "error"), [(lose_a_guard, BookError), (stop_half_way, sqlite3.OperationalError)])
def test_a_step_that_fails_leaves_the_book_as_it_was(step: object, error: type[Exception]) -> None:
    with closing(old_book()) as connection:
        before = (shape(connection), version(connection))
        with pytest.raises(error):
            migrate(connection, (older, step))  # type: ignore[arg-type]
        assert not connection.in_transaction
        assert (shape(connection), version(connection)) == before


def test_four_programs_may_start_one_book_at_once(path: Path, clock: FixedClock) -> None:
    starting = [child(START, path) for _ in range(4)]
    for process in starting:
        assert process.stdin
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate()[0].strip() for process in starting]
    assert [process.returncode for process in starting] == [0] * 4
    assert set(said) <= {"made", "there is something here already."}
    assert "made" in said
    with Book.open(path, clock, SeededIds(2)) as book:
        entries = book.entries()
        assert len(entries) == 20
        assert len({entry.tick for entry in entries}) == 20
        assert {entry.writer for entry in entries} == {book.writer}
        assert book.verify() == []


def test_a_start_that_was_cut_short_can_be_made_again(path: Path, clock: FixedClock) -> None:
    path.touch()
    with Book.create(path, clock, SeededIds(1)) as book:
        assert len(book.append([Draft("looked_at", "p1", "AB", robot="r1")])) == 1
