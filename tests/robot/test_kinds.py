"""Every kind of entry: what it takes, and each field named when it is missing or ill."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.robot.definition_kinds import DEFINITIONS
from pitcrew.robot.kinds import DEFINITION_KINDS, EVENTS, KINDS, problems
from pitcrew.robot.records import Entry
from tests.robot.filled import ILL, PIECE, TEXT, WHOLE

REQUIRED = [(kind.name, f.name) for kind in KINDS.values() for f in kind.fields if not f.optional]
FIELDS = [(kind.name, f.name) for kind in KINDS.values() for f in kind.fields]


def entry(kind: str, detail: dict[str, Any] | None = None, **columns: Any) -> Entry:
    row = KINDS[kind]
    given = {
        "place": "place" if row.place and not row.place.startswith("[") else None,
        "grade": 2 if row.grade else None,
        "replaces": "x" if kind == "withdrawn" else None,
        "happened": 5,
        "subject": "s",
        "robot": "R" if row.robot else None,
        **columns,
    }
    return Entry(
        "i",
        "a",
        10,
        given["happened"],
        "w",
        "MK",
        given["robot"],
        kind,
        given["subject"],
        given["place"],
        given["grade"],
        given["replaces"],
        WHOLE[kind] if detail is None else detail,
    )


def test_every_kind_and_field_is_here() -> None:
    assert set(WHOLE) == set(KINDS)
    assert len(KINDS) == len(DEFINITIONS) + len(EVENTS)
    feeler = {("direct", "goes_m"), ("direct", "stops_m")}
    assert {(kind, name) for kind, detail in WHOLE.items() for name in detail} == set(FIELDS) - feeler
    assert {kind.name for kind in DEFINITIONS} == DEFINITION_KINDS


# Kinds of which nothing alone is needed, but something is.
LEAST: dict[str, dict[str, Any]] = {"direct": {"goes_m": 0.0003}, "pack_read": {"used_coulomb": 0}}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_whole_entry_passes_and_so_does_the_least(kind: str) -> None:
    assert problems(entry(kind)) == ()
    least = {name: WHOLE[kind][name] for name in WHOLE[kind] if (kind, name) in REQUIRED}
    if kind in LEAST:
        least = LEAST[kind]
    assert problems(entry(kind, least)) == ()


@pytest.mark.parametrize("detail", [{}, {"note": "TEXT"}, {"lowest_v": None, "instrument": "CEL"}])
def test_a_pack_that_was_read_has_a_figure(detail: dict[str, Any]) -> None:
    assert problems(entry("pack_read", detail))[0].startswith("cells_v: a pack that was read has a figure")


@pytest.mark.parametrize(("kind", "name"), REQUIRED)
def test_a_missing_field_is_named(kind: str, name: str) -> None:
    without = {key: value for key, value in WHOLE[kind].items() if key != name}
    takes = next(f.takes for f in KINDS[kind].fields if f.name == name)
    sentence = f"{name}: missing, it takes {takes}"
    assert problems(entry(kind, without)) == (sentence,)
    assert problems(entry(kind, {**WHOLE[kind], name: None})) == (sentence,)


@pytest.mark.parametrize(("kind", "name"), FIELDS)
def test_an_ill_field_is_named(kind: str, name: str) -> None:
    takes = next(f.takes for f in KINDS[kind].fields if f.name == name)
    ills = ["thrown", 1, True, ""] if takes.startswith("one of: ") else ILL[takes]
    # A note and the text as typed may be empty.
    ills = [ill for ill in ills if ill != "" or name not in ("note", "typed")]
    for ill in ills:
        found = problems(entry(kind, {**WHOLE[kind], name: ill}))
        assert any(sentence.startswith(f"{name}: takes {takes}, got ") for sentence in found), ill


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_field_the_kind_has_not_is_named(kind: str) -> None:
    assert problems(entry(kind, {**WHOLE[kind], "colour": "red"})) == (f"colour: not a field of {kind}",)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_columns_are_held(kind: str) -> None:
    row = KINDS[kind]
    assert problems(entry(kind, subject="")) == ("subject: missing",)
    assert problems(entry(kind, happened=11)) == ("happened: later than it was written",)
    assert problems(entry(kind, happened=10)) == ()
    place = problems(entry(kind, place="x"))
    assert place == (() if row.place else (f"place: {kind} has none",))
    no_place = problems(entry(kind, place=None))
    wanted = row.place and not row.place.startswith("[")
    assert no_place == ((f"place: missing, it names the {row.place}",) if wanted else ())
    for grade in (0, 4, *((True, 1.0) if row.grade else ())):
        said = "grade: 1 light, 2 solid or 3 hard" if row.grade else f"grade: {kind} has none"
        assert problems(entry(kind, grade=grade)) == (said,)


def test_a_hit_has_a_grade_and_a_withdrawal_a_line() -> None:
    assert [problems(entry("hit", grade=grade)) for grade in (1, 2, 3)] == [(), (), ()]
    assert problems(entry("hit", grade=None)) == ("grade: 1 light, 2 solid or 3 hard",)
    assert problems(entry("withdrawn", replaces=None)) == ("replaces: missing, it names what is withdrawn",)


@pytest.mark.parametrize(
    ("detail", "well"),
    [
        ({"value_m": 0.0}, True),
        ({"goes_m": 0.0003}, True),
        ({"stops_m": 0.0003}, True),
        ({"goes_m": 0.0003, "stops_m": 0.0004}, True),
        ({}, False),
        ({"note": TEXT}, False),
        ({"value_m": 0.1, "goes_m": 0.1}, False),
        ({"value_m": 0.1, "stops_m": 0.1}, False),
    ],
)
def test_a_gap_is_a_figure_or_a_feeler(detail: dict[str, Any], well: bool) -> None:
    found = problems(entry("direct", detail))
    assert found == () if well else found[0].startswith("value_m: give either a figure")


@pytest.mark.parametrize("goes", [0.0004, 0.00040001, 1])
def test_a_feeler_that_goes_is_thinner_than_one_that_stops(goes: float) -> None:
    (sentence,) = problems(entry("direct", {"goes_m": goes, "stops_m": 0.0004}))
    assert sentence.startswith("goes_m: takes less than stops_m")
    assert problems(entry("direct", {"goes_m": 0.00039999, "stops_m": 0.0004})) == ()


@pytest.mark.parametrize("name", ["goes_m", "stops_m"])
@pytest.mark.parametrize("ill", [-0.001, "0.1", True, math.nan])
def test_a_feeler_is_zero_or_more(name: str, ill: Any) -> None:
    assert problems(entry("direct", {name: ill}))[0].startswith(f"{name}: takes zero or more, got ")


@pytest.mark.parametrize("kind", ["", "hits", "Hit", "\x1b[2J" * 40])
def test_a_kind_there_is_not_is_said(kind: str) -> None:
    (sentence,) = problems(entry("note")._replace(kind=kind))
    assert sentence.startswith("kind: ")
    assert sentence.isprintable()
    assert len(sentence) < 90


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    kind = draw(st.sampled_from(sorted(KINDS)))
    names = st.sampled_from([f.name for f in KINDS[kind].fields]) | st.text(max_size=6)
    detail = {**(WHOLE[kind] if draw(st.booleans()) else {}), **draw(st.dictionaries(names, JSON, max_size=5))}
    return entry(
        kind,
        detail,
        place=draw(st.none() | st.text(max_size=3)),
        grade=draw(st.none() | st.integers(-1, 5)),
        happened=draw(st.integers(0, 20)),
        subject=draw(st.text(max_size=3)),
    )


@given(item=entries())
def test_any_detail_is_judged_in_sentences_and_nothing_raises(item: Entry) -> None:
    found = problems(item)
    assert all(": " in sentence for sentence in found)
    known = {f.name for f in KINDS[item.kind].fields}
    for name, value in item.detail.items():
        if name not in known:
            assert f"{name}: not a field of {item.kind}" in found
        elif isinstance(value, float) and not math.isfinite(value):
            assert any(sentence.startswith(f"{name}: takes ") for sentence in found)


@pytest.mark.parametrize("great", [10**400, -(10**400), 10**5000, [10**5000]], ids=["great", "low", "untold", "listed"])
@pytest.mark.parametrize(("kind", "name"), [("reading", "value_m"), ("entered", "call_at"), ("joint", "count")])
def test_a_number_of_any_size_is_judged(kind: str, name: str, great: Any) -> None:
    (sentence,) = problems(entry(kind, {**WHOLE[kind], name: great}))
    assert sentence.startswith(f"{name}: takes ")
    assert len(sentence) < 120


@pytest.mark.parametrize("one", [True, 1.0])
@pytest.mark.parametrize(
    ("kind", "name"), [("joint", "recheck_from"), ("part_kind", "look_from"), ("stack", "recheck_from")]
)
def test_a_grade_is_a_whole_number(kind: str, name: str, one: Any) -> None:
    (sentence,) = problems(entry(kind, {**WHOLE[kind], name: one}))
    assert sentence.startswith(f"{name}: takes a grade from 1 to 4, got ")


@pytest.mark.parametrize("sign", [True, False, 0, 1.0, -1.0, 2, "1", None])
def test_a_sign_is_one_or_minus_one(sign: Any) -> None:
    (sentence,) = problems(entry("stack", {**WHOLE["stack"], "chains": [[{**PIECE, "sign": sign}]]}))
    assert sentence.startswith("chains: takes lists of signed pieces, got ")


SHARED = {"event", "crew", "instrument", "locker", "part_kind", "robot", "shift", "stock"}
EITHER = {"note", "stocked", "withdrawn"}


@pytest.mark.parametrize("kind", sorted(set(KINDS) - SHARED - EITHER))
def test_what_belongs_to_a_robot_names_it(kind: str) -> None:
    for none in (None, ""):
        assert problems(entry(kind, robot=none)) == (f"robot: missing, {kind} belongs to one",)


@pytest.mark.parametrize("kind", sorted(SHARED))
def test_what_the_whole_book_shares_names_no_robot(kind: str) -> None:
    assert problems(entry(kind, robot="R")) == (f"robot: {kind} has none",)


@pytest.mark.parametrize("kind", sorted(EITHER))
def test_what_may_be_of_a_robot_or_of_the_whole_book(kind: str) -> None:
    assert problems(entry(kind, robot=None)) == problems(entry(kind, robot="R")) == ()


@pytest.mark.parametrize(
    ("kind", "name", "ill"),
    [
        ("part_kind", "limits", [{"dimension": "tread", "low_m": 0.004, "colour": "red"}]),
        ("part_kind", "limits", [{"dimension": "tread", "low_m": True}]),
        ("stack", "chains", [[{**PIECE, "colour": "red"}]]),
        ("stack", "chains", [[{1: "red", "name": "gap", "sign": 1, "dimension": "gap"}]]),
        ("part", "dimensions", {"width": {"value_m": 0.1, "instrument": 5}}),
        ("part", "dimensions", {"width": {"value_m": 0.1, "instrument": ""}}),
        ("part", "dimensions", {"width": {"value_m": 0.1, "typed": 5}}),
        ("part", "dimensions", {"width": {"value_m": 0.1, "typed": None}}),
        ("part", "dimensions", {"width": {"value_m": 10**400}}),
    ],
)
def test_what_nests_is_held_too(kind: str, name: str, ill: Any) -> None:
    (sentence,) = problems(entry(kind, {**WHOLE[kind], name: ill}))
    assert sentence.startswith(f"{name}: takes ")
