"""The peer that times are given against: what a bare Textual app of the same frame needs on the same machine.

A header, one text, an input that has the keys, a footer; Down and Up change the text's number. F2 puts one row into a
file with plain sqlite3, on the disk before the text says so: what any program pays that keeps what it acknowledges.
"""

from __future__ import annotations

import sqlite3
import tempfile
from pathlib import Path
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Footer, Header, Input, Static

PLACEHOLDER = "type here"


class BareApp(App[None]):
    """Header, Static, Input, Footer."""

    # Ahead of the screen's own, which would scroll.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "step(1)", "next", priority=True),
        Binding("up", "step(-1)", "previous", priority=True),
        Binding("f2", "keep", "keep", priority=True),
    ]

    row = 0
    kept = 0

    def on_mount(self) -> None:
        """Open the file, as durable as a book is."""
        self.folder = tempfile.TemporaryDirectory()
        self.file = sqlite3.connect(Path(self.folder.name) / "kept.db", isolation_level=None)
        for statement in (
            "PRAGMA journal_mode = WAL",
            "PRAGMA synchronous = FULL",
            "CREATE TABLE kept (n INT, what TEXT)",
        ):
            self.file.execute(statement).fetchall()

    def on_unmount(self) -> None:
        """Close it, and take it away."""
        self.file.close()
        self.folder.cleanup()

    def compose(self) -> ComposeResult:
        """The four widgets."""
        yield Header()
        yield Static("row 0 kept 0", id="row")
        # A blinking cursor would never be quiet.
        typed = Input(placeholder=PLACEHOLDER)
        typed.cursor_blink = False
        yield typed
        yield Footer()

    def action_step(self, by: int) -> None:
        """Change the number."""
        self.row += by
        self.say()

    def action_keep(self) -> None:
        """Keep one row more."""
        self.kept += 1
        self.file.execute("BEGIN IMMEDIATE")
        self.file.execute("INSERT INTO kept VALUES (?, ?)", (self.kept, "hand check no sign W1"))
        self.file.execute("COMMIT")
        self.say()

    def say(self) -> None:
        """Show both numbers."""
        self.query_one("#row", Static).update(f"row {self.row} kept {self.kept}")


if __name__ == "__main__":
    BareApp().run()
