"""The crew: who has initials, who is on shift since when, what each does, and who is writing at this screen."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import sheeting, shifts
from pitcrew.bench.detail import fact_words
from pitcrew.bench.session import Session
from pitcrew.bench.signing import sign_off_wanted, wants_sign_off
from pitcrew.robot.moments import MINUTE_MS, clock_text, day_text
from pitcrew.robot.records import Fact
from pitcrew.text import clean
from pitcrew.tui.page import Answer, Answers, Ask, Outcome, Page, Say, Write, filled, marked, parting, window
from pitcrew.tui.paint import Line, Span, labelled, line, pad

EMPTY = "nobody is listed yet, so any initials are taken. Space lists the first: EW electrics"
ROLES = "pit boss, driver, mechanic, electrics"
INITIALS, SHIFT, DETAIL = 8, 14, 8


class Crew(Page):
    """A row a crew member; Space makes the one the keys are at the writer."""

    name = "crew"
    title = "the crew"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._shifts: tuple[tuple[object, ...], dict[str, Fact]] | None = None
        self._painted: tuple[tuple[object, ...], list[Line]] | None = None
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

    def shift(self, initials: str) -> Fact | None:
        """What was said last today of somebody's shift."""
        return self._today().get(initials)

    def _today(self) -> dict[str, Fact]:
        """What was said last today of each one's shift; asked anew when the book or the minute is another."""
        session, now = self.session, self.session.now()
        key = (session.evidence, now // MINUTE_MS)
        if self._shifts is None or self._shifts[0] != key:
            found = ((who, shifts.today(session.evidence, who, now, session.zone())) for who in self.keys())
            self._shifts = (key, {who: fact for who, fact in found if fact is not None})
        return self._shifts[1]

    def on_shift(self) -> list[str]:
        """Who is on shift, in the order of the list."""
        return [who for who, fact in self._today().items() if fact.detail["on"]]

    def answers(self) -> Answers:
        fact = self.at()
        add = Answer("add somebody", self._add)
        if fact is None:
            return Answers((add,))
        writing = Answer(f"{fact.subject} is writing", lambda: self._writes(fact.subject))
        role = Answer("change role", lambda: self._role(fact))
        # Nobody ends a shift by one Space too many: on the row of whoever writes it takes an arrow.
        first = (role,) if fact.subject == self.session.by else (writing,)
        rest = () if fact.subject == self.session.by else (role,)
        return Answers((*first, *self._shift_answers(fact.subject), *rest, *self._sign_off(), add), 0)

    def _shift_answers(self, initials: str) -> list[Answer]:
        zone = self.session.zone()
        known = self.shift(initials)
        if known is not None and known.detail["on"]:
            said = Answer("off shift", lambda: Write(lambda desk: shifts.end(desk, initials, zone)))
        else:
            said = Answer("on shift", lambda: Write(lambda desk: shifts.begin(desk, initials, zone)))
        on = len(self.on_shift())
        every = Answer("all on shift", lambda: Write(lambda desk: shifts.begin_all(desk, zone)))
        away = Answer("not here today", lambda: Write(lambda desk: shifts.end(desk, initials, zone)))
        return [said, *([away] if known is None else []), *([every] if on < len(self.members()) - 1 else [])]

    def _sign_off(self) -> list[Answer]:
        """Whether somebody must sign for the robot on the bench before each fight, turned over."""
        case = self.session.case()
        if case is None:
            return []
        wanted = not case.defs.robot.sign_off
        label = "ask for a sign-off" if wanted else "ask for no sign-off"
        return [Answer(label, lambda: Write(lambda desk: sign_off_wanted(desk, wanted)))]

    def own(self, text: str) -> Answer | None:
        """`on` and `off` typed are of the one the keys are at."""
        fact, word = self.at(), text.strip().casefold()
        if fact is None or word not in ("on", "off"):
            return None
        said, zone = shifts.begin if word == "on" else shifts.end, self.session.zone()
        return Answer(f"{fact.subject} {word} shift", lambda: Write(lambda desk: said(desk, fact.subject, zone)))

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
        heading = line(Span(f"  {pad('initials', INITIALS)}  {'writing':<9} {pad('shift', SHIFT)} role", "quiet"))
        rule = parting(here.subject, width, f"{below} rows below" if below else "")
        return filled([heading, *shown, rule, *self._detail_of(here, width)], height)

    def _row(self, fact: Fact) -> Line:
        writing = "writing" if fact.subject == self.session.by else ""
        shift = self.shift_words(fact.subject)
        role = fact.detail.get("role") or "-"
        return line(f" {pad(fact.subject, INITIALS)}  {writing:<9} {pad(shift, SHIFT)} {role}")

    def shift_words(self, initials: str) -> str:
        """Somebody's shift today: on since 07:50, off at 16:30, or nothing was said."""
        fact = self.shift(initials)
        if fact is None:
            return "-"
        at = clock_text(fact.happened, self.session.zone())
        return f"on since {at}" if fact.detail["on"] else f"off at {at}"

    def _detail_of(self, fact: Fact, width: int) -> list[Line]:
        """What stands below the list; made anew when the row, the writer, the book or the minute is another."""
        session = self.session
        key = (session.evidence, session.now() // MINUTE_MS, fact.id, session.by, session.robot, width)
        if self._painted is None or self._painted[0] != key:
            self._painted = (key, self._detail(fact, width))
        return self._painted[1]

    def _detail(self, fact: Fact, width: int) -> list[Line]:
        by, session = self.session.by, self.session
        who = f"{by} signs what is logged here" if by else "nobody has signed yet: asked for with the first line"
        rows = labelled("writing", f"{who}. Tab i changes it too", width)
        rows += labelled("", "a second person who signs is one of this list, and never who did it", width, "quiet")
        off = [who for who, said in self._today().items() if not said.detail["on"]]
        laid = f"all but {' and '.join(off)}, off shift" if off else "the whole crew: nobody is off shift today"
        rows += labelled("work", f"laid over {laid}. A shift begins with somebody's first line of the day", width)
        case = session.case()
        if case is not None:
            rows += labelled("sign-off", f"{case.defs.robot.name}: {wants_sign_off(case.defs.robot)}", width)
        return rows + labelled("listed", _line_of(self.session, fact), width, "quiet", 2)


def _line_of(session: Session, fact: Fact) -> str:
    """The line that says it, with its number, whether or not there is a robot."""
    case = session.case()
    if case is not None:
        return f"{day_text(fact.happened, session.zone())} {fact_words(case, fact)}"
    entry = fact.entry
    return f"#{entry.n} {clock_text(entry.happened, session.zone())} {clean(entry.by)}"
