"""The peer that times are given against: what a bare Textual app of the same frame needs on the same machine.

A header, one text, an input that has the keys, a footer; Down and Up change the text's number. It keeps nothing.
"""

from __future__ import annotations

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
    ]

    row = 0

    def compose(self) -> ComposeResult:
        """The four widgets."""
        yield Header()
        yield Static("row 0", id="row")
        # A blinking cursor would never be quiet.
        typed = Input(placeholder=PLACEHOLDER)
        typed.cursor_blink = False
        yield typed
        yield Footer()

    def action_step(self, by: int) -> None:
        """Change the number."""
        self.row += by
        self.query_one("#row", Static).update(f"row {self.row}")


if __name__ == "__main__":
    BareApp().run()
