"""A joint or a gap that the robot has not yet, asked for on the line: what it would be is said while it is typed."""

from __future__ import annotations

from collections.abc import Callable

from pitcrew.bench.desk import Desk
from pitcrew.bench.session import Session
from pitcrew.errors import PitcrewError
from pitcrew.logbook.writing import Draft
from pitcrew.tui.page import Answer, Ask, Outcome, Write


def new_joint(session: Session) -> Answer:
    """The answer that asks for a joint nobody had entered yet; it is logged as torqued."""
    from pitcrew.bench.adding import joint

    return _asking(session, "a new joint", joint, "count and thread, torque, name, zone: 25 N m 4 M8 cap L in W1")


def new_gap(session: Session) -> Answer:
    """The answer that asks for a gap nobody had entered yet, with its figure where it is known."""
    from pitcrew.bench.adding import gap

    return _asking(session, "a new gap", gap, "figure, name, low and high limit, zone: .5 float .25 .75 in W1")


def _asking(session: Session, label: str, use: Callable[[Desk, str], list[Draft]], hint: str) -> Answer:
    def told(text: str) -> str:
        from pitcrew.bench.adding_words import said

        desk = session.desk()
        try:
            return said(desk, use(desk, text)) if text.strip() else ""
        except PitcrewError:
            return ""

    def take(text: str) -> Outcome:
        use(session.desk(), text)  # refused before anybody signs, and still on the line
        return Write(lambda desk: use(desk, text))

    return Answer(label, lambda: Ask(label, take, hint, "", told))
