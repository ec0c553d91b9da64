"""The demo's book: the same from its facts every time, sound, without a trace of where it was made; only read."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from getpass import getuser
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from tests.end_to_end.commands import TA, as_anyone, fingerprint, rows, run

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ROOT / "demo.db"
COLUMNS = 'id, act, tick, happened, writer, "by", robot, kind, subject, place, grade, replaces, detail'
CONTENT = f"SELECT {COLUMNS} FROM entry ORDER BY id"
READING = {
    "standing": ("standing", "{book}", "--at", "06-13 15:24"),
    "one standing": ("standing", "{book}", TA, "--at", "06-13 16:06", "--json"),
    "what if": ("standing", "{book}", TA, "--at", "06-13 15:24", "--if", "hit DR hard"),
    "worklist": ("worklist", "{book}", TA, "--at", "06-13 15:24"),
    "weights": ("weights", "{book}", "--at", "06-13 15:24"),
    "spares": ("spares", "{book}", "--at", "06-13 15:24"),
    "packs": ("packs", "{book}", "--at", "06-13 15:24"),
    "log": ("log", "{book}"),
}
every_reader = pytest.mark.parametrize("words", READING.values(), ids=READING.keys())


def arguments(words: tuple[str, ...], book: Path) -> list[str]:
    return [word.format(book=book) for word in words]


def test_the_facts_build_the_book_that_is_shipped(demo: Path) -> None:
    assert SHIPPED.is_file(), "demo.db is missing: python -m pitcrew.demo.build demo.db"
    built = rows(demo, CONTENT)
    assert len(built) > 900
    assert rows(SHIPPED, CONTENT) == built


def test_another_hash_seed_time_zone_and_language_build_the_same(demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "again.db"
    elsewhere = {**os.environ, "PYTHONHASHSEED": "12345", "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    words = [sys.executable, "-m", "pitcrew.demo.build", str(path)]
    subprocess.run(words, check=True, env=elsewhere, cwd=ROOT, timeout=60)
    assert rows(path, CONTENT) == rows(demo, CONTENT)


@pytest.fixture(params=["built", "shipped"])
def book(request: pytest.FixtureRequest, demo: Path) -> Path:
    if request.param == "shipped" and not SHIPPED.is_file():
        pytest.fail("demo.db is missing: python -m pitcrew.demo.build demo.db")
    return demo if request.param == "built" else SHIPPED


def test_it_is_sound(book: Path) -> None:
    with Book.open(book, FixedClock(0), SeededIds(1), readonly=True) as opened:
        assert opened.verify() == []


def test_it_asks_for_no_files_beside_it(book: Path) -> None:
    # SQLite file format, 1.3: read and write versions at offsets 18 and 19; 1 is a rollback journal, 2 is WAL.
    assert book.read_bytes()[18:20] == b"\x01\x01"
    assert [path.name for path in book.parent.glob(f"{book.name}-*")] == []


def test_it_does_not_tell_where_it_was_made(book: Path) -> None:
    told = " ".join(str(value) for row in rows(book, "SELECT key, value FROM meta") for value in row)
    places = {socket.gethostname(), os.uname().nodename, getuser(), str(Path.home()), str(ROOT), "/", "\\"}
    assert [place for place in places if place in told] == []
    content = book.read_bytes()
    assert [place for place in (str(ROOT), str(Path.home())) if os.fsencode(place) + b"/" in content] == []


@pytest.fixture
def lent(demo: Path, tmp_path: Path) -> Iterator[Path]:
    """A copy in a folder of its own, given back its rights at the end."""
    folder = tmp_path / "folder"
    folder.mkdir()
    path = folder / "book.db"
    shutil.copyfile(demo, path)
    yield path
    folder.chmod(0o755)


@every_reader
def test_reading_leaves_no_trace(lent: Path, words: tuple[str, ...]) -> None:
    before = fingerprint(lent), lent.stat().st_mtime_ns
    done = run(*arguments(words, lent))
    assert done.exit_code in (0, 1)
    assert done.stdout
    assert (fingerprint(lent), lent.stat().st_mtime_ns) == before
    assert os.listdir(lent.parent) == [lent.name]


@every_reader
def test_reading_where_nothing_can_be_written(lent: Path, words: tuple[str, ...]) -> None:
    expected = run(*arguments(words, lent))
    before = fingerprint(lent)
    lent.chmod(0o444)
    lent.parent.chmod(0o555)
    done = as_anyone(*arguments(words, lent))
    assert done.stderr == expected.stderr
    assert (done.stdout, done.returncode) == (expected.stdout, expected.exit_code)
    assert fingerprint(lent) == before
    assert os.listdir(lent.parent) == [lent.name]


def test_the_rights_are_really_gone(lent: Path) -> None:
    lent.chmod(0o444)
    lent.parent.chmod(0o555)
    before = fingerprint(lent)
    done = as_anyone("put", str(lent), "hit DR hard", "--by", "DV", "--robot", TA)
    assert done.returncode == 2
    assert "can only be read" in done.stderr
    assert fingerprint(lent) == before


def test_what_is_put_is_there_and_said(lent: Path) -> None:
    done = run("put", str(lent), "hit DR hard", "--by", "DV", "--robot", TA)
    assert done.exit_code == 0
    assert "hit hard taken DR" in done.stdout
    assert rows(lent, "SELECT kind, grade FROM entry ORDER BY n DESC LIMIT 1") == [("hit", 3)]
    assert "hit hard taken DR" in run("log", str(lent), TA, "--last", "1").stdout
    assert os.listdir(lent.parent) == [lent.name]
