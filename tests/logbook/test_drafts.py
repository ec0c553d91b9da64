"""What is half typed: kept in the file by the window that types it, handed over once, and no entry at all."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from tests.logbook.making import NOON, entry, rows

# Opens a book in a process of its own, keeps a line there, and stays until told to go.
WINDOW = """
import sys
from pathlib import Path
from pitcrew.clock import SystemClock, SystemIds
from pitcrew.logbook.book import Book
book = Book.open(Path(sys.argv[1]), SystemClock(), SystemIds())
book.drafts.keep(sys.argv[2])
print("kept", flush=True)
sys.stdin.read()
"""


def window(path: Path, text: str) -> subprocess.Popen[str]:
    """Another window at the same file, with a line half typed."""
    given_ = [sys.executable, "-c", WINDOW, str(path), text]
    process = subprocess.Popen(given_, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "kept\n"
    return process


def end(process: subprocess.Popen[str]) -> None:
    """The window goes as a cut line makes it go."""
    process.kill()
    process.communicate()


def kept(path: Path) -> list[str]:
    """Every half-typed line in a file, read past the code under test."""
    with closing(sqlite3.connect(path)) as connection:
        return [str(text) for (text,) in connection.execute("SELECT value FROM meta WHERE key GLOB 'draft/*'")]


@pytest.fixture
def gone(path: Path, book: Book) -> Path:
    """A book in which a window that is gone left a line."""
    end(window(path, "262.0"))
    return path


def test_what_is_kept_is_in_the_file_under_its_own_window(path: Path, book: Book) -> None:
    book.drafts.keep("262.0")
    assert kept(path) == ["262.0"]
    book.drafts.keep("262.05 gap")
    assert kept(path) == ["262.05 gap"]


def test_an_empty_line_is_forgotten(path: Path, book: Book) -> None:
    book.drafts.keep("262.0")
    book.drafts.keep("")
    assert kept(path) == []
    book.drafts.keep("")
    assert book.drafts.left_behind() == ""


def test_a_line_outlasts_its_window_and_is_handed_over_once(gone: Path, book: Book) -> None:
    assert kept(gone) == ["262.0"]
    assert book.drafts.left_behind() == "262.0"
    assert book.drafts.left_behind() == ""
    assert kept(gone) == []


def test_of_two_that_open_at_once_only_one_is_handed_the_line(gone: Path, book: Book) -> None:
    with Book.open(gone, FixedClock(NOON), SeededIds(2)) as other:
        found = [one.drafts.left_behind() for one in (other, book)]
    assert found == ["262.0", ""]


def test_a_window_that_still_types_keeps_its_own_line(path: Path, book: Book) -> None:
    process = window(path, "1.17 k")
    try:
        assert book.drafts.left_behind() == ""
        book.drafts.keep("dr ha")
        assert sorted(kept(path)) == ["1.17 k", "dr ha"]
    finally:
        end(process)
    assert book.drafts.left_behind() != ""
    assert kept(path) == []


def test_of_several_that_are_gone_all_are_cleared_and_one_is_given(path: Path, book: Book) -> None:
    end(window(path, "first"))
    end(window(path, "second"))
    assert book.drafts.left_behind() in ("first", "second")
    assert kept(path) == []


def test_a_line_of_a_process_number_that_is_this_one_now_counts_as_gone(path: Path, book: Book) -> None:
    """Numbers of processes come round again: what this one finds under its own was left by another before it."""
    book.drafts.keep("262.0")
    with Book.open(path, FixedClock(NOON), SeededIds(2)) as again:
        assert again.drafts.left_behind() == "262.0"


@pytest.mark.parametrize("key", ["draft/", "draft/x", "draft/-1", "draft/12 34"])
def test_a_line_under_no_process_at_all_is_handed_over(path: Path, book: Book, key: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("INSERT INTO meta (key, value) VALUES (?, 'stray')", (key,))
        connection.commit()
    assert book.drafts.left_behind() == "stray"


def test_a_process_of_somebody_else_is_a_window_that_runs(path: Path, book: Book) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("INSERT INTO meta (key, value) VALUES (?, 'theirs')", (f"draft/{os.getppid()}",))
        connection.commit()
    assert book.drafts.left_behind() == ""
    assert kept(path) == ["theirs"]


# it is no entry


def test_a_half_typed_line_is_no_entry_and_changes_none(path: Path, book: Book) -> None:
    book.insert_raw([entry("e1")])
    before, tick = rows(path), book.highest_tick()
    book.drafts.keep("262.0")
    assert book.highest_tick() == tick
    assert len(book.entries()) == 1
    book.close()
    assert rows(path) == before


def test_a_half_typed_line_does_not_travel_by_merging(tmp_path: Path, path: Path, book: Book) -> None:
    book.insert_raw([entry("e1")])
    book.drafts.keep("262.0")
    book.close()
    other = tmp_path / "other.db"
    with Book.create(other, FixedClock(NOON), SeededIds(3)) as into:
        assert into.merge(path) == 1
        assert into.drafts.left_behind() == ""
    assert kept(other) == []


def test_a_half_typed_line_does_not_travel_in_a_backup(tmp_path: Path, path: Path, book: Book) -> None:
    book.insert_raw([entry("e1")])
    book.drafts.keep("262.0")
    copy = tmp_path / "copy.db"
    book.backup(copy)
    assert kept(copy) == []
    assert rows(copy) == rows(path)
    assert kept(path) == ["262.0"]
    with Book.open(copy, FixedClock(NOON), SeededIds(3)) as other:
        assert other.verify() == []


def test_a_book_that_is_only_read_keeps_no_line_and_is_given_none(gone: Path, book: Book) -> None:
    book.close()
    with Book.open(gone, FixedClock(NOON), SeededIds(2), readonly=True) as reading:
        reading.drafts.keep("dr hard")
        assert reading.drafts.left_behind() == ""
    assert kept(gone) == ["262.0"]


def test_a_full_disk_does_not_break_what_is_in_the_book(path: Path, book: Book) -> None:
    book.insert_raw([entry("e1")])
    pages = book._connection.execute("PRAGMA page_count").fetchone()[0]
    book._connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(BookError, match="full"):
        for size in range(1, 200):
            book.drafts.keep("x" * 500 * size)
    assert book.verify() == []
    assert len(book.entries()) == 1


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(texts=st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=60)))
def test_the_last_line_kept_is_the_one_that_is_found(path: Path, book: Book, texts: list[str]) -> None:
    for text in texts:
        book.drafts.keep(text)
    assert book.drafts.left_behind() == (texts[-1] if texts else "")
    assert book.drafts.left_behind() == ""
