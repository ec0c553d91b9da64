"""What is refused and stays as it was, and what a reader leaves behind: nothing."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook import exchange, files, schema
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from tests.logbook.making import NOON
from tests.logbook.outside import folder_for_all, look_only, without_rights

LOOK = Draft("looked_at", "p1", "AB", robot="r1")
assert exchange.PAGE  # Loaded here, because a user without rights may not be able to load it later.


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def opened(path: Path, readonly: bool = False, busy_ms: int = 50) -> Book:
    return Book.open(path, FixedClock(NOON), SeededIds(9), readonly, busy_ms)


def made(path: Path, entries: int = 3, mode: str = "WAL") -> Path:
    with Book.create(path, FixedClock(NOON), SeededIds(1)) as book:
        book.append([LOOK] * entries)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA journal_mode = {mode}")
    return path


def crashed(path: Path, lose_shm: bool) -> Path:
    """A book whose last entry is still in its -wal file, as after a power cut."""
    whole = made(path.with_name("whole.db"), 2)
    with opened(whole) as book:
        book.append([LOOK])
        for suffix in ("", "-wal") if lose_shm else ("", "-wal", "-shm"):
            shutil.copyfile(f"{whole}{suffix}", f"{path}{suffix}")
    whole.unlink()
    return path


def count(path: Path) -> int:
    with opened(path, readonly=True) as book:
        return len(book.entries())


# --- Refused


def missing(path: Path) -> None:
    path.unlink(missing_ok=True)


def folder(path: Path) -> None:
    path.mkdir()


def empty(path: Path) -> None:
    path.touch()


def text(path: Path) -> None:
    path.write_text("the bore is 12.5\n" * 1000)


def short(path: Path) -> None:
    path.write_bytes(b"SQLite format 3\0")


def pipe(path: Path) -> None:
    os.mkfifo(path)


def somebody_else_s(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE entry (id TEXT)")


def somebody_else_s_in_use(path: Path) -> None:
    """Another program's file with work in its -wal that opening it for writing would fold in."""
    whole = path.with_name("whole.db")
    with closing(sqlite3.connect(whole, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("CREATE TABLE entry (id TEXT)")
        for suffix in ("", "-wal", "-shm"):
            shutil.copyfile(f"{whole}{suffix}", f"{path}{suffix}")
    whole.unlink()


def newer(path: Path) -> None:
    made(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")


def damaged(path: Path) -> None:
    made(path)
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    path.write_bytes(content)


REFUSED: list[tuple[Callable[[Path], None], str]] = [
    (missing, "there is no book here"),
    (folder, "this is a folder"),
    (empty, "this file is empty"),
    (text, "this is not a book"),
    (short, "this is not a book"),
    (pipe, "this is not a book"),
    (somebody_else_s, "this is not a book"),
    (somebody_else_s_in_use, "this is not a book"),
    (newer, "made by a newer Pitcrew"),
]


@pytest.mark.parametrize(("make", "says"), REFUSED)
@pytest.mark.parametrize("readonly", [False, True])
def test_what_is_not_a_book_is_refused_untouched(
    path: Path, make: Callable[[Path], None], says: str, readonly: bool
) -> None:
    make(path)
    before = contents(path.parent)
    with pytest.raises(BookError, match=says) as refused:
        opened(path, readonly)
    assert refused.value.place == str(path)
    # Looking into a -wal file needs the -shm file, and may set its counters.
    assert {n: c for n, c in contents(path.parent).items() if not n.endswith("-shm")} == {
        n: c for n, c in before.items() if not n.endswith("-shm")
    }
    assert contents(path.parent).keys() == before.keys()


def test_a_damaged_book_says_so(path: Path) -> None:
    damaged(path)
    before = contents(path.parent)
    with pytest.raises(BookError, match=r"damaged|tampered"), opened(path, readonly=True) as book:
        book.entries()
    assert contents(path.parent) == before


@pytest.mark.parametrize("make", [folder, text, somebody_else_s, newer])
def test_nothing_is_started_over_something_else(path: Path, make: Callable[[Path], None]) -> None:
    make(path)
    before = contents(path.parent)
    with pytest.raises(BookError, match="something here already"):
        Book.create(path, FixedClock(NOON), SeededIds(1))
    assert contents(path.parent) == before


def test_a_book_cannot_be_started_in_a_folder_that_is_not_there(path: Path) -> None:
    with pytest.raises(BookError, match="cannot be opened here"):
        Book.create(path / "deeper" / "season.db", FixedClock(NOON), SeededIds(1))


def test_a_locked_book_says_so_and_nothing_is_lost(path: Path) -> None:
    made(path)
    with opened(path) as book, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookError, match="being written by another window"):
            book.append([LOOK])
        with pytest.raises(BookError, match="being written by another window"):
            opened(path)
        other.execute("ROLLBACK")
        book.append([LOOK])
        assert len(book.entries()) == 4


def test_a_full_disk_says_so_and_keeps_what_was_written(path: Path) -> None:
    made(path)
    with opened(path) as book:
        pages = book._connection.execute("PRAGMA page_count").fetchone()[0]
        book._connection.execute(f"PRAGMA max_page_count = {pages}")
        written = [item.id for item in book.entries()]
        with pytest.raises(BookError, match="disk is full"):
            for _ in range(1000):
                written += [item.id for item in book.append([LOOK._replace(detail={"note": "x" * 500})] * 2)]
        assert not book._connection.in_transaction
        assert {item.id for item in book.entries(limit=10_000)} == set(written)
        book._connection.execute("PRAGMA max_page_count = 100000")
        book.append([LOOK])
        assert book.verify() == []


def test_a_book_open_for_reading_takes_nothing(path: Path) -> None:
    made(path)
    with opened(path, readonly=True) as book:
        for write in (
            lambda: book.append([LOOK]),
            lambda: book.insert_raw([]),
            lambda: book.merge(path),
        ):
            with pytest.raises(BookError, match="open for reading only"):
                write()
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            book._connection.execute("CREATE TABLE more (n)")


def test_a_closed_book_may_be_closed_again(path: Path) -> None:
    made(path)
    book = opened(path)
    book.close()
    book.close()
    with pytest.raises(BookError):
        book.entries()


# --- Writing safely


def test_a_book_is_written_safely(path: Path) -> None:
    with opened(made(path, mode="DELETE")) as book:
        asked = ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers", "application_id")
        found = [book._connection.execute(f"PRAGMA {name}").fetchone()[0] for name in asked]
    assert found == ["wal", 2, 1, 1, 0x50495443]


def test_a_book_that_cannot_keep_a_wal_is_not_written(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made(path, mode="DELETE")
    monkeypatch.setattr(files, "WRITING", ("locking_mode = EXCLUSIVE", "synchronous = NORMAL"))
    with pytest.raises(BookError, match="cannot be written safely"):
        opened(path)


@pytest.mark.parametrize("name", ["what? is #1 100%.db", "größe.db", "a b;c&mode=memory.db"])
def test_any_name_of_a_file_will_do(tmp_path: Path, name: str) -> None:
    made(tmp_path / name)
    with opened(tmp_path / name) as book:
        book.append([LOOK])
    assert count(tmp_path / name) == 4
    assert [item.name for item in tmp_path.iterdir()] == [name]


# --- Reading leaves nothing behind


@pytest.mark.parametrize("mode", ["WAL", "DELETE"])
def test_a_reader_leaves_no_file_and_keeps_the_mode(path: Path, mode: str) -> None:
    made(path, mode=mode)
    before = contents(path.parent)
    assert count(path) == 3
    assert contents(path.parent) == before


@pytest.mark.parametrize("mode", ["WAL", "DELETE"])
@pytest.mark.parametrize("fixed_folder", [False, True])
@pytest.mark.parametrize("fixed_file", [False, True])
def test_a_book_that_may_not_be_written_can_be_read(mode: str, fixed_folder: bool, fixed_file: bool) -> None:
    with folder_for_all() as folder:
        path = made(folder / "season.db", mode=mode)
        folder.chmod(0o555 if fixed_folder else 0o777)
        path.chmod(0o444 if fixed_file else 0o666)
        before = contents(folder)
        assert without_rights(lambda: count(path)) == 3
        assert contents(folder) == before


@pytest.mark.parametrize("lose_shm", [False, True])
def test_what_is_still_in_the_wal_is_read_where_nothing_can_be_written(lose_shm: bool) -> None:
    with folder_for_all() as folder:
        path = crashed(folder / "season.db", lose_shm)
        for item in folder.iterdir():
            look_only(item)
        look_only(folder)
        before = contents(folder)
        assert len(before["season.db-wal"]) > 0
        assert without_rights(lambda: count(path)) == 3
        assert contents(folder) == before


@pytest.mark.parametrize("lose_shm", [False, True])
def test_what_is_still_in_the_wal_is_read_where_it_can_be_folded_in(path: Path, lose_shm: bool) -> None:
    crashed(path, lose_shm)
    assert count(path) == 3
    assert [item.name for item in path.parent.iterdir()] == [path.name]


def test_a_reader_follows_a_writer_at_work(path: Path) -> None:
    made(path)
    with opened(path) as writer, opened(path, readonly=True) as reader:
        version = reader.data_version()
        assert reader.data_version() == version
        writer.append([LOOK])
        assert reader.data_version() != version
        assert len(reader.entries()) == 4
        version = writer.data_version()
        writer.append([LOOK])
        assert writer.data_version() == version
    assert [item.name for item in path.parent.iterdir()] == [path.name]


def test_a_reader_of_an_unwritable_book_follows_a_writer_at_work() -> None:
    with folder_for_all() as folder:
        path = made(folder / "season.db")
        with opened(path) as writer:
            writer.append([LOOK])
            for item in folder.iterdir():
                item.chmod(0o644)
            assert without_rights(lambda: count(path)) == 4
            writer.append([LOOK])
        assert count(path) == 5


@pytest.mark.parametrize("fixed", ["file", "folder"])
def test_a_book_that_may_not_be_written_is_not_opened_for_writing(fixed: str) -> None:
    def try_it() -> str:
        try:
            opened(path).close()
        except BookError as error:
            return error.message
        return "opened"

    with folder_for_all() as folder:
        path = made(folder / "season.db", mode="DELETE")
        folder.chmod(0o555 if fixed == "folder" else 0o777)
        path.chmod(0o444 if fixed == "file" else 0o666)
        before = contents(folder)
        assert without_rights(try_it) == "the book can only be read."
        assert contents(folder) == before
