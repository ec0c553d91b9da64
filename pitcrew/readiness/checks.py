"""This moment's short lists: each line answered since the last thing that used its answer up."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator

from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.records import Fact


def judge_checks(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement a checklist: the worst of its lines; of those asked for by key."""
    for checklist in sorted(case.checklists, key=lambda item: item.order):
        if f"check:{checklist.id}" in asked:
            yield judge_check(case, checklist)


def judge_check(case: Case, checklist: Checklist) -> Requirement:
    """One checklist: every line answered since its answer was last used up."""
    disturbances = Stream(check_disturbances(case, checklist))
    rulings = [_line(case, checklist, line, disturbances) for line in checklist.lines]
    return requirement("check", checklist.id, rulings)


def line_key(robot: str, checklist: str, line: str) -> str:
    """The subject under which a line of a checklist is answered."""
    return f"{robot}/{checklist}/{line}"


def check_disturbances(case: Case, checklist: Checklist) -> Iterator[Fact]:
    """What uses a checklist's answers up, newest first."""
    runs: list[Iterable[Fact]] = []
    if "fight_ended" in checklist.stale_when and table.disturbs(table.FIGHT_ENDED, "check"):
        runs.append(case.ends())
    if "function_part_moved" in checklist.stale_when and table.disturbs(table.FUNCTION_PART_MOVED, "check"):
        runs.append(case.stream("function moves", of=lambda: _function_moves(case)))
    return merged(*runs)


def _function_moves(case: Case) -> Iterator[Fact]:
    """Moves of parts that a check of their function is for, newest first."""
    for move in merged(*(case.moves(position) for position in case.defs.positions)):
        kind = case.kind(move.subject)
        if kind is not None and kind.function_check:
            yield move


def _line(case: Case, checklist: Checklist, line: Line, disturbances: Stream) -> Ruling:
    answers = case.facts("answered", line_key(case.robot, checklist.id, line.id))
    good = Stream(fact for fact in answers if is_good(case, line, fact))
    newest, proof = answers.first(), good.first()
    where = (("checklist", checklist.id), ("line", line.id))
    if newest is not None and newest is not proof and _says_no(case, line, newest):
        return Ruling("fail", Because("answered no", (newest,), where), (newest,))
    if proof is None:
        return Ruling("due", Because("not answered", (), where))
    spent = case.uncleared(disturbances, good)
    if spent is not None:
        code = "used up" if spent.entry.kind == "fight_ended" else "function part moved"
        return Ruling("due", Because(code, (spent,), where), (proof,))
    return Ruling("pass", Because("answered", (proof,), where), (proof,))


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
