"""The crew: who has initials, what each does, and who is writing at this screen."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import sheeting
from pitcrew.bench.detail import fact_words
from pitcrew.bench.session import Session
from pitcrew.robot.moments import clock_text, day_text
from pitcrew.robot.records import Fact
from pitcrew.text import clean
from pitcrew.tui.page import Answer, Answers, Ask, Outcome, Page, Say, Write, filled, marked, parting, window
from pitcrew.tui.paint import Line, Span, labelled, line, pad

EMPTY = "nobody is listed yet, so any initials are taken. Space lists the first: EW electrics"
ROLES = "pit boss, driver, mechanic, electrics"
INITIALS, DETAIL = 8, 4


class Crew(Page):
    """A row a crew member; Space makes the one the keys are at the writer."""

    name = "crew"
    title = "the crew"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.hold(session.by)

    def members(self) -> tuple[Fact, ...]:
        """Everybody listed, in the order they joined."""
        return self.session.evidence.definitions("crew", None)

    def at(self) -> Fact | None:
        """The crew member the keys are at."""
        members = self.members()
        return members[min(self.row, len(members) - 1)] if members else None

    def keys(self) -> Sequence[str]:
        return [fact.subject for fact in self.members()]

    def answers(self) -> Answers:
        fact = self.at()
        add = Answer("add somebody", self._add)
        if fact is None:
            return Answers((add,))
        writing = Answer(f"{fact.subject} is writing", lambda: self._writes(fact.subject))
        role = Answer("change role", lambda: self._role(fact))
        return Answers((role, add) if fact.subject == self.session.by else (writing, role, add), 0)

    def opened(self) -> Outcome:
        fact = self.at()
        return self._role(fact) if fact is not None else self._add()

    def _writes(self, initials: str) -> Outcome:
        self.session.by = initials
        return Say(f"{initials} is writing")

    def _role(self, fact: Fact) -> Outcome:
        def take(text: str) -> Outcome:
            sheeting.role(self.session.desk(), fact.subject, text)  # refused while what was typed still stands
            return Write(lambda desk: sheeting.role(desk, fact.subject, text))

        hint = f"what does {fact.subject} do? {ROLES}; - for no role"
        return Ask("role", take, hint, str(fact.detail.get("role") or ""))

    def _add(self) -> Outcome:
        def take(text: str) -> Outcome:
            sheeting.join(self.session.desk(), text)
            return Write(lambda desk: sheeting.join(desk, text))

        return Ask("add", take, f"initials, then the role: EW electrics. Roles: {ROLES}")

    def sheet(self, width: int, height: int) -> list[Line]:
        members, here = self.members(), self.at()
        if here is None:
            by = f" {self.session.by} is writing." if self.session.by else ""
            return labelled("crew", f"{EMPTY}.{by}", width, "quiet")
        rows = [marked(self._row(fact), index == self.row, width) for index, fact in enumerate(members)]
        room = min(len(rows), max(height - 2 - DETAIL, 3))
        shown, below = window(rows, self.row, room)
        heading = line(Span(f"  {pad('initials', INITIALS)}  {'writing':<9} role", "quiet"))
        rule = parting(here.subject, width, f"{below} rows below" if below else "")
        return filled([heading, *shown, rule, *self._detail(here, width)], height)

    def _row(self, fact: Fact) -> Line:
        writing = "writing" if fact.subject == self.session.by else ""
        return line(f" {pad(fact.subject, INITIALS)}  {writing:<9} {fact.detail.get('role') or '-'}")

    def _detail(self, fact: Fact, width: int) -> list[Line]:
        by = self.session.by
        who = f"{by} signs what is logged here" if by else "nobody has signed yet: asked for with the first line"
        rows = labelled("writing", f"{who}. Tab i changes it too", width)
        rows += labelled("", "a second person who signs is one of this list, and never who did it", width, "quiet")
        return rows + labelled("listed", _line_of(self.session, fact), width, "quiet", 2)


def _line_of(session: Session, fact: Fact) -> str:
    """The line that says it, with its number, whether or not there is a robot."""
    case = session.case()
    if case is not None:
        return f"{day_text(fact.happened, session.zone())} {fact_words(case, fact)}"
    entry = fact.entry
    return f"#{entry.n} {clock_text(entry.happened, session.zone())} {clean(entry.by)}"
