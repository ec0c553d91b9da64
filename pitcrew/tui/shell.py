"""The keys and what they do: the screens on top of each other, the open line, what is asked, what was logged last.

It knows no terminal: it is told keys and the time, and can be painted at any size.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pitcrew.bench.openbook import crew_member
from pitcrew.bench.session import Session
from pitcrew.bench.shifts import came_along
from pitcrew.errors import BookError, PitcrewError
from pitcrew.robot.records import Entry
from pitcrew.tui.actions import BY_KEY, BY_LETTER
from pitcrew.tui.finding import place_page
from pitcrew.tui.last import entries_words
from pitcrew.tui.lineplay import refusal_of
from pitcrew.tui.openline import OpenLine
from pitcrew.tui.page import Answer, Ask, Back, Go, Leap, Outcome, Page, Say, Step, Write

BOUNCE_S = 0.15
SETTLE_S = 0.4
UNSAVED = "not saved"
BY_ITSELF = "It is written as soon as it can be: do not log it again."


class Pace:
    """When Space is meant: not when it bounces, and not on a row that has only just come under the keys."""

    def __init__(self) -> None:
        self.said_at = self.changed_at = -9.0

    def meant(self, at: float) -> bool:
        """Is a Space at this time (seconds) an answer?"""
        bounced = at - self.said_at < BOUNCE_S
        self.said_at = at
        return not bounced and at - self.changed_at >= SETTLE_S


def waits(session: Session, error: BookError) -> str:
    """How many entries wait to be saved, and why."""
    count = sum(not came_along(draft) for drafts, _ in session.unwritten for draft in drafts)
    return f"{count} {'entry waits' if count == 1 else 'entries wait'}: {error.message.rstrip('.')}"


def note_rows(pages: Sequence[Page]) -> None:
    """Note which row the keys are at on each screen: when the list has moved it is too late to ask."""
    for page in pages:
        page.under = page.key()


class Shell:
    """What stands on the screen and what the next key does to it."""

    def __init__(self, session: Session, home: Callable[[Session], Page]) -> None:
        self.session = session
        self.pages: list[Page] = [home(session)]
        self.before = "h"  # the letter of the place one came from
        self.here = "h"
        self.line = OpenLine(session)
        self.waiting: Write | None = None  # what is logged as soon as somebody has signed
        self.choice: int | None = None
        self.strip = False
        self.message: Say | None = None
        self.last: tuple[str, str] | None = None
        self.unsaved = ""
        self.left = self.warned = False
        self.pace = Pace()

    @property
    def page(self) -> Page:
        """The screen on top."""
        return self.pages[-1]

    # keys

    def key(self, key: str, letter: str = "", at: float = 0.0) -> None:
        """One key: its name, the letter it types (empty: none), when (seconds, any clock that only rises)."""
        if key == "space" and not self.line.is_open and not self.pace.meant(at):
            return
        self.message = None
        action = BY_KEY.get(key, "")
        if action == "leave":
            self.leave()
        elif self.strip:
            self._strip_key(action, letter)
        elif self.line.is_open:
            self._line_key(action, letter)
        else:
            self._row_key(action, letter)
        note_rows(self.pages)

    def _row_key(self, action: str, letter: str) -> None:
        moves = {"up": -1, "down": 1}
        if action in moves:
            self.page.move(moves[action])
            self.choice = None
        elif action in ("left", "right"):
            self._choose(1 if action == "right" else -1)
        elif action in ("block up", "block down"):
            self.page.block(1 if action == "block down" else -1)
            self.choice = None
        elif action == "say":
            self._say()
        elif action == "open":
            self.act(self.page.opened)
        elif action == "back":
            self._back()
        elif action == "go":
            self.strip = True
        elif action == "help":
            self.show(place_page(self.session, "?", self.page))
        elif letter and letter.isprintable():
            self.paste(letter)

    def _back(self) -> None:
        """One step back: what the screen itself can take back, then the screen."""
        if self.page.leaving():
            self.choice = None
        else:
            self.act(Back)

    def paste(self, letters: str) -> None:
        """Letters typed, or text that came in one go: a gauge that types, or what was copied."""
        self.message = None
        asked = self.page.asks()
        if asked is not None and not self.line.is_open:
            self.line.ask(asked)
        self.line.put(letters, self.page)

    def _choose(self, step: int) -> None:
        answers = self.page.answers()
        if answers.items:
            now = self.choice if self.choice is not None else answers.first
            self.choice = (0 if step > 0 else len(answers.items) - 1) if now is None else now + step
            self.choice %= len(answers.items)

    def answer(self) -> Answer | None:
        """The bracketed answer, or None where an arrow must pick first."""
        answers = self.page.answers()
        index = self.choice if self.choice is not None else answers.first
        return answers.items[index] if index is not None and index < len(answers.items) else None

    def _say(self) -> None:
        answer = self.answer()
        if answer is None:
            hint = self.page.answers()
            self.message = Say(hint.hint or "choose first: left or right" if hint.items else hint.hint, "care")
            return
        self.act(answer.do)

    def _strip_key(self, action: str, letter: str) -> None:
        self.strip = False
        if action == "say":
            self.go(self.before)
        elif letter.casefold() in BY_LETTER:
            self.go(letter.casefold())

    def _line_key(self, action: str, letter: str) -> None:
        if action == "open":
            self._enter()
        elif action == "back":
            if self.line.rub_out(self.page):
                self.waiting = None
        elif action in ("left", "right"):
            self.line.move(1 if action == "right" else -1)
        elif action in ("up", "down"):
            self.line.pick(1 if action == "down" else -1)
        elif action == "go":
            self.line.set_aside()
            self.waiting, self.strip = None, True
        elif letter and letter.isprintable():
            self.line.put(letter, self.page)

    def _enter(self) -> None:
        line = self.line
        if line.asked is not None:
            self._take(line.asked, line.text)
        elif (chosen := line.chosen()) is None:
            self.message = Say(f"not taken  {line.refusal or 'nothing was typed'}", "stop")
        elif line.wants_picking():
            self.message = Say("several fit  pick one with Up and Down, then Enter", "care")
        elif chosen.doubtful and not line.sure:
            line.sure = True
            self.message = Say(f"sure?      {chosen.doubtful}. Enter again logs it.", "care")
        else:
            self.act(chosen.do)

    def _take(self, asked: Ask, text: str) -> None:
        try:
            outcome = asked.take(text)
        except PitcrewError as error:
            self.message = refusal_of(error)
            return
        if isinstance(outcome, Write) and self.session.by:
            self.write(outcome)  # what is refused stays on the line
            return
        waiting = text if isinstance(outcome, Write) else ""
        self.line.close()
        self.line.kept = self.line.kept or waiting
        self.do(outcome)

    # what is done

    def act(self, doing: Callable[[], Outcome]) -> None:
        """Do what an answer says; a refusal is said in the answer row and loses nothing."""
        try:
            outcome = doing()
        except PitcrewError as error:
            self.message = refusal_of(error)
            return
        self.do(outcome)

    def do(self, outcome: Outcome) -> None:
        """Carry an outcome out."""
        if isinstance(outcome, Write):
            self.write(outcome)
        elif isinstance(outcome, Go):
            self.line.close()
            self.show(outcome.page)
        elif isinstance(outcome, Back):
            self.choice = None
            if len(self.pages) > 1:
                self.pages.pop()
                self.page.refreshed()
        elif isinstance(outcome, Ask):
            self.line.ask(outcome)
        elif isinstance(outcome, Leap):
            self.line.close()
            self.go(outcome.letter)
        elif isinstance(outcome, Say):
            self.message = outcome
        elif isinstance(outcome, Step):
            self.line.close()
            self.choice = None
            self.page.move(outcome.rows)

    def show(self, page: Page) -> None:
        """Put a screen on top."""
        self.pages.append(page)
        self.choice = None

    def go(self, letter: str) -> None:
        """Go to a place of the strip, or do its act."""
        if letter == "q":
            self.leave()
        elif letter == "i":
            self.do(self._initials(None))
        elif letter == "u":
            self.act(lambda: self.logged(self.session.take_back()))
        else:
            home = self.pages[0]
            self.before, self.here = self.here, letter
            self.pages = [home] if letter == "h" else [home, place_page(self.session, letter)]
            self.choice = None
            self.page.refreshed()

    def leave(self) -> None:
        """Leave the program; what was typed is kept for next time. What waits to be written is not left silently."""
        if self.unsaved and not self.warned:
            self.warned = True
            self.message = Say(f"{UNSAVED}  {self.unsaved}. Leave once more to lose it.", "stop")
            return
        self.left = True

    def _initials(self, waiting: Write | None) -> Ask:
        self.waiting = waiting
        return Ask("initials", self._signed, "who is writing? your initials once, for the whole shift", "")

    def _signed(self, text: str) -> Outcome:
        self.session.by = crew_member(self.session.evidence, text)
        waiting, self.waiting = self.waiting, None
        return waiting or Say(f"{self.session.by} is writing", "quiet")

    def write(self, outcome: Write) -> None:
        """Log what an outcome makes; whoever writes is asked for first, once."""
        if not self.session.by:
            self.do(self._initials(outcome))
            return
        try:
            drafts = outcome.drafts(self.session.desk())
            entries = self.session.write(drafts, outcome.act) if drafts else ()
        except BookError as error:
            self.message = refusal_of(error)
            if self.session.unwritten:
                self.unsaved = waits(self.session, error)
                self.message = Say(f"{UNSAVED}  {self.unsaved}. {BY_ITSELF}", "stop")
                self.line.close()
            return
        except PitcrewError as error:
            self.message = refusal_of(error)
            return
        self.unsaved, self.line.kept, self.choice = "", "", None
        self.line.close()
        self.logged(entries)
        if outcome.then is not None:
            self.act(outcome.then)

    def try_again(self) -> None:
        """Try to write what waits."""
        try:
            entries = self.session.write_again()
        except BookError as error:
            self.unsaved = waits(self.session, error)
            return
        except PitcrewError as error:
            # Another window has made it impossible: it is given up, and what waits behind it goes on.
            self.message = refusal_of(error)
            self.unsaved = self.unsaved if self.session.unwritten else ""
            return
        self.unsaved, self.warned = "", False
        if self.message is not None and self.message.text.startswith(UNSAVED):
            self.message = None
        self.logged(entries)

    def logged(self, entries: Sequence[Entry]) -> None:
        """Say what was logged last; nothing to log is said too."""
        if not entries:
            self.message = Say("it is so already; nothing was logged", "quiet")
            return
        self.last = entries_words(self.session, entries)
        for page in self.pages:
            page.refreshed()

    # what comes from elsewhere

    def judged(self, at: float) -> None:
        """A new standing is there: rows may have moved, but never under the keys without a pause."""
        under = self.page.under
        for page in self.pages:
            held = page.under
            page.refreshed()
            page.hold(held)
        if self.page.key() != under:
            self.pace.changed_at = at
            self.choice = None
        note_rows(self.pages)

    def elsewhere(self, entries: Sequence[Entry]) -> None:
        """Entries that another window has written."""
        if entries:
            self.last = entries_words(self.session, entries, elsewhere=True)
            for page in self.pages:
                page.refreshed()
