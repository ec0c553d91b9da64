"""Lines of a list one by one against the list's own verdict, and a second person's signature."""

from __future__ import annotations

from pitcrew.bench import answering, checks_now
from pitcrew.bench.checks_now import LineNow
from pitcrew.bench.standing import View
from pitcrew.checklists import load
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import judge_check
from pitcrew.readiness.verdict import Ruling, worst
from tests.bench.shop import Shop

SAFE = next(item for item in load() if item.id == "make safe")
BOX = next(item for item in load() if item.id == "test box")


def lines(shop: Shop) -> dict[str, LineNow]:
    return {item.line.id: item for item in checks_now.lines_now(shop.case(), SAFE)}


def required(shop: Shop) -> str:
    return judge_check(shop.case(), SAFE).verdict


def test_at_every_minute_of_a_day_the_worst_line_speaks_for_its_list(views: list[View]) -> None:
    told = set()
    for at in views:
        judged = {item.subject: item for item in at.standing.requirements if item.group == "check"}
        for checklist in at.case.checklists:
            found = checks_now.lines_now(at.case, checklist)
            rulings = [Ruling(item.required.verdict, item.required.because[0]) for item in found]
            assert worst(rulings).verdict == judged[checklist.id].verdict
            assert all(item.answer is not None for item in found if item.passes)
            told |= {(item.required.verdict, item.waits) for item in found}
    assert {("pass", False), ("due", True)} <= told


def test_yes_where_two_are_wanted_is_half_an_answer(shop: Shop) -> None:
    line = SAFE.lines[1]
    assert lines(shop)[line.id].waits
    shop.do(answering.answer, SAFE, line)
    half = lines(shop)[line.id]
    assert (half.passes, half.waits, half.wants_second) == (False, False, True)
    shop.refused("cannot be the second person", checks_now.sign_lines, SAFE, [half], "MK")
    (entry,) = shop.at({"by": "EW"}, checks_now.sign_lines, SAFE, [half], "EW")
    assert (entry.by, entry.detail) == ("MK", {"answer": "yes", "second": "EW"})
    whole = lines(shop)[line.id]
    assert whole.passes and not whole.wants_second


def test_a_signature_keeps_the_figure_and_the_note(shop: Shop) -> None:
    line = next(item for item in BOX.lines if item.second and item.figure)
    shop.do(answering.answer, BOX, line, figure=8.0, note="by hand")
    half = [item for item in checks_now.lines_now(shop.case(), BOX) if item.wants_second]
    (entry,) = shop.do(checks_now.sign_lines, BOX, half, "EW")
    assert entry.detail == {"answer": "yes", "second": "EW", "figure": 8.0, "note": "by hand"}


def test_an_end_of_a_fight_uses_answers_up(shop: Shop) -> None:
    shop.do(answering.answer_all, SAFE, "EW")
    assert required(shop) == "pass"
    shop.ready()
    shop.fight()
    assert all(item.waits and not item.passes for item in lines(shop).values())


def test_no_is_an_answer_that_fails(shop: Shop) -> None:
    shop.do(answering.answer, SAFE, SAFE.lines[0], "no")
    said = lines(shop)[SAFE.lines[0].id]
    assert (said.required.verdict, said.waits, said.wants_second) == ("fail", False, False)


def test_a_line_is_read_on_its_own_case(shop: Shop) -> None:
    case: Case = shop.case()
    asked = checks_now.figure_asked(case, next(item for item in BOX.lines if item.id == "power cut"))
    assert asked == checks_now.Asked("power cut", "duration", "s", 60.0)
    assert checks_now.figure_words(asked, 8.0) == "8 s of 60"
    assert checks_now.figure_words(asked, None) == "? s, at most 60 s"
    assert checks_now.figure_asked(case, BOX.lines[0]) is None
    free = asked._replace(limit=None)
    assert (checks_now.figure_words(free, 8.0), checks_now.figure_words(free, None)) == ("8 s", "? s")
