"""The row that says what was logged last: its number is the proof that it is in the book."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.session import Session
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Entry


def entries_words(session: Session, entries: Sequence[Entry], elsewhere: bool = False) -> tuple[str, str]:
    """An act in words and its numbers; another window's is marked with `*`."""
    first = entries[0]
    about = [subject_name(session.evidence, entry) for entry in entries]
    said = " ".join(
        filter(None, (entry_words(first), ", ".join(dict.fromkeys(filter(None, about))), note_words(first)))
    )
    numbers = f"#{first.n}" if len(entries) == 1 else f"#{first.n}-{entries[-1].n}"
    star = "* " if elsewhere else ""
    return f"{star}{clock_text(first.happened, session.zone())} {first.by}  {said}", numbers
