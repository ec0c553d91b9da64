"""Books that were written apart come together the same, whoever takes in whom and however often."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings

from pitcrew.clock import FixedClock, SeededIds, SystemIds
from pitcrew.errors import BookError, EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.logbook.making import NOON, books, entry, ids, rows

DAY_MS = 86_400_000
LOOK = Draft("looked_at", "p1", "AB", robot="r1")


def book_of(path: Path, entries: Iterable[Entry]) -> Path:
    with Book.create(path, FixedClock(NOON), SystemIds()) as book:
        book.insert_raw(entries)
    return path


def merged(path: Path, *others: Path, allow_future: bool = False) -> list[int]:
    with Book.open(path, FixedClock(NOON), SystemIds()) as book:
        return [book.merge(other, allow_future) for other in others]


def share(entries: list[Entry], turn: int) -> list[Entry]:
    """Two thirds of the entries: each is in two of three shares."""
    return [item for n, item in enumerate(entries) if n % 3 != turn]


@settings(max_examples=25)
@given(books(most=12))
def test_a_merge_is_a_union(entries: list[Entry]) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        whole = rows(book_of(folder / "whole", entries))
        shares = {turn: book_of(folder / f"share{turn}", share(entries, turn)) for turn in range(3)}
        one, other = (book_of(folder / f"copy{turn}", share(entries, turn)) for turn in (0, 1))
        # Commutative: a with b, and b with a.
        merged(one, shares[1])
        merged(other, shares[0])
        assert rows(one) == rows(other)
        # Associative: (a with b) with c, and a with (b with c).
        merged(one, shares[2])
        merged(shares[1], shares[2])
        merged(shares[0], shares[1])
        assert rows(one) == rows(shares[0]) == whole
        # Idempotent: with itself, and with what it has taken in already.
        assert merged(one, one, shares[2], other) == [0, 0, 0]
        assert rows(one) == whole


def test_a_merge_counts_what_was_new_and_puts_it_last(tmp_path: Path, book: Book) -> None:
    book.append([LOOK])
    other = book_of(tmp_path / "other.db", [entry("a", tick=3), entry("b", tick=4)])
    assert book.merge(other) == 2
    assert [item.id for item in book.entries_after(1)] == ["a", "b"]
    assert len(list(book.evidence().facts("looked_at", "p1"))) == 3


def test_what_was_written_but_not_folded_in_yet_comes_along(tmp_path: Path, book: Book) -> None:
    with Book.create(tmp_path / "other.db", FixedClock(NOON), SystemIds()) as other:
        (written,) = other.append([LOOK])
        assert book.merge(tmp_path / "other.db") == 1
    assert book.read(written.id) == written._replace(n=1)


def test_ticks_go_on_above_what_was_taken_in(tmp_path: Path, book: Book) -> None:
    book.merge(book_of(tmp_path / "other.db", [entry("a", tick=NOON + 5000, happened=NOON)]))
    (written,) = book.append([LOOK])
    assert (written.tick, written.happened) == (NOON + 5001, NOON)


def test_a_book_that_runs_ahead_is_taken_in_only_on_purpose(tmp_path: Path, book: Book) -> None:
    within = book_of(tmp_path / "within.db", [entry("a", tick=NOON + DAY_MS)])
    ahead = book_of(tmp_path / "ahead.db", [entry("b", tick=5), entry("c", tick=NOON + DAY_MS + 1)])
    assert book.merge(within) == 1
    with pytest.raises(BookError, match="runs ahead of now, to 2026-06-07 12:00 UTC"):
        book.merge(ahead)
    assert [item.id for item in book.entries()] == ["a"]
    assert book.merge(ahead, allow_future=True) == 2
    assert book.merge(ahead) == 0


def test_one_id_for_two_entries_is_refused_whole(tmp_path: Path, book: Book) -> None:
    book.insert_raw([entry("a")])
    other = book_of(tmp_path / "other.db", [entry("b"), entry("a", subject="p2")])
    before = book.entries()
    with pytest.raises(EntryError, match="a already stands for another entry"):
        book.merge(other)
    with pytest.raises(EntryError, match="a already stands for another entry"):
        book.insert_raw([entry("b"), entry("a", subject="p2")])
    assert book.entries() == before


def hand_made(path: Path, **columns: object) -> Path:
    """A book with a good entry and, put in past the program, one with these columns."""
    book_of(path, [entry("good")])
    row = {**entry("bad", tick=20)._asdict(), "detail": "{}", "n": None, **columns}
    marks = ", ".join(f":{name}" for name in ("n", *Entry._fields[:13]))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"INSERT INTO entry VALUES ({marks})", row)
    return path


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ({"kind": "looked"}, "kind: 'looked' is not a kind"),
        ({"subject": "a\x1b]0;b"}, "subject: holds the control character U\\+001B"),
        ({"detail": '{"nte":"x"}'}, "nte: not a field"),
        ({"detail": '{"note":"\\u001b"}'}, "note: holds the control character"),
        ({"detail": '{ "note":"x"}'}, "detail: not spelled as a book spells it"),
        ({"detail": "[]"}, "detail: takes fields by name"),
        ({"detail": '{"note":' + "[" * 900 + "]" * 900 + "}"}, "note: takes text|detail: cannot be read"),
        ({"tick": -5, "happened": -6}, "tick: takes a moment"),
        ({"tick": 2**62}, "tick: takes a moment"),
    ],
)
def test_an_entry_of_another_book_that_cannot_be_taken_stops_the_merge(
    tmp_path: Path, book: Book, columns: dict[str, object], says: str
) -> None:
    other = hand_made(tmp_path / "other.db", **columns)
    with pytest.raises(EntryError, match=says):
        book.merge(other)
    assert book.entries() == ()
    with Book.open(other, FixedClock(NOON), SystemIds(), readonly=True) as damaged:
        assert {sentence.split(":")[0] for sentence in damaged.verify()} == {"entry bad"}


def test_an_entry_put_in_by_another_program_is_taken_when_nothing_is_wrong_with_it(tmp_path: Path, book: Book) -> None:
    assert book.merge(hand_made(tmp_path / "other.db", place="q1")) == 2


def test_what_is_no_book_is_not_taken_in(tmp_path: Path, book: Book) -> None:
    (tmp_path / "notes.txt").write_text("bore 12.5")
    for name in ("notes.txt", "missing.db", "."):
        with pytest.raises(BookError):
            book.merge(tmp_path / name)
    assert (tmp_path / "notes.txt").read_text() == "bore 12.5"


def test_a_merge_leaves_the_other_book_as_it_was(tmp_path: Path, book: Book) -> None:
    other = book_of(tmp_path / "other.db", [entry("a")])
    before = other.read_bytes()
    book.merge(other)
    assert other.read_bytes() == before
    assert not list(tmp_path.glob("other.db-*"))


def test_two_corrections_made_apart_are_both_kept_and_the_later_counts(tmp_path: Path, book: Book) -> None:
    (root,) = book.append([LOOK])
    copy = tmp_path / "copy.db"
    book.backup(copy)
    book.append([LOOK._replace(replaces=root.id, happened=root.happened, detail={"note": "ours"})])
    with Book.open(copy, FixedClock(NOON + 9), SystemIds()) as other:
        (theirs,) = other.append([LOOK._replace(replaces=root.id, happened=root.happened)])
        assert other.writer != book.writer
    assert book.merge(copy) == 1
    assert ids(book.evidence().facts("looked_at", "p1")) == [theirs.id]
    assert len(book.entries()) == 3


def test_entries_put_in_raw_are_looked_at_unless_they_were(book: Book) -> None:
    with pytest.raises(EntryError, match=r"entry 'bad'.*nte: not a field"):
        book.insert_raw([entry("good"), entry("bad", detail={"nte": "x"})])
    assert book.entries() == ()
    assert book.insert_raw([entry("good"), entry("good")], checked=True) == 1


def test_a_scratch_book_takes_in_a_book(tmp_path: Path) -> None:
    other = book_of(tmp_path / "other.db", [entry("a")])
    with Book.memory(FixedClock(NOON), SeededIds(3)) as scratch:
        assert scratch.merge(other) == 1
