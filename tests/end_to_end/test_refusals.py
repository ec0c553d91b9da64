"""What the program refuses: one line on stderr that says what to do, status 2, and nothing changed."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from pitcrew.logbook.writing import Draft
from tests.end_to_end.altered import Alter, Bench
from tests.end_to_end.commands import TA, as_anyone, fingerprint, rows, run

ENTRIES = "SELECT * FROM entry ORDER BY n"
LINE = "hit DR hard"
READING = {
    "standing": ("standing", "{book}"),
    "worklist": ("worklist", "{book}"),
    "weights": ("weights", "{book}"),
    "spares": ("spares", "{book}"),
    "packs": ("packs", "{book}"),
    "log": ("log", "{book}"),
}
COMMANDS = {**READING, "put": ("put", "{book}", LINE, "--by", "DV", "--robot", TA)}


def missing(path: Path, demo: Path) -> None:
    """Nothing is there."""


def folder(path: Path, demo: Path) -> None:
    path.mkdir()


def empty(path: Path, demo: Path) -> None:
    path.touch()


def text(path: Path, demo: Path) -> None:
    path.write_text("262.05 gap between uprights\n" * 100, encoding="utf-8")


def foreign(path: Path, demo: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE entry (n INTEGER PRIMARY KEY, words TEXT)")
        connection.commit()


def newer(path: Path, demo: Path) -> None:
    shutil.copyfile(demo, path)
    with closing(sqlite3.connect(path)) as connection:
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        connection.execute(f"PRAGMA user_version = {version + 1}")


def cut_short(path: Path, demo: Path) -> None:
    path.write_bytes(demo.read_bytes()[:5000])


NO_BOOKS: list[tuple[Callable[[Path, Path], None], str]] = [
    (missing, "there is no book here"),
    (folder, "this is a folder, not a book"),
    (empty, "this file is empty, not a book"),
    (text, "this is not a book"),
    (foreign, "this is not a book"),
    (newer, "made by a newer Pitcrew"),
    (cut_short, "the book is damaged"),
]


def refused(status: int, stdout: str, stderr: str, *words: str) -> None:
    """It ended with status 2 and one line on stderr that holds these words."""
    assert status == 2, stdout + stderr
    assert stdout == ""
    assert "Traceback" not in stderr
    assert "sqlite3" not in stderr
    assert len(stderr.splitlines()) == 1, stderr
    assert stderr.rstrip()[-1] in ".?", stderr
    assert [word for word in words if word not in stderr] == [], stderr


def state(path: Path) -> object:
    """What lies at a path and beside it."""
    beside = sorted(item.name for item in path.parent.iterdir())
    return beside, fingerprint(path) if path.is_file() else path.is_dir()


@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS.keys())
@pytest.mark.parametrize(("make", "said"), NO_BOOKS, ids=lambda value: getattr(value, "__name__", ""))
def test_what_is_no_book(
    tmp_path: Path, demo: Path, make: Callable[[Path, Path], None], said: str, words: tuple[str, ...]
) -> None:
    path = tmp_path / "found.db"
    make(path, demo)
    before = state(path)
    done = run(*(word.format(book=path) for word in words))
    refused(done.exit_code, done.stdout, done.stderr, str(path), said)
    assert state(path) == before


@pytest.fixture
def book(demo: Path, tmp_path: Path) -> Iterator[Path]:
    """A sound book in a folder of its own."""
    place = tmp_path / "folder"
    place.mkdir()
    path = place / "book.db"
    shutil.copyfile(demo, path)
    yield path
    place.chmod(0o755)
    path.chmod(0o644)


MISSPOKEN = {
    "robot": (("standing", "{book}", "PAPER"), ("no robot called 'PAPER'", "TALLOW ANVIL")),
    "robot of the log": (("log", "{book}", "PAPER"), ("no robot called 'PAPER'",)),
    "time of day": (("standing", "{book}", TA, "--at", "25:77"), ("'25:77'", "15:24")),
    "no time": (("weights", "{book}", "--at", "noon"), ("'noon' is not a time",)),
    "day": (("worklist", "{book}", "--at", "2026-02-30 10:00"), ("'2026-02-30 10:00'",)),
    "what-if of two robots": (("standing", "{book}", "--if", LINE), ("--if", "one robot")),
    "what-if of nothing": (("standing", "{book}", TA, "--if", "22 N m sideways"), ("'sideways'",)),
    "what-if in N m of a length": (
        ("standing", "{book}", TA, "--if", "22 N m gap between uprights"),
        ("gap between uprights", "N m"),
    ),
}


@pytest.mark.parametrize(("words", "said"), MISSPOKEN.values(), ids=MISSPOKEN.keys())
def test_what_cannot_be_meant(book: Path, words: tuple[str, ...], said: tuple[str, ...]) -> None:
    before = state(book)
    done = run(*(word.format(book=book) for word in words))
    refused(done.exit_code, done.stdout, done.stderr, *said)
    assert state(book) == before


def test_a_name_that_fits_two_robots(alter: Alter) -> None:
    def another(bench: Bench) -> list[Draft]:
        return [Draft("robot", bench.desk.mint(), "PB", detail={"name": "TALLOW HAMMER"})]

    path = alter(TA, "06-13 15:24", another)
    before = state(path)
    done = run("standing", str(path), "TALLOW")
    refused(done.exit_code, done.stdout, done.stderr, "more than one robot", "TALLOW ANVIL", "TALLOW HAMMER")
    assert state(path) == before
    assert run("log", str(path), "tallow anvil").exit_code == 0


MISPUT = {
    "no robot named": ((LINE,), ("more than one robot", "--robot")),
    "unknown robot": ((LINE, "--robot", "PAPER"), ("no robot called 'PAPER'",)),
    "bad time": ((LINE, "--robot", TA, "--at", "25:77"), ("'25:77'",)),
    "nothing": (("", "--robot", TA), ("nothing was typed",)),
    "no figure": (("sideways", "--robot", TA), ("no figure",)),
    "unknown joint": (("22 N m sideways", "--robot", TA), ("'sideways'",)),
    "unknown zone": (("hit XX hard", "--robot", TA), ("no zone called",)),
    "no grade": (("hit DR", "--robot", TA), ("a zone and a grade",)),
    "unknown part": (("in sofa at weapon", "--robot", TA), ("no part called 'sofa'",)),
    "unknown place": (("in drum at sofa", "--robot", TA), ("no place called 'sofa'",)),
    "no such line": (("withdraw 99999", "--robot", TA), ("number",)),
    "no such fastener": (("22 N m hubs R 7-9", "--robot", TA), ("fasteners 1 to 8",)),
    "no scale": (("113.04 kg B", "--robot", TA), ("needs its scale",)),
    "wrong unit": (("22 mm hubs R", "--robot", TA), ("hubs R",)),
}


@pytest.mark.parametrize(("words", "said"), MISPUT.values(), ids=MISPUT.keys())
def test_a_line_that_cannot_be_put(book: Path, words: tuple[str, ...], said: tuple[str, ...]) -> None:
    before = rows(book, ENTRIES)
    done = run("put", str(book), *words, "--by", "MK")
    refused(done.exit_code, done.stdout, done.stderr, *said)
    assert rows(book, ENTRIES) == before
    assert [path.name for path in book.parent.iterdir()] == [book.name]


def test_a_line_that_cannot_be_put_leaves_every_byte(book: Path) -> None:
    before = state(book)
    run("put", str(book), "sideways", "--by", "MK", "--robot", TA)
    assert state(book) == before


def test_a_book_that_another_window_holds(book: Path) -> None:
    before = state(book)
    with closing(sqlite3.connect(book, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        done = run("put", str(book), LINE, "--by", "DV", "--robot", TA)
        holder.execute("ROLLBACK")
    refused(done.exit_code, done.stdout, done.stderr, str(book), "written by another window", "Try again")
    assert state(book) == before


@pytest.mark.parametrize(("file_mode", "folder_mode"), [(0o444, 0o755), (0o644, 0o555), (0o444, 0o555)])
def test_a_book_that_may_not_be_written(book: Path, file_mode: int, folder_mode: int) -> None:
    before = state(book)
    book.chmod(file_mode)
    book.parent.chmod(folder_mode)
    done = as_anyone("put", str(book), LINE, "--by", "DV", "--robot", TA)
    refused(done.returncode, done.stdout, done.stderr, str(book), "can only be read", "Copy it")
    assert state(book) == before


def test_a_book_that_may_not_be_read(book: Path) -> None:
    before = state(book)
    book.chmod(0o000)
    done = as_anyone("standing", str(book), TA)
    book.chmod(0o644)
    refused(done.returncode, done.stdout, done.stderr, str(book))
    assert state(book) == before


def test_a_word_the_program_does_not_know(book: Path) -> None:
    before = state(book)
    for words in (["stand", str(book)], ["standing"], ["log", str(book), "--last", "0"], ["put", str(book), LINE]):
        done = run(*words)
        assert done.exit_code == 2
        assert "Usage" in done.stderr
        assert "Error" in done.stderr
    assert state(book) == before
