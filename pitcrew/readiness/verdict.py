"""Verdicts, the requirements they are given to, and the standing they add up to."""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import NamedTuple

from pitcrew.robot.records import Fact

WORST_FIRST = ("fail", "recheck", "due", "unchecked", "marginal", "deferred", "pass")
_RANK = {word: rank for rank, word in enumerate(WORST_FIRST)}
BLOCKING = frozenset(("fail", "recheck", "due", "unchecked", "marginal"))


class _Every:
    """The keys of all requirements."""

    def __contains__(self, key: object) -> bool:
        return True


EVERY: Container[str] = _Every()


class Because(NamedTuple):
    """One reason: a code that words are found for, the facts it rests on, and the figures it names.

    `figures` holds names and SI values (or ids) in the order they are said.
    """

    code: str
    facts: tuple[Fact, ...] = ()
    figures: tuple[tuple[str, float | int | str | None], ...] = ()

    @property
    def identity(self) -> tuple[object, ...]:
        """What makes two reasons the same reason."""
        return (self.code, tuple(fact.id for fact in self.facts), self.figures)

    def figure(self, name: str) -> float | int | str | None:
        """One of the figures by its name."""
        return dict(self.figures).get(name)


class Ruling(NamedTuple):
    """A verdict with its reason; the worst ruling on a requirement is its verdict."""

    verdict: str
    because: Because
    rests_on: tuple[Fact, ...] = ()
    inside: bool = False


class Requirement(NamedTuple):
    """One thing the robot must meet before it is fit to fight.

    `key` is stable ("joint:<id>"); `group` is its first word; `subject` the id it is about; `zone` where to
    stand to do it; `accepted` holds the acceptance that makes a marginal count as met.
    """

    key: str
    group: str
    subject: str
    verdict: str
    because: tuple[Because, ...]
    zone: str | None = None
    rests_on: tuple[Fact, ...] = ()
    accepted: Fact | None = None

    @property
    def blocks(self) -> bool:
        """Does it keep the robot from fighting?"""
        return self.verdict in BLOCKING and self.accepted is None

    @property
    def evidence(self) -> tuple[str, ...]:
        """Ids of the entries this verdict rests on, each once."""
        facts = [fact for reason in self.because for fact in reason.facts] + list(self.rests_on)
        return tuple(dict.fromkeys(fact.id for fact in facts))


PASS = Ruling("pass", Because("nothing disturbed"))


def worst(rulings: Iterable[Ruling]) -> Ruling:
    """The worst of several rulings; of equals, the first. None at all is a pass."""
    found = PASS
    for ruling in rulings:
        if _RANK[ruling.verdict] < _RANK[found.verdict] or found is PASS:
            found = ruling
    return found


def requirement(
    group: str, subject: str, rulings: Iterable[Ruling], zone: str | None = None, accepted: Fact | None = None
) -> Requirement:
    """Make a requirement of its rulings: the worst decides, every ruling of that verdict is a reason."""
    listed = list(rulings)
    top = worst(listed)
    reasons = [ruling for ruling in listed if ruling.verdict == top.verdict] or [top]
    return Requirement(
        key=f"{group}:{subject}",
        group=group,
        subject=subject,
        verdict=top.verdict,
        because=tuple({ruling.because.identity: ruling.because for ruling in reasons}.values()),
        zone=zone,
        rests_on=tuple({fact.id: fact for ruling in reasons for fact in ruling.rests_on}.values()),
        accepted=accepted if top.verdict == "marginal" else None,
    )


class Caveat(NamedTuple):
    """Something that does not block and must not be forgotten."""

    code: str
    subject: str
    figures: tuple[tuple[str, float | int | str | None], ...] = ()


class WeightRow(NamedTuple):
    """One configuration's weight: kilograms, doubt, where it comes from, and its verdict against the limit.

    `how` is "official" (the event's display of exactly these parts), "weighed" (own scale, nothing changed),
    "figured" (last weighing and what changed) or "added up" (never weighed). `kg` is None when a mass is missing.
    """

    configuration: str
    kg: float | None
    u_kg: float
    how: str
    limit_kg: float | None
    margin_kg: float | None
    verdict: str
    declared: bool
    entered: bool
    fitted: bool
    rests_on: tuple[Fact, ...] = ()
    defined: tuple[Fact, ...] = ()
    missing: tuple[str, ...] = ()
    inside: bool = False


class Standing(NamedTuple):
    """Whether one robot is fit to fight at one moment, and everything that says so.

    Moments are milliseconds UTC. `changes_at` is the next instant at which any verdict can change by time
    alone, or None. `call_at` is the call of the fight entered, or the earliest next call.
    """

    robot: str
    at: int
    fight: Fact | None
    configuration: str | None
    fit: bool
    requirements: tuple[Requirement, ...]
    warnings: tuple[Caveat, ...]
    weights: tuple[WeightRow, ...]
    call_at: int | None
    changes_at: int | None

    @property
    def blocking(self) -> tuple[Requirement, ...]:
        """The requirements that block, in the order they are judged."""
        return tuple(item for item in self.requirements if item.blocks)
