"""Home: what to do next, in the order to do it, with why, and the answer that does it."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import names
from pitcrew.bench.detail import caution, job_detail
from pitcrew.bench.saying import job_words
from pitcrew.bench.session import Session
from pitcrew.bench.signing_words import signature_words
from pitcrew.bench.standing import View
from pitcrew.readiness.jobs import Job
from pitcrew.tui.jobs import job_answers, job_awaited
from pitcrew.tui.page import Answers, Awaited, Go, Outcome, Page, filled, guarded_by, marked, window
from pitcrew.tui.pages.beside import beside, width_beside
from pitcrew.tui.pages.why import Why
from pitcrew.tui.paint import Line, Span, cells, cut, fitted, labelled, line, pad, word
from pitcrew.tui.signs import fit_answers

DETAIL = 8


class Home(Page):
    """The worklist, and below it the row the keys are at: why, what ends it, what it rests on."""

    name = "home"
    title = "what to do next"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._robot = session.robot
        self._rows: tuple[View, int, list[Line]] | None = None
        self.wide = 0
        self._beside: tuple[View, tuple[int, int, int], list[Line]] | None = None
        self._shown: tuple[View, tuple[int, int, int], list[Line]] | None = None

    def jobs(self) -> tuple[Job, ...]:
        """What is on the list."""
        return self.session.view.jobs if self.session.view else ()

    def job(self) -> Job | None:
        """The job the keys are at."""
        jobs = self.jobs()
        return jobs[min(self.row, len(jobs) - 1)] if jobs else None

    def keys(self) -> Sequence[str]:
        return [f"{job.action}:{job.subject}" for job in self.jobs()]

    def hold(self, key: str) -> None:
        """Another robot's list is begun at its first row."""
        if self._robot != self.session.robot:
            self._robot, self.row = self.session.robot, 0
        else:
            super().hold(key)

    def answers(self) -> Answers:
        view, job = self.session.view, self.job()
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        return job_answers(self.session, view, job) if job else fit_answers(self.session, view)

    def awaited(self) -> Awaited | None:
        view, job = self.session.view, self.job()
        return job_awaited(view, job) if view and job else None

    def opened(self) -> Outcome:
        view, job = self.session.view, self.job()
        return Go(Why(self.session, job)) if view and job else None

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet. Tab r begins one"
            return [line(Span(f"  {text}", "quiet"))]
        self.wide = width_beside(width)
        if self.wide:
            left = self._left(view, width - self.wide - 1, height)
            return self._with(self._beside_it(view, self.wide, height), left)
        return self._left(view, width, height)

    def _with(self, right: list[Line], left: list[Line]) -> list[Line]:
        """The list and what stands beside it, row by row."""
        width = max((sum(cells(span.text) for span in row) for row in left), default=0)
        room = filled(right, max(len(left), len(right)))
        return [
            (*fitted(row, width), Span(" "), *beside) for row, beside in zip(filled(left, len(room)), room, strict=True)
        ]

    def _beside_it(self, view: View, width: int, height: int) -> list[Line]:
        key = (self.session.seen, width, height)
        if self._beside is None or self._beside[0] is not view or self._beside[1] != key:
            self._beside = (view, key, beside(self.session, view, width, height))
        return self._beside[2]

    def _left(self, view: View, width: int, height: int) -> list[Line]:
        """The list and its detail."""
        if not view.jobs:
            return self._nothing(view, width)
        detail = self._detail(view, width, min(DETAIL, max(height - 6, 0)))
        room = max(height - len(detail) - 1, 1)
        rows = self._list(view, width)
        rows = rows if room > len(view.jobs) else rows[: len(view.jobs)]
        shown, below = window(rows, self.row, room - (len(rows) > room))
        here = rows[min(self.row, len(view.jobs) - 1)]
        shown = [marked(row, row is here, width) for row in shown]
        if below:
            left = sum(len(job.clears) for job in view.jobs[len(view.jobs) - below :])
            shown.append(line(Span(f"   {below} rows below, they clear {left}", "quiet")))
        return [self._heading(width), *filled(shown, room), *detail][:height]

    def _heading(self, width: int) -> Line:
        return line(Span(f"  {'verdict':<9} {pad('next, in this order', width - 37)} zone clears min people", "quiet"))

    def _list(self, view: View, width: int) -> list[Line]:
        """Every row of the list, painted once a standing and width."""
        if self._rows is None or self._rows[0] is not view or self._rows[1] != width:
            rows = [self._row(view, job, width) for job in view.jobs]
            self._rows = (view, width, rows + ([] if self.wide else self._besides(view, width)))
        return self._rows[2]

    def _row(self, view: View, job: Job, width: int) -> Line:
        zone = names.zone_name(view.case, job.zone) or "all"
        clears = str(len(job.clears)) if job.clears else "-"
        text = pad(job_words(view.case, job), width - 37)
        return line(" ", word(job.verdict), f" {text} {zone:<4} {clears:>6} {job.minutes:>3} {job.people:>6}")

    def _besides(self, view: View, width: int) -> list[Line]:
        """What does not block and is not forgotten; and who signed for it."""
        signed = signature_words(view.case, any(item.group != "signed" for item in view.standing.blocking))
        rows = [line(" ", " ", Span(f"{'signed':<9}", "quiet"), f" {signed.removeprefix('signed ')}")] if signed else []
        for warning in view.warnings():
            verdict, _, text = warning.partition(": ") if ": " in warning else ("warns", "", warning)
            shown = verdict if verdict in ("deferred", "accepted", "skipped") else "warns"
            rows.append(
                line(
                    " ", " ", Span(f"{shown:<9}", "watch"), f" {cut(text if shown == verdict else warning, width - 12)}"
                )
            )
        return rows

    def _detail(self, view: View, width: int, height: int) -> list[Line]:
        job = self.job()
        if job is None or height < 2:
            return []
        key = (self.row, width, height)
        if self._shown is not None and self._shown[0] is view and self._shown[1] == key:
            return self._shown[2]
        rows = guarded_by(caution(view, job), width)
        for label, text in job_detail(view, job):
            role = "" if label in ("why", "do") or not rows else "quiet"
            rows += labelled(label, text, width, role, 2)
        painted = filled(rows, height)
        self._shown = (view, key, painted)
        return painted

    def _nothing(self, view: View, width: int) -> list[Line]:
        fit = view.standing.fit
        text = "nothing blocks." if fit else "nothing blocks; no fight is entered: Tab f enters one."
        if self._rows is None or self._rows[0] is not view or self._rows[1] != width:
            self._rows = (view, width, self._besides(view, width))
        return [line(Span("  next      ", "quiet"), text), *self._rows[2]]
