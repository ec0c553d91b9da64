"""A weight list: every line as a shop types it is a part at a place, or is refused in one sentence."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pitcrew.bench import correcting, fitting
from pitcrew.bench.weight_list import weight_line
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.kinds import problems
from pitcrew.robot.records import Entry
from tests.bench.begun import LIST, NOON, Fresh


@pytest.fixture
def fresh() -> Iterator[Fresh]:
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        yield Fresh(book, clock)


@pytest.mark.parametrize(
    ("line", "kg", "places"),
    [
        ("3.30 kg weapon shaft", 3.3, {"weapon shaft": ("W1", "weapon shaft", "weapon shaft")}),
        ("weapon shaft: 3,3 kg", 3.3, {"weapon shaft": ("W1", "weapon shaft", "weapon shaft")}),
        ("3.3 weapon shaft in fr", 3.3, {"weapon shaft": ("FR", "weapon shaft", "weapon shaft")}),
        ("2 lb 6.5 oz drive motor L", 1.09146, {"drive motor L": ("DL", "drive motor L", "drive motor")}),
        ("drive motor right 2 lb 6.5 oz", 1.09146, {"drive motor right": ("DR", "drive motor right", "drive motor")}),
        ("390 g pack Q1", 0.39, {"pack 1": ("BT", "pack Q1", "pack")}),
        ("0.2 widget in frame", 0.2, {"widget": ("FR", "widget", "other part")}),
        ("0.2 kg strut 12 in drive, left", 0.2, {"strut 12": ("DL", "strut 12", "other part")}),
        ("5 V regulator board 20 g in EL", 0.02, {"5 V regulator board": ("EL", "5 V regulator board", "valve")}),
        ("0 kg bolts", 0, {"bolts": ("FR", "bolts", "fasteners")}),
        (
            "3 x 0.22 kg bearings",
            0.66,
            {f"bearing {n}": ("W1", f"bearing {n}", "bearing") for n in (1, 2, 3)},
        ),
        ("2 x .31 uprights", 0.62, {f"upright {s}": (f"U{s}", f"upright {s}", "upright") for s in "LR"}),
        (
            "4 x 0.1 wheel",
            0.4,
            {
                f"wheel {n} {s}": (f"D{s}", f"wheel {n} {s}", "wheel")
                for n, s in ((1, "L"), (2, "L"), (3, "R"), (4, "R"))
            },
        ),
        ("0.1 kg loom in tube in EL", 0.1, {"loom in tube": ("EL", "loom in tube", "loom")}),
        ("shaft in W2 3.3 kg", 3.3, {"shaft": ("W2", "shaft", "weapon shaft")}),
        ("3 x 0.1 wheel R", 0.3, {f"wheel R {n}": ("DR", f"wheel R {n}", "wheel") for n in (1, 2, 3)}),
        ("2 x 0.39 pack", 0.78, {f"pack {n}": ("BT", f"pack {n}", "pack") for n in (1, 2)}),
    ],
)
def test_a_line_as_a_shop_types_it(fresh: Fresh, line: str, kg: float, places: dict[str, Any]) -> None:
    fresh.put(line)
    assert fresh.where() == places
    assert fresh.view().standing.weights[0].kg == pytest.approx(kg, abs=1e-5)


def test_a_spare_weighs_nothing_on_the_robot(fresh: Fresh) -> None:
    fresh.put("0.5 kg frame", "0.95 kg spare wheel", "spare pack 3 0.39 kg")
    assert fresh.view().standing.weights[0].kg == 0.5
    assert set(fresh.where()) == {"frame"}
    assert fresh.defs().pack_sets == {}


def test_masses_carry_the_step_of_the_crew_s_own_scale(fresh: Fresh) -> None:
    fresh.put("0.5 kg frame")
    # JCGM 100:2008, 4.3.7 and F.2.2.1: a step of 0.01 kg has a standard doubt of 0.01 / sqrt(12); here twice that.
    assert fresh.view().standing.weights[0].u_kg == pytest.approx(2 * 0.01 / 12**0.5)


@pytest.mark.parametrize(
    ("line", "says", "hint"),
    [
        ("", "nothing was typed", "3.30 kg weapon shaft"),
        ("weapon shaft", "no mass", "3.30 kg weapon shaft"),
        ("wheel 5", "no mass", "3.30 kg weapon shaft"),
        ("3.30 kg", "name is missing", "Type one"),
        ("3 mm washers", "3 mm is a length; what a part weighs is a mass", "kg"),
        ("22 N m shaft cap", "is a torque", "kg"),
        ("1,150 kg frame", "comma can be read two ways", "1.150"),
        ("0.2 widget", "no word says where 'widget' is", "in FR. There is: W1, W2"),
        ("0.2 widget in W9", "no zone called 'W9'", "There is: W1, W2"),
        ("0.9 kg wheel", "can be left or right", "in DL"),
        ("3 x 0.9 kg wheel", "can be left or right", "in DL"),
        ("0.9 kg wheel L R", "can be left or right", "in DL"),
        ("390 pack", "390 kg is more than the whole robot may weigh, 13.61 kg", "390 g"),
        ("1 kg frame 2 kg", "two masses here, 1 kg and 2 kg", "one part a line"),
        ("wheel 1 1/2 lb", "two ways: 1 1/2 lb or 1/2 lb", "mass first"),
        ("-1 kg bar", "weighs nothing or more", "3.30 kg"),
        ("0 x 1 kg bar", "0 alike", "1 to 24"),
        ("999 x 1 kg bar", "999 alike", "1 to 24"),
        ("0.95 kg x 4 wheel", "no name of a part", "4 x 0.22 kg"),
        ("4 x 0.95 kg x 4 wheel", "no name of a part", "4 x 0.22 kg"),
        ("1 kg 77", "no name of a part", "4 x 0.22 kg"),
        ("1 kg " + "bar " * 30, "too long for a name", "60"),
    ],
)
def test_a_wrong_line_says_why_and_changes_nothing(fresh: Fresh, line: str, says: str, hint: str) -> None:
    error = fresh.refused(line)
    assert says in error.message
    assert hint in error.hint


def test_a_name_is_given_once(fresh: Fresh) -> None:
    fresh.put("1 kg bar", "0.2 kg pack 1")
    assert "'Bar' already" in fresh.refused("2 kg Bar").message
    assert "'pack 1' already" in fresh.refused("0.2 kg pack 1").message
    fresh.put("0.2 kg pack 2", "1.1 kg spare bar 2")
    assert set(fresh.where()) == {"bar", "pack 1", "pack 2"}


def test_a_list_is_taken_whole_or_not_at_all(fresh: Fresh) -> None:
    error = fresh.refused("1 kg bar", "", "0.2 widget", "1 kg frame")
    assert error.place.startswith("line 3")
    error = fresh.refused("1 kg bar", "1 kg bar")
    assert error.place.startswith("line 2")
    assert "already" in error.message
    assert fresh.put() == ()
    fresh.put("1 kg bar", "", "0.2 widget in FR", "1 kg frame")
    assert set(fresh.where()) == {"bar", "widget", "frame"}


def test_a_list_makes_what_its_lines_make(fresh: Fresh) -> None:
    lines = [f"{besides}{figure} {name}" for figure, name, besides in LIST]
    fresh.put(*lines)
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        other = Fresh(book, clock)
        for line in lines:
            other.put(line)
        assert other.where() == fresh.where()
        assert other.view().standing.weights[0].kg == fresh.view().standing.weights[0].kg
        assert sorted(k.name for k in other.defs().kinds.values()) == sorted(
            k.name for k in fresh.defs().kinds.values()
        )


def packs_of(fresh: Fresh) -> list[list[str]]:
    case = fresh.view().case
    return [
        [part.name for part in map(case.part, item.packs) if part is not None]
        for item in fresh.defs().pack_sets.values()
    ]


def test_packs_belong_to_one_set(fresh: Fresh) -> None:
    fresh.put("0.39 kg pack Q1")
    assert packs_of(fresh) == [["pack Q1"]]
    fresh.put("0.39 kg pack Q2", "2 x 0.1 kg battery")
    assert packs_of(fresh) == [["pack Q1", "pack Q2", "battery 1", "battery 2"]]
    assert [place.role for place in fresh.defs().positions.values()] == ["pack"] * 4


def test_a_set_taken_back_is_made_again_of_the_packs_that_sit_there(fresh: Fresh) -> None:
    made = next(entry for entry in fresh.put("0.39 kg pack Q1") if entry.kind == "pack_set")
    fresh.book.append(correcting.withdraw_act(fresh.desk(), made.act))
    assert packs_of(fresh) == []
    fresh.put("0.39 kg pack Q2")
    assert packs_of(fresh) == [["pack Q1", "pack Q2"]]


def test_the_first_pack_line_taken_back_leaves_the_set(fresh: Fresh) -> None:
    part = next(entry for entry in fresh.put("3.9 kg pack Q1") if entry.kind == "part")
    before = set(fresh.defs().pack_sets)
    fresh.book.append(correcting.withdraw_act(fresh.desk(), part.act))
    fresh.put("0.39 kg pack Q1")
    assert packs_of(fresh) == [["pack Q1"]]
    assert set(fresh.defs().pack_sets) == before


def test_where_there_are_several_sets_the_crew_says_which_a_pack_is_of(fresh: Fresh) -> None:
    fresh.put("0.39 kg pack Q1")
    desk = fresh.desk()
    fresh.book.append([desk.draft("pack_set", desk.mint(), {"name": "set 2", "packs": []})])
    fresh.put("0.39 kg pack Q2")
    assert packs_of(fresh) == [["pack Q1"], []]


def test_the_official_scale_is_not_the_crew_s(fresh: Fresh) -> None:
    event = next(iter(fresh.book.evidence().definitions("event", None)))
    official = next(iter(fresh.defs().instruments))
    fresh.book.append(correcting.correct(fresh.desk(), event.id, {"official_scale": official}))
    (part,) = (entry for entry in fresh.put("0.5 kg frame") if entry.kind == "part")
    assert "mass_instrument" not in part.detail
    desk = fresh.desk()
    own = {"name": "KIT", "unit": "kg", "resolution": 0.005}
    fresh.book.append([desk.draft("instrument", "kit", own)._replace(robot=None)])
    (part,) = (entry for entry in fresh.put("0.5 kg frame 2") if entry.kind == "part")
    assert part.detail["mass_instrument"] == "kit"


def test_what_the_book_begins_with_was_not_fitted_as_new(fresh: Fresh) -> None:
    (fitted,) = (entry for entry in fresh.put("0.2 kg bearing") if entry.kind == "fitted")
    assert fitted.detail["new"] is False


def test_a_side_the_robot_does_not_have_is_not_taken_for_the_other(fresh: Fresh) -> None:
    right = next(zone.id for zone in fresh.defs().zones.values() if zone.name == "DR")
    fact = next(fresh.book.evidence().facts("zone", right))
    fresh.book.append(correcting.withdraw(fresh.desk(), fact.id))
    assert "no word says where 'wheel R' is" in fresh.refused("0.9 kg wheel R").message


def test_a_pack_line_taken_back_leaves_a_set_that_blocks_until_the_pack_is_typed_again(fresh: Fresh) -> None:
    fresh.put("0.39 kg pack Q1", "1 kg frame")
    wrong = fresh.put("3.9 kg pack Q2")
    fresh.book.append(fitting.choose_packs(fresh.desk(), next(iter(fresh.defs().pack_sets))))
    fresh.book.append(correcting.withdraw_act(fresh.desk(), wrong[0].act))
    assert fresh.view().standing.weights[0].verdict == "unchecked"
    fresh.put("0.38 kg pack Q2")
    assert packs_of(fresh) == [["pack Q1", "pack Q2"]]
    assert fresh.view().standing.weights[0].kg == pytest.approx(1.77)


def test_a_line_taken_back_leaves_the_sort_to_those_after_it(fresh: Fresh) -> None:
    first = fresh.put("0.2 kg bearing 1")
    fresh.put("0.2 kg bearing 2")
    part = next(entry for entry in first if entry.kind == "part")
    fresh.book.append(correcting.withdraw_act(fresh.desk(), part.act))
    assert fresh.where() == {"bearing 2": ("W1", "bearing 2", "bearing")}


def stamped(draft: Draft) -> Entry:
    """A draft as it would be written."""
    kept = {name: getattr(draft, name) for name in Draft._fields if name not in ("id", "act", "happened")}
    return Entry(id="id", act="act", tick=NOON, happened=NOON, writer="w", **kept)


TYPED = """3.30 0,5 1/2 -1 4 x 2 kg g lb oz mm N m V 6.5 in W1 DL FR L R left spare weapon drive motor shaft wheels pack
batteries bearing ESC armour front widget ( ) , : ; 12345678901 1,150 1e9"""
WORDS = st.sampled_from([*TYPED.split(), "\u00d7", "\x1b[31m", "\u202e", "\ud800", "\t"])


@pytest.fixture(scope="module")
def steady() -> Iterator[Fresh]:
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        fresh = Fresh(book, clock)
        fresh.put("0.1 kg pack", "0.2 kg motor L", "0.2 kg receiver")
        yield fresh


@given(st.one_of(st.text(max_size=80), st.lists(WORDS, max_size=9).map(" ".join)))
@example("4 x 1 kg ESC")
@example("24 x 1/2 lb wheel")
@example("0.5 in FR in FR")
@example("in in in")
def test_any_line_is_taken_or_refused_in_a_sentence(steady: Fresh, text: str) -> None:
    try:
        drafts = weight_line(steady.desk(), text)
    except EntryError as error:
        assert error.message
        assert error.hint
        return
    masses = [draft.detail["mass_kg"] for draft in drafts if draft.kind == "part"]
    assert masses == [masses[0]] * len(masses)
    assert [problem for draft in drafts for problem in problems(stamped(draft))] == []
