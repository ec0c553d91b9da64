"""A short list as it is being answered: each line's verdict, the answer that stands, who must still sign."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from pitcrew.bench.answering import answer
from pitcrew.bench.desk import Desk
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import check_disturbances, judge_check, line_key
from pitcrew.readiness.stream import Stream
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.records import Fact
from pitcrew.units import read, show


class LineNow(NamedTuple):
    """One line: its verdict and reason as judged, and the answer given since the last one was used up (or None).

    `wants_second` says that it was answered yes and another person must look and sign before it counts.
    """

    line: Line
    required: Requirement
    answer: Fact | None
    wants_second: bool

    @property
    def passes(self) -> bool:
        """Does the line count?"""
        return self.required.verdict == "pass"

    @property
    def waits(self) -> bool:
        """Has nobody answered it yet?"""
        return self.answer is None


def lines_now(case: Case, checklist: Checklist) -> tuple[LineNow, ...]:
    """Every line of a list, in its order."""
    return tuple(_line_now(case, checklist, line) for line in checklist.lines)


def _line_now(case: Case, checklist: Checklist, line: Line) -> LineNow:
    required = judge_check(case, checklist._replace(lines=(line,)))
    speaks = next((fact for fact in required.rests_on if required.verdict == "pass"), None)
    newest = speaks or case.newest("answered", line_key(case.robot, checklist.id, line.id))
    disturbances = Stream(check_disturbances(case, checklist))
    if newest is None or (speaks is None and case.uncleared(disturbances, [newest]) is not None):
        return LineNow(line, required, None, False)
    half = required.verdict == "due" and newest.detail["answer"] == "yes"
    return LineNow(line, required, newest, half and line.second)


def sign_lines(desk: Desk, checklist: Checklist, lines: Iterable[LineNow], second: str) -> list[Draft]:
    """Lines that were answered, answered again with the initials of the person who looked too.

    Each stays the answer of the one who gave it.

    Raises:
        EntryError: the second person is one who answered.
    """
    drafts: list[Draft] = []
    for item in lines:
        if item.answer is None:
            continue
        given, detail = item.answer, item.answer.detail
        who = desk._replace(by=given.entry.by)
        figure, note = detail.get("figure"), str(detail.get("note") or "")
        drafts += answer(who, checklist, item.line, "yes", second=second, figure=figure, note=note)
    return drafts


# figures of a line


class Asked(NamedTuple):
    """The figure a line asks for: its name, dimension and unit, and what it must not go above, SI (None: nothing)."""

    name: str
    dimension: str
    unit: str
    limit: float | None


def figure_asked(case: Case, line: Line) -> Asked | None:
    """The figure a line asks for, with the event's limit; None where it asks for none."""
    if not line.figure:
        return None
    name, _, unit = line.figure.rpartition(", ")
    dimension = read(f"1 {unit}").dimension
    limit = getattr(case.defs.event, line.limit_from, None) if case.defs.event and line.limit_from else None
    return Asked(name, dimension, unit, float(limit) if limit is not None else None)


def figure_words(asked: Asked, figure: float | None) -> str:
    """A line's figure against its limit: 24 s of 60; a figure not given yet says what it must be."""
    top = "" if asked.limit is None else show(asked.limit, asked.dimension, asked.unit)
    if figure is None:
        return f"? {asked.unit}" + (f", at most {top}" if top else "")
    return show(figure, asked.dimension, asked.unit) + (f" of {top.split()[0]}" if top else "")
