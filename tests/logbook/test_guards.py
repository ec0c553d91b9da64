"""What the file itself refuses, whoever writes to it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook import schema
from pitcrew.logbook.book import Book

COLUMNS = schema.COLUMNS.split(",")
ROW = (1, "e1", "a1", 10, 9, "w1", "AB", "r1", "looked_at", "p1", "q1", None, None, "{}")
OTHER = ("e2", "a2", 11, 8, "w2", "CD", "r2", "note", "p2", "q2", 2, "e0", '{"note":"x"}')


@pytest.fixture
def raw(path: Path, clock: FixedClock) -> Iterator[sqlite3.Connection]:
    """A book as any other program would open it, with one entry in it."""
    Book.create(path, clock, SeededIds(1)).close()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        put(connection, ROW)
        yield connection


def put(connection: sqlite3.Connection, row: tuple[object, ...], verb: str = "INSERT") -> int:
    """Insert a row; without a number when it has none."""
    names = COLUMNS if len(row) == 14 else COLUMNS[1:]
    marks = ", ".join("?" * len(row))
    return connection.execute(f"{verb} INTO entry ({', '.join(names)}) VALUES ({marks})", row).rowcount


def all_rows(connection: sqlite3.Connection) -> list[tuple[object, ...]]:
    return connection.execute("SELECT * FROM entry ORDER BY n").fetchall()


VERBS = ("INSERT", "INSERT OR REPLACE", "INSERT OR IGNORE", "INSERT OR FAIL", "INSERT OR ROLLBACK", "REPLACE")


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize("row", [ROW, ROW[1:], (7, *ROW[1:])])
def test_the_same_entry_again_is_passed_over(raw: sqlite3.Connection, verb: str, row: tuple[object, ...]) -> None:
    put(raw, row, verb)
    assert all_rows(raw) == [ROW]


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize("column", range(2, 14))
def test_one_id_never_stands_for_two_entries(raw: sqlite3.Connection, verb: str, column: int) -> None:
    changed = [*ROW[1:]]
    changed[column - 1] = OTHER[column - 1]
    with pytest.raises(sqlite3.IntegrityError, match="id taken by another entry"):
        put(raw, tuple(changed), verb)
    assert all_rows(raw) == [ROW]


@pytest.mark.parametrize("verb", VERBS)
def test_a_row_is_never_taken_twice(raw: sqlite3.Connection, verb: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="row taken"):
        put(raw, (1, *OTHER), verb)
    assert all_rows(raw) == [ROW]


def test_an_upsert_changes_nothing(raw: sqlite3.Connection) -> None:
    names, marks = ", ".join(COLUMNS[1:]), ", ".join("?" * 13)
    sql = f"INSERT INTO entry ({names}) VALUES ({marks}) ON CONFLICT (id) DO UPDATE SET subject = 'p9'"
    raw.execute(sql, ROW[1:])
    with pytest.raises(sqlite3.IntegrityError, match="id taken"):
        raw.execute(sql, ("e1", *OTHER[1:]))
    assert all_rows(raw) == [ROW]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET subject = 'p2'",
        "UPDATE OR REPLACE entry SET n = 2",
        "DELETE FROM entry",
        "DELETE FROM entry WHERE id = 'e1'",
    ],
)
def test_entries_are_never_changed_or_deleted(raw: sqlite3.Connection, statement: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        raw.execute(statement)
    assert all_rows(raw) == [ROW]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("n", 0),
        ("n", -1),
        ("happened", 12),
        ("detail", "{"),
        ("detail", None),
        ("by", None),
        ("tick", "noon"),
        ("tick", 1.5),
        ("subject", b"p"),
    ],
)
def test_rows_of_the_wrong_shape_are_refused(raw: sqlite3.Connection, column: str, value: object) -> None:
    row: list[object] = [2, *OTHER]
    row[[name.strip('"') for name in COLUMNS].index(column)] = value
    with pytest.raises(sqlite3.IntegrityError):
        put(raw, tuple(row))
    assert all_rows(raw) == [ROW]


@pytest.mark.parametrize(
    ("tampering", "says"),
    [
        *((f"DROP TRIGGER {name}", f"{name} is missing") for name in schema.GUARDS),
        *((f"DROP INDEX {name}", f"{name} is missing") for name in schema.INDEXES),
        *((f"DROP VIEW {name}", f"{name} is missing") for name in schema.VIEWS),
        ("CREATE TRIGGER sly AFTER INSERT ON entry BEGIN SELECT 1; END", "sly does not belong in a book"),
        ("ALTER TABLE entry ADD COLUMN more TEXT", "entry was changed"),
    ],
)
@pytest.mark.parametrize("readonly", [False, True])
def test_a_book_that_lost_a_guard_is_not_opened(
    raw: sqlite3.Connection, path: Path, clock: FixedClock, tampering: str, says: str, readonly: bool
) -> None:
    raw.execute(tampering)
    raw.close()
    with pytest.raises(BookError, match=says):
        Book.open(path, clock, SeededIds(2), readonly=readonly)


def test_a_guard_weakened_by_hand_is_noticed(raw: sqlite3.Connection, path: Path, clock: FixedClock) -> None:
    raw.execute("DROP TRIGGER entry_delete")
    raw.execute("CREATE TRIGGER entry_delete BEFORE DELETE ON entry BEGIN SELECT 1; END")
    raw.close()
    with pytest.raises(BookError, match="entry_delete was changed"):
        Book.open(path, clock, SeededIds(2))
