"""Shifts: who is at the bench today and since when, so that the work is laid over people who are there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from pitcrew.bench.desk import Desk
from pitcrew.bench.openbook import crew_member
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.moments import day_text
from pitcrew.robot.records import Evidence, Fact

KIND = "shift"
# Nobody comes to the bench by saying who is there, or by taking a line back.
NO_WORK = frozenset((KIND, "withdrawn"))


def today(evidence: Evidence, initials: str, now: int, zone: str) -> Fact | None:
    """What was said last today of somebody's shift; None where nothing was. `now` in ms UTC, `zone` the event's."""
    newest = next(evidence.facts(KIND, initials), None)
    return newest if newest is not None and day_text(newest.happened, zone) == day_text(now, zone) else None


def crew(evidence: Evidence) -> list[str]:
    """Initials of the crew in the order they joined; without a crew list, of everybody who ever had a shift."""
    listed = [fact.subject for fact in evidence.definitions("crew", None)]
    return listed or [fact.subject for fact in evidence.definitions(KIND, None)]


def on_shift(evidence: Evidence, now: int, zone: str) -> tuple[Fact, ...]:
    """The beginnings of the shifts that are on, one a person, in the order of the crew."""
    found = (today(evidence, initials, now, zone) for initials in crew(evidence))
    return tuple(fact for fact in found if fact is not None and fact.detail["on"])


def begins(evidence: Evidence, drafts: Iterable[Draft], now: int, zone: str, mint: Callable[[], str]) -> list[Draft]:
    """The shifts that begin with these entries: of everybody who is not on shift and writes one of them.

    Each under an act of its own, so that taking the entries back ends no shift. `mint` makes ids.
    """
    writers = dict.fromkeys(draft.by for draft in drafts if draft.kind not in NO_WORK)
    found: list[Draft] = []
    for initials in writers:
        known = today(evidence, initials, now, zone)
        if initials != "?" and (known is None or not known.detail["on"]):
            found.append(Draft(KIND, initials, initials, detail={"on": True}, id=mint(), act=mint()))
    return found


def came_along(draft: Draft) -> bool:
    """Is this the beginning of a shift that was written along with something else?"""
    return draft.kind == KIND and draft.act is not None


def begin(desk: Desk, initials: str, zone: str) -> list[Draft]:
    """Somebody comes to the bench; nothing to log for one who is there.

    Raises:
        EntryError: nobody in the crew has these initials.
    """
    who = crew_member(desk.evidence, initials)
    known = today(desk.evidence, who, desk.moment, zone)
    return [] if known is not None and known.detail["on"] else [_said(desk, who, True)]


def begin_all(desk: Desk, zone: str) -> list[Draft]:
    """The whole crew comes to the bench."""
    return [draft for initials in crew(desk.evidence) for draft in begin(desk, initials, zone)]


def end(desk: Desk, initials: str, zone: str) -> list[Draft]:
    """Somebody leaves the bench for today, or does not come at all.

    Raises:
        EntryError: nobody in the crew has these initials, or it was said already.
    """
    who = crew_member(desk.evidence, initials)
    known = today(desk.evidence, who, desk.moment, zone)
    if known is not None and not known.detail["on"]:
        raise EntryError(f"{who} is off shift already.", "Their next line puts them on again.", "shift")
    return [_said(desk, who, False)]


def shift_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """A typed line about a shift: EW, EW on, EW off; without initials, of whoever writes.

    Raises:
        EntryError: nobody has these initials, or the shift to be ended is not on.
    """
    ends = bool(words) and words[-1].casefold() == "off"
    named = " ".join(words[:-1] if words and words[-1].casefold() in ("on", "off") else words)
    initials = named or desk.by
    event = desk.definitions().event
    zone = event.time_zone if event is not None else "UTC"
    return end(desk, initials, zone) if ends else begin(desk, initials, zone)


def people(evidence: Evidence, now: int, zone: str) -> list[str]:
    """Who can be given work: the crew, but for those who are off shift today. Empty in a book without a crew.

    Who has logged nothing yet counts: most of a crew has its hands full and types nothing.
    """
    members = [fact.subject for fact in evidence.definitions("crew", None)]
    said = {initials: today(evidence, initials, now, zone) for initials in members}
    return [initials for initials, fact in said.items() if fact is None or fact.detail["on"]]


def _said(desk: Desk, initials: str, on: bool) -> Draft:
    return Draft(KIND, initials, desk.by, detail={"on": on}, happened=desk.happened)
