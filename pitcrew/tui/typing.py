"""The line where one types: a text with a place in it, kept apart from what it will mean."""

from __future__ import annotations

from typing import NamedTuple

from pitcrew.text import plain

LONGEST = 400


class Typed(NamedTuple):
    """What stands on the line and where in it the next letter goes."""

    text: str = ""
    at: int = 0

    def put(self, letters: str) -> Typed:
        """Letters typed, or pasted: line breaks become blanks, what a terminal would obey is dropped."""
        kept = plain(" ".join(letters.split("\n")) if "\n" in letters else letters)
        room = kept[: max(LONGEST - len(self.text), 0)]
        return Typed(self.text[: self.at] + room + self.text[self.at :], self.at + len(room))

    def rubbed_out(self) -> Typed:
        """Without the letter before the place."""
        if self.at == 0:
            return self
        return Typed(self.text[: self.at - 1] + self.text[self.at :], self.at - 1)

    def moved(self, step: int) -> Typed:
        """The place moved, stopping at both ends."""
        return self._replace(at=min(max(self.at + step, 0), len(self.text)))

    def shown(self, width: int) -> str:
        """The text with `_` at the place, the part around the place when it is longer than the width."""
        whole = self.text[: self.at] + "_" + self.text[self.at :]
        start = max(min(self.at + 2 - width, len(whole) - width), 0)
        return whole[start : start + width]


def whole(text: str) -> Typed:
    """A text with the place at its end."""
    return Typed(text, len(text))
