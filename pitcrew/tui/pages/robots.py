"""Every robot of the book; the one picked goes on the bench."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.session import Session
from pitcrew.tui.page import Answer, Answers, Back, Go, Outcome, Page, filled, marked, window
from pitcrew.tui.pages.begin import Begin
from pitcrew.tui.paint import Line, Span, line


class Robots(Page):
    """Pick the robot to work on."""

    name = "robot"
    title = "robots"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.known = session.robots()
        self.row = next((index for index, robot in enumerate(self.known) if robot.id == session.robot), 0)

    def keys(self) -> Sequence[str]:
        return [robot.id for robot in self.known]

    def answers(self) -> Answers:
        chosen = (Answer("on the bench", self._choose),) if self.known else ()
        return Answers((*chosen, Answer("a new robot", lambda: Go(Begin(self.session)))))

    def refreshed(self) -> None:
        self.known = self.session.robots()
        self.move(0)

    def opened(self) -> Outcome:
        return self._choose()

    def sheet(self, width: int, height: int) -> list[Line]:
        if not self.known:
            return [line(Span("  robots    ", "quiet"), "none in this book yet. Space begins the first one")]
        rows = []
        for index, robot in enumerate(self.known):
            here = "on the bench" if robot.id == self.session.robot else ""
            rows.append(marked(line(f" {robot.name:<40} ", Span(here, "quiet")), index == self.row, width))
        shown, below = window(rows, self.row, height - 2)
        return [
            line(Span("  robots", "quiet")),
            *filled(shown, height - 2),
            line(Span(f"   {below} below" if below else "", "quiet")),
        ]

    def _choose(self) -> Outcome:
        if self.known:
            self.session.choose(self.key())
        return Back()
