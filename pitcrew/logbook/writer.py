"""Under which name a book is written: one for each file, so that copies never write under one name."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

_KEEP = "INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value"


def fingerprint(path: Path) -> str:
    """What tells this file from any copy of it: computer, path and inode.

    Hashed, because a book that is handed on should not tell what its last computer and folders were called.
    """
    real = path.resolve()
    where = "\0".join((os.uname().nodename, str(real), str(real.stat().st_ino)))
    return hashlib.sha256(where.encode("utf-8", "surrogateescape")).hexdigest()


def writer_of(connection: sqlite3.Connection, path: Path, mint: Callable[[], str]) -> str:
    """The writer's id of a book; a new one when the file is not where it was, or not the file it was.

    The caller holds the transaction.
    """
    kept = dict(connection.execute("SELECT key, value FROM meta").fetchall())
    here = fingerprint(path)
    if kept.get("file") == here and kept.get("writer"):
        return str(kept["writer"])
    writer = mint()
    connection.executemany(_KEEP, [("file", here), ("writer", writer)])
    return writer
