"""What a screen must survive: a dropped line, a drained battery, another window, a full disk, any terminal."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from pitcrew.clock import SystemClock, SystemIds
from pitcrew.logbook.book import Book
from pitcrew.robot.records import Entry
from tests.benchmarks.terminal import Terminal
from tests.end_to_end.at_bench import OnBench, book_at
from tests.end_to_end.commands import INSTALLED, as_anyone, fingerprint
from tests.end_to_end.tmux import Open

LAST = re.compile(r"^[* ] last .*?#(\d+)$", re.MULTILINE)
# Select graphic rendition, ECMA-48 8.3.117; 38 and 48 with a palette or a red, green and blue, 90 to 107 bright.
GRAPHIC = re.compile(rb"\x1b\[([\d;]*)m")
SIXTEEN = {*range(30, 38), *range(40, 48), *range(90, 98), *range(100, 108)}
ANY_COLOUR = SIXTEEN | {38, 48}


@pytest.fixture
def book(tmp_path: Path) -> OnBench:
    """The demo's book at 15:24."""
    folder = tmp_path / "book"
    folder.mkdir()
    return book_at(folder)


class Taped(Terminal):
    """A terminal that also keeps every byte."""

    tape = b""

    def _taken(self) -> list[tuple[float, bytes]]:
        chunks = super()._taken()
        self.tape += b"".join(data for _, data in chunks)
        return chunks


def opened(words: list[str], more: dict[str, str] | None = None) -> Taped:
    """A terminal with the book on it, judged."""
    terminal = Taped(words, more=more)
    terminal.wait_until(lambda screen: screen.has(" block: "))
    return terminal


def sign_on(terminal: Terminal) -> None:
    """Say who writes."""
    terminal.send("\ti")
    terminal.send("mk\r")
    terminal.wait_until(lambda screen: screen.has("MK is writing"))


def entries(book: OnBench) -> tuple[Entry, ...]:
    """Every entry in the file, oldest first."""
    with Book.open(book.path, SystemClock(), SystemIds(), readonly=True) as opened_book:
        return opened_book.entries_after(0, 100_000)


def gone(terminal: Terminal) -> None:
    """The line drops."""
    terminal.hang_up()


def told_to_go(terminal: Terminal) -> None:
    """The computer shuts down."""
    os.kill(terminal.process, signal.SIGTERM)
    assert terminal.status() == 128 + signal.SIGTERM


WAYS = pytest.mark.parametrize("way", [gone, told_to_go])


@WAYS
def test_what_was_half_typed_stands_on_the_line_again(book: OnBench, way: Callable[[Terminal], None]) -> None:
    count = len(entries(book))
    with opened(book.words()) as terminal:
        terminal.send("26.2")
        terminal.wait_until(lambda screen: screen.has("26.2_"))
        way(terminal)
    with opened(book.words()) as terminal:
        terminal.wait_until(lambda screen: screen.row(23).startswith("  log       26.2_"))
        assert terminal.screen.has("half typed when the screen went away")
        terminal.send("\x7f\x7f\x7f\x7f\x7f\tq")
        assert terminal.status() == 0
    # It is handed over once, and nothing was ever logged.
    with opened(book.words()) as terminal:
        assert not terminal.screen.has("26.2")
    assert len(entries(book)) == count


@WAYS
@pytest.mark.parametrize("early", [False, True], ids=["judged", "before the screen stands"])
def test_nothing_of_the_demo_is_left_when_its_terminal_goes(
    tmp_path: Path, way: Callable[[Terminal], None], early: bool
) -> None:
    with Terminal([INSTALLED, "demo"], more={"TMPDIR": str(tmp_path)}) as terminal:
        deadline = time.monotonic() + 10
        while not list(tmp_path.glob("pitcrew-*/demo.db")):
            assert time.monotonic() < deadline
            time.sleep(0.001)
        if not early:
            terminal.wait_until(lambda screen: screen.has(" block: "))
            terminal.send("dr")
        way(terminal)
    assert list(tmp_path.iterdir()) == []


def survives(book: OnBench) -> None:
    """What `last` gives a number is in the file, though the program is killed that very moment."""
    before = len(entries(book))
    with opened(book.words()) as terminal:
        # What was logged by a window that was killed is not there to be logged again.
        assert not terminal.screen.has("half typed")
        sign_on(terminal)
        terminal.send("dr hard")
        terminal.wait_until(lambda screen: screen.has("> hit hard taken DR"))
        time.sleep(0.35)
        terminal.send("\r")
        terminal.wait_until(lambda screen: bool(LAST.search(str(screen))))
        found = LAST.search(str(terminal.screen))
        assert terminal.kill() == -signal.SIGKILL
    assert found is not None
    # Read as it lies there, with what the killed program left beside it.
    written = entries(book)
    assert (len(written), written[-1].n, written[-1].kind, written[-1].by) == (before + 1, int(found[1]), "hit", "MK")


def test_what_was_acknowledged_outlives_the_program(book: OnBench) -> None:
    for _ in range(2):
        survives(book)


@pytest.mark.soak
def test_what_was_acknowledged_outlives_the_program_every_time(book: OnBench) -> None:
    for _ in range(100):
        survives(book)


def test_another_window_shows_an_entry_within_a_second(tmux: Open, book: OnBench) -> None:
    one, other = tmux(book.words()), tmux(book.words())
    for window in (one, other):
        window.wait_for(" block: ")
    other.send("Down")
    here = next(row for row in other.wait_until(lambda rows: not rows[3].startswith(">")) if row.startswith(">"))
    one.send("Tab", "i")
    one.type("mk")
    one.send("Enter")
    one.wait_for("MK is writing")
    one.type("dr hard")
    one.wait_for("> hit hard taken DR")
    one.send("Enter")
    one.wait_for("MK  hit hard taken DR")
    began = time.monotonic()
    other.wait_until(lambda rows: re.search(r"^\* last .*DR +#\d+$", rows[22].rstrip()) is not None)
    took_s = time.monotonic() - began
    sys.stdout.write(f"\nanother window's entry: {took_s * 1000:.0f} ms\n")
    assert took_s < 3
    other.wait_until(lambda rows: "35 block: 12 RECHECK, 23 DUE" in rows[0])
    # The row under the keys is not moved from under the finger.
    assert next(row for row in other.screen() if row.startswith(">")) == here


@pytest.mark.parametrize("typed", ["", "dr hard"], ids=["line closed", "line open"])
def test_the_standing_and_the_row_stay_in_sight_at_every_size(tmux: Open, book: OnBench, typed: str) -> None:
    window = tmux(book.words())
    window.wait_for(" block: ")
    window.send(*["Down"] * 12)
    here = "measure: tread wheel"
    window.wait_until(lambda rows: any(row.startswith(">") and here in row for row in rows))
    if typed:
        window.type(typed)
        window.wait_for("> hit hard taken DR")
    mark = ":" if typed else ">"
    for columns, rows in [(60, 20), (200, 60), (60, 10), (120, 40), (80, 24)]:
        window.resize(columns, rows)

        def stands(screen: list[str], columns: int = columns, rows: int = rows) -> bool:
            standing = any(row.startswith(" NOT FIT   28 block") for row in screen)
            at = any(row.startswith(mark) and here in row for row in screen)
            line = not typed or any(row.startswith("  log       dr hard_") for row in screen)
            return len(screen) == rows and standing and at and line and max(map(len, screen)) <= columns

        window.wait_until(stands, what=f"the standing, the row and the line at {columns} x {rows}")


def colours(tape: bytes) -> set[int]:
    """The colour codes in a stream of bytes; what follows a 38 or 48 is its own."""
    found: set[int] = set()
    for code in GRAPHIC.findall(tape):
        for number in (int(part or 0) for part in code.split(b";")):
            if number in ANY_COLOUR:
                found.add(number)
            if number in (38, 48):
                break
    return found


@pytest.mark.parametrize(
    ("more", "look", "wanted"),
    [
        ({"NO_COLOR": "1"}, (), set()),
        ({"TERM": "vt100"}, (), set()),
        ({"NO_COLOR": "1", "COLORTERM": "truecolor"}, ("dark",), set()),
        ({}, ("mono",), set()),
        ({}, (), {38}),
        ({}, ("light",), {38}),
        ({"COLORTERM": ""}, (), SIXTEEN),
        ({}, ("16",), SIXTEEN),
    ],
    ids=["NO_COLOR", "vt100", "NO_COLOR outranks dark", "mono", "truecolor", "light", "no word of colours", "16"],
)
def test_colour_is_what_the_terminal_and_the_crew_ask_for(
    book: OnBench, more: dict[str, str], look: tuple[str, ...], wanted: set[int]
) -> None:
    with opened(book.words(*look), more) as terminal:
        terminal.send("\tl")
        terminal.wait_until(lambda screen: screen.has("newest below"))
        terminal.send("dr hard")
        terminal.wait_until(lambda screen: screen.has("> hit hard taken DR"))
        used = colours(terminal.tape)
        assert not terminal.screen.has("\x1b")
    assert used <= wanted
    assert bool(used) == bool(wanted)


@pytest.mark.parametrize("words", [["demo"], ["{book}"], ["open", "{book}"], ["new", "{book}.new"]], ids=" ".join)
def test_without_a_terminal_it_says_so_in_one_sentence(book: OnBench, words: list[str]) -> None:
    before = fingerprint(book.path)
    command = [str(INSTALLED), *(word.format(book=book.path) for word in words)]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=30, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.splitlines() == [
        "pitcrew: there is no terminal to show a screen on. Ask with: pitcrew standing BOOK."
    ]
    assert [path.name for path in book.path.parent.iterdir()] == [book.path.name]
    assert fingerprint(book.path) == before


def test_a_book_that_can_only_be_read_is_shown_and_nothing_is_logged_in_it(book: OnBench) -> None:
    before = fingerprint(book.path)
    book.path.chmod(0o444)
    book.path.parent.chmod(0o555)
    try:
        plain = as_anyone("standing", str(book.path), "TALLOW ANVIL", "--at", "15:24")
        assert (plain.returncode, plain.stderr) == (1, "")
        bare = ["setpriv", "--bounding-set=-all", "--inh-caps=-all", "--"] if os.geteuid() == 0 else []
        with Taped([*bare, INSTALLED, book.path]) as terminal:
            terminal.wait_until(lambda screen: screen.has("read only") and screen.has("make safe"))
            terminal.send("\ti")
            terminal.wait_until(lambda screen: screen.has("initials"))
            terminal.send("mk\r")
            terminal.wait_until(lambda screen: screen.has("MK is writing"))
            terminal.send("note hello\r")
            terminal.wait_until(lambda screen: screen.has("this book is open for reading only"))
            terminal.send("\x03")
            assert terminal.status() == 0
        assert [path.name for path in book.path.parent.iterdir()] == [book.path.name]
        assert fingerprint(book.path) == before
    finally:
        book.path.parent.chmod(0o755)


@pytest.mark.skipif(not hasattr(resource, "prlimit"), reason="only Linux can limit a program that runs")
def test_a_full_disk_is_said_and_what_waits_is_written_once(book: OnBench) -> None:
    before = len(entries(book))
    with opened(book.words()) as terminal:
        sign_on(terminal)
        soft, hard = resource.prlimit(terminal.process, resource.RLIMIT_FSIZE)
        # No file may grow; what is half typed cannot be kept either, and the screen stays.
        resource.prlimit(terminal.process, resource.RLIMIT_FSIZE, (1, hard))
        terminal.send("dr hard")
        terminal.wait_until(lambda screen: screen.has("> hit hard taken DR"))
        time.sleep(0.5)
        terminal.send("\r")
        terminal.wait_until(lambda screen: screen.row(1).startswith(" NOT SAVED   1 entry waits: "))
        assert terminal.screen.has("do not log it again")
        assert not LAST.search(str(terminal.screen))
        # Leaving would lose it: that is said first.
        terminal.send("\tq")
        terminal.wait_until(lambda screen: screen.has("Leave once more to lose it"))
        assert len(entries(book)) == before
        resource.prlimit(terminal.process, resource.RLIMIT_FSIZE, (soft, hard))
        terminal.wait_until(lambda screen: bool(LAST.search(str(screen))) and not screen.has("not saved"))
        terminal.wait_until(lambda screen: screen.row(1).startswith(" NOT FIT   35 block"))
        time.sleep(1)
        terminal.send("\tq")
        assert terminal.status() == 0
    written = entries(book)
    assert [(entry.kind, entry.by) for entry in written[before:]] == [("hit", "MK")]
