"""Lines, corrections, withdrawals and what rests on them, case by case."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.logbook.making import NOON, entry, hit, ids

WITHDRAWN = "withdrawn"


@pytest.fixture
def scratch() -> Iterator[Book]:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        yield book


def finding(entry_id: str, what: str = "worn", raises: bool = False, **columns: int | str) -> Entry:
    detail = {"what": what, "position": "q1", "raises": raises}
    return entry(entry_id, "finding", place="q1", detail=detail, **columns)  # type: ignore[arg-type]


# --- Corrections


def test_a_correction_speaks_at_the_place_of_what_it_corrects(scratch: Book) -> None:
    scratch.insert_raw([entry("a", tick=10), entry("b", tick=20), entry("c", tick=30, happened=10, replaces="a")])
    facts = list(scratch.evidence().facts("looked_at", "p1"))
    assert ids(facts) == ["b", "c"]
    assert facts[1].order == (10, 10, "w1", "a")


def test_a_correction_of_the_subject_moves_the_fact(scratch: Book) -> None:
    scratch.insert_raw([entry("a"), entry("b", tick=20, happened=10, subject="p2", replaces="a")])
    evidence = scratch.evidence()
    assert ids(evidence.facts("looked_at", "p1")) == []
    assert ids(evidence.facts("looked_at", "p2")) == ["b"]


def test_a_correction_of_the_time_moves_the_fact_in_time(scratch: Book) -> None:
    scratch.insert_raw([entry("a"), entry("b", tick=20), entry("c", tick=40, happened=35, replaces="a")])
    evidence = scratch.evidence()
    assert ids(evidence.facts("looked_at", "p1")) == ["c", "b"]
    assert ids(evidence.facts("looked_at", "p1", upto=34)) == ["b"]
    assert ids(scratch.evidence(40).facts("looked_at", "p1")) == ["b", "a"]


def test_a_correction_of_the_place_or_grade_moves_the_fact(scratch: Book) -> None:
    scratch.insert_raw(
        [
            entry("f", "fitted", place="q1"),
            entry("g", "fitted", tick=20, happened=10, place="q2", replaces="f"),
            hit("h", grade=1),
            hit("i", tick=20, happened=10, grade=3, replaces="h"),
        ]
    )
    evidence = scratch.evidence()
    assert ids(evidence.placed("q1")) == []
    assert ids(evidence.placed("q2")) == ["g"]
    assert ids(evidence.hits("z1", 2)) == ids(evidence.hits("z1", 1)) == ["i"]


def test_the_newest_of_a_chain_of_corrections_speaks(scratch: Book) -> None:
    scratch.insert_raw(
        [
            entry("a"),
            entry("b", tick=20, happened=10, replaces="a"),
            entry("c", tick=30, happened=10, replaces="b"),
        ]
    )
    evidence = scratch.evidence()
    assert ids(evidence.facts("looked_at", "p1")) == ["c"]
    for name in "abc":
        fact = evidence.speaking(name)
        assert fact is not None
        assert (fact.id, fact.root) == ("c", "a")


@pytest.mark.parametrize(
    ("ticks", "writers", "speaks"),
    [((20, 30), ("w1", "w1"), "c"), ((30, 20), ("w1", "w1"), "b"), ((20, 20), ("w2", "w1"), "b")],
)
def test_of_two_heads_the_later_counts(
    scratch: Book, ticks: tuple[int, int], writers: tuple[str, str], speaks: str
) -> None:
    scratch.insert_raw(
        [
            entry("a"),
            entry("b", tick=ticks[0], happened=10, writer=writers[0], replaces="a"),
            entry("c", tick=ticks[1], happened=10, writer=writers[1], replaces="a"),
        ]
    )
    assert ids(scratch.evidence().facts("looked_at", "p1")) == [speaks]


def test_a_correction_of_something_not_here_yet_stands_by_itself(scratch: Book) -> None:
    scratch.insert_raw([entry("b", tick=20, happened=10, replaces="a")])
    assert [fact.root for fact in scratch.evidence().facts("looked_at", "p1")] == ["b"]
    scratch.insert_raw([entry("a")])
    assert [fact.root for fact in scratch.evidence().facts("looked_at", "p1")] == ["a"]


def test_entries_that_replace_each_other_in_a_ring_count_for_nothing(scratch: Book) -> None:
    scratch.insert_raw([entry("a", replaces="b"), entry("b", replaces="a"), entry("c", replaces="c")])
    assert ids(scratch.evidence().facts("looked_at", "p1")) == []
    assert scratch.evidence().speaking("a") is scratch.evidence().speaking("c") is None


# --- Withdrawals


@pytest.mark.parametrize("target", ["a", "b", "c"])
def test_a_withdrawal_of_any_entry_takes_out_the_line(scratch: Book, target: str) -> None:
    scratch.insert_raw(
        [
            entry("a"),
            entry("b", tick=20, happened=10, replaces="a"),
            entry("c", tick=20, happened=10, writer="w2", replaces="a"),
            entry("x", WITHDRAWN, tick=15, replaces=target),
            entry("d", tick=40, happened=10, replaces="b"),
        ]
    )
    evidence = scratch.evidence()
    assert ids(evidence.facts("looked_at", "p1")) == []
    assert all(evidence.speaking(name) is None for name in "abcdx")


def test_a_withdrawal_of_something_unknown_does_nothing(scratch: Book) -> None:
    scratch.insert_raw([entry("a"), entry("x", WITHDRAWN, tick=20, replaces="unknown")])
    evidence = scratch.evidence()
    assert ids(evidence.facts("looked_at", "p1")) == ["a"]
    assert ids(evidence.facts(WITHDRAWN, "p1")) == []
    assert evidence.speaking("x") is None


def test_a_withdrawal_counts_from_its_own_tick(scratch: Book) -> None:
    scratch.insert_raw([entry("a"), entry("x", WITHDRAWN, tick=20, happened=10, replaces="a")])
    assert ids(scratch.evidence(20).facts("looked_at", "p1")) == ["a"]
    assert ids(scratch.evidence(21).facts("looked_at", "p1")) == []


# --- What a hit was written because of


@pytest.mark.parametrize(
    ("ground", "source", "stands"),
    [
        (finding("f", raises=True, tick=5), "taken", True),
        (finding("f", raises=True, tick=5), "no hit seen", False),
        (finding("f", raises=False, tick=5), "taken", False),
        (finding("f", "bent", tick=5), "no hit seen", True),
        (finding("f", "cracked", tick=5), "no hit seen", True),
        (finding("f", "worn", tick=5), "no hit seen", False),
        (finding("f", "bent", tick=5), "taken", False),
        (finding("f", "bent", raises=True, tick=5), "taken", True),
        (entry("f", "hand_checked", "z1", tick=5, detail={"sign": True}), "taken", True),
        (entry("f", "hand_checked", "z1", tick=5, detail={"sign": False}), "taken", False),
        (entry("f", "looked_at", tick=5), "taken", False),
        (entry("other", "looked_at", tick=5), "taken", False),
    ],
)
def test_a_raised_hit_stands_on_what_raised_it(scratch: Book, ground: Entry, source: str, stands: bool) -> None:
    scratch.insert_raw([ground, hit("h", because="f", source=source)])
    evidence = scratch.evidence()
    assert ids(evidence.hits("z1", 1)) == (["h"] if stands else [])
    assert (evidence.speaking("h") is not None) == stands
    assert ids(evidence.act("act-h")) == (["h"] if stands else [])


def test_a_raised_hit_falls_when_what_raised_it_is_withdrawn(scratch: Book) -> None:
    scratch.insert_raw([finding("f", raises=True, tick=5), hit("h", because="f")])
    scratch.insert_raw([entry("x", WITHDRAWN, tick=20, replaces="f")])
    assert ids(scratch.evidence().hits("z1", 1)) == []
    assert ids(scratch.evidence(20).hits("z1", 1)) == ["h"]


def test_a_raised_hit_falls_and_returns_with_corrections_of_what_raised_it(scratch: Book) -> None:
    raising, not_raising = finding("f", raises=True, tick=5), finding("g", tick=20, happened=5, replaces="f")
    scratch.insert_raw([raising, not_raising, hit("h", because="f")])
    assert ids(scratch.evidence().hits("z1", 1)) == []
    scratch.insert_raw([finding("i", raises=True, tick=30, happened=5, replaces="g")])
    assert ids(scratch.evidence().hits("z1", 1)) == ["h"]


def test_what_raised_a_hit_may_be_named_by_a_correction_of_it(scratch: Book) -> None:
    scratch.insert_raw([finding("f", tick=5), finding("g", raises=True, tick=6, happened=5, replaces="f")])
    scratch.insert_raw([hit("h", because="g"), hit("i", because="f")])
    assert ids(scratch.evidence().hits("z1", 1)) == ["i", "h"]


# --- Order, acts, definitions


def test_equal_moments_are_told_apart_by_the_first_entry_of_the_line(scratch: Book) -> None:
    scratch.insert_raw(
        [
            entry("c", tick=12, happened=10),
            entry("a", tick=11, happened=10, writer="w2"),
            entry("b", tick=11, happened=10, writer="w1"),
            entry("d", tick=50, happened=10, writer="w9", replaces="b"),
        ]
    )
    assert ids(scratch.evidence().facts("looked_at", "p1")) == ["c", "a", "d"]


def test_definitions_come_in_the_order_they_were_first_made(scratch: Book) -> None:
    zone = {"subject": "z2", "detail": {"name": "rear"}}
    scratch.insert_raw(
        [
            entry("a", "zone", tick=1, **zone),  # type: ignore[arg-type]
            entry("b", "zone", "z1", tick=2, detail={"name": "front"}),
            entry("c", "zone", "z2", tick=9, happened=1, detail={"name": "back"}, replaces="a"),
            entry("d", "zone", "z1", tick=3, detail={"name": "nose"}),
            entry("e", "zone", "z3", robot="r2", tick=3, detail={"name": "top"}),
        ]
    )
    facts = scratch.evidence().definitions("zone", "r1")
    assert [fact.detail["name"] for fact in facts] == ["back", "nose"]
    assert scratch.evidence(9).definitions("zone", "r1")[0].detail["name"] == "rear"


def test_of_two_definitions_of_one_thing_the_one_made_last_counts(scratch: Book) -> None:
    made_last = entry("a", "zone", "z1", tick=9, detail={"name": "nose"})
    came_last = entry("b", "zone", "z1", tick=3, detail={"name": "front"})
    scratch.insert_raw([made_last, came_last])
    assert ids(scratch.evidence().definitions("zone", "r1")) == ["a"]


def test_an_act_is_told_by_what_speaks(scratch: Book) -> None:
    scratch.insert_raw(
        [
            entry("a", act="one"),
            entry("b", act="one", subject="p2"),
            entry("c", act="two", tick=20, replaces="b"),
        ]
    )
    assert ids(scratch.evidence().act("one")) == ["a"]
    assert ids(scratch.evidence().act("two")) == ["c"]


# --- One instance, one moment


def test_evidence_does_not_see_what_comes_after_it(book: Book) -> None:
    look = Draft("looked_at", "p1", "AB", robot="r1")
    (first,) = book.append([look])
    evidence = book.evidence()
    book.append([look, Draft(WITHDRAWN, "p1", "AB", replaces=first.id)])
    book.insert_raw([entry("old", tick=3)])
    assert ids(evidence.facts("looked_at", "p1")) == [first.id]
    assert evidence.speaking("old") is None
    assert len(list(book.evidence().facts("looked_at", "p1"))) == 2


def test_a_half_read_answer_holds_nothing_open(book: Book) -> None:
    book.append([Draft("looked_at", "p1", "AB", robot="r1")] * 9)
    answer = book.evidence().facts("looked_at", "p1")
    next(answer)
    assert book._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone() == (0, 0, 0)
    assert len(list(answer)) == 8


def test_a_name_that_no_file_can_hold_is_not_found(scratch: Book) -> None:
    assert list(scratch.evidence().facts("looked_at", "\ud800")) == []
    assert scratch.evidence().speaking("\ud800") is None
