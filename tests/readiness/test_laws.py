"""The laws of readiness, over random robots and random histories."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from random import Random
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.readiness.case import Case as EngineCase
from pitcrew.readiness.jobs import jobs
from pitcrew.readiness.judge import judge, standing_of
from pitcrew.readiness.verdict import WORST_FIRST, Standing
from pitcrew.robot.definitions import gather
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry
from tests.oracle.histories import Case, random_book

# The laws look at the same few books, each made and judged once; PITCREW_EXAMPLES makes them more.
SEEDS = st.integers(1, settings().max_examples * 3 // 4)
book_of = cache(random_book)
END = 10**14
MINUTE = 60_000


def judged(case: Case, entries: Iterable[Entry], cut: int | None = END, now: int | None = None) -> Standing | None:
    """What the engine says of some entries at the case's moment."""
    with Book.memory(FixedClock(0), SeededIds(1)) as book:
        book.insert_raw(entries)
        return judge(book.evidence(cut), case.robot, case.now if now is None else now, case.checklists)


@cache
def as_known(seed: int) -> Standing | None:
    """What the engine says of a random book as far as its cut."""
    case = book_of(seed)
    return judged(case, known(case))


def verdicts(standing: Standing | None) -> dict[str, str]:
    """Every requirement's verdict by its key."""
    return {} if standing is None else {item.key: item.verdict for item in standing.requirements}


def fit(standing: Standing | None) -> bool:
    """Fit to fight?"""
    return standing is not None and standing.fit


def known(case: Case) -> list[Entry]:
    """The entries that exist at the case's cut."""
    return [entry for entry in case.entries if entry.tick < case.cut]


def added(case: Case, kind: str, subject: str, **columns: Any) -> Entry:
    """An entry more, by a writer of its own, later than everything."""
    tick = max(case.now, *(entry.tick for entry in case.entries)) + 1
    plain = Entry("added", "added", tick, case.now, "w-law", "AB", case.robot, kind, subject, None, None, None, {})
    return plain._replace(**columns)


@given(SEEDS)
def test_a_cut_is_a_book_that_ends_there(seed: int) -> None:
    case = book_of(seed)
    assert verdicts(judged(case, case.entries, case.cut)) == verdicts(as_known(seed))


@given(SEEDS, st.randoms(use_true_random=False))
def test_the_order_in_which_entries_come_in_does_not_matter(seed: int, rng: Random) -> None:
    case = book_of(seed)
    entries = known(case)
    shuffled = rng.sample(entries, len(entries))
    assert verdicts(judged(case, shuffled)) == verdicts(as_known(seed))


def _line(entries: list[Entry], member: Entry) -> set[str]:
    ids = {member.id}
    while True:
        more = {e.id for e in entries if e.replaces in ids} | {
            e.replaces for e in entries if e.id in ids and e.replaces and any(o.id == e.replaces for o in entries)
        }
        if more <= ids:
            return ids
        ids |= more


@given(SEEDS, st.randoms(use_true_random=False))
def test_withdrawing_a_line_is_never_having_logged_any_of_it(seed: int, rng: Random) -> None:
    case = book_of(seed)
    entries = known(case)
    free = [e for e in entries if e.kind != "withdrawn" and e.kind not in ("robot",)]
    assume(free)
    taken = rng.choice(free)
    withdrawal = added(case, "withdrawn", taken.subject, replaces=taken.id)
    line = _line(entries, taken)
    left = [entry for entry in entries if entry.id not in line]
    assert verdicts(judged(case, [*entries, withdrawal])) == verdicts(judged(case, left))


@given(SEEDS, st.randoms(use_true_random=False))
def test_a_correction_is_having_logged_it_right_at_once(seed: int, rng: Random) -> None:
    case = book_of(seed)
    entries = known(case)
    replaced = {entry.replaces for entry in entries}
    # A signature and an acceptance name the entries they rest on: those of what was corrected no longer hold.
    named = {ident for entry in entries for ident in entry.detail.get("rests_on", ())}
    spoken = [e for e in entries if e.id not in replaced and e.replaces is None and e.kind not in DEFINITION_KINDS]
    free = [entry for entry in spoken if entry.id not in named]
    assume(free)
    wrong = rng.choice(free)
    like = rng.choice([e for e in case.entries if e.kind == wrong.kind])
    right = wrong._replace(subject=like.subject, place=like.place, grade=like.grade, detail=like.detail)
    correction = added(case, wrong.kind, "", happened=wrong.happened)._replace(
        subject=right.subject,
        place=right.place,
        grade=right.grade,
        detail=right.detail,
        robot=wrong.robot,
        by=wrong.by,
        act=wrong.act,
        replaces=wrong.id,
    )
    at_once = [right if entry.id == wrong.id else entry for entry in entries]
    assert verdicts(judged(case, [*entries, correction])) == verdicts(judged(case, at_once))


@given(SEEDS)
def test_an_entry_that_concerns_nothing_changes_no_verdict(seed: int) -> None:
    case = book_of(seed)
    entries = known(case)
    before = verdicts(as_known(seed))
    strangers = [
        added(case, "note", case.robot, detail={"note": "the belt box is empty"}),
        added(case, "looked_at", "nobody's part", id="added2"),
        added(case, "fight_ended", "another's", id="added3", robot="another"),
        added(case, "hit", "another's zone", id="added4", grade=3, detail={"source": "taken"}, robot="another"),
    ]
    assert verdicts(judged(case, [*entries, *strangers])) == before


def _zones(case: Case) -> list[str]:
    return sorted({entry.subject for entry in known(case) if entry.kind == "zone" and entry.robot == case.robot})


@given(SEEDS, st.randoms(use_true_random=False))
def test_a_hit_never_betters_anything(seed: int, rng: Random) -> None:
    case = book_of(seed)
    entries = known(case)
    zones = _zones(case)
    assume(zones)
    hit = added(case, "hit", rng.choice(zones), grade=rng.randint(1, 3), detail={"source": "taken"})
    before, after = as_known(seed), judged(case, [*entries, hit])
    now = verdicts(after)
    for key, verdict in verdicts(before).items():
        assert WORST_FIRST.index(now[key]) <= WORST_FIRST.index(verdict), key
    assert fit(before) or not fit(after)


@given(SEEDS, st.randoms(use_true_random=False))
def test_an_opened_joint_lets_nothing_through_that_blocked(seed: int, rng: Random) -> None:
    case = book_of(seed)
    entries = known(case)
    joints = sorted({entry.subject for entry in entries if entry.kind == "joint"})
    assume(joints)
    joint = rng.choice(joints)
    opened = added(case, "opened", joint, detail={"fasteners": rng.choice(["all", [1]])})
    before, after = as_known(seed), judged(case, [*entries, opened])
    if before is None or after is None:
        return
    still = {item.key for item in after.blocking}
    # An open joint has no locking to judge: the joint itself blocks in its place.
    assert {item.key for item in before.blocking} - {f"locking:{joint}"} <= still
    assert before.fit or not after.fit


@given(SEEDS)
def test_time_alone_changes_nothing_before_it_said_it_would(seed: int) -> None:
    case = book_of(seed)
    entries = known(case)
    first = as_known(seed)
    assume(first is not None)
    assert first is not None
    until = first.changes_at if first.changes_at is not None else case.now + 10**9
    last = until - 1
    for now in {case.now + (last - case.now) // 2, last}:
        later = judged(case, entries, now=now)
        assert verdicts(later) == verdicts(first)


@given(SEEDS)
def test_what_the_jobs_clear_adds_up_to_what_blocks(seed: int) -> None:
    case = book_of(seed)
    with Book.memory(FixedClock(0), SeededIds(1)) as book:
        book.insert_raw(case.entries)
        evidence = book.evidence(case.cut)
        definitions = gather(evidence, case.robot)
        assume(definitions is not None)
        assert definitions is not None
        engine = EngineCase(evidence, definitions, case.now, case.checklists)
        standing = standing_of(engine)
        cleared = [item.key for job in jobs(engine, standing) for item in job.clears]
    assert sorted(cleared) == sorted(item.key for item in standing.blocking)


@given(SEEDS)
def test_every_verdict_that_something_caused_names_an_entry_of_the_book(seed: int) -> None:
    case = book_of(seed)
    ids = {entry.id for entry in known(case)}
    standing = judged(case, case.entries, case.cut)
    for item in standing.requirements if standing else ():
        assert set(item.evidence) <= ids
        if item.verdict in ("recheck", "marginal", "deferred"):
            assert item.evidence, item.key


@pytest.mark.parametrize("minutes", [-1, 0, 1])
def test_a_moment_before_the_robot_was_known_cannot_be_judged(minutes: int) -> None:
    case = random_book(3)
    assert judged(case, case.entries, min(entry.tick for entry in case.entries), case.now + minutes * MINUTE) is None
