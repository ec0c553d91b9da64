"""A screen that is only read: its rows move through the sheet."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.session import Session
from pitcrew.tui.page import Page
from pitcrew.tui.paint import Line


class Reading(Page):
    """Rows made once for a state of the book and a width; up and down move them."""

    name = "reading"
    title = "to be read"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._rows: tuple[tuple[object, object], int, list[Line]] | None = None
        self._height = 1

    def whole(self, width: int) -> list[Line]:
        """Every row there is to read, at most `width` columns each."""
        return []

    def keys(self) -> Sequence[str]:
        past = max(len(self._rows[2]) - self._height, 0) if self._rows is not None else 1
        return [str(index) for index in range(past + 1)]

    def sheet(self, width: int, height: int) -> list[Line]:
        view, case = self.session.view, self.session.case()
        kept = self._rows
        if kept is None or kept[0][0] is not view or kept[0][1] is not case or kept[1] != width:
            self._rows = kept = ((view, case), width, self.whole(width))
        self._height = height
        self.move(0)
        return kept[2][self.row : self.row + height]
