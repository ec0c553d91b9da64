"""The logbook as lines: pages of them from anywhere in a book of any length, and what stands behind one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from itertools import groupby
from typing import NamedTuple

from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.openbook import time_zone
from pitcrew.bench.remembering import Remembered
from pitcrew.logbook.book import LATEST, Book, stretch
from pitcrew.robot.definitions import Robot, read
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.moments import zone as zone_called
from pitcrew.robot.records import Entry, Evidence
from pitcrew.text import plain

# A place in the book: an entry's tick (milliseconds UTC) and row.
Cursor = tuple[int, int]

LINES = 40
# Entries looked at before a search answers with what it has: about as long as a page takes.
BUDGET = 100
CHUNK = 48
FIRST: Cursor = (0, 0)


class HistoryLine(NamedTuple):
    """Entries of one act that say the same of different things, as one line.

    `n` is the number of the first of them, `ids` are all of them; `time` (15:24) and `day` (2026-06-13) are when it
    was done, in the event's zone; `words` say what was done, to what, and the note. `state` is empty for a line that
    counts, else `replaced`, `corrects #147`, `withdrawn` or `takes out #130`. The line reaches from `start` to `end`.
    """

    n: int
    act: str
    ids: tuple[str, ...]
    time: str
    day: str
    by: str
    words: str
    state: str
    kind: str
    entry: Entry
    start: Cursor
    end: Cursor


class Page(NamedTuple):
    """Lines, newest last, and where to go on from.

    `older` leads to the page before, and is None at the beginning of the book; `newer` leads to the page after, and
    later to what has been written since. `ended` says that there was nothing further the way it was read.
    `searched_to` is where a search stopped for now with the page not yet full; going on from there finds the rest.
    """

    lines: tuple[HistoryLine, ...]
    older: Cursor | None
    newer: Cursor
    ended: bool
    searched_to: Cursor | None = None


class Wanted(NamedTuple):
    """Which lines are wanted: one robot's, about some words, with definitions; of the book known before a tick."""

    robot: str | None = None
    about: tuple[str, ...] = ()
    definitions: bool = False
    cut: int | None = None

    def holds(self, entry: Entry) -> bool:
        """May this entry be part of a line that is wanted?"""
        kept = self.definitions or bool(self.about) or entry.kind not in DEFINITION_KINDS
        return kept and self.robot in (None, entry.robot)

    def fits(self, entries: Sequence[Entry], words: str, state: str) -> bool:
        """Does the line that these entries are hold every word asked for?"""
        if not self.about:
            return True
        parts = (state, words, entries[0].by, entries[0].kind, *(f"#{entry.n}" for entry in entries))
        text = "\n".join(parts).casefold()
        return all(word in text for word in self.about)


class Known:
    """What lines of a book need to be said: the names in it, its time zone, the numbers of its entries.

    It is of one moment, and keeps what it has found out; make it anew when the book has changed. `evidence` is that
    of the same book under the same cut, where it is at hand.
    """

    def __init__(
        self, book: Book, cut: int | None = None, robot: str | None = None, evidence: Evidence | None = None
    ) -> None:
        self.evidence = evidence or Remembered(book.evidence(cut))
        fact = next(self.evidence.facts("robot", robot), None) if robot else None
        self._zone = zone_called(time_zone(self.evidence, read(Robot, fact) if fact else None))
        self._book = book

    def number(self, ident: str) -> int | None:
        """An entry's number by its id."""
        entry = self._book.read(ident)
        return entry.n if entry else None

    def when(self, ms: int) -> tuple[str, str]:
        """The time of day (15:24) and the day (2026-06-13) of a moment."""
        day, time = datetime.fromtimestamp(ms / 1000, UTC).astimezone(self._zone).strftime("%Y-%m-%d %H:%M").split()
        return time, day


def likeness(entry: Entry) -> tuple[object, ...]:
    """Entries of one act that say the same of different things are one line."""
    return (entry.act, entry.kind, entry.replaces is None, entry_words(entry), note_words(entry))


def said(evidence: Evidence, entries: Sequence[Entry]) -> str:
    """What entries that are one line say: what was done, to what, and the note."""
    about = ", ".join(dict.fromkeys(filter(None, (subject_name(evidence, entry) for entry in entries))))
    return " ".join(filter(None, (entry_words(entries[0]), about, note_words(entries[0]))))


def state_of(evidence: Evidence, entry: Entry, number: Callable[[str], int | None]) -> str:
    """How an entry stands now: empty when it counts. `number` gives an entry's number by its id."""
    named = f"#{number(entry.replaces) or '?'}" if entry.replaces else ""
    if entry.kind == "withdrawn":
        return f"takes out {named}"
    speaking = evidence.speaking(entry.id)
    if speaking is None:
        return "withdrawn"
    if speaking.id != entry.id:
        return "replaced"
    return f"corrects {named}" if named else ""


def state_of_all(evidence: Evidence, entries: Sequence[Entry], number: Callable[[str], int | None]) -> str:
    """How entries that are one line stand now; withdrawals name the first and the last line they take out."""
    first = state_of(evidence, entries[0], number)
    last = number(entries[-1].replaces or "") if entries[0].kind == "withdrawn" and len(entries) > 1 else None
    return f"{first}-{last}" if last is not None else first


def page(
    book: Book,
    before: Cursor | None = None,
    count: int = LINES,
    robot: str | None = None,
    about: str = "",
    cut: int | None = None,
    *,
    definitions: bool = False,
    known: Known | None = None,
    budget: int = BUDGET,
) -> Page:
    """The lines before a place in the book, or the last ones.

    Entries of an act that stand together in the book are never parted, so a page may hold a few lines more than asked
    for, and lines are the same from wherever they are read.

    Args:
        book: the book.
        before: only lines before this place, a page's `older` or a line's `start`.
        count: how many lines.
        robot: only lines of this robot, by its id.
        about: only lines that hold all these words, in any case: in what they say, names, initials, kind, #number.
        cut: the book as known before this tick (milliseconds UTC).
        definitions: with what was defined, which else is only there when it is searched for.
        known: names known from an earlier page of the same moment, which make a search several times as fast.
        budget: how many entries to look at before answering with what was found.

    Raises:
        BookError: the file cannot be read.
    """
    wanted = Wanted(robot, tuple(plain(about).casefold().split()), definitions, cut)
    found = _Reading(book, wanted, known or Known(book, cut, robot), newer=False)
    found.read(before or LATEST, count, budget)
    lines = tuple(line for run in reversed(found.runs) for line in run)
    newest = (before[0], before[1] - 1) if before else found.first or FIRST
    older = None if found.ended else found.edge
    return Page(lines, older, newest, found.ended, None if found.ended or len(lines) >= count else found.edge)


def newer(
    book: Book,
    after: Cursor,
    count: int = LINES,
    robot: str | None = None,
    about: str = "",
    cut: int | None = None,
    *,
    definitions: bool = False,
    known: Known | None = None,
    budget: int = BUDGET,
) -> Page:
    """The lines after a place in the book, a page's `newer` or a line's `end`; everything else is as for `page`."""
    wanted = Wanted(robot, tuple(plain(about).casefold().split()), definitions, cut)
    found = _Reading(book, wanted, known or Known(book, cut, robot), newer=True)
    found.read(after, count, budget)
    lines = tuple(line for run in found.runs for line in run)
    edge = found.edge or after
    older = (after[0], after[1] + 1)
    return Page(lines, older, edge, found.ended, None if found.ended or len(lines) >= count else edge)


class _Reading:
    """One walk through the book, entry by entry, until there are lines enough, the budget is spent, or it ends."""

    def __init__(self, book: Book, wanted: Wanted, known: Known, newer: bool) -> None:
        self._book, self._wanted, self._known, self._newer = book, wanted, known, newer
        self.runs: list[list[HistoryLine]] = []
        self.first: Cursor | None = None
        self.edge: Cursor | None = None
        self.ended = False

    def read(self, start: Cursor, count: int, budget: int) -> None:
        """Walk on from a place; an act once begun is read to its end."""
        together: list[tuple[Entry, int | None]] = []
        act = ""
        lines = 0
        for looked_at, (entry, replaced) in enumerate(self._entries(start)):
            if entry.act != act:
                lines += self._take(together)
                together, act = [], entry.act
                if lines >= count:
                    return
            if looked_at >= budget and not together:
                return
            if self._wanted.holds(entry):
                together.append((entry, replaced))
            self.edge = (entry.tick, entry.n)
            self.first = self.first or self.edge
        self._take(together)
        self.ended = True

    def _entries(self, start: Cursor) -> Iterator[tuple[Entry, int | None]]:
        while rows := stretch(self._book, start, CHUNK, self._newer, self._wanted.cut):
            yield from rows
            if len(rows) < CHUNK:
                return
            start = (rows[-1][0].tick, rows[-1][0].n)

    def _take(self, together: list[tuple[Entry, int | None]]) -> int:
        """Make lines of entries of one act; how many of them are wanted."""
        in_order = together if self._newer else together[::-1]
        states = ((entry, self._state(entry, replaced)) for entry, replaced in in_order)
        lines = []
        for _, alike in groupby(states, key=_one_line):
            group = list(alike)
            entries = [entry for entry, _ in group]
            words, state = plain(said(self._known.evidence, entries)), group[0][1]
            if entries[0].kind == "withdrawn":
                state = state_of_all(self._known.evidence, entries, self._known.number)
            if self._wanted.fits(entries, words, state):
                lines.append(self._line(entries, words, state))
        if lines:
            self.runs.append(lines)
        return len(lines)

    def _state(self, entry: Entry, replaced: int | None) -> str:
        # Most entries were never touched, and need no walk along their line to say that they count.
        if replaced is None and entry.replaces is None and not entry.detail.get("because"):
            return ""
        return state_of(self._known.evidence, entry, self._known.number)

    def _line(self, entries: list[Entry], words: str, state: str) -> HistoryLine:
        first, last = entries[0], entries[-1]
        time, day = self._known.when(first.happened)
        return HistoryLine(
            n=first.n,
            act=first.act,
            ids=tuple(entry.id for entry in entries),
            time=time,
            day=day,
            by=first.by,
            words=words,
            state=state,
            kind=first.kind,
            entry=first,
            start=(first.tick, first.n),
            end=(last.tick, last.n),
        )


def _one_line(pair: tuple[Entry, str]) -> tuple[object, ...]:
    """What entries of one act have in common that are one line; of withdrawals each takes out another entry."""
    entry, state = pair
    return likeness(entry), "" if entry.kind == "withdrawn" else state


def detail(evidence: Evidence, book: Book, line: HistoryLine, cut: int | None = None) -> list[tuple[str, str]]:
    """What stands behind a line, as labels and sentences: who said it when, what speaks instead, what it rests on.

    Args:
        evidence: the book as known at the moment it is looked at.
        book: the book.
        line: one of its lines.
        cut: the tick before which the evidence knows entries, if it was cut.

    Raises:
        BookError: the file cannot be read.
    """
    return list(_Behind(evidence, book, cut).rows(line))


class _Behind:
    """What stands behind a line."""

    def __init__(self, evidence: Evidence, book: Book, cut: int | None) -> None:
        self._evidence, self._book, self._cut = evidence, book, cut
        self._zone = zone_called(time_zone(evidence))

    def rows(self, line: HistoryLine) -> Iterator[tuple[str, str]]:
        yield "said", line.words
        yield "by", self._by(line.entry)
        entries = [entry for entry in map(self._book.read, line.ids) if entry is not None]
        for label, sentences in (
            ("with", map(self._with, entries)),
            ("takes out" if line.kind == "withdrawn" else "corrects", map(self._corrects, entries)),
            ("now", (self._now(entry) for entry in entries if line.state in ("replaced", "withdrawn"))),
            ("because", map(self._because, entries)),
            ("rests on", (sentence for entry in entries for sentence in self._rests_on(entry))),
        ):
            for sentence in dict.fromkeys(filter(None, sentences)):
                yield label, plain(sentence)

    def _by(self, entry: Entry) -> str:
        at = self._at(entry.happened, "%H:%M on %Y-%m-%d")
        late = entry.tick - entry.happened >= MINUTE_MS
        written = f", written down {self._at(entry.tick, '%H:%M on %Y-%m-%d')}" if late else ""
        return plain(f"{entry.by} {at}{written}")

    def _at(self, ms: int, form: str = "%H:%M") -> str:
        return datetime.fromtimestamp(ms / 1000, UTC).astimezone(self._zone).strftime(form)

    def _whole(self, entry: Entry | None) -> str:
        """An entry in one sentence: its number, when, who, what."""
        if entry is None:
            return "an entry that is not in this book"
        return f"#{entry.n} {self._at(entry.happened)} {entry.by}: {said(self._evidence, [entry])}"

    def _with(self, entry: Entry) -> str:
        tool = entry.detail.get("instrument")
        fact = next(self._evidence.facts("instrument", str(tool)), None) if tool else None
        second = entry.detail.get("second")
        named = str(fact.detail["name"]) if fact else str(tool or "")
        return ", ".join(filter(None, (named, f"second {second}" if second else "")))

    def _corrects(self, entry: Entry) -> str:
        return self._whole(self._book.read(entry.replaces)) if entry.replaces else ""

    def _now(self, entry: Entry) -> str:
        speaking = self._evidence.speaking(entry.id)
        if speaking is not None:
            own = speaking.entry
            since = f"since {self._at(own.tick)}, speaks for {self._at(own.happened)}"
            return f"{self._whole(own)}; {since}" if own.id != entry.id else ""
        last = self._last_word(entry)
        if last.kind == "withdrawn":
            return f"#{last.n} {self._at(last.tick)} {last.by}: withdrawn {note_words(last)}".rstrip()
        return "what it was written because of no longer counts"

    def _last_word(self, entry: Entry) -> Entry:
        """The end of the line an entry belongs to."""
        seen = {entry.n}
        while True:
            ((_, after),) = stretch(self._book, (entry.tick, entry.n + 1), 1, cut=self._cut)
            following = self._book.by_number(after) if after is not None else None
            if following is None or following.n in seen:
                return entry
            seen.add(following.n)
            entry = following

    def _because(self, entry: Entry) -> str:
        ground = entry.detail.get("because")
        return self._whole(self._book.read(str(ground))) if ground else ""

    def _rests_on(self, entry: Entry) -> Iterator[str]:
        named = [*entry.detail.get("rests_on", ())]
        if entry.kind in ("mended", "deferred"):
            named.append(entry.subject)
        for ident in filter(None, named):
            yield self._whole(self._book.read(str(ident)))
        if entry.detail.get("hit"):
            # A blow is named by its act: it may lie in several zones.
            yield self._blow(str(entry.detail["hit"]))

    def _blow(self, act: str) -> str:
        blow = [fact.entry for fact in self._evidence.act(act) if fact.entry.kind == "hit"]
        felt = [entry for entry in blow if not entry.detail.get("because")]
        if not felt:
            return self._whole(None)
        first, last = felt[0].n, felt[-1].n
        numbers = f"#{first}" if first == last else f"#{first}-{last}"
        return f"{numbers} {self._at(felt[0].happened)} {felt[0].by}: {said(self._evidence, felt)}"
