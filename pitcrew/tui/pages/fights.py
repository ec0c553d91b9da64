"""Fights: entered, started, ended, left the arena; and the way to their hits and to what the driver says."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pitcrew.bench import fighting, names, starting
from pitcrew.bench.desk import Desk
from pitcrew.bench.entry_words import entry_words, subject_name
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.words import at
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.records import Fact
from pitcrew.tui.finding import place_page
from pitcrew.tui.page import Answer, Answers, Ask, Go, Outcome, Page, Say, Write, filled, marked, parting, window
from pitcrew.tui.pages.hits import Hits, fight_felt
from pitcrew.tui.paint import Line, Span, labelled, line, pad

RESULTS = ("win", "win, KO", "win, judges", "loss", "loss, KO", "loss, judges")
NEXT = "its name, call, configuration: H5 17:20 in A against GRAVEL HYMN"


class Fights(Page):
    """Every fight of the robot, newest above, and what happened in the one the keys are at."""

    name = "fights"
    title = "fights"

    def __init__(self, session: Session, fight: str | None = None) -> None:
        super().__init__(session)
        self._known: tuple[Case, tuple[Fact, ...]] | None = None
        self.hold(fight or self._going_on())

    def _going_on(self) -> str:
        """The fight that is on, or is over with the robot still in the arena; empty where none is."""
        case = self.session.case()
        if case is None:
            return ""
        for fight in self.fights():
            state = state_of(case, fight)
            if state == "on" or (state == "over" and case.newest("fight_left", fight.subject) is None):
                return fight.subject
            if state == "over":
                break
        return ""

    def fights(self) -> tuple[Fact, ...]:
        """Fights entered, newest first."""
        case = self.session.case()
        if case is None:
            return ()
        if self._known is None or self._known[0] is not case:
            found = {fact.subject: fact for fact in reversed(list(case.evidence.at_place("entered", case.robot)))}
            ordered = sorted(found.values(), key=lambda fact: fact.order, reverse=True)
            self._known = (case, tuple(ordered))
        return self._known[1]

    def fight(self) -> Fact | None:
        """The fight the keys are at."""
        fights = self.fights()
        return fights[min(self.row, len(fights) - 1)] if fights else None

    def keys(self) -> Sequence[str]:
        return [fact.subject for fact in self.fights()]

    def opened(self) -> Outcome:
        case, fight = self.session.case(), self.fight()
        if case is None:
            return None
        if fight is None:
            return Go(Hits(self.session))
        felt = fight_felt(case)
        if felt is not None and felt != fight.subject and state_of(case, fight) == "over":
            name = names.fight_name(case, felt)
            return Say(f"hits are logged for {name}; what was felt in this one stands below", "care")
        return Go(Hits(self.session))

    def answers(self) -> Answers:
        case, fight = self.session.case(), self.fight()
        if case is None:
            return Answers(hint="no robot yet")
        new = Answer("enter the next fight", self._enter)
        if fight is None:
            return Answers((new,), hint="none entered yet")
        hits = Answer("hits, driver says", lambda: Go(Hits(self.session)))
        state = state_of(case, fight)
        if state == "entered":
            # Before its call a fight has not started: nobody should log that by a habit of the thumb.
            early = int(fight.detail.get("call_at") or 0) > self.session.now()
            change = Answer("change it", lambda: self._change(case, fight))
            items = (_does("started", fighting.started, fight), *self._results(fight), hits, change)
            return Answers(items, None if early else 0, "choose first: it is not called yet")
        if state == "on":
            return Answers((*self._results(fight), hits))
        if state == "over" and case.newest("fight_left", fight.subject) is None:
            return Answers((_does("left the arena", fighting.left, fight), hits, new))
        return Answers((hits, new) if case.fight() is not None else (new, hits))

    def _results(self, fight: Fact) -> tuple[Answer, ...]:
        return tuple(
            Answer(
                f"ended: {result}",
                lambda result=result: Write(  # type: ignore[misc]
                    lambda desk: fighting.ended(desk, fight.subject, result),
                    then=lambda: Go(place_page(self.session, "a")),
                ),
            )
            for result in RESULTS
        )

    def _enter(self) -> Outcome:
        return Ask("fight", self._entered, NEXT)

    def _change(self, case: Case, fight: Fact) -> Outcome:
        """Ask for a fight as it should be entered, with what is known of it to be typed over."""
        detail = fight.detail
        call = [at(case, int(detail["call_at"]))] if detail.get("call_at") else []
        against = f"against {detail['opponent']}" if detail.get("opponent") else ""
        entered = names.configuration_name(case, str(detail["configuration"]))
        said = " ".join(filter(None, (str(detail["name"]), *call, "in", entered, against)))
        return Ask("fight", lambda text: self._entered(text, fight.subject), NEXT, said)

    def _entered(self, text: str, fight: str = "") -> Outcome:
        words, _, opponent = text.partition(" against ")
        called = [word for word in words.split() if ":" in word]
        rest = " ".join(["", *(word for word in words.split() if ":" not in word)])
        name, _, wanted = rest.partition(" in ")
        configuration = wanted or self._fitted()

        def drafts(desk: Desk) -> list[Draft]:
            call = called[0] if called else ""
            return starting.fight(desk, call, name=name, configuration=configuration, opponent=opponent, fight=fight)

        drafts(self.session.desk())  # refused while what was typed still stands
        return Write(drafts)

    def _fitted(self) -> str:
        """The configuration that is on: the next fight is entered with it unless another is named."""
        view = self.session.view
        fitted = [row.configuration for row in view.standing.weights if row.fitted] if view is not None else []
        return names.configuration_name(view.case, fitted[0]) if view is not None and fitted else ""

    def sheet(self, width: int, height: int) -> list[Line]:
        view, fights = self.session.view, self.fights()
        if view is None or not fights:
            return [line(Span("  fights    ", "quiet"), "none entered yet. Space enters the next one")]
        heading = line(
            Span(f"  {'fight':<9} {'name':<8}{'in':<4}{pad('against', width - 58)} call  start end   result", "quiet")
        )
        rows = [self._row(view, fact, index, width) for index, fact in enumerate(fights)]
        shown, _ = window(rows, self.row, max(height // 2 - 2, 3))
        picked = fights[min(self.row, len(fights) - 1)]
        detail = [parting(str(picked.detail["name"]), width), *self._story(view.case, picked, width)]
        return filled([heading, *shown, *detail], height)

    def _row(self, view: View, fact: Fact, index: int, width: int) -> Line:
        case = view.case
        entered = names.configuration_name(case, str(fact.detail["configuration"]))
        started, ended = (case.newest(kind, fact.subject) for kind in ("fight_started", "fight_ended"))
        call = fact.detail.get("call_at")
        times = [at(case, int(call)) if call is not None else "", _when(case, started), _when(case, ended)]
        result = str(ended.detail.get("result") or "") if ended else ""
        name = pad(str(fact.detail["name"]), 7)
        against = pad(str(fact.detail.get("opponent") or ""), width - 58)
        clocks = " ".join(f"{time:<5}" for time in times)
        text = f"{state_of(case, fact):<9} {name} {pad(entered, 3)} {against} {clocks} {result}"
        return marked(line(f" {text}"), index == self.row, width)

    def _story(self, case: Case, fight: Fact, width: int) -> list[Line]:
        """What was felt in a fight and what the driver said after it."""
        rows: list[Line] = []
        for label, facts in (("hits", hits_of(case, fight)), ("driver", said_after(case, fight))):
            for index, together in enumerate(_acts(facts)):
                first = together[0]
                text = f"#{first.entry.n} {at(case, first.happened)} {first.entry.by} {_words(case, together)}"
                rows += labelled(label if index == 0 else "", text, width)
        return rows or [line(Span("  hits      ", "quiet"), "none logged. Enter logs them")]


def _acts(facts: Sequence[Fact]) -> list[list[Fact]]:
    """Facts of one act together: what the driver said of four parts is one line."""
    acts: dict[tuple[str, str], list[Fact]] = {}
    for fact in facts:
        acts.setdefault((fact.entry.act, entry_words(fact.entry)), []).append(fact)
    return list(acts.values())


def _words(case: Case, facts: Sequence[Fact]) -> str:
    note = str(facts[0].detail.get("note") or "")
    # A blow that two findings raised stands twice in a zone.
    about = ", ".join(dict.fromkeys(subject_name(case.evidence, fact.entry) for fact in facts))
    said = f"{entry_words(facts[0].entry)} {about}"
    return f"{said} ({note})" if note else said


def _does(label: str, doing: Callable[[Desk, str], list[Draft]], fight: Fact) -> Answer:
    return Answer(label, lambda: Write(lambda desk: doing(desk, fight.subject)))


def _when(case: Case, fact: Fact | None) -> str:
    return at(case, fact.happened) if fact is not None else ""


def state_of(case: Case, fight: Fact) -> str:
    """Entered, on, or over."""
    if case.newest("fight_ended", fight.subject) is not None:
        return "over"
    return "on" if case.newest("fight_started", fight.subject) is not None else "entered"


def hits_of(case: Case, fight: Fact) -> list[Fact]:
    """Every hit of a fight, in the order of its zones."""
    found = []
    for zone in case.defs.zones:
        found += [fact for fact in case.evidence.hits(zone, 1) if fact.detail.get("fight") == fight.subject]
    return found


def said_after(case: Case, fight: Fact) -> list[Fact]:
    """What the driver said about parts since a fight ended and before the next one ended."""
    end = case.newest("fight_ended", fight.subject)
    if end is None:
        return []
    later = [fact for fact in case.evidence.fights_ended(case.robot, end.happened + 1) if fact.subject != fight.subject]
    until = later[0].happened if later else case.now
    found = []
    for part in case.scope():
        found += [fact for fact in case.facts("symptom", part) if end.happened <= fact.happened <= until]
    return sorted(found, key=lambda fact: fact.order)
