"""A clock that stands, ids that repeat, and a new book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from tests.logbook.making import NOON


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(NOON)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "season.db"


@pytest.fixture
def book(path: Path, clock: FixedClock) -> Iterator[Book]:
    with Book.create(path, clock, SeededIds(1)) as book:
        yield book
