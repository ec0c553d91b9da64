"""What can be said to a part's life: renew the part, read its story, give its kind a life or another one."""

from __future__ import annotations

from pitcrew.bench import names
from pitcrew.bench.lives_now import asked_for_life, give_life, had_before, has_life, suggested
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import Job
from pitcrew.readiness.spares import sits
from pitcrew.tui.page import Answer, Answers, Ask, Go, Outcome, Write


def life_answer(session: Session, case: Case, part: str) -> Answer:
    """An answer that asks how long parts of a kind last; what others failed at is said, and offered."""
    label = "another life" if has_life(case, part) else "give it a life"

    def take(text: str) -> Outcome:
        give_life(session.desk(), part, text)  # refused while what was typed still stands
        return Write(lambda desk: give_life(desk, part, text))

    offered = "" if has_life(case, part) else suggested(case, part)
    return Answer(label, lambda: Ask("life", take, asked_for_life(case, part), offered))


def before_answer(session: Session, part: str) -> Answer:
    """An answer that asks what a part had behind it when it came into the book."""

    def take(text: str) -> Outcome:
        had_before(session.desk(), part, text)
        return Write(lambda desk: had_before(desk, part, text))

    hint = "what it had behind it before it came into this book: 2 fights, or 2 fights 1 hard"
    return Answer("had fights before", lambda: Ask("before", take, hint))


def renew_answers(session: Session, view: View, job: Job) -> Answers:
    """What can be said to a life that is used up: another part in, its story, another life for its kind."""
    case, part = view.case, job.subject
    place = case.scope().get(part) or sits(case, part)
    story = Answer("its story", lambda: _story(session, case, part))
    life = life_answer(session, case, part)
    if place is None or place not in case.defs.positions:
        return Answers((story, life), None, "swap it for another pack of its set" if _is_pack(case, part) else "")
    return Answers((Answer("renew", lambda: _swap(session, place)), story, life))


def _is_pack(case: Case, part: str) -> bool:
    kind = case.kind(part)
    return kind is not None and kind.pack


def _swap(session: Session, place: str) -> Outcome:
    from pitcrew.tui.pages.swap import Swap

    return Go(Swap(session, place))


def _story(session: Session, case: Case, part: str) -> Outcome:
    from pitcrew.tui.pages.parts import Story

    return Go(Story(session, part, names.part_name(case, part)))
