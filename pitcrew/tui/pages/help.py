"""Help for the screen one is on: its keys, its words, and the places Tab leads to."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.session import Session
from pitcrew.tui.actions import PLACES, help_rows
from pitcrew.tui.page import Answers, Page
from pitcrew.tui.paint import BLANK, Line, Span, labelled, line, wrapped

ABOUT: dict[str, str] = {
    "home": "The list is what stands between now and fit to fight, in the order to do it. CAPITALS block this fight. "
    "The figure under clears is how many of the blocking things the row ends. Space says the bracketed answer.",
    "why": "One row in full: each thing it clears, why, the entries it rests on by number, and the working.",
    "stacks": "Gaps and clearances. # is the reading that counts, = its doubt, o a reading that was disturbed since.",
    "measure": "Type each piece as you read it. Space steps over one that nobody touched; nothing is logged for it.",
    "joints": "One row a joint. Fasteners: # holds, o was good and was disturbed since, . open, x mark turned.",
    "parts": "What sits where, zone by zone. Swap shows every configuration's weight before anything is logged.",
    "weight": "Every configuration against the limit. ~ is figured, not weighed. : is your own margin, | the limit.",
    "fights": "Fights with their times. Enter opens the hits: pick the zone, then light, solid, hard or not sure.",
    "checks": "The lists of this moment. Some lines want a second person, who looks and signs.",
    "hits": "A row a zone, then (PgDn) a row a word of the driver. Only rows with a hit want an answer; the first is "
    "the blow your own weapon gave. Not sure counts as solid and asks for a hand check.",
    "looks": "Parts that want a look of their own, one by one. Space: looked at, good.",
    "working": "Everything behind one gap: why, the figures, the doubt, how it came out before.",
    "swap": "What can go to a place, and what each configuration would weigh with it, before anything is logged.",
    "found": "What is wrong with a part. Bent and cracked parts make the blow that did it a hard one.",
    "findings": "Everything found: what stands, what is run as is with its limit and by whom, what was put right. "
    "Small letters stand on a part that is off the robot. PgDn goes to the next sort.",
    "event": "The sheet this robot fights under; another robot may fight under another one. Type each rule as it is "
    "printed, with its unit: 250 lb, 3:00. - where the paper says nothing. Enter asks for the rule the keys are at.",
    "crew": "Who has initials. Space makes the one the keys are at the writer of this screen; Enter changes a role.",
    "begin": "A new robot. Each answer is in the book before the next is asked.",
    "logbook": "Every line. Nothing is erased: a correction or a withdrawal names the line it is about.",
}
LINE_HELP = (
    ("262.05", "a figure alone: what it may be of is offered, the likeliest first"),
    ("22 hubs r", "a figure and a name, in either order; bare figures are mm, N m or kg by what they are of"),
    ("84 in-lb", 'units as a shop writes them: 5/8, 1-1/2", 712 thou, 12,5 mm, 2 lb 6.5 oz'),
    ("dr hard", "a hit: zone and light, solid, hard or not sure"),
    ("in, out", "in wheel 5 at wheel 3; out wheel 3 to scrapped"),
    ("marks hubs r", "marks unbroken; open hubs r: undone; look wheel 4, over dr: looked at, looked over"),
    ("wiring loom", "wiring touched; memory ESC R: a memory changed: the function checks are asked again"),
    ("add", "add joint cap L 4 M8 25 N m in W1; add gap float .25 .75 in W1; add part, zone, life, limit"),
    ("withdraw 131", "take a line out by its number; correct 151 1.17 kg writes it right"),
    ("hubs", "a name alone finds the thing and the screens"),
)
CAUTION = "Pitcrew advises; people decide. The event's rules, its inspectors and qualified people overrule the screen."


class Help(Page):
    """What the keys do here and what the words mean."""

    name = "help"
    title = "help"

    def __init__(self, session: Session, below: Page | None = None) -> None:
        super().__init__(session)
        self.below = below

    def keys(self) -> Sequence[str]:
        return [str(index) for index in range(len(self._rows(80)))]

    def answers(self) -> Answers:
        return Answers(hint="Back leaves the help")

    def block(self, step: int) -> None:
        self.move(step * 12)

    def sheet(self, width: int, height: int) -> list[Line]:
        rows = self._rows(width)
        self.row = min(self.row, max(len(rows) - height, 0))
        return rows[self.row : self.row + height]

    def _rows(self, width: int) -> list[Line]:
        name = self.below.name if self.below else "home"
        rows = [line(Span("  help      ", "quiet"), f"the screen called {name}")]
        about = ABOUT.get(name) or (self.below.title if self.below else "")
        rows += [line("  ", text) for text in wrapped(about, width - 4)]
        rows += [BLANK, line(Span("  keys", "quiet"))]
        for label, text in help_rows():
            rows += [line(f"  {label.replace('^', 'Up').strip():<16} {text}")]
        rows += [BLANK, line(Span("  what can be typed", "quiet"))]
        for label, text in LINE_HELP:
            rows += _two(label, text, width)
        rows += [BLANK, line(Span("  Tab, then", "quiet"))]
        rows += [line(f"  {place.letter}  {place.name:<12} {place.help}") for place in PLACES]
        rows += [BLANK, *labelled("caution", CAUTION, width, "care")]
        return rows


def _two(label: str, text: str, width: int) -> list[Line]:
    first, *rest = wrapped(text, width - 19)
    return [line(f"  {label:<16} {first}"), *(line(" " * 19, row) for row in rest)]
