"""Copies never write under one name."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

from pitcrew.clock import FixedClock, SystemIds
from pitcrew.logbook.book import Book


def writer_now(path: Path, clock: FixedClock) -> str:
    with Book.open(path, clock, SystemIds()) as book:
        assert book.writer
        return book.writer


@pytest.fixture
def closed(path: Path, clock: FixedClock) -> Path:
    Book.create(path, clock, SystemIds()).close()
    return path


def test_a_book_keeps_its_writer(closed: Path, clock: FixedClock) -> None:
    assert writer_now(closed, clock) == writer_now(closed, clock)


def test_a_copy_writes_under_its_own_name(closed: Path, clock: FixedClock) -> None:
    copy = closed.with_name("copy.db")
    shutil.copyfile(closed, copy)
    assert writer_now(copy, clock) != writer_now(closed, clock)


def test_a_book_put_in_the_place_of_another_writes_under_a_new_name(closed: Path, clock: FixedClock) -> None:
    before = writer_now(closed, clock)
    copy = closed.with_name("copy.db")
    shutil.copyfile(closed, copy)
    copy.replace(closed)
    assert writer_now(closed, clock) != before


def test_a_moved_book_writes_under_a_new_name(closed: Path, clock: FixedClock) -> None:
    before = writer_now(closed, clock)
    moved = closed.rename(closed.with_name("moved.db"))
    assert writer_now(moved, clock) != before


def test_another_computer_writes_under_a_new_name(
    closed: Path, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = writer_now(closed, clock)
    monkeypatch.setattr("os.uname", lambda: SimpleNamespace(nodename="the-other-bench"))
    assert writer_now(closed, clock) != before


def test_a_link_to_a_book_is_the_book(closed: Path, clock: FixedClock) -> None:
    link = closed.with_name("link.db")
    link.symlink_to(closed)
    assert writer_now(link, clock) == writer_now(closed, clock)


def test_a_book_handed_on_does_not_tell_where_it_was(closed: Path) -> None:
    assert str(closed.parent).encode() not in closed.read_bytes()
    with closing(sqlite3.connect(closed)) as connection:
        kept = dict(connection.execute("SELECT key, value FROM meta"))
    assert set(kept) == {"file", "writer"}
    assert re.fullmatch("[0-9a-f]{64}", kept["file"])
    assert re.fullmatch("[0-9A-HJKMNP-TV-Z]{26}", kept["writer"])


def test_the_writer_is_no_part_of_what_travels(closed: Path, clock: FixedClock, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    with Book.create(other, clock, SystemIds()) as book:
        before = book.writer
        book.merge(closed)
    assert writer_now(other, clock) == before


def test_a_reader_has_no_name(closed: Path, clock: FixedClock) -> None:
    with closing(sqlite3.connect(closed)) as connection:
        before = connection.execute("SELECT * FROM meta").fetchall()
        with Book.open(closed, clock, SystemIds(), readonly=True) as book:
            assert book.readonly
            assert book.writer == ""
        assert connection.execute("SELECT * FROM meta").fetchall() == before
