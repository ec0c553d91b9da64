"""Answers that sign: for the whole robot before its fight, and for a joint as the second person."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pitcrew.bench.desk import Desk
from pitcrew.bench.openbook import crew_member
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.signing import GROUP, signature
from pitcrew.tui.page import Answer, Answers, Ask, Outcome, Write

if TYPE_CHECKING:
    from pitcrew.bench.joints_now import JointNow

HINT = "initials of whoever signs that it is fit to fight. The event's inspectors overrule this signature"
SECOND_HINT = "look yourself, then sign: a second person's initials"
FIT_HINT = "type what you measure, hit, in, out"


def sign_answers(session: Session, view: View) -> Answers:
    """What can be said to the row that asks for a signature: signed off, once nothing else blocks."""
    others = sum(item.group != GROUP for item in view.standing.blocking)
    if others:
        return Answers(hint=f"the last thing: {others} other{'s' if others > 1 else ''} to clear before it")
    return Answers((_sign_off(session),))


def fit_answers(session: Session, view: View) -> Answers:
    """What can be said where nothing is left to do: it can be signed off, though nobody asks for that."""
    return Answers(sign_off_if_fit(session, view), None, FIT_HINT)


def sign_off_if_fit(session: Session, view: View) -> tuple[Answer, ...]:
    """The answer that signs the robot off, where nothing else blocks and no signature stands."""
    others = any(item.group != GROUP for item in view.standing.blocking)
    found = signature(view.case)
    stands = found is not None and not found.gone
    return () if others or stands or view.standing.fight is None else (_sign_off(session),)


def _sign_off(session: Session) -> Answer:
    from pitcrew.bench.signing import sign_robot, standing_now

    def drafts(desk: Desk) -> list[Draft]:
        return sign_robot(desk, standing_now(desk.case()))

    return Answer("sign off", lambda: Ask("signs", _taking(session, drafts), HINT, session.by))


def second_signs_for(session: Session, now: JointNow) -> Answer:
    """A second person's initials for torques logged without; whoever is writing is offered, if that is another."""
    from pitcrew.bench.signing import sign_joint

    torqued = {torque.entry.by for torque in now.unsigned}
    offered = session.by if session.by not in torqued else ""
    take = _taking(session, lambda desk: sign_joint(desk, now.joint.id))
    return Answer("second person signs", lambda: Ask("second", take, SECOND_HINT, offered))


def _taking(session: Session, drafts: Callable[[Desk], list[Draft]]) -> Callable[[str], Outcome]:
    """Sign as whoever's initials were typed; refused while what was typed still stands."""

    def take(text: str) -> Outcome:
        by = crew_member(session.evidence, text)
        drafts(session.desk()._replace(by=by))
        return Write(lambda desk: drafts(desk._replace(by=by)))

    return take
