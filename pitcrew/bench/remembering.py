"""What a book answered, kept: a second judging asks it only for what was not asked, or was changed since."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from itertools import islice
from typing import NamedTuple

from pitcrew.readiness.stream import Stream, Walk
from pitcrew.robot.definitions import Definitions, gather
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry, Evidence, Fact

MOVES = frozenset(("fitted", "removed"))
# What a hit may have been written because of: it counts or not as these stand.
GROUNDS = frozenset(("finding", "hand_checked"))

Defined = dict[str, Definitions | None]


class Question(NamedTuple):
    """One question asked of the evidence: what is asked for, of whom (or where), and how it is narrowed."""

    asks: str
    kind: str
    about: str | None
    bound: int | None = None
    least: int = 0


class _Kept(NamedTuple):
    """Every answer kept; runs are read no further than somebody walked them."""

    runs: dict[Question, Stream]
    acts: dict[str, tuple[Fact, ...]]
    lines: dict[str, Fact | None]
    defined: dict[tuple[str, str | None], tuple[Fact, ...]]
    gathered: Defined


class Remembered:
    """The evidence of a book with every answer kept; it answers as `evidence` does, which is of one moment.

    An answer is asked for when it is wanted and read only as far as it is wanted. `after` carries it over what
    is written next.
    """

    def __init__(self, evidence: Evidence) -> None:
        self._evidence = evidence
        self._kept = _Kept({}, {}, {}, {}, {})

    def facts(self, kind: str, subject: str, upto: int | None = None) -> Iterator[Fact]:
        """Facts of a kind about a subject, newest first; with `upto`, none that happened after it."""
        asked = Question("facts", kind, subject, upto)
        return self._run(asked, partial(self._evidence.facts, kind, subject, upto))

    def placed(self, place: str, upto: int | None = None) -> Iterator[Fact]:
        """Fittings and removals at a position, newest first."""
        return self._run(Question("placed", "", place, upto), partial(self._evidence.placed, place, upto))

    def at_place(self, kind: str, place: str) -> Iterator[Fact]:
        """Facts of a kind at a place, newest first."""
        return self._run(Question("at place", kind, place), partial(self._evidence.at_place, kind, place))

    def hits(self, zone: str, least: int, upto: int | None = None) -> Iterator[Fact]:
        """Hits on a zone of at least this grade, newest first; with `upto`, none that happened after it."""
        asked = Question("hits", "hit", zone, upto, least)
        return self._run(asked, partial(self._evidence.hits, zone, least, upto))

    def fights_ended(self, robot: str, after: int) -> Iterator[Fact]:
        """Ends of fights that happened at or after a moment, oldest first."""
        asked = Question("ends after", "fight_ended", robot, after)
        return self._run(asked, partial(self._evidence.fights_ended, robot, after))

    def last_fights_ended(self, robot: str) -> Iterator[Fact]:
        """Ends of fights, newest first."""
        asked = Question("last ends", "fight_ended", robot)
        return self._run(asked, partial(self._evidence.last_fights_ended, robot))

    def act(self, act: str) -> tuple[Fact, ...]:
        """Every fact of one act."""
        acts = self._kept.acts
        if act not in acts:
            acts[act] = self._evidence.act(act)
        return acts[act]

    def speaking(self, entry_id: str) -> Fact | None:
        """The fact that speaks for the line of this entry, or None when the line is withdrawn or unknown."""
        lines = self._kept.lines
        if entry_id not in lines:
            lines[entry_id] = self._evidence.speaking(entry_id)
        return lines[entry_id]

    def definitions(self, kind: str, robot: str | None) -> tuple[Fact, ...]:
        """Definitions of a kind for one robot (or for the whole book), one a subject: the latest that counts."""
        defined = self._kept.defined
        if (kind, robot) not in defined:
            defined[kind, robot] = self._evidence.definitions(kind, robot)
        return defined[kind, robot]

    def gathered(self, robot: str) -> Definitions | None:
        """One robot's definitions, read once and kept until one is written; None for a robot it does not know."""
        gathered = self._kept.gathered
        if robot not in gathered:
            gathered[robot] = gather(self, robot)
        return gathered[robot]

    def after(self, now: Evidence, entries: Sequence[Entry]) -> Remembered:
        """What is still known once more was written: every answer is kept that these entries cannot have changed.

        Runs kept go on being read from the older evidence, which for them has the same to say.

        Args:
            now: the evidence of the same book as it stands with them, under no other cut.
            entries: every entry that came in since, whoever wrote it: appended here or in another window, or
                merged. A book holds what a correction corrects, and a correction is the later of the two.
        """
        carried = Remembered(now)
        changed = _changed(self, now, entries)
        if changed is not None:
            carried._kept = _without(self._kept, changed)
        return carried

    def _run(self, asked: Question, ask: Callable[[], Iterator[Fact]]) -> Iterator[Fact]:
        runs = self._kept.runs
        if asked not in runs:
            runs[asked] = Stream(_Asked(ask))
        return Walk(runs[asked])


class _Asked:
    """A run read on where it was left, also after a book that could not be read: it is asked once more then."""

    def __init__(self, ask: Callable[[], Iterator[Fact]]) -> None:
        self._ask = ask
        self._given = 0
        self._run: Iterator[Fact] | None = None

    def __iter__(self) -> Iterator[Fact]:
        return self

    def __next__(self) -> Fact:
        run, self._run = self._run, None
        if run is None:
            run = islice(self._ask(), self._given, None)
        fact = next(run, None)
        self._run = iter(()) if fact is None else run
        if fact is None:
            raise StopIteration
        self._given += 1
        return fact


class _Changed(NamedTuple):
    """What entries may have changed: facts as they were or now are, lines by their root, and any hit's ground."""

    facts: tuple[Fact, ...]
    roots: frozenset[str]
    grounds: bool


def _changed(before: Evidence, now: Evidence, entries: Sequence[Entry]) -> _Changed | None:
    """What these entries changed; None when it cannot be said, and everything is to be asked anew."""
    new = {entry.id for entry in entries}
    withdrawn = any(entry.kind == "withdrawn" for entry in entries)
    facts: list[Fact] = []
    roots: set[str] = set()
    for entry in entries:
        was = before.speaking(entry.replaces) if entry.replaces is not None else None
        speaks = now.speaking(entry.id)
        waits = entry.detail.get("because") is not None
        if speaks is None and entry.replaces is None and not waits and not withdrawn:
            return None
        if speaks is not None and speaks.id not in new and (was is None or speaks.id != was.id):
            return None
        both = [fact for fact in (was, speaks) if fact is not None]
        facts += both
        roots |= {entry.id, *(fact.root for fact in both)}
    grounds = any(fact.entry.kind in GROUNDS for fact in facts)
    return _Changed(tuple(facts), frozenset(roots), grounds)


def _without(kept: _Kept, changed: _Changed) -> _Kept:
    acts = {fact.entry.act for fact in changed.facts}
    defined = {(fact.entry.kind, fact.entry.robot) for fact in changed.facts}
    sheets = any(kind in DEFINITION_KINDS for kind, _ in defined)
    lines = kept.lines.items() if not changed.grounds else ()
    return _Kept(
        _runs_without(kept.runs, _touched_runs(changed.facts), changed.grounds),
        {} if changed.grounds else {act: facts for act, facts in kept.acts.items() if act not in acts},
        {name: fact for name, fact in lines if fact is not None and fact.root not in changed.roots},
        {
            asked: facts
            for asked, facts in kept.defined.items()
            if asked not in defined and not (changed.grounds and asked[0] == "hit")
        },
        {} if sheets else dict(kept.gathered),
    )


def _touched_runs(facts: Iterable[Fact]) -> frozenset[Question]:
    """The runs these facts stand in or stood in, without what narrows them."""
    touched: set[Question] = set()
    for fact in facts:
        entry = fact.entry
        touched.add(Question("facts", entry.kind, entry.subject))
        if entry.place is not None:
            touched.add(Question("at place", entry.kind, entry.place))
            if entry.kind in MOVES:
                touched.add(Question("placed", "", entry.place))
        if entry.kind == "hit":
            touched |= {Question("hits", "hit", entry.subject, None, least) for least in range((entry.grade or 0) + 1)}
        if entry.kind == "fight_ended" and entry.robot is not None:
            touched |= {Question(asks, "fight_ended", entry.robot) for asks in ("ends after", "last ends")}
    return frozenset(touched)


def _runs_without(runs: dict[Question, Stream], touched: frozenset[Question], grounds: bool) -> dict[Question, Stream]:
    left = runs.copy()
    for asked in runs:
        if (asked.bound is not None and asked._replace(bound=None) in touched) or (grounds and asked.kind == "hit"):
            del left[asked]
    for asked in touched:
        left.pop(asked, None)
    return left
