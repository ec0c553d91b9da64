"""What is started and which keys are measured: the peer's, and Pitcrew's, with the texts that show each answer.

A walk is a run of steps. A step's keys are sent in one go, and it is answered when `stands` says so of the screen;
steps that only prepare the next one are not measured. What the screen of Pitcrew looks like is said in `Look` alone.
"""

from __future__ import annotations

import itertools
import re
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from tests.benchmarks.bare_app import PLACEHOLDER
from tests.benchmarks.terminal import Screen, Stands, Terminal, Timing

ROOT = Path(__file__).resolve().parents[2]
DOWN, UP, BACKSPACE, F2 = "\x1b[B", "\x1b[A", "\x7f", "\x1bOQ"
BURST = 10
# How long a row must have stood, and keys lie apart, for Pitcrew to take them as meant.
GUARD_S = 0.5
# A reading as a crew types it, and what is measured of it one by one: a blank alone would not be seen in an input.
LINE = "262.05 gap between uprights with ROD"
ONE_BY_ONE = re.findall(r" ?\S", LINE)


class Program(NamedTuple):
    """How something is started, and what stands when its first screen does."""

    words: tuple[str, ...]
    first: Stands
    more: Mapping[str, str] = {}
    folder: Path = ROOT

    def opened(self) -> Terminal:
        """The program on a terminal of 80 by 24."""
        return Terminal(self.words, more=self.more, folder=self.folder)


class Step(NamedTuple):
    """Keys sent in one go and how their answer is known; `rest_s` is waited after it, and what comes then is drawn."""

    keys: str
    stands: Stands
    measured: bool = True
    rest_s: float = 0.0


# A step may depend on what stands when its turn comes: a walk asks the terminal's screen.
Walk = Callable[[Screen], Iterator[Step]]
Shown = Callable[[Screen], str]


class Look(NamedTuple):
    """Where Pitcrew shows what the measurements wait for; rows and columns count from 1."""

    selected: str = ">"
    worklist_rows: tuple[int, int] = (4, 21)
    line_row: int = 23
    text_column: int = 13
    line_open: str = "log"
    asked_initials: str = "initials"
    last: str = "last"
    cursor: str = "_"
    not_judged: str = "NOT JUDGED"

    def row_selected(self, screen: Screen) -> str:
        """The worklist's row with the mark; empty when there is none."""
        first, last = self.worklist_rows
        return next((row for row in screen.rows[first - 1 : last] if row.startswith(self.selected)), "")

    def label(self, screen: Screen) -> str:
        """What the line says it is: open, asking, or what was logged last."""
        return screen.row(self.line_row)[: self.text_column - 1].strip()

    def typed(self, screen: Screen) -> str | None:
        """What stands on the open line; None when it is closed."""
        if self.label(screen) != self.line_open:
            return None
        return screen.row(self.line_row)[self.text_column - 1 :].partition("  ")[0].removesuffix(self.cursor)

    def said_last(self, screen: Screen) -> str:
        """What stands on the closed line as last logged, with its number; empty when it is open."""
        return screen.row(self.line_row) if self.label(screen) == self.last else ""

    def standing(self, screen: Screen) -> str:
        """The first row up to the minutes and the clock; empty while the robot is not judged."""
        said = re.split(r" {4,}", screen.row(1))[0]
        return "" if self.not_judged in said else said


PEER = Program(
    (sys.executable, "-m", "tests.benchmarks.bare_app"), lambda screen: screen.has("row 0 ") and screen.has(" next ")
)


def pitcrew(scratch: Path, look: Look = Look()) -> Program:  # noqa: B008  a tuple of constants
    """`pitcrew demo`, as installed, with its scratch book in a folder of ours."""
    words = (str(Path(sys.executable).with_name("pitcrew")), "demo")
    return Program(words, lambda screen: bool(look.row_selected(screen)), {"TMPDIR": str(scratch)}, scratch)


def walked(terminal: Terminal, walk: Walk) -> Iterator[Timing]:
    """Take a walk step by step; the times of the measured ones."""
    for step in walk(terminal.screen):
        timing = terminal.answer(step.keys, step.stands)
        time.sleep(step.rest_s)
        terminal.settled(0.0)
        if step.measured:
            yield timing


def peer_rows(keys: int, together: int = 1) -> Walk:
    """Down and Up by turns, `together` of them in one go, each changing the peer's one text."""

    def steps(_: Screen) -> Iterator[Step]:
        for n in range(keys):
            row = 0 if n % 2 else together
            yield Step((UP if n % 2 else DOWN) * together, _shows(f"row {row} "))

    return steps


def peer_keeps(keys: int) -> Walk:
    """F2: the peer puts one row on the disk and says so. It rests as long as Pitcrew's answers do."""

    def steps(screen: Screen) -> Iterator[Step]:
        first = int(re.search(r"kept (\d+)", screen.row(next(n for n in range(1, 25) if "kept " in screen.row(n))))[1])  # type: ignore[index]
        for n in range(first + 1, first + 1 + keys):
            yield Step(F2, _shows(f"kept {n} "), rest_s=GUARD_S)

    return steps


def typing(typed_now: Callable[[Screen], str | None], keys: int, together: int = 1, rest_s: float = 0.0) -> Walk:
    """A line typed key by key, or `together` keys in one go; when it is whole it is emptied, unmeasured, for a rest."""
    whole = len(LINE) // together
    parts = ONE_BY_ONE if together == 1 else [LINE[n * together :][:together] for n in range(whole)]

    def stands(text: str) -> Stands:
        return lambda screen: (typed_now(screen) or "") == text

    def steps(_: Screen) -> Iterator[Step]:
        typed, measured = "", 0
        for part in itertools.cycle(parts):
            typed += part
            count = len(part) == together
            yield Step(part, stands(typed), count)
            measured += count
            if len(typed) == len("".join(parts)) or measured == keys:
                yield Step(BACKSPACE * len(typed), stands(""), measured=False, rest_s=rest_s)
                typed = ""
            if measured == keys:
                return

    return steps


def peer_typing(keys: int, together: int = 1) -> Walk:
    """Digits typed into the peer's input."""
    return typing(peer_typed, keys, together)


def peer_typed(screen: Screen) -> str | None:
    """What stands in the peer's input, which is the row below the one of its text and its upper edge."""
    row = next((n for n, text in enumerate(screen.rows, 1) if text.startswith("row ")), 0)
    inside = screen.row(row + 2).strip("\N{LEFT THREE QUARTERS BLOCK}\N{LEFT ONE QUARTER BLOCK} ")
    return "" if inside == PLACEHOLDER else inside


def pitcrew_typing(look: Look, keys: int, together: int = 1) -> Walk:
    """A line typed on the log line, which its first key opens; closed at the end."""

    def steps(screen: Screen) -> Iterator[Step]:
        yield from typing(look.typed, keys, together, GUARD_S)(screen)
        # A new press, apart from the ones that emptied it, leaves the line.
        yield Step(BACKSPACE, lambda screen: look.typed(screen) is None, measured=False)

    return steps


def pitcrew_rows(look: Look, keys: int, reach: int = 4) -> Walk:
    """Down `reach` times, Up as often, and so on; each moves the mark of the selected row. Ends where it began."""

    def steps(screen: Screen) -> Iterator[Step]:
        beyond = keys % (2 * reach)
        for n in range(keys):
            yield Step(DOWN if n % (2 * reach) < reach else UP, _moved(look, look.row_selected(screen)))
        for _ in range(min(beyond, 2 * reach - beyond)):
            yield Step(UP, _moved(look, look.row_selected(screen)), measured=False)

    return steps


def pitcrew_row_bursts(look: Look, bursts: int, together: int = BURST) -> Walk:
    """Down `together` times in one go, then Up as often; where that ends is found by single keys first.

    Ends where it began after an even number of bursts.
    """

    def steps(screen: Screen) -> Iterator[Step]:
        near = look.row_selected(screen)
        for _ in range(together):
            yield Step(DOWN, _moved(look, look.row_selected(screen)), measured=False)
        far = look.row_selected(screen)
        yield Step(UP * together, _selects(look, near), measured=False)
        for n in range(bursts):
            yield Step((UP if n % 2 else DOWN) * together, _selects(look, near if n % 2 else far))

    return steps


def pitcrew_answers(look: Look, answers: int, row: str, shown: Shown, by: str = "mk") -> Walk:
    """Space on the row that holds a text logs its bracketed answer; each is taken back, unmeasured.

    Either is there when what `shown` reads of the screen is another: what was logged last, or the standing. `by`
    are the initials given first, once.
    """

    def steps(screen: Screen) -> Iterator[Step]:
        yield Step("\ti", lambda screen: look.label(screen) == look.asked_initials, measured=False)
        yield Step(f"{by}\r", lambda screen: look.label(screen) == look.last, measured=False)
        while row not in look.row_selected(screen):
            yield Step(DOWN, _moved(look, look.row_selected(screen)), measured=False, rest_s=GUARD_S)
        for _ in range(answers):
            yield Step(" ", _another(shown, shown(screen)), rest_s=GUARD_S)
            yield Step("\tu", _another(shown, shown(screen)), measured=False, rest_s=GUARD_S)
            while row not in look.row_selected(screen):  # it is back above the one the keys went on to
                yield Step(UP, _moved(look, look.row_selected(screen)), measured=False, rest_s=GUARD_S)

    return steps


def _another(shown: Shown, before: str) -> Stands:
    return lambda screen: shown(screen) not in ("", before)


def _moved(look: Look, before: str) -> Stands:
    return lambda screen: look.row_selected(screen) not in ("", before)


def _selects(look: Look, row: str) -> Stands:
    return lambda screen: look.row_selected(screen) == row


def _shows(text: str) -> Stands:
    return lambda screen: screen.has(text)
