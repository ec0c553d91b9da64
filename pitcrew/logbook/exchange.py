"""Whole books: taken in, copied, looked through."""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from pitcrew.errors import BookError
from pitcrew.logbook import files, schema
from pitcrew.logbook.drafts import left_out
from pitcrew.logbook.rows import Row, canonical, from_row, problems, refuse
from pitcrew.logbook.schema import COLUMNS
from pitcrew.robot.records import Entry

DAY_MS = 24 * 3600 * 1000
PAGE = 1000

_PAGE = f"SELECT {COLUMNS} FROM entry WHERE n > ? ORDER BY n LIMIT {PAGE}"
_HERE = f"SELECT {COLUMNS} FROM entry WHERE id = ?"


@contextmanager
def source(path: Path) -> Iterator[sqlite3.Connection]:
    """Another book, held at one moment while it is read."""
    with files.told(path), ExitStack() as stack:
        connection = files.open_reading(path, stack)
        connection.execute("BEGIN")
        yield connection


def _rows(connection: sqlite3.Connection) -> Iterator[Row]:
    n = 0
    while rows := connection.execute(_PAGE, (n,)).fetchall():
        yield from rows
        n = rows[-1][0]


def every(connection: sqlite3.Connection) -> Iterator[Entry]:
    """All entries of a book, in the order they came in."""
    return map(from_row, _rows(connection))


def _row_problems(row: Row) -> list[str]:
    try:
        entry = from_row(row)
        if canonical(entry.detail) != row[13]:
            return ["detail: not spelled as a book spells it"]
        return problems(entry)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return ["detail: cannot be read"]


def check_new(here: sqlite3.Connection, other: sqlite3.Connection, newest: int | None) -> None:
    """Refuse another book for an entry that may not be taken in; those that are here already are passed over.

    Raises:
        EntryError: an entry cannot be taken, or its id stands for another entry here.
        BookError: a tick above `newest` (milliseconds UTC).
    """
    for row in _rows(other):
        found = here.execute(_HERE, (row[1],)).fetchone()
        if found and found[1:] == row[1:]:
            continue
        if found:
            refuse(row[8], f"id: {row[1]} already stands for another entry")
        if sentences := _row_problems(row):
            refuse(row[8], f"entry {row[1]!r:.40}: {'; '.join(sentences)}")
        if newest is not None and row[3] > newest:
            raise BookError(
                f"the other book runs ahead of now, to {_moment(row[3])}.",
                "Set the clock that is wrong, or merge it with its future on purpose.",
            )


def _moment(ms: int) -> str:
    try:
        return f"{datetime.fromtimestamp(ms / 1000, UTC):%Y-%m-%d %H:%M} UTC"
    except (ValueError, OverflowError, OSError):
        return f"{ms} ms"


def backup(connection: sqlite3.Connection, to: Path) -> None:
    """Write a whole copy of a book under a temporary name, then give it its own.

    Raises:
        BookError: there is something at `to` already, or nothing can be written there.
    """
    part = to.with_name(f".{to.name}.{secrets.token_hex(4)}.part")
    with files.told(to):
        if to.exists():
            raise BookError("there is something here already.", "Choose another name.", str(to))
        try:
            _copy_into(connection, part)
            os.rename(part, to)
            files.sync_folder(to.parent)
        finally:
            with suppress(FileNotFoundError):
                part.unlink()


def _copy_into(connection: sqlite3.Connection, part: Path) -> None:
    queries_only = connection.execute("PRAGMA query_only").fetchone()[0]
    connection.execute("PRAGMA query_only = OFF")
    try:
        connection.execute("VACUUM INTO ?", (str(part.absolute()),))
    finally:
        connection.execute(f"PRAGMA query_only = {queries_only}")
    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        left_out(copy)
    with part.open("rb+") as file:
        os.fsync(file.fileno())


def verify(connection: sqlite3.Connection) -> list[str]:
    """What is wrong with a book: the file, its guards, and every entry against its kind."""
    checks = connection.execute("PRAGMA integrity_check").fetchall()
    found = [f"the file: {line}" for (line,) in checks if line != "ok"] + schema.flaws(connection)
    for row in _rows(connection):
        found += [f"entry {row[1]}: {sentence}" for sentence in _row_problems(row)]
    return found
