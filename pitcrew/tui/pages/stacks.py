"""Gaps and clearances: each with its verdict, figure, mark and limits, and below the list what explains one."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.answering import accept
from pitcrew.bench.measuring import feeler
from pitcrew.bench.session import Session
from pitcrew.robot.records import Evidence
from pitcrew.tui.jobs import figure_awaited
from pitcrew.tui.page import Answer, Answers, Awaited, Go, Outcome, Page, Write, filled, marked, parting, window
from pitcrew.tui.pages.anew import new_gap
from pitcrew.tui.pages.gaps import (
    Known,
    cautions,
    explained,
    feeler_text,
    figure_text,
    found_at,
    gap_mark,
    known,
    limits_text,
    listed,
    past_rows,
    rests_on,
    role_of,
    why_text,
    zones_text,
)
from pitcrew.tui.pages.run import Run
from pitcrew.tui.paint import BLANK, Line, Span, cut, labelled, line, pad, word
from pitcrew.tui.strips import shorten

__all__ = ["Run", "Stacks"]

NARROW, WITH_WHY = 76, 110
LEAST_DETAIL = 6
NONE_YET = "none in this robot yet. The first comes with its figure, limits and zone: .5 float .25 .75 in W1"


class Stacks(Page):
    """The list of gaps. Space measures one, Enter opens it too; a bare figure is the gap itself."""

    name = "stacks"
    title = "gaps and clearances"

    def __init__(self, session: Session, stack: str | None = None) -> None:
        super().__init__(session)
        self._known: tuple[Evidence, str, dict[str, Known]] | None = None
        self._full: tuple[Known, Known] | None = None
        self._painted: tuple[Known | None, tuple[int, int, int], list[Line]] | None = None
        if stack is not None:
            self.hold(stack)

    # what is known

    def gaps(self) -> dict[str, Known]:
        """Every gap of the robot by its id, as the book has it now; what blocks is not moved to the front."""
        if self._known is None or self._known[:2] != (self.session.evidence, self.session.robot):
            case = self.session.case()
            found = {ident: listed(case, stack) for ident, stack in case.defs.stacks.items()} if case else {}
            self._known = (self.session.evidence, self.session.robot, found)
        return self._known[2]

    def keys(self) -> Sequence[str]:
        return list(self.gaps())

    def picked(self) -> Known | None:
        """The gap the keys are at."""
        return self.gaps().get(self.key())

    def _picked_in_full(self) -> Known | None:
        """The gap the keys are at, with what takes longer to find out."""
        now = self.picked()
        if now is not None and (self._full is None or self._full[0] is not now):
            self._full = (now, known(now.case, now.stack))
        return self._full[1] if now is not None and self._full is not None else None

    # what is said

    def answers(self) -> Answers:
        now = self.picked()
        if now is None:
            return (
                Answers((new_gap(self.session),)) if self.session.case() is not None else Answers(hint="no robot yet")
            )
        stack, item = now.stack, now.gap.requirement
        items = [Answer("measure", lambda: Go(Run(self.session, stack.id)))]
        if stack.low_m is not None and stack.high_m is not None:
            low, high = stack.low_m, stack.high_m
            items.append(Answer(feeler_text(stack), lambda: Write(lambda desk: feeler(desk, stack.id, low, high))))
        if item.verdict == "marginal" and now.gap.blocks:
            items.append(Answer("take it on for this fight", lambda: Write(lambda desk: accept(desk, item))))
        zone = stack.zones[0] if stack.zones else None
        items.append(Answer("found something", lambda: found_at(self.session, zone, None)))
        items.append(new_gap(self.session))
        return Answers(tuple(items))

    def opened(self) -> Outcome:
        now = self.picked()
        return Go(Run(self.session, now.stack.id)) if now is not None else None

    def awaited(self) -> Awaited | None:
        now, view = self.picked(), self.session.view
        if now is None or view is None:
            return None
        found = figure_awaited(view, now.stack.id)
        return found._replace(name=f"{found.name}, the gap itself") if found is not None else None

    # how it looks

    def sheet(self, width: int, height: int) -> list[Line]:
        gaps = list(self.gaps().values())
        if not gaps:
            return labelled("stacks", NONE_YET if self.session.robot else "no robot in this book yet", width)
        full, wanted = self._picked_in_full(), (self.row, width, height)
        if self._painted is None or self._painted[0] is not full or self._painted[1] != wanted:
            self._painted = (full, wanted, self._sheet(gaps, full, width, height))
        return self._painted[2]

    def _sheet(self, gaps: list[Known], full: Known | None, width: int, height: int) -> list[Line]:
        detail = self._detail(full, width) if full is not None else []
        room = max(min(len(gaps), height - 1 - min(len(detail), LEAST_DETAIL)), 1)
        held, below = window(gaps, self.row, room)
        more = bool(below) and room > 2
        if more:
            held, below = window(gaps, self.row, room - 1)
        here = gaps[min(self.row, len(gaps) - 1)]
        shown = [marked(self._row(now, width), now is here, width) for now in held]
        if more:
            shown.append(line(Span(f"   {below} more below" if below else "", "quiet")))
        return [self._heading(width), *shown, *filled(detail, height)][:height]

    def _heading(self, width: int) -> Line:
        name = pad("gap", _name_width(width))
        limits = f" {pad('limits, mm', 14)}" if width >= NARROW else ""
        why = "why" if width >= WITH_WHY else ""
        return line(Span(f"  {'verdict':<9} {name} {pad('mm', 14)} {' ' * 15}{limits} {why}".rstrip(), "quiet"))

    def _row(self, now: Known, width: int) -> Line:
        gap, stack = now.gap, now.stack
        name = _name_width(width)
        limits = Span(f" {pad(limits_text(stack), 14)}", "quiet") if width >= NARROW else ""
        why = f" {why_text(now)}" if width >= WITH_WHY else ""
        return line(
            " ",
            word(gap.requirement.verdict, gap.blocks),
            f" {pad(shorten(stack.name, name), name)} {pad(figure_text(gap), 14)} ",
            Span(gap_mark(gap, stack), role_of(gap.requirement.verdict, gap.blocks)),
            limits,
            cut(why, max(width - 61 - name, 0)),
        )

    def _detail(self, now: Known, width: int) -> list[Line]:
        rows = [parting(shorten(now.stack.name, 40), width, zones_text(now))]
        rows += cautions(now, width)
        rows += explained(now, width)
        rows += rests_on(now, width)
        return [*rows, *past_rows(now, width), BLANK]


def _name_width(width: int) -> int:
    return max(min(width - 60, 22), 16) if width >= NARROW else max(width - 43, 10)
