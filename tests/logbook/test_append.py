"""What is stamped on an entry, what is refused, and what a correction may say."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.rows import canonical
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.logbook.making import NOON, entry, ids

LOOK = Draft("looked_at", "p1", "AB", robot="r1")
READING = Draft(
    "reading",
    "p1/bore",
    "AB",
    robot="r1",
    detail={"of": "p1", "dimension": "bore", "value_m": 0.0125, "typed": '.492"'},
)


def refused(book: Book, draft: Draft, says: str) -> None:
    before = book.entries()
    with pytest.raises(EntryError, match=says):
        book.append([LOOK, draft])
    assert book.entries() == before


def changed(draft: Draft, change: dict[str, Any]) -> Draft:
    return draft._replace(**change)


def test_what_comes_back_is_what_is_read(book: Book) -> None:
    written = book.append([LOOK, READING])
    assert [book.read(item.id) for item in written] == list(written)
    assert [book.by_number(item.n) for item in written] == list(written)
    assert written[1].detail == READING.detail
    assert book.read("unknown") is book.by_number(99) is None


def test_what_is_done_in_one_go_is_one_act(book: Book) -> None:
    first = book.append([LOOK, READING])
    second = book.append([LOOK])
    joined = book.append([LOOK], act=first[0].act)
    assert first[0].act == first[1].act != second[0].act
    assert ids(book.evidence().act(first[0].act)) == [item.id for item in (*first, *joined)]


def test_nothing_to_write_is_no_act(book: Book) -> None:
    assert book.append([]) == ()
    assert book.highest_tick() == 0


def test_ticks_rise_by_one_within_an_act_and_follow_the_clock(book: Book, clock: FixedClock) -> None:
    assert [item.tick for item in book.append([LOOK, LOOK])] == [NOON, NOON + 1]
    clock.set(NOON + 60_000)
    assert [item.tick for item in book.append([LOOK])] == [NOON + 60_000]
    assert book.highest_tick() == NOON + 60_000


def test_a_clock_put_back_keeps_the_order(book: Book, clock: FixedClock) -> None:
    book.append([LOOK])
    clock.set(NOON - 3_600_000)
    (late,) = book.append([LOOK])
    assert (late.tick, late.happened) == (NOON + 1, NOON - 3_600_000)


def test_happened_is_now_unless_it_is_said(book: Book, clock: FixedClock) -> None:
    typed, now = book.append([LOOK._replace(happened=NOON - 5), LOOK])
    assert (typed.happened, now.happened) == (NOON - 5, NOON)


def test_nothing_happens_in_the_future(book: Book) -> None:
    refused(book, LOOK._replace(happened=NOON + 60_000), "happened: that is in the future")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"kind": "looked"}, "kind: 'looked' is not a kind"),
        ({"kind": None}, "kind: takes text"),
        ({"subject": ""}, "subject: missing"),
        ({"subject": 5}, "subject: takes text, got 5"),
        ({"by": None}, "by: takes text"),
        ({"grade": 2}, "grade: looked_at has none"),
        ({"grade": "hard"}, "grade: takes a whole number"),
        ({"happened": "noon"}, "happened: takes a moment"),
        ({"happened": -1}, "happened: takes a moment"),
        ({"happened": True}, "happened: takes a moment"),
        ({"detail": {"nte": "x"}}, "nte: not a field of looked_at"),
        ({"detail": {"note": 5}}, "note: takes text, got 5"),
        ({"detail": {"note": float("nan")}}, "note: takes a finite number"),
        ({"detail": {5: "x"}}, "detail: 5 is not a name"),
        ({"detail": {"note": object()}}, "note: cannot be written down"),
        ({"detail": ["note"]}, "detail: takes fields by name"),
        ({"replaces": "unknown"}, "replaces: there is no entry unknown"),
    ],
)
def test_what_cannot_be_taken_is_named_and_nothing_is_written(book: Book, change: dict[str, Any], says: str) -> None:
    refused(book, changed(LOOK, change), says)


@pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan"), 2**60, True, "0.01", None])
def test_a_reading_takes_a_finite_number(book: Book, value: object) -> None:
    refused(book, READING._replace(detail={**READING.detail, "value_m": value}), "value_m: ")


@pytest.mark.parametrize("column", ["kind", "subject", "by", "robot", "place", "replaces", "id"])
@pytest.mark.parametrize("bad", ["\x00", "\x1b", "\n", "\x9b", "\u202e", "\u2066", "\ud800", "\ufffe"])
def test_no_column_takes_a_character_that_a_terminal_would_obey(book: Book, column: str, bad: str) -> None:
    refused(book, changed(LOOK, {column: f"a{bad}b"}), f"{column}: holds the control character U\\+")


@pytest.mark.parametrize("bad", ["\x00", "\x1b", "\x9b", "\u202e", "\ud800"])
def test_no_text_in_a_detail_takes_one_either(book: Book, bad: str) -> None:
    refused(book, LOOK._replace(detail={"note": bad}), "note: holds the control character")
    refused(book, LOOK._replace(detail={bad: "x"}), "is not a name")
    nested = Draft("looked_over", "z1", "AB", robot="r1", detail={"except": ["j1", bad]})
    refused(book, nested, "except: holds the control character")


def test_an_act_is_a_text_like_any_other(book: Book) -> None:
    with pytest.raises(EntryError, match="act: holds the control character"):
        book.append([LOOK], act="a\x1bb")


def test_a_note_may_have_lines(book: Book) -> None:
    (written,) = book.append([LOOK._replace(detail={"note": "left\nright"})])
    assert written.detail == {"note": "left\nright"}


# --- Second tries


def test_a_second_try_writes_nothing_twice(book: Book, clock: FixedClock) -> None:
    drafts = [LOOK._replace(id="one"), READING._replace(id="two")]
    first = book.append(drafts)
    clock.set(NOON + 5)
    assert book.append(drafts) == first
    assert book.append(drafts, act=first[0].act) == first
    assert len(book.entries()) == 2


def test_a_second_try_may_bring_more(book: Book) -> None:
    first = book.append([LOOK._replace(id="one")])
    again = book.append([LOOK._replace(id="one"), LOOK])
    assert again[0] == first[0]
    assert again[1].act == first[0].act


@pytest.mark.parametrize("change", [{"subject": "p2"}, {"detail": {"note": "x"}}, {"happened": NOON - 1}])
def test_an_id_that_stands_for_something_else_is_refused(book: Book, change: dict[str, Any]) -> None:
    book.append([LOOK._replace(id="one")])
    refused(book, changed(LOOK._replace(id="one"), change), "one already stands for another entry")
    with pytest.raises(EntryError, match="already stands"):
        book.append([LOOK._replace(id="one")], act="another")


def test_one_id_twice_in_an_act_is_refused_when_they_differ(book: Book) -> None:
    with pytest.raises(EntryError, match="already stands"):
        book.append([LOOK._replace(id="one"), LOOK._replace(id="one", subject="p2")])
    assert book.entries() == ()


# --- Corrections


def test_a_correction_names_an_entry_of_its_kind(book: Book) -> None:
    (look,) = book.append([LOOK])
    refused(book, READING._replace(replaces=look.id), "a correction keeps the kind")
    (better,) = book.append([LOOK._replace(replaces=look.id, subject="p2", happened=look.happened)])
    assert book.append([LOOK._replace(replaces=better.id)])[0].replaces == better.id


@pytest.mark.parametrize("target", ["root", "correction", "withdrawal"])
def test_a_withdrawal_is_final(book: Book, target: str) -> None:
    (root,) = book.append([LOOK])
    (correction,) = book.append([LOOK._replace(replaces=root.id)])
    (withdrawal,) = book.append([Draft("withdrawn", "p1", "AB", robot="r1", replaces=correction.id)])
    named = {"root": root.id, "correction": correction.id, "withdrawal": withdrawal.id}[target]
    refused(book, LOOK._replace(replaces=named), "has been withdrawn, which is final")
    refused(book, Draft("withdrawn", "p1", "AB", replaces=named), "has been withdrawn")


def test_a_withdrawal_in_the_same_act_counts_for_what_follows(book: Book) -> None:
    (root,) = book.append([LOOK])
    with pytest.raises(EntryError, match="withdrawn"):
        book.append([Draft("withdrawn", "p1", "AB", replaces=root.id), LOOK._replace(replaces=root.id)])
    assert book.evidence().speaking(root.id) is not None


# --- As text


def test_the_same_content_is_the_same_text(book: Book, path: Path) -> None:
    one = {"of": "p1", "dimension": "bore", "value_m": 0.0125, "note": "Ø größer\n"}
    book.append([READING._replace(detail=one), READING._replace(detail=dict(reversed(one.items())))])
    with closing(sqlite3.connect(path)) as connection:
        texts = [text for (text,) in connection.execute("SELECT detail FROM entry")]
    assert texts == ['{"dimension":"bore","note":"Ø größer\\n","of":"p1","value_m":0.0125}'] * 2


values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    # No file can hold the lone surrogates.
    | st.text(st.characters(codec="utf-8"), max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abé", max_size=3), inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(st.text("abé", max_size=3), values, max_size=4))
def test_a_detail_reads_back_as_it_was_and_spells_the_same_again(detail: dict[str, Any]) -> None:
    text = canonical(detail)
    assert json.loads(text) == detail
    assert canonical(json.loads(text)) == text
    assert canonical(dict(reversed(detail.items()))) == text


# --- Reading on


def test_what_is_new_comes_in_the_order_it_came(book: Book) -> None:
    book.append([LOOK])
    late = [entry("late", tick=5), entry("later", tick=4)]
    assert book.insert_raw(late) == 2
    assert [item.id for item in book.entries_after(1)] == ["late", "later"]
    assert [item.id for item in book.entries_after(1, limit=1)] == ["late"]
    assert book.entries_after(3) == ()


@given(
    st.lists(st.tuples(st.integers(1, 6), st.sampled_from(("w1", "w2"))), max_size=25, unique=True),
    st.integers(1, 5),
    st.integers(0, 8),
)
def test_pages_hold_every_entry_once_newest_first(stamps: list[tuple[int, str]], limit: int, cut: int) -> None:
    made = [entry(f"e{n:02}", tick=tick, writer=writer) for n, (tick, writer) in enumerate(stamps)]
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        book.insert_raw(made)
        seen: list[Entry] = []
        page = book.entries(cut, limit)
        while page:
            seen += page
            page = book.entries(page[-1].tick, limit, page[-1].n)
        assert [(item.tick, item.n) for item in seen] == sorted(
            ((item.tick, n) for n, item in enumerate(made, 1) if item.tick < cut), reverse=True
        )
