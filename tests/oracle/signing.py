"""What somebody put their initials under: the robot for a fight, and a torque that wants a second person."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .lines import Book, current_fight, newest
from .now import PASS, Requirement, Word


def counts(book: Book, entry: str) -> bool:
    """Does this very entry still speak: neither withdrawn nor written again?"""
    return any(fact.id == entry for fact in book.facts)


def signed_later(book: Book, joint: str, torque: Fact) -> bool:
    """Somebody else put initials under this torque after it was done."""
    return any(
        torque.id in signed.detail["rests_on"] and signed.entry.by != torque.entry.by and signed.order > torque.order
        for signed in book.all("signed", f"joint:{joint}")
    )


def signed_word(book: Book, fight: Fact, others_block: bool) -> Word:
    last = newest(s for s in book.all("signed", book.robot) if s.detail.get("fight") == fight.subject)
    if last is None:
        return Word("due")
    stands = all(counts(book, entry) for entry in last.detail["rests_on"])
    return Word("recheck") if others_block or not stands else PASS


def signed_off(book: Book, others_block: bool) -> Iterator[Requirement]:
    """Asked of a robot whose crew wants it, once everything else is known."""
    fight = current_fight(book)
    wanted = (book.definition("robot", book.robot) or {}).get("sign_off")
    if wanted and fight is not None:
        yield f"signed:{book.robot}", [signed_word(book, fight, others_block)]
