"""The working of one weight in full: the last weighing, every part in and out since, the sum, and how it got there."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.bench import names
from pitcrew.bench.detail import fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.shares import scale_against_ledger, shares
from pitcrew.bench.working import weight_working
from pitcrew.readiness.case import Case
from pitcrew.tui.page import Answers
from pitcrew.tui.pages.reading import Reading
from pitcrew.tui.paint import BLANK, Line, Span, labelled, line

BAR = 40


class Weighed(Reading):
    """Everything behind one weight, to be read by whoever doubts it. Up and down move the page."""

    name = "working"
    title = "the working of a weight"

    def __init__(self, session: Session, configuration: str) -> None:
        super().__init__(session)
        self.configuration = configuration

    def answers(self) -> Answers:
        return Answers(hint="Back leaves the working")

    def whole(self, width: int) -> list[Line]:
        case = self.session.case()
        if case is None or self.configuration not in case.defs.configurations:
            return [line(Span("  this configuration is not in the book of this robot", "quiet"))]
        return list(_rows(case, self.configuration, width))


def _rows(case: Case, configuration: str, width: int) -> Iterator[Line]:
    yield line(Span("  weight    ", "quiet"), names.configuration_name(case, configuration))
    yield BLANK
    for index, text in enumerate(weight_working(case, configuration)):
        yield from labelled("working" if index == 0 else "", text, width)
    yield BLANK
    for index, text in enumerate(scale_against_ledger(case, configuration)):
        yield from labelled("ledger" if index == 0 else "", text, width)
    yield BLANK
    for index, share in enumerate(shares(case, configuration)):
        bar = "#" * round(share.part * BAR)
        unknown = f"  {share.unknown} not weighed" if share.unknown else ""
        text = f"{share.zone:<8} {share.kg:8.3f} kg {share.part:6.1%}  {bar}{unknown}"
        yield from labelled("by zone" if index == 0 else "", text, width, "", 1)
    yield BLANK
    for index, fact in enumerate(case.facts("weighed", configuration)):
        yield from labelled("weighed" if index == 0 else "", fact_words(case, fact), width, "quiet")
