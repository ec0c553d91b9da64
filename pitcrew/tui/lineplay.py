"""What an open line may mean on this screen: the figure it waits for first, then what the bench reads, then places."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import NamedTuple

from pitcrew.bench.line import VERBS
from pitcrew.bench.meanings import Drafting, Read, far_off, read_line, things
from pitcrew.bench.names import fitting
from pitcrew.bench.openbook import number
from pitcrew.bench.parting import readable
from pitcrew.bench.preview import previewing
from pitcrew.bench.session import Session
from pitcrew.bench.subjects import Figured
from pitcrew.errors import NotationError, PitcrewError
from pitcrew.readiness.steps import Steps
from pitcrew.tui.actions import PLACES
from pitcrew.tui.finding import THINGS, page_of
from pitcrew.tui.page import Awaited, Go, Leap, Outcome, Page, Say, Write
from pitcrew.units import read, show

MOST = 4


class Choice(NamedTuple):
    """One meaning on the screen: its words, what Enter does, the entries it would write, why it may be a slip.

    A guess is one of several that fit as well: it is picked before it is logged.
    """

    text: str
    do: Callable[[], Outcome]
    drafts: Drafting | None = None
    doubtful: str = ""
    guess: bool = False


def choices(session: Session, page: Page, text: str) -> tuple[list[Choice], str]:
    """What the line may mean here, the likeliest first, and why there is nothing (empty: there is)."""
    if not text.strip():
        return [], ""
    found, refusal = [], ""
    own = page.own(text)
    if own is not None:
        found.append(Choice(own.label, own.do))
    awaited = page.awaited()
    if awaited is not None:
        mine, refusal = _awaited(awaited, text)
        found += mine
    # A name with a number in it (wheel 3) is a thing before it is a figure of another thing.
    named = list(_places(session, text)) if not text.strip()[0].isdigit() else []
    said = read_line(session.desk(), text, lambda n: number(session.book, n)) if session.robot else Read(())
    meant = [_logging(*item[:3])._replace(guess=item.guess and not found) for item in said.meanings]
    found += [*meant, *named] if text.split(maxsplit=1)[0].casefold() in VERBS else [*named, *meant]
    refusal = "" if found else said.refusal or refusal
    return _different(found)[:MOST], "" if found else refusal


def _awaited(awaited: Awaited, text: str) -> tuple[list[Choice], str]:
    awaited, text = _read_with(awaited, text)
    try:
        quantity = read(text, expect=awaited.dimension, bare_unit=awaited.unit, subject=awaited.name)
    except NotationError as error:
        return [], error.sentence if text.strip()[0].isdigit() else ""
    drafts: Drafting = lambda desk: awaited.take(desk, quantity.si, quantity.typed)  # noqa: E731
    shown = show(quantity.si, awaited.dimension, awaited.unit)
    item = Figured("", "", awaited.name, awaited.dimension, awaited.unit)
    far = far_off(awaited.last, item, quantity.si)
    return [_logging(f"{awaited.name} {shown}{awaited.note}", drafts, far, awaited.act)], ""


def _read_with(awaited: Awaited, text: str) -> tuple[Awaited, str]:
    """A figure typed together with what it was read with: 2.00 with MIC; 2.00 MIC, where MIC is no unit."""
    figure, said, tool = text.partition(" with ")
    if not said:
        figure, _, tool = text.rstrip().rpartition(" ")
    if awaited.with_tool is None or not figure.strip() or not tool.strip() or (not said and readable(text)):
        return awaited, text
    other = awaited.with_tool(tool)
    return (other, figure) if other is not None else (awaited, text)


def _logging(text: str, drafts: Drafting, doubtful: str = "", act: str | None = None) -> Choice:
    return Choice(text, lambda: Write(drafts, act), drafts, doubtful)


def _places(session: Session, text: str) -> Iterator[Choice]:
    """Screens, acts, robots and things that the words name."""
    wanted = " ".join(text.casefold().split())
    if wanted.startswith("#") and wanted[1:].isdigit():
        yield Choice(f"show entry {wanted} in the logbook", partial(_thing, session, "entry", wanted))
    for place in PLACES:
        if place.name.startswith(wanted):
            said = "do" if place.act else "go to"
            yield Choice(f"{said} {place.name}: {place.help}", partial(Leap, place.letter))
    for ident in fitting(text, ((robot.id, robot.name) for robot in session.robots())):
        if ident != session.robot:
            name = next(robot.name for robot in session.robots() if robot.id == ident)
            yield Choice(f"put {name} on the bench", partial(_robot, session, ident))
    if session.robot:
        for sort, ident, name in things(session.desk(), text)[: MOST + 4]:
            if sort in THINGS:
                yield Choice(f"show {sort} {name}", partial(_thing, session, sort, ident))


def _robot(session: Session, ident: str) -> Outcome:
    session.choose(ident)
    return Leap("h")


def _thing(session: Session, sort: str, ident: str) -> Outcome:
    page = page_of(session, sort, ident)
    return Go(page) if page is not None else None


def _different(found: list[Choice]) -> list[Choice]:
    first: dict[str, Choice] = {}
    for choice in found:
        first.setdefault(choice.text, choice)
    return list(first.values())


def telling(session: Session, choice: Choice) -> Steps[str]:
    """What a meaning would do: the verdict it would give, or why it cannot be. Empty where it judges nothing."""
    if choice.drafts is None:
        return ""
    try:
        said = yield from previewing(session, choice.drafts(session.desk()))
    except PitcrewError as error:
        return error.message
    return said


def refusal_of(error: PitcrewError) -> Say:
    """An error as the answer row says it."""
    return Say(f"not taken  {error.sentence}", "stop")
