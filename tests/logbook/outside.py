"""Running things outside the test's own process: as somebody who may not write, or to be killed."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
NOBODY = 65534


def child(code: str, *arguments: str | Path, before: tuple[str, ...] = ()) -> subprocess.Popen[str]:
    """A new Python on the package, with a pipe to listen to."""
    return subprocess.Popen(
        [*before, sys.executable, "-c", code, *map(str, arguments)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def without_rights(question: Callable[[], Any]) -> Any:
    """The answer of a function run by a user without rights to the files: root may write any file."""
    if os.geteuid() != 0:
        return question()
    receiving, sending = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            answer = {"answer": question()}
        except BaseException as error:
            answer = {"error": repr(error)}
        os.write(sending, json.dumps(answer).encode())
        os._exit(0)
    os.close(sending)
    with os.fdopen(receiving) as pipe:
        told = json.loads(pipe.read() or '{"error": "died"}')
    os.waitpid(pid, 0)
    assert "answer" in told, told
    return told["answer"]


@contextmanager
def folder_for_all() -> Iterator[Path]:
    """A folder that any user may reach; given back its rights at the end, so that it can be removed."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        folder.chmod(0o755)
        try:
            yield folder
        finally:
            folder.chmod(0o755)


def look_only(path: Path) -> None:
    """Take the right to write a file or folder from everybody."""
    path.chmod(path.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH))
