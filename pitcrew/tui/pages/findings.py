"""Everything found on the robot: what stands, what is run as is, what was put right; and what can be done about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pitcrew.bench import looking, names, words
from pitcrew.bench.detail import DO, fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.readiness.case import OFF_WITH_THE_PART, Case
from pitcrew.readiness.findings import never_deferred
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.moments import MINUTE_MS, clock_text, day_text
from pitcrew.robot.records import Fact
from pitcrew.text import clean
from pitcrew.tui.finding import page_of
from pitcrew.tui.jobs import logs
from pitcrew.tui.mends import mend_answers
from pitcrew.tui.page import Answer, Answers, Go, Outcome, Page, Say, filled, marked, parting, window
from pitcrew.tui.paint import Line, Span, cells, cut, labelled, line, pad, word
from pitcrew.tui.strips import shorten

STANDS, AS_IS, RIGHT = range(3)
GROUPS = ("stands", "run as is", "put right")
EMPTY = "none yet. Space on a place says what is wrong with the part there, and how big it is"
WIDE, WIDEST = 74, 110
WHEN, LONG_WHEN, SIZE, NUMBER = 5, 11, 7, 5
STORY = 6


class Item(NamedTuple):
    """One finding, with what was done about it."""

    fact: Fact
    group: int
    requirement: Requirement | None
    deferral: Fact | None
    mend: Fact | None
    off: bool  # its part does not count for this fight

    @property
    def blocks(self) -> bool:
        """Does it keep the robot from being fit?"""
        return self.requirement is not None and self.requirement.blocks


def items_of(view: View) -> list[Item]:
    """Every finding of the robot: what stands first, then what is run as is, then what was put right; newest first."""
    case = view.case
    asked = {item.subject: item for item in view.standing.requirements if item.group == "finding"}
    facts = {fact.root: fact for part in _parts(case) for fact in case.facts("finding", part)}
    items = [
        _item(case, fact, asked) for fact in facts.values() if fact.entry.robot == case.robot or fact.root in asked
    ]
    newest = sorted(items, key=lambda item: item.fact.order, reverse=True)
    return sorted(newest, key=lambda item: (item.group, not item.blocks))


def _parts(case: Case) -> Iterator[str]:
    """Every part of the robot, and every other that ever sat in it."""
    parts = {fact.subject for fact in case.evidence.definitions("part", case.robot)}
    for position in case.defs.positions:
        parts |= {fact.subject for fact in case.placed(position)}
    yield from sorted(parts)


def _item(case: Case, fact: Fact, asked: dict[str, Requirement]) -> Item:
    requirement = asked.get(fact.root)
    deferral, mend = case.newest("deferred", fact.root), case.newest("mended", fact.root)
    stands = requirement is not None or any(other.root == fact.root for other in case.open_findings(fact.subject))
    if not stands:
        return Item(fact, RIGHT, None, deferral, mend, False)
    off = fact.subject not in case.scope()
    failed = requirement is not None and requirement.verdict == "fail"
    as_is = deferral is not None and not failed and not never_deferred(case, fact.subject, fact)
    return Item(fact, AS_IS if as_is else STANDS, requirement, deferral, mend, off)


class Findings(Page):
    """The list of findings, and below it the story of the one the keys are at."""

    name = "findings"
    title = "what was found"
    blocks = "next sort"

    def __init__(self, session: Session, ident: str | None = None) -> None:
        super().__init__(session)
        self._wanted = ident
        self._items: tuple[View, list[Item]] | None = None
        self._painted: tuple[View, tuple[object, ...], list[Line], list[Line]] | None = None

    def items(self) -> list[Item]:
        """The findings of the standing last judged."""
        view = self.session.view
        if view is None:
            return []
        if self._items is None or self._items[0] is not view:
            self._items = (view, items_of(view))
            roots = [item.fact.root for item in self._items[1]]
            if self._wanted in roots:
                self.row, self._wanted = roots.index(self._wanted), None
        return self._items[1]

    def at(self) -> Item | None:
        """The finding the keys are at."""
        items = self.items()
        return items[min(self.row, len(items) - 1)] if items else None

    def keys(self) -> Sequence[str]:
        return [item.fact.root for item in self.items()]

    def block(self, step: int) -> None:
        items, here = self.items(), self.at()
        if here is None:
            return
        groups = list(dict.fromkeys(item.group for item in items))
        group = groups[min(max(groups.index(here.group) + step, 0), len(groups) - 1)]
        self.row = next(index for index, item in enumerate(items) if item.group == group)

    def answers(self) -> Answers:
        view, item = self.session.view, self.at()
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        found = Answer("found something", lambda: self._found(item))
        if item is None or item.group == RIGHT:
            return Answers((found,), 0 if item is None else None)
        answers = mend_answers(self.session, view, item.fact.root)
        if item.requirement is not None and item.requirement.verdict == "due":
            part = item.fact.subject
            looked = logs("looked at, no worse", lambda desk: looking.look_at(desk, [part]))
            return Answers((looked, *answers.items, found))
        return answers._replace(items=(*answers.items, found))

    def _found(self, item: Item | None) -> Outcome:
        from pitcrew.tui.pages.found import Found

        view = self.session.view
        place = str(item.fact.detail["position"]) if item is not None else None
        if view is None or place not in view.case.defs.positions:
            return Go(Found(self.session))
        return Go(Found(self.session, view.case.zone_of(place), place))

    def opened(self) -> Outcome:
        view, item = self.session.view, self.at()
        if view is None or item is None:
            return Say("nothing was found yet")
        job = view.job_of(item.requirement) if item.requirement is not None and item.blocks else None
        if job is not None:
            from pitcrew.tui.pages.why import Why

            return Go(Why(self.session, job))
        page = page_of(self.session, "entry", f"#{item.fact.entry.n}")
        return Go(page) if page is not None else None

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet"
            return [line(Span(f"  {text}", "quiet"))]
        item = self.at()
        if item is None:
            return labelled("findings", EMPTY, width, "quiet")
        listed, detail = self._lines(view, item, width)
        heading, *rows = listed
        room = min(len(rows), max(height - 3 - max(len(detail), STORY), 3))
        shown, below = window([*enumerate(rows)], self.row, room)
        painted = [marked(row, index == self.row, width) for index, row in shown]
        right = f"{below} rows below" if below else ""
        top = [_counts(self.items(), width), heading, *painted]
        name = f"{_place(view.case, item.fact)}: {clean(str(item.fact.detail['what']))}"
        return filled([*top, parting(name, width, right), *detail], height)

    def _lines(self, view: View, item: Item, width: int) -> tuple[list[Line], list[Line]]:
        """The list and the detail, worked out again when the standing, the row, the day or the width is new."""
        key = (item.fact.root, self.session.now() // MINUTE_MS, width)
        if self._painted is None or self._painted[0] is not view or self._painted[1] != key:
            today = day_text(self.session.now(), self.session.zone())
            listed = [_heading(width), *(_row(view.case, each, today, width) for each in self.items())]
            self._painted = (view, key, listed, _detail(view.case, item, width))
        return self._painted[2], self._painted[3]


def _counts(items: Sequence[Item], width: int) -> Line:
    said = [f"{sum(item.group == group for item in items)} {name}" for group, name in enumerate(GROUPS)]
    return line(Span(cut(f"  findings  {'   '.join(said)}", width), "quiet"))


class _Columns(NamedTuple):
    """How wide the columns are; 0 leaves one out."""

    place: int
    part: int
    what: int
    when: int
    done: int


def _columns(width: int) -> _Columns:
    when = LONG_WHEN if width >= WIDEST else WHEN
    room = width - 12 - SIZE - 1 - when - 1 - NUMBER - 1
    if width < WIDE:
        return _Columns(room - 14, 0, 12, when, 0)
    place, part, what = (20, 20, 16) if width >= WIDEST else (12, 11, 11)
    done = max(room - place - part - what - 4, 8)
    return _Columns(place, part, what, when, min(done, 40))


def _laid(columns: _Columns, place: str, part: str, what: str, size: str, when: str, done: str) -> str:
    laid = [pad(shorten(place, columns.place), columns.place)]
    laid += [pad(shorten(part, columns.part), columns.part)] if columns.part else []
    laid += [pad(what, columns.what), pad(size, SIZE), pad(when, columns.when)]
    return " ".join(laid) + (f" {pad(done, columns.done)}" if columns.done else "")


def _heading(width: int) -> Line:
    text = _laid(_columns(width), "place", "part", "found", "size", "when", "done")
    return line(Span(cut(f"  {'verdict':<9} {text}", width), "quiet"))


def _row(case: Case, item: Item, today: str, width: int) -> Line:
    fact = item.fact
    size = words.length(float(fact.detail["size_m"]), None) if fact.detail.get("size_m") is not None else ""
    columns = _columns(width)
    text = _laid(
        columns,
        _place(case, fact),
        names.part_name(case, fact.subject),
        str(fact.detail["what"]),
        size,
        _when(case, fact, today, columns.when),
        _fitting(_done(case, item), columns.done),
    )
    return line(" ", _word(item), f" {text} {'#' + str(fact.entry.n):>{NUMBER}}")


def _word(item: Item) -> Span:
    """The verdict; what stands on a part that does not count blocks nothing, and what was put right has none."""
    if item.requirement is not None:
        return word(item.requirement.verdict, item.requirement.blocks)
    if item.group == RIGHT:
        # A shorter word than the group's name, so that it does not run into the place.
        return Span(f"{'mended':<9}", "quiet")
    return word("deferred" if item.group == AS_IS else "fail", False)


def _place(case: Case, fact: Fact) -> str:
    found = case.position(str(fact.detail["position"]))
    return found[0].name if found else "no place"


def _when(case: Case, fact: Fact, today: str, width: int) -> str:
    """The time of day; of another day its date, or both where there is room."""
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    day, clock = day_text(fact.happened, zone), clock_text(fact.happened, zone)
    if width >= LONG_WHEN:
        return f"{day[5:]} {clock}"
    return clock if day == today else day[5:]


def _done(case: Case, item: Item) -> list[str]:
    """What was done about it, the fullest first: put right how and when, or run as is to what limit and by whom."""
    if item.group == RIGHT and item.mend is not None:
        how = str(item.mend.detail["how"])
        return [f"{how} {words.at(case, item.mend.happened)}", how]
    if item.group == AS_IS and item.deferral is not None:
        who, limit = item.deferral.detail["accepted_by"], limit_words(case, item.deferral)
        return [f"{who} to {limit}", f"{who} {limit.partition(' or ')[0]}"]
    return ["off the robot", "off"] if item.off else []


def _fitting(said: list[str], width: int) -> str:
    """The fullest of several ways to say it that has room; the shortest where none has."""
    return next((text for text in said if cells(clean(text)) <= width), said[-1] if said else "")


def limit_words(case: Case, deferral: Fact) -> str:
    """How far something is run as is: a size, the end of a fight, or whichever comes first."""
    size, fight = deferral.detail.get("limit_m"), deferral.detail.get("until_fight")
    said = [words.length(float(size), None)] if size is not None else []
    said += [f"end of {names.fight_name(case, str(fight))}"] if fight else []
    return " or ".join(said)


def _detail(case: Case, item: Item, width: int) -> list[Line]:
    rows: list[Line] = []
    if item.requirement is not None:
        rows += labelled("why", words.reason(case, item.requirement), width, "", 2)
    elif item.off:
        rows += labelled("why", "its part is off the robot: it counts again when that part is fitted", width, "", 2)
    label, text = _clearing(case, item)
    rows += labelled(label, text, width, "", 3)
    for index, fact in enumerate(_story(case, item)):
        rows += labelled("" if index else "story", fact_words(case, fact), width, "quiet", 2)
    return rows


def _clearing(case: Case, item: Item) -> tuple[str, str]:
    """What ends it, or how it was ended."""
    fact = item.fact
    if item.group == RIGHT:
        how = str(item.mend.detail["how"]) if item.mend else "put right"
        who = f" {words.at(case, item.mend.happened)} {item.mend.entry.by}" if item.mend else ""
        again = "; it stands again if this very part is fitted again" if how in OFF_WITH_THE_PART else ""
        return "done", f"{how}{who}{again}"
    if item.group == AS_IS and item.deferral is not None:
        return (
            "clears it",
            f"mend it; until then a look after every fight, no further than {limit_words(case, item.deferral)}",
        )
    if never_deferred(case, fact.subject, fact):
        return "clears it", f"mend it or swap the part: {fact.detail['what']} in the load path is never run as is"
    return "clears it", DO["mend"]


def _story(case: Case, item: Item) -> list[Fact]:
    """What it rests on and what came of it, oldest first: the blow, findings of the same sort before and after."""
    fact = item.fact
    blow = [hit for hit in case.evidence.act(str(fact.detail.get("hit"))) if hit.entry.kind == "hit"]
    seen = [hit for hit in blow if not hit.detail.get("because")][:1]
    raised = [hit for hit in blow if hit.detail.get("because") == fact.id][:1]
    alike = [other for other in case.facts("finding", fact.subject) if other.detail["what"] == fact.detail["what"]]
    done = [*case.facts("deferred", fact.root), *case.facts("mended", fact.root)]
    return sorted({each.id: each for each in (*seen, *raised, *alike, *done)}.values(), key=lambda each: each.order)
