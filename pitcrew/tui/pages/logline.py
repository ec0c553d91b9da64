"""One line of the logbook: what stands behind it, how it is put right or taken out, and each of its entries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pitcrew.bench import names
from pitcrew.bench.correcting import FIGURES, WORDS, correct_as, said, withdraw, withdraw_act
from pitcrew.bench.desk import Desk
from pitcrew.bench.entry_words import EXTRAS, subject_name
from pitcrew.bench.history import HistoryLine, detail, state_of
from pitcrew.bench.history import said as line_words
from pitcrew.bench.pack_words import AGAIN
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.verdict import WORST_FIRST
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.tui.finding import THINGS, page_of
from pitcrew.tui.page import Answer, Answers, Ask, Go, Outcome, Page, Say, Write, marked, parting
from pitcrew.tui.paint import Line, Span, labelled, line, pad
from pitcrew.tui.strips import shorten

# The screen that shows what an entry of a kind is about.
SHOWN_AS = {
    "torqued": "joint",
    "opened": "joint",
    "marks_good": "joint",
    "direct": "stack",
    "weighed": "configuration",
    "declared": "configuration",
    "part_weighed": "part",
    "looked_at": "part",
    **dict.fromkeys(("pack_read", "charge_started", "charge_ended"), "part"),
    "rewired": "part",
    "reprogrammed": "part",
    "finding": "part",
    "fitted": "part",
    "removed": "part",
    "hit": "zone",
    "looked_over": "zone",
    "hand_checked": "zone",
}
# Of these typing puts right what the line is for, and not only its note.
TYPED = frozenset((*FIGURES, *WORDS, *AGAIN, "hit", "note"))
STATES = {"takes": "withdraws"}
ORDER = ("said", "now", "corrects", "withdraws", "because", "by", "rests on")
MOST_MOVED, LONGEST_NAME = 6, 24


def state_words(item: HistoryLine) -> tuple[str, str]:
    """How a line stands, in a word, and the number of the line it names: corrects, #147."""
    first, _, rest = item.state.partition(" ")
    return STATES.get(first, first), rest.rpartition(" ")[2]


def figure_of(item: HistoryLine) -> str:
    """The figure a line says, with its unit; empty where it says none."""
    return EXTRAS["weighed"](item.entry, item.entry.detail) if item.kind in FIGURES else ""


def counts(item: HistoryLine) -> bool:
    """Does the line still count, as it was written or as a correction?"""
    return state_words(item)[0] in ("", "corrects")


# what stands behind it


def behind(session: Session, item: HistoryLine, moved: str) -> list[tuple[str, str]]:
    """Labels and sentences: what was said, what speaks instead, by whom, what it rests on, what it moves."""
    rows = [("withdraws" if label == "takes out" else label, text) for label, text in _detail(session, item)]
    found = sorted(rows, key=lambda row: ORDER.index(row[0]) if row[0] in ORDER else len(ORDER))
    tools = [text for label, text in found if label == "with"]
    said_by = [
        (label, f"{text}, with {'; '.join(tools)}" if label == "by" and tools else text)
        for label, text in found
        if label != "with"
    ]
    return [*said_by, ("moves", moved)] if moved else said_by


def _detail(session: Session, item: HistoryLine) -> list[tuple[str, str]]:
    return detail(session.evidence, session.book, item)


class Moved:
    """Which verdicts rest on an entry, found once for a standing."""

    def __init__(self) -> None:
        self._of: View | None = None
        self._found: dict[str, list[tuple[int, str, str]]] = {}

    def words(self, session: Session, item: HistoryLine) -> str:
        """The verdicts that rest on a line, or on what speaks for it now; the worst first, some of them."""
        view = session.view
        if view is None:
            return ""
        if self._of is not view:
            self._of, self._found = view, _resting(view)
        speaking = [session.evidence.speaking(ident) for ident in item.ids]
        idents = [*item.ids, *(fact.id for fact in speaking if fact is not None)]
        found = sorted({row for ident in idents for row in self._found.get(ident, ())})
        texts = [f"{_label(view, key)} {verdict}" for _, key, verdict in found[:MOST_MOVED]]
        more = len(found) - MOST_MOVED
        return ", ".join([*texts, f"and {more} more"] if more > 0 else texts)


def _resting(view: View) -> dict[str, list[tuple[int, str, str]]]:
    """For each entry the rank, key and word of every verdict that rests on it; capitals block."""
    found: dict[str, list[tuple[int, str, str]]] = {}
    known = set()
    for item in view.standing.requirements:
        known.add(item.key)
        rank = WORST_FIRST.index(item.verdict) + (0 if item.blocks else len(WORST_FIRST))
        row = (rank, item.key, item.verdict.upper() if item.blocks else item.verdict)
        for ident in item.evidence:
            found.setdefault(ident, []).append(row)
    for weight in view.standing.weights:
        key = f"weight:{weight.configuration}"
        if key not in known:
            row = (len(WORST_FIRST) + WORST_FIRST.index(weight.verdict), key, weight.verdict)
            for fact in weight.rests_on:
                found.setdefault(fact.id, []).append(row)
    return found


def _label(view: View, key: str) -> str:
    found = next((item for item in view.standing.requirements if item.key == key), None)
    if found is not None:
        return names.label(view.case, found)
    group, _, subject = key.partition(":")
    return f"{group} {names.configuration_name(view.case, subject)}"


# what can be said to it


def line_answers(session: Session, item: HistoryLine, beside: Sequence[Answer]) -> Answers:
    """Correct, withdraw, and what stands beside them, of which the last is bracketed where typing puts nothing right.

    What no longer counts says so when it is to be corrected or withdrawn. What was defined is never withdrawn here,
    for the rest of the book speaks of it.
    """
    defines, says = item.kind in DEFINITION_KINDS, item.kind in TYPED
    text = said(item.entry) if not defines or (says and len(item.ids) == 1) else ""
    if defines and not text:
        return Answers(tuple(beside), len(beside) - 1 if beside else None)
    every = f" all {len(item.ids)}" if len(item.ids) > 1 else ""
    gone = not counts(item)
    items = list(beside)
    if not defines:
        why = Answer(f"withdraw{every}", lambda: Say(_gone(item), "care") if gone else _ask_why(session, item))
        items.insert(0, why)
    if text or gone:
        label = f"correct{'' if says or gone else ' the note'}{every}"
        items.insert(0, Answer(label, lambda: Say(_gone(item), "care") if gone else _ask_right(session, item, text)))
    first = 0 if says and text and not gone else len(items) - 1
    return Answers(tuple(items), first if beside or first == 0 else None, "choose first")


def _gone(item: HistoryLine) -> str:
    state, _ = state_words(item)
    if state == "withdraws":
        return f"#{item.n} is a withdrawal, and stands for ever; log anew what it took out"
    other = "; put right the line that speaks now" if state == "replaced" else "; log it anew if it was so"
    return f"#{item.n} is {state} and no longer counts{other}"


def _ask_right(session: Session, item: HistoryLine, text: str) -> Outcome:
    """Ask for what a line should have said. Words are there to be changed; a figure is typed anew."""

    def drafts(desk: Desk, typed: str) -> list[Draft]:
        return [draft for ident in item.ids for draft in correct_as(desk, ident, typed)]

    def take(typed: str) -> Outcome:
        drafts(session.desk(), typed)  # refused while what was typed still stands
        return Write(lambda desk: drafts(desk, typed))

    which = f"#{item.n}" if len(item.ids) == 1 else f"{len(item.ids)} entries"
    anew = item.kind in FIGURES or item.kind == "hit"
    units = f" A bare figure is {FIGURES[item.kind][2]}." if item.kind in FIGURES else ""
    grades = " light, solid or hard" if item.kind == "hit" else ""
    hint = f"what should {which} say instead of {figure_of(item) or text}?{units}{grades}"
    return Ask("correct", take, hint if anew else f"what should {which} say?", "" if anew else text)


def _ask_why(session: Session, item: HistoryLine) -> Outcome:
    """Ask why a line is taken out; no reason is allowed."""

    def take(typed: str) -> Outcome:
        return Write(lambda desk: withdrawal(desk, item, typed.strip()))

    facts = session.evidence.act(item.act)
    stay = sum(fact.id not in item.ids for fact in facts)
    left = f" ({stay} more of the same act stay)" if stay else ""
    which = f"#{item.n}" if len(item.ids) == 1 else f"{len(item.ids)} entries"
    return Ask("why", take, f"why is {which} taken out{left}? Enter alone gives no reason")


def withdrawal(desk: Desk, item: HistoryLine, why: str) -> list[Draft]:
    """What takes a line out: the whole act where the line is all of it, else the line's entries."""
    facts = desk.evidence.act(item.act)
    if facts and {fact.id for fact in facts} <= set(item.ids):
        return withdraw_act(desk, item.act, why)
    return [draft for ident in item.ids for draft in withdraw(desk, ident, why)]


def about_of(session: Session, item: HistoryLine) -> str:
    """The name of what a line is about; empty where it is about nothing that has one."""
    return subject_name(session.evidence, item.entry).split(" at ", 1)[0].strip()


def shown_thing(session: Session, item: HistoryLine) -> tuple[Answer, ...]:
    """The answer that shows what the line is about on its own screen."""
    sort = SHOWN_AS.get(item.kind)
    name = about_of(session, item)
    if item.kind == "reading" and session.view is not None:
        sort = "part" if item.entry.detail["of"] != session.robot else None
    ident = str(item.entry.detail["of"]) if item.kind == "reading" else item.entry.subject
    if sort not in THINGS or not name:
        return ()
    found = sort

    def go() -> Outcome:
        page = page_of(session, found, ident)
        return Go(page) if page is not None else None

    return (Answer(f"show {shorten(name, LONGEST_NAME)}", go),)


class LogLine(Page):
    """A line opened: everything behind it, and each of its entries, which can be put right one by one."""

    name = "line"
    title = "a line of the logbook"

    def __init__(self, session: Session, item: HistoryLine) -> None:
        super().__init__(session)
        self._line = item
        self._moved = Moved()
        self._rows: tuple[tuple[object, ...], list[HistoryLine]] | None = None
        self._painted: tuple[tuple[object, ...], list[Line]] | None = None

    def entries(self) -> list[HistoryLine]:
        """The line's entries, each as a line of its own, as they stand now."""
        if self._rows is None or self._rows[0] != (self.session.seen,):
            self._rows = ((self.session.seen,), list(_singly(self.session, self._line)))
        return self._rows[1]

    def keys(self) -> Sequence[str]:
        return [item.ids[0] for item in self.entries()]

    def item(self) -> HistoryLine:
        """The entry the keys are at."""
        entries = self.entries()
        return entries[min(self.row, len(entries) - 1)]

    def answers(self) -> Answers:
        return line_answers(self.session, self.item(), shown_thing(self.session, self.item()))

    def sheet(self, width: int, height: int) -> list[Line]:
        entries = self.entries()
        rows = [line(Span("  line      ", "quiet"), f"{self._line.day} {self._line.time} {self._line.by}")]
        if len(entries) > 1:
            room = min(len(entries), max(height - 8, 1))
            start = min(max(self.row - room // 2, 0), len(entries) - room)
            for index in range(start, start + room):
                rows.append(marked(_entry_row(entries[index], width), index == self.row, width))
            below = len(entries) - start - room
            rows.append(parting(f"#{self.item().n}", width, f"{below} below" if below else ""))
        return [*rows, *self._behind(width)][:height]

    def _behind(self, width: int) -> list[Line]:
        key = (self.session.seen, id(self.session.view), self.row, width)
        if self._painted is None or self._painted[0] != key:
            item = self.item()
            rows: list[Line] = []
            for label, text in behind(self.session, item, self._moved.words(self.session, item)):
                rows += labelled(label, text, width)
            self._painted = (key, rows)
        return self._painted[1]


def _singly(session: Session, item: HistoryLine) -> Iterator[HistoryLine]:
    def number(ident: str) -> int | None:
        found = session.book.read(ident)
        return found.n if found is not None else None

    for entry in filter(None, map(session.book.read, item.ids)):
        state = state_of(session.evidence, entry, number)
        words = line_words(session.evidence, [entry])
        yield item._replace(n=entry.n, ids=(entry.id,), words=words, entry=entry, state=state)


def _entry_row(item: HistoryLine, width: int) -> Line:
    state, _ = state_words(item)
    return line(" ", Span(f"{state:<9}", "quiet"), f" #{item.n} ", pad(item.words, width - 14 - len(str(item.n))))
