"""Time: the list laid over the people there are, one letter a job, one column a minute, the call a wall."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.away import Away, busy
from pitcrew.bench.saying import job_words
from pitcrew.bench.session import Session
from pitcrew.bench.shifts import crew
from pitcrew.bench.standing import ANYBODY, View
from pitcrew.bench.words import at
from pitcrew.readiness.schedule import Laid, lay
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.tui.jobs import job_answers
from pitcrew.tui.page import Answers, Go, Outcome, Page, filled, marked, parting, window
from pitcrew.tui.pages.why import Why
from pitcrew.tui.paint import BLANK, Line, Span, cut, line, pad, word

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LEAD = 6
LEAST_LIST = 5
FREE, AWAY, CALL = ".", "-", "|"
MOST_AWAY = 3


class Lanes(Page):
    """One lane a person; below it the jobs with when and who."""

    name = "time"
    title = "who does what when"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._drawn: tuple[View, int, list[Line]] | None = None

    def laid(self) -> tuple[Laid, ...]:
        """The jobs in their places."""
        return self.session.view.plan.laid if self.session.view else ()

    def keys(self) -> Sequence[str]:
        return [f"{item.job.action}:{item.job.subject}" for item in self.laid()]

    def answers(self) -> Answers:
        view, laid = self.session.view, self.laid()
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        if not laid:
            return Answers(hint="nothing to do")
        return job_answers(self.session, view, laid[min(self.row, len(laid) - 1)].job)

    def opened(self) -> Outcome:
        laid = self.laid()
        return Go(Why(self.session, laid[min(self.row, len(laid) - 1)].job)) if laid else None

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None or not view.plan.laid:
            text = "nothing to do" if view else "judging.." if self.session.robot else "no robot yet"
            return [line(Span("  time      ", "quiet"), text)]
        if self._drawn is None or self._drawn[0] is not view or self._drawn[1] != width:
            self._drawn = (view, width, [*lanes(view, width), *told(view, width), BLANK])
        # On a low screen the list goes before the picture of it.
        top = self._drawn[2] if height >= len(self._drawn[2]) + LEAST_LIST else []
        heading = line(Span(f"    verdict   {pad('job, in this order', width - 48)} from  to     min  who", "quiet"))
        rows = [self._row(view, item, index, width) for index, item in enumerate(view.plan.laid)]
        shown, below = window(rows, self.row, max(height - len(top) - 2, 3))
        rule = parting("", width, f"{below} rows below") if below else BLANK
        return filled([*top, heading, *shown, rule], height)

    def _row(self, view: View, item: Laid, index: int, width: int) -> Line:
        times = f"{at(view.case, item.start)} {at(view.case, item.end)}"
        text = pad(job_words(view.case, item.job), width - 48)
        who = " ".join(item.people)
        row = line(f" {_letter(index)} ", word(item.job.verdict), f" {text} {times} {item.job.minutes:>4}  {who}")
        return marked(row, index == self.row, width)


def _letter(index: int) -> str:
    return LETTERS[index % len(LETTERS)]


def lanes(view: View, width: int) -> list[Line]:
    """One row a person, from the moment it was judged on; work past the right edge is not drawn."""
    start, call = view.standing.at, view.standing.call_at
    columns = width - LEAD
    people = view.people or tuple(dict.fromkeys(who for item in view.plan.laid for who in item.people))
    wall = (call - start) // MINUTE_MS if call is not None else -1
    last = max((view.plan.ready_at - start) // MINUTE_MS, wall) + 1
    shown = min(last, columns)
    rows = [line(Span(pad("", LEAD) + _scale(view, start, shown), "quiet"))]
    for who in people:
        cells = [FREE] * shown
        for spell in view.away:
            if spell.by == who:
                first, end = (min(max((at - start) // MINUTE_MS, 0), shown) for at in (spell.start, spell.end))
                cells[first:end] = AWAY * (end - first)
        for index, item in enumerate(view.plan.laid):
            if who in item.people:
                first, end = ((moment - start) // MINUTE_MS for moment in (item.start, item.end))
                cells[first : min(end, shown)] = _letter(index) * (min(end, shown) - min(first, shown))
        if 0 <= wall < shown:
            cells[wall] = CALL
        rows.append(line(Span(f"  {who:<3} ", "quiet"), "".join(cells)))
    return rows


def told(view: View, width: int) -> list[Line]:
    """Below the lanes: who is away why, who is off shift, and what more hands would do for one who is late."""
    gone: dict[tuple[str, str], list[Away]] = {}
    for item in view.away:
        gone.setdefault((item.by, item.why.split()[0]), []).append(item)
    rows = [line(Span(cut(f"  {_away(view, items)}", width), "quiet")) for items in list(gone.values())[:MOST_AWAY]]
    off = [who for who in crew(view.case.evidence) if who not in view.people]
    late = (view.spare_min(view.standing.at) or 0) < 0
    texts = [_not_there(view, off, late)] if off and view.people != ANYBODY else []
    texts += _left_out(view) if late else []
    return rows + [line(Span(cut(f"  {text}", width), "quiet")) for text in texts]


def _away(view: View, items: Sequence[Away]) -> str:
    """Somebody is away for one reason: with whom or what, from when to when."""
    first, last = min(item.start for item in items), max(item.end for item in items)
    why = items[0].why if len(items) == 1 else f"watches {len(items)} packs on charge"
    from_now = "" if first <= view.standing.at else f"from {at(view.case, first)} "
    return f"{items[0].by:<3} - {why}, {from_now}till {at(view.case, last)}"


def _not_there(view: View, off: Sequence[str], late: bool) -> str:
    """Who is off shift; to one who is late, what they would make of it if they came now."""
    ready = lay(view.jobs, (*view.people, *off), view.standing.at, busy(view.away)).ready_at if late else 0
    gain = late and ready < view.plan.ready_at
    then = f"With them it is ready {at(view.case, ready)}: Tab m puts them on" if gain else "Tab m says who is"
    return f"off shift: {' '.join(off)}. {then}"


def _left_out(view: View) -> list[str]:
    """What can be left out by one who is late, and what that gives up: no fight waits for these."""
    said = []
    for job in view.jobs:
        named = view.case.defs.configurations.get(job.subject) if job.action == "weigh" else None
        if named is not None and named.id != view.standing.configuration:
            left = [other for other in view.jobs if other is not job]
            ready = lay(left, view.people, view.standing.at, busy(view.away)).ready_at
            said.append(f"without weighing {named.name} ready {at(view.case, ready)}: undeclared, it cannot be entered")
    return said


def _scale(view: View, start: int, columns: int) -> str:
    """Now at the left edge and a clock at every quarter of an hour that has room."""
    text = list("now".ljust(columns))
    for minute in range(columns):
        moment = start + minute * MINUTE_MS
        if (moment // MINUTE_MS) % 15 == 0 and minute > 4 and minute + 5 <= columns:
            text[minute : minute + 5] = at(view.case, moment)
    return "".join(text[:columns])
