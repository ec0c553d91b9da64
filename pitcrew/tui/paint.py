"""What a row of the screen is made of: runs of text, each with the role it plays; the look gives roles their colour.

Roles: `stop` not fit, fail, not saved; `go` fit to fight; `owed` recheck, due, unchecked, marginal; `watch` warns,
deferred, accepted; `care` a caution; `here` the row or answer the keys are at; `yours` what is being typed; `quiet`
labels and old lines. Every role is also a word, a place or a mark, so nothing depends on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from pitcrew.text import plain

ROLES = ("", "stop", "go", "owed", "watch", "care", "here", "yours", "quiet")
VERDICT_ROLES = {
    "fail": "stop",
    "recheck": "owed",
    "due": "owed",
    "unchecked": "owed",
    "marginal": "owed",
    "deferred": "watch",
    "warns": "watch",
}


class Span(NamedTuple):
    """A run of text in one role. The text is plain: nothing in it is markup, nothing in it can steer a terminal."""

    text: str
    role: str = ""


Line = tuple[Span, ...]
Part = str | Span
BLANK: Line = ()


def line(*parts: Part) -> Line:
    """A row of its parts, left to right; bare text has no role. All text is cleaned here, once."""
    spans = (part if isinstance(part, Span) else Span(part) for part in parts)
    return tuple(Span(cleaned(text), role) for text, role in spans if text)


def cleaned(text: str) -> str:
    """A text without anything a terminal would obey."""
    # Nearly all text is plain ASCII, and a screen is painted at every key.
    return text if text.isascii() and text.isprintable() else plain(text)


def text_of(painted: Line) -> str:
    """A row as text alone."""
    return "".join(span.text for span in painted)


def cells(text: str) -> int:
    """How many columns a text takes on a terminal."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def cut(text: str, width: int) -> str:
    """A text that takes at most so many columns; two dots stand for what does not fit."""
    if cells(text) <= width:
        return text
    if text.isascii():
        return text[: width - 2] + ".." if width > 2 else text[: max(width, 0)]
    room, kept = max(width - 2, 0), ""
    for letter in text:
        if cells(kept + letter) > room:
            break
        kept += letter
    return kept + ".."[: max(width, 0)]


def pad(text: str, width: int) -> str:
    """A text of exactly so many columns: cut, or filled with blanks at its right."""
    short = cut(text, width)
    return short + " " * (width - cells(short))


def fitted(painted: Line, width: int) -> Line:
    """A row of exactly so many columns; the last thing done to every row, so that none leaves uncleaned."""
    left, spans = width, []
    for text, role in painted:
        if left <= 0:
            break
        short = cut(cleaned(text), left)
        spans.append(Span(short, role))
        left -= cells(short)
    if left > 0:
        spans.append(Span(" " * left))
    return tuple(spans)


def spread(left: Line, right: Line, width: int, role: str = "") -> Line:
    """One row with something at each edge; the right edge is kept whole, the left one is cut."""
    taken = sum(cells(span.text) for span in right)
    return (*_of_width(left, max(width - taken, 0), role), *right)


def _of_width(painted: Line, width: int, role: str) -> Line:
    used = sum(cells(span.text) for span in painted)
    if used <= width:
        return (*painted, Span(" " * (width - used), role)) if used < width else painted
    return fitted(painted, width)


def wrapped(text: str, width: int, most: int = 99) -> list[str]:
    """A sentence over several rows, broken between words; the last of `most` rows is cut."""
    from textwrap import wrap

    rows = wrap(plain(text), max(width, 10)) or [""]
    if len(rows) <= most:
        return rows
    return [*rows[: most - 1], cut(" ".join(rows[most - 1 :]), width)]


def labelled(label: str, text: str, width: int, role: str = "", most: int = 99) -> list[Line]:
    """A detail: its label in columns 3 to 11, its text from column 13 on, over several rows if need be."""
    rows = wrapped(text, width - LABEL_WIDTH, most)
    first = line(Span(f"  {label:<9} ", "quiet"), Span(rows[0], role))
    return [first, *(line(" " * LABEL_WIDTH, Span(row, role)) for row in rows[1:])]


LABEL_WIDTH = 12


def word(verdict: str, blocks: bool = True) -> Span:
    """A verdict as it stands in columns 3 to 11: CAPITALS block, small letters do not."""
    shown = verdict.upper() if blocks else verdict
    return Span(f"{shown:<9}", VERDICT_ROLES.get(verdict, "") if blocks else "watch" if verdict == "deferred" else "")


def joined(rows: Iterable[Line]) -> str:
    """Rows as one text, blanks at their right edge left off."""
    return "\n".join(text_of(row).rstrip() for row in rows)
