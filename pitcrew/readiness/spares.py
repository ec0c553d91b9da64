"""What is left in the box: good spares of a kind, and stock that is used up; and what warns that it runs short."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import Caveat
from pitcrew.robot.definitions import Joint, Part, PartKind, Stock, read, robots
from pitcrew.robot.records import Fact


class Left(NamedTuple):
    """How many of a stock item are left: by its newest count and what came and went since.

    `counted` is that count; None where nobody ever counted it, and what was bought and used is all that is known.
    """

    item: Stock
    left: int
    counted: Fact | None

    @property
    def short(self) -> bool:
        """Are fewer left than the crew wants?"""
        return self.item.wanted is not None and self.left < self.item.wanted


def stock(case: Case) -> Mapping[str, Stock]:
    """Every stock item of the book by its id: the box belongs to all robots."""

    def read_all() -> dict[str, Stock]:
        return {fact.subject: read(Stock, fact) for fact in case.evidence.definitions("stock", None)}

    return case.once("stock", of=read_all)


def left(case: Case, item: Stock) -> Left:
    """How many of an item are left."""
    return case.once("left", item.id, of=lambda: _left(case, item))


def _left(case: Case, item: Stock) -> Left:
    counted: Fact | None = None
    count = 0
    for fact in case.facts("stocked", item.id):
        if fact.detail["how"] == "counted":
            counted = fact
            break
        count += fact.detail["count"] if fact.detail["how"] == "bought" else -fact.detail["count"]
    if counted is not None:
        since = counted.order
        count += counted.detail["count"] - sum(used for fact, used in torqued(case, item) if fact.order > since)
    return Left(item, count, counted)


def torqued(case: Case, item: Stock, since: int = 0) -> Iterator[tuple[Fact, int]]:
    """Torques with new fasteners out of a stock item, and how many each took; no further back than a moment (ms UTC).

    With none given, back to the newest count.
    """
    counted = next((fact for fact in case.facts("stocked", item.id) if fact.detail["how"] == "counted"), None)
    first = since or (counted.happened if counted is not None else 0)
    for joint in _joints(case).get(item.id, ()):
        for fact in case.facts("torqued", joint.id):
            if fact.happened < first:
                break
            if fact.detail.get("new_fasteners"):
                listed = fact.detail["fasteners"]
                yield fact, joint.fastener_count if listed == "all" else len(listed)


def _joints(case: Case) -> Mapping[str, tuple[Joint, ...]]:
    """The joints of every robot that take their fasteners out of a stock item, by the item's id."""
    return case.once("joints of stock", of=lambda: _by_item(case))


def _by_item(case: Case) -> dict[str, tuple[Joint, ...]]:
    found: dict[str, tuple[Joint, ...]] = {}
    for robot in robots(case.evidence):
        own = robot.id == case.robot
        facts = () if own else case.evidence.definitions("joint", robot.id)
        joints = case.defs.joints.values() if own else (read(Joint, fact) for fact in facts)
        for joint in joints:
            if joint.stock is not None:
                found[joint.stock] = (*found.get(joint.stock, ()), joint)
    return found


def sits(case: Case, part: str) -> str | None:
    """The place at which a part sits now, on this robot or another; None when it is off."""
    last = case.whereabouts(part).first()
    place = last.entry.place if last is not None and last.entry.kind == "fitted" else None
    return place if place is not None and case.occupant(place) == part else None


def is_good(case: Case, part: str) -> bool:
    """Is a part a good spare: not fitted anywhere, not put away, and nothing found on it stands?"""
    return sits(case, part) is None and case.put_away(part) is None and not case.open_findings(part)


def parts_of(case: Case) -> Mapping[str, tuple[Part, ...]]:
    """The robot's parts by the id of their kind, in the order they were entered."""
    return case.once("parts of kinds", of=lambda: _by_kind(case))


def _by_kind(case: Case) -> dict[str, tuple[Part, ...]]:
    found: dict[str, tuple[Part, ...]] = {}
    for fact in case.evidence.definitions("part", case.robot):
        part = read(Part, fact)
        found[part.part_kind] = (*found.get(part.part_kind, ()), part)
    return found


def good(case: Case, kind: str) -> tuple[Part, ...]:
    """The good spares of a kind."""
    of_kind = parts_of(case).get(kind, ())
    return case.once("good", kind, of=lambda: tuple(part for part in of_kind if is_good(case, part.id)))


def wanted(case: Case) -> tuple[PartKind, ...]:
    """The kinds of which the crew wants spares and this robot has parts."""
    found = [kind for kind in case.defs.kinds.values() if kind.spares_wanted]
    return tuple(kind for kind in found if kind.id in parts_of(case))


def look_up_spares(case: Case) -> Iterator[None]:
    """Ask ahead what these warnings rest on, a part or an item a step."""
    for kind in wanted(case):
        for part in parts_of(case)[kind.id]:
            is_good(case, part.id)
            yield
    for item in stock(case).values():
        left(case, item)
        yield


def shortages(case: Case) -> Iterator[Caveat]:
    """What is short: kinds with fewer good spares than are wanted, then stock items."""
    for kind in wanted(case):
        count = len(good(case, kind.id))
        if count < (kind.spares_wanted or 0):
            yield Caveat("spares short", kind.id, (("good", count), ("wanted", kind.spares_wanted)))
    for item in stock(case).values():
        now = left(case, item)
        if now.short:
            yield Caveat("stock short", item.id, (("name", item.name), ("left", now.left), ("wanted", item.wanted)))
