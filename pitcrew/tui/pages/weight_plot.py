"""The weights of the day drawn for the weight screen: which lines, what they are called, from when to when."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.names import configuration_name, fight_name
from pitcrew.bench.standing import View
from pitcrew.bench.weighings import Series
from pitcrew.bench.words import at
from pitcrew.readiness.verdict import WeightRow
from pitcrew.robot.moments import MINUTE_MS, day_text, local
from pitcrew.tui.plot import Line, Span, weight_plot

LETTERS = "abcdefghijklmnopqrstuvwxyz"
LEAST_MS = 60 * MINUTE_MS
MOST_FIGHTS = 12


def letters(view: View) -> dict[str, str]:
    """A letter for each configuration: the first of its name where it is free, else the next one free."""
    given: dict[str, str] = {}
    for row in view.standing.weights:
        name = configuration_name(view.case, row.configuration).casefold()
        free = [letter for letter in (*name, *LETTERS) if letter in LETTERS and letter not in given.values()]
        given[row.configuration] = free[0] if free else "z"
    return given


def plotted(view: View, series: Sequence[Series], picked: WeightRow, now: int, width: int, height: int) -> list[str]:
    """The plot of the configuration picked, of the one on the robot and of the one entered.

    Others are left out: their kilograms would press the day's changes into one row.
    """
    case = view.case
    wanted = [picked.configuration]
    wanted += [row.configuration for row in view.standing.weights if row.entered or row.fitted]
    called = letters(view)
    by_id = {item.configuration: item for item in series if item.points}
    drawn = [by_id[ident] for ident in dict.fromkeys(wanted) if ident in by_id] or list(by_id.values())[:1]
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    legend = _legend(view, drawn, called)
    lines = [Line(called[item.configuration], item.points) for item in drawn]
    call = view.standing.call_at
    end = max(now, call) if call is not None and view.standing.fight is not None else now
    start = _start(drawn, zone, now)
    ahead = local(now, zone).utcoffset()
    span = Span(start, max(end, start + LEAST_MS), now, round(ahead.total_seconds() * 1000) if ahead else 0)
    steps = [step for item in drawn[:1] for step in reversed(item.steps)]
    rows = weight_plot(
        lines,
        picked.limit_kg,
        case.defs.robot.crew_margin_kg,
        span,
        lambda ms: at(case, ms),
        width,
        height - len(legend),
        _moments(view, end),
        steps,
    )
    return [*legend, *rows]


def _legend(view: View, drawn: Sequence[Series], called: dict[str, str]) -> list[str]:
    """Whose letter is whose, where a letter does not say it by itself."""
    said = [(called[item.configuration], item.name) for item in drawn]
    if all(letter == name.casefold() for letter, name in said):
        return []
    return ["  lines     " + "   ".join(f"{letter} {name}" for letter, name in said)]


def _start(drawn: Sequence[Series], zone: str, now: int) -> int:
    """The first point of today where anything was weighed or changed today, else the first point of all."""
    today = day_text(now, zone)
    # The end of a line is no change: it is only now.
    points = [point.ms for item in drawn for point in item.points if point.ms < now]
    of_today = [ms for ms in points if day_text(ms, zone) == today]
    return min(of_today or points, default=now)


def _moments(view: View, end: int) -> list[tuple[int, str]]:
    """The ends of fights and the call, for the time axis."""
    case = view.case
    found = []
    for fact in case.evidence.last_fights_ended(case.robot):
        found.append((fact.happened, fight_name(case, fact.subject)))
        if len(found) == MOST_FIGHTS:
            break
    call = view.standing.call_at
    return [*found, (call, "call")] if call is not None and call <= end else found
