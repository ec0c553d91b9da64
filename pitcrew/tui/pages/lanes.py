"""Time: the list laid over the people there are, one letter a job, one column a minute, the call a wall."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.saying import job_words
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.words import at
from pitcrew.readiness.schedule import Laid
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.tui.jobs import job_answers
from pitcrew.tui.page import Answers, Go, Outcome, Page, filled, marked, parting, window
from pitcrew.tui.pages.why import Why
from pitcrew.tui.paint import BLANK, Line, Span, line, pad, word

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LEAD = 6
LEAST_LIST = 5
FREE, CALL = ".", "|"


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
            self._drawn = (view, width, [*lanes(view, width), BLANK])
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
    people = list(dict.fromkeys(who for item in view.plan.laid for who in item.people))
    wall = (call - start) // MINUTE_MS if call is not None else -1
    last = max((view.plan.ready_at - start) // MINUTE_MS, wall) + 1
    shown = min(last, columns)
    rows = [line(Span(pad("", LEAD) + _scale(view, start, shown), "quiet"))]
    for who in people:
        cells = [FREE] * shown
        for index, item in enumerate(view.plan.laid):
            if who in item.people:
                first, end = ((moment - start) // MINUTE_MS for moment in (item.start, item.end))
                cells[first : min(end, shown)] = _letter(index) * (min(end, shown) - min(first, shown))
        if 0 <= wall < shown:
            cells[wall] = CALL
        rows.append(line(Span(f"  {who:<3} ", "quiet"), "".join(cells)))
    return rows


def _scale(view: View, start: int, columns: int) -> str:
    """Now at the left edge and a clock at every quarter of an hour that has room."""
    text = list("now".ljust(columns))
    for minute in range(columns):
        moment = start + minute * MINUTE_MS
        if (moment // MINUTE_MS) % 15 == 0 and minute > 4 and minute + 5 <= columns:
            text[minute : minute + 5] = at(view.case, moment)
    return "".join(text[:columns])
