"""Back from a fight: the hits zone by zone in a few keys, then what the driver says."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import fighting, looking
from pitcrew.bench.session import Session
from pitcrew.bench.symptoms import SYMPTOMS, Said, Symptom, said_now, said_words, says, unsay, wheres
from pitcrew.bench.words import GRADES, at
from pitcrew.errors import EntryError
from pitcrew.readiness.case import Case
from pitcrew.robot.records import Fact
from pitcrew.tui.page import Answer, Answers, Ask, Go, Outcome, Page, Say, Step, Write, filled, marked, window
from pitcrew.tui.paint import Line, Span, cut, labelled, line, pad, word

BLOWS: tuple[tuple[str, str, str, bool], ...] = (
    ("solid", "solid", "taken", False),
    ("hard", "hard", "taken", False),
    ("light", "light", "taken", False),
    ("not sure", "solid", "taken", True),
    ("solid wall slam", "solid", "slam", False),
    ("hard wall slam", "hard", "slam", False),
    ("hard landing", "hard", "landing", False),
)
GIVEN: tuple[tuple[str, str, str, bool], ...] = (
    ("not sure", "solid", "given", True),
    ("solid", "solid", "given", False),
    ("hard", "hard", "given", False),
    ("light", "light", "given", False),
)
SAID = 40  # columns beside what was said
OTHER = "says otherwise"  # the row on which it is typed what the driver says
MEANS = "light: scuffed   solid: robot moved   hard: thrown, bent, or something stopped"


class Hits(Page):
    """A row a zone, a row a word of the driver, then all that he said. Rows without a hit are passed by."""

    name = "hits"
    title = "hits and what the driver says"
    blocks = "driver says"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._read: tuple[Case, dict[str, Fact]] | None = None

    def keys(self) -> Sequence[str]:
        words = [*(f"says {symptom.words}" for symptom in SYMPTOMS), OTHER]
        return [*self._weapons(), *self._zones(), *words, *(f"said {said.key}" for said in self._said())]

    def _said(self) -> tuple[Said, ...]:
        case = self.session.case()
        return said_now(case) if case else ()

    def _zones(self) -> list[str]:
        case = self.session.case()
        return list(case.defs.zones) if case else []

    def _weapons(self) -> list[str]:
        """The weapon's zone once more, for the blow it gave: the one a crew forgets."""
        case = self.session.case()
        zones = case.defs.zones.values() if case else ()
        return [f"own {zone.id}" for zone in zones if zone.title.casefold() == "weapon"]

    def block(self, step: int) -> None:
        first = len(self._weapons()) + len(self._zones())
        starts = [0, first, *([first + len(SYMPTOMS) + 1] if self._said() else [])]
        further = [start for start in starts if (start > self.row if step > 0 else start < self.row)]
        self.row = (further[0] if step > 0 else further[-1]) if further else self.row

    def answers(self) -> Answers:
        key = self.key()
        case = self.session.case()
        if case is None or not key:
            return Answers(hint="this robot has no zones yet")
        if key == OTHER:
            return Answers((Answer("type it", self._type),))
        if key.startswith("said "):
            return self._of_said(next(said for said in self._said() if f"said {said.key}" == key))
        if key.startswith("says "):
            return self._driver(case, next(item for item in SYMPTOMS if f"says {item.words}" == key))
        zone = key.removeprefix("own ")
        rows = GIVEN if key.startswith("own ") else BLOWS
        return Answers(tuple(self._blow(zone, *row) for row in rows))

    def _blow(self, zone: str, label: str, grade: str, source: str, unsure: bool) -> Answer:
        def drafts() -> Outcome:
            return Write(
                lambda desk: fighting.hit(desk, [zone], fighting.GRADES[grade], source, not_sure=unsure),
                then=lambda: Step(1),
            )

        return Answer(label, drafts)

    def _driver(self, case: Case, symptom: Symptom) -> Answers:
        found = wheres(case, symptom)
        return Answers(
            tuple(self._says(symptom, where.name, [part for part, _ in where.parts]) for where in found),
            hint="no such part on this robot: type it in words of his own, below",
        )

    def _type(self) -> Outcome:
        """Ask for what he says, and then for the part, where the words name none."""

        def take(text: str) -> Outcome:
            try:
                says(self.session.desk(), text)
            except EntryError as error:
                if "which part" not in error.message:
                    raise
                return Ask("part", lambda where: self._typed(text, where), f"{cut(text, 30)}: which part may it be?")
            return self._typed(text, "")

        return Ask("says", take, "what does he say? whines at gearbox L; several parts: rubs at wheel 1, wheel 3")

    def _typed(self, text: str, where: str) -> Outcome:
        says(self.session.desk(), text, where)  # refused while what was typed still stands
        return Write(lambda desk: says(desk, text, where))

    def _of_said(self, said: Said) -> Answers:
        """What can be done with what he said: the looks it asks for, a finding, or it was said in error."""
        back = Answer("take it back", lambda: Write(lambda desk: unsay(desk, said)))
        if not said.open:
            return Answers((back,), None, "looked at")
        found = Answer("found something", lambda: self._found(said))
        return Answers((Answer("look at each", lambda: self._look(said)), found, back))

    def _look(self, said: Said) -> Outcome:
        view, parts = self.session.view, {fact.subject for fact in said.open}
        for job in view.jobs if view is not None else ():
            if job.action.startswith("look") and any(item.subject in parts for item in job.clears):
                from pitcrew.tui.pages.looks import Looks

                return Go(Looks(self.session, job))
        return Say("judging..", "care")

    def _found(self, said: Said) -> Outcome:
        from pitcrew.tui.pages.found import Found

        case = self.session.case()
        place = case.scope().get(said.open[0].subject) if case is not None else None
        return Go(Found(self.session, case.zone_of(place) if case is not None else None, place))

    def _says(self, symptom: Symptom, where: str, parts: list[str]) -> Answer:
        note = f"{symptom.words}, {where}"

        def drafts() -> Outcome:
            return Write(lambda desk: looking.driver_says(desk, parts, note), then=lambda: Step(1))

        return Answer(where, drafts)

    def sheet(self, width: int, height: int) -> list[Line]:
        case = self.session.case()
        if case is None:
            return [line(Span("  hits      ", "quiet"), "no robot yet")]
        felt = self._felt(case)
        fight = _fight_words(case)
        rows = [
            self._zone_row(case, key, felt, index, width)
            for index, key in enumerate((*self._weapons(), *self._zones()))
        ]
        says = [self._says_row(case, symptom, len(rows) + index, width) for index, symptom in enumerate(SYMPTOMS)]
        says.append(marked(line(f" {'':9} something else, in his own words"), len(rows) + len(says) == self.row, width))
        said = self._said_rows(case, len(rows) + len(says), width)
        listed = [*rows, line(Span("  driver says", "quiet")), *says]
        listed += (
            [line(Span(f"  said      {pad('by the driver', width - SAID)} when      looked at", "quiet")), *said]
            if said
            else []
        )
        at_row = self.row + (self.row >= len(rows)) + (self.row >= len(rows) + len(says))
        foot = self._foot(case, width)
        shown, below = window(listed, at_row, height - 2 - len(foot))
        head = line(Span(f"  {'hits':<9} {pad('zone', 26)} {pad('grade', 18)} {fight}", "quiet"))
        more = line(Span(f"   {below} rows below" if below else "", "quiet"))
        return [head, *filled(shown, height - 2 - len(foot)), more, *foot]

    def _foot(self, case: Case, width: int) -> list[Line]:
        """What the grades mean; on something said, which parts it points at and which were looked at."""
        said = next((said for said in self._said() if f"said {said.key}" == self.key()), None)
        if said is None:
            return [line(Span(f"  {MEANS}", "quiet"))]
        left, done = said_words(case, said)
        rows = labelled("look at", left, width, "", 2) if left else []
        return [*rows, *(labelled("looked at", done, width, "quiet", 2) if done else [])]

    def _said_rows(self, case: Case, first: int, width: int) -> list[Line]:
        """What the driver said, who wrote it when, and how many of its looks are done."""
        rows = []
        for index, said in enumerate(self._said()):
            entry = said.facts[0].entry
            who = f"{at(case, entry.happened)} {entry.by}"
            count = f"{len(said.done)} of {len(said.facts)}"
            verdict = word("due" if said.open else "pass", bool(said.open))
            text = f" {pad(said.what, width - SAID)} {pad(who, 9)} {pad(count, 10)} #{entry.n}"
            rows.append(marked(line(" ", verdict, text), first + index == self.row, width))
        return rows

    def _zone_row(self, case: Case, key: str, felt: dict[str, Fact], index: int, width: int) -> Line:
        own = key.startswith("own ")
        zone = case.defs.zones[key.removeprefix("own ")]
        fact = felt.get(key)
        what = "own weapon, blow given" if own else zone.title
        grade, number = "", ""
        if fact is not None:
            source = str(fact.detail.get("source"))
            grade = GRADES[fact.entry.grade or 1] + (", not sure" if fact.entry.place else "")
            grade += "" if source in ("taken", "given") else f", {source}"
            number = f"#{fact.entry.n}"
        return marked(line(f" {zone.name:<9} {pad(what, 26)} {pad(grade, 24)} {number}"), index == self.row, width)

    def _says_row(self, case: Case, symptom: Symptom, index: int, width: int) -> Line:
        """A word of the driver, and where he said it of since the last fight."""
        end = case.ends().first()
        said = []
        for where in wheres(case, symptom):
            for part, _ in where.parts:
                facts = [f for f in case.facts("symptom", part) if end is None or f.happened >= end.happened]
                if any(str(f.detail.get("note")) == f"{symptom.words}, {where.name}" for f in facts):
                    said.append(where.name)
        text = ", ".join(dict.fromkeys(said))
        return marked(line(f" {'':9} {pad(symptom.words, 26)} {text}"), index == self.row, width)

    def _felt(self, case: Case) -> dict[str, Fact]:
        """The hardest hit of the fight on each zone, given and taken apart."""
        if self._read is not None and self._read[0] is case:
            return self._read[1]
        fight = fight_felt(case)
        felt: dict[str, Fact] = {}
        for zone in case.defs.zones:
            for fact in case.evidence.hits(zone, 1):
                if fight is not None and fact.detail.get("fight") == fight:
                    key = f"own {zone}" if fact.detail.get("source") == "given" else zone
                    if key not in felt or (fact.entry.grade or 0) > (felt[key].entry.grade or 0):
                        felt[key] = fact
        self._read = (case, felt)
        return felt


def fight_felt(case: Case) -> str | None:
    """The fight that hits are logged for: the one that is on, else the last that ended."""
    on = case.fight_id()
    if on and case.newest("fight_started", on) is not None:
        return on
    end = case.ends().first()
    return end.subject if end is not None else None


def _fight_words(case: Case) -> str:
    fight = fight_felt(case)
    if fight is None:
        return "no fight has ended yet"
    end = case.newest("fight_ended", fight)
    return f"fight ended {at(case, end.happened)}" if end is not None else "the fight is on"
