"""The oracle held against cases worked out by hand: packs matched, charged, cool, equal, and full by the call.

Charges are at 8 A: 4800 C take ten minutes.
"""

from __future__ import annotations

from typing import Any

import pytest

from .pen import MINUTE, NOON, Pen

KEY = "packs:R"


def called(call: float | None) -> dict[str, Any]:
    """The call of a fight, minutes after noon, where it is known."""
    return {} if call is None else {"call_at": NOON + round(call * MINUTE)}


def tray(*packs: str, call: float | None = None, **charging: Any) -> Pen:
    """The robot entered at noon with these packs chosen and in their places, judged by these figures."""
    pen = Pen()
    pen.kind("cell", pack=True, charging=charging)
    for pack in packs:
        pen.part(pack, "cell")
        pen("position", f"place {pack}", name=pack, zone="back", role="pack")
    pen("pack_set", "all", name="all", packs=list(packs))
    pen.fight("one", 0, **called(call))
    pen("chosen", "R", 0, pack_set="all")
    for pack in packs:
        pen("fitted", pack, 0, place=f"place {pack}")
    return pen


def used(*packs: str, call: float | None = None, coulomb: float | None = 4800, **charging: Any) -> Pen:
    """Packs full at minute 1, in a fight until 3, read at 5 (coulomb is what it took) and chosen for the next at 6."""
    pen = tray(*packs, **charging)
    for pack in packs:
        pen("charge_ended", pack, 1, to="full")
    pen("fight_ended", "one", 3)
    for pack in packs if coulomb is not None else ():
        pen("pack_read", pack, 5, used_coulomb=coulomb)
    pen.fight("two", 6, **called(call))
    pen("chosen", "R", 6, pack_set="all")
    return pen


def test_a_kind_that_says_nothing_of_charging_asks_nothing() -> None:
    pen = tray("a", "b")
    pen("pack_read", "a", 1, lowest_v=3.0, temperature_k=400, ohm_per_cell=1.0)
    assert pen.word(KEY) == "pass"


# Matched.


@pytest.mark.parametrize(
    ("read", "word"),
    [
        ({}, "unchecked"),
        ({"ohm_per_cell": 0.0025}, "pass"),
        ({"ohm_per_cell": 0.00251}, "fail"),
        ({"cells_ohm": [0.002, 0.0025]}, "pass"),
        ({"cells_ohm": [0.0026, 0.002]}, "fail"),
        ({"cells_ohm": [0.0021], "ohm_per_cell": 0.009}, "pass"),
        ({"lowest_v": 4.2}, "unchecked"),
    ],
)
def test_packs_of_a_set_are_matched_within_their_spread(read: dict[str, Any], word: str) -> None:
    pen = tray("a", "b", spread_ohm=0.0005)
    pen.part("a", "cell", ohm_per_cell=0.002)
    if read:
        pen("pack_read", "b", 1, **read)
    assert pen.word(KEY) == word


def test_what_was_read_last_counts_before_what_a_pack_came_with_and_one_alone_is_matched() -> None:
    pen = tray("a", spread_ohm=0.0)
    assert pen.word(KEY) == "unchecked"
    pen.part("a", "cell", ohm_per_cell=0.002)
    assert pen.word(KEY) == "pass"
    pair = tray("a", "b", spread_ohm=0.0005)
    for pack in ("a", "b"):
        pair.part(pack, "cell", ohm_per_cell=0.002)
    assert pair.word(KEY) == "pass"
    pair("pack_read", "b", 1, ohm_per_cell=0.004)
    assert pair.word(KEY) == "fail"
    pair("pack_read", "b", 2, cells_ohm=[0.0022, 0.0021])
    assert pair.word(KEY) == "pass"


def test_one_without_resistance_does_not_hide_two_that_do_not_match_and_the_smaller_spread_counts() -> None:
    pen = tray("a", "b", "c", spread_ohm=0.0005)
    pen.part("a", "cell", ohm_per_cell=0.002)
    pen.part("b", "cell", ohm_per_cell=0.0024)
    assert pen.word(KEY) == "unchecked"
    pen.kind("narrow", pack=True, charging={"spread_ohm": 0.0003})
    pen.part("b", "narrow", ohm_per_cell=0.0024)
    assert pen.word(KEY) == "fail"


# Charged.


@pytest.mark.parametrize(
    ("kind", "fields", "word"),
    [
        ("pack_read", {"lowest_v": 4.15}, "pass"),
        ("pack_read", {"lowest_v": 4.1499}, "due"),
        ("pack_read", {"cells_v": [4.2, 4.15]}, "pass"),
        ("pack_read", {"cells_v": [4.2, 4.14], "lowest_v": 4.2}, "due"),
        ("pack_read", {"temperature_k": 295}, "unchecked"),
        ("charge_ended", {"to": "full"}, "pass"),
        ("charge_ended", {"to": "full", "lowest_v": 4.1}, "due"),
        ("charge_ended", {"to": "stopped"}, "due"),
        ("charge_ended", {"to": "stopped", "lowest_v": 4.2}, "pass"),
        ("charge_ended", {"to": "storage"}, "due"),
        ("charge_ended", {"to": "storage", "lowest_v": 4.2}, "pass"),
    ],
)
def test_what_says_that_a_pack_is_full(kind: str, fields: dict[str, Any], word: str) -> None:
    pen = tray("a", full_v=4.15)
    assert pen.word(KEY) == "unchecked"
    pen(kind, "a", 1, **fields)
    assert pen.word(KEY) == word


def test_a_fight_uses_up_a_charge_and_only_a_later_reading_or_charge_answers_for_it() -> None:
    pen = used("a", full_v=4.15)
    assert pen.word(KEY) == "due"
    pen("pack_read", "a", 7, temperature_k=295)
    assert pen.word(KEY) == "due"
    pen("pack_read", "a", 8, lowest_v=4.15)
    assert pen.word(KEY) == "pass"


@pytest.mark.parametrize(("minutes", "word"), [(2, "due"), (2.01, "pass")])
def test_another_laptop_must_read_it_later_by_more_than_the_clock_doubt(minutes: float, word: str) -> None:
    pen = used("a", full_v=4.15)
    pen("pack_read", "a", 3 + minutes, writer="b", lowest_v=4.2)
    assert pen.word(KEY) == word


def test_a_fight_of_another_robot_or_one_it_lay_on_the_bench_for_does_not_use_a_pack() -> None:
    pen = tray("a", full_v=4.15)
    pen("charge_ended", "a", 1, to="full")
    pen("fight_ended", "theirs", 3, robot="S")
    assert pen.word(KEY) == "pass"
    pen("removed", "a", 4, place="place a", to="spares")
    pen("fight_ended", "one", 5)
    pen.fight("two", 6)
    pen("chosen", "R", 6, pack_set="all")
    pen("fitted", "a", 7, place="place a")
    assert pen.word(KEY) == "pass"


@pytest.mark.parametrize(
    ("end", "word"),
    [
        (None, "due"),
        (("charge_ended", {"to": "full"}), "pass"),
        (("charge_ended", {"to": "stopped"}), "due"),
        (("fitted", {"place": "place a"}), "pass"),
        (("pack_read", {"lowest_v": 4.2}), "due"),
    ],
)
def test_on_the_charger_until_it_is_taken_off_used_or_put_in(end: tuple[str, Any] | None, word: str) -> None:
    pen = tray("a", full_v=4.15)
    pen("pack_read", "a", 1, lowest_v=4.2)
    pen("charge_started", "a", 2)
    if end is not None:
        pen(end[0], "a", 3, **end[1])
    assert pen.word(KEY) == word


@pytest.mark.parametrize(
    ("fields", "coulomb", "call", "word"),
    [
        # From minute 7: ten minutes of charge and a tail of two, so full at 19.
        ({"to_put_back_coulomb": 4800}, None, 19, "due"),
        ({"to_put_back_coulomb": 4800}, None, 18.9, "fail"),
        ({"to_put_back_coulomb": 4800.0001}, None, 19, "due"),
        ({"to_put_back_coulomb": 4800.1}, None, 19, "fail"),
        ({"to_put_back_coulomb": 4800, "current_a": 16}, None, 14, "due"),
        ({"to_put_back_coulomb": 4800, "current_a": 4}, None, 19, "fail"),
        ({}, 4800, 18.9, "fail"),
        ({}, 4800, 19, "due"),
        ({}, None, 8, "due"),
        ({"to_put_back_coulomb": 4800}, None, None, "due"),
    ],
)
def test_a_charge_that_ends_after_the_call_is_too_late(
    fields: dict[str, Any], coulomb: float | None, call: float | None, word: str
) -> None:
    pen = used("a", call=call, coulomb=coulomb, full_v=4.15, current_a=8, tail_min=2)
    pen("charge_started", "a", 7, **fields)
    assert pen.word(KEY, 8) == word


def test_what_was_used_before_the_last_fight_says_nothing_of_this_charge() -> None:
    pen = used("a", coulomb=4800, full_v=4.15, current_a=8)
    pen("fight_ended", "two", 8)
    pen.fight("three", 9, call_at=NOON + 10 * MINUTE)
    pen("chosen", "R", 9, pack_set="all")
    pen("charge_started", "a", 9)
    assert pen.word(KEY, 9) == "due"
    pen("pack_read", "a", 9, used_coulomb=4800)
    assert pen.word(KEY, 9) == "fail"


@pytest.mark.parametrize(
    ("now", "fields", "word"),
    [
        # Ten minutes from now; from minute 15 on where it is warm till then.
        (8, {}, "due"),
        (10, {}, "due"),
        (10.1, {}, "fail"),
        (8, {"temperature_k": 303}, "due"),
        (8, {"temperature_k": 303.1}, "fail"),
    ],
)
def test_one_not_yet_on_the_charger_may_be_too_late_already(now: float, fields: dict[str, Any], word: str) -> None:
    pen = used("a", call=20, full_v=4.15, current_a=8, cool_k=303, cool_min=10)
    if fields:
        pen("pack_read", "a", 5, **fields)
    assert pen.word(KEY, now) == word


@pytest.mark.parametrize(
    ("counts_from", "left", "now", "word"),
    [
        ("fight end", None, 13, "due"),
        ("fight end", None, 13.1, "fail"),
        ("leaving the arena", 4, 14, "due"),
        ("leaving the arena", 4, 14.1, "fail"),
        ("leaving the arena", None, 60, "due"),
    ],
)
def test_without_a_call_the_earliest_next_one_counts(
    counts_from: str, left: float | None, now: float, word: str
) -> None:
    pen = used("a", full_v=4.15, current_a=8)
    pen("event", "E", name="event", gap_min=20, gap_counts_from=counts_from)
    if left is not None:
        pen("fight_left", "one", left)
    assert pen.word(KEY, now) == word


# Cool, and equal.


def test_a_warm_pack_is_due_until_it_had_time_to_cool_or_is_read_cooler() -> None:
    pen = tray("a", cool_k=303, cool_min=15)
    pen("pack_read", "a", 10, temperature_k=303)
    assert pen.word(KEY, 11) == "pass"
    pen("charge_started", "a", 20, temperature_k=304)
    assert pen.word(KEY, 34.9) == "due"
    assert pen.word(KEY, 35) == "pass"
    pen("pack_read", "a", 21, temperature_k=300)
    assert pen.word(KEY, 22) == "pass"


def test_packs_are_equal_in_volts_before_they_are_put_together() -> None:
    pen = tray("a", "b", equal_v=0.05)
    pen("pack_read", "a", 1, lowest_v=4.2)
    assert pen.word(KEY) == "pass"
    pen("pack_read", "b", 2, lowest_v=4.15)
    assert pen.word(KEY) == "pass"
    pen("pack_read", "b", 3, cells_v=[4.2, 4.14])
    assert pen.word(KEY) == "fail"
    pen("charge_ended", "b", 4, to="full")
    assert pen.word(KEY) == "fail"
    pen.kind("cell", pack=True, charging={"equal_v": 0.05, "full_v": 4.15})
    assert pen.word(KEY) == "pass"


# What is asked first.


def test_what_is_asked_first_hides_the_charge_and_a_pack_that_is_not_in_does_not() -> None:
    pen = tray("a", full_v=4.15, spread_ohm=0.0005)
    pen("removed", "a", 1, place="place a", to="spares")
    assert pen.word(KEY) == "due"
    pen("chosen", "R", 2, pack_set="a set nobody knows")
    assert pen.word(KEY) == "due"
    pair = tray("a", "b", spread_ohm=0.0005)
    pair.part("a", "cell", ohm_per_cell=0.002)
    pair.part("b", "cell", ohm_per_cell=0.004)
    pair("removed", "a", 1, place="place a", to="spares")
    assert pair.word(KEY) == "fail"
    pair("fight_ended", "one", 2)
    pair.fight("two", 3)
    assert pair.word(KEY) == "due"
