"""Sentences of a checklist's line that is answered: by hand, or by the book itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import Because
from pitcrew.robot.moments import clock_text

BY_THE_BOOK = "the book answers"


def _answered(case: Case, because: Because) -> str:
    fact = because.facts[0]
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    return f"answered {clock_text(fact.happened, zone)} {fact.entry.by}"


SENTENCES: Mapping[str, Callable[[Case, Because], str]] = {
    "answered": _answered,
    BY_THE_BOOK: lambda case, because: "answered by the book itself: nothing of it blocks",
}
