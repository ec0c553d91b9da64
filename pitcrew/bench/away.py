"""Who is not there for this robot, and till when: with another robot at its fight, or beside a charge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from pitcrew.bench.remembering import Remembered
from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import charge_of
from pitcrew.readiness.schedule import Spells
from pitcrew.readiness.steps import Steps
from pitcrew.robot.definitions import gather, robots
from pitcrew.robot.moments import MINUTE_MS

SAME_DAY_MS = 6 * 3_600_000
# Common practice, where the sheet or the charge says nothing: a match, a charge, and a fight that takes longer.
MATCH_S, CHARGE_MIN, STILL_OUT_MIN = 180.0, 60, 5


class Away(NamedTuple):
    """Somebody is not there: from, and up to (ms UTC, the end is foreseen), and why in words."""

    by: str
    start: int
    end: int
    why: str


def away(case: Case, people: Iterable[str]) -> Steps[tuple[Away, ...]]:
    """Which of these people are not there for the robot of a case, now or later; a pack of the book a step."""
    there = tuple(people)
    drivers = [who for who in there if "driver" in _role(case, who).casefold()]
    found: list[Away] = []
    for robot in robots(case.evidence):
        other = case if robot.id == case.robot else _case_of(case, robot.id)
        yield
        if other is None:
            continue
        if other is not case and (spell := _out(other)) is not None:
            found += [Away(who, *spell, f"{robot.name} at its fight") for who in drivers]
        for pack in dict.fromkeys(pack for item in other.defs.pack_sets.values() for pack in item.packs):
            found += (item for item in _watching(other, pack) if item.by in there)
            yield
    return tuple(found)


def busy(found: Iterable[Away]) -> dict[str, Spells]:
    """When each person is not there, as the plan wants it."""
    spells: dict[str, list[tuple[int, int]]] = {}
    for item in found:
        spells.setdefault(item.by, []).append((item.start, item.end))
    return dict(spells)


def _role(case: Case, initials: str) -> str:
    fact = next(case.evidence.facts("crew", initials), None)
    return str(fact.detail.get("role") or "") if fact is not None else ""


def _case_of(case: Case, robot: str) -> Case | None:
    evidence = case.evidence
    definitions = evidence.gathered(robot) if isinstance(evidence, Remembered) else gather(evidence, robot)
    return Case(evidence, definitions, case.now) if definitions is not None else None


def _out(case: Case) -> tuple[int, int] | None:
    """From when to when a robot is away at its fight: from its call until it has left the arena, as is foreseen."""
    entered = next(case.evidence.at_place("entered", case.robot), None)
    if entered is None or case.newest("fight_left", entered.subject) is not None:
        return None
    started, ended = (case.newest(kind, entered.subject) for kind in ("fight_started", "fight_ended"))
    planned = [entered.detail.get(name) for name in ("call_at", "staging_at", "start_at")]
    called = next((int(at) for at in planned if at is not None), started.happened if started is not None else None)
    if called is None or case.now - called > SAME_DAY_MS:
        return None
    if ended is not None:
        back = ended.happened + _after_match_ms(case)
        return (called, back) if back > case.now else None
    begins = started.happened if started is not None else next(int(at) for at in planned[::-1] if at is not None)
    back = begins + round(_match_s(case) * 1000) + _after_match_ms(case)
    return called, back if back > case.now else case.now + STILL_OUT_MIN * MINUTE_MS


def _match_s(case: Case) -> float:
    event = case.defs.event
    return event.match_s if event is not None and event.match_s is not None else MATCH_S


def _after_match_ms(case: Case) -> int:
    """From the end of a match until the robot is back: the weapon stands still, the power is cut, the way back."""
    event = case.defs.event
    if event is None:
        return 0
    return round(((event.spin_down_s or 0.0) + (event.power_cut_s or 0.0)) * 1000 + event.walk_min * MINUTE_MS)


def _watching(case: Case, pack: str) -> Iterator[Away]:
    """Who stays beside the charge of a pack, until it is full."""
    begun = case.newest("charge_started", pack)
    charge = charge_of(case, pack) if begun is not None and begun.detail.get("watched_by") else None
    if begun is None or charge is None or charge.state != "on charge":
        return
    end = charge.full_at if charge.full_at is not None else begun.happened + CHARGE_MIN * MINUTE_MS
    if end > case.now:
        part = case.part(pack)
        name = part.name if part is not None else pack
        yield Away(str(begun.detail["watched_by"]), begun.happened, end, f"watches {name} on charge")
