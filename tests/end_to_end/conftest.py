"""The demo's book, built once for all."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from pitcrew.demo.build import build
from tests.end_to_end.altered import Act, Alter, copied
from tests.end_to_end.commands import See, Seen, standing
from tests.end_to_end.tmux import tmux  # noqa: F401  a fixture


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The book as the demo's facts build it; nobody writes in it."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    build(path)
    return path


@pytest.fixture(scope="session")
def see(demo: Path) -> See:
    """A robot's standing: `see(robot, at, *supposed lines)`; each is judged once."""

    @cache
    def look(robot: str, at: str, *supposing: str) -> Seen:
        return standing(demo, robot, at, supposing)

    return look


@pytest.fixture
def alter(demo: Path, tmp_path: Path) -> Alter:
    """A copy up to a minute with acts written on: `alter(robot, at, *acts)`."""

    def make(robot: str, at: str, *acts: Act, by: str = "PB") -> Path:
        return copied(demo, tmp_path / "altered.db", at, robot, *acts, by=by)

    return make
