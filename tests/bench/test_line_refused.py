"""Typed lines that cannot be taken: what is said, that it names what to do, and that nothing is written."""

from __future__ import annotations

import re
import tracemalloc

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pitcrew.errors import EntryError, NotationError, PitcrewError
from pitcrew.logbook.writing import Draft
from tests.bench.demo_day import HEAVY, SMALL, DemoDay

NO_FIGURE = "there is no figure here that can be read"
HIT = "a hit has a zone and a grade"
NUMBER = "name the line by its number"

REFUSED: list[tuple[str, str, str]] = [
    ("", "nothing was typed", "Type a reading"),
    (" \t \u00a0", "nothing was typed", "Type a reading"),
    ("\x00\x1b\u202e", "nothing was typed", "Type a reading"),
    ("hello", NO_FIGURE, "Type the figure and the name"),
    ("262.05", NO_FIGURE, "Type the figure and the name"),
    ("with ROD", NO_FIGURE, "Type the figure and the name"),
    ("262.05 with ROD", NO_FIGURE, "Type the figure and the name"),
    ("thickness 8 adapter plate L", NO_FIGURE, "Type the figure and the name"),
    ("1,000 mm gap between uprights", NO_FIGURE, "Type the figure and the name"),
    ("1.170.5 kg P9", NO_FIGURE, "Type the figure and the name"),
    ("1e3 mm weapon float", NO_FIGURE, "Type the figure and the name"),
    ("hubs R 22 N m with", NO_FIGURE, "Type the figure and the name"),
    ("262.05 gap", "fits more than one thing to read: bottom gap L, bottom gap R, gap between uprights", "Type more"),
    ("hubs 22 N m", "fits more than one thing to read: hubs L, hubs R", "Type more"),
    ("wheel 3 1/2 lb", "fits more than one thing to read: wheel 1, wheel 2, wheel 3, wheel 4", "Type more"),
    ("tread wheel 6 2", "there is no thing to read called 'tread wheel 6'", "There is:"),
    ("3 mil weapon float", "there is no thing to read called 'mil weapon float'", "There is:"),
    ("95 in-lb gap between uprights", "95 in-lb is a torque; gap between uprights is a length", "Write it like"),
    ("262.05 mm hubs R", "262.05 mm is a length; hubs R is a torque", "Write it like"),
    ("46 deg C P1", "46 deg C is a temperature; P1 is a mass", "Write it like"),
    ("5 kg hubs R", "5 kg is a mass; hubs R is a torque", "Write it like"),
    ("2:15 hubs R", "2:15 is a duration; hubs R is a torque", "Write it like"),
    ("12 mm wheel 5", "12 mm is a length; wheel 5 is a mass", "Write it like"),
    ("B 16.8 V with SHS", "16.8 V is a voltage; B is a mass", "Write it like"),
    ("113 kg B", "a weighing needs its scale", "Say which"),
    ("hubs R 22 N m 4-1", "the joint has fasteners 1 to 8", "Name which ones"),
    ("hubs R 22 N m 0-3", "the joint has fasteners 1 to 8", "Name which ones"),
    ("hubs R 22 N m 1-9", "the joint has fasteners 1 to 8", "Name which ones"),
    ("hubs R 22 N m with ZZZ", "there is no instrument called 'ZZZ'", "There is: CAL"),
    ("hubs R 22 N m with C", "'C' fits more than one instrument: CAL, CEL", "Type more"),
    ("hubs R 0 N m", "a torque is above zero", "Type what the wrench was set to"),
    ("hubs R -5 N m", "a torque is above zero", "Type what the wrench was set to"),
    ("P9 -1 kg", "value_kg: takes zero or more", "Nothing was written"),
    ("0 kg B with SHS", "value_kg: takes a number above zero", "Nothing was written"),
    ("in", "say what goes in", "in wheel 5 at wheel 3"),
    ("in wheel 5", "say where it goes", "Type: in wheel 5 at wheel 3"),
    ("in wheel 5 at", "say where it goes", "Type: in wheel 5 at wheel 3"),
    ("in at wheel 3", "say what goes in", "in wheel 5 at wheel 3"),
    ("in M5x14 screws", "say where it goes", "It can go to: motor screws L, motor screws R"),
    ("change to", "say to which configuration", "Type: change to D"),
    ("change to Z", "there is no configuration called 'Z'", "There is: A, B"),
    ("open hubs R 9", "the joint has fasteners 1 to 8", "Name which ones"),
    ("in wheel at wheel 3", "fits more than one part: wheel 1, wheel 2, wheel 3, wheel 4", "Type more"),
    ("in wheel 5 at hub", "fits more than one place: hub 1 (front L), hub 2 (rear L)", "Type more"),
    ("in wheel 5 at nowhere", "there is no place called 'nowhere'", "There is: frame rails"),
    ("in bar 1 at weapon", "there is no part called 'bar 1'", "There is: frame rails"),
    ("out", "there is no place called ''", "There is:"),
    ("out nowhere", "there is no place called 'nowhere'", "There is:"),
    ("out wheel 3 to the bin", "'the bin' is not where a part goes", "Say spares, quarantine, scrapped or lost"),
    ("out bumper block", "nothing sits there", "Name a place that holds a part"),
    ("out to spares", "there is no place called ''", "There is:"),
    ("withdraw", NUMBER, "Type: withdraw 131"),
    ("withdraw 0", NUMBER, "Type: withdraw 131"),
    ("withdraw abc", NUMBER, "Type: withdraw 131"),
    ("withdraw 99999", NUMBER, "Type: withdraw 131"),
    ("withdraw -1", NUMBER, "Type: withdraw 131"),
    ("withdraw \u0661\u0663", NUMBER, "Type: withdraw 131"),
    ("hit", HIT, "Type: hit DR solid"),
    ("hit hard", HIT, "Type: hit DR solid"),
    ("hit DR", HIT, "Type: hit DR solid"),
    ("hit not sure", HIT, "Type: hit DR solid"),
    ("hit D hard", "'D' fits more than one zone: DL, DR", "Type more"),
    ("hit ZZ hard", "there is no zone called 'ZZ'", "There is: W1, W2"),
    ("hit DR not", "there is no zone called 'not'", "There is: W1, W2"),
    ("over ZZ", "there is no zone called 'ZZ'", "There is: W1, W2"),
    ("look", "there is no place called ''", "There is:"),
    ("look bumper block", "nothing sits there", "Name a place that holds a part"),
    ("marks", "there is no joint called ''", "There is: upright L"),
    ("marks hubs", "'hubs' fits more than one joint: hubs L, hubs R", "Type more"),
    ("open nothing", "there is no joint called 'nothing'", "There is: upright L"),
]


def taken(demo: DemoDay, text: str, robot: str = HEAVY) -> None:
    """Type a line and write down what it means, as the log line does."""
    demo.clock.set(demo.now)
    demo.book.append(demo.typed(text, robot))


@pytest.mark.parametrize(("text", "says", "hint"), REFUSED, ids=[ascii(row[0]) for row in REFUSED])
def test_a_line_that_is_refused(demo: DemoDay, text: str, says: str, hint: str) -> None:
    before = demo.book.highest_tick()
    with pytest.raises(EntryError) as caught:
        taken(demo, text)
    assert says in str(caught.value)
    assert hint in caught.value.hint
    assert demo.book.highest_tick() == before


def test_there_are_enough_lines() -> None:
    assert len({row[0] for row in REFUSED}) >= 40


def test_the_other_robots_things_are_not_meant(demo: DemoDay) -> None:
    with pytest.raises(EntryError, match="no joint called 'hubs R'"):
        demo.typed("open hubs R", SMALL)
    with pytest.raises(EntryError, match="no zone called 'DR'"):
        demo.typed("hit DR hard", SMALL)


def test_a_wrong_dimension_is_said_as_one(demo: DemoDay) -> None:
    with pytest.raises(NotationError):
        demo.typed("95 in-lb gap between uprights")


def test_a_line_withdrawn_is_not_withdrawn_again(demo: DemoDay) -> None:
    gone = next(e for e in demo.entries if e.kind == "withdrawn")
    target = next(e for e in demo.entries if e.id == gone.replaces)
    with pytest.raises(EntryError, match="was withdrawn"):
        demo.typed(f"withdraw {target.n}")


@pytest.mark.parametrize(
    ("text", "says", "hint"),
    [
        ("over", "say which zones", "Type: over DR"),
        ("note", "the note is empty", "Type: note"),
        ("motor R 4 1,2", "read in two ways: 4 on 1,2 or 1,2 on 4", "Type the unit"),
        ("motor R 4 1", "read in two ways", "Type the unit"),
        ("hubs R 22 N m 1,9", "the joint has fasteners 1 to 8", "Name which ones"),
        ("262.05 gap between uprights new", "gap between uprights takes no new", "it belongs to a torque"),
        ("gap between uprights 262.05 1-4", "takes no fasteners", "it belongs to a torque"),
        ("4.2 tread wheel 4 primer", "takes no primer", "it belongs to a torque"),
        ("113.04 kg B with SHS second EW", "B takes no second", "it belongs to a torque"),
        ("rear armour 20", "joint rear armour, part rear armour", "the unit: N m, kg"),
        ("hit XX hard", "no zone called 'XX'", "There is: W1"),
        ("hit xx hard", "no zone called 'xx'", "There is: W1"),
        ("4.2 tread wheel 9", "no thing to read called", "There is: tread wheel 1 (front L), tread wheel 2 (rear L)"),
        ("5 thickness 9.0 plate", "no thing to read called", "There is: adapter plate adapter plate L"),
    ],
)
def test_what_is_said_of_a_line_that_cannot_be_taken(demo: DemoDay, text: str, says: str, hint: str) -> None:
    with pytest.raises(EntryError) as caught:
        demo.typed(text)
    assert says in caught.value.message
    assert hint in caught.value.hint


@pytest.mark.parametrize(
    ("unit", "kinds"),
    [("N m", {"torqued"}), ("kg", {"weighed", "part_weighed"}), ("mm", {"reading", "direct"})],
)
def test_what_is_offered_is_of_the_dimension_asked_for(demo: DemoDay, unit: str, kinds: set[str]) -> None:
    with pytest.raises(EntryError) as caught:
        demo.typed(f"1 {unit} zzz")
    offered = caught.value.hint.removeprefix("There is: ").removesuffix(".").split(", ")
    scale = " with SHS" if unit == "kg" else ""
    assert {draft.kind for name in offered for draft in demo.typed(f"1 {unit} {name}{scale}")} <= kinds


def test_a_number_no_row_can_have_is_refused(demo: DemoDay) -> None:
    with pytest.raises(EntryError, match=NUMBER):
        demo.typed("withdraw 99999999999999999999")


def test_a_long_range_of_fasteners_costs_nothing(demo: DemoDay) -> None:
    tracemalloc.start()
    try:
        with pytest.raises(EntryError, match="more fasteners than a joint has"):
            demo.typed("hubs R 22 N m 1-300000")
        assert tracemalloc.get_traced_memory()[1] < 2_000_000
    finally:
        tracemalloc.stop()


def test_a_zone_named_twice_is_one_hit(demo: DemoDay) -> None:
    assert len(demo.typed("hit DR DR hard")) == 1


def test_candidates_can_be_told_apart(demo: DemoDay) -> None:
    with pytest.raises(EntryError) as caught:
        demo.typed("rear armour 20")
    listed = re.search(r"fits more than one thing to read: (.*?)\.$", caught.value.message)
    assert listed is not None
    candidates = listed[1].split(", ")
    assert len(set(candidates)) == len(candidates)


def test_every_refusal_is_plain_ascii(demo: DemoDay) -> None:
    said = []
    for text, _, _ in REFUSED:
        with pytest.raises(EntryError) as caught:
            taken(demo, text)
        said.append(caught.value.hint)
    assert [hint for hint in said if not hint.isascii()] == []


TYPED = """
    hit in out withdraw look over marks open note at to with second new primer no locker not sure pit hard given
    hubs R L W1 DR wheel 3 5 262.05 22 N m mm kg lb oz in-lb 1-4 1,3 5/8 10-5/16" B A SHS ROD CAL gap between
    uprights weapon float tread # #12 131 ( ) , . - + 0 1-0 1e9
"""
STRANGE = ["\u00bd", "\u0662", "\u202e", "\x1b", "\ud800", "\u00b5m", "\u221e"]
WORDS = st.sampled_from([*TYPED.split(), *STRANGE])
LINES = st.one_of(st.text(max_size=80), st.lists(WORDS, max_size=9).map(" ".join))


@settings(max_examples=150)
@given(text=LINES)
@example("hubs R 22 N m 1-")
@example("hubs R 22 N m \u0661-\u0664")
@example("\u00b2 gap")
@example("1/0 in gap between uprights")
@example("#" * 3000)
def test_any_text_at_all_is_a_line_or_a_plain_refusal_and_writes_nothing(demo: DemoDay, text: str) -> None:
    before = demo.book.highest_tick()
    try:
        found = demo.typed(text)
    except PitcrewError as error:
        assert error.message
    else:
        assert all(isinstance(draft, Draft) for draft in found)
        for draft in found:
            for value in draft.detail.values():
                assert not isinstance(value, str) or not set(value) & set("\x1b\u202e\x00\ud800")
    assert demo.book.highest_tick() == before
