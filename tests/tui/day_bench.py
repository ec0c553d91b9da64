"""A day lived at the bench by hand: the clock put on, the keys pressed, the screen read before a choice is made."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

from pitcrew.robot.moments import typed
from tests.tui.driver import Driver, bench_at
from tests.tui.read_off import MOMENTS, blocks, expected, standing

TA, NS = "TALLOW ANVIL", "NETTLE SPROCKET"
BEFORE = "06-13 07:49"
MOST_STEPS = 60


def name_of(moment: dict[str, Any]) -> str:
    """A moment that was worked out, in words."""
    return f"{moment['at'][6:]} {moment['robot']}: {moment['story']}"


def agrees(bench: Driver, moment: dict[str, Any]) -> str:
    """Does a screen read off say what was worked out for a moment?"""
    name = name_of(moment)
    said, found = standing(bench), blocks(bench)
    there, wanted = Counter((block.name, block.verdict) for block in found), expected(moment)
    assert there == wanted, (name, "besides", there - wanted, "missing", wanted - there)
    assert said.fit is moment["fit"], (name, said)
    if "minutes" in moment:
        assert said.minutes == moment["minutes"], (name, said)
    return name


class Day:
    """The hands at the bench. Rows and answers are found on the screen; everything done is keys.

    Keys that hand the bench to another person or turn it to the other robot are counted apart from those of the work.
    """

    def __init__(self, tmp_path: Path) -> None:
        self.bench: Driver = bench_at(tmp_path, BEFORE, TA, by="")
        self.bench.patient = False
        self.robot, self.by = TA, ""
        self.handed = 0
        self.seen: list[str] = []

    # who, where, when

    def at(self, clock: str, by: str, robot: str = TA) -> Day:
        """It is so late, this person is at the bench, and at this robot."""
        bench = self.bench
        bench.clock.set(typed(f"06-13 {clock}", "+01:00", bench.clock.now_ms())[0])
        bench.session.stale = bench.session.stale or bench.session.overdue()
        before = bench.count
        if robot != self.robot:
            bench.keys("tab", "r", "up" if robot == TA else "down", "space")
            self.robot = robot
        if by != self.by and self.by:
            bench.keys("tab", "i").type(by).keys("enter")
        self.handed += bench.count - before
        self.by = by
        return self

    @property
    def work(self) -> int:
        """Keys pressed for the work itself."""
        return self.bench.count - self.handed

    # hands

    def press(self, *keys: str) -> Day:
        """Keys by name."""
        self.bench.keys(*keys)
        return self

    def go(self, letter: str) -> Day:
        """To a place of the strip."""
        self.bench.keys("tab", letter)
        return self

    def home(self) -> Day:
        """Back home, by Backspace where that is nearer."""
        shell = self.bench.shell
        while len(shell.pages) > 1:
            self.bench.keys("backspace")
        return self

    def row(self, text: str) -> Day:
        """To the row that holds a text: by rows where it is seen, else by pages."""
        for _ in range(MOST_STEPS):
            self.bench.settle()
            rows = self.bench.screen()[2:-3]
            here = next((index for index, row in enumerate(rows) if row.startswith(">")), 0)
            there = next((index for index, row in enumerate(rows) if text in row), None)
            if text in rows[here]:
                return self
            if there is None:
                self.bench.keys("pagedown" if any("rows below" in row for row in rows) else "pageup")
            else:
                self.bench.keys(*["down" if there > here else "up"] * abs(there - here))
        raise AssertionError((text, self.bench.text()))

    def say(self, label: str) -> Day:
        """Left or right until an answer is bracketed, whichever is nearer; then Space."""
        shell = self.bench.shell
        self.bench.settle()
        answers = shell.page.answers()
        labels = [answer.label for answer in answers.items]
        wanted = next((index for index, each in enumerate(labels) if each.startswith(label)), None)
        assert wanted is not None, (label, labels, self.bench.text())
        here = shell.choice if shell.choice is not None else answers.first
        right = wanted + 1 if here is None else (wanted - here) % len(labels)
        left = len(labels) - wanted if here is None else (here - wanted) % len(labels)
        self.bench.keys(*(("right",) * right if right <= left else ("left",) * left))
        shown = self.bench.screen()[-3]
        assert f"[ {label}" in shown or shell.message is not None, (label, self.bench.text())
        self.bench.keys("space")
        return self

    def line(self, text: str) -> Day:
        """Type a line and log it; it must be taken at once."""
        before = self.bench.book.highest_tick()
        self.bench.type(text).keys("enter")
        if not self.bench.session.by:
            self.answer(self.by)
        assert not self.bench.shell.line.is_open, (text, self.bench.text())
        assert self.bench.book.highest_tick() > before, (text, self.bench.text())
        return self

    def refused(self, text: str, sentence: str) -> Day:
        """Type a line that is not taken, read why, and rub it out."""
        self.bench.type(text).keys("enter")
        assert sentence in self.bench.text(), self.bench.text()
        self.bench.keys(*["backspace"] * (len(text) + 1))
        assert not self.bench.shell.line.is_open
        return self

    def figures(self, *texts: str) -> Day:
        """Figures one after the other, each logged."""
        for text in texts:
            self.line(text)
        return self

    def thing(self, name: str) -> Day:
        """Type a name: its own screen comes up."""
        self.bench.type(name).keys("enter")
        assert not self.bench.shell.line.is_open, (name, self.bench.text())
        return self

    def found(self, name: str, what: str, blow: str = "", size: str = "", turned: str = "") -> Day:
        """Something found at a place, by its name: by what blow, how big, which fasteners of which joint turned."""
        self.thing(name).say("found something")
        if size:
            self.bench.type(size).keys("enter")
        if what in ("bent", "cracked", "worn", "shorted", "turned mark"):
            self.say(what)
        else:
            self.bench.type(what).keys("enter")
        if turned:
            joint, _, fasteners = turned.rpartition(" ")
            if self.bench.shell.line.asked is None:
                self.say(joint)
            self.answer(fasteners)
        if blow:
            self.say(blow)
        return self.home()

    def checklist(self, name: str, second: str, *figures: str) -> Day:
        """A list from its row at home: every line answered yes or with its figure, then signed by a second person."""
        self.home().row(name).say("start")
        left = list(figures)
        for _ in range(MOST_STEPS):
            first = self.bench.shell.page.answers().items[0].label
            if first == "yes, no figure" and left:
                self.line(left.pop(0))
            elif first == "second person signs":
                self.press("space").answer(second)
            elif first == "all answered: back":
                return self.press("space")
            else:
                assert first.startswith("yes"), first
                self.press("space")
        raise AssertionError(self.bench.text())

    def enters(self, text: str) -> Day:
        """The next fight, on the screen of the fights."""
        return self.go("f").say("enter the next fight").answer(text).home()

    def closes(self, note: str = "") -> Day:
        """The list of the close of day, every line answered, and what is to be remembered."""
        self.go("c").row("close of day").say("start")
        for _ in range(MOST_STEPS):
            label = self.bench.shell.page.answers().items[0].label
            self.press("space")
            if label == "all answered: back":
                return self.line(f"note {note}") if note else self
            assert label.startswith("yes"), self.bench.text()
        raise AssertionError(self.bench.text())

    def starts(self) -> Day:
        """The fight has begun."""
        return self.go("f").say("started").home()

    def ends(self, result: str) -> Day:
        """The fight is over."""
        return self.go("f").say(f"ended: {result}").home()

    def leaves(self) -> Day:
        """The robot is out of the arena."""
        return self.go("f").say("left the arena").home()

    def looks(self, *places: str) -> Day:
        """Parts looked at, each by itself, and good."""
        for place in places:
            self.line(f"look {place}")
        return self

    def marks(self) -> Day:
        """Every zone that wants it looked over, row by row."""
        self.home().bench.settle()
        for _ in range(MOST_STEPS):
            if not any(" look over " in row for row in self.bench.screen()):
                return self
            self.row(" look over ").say("looked over, marks good").bench.settle()
        raise AssertionError(self.bench.text())

    def each(self, first: str) -> Day:
        """Parts of a row looked at one by one, each good."""
        self.home().row(f"look at each: {first}").say("one by one")
        for _ in range(MOST_STEPS):
            label = self.bench.shell.page.answers().items[0].label
            self.press("space")
            if label == "done":
                return self
            assert label == "looked at, good", self.bench.text()
        raise AssertionError(self.bench.text())

    def swapped(self, spare: str) -> Day:
        """On the screen of a swap: the spare put in."""
        return self.row(spare).say("put it in").home()

    def stands(self, clock: str, *robots: str) -> Day:
        """What a second window on the same book shows at a moment is what was worked out by hand."""
        by, robot = self.by, self.robot
        self.at(clock, by, robot)
        moments = [moment for moment in MOMENTS if moment["at"].endswith(clock)]
        assert moments, clock
        for moment in moments:
            # Two windows on one book.
            other = Driver(self.bench.book, self.bench.clock, self.bench.ids, by, moment["robot"])
            self.seen.append(agrees(other, moment))
        return self

    def answer(self, text: str) -> Day:
        """Type what a question asks for."""
        assert self.bench.shell.line.asked is not None, self.bench.text()
        self.bench.type(text).keys("enter")
        assert self.bench.shell.line.asked is None, (text, self.bench.text())
        return self
