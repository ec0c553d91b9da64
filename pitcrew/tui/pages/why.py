"""A row opened: every requirement of a job, why it stands as it does, every entry it rests on, the working."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import names
from pitcrew.bench.detail import caution, job_detail, requirement_detail
from pitcrew.bench.saying import job_words
from pitcrew.bench.session import Session
from pitcrew.bench.working import working_rows
from pitcrew.readiness.jobs import Job
from pitcrew.readiness.verdict import Requirement
from pitcrew.tui.jobs import job_answers, job_awaited
from pitcrew.tui.page import Answers, Awaited, Page, guarded_by, marked
from pitcrew.tui.paint import BLANK, Line, labelled, line, pad, word


class Why(Page):
    """One job in full. Up and down go through what it clears."""

    name = "why"
    title = "a row opened"

    def __init__(self, session: Session, job: Job) -> None:
        super().__init__(session)
        self.job = job

    def keys(self) -> Sequence[str]:
        return [item.key for item in self.job.clears]

    def refreshed(self) -> None:
        view = self.session.view
        if view is not None:
            same = (job for job in view.jobs if (job.action, job.subject) == (self.job.action, self.job.subject))
            self.job = next(same, self.job._replace(clears=(), minutes=0))

    def answers(self) -> Answers:
        view = self.session.view
        return job_answers(self.session, view, self.job) if view and self.job.minutes else Answers(hint="done")

    def awaited(self) -> Awaited | None:
        view = self.session.view
        return job_awaited(view, self.job) if view else None

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return []
        zone = names.zone_name(view.case, self.job.zone) or "all"
        tail = f"   {zone}   {self.job.minutes} min   clears {len(self.job.clears)}"
        rows = [
            line("  ", word(self.job.verdict), f" {pad(job_words(view.case, self.job), width - 12 - len(tail))}", tail)
        ]
        rows += guarded_by(caution(view, self.job), width) or [BLANK]
        # Even of one: what a job clears is not always in its words (look over UL: which joint of it?).
        rows += self._list(width)
        picked = self.job.clears[min(self.row, len(self.job.clears) - 1)] if self.job.clears else None
        apart = [BLANK] if len(self.job.clears) != 1 else []
        rows += [*apart, *self._detail(picked, width)]
        return rows[:height]

    def _list(self, width: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return []
        return [
            marked(line(" ", word(item.verdict), f" {names.label(view.case, item)}"), index == self.row, width)
            for index, item in enumerate(self.job.clears)
        ]

    def _detail(self, item: Requirement | None, width: int) -> list[Line]:
        view = self.session.view
        if view is None:
            return []
        details = list(requirement_detail(view, item)) if item else list(job_detail(view, self.job))
        do = [text for label, text in job_detail(view, self.job) if label == "do"]
        rows: list[Line] = []
        for label, text in [*details, *(("do", text) for text in do if item)]:
            rows += labelled(label, text, width, "" if label in ("why", "do") else "quiet")
        if item is not None:
            for index, text in enumerate(working_rows(view.case, item)):
                rows += labelled("working" if index == 0 else "", text, width, "quiet")
        return rows
