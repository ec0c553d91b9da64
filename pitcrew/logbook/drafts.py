"""What is half typed, kept in this file by the window that types it: there again if the line drops."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from pitcrew.logbook.files import told
from pitcrew.logbook.lock import held

# A half-typed line is no entry: it may be overwritten and thrown away, and it never travels.
_PREFIX = "draft/"
_ALL = "SELECT key, value FROM meta WHERE key GLOB ?"
_KEEP = "INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value"


class Drafts:
    """Half-typed lines of this file, one a window (by the number of its process).

    Every method raises `BookError` when the file cannot be read or written.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path | str, readonly: bool) -> None:
        self._connection = connection
        self._path = path
        self._readonly = readonly

    def keep(self, text: str) -> None:
        """Keep this window's half-typed line; an empty one is forgotten. A book that is only read keeps none."""
        if self._readonly:
            return
        key = f"{_PREFIX}{os.getpid()}"
        with told(self._path), held(self._connection):
            if text:
                self._connection.execute(_KEEP, (key, text))
            else:
                self._connection.execute("DELETE FROM meta WHERE key = ?", (key,))

    def left_behind(self) -> str:
        """What a window that is gone had half typed; it is handed over once."""
        if self._readonly:
            return ""
        with told(self._path):
            found = self._connection.execute(_ALL, (f"{_PREFIX}*",)).fetchall()
        gone = [(key, text) for key, text in found if not _runs(str(key).removeprefix(_PREFIX))]
        if not gone:
            return ""
        with told(self._path), held(self._connection):
            self._connection.executemany("DELETE FROM meta WHERE key = ?", [(key,) for key, _ in gone])
        return str(gone[-1][1])


def left_out(connection: sqlite3.Connection) -> None:
    """Take every half-typed line out of a copy that goes elsewhere."""
    with held(connection):
        connection.execute("DELETE FROM meta WHERE key GLOB ?", (f"{_PREFIX}*",))


def _runs(process: str) -> bool:
    """Is there a process of this number, other than this one?"""
    if not process.isdigit() or int(process) == os.getpid():
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
