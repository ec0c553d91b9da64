"""The event's sheet as typed off the paper, rule by rule, with what each is good for; a rule is changed on the line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

from pitcrew.bench import sheeting
from pitcrew.bench.detail import fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.sheeting import ABSENT, RULES, SI_UNITS, Rule
from pitcrew.errors import PitcrewError
from pitcrew.readiness.call import earliest_call
from pitcrew.readiness.case import Case
from pitcrew.robot.moments import clock_text, day_text
from pitcrew.robot.records import Fact
from pitcrew.tui.page import (
    Answer,
    Answers,
    Ask,
    Awaited,
    Outcome,
    Page,
    Say,
    Write,
    filled,
    guarded_by,
    marked,
    parting,
    window,
)
from pitcrew.tui.paint import Line, Span, cells, cleaned, cut, labelled, line, pad
from pitcrew.units import convert, show

CAUTION = "The event's own sheet and its inspectors overrule what stands here."
EMPTY = "this robot fights under no sheet yet. Type the event's name: one the book has, or a new one"
NAME, FIGURE, DETAIL = 21, 30, 6
MOST_WORDS = 5  # rows for the words of a rule
LEAST_WORDS = 16  # columns below which they are left to the detail
SECOND_UNITS = {"mass": "lb", "speed": "mph"}


class Sheet(Page):
    """A row a rule; the sheet is that of the robot on the bench."""

    name = "event"
    title = "the sheet the robot fights under"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._painted: tuple[object, object, list[Line]] | None = None

    def fact(self) -> Fact | None:
        """The entry that says what the sheet is; None while the robot fights under none."""
        case = self.session.case()
        return sheeting.sheet_fact(case.evidence, case.defs.robot.event) if case is not None else None

    def rule(self) -> Rule:
        """The rule the keys are at."""
        return RULES[min(self.row, len(RULES) - 1)]

    def keys(self) -> Sequence[str]:
        return [rule.field for rule in RULES] if self.fact() is not None else ()

    def answers(self) -> Answers:
        case, fact, rule = self.session.case(), self.fact(), self.rule()
        if case is None:
            return Answers(hint="no robot yet")
        other = Answer("another sheet", self._ask_sheet)
        words = Answer("its words", lambda: self._ask_words(rule))
        if fact is None:
            return Answers((Answer("start a sheet", self._ask_sheet),))
        choices = [
            Answer(name, partial(self._put, rule, value))
            for value, name in _choices(case, rule)
            if value != fact.detail.get(rule.field)
        ]
        absent = [] if rule.field == "name" or fact.detail.get(rule.field) is None else [self._absent(rule)]
        if rule.takes in ("choice", "scale"):
            hint = "choose first" if choices else "no scale in the book yet"
            return Answers((*choices, words, *absent, other), None, hint)
        return Answers((Answer("change", lambda: self._ask(rule)), words, *absent, other))

    def _absent(self, rule: Rule) -> Answer:
        return Answer("not on the sheet", partial(self._put, rule, None))

    def opened(self) -> Outcome:
        if self.session.case() is None:
            return Say("no robot yet")
        if self.fact() is None:
            return self._ask_sheet()
        rule = self.rule()
        return Say("right and left pick one") if rule.takes in ("choice", "scale") else self._ask(rule)

    def awaited(self) -> Awaited | None:
        fact, rule = self.fact(), self.rule()
        if fact is None or not rule.measured:
            return None
        old = fact.detail.get(rule.field)
        last = convert(float(old), rule.unit, SI_UNITS[rule.takes]) if old is not None else None
        return Awaited(
            rule.name,
            rule.takes,
            rule.unit,
            lambda desk, si, typed: sheeting.put_measured(desk, rule.field, si),
            " on the sheet",
            last=last,
        )

    def _put(self, rule: Rule, value: Any) -> Outcome:
        return Write(lambda desk: sheeting.put(desk, rule.field, value))

    def _ask(self, rule: Rule) -> Outcome:
        case, fact = self.session.case(), self.fact()
        if case is None or fact is None:
            return None
        instruments = case.defs.instruments

        def take(text: str) -> Outcome:
            sheeting.change(self.session.desk(), rule.field, text)  # refused while what was typed still stands
            return Write(lambda desk: sheeting.change(desk, rule.field, text))

        def told(text: str) -> str:
            try:
                value = sheeting.value_typed(rule, text, instruments)
            except PitcrewError:
                return ""
            return f"{rule.name} {_figure(rule, value, case) or 'not on the sheet'}"

        old = fact.detail.get(rule.field)
        text = "" if old is None or rule.takes != "text" else str(old)
        hint = f"{rule.name}, as on the sheet: {rule.example}; {ABSENT} where it says nothing"
        return Ask("sheet", take, hint, text, told)

    def _ask_words(self, rule: Rule) -> Outcome:
        case = self.session.case()
        if case is None:
            return None

        def take(text: str) -> Outcome:
            sheeting.put_wording(self.session.desk(), rule.field, text)
            return Write(lambda desk: sheeting.put_wording(desk, rule.field, text))

        hint = f"{rule.name}: its words as they are printed on the sheet; {ABSENT} takes them out"
        return Ask("words", take, hint, sheeting.wording(case, rule.field))

    def _ask_sheet(self) -> Outcome:
        def take(text: str) -> Outcome:
            sheeting.under(self.session.desk(), text)
            return Write(lambda desk: sheeting.under(desk, text))

        def told(text: str) -> str:
            known = sheeting.sheet_called(self.session.desk(), text)
            name = str(known.detail["name"]) if known else ""
            return f"under {name}, as the book has it" if known else "a new sheet with nothing on it yet"

        known = self.session.evidence.definitions("event", None)
        names = "; ".join(str(fact.detail["name"]) for fact in known)
        hint = f"the event's name: {names}; or a new one" if known else "the event's name"
        return Ask("event", take, hint, "", lambda text: told(text) if text.strip() else "")

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        case, fact = self.session.case(), self.fact()
        if case is None:
            return [line(Span("  sheet     ", "quiet"), "no robot in this book yet")]
        if fact is None:
            return [*labelled("sheet", EMPTY, width, "quiet"), *guarded_by(CAUTION, width)]
        top = [_title(case, fact, width), *guarded_by(CAUTION, width)]
        detail = self._detail(case, fact, width)
        room = min(len(RULES), max(height - len(top) - 1 - max(len(detail), DETAIL), 3))
        rows, below = window([*enumerate(RULES)], self.row, room)
        listed = [marked(_row(case, fact, rule, width), index == self.row, width) for index, rule in rows]
        rule = parting(self.rule().name, width, f"{below} rows below" if below else "")
        return filled([*top, *listed, rule, *detail], height)

    def _detail(self, case: Case, fact: Fact, width: int) -> list[Line]:
        """What stands below the list; worked out again when the book, the row or the width is new."""
        key = (self.row, width)
        if self._painted is None or self._painted[0] is not case or self._painted[1] != key:
            rows: list[Line] = []
            for label, text in _details(case, fact, self.rule()):
                most = MOST_WORDS if label == "its words" else 2
                rows += labelled(label, text, width, "quiet" if label == "typed" else "", most)
            self._painted = (case, key, rows)
        return self._painted[2]


def _choices(case: Case, rule: Rule) -> list[tuple[str, str]]:
    if rule.takes == "scale":
        return [(tool.id, tool.name) for tool in sheeting.scales(case.defs.instruments)]
    return list(rule.words.items())


def _figure(rule: Rule, value: Any, case: Case) -> str:
    """A rule's value, a mass or a speed also in the unit that other sheets have it in."""
    text = sheeting.shown(rule, value, case.defs.instruments)
    second = SECOND_UNITS.get(rule.takes)
    if not value or second is None:
        return text
    return f"{text}  ({show(convert(float(value), rule.unit, SI_UNITS[rule.takes]), rule.takes, second, 1)})"


def _title(case: Case, fact: Fact, width: int) -> Line:
    text = f"{case.defs.robot.name} under {fact.detail['name']}"
    return line(Span("  sheet     ", "quiet"), cut(cleaned(text), width - 12))


def _row(case: Case, fact: Fact, rule: Rule, width: int) -> Line:
    value = fact.detail.get(rule.field)
    text = _figure(rule, value, case)
    taken = f"-  taken as {rule.otherwise}" if rule.otherwise else "-"
    said = Span(cut(cleaned(text), width - NAME - 3)) if text else Span(taken, "quiet")
    words, room = sheeting.wording(case, rule.field), width - NAME - 6 - max(FIGURE, cells(said.text))
    beside = Span(f"{' ' * max(FIGURE - cells(said.text), 0)} {cut(cleaned(words), room)}", "quiet")
    return line(Span(f" {pad(rule.name, NAME)} "), said, *([beside] if words and room >= LEAST_WORDS else []))


def _details(case: Case, fact: Fact, rule: Rule) -> Iterator[tuple[str, str]]:
    value = fact.detail.get(rule.field)
    text = _figure(rule, value, case)
    otherwise = f"not typed off the sheet; taken as {rule.otherwise}" if rule.otherwise else "not typed off the sheet"
    yield "value", text or otherwise
    words = sheeting.wording(case, rule.field)
    yield "its words", f'"{words}"' if words else "not copied off the sheet yet"
    yield "good for", _rests(case, rule)
    asked = [f"{item.title.lower()}, {row.text}" for item, row in _asking(case, rule.field)]
    if asked:
        yield "asked", "; ".join(asked)
    others = [name for name in sheeting.fighting_under(case.evidence, fact.subject) if name != case.defs.robot.name]
    if others:
        yield "also", f"{', '.join(others)} fights under this sheet: what is changed holds there too"
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    yield "typed", f"{day_text(fact.happened, zone)} {fact_words(case, fact)}, the newest line about this sheet"


def _asking(case: Case, field: str) -> Iterator[tuple[Any, Any]]:
    """The lines of the checklists that are held against a rule."""
    for item in case.checklists:
        for row in item.lines:
            if field in (row.limit_from, row.text_from):
                yield item, row


def _rests(case: Case, rule: Rule) -> str:
    """What is worked out from a rule, with today's figure where there is one."""
    event = case.defs.event
    zone = event.time_zone if event else "UTC"
    call, staging = earliest_call(case), case.staging_at()
    if rule.field in ("gap_min", "gap_counts_from") and call is not None:
        return f"{rule.rests}: {clock_text(call, zone)} after the last fight"
    if rule.field == "walk_min" and staging is not None:
        return f"{rule.rests}: at staging {clock_text(staging, zone)}"
    if rule.field in ("limit_kg", "allowance_kg") and event and event.limit_kg is not None:
        return f"{rule.rests}: {show(event.limit_kg + event.allowance_kg, 'mass', 'kg')} with the allowance"
    return rule.rests
