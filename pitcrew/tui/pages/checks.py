"""The short lists of this moment: which are done, and answering one line by line, with a second person where wanted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pitcrew.bench import names, sheeting, words
from pitcrew.bench.answering import answer
from pitcrew.bench.checks_now import (
    LineNow,
    ListNow,
    book_words,
    figure_asked,
    figure_words,
    last_words,
    lines_now,
    list_now,
    moment,
    not_by_book,
    sign_lines,
    why_line,
    why_list,
)
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import evidence_of, fact_words
from pitcrew.bench.session import Session
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import Others, among, judge_check, line_key
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.checklist import Checklist
from pitcrew.tui.jobs import second_signs
from pitcrew.tui.page import Answer, Answers, Ask, Awaited, Back, Go, Outcome, Page, Write, filled, marked, parting
from pitcrew.tui.paint import BLANK, Line, Span, cut, labelled, line, pad, word, wrapped
from pitcrew.tui.signs import sign_off_if_fit

FIGURE, WHO, MOMENT = 11, 6, 6
NARROW = 72  # columns below which the moment of an answer is left to the detail
LEAST_LIST, LEAST_DETAIL = 8, 3
TITLE = 31  # columns for the name of a list of another moment, which is longer than those of each fight
NOBODY = "nothing to check: no robot in this book yet"


def _lists(case: Case) -> list[Checklist]:
    return sorted(case.checklists, key=lambda item: (not item.each_fight, item.order))


def _counted(lines: Sequence[LineNow]) -> str:
    """How far a list is: 5 of 5 answered, 2 want a second person."""
    answered = sum(not item.waits for item in lines)
    second = sum(item.wants_second for item in lines)
    wants = f", {second} want{'s' if second == 1 else ''} a second person" if second else ""
    return f"{answered} of {len(lines)} answered{wants}"


class Checks(Page):
    """Every list with how far it is: those of each fight in the order of the day, then those of other moments."""

    name = "checks"
    title = "the lists of this moment"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._known: tuple[Case, dict[str, ListNow]] | None = None

    def lists(self) -> list[Checklist]:
        """What there is to answer."""
        return _lists(self.session.view.case) if self.session.view else []

    def keys(self) -> Sequence[str]:
        return [item.id for item in self.lists()]

    def answers(self) -> Answers:
        view, ident = self.session.view, self.key()
        if view is None or not ident:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        now = self._now(view.case)[ident]
        done = all(item.passes for item in now.lines)
        start = Answer("show" if done else "go on" if now.answered else "start", self.opened)
        return Answers((start, *sign_off_if_fit(self.session, view)))

    def opened(self) -> Outcome:
        ident = self.key()
        return Go(CheckRun(self.session, ident)) if ident else None

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            text = "judging the robot.." if self.session.robot else NOBODY
            return [line(Span(f"  checks    {text}", "quiet"))]
        lists = self._now(view.case).values()
        rows = [line(Span(f"  {'verdict':<9} {pad('list', 14)} {pad('lines', 20)} min people  when", "quiet"))]
        rows += [self._row(view.case, now, width) for now in lists if now.checklist.each_fight]
        others = [self._row(view.case, now, width) for now in lists if not now.checklist.each_fight]
        if others:
            heading = pad("other moments: none keeps it from fighting", 52)
            rows.append(line(Span(f"  {heading} min people  last in full", "quiet")))
        rows += others
        chosen = self._now(view.case).get(self.key())
        if chosen is not None:
            rows += self._detail(view.case, chosen, width, height - len(rows))
        return rows[:height]

    def _now(self, case: Case) -> dict[str, ListNow]:
        """Every list as it stands, in the order of the screen; read again when the robot is judged anew."""
        if self._known is None or self._known[0] is not case:
            others = _others(self.session)
            self._known = (case, {item.id: list_now(case, item, others) for item in _lists(case)})
        return self._known[1]

    def _row(self, case: Case, now: ListNow, width: int) -> Line:
        item, done = now.checklist, f"{now.answered} of {len(now.lines)}"
        if item.each_fight:
            text = (
                f" {pad(item.title, 14)} {pad(f'{done} answered', 20)} {item.minutes:>3} {item.people:>6}  {item.when}"
            )
        else:
            full = moment(case, now.full.happened) if now.full else "never"
            text = f" {pad(item.title, TITLE)} {pad(done, 10)} {item.minutes:>3} {item.people:>6}  {full}"
        return marked(line(" ", word(now.required.verdict, now.blocks), text), item.id == self.key(), width)

    def _detail(self, case: Case, now: ListNow, width: int, room: int) -> list[Line]:
        story = [row for label, text in _story(case, now) for row in _labelled(label, text, width)]
        cautions = _cautions(now.checklist.cautions, width)
        head = [BLANK, parting(now.checklist.title, width, _counted(now.lines))]
        # On a low screen the cautions are left to the list itself, where they stand above its lines.
        return [*head, *(cautions if len(head) + len(cautions) + 2 <= room else ()), *story]


def _others(session: Session) -> Others:
    """What the book may answer lines with, as last judged: an answer to a line changes none of it."""
    return among(session.view.standing.requirements if session.view is not None else ())


def _cautions(texts: Sequence[str], width: int) -> list[Line]:
    """Cautions, each whole: one too long for a row goes on in the next."""
    rows: list[Line] = []
    for text in texts:
        first, *more = wrapped(text, width - 2)
        rows += [line(Span(f"! {first}", "care")), *(line(Span(f"  {row}", "care")) for row in more)]
    return rows


def _story(case: Case, now: ListNow) -> Iterator[tuple[str, str]]:
    """Why a list is to be answered, what it wants, what it was answered by."""
    yield ("why", why_list(case, now))
    if not now.checklist.each_fight:
        yield ("last", last_words(case, now))
    second = " and a second person's initials" if any(item.line.second for item in now.lines) else ""
    yield ("do", f"{len(now.lines)} lines{second}; {now.checklist.when}")
    for index, fact in enumerate(sorted(evidence_of(now.required), key=lambda fact: fact.order, reverse=True)[:2]):
        yield ("rests on" if index == 0 else "", fact_words(case, fact))


class CheckRun(Page):
    """One list being answered: a row a line, its caution directly above it."""

    name = "check"
    title = "a list, line by line"

    def __init__(self, session: Session, checklist: str) -> None:
        super().__init__(session)
        self.checklist = next(item for item in session.source.checklists if item.id == checklist)
        self._known: tuple[Case, tuple[LineNow, ...], Requirement] | None = None
        self._seen = session.own_acts[-1] if session.own_acts else ""
        waiting = (index for index, item in enumerate(self.lines()) if item.waits)
        self.row = next(waiting, 0)

    def _now(self) -> tuple[Case, tuple[LineNow, ...], Requirement] | None:
        """The robot, the lines and the list by all that is written: an answer counts at once, before all is judged."""
        case = self.session.case() if self.session.view is not None else None
        if case is None:
            return None
        if self._known is None or self._known[0] is not case:
            others = _others(self.session)
            required = judge_check(case, self.checklist, others)
            self._known = (case, lines_now(case, self.checklist, others), required)
        return self._known

    def lines(self) -> tuple[LineNow, ...]:
        """Every line as it stands."""
        known = self._now()
        return known[1] if known else ()

    def at(self) -> LineNow | None:
        """The line the keys are at."""
        lines = self.lines()
        return lines[min(self.row, len(lines) - 1)] if lines else None

    def keys(self) -> Sequence[str]:
        return [item.line.id for item in self.lines()]

    # answers

    def answers(self) -> Answers:
        item = self.at()
        if item is None:
            return Answers(hint="judging..")
        lines = self.lines()
        if all(other.passes for other in lines):
            return Answers((Answer("all answered: back", Back), self._says("no")))
        if item.wants_second or (not any(other.waits for other in lines) and any(o.wants_second for o in lines)):
            return Answers((self._sign(), self._says("no")))
        skipped = [Answer("skipped", self._skip)] if item.line.may_skip and not item.line.safety else []
        if item.waits:
            asked = item.line.figure is not None
            said = Answer("yes, no figure" if asked else "yes", self._says("yes").do)
            # The figure is what proves a safety item; elsewhere it may go without.
            wanted = asked and item.line.safety
            hint = "type the figure, or choose" if wanted else "the book sees it otherwise; by hand: choose first"
            free = not wanted and not any(other.blocks for other in item.rests_on)
            return Answers((said, self._says("no"), *skipped), 0 if free else None, hint)
        told = (
            "the book answers it; by hand: choose first" if item.by_book and item.answer is None else "it is answered"
        )
        return Answers((self._says("yes"), self._says("no"), *skipped), None, told)

    def _says(self, said: str) -> Answer:
        item = self.at()

        def drafts(desk: Desk) -> list[Draft]:
            return answer(desk, self.checklist, item.line, said) if item else []

        return Answer(said, lambda: Write(drafts))

    def _skip(self) -> Outcome:
        item, told = self.at(), "; the driver is told" if self.checklist.each_fight else ""

        def take(text: str) -> Outcome:
            if not text.strip():
                raise EntryError("a skipped line wants a word why.", f"Type it{told}.", "skipped")
            return Write(
                lambda desk: answer(desk, self.checklist, item.line, "skipped", note=text.strip()) if item else []
            )

        return Ask("why", take, f"why is it skipped?{told.replace(';', '')}")

    def _sign(self) -> Answer:
        waiting = [item for item in self.lines() if item.wants_second]
        return second_signs(self.session, lambda desk, second: sign_lines(desk, self.checklist, waiting, second))

    def awaited(self) -> Awaited | None:
        known, item = self._now(), self.at()
        asked = figure_asked(known[0], item.line) if known and item else None
        if item is None or asked is None:
            return None
        line_now = item.line
        limit = f", {figure_words(asked, None).partition(', ')[2]}" if asked.limit is not None else ""

        def take(desk: Desk, si: float, typed: str) -> list[Draft]:
            return answer(desk, self.checklist, line_now, figure=si)

        return Awaited(f"{item.line.text}: {asked.name}", asked.dimension, asked.unit, take, limit)

    def opened(self) -> Outcome:
        return None

    def refreshed(self) -> None:
        """After an answer of one's own that was no `no`, on to the next line that nobody has answered."""
        acts, item = self.session.own_acts, self.at()
        if not acts or acts[-1] == self._seen or item is None:
            return
        self._seen = acts[-1]
        written = self.session.last_of(self._seen)
        key = line_key(self.session.robot, self.checklist.id, item.line.id)
        if any(entry.subject == key and entry.kind == "answered" for entry in written) and not _failed(item):
            lines = self.lines()
            later = [*range(self.row + 1, len(lines)), *range(self.row)]
            waiting = [index for index in later if lines[index].waits]
            waiting += [index for index, other in enumerate(lines) if other.wants_second]
            self.row = next(iter(waiting), min(self.row + 1, len(lines) - 1))

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        known = self._now()
        if known is None:
            text = "judging the robot.." if self.session.robot else NOBODY
            return [line(Span(f"  checks    {text}", "quiet"))]
        case, lines, required = known
        rows = [self._heading(case, required, width)]
        detail = [row for label, text in self._detail(case, required) for row in _labelled(label, text, width)]
        blocks = [self._block(case, index, width) for index in range(len(lines))]
        general = _cautions(self.checklist.cautions, width)
        if self.row and len(general) + len(blocks[min(self.row, len(blocks) - 1)]) + 2 > height:
            general = []
        rows += general
        wanted = sum(map(len, blocks))
        room = height - len(rows)
        most = len(detail) + 1
        spare = max(min(most, room - wanted), min(most, room - LEAST_LIST, LEAST_DETAIL))
        spare = spare if spare > 1 else 0
        shown, below = self._fitting(blocks, room - spare)
        rows += shown
        if spare:
            title = f"{below} lines below" if below else ""
            item = self.at()
            rows += [parting(item.line.text if item else "", width, title), *detail[: spare - 1]]
        return rows[:height]

    def _heading(self, case: Case, required: Requirement, width: int) -> Line:
        last = case.ends().first() if self.checklist.each_fight else None
        after = f", after {names.fight_name(case, last.subject)}" if last is not None else ""
        text = f" {self.checklist.title}{after}   {_counted(self.lines())}"
        return line("  ", word(required.verdict, required.blocks and self.checklist.each_fight), text)

    def _block(self, case: Case, index: int, width: int) -> list[Line]:
        """A line with the caution that stands directly above it; they are never parted."""
        item = self.lines()[index]
        return [
            *_cautions((item.line.caution,) if item.line.caution else (), width),
            marked(self._row(case, item, width), index == self.row, width),
        ]

    def _row(self, case: Case, item: LineNow, width: int) -> Line:
        skipped = item.answer is not None and item.answer.detail["answer"] == "skipped"
        verdict = Span(f"{'skipped':<9}", "watch") if skipped else self._word(item)
        room = width - 13 - FIGURE - WHO - (MOMENT if width >= NARROW else 0)
        text = pad(cut(words.line_text(case, item.line), room), room)
        return line(" ", verdict, f" {text} {pad(self._figure(case, item), FIGURE)}{_who(case, item, width)}")

    def _word(self, item: LineNow) -> Span:
        return word(item.required.verdict, item.required.blocks and self.checklist.each_fight)

    def _figure(self, case: Case, item: LineNow) -> str:
        asked = figure_asked(case, item.line)
        given = item.answer.detail.get("figure") if item.answer else None
        if item.wants_second:
            return "second ?"
        if asked is None:
            return ""
        return figure_words(asked, float(given)) if given is not None else f"? {asked.unit}" if item.waits else ""

    def _fitting(self, blocks: list[list[Line]], room: int) -> tuple[list[Line], int]:
        """The lines that fit: first those further below go, then those answered above, last those not answered."""
        shown = list(range(len(blocks)))
        at, lines = min(self.row, len(blocks) - 1), self.lines()

        def costs(index: int) -> tuple[int, int]:
            if index > at + 1:
                return (0, -index)
            return (1 if not lines[index].waits and not lines[index].wants_second else 2, index)

        while sum(len(blocks[index]) for index in shown) > room and len(shown) > 1:
            shown.remove(min((index for index in shown if index != at), key=costs))
        below = len(blocks) - 1 - shown[-1]
        return filled([row for index in shown for row in blocks[index]], room), below

    def _detail(self, case: Case, required: Requirement) -> Iterator[tuple[str, str]]:
        item = self.at()
        if item is None:
            return
        full = words.line_text(case, item.line)
        if full != item.line.text:
            yield ("line", full)
        if item.by_book:
            yield ("the book", book_words(case, item))
        elif not_by_book(case, item) and not item.passes:
            yield ("the book", not_by_book(case, item))
        wording = sheeting.wording(case, item.line.text_from)
        if wording:
            yield ("sheet", f'"{wording}"')
        asked = figure_asked(case, item.line)
        if asked is not None and item.waits:
            top = figure_words(asked, None).partition(", ")[2]
            yield ("figure", f"type the {asked.name} in {asked.unit}, then Enter" + (f": {top}" if top else ""))
        given = item.answer.detail.get("figure") if item.answer else None
        if item.wants_second and item.answer:
            yield ("second", f"look at it yourself, then sign; {item.answer.entry.by} did it and cannot")
        elif _failed(item) and asked is not None and given is not None:
            yield ("why", f"{figure_words(asked, float(given))}: more than the event allows")
        elif not item.passes:
            yield ("why", why_line(case, self.checklist, item.required))
        note = item.answer.detail.get("note") if item.answer else None
        if note:
            yield ("note", str(note))
        for fact in evidence_of(item.required)[:1]:
            yield ("rests on", fact_words(case, fact))
        yield ("ground", item.line.ground)


def _failed(item: LineNow) -> bool:
    return item.required.verdict == "fail"


def _who(case: Case, item: LineNow, width: int) -> str:
    if item.answer is None:
        return "book" if item.by_book else ""
    second = item.answer.detail.get("second")
    who = f"{item.answer.entry.by}+{second}" if second else item.answer.entry.by
    return f"{pad(who, WHO)}{words.at(case, item.answer.happened)}" if width >= NARROW else who


def _labelled(label: str, text: str, width: int) -> list[Line]:
    return labelled(
        label, text, width, "" if label in ("why", "second", "line", "figure", "sheet", "the book") else "quiet", 2
    )
