"""The demo at a moment: just what was known then, in a book of its own, with a clock that runs on from there."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pitcrew.bench import looking, openbook
from pitcrew.bench.plain import standing_lines
from pitcrew.bench.standing import view
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds, SystemClock, SystemIds
from pitcrew.demo.scratch import Scratch, scratch, shipped_demo
from pitcrew.errors import BookError, EntryError
from pitcrew.logbook import schema
from pitcrew.logbook.book import Book, copy_until
from pitcrew.robot.definitions import robots
from pitcrew.robot.moments import MINUTE_MS, clock_text

ROOT = Path(__file__).resolve().parents[2]
ZONE = "+01:00"
MOMENTS = ["07:49", "10:43", "15:23", "15:24", "15:24:00", "15:47", "2026-06-07 13:05", "23:59"]


def source() -> Book:
    return Book.open(shipped_demo(), SystemClock(), SystemIds(), readonly=True)


def opened(made: Scratch) -> Book:
    return Book.open(made.path, made.clock, SystemIds())


@pytest.mark.parametrize("at", MOMENTS)
def test_it_holds_exactly_what_was_known_at_the_moment(at: str) -> None:
    with source() as demo, scratch(at=at) as made, opened(made) as book:
        moment = openbook.moment_of(demo, SystemClock(), at)
        assert moment.cut is not None
        known = [entry for entry in demo.entries_after(0, 10_000) if entry.tick < moment.cut]
        assert known
        assert list(book.entries_after(0, 10_000)) == known
        assert book.verify() == []


def test_nothing_of_later_is_anywhere_in_the_file() -> None:
    with source() as demo, scratch(at="15:24") as made:
        moment = openbook.moment_of(demo, SystemClock(), "15:24")
        later = [e for e in demo.entries_after(0, 10_000) if moment.cut is not None and e.tick >= moment.cut]
        content = made.path.read_bytes()
        assert later
        assert [entry.id for entry in later if entry.id.encode() in content] == []


@pytest.mark.parametrize("robot", ["TALLOW ANVIL", "NETTLE SPROCKET"])
@pytest.mark.parametrize("at", ["15:24", "15:40"])
def test_it_stands_as_the_demo_stands_at_that_moment(robot: str, at: str) -> None:
    lists = load()
    with source() as demo, scratch(at=at) as made, opened(made) as book:
        moment = openbook.moment_of(demo, SystemClock(), at)
        ident = next(item.id for item in robots(demo.evidence()) if item.name == robot)
        then = view(demo.evidence(moment.cut), ident, moment.now, lists)
        here = view(book.evidence(), ident, moment.now, lists)
        assert list(standing_lines(here)) == list(standing_lines(then))


def test_its_clock_stands_at_the_minute_typed_and_runs_on() -> None:
    with scratch(at="15:24") as made:
        first = made.clock.now_ms()
        assert clock_text(first, ZONE) == "15:24"
        assert first % MINUTE_MS < 10_000
        begun = time.monotonic()
        while made.clock.now_ms() == first:
            assert time.monotonic() - begun < 10
        assert made.clock.now_ms() > first


def test_what_is_logged_comes_after_the_minute_that_was_copied() -> None:
    with scratch(at="15:24") as made, opened(made) as book:
        newest = book.highest_tick()
        before = book.entries(limit=1)[0]
        now = made.clock.now_ms()
        ident = robots(book.evidence())[0].id
        desk = openbook.desk(book, ident, "MK", now, SystemIds())
        (entry,) = book.append([desk.draft("note", ident, {"note": "tried out"})])
        assert entry.tick > newest
        assert entry.n == before.n + 1
        assert entry.happened >= now


@pytest.mark.parametrize("writer", ["", "SOMEBODY ELSE"])
def test_what_is_tried_clears_a_blow_of_the_minute_before(writer: str) -> None:
    # Between two clocks, nothing done within the clock doubt of a blow counts as done after it.
    with scratch(at="15:23") as made, opened(made) as book:
        book.writer = writer or book.writer
        now, ident = made.clock.now_ms(), robots(book.evidence())[0].id
        before = view(book.evidence(), ident, now, load())
        blow = max((e for e in book.entries(limit=10_000) if e.kind == "hit"), key=lambda e: e.happened)
        assert now - blow.happened < before.case.defs.doubt_ms
        zones = list(before.case.defs.zones)
        book.append(looking.look_over(openbook.desk(book, ident, "MK", now, SystemIds()), zones))
        after = view(book.evidence(), ident, now, load())
        cleared = len(before.standing.blocking) - len(after.standing.blocking)
        assert (cleared > 0) is (writer == "")


def test_it_is_written_under_one_name_from_every_window() -> None:
    with scratch() as made, opened(made) as one, opened(made) as other:
        assert one.writer == other.writer == one.entries(limit=1)[0].writer


@pytest.mark.parametrize("written", [False, True])
def test_the_source_stays_as_it_is_and_so_does_its_folder(tmp_path: Path, written: bool) -> None:
    copy = tmp_path / "source" / "demo.db"
    copy.parent.mkdir()
    shutil.copyfile(shipped_demo(), copy)
    if written:
        # From then on the file says in its header that there may be a log beside it.
        Book.open(copy, FixedClock(0), SeededIds(3)).close()
    content, seen = copy.read_bytes(), copy.stat()
    with scratch(copy, "15:24") as made, opened(made) as book:
        assert book.highest_tick()
        assert os.listdir(copy.parent) == ["demo.db"]
    assert os.listdir(copy.parent) == ["demo.db"]
    assert copy.read_bytes() == content
    assert copy.stat().st_mtime_ns == seen.st_mtime_ns


def test_a_source_that_is_being_written_is_copied_with_its_newest_lines(tmp_path: Path) -> None:
    copy = tmp_path / "season.db"
    shutil.copyfile(shipped_demo(), copy)
    with Book.open(copy, FixedClock(0), SeededIds(3)) as book:
        ident = robots(book.evidence())[0].id
        desk = openbook.desk(book, ident, "MK", 0, SeededIds(4))
        (entry,) = book.append([desk.draft("note", ident, {"note": "still in the log beside the file"})])
        with scratch(copy, "23:59") as made, opened(made) as other:
            assert other.read(entry.id) == entry
            assert other.writer == book.writer


def test_its_folder_is_gone_afterwards() -> None:
    with scratch() as made:
        with opened(made) as book:
            book.append([])
        folder = made.path.parent
        assert folder.is_dir()
    assert not folder.exists()


def test_its_folder_is_gone_after_an_accident_too() -> None:
    folder = Path()
    with pytest.raises(RuntimeError), scratch() as made:
        folder = made.path.parent
        raise RuntimeError
    assert folder.name.startswith("pitcrew-")
    assert not folder.exists()


def test_its_guards_stand() -> None:
    with scratch() as made:
        connection = sqlite3.connect(made.path)
        try:
            assert schema.flaws(connection) == []
            for statement in ("UPDATE entry SET grade = 1", "DELETE FROM entry"):
                with pytest.raises(sqlite3.IntegrityError, match="entries are never"):
                    connection.execute(statement)
        finally:
            connection.close()


@pytest.mark.parametrize("at", ["quarter past", "25:00", "", "02-30 10:00"])
def test_what_is_no_time_is_refused_and_leaves_nothing(
    at: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    with pytest.raises(EntryError), scratch(at=at):
        pass
    assert os.listdir(tmp_path) == []


def test_what_is_no_book_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("no book")
    with pytest.raises(BookError, match="not a book"), scratch(tmp_path / "notes.txt"):
        pass
    with pytest.raises(BookError, match="no book here"), scratch(tmp_path / "missing.db"):
        pass


def test_a_copy_is_not_written_over_anything(tmp_path: Path) -> None:
    taken = tmp_path / "taken.db"
    taken.write_text("mine")
    with source() as demo:
        with pytest.raises(BookError, match="something here already"):
            copy_until(demo, taken, None)
        with pytest.raises(BookError):
            copy_until(demo, tmp_path / "nowhere" / "copy.db", None)
    assert taken.read_text() == "mine"
    assert os.listdir(tmp_path) == ["taken.db"]
    with Book.memory(FixedClock(0), SeededIds(1)) as book, pytest.raises(BookError, match="no file"):
        copy_until(book, tmp_path / "copy.db", None)


def test_a_copy_that_fails_on_the_way_leaves_nothing(tmp_path: Path) -> None:
    with source() as demo, pytest.raises(OverflowError):
        copy_until(demo, tmp_path / "copy.db", 2**63)
    assert os.listdir(tmp_path) == []


def test_an_empty_copy_is_a_book_too(tmp_path: Path) -> None:
    with source() as demo:
        copy_until(demo, tmp_path / "copy.db", 0)
    with Book.open(tmp_path / "copy.db", FixedClock(5), SeededIds(1)) as book:
        assert book.entries() == ()
        assert book.writer
        assert book.verify() == []


def test_the_shipped_demo_is_the_checkout_s() -> None:
    assert shipped_demo() == ROOT / "demo.db"


LOADED = """
import sys
from pitcrew.demo.scratch import scratch
with scratch() as made:
    print(sorted(sys.modules))
"""


def test_building_the_demo_and_heavy_libraries_are_not_loaded() -> None:
    done = subprocess.run([sys.executable, "-c", LOADED], cwd=ROOT, capture_output=True, text=True, check=True)
    for name in ("pitcrew.demo.build", "pitcrew.demo.day", "pitcrew.demo.robots", "pydantic", "pint", "sqlite_utils"):
        assert f"'{name}'" not in done.stdout
    assert "'pitcrew.logbook.book'" in done.stdout


@pytest.mark.benchmark
def test_how_long_it_takes() -> None:
    took = []
    for _ in range(20):
        begun = time.perf_counter()
        with scratch():
            took.append((time.perf_counter() - begun) * 1000)
    print(f"scratch book of the demo: {sorted(took)[10]:.1f} ms, at worst {max(took):.1f} ms")  # noqa: T201
    assert sorted(took)[10] < 50
