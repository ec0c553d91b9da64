"""Lives: a part has been in so many fights, or felt so many hard hits, that it is used up."""

from __future__ import annotations

from collections.abc import Iterator

from .lines import Book, fights_ended, hits_on_part, sat
from .now import PASS, Requirement, Word, kind_of, positions, scope


def fights_of(book: Book, part: str) -> int:
    """The fights it had behind it when it was entered, and those of this robot it sat in."""
    before = (book.definition("part", part) or {}).get("fights") or 0
    own = positions(book)
    return before + sum(sat(book, part, end) in own for end in fights_ended(book))


def hard_hits_of(book: Book, part: str) -> int:
    """The hard hits it had behind it, and those it felt as hard ones; one blow counts once, whatever its zones."""
    before = (book.definition("part", part) or {}).get("hard_hits") or 0
    return before + len({hit.entry.act for hit in hits_on_part(book, part, 3)})


def lives(book: Book) -> Iterator[Requirement]:
    for part in scope(book):
        kind = kind_of(book, part) or {}
        fights, hard_hits = kind.get("life_fights"), kind.get("life_hard_hits")
        if fights is None and hard_hits is None:
            continue
        used_up = fights is not None and fights_of(book, part) >= fights
        used_up = used_up or (hard_hits is not None and hard_hits_of(book, part) >= hard_hits)
        yield f"life:{part}", [Word("due") if used_up else PASS]
