"""What measurements share: the machine to themselves, and a way to say what they found."""

from __future__ import annotations

import fcntl
import os
import platform
from collections.abc import Callable, Iterable, Iterator
from importlib.metadata import version

import click
import pytest

from tests.benchmarks.figures import Compared, table

Say = Callable[[str, Iterable[Compared], float], None]


@pytest.fixture
def alone() -> Iterator[None]:
    """One measurement at a time, in however many processes the tests run."""
    with open(__file__, "rb") as this:
        fcntl.flock(this, fcntl.LOCK_EX)
        yield


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Say:
    """Print a heading and a table with its high percentile: `say(heading, compared, 99)`."""

    def told(heading: str, compared: Iterable[Compared], high: float) -> None:
        load = ", ".join(f"{each:.1f}" for each in os.getloadavg())
        where = f"python {platform.python_version()}, textual {version('textual')}, {os.cpu_count()} cores, load {load}"
        with capsys.disabled():
            # Where tests run in several processes, only this way out leads to the terminal.
            click.echo(f"\n{heading}\n{where}\n{table(compared, high)}\n", err=True)

    return told
