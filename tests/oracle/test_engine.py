"""The engine against the brute-force oracle, over random robots and random histories."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import NamedTuple

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.readiness.judge import judge
from pitcrew.readiness.verdict import Standing
from tests.oracle.histories import Case, random_book
from tests.oracle.narrow import narrow_book
from tests.oracle.oracle import judge as by_the_rules

Weights = dict[str, tuple[float, float] | None]


class Said(NamedTuple):
    """What the engine says of a case: fit, every requirement's verdict, the marginal ones accepted, (kg, U) of each
    configuration weighed, and why packs are as bad as they are.
    """

    fit: bool
    verdicts: dict[str, str]
    accepted: frozenset[str]
    weights: Weights
    packs: frozenset[str]


def weights_of(standing: Standing) -> Weights:
    """What each configuration weighs, with its doubt; None where that cannot be said."""
    found: Weights = {}
    for item in standing.requirements:
        if item.group == "weight":
            figures = dict(item.because[0].figures)
            kg, u_kg = figures.get("kg"), figures.get("u_kg")
            found[item.subject] = (float(kg), float(u_kg or 0.0)) if kg is not None else None
    return found


def packs_of(standing: Standing) -> frozenset[str]:
    """Why packs are not ready: each reason with each pack it is of, or with the figure that is too far apart."""
    found = set()
    for reason in (reason for item in standing.requirements if item.group == "packs" for reason in item.because):
        spread = [f"{value:.6f}" for name, value in reason.figures if name == "spread"]
        packs = [str(value) for name, value in reason.figures if name == "pack"]
        found |= {f"{reason.code}, {named}" for named in spread or packs} or {reason.code}
    return frozenset(found - {"packs in"})


def engine(cases: Sequence[Case]) -> list[Said | None]:
    """What the engine says of one book at each of these moments; None where the book does not know the robot yet."""
    said: list[Said | None] = []
    with Book.memory(FixedClock(cases[0].now), SeededIds(1)) as book:
        book.insert_raw(cases[0].entries)
        for case in cases:
            standing = judge(book.evidence(case.cut), case.robot, case.now, case.checklists)
            if standing is None:
                said.append(None)
                continue
            verdicts = {item.key: item.verdict for item in standing.requirements}
            accepted = frozenset(item.key for item in standing.requirements if item.accepted)
            said.append(Said(standing.fit, verdicts, accepted, weights_of(standing), packs_of(standing)))
    return said


def same_weights(engine: Weights, rules: Weights) -> bool:
    """The same to within what floats lose."""
    return engine.keys() == rules.keys() and all(
        (ours is None) == (theirs is None)
        and (ours is None or theirs is None or ours == pytest.approx(theirs, rel=1e-9, abs=1e-9))
        for ours, theirs in ((engine[name], rules[name]) for name in rules)
    )


def agree(cases: Sequence[Case]) -> None:
    """Assert that engine and oracle say the same of one book at each of these moments."""
    for case, said in zip(cases, engine(cases), strict=True):
        if said is None:
            continue
        judged = by_the_rules(case.entries, case.robot, case.now, case.cut, case.checklists)
        differ = {
            key: (said.verdicts.get(key), judged.verdicts.get(key))
            for key in said.verdicts.keys() | judged.verdicts.keys()
            if said.verdicts.get(key) != judged.verdicts.get(key)
        }
        assert differ == {}, f"engine and oracle differ: {differ}"
        assert said.accepted == judged.accepted
        assert said.fit == judged.fit
        # What is asked before packs are in says itself why.
        assert not judged.packs or said.packs == judged.packs
        assert same_weights(said.weights, judged.weights), f"weights differ: {said.weights}, {judged.weights}"


def agree_on(seed: int, book: Callable[[int], Sequence[Case]]) -> None:
    """The same, naming the seed where they do not."""
    try:
        agree(book(seed))
    except AssertionError as error:
        raise AssertionError(f"{book.__name__}, seed {seed}: {error}") from error


def whole_book(seed: int) -> tuple[Case, ...]:
    """A long history of everything, judged at one moment."""
    return (random_book(seed),)


@pytest.mark.parametrize("block", range(10))
def test_the_engine_says_what_the_rules_say(block: int) -> None:
    for seed in range(block * 30, block * 30 + 30):
        agree_on(seed, whole_book)


@pytest.mark.parametrize("block", range(6))
def test_the_engine_says_what_the_rules_say_of_one_subject_at_a_time(block: int) -> None:
    for seed in range(block * 63, block * 63 + 63):
        agree_on(seed, narrow_book)


def test_the_histories_reach_every_verdict_of_every_rule() -> None:
    """The rules' word alone is enough, for the engine says the same of these very seeds."""
    seen: Counter[tuple[str, str]] = Counter()
    for case in [*map(random_book, range(200)), *(case for seed in range(96) for case in narrow_book(seed))]:
        said = by_the_rules(case.entries, case.robot, case.now, case.cut, case.checklists)
        seen.update((key.split(":")[0], verdict) for key, verdict in said.verdicts.items())
    wanted = {
        "look": {"due", "pass"},
        "joint": {"fail", "recheck", "due", "unchecked", "marginal", "pass"},
        "locking": {"fail", "unchecked", "pass"},
        "stack": {"fail", "recheck", "unchecked", "marginal", "pass"},
        "limit": {"fail", "recheck", "marginal", "pass"},
        "life": {"due", "pass"},
        "finding": {"fail", "due", "deferred"},
        "hand": {"due"},
        "weight": {"fail", "unchecked", "marginal", "pass"},
        "configuration": {"fail", "due", "pass"},
        "packs": {"fail", "due", "unchecked", "pass"},
        "empty": {"fail"},
        "check": {"fail", "due", "pass"},
        "signed": {"recheck", "due", "pass"},
    }
    short = {(rule, word): seen[rule, word] for rule, words in wanted.items() for word in words if seen[rule, word] < 3}
    assert short == {}


@pytest.mark.soak
def test_the_engine_says_what_the_rules_say_for_long() -> None:
    for seed in range(1_000, 101_000):
        agree_on(seed, whole_book)
        agree_on(seed, narrow_book)
