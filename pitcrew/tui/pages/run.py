"""A run through the pieces of one gap: read what was touched, step over what was not, see what it makes."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import measuring
from pitcrew.bench.answering import accept
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import fitting
from pitcrew.bench.runs import PieceNow, length_instruments, next_gap, usual_gap_tool, usual_tool
from pitcrew.bench.session import Session
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry, Evidence, Fact
from pitcrew.tui.finding import page_of
from pitcrew.tui.page import Answer, Answers, Awaited, Back, Go, Outcome, Page, Say, Step, Write, window
from pitcrew.tui.pages.gaps import Known, feeler_text, found_at, known, tool_name
from pitcrew.tui.pages.run_rows import Reading, sheet_rows
from pitcrew.tui.paint import Line, Span, line

GAP = "gap"


class Run(Page):
    """The pieces of a gap in order, and under them the gap. A bare figure is the piece the keys are at.

    Everything that is read in one run is logged at once and under one act.
    """

    name = "measure"
    title = "measuring a gap"

    def __init__(self, session: Session, stack: str) -> None:
        super().__init__(session)
        self.stack = stack
        self.act = session.source.ids.mint(session.now())
        self._since = (session.now(), session.seen)
        self._own = len(session.own_acts)
        self._tools: dict[str, str] = {}
        self._read: dict[str, str] = {}
        self._known: tuple[Evidence, Known | None] | None = None
        self._painted: tuple[Known, tuple[int, int, int], list[Line]] | None = None

    # what is known

    def known(self) -> Known | None:
        """The gap and its pieces as the book has them now, judged or not; None when the gap is gone."""
        if self._known is None or self._known[0] is not self.session.evidence:
            case = self.session.case()
            record = case.defs.stacks.get(self.stack) if case is not None else None
            found = known(case, record) if case is not None and record is not None else None
            self._known = (self.session.evidence, found)
        return self._known[1]

    def keys(self) -> Sequence[str]:
        now = self.known()
        return [*map(_name, now.pieces), GAP] if now is not None else ()

    def piece(self) -> PieceNow | None:
        """The piece the keys are at; None at the gap itself."""
        now = self.known()
        return now.pieces[self.row] if now is not None and self.row < len(now.pieces) else None

    def in_run(self, fact: Fact | None) -> bool:
        """Was this read in this run?"""
        if fact is None:
            return False
        entry: Entry = fact.entry
        return entry.act == self.act or (fact.tick >= self._since[0] and entry.n > self._since[1])

    def tool(self, row: PieceNow | None) -> str | None:
        """What the next figure is read with: what was picked here, else the usual one."""
        now = self.known()
        key = _name(row) if row is not None else GAP
        if now is None or key in self._tools:
            return self._tools.get(key)
        if row is not None and row.key is None:
            return None
        if row is not None:
            return now.case.once(
                "usual tool", key, of=lambda: usual_tool(now.case, now.stack, row.piece, row.key or "")
            )
        return now.case.once("usual tool", self.stack, of=lambda: usual_gap_tool(now.case, now.stack))

    def readings(self) -> list[Reading]:
        """What this run has read of each piece, and what was known before."""
        now = self.known()
        return [self._reading(now, row) for row in now.pieces] if now is not None else []

    def _reading(self, now: Known, row: PieceNow) -> Reading:
        if row.fact is None or not self.in_run(row.fact):
            return Reading(row, tool_name(now.case, self.tool(row)), None, row.length_m, row.fact)
        before = (fact for fact in now.case.facts("reading", row.key or "") if not self.in_run(fact))
        last = next(before, None)
        used = tool_name(now.case, row.instrument)
        return Reading(row, used, row.fact, float(last.detail["value_m"]) if last else None, last)

    # what is said

    def awaited(self) -> Awaited | None:
        now, row = self.known(), self.piece()
        if now is None or (row is not None and row.key is None):
            return None

        def named(text: str) -> Awaited | None:
            known_of = ((item.id, item.name) for item in length_instruments(now.case))
            found = fitting(text, known_of)
            return self._awaits(now, row, found[0]) if len(found) == 1 else None

        return self._awaits(now, row, self.tool(row))._replace(with_tool=named)

    def _awaits(self, now: Known, row: PieceNow | None, tool: str | None) -> Awaited:
        """A figure of a piece, or of the gap itself, read with an instrument."""
        name = tool_name(now.case, tool)
        note = f" {name}, this run" if name else ", this run; no instrument, so its doubt is not known"
        if row is None:
            direct = lambda desk, si, typed: measuring.direct(desk, self.stack, si, tool, typed)  # noqa: E731
            last = now.gap.value_m if now.gap.value_m is not None else now.gap.added.value
            return Awaited(f"{now.stack.name}, the gap itself", "length", "mm", direct, note, self.act, last)
        piece = row.piece

        def take(desk: Desk, si: float, typed: str) -> list[Draft]:
            return measuring.pieces(desk, [measuring.Read(piece, si, tool, typed)])

        return Awaited(piece.name, "length", "mm", take, note, self.act, row.length_m)

    def answers(self) -> Answers:
        now, row = self.known(), self.piece()
        if now is None:
            return Answers(hint="this gap is not in the book of this robot")
        if row is None:
            return self._gap_answers(now)
        first = Answer("next" if self.in_run(row.fact) else "not touched", Step)
        put_in = [] if row.key is not None or _shim(now, row) else [self._put_in(row)]
        itself = Answer("the gap itself", self._to_gap)
        return Answers(
            (first, *put_in, *self._feeler(now), itself, *self._other_tool(now, row), _found(self.session, now, row))
        )

    def _gap_answers(self, now: Known) -> Answers:
        item = now.gap.requirement
        accepts = item.verdict == "marginal" and now.gap.blocks
        take_on = [Answer("take it on for this fight", lambda: Write(lambda desk: accept(desk, item)))]
        further = self._next(now)
        done = (*((further,) if further is not None else ()), Answer("done", Back))
        beside = (*self._feeler(now), *self._other_tool(now, None), _found(self.session, now, None))
        if item.verdict in ("recheck", "unchecked"):
            return Answers((*beside, *done), None, "nothing proves it yet: type a piece, or the gap itself")
        return Answers((*done, *(take_on if accepts else ()), *beside))

    def _next(self, now: Known) -> Answer | None:
        """On to the next gap of the same hands, in the same run; None when there is none."""
        view = self.session.view
        other = next_gap(now.case, view.standing.blocking, now.stack) if view is not None else None
        if other is None or self._still_judging():
            return None

        def go() -> Outcome:
            self.stack, self._known = other.id, None
            pieces = self.readings()
            self.row = next((index for index, item in enumerate(pieces) if item.read is None), len(pieces))
            return Step(0)

        return Answer(f"next: {other.name}", go)

    def _still_judging(self) -> bool:
        """Is what was read last not in the standing yet? Then that still wants what may be settled already."""
        view = self.session.view
        return view is None or view.case.evidence is not self.session.evidence

    def _put_in(self, row: PieceNow) -> Answer:
        def go() -> Outcome:
            page = page_of(self.session, "place", row.piece.position or "")
            return Go(page) if page is not None else None

        return Answer("put a part in", go)

    def _feeler(self, now: Known) -> tuple[Answer, ...]:
        low, high = now.stack.low_m, now.stack.high_m
        if low is None or high is None:
            return ()
        drafts = lambda desk: measuring.feeler(desk, self.stack, low, high)  # noqa: E731
        return (Answer(feeler_text(now.stack), lambda: Write(drafts, None, self._at_gap)),)

    def _other_tool(self, now: Known, row: PieceNow | None) -> tuple[Answer, ...]:
        """The next of the instruments that read lengths; said again, the one after it."""
        tools = [tool.id for tool in length_instruments(now.case)]
        if not tools or (row is not None and row.key is None):
            return ()
        used = self.tool(row)
        other = tools[(tools.index(used) + 1) % len(tools)] if used in tools else tools[0]
        if other == used:
            return ()
        key = _name(row) if row is not None else GAP

        def take() -> Outcome:
            self._tools[key], self._painted = other, None
            return Say(f"read with {tool_name(now.case, other)} from here on: type the figure")

        return (Answer(f"read with {tool_name(now.case, other)}", take),)

    def _to_gap(self) -> Outcome:
        self._at_gap()
        return Say("type the gap as it is measured directly; that outranks the sum")

    def _at_gap(self) -> Outcome:
        self.row = max(len(self.keys()) - 1, 0)
        return None

    def opened(self) -> Outcome:
        from pitcrew.tui.pages.worked import Worked

        return Go(Worked(self.session, self.stack))

    # stepping

    def refreshed(self) -> None:
        """After a reading of one's own, the keys go on to the next piece that this run has not read."""
        if len(self.session.own_acts) > self._own:
            self._own = len(self.session.own_acts)
            self._step_on()

    def _step_on(self) -> None:
        now, row = self.known(), self.piece()
        if now is None or row is None or row.fact is None or not self.in_run(row.fact):
            return
        if self._read.get(_name(row)) == row.fact.id:
            return
        self._read[_name(row)] = row.fact.id
        after = range(self.row + 1, len(now.pieces))
        unread = (index for index in after if not self.in_run(now.pieces[index].fact))
        self.row = next(unread, len(now.pieces))

    # how it looks

    def sheet(self, width: int, height: int) -> list[Line]:
        now = self.known()
        if now is None:
            return [line(Span(f"  {self.answers().hint}", "quiet"))]
        wanted = (self.row, width, height)
        if self._painted is None or self._painted[0] is not now or self._painted[1] != wanted:
            rows = sheet_rows(now, self.readings(), self.row, width)
            listed, _ = window(rows.pieces, self.row, max(height - len(rows.top) - len(rows.bottom) - 1, 1))
            self._painted = (now, wanted, [*rows.top, *listed, *rows.bottom, *rows.detail][:height])
        return self._painted[2]


def _found(session: Session, now: Known, row: PieceNow | None) -> Answer:
    place = row.piece.position if row is not None else None
    zone = now.case.zone_of(place) or (now.stack.zones[0] if now.stack.zones else None)
    return Answer("found something", lambda: found_at(session, zone, place))


def _name(row: PieceNow) -> str:
    return f"{row.piece.position or ''}/{row.piece.dimension}"


def _shim(now: Known, row: PieceNow) -> bool:
    place = now.case.defs.positions.get(row.piece.position or "")
    return place is not None and place.role == "shim"
