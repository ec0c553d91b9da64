"""Copies of the book up to a moment, written on through the crew's own use cases."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from pitcrew.bench import fighting, fitting, mending
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.end_to_end.commands import cut_ms, rows

Act = Callable[["Bench"], Sequence[Draft]]
Alter = Callable[..., Path]
MINUTE_MS = 60_000


class Bench:
    """A desk at one robot, with names instead of ids."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def of(self, kind: str, name: str) -> str:
        """The id of a definition by its exact name."""
        facts = (*self.desk.evidence.definitions(kind, self.desk.robot), *self.desk.evidence.definitions(kind, None))
        (found,) = {fact.subject for fact in facts if fact.detail["name"] == name}
        return found

    def finding(self, part: str, what: str) -> str:
        """The newest finding of a part, by the id of its first entry."""
        facts = self.desk.evidence.facts("finding", self.of("part", part))
        return next(fact.root for fact in facts if fact.detail["what"] == what)

    def minutes(self, count: int) -> int:
        """So many minutes from now, ms UTC."""
        return self.desk.now + count * MINUTE_MS


def entered(configuration: str, call_in: int = 30) -> Act:
    """A fight entered with a configuration, its call so many minutes away."""

    def act(bench: Bench) -> Sequence[Draft]:
        return fighting.enter(
            bench.desk,
            bench.desk.mint(),
            "X1",
            bench.of("configuration", configuration),
            call_at=bench.minutes(call_in),
            staging_at=bench.minutes(call_in + 3),
            start_at=bench.minutes(call_in + 8),
        )

    return act


def chosen(pack_set: str) -> Act:
    """Packs chosen for the next fight."""
    return lambda bench: fitting.choose_packs(bench.desk, bench.of("pack_set", pack_set))


def cracked(size_mm: float) -> Act:
    """A crack of this length found in the rear armour."""

    def act(bench: Bench) -> Sequence[Draft]:
        place = bench.of("position", "rear armour")
        part = bench.of("part", "rear armour")
        return mending.found(bench.desk, part, place, "cracked", size_m=size_mm / 1000)

    return act


def copied(book: Path, to: Path, at: str, robot: str, *acts: Act, by: str = "PB") -> Path:
    """A new book with the entries written up to a minute, then each act by one crew member in that minute."""
    cut = cut_ms(at)
    clock, ids = FixedClock(cut - MINUTE_MS), SeededIds(7)
    with Book.open(book, clock, ids, readonly=True) as source, Book.memory(clock, ids) as scratch:
        scratch.insert_raw(_known(source, cut), checked=True)
        robots = [(f.subject, str(f.detail["name"])) for f in scratch.evidence().definitions("robot", None)]
        ident = find(robot, robots, "robot")
        for act in acts:
            desk = Desk(scratch.evidence(), ident, by, clock.now_ms(), lambda: ids.mint(clock.now_ms()))
            scratch.append(list(act(Bench(desk))))
        scratch.backup(to)
    return to


def _known(source: Book, cut: int) -> list[Entry]:
    known: list[Entry] = []
    after = 0
    while page := source.entries_after(after, 5000):
        after = page[-1].n
        known += [entry for entry in page if entry.tick < cut]
    return known


def number(book: Path, kind: str, at: str, name: str) -> int:
    """The number of a line by its kind, time and the name of its subject."""
    sql = """SELECT min(entry.n) FROM entry JOIN entry AS what ON what.id = (
        SELECT id FROM entry AS named WHERE named.subject = entry.subject AND named.detail ->> 'name' = ?3)
        WHERE entry.kind = ?1 AND entry.happened = ?2"""
    ((found,),) = rows(book, sql, kind, cut_ms(at) - 60_000, name)
    assert found is not None
    return int(found)
