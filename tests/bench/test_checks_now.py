"""Lines of a list one by one against the list's own verdict, and a second person's signature."""

from __future__ import annotations

from itertools import pairwise

import pytest

from pitcrew.bench import answering, checks_now, fitting
from pitcrew.bench.checks_now import LineNow
from pitcrew.bench.standing import View
from pitcrew.checklists import load
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import among, judge_check
from pitcrew.readiness.jobs import jobs
from pitcrew.readiness.judge import only, standing_of
from pitcrew.readiness.verdict import Requirement, Ruling, worst
from pitcrew.robot.checklist import Checklist
from tests.bench.shop import Shop

SAFE = next(item for item in load() if item.id == "make safe")
BOX = next(item for item in load() if item.id == "test box")
OTHERS = {item.id: item for item in load() if not item.each_fight}
CHARGING = OTHERS["charging"]
DAY_MS = 86_400_000
NOTHING = among(())


def lines(shop: Shop) -> dict[str, LineNow]:
    return {item.line.id: item for item in checks_now.lines_now(shop.case(), SAFE, NOTHING)}


def required(shop: Shop) -> str:
    return judge_check(shop.case(), SAFE, NOTHING).verdict


def test_at_every_minute_of_a_day_the_worst_line_speaks_for_its_list(views: list[View]) -> None:
    told = set()
    for at in views:
        judged = {item.subject: item for item in at.standing.requirements if item.group == "check"}
        assert set(judged) == {item.id for item in at.case.checklists if item.each_fight}
        for checklist in (item for item in at.case.checklists if item.each_fight):
            found = checks_now.lines_now(at.case, checklist, among(at.standing.requirements))
            rulings = [Ruling(item.required.verdict, item.required.because[0]) for item in found]
            assert worst(rulings).verdict == judged[checklist.id].verdict
            assert all((item.answer is not None) != item.by_book for item in found if item.passes)
            told |= {(item.required.verdict, item.waits, item.by_book) for item in found}
    assert {("pass", False, False), ("pass", False, True), ("due", True, False)} <= told


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
    half = [item for item in checks_now.lines_now(shop.case(), BOX, NOTHING) if item.wants_second]
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


# lists of other moments


def now(shop: Shop, checklist: str = "charging") -> checks_now.ListNow:
    return checks_now.list_now(shop.case(), OTHERS[checklist], NOTHING)


def spent(shop: Shop, checklist: str = "charging") -> str:
    found = now(shop, checklist)
    assert all(item.waits and not item.passes for item in found.lines)
    assert found.required.verdict == "due"
    assert found.full is not None
    return found.spent.entry.kind if found.spent else ""


BY_BOOK = BOX._replace(
    id="by the book", second_person=False, lines=(BOX.lines[0]._replace(evidence=("packs", "hand")),)
)


def by_book(shop: Shop, checklist: Checklist = BY_BOOK) -> tuple[LineNow, Requirement]:
    case = Case(*(shop.case().evidence, shop.case().defs, shop.case().now), (checklist,))
    standing = standing_of(case)
    (line,) = checks_now.lines_now(case, checklist, among(standing.requirements))
    (judged,) = [item for item in standing.requirements if item.group == "check"]
    assert line.required == judged
    assert only(Case(case.evidence, case.defs, case.now, (checklist,)), [judged.key]) == (judged,)
    return line, judged


def test_the_book_answers_a_line_while_nothing_it_rests_on_blocks(shop: Shop) -> None:
    # Without a fight entered nothing is asked of packs: there is nothing to go by.
    line, judged = by_book(shop)
    assert (line.by_book, line.waits, judged.verdict) == (False, True, "due")
    assert "nothing to go by" in checks_now.not_by_book(shop.case(), line)
    shop.ready()
    line, judged = by_book(shop)
    assert (line.by_book, line.waits, judged.verdict) == (True, False, "pass")
    assert checks_now.book_words(shop.case(), line).startswith("set 1 in ")
    assert checks_now.not_by_book(shop.case(), line) == ""
    shop.do(fitting.packs_out)
    line, judged = by_book(shop)
    assert (line.by_book, judged.because[0].code) == (False, "not answered")
    assert "set 1 not in the robot" in checks_now.not_by_book(shop.case(), line)


def test_a_hand_answer_counts_as_before_and_a_no_outweighs_the_book(shop: Shop) -> None:
    shop.do(answering.answer, BY_BOOK, BY_BOOK.lines[0])
    line, judged = by_book(shop)
    assert (line.by_book, judged.verdict) == (False, "pass")
    shop.ready()
    shop.do(answering.answer, BY_BOOK, BY_BOOK.lines[0], "no")
    line, judged = by_book(shop)
    assert (line.by_book, judged.verdict) == (False, "fail")
    assert answering.answer_all(shop.desk(), BY_BOOK, None) == []


def test_lists_of_other_moments_block_nothing_and_are_no_job(shop: Shop) -> None:
    shop.ready()
    shop.do(answering.answer, CHARGING, CHARGING.lines[0], "no")
    now_at = shop.case()
    at, case = (Case(now_at.evidence, now_at.defs, now_at.now, lists) for lists in ((), tuple(OTHERS.values())))
    standing = standing_of(case)
    assert standing == standing_of(at) and standing.fit
    assert jobs(case, standing) == jobs(at, standing)
    assert only(case, ["check:charging"]) == ()
    found = now(shop)
    assert (found.required.verdict, found.blocks) == ("fail", False)
    assert "answered no" not in checks_now.why_list(case, found)
    assert checks_now.why_list(case, found).startswith("10 of 11 not answered; cases flat and whole")


def test_where_lists_of_other_moments_come_first_make_safe_is_still_done_first(shop: Shop) -> None:
    at = shop.case()
    lists = [*(item._replace(order=1) for item in OTHERS.values()), SAFE, BOX]
    case = Case(at.evidence, at.defs, at.now, lists)
    checks = [job.subject for job in jobs(case, standing_of(case)) if job.action == "check"]
    assert checks == ["make safe", "test box"]
    assert jobs(case, standing_of(case))[0].subject == "make safe"


def test_a_pack_moved_or_a_fight_ends_a_charge(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert now(shop).full is None
    *_, last = shop.do(answering.answer_all, CHARGING, None)
    full = now(shop)
    assert full.required.verdict == "pass" and full.spent is None
    assert full.full is not None and full.full.id == last.id
    assert checks_now.last_words(shop.case(), full) == f"answered in full {moment(shop, last.happened)} by MK"
    shop.do(fitting.part_in, "mot1", "motor")
    assert now(shop) == full
    shop.do(fitting.packs_in, "S2")
    assert spent(shop) in ("fitted", "removed")
    assert "good for one charge; #" in checks_now.why_list(shop.case(), now(shop))
    shop.do(answering.answer_all, CHARGING, None)
    assert now(shop).required.verdict == "pass"
    shop.ready().fight()
    assert "; used up: #" in checks_now.last_words(shop.case(), now(shop))


def moment(shop: Shop, ms: int) -> str:
    return checks_now.moment(shop.case(), ms)


def test_lines_answered_again_make_a_list_full_only_with_the_last_of_them(shop: Shop) -> None:
    *_, last = shop.do(answering.answer_all, CHARGING, None)
    shop.do(fitting.packs_in, "S1")
    for line in CHARGING.lines:
        found = now(shop)
        assert found.full is not None and found.full.id == last.id
        (last_again,) = shop.do(answering.answer, CHARGING, line)
        if line is CHARGING.lines[-1]:
            found = now(shop)
            assert found.full is not None and (found.full.id, found.spent) == (last_again.id, None)


def test_the_next_day_asks_for_the_day_again(shop: Shop) -> None:
    day = OTHERS["close of day"]
    for _ in range(2):
        shop.do(answering.answer_all, day, None)
        assert now(shop, day.id).required.verdict == "pass"
        shop.clock.set(shop.clock.now_ms() + DAY_MS)
        assert spent(shop, day.id) == ""
    shop.do(answering.answer, day, day.lines[0])
    found = now(shop, day.id)
    assert (found.answered, len(found.lines)) == (1, 12)
    told = checks_now.last_words(shop.case(), found)
    assert told.startswith("answered in full 11-15 ") and told.endswith(" by MK; good for that day")


@pytest.mark.parametrize("checklist", ["inspection", "new event"])
def test_another_event_asks_for_its_lists_again_and_a_robot_renamed_does_not(shop: Shop, checklist: str) -> None:
    shop.do(answering.answer_all, OTHERS[checklist], None)
    robot = {"name": "RENAMED", "event": "ev", "crew_margin_kg": 0.1}
    shop.do(lambda desk: [Draft("robot", "R", "PB", detail=robot)])
    assert now(shop, checklist).required.verdict == "pass"
    shop.do(lambda desk: [Draft("robot", "R", "PB", detail={**robot, "event": "next"})])
    assert spent(shop, checklist) == "robot"
    shop.do(answering.answer_all, OTHERS[checklist], None)
    assert now(shop, checklist).required.verdict == "pass"


def test_when_a_list_was_last_full_is_when_it_last_passed(shop: Shop) -> None:
    line, other = CHARGING.lines[:2]
    small = CHARGING._replace(lines=(line, other))
    passed = []
    for act in "abpabnaabfbaxab":
        match act:
            case "a" | "b":
                shop.do(answering.answer, small, line if act == "a" else other)
            case "n" | "x":
                shop.do(answering.answer, small, other, "no")
            case "p":
                shop.do(fitting.packs_in, "S1")
            case "f":
                shop.do(fitting.packs_in, "S2")
        case = shop.case()
        passed.append((judge_check(case, small, NOTHING).verdict == "pass", checks_now.last_full(case, small)))
    assert {word for word, _ in passed} == {True, False}
    for (passed_before, before), (passes, full) in pairwise(passed):
        if not passes:
            assert full == before
        elif not passed_before:
            assert full is not None and full != before
