"""What judging asks of a book, answered by index probes, newest first and no further than asked."""

from __future__ import annotations

import heapq
import sqlite3
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from pitcrew.logbook.lines import EVER, Lines, fetch
from pitcrew.logbook.rows import Row, from_row
from pitcrew.logbook.schema import COLUMNS
from pitcrew.robot.records import Fact, Order

# Most questions end with the newest fact; the few long ones should not pay for many short pages.
FIRST_PAGE = 4
PAGE_GROWTH = 4
GRADES = (1, 2, 3)
MOVES = ("fitted", "removed")
# A hit that nobody saw is read off a part that is bent or cracked.
UNSEEN = "no hit seen"
SHOW_A_HIT = ("bent", "cracked")

HAPPENED, KIND, REPLACES, TOUCHED = 4, 8, 12, 14

# The bounds are written `+tick` and `+n`, so that they never tempt the planner away from the probe's index.
SELECT = f"""SELECT {COLUMNS}, EXISTS (
    SELECT 1 FROM entry AS c WHERE c.replaces = entry.id AND c.tick < :cut AND +c.n <= :last) AS touched
FROM entry WHERE +tick < :cut AND +n <= :last AND """


def _page(where: str, forward: bool = False) -> str:
    """The query for one page of rows from a moment on, in the order of `happened`, which ends the index."""
    beyond, direction = (">=", "") if forward else ("<=", " DESC")
    return f"{SELECT}{where} AND happened {beyond} :start ORDER BY happened{direction} LIMIT :page"


# `+:kind`, because some indexes hold one kind only: SQLite looks whether a bare `:kind` happens to be that,
# and so would plan the query anew for every question, which takes four times as long as answering it.
LATEST = _page("subject = :subject AND kind = +:kind")
AT_PLACE = _page("place = :place AND kind = +:kind")
HITS = _page("kind = 'hit' AND subject = :subject AND grade = :grade")
# The index's own condition is repeated word for word: that is how SQLite knows that it may use the index.
FIGHT_ENDS = "robot = :robot AND kind = 'fight_ended' AND kind IN ('fight_ended', 'hit')"
ENDS = _page(FIGHT_ENDS, forward=True)
LAST_ENDS = _page(FIGHT_ENDS)
LAST = "SELECT ifnull(max(n), 0) FROM entry"
ACT = SELECT + "act = :act"
DEFINED = SELECT + "robot IS :robot AND kind = +:kind"


def _happened(row: Row) -> int:
    return int(row[HAPPENED])


def _order(fact: Fact) -> Order:
    return fact.order


class BookEvidence:
    """The facts of a book as it was known before one tick (milliseconds), or as it stands.

    One instance is one moment: entries written or merged in later are not seen, so what it has once found
    out holds, and is remembered.
    """

    def __init__(self, connection: sqlite3.Connection, cut_tick: int | None = None) -> None:
        self._connection = connection
        ((last,),) = fetch(connection, LAST, {})
        self._cut = EVER if cut_tick is None else cut_tick
        self._bounds = {"cut": self._cut, "last": last}
        self._lines = Lines(connection, self._cut, last)
        self._defined: dict[tuple[str, str | None], tuple[Fact, ...]] = {}

    def facts(self, kind: str, subject: str, upto: int | None = None) -> Iterator[Fact]:
        """Facts of a kind about a subject, newest first; with `upto`, none that happened after it."""
        return self._newest_first(LATEST, {"kind": kind, "subject": subject}, upto)

    def placed(self, place: str, upto: int | None = None) -> Iterator[Fact]:
        """Fittings and removals at a position, newest first."""
        return _merged(self._newest_first(AT_PLACE, {"place": place, "kind": kind}, upto) for kind in MOVES)

    def at_place(self, kind: str, place: str) -> Iterator[Fact]:
        """Facts of a kind at a place, newest first."""
        return self._newest_first(AT_PLACE, {"place": place, "kind": kind})

    def hits(self, zone: str, least: int, upto: int | None = None) -> Iterator[Fact]:
        """Hits on a zone of at least this grade, newest first; with `upto`, none that happened after it."""
        grades = (grade for grade in GRADES if grade >= least)
        return _merged(self._newest_first(HITS, {"subject": zone, "grade": grade}, upto) for grade in grades)

    def fights_ended(self, robot: str, after: int) -> Iterator[Fact]:
        """Ends of fights that happened at or after a moment, oldest first."""
        return self._paged(ENDS, {"robot": robot}, after)

    def last_fights_ended(self, robot: str) -> Iterator[Fact]:
        """Ends of fights, newest first."""
        return self._newest_first(LAST_ENDS, {"robot": robot})

    def act(self, act: str) -> tuple[Fact, ...]:
        """Every fact of one act, in their order."""
        return tuple(sorted(self._facts_of(self._rows(ACT, {"act": act})), key=_order))

    def speaking(self, entry_id: str) -> Fact | None:
        """The fact that speaks for the line of this entry, or None when the line is withdrawn or unknown."""
        fact = self._lines.speaking(entry_id)
        return fact if fact is not None and self._grounded(fact) else None

    def definitions(self, kind: str, robot: str | None) -> tuple[Fact, ...]:
        """Definitions of a kind for one robot (or for the whole book), one a subject: the latest that counts.

        In the order in which their subjects were first defined.
        """
        if (kind, robot) not in self._defined:
            self._defined[kind, robot] = self._define(kind, robot)
        return self._defined[kind, robot]

    def _define(self, kind: str, robot: str | None) -> tuple[Fact, ...]:
        newest: dict[str, Fact] = {}
        first: dict[str, int] = {}
        for fact in self._facts_of(self._rows(DEFINED, {"kind": kind, "robot": robot})):
            name = fact.subject
            newest[name] = max(newest.get(name, fact), fact, key=_order)
            first[name] = min(first.get(name, fact.tick), fact.tick)
        return tuple(newest[name] for name in sorted(newest, key=lambda name: (first[name], name)))

    def _newest_first(self, probe: str, keys: dict[str, Any], upto: int | None = None) -> Iterator[Fact]:
        # Nothing happened after it was written down, so a cut far back need not wade through what came since.
        start = self._cut - 1 if upto is None else min(upto, self._cut - 1)
        return self._paged(probe, keys, start, newest_first=True)

    def _paged(self, probe: str, keys: dict[str, Any], start: int, newest_first: bool = False) -> Iterator[Fact]:
        """Facts in their order.

        Rows of one moment are taken together, because a correction's own row may stand elsewhere among them
        than the line it speaks for; so the moment a full page ends in is read again with the next page.
        """
        page = FIRST_PAGE
        while True:
            rows = self._rows(probe, {**keys, "start": start, "page": page})
            whole = len(rows) < page
            for happened, moment in groupby(rows, key=_happened):
                if not whole and happened == rows[-1][HAPPENED]:
                    start = happened
                    break
                yield from sorted(self._facts_of(moment), key=_order, reverse=newest_first)
            if whole:
                return
            page *= PAGE_GROWTH

    def _rows(self, sql: str, keys: dict[str, Any]) -> list[Row]:
        return fetch(self._connection, sql, {**keys, **self._bounds})

    def _facts_of(self, rows: Iterable[Row]) -> Iterator[Fact]:
        return filter(None, map(self._fact, rows))

    def _fact(self, row: Row) -> Fact | None:
        """The fact a row speaks as; None when another entry of its line speaks, or none does."""
        if row[REPLACES] is None and not row[TOUCHED] and row[KIND] != "withdrawn":
            entry = from_row(row)
            fact = Fact(entry, entry.tick, entry.writer, entry.id)
        else:
            found = self._lines.speaking(row[1])
            if found is None or found.id != row[1]:
                return None
            fact = found
        return fact if self._grounded(fact) else None

    def _grounded(self, fact: Fact) -> bool:
        """Does what a hit was written because of still count? Anything else stands by itself."""
        because = fact.detail.get("because") if fact.entry.kind == "hit" else None
        if because is None:
            return True
        ground = self._lines.speaking(because)
        if ground is None:
            return False
        if ground.entry.kind == "finding":
            if fact.detail.get("source") == UNSEEN:
                return ground.detail.get("what") in SHOW_A_HIT
            return ground.detail.get("raises") is True
        return ground.entry.kind == "hand_checked" and ground.detail.get("sign") is True


def _merged(streams: Iterable[Iterator[Fact]]) -> Iterator[Fact]:
    return heapq.merge(*streams, key=_order, reverse=True)
