"""Looking at parts one by one: each with why it wants a look, what was found on it before, and one key for good."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pitcrew.bench import looking, names, words
from pitcrew.bench.damage import out_of
from pitcrew.bench.detail import caution, fact_words, requirement_detail
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import Job
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.records import Fact
from pitcrew.tui.page import Answer, Answers, Back, Outcome, Page, Write, filled, marked, parting, window
from pitcrew.tui.pages.gaps import found_at, when_text
from pitcrew.tui.paint import BLANK, Line, Span, labelled, line, pad, word, wrapped
from pitcrew.tui.strips import shorten

DONE = "done"
NAME, WHY = 24, 13
LEAST_DETAIL = 5


class Part(NamedTuple):
    """A part to look at: its requirement as it stood when the looking began, its place, whether the driver named it."""

    id: str
    begun: Requirement
    named: bool


class Looks(Page):
    """The parts of a job, in order. Space says that the one at the keys was looked at and is good."""

    name = "looks"
    title = "looked at one by one"

    def __init__(self, session: Session, job: Job) -> None:
        super().__init__(session)
        self.job = job
        self.parts = tuple(Part(item.subject, item, _named(item)) for item in job.clears)
        self._since = (session.now(), session.seen)
        self._detail: tuple[object, int, int, list[Line]] | None = None

    # what is known

    def case(self) -> Case | None:
        """The robot as the book has it now."""
        return self.session.case()

    def part(self) -> Part | None:
        """The part the keys are at; None behind the last."""
        return self.parts[self.row] if self.row < len(self.parts) else None

    def looked(self, part: Part) -> Fact | None:
        """The look or the finding that this run through the parts has of one."""
        case = self.case()
        if case is None:
            return None
        for kind in ("looked_at", "finding"):
            fact = case.newest(kind, part.id)
            if fact is not None and fact.tick >= self._since[0] and fact.entry.n > self._since[1]:
                return fact
        return None

    def left(self) -> list[Part]:
        """The parts nobody has looked at in this run."""
        return [part for part in self.parts if self.looked(part) is None]

    def keys(self) -> Sequence[str]:
        return [*(part.id for part in self.parts), DONE]

    # what is said

    def answers(self) -> Answers:
        part, left = self.part(), self.left()
        if part is None:
            hint = "" if not left else f"{len(left)} not looked at yet"
            return Answers((Answer("done", Back),), 0 if not left else None, hint)
        first = Answer(self._good_words(), lambda: Write(lambda desk: looking.look_at(desk, [part.id]), None, self._on))
        if self.looked(part) is not None:
            first = Answer("next", self._on)
        return Answers((first, Answer("found something", lambda: self._found(part)), *self._rest(left)))

    def _good_words(self) -> str:
        return "case whole, cells within" if self.job.action == "look at packs" else "looked at, good"

    def _rest(self, left: list[Part]) -> tuple[Answer, ...]:
        """All the others at once; never one that the driver named."""
        rest = [part.id for part in left if not part.named]
        if len(rest) < 2:
            return ()
        return (
            Answer(f"all {len(rest)} good", lambda: Write(lambda desk: looking.look_at(desk, rest), None, self._on)),
        )

    def _found(self, part: Part) -> Outcome:
        case = self.case()
        place = (case.scope().get(part.id) or out_of(case, part.id)) if case is not None else None
        return found_at(self.session, self.job.zone or (case.zone_of(place) if case is not None else None), place)

    def _on(self) -> Outcome:
        """On to the next part that wants a look; behind the last one when none is left."""
        left = {part.id for part in self.left()}
        after = [index for index, part in enumerate(self.parts) if part.id in left and index > self.row]
        before = [index for index, part in enumerate(self.parts) if part.id in left]
        self.row = next(iter((*after, *before)), len(self.parts))
        return None

    def opened(self) -> Outcome:
        part = self.part()
        if part is None:
            return Back()
        from pitcrew.tui.finding import page_of
        from pitcrew.tui.page import Go

        page = page_of(self.session, "part", part.id)
        return Go(page) if page is not None else None

    # how it looks

    def sheet(self, width: int, height: int) -> list[Line]:
        view, case = self.session.view, self.case()
        if view is None or case is None:
            return [line(Span("  judging..", "quiet"))]
        now = {item.key: item for item in view.standing.requirements}
        rows = [
            marked(self._row(case, now.get(part.begun.key), part, width), index == self.row, width)
            for index, part in enumerate(self.parts)
        ]
        count = len(self.parts) - len(self.left())
        rows.append(marked(line(f" {'':9} {count} of {len(self.parts)} looked at"), self.part() is None, width))
        top = [line(Span(f"  {'verdict':<9} {pad('look at', NAME)} why", "quiet"))]
        top += self._cautions(view, width)
        detail = self._behind(view, case, width)
        room = max(min(len(rows), height - len(top) - min(len(detail), LEAST_DETAIL)), 1)
        shown, _ = window(rows, self.row, room)
        return [*top, *shown, *filled(detail, height)][:height]

    def _cautions(self, view: View, width: int) -> Iterator[Line]:
        said = caution(view, self.job)
        for index, row in enumerate(wrapped(said, width - 2, 2) if said else ()):
            yield line(Span(f"{'!' if index == 0 else ' '} {row}", "care"))

    def _row(self, case: Case, item: Requirement | None, part: Part, width: int) -> Line:
        shown = item or part.begun
        name = pad(shorten(names.place_name(case, part.id), NAME - 1), NAME)
        look = self.looked(part)
        if look is not None:
            found = "found" if look.entry.kind == "finding" else "looked at"
            why = f"{found} {when_text(case, look.happened)} {look.entry.by}  #{look.entry.n}"
        else:
            why = words.reason(case, shown)
        return line(" ", word(shown.verdict, shown.blocks), f" {name}", Span(why, "quiet" if look else ""))

    def _behind(self, view: View, case: Case, width: int) -> list[Line]:
        """What stands behind the part at the keys."""
        part = self.part()
        if part is None:
            return []
        if self._detail is None or self._detail[:3] != (view, self.row, width):
            rows = [BLANK, parting(shorten(names.part_name(case, part.id), 40), width)]
            rows += self._story(view, case, part, width)
            self._detail = (view, self.row, width, rows)
        return self._detail[3]

    def _story(self, view: View, case: Case, part: Part, width: int) -> Iterator[Line]:
        for label, text in requirement_detail(view, self._of_now(view, part)):
            yield from labelled(label, text, width, "" if label == "why" else "quiet", 2)
        before = [fact for _, fact in zip(range(3), case.facts("finding", part.id), strict=False)]
        for index, fact in enumerate(before):
            mends = case.newest("mended", fact.root)
            done = f"; {mends.detail['how']} {when_text(case, mends.happened)}" if mends else "; still stands"
            yield from labelled("before" if index == 0 else "", fact_words(case, fact) + done, width, "quiet", 2)

    def _of_now(self, view: View, part: Part) -> Requirement:
        found = (item for item in view.standing.requirements if item.key == part.begun.key)
        return next(found, part.begun)


def _named(item: Requirement) -> bool:
    return any(reason.code == "driver says" for reason in item.because)
