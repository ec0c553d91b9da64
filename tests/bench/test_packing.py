"""Packs read, charged, out and in: what is written, what is refused, and what a typed line says of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import correcting, fighting, fitting, line, looking, meanings, mending, packing
from pitcrew.bench.desk import Desk
from pitcrew.bench.entry_words import entry_words, subject_name
from pitcrew.bench.pack_lines import charge_of_text, figures_of
from pitcrew.bench.packing import Charged, PackRead
from pitcrew.errors import EntryError, PitcrewError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.bench.shop import Said, Shop, said

CHARGING = {
    "cells": 4,
    "capacity_coulomb": 7920.0,
    "current_a": 2.2,
    "full_v": 4.15,
    "storage_v": 3.8,
    "spread_ohm": 0.0005,
    "equal_v": 0.05,
    "cool_k": 303.15,
    "cool_min": 15,
    "tail_min": 10,
}


@pytest.fixture
def shop() -> Shop:
    shop = Shop()
    kind = {"name": "pack", "look_from": 2, "look": "own", "pack": True, "charging": CHARGING}
    shop.book.append([Draft("part_kind", "pack", "PB", detail=kind)])
    return shop


def typed(desk: Desk, text: str) -> list[Draft]:
    return line.drafts(desk, text, lambda number: None)


def figures(entries: Sequence[Entry]) -> list[tuple[str, dict[str, Any]]]:
    return [(entry.subject, {k: v for k, v in entry.detail.items() if k != "typed"}) for entry in entries]


def words(shop: Shop, entry: Entry) -> str:
    return f"{entry_words(entry)} {subject_name(shop.book.evidence(), entry)}"


# --- Use cases


def test_one_reading_of_several_packs_is_an_entry_each_in_one_act(shop: Shop) -> None:
    read = PackRead(lowest_v=4.18, temperature_k=319.15, used_coulomb=18720.0)
    entries = shop.do(packing.read_packs, ["P1", "P2", "P1"], read)
    detail = {"lowest_v": 4.18, "temperature_k": 319.15, "used_coulomb": 18720.0}
    assert said(entries) == [Said("pack_read", "P1", detail), Said("pack_read", "P2", detail)]
    assert len({entry.act for entry in entries}) == 1
    assert words(shop, entries[0]) == "pack read 4.18 V, 46 deg C, 5.2 Ah used: P1"


def test_packs_come_out_with_how_warm_they_are_and_what_was_used(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    entries = shop.do(packing.packs_out, PackRead(temperature_k=318.15, used_coulomb=3600.0))
    kinds = [(entry.kind, entry.subject, entry.place) for entry in entries]
    assert kinds == [
        ("removed", "P1", "pack 1"),
        ("removed", "P2", "pack 2"),
        ("pack_read", "P1", None),
        ("pack_read", "P2", None),
    ]
    assert len({entry.act for entry in entries}) == 1


def test_packs_out_unread_are_only_out(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert [entry.kind for entry in shop.do(packing.packs_out)] == ["removed", "removed"]


def test_packs_go_in_with_their_lowest_cell(shop: Shop) -> None:
    entries = shop.do(packing.packs_in, "S2", PackRead(lowest_v=4.18))
    assert [(entry.kind, entry.subject) for entry in entries] == [
        ("fitted", "P3"),
        ("fitted", "P4"),
        ("pack_read", "P3"),
        ("pack_read", "P4"),
    ]


def test_a_charge_begins_and_ends(shop: Shop) -> None:
    (begun,) = shop.do(packing.on_charge, ["P1"], Charged(2.2, 4680.0, 303.15, " EW "))
    assert begun.detail == {
        "current_a": 2.2,
        "to_put_back_coulomb": 4680.0,
        "temperature_k": 303.15,
        "watched_by": "EW",
    }
    assert words(shop, begun) == "on charge 2.2 A, 1.3 Ah to put back, 30 deg C, watched by EW: P1"
    (ended,) = shop.do(packing.off_charge, ["P1"], "full", 4.19)
    assert words(shop, ended) == "off charge full, 4.19 V: P1"
    (unread,) = shop.do(packing.off_charge, ["P1"], "storage")
    assert said([unread]) == [Said("charge_ended", "P1", {"to": "storage"})]


def test_a_pack_put_away_or_found_dented_is_not_charged(shop: Shop) -> None:
    shop.do(packing.quarantined, ["P1"])
    shop.refused("P1 is in quarantine", packing.on_charge, ["P2", "P1"], Charged(2.2))
    shop.do(mending.found, "P2", "pack 2", "dented")
    shop.refused("P2 is dented, and that is not put right", packing.on_charge, ["P2"], Charged(2.2))


def test_a_pack_that_felt_a_hit_is_doubted_until_somebody_looked(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert packing.doubt_of(shop.desk().case(), ["P1", "P2"]) == ""
    shop.do(fighting.hit, ["D"], 3, in_fight=False)
    shop.do(packing.packs_out)
    assert packing.doubt_of(shop.desk().case(), ["P1", "P2", "P3"]) == "P1 P2 in the box that was hit: look first"
    # What was done all the same can be logged.
    assert len(shop.do(packing.on_charge, ["P1"], Charged(2.2))) == 1
    shop.do(looking.look_at, ["P1", "P2"])
    assert packing.doubt_of(shop.desk().case(), ["P1", "P2"]) == ""


def test_a_warm_pack_is_doubted_until_it_is_cool(shop: Shop) -> None:
    shop.do(packing.read_packs, ["P1"], PackRead(temperature_k=319.15))
    assert packing.doubt_of(shop.desk().case(), ["P1", "P2"]).startswith("warm: let them cool till ")
    shop.do(packing.read_packs, ["P1"], PackRead(temperature_k=302.15))
    assert packing.doubt_of(shop.desk().case(), ["P1"]) == ""


def test_packs_in_quarantine_are_out_of_their_places(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    entries = shop.do(packing.quarantined, ["P1", "P3"])
    assert said(entries) == [
        Said("removed", "P1", {"to": "quarantine"}, "pack 1"),
        Said("removed", "P3", {"to": "quarantine"}),
    ]


def test_figures_that_cannot_be_of_a_cell_are_refused(shop: Shop) -> None:
    shop.refused("nothing was read", packing.read_packs, ["P1"], PackRead())
    shop.refused("16.80 V is no single cell", packing.read_packs, ["P1"], PackRead(lowest_v=16.8))
    shop.refused("16.80 V is no single cell", packing.off_charge, ["P1"], "full", 16.8)
    shop.refused("P1 has 4 cells", packing.read_packs, ["P1"], PackRead(cells_v=(4.18, 4.19)))
    shop.refused("P1 has 4 cells", packing.read_packs, ["P1"], PackRead(cells_ohm=(0.004,) * 6))
    shop.refused("no pack was named", packing.read_packs, [], PackRead(lowest_v=4.1))
    shop.refused("no such part", packing.read_packs, ["P99"], PackRead(lowest_v=4.1))


# --- Lines

HEAT, USED = 319.15, 4680.0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("pack P1 4.18 V", [("P1", {"lowest_v": 4.18})]),
        ("pack p1 4.18V 4.1mOhm", [("P1", {"lowest_v": 4.18, "ohm_per_cell": 0.0041})]),
        ("pack P1 4.18 4.19 4.20 4.17 V", [("P1", {"cells_v": [4.18, 4.19, 4.20, 4.17]})]),
        ("pack P1 4.0 4.1 4.2 4.3 mOhm", [("P1", {"cells_ohm": [0.004, 0.0041, 0.0042, 0.0043]})]),
        ("pack set 1 46 C 1.3 Ah", [(p, {"temperature_k": HEAT, "used_coulomb": USED}) for p in ("P1", "P2")]),
        ("pack set 1 46C 1300 mAh", [(p, {"temperature_k": HEAT, "used_coulomb": USED}) for p in ("P1", "P2")]),
        ("pack set 1 46 deg C", [(p, {"temperature_k": HEAT}) for p in ("P1", "P2")]),
        ("pack P1, P3 46 c used 1.3 ah", [(p, {"temperature_k": HEAT, "used_coulomb": USED}) for p in ("P1", "P3")]),
        (
            "charge set 1 2.2 A 1.3 Ah watched by EW 30 C",
            [
                (p, {"current_a": 2.2, "to_put_back_coulomb": USED, "watched_by": "EW", "temperature_k": 303.15})
                for p in ("P1", "P2")
            ],
        ),
        ("charge P3", [("P3", {})]),
        ("full set 1 4.19 V", [(p, {"to": "full", "lowest_v": 4.19}) for p in ("P1", "P2")]),
        ("storage P4", [("P4", {"to": "storage"})]),
        ("stopped P4 3.95 V", [("P4", {"to": "stopped", "lowest_v": 3.95})]),
        ("quarantine P4", [("P4", {"to": "quarantine"})]),
        ("packs set 2", [("R", {"pack_set": "S2"})]),
    ],
)
def test_a_line_about_packs(shop: Shop, text: str, expected: list[tuple[str, dict[str, Any]]]) -> None:
    found = figures(shop.do(typed, text))
    assert [subject for subject, _ in found] == [subject for subject, _ in expected]
    for (_, one), (_, other) in zip(found, expected, strict=True):
        assert one.keys() == other.keys()
        for name, value in other.items():
            assert one[name] == (value if isinstance(value, str) else pytest.approx(value)), name


def test_out_and_in_by_a_line(shop: Shop) -> None:
    shop.refused("no set was chosen", typed, "packs in")
    shop.do(typed, "packs set 1")
    entries = shop.do(typed, "packs in 4.18 V")
    assert [(e.kind, e.subject, e.detail.get("lowest_v")) for e in entries] == [
        ("fitted", "P1", None),
        ("fitted", "P2", None),
        ("pack_read", "P1", 4.18),
        ("pack_read", "P2", 4.18),
    ]
    assert packing.chosen_set(shop.desk().case()) == "S1"
    assert [e.kind for e in shop.do(typed, "packs in set 2")] == ["removed", "removed", "fitted", "fitted"]
    out = shop.do(typed, "packs out 46 C 1.3 Ah")
    assert [e.kind for e in out] == ["removed", "removed", "pack_read", "pack_read"]
    assert out[-1].detail["used_coulomb"] == pytest.approx(USED)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("pack", "no pack was named"),
        ("pack 4.18 V", "no pack was named"),
        ("pack P9 4.18 V", "there is no pack or set"),
        ("pack rotor1 4.18 V", "there is no pack or set"),
        ("pack P1", "nothing was read"),
        ("pack P1 4.18", "has no unit"),
        ("pack P1 8 A", "current has no place here"),
        ("pack P1 3 mm", "says nothing of a pack"),
        ("pack P1 46 C 47 C", "2 figures of heat"),
        ("pack P1 4.18 V dented", "not understood"),
        ("charge P1 4.18 V", "voltage has no place here"),
        ("charge P1 2.2 A watched", "say who watches"),
        ("full P1 46 C", "temperature has no place here"),
        ("quarantine P1 46 C", "temperature has no place here"),
        ("packs", "say what the packs do"),
        ("packs set 9", "there is no pack set"),
        ("packs in set 9", "fits more than one pack set"),
    ],
)
def test_a_line_that_cannot_be_read_is_refused(shop: Shop, text: str, says: str) -> None:
    shop.refused(says, typed, text)


def test_a_bare_c_is_a_temperature_and_never_a_charge(shop: Shop) -> None:
    assert figures_of(shop.desk(), "46 C").temperature_k == pytest.approx(319.15)
    assert charge_of_text(shop.desk(), "8 A 30 C").temperature_k == pytest.approx(303.15)


def test_a_set_is_found_by_its_name(shop: Shop) -> None:
    found = meanings.things(shop.desk(), "set 1")
    assert found[0][:2] == ("pack set", "S1")


# --- Put right


@pytest.mark.parametrize(
    ("line_typed", "put_right", "again"),
    [
        ("pack P1 4.81 V 46 C", "4.18 V", "4.18 V 46 deg C"),
        ("pack P1 4.18 V", "4.18 4.19 4.20 4.17 V", "4.18 4.19 4.20 4.17 V"),
        ("pack P1 4.18 4.19 4.20 4.17 V 1.3 Ah", "4.17 V 1.2 Ah", "4.17 V 1.2 Ah"),
        ("pack P1 4.2 mOhm", "4.0 4.1 4.2 4.3 mOhm", "4.0 4.1 4.2 4.3 mOhm"),
        ("charge P1 8 A 1.3 Ah watched EW", "2.2 A", "2.2 A 1.3 Ah watched EW"),
        ("charge P1 2.2 A", "watched by PB 30 C", "2.2 A 30 deg C watched PB"),
        ("full P1 4.91 V", "4.19 V", "full 4.19 V"),
        ("full P1 4.19 V", "stopped 3.95 V", "stopped 3.95 V"),
        ("full P1", "storage", "storage"),
    ],
)
def test_a_line_about_packs_is_put_right_by_typing_it_anew(
    shop: Shop, line_typed: str, put_right: str, again: str
) -> None:
    (wrong,) = shop.do(typed, line_typed)
    (right,) = shop.do(correcting.correct_as, wrong.id, put_right)
    assert right.replaces == wrong.id
    assert correcting.said(right) == again
    # What is offered to be changed can be typed as it stands.
    (same,) = shop.do(correcting.correct_as, right.id, again)
    assert (same.detail.keys(), correcting.said(same)) == (right.detail.keys(), again)


@pytest.mark.parametrize(
    ("line_typed", "put_right", "says"),
    [
        ("pack P1 4.18 V", "misread", "not understood"),
        ("pack P1 4.18 V", "16.8 V", "no single cell"),
        ("pack P1 4.18 V", "4.18 4.19 V", "4 cells"),
        ("full P1", "16.8 V", "no single cell"),
        ("charge P1", "4.18 V", "voltage has no place"),
    ],
)
def test_what_such_a_line_cannot_say_is_refused(shop: Shop, line_typed: str, put_right: str, says: str) -> None:
    (wrong,) = shop.do(typed, line_typed)
    shop.refused(says, correcting.correct_as, wrong.id, put_right)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.sampled_from(["pack", "charge", "packs", "P1", "set", "1", "46", "C", "4.18", "V", ",", "with", "\x1b[2J"])
    )
)
def test_whatever_is_typed_it_is_read_or_refused_in_a_sentence(texts: list[str]) -> None:
    shop = _one()
    try:
        typed(shop.desk(), " ".join(["pack", *texts]))
    except PitcrewError as error:
        assert error.message.endswith((".", "!", "?"))
        assert isinstance(error, EntryError) or error.hint


@cache
def _one() -> Shop:
    """One bench for every example: nothing is written at it."""
    return Shop()
