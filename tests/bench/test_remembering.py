"""A book remembered says what the book says, whatever is written next, and asks it for little of that."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from hypothesis import given, settings

from pitcrew.bench import correcting
from pitcrew.bench.remembering import Question, Remembered
from pitcrew.bench.standing import view
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book
from pitcrew.readiness.judge import judge
from pitcrew.robot.records import Entry, Evidence, Fact
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop
from tests.oracle.histories import Case, cases, random_book, thinned_cases
from tests.readiness.small import CHECK


class Counting:
    """Evidence that counts what it is asked, and fails to read when told to."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        self.asked = 0
        self.broken = False

    def __getattr__(self, name: str) -> Any:
        answer = getattr(self.evidence, name)

        def ask(*given: Any) -> Any:
            self.asked += 1
            found = answer(*given)
            return self._read(found) if isinstance(found, Iterator) else found

        return ask

    def _read(self, run: Iterator[Fact]) -> Iterator[Fact]:
        for fact in run:
            if self.broken:
                raise BookError("it cannot be read.", "Try again.", "book")
            yield fact


def asked_again(evidence: Evidence, asked: Question) -> list[Fact]:
    """The answer to a question, from the book."""
    about = str(asked.about)
    runs: dict[str, Iterator[Fact]] = {
        "facts": evidence.facts(asked.kind, about, asked.bound),
        "placed": evidence.placed(about, asked.bound),
        "at place": evidence.at_place(asked.kind, about),
        "hits": evidence.hits(about, asked.least, asked.bound),
        "ends after": evidence.fights_ended(about, asked.bound or 0),
        "last ends": evidence.last_fights_ended(about),
    }
    return list(runs[asked.asks])


def check_kept(remembered: Remembered, evidence: Evidence) -> int:
    """Every answer kept is the book's; how many were kept."""
    kept = remembered._kept
    for asked, run in list(kept.runs.items()):
        assert list(run) == asked_again(evidence, asked), asked
    for act, facts in kept.acts.items():
        assert facts == evidence.act(act)
    for name, fact in kept.lines.items():
        assert fact == evidence.speaking(name)
    for (kind, robot), defined in kept.defined.items():
        assert defined == evidence.definitions(kind, robot)
    return len(kept.runs)


def first_acts(entries: Sequence[Entry]) -> int:
    """How many entries define the robot at first."""
    return next((place for place, entry in enumerate(entries) if entry.act != entries[0].act), len(entries))


def carried_through(case: Case, every: int) -> int:
    """Judge a history entry by entry on what is remembered; how many answers were kept all in all."""
    kept = 0
    with Book.memory(FixedClock(case.now), SeededIds(1)) as book:
        book.insert_raw(case.entries[: first_acts(case.entries)], checked=True)
        remembered, seen = Remembered(book.evidence()), len(case.entries[: first_acts(case.entries)])
        for place in range(seen, len(case.entries), every):
            book.insert_raw(case.entries[place : place + every], checked=True)
            fresh, new = book.evidence(), book.entries_after(seen)
            remembered, seen = remembered.after(fresh, new), new[-1].n
            kept += check_kept(remembered, fresh)
            now = max(entry.tick for entry in case.entries[: place + every])
            said = judge(remembered, case.robot, now, case.checklists)
            assert said == judge(book.evidence(), case.robot, now, case.checklists)
            for entry in new:
                for name in (entry.id, entry.replaces, entry.detail.get("because")):
                    assert name is None or remembered.speaking(name) == fresh.speaking(name)
                assert remembered.act(entry.act) == fresh.act(entry.act)
    return kept


def test_a_history_carried_entry_by_entry_is_judged_as_the_book_is_and_most_answers_are_kept() -> None:
    """Held against keeping nothing at all, which would be right and of no use."""
    kept = [carried_through(random_book(seed, size=12), every=1) for seed in range(4)]
    assert all(answers > 1000 for answers in kept)


@settings(max_examples=5, deadline=None)
@given(thinned_cases(25))
def test_a_history_carried_some_entries_at_a_time_is_judged_as_the_book_is(case: Case) -> None:
    carried_through(case, every=5)


@pytest.mark.soak
@settings(max_examples=600, deadline=None)
@given(cases(40))
def test_long_histories_carried_entry_by_entry(case: Case) -> None:
    carried_through(case, every=1)


def looked_up(remembered: Remembered, demo: DemoDay) -> Remembered:
    view(remembered, demo.robots[HEAVY], demo.now, demo.checklists)
    return remembered


def test_judging_again_asks_nothing_anew(demo: DemoDay) -> None:
    counting = Counting(demo.book.evidence())
    remembered = looked_up(Remembered(counting), demo)
    first, counting.asked = counting.asked, 0
    looked_up(remembered, demo)
    assert first > 500
    assert counting.asked == 0


def test_an_entry_makes_little_be_asked_anew() -> None:
    demo = DemoDay()
    with demo.book as book:
        for line, most in (("shaft cap L 25 Nm", 8), ("hit DR hard", 40), ("over DR, UL", 60)):
            remembered = looked_up(Remembered(book.evidence()), demo)
            new = book.append(demo.typed(line))
            counting = Counting(book.evidence())
            after = remembered.after(counting, new)
            known, counting.asked = counting.asked, 0
            looked_up(after, demo)
            assert known <= 2 * len(new), line
            assert 0 < counting.asked <= most, line


def test_a_run_half_read_goes_on_after_entries_that_are_not_of_it(shop: Shop) -> None:
    shop.ready()
    for _ in range(9):
        shop.put("looked_at", "brg1")
    remembered = Remembered(shop.book.evidence())
    run = remembered.facts("looked_at", "brg1")
    newest = next(run)
    entry = shop.put("looked_at", "mot1")
    after = remembered.after(shop.book.evidence(), [entry])
    assert list(after.facts("looked_at", "brg1")) == [newest, *run]
    entry = shop.put("looked_at", "brg1")
    assert next(after.after(shop.book.evidence(), [entry]).facts("looked_at", "brg1")).id == entry.id


def test_a_finding_that_comes_after_its_hit_makes_the_hit_count(shop: Shop) -> None:
    shop.ready()
    hit = shop.put("hit", "W", {"source": "no hit seen", "spreads": False, "because": "seen later"}, grade=2)
    remembered = Remembered(shop.book.evidence())
    assert list(remembered.hits("W", 1)) == []
    found = shop.put("finding", "rotor1", {"what": "bent", "position": "rotor"}, place="rotor", id="seen later")
    after = remembered.after(shop.book.evidence(), [found])
    assert [fact.id for fact in after.hits("W", 1)] == [hit.id]
    assert after.speaking(hit.id) is not None
    gone = shop.do(correcting.withdraw, found.id)
    after = after.after(shop.book.evidence(), gone)
    assert list(after.hits("W", 1)) == []
    assert after.speaking(hit.id) is None


def test_a_robot_is_read_once_until_something_is_defined(shop: Shop) -> None:
    remembered = Remembered(shop.book.evidence())
    defined = remembered.gathered("R")
    entry = shop.put("looked_at", "brg1")
    after = remembered.after(shop.book.evidence(), [entry])
    assert after.gathered("R") is defined
    entry = shop.put("zone", "N", {"name": "new", "passes_to": []})
    after = after.after(shop.book.evidence(), [entry])
    found = after.gathered("R")
    assert found is not None
    assert "N" in found.zones
    assert remembered.gathered("nobody") is None


def test_a_book_that_could_not_be_read_is_asked_once_more(shop: Shop) -> None:
    shop.ready()
    for _ in range(3):
        shop.put("looked_at", "brg1")
    counting = Counting(shop.book.evidence())
    remembered = Remembered(counting)
    newest = next(remembered.facts("looked_at", "brg1"))
    counting.broken = True
    with pytest.raises(BookError):
        list(remembered.facts("looked_at", "brg1"))
    counting.broken = False
    found = list(remembered.facts("looked_at", "brg1"))
    assert found[0] == newest
    assert found == list(shop.book.evidence().facts("looked_at", "brg1"))


def test_the_views_of_the_shop_are_the_same(shop: Shop) -> None:
    shop.ready()
    now = shop.clock.now_ms()
    fresh = view(shop.book.evidence(), "R", now, [CHECK])
    again = view(Remembered(shop.book.evidence()), "R", now, [CHECK])
    assert (again.standing, again.jobs) == (fresh.standing, fresh.jobs)


@pytest.mark.benchmark
def test_how_long_judging_again_takes() -> None:
    demo = DemoDay()
    with demo.book as book:
        for line in ("shaft cap L 25 Nm", "hit DR hard"):
            took: dict[str, list[float]] = {"fresh": [], "again": [], "after": []}
            for _ in range(15):
                remembered = Remembered(book.evidence())
                for name in ("fresh", "again"):
                    start = time.process_time()
                    looked_up(remembered, demo)
                    took[name].append(1000 * (time.process_time() - start))
                new = book.append(demo.typed(line))
                start = time.process_time()
                looked_up(remembered.after(book.evidence(), new), demo)
                took["after"].append(1000 * (time.process_time() - start))
            print(line, {name: f"{min(times):.1f} ms" for name, times in took.items()})  # noqa: T201
