"""What every screen is: a sheet of rows between the standing and the line, with answers for the row the keys are at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from pitcrew.bench.desk import Desk
from pitcrew.logbook.writing import Draft
from pitcrew.tui.paint import BLANK, Line, Span, fitted, line, wrapped

if TYPE_CHECKING:
    from pitcrew.bench.session import Session

    Answering = Callable[[], "Outcome"]

T = TypeVar("T")


class Write(NamedTuple):
    """Log what `drafts` makes at the desk of whoever signs; under `act` if it belongs to one; then go `then`."""

    drafts: Callable[[Desk], list[Draft]]
    act: str | None = None
    then: Answering | None = None


class Go(NamedTuple):
    """Show another screen on top of this one; Backspace comes back."""

    page: Page


class Back(NamedTuple):
    """Leave this screen for the one before."""


class Ask(NamedTuple):
    """Ask for something on the line: the word that stands before it, what may be typed, what is done with it.

    `hint` stands in the answer row meanwhile; `text` is there already and can be changed. `told` says what the text
    as typed so far would do, in the place of the hint; empty where that cannot be said yet.
    """

    label: str
    take: Callable[[str], Outcome]
    hint: str = ""
    text: str = ""
    told: Callable[[str], str] | None = None


class Say(NamedTuple):
    """Only say something in the answer row; nothing is done."""

    text: str
    role: str = "quiet"


class Step(NamedTuple):
    """Move the keys by so many rows; nothing is written."""

    rows: int = 1


class Leap(NamedTuple):
    """Go to a place of the go strip, or do its act, by its letter."""

    letter: str


Outcome = Write | Go | Back | Ask | Say | Step | Leap | None


class Answer(NamedTuple):
    """One answer of a row: its words, and what it does when Space says it."""

    label: str
    do: Answering


class Answers(NamedTuple):
    """The answers of a row. `first` is the bracketed one, None where an arrow must pick: a caution, or a figure."""

    items: tuple[Answer, ...] = ()
    first: int | None = 0
    hint: str = ""


class Awaited(NamedTuple):
    """The figure a screen waits for: what it is of, the dimension and unit of a bare one, what is done with it.

    `note` follows it where its meaning is said, `last` is its last figure in SI, `act` what it is logged under.
    `with_tool` gives the same figure read with the instrument of a name; None where the name fits none, or several.
    """

    name: str
    dimension: str
    unit: str
    take: Callable[[Desk, float, str], list[Draft]]
    note: str = ""
    act: str | None = None
    last: float | None = None
    with_tool: Callable[[str], Awaited | None] | None = None


class Page:
    """A screen. Subclasses give rows, a sheet, and answers; the shell does the keys, the frame and the line.

    `row` is the index the keys are at. `keys()` names rows, so that `>` stays on its row when the list moves.
    """

    name = ""
    title = ""
    blocks = ""  # what PgUp and PgDn go through, in a word; empty: by pages of rows

    def __init__(self, session: Session) -> None:
        self.session = session
        self.row = 0
        self.under = ""  # the name of the row the keys were at after the last key

    # what subclasses give

    def keys(self) -> Sequence[str]:
        """A name for each row that can be picked, in order."""
        return ()

    def sheet(self, width: int, height: int) -> list[Line]:
        """The sheet's rows, at most `height` of them, each at most `width` columns."""
        return []

    def answers(self) -> Answers:
        """What can be said to the row the keys are at."""
        return Answers()

    def opened(self) -> Outcome:
        """What Enter does on the row the keys are at."""
        return None

    def awaited(self) -> Awaited | None:
        """The figure that is waited for, if one is."""
        return None

    def asks(self) -> Ask | None:
        """What the line is for on this screen, where whatever is typed is the answer to one question."""
        return None

    def own(self, text: str) -> Answer | None:
        """What typed words mean on this screen alone: they narrow it, or fill something in; None where they do not."""
        return None

    def leaving(self) -> bool:
        """Back was pressed on a closed line: True when this screen took back something of its own and stays."""
        return False

    def waits(self) -> bool:
        """Has the screen something to find out when there is time between the keys?"""
        return False

    def work(self) -> bool:
        """Find out a little of it, some milliseconds' worth; is there more?"""
        return False

    def block(self, step: int) -> None:
        """PgUp (-1) or PgDn (1)."""
        self.move(step * 10)

    def refreshed(self) -> None:
        """The standing was judged anew, or entries came in."""

    # what all share

    def move(self, step: int) -> None:
        """Up or down by rows, stopping at the ends."""
        self.row = min(max(self.row + step, 0), max(len(self.keys()) - 1, 0))

    def key(self) -> str:
        """The name of the row the keys are at; empty on an empty list."""
        keys = self.keys()
        return keys[min(self.row, len(keys) - 1)] if keys else ""

    def hold(self, key: str) -> None:
        """Put the keys back on a row that may have moved; a row that is gone leaves them where they are."""
        keys = list(self.keys())
        if key in keys:
            self.row = keys.index(key)
        self.move(0)


def window(rows: Sequence[T], at: int, height: int) -> tuple[list[T], int]:
    """As many rows as fit around the one at `at`, and how many are left out below: painted, or still to paint."""
    if len(rows) <= height:
        return list(rows), 0
    start = min(max(at - height // 2, 0), len(rows) - height)
    return list(rows[start : start + height]), len(rows) - start - height


def marked(row: Line, here: bool, width: int) -> Line:
    """A list's row with `>` in column 1 where the keys are."""
    if not here:
        return fitted(line(" ", *row), width)
    return tuple(Span(text, "here") for text, _ in fitted(line(">", *row), width))


def guarded_by(caution: str, width: int) -> list[Line]:
    """A caution above the step it guards, on three rows at most; none where nothing is said."""
    if not caution:
        return []
    first, *rest = wrapped(caution, width - 2, 3)
    return [line(Span(f"! {first}", "care")), *(line(Span(f"  {row}", "care")) for row in rest)]


def parting(name: str, width: int, right: str = "") -> Line:
    """The rule that parts the list from the detail, with the selected thing's name in it."""
    left = f"-- {name} " if name else ""
    tail = f" {right} --" if right else ""
    return line(Span(left + "-" * max(width - len(left) - len(tail), 0) + tail, "quiet"))


def filled(rows: list[Line], height: int) -> list[Line]:
    """Exactly `height` rows: cut, or blank ones added below."""
    return rows[:height] + [BLANK] * (height - len(rows))
