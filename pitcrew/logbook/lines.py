"""Lines: an entry with its corrections and withdrawals, and which entry speaks for it at one moment."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from typing import Any, NamedTuple

from pitcrew.logbook.files import in_words
from pitcrew.logbook.rows import from_row
from pitcrew.logbook.schema import COLUMNS
from pitcrew.robot.records import Fact

# Later than any tick and any row.
EVER = 2**62

# `+n`, so that the bound on rows never tempts the planner away from the index meant for the probe.
ANCESTORS = """WITH RECURSIVE up(id, replaces) AS (
    SELECT id, replaces FROM entry WHERE id = :id AND tick < :cut AND +n <= :last
    UNION
    SELECT e.id, e.replaces FROM up JOIN entry AS e ON e.id = up.replaces
    WHERE e.tick < :cut AND +e.n <= :last)
SELECT id, replaces FROM up"""

MEMBERS = """WITH RECURSIVE down(id) AS (
    VALUES (:id)
    UNION
    SELECT e.id FROM down JOIN entry AS e ON e.replaces = down.id WHERE e.tick < :cut AND +e.n <= :last)
SELECT e.id, e.tick, e.writer, e.kind FROM down CROSS JOIN entry AS e ON e.id = down.id"""

BY_ID = f"SELECT {COLUMNS} FROM entry WHERE id = :id"


def fetch(connection: sqlite3.Connection, sql: str, values: Mapping[str, Any]) -> list[Any]:
    """The rows of a question, all of them: an unfinished cursor would hold its snapshot of the book.

    Raises:
        BookError: the file cannot be read.
    """
    try:
        return connection.execute(sql, values).fetchall()
    except sqlite3.Error as error:
        raise in_words(error) from error
    except UnicodeEncodeError:
        # A lone surrogate: no file holds one, so nothing is found by it.
        return []


class _Member(NamedTuple):
    id: str
    tick: int
    writer: str
    kind: str


class Lines:
    """The lines of a book as known before one tick, counting no row after `last`.

    What was found is remembered: the moment never changes.
    """

    def __init__(self, connection: sqlite3.Connection, cut: int = EVER, last: int = EVER) -> None:
        self._connection = connection
        self._bounds = {"cut": cut, "last": last}
        self._speaking: dict[str, Fact | None] = {}

    def speaking(self, entry_id: str) -> Fact | None:
        """The fact that speaks for the line of an entry, whatever it was written because of.

        None when the line is withdrawn or the entry is not known.
        """
        if entry_id not in self._speaking:
            root = self._root(entry_id)
            if root is None:
                self._speaking[entry_id] = None
            else:
                self._resolve(root)
        return self._speaking[entry_id]

    def _root(self, entry_id: str) -> str | None:
        """The first entry of a line: the one that replaces nothing known. None in a ring of replacements."""
        above = dict(self._rows(ANCESTORS, entry_id))
        return next((id_ for id_, replaces in above.items() if replaces not in above), None)

    def _resolve(self, root: str) -> None:
        members = [_Member(*row) for row in self._rows(MEMBERS, root)]
        fact = None
        if all(member.kind != "withdrawn" for member in members):
            first = next(member for member in members if member.id == root)
            latest = max(members, key=lambda member: (member.tick, member.writer, member.id))
            entry = from_row(self._rows(BY_ID, latest.id)[0])
            fact = Fact(entry, first.tick, first.writer, root)
        self._speaking.update((member.id, fact) for member in members)

    def _rows(self, sql: str, entry_id: str) -> list[Any]:
        return fetch(self._connection, sql, {"id": entry_id, **self._bounds})
