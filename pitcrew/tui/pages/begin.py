"""A new robot: name, limit, zones by its weapon, weight list, call; what is answered is in the book at once."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import starting
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import fight_name
from pitcrew.bench.session import Session
from pitcrew.bench.templates import TEMPLATES
from pitcrew.bench.weight_list import weight_line
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.weights import mass_of
from pitcrew.tui.page import Answer, Answers, Ask, Back, Outcome, Page, Say, Step, Write, marked
from pitcrew.tui.paint import BLANK, Line, Span, line, pad

NAME, LIMIT, WEAPON, WEIGHTS, CALL = range(5)
WORDS = ("name", "limit", "weapon", "weights", "call")
HINTS = (
    "type the robot's name, then Enter",
    "type the weight limit of its class: 113.4 kg, or 30 lb",
    "",
    "type a line: 3.30 kg weapon shaft, or 4 x 0.13 kg wheel",
    "type when the next fight is called: 16:07",
)


class Begin(Page):
    """Five questions and a weight list; after them there is a standing."""

    name = "begin"
    title = "a new robot"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.stage = NAME
        self.robot_name = ""
        self.limit_kg: float | None = None
        self.lines = 0

    def keys(self) -> Sequence[str]:
        return [template.name for template in TEMPLATES] if self.stage == WEAPON else ()

    def asks(self) -> Ask | None:
        if self.stage == WEAPON:
            return None
        return Ask(WORDS[self.stage], self._take, HINTS[self.stage])

    def answers(self) -> Answers:
        if self.stage == WEAPON:
            return Answers((Answer("this weapon", self._chosen),))
        if self.stage == WEIGHTS:
            done = Answer("that is all", self._weighed)
            return Answers((done,), 0 if self.lines else None, HINTS[WEIGHTS])
        if self.stage == CALL:
            return Answers((Answer("no call yet", self._no_call),), None, HINTS[CALL])
        if self.stage == LIMIT:
            return Answers((Answer("no limit known", self._no_limit),), None, HINTS[LIMIT])
        return Answers(hint=HINTS[self.stage])

    def opened(self) -> Outcome:
        if self.stage == WEAPON:
            return self._chosen()
        if self.stage == WEIGHTS and self.lines:
            return self._weighed()
        return Say(HINTS[self.stage])

    def sheet(self, width: int, height: int) -> list[Line]:
        hint = HINTS[self.stage] or "pick the weapon that is nearest: it gives the zones"
        rows = [line(Span("  a new robot", "quiet")), line(Span(f"            {hint}", "quiet")), BLANK]
        rows.append(_said("name", self.robot_name, self.stage == NAME))
        limit = f"{self.limit_kg:g} kg" if self.limit_kg is not None else "not known" if self.stage > LIMIT else ""
        rows.append(_said("limit", limit, self.stage == LIMIT))
        if self.stage == WEAPON:
            rows.append(_said("weapon", "which?", True))
            rows += [marked(line(f"           {row.name}"), at == self.row, width) for at, row in enumerate(TEMPLATES)]
        if self.stage >= WEIGHTS:
            rows += self._weights(width, max(height - len(rows) - 2, 1))
        if self.stage == CALL:
            rows.append(_said("call", "", True))
        return rows[:height]

    def _weights(self, width: int, height: int) -> list[Line]:
        case = self.session.case()
        if case is None:
            return []
        rows = []
        total = 0.0
        for part, position in case.scope().items():
            known = mass_of(case, part)
            mass = known.reading.value if known else 0.0
            total += mass
            record = case.part(part)
            zone = case.defs.zones.get(case.zone_of(position) or "")
            text = f"{record.name if record else part}"
            rows.append(
                line(f"             {mass:8.3f} kg  {pad(text, max(width - 40, 8))} {zone.name if zone else ''}")
            )
        of = f" of {self.limit_kg:g}" if self.limit_kg else ""
        head = _said("weights", f"{len(rows)} parts, {total:.3f} kg{of}", self.stage == WEIGHTS)
        return [head, *rows[-max(height - 1, 0) :]]

    def _take(self, text: str) -> Outcome:
        if self.stage == NAME:
            self.robot_name = starting.robot_name(self.session.evidence, text)
            self.stage = LIMIT
            return None
        if self.stage == LIMIT:
            self.limit_kg = starting.mass_kg(text, "limit")
            self.stage = WEAPON
            return None
        if self.stage == WEIGHTS:
            return self._weights_line(text)
        starting.fight(self.session.desk(), text)  # refused while what was typed still stands
        return Write(lambda desk: starting.fight(desk, text), then=self._called)

    def _weights_line(self, text: str) -> Outcome:
        if not text.strip():
            return self._weighed()

        def counted() -> Outcome:
            self.lines += 1
            return None

        weight_line(self.session.desk(), text)  # refused while what was typed still stands
        return Write(lambda desk: weight_line(desk, text), then=counted)

    def _no_limit(self) -> Outcome:
        self.limit_kg, self.stage = None, WEAPON
        return None

    def _chosen(self) -> Outcome:
        template = TEMPLATES[self.row]
        made: list[str] = []

        def drafts(desk: Desk) -> list[Draft]:
            start = starting.Start(desk.evidence, desk.by, desk.mint)
            sheet = starting.sheet(start, limit_kg=self.limit_kg, time_zone=starting.machine_time_zone())
            robot = starting.robot(start, self.robot_name, template, event=sheet[0].subject)
            made.append(robot[0].subject)
            return [*sheet, *robot]

        def on_the_bench() -> Outcome:
            self.session.choose(made[-1])
            self.stage = WEIGHTS
            return None

        return Write(drafts, then=on_the_bench)

    def _weighed(self) -> Outcome:
        self.stage = CALL
        return None

    def _no_call(self) -> Outcome:
        return Write(starting.fight, then=self._called)

    def _called(self) -> Outcome:
        case = self.session.case()
        fight = fight_name(case, case.fight_id()) if case else ""
        self.stage = CALL
        return Back() if fight else Step(0)


def _said(label: str, text: str, here: bool) -> Line:
    return line(Span(f"  {label:<9} ", "quiet"), Span(text or ("?" if here else ""), "yours" if here else ""))
