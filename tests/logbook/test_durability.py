"""What was acknowledged is there: after a kill, next to another window, and on the disk before it is said."""

from __future__ import annotations

import os
import random
import re
import shutil
import time
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from tests.logbook.making import NOON
from tests.logbook.outside import child

LOOK = Draft("looked_at", "p1", "AB", robot="r1")

WRITE_ON = """
import os, sys
from pitcrew.clock import SystemClock, SystemIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
book = Book.open(sys.argv[1], SystemClock(), SystemIds())
limit = int(sys.argv[2])
os.write(1, b"open\\n")
while limit:
    written = book.append([Draft("looked_at", "p1", "AB", robot="r1")] * 2)
    os.write(1, " ".join(entry.id for entry in written).encode() + b"\\n")
    limit -= 1
"""

SYNC = re.compile(r"\b(?:fsync|fdatasync)\(\d+<[^>]*-wal>\)\s*= 0")
SAID = re.compile(r'write\(1<[^>]*>, "([^"]*)')


def synced_lines(trace: str) -> list[str]:
    """The calls of a trace, each under its process number, as `sync` or what was said."""
    found = []
    for line in trace.splitlines():
        if SYNC.search(line):
            found.append("sync")
        elif said := SAID.search(line):
            found.append("open" if said[1].startswith("open") else "written")
    return found


@pytest.mark.skipif(not shutil.which("strace"), reason="strace, which sees what reaches the disk, is missing")
def test_an_entry_is_on_the_disk_before_it_is_acknowledged(path: Path, book: Book, tmp_path: Path) -> None:
    # A kill cannot show this: what SQLite gave to the system survives it without any sync.
    log = tmp_path / "trace"
    traced = ("strace", "-f", "-y", "-e", "trace=fsync,fdatasync,write", "-o", str(log))
    process = child(WRITE_ON, path, "3", before=traced)
    process.communicate()
    calls = synced_lines(log.read_text())
    calls = calls[calls.index("open") :]
    assert calls.count("written") == 3
    for place, call in enumerate(calls):
        if call == "written":
            assert calls[place - 1] == "sync", calls


def test_a_killed_program_loses_nothing_it_acknowledged(path: Path, clock: FixedClock) -> None:
    Book.create(path, clock, SeededIds(1)).close()
    chance = random.Random(7)
    acknowledged: list[str] = []
    for _ in range(20):
        process = child(WRITE_ON, path, "-1")
        assert process.stdout
        assert process.stdout.readline() == "open\n"
        time.sleep(chance.uniform(0.0, 0.06))
        process.kill()
        said = process.communicate()[0]
        # The last line may have been cut short; what it names whole was acknowledged.
        acknowledged += [name for line in said.splitlines(keepends=True) if line[-1] == "\n" for name in line.split()]
    with Book.open(path, clock, SeededIds(2)) as book:
        kept = [entry.id for entry in book.entries_after(0, 10**9)]
        assert len(acknowledged) > 100
        assert set(acknowledged) <= set(kept)
        # An act is there whole or not at all.
        assert len(kept) % 2 == 0
        assert book.verify() == []


def test_two_windows_write_one_book_and_a_third_sees_it(path: Path, book: Book) -> None:
    before = book.data_version()
    writing = [child(WRITE_ON, path, "60") for _ in range(2)]
    said = [process.communicate()[0].split()[1:] for process in writing]
    assert [process.returncode for process in writing] == [0, 0]
    assert book.data_version() != before
    entries = book.entries_after(0)
    assert sorted(entry.id for entry in entries) == sorted(said[0] + said[1])
    assert len(entries) == 240
    ticks = [entry.tick for entry in entries]
    assert ticks == sorted(set(ticks))
    acts = [entry.act for entry in entries]
    assert acts[::2] == acts[1::2]


def test_a_new_book_is_on_the_disk_with_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[tuple[int, int]] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        found = os.fstat(handle)
        synced.append((found.st_dev, found.st_ino))
        real(handle)

    monkeypatch.setattr("os.fsync", fsync)
    folder = (tmp_path.stat().st_dev, tmp_path.stat().st_ino)
    with Book.create(tmp_path / "season.db", FixedClock(NOON), SeededIds(1)) as book:
        assert synced == [folder]
        book.append([LOOK])
        book.backup(tmp_path / "copy.db")
    copy = (tmp_path / "copy.db").stat()
    assert synced == [folder, (copy.st_dev, copy.st_ino), folder]
