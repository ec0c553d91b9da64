"""A program on a terminal of its own, every byte of it timed, and what stands on that terminal's screen.

The measuring side does nothing while the program answers but take bytes and note the time; only when the program
is quiet are they drawn, one read after the other, to find the one after which the wanted text stood. So the
drawing costs no answer anything, and a time is that of the bytes, not of their drawing.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import pty
import re
import select
import signal
import socket
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple, NoReturn, Self

import pyte

from tests.end_to_end.tmux import environment

LONGEST_WAIT_S = 10.0
QUIET_MS = 30.0

# The terminal becomes the program's own before the clock starts; nothing of this stands between the word to go and
# the program. (Python's own way, a function run in the child, warns where threads are about.)
LAUNCHER = """
import fcntl, os, sys, termios
line = int(sys.argv[1])
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
os.set_inheritable(line, False)
os.write(line, b"ready")
os.read(line, 1)
os.execvp(sys.argv[2], sys.argv[2:])
"""

# Private sequences the drawing library would partly take for others (`CSI > 4 m` for underline) or draw as text.
PRIVATE = re.compile(rb"\x1b\[[<=>][0-?]*[ -/]*[@-~]")
UNFINISHED = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*)?\Z")


class Screen:
    """What a stream of bytes draws."""

    def __init__(self, columns: int, rows: int) -> None:
        self._cells = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._cells)
        self._held = b""

    def feed(self, data: bytes) -> None:
        """Draw the next bytes; a sequence that is not whole waits for its rest."""
        data = self._held + data
        cut = UNFINISHED.search(data)
        whole, self._held = (data[: cut.start()], cut[0]) if cut else (data, b"")
        self._stream.feed(PRIVATE.sub(b"", whole))

    def resize(self, columns: int, rows: int) -> None:
        """Take another size, emptied: what stands on it then was drawn for it."""
        self._cells.resize(rows, columns)
        self._cells.erase_in_display(2)

    @property
    def rows(self) -> list[str]:
        """The rows as they stand, without the blanks at their ends."""
        return [row.rstrip() for row in self._cells.display]

    def row(self, number: int) -> str:
        """A row, counted from 1 at the top; from -1 at the bottom."""
        cells = self._cells.display
        return cells[number - 1 if number > 0 else number].rstrip()

    def has(self, text: str) -> bool:
        """Whether some row holds a text."""
        return any(text in row for row in self._cells.display)

    def __str__(self) -> str:
        return "\n".join(self.rows)


Stands = Callable[[Screen], bool]


class Timing(NamedTuple):
    """An answer, in ms after the keys were sent (or the program started), and its size in bytes.

    `first_ms` is its first byte, `painted_ms` the one after which the wanted stood, `last_ms` the last before quiet.
    """

    first_ms: float
    painted_ms: float
    last_ms: float
    size: int


class Terminal:
    """A program on a pseudo-terminal, which is killed with it if it still runs when this is closed."""

    def __init__(
        self,
        words: Sequence[str | Path],
        *,
        columns: int = 80,
        rows: int = 24,
        more: Mapping[str, str] | None = None,
        folder: Path | None = None,
    ) -> None:
        """Start `words` on a terminal of `columns` by `rows`, with `environment(more)`, in a folder."""
        self._words, self._more, self._folder = tuple(map(str, words)), dict(more or {}), folder
        self._shape = columns, rows
        self.screen = Screen(columns, rows)
        self._master, slave = pty.openpty()
        os.set_blocking(self._master, False)
        self._size(columns, rows)
        self._process, self._begun = self._start(slave)
        self._chunks: list[tuple[float, bytes]] = []
        self._open, self._gone = True, False

    def _start(self, slave: int) -> tuple[subprocess.Popen[bytes], float]:
        """The program on its side of the terminal, and the time at which it was told to go."""
        ours, theirs = socket.socketpair()
        with ours, theirs:
            process = subprocess.Popen(
                [sys.executable, "-I", "-S", "-c", LAUNCHER, str(theirs.fileno()), *self._words],
                stdin=slave,
                stdout=slave,
                stderr=slave,
                env=environment(self._more),
                cwd=self._folder,
                start_new_session=True,
                pass_fds=(theirs.fileno(),),
            )
            os.close(slave)
            theirs.close()
            if ours.recv(5) != b"ready":
                process.kill()
                process.wait()
                raise OSError("the terminal could not be given to the program")
            begun = time.perf_counter()
            ours.send(b"!")
        return process, begun

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: object) -> None:
        self.close()

    def close(self) -> None:
        """Kill the program and whatever it started in its session, and take the terminal away."""
        if self._process.poll() is None:
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait(LONGEST_WAIT_S)
        self._shut()

    def first_screen(self, stands: Stands, quiet_ms: float = 200.0, timeout_s: float = LONGEST_WAIT_S) -> Timing:
        """How long the program took from its start until `stands`, and until it was quiet for `quiet_ms`.

        Ask once, before anything else: what was read earlier is not timed again.
        """
        return self._timed(self._begun, stands, quiet_ms, timeout_s)

    def answer(
        self, keys: str, stands: Stands, quiet_ms: float = QUIET_MS, timeout_s: float = LONGEST_WAIT_S
    ) -> Timing:
        """How long the program takes from keys sent in one go until `stands`; ends when it is quiet again.

        Raises:
            AssertionError: it stands already, so that no answer could be told from none; or it never stood, or the
                program ended; with the screen as it is.
        """
        self.settled(0.0)
        if stands(self.screen):
            raise AssertionError(f"it stands already, before {keys!r}:\n{self.screen}")
        return self._timed(self.send(keys), stands, quiet_ms, timeout_s)

    def send(self, keys: str) -> float:
        """Send keys as the bytes a terminal sends for them; returns the time they were sent at, in s."""
        data = keys.encode()
        sent = time.perf_counter()
        while data:
            select.select([], [self._master], [], LONGEST_WAIT_S)
            data = data[os.write(self._master, data) :]
        return sent

    def settled(self, quiet_ms: float = QUIET_MS, timeout_s: float = LONGEST_WAIT_S) -> Screen:
        """The screen, once no byte has come for `quiet_ms`.

        Raises:
            AssertionError: it never was quiet for so long within `timeout_s`.
        """
        deadline = time.perf_counter() + timeout_s
        while self._read(quiet_ms / 1000):
            if time.perf_counter() > deadline:
                raise AssertionError(f"not quiet for {quiet_ms} ms within {timeout_s} s:\n{self.screen}")
        self._draw()
        return self.screen

    def wait_until(self, stands: Stands, timeout_s: float = LONGEST_WAIT_S) -> Screen:
        """The screen, once `stands` says so of it; for what is awaited and not measured."""
        self._draw()
        if not stands(self.screen):
            self._timed(time.perf_counter(), stands, QUIET_MS, timeout_s)
        return self.screen

    def resize(self, columns: int, rows: int) -> None:
        """Make the terminal larger or smaller; the program hears of it."""
        self._draw()
        self._shape = columns, rows
        self.screen.resize(columns, rows)
        self._size(columns, rows)

    def kill(self) -> int:
        """End the program at once, as the kernel or a drained battery does; returns its status."""
        self._process.kill()
        return self.status()

    def hang_up(self) -> int:
        """Take the terminal away under the program, as a dropped line does (SIGHUP); returns its status."""
        self._shut()
        return self.status()

    def status(self, timeout_s: float = LONGEST_WAIT_S) -> int:
        """The exit status, once the program has ended; minus the signal's number if one ended it."""
        deadline = time.perf_counter() + timeout_s
        while self._process.poll() is None and time.perf_counter() < deadline:
            # A program whose last bytes nobody takes would never end.
            if not self._read(0.02):
                time.sleep(0.002)
        return self._process.wait(0.0)

    def again(self) -> Terminal:
        """The same program once more, on a new terminal like this one; this one is closed first."""
        self.close()
        columns, rows = self._shape
        return Terminal(self._words, columns=columns, rows=rows, more=self._more, folder=self._folder)

    @property
    def process(self) -> int:
        """The program's process number."""
        return self._process.pid

    def _timed(self, begun: float, stands: Stands, quiet_ms: float, timeout_s: float) -> Timing:
        first = painted = last = None
        size = 0
        while painted is None:
            left = begun + timeout_s - time.perf_counter()
            if left < 0 or not self._read(left):
                self._lost(timeout_s)
            while self._read(quiet_ms / 1000) and time.perf_counter() < begun + timeout_s:
                pass
            for at, data in self._taken():
                first, last, size = at if first is None else first, at, size + len(data)
                self.screen.feed(data)
                if painted is None and stands(self.screen):
                    painted = at
        assert first is not None and last is not None
        return Timing((first - begun) * 1000, (painted - begun) * 1000, (last - begun) * 1000, size)

    def _lost(self, timeout_s: float) -> NoReturn:
        if self._gone:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(1.0)
        status = self._process.poll()
        end = f"the program ended with status {status}" if status is not None else f"after {timeout_s} s"
        raise AssertionError(f"what was waited for does not stand, {end}:\n{self.screen}")

    def _read(self, wait_s: float) -> bool:
        """Take what has come, or the first that comes within `wait_s`; whether there was anything."""
        if not self._open or not select.select([self._master], [], [], wait_s)[0]:
            return False
        try:
            data = os.read(self._master, 65536)
        except OSError as error:
            # The other side is closed: what Linux says once the last program there has ended.
            if error.errno != errno.EIO:
                raise
            self._gone = True
            return False
        self._chunks.append((time.perf_counter(), data))
        return bool(data)

    def _taken(self) -> list[tuple[float, bytes]]:
        chunks, self._chunks = self._chunks, []
        return chunks

    def _draw(self) -> None:
        # Not for ever: some programs never stop.
        deadline = time.perf_counter() + 0.2
        while self._read(0.0) and time.perf_counter() < deadline:
            pass
        for _, data in self._taken():
            self.screen.feed(data)

    def _size(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def _shut(self) -> None:
        if self._open:
            self._open = False
            os.close(self._master)
