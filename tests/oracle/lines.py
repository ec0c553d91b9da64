"""The book replayed the slow way: which entries speak, where parts sit, how far a hit is felt.

Lists and full scans only, so that each function can be held against its rule by eye.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pitcrew.robot.kinds import KINDS
from pitcrew.robot.records import Entry, Fact, clears

Detail = Mapping[str, Any]

NOT_SEEN = {"bent", "cracked"}
"""Findings that say there was a hit nobody saw."""


def root_of(entry: Entry, known: Mapping[str, Entry]) -> Entry:
    """The first entry of the line; an entry that names an unknown one is the first of its own."""
    while entry.replaces is not None and entry.replaces in known:
        entry = known[entry.replaces]
    return entry


def lines_of(known: Mapping[str, Entry]) -> dict[str, list[Entry]]:
    """Everything of each line, the root included, by the id of the root."""
    lines: dict[str, list[Entry]] = {}
    for entry in known.values():
        lines.setdefault(root_of(entry, known).id, []).append(entry)
    return lines


def speaker(line: list[Entry]) -> Entry | None:
    """The entry that speaks for a line; nothing speaks for one that was withdrawn."""
    if any(member.kind == "withdrawn" for member in line):
        return None
    return max(line, key=lambda member: (member.tick, member.writer, member.id))


def reason_counts(reason: Entry | None, source: str) -> bool:
    """Does what speaks for the ground of a hit of this source still make it a hit?"""
    if reason is None:
        return False
    if reason.kind == "finding":
        if source == "no hit seen":
            return reason.detail["what"] in NOT_SEEN
        return reason.detail.get("raises") is True
    return reason.kind == "hand_checked" and reason.detail["sign"] is True


def facts_of(entries: Iterable[Entry], cut: int) -> list[Fact]:
    """Every fact of the book as it was known at the cut, oldest first."""
    known = {entry.id: entry for entry in entries if entry.tick < cut}
    lines = lines_of(known)
    facts = []
    for name, line in lines.items():
        root, spoken = known[name], speaker(line)
        if spoken is None:
            continue
        because = spoken.detail.get("because") if spoken.kind == "hit" else None
        if because is not None:
            reason = speaker(lines[root_of(known[because], known).id]) if because in known else None
            if not reason_counts(reason, spoken.detail["source"]):
                continue
        facts.append(Fact(spoken, root.tick, root.writer, root.id))
    return sorted(facts, key=lambda fact: fact.order)


def newest(facts: Iterable[Fact]) -> Fact | None:
    return max(facts, key=lambda fact: fact.order, default=None)


class Book:
    """The facts of one moment, oldest first, and the robot they are asked about."""

    def __init__(self, facts: list[Fact], robot: str, now: int) -> None:
        self.facts = facts
        self.of_kind: dict[str, list[Fact]] = {kind: [] for kind in KINDS}
        for fact in facts:
            self.of_kind[fact.entry.kind].append(fact)
        self.placed = [fact for fact in facts if fact.entry.kind in ("fitted", "removed")]
        self.robot = robot
        self.now = now

    def all(self, kind: str, subject: str | None = None) -> list[Fact]:
        """Facts of a kind, about one subject or about any, oldest first."""
        return [fact for fact in self.of_kind[kind] if subject is None or fact.subject == subject]

    def definition(self, kind: str, subject: str | None) -> Detail | None:
        """The definition of one thing that counts."""
        found = newest(self.all(kind, subject)) if subject is not None else None
        return None if found is None else found.detail

    def defined(self, kind: str, everywhere: bool = False) -> dict[str, Detail]:
        """Every definition of a kind: those of the robot, or of the whole book."""
        newest_of: dict[str, Fact] = {fact.subject: fact for fact in self.all(kind)}
        return {
            subject: fact.detail for subject, fact in newest_of.items() if everywhere or fact.entry.robot == self.robot
        }

    def event(self) -> Detail:
        """The event the robot is at; empty when it is at none."""
        robot = self.definition("robot", self.robot) or {}
        return self.definition("event", robot.get("event")) or {}

    def doubt_ms(self) -> int:
        seconds = self.event().get("clock_doubt_s")
        return int((120 if seconds is None else seconds) * 1000)

    def uncleared(self, disturbance: Fact, evidence: Iterable[Fact]) -> bool:
        """No evidence clears the disturbance."""
        doubt = self.doubt_ms()
        return not any(clears(fact, disturbance, doubt) for fact in evidence)

    def any_uncleared(self, disturbances: Iterable[Fact], evidence: list[Fact]) -> bool:
        return any(self.uncleared(disturbance, evidence) for disturbance in disturbances)


# Where things sit.


def placings(book: Book, position: str) -> list[Fact]:
    """Fittings and removals at a position, oldest first."""
    return [fact for fact in book.placed if fact.entry.place == position]


def occupant(book: Book, position: str, before: Fact | None = None) -> str | None:
    """The part at a position, now or just before a fact."""
    last = newest(f for f in placings(book, position) if before is None or f.order < before.order)
    return last.subject if last is not None and last.entry.kind == "fitted" else None


def moves(book: Book, position: str) -> list[Fact]:
    """Removals, and fittings of anything that did not sit there already."""
    return [
        fact
        for fact in placings(book, position)
        if fact.entry.kind == "removed" or fact.subject != occupant(book, position, fact)
    ]


def last_placing(book: Book, part: str, before: Fact | None = None) -> Fact | None:
    """The newest fitting or removal of a part, of all or of those before a fact."""
    placed = book.all("fitted", part) + book.all("removed", part)
    return newest(fact for fact in placed if before is None or fact.order < before.order)


def sat(book: Book, part: str, at: Fact) -> str | None:
    """The position a part sat at when a fact came; None when it was off."""
    last = last_placing(book, part, at)
    return last.entry.place if last is not None and last.entry.kind == "fitted" else None


def zone_of(book: Book, position: str | None) -> str | None:
    found = book.definition("position", position)
    return None if found is None else str(found["zone"])


def sat_zone(book: Book, part: str, at: Fact) -> str | None:
    return zone_of(book, sat(book, part, at))


# How far a hit is felt.


def steps(book: Book, start: str, end: str) -> int | None:
    """The fewest steps that load takes from one zone to another; None when it never gets there."""
    reached = {start: 0}
    queue = [start]
    for zone in queue:
        for following in (book.definition("zone", zone) or {}).get("passes_to") or []:
            if following not in reached:
                reached[following] = reached[zone] + 1
                queue.append(following)
    return reached.get(end)


def felt(book: Book, hit: Fact, zone: str | None) -> int:
    """The grade of a hit where it is felt in a zone; 0 when it is not."""
    if zone is None:
        return 0
    spreads = hit.detail.get("spreads") is not False
    distance = steps(book, hit.subject, zone) if spreads else (0 if hit.subject == zone else None)
    return 0 if distance is None else max(0, (hit.entry.grade or 0) - distance)


def hits_on(book: Book, zone: str | None, least: int) -> list[Fact]:
    """Hits felt in a zone at a grade or more."""
    return [hit for hit in book.all("hit") if felt(book, hit, zone) >= max(1, least)]


def hits_on_part(book: Book, part: str, least: int) -> list[Fact]:
    """Hits felt at a grade or more where the part sat when they came."""
    return [hit for hit in book.all("hit") if felt(book, hit, sat_zone(book, part, hit)) >= max(1, least)]


# Fights.


def fights_ended(book: Book) -> list[Fact]:
    """Ends of the robot's fights, oldest first."""
    return [fact for fact in book.all("fight_ended") if fact.entry.robot == book.robot]


def current_fight(book: Book) -> Fact | None:
    """The fight entered last, unless it has ended."""
    last = newest(fact for fact in book.all("entered") if fact.entry.place == book.robot)
    return None if last is None or book.all("fight_ended", last.subject) else last
