"""After a fight: the walk from the arena to the next call on one screen, each step with its answer or its screen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from pitcrew.bench import correcting, fighting, fitting
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import caution, job_detail
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.turnaround import ARENA, DONE, HOT, LATER, LOCK, NOW, Step, fight_of, walk
from pitcrew.bench.words import at
from pitcrew.logbook.writing import Draft
from pitcrew.tui.finding import PLACES, page_of, place_page
from pitcrew.tui.jobs import job_answers, job_awaited, logs, shows
from pitcrew.tui.page import Answer, Answers, Awaited, Go, Outcome, Page, filled, guarded_by, marked, parting
from pitcrew.tui.pages.fights import RESULTS
from pitcrew.tui.pages.hits import Hits
from pitcrew.tui.pages.why import Why
from pitcrew.tui.paint import Line, Span, labelled, line, pad

TITLE, BESIDE = 21, 44
LEAST_ROWS, LEAST_DETAIL = 6, 4
ROLES = {NOW: "owed", DONE: "quiet"}
# Where Enter leads, by step; a list leads to itself, what was felt and said to the hits.
SCREENS = {
    "old": "g",
    "mend": "g",
    "measure": "s",
    "fasten": "j",
    "next": "f",
    "result": "f",
    "weigh": "w",
    "looks": "p",
    "hands": "p",
    "packs out": "k",
    "packs in": "k",
    "sign": "m",
}


class Turnaround(Page):
    """A row a step. Space says the answer of the next thing to do in it, or goes to its screen; Back comes back."""

    name = "after a fight"
    title = "from the arena to the next call"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._walk: tuple[View, tuple[Step, ...]] | None = None
        self._shown: tuple[View, tuple[int, int, int], list[Line]] | None = None
        self._was = ""  # the state of the step under the keys when it was last looked at
        self.to_next()

    def steps(self) -> tuple[Step, ...]:
        """Every step, read again when the robot was judged anew."""
        view = self.session.view
        if view is None:
            return ()
        if self._walk is None or self._walk[0] is not view:
            self._walk = (view, walk(view))
        return self._walk[1]

    def step(self) -> Step | None:
        """The step the keys are at."""
        steps = self.steps()
        return steps[min(self.row, len(steps) - 1)] if steps else None

    def keys(self) -> Sequence[str]:
        return [step.id for step in self.steps()]

    def to_next(self) -> None:
        """Put the keys at the step that is next."""
        self.row = next((index for index, step in enumerate(self.steps()) if step.state == NOW), self.row)
        step = self.step()
        self._was = step.state if step is not None else ""

    def move(self, step: int) -> None:
        super().move(step)
        here = self.step()
        self._was = here.state if here is not None else ""

    def hold(self, key: str) -> None:
        """The keys stay at their step; when it has just been done, they go on to the next."""
        was = self._was
        super().hold(key)
        here = self.step()
        if here is not None and was in ("", NOW, LATER) and here.state not in (NOW, LATER):
            self.to_next()

    # what is said

    def answers(self) -> Answers:
        view, step = self.session.view, self.step()
        if view is None or step is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        if step.id.startswith("check:") and step.jobs:
            return Answers((shows("start", self.session, "checklist", step.jobs[0].subject),))
        if step.jobs:
            return job_answers(self.session, view, step.jobs[0])
        asked = self._asked(view, step)
        return asked if asked.items else Answers(hint="done" if step.state == DONE else "nothing to do")

    def _asked(self, view: View, step: Step) -> Answers:
        """The answers of a step that is no job of the list."""
        fight, end = fight_of(view.case)
        if step.id == ARENA and end is None:
            return Answers(tuple(logs(f"ended: {word}", partial(_ended, fight=fight, result=word)) for word in RESULTS))
        if step.id == ARENA and step.state == NOW:
            return Answers((logs("left the arena", lambda desk: fighting.left(desk, fight)),))
        if step.id == "result" and step.state != DONE and end is not None:
            words = (logs(word, partial(_result, end=end.id, result=word)) for word in RESULTS)
            return Answers(tuple(words), None, "how did it end? choose first")
        if step.id in ("hits", "driver"):
            return Answers((Answer("go there" if step.state != DONE else "show", self.opened),))
        if step.id == "next" and view.case.fight() is not None and step.state != DONE:
            sets = view.case.defs.pack_sets.values()
            chosen = (logs(f"choose {item.name}", partial(_chosen, pack_set=item.id)) for item in sets)
            return Answers(tuple(chosen), None, "which packs? choose first")
        if SCREENS.get(step.id) not in PLACES:
            return Answers()
        read = step.id == "packs out" and "not read" in step.told
        label = "read them" if read else "enter it" if step.id == "next" and step.state != DONE else "show"
        return Answers((Answer(label, self.opened),))

    def opened(self) -> Outcome:
        step = self.step()
        if step is None:
            return None
        if step.id in ("hits", "driver"):
            page = Hits(self.session)
            if step.id == "driver":
                page.block(1)
            return Go(page)
        checklist = step.id.removeprefix("check:")
        found = page_of(self.session, "checklist", checklist) if checklist != step.id else None
        if found is not None:
            return Go(found)
        if step.jobs:
            return Go(Why(self.session, step.jobs[0]))
        return Go(place_page(self.session, SCREENS[step.id])) if SCREENS.get(step.id) in PLACES else None

    def awaited(self) -> Awaited | None:
        view, step = self.session.view, self.step()
        return job_awaited(view, step.jobs[0]) if view is not None and step is not None and step.jobs else None

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        view, steps = self.session.view, self.steps()
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet"
            return [line(Span(f"  after     {text}", "quiet"))]
        key = (self.row, width, height)
        if self._shown is None or self._shown[0] is not view or self._shown[1] != key:
            self._shown = (view, key, self._painted(view, steps, width, height))
        return self._shown[2]

    def _painted(self, view: View, steps: Sequence[Step], width: int, height: int) -> list[Line]:
        detail = self._detail(view, width)
        guard = self._guard(steps, width)[: max(height - 4, 0)]
        most = height - 1 - len(guard)
        room = max(most - min(len(detail), LEAST_DETAIL), min(LEAST_ROWS, most), 1)
        rows = self._rows(view, steps, width, room)
        return filled([_heading(view, width), *guard, *rows, *detail], height)

    def _guard(self, steps: Sequence[Step], width: int) -> list[Line]:
        """What is said first of all until the robot is safe, whatever else is open."""
        unsafe = any(each.state in (NOW, LATER) for each in steps[:2])
        return [row for text in (LOCK, HOT) for row in guarded_by(text, width)] if unsafe else []

    def _rows(self, view: View, steps: Sequence[Step], width: int, room: int) -> list[Line]:
        """As many steps as fit: first go those with nothing to do, then those done, last those furthest off."""
        shown = list(range(len(steps)))
        here = min(self.row, len(steps) - 1)

        def costs(index: int) -> tuple[int, int]:
            rank = {NOW: 3, LATER: 2, DONE: 1}.get(steps[index].state, 0)
            return (rank, index if rank < 2 else -index)

        while len(shown) > room:
            shown.remove(min((index for index in shown if index != here), key=costs))
        return [marked(_row(view, steps[index], width), index == here, width) for index in shown]

    def _detail(self, view: View, width: int) -> list[Line]:
        step = self.step()
        if step is None:
            return []
        jobs = f"{len(step.jobs)} {'job' if len(step.jobs) == 1 else 'jobs'}, {step.minutes} min"
        rows = [parting(step.title, width, jobs if step.jobs else "")]
        if not step.jobs:
            return [*rows, *labelled("so far", step.told or "not yet", width, "", 2)]
        rows += guarded_by(caution(view, step.jobs[0]), width)
        for label, text in job_detail(view, step.jobs[0], 2):
            rows += labelled(label, text, width, "" if label in ("why", "do") else "quiet", 2)
        return rows


def _ended(desk: Desk, fight: str, result: str) -> list[Draft]:
    return fighting.ended(desk, fight, result)


def _result(desk: Desk, end: str, result: str) -> list[Draft]:
    return correcting.correct(desk, end, {"result": result})


def _chosen(desk: Desk, pack_set: str) -> list[Draft]:
    return fitting.choose_packs(desk, pack_set)


def _heading(view: View, width: int) -> Line:
    fight, end = fight_of(view.case)
    last = f"ended {at(view.case, end.happened)}" if end is not None else "is on" if fight else ""
    name = view.case.newest("entered", fight)
    after = f"after {name.detail['name']}, {last}" if name is not None else "no fight has ended yet"
    return line(Span(f"  {'step':<9} when  {pad(after, width - BESIDE + TITLE + 1)} min", "quiet"))


def _row(view: View, step: Step, width: int) -> Line:
    verdict = Span(f"{step.state.upper() if step.state == NOW else step.state:<9}", ROLES.get(step.state, ""))
    when = at(view.case, step.at) if step.at is not None else ""
    minutes = str(step.minutes) if step.jobs else ""
    text = f" {when:<5} {pad(step.title, TITLE)} {pad(step.told, width - BESIDE)} {minutes:>3}"
    return line(" ", verdict, Span(text, "quiet" if step.state not in (NOW, LATER) else ""))
