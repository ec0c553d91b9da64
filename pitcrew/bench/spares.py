"""The box: spares of every kind, stock that is used up, what went out of it today, and what is to buy."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice, takewhile
from typing import NamedTuple

from pitcrew.bench import names
from pitcrew.bench.desk import Desk
from pitcrew.bench.ledger import fights, is_used_up, used_words
from pitcrew.bench.spare_words import counted
from pitcrew.bench.starting import label
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.spares import Left, left, parts_of, sits, stock, torqued
from pitcrew.readiness.stream import merged
from pitcrew.readiness.weights import mass_of
from pitcrew.robot.definitions import PartKind, Stock
from pitcrew.robot.moments import local, to_ms
from pitcrew.robot.records import Fact

GOOD, FOUND, AWAY = "good", "found", "away"


class Spare(NamedTuple):
    """A part that sits nowhere.

    `state` is good, found (something found on it stands) or away, which `where` tells: quarantine, scrapped, lost.
    `ran` says in what it proved itself: fights, a bench test; empty for one that never ran. `used` is what is gone of
    its life, `mass_kg` its mass, where they are known.
    """

    part: str
    name: str
    kind: str
    state: str
    where: str
    ran: str
    used: str
    mass_kg: float | None
    batch: str
    found: tuple[Fact, ...] = ()
    used_up: bool = False

    @property
    def tested(self) -> bool:
        """Did it ever run, in a fight or on the bench?"""
        return bool(self.ran)


class Box(NamedTuple):
    """The spares of one kind: those that are good first, and how many are wanted (None: nobody said)."""

    kind: PartKind
    spares: tuple[Spare, ...]
    wanted: int | None
    can_run: bool

    @property
    def good(self) -> int:
        """How many good ones there are."""
        return sum(spare.state == GOOD for spare in self.spares)

    @property
    def untested(self) -> int:
        """How many of the good ones never ran."""
        return sum(spare.state == GOOD and not spare.tested for spare in self.spares)

    @property
    def short(self) -> int:
        """How many good ones are missing."""
        return max((self.wanted or 0) - self.good, 0)

    def put_away(self, where: str) -> int:
        """How many are in quarantine, scrapped or lost."""
        return sum(spare.state == AWAY and spare.where == where for spare in self.spares)


class Gone(NamedTuple):
    """Something that went out of the box today: a part fitted as new, or stock; how many, where, the entry."""

    name: str
    number: int
    where: str
    fact: Fact
    part: str | None = None
    item: str | None = None


class Buy(NamedTuple):
    """Something to buy: how many, of what and why; `kind` or `item` by its id.

    Of a batch to look at there is none to buy: `name` says the places to look at, `part` is what came with them and
    failed, by its id.
    """

    name: str
    number: int
    why: str
    kind: str | None = None
    item: str | None = None
    part: str | None = None

    @property
    def counted(self) -> str:
        """How many of what in words: 1 bearing, 2 belts, 2 M10x30; only the name where there is nothing to buy."""
        if not self.number:
            return self.name
        many = self.kind is not None and takes_s(self.name)
        return counted(self.number, self.name) if many else f"{self.number} {self.name}"


_NO_S = re.compile(r"(?:[^a-z]|[sxzf]|[cs]h|fe|[^aeiou]y)\Z")


def takes_s(name: str) -> bool:
    """Does a name become many by an s alone? A belt does; a battery, a size and what ends in s already do not."""
    return bool(name) and _NO_S.search(name) is None


def bench_tested(desk: Desk, part: str) -> list[Draft]:
    """A part was run on the bench and is good.

    Raises:
        EntryError: something that was found on it stands.
    """
    case = desk.case()
    standing = case.open_findings(desk.part(part))
    if standing:
        what = standing[-1].detail["what"]
        raise EntryError(f"{names.part_name(case, part)} is {what}.", "Put that right first.", "tested")
    return [desk.draft("bench_tested", part)]


def of_batch(desk: Desk, part: str, text: str) -> list[Draft]:
    """A part is of the batch that is typed: what was bought together is looked at together."""
    was = next(desk.evidence.facts("part", desk.part(part))).detail
    return [desk.draft("part", part, {**was, "batch": label(text, "batch")})]


def boxes(case: Case) -> tuple[Box, ...]:
    """Every kind of which parts are off the robot or spares are wanted, short ones first."""
    found = []
    for kind in case.defs.kinds.values():
        parts = parts_of(case).get(kind.id, ())
        spares = [spare_of(case, part.id) for part in parts if sits(case, part.id) is None]
        if spares or (kind.spares_wanted and parts):
            rank = {GOOD: 0, FOUND: 1, AWAY: 2}
            ranked = tuple(sorted(spares, key=lambda spare: rank[spare.state]))
            found.append(Box(kind, ranked, kind.spares_wanted, kind.function_check or kind.pack))
    return tuple(sorted(found, key=lambda box: (not box.short, not box.good)))


def spare_of(case: Case, part: str) -> Spare:
    """One part that sits nowhere."""
    record, mass = case.part(part), mass_of(case, part)
    away, found = case.put_away(part), case.open_findings(part)
    return Spare(
        part,
        names.part_name(case, part),
        record.part_kind if record else "",
        AWAY if away else FOUND if found else GOOD,
        away or "",
        _ran(case, part),
        used_words(case, part),
        mass.reading.value if mass else None,
        record.batch if record else "",
        found,
        is_used_up(case, part),
    )


def _ran(case: Case, part: str) -> str:
    fought = fights(case, part)
    if fought:
        return f"{fought} fight" if fought == 1 else f"{fought} fights"
    return "bench test" if case.newest("bench_tested", part) is not None else ""


def stocked(case: Case) -> tuple[Left, ...]:
    """Every stock item with what is left of it, short ones first."""
    found = [left(case, item) for item in stock(case).values()]
    return tuple(sorted(found, key=lambda now: not now.short))


def moved(case: Case, now: Left) -> tuple[int, int]:
    """How many of a stock item were used and bought since its newest count: used first."""
    since = takewhile(lambda fact: fact.detail["how"] != "counted", case.facts("stocked", now.item.id))
    bought = sum(int(fact.detail["count"]) for fact in since if fact.detail["how"] == "bought")
    counted_then = int(now.counted.detail["count"]) if now.counted is not None else 0
    return counted_then + bought - now.left, bought


def day_began(case: Case) -> int:
    """The midnight before this moment where the event is, milliseconds UTC."""
    now = local(case.now, case.defs.event.time_zone if case.defs.event else "UTC")
    return to_ms(now.replace(hour=0, minute=0, second=0, microsecond=0))


def used_today(case: Case) -> tuple[Gone, ...]:
    """Parts fitted as new and stock used since the day began, the last first.

    What changes with the configuration - a module, a shim, a pack - is not used up by being fitted, and is left out.
    """
    since = day_began(case)
    found = [*_fitted(case, since), *_stock_used(case, since)]
    return tuple(sorted(found, key=lambda gone: gone.fact.order, reverse=True))


def _fitted(case: Case, since: int) -> Iterator[Gone]:
    for position in case.defs.positions.values():
        for fact in case.placed(position.id) if position.role == "fixed" else ():
            if fact.happened < since:
                break
            if fact.entry.kind == "fitted" and fact.detail.get("new"):
                name = names.part_name(case, fact.subject)
                yield Gone(name, 1, f"at {position.name}", fact, part=fact.subject)


def _stock_used(case: Case, since: int) -> Iterator[Gone]:
    for item in stock(case).values():
        for fact in case.facts("stocked", item.id):
            if fact.happened < since:
                break
            if fact.detail["how"] == "used":
                where = str(fact.detail.get("where") or "")
                said = f"for {where_name(case, where)}" if where else ""
                yield Gone(item.name, int(fact.detail["count"]), said, fact, item=item.id)
        for fact, count in torqued(case, item, since):
            yield Gone(item.name, count, f"new in {where_name(case, fact.subject)}", fact, item=item.id)


def where_name(case: Case, where: str) -> str:
    """A joint or a place by its name; words that are neither stay what they are."""
    for named in (case.defs.joints.get(where), case.defs.positions.get(where)):
        if named is not None:
            return named.name
    for kind in ("joint", "position"):
        fact = case.newest(kind, where)
        if fact is not None:
            return str(fact.detail["name"])
    return where


def to_buy(case: Case) -> tuple[Buy, ...]:
    """What is short, and the parts on the robot that came with one that failed or was replaced today."""
    found = []
    for box in boxes(case):
        if box.short:
            why = f"{box.good} good, {box.wanted} wanted"
            found.append(Buy(box.kind.name, box.short, why, kind=box.kind.id))
    for now in stocked(case):
        if now.short and now.item.wanted is not None:
            missing = now.item.wanted - now.left
            found.append(Buy(now.item.name, missing, f"{now.left} left, {now.item.wanted} wanted", item=now.item.id))
    return (*found, *_same_batch(case))


def _same_batch(case: Case) -> Iterator[Buy]:
    """Of each batch of which a part failed or was replaced today: the places where others of it are on the robot."""
    failed: dict[tuple[str, str], str] = {}
    for part in failed_today(case):
        record = case.part(part)
        if record is not None and record.batch:
            failed.setdefault((record.batch, record.part_kind), part)
    for (batch, kind), part in failed.items():
        held = ((place.name, case.occupant(place.id)) for place in case.defs.positions.values())
        mates = [name for name, other in held if other != part and _of_batch(case, other, batch, kind)]
        if mates:
            why = f"same batch {batch} as {names.part_name(case, part)}"
            yield Buy(", ".join(mates), 0, why, part=part)


def _of_batch(case: Case, part: str | None, batch: str, kind: str) -> bool:
    record = case.part(part) if part is not None else None
    return record is not None and record.batch == batch and record.part_kind == kind


def failed_today(case: Case) -> tuple[str, ...]:
    """Parts that were found bad since the day began, or gave their place to another of their kind; each once."""
    since, found = day_began(case), dict[str, None]()
    for position in case.defs.positions.values():
        after: Fact | None = None
        for fact in case.placed(position.id):
            if fact.happened < since:
                break
            if fact.entry.kind == "fitted":
                after = fact
            elif _found_since(case, fact.subject, since) or (after is not None and _replaces(case, after, fact)):
                found[fact.subject] = None
    for part in case.scope():
        if _found_since(case, part, since):
            found[part] = None
    return tuple(found)


def _found_since(case: Case, part: str, since: int) -> bool:
    newest = case.newest("finding", part)
    return newest is not None and newest.happened >= since


def _replaces(case: Case, fitted: Fact, removed: Fact) -> bool:
    new, old = case.part(fitted.subject), case.part(removed.subject)
    alike = new is not None and old is not None and new.part_kind == old.part_kind and new.id != old.id
    return alike and bool(fitted.detail.get("new"))


def taken_by(case: Case, item: Stock) -> tuple[str, ...]:
    """The robot's joints whose new fasteners come out of a stock item, by name."""
    return tuple(joint.name for joint in case.defs.joints.values() if joint.stock == item.id)


def stock_story(case: Case, item: Stock, most: int = 12) -> list[Fact]:
    """Counts, what came and went, and torques with new fasteners out of it, newest first."""
    took = sorted((fact for fact, _ in torqued(case, item)), key=lambda fact: fact.order, reverse=True)
    return list(islice(merged(case.facts("stocked", item.id), took), most))
