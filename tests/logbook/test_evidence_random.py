"""The book's evidence against a plain reading of the same entries, and against the views in the file."""

from __future__ import annotations

from collections.abc import Iterable

from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.evidence import BookEvidence
from pitcrew.robot.records import Entry, Evidence, Fact
from tests.logbook.making import COLUMNS, MOMENTS, NOON, books, entry, plain_facts, plain_speaking

cuts = st.integers(0, MOMENTS + 2)


def numberless(facts: Iterable[Fact]) -> list[Fact]:
    return [fact._replace(entry=fact.entry._replace(n=0)) for fact in facts]


def scratch(entries: Iterable[Entry]) -> Book:
    book = Book.memory(FixedClock(NOON), SeededIds(0))
    book.insert_raw(entries)
    return book


def check_streams(evidence: Evidence, facts: list[Fact], upto: int) -> None:
    """Every question that is answered as a stream, newest first."""
    for kind in COLUMNS:
        for subject in {fact.subject for fact in facts} | {"nobody"}:
            wanted = [f for f in facts if f.entry.kind == kind and f.subject == subject]
            assert numberless(evidence.facts(kind, subject)) == wanted
            early = [f for f in wanted if f.happened <= upto]
            assert numberless(evidence.facts(kind, subject, upto)) == early
        for place in ("q1", "q2"):
            there = [f for f in facts if f.entry.place == place]
            assert numberless(evidence.at_place(kind, place)) == [f for f in there if f.entry.kind == kind]
            moves = [f for f in there if f.entry.kind in ("fitted", "removed")]
            assert numberless(evidence.placed(place)) == moves
            assert numberless(evidence.placed(place, upto)) == [f for f in moves if f.happened <= upto]


def check_hits_and_fights(evidence: Evidence, facts: list[Fact], upto: int) -> None:
    for zone in ("z1", "z2"):
        for least in (1, 2, 3, 4):
            hits = [f for f in facts if f.entry.kind == "hit" and f.subject == zone and (f.entry.grade or 0) >= least]
            assert numberless(evidence.hits(zone, least)) == hits
            assert numberless(evidence.hits(zone, least, upto)) == [f for f in hits if f.happened <= upto]
    for robot in ("r1", "r2"):
        ends = [f for f in facts if f.entry.kind == "fight_ended" and f.entry.robot == robot]
        assert numberless(evidence.last_fights_ended(robot)) == ends
        assert numberless(evidence.fights_ended(robot, upto)) == [f for f in ends[::-1] if f.happened >= upto]


def check_sets(evidence: Evidence, facts: list[Fact]) -> None:
    for act in ("a1", "a2", "a3", "none"):
        assert numberless(evidence.act(act)) == [f for f in facts[::-1] if f.entry.act == act]
    for robot in ("r1", "r2", None):
        defined = [f for f in facts if f.entry.kind == "part_kind" and f.entry.robot == robot]
        first = {f.subject: min(g.tick for g in defined if g.subject == f.subject) for f in defined}
        newest = {f.subject: f for f in reversed(defined)}
        wanted = [newest[name] for name in sorted(newest, key=lambda name: (first[name], name))]
        assert numberless(evidence.definitions("part_kind", robot)) == wanted


@given(books(), cuts, st.integers(0, MOMENTS))
def test_evidence_is_what_a_plain_reading_finds(entries: list[Entry], cut: int, upto: int) -> None:
    facts = plain_facts(entries, cut)
    with scratch(entries) as book:
        evidence = book.evidence(cut)
        check_streams(evidence, facts, upto)
        check_hits_and_fights(evidence, facts, upto)
        check_sets(evidence, facts)


@given(books(), cuts)
def test_every_entry_of_a_line_leads_to_what_speaks_for_it(entries: list[Entry], cut: int) -> None:
    speaking = plain_speaking(entries, cut)
    with scratch(entries) as book:
        evidence = book.evidence(cut)
        for name in (*(item.id for item in entries), "unknown"):
            found = evidence.speaking(name)
            assert numberless([found] if found else []) == ([speaking[name]] if name in speaking else [])


@given(books(), cuts)
def test_a_cut_equals_the_book_as_it_was(entries: list[Entry], cut: int) -> None:
    before = [item for item in entries if item.tick < cut]
    with scratch(entries) as whole, scratch(before) as short:
        for kind, subjects in ((kind, columns["subject"]) for kind, columns in COLUMNS.items()):
            for subject in subjects:
                late = numberless(whole.evidence(cut).facts(kind, subject))
                assert late == numberless(short.evidence().facts(kind, subject))


@given(books(most=18))
def test_the_views_in_the_file_tell_the_same(entries: list[Entry]) -> None:
    facts = plain_facts(entries, MOMENTS + 1)
    fitted = {}
    for fact in facts[::-1]:
        if fact.entry.kind in ("fitted", "removed") and fact.entry.place:
            fitted[fact.entry.place] = fact.subject if fact.entry.kind == "fitted" else None
    with scratch(entries) as book:
        connection = book._connection
        found = connection.execute("SELECT id, root, root_tick, root_writer FROM fact").fetchall()
        assert sorted(found) == sorted((f.id, f.root, f.tick, f.writer) for f in facts)
        now = dict(connection.execute("SELECT position, part FROM fitted_now").fetchall())
        assert now == {place: part for place, part in fitted.items() if part}
        felt = connection.execute("SELECT count(*) FROM hits_felt").fetchone()[0]
        assert felt == sum(f.entry.kind == "hit" for f in facts)


@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.integers(0, 6), st.sampled_from(("w1", "w2"))), min_size=1, max_size=400),
    st.integers(0, 7),
)
def test_long_histories_come_in_order_over_many_pages(moments: list[tuple[int, str]], upto: int) -> None:
    entries = [
        entry(f"e{number:03}", tick=1000 + number, happened=when, writer=writer)
        for number, (when, writer) in enumerate(moments)
    ]
    facts = plain_facts(entries, 10_000)
    with scratch(entries) as book:
        assert numberless(book.evidence().facts("looked_at", "p1")) == facts
        early = [fact for fact in facts if fact.happened <= upto]
        assert numberless(book.evidence().facts("looked_at", "p1", upto)) == early


def test_the_answers_have_the_shape_that_judging_asks_for() -> None:
    with scratch([]) as book:
        answers: Evidence = BookEvidence(book._connection, None)
        assert list(answers.facts("note", "r1")) == []
