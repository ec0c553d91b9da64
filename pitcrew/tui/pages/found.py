"""Something found: at which place, what it is, how big, and the blow that did it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pitcrew.bench import mending, names, words
from pitcrew.bench.damage import RAISING, blows_since, joints_at, taken_out
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import fact_words
from pitcrew.bench.ledger import SPARES, Ledger, Row
from pitcrew.bench.line import VERBS
from pitcrew.bench.meanings import as_hit, things
from pitcrew.bench.parting import FASTENERS, numbers
from pitcrew.bench.session import Session
from pitcrew.bench.swapping import kg_of
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.table import TURNED
from pitcrew.robot.definitions import Joint
from pitcrew.robot.records import Fact
from pitcrew.text import clean
from pitcrew.tui.actions import PLACES
from pitcrew.tui.page import Answer, Answers, Ask, Back, Outcome, Page, Step, Write, marked, parting, window
from pitcrew.tui.pages.parts import figures_heading, figures_row, not_judged, waits, within, zones_row
from pitcrew.tui.paint import Line, labelled
from pitcrew.units import Quantity, read

WHAT = ("bent", "cracked", "gouged", "shorted", "worn", "loose", "stripped", TURNED)
SHOWN = {TURNED: "turned mark"}
LISTED = {SHOWN.get(what, what): what for what in WHAT}
DETAIL = 7
_WORDS = re.compile(r"[^\W\d_]{2}[^\W_]*( [^\W\d_]+){0,4}")


class Found(Page):
    """The places of a zone; first what is wrong is said, then, if the place felt a blow, whether that did it."""

    name = "found"
    title = "something found"
    blocks = "next zone"

    def __init__(self, session: Session, zone: str | None = None, place: str | None = None) -> None:
        super().__init__(session)
        self._zone: str = zone or ""
        self._place = place
        self._ledger: Ledger | None = None
        self._said: dict[str, object] = {}  # what is said so far: what, joint, fasteners
        self._size: Quantity | None = None

    def ledger(self) -> Ledger | None:
        """The ledger of the standing last judged; None while nothing is judged."""
        view = self.session.view
        if view is None:
            return None
        if self._ledger is None or self._ledger.view is not view:
            self._ledger = Ledger(view)
            if self._zone not in view.case.defs.zones:
                asked = view.case.zone_of(self._place)
                self._zone = asked or next(iter(view.case.defs.zones), "")
            keys = list(self.keys())
            if self._place is not None and self._place in keys:
                self.row, self._place = keys.index(self._place), None
        return self._ledger

    def rows(self) -> list[Row]:
        """The places of the zone that hold something, or held it until it was taken out after the fight."""
        ledger = self.ledger() if self._ledger is None else self._ledger
        found = ledger.rows(self._zone) if ledger and self._zone else ()
        return [row if row.part else _before(ledger.case, row) for row in found if ledger and _held(ledger.case, row)]

    def at(self) -> Row | None:
        """The place the keys are at."""
        rows = self.rows()
        return rows[min(self.row, len(rows) - 1)] if rows else None

    def keys(self) -> Sequence[str]:
        return [row.key for row in self.rows()]

    def move(self, step: int) -> None:
        super().move(step)
        if step:
            self._begin_again()

    def block(self, step: int) -> None:
        ledger = self.ledger()
        if ledger is not None and self._zone:
            zones = [block for block in ledger.blocks if block != SPARES]
            self._zone, self.row = zones[(zones.index(self._zone) + step) % len(zones)], 0
            self._begin_again()

    def _begin_again(self) -> None:
        self._said, self._size = {}, None

    def answers(self) -> Answers:
        ledger, row = self.ledger(), self.at()
        if ledger is None or row is None:
            return Answers(hint="nothing sits in this zone") if ledger else waits(self.session)
        if self._said.get("what") == TURNED and "joint" not in self._said:
            joints = joints_at(ledger.case, row.key)
            items = tuple(Answer(joint.name, lambda joint=joint: self._which(joint)) for joint in joints)  # type: ignore[misc]
            return Answers(items, None, "in which joint? choose first")
        if "what" in self._said:
            blows = blows_since(ledger.case, row.part or "")
            items = tuple(
                Answer(f"by the blow of {blow_words(ledger.case, blow)}", lambda blow=blow: self._log(blow))  # type: ignore[misc]
                for blow in blows
            )
            return Answers((*items, Answer("no blow known", lambda: self._log(None))))
        items = tuple(Answer(SHOWN.get(what, what), lambda what=what: self._say(what)) for what in WHAT)  # type: ignore[misc]
        return Answers((*items, Answer("other", self._other)), None, "what is wrong? choose, or type it")

    def _say(self, what: str) -> Outcome:
        """What it is was said; log it, or go on to the joint or the blow."""
        ledger, row = self.ledger(), self.at()
        if ledger is None or row is None:
            return None
        self._said = {"what": what}
        joints = joints_at(ledger.case, row.key) if what == TURNED else ()
        if len(joints) == 1:
            return self._which(joints[0])
        if joints:
            return Step(0)  # nothing of the answers before stays picked
        self._said["joint"] = None
        return self._go_on(ledger, row)

    def _go_on(self, ledger: Ledger, row: Row) -> Outcome:
        wears = self._said["what"] == "worn"
        return self._log(None) if wears or not blows_since(ledger.case, row.part or "") else Step(0)

    def _other(self) -> Outcome:
        def take(text: str) -> Outcome:
            if not clean(text).strip():
                raise EntryError("nothing was typed.", "Say in a few words what is wrong.", "found")
            return self._say(" ".join(clean(text).split()))

        return Ask("found", take, "what is wrong, in a few words: notchy, frayed, dented")

    def _which(self, joint: Joint) -> Outcome:
        def take(text: str) -> Outcome:
            typed = text.replace(" ", "")
            if typed and FASTENERS.fullmatch(typed) is None:
                raise EntryError(f"{text!r:.20} names no fasteners.", "Name them: 1-4, or 1,3.", "fasteners")
            listed = numbers(typed) if typed else None
            if any(not 1 <= number <= joint.fastener_count for number in listed or ()):
                raise EntryError(f"{joint.name} has fasteners 1 to {joint.fastener_count}.", "Name which.", "fasteners")
            self._said |= {"joint": joint.id, "fasteners": listed}
            ledger, row = self.ledger(), self.at()
            return self._go_on(ledger, row) if ledger and row else None

        return Ask("which", take, f"{joint.name}: which of 1 to {joint.fastener_count}? Enter alone: all of them")

    def _log(self, blow: Fact | None) -> Outcome:
        row, said, size = self.at(), dict(self._said), self._size
        if row is None or row.part is None:
            return None
        part, what = row.part, str(said["what"])
        joint, fasteners = said.get("joint"), said.get("fasteners")

        def drafts(desk: Desk) -> list[Draft]:
            return mending.found(
                desk,
                part,
                row.key,
                what,
                hit=blow.entry.act if blow else None,
                raises=blow is not None and what in RAISING,
                joint=str(joint) if joint else None,
                fasteners=list(fasteners) if isinstance(fasteners, list) else None,
                size_m=size.si if size else None,
                typed=size.typed if size else "",
            )

        return Write(drafts, then=Back)

    def own(self, text: str) -> Answer | None:
        """A length alone is the size of what was found, logged with it; words that name nothing say what is wrong."""
        try:
            size = read(text, expect="length", bare_unit="mm", subject="size")
        except NotationError:
            return self._own_words(" ".join(clean(text).split()))

        def sized() -> Outcome:
            self._size = size if size.si >= 0 else None
            return Step(0)

        return Answer(f"size {words.length(size.si, None)}, logged with what was found", sized)

    def _own_words(self, what: str) -> Answer | None:
        desk, row = self.session.desk(), self.at()
        if row is None or "what" in self._said or _WORDS.fullmatch(what) is None:
            return None
        elsewhere = any(place.name.startswith(what.casefold()) for place in PLACES)
        if elsewhere or what.split(maxsplit=1)[0].casefold() in VERBS or as_hit(desk, what) or things(desk, what):
            return None
        return Answer(f"found on {row.part_name}: {what}", lambda: self._say(LISTED.get(what.casefold(), what)))

    def sheet(self, width: int, height: int) -> list[Line]:
        ledger, row = self.ledger(), self.at()
        if ledger is None:
            return [not_judged(self.session)]
        rows, top = self.rows(), zones_row(ledger, self._zone, width)
        if row is None:
            return [top, *labelled("found", "nothing sits in this zone: PgDn shows the next", width, "quiet")]
        painted = [marked(figures_row(each, width), index == self.row, width) for index, each in enumerate(rows)]
        room = max(min(len(rows), height - 3 - DETAIL), 3)
        shown, below = window(painted, self.row, room)
        rule = parting(f"{row.name}: {row.part_name}", width, f"{below} rows below" if below else "")
        detail = self._detail(ledger.case, row, width)
        return within([top, figures_heading(width), *shown, rule, *detail], width, height)

    def _detail(self, case: Case, row: Row, width: int) -> list[Line]:
        part, what = row.part or "", self._said.get("what")
        rows: list[Line] = []
        if what is not None:
            rows += labelled("found", SHOWN.get(str(what), str(what)), width, "yours")
        size = words.length(self._size.si, None) if self._size else "type it if it has one: 14 mm"
        rows += labelled("size", size, width, "yours" if self._size else "quiet")
        for index, blow in enumerate(blows_since(case, part)):
            rows += labelled("" if index else "blow", fact_words(case, blow), width, "", 2)
        if what in RAISING:
            text = "named as its cause, a blow counts as hard: what it reached wants its looks"
            rows += labelled("then", text, width, "care", 2)
        for index, fact in enumerate(case.open_findings(part)):
            rows += labelled("" if index else "stands", fact_words(case, fact), width, "owed", 2)
        return rows


def _held(case: Case, row: Row) -> bool:
    return row.part is not None or taken_out(case, row.key) is not None


def _before(case: Case, row: Row) -> Row:
    """A place that is empty now, with what was taken out of it."""
    part = taken_out(case, row.key)
    return row._replace(part=part, part_name=names.part_name(case, part or ""), mass_kg=kg_of(case, part))


def blow_words(case: Case, blow: Fact) -> str:
    """A blow told from others, with every zone it was felt in: 12:13, hard in UL W1."""
    grade = {1: "light", 2: "solid", 3: "hard"}.get(blow.entry.grade or 0, "")
    felt = [fact.subject for fact in case.evidence.act(blow.entry.act) if fact.entry.kind == "hit"]
    zones = dict.fromkeys(names.zone_name(case, zone) for zone in felt or [blow.subject])
    return f"{words.at(case, blow.happened)}, {grade} in {' '.join(zones)}"
