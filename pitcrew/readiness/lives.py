"""Lives: how many fights and hard hits a part has behind it, against what parts of its kind last."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from itertools import islice
from typing import NamedTuple

from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import HARDEST, felt_by
from pitcrew.readiness.stream import Stream
from pitcrew.readiness.verdict import EVERY, Because, Caveat, Requirement, Ruling, requirement
from pitcrew.robot.definitions import PartKind
from pitcrew.robot.records import Fact

FIGHTS, HARD_HITS = "fights", "hard hits"


class Life(NamedTuple):
    """How long parts of a kind last in fights or hard hits: of how many, what a part came with, what it met since.

    `since` holds the fights or blows since it was entered in the book, newest first, read as far as it is walked.
    """

    unit: str
    of: int
    before: int
    since: Stream

    def used(self) -> int:
        """How many are used, all of them counted."""
        return self.before + sum(1 for _ in self.since)

    def up_to(self, most: int) -> int:
        """How many are used, counted no further than to `most`."""
        return self.before + sum(1 for _ in islice(self.since, max(most - self.before, 0)))


def lives(case: Case, part: str, kind: PartKind) -> tuple[Life, ...]:
    """The lives that a part's kind has; none where nobody gave it one."""
    record = case.part(part)
    found = []
    if kind.life_fights is not None:
        found.append(Life(FIGHTS, kind.life_fights, (record.fights if record else 0) or 0, fought(case, part)))
    if kind.life_hard_hits is not None:
        found.append(Life(HARD_HITS, kind.life_hard_hits, (record.hard_hits if record else 0) or 0, blows(case, part)))
    return tuple(found)


def fought(case: Case, part: str) -> Stream:
    """Ends of this robot's fights at which a part sat at one of its places, newest first."""
    return case.stream("fought", part, of=lambda: _fought(case, part))


def _fought(case: Case, part: str) -> Iterator[Fact]:
    if not table.disturbs(table.FIGHT_ENDED, "life") or case.newest("fitted", part) is None:
        return
    moves = iter(case.whereabouts(part))
    move = next(moves, None)
    for end in case.ends():
        while move is not None and move.order >= end.order:
            move = next(moves, None)
        if move is None:
            return
        if move.entry.kind == "fitted" and move.entry.place in case.defs.positions:
            yield end


def blows(case: Case, part: str) -> Stream:
    """Blows on this robot that a part felt hard, newest first; one that a finding raised counts once."""
    return case.stream("blows", part, of=lambda: _blows(case, part))


def _blows(case: Case, part: str) -> Iterator[Fact]:
    if not table.disturbs(table.HIT, "life") or case.newest("fitted", part) is None:
        return
    seen: set[str] = set()
    for hit in felt_by(case, part, HARDEST):
        if hit.entry.robot == case.robot and hit.entry.act not in seen:
            seen.add(hit.entry.act)
            yield hit


def judge_lives(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """Parts whose kind has a life: due when it is used up, in fights or in hard hits. Of those asked for by key."""
    for part in case.scope():
        kind = case.kind(part)
        if kind is None or (kind.life_fights is None and kind.life_hard_hits is None):
            continue
        if f"life:{part}" in asked:
            zone = case.zone_of(case.scope()[part])
            yield requirement("life", part, [_ruling(case, part, life) for life in lives(case, part, kind)], zone)


def _ruling(case: Case, part: str, life: Life) -> Ruling:
    """A life is counted no further than to its end: what came before that changes nothing."""
    used_up = life.up_to(life.of) >= life.of
    newest = life.since.first()
    figures = (("part", part), ("unit", life.unit), ("of", life.of))
    because = Because("life used up" if used_up else "life left", (newest,) if newest else (), figures)
    came = case.whereabouts(part).first() or case.newest("part", part)
    return Ruling("due" if used_up else "pass", because, (came,) if came else ())


def last_fights(case: Case, requirements: Iterable[Requirement]) -> Iterator[Caveat]:
    """The parts whose life the fight entered uses up."""
    for item in requirements if case.fight() is not None else ():
        kind = case.kind(item.subject) if item.group == "life" and item.verdict == "pass" else None
        for life in lives(case, item.subject, kind) if kind is not None else ():
            if life.unit == FIGHTS and life.up_to(life.of) == life.of - 1:
                yield Caveat("last fight", item.subject, (("of", life.of),))
