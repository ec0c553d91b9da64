"""What is half typed, kept in this file by the window that types it: there again if the line drops."""

from __future__ import annotations

import os
import sqlite3

from pitcrew.logbook.lock import held

# A half-typed line is no entry: it may be overwritten and thrown away, and it never travels.
_PREFIX = "draft/"
_KEEP = "INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value"


class Drafts:
    """Half-typed lines of this file, one a window (by the number of its process)."""

    def __init__(self, connection: sqlite3.Connection, readonly: bool) -> None:
        self._connection = connection
        self._readonly = readonly

    def keep(self, text: str) -> None:
        """Keep this window's half-typed line; an empty one is forgotten. A book that is only read keeps none."""
        if self._readonly:
            return
        key = f"{_PREFIX}{os.getpid()}"
        with held(self._connection):
            if text:
                self._connection.execute(_KEEP, (key, text))
            else:
                self._connection.execute("DELETE FROM meta WHERE key = ?", (key,))

    def left_behind(self) -> str:
        """What a window that is gone had half typed; it is handed over once."""
        if self._readonly:
            return ""
        found = self._connection.execute("SELECT key, value FROM meta WHERE key GLOB ?", (f"{_PREFIX}*",)).fetchall()
        gone = [(key, text) for key, text in found if not _runs(str(key).removeprefix(_PREFIX))]
        if not gone:
            return ""
        with held(self._connection):
            self._connection.executemany("DELETE FROM meta WHERE key = ?", [(key,) for key, _ in gone])
        return str(gone[-1][1])


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
