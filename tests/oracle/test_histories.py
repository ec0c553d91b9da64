"""The random histories are books that could have been written, and they reach what the rules decide."""

from __future__ import annotations

from collections import Counter
from random import Random

from hypothesis import given, settings

from pitcrew.robot.kinds import KINDS, problems

from .histories import Case, cases, random_book, smallest, thinned_cases
from .oracle import Judged, judge

SEEDS = range(200)


def judged(case: Case) -> Judged:
    return judge(case.entries, case.robot, case.now, case.cut, case.checklists)


@settings(max_examples=30)
@given(cases())
def test_every_entry_may_be_written_and_writers_count_up(case: Case) -> None:
    ticks: dict[str, int] = {}
    known: dict[str, int] = {}
    for entry in case.entries:
        assert problems(entry) == ()
        assert entry.tick > ticks.get(entry.writer, 0)
        assert entry.tick > known.get(entry.replaces or "", 0)
        ticks[entry.writer] = known[entry.id] = entry.tick
    assert len(known) == len(case.entries)


def test_one_seed_is_one_book() -> None:
    assert random_book(7) == random_book(7)
    assert random_book(7) != random_book(8)


@settings(max_examples=20)
@given(cases())
def test_the_oracle_does_not_mind_how_entries_lie_in_the_book(case: Case) -> None:
    shuffled = list(case.entries)
    Random(1).shuffle(shuffled)
    assert judged(case._replace(entries=tuple(shuffled))) == judged(case)


@settings(max_examples=20)
@given(thinned_cases())
def test_the_oracle_judges_books_that_miss_entries(case: Case) -> None:
    said = judged(case)
    assert said.accepted <= {key for key, word in said.verdicts.items() if word == "marginal"}
    assert not said.fit or said.fight is not None


def test_the_smallest_book_that_fails_a_place_has_just_what_it_takes() -> None:
    def wrong(case: Case) -> bool:
        return "empty:q0" in judged(case).verdicts

    case = next(book for book in map(random_book, SEEDS) if wrong(book))
    assert [entry.kind for entry in smallest(case, wrong).entries] == ["position"]


def test_the_histories_hold_every_kind_and_reach_every_decision() -> None:
    kinds: set[str] = set()
    seen: Counter[str] = Counter()
    for seed in SEEDS:
        case = random_book(seed)
        kinds |= {entry.kind for entry in case.entries}
        said = judged(case)
        seen.update({f"accepted {key.split(':')[0]}" for key in said.accepted})
        seen["several writers"] += len({entry.writer for entry in case.entries}) > 1
        seen["cut short"] += any(entry.tick >= case.cut for entry in case.entries)
        seen["fit"] += said.fit
    assert kinds == KINDS.keys()
    wanted = {"accepted joint", "accepted limit", "accepted stack", "accepted weight"}
    wanted |= {"several writers", "cut short", "fit"}
    assert {name: seen[name] for name in wanted if seen[name] < 3} == {}
