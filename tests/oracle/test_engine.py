"""The engine against the brute-force oracle, over random robots and random histories."""

from __future__ import annotations

from collections import Counter

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.readiness.judge import judge
from tests.oracle.histories import Case, random_book
from tests.oracle.oracle import judge as by_the_rules


def engine(case: Case) -> tuple[bool, dict[str, str], frozenset[str]] | None:
    """What the engine says of a case: fit, every requirement's verdict, the marginal ones accepted."""
    with Book.memory(FixedClock(case.now), SeededIds(1)) as book:
        book.insert_raw(case.entries)
        standing = judge(book.evidence(case.cut), case.robot, case.now, case.checklists)
    if standing is None:
        return None
    verdicts = {item.key: item.verdict for item in standing.requirements}
    return standing.fit, verdicts, frozenset(item.key for item in standing.requirements if item.accepted)


def agree(case: Case) -> dict[str, str]:
    """Assert that engine and oracle say the same; give the verdicts."""
    said = engine(case)
    if said is None:
        return {}
    fit, verdicts, accepted = said
    judged = by_the_rules(case.entries, case.robot, case.now, case.cut, case.checklists)
    differ = {
        key: (verdicts.get(key), judged.verdicts.get(key))
        for key in verdicts.keys() | judged.verdicts.keys()
        if verdicts.get(key) != judged.verdicts.get(key)
    }
    assert differ == {}, f"engine and oracle differ: {differ}"
    assert accepted == judged.accepted
    assert fit == judged.fit
    return verdicts


@pytest.mark.parametrize("block", range(10))
def test_the_engine_says_what_the_rules_say(block: int) -> None:
    for seed in range(block * 40, block * 40 + 40):
        try:
            agree(random_book(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error


def test_the_histories_reach_every_verdict_of_every_rule() -> None:
    seen: Counter[tuple[str, str]] = Counter()
    for seed in range(160):
        said = engine(random_book(seed))
        seen.update((key.split(":")[0], verdict) for key, verdict in (said[1].items() if said else ()))
    wanted = {
        "look": {"due", "pass"},
        "joint": {"fail", "recheck", "due", "unchecked", "marginal", "pass"},
        "locking": {"fail", "unchecked", "pass"},
        "stack": {"fail", "recheck", "unchecked", "marginal", "pass"},
        "limit": {"fail", "recheck", "marginal", "pass"},
        "finding": {"fail", "due", "deferred"},
        "hand": {"due"},
        "weight": {"fail", "unchecked", "marginal", "pass"},
        "configuration": {"fail", "due", "pass"},
        "packs": {"fail", "due", "pass"},
        "empty": {"fail"},
        "check": {"fail", "due", "pass"},
    }
    short = {(rule, word): seen[rule, word] for rule, words in wanted.items() for word in words if seen[rule, word] < 3}
    assert short == {}


@pytest.mark.soak
def test_the_engine_says_what_the_rules_say_for_long() -> None:
    for seed in range(1_000, 101_000):
        try:
            agree(random_book(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error
