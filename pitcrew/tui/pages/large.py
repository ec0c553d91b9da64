"""The standing in letters to be read from where the robot stands; any key comes back."""

from __future__ import annotations

from pitcrew.bench.saying import job_words
from pitcrew.tui.figures import NO_MINUTES, large, minutes_large
from pitcrew.tui.page import Answers, Back, Outcome, Page
from pitcrew.tui.paint import BLANK, Line, Span, cut, line


class Large(Page):
    """Fit or not, how many block, minutes to the call, and the next job."""

    name = "big"
    title = "to be read from afar"

    def answers(self) -> Answers:
        return Answers(hint="Back leaves")

    def opened(self) -> Outcome:
        return Back()

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return [line(Span("  judging..", "quiet"))]
        standing = view.standing
        state, role = ("FIT", "go") if standing.fit else ("NOT FIT", "stop")
        minutes = view.minutes_to_call()
        count = str(len(standing.blocking))
        rows: list[Line] = [BLANK, *(line(Span(f"   {row}", role)) for row in large(state)), BLANK]
        left = large(count)
        shown = minutes_large(minutes)
        right, unit = large(shown), " min to call" if shown != NO_MINUTES else ""
        for index, row in enumerate(left):
            words = (" block   ", unit) if index == len(left) - 1 else ("         ", "")
            rows.append(line(f"   {row}{words[0]}   {right[index]}{words[1]}"))
        if view.jobs:
            rows += [BLANK, line(f"   next: {cut(job_words(view.case, view.jobs[0]), width - 10)}")]
        return rows[:height]
