"""The terminal: keys in, rows out. What they mean is the shell's."""

from __future__ import annotations

import asyncio
import gc
import signal
import time
import traceback
from collections.abc import Callable, Iterator

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from pitcrew.bench.session import Session
from pitcrew.errors import PitcrewError
from pitcrew.tui.frame import frame
from pitcrew.tui.looks import styles
from pitcrew.tui.page import Say
from pitcrew.tui.paint import BLANK, Line, cells
from pitcrew.tui.shell import Shell

TICK_S = 0.3
SLICE_S = 0.001
REST_S = 0.004


class Screen(Widget, can_focus=True):
    """The one widget: every row is painted by the shell, and only rows that changed are sent to the terminal."""

    DEFAULT_CSS = "Screen { width: 1fr; height: 1fr; }"

    def __init__(self, bench: Bench, shell: Shell, look: str) -> None:
        super().__init__()
        self.bench = bench
        self.shell = shell
        self.styles_of = styles(look)
        self.rows: list[Line] = []
        self.due = False  # something has happened that is not painted yet

    def on_key(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()
        letter = event.character or ""
        key = "?" if letter == "?" else event.key
        self.bench.pressed(key, letter if letter.isprintable() else "")

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self.bench.guarded(lambda: self.shell.paste(event.text))

    def on_idle(self) -> None:
        # Keys that came in one go are painted once, after the last of them.
        if self.due:
            self.bench.paint()

    def paint(self) -> None:
        """Paint the whole frame anew and send what changed."""
        self.due = False
        width, height = self.size
        if not width or not height:
            return
        old, self.rows = self.rows, frame(self.shell, width, height)
        if len(old) != len(self.rows):
            self.refresh()
            return
        changed = [Region(0, y, width, 1) for y in range(height) if old[y] != self.rows[y]]
        if changed:
            self.refresh(*changed)

    def render_line(self, y: int) -> Strip:
        painted = self.rows[y] if y < len(self.rows) else BLANK
        width = self.size.width
        segments = [Segment(text, self._style(role)) for text, role in painted]
        used = sum(cells(text) for text, _ in painted)
        if used < width:
            segments.append(Segment(" " * (width - used), self._style("")))
        return Strip(segments, max(used, width))

    def _style(self, role: str) -> Style:
        return self.styles_of.get(role, self.styles_of[""])

    def get_content_width(self, container: Size, viewport: Size) -> int:
        return container.width

    def on_resize(self) -> None:
        self.rows = []
        self.paint()


class Bench(App[None]):
    """The program on a terminal."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "* { scrollbar-size: 0 0; }"
    BINDINGS = []  # noqa: RUF012  every key goes to the shell

    def __init__(self, session: Session, shell: Shell, look: str) -> None:
        super().__init__(ansi_color=True)
        self.session = session
        self.shell = shell
        self.faults: list[str] = []
        self._judging: asyncio.Task[None] | None = None
        self._minute = 0
        self._version = session.book.data_version()
        self._kept = ""
        self._pressed = 0.0
        self.sheet = Screen(self, shell, look)

    def compose(self) -> ComposeResult:
        yield self.sheet

    def on_mount(self) -> None:
        self.sheet.focus()
        self._kept = self.shell.line.draft()
        self.set_interval(TICK_S, self.tick)
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, self.hung_up, number)
        self.judge()

    def pressed(self, key: str, letter: str) -> None:
        """A key came in."""
        self._pressed = time.monotonic()
        self.guarded(lambda: self.shell.key(key, letter, self._pressed))

    def guarded(self, doing: Callable[[], None]) -> None:
        """Do something and see to it that it is painted; a fault of the program is said and the screen stays."""
        try:
            doing()
        except PitcrewError as error:
            self.shell.message = Say(error.sentence, "stop")
        except Exception as error:
            self.faults.append(traceback.format_exc())
            self.shell.message = Say(f"fault of the program: {error!r:.60}. What is logged is on the disk.", "stop")
            self.shell.line.close()
        self.sheet.due = True
        if not self.shell.line.is_open:
            # Before it is painted that a line was logged: if the line dropped now, it must not be there to log again.
            self.keep_draft()
        if self.shell.left:
            self.exit()
        elif self.session.stale or self.shell.line.is_open or self.shell.page.waits():
            self.judge()

    def paint(self) -> None:
        """Paint what is due, also when painting itself fails: then the next key tries once more."""
        try:
            self.sheet.paint()
        except Exception as error:
            self.faults.append(traceback.format_exc())
            self.shell.message = Say(f"fault of the program: {error!r:.60}. What is logged is on the disk.", "stop")

    def judge(self) -> None:
        """Judge the robot between the keys, a slice at a time."""
        if self._judging is None or self._judging.done():
            self._judging = asyncio.create_task(self._judge())

    async def _judge(self) -> None:
        """What the line means comes first, then the standing; both in slices, after the key has been painted."""
        while True:
            await self._read_line()
            if not self.session.stale:
                if not self.shell.page.waits():
                    self._stands()
                    break
                self.guarded(self._work)
                continue
            steps = self.session.judging()
            while not self.session.stale and self.shell.line.unread is None:
                await asyncio.sleep(REST_S if time.monotonic() - self._pressed < REST_S else 0)
                if not _some(steps):
                    self.guarded(lambda: self.shell.judged(time.monotonic()))
                    self.paint()
                    break
            else:
                self.session.stale = True

    @staticmethod
    def _stands() -> None:
        """The screen stands: garbage is collected again, which was put off to get here sooner."""
        if not gc.isenabled():
            gc.freeze()
            gc.enable()

    def _work(self) -> None:
        """What the screen has still to find out, for a moment."""
        self.shell.page.work()

    async def _read_line(self) -> None:
        """Find out what the line means and what that would do, and paint each as soon as it is known."""
        more = True
        while more:
            await asyncio.sleep(REST_S if time.monotonic() - self._pressed < REST_S else 0)
            end = time.monotonic() + SLICE_S
            while (more := self.shell.line.catch_up()) and time.monotonic() < end:
                pass
            self.paint()

    def tick(self) -> None:
        """Look at the clock, at other windows, at what is half typed."""
        version = self.session.book.data_version()
        if version != self._version:
            self._version = version
            self.guarded(lambda: self.shell.elsewhere(self.session.news()))
        self.keep_draft()
        if self.session.unwritten:
            self.guarded(self.shell.try_again)
        if self.session.overdue():
            self.session.stale = True
            self.judge()
        self.paint()

    def on_unmount(self) -> None:
        if self._judging is not None:
            self._judging.cancel()

    def keep_draft(self) -> None:
        """What is half typed goes to the book, to be there again if the line drops."""
        typed = self.shell.line.draft()
        if typed != self._kept:
            self.session.keep_draft(typed)
            self._kept = typed

    def hung_up(self, number: int) -> None:
        """The terminal is gone, or we are told to go: keep what was typed and leave."""
        self.keep_draft()
        self.exit(return_code=128 + number)


def _some(steps: Iterator[None]) -> bool:
    """Judge for a moment; is there more to do?"""
    end = time.monotonic() + SLICE_S
    return any(time.monotonic() >= end for _ in steps)


def run(session: Session, shell: Shell, look: str) -> int:
    """Run the program on this terminal until it is left; the exit status."""
    app = Bench(session, shell, look)
    app.run(mouse=False)
    if not shell.left:
        app.keep_draft()
    else:
        session.keep_draft(shell.line.draft())
    for fault in app.faults:
        import sys

        sys.stderr.write(fault)
    return app.return_code or (1 if app.faults else 0)
