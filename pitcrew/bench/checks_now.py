"""A short list as it is being answered: each line's verdict, the answer that stands, who must still sign."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import takewhile
from typing import NamedTuple

from pitcrew.bench import names, words
from pitcrew.bench.answering import answer
from pitcrew.bench.check_words import BY_THE_BOOK
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import fact_words
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import (
    Others,
    check_disturbances,
    day_over,
    evidence,
    is_good,
    judge_check,
    line_key,
)
from pitcrew.readiness.packs import charge_of, charging_of
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.moments import day_text
from pitcrew.robot.records import Fact
from pitcrew.units import read, show

FEW = 2  # things that are told in their own words; more are counted
# What a line may rest on, one and several of it.
COUNTED: Mapping[str, tuple[str, str]] = {
    "finding": ("finding", "findings"),
    "empty": ("empty place", "empty places"),
    "hand": ("hand check", "hand checks"),
    "look": ("part", "parts"),
    "limit": ("part's limit", "parts' limits"),
    "life": ("life", "lives"),
    "stack": ("gap", "gaps"),
    "joint": ("joint", "joints"),
    "locking": ("threadlocker", "threadlockers"),
    "weight": ("weight", "weights"),
    "configuration": ("configuration", "configurations"),
    "packs": ("set of packs", "sets of packs"),
    "tip": ("tip speed", "tip speeds"),
}


class LineNow(NamedTuple):
    """One line: its verdict and reason as judged, and the answer given since the last one was used up (or None).

    `wants_second` says that it was answered yes and another person must look and sign before it counts. `rests_on` is
    what the book would answer it with: every requirement of the groups that the line names.
    """

    line: Line
    required: Requirement
    answer: Fact | None
    wants_second: bool
    rests_on: tuple[Requirement, ...] = ()

    @property
    def passes(self) -> bool:
        """Does the line count?"""
        return self.required.verdict == "pass"

    @property
    def by_book(self) -> bool:
        """Does the book itself answer it?"""
        return self.required.because[0].code == BY_THE_BOOK

    @property
    def waits(self) -> bool:
        """Has nobody answered it yet, and not the book either?"""
        return self.answer is None and not self.by_book


def lines_now(case: Case, checklist: Checklist, others: Others) -> tuple[LineNow, ...]:
    """Every line of a list, in its order; `others` gives the requirements that the book may answer with, by group."""
    return tuple(
        _line_now(case, checklist, line, others)._replace(rests_on=evidence(line, others)) for line in checklist.lines
    )


def _line_now(case: Case, checklist: Checklist, line: Line, others: Others) -> LineNow:
    required = judge_check(case, checklist._replace(lines=(line,)), others)
    speaks = next((fact for fact in required.rests_on if required.verdict == "pass"), None)
    newest = speaks or case.newest("answered", line_key(case.robot, checklist.id, line.id))
    disturbances = Stream(check_disturbances(case, checklist))
    if (
        newest is None
        or day_over(case, checklist, newest)
        or (speaks is None and case.uncleared(disturbances, [newest]) is not None)
    ):
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


# a list as a whole


class ListNow(NamedTuple):
    """A list: its verdict, its lines, the answer that last made it full, and what used that up since (or None)."""

    checklist: Checklist
    required: Requirement
    lines: tuple[LineNow, ...]
    full: Fact | None
    spent: Fact | None

    @property
    def blocks(self) -> bool:
        """Does it keep the robot from fighting? A list asked when wanted never does."""
        return self.required.blocks and self.checklist.each_fight

    @property
    def answered(self) -> int:
        """How many lines have an answer that was not used up."""
        return sum(not item.waits for item in self.lines)


def list_now(case: Case, checklist: Checklist, others: Others) -> ListNow:
    """A list as it stands; `others` gives the requirements that the book may answer with, by group."""
    full = last_full(case, checklist)
    since = takewhile(lambda fact: fact.order > full.order, check_disturbances(case, checklist)) if full else ()
    # What came first used it up; whatever came later found it used up.
    spent = next(iter(reversed(list(since))), None)
    required, lines = judge_check(case, checklist, others), lines_now(case, checklist, others)
    return ListNow(checklist, required, lines, full, spent)


def last_full(case: Case, checklist: Checklist) -> Fact | None:
    """The answer with which every line was last answered well, none used up by then; None: that never was.

    What the book may answer is left out: it keeps no moment at which it did.
    """
    asked = [line for line in checklist.lines if not line.evidence]
    given = [(line, case.facts("answered", line_key(case.robot, checklist.id, line.id))) for line in asked]
    good = [[fact for fact in answers if is_good(case, line, fact)] for line, answers in given]
    if not all(good):
        return None
    spent = Stream(check_disturbances(case, checklist))

    def stood(answers: Iterable[Fact], line: Line, then: Fact) -> bool:
        fact = next((fact for fact in answers if fact.order <= then.order), None)
        if fact is None or not is_good(case, line, fact):
            return False
        if "day_over" in checklist.stale_when and _day(case, fact.happened) != _day(case, then.happened):
            return False
        return not any(each.order < then.order for each in takewhile(lambda each: each.order > fact.order, spent))

    return next((then for then in merged(*good) if all(stood(answers, line, then) for line, answers in given)), None)


def why_list(case: Case, now: ListNow) -> str:
    """Why a list stands as it does, in words."""
    if now.required.verdict == "pass":
        return "answered, and nothing has used it up"
    if now.checklist.each_fight:
        return words.reason(case, now.required)
    reasons = (line.required for line in now.lines if line.required.verdict == now.required.verdict)
    said = [why_line(case, now.checklist, required) for required in reasons]
    unanswered = sum(item.required.because[0].code == "not answered" for item in now.lines)
    told = [text for text in dict.fromkeys(said) if not text.endswith(": not answered")]
    return "; ".join(([f"{unanswered} of {len(now.lines)} not answered"] if unanswered else []) + told)


def book_words(case: Case, item: LineNow) -> str:
    """What the book answers a line with: one or two things in their own words, of many how many there are."""
    if len(item.rests_on) <= FEW:
        told = [each for each in item.rests_on if each.because[0].code != "nothing disturbed"]
        return "; ".join(packs_words(case) if each.group == "packs" else words.reason(case, each) for each in told)
    counts = Counter(each.group for each in item.rests_on)
    said = (f"{count} {COUNTED[group][count != 1]}" for group, count in counts.items())
    return f"{', '.join(said)}: none blocks"


def not_by_book(case: Case, item: LineNow) -> str:
    """What keeps the book from answering a line; empty where the line is not one for the book, or it does answer."""
    if not item.line.evidence or item.by_book:
        return ""
    blocking = [each for each in item.rests_on if each.blocks]
    if not blocking:
        return "has nothing to go by yet: answer it by hand"
    count = f"these {len(blocking)} no longer block, first" if len(blocking) > 1 else "this no longer blocks:"
    return f"answers it when {count} {names.label(case, blocking[0])}, {words.reason(case, blocking[0])}"


def packs_words(case: Case) -> str:
    """The packs in the robot, when the last went in and whether they are full: set 2 in 15:58, full."""
    chosen = case.chosen()
    known = case.defs.pack_sets.get(str(chosen.detail["pack_set"])) if chosen else None
    moved = merged(*(case.moves(place.id) for place in case.defs.positions.values() if place.role == "pack"))
    last = next(iter(moved), None)
    said = f"{known.name if known else 'packs'} in" + (f" {words.at(case, last.happened)}" if last is not None else "")
    full = all(charge_of(case, pack).state == "full" for pack in case.packs() if charging_of(case, pack))
    judged = any(charging_of(case, pack) for pack in case.packs())
    return f"{said}, full" if judged and full else said


def why_line(case: Case, checklist: Checklist, required: Requirement) -> str:
    """Why a line of a list stands as it does, in words."""
    because = required.because[0]
    if checklist.each_fight or because.code in ("answered", "answered no", "not answered"):
        return words.reason(case, required._replace(group="line"))
    return f"good for {checklist.good_for}; {fact_words(case, because.facts[0])}"


def last_words(case: Case, now: ListNow) -> str:
    """When a list was last answered in full, by whom, and what used that up."""
    if now.full is None:
        return "never answered in full"
    told = f"answered in full {moment(case, now.full.happened)} by {now.full.entry.by}"
    if now.spent is not None:
        return f"{told}; used up: {fact_words(case, now.spent)}"
    return f"{told}; good for that day" if day_over(case, now.checklist, now.full) else told


def moment(case: Case, ms: int) -> str:
    """A moment: 15:24, and of another day than today 06-12 15:24."""
    today = _day(case, case.now)
    day = _day(case, ms)
    return words.at(case, ms) if day == today else f"{day[5:]} {words.at(case, ms)}"


def _day(case: Case, ms: int) -> str:
    return day_text(ms, case.defs.event.time_zone if case.defs.event else "UTC")


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
