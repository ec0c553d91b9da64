"""The one family of errors: text for a person, a hint what to do, and the place it happened."""

from __future__ import annotations


class PitcrewError(Exception):
    """Something the crew has to know about.

    Args:
        message: one plain sentence saying what is wrong.
        hint: what to do about it.
        place: where it is: a file, a key, a field, a line.
    """

    title = "not possible"

    def __init__(self, message: str, hint: str = "", place: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.place = place

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        what_next = f" {self.hint}" if self.hint else ""
        return f"{where}{self.message}{what_next}"


class BookError(PitcrewError):
    """The book itself: missing, not a book, locked, newer than this program, damaged."""

    title = "the book"


class EntryError(PitcrewError):
    """An entry that cannot be taken as it stands; nothing was written."""

    title = "not taken"


class NotationError(EntryError):
    """A figure or unit that cannot be read."""

    title = "not read"


class ChecklistError(PitcrewError):
    """A checklist file that cannot be used."""

    title = "checklist"


class FigureError(PitcrewError):
    """An engineering figure asked for outside the range it is good for."""

    title = "no figure"
