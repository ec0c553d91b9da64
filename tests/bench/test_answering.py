"""Answers to the shipped lists, a marginal taken on, configurations declared."""

from __future__ import annotations

import pytest

from pitcrew.bench import answering, fighting, measuring
from pitcrew.checklists import load
from pitcrew.errors import EntryError
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.checklist import Checklist, Line
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import CHECK

LINES = [(checklist, line) for checklist in load() for line in checklist.lines]
SAFETY = [pair for pair in LINES if pair[1].safety]
MAY_SKIP = [pair for pair in LINES if pair[1].may_skip]
SECOND = [pair for pair in LINES if pair[1].second]


def key(checklist: Checklist, line: Line) -> str:
    return f"R/{checklist.id}/{line.id}"


def names(pair: tuple[Checklist, Line]) -> str:
    return f"{pair[0].id}.{pair[1].id}"


def test_there_are_lines_of_every_sort() -> None:
    assert {line.safety for _, line in SAFETY} == {"weapon lock", "power cut-off", "power light", "failsafe"}
    assert MAY_SKIP
    assert SECOND


@pytest.mark.parametrize("pair", LINES, ids=names)
def test_a_line_is_answered(shop: Shop, pair: tuple[Checklist, Line]) -> None:
    entries = shop.do(answering.answer, *pair, "yes", second="EW", figure=8.0, note="dry")
    detail = {"answer": "yes", "second": "EW", "figure": 8.0, "note": "dry"}
    assert said(entries) == [Said("answered", key(*pair), detail)]
    assert said(shop.do(answering.answer, *pair, "no")) == [Said("answered", key(*pair), {"answer": "no"})]


@pytest.mark.parametrize("pair", SAFETY, ids=names)
def test_what_keeps_people_safe_is_never_skipped(shop: Shop, pair: tuple[Checklist, Line]) -> None:
    error = shop.refused(f"{pair[1].safety} is never skipped", answering.answer, *pair, "skipped")
    assert error.place == names(pair)
    even_if = pair[1]._replace(may_skip=True)
    shop.refused("is never skipped", answering.answer, pair[0], even_if, "skipped")


@pytest.mark.parametrize("pair", [p for p in LINES if not p[1].may_skip and not p[1].safety], ids=names)
def test_what_may_not_be_skipped_is_not(shop: Shop, pair: tuple[Checklist, Line]) -> None:
    shop.refused("this line is never skipped", answering.answer, *pair, "skipped")


@pytest.mark.parametrize("pair", MAY_SKIP, ids=names)
def test_what_may_be_skipped_is_with_a_word_why(shop: Shop, pair: tuple[Checklist, Line]) -> None:
    assert said(shop.do(answering.answer, *pair, "skipped", note="no time")) == [
        Said("answered", key(*pair), {"answer": "skipped", "note": "no time"})
    ]


@pytest.mark.parametrize("pair", SECOND, ids=names)
def test_the_second_person_is_another_one(shop: Shop, pair: tuple[Checklist, Line]) -> None:
    error = shop.refused("cannot be the second person", answering.answer, *pair, "yes", second="MK")
    assert error.place == names(pair)


@pytest.mark.parametrize("second", ["mk", " MK"])
def test_the_same_person_spelt_otherwise_is_the_same(shop: Shop, second: str) -> None:
    shop.refused("cannot be the second person", answering.answer, *SECOND[0], "yes", second=second)


def test_no_needs_no_second_person(shop: Shop) -> None:
    assert shop.do(answering.answer, *SECOND[0], "no", second="MK")[0].detail["answer"] == "no"


def test_another_answer_is_refused(shop: Shop) -> None:
    shop.refused("answer: takes one of: yes, no, skipped", answering.answer, *LINES[0], "perhaps")


@pytest.mark.parametrize("checklist", load(), ids=lambda item: item.id)
def test_a_whole_list_is_answered_in_one_act(shop: Shop, checklist: Checklist) -> None:
    figures = {line.id: 5.0 for line in checklist.lines if line.figure}
    entries = shop.do(answering.answer_all, checklist, "EW", figures, "all good")
    asked = [line for line in checklist.lines if not line.evidence]  # the others are left to the book
    assert [e.subject for e in entries] == [key(checklist, line) for line in asked]
    assert [e.detail.get("figure") for e in entries] == [figures.get(line.id) for line in asked]
    assert {(e.detail["answer"], e.detail["second"], e.detail["note"]) for e in entries} == {("yes", "EW", "all good")}
    assert len({e.act for e in entries}) == 1


SIGNED = [item for item in load() if any(line.second for line in item.lines)]


@pytest.mark.parametrize("checklist", SIGNED, ids=lambda item: item.id)
def test_a_whole_list_by_one_person_is_refused_whole(shop: Shop, checklist: Checklist) -> None:
    shop.refused("cannot be the second person", answering.answer_all, checklist, "MK")


def test_no_fails_and_yes_clears(shop: Shop) -> None:
    shop.ready()
    shop.do(answering.answer, CHECK, CHECK.lines[0], "no")
    assert shop.blocks() == {"check:test box": "fail"}
    shop.do(answering.answer, CHECK, CHECK.lines[0])
    assert shop.standing().fit


def test_skipped_is_met_and_warned_of(shop: Shop) -> None:
    shop.ready()
    shop.do(answering.answer, CHECK, CHECK.lines[1], "skipped", note="no time")
    standing = shop.standing()
    assert standing.fit
    assert "skipped" in {caveat.code for caveat in standing.warnings}


def test_a_figure_over_the_events_rule_fails(shop: Shop) -> None:
    shop.ready()
    # The event of this robot gives 60 s to cut the power.
    shop.do(answering.answer, CHECK, CHECK.lines[1], figure=61.0)
    assert shop.blocks() == {"check:test box": "fail"}
    shop.do(answering.answer, CHECK, CHECK.lines[1], figure=60.0)
    assert shop.standing().fit


def marginal(shop: Shop) -> Requirement:
    """A tread 0.01 mm over its 4 mm, read by a caliper good for 0.03 mm."""
    shop.ready()
    shop.do(measuring.dimension, "wh1", "tread", 0.00401, "CAL")
    found = shop.requirement("limit:wh1/tread")
    assert found.verdict == "marginal"
    return found


def test_the_pit_boss_takes_on_a_marginal(shop: Shop) -> None:
    found = marginal(shop)
    reading = next(shop.book.evidence().facts("reading", "wh1/tread"))
    (entry,) = shop.at({"by": "PB"}, answering.accept, found, "for F1 only")
    detail = {"fight": "F1", "rests_on": [reading.id], "note": "for F1 only"}
    assert said([entry]) == [Said("accepted", "limit:wh1/tread", detail)]
    standing = shop.standing()
    assert standing.fit
    assert "accepted" in {caveat.code for caveat in standing.warnings}


def test_a_new_reading_is_not_the_one_taken_on(shop: Shop) -> None:
    found = marginal(shop)
    shop.at({"by": "PB"}, answering.accept, found)
    shop.do(measuring.dimension, "wh1", "tread", 0.00401, "CAL")
    assert shop.blocks() == {"limit:wh1/tread": "marginal"}


def test_it_was_taken_on_for_one_fight(shop: Shop) -> None:
    found = marginal(shop)
    shop.at({"by": "PB"}, answering.accept, found)
    shop.fight()
    assert shop.blocks()["limit:wh1/tread"] == "marginal"


@pytest.mark.parametrize("by", ["MK", "EW", "XX"])
def test_nobody_else_takes_on_a_marginal(shop: Shop, by: str) -> None:
    found = marginal(shop)
    before = shop.rows()
    with pytest.raises(EntryError, match="only the pit boss"):
        shop.at({"by": by}, answering.accept, found)
    assert shop.rows() == before


@pytest.mark.parametrize("verdict", ["fail", "recheck", "due", "unchecked", "deferred", "pass"])
def test_only_a_marginal_is_taken_on(shop: Shop, verdict: str) -> None:
    found = marginal(shop)._replace(verdict=verdict)
    before = shop.rows()
    with pytest.raises(EntryError, match=f"it is {verdict}, not marginal"):
        shop.at({"by": "PB"}, answering.accept, found)
    assert shop.rows() == before


def test_without_a_fight_nothing_is_taken_on(shop: Shop) -> None:
    found = marginal(shop)
    shop.do(fighting.ended, "F1")
    before = shop.rows()
    with pytest.raises(EntryError, match="no fight is entered"):
        shop.at({"by": "PB"}, answering.accept, found)
    assert shop.rows() == before


def test_declared_and_withdrawn(shop: Shop) -> None:
    shop.ready()
    shop.put("configuration", "B", {"name": "B", "parts": {"rotor": "rotor2"}})
    assert said(shop.do(answering.declare, ["B"], note="desk")) == [
        Said("declared", "B", {"declared": True, "note": "desk"})
    ]
    # One was declared, and it is not the one entered.
    assert shop.blocks()["configuration:R"] == "fail"
    assert said(shop.do(answering.declare, ["A", "B"])) == [
        Said("declared", "A", {"declared": True}),
        Said("declared", "B", {"declared": True}),
    ]
    assert shop.standing().fit
    assert said(shop.do(answering.declare, ["A"], False)) == [Said("declared", "A", {"declared": False})]
    assert shop.blocks()["configuration:R"] == "fail"
