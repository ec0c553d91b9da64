"""From one version of the file to the next, all or nothing."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence

from pitcrew.errors import BookError
from pitcrew.logbook import schema
from pitcrew.logbook.lock import held

Step = Callable[[sqlite3.Connection], None]

# Step number v leads from version v to v + 1.
STEPS: tuple[Step, ...] = (schema.create, schema.second)


def version(connection: sqlite3.Connection) -> int:
    """The version of the file's shape; 0 before it has any."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, steps: Sequence[Step] = STEPS) -> None:
    """Bring a file to the newest version, under the write lock from the first look to the last step.

    Two programs may start on one file at once: the second waits, looks, and finds nothing left to do.

    Raises:
        BookError: after the last step the file is not what it should be; it stays as it was.
    """
    with held(connection):
        at = version(connection)
        for number in range(at, len(steps)):
            steps[number](connection)
        if at < len(steps):
            connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {len(steps)}")
            _check(connection)


def _check(connection: sqlite3.Connection) -> None:
    # Rebuilding a table drops its triggers without a word; no step may lose a guard that way.
    if found := schema.flaws(connection):
        raise BookError(f"the book could not be brought up to date: {'; '.join(found)}.")
