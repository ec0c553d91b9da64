"""The line where one types: closed, open with what it may mean, or open because something was asked."""

from __future__ import annotations

from pitcrew.bench.session import Session
from pitcrew.errors import PitcrewError
from pitcrew.readiness.steps import Underway
from pitcrew.tui.lineplay import Choice, choices, telling
from pitcrew.tui.page import Ask, Page
from pitcrew.tui.typing import Typed, whole


class OpenLine:
    """What is typed, what it may mean here, and what was put aside when one went elsewhere."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.typed: Typed | None = None
        self.asked: Ask | None = None
        self.kept = ""
        self.found: list[Choice] = []
        self.refusal = ""
        self.picked = 0
        self.sure = False
        self.by_hand = False  # a meaning was picked with an arrow
        self.unread: Page | None = None
        self.heard = ""  # what the answer typed to a question would do
        self._told: dict[int, Underway[str]] = {}

    @property
    def is_open(self) -> bool:
        """Is there a line to type on?"""
        return self.typed is not None

    @property
    def text(self) -> str:
        """What stands on the line."""
        return self.typed.text if self.typed else ""

    def put(self, letters: str, page: Page) -> None:
        """Type letters; on a closed line they open it, after what was put aside."""
        if self.typed is None:
            self.typed, self.kept = whole(self.kept), ""
        self.typed = self.typed.put(letters)
        self.read(page)

    def rub_out(self, page: Page) -> bool:
        """Take the letter before the place away; an empty line closes. Was it empty?"""
        if self.typed is None or not self.typed.text:
            self.close()
            return True
        self.typed = self.typed.rubbed_out()
        self.read(page)
        return False

    def move(self, step: int) -> None:
        """Move in the text."""
        if self.typed is not None:
            self.typed = self.typed.moved(step)

    def pick(self, step: int) -> None:
        """Pick another meaning."""
        if self.found:
            # Of several guesses the first arrow picks the first one.
            if self.by_hand or not self.found[self.picked].guess or step < 0:
                self.picked = (self.picked + step) % len(self.found)
            self.sure, self.by_hand = False, True

    def read(self, page: Page) -> None:
        """The text has changed: what it may mean here is found out when there is time, or when Enter asks."""
        self.sure = False
        self.unread = page if self.typed is not None else None
        if self.asked is not None:
            self.found, self.refusal = [], ""

    def catch_up(self) -> bool:
        """Find out what the line may mean, or what the meaning picked would do; was there anything left to do?"""
        page, self.unread = self.unread, None
        if page is not None and self.asked is not None:
            self.heard = self.asked.told(self.text) if self.asked.told is not None else ""
            return True
        if page is not None:
            self.picked, self.by_hand, self.found, self.refusal, self._told = 0, False, [], "", {}
            try:
                self.found, self.refusal = choices(self.session, page, self.text)
            except PitcrewError as error:
                self.refusal = error.sentence
            return True
        if not self.found:
            return False
        if self.picked not in self._told:
            self._told[self.picked] = Underway(telling(self.session, self.found[self.picked]))
        telling_of = self._told[self.picked]
        if telling_of.done:
            return False
        telling_of.step()
        return True

    def told(self) -> str:
        """What the meaning picked would do, as far as that is known yet."""
        telling_of = self._told.get(self.picked)
        return telling_of.result if telling_of is not None and telling_of.done else ""

    def chosen(self) -> Choice | None:
        """The meaning the keys are at."""
        if self.unread is not None:
            self.catch_up()
        return self.found[self.picked] if self.found else None

    def wants_picking(self) -> bool:
        """Do several things fit as well, and none was picked?"""
        return bool(self.found) and self.found[self.picked].guess and not self.by_hand

    def ask(self, asked: Ask) -> None:
        """Open the line for an answer; what was typed before is put aside."""
        self.kept = self.kept or (self.text if self.asked is None else "")
        self.close()
        self.asked, self.typed = asked, whole(asked.text)

    def restore(self, text: str, page: Page) -> None:
        """Open the line with a text on it."""
        self.typed = whole(text)
        self.read(page)

    def set_aside(self) -> None:
        """Close the line and keep what was typed for when it is opened again."""
        self.kept = self.kept if self.asked is not None else self.text
        self.close()

    def close(self) -> None:
        """Close the line; what was asked is not asked any more."""
        self.typed = self.asked = self.unread = None
        self.found, self.refusal, self.heard, self.sure, self.picked = [], "", "", False, 0

    def draft(self) -> str:
        """What is typed and not logged; an answer to a question is no draft."""
        return self.kept if self.typed is None or self.asked is not None else self.typed.text
