"""Letters five rows high, to be read from where the robot stands."""

from __future__ import annotations

from pitcrew.bench.standing import View
from pitcrew.robot.moments import MINUTE_MS

GLYPHS = {
    "0": ("######", "##  ##", "##  ##", "##  ##", "######"),
    "1": ("  ##  ", "####  ", "  ##  ", "  ##  ", "######"),
    "2": ("######", "    ##", "######", "##    ", "######"),
    "3": ("######", "    ##", "  ####", "    ##", "######"),
    "4": ("##  ##", "##  ##", "######", "    ##", "    ##"),
    "5": ("######", "##    ", "######", "    ##", "######"),
    "6": ("######", "##    ", "######", "##  ##", "######"),
    "7": ("######", "    ##", "   ## ", "  ##  ", "  ##  "),
    "8": ("######", "##  ##", "######", "##  ##", "######"),
    "9": ("######", "##  ##", "######", "    ##", "######"),
    "N": ("##   ##", "###  ##", "## # ##", "##  ###", "##   ##"),
    "O": ("######", "##  ##", "##  ##", "##  ##", "######"),
    "T": ("######", "  ##  ", "  ##  ", "  ##  ", "  ##  "),
    "F": ("######", "##    ", "####  ", "##    ", "##    "),
    "I": ("######", "  ##  ", "  ##  ", "  ##  ", "######"),
    "G": ("######", "##    ", "## ###", "##  ##", "######"),
    "H": ("##  ##", "##  ##", "######", "##  ##", "##  ##"),
    "S": ("######", "##    ", "######", "    ##", "######"),
    "A": ("######", "##  ##", "######", "##  ##", "##  ##"),
    "V": ("##  ##", "##  ##", "##  ##", " #  # ", "  ##  "),
    "E": ("######", "##    ", "####  ", "##    ", "######"),
    "D": ("##### ", "##  ##", "##  ##", "##  ##", "##### "),
    "J": ("    ##", "    ##", "    ##", "##  ##", "######"),
    "U": ("##  ##", "##  ##", "##  ##", "##  ##", "######"),
    "-": ("      ", "      ", "######", "      ", "      "),
    " ": ("   ", "   ", "   ", "   ", "   "),
}
ROWS = 5
GAP = "  "
LONGEST_MIN, NO_MINUTES = 999, "-"


def minutes_large(minutes: int | None) -> str:
    """Minutes to the call as far as letters so large have room for them; a dash beyond, and without a call."""
    return str(minutes) if minutes is not None and abs(minutes) <= LONGEST_MIN else NO_MINUTES


def large(text: str) -> list[str]:
    """A text in letters five rows high; a letter without a picture is left out."""
    drawn = [GLYPHS[letter] for letter in text if letter in GLYPHS]
    return [GAP.join(picture[row] for picture in drawn) for row in range(ROWS)]


def big(state: str, view: View, now: int, width: int) -> list[str]:
    """The standing five rows high: the word at the left, what blocks and the minutes to the call at the right."""
    short = {"FIT TO FIGHT": "FIT", "NOT JUDGED": "NOT"}.get(state, state.partition(",")[0])
    blocks, call = len(view.standing.blocking), view.standing.call_at
    minutes = minutes_large(max(call // MINUTE_MS - now // MINUTE_MS, 0) if call is not None else None)
    word, count, left = large(short), large(str(blocks)), large(minutes)
    rows = []
    for row in range(ROWS):
        right = f"{count[row]}   {'block ' if row == ROWS - 1 else '      '}   {left[row]}"
        tail = " min " if row == ROWS - 1 else "     "
        rows.append(f" {word[row]}".ljust(max(width - len(right) - len(tail), 0)) + right + tail)
    return [row[:width] for row in rows]
