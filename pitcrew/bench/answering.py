"""Answers: a checklist's lines, a marginal reading taken on by name, a configuration declared."""

from __future__ import annotations

from collections.abc import Iterable

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.checks import line_key
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.checklist import Checklist, Line


def answer(
    desk: Desk,
    checklist: Checklist,
    line: Line,
    said: str = "yes",
    *,
    second: str | None = None,
    figure: float | None = None,
    note: str = "",
) -> list[Draft]:
    """Answer one line: yes, no or skipped. The four safety items can be neither skipped nor deferred."""
    if said == "skipped" and (line.safety or not line.may_skip):
        what = line.safety or "this line"
        raise EntryError(f"{what} is never skipped.", "Do it, or answer no.", f"{checklist.id}.{line.id}")
    if line.second and said == "yes":
        desk.second_person(second, f"{checklist.id}.{line.id}")
    detail = {"answer": said, "second": second.strip() if second else None, "figure": figure}
    key = line_key(desk.robot, checklist.id, line.id)
    return [desk.draft("answered", key, detail, note=note)]


def answer_all(
    desk: Desk,
    checklist: Checklist,
    second: str | None,
    figures: dict[str, float] | None = None,
    note: str = "",
) -> list[Draft]:
    """Every line of a checklist answered yes; those that the book itself answers are left to it."""
    drafts: list[Draft] = []
    for line in checklist.lines:
        if line.evidence:
            continue
        figure = (figures or {}).get(line.id)
        drafts += answer(desk, checklist, line, second=second, figure=figure, note=note)
    return drafts


def accept(desk: Desk, requirement: Requirement, note: str = "") -> list[Draft]:
    """Take on a marginal reading by name, for the fight entered and for what it rests on now."""
    fight = desk.case().fight()
    if fight is None:
        raise EntryError("no fight is entered.", "A marginal is taken on for one fight.", "accept")
    if requirement.verdict != "marginal":
        raise EntryError(f"it is {requirement.verdict}, not marginal.", "Only a marginal can be taken on.", "accept")
    boss = next(desk.evidence.facts("crew", desk.by), None)
    if boss is None or boss.detail.get("role") != "pit boss":
        raise EntryError("only the pit boss takes on a marginal.", "Let the pit boss sign.", "accept")
    rests_on = list(_ids(requirement))
    return [desk.draft("accepted", requirement.key, {"fight": fight.subject, "rests_on": rests_on}, note=note)]


def _ids(requirement: Requirement) -> Iterable[str]:
    return dict.fromkeys(fact.id for fact in requirement.rests_on)


def declare(desk: Desk, configurations: Iterable[str], declared: bool = True, note: str = "") -> list[Draft]:
    """Declare configurations to the event, or withdraw them."""
    defined = desk.definitions().configurations
    for item in (configurations := list(configurations)):
        known(defined, item, "configuration")
    return [desk.draft("declared", item, {"declared": declared}, note=note) for item in configurations]
