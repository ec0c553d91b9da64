"""Holding the book while writing."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def held(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction that has the write lock from its first look on; given up whole on any error.

    Immediate, because a transaction that first reads and then wants to write is refused on the spot when
    another window has written in between, however long it would have waited.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
