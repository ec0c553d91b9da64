"""The records that travel through the house: entries as written, facts as they speak, and how they are read.

An `Entry` is one row of the logbook. A `Fact` is an entry that counts: it, or the entry it corrects, has not
been withdrawn, nothing later replaces it, and what it was written because of still counts. A fact speaks at
the place of its line's first entry, so that a correction never freshens anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple, Protocol

Order = tuple[int, int, str, str]


class Entry(NamedTuple):
    """One row of the logbook.

    `tick` orders the book (milliseconds UTC where clocks are sane); `happened` is when it was done, never
    after `tick`. `replaces` names an entry of the same line; `detail` holds the kind's own fields, SI units.
    """

    id: str
    act: str
    tick: int
    happened: int
    writer: str
    by: str
    robot: str | None
    kind: str
    subject: str
    place: str | None
    grade: int | None
    replaces: str | None
    detail: Mapping[str, Any]
    n: int = 0


class Fact(NamedTuple):
    """An entry that counts, with the place where it speaks (`tick`, `writer`, `root` are its line's first)."""

    entry: Entry
    tick: int
    writer: str
    root: str

    @property
    def happened(self) -> int:
        """When it was done, milliseconds UTC."""
        return self.entry.happened

    @property
    def order(self) -> Order:
        """Where it stands among all facts: later is greater."""
        return (self.entry.happened, self.tick, self.writer, self.root)

    @property
    def id(self) -> str:
        """The entry that speaks, named by explanations."""
        return self.entry.id

    @property
    def subject(self) -> str:
        """What it is about."""
        return self.entry.subject

    @property
    def detail(self) -> Mapping[str, Any]:
        """The kind's own fields."""
        return self.entry.detail


def clears(evidence: Fact, disturbance: Fact, doubt_ms: int) -> bool:
    """Does this evidence stand after this disturbance?

    Within one writer the order of entries decides. Between writers, whose clocks may differ, the evidence
    must be later by more than the clock doubt (milliseconds), or it is not sure which came first.
    """
    if evidence.writer == disturbance.writer:
        return evidence.order > disturbance.order
    return evidence.happened > disturbance.happened + doubt_ms


class Evidence(Protocol):
    """What judging asks of a book as it was known at one moment. Every answer holds facts only."""

    def facts(self, kind: str, subject: str, upto: int | None = None) -> Iterator[Fact]:
        """Facts of a kind about a subject, newest first; with `upto`, none that happened after it."""
        ...

    def placed(self, place: str, upto: int | None = None) -> Iterator[Fact]:
        """Fittings and removals at a position, newest first."""
        ...

    def at_place(self, kind: str, place: str) -> Iterator[Fact]:
        """Facts of a kind at a place, newest first."""
        ...

    def hits(self, zone: str, least: int, upto: int | None = None) -> Iterator[Fact]:
        """Hits on a zone of at least this grade, newest first; with `upto`, none that happened after it."""
        ...

    def fights_ended(self, robot: str, after: int) -> Iterator[Fact]:
        """Ends of fights that happened at or after a moment, oldest first."""
        ...

    def last_fights_ended(self, robot: str) -> Iterator[Fact]:
        """Ends of fights, newest first."""
        ...

    def act(self, act: str) -> tuple[Fact, ...]:
        """Every fact of one act."""
        ...

    def speaking(self, entry_id: str) -> Fact | None:
        """The fact that speaks for the line of this entry, or None when the line is withdrawn or unknown."""
        ...

    def definitions(self, kind: str, robot: str | None) -> tuple[Fact, ...]:
        """Definitions of a kind for one robot (or for the whole book), one a subject: the latest that counts."""
        ...
