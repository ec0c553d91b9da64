"""A program inside tmux: a real terminal that other people's code draws, with keys that go through it.

The server is our own: a socket of its own name, no configuration file, ended with the test.
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import time
import uuid
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import pytest

LONGEST_WAIT_S = 10.0
LOOK_EVERY_S = 0.02

Open = Callable[..., "Tmux"]


def environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """What a program in a terminal is told: where programs are, the language, the terminal, and `more`.

    No home folder, and nothing of the shell that started the tests.
    """
    told = {"PATH": os.environ.get("PATH", os.defpath), "LANG": "C.UTF-8"}
    return told | {"TERM": "xterm-256color", "COLORTERM": "truecolor"} | dict(more or {})


class Tmux:
    """One program in one window; the window stays when the program has ended."""

    def __init__(
        self,
        words: Sequence[str | Path],
        *,
        columns: int = 80,
        rows: int = 24,
        more: Mapping[str, str] | None = None,
        folder: Path | None = None,
    ) -> None:
        """Start `words` on a screen of `columns` by `rows`, with `environment(more)`, in a folder."""
        self._socket = f"pitcrew-{os.getpid()}-{uuid.uuid4().hex[:12]}"
        self._environment = environment({"SHELL": "/bin/sh"} | dict(more or {}))
        settings = (
            *("start-server", ";", "set", "-s", "escape-time", "20", ";", "set", "-g", "status", "off", ";"),
            *("set", "-g", "remain-on-exit", "on", ";", "set", "-g", "default-terminal", "tmux-256color", ";"),
        )
        place = ("-c", str(folder)) if folder else ()
        # tmux drops this variable of its environment in a new window; the program is told it once more.
        colours = ("-e", f"COLORTERM={self._environment['COLORTERM']}")
        command = "exec " + shlex.join(map(str, words))
        session = ("new-session", "-d", "-x", str(columns), "-y", str(rows), *place, *colours, command)
        self._tmux(*settings, *session)
        self._path = Path(self._said("#{socket_path}"))

    def send(self, *keys: str) -> None:
        """Press keys by tmux's names: `Down`, `Space`, `Enter`, `BSpace`, `Tab`, `PPage`, `C-c`, `x`."""
        self._tmux("send-keys", *keys)

    def type(self, text: str) -> None:
        """Type text as it stands, key by key."""
        # A semicolon at the end of a word would part two of tmux's commands.
        self._tmux("send-keys", "-l", "--", text[:-1] + "\\;" if text.endswith(";") else text)

    def paste(self, text: str) -> None:
        """Give text in one go, bracketed if the program asked for that, as a terminal's paste does."""
        self._tmux("set-buffer", "--", text[:-1] + "\\;" if text.endswith(";") else text)
        self._tmux("paste-buffer", "-p", "-d")

    def screen(self) -> list[str]:
        """The rows as they stand, without the blanks at their ends."""
        return self._tmux("capture-pane", "-p").splitlines()

    def wait_for(self, text: str, timeout_s: float = LONGEST_WAIT_S) -> list[str]:
        """The screen, once some row holds a text."""
        return self.wait_until(lambda rows: any(text in row for row in rows), timeout_s, what=repr(text))

    def wait_until(
        self, stands: Callable[[list[str]], bool], timeout_s: float = LONGEST_WAIT_S, what: str = "what was waited for"
    ) -> list[str]:
        """The screen, once `stands` says so of it.

        Raises:
            AssertionError: it did not within `timeout_s`; with the screen as it is.
        """
        deadline = time.monotonic() + timeout_s
        while True:
            rows = self.screen()
            if stands(rows):
                return rows
            if time.monotonic() > deadline:
                raise AssertionError("\n".join((f"{what} is not on the screen after {timeout_s} s:", *rows)))
            time.sleep(LOOK_EVERY_S)

    def resize(self, columns: int, rows: int) -> None:
        """Make the window larger or smaller; the program hears of it."""
        self._tmux("resize-window", "-x", str(columns), "-y", str(rows))

    @property
    def process(self) -> int:
        """The program's process number."""
        return int(self._said("#{pane_pid}"))

    @property
    def ended(self) -> bool:
        """Whether the program has ended."""
        return self._said("#{pane_dead}") == "1"

    def status(self, timeout_s: float = LONGEST_WAIT_S) -> int:
        """The exit status, once the program has ended by itself; minus the signal's number if one ended it."""
        form = "#{pane_dead_status},#{pane_dead_signal}"

        def told(_: list[str]) -> bool:
            # tmux 3.3 now and then misses that its child ended until another one has; so it is given another one.
            if self.ended:
                self._tmux("run-shell", "true")
            return self._said(form) != ","

        self.wait_until(told, timeout_s, what="the program's end")
        status, _, ended_by = self._said(form).partition(",")
        return int(status) if status else -int(ended_by)

    def hang_up(self) -> None:
        """Take the terminal away under the program, as a dropped line does; the server ends with it."""
        subprocess.run([*self._server, "kill-session"], env=self._environment, check=True, timeout=20)

    def close(self) -> None:
        """End the server on this socket, and the program with it; the socket goes too."""
        words = [*self._server, "kill-server"]
        subprocess.run(words, env=self._environment, check=False, capture_output=True, timeout=20)
        self._path.unlink(missing_ok=True)

    @property
    def _server(self) -> tuple[str, ...]:
        return ("tmux", "-L", self._socket, "-f", os.devnull)

    def _said(self, form: str) -> str:
        return self._tmux("display-message", "-p", form).strip()

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            [*self._server, *words], env=self._environment, check=False, capture_output=True, text=True, timeout=20
        )
        assert done.returncode == 0, f"tmux {' '.join(words)}: {done.stderr.strip()}"
        return done.stdout


@pytest.fixture
def tmux() -> Iterator[Open]:
    """Open programs in tmux, `tmux(words, columns=80, rows=24, more={...}, folder=...)`; each ends with the test."""
    if shutil.which("tmux") is None:
        if "CI" in os.environ:
            pytest.fail("tmux is missing, and here it must not be")
        pytest.skip("there is no tmux here")
    opened: list[Tmux] = []

    def start(*arguments: object, **options: object) -> Tmux:
        opened.append(Tmux(*arguments, **options))  # type: ignore[arg-type]
        return opened[-1]

    yield start
    for each in opened:
        each.close()
