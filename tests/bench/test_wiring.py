"""Wiring touched and memories changed: the entries, what they ask for again, and how a line says them."""

from __future__ import annotations

import pytest

from pitcrew.bench import fitting, wiring, words
from pitcrew.bench.entry_words import entry_words, subject_name
from pitcrew.bench.line import drafts
from pitcrew.bench.meanings import read_line
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.supposing import supposing, touched
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.judge import standing_of
from pitcrew.robot.definitions import gather
from pitcrew.robot.records import Evidence
from tests.bench.demo_day import SMALL, DemoDay
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import CHECK


def test_each_part_touched_is_logged_with_the_place_it_sits_at(shop: Shop) -> None:
    entries = shop.do(wiring.wiring_touched, ["motor", "mot1", "mot2"], "plug out")
    assert said(entries) == [
        Said("rewired", "mot1", {"note": "plug out"}, "motor"),
        Said("rewired", "mot2", {"note": "plug out"}),
    ]
    assert len({entry.act for entry in entries}) == 1


def test_a_memory_is_a_parts_or_the_transmitters(shop: Shop) -> None:
    assert said(shop.do(wiring.memory_changed, "motor")) == [Said("reprogrammed", "mot1", {}, "motor")]
    assert said(shop.do(wiring.memory_changed, "mot2", "timing")) == [
        Said("reprogrammed", "mot2", {"note": "timing"}),
    ]
    assert said(shop.do(wiring.memory_changed, "R")) == [Said("reprogrammed", "R", {})]


def test_a_part_taken_out_has_no_place_any_more(shop: Shop) -> None:
    shop.do(fitting.part_out, "motor")
    assert said(shop.do(wiring.wiring_touched, ["mot1"])) == [Said("rewired", "mot1", {})]


@pytest.mark.parametrize("place", ["plate", "nowhere", ""])
def test_a_touch_of_nothing_is_refused(shop: Shop, place: str) -> None:
    shop.refused("nothing sits there", wiring.wiring_touched, ["motor", place])
    shop.refused("nothing sits there", wiring.memory_changed, place)
    shop.refused("nothing is named", wiring.wiring_touched, [])


def test_a_part_of_another_robot_is_refused_though_it_sits_here(shop: Shop) -> None:
    shop.book.append([Draft("part", "theirs", "PB", "S", detail={"name": "theirs", "part_kind": "motor"})])
    shop.do(fitting.part_in, "theirs", "motor")
    shop.refused("another robot's", wiring.wiring_touched, ["motor"])
    shop.refused("another robot's", wiring.memory_changed, "theirs")
    # A robot that is not the one on the bench is no transmitter here.
    shop.refused("nothing sits there", wiring.memory_changed, "S")


def line_of(shop: Shop, text: str) -> list[Draft]:
    return drafts(shop.desk(), text, lambda number: None)


def test_a_line_finds_what_was_touched_by_its_place_or_its_name(shop: Shop) -> None:
    for text in ("wiring motor", "wiring motor 1", "WIRING Motor 1, motor"):
        assert [(draft.kind, draft.subject, draft.place) for draft in line_of(shop, text)] == [
            ("rewired", "mot1", "motor")
        ]
    assert [draft.subject for draft in line_of(shop, "wiring motor 2, rotor")] == ["mot2", "rotor1"]
    for text in ("memory small", "memory transmitter", "memory Trans"):
        assert [(draft.kind, draft.subject, draft.place) for draft in line_of(shop, text)] == [
            ("reprogrammed", "R", None)
        ]


def test_a_name_with_commas_is_one_name(demo: DemoDay) -> None:
    for text in ("wiring loom, receiver, switch, light", "wiring loom, light"):
        (draft,) = demo.typed(text, SMALL)
        assert demo.called(draft.subject) == "loom, receiver, switch, light"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("wiring", "say whose wiring"),
        ("wiring ,", "nothing is named"),
        ("memory", "say whose memory"),
        ("wiring mot", "more than one part"),
        ("memory lathe", "no part called 'lathe'"),
        ("wiring motor, lathe", "no part called 'lathe'"),
        ("wiring plate", "more than one part"),
        ("wiring transmitter", "no part called"),
    ],
)
def test_a_line_that_names_no_one_thing_is_refused(shop: Shop, text: str, says: str) -> None:
    with pytest.raises(EntryError, match=says) as refused:
        line_of(shop, text)
    assert refused.value.hint


def test_a_line_says_what_it_means(shop: Shop) -> None:
    said_of = {
        "wiring motor": "wiring touched motor 1 at motor",
        "memory motor 2": "memory changed motor 2",
        "memory transmitter": "memory changed in the transmitter for SMALL",
    }
    for text, says in said_of.items():
        assert [meaning.text for meaning in read_line(shop.desk(), text, lambda number: None).meanings] == [says]
    for entry in (shop.put("rewired", "mot1"), shop.put("reprogrammed", "R")):
        assert f"{entry_words(entry)} {subject_name(shop.book.evidence(), entry)}".isascii()


def case_of(shop: Shop, evidence: Evidence) -> Case:
    definitions = gather(evidence, "R")
    assert definitions is not None
    return Case(evidence, definitions, shop.clock.now_ms(), [CHECK])


def blocks(case: Case) -> dict[str, str]:
    return {item.key: item.verdict for item in standing_of(case).requirements if item.blocks}


def test_why_a_list_is_asked_again_is_said(shop: Shop) -> None:
    shop.ready()
    for use, given, says in (
        (wiring.wiring_touched, ["motor"], "wiring of motor touched {at} EW"),
        (wiring.wiring_touched, ["mot2"], "wiring of motor 2 touched {at} EW"),
        (wiring.memory_changed, "motor", "memory of motor changed {at} EW"),
        (wiring.memory_changed, "R", "memory of the transmitter changed {at} EW"),
    ):
        (entry,) = shop.at({"by": "EW"}, use, given)  # type: ignore[arg-type]
        case = case_of(shop, shop.book.evidence())
        reason = words.reason(case, shop.requirement("check:test box"))
        assert reason == says.format(at=words.at(case, entry.happened))


def test_what_a_touch_speaks_to_is_known_before_and_after_it_is_written(shop: Shop) -> None:
    shop.ready()
    remembered = Remembered(shop.book.evidence())
    before = case_of(shop, remembered)
    assert blocks(before) == {}
    for doing in (
        wiring.wiring_touched(shop.desk(), ["motor", "rotor"]),
        wiring.memory_changed(shop.desk(), "R"),
    ):
        assert touched(before, doing) == ("check:test box",)
    doing = wiring.memory_changed(shop.desk(), "mot2")
    assert blocks(supposing(before, doing, shop.book.writer)) == {"check:test box": "due"}
    entries = shop.book.append(doing)
    after = remembered.after(shop.book.evidence(), entries)
    assert blocks(case_of(shop, after)) == {"check:test box": "due"}
