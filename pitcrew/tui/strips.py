"""Small strips and names in few cells: life used and left, one character a fastener, names cut in the middle."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from pitcrew.text import plain

FASTENERS = {"holds": "#", "was good": "o", "open": ".", "turned": "x"}
"""The character of each state a fastener can be in: good, good until disturbed, open, its mark turned."""

CUT = ".."
"""What stands where a name was cut."""

_JOINER = "\u200d"
_BRACKETS = {")": "(", "]": "["}


def life(used: float, of: float, cells: int = 6) -> str:
    """A life as `#` used and `.` left; `of` at its end, or past it, is full.

    Any use at all shows, and so does anything that is left, where there are cells enough for both.

    Args:
        used: fights, hard hits or whatever the life is counted in; less than zero is none.
        of: the whole life, in the same count.
        cells: how many characters the strip has.

    Raises:
        ValueError: a count that is not a number.

    >>> life(1, 6), life(7, 6), life(1, 40)
    ('#.....', '######', '#.....')
    """
    if math.isnan(used) or math.isnan(of):
        raise ValueError("a life is counted in numbers, and one of them is not a number")
    if used >= of:
        return "#" * cells
    filled = max(round(used / of * cells), 1) if used > 0 else 0
    filled = max(min(filled, cells - 1), 0)
    return "#" * filled + "." * (cells - filled)


def fasteners(states: Iterable[str]) -> str:
    """One character a fastener, in the order of the fasteners.

    Args:
        states: for each one of the words of `FASTENERS`.

    Raises:
        ValueError: another word.

    >>> fasteners(["holds", "holds", "was good", "open", "turned"])
    '##o.x'
    """
    try:
        return "".join([FASTENERS[state] for state in states])
    except KeyError as error:
        raise ValueError(f"a fastener cannot be {error}: {', '.join(FASTENERS)}") from None


def cell_width(text: str) -> int:
    """The cells a cleaned text takes on the terminal: wide characters take two, combining marks none."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def characters(text: str) -> list[str]:
    r"""A text in pieces that must not be parted: each character with the marks that sit on it.

    >>> [len(piece) for piece in characters("e\u0301x")]
    [2, 1]
    """
    if text.isascii():
        return list(text)
    pieces: list[str] = []
    for character in text:
        sits = pieces and (
            pieces[-1].endswith(_JOINER) or unicodedata.combining(character) or not cell_width(character)
        )
        if sits:
            pieces[-1] += character
        else:
            pieces.append(character)
    return pieces


def shorten(name: str, width: int) -> str:
    """A name in at most `width` cells: whole if it fits, else without its bracketed tail, else cut in the middle.

    The cut keeps as many of the last words as it can, because side and number tell two places apart. User text is
    cleaned on the way.

    >>> shorten("bearing R outer", 12), shorten("wheel 4 (rear R)", 14), shorten("gap between uprights", 14)
    ('be.. R outer', 'wheel 4', 'gap.. uprights')
    """
    if not (name.isascii() and name.isprintable()):
        name = plain(name)
    while cell_width(name) > width:
        shorter = _without_tail(name)
        if shorter == name:
            return _cut(name, width)
        name = shorter
    return name


def _without_tail(name: str) -> str:
    """The name without what stands in brackets at its end; a name that is nothing else stays."""
    opening = _BRACKETS.get(name[-1:])
    if opening is None:
        return name
    depth = 0
    for at in range(len(name) - 1, -1, -1):
        depth += (name[at] == name[-1]) - (name[at] == opening)
        if depth == 0:
            return name[:at].rstrip() or name
    return name


# The same names are painted at every key, and long ones in other scripts are slow to measure.
@lru_cache(maxsize=4096)
def _cut(name: str, width: int) -> str:
    """The first characters, `..`, and the most of the last words that leave room for one character before them."""
    room = width - len(CUT)
    starts = [at for at in range(1, len(name)) if name[at] == " " and name[at - 1] != " " and name[at:].strip()]
    for at in starts:
        head = _first(name[:at], room - cell_width(name[at:]))
        if head:
            return head + CUT + name[at:]
    if room <= 0:
        return _last(name, width)
    return CUT + _last(name, room)


def _first(text: str, width: int) -> str:
    """As many characters from the front as fit, without the blank or the comma that the cut leaves at the end."""
    taken = ""
    for piece in characters(text):
        if cell_width(taken + piece) > width:
            break
        taken += piece
    return taken.rstrip(" ,;:.-")


def _last(text: str, width: int) -> str:
    """As many characters from the end as fit."""
    pieces = characters(text)
    while pieces and cell_width("".join(pieces)) > width:
        pieces.pop(0)
    return "".join(pieces)
