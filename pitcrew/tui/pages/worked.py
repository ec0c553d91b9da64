"""A gap in full: why it stands as it does, every entry it rests on, how it came out before, the working."""

from __future__ import annotations

from pitcrew.bench.detail import evidence_of, fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.working import stack_working
from pitcrew.tui.page import Answer, Answers, Go
from pitcrew.tui.pages.gaps import Known, cautions, explained, figure_text, gap_mark, known, limits_text, past_rows
from pitcrew.tui.pages.reading import Reading
from pitcrew.tui.pages.trend import Trends
from pitcrew.tui.paint import BLANK, Line, Span, labelled, line, word


class Worked(Reading):
    """Everything behind one gap, to be read by whoever doubts it. Up and down move the page."""

    name = "working"
    title = "the working of a gap"

    def __init__(self, session: Session, stack: str) -> None:
        super().__init__(session)
        self.stack = stack

    def answers(self) -> Answers:
        trend = Answer("trend", lambda: Go(Trends(self.session, [f"stack:{self.stack}"])))
        return Answers((trend,), None, "Back leaves the working")

    def whole(self, width: int) -> list[Line]:
        case = self.session.case()
        stack = case.defs.stacks.get(self.stack) if case is not None else None
        if case is None or stack is None:
            return [line(Span("  this gap is not in the book of this robot", "quiet"))]
        return self._full(known(case, stack), width)

    def _full(self, now: Known, width: int) -> list[Line]:
        item, gap = now.gap.requirement, now.gap
        figure = f"{figure_text(gap)} {'mm' if gap.value_m is not None else ''}".rstrip()
        rows = [
            line("  ", word(item.verdict, gap.blocks), f" {now.stack.name}"),
            *cautions(now, width),
            line(Span("  now       ", "quiet"), f"{figure}   {gap_mark(gap, now.stack)}   {limits_text(now.stack)} mm"),
            BLANK,
            *explained(now, width),
            BLANK,
        ]
        rows += [*past_rows(now, width), BLANK]
        for index, text in enumerate(stack_working(now.case, self.stack)):
            rows += labelled("in full" if index == 0 else "", text, width, "quiet")
        if gap.added.doubt is not None:
            rows += labelled("", _named(now, gap.added.doubt.working.numbers), width, "quiet")
            rows += labelled("", f"after {gap.added.doubt.working.source}", width, "quiet")
        rows.append(BLANK)
        for index, fact in enumerate(sorted(evidence_of(item), key=lambda fact: fact.order, reverse=True)):
            rows += labelled("rests on" if index == 0 else "", fact_words(now.case, fact), width, "quiet")
        return rows


def _named(now: Known, text: str) -> str:
    """A working with the instruments by their names."""
    for ident, tool in now.case.defs.instruments.items():
        text = text.replace(ident, tool.name)
    return text
