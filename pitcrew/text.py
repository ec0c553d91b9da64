"""The one cleaning of user text, on the way in and on the way to the screen."""

from __future__ import annotations

import re
import unicodedata

LIMIT = 2000

# What a terminal obeys instead of showing (C0, DEL, C1), what reorders the line around it (bidi marks,
# embeddings, overrides and isolates), further line and paragraph breaks, and what no text may hold
# (lone surrogates, noncharacters: Unicode 15, section 23.7).
_PLANE_ENDS = "".join(chr(plane << 16 | 0xFFFE) + chr(plane << 16 | 0xFFFF) for plane in range(17))
_NOT_LINE = (
    "\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufdd0-\ufdef" + _PLANE_ENDS
)
_STRAY_KEEPING_NEWLINES = re.compile(f"[{_NOT_LINE}]")
_STRAY = re.compile(f"[\n{_NOT_LINE}]")


def stray(text: str, keep_newlines: bool = False) -> str:
    """The first character of a text that cleaning would drop, as `U+001B`; empty when there is none."""
    found = (_STRAY_KEEPING_NEWLINES if keep_newlines else _STRAY).search(text)
    return f"U+{ord(found.group()):04X}" if found else ""


def plain(text: str, keep_newlines: bool = False) -> str:
    """A text as it may be shown: whole, without any character that a terminal would obey.

    Composed (Unicode NFC) after dropping, because the same word typed on two keyboards must be the same
    label; NFC and not NFKC, because a superscript or a fraction is what the crew meant.
    """
    kept = (_STRAY_KEEPING_NEWLINES if keep_newlines else _STRAY).sub("", text)
    return unicodedata.normalize("NFC", kept)


def clean(text: str, keep_newlines: bool = False, limit: int = LIMIT) -> str:
    """A text as it may be written down: `plain`, and no longer than `limit` characters.

    Cleaning twice changes nothing more: a cut text stays composed.
    """
    return plain(text, keep_newlines)[:limit]
