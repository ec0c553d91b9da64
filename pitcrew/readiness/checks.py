"""This moment's short lists: each line answered since the last thing that used its answer up."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from functools import partial
from itertools import pairwise

from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.moments import day_text
from pitcrew.robot.records import Fact

# What is done to a part where it sits, by kind of entry, with its event of the disturbance table.
TOUCHES = (("rewired", table.WIRING_TOUCHED), ("reprogrammed", table.MEMORY_CHANGED))

Others = Callable[[str], Sequence[Requirement]]


def among(requirements: Iterable[Requirement]) -> Others:
    """The requirements of a group, of these."""
    grouped: dict[str, list[Requirement]] = {}
    for item in requirements:
        grouped.setdefault(item.group, []).append(item)
    return lambda group: grouped.get(group, ())


def judge_checks(case: Case, others: Others, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement a checklist of each fight: the worst of its lines; of those asked for by key.

    `others` gives the requirements of a group that the book may answer a line with.
    """
    for checklist in sorted(case.checklists, key=lambda item: item.order):
        if checklist.each_fight and f"check:{checklist.id}" in asked:
            yield judge_check(case, checklist, others)


def judge_check(case: Case, checklist: Checklist, others: Others) -> Requirement:
    """One checklist: every line answered since its answer was last used up, by hand or by the book."""
    disturbances = Stream(check_disturbances(case, checklist))
    rulings = [_line(case, checklist, line, disturbances, others) for line in checklist.lines]
    return requirement("check", checklist.id, rulings)


def evidence(line: Line, others: Others) -> tuple[Requirement, ...]:
    """What the book would answer a line with: every requirement of the groups that the line names."""
    return tuple(item for group in line.evidence for item in others(group))


def book_answers(line: Line, others: Others) -> bool:
    """Does the book answer a line: there is something to go by, and none of it blocks?"""
    found = evidence(line, others)
    return bool(found) and not any(item.blocks for item in found)


def line_key(robot: str, checklist: str, line: str) -> str:
    """The subject under which a line of a checklist is answered."""
    return f"{robot}/{checklist}/{line}"


def check_disturbances(case: Case, checklist: Checklist) -> Iterator[Fact]:
    """What uses a checklist's answers up, newest first."""
    runs: list[Iterable[Fact]] = []
    if "fight_ended" in checklist.stale_when and table.disturbs(table.FIGHT_ENDED, "check"):
        runs.append(case.ends())
    if "function_part_moved" in checklist.stale_when:
        runs += _function_runs(case)
    return merged(*runs, *_asked_when_wanted(case, checklist))


def _function_runs(case: Case) -> Iterator[Iterable[Fact]]:
    """What may have changed how the robot works: its function parts moved, its wiring touched, a memory changed."""
    if table.disturbs(table.FUNCTION_PART_MOVED, "check"):
        yield case.stream("function moves", of=lambda: _function_moves(case))
    for kind, event in TOUCHES:
        if table.disturbs(event, "check"):
            yield case.stream("touches", kind, of=partial(_touches, case, kind))


def _touches(case: Case, kind: str) -> Iterator[Fact]:
    """Entries of a kind about this robot's own parts, on it or off it, or about itself, newest first."""
    return merged(*(case.facts(kind, subject) for subject in _own(case)))


def _own(case: Case) -> Iterator[str]:
    yield from (fact.subject for fact in case.evidence.definitions("part", case.robot))
    yield case.robot


def look_up_touches(case: Case) -> Iterator[None]:
    """Ask ahead what lists rest on that a touch uses up, a part a step: it would be asked at one go otherwise."""
    if any("function_part_moved" in checklist.stale_when for checklist in case.checklists):
        for subject in _own(case):
            for kind, _ in TOUCHES:
                case.newest(kind, subject)
            yield


def _asked_when_wanted(case: Case, checklist: Checklist) -> Iterator[Iterable[Fact]]:
    """What uses up answers that no fight waits for: their own list says so, the table has only what blocks."""
    if "event_changed" in checklist.stale_when:
        yield case.stream("event changes", of=lambda: _event_changes(case))
    if "pack_moved" in checklist.stale_when:
        yield from (case.moves(place.id) for place in case.defs.positions.values() if place.role == "pack")


def _event_changes(case: Case) -> Iterator[Fact]:
    """Definitions of the robot that put it under another event's rules, newest first."""
    for newer, older in pairwise(case.facts("robot", case.robot)):
        if newer.detail.get("event") != older.detail.get("event"):
            yield newer


def day_over(case: Case, checklist: Checklist, answer: Fact) -> bool:
    """Was this answered on another day than today, where the event is, on a list good for its day alone?"""
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    return "day_over" in checklist.stale_when and day_text(answer.happened, zone) != day_text(case.now, zone)


def _function_moves(case: Case) -> Iterator[Fact]:
    """Moves of parts that a check of their function is for, newest first."""
    for move in merged(*(case.moves(position) for position in case.defs.positions)):
        kind = case.kind(move.subject)
        if kind is not None and kind.function_check:
            yield move


def _line(case: Case, checklist: Checklist, line: Line, disturbances: Stream, others: Others) -> Ruling:
    answers = case.facts("answered", line_key(case.robot, checklist.id, line.id))
    if "day_over" in checklist.stale_when:
        answers = Stream(fact for fact in answers if not day_over(case, checklist, fact))
    good = Stream(fact for fact in answers if is_good(case, line, fact))
    newest, proof = answers.first(), good.first()
    where = (("checklist", checklist.id), ("line", line.id))
    if newest is not None and newest is not proof and _says_no(case, line, newest):
        return Ruling("fail", Because("answered no", (newest,), where), (newest,))
    spent = case.uncleared(disturbances, good) if proof is not None else None
    if proof is not None and spent is None:
        return Ruling("pass", Because("answered", (proof,), where), (proof,))
    if book_answers(line, others):
        return Ruling("pass", Because("the book answers", (), where))
    if proof is None or spent is None:
        return Ruling("due", Because("not answered", (), where))
    code = {
        "fight_ended": "used up",
        "rewired": "wiring touched",
        "reprogrammed": "memory changed",
    }.get(spent.entry.kind, "function part moved")
    return Ruling("due", Because(code, (spent,), where), (proof,))


def is_good(case: Case, line: Line, answer: Fact) -> bool:
    """Does this answer settle its line: yes, by two people where two are wanted, its figure within the rule?"""
    if answer.detail["answer"] == "skipped":
        return line.may_skip
    if answer.detail["answer"] != "yes" or _over_limit(case, line, answer):
        return False
    return not line.second or answer.detail.get("second") not in (None, "", answer.entry.by)


def _says_no(case: Case, line: Line, answer: Fact) -> bool:
    return answer.detail["answer"] == "no" or _over_limit(case, line, answer)


def _over_limit(case: Case, line: Line, answer: Fact) -> bool:
    figure = answer.detail.get("figure")
    limit = getattr(case.defs.event, line.limit_from, None) if case.defs.event and line.limit_from else None
    return figure is not None and limit is not None and float(figure) > float(limit)
