"""Ids that rise, and clocks that say what they are told."""

from __future__ import annotations

import re
import time

from hypothesis import given
from hypothesis import strategies as st

from pitcrew.clock import ALPHABET, LAST_MS, FixedClock, Ids, RunningFrom, SeededIds, SystemClock, SystemIds, ulid

SHAPE = re.compile(r"[0-7][0-9A-HJKMNP-TV-Z]{25}")


def value(text: str) -> int:
    """The number a ULID spells, read by way of the digits that int() knows for base 32."""
    return int(text.translate(str.maketrans(ALPHABET, "0123456789abcdefghijklmnopqrstuv")), 32)


def test_alphabet_is_crockford_s() -> None:
    # Crockford's base 32 leaves out I, L, O and U: the letters taken for digits, and one for good manners.
    assert sorted(ALPHABET) == list(ALPHABET)
    assert set(ALPHABET) == set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") - set("ILOU")


def test_the_largest_ulid_is_the_one_the_specification_names() -> None:
    # ULID specification, "Overflow Errors when Parsing Base32 Strings" (from memory).
    assert ulid(LAST_MS, (1 << 80) - 1) == "7ZZZZZZZZZZZZZZZZZZZZZZZZZ"


def test_the_time_part_is_the_one_the_specification_shows() -> None:
    # ULID specification, usage: ulid(1469918176385) starts with 01ARYZ6S41 (from memory).
    assert ulid(1469918176385, 0)[:10] == "01ARYZ6S41"


@given(st.integers(0, LAST_MS), st.integers(0, (1 << 80) - 1))
def test_time_and_chance_can_be_read_back(ms: int, chance: int) -> None:
    text = ulid(ms, chance)
    assert SHAPE.fullmatch(text)
    assert divmod(value(text), 1 << 80) == (ms, chance)


@given(st.integers(), st.lists(st.integers(0, 5), min_size=2, max_size=40))
def test_ids_rise_whatever_the_clock_does(seed: int, moments: list[int]) -> None:
    ids = SeededIds(seed)
    minted = [ids.mint(ms) for ms in moments]
    assert sorted(set(minted)) == minted


def test_ids_rise_when_a_millisecond_has_run_out_of_chance() -> None:
    ids = Ids(lambda bits: (1 << bits) - 1)
    first, second = ids.mint(7), ids.mint(7)
    assert first < second
    assert value(second) >> 80 == 8


def test_one_seed_mints_the_same_ids_and_another_seed_others() -> None:
    assert SeededIds(1).mint(5) == SeededIds(1).mint(5)
    assert SeededIds(1).mint(5) != SeededIds(2).mint(5)


def test_nobody_else_mints_the_same() -> None:
    assert SystemIds().mint(5) != SystemIds().mint(5)


def test_the_system_clock_is_the_computer_s() -> None:
    before = time.time_ns() // 1_000_000
    now = SystemClock().now_ms()
    assert before <= now <= time.time_ns() // 1_000_000


def test_a_fixed_clock_stands_where_it_is_set() -> None:
    clock = FixedClock(5)
    assert clock.now_ms() == clock.now_ms() == 5
    clock.set(3)
    assert clock.now_ms() == 3


@given(st.integers(0, LAST_MS), st.integers(), st.lists(st.integers(0, 10**13), max_size=8))
def test_a_running_clock_goes_as_fast_as_time_and_never_back(start: int, made: int, steps: list[int]) -> None:
    elapsed = [made]
    clock = RunningFrom(start, lambda: elapsed[0])
    assert clock.now_ms() == start
    gone = 0
    for step in steps:
        before = clock.now_ms()
        gone += step
        elapsed[0] = made + gone
        assert clock.now_ms() == start + gone // 1_000_000 >= before


def test_a_running_clock_runs_by_itself() -> None:
    before = time.monotonic_ns()
    clock = RunningFrom(1000)
    made = time.monotonic_ns()
    while clock.now_ms() < 1003:
        assert time.monotonic_ns() - made < 10**10
    assert time.monotonic_ns() - before >= 3_000_000
