"""What can be said to a finding that stands: its part swapped, put right and how, run as is and how far."""

from __future__ import annotations

from pitcrew.bench import mending
from pitcrew.bench.openbook import crew_member
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.errors import EntryError
from pitcrew.robot.records import Fact
from pitcrew.text import clean
from pitcrew.tui.page import Answer, Answers, Ask, Go, Outcome, Say, Write
from pitcrew.units import read

HOW = ("replaced", "straightened", "welded", "ground", "drilled", "found straight")
OF_A_JOINT = ("new bolts", "torqued again")


def mend_answers(session: Session, view: View, finding: str) -> Answers:
    """What can be said to a finding, by the id of its line. Once its part is out, that it was replaced is bracketed."""
    fact = view.case.evidence.speaking(finding)
    place = str(fact.detail["position"]) if fact is not None else ""
    swap, out = [], False
    if fact is not None and place in view.case.defs.positions:
        swap = [Answer("swap the part", lambda: _swap(session, place))]
        sits = view.case.occupant(place)
        out = sits is not None and sits != fact.subject
    words = (*(OF_A_JOINT if fact is not None and fact.detail.get("joint") else ()), *HOW)
    how = [_put_right(finding, word) for word in words]
    rest = [
        Answer("in other words", lambda: _in_other_words(finding)),
        Answer("run as is", lambda: _as_is(session, view, fact, finding)),
        *_life(session, view, fact),
    ]
    if out:
        return Answers((*how, *swap, *rest), 0, "another part sits there now")
    return Answers((*swap, *how, *rest), None, "what was done? choose first")


def _life(session: Session, view: View, fact: Fact | None) -> list[Answer]:
    """What failed without a life may want one."""
    from pitcrew.bench.lives_now import has_life
    from pitcrew.tui.life import life_answer

    if fact is None or view.case.kind(fact.subject) is None or has_life(view.case, fact.subject):
        return []
    return [life_answer(session, view.case, fact.subject)]


def _swap(session: Session, place: str) -> Outcome:
    from pitcrew.tui.pages.swap import Swap

    return Go(Swap(session, place))


def _put_right(finding: str, how: str) -> Answer:
    return Answer(how, lambda: Write(lambda desk: mending.mended(desk, finding, how)))


def _in_other_words(finding: str) -> Outcome:
    def take(text: str) -> Outcome:
        how = " ".join(clean(text).split())
        if not how:
            raise EntryError("nothing was typed.", "Say in a few words what was done.", "put right")
        return Write(lambda desk: mending.mended(desk, finding, how))

    return Ask("put right", take, "how, in a few words: wire insert, patched, taken out of use")


def _as_is(session: Session, view: View, fact: Fact | None, finding: str) -> Outcome:
    """Ask who takes it on, and how far: to the end of the fight entered, and no further than a size if one is typed."""
    fight = view.case.fight_id()
    if not fight:
        return Say("run as is holds to the end of a fight: enter one first", "care")

    def take(text: str) -> Outcome:
        initials, _, size = " ".join(text.split()).partition(" ")
        who = crew_member(session.evidence, initials)
        limit_m = read(size, expect="length", bare_unit="mm", subject="limit").si if size else None
        return Write(lambda desk: mending.deferred(desk, finding, who, limit_m=limit_m, until_fight=fight))

    sized = fact is not None and fact.detail.get("size_m") is not None
    size = ", and the most it may grow to: PB 25 mm" if sized else ""
    return Ask("initials", take, f"who takes it on, to the end of this fight{size}?")
