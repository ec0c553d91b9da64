"""Backups that are whole or not there, and looking a book through."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from tests.logbook.making import NOON, entry, rows

LOOK = Draft("looked_at", "p1", "AB", robot="r1")


def test_a_backup_holds_every_entry_and_every_guard(tmp_path: Path, path: Path, book: Book) -> None:
    book.append([LOOK] * 3)
    book.insert_raw([entry("old", tick=3)])
    copy = tmp_path / "copy.db"
    book.backup(copy)
    with Book.open(copy, FixedClock(NOON), SeededIds(2), readonly=True) as kept:
        assert kept.entries_after(0) == book.entries_after(0)
        assert kept.verify() == []
    book.close()
    assert rows(copy) == rows(path)
    assert sorted(item.name for item in tmp_path.iterdir()) == ["copy.db", "season.db"]


def test_a_reader_and_a_scratch_book_can_be_backed_up(tmp_path: Path, path: Path, book: Book) -> None:
    book.append([LOOK])
    with Book.open(path, FixedClock(NOON), SeededIds(2), readonly=True) as reader:
        reader.backup(tmp_path / "one.db")
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            reader._connection.execute("CREATE TABLE more (n)")
    with Book.memory(FixedClock(NOON), SeededIds(3)) as scratch:
        scratch.append([LOOK])
        scratch.backup(tmp_path / "two.db")
    assert len(rows(tmp_path / "one.db")) == len(rows(tmp_path / "two.db")) == 1


def test_a_backup_ships_in_a_mode_that_can_be_read_anywhere(tmp_path: Path, book: Book) -> None:
    book.backup(tmp_path / "copy.db")
    with closing(sqlite3.connect(tmp_path / "copy.db")) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_backup_replaces_nothing(tmp_path: Path, path: Path, book: Book) -> None:
    (tmp_path / "notes.txt").write_text("bore 12.5")
    for taken in (tmp_path / "notes.txt", path, tmp_path):
        with pytest.raises(BookError, match="something here already"):
            book.backup(taken)
    assert (tmp_path / "notes.txt").read_text() == "bore 12.5"


def test_a_backup_that_fails_leaves_nothing(tmp_path: Path, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(BookError):
        book.backup(tmp_path / "missing" / "copy.db")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    before = {item.name for item in tmp_path.iterdir()}
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(BookError, match="No space left"):
        book.backup(tmp_path / "copy.db")
    assert {item.name for item in tmp_path.iterdir()} == before


def test_a_good_book_has_nothing_wrong(book: Book) -> None:
    book.append([LOOK] * 1500)
    assert book.verify() == []


def test_looking_through_finds_a_guard_that_went_meanwhile(path: Path, book: Book) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER entry_update")
    assert book.verify() == ["entry_update is missing"]


def test_looking_through_finds_a_page_that_went_bad(tmp_path: Path, book: Book) -> None:
    book.append([LOOK] * 500)
    copy = tmp_path / "copy.db"
    book.backup(copy)
    with closing(sqlite3.connect(copy)) as connection:
        root = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'acts'").fetchone()[0]
        size = connection.execute("PRAGMA page_size").fetchone()[0]
    content = bytearray(copy.read_bytes())
    content[(root - 1) * size + 200 : root * size] = bytes(size - 200)
    copy.write_bytes(content)
    with Book.open(copy, FixedClock(NOON), SeededIds(2), readonly=True) as bad:
        assert any(sentence.startswith("the file: ") for sentence in bad.verify())
