"""The commands as a crew or a script runs them, and what their plain data says."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from click.testing import CliRunner, Result

from pitcrew.__main__ import main

TA, NS = "TALLOW ANVIL", "NETTLE SPROCKET"
INSTALLED = Path(sys.executable).with_name("pitcrew")
# The event's clock: British summer time.
ZONE = timezone(timedelta(hours=1))


class Seen(NamedTuple):
    """What `standing --json` says of one robot, and its exit status."""

    status: int
    data: dict[str, Any]

    @property
    def blocks(self) -> Counter[tuple[str, str]]:
        """What blocks, by name and verdict; two of one name count as two."""
        return Counter((row["requirement"], row["verdict"]) for row in self.data["blocks"])

    @property
    def blocking(self) -> set[str]:
        """The names of what blocks."""
        return {row["requirement"] for row in self.data["blocks"]}

    @property
    def met(self) -> dict[str, dict[str, Any]]:
        """What is asked for and does not block, by name."""
        return {row["requirement"]: row for row in self.data["met"]}

    def reasons(self, name: str) -> str:
        """Why something blocks."""
        found = [row["reason"] for row in self.data["blocks"] if row["requirement"] == name]
        assert found, f"{name} does not block: {sorted(self.blocking)}"
        return "; ".join(found)

    def verdict(self, name: str) -> str:
        """The verdict of something that blocks."""
        (found,) = {row["verdict"] for row in self.data["blocks"] if row["requirement"] == name} or {"-"}
        return str(found)

    def weight(self, configuration: str) -> dict[str, Any]:
        """A configuration's weight."""
        (found,) = [row for row in self.data["weights"] if row["configuration"] == configuration]
        return dict(found)


See = Callable[..., Seen]


def run(*arguments: str) -> Result:
    """The program in this process; anything but an orderly end is raised."""
    done = CliRunner().invoke(main, list(arguments))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def standing(book: Path, robot: str, at: str, supposing: Sequence[str] = ()) -> Seen:
    """A robot's standing at a moment of the event's year, with lines supposed."""
    lines = [word for line in supposing for word in ("--if", line)]
    done = run("standing", str(book), robot, "--at", at, "--json", *lines)
    assert done.stderr == ""
    return seen(done.exit_code, done.stdout)


def seen(status: int, output: str) -> Seen:
    """Read the plain data of one robot."""
    (data,) = json.loads(output)["robots"]
    return Seen(status, data)


def fingerprint(path: Path) -> str:
    """The bytes of a file, in short."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def cut_ms(at: str) -> int:
    """The first millisecond after a minute of the event's year, UTC."""
    moment = datetime.strptime(f"2026-{at}", "%Y-%m-%d %H:%M").replace(tzinfo=ZONE)
    return round((moment + timedelta(minutes=1)).timestamp() * 1000)


def rows(book: Path, sql: str, *values: object) -> list[tuple[Any, ...]]:
    """Ask the file itself, past the program, and leave nothing beside it."""
    connection = sqlite3.connect(f"{book.absolute().as_uri()}?immutable=1", uri=True)
    try:
        return connection.execute(sql, values).fetchall()
    finally:
        connection.close()


def as_anyone(*arguments: str) -> subprocess.CompletedProcess[str]:
    """The installed command with no more rights than the file's own mode gives its owner."""
    bare: list[str] = []
    if os.geteuid() == 0:
        setpriv = shutil.which("setpriv")
        if setpriv is None:
            pytest.skip("a superuser without setpriv may write everywhere")
        bare = [setpriv, "--bounding-set=-all", "--inh-caps=-all", "--"]
    words = [*bare, str(INSTALLED), *arguments]
    return subprocess.run(words, check=False, capture_output=True, text=True, timeout=60)
