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

    @property
    def sentence(self) -> str:
        """What is wrong and what to do, without the place: for a screen, where the place is in sight."""
        return f"{self.message} {self.hint}" if self.hint else self.message

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        return f"{where}{self.sentence}"


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
