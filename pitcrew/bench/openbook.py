"""A book opened for a command: the moment it is looked at, its robots, and scratch copies to ask what-if of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.line import drafts
from pitcrew.bench.names import robot_called
from pitcrew.clock import Clock, FixedClock, Ids
from pitcrew.errors import BookError, EntryError
from pitcrew.logbook.book import Book
from pitcrew.robot.definitions import Event, Robot, read, robots
from pitcrew.robot.moments import typed
from pitcrew.robot.records import Entry, Evidence
from pitcrew.text import clean

PAGE = 5000


class Moment(NamedTuple):
    """When a book is looked at: the clock shown (ms UTC) and the tick before which entries exist (None: all)."""

    now: int
    cut: int | None
    warning: str = ""


def time_zone(evidence: Evidence, robot: Robot | None = None) -> str:
    """The time zone of a robot's event, or of the first event in the book."""
    fact = next(evidence.facts("event", robot.event), None) if robot and robot.event else None
    if fact is None:
        fact = next(iter(evidence.definitions("event", None)), None)
    return read(Event, fact).time_zone if fact is not None else "UTC"


def moment_of(book: Book, clock: Clock, at: str | None) -> Moment:
    """The moment typed, or now. A clock behind the newest entry is said, and the newest entry's time is taken."""
    newest = book.highest_tick()
    if at is not None:
        zone = time_zone(book.evidence())
        start, end = typed(at, zone, newest or clock.now_ms())
        return Moment(start, end)
    now = clock.now_ms()
    doubt_ms = 120_000
    if newest > now + doubt_ms:
        minutes = (newest - now) // 60_000
        return Moment(newest, None, f"the clock stands {minutes} min behind the newest entry; judged at that entry")
    return Moment(max(now, newest), None)


def which(evidence: Evidence, name: str | None) -> tuple[Robot, ...]:
    """The robot named, or every robot of the book."""
    if name is not None:
        return (robot_called(evidence, name),)
    found = robots(evidence)
    if not found:
        raise BookError("there is no robot in this book yet.", "Add one first.", "robot")
    return found


def supposed(book: Book, moment: Moment, lines: Sequence[str], robot: str, ids: Ids) -> Book:
    """A scratch copy of the book at a moment with lines typed into it, to see what they would do."""
    clock = FixedClock(moment.now)
    scratch = Book.memory(clock, ids)
    last = book.entries(moment.cut, limit=1)
    if last:
        # What is supposed is sure of its place: it is not a second clock that may be wrong.
        scratch.writer = last[0].writer
    after = 0
    while page := book.entries_after(after, PAGE):
        after = page[-1].n
        scratch.insert_raw([entry for entry in page if moment.cut is None or entry.tick < moment.cut], checked=True)
    for line in lines:
        scratch.append(drafts(desk(scratch, robot, "?", moment.now, ids), line, lambda n: number(scratch, n)))
    return scratch


def desk(book: Book, robot: str, by: str, now: int, ids: Ids, happened: int | None = None) -> Desk:
    """A desk at a robot (by its id), for one crew member."""
    return Desk(book.evidence(), robot, by, now, lambda: ids.mint(now), happened)


def crew_member(evidence: Evidence, initials: str) -> str:
    """Initials as the crew list spells them; a book without a crew list takes any.

    Raises:
        EntryError: none were given, or nobody in the crew has them.
    """
    wanted = clean(initials).strip()
    crew = [fact.subject for fact in evidence.definitions("crew", None)]
    found = [member for member in crew if member.casefold() == wanted.casefold()]
    if not wanted or (crew and not found):
        known = f"There is: {', '.join(crew)}." if crew else "Type your initials."
        raise EntryError(f"nobody in the crew has the initials {wanted!r:.20}.", known, "--by")
    return found[0] if found else wanted


def number(book: Book, n: int) -> str | None:
    """An entry's id by its number in this book."""
    entry = book.by_number(n)
    return entry.id if entry else None


def opened(path: str, clock: Clock, ids: Ids, readonly: bool = True) -> Book:
    """Open a book by its path."""
    return Book.open(Path(path), clock, ids, readonly=readonly)


def last_entries(book: Book, cut: int | None, robot: str | None, count: int) -> list[Entry]:
    """The last entries before a moment, oldest first; of one robot if one is named."""
    found: list[Entry] = []
    page = book.entries(cut, limit=500)
    while page and len(found) < count:
        found += [entry for entry in page if robot in (None, entry.robot)]
        page = book.entries(page[-1].tick, limit=500, before_n=page[-1].n)
    return found[:count][::-1]
