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
    "after a fight": "The walk from the arena to the next call. NOW is next, later waits, - is not needed. Times are "
    "when it was done, or when it can begin. Space says the answer of the row, or goes to its screen; Back comes back.",
    "checks": "The lists of this moment. Some lines want a second person, who looks and signs; some the book answers.",
    "hits": "A row a zone, then (PgDn) a row a word of the driver. Only rows with a hit want an answer; the first is "
    "the blow your own weapon gave. Not sure counts as solid and asks for a hand check. PgDn again: all that he said.",
    "looks": "Parts that want a look of their own, one by one. Space: looked at, good.",
    "working": "Everything behind one gap: why, the figures, the doubt, how it came out before.",
    "spares": "The box: parts that sit nowhere, kind by kind. PgDn: stock, then what went out today and what to buy. "
    "A spare that never ran in a fight or on the bench is not tested. In stock 12 counts, -4 were used, +20 came.",
    "packs": "The set chosen is on top, then the other sets, then each pack. ready is when all of a set are full and "
    "cool, counted from what was read as used; too late is after the call. Figures typed alone are of the row: 4.18 V.",
    "swap": "What can go to a place, and what each configuration would weigh with it, before anything is logged.",
    "found": "What is wrong with a part. Bent, cracked or shorted: the blow that did it counts as a hard one.",
    "findings": "Everything found: what stands, what is run as is with its limit and by whom, what was put right. "
    "Small letters stand on a part that is off the robot. PgDn goes to the next sort.",
    "event": "The sheet this robot fights under; another robot may fight under another one. Type each rule as it is "
    "printed, with its unit: 250 lb, 3:00. - where the paper says nothing. Enter asks for the rule the keys are at.",
    "crew": "Who has initials, and who is on shift. Space makes the one the keys are at the writer of this screen; "
    "Enter changes a role. A shift begins with somebody's first line of the day; off typed here ends it. Work is "
    "laid over those on shift, over everybody while nobody is. A robot can ask for a signature before each fight.",
    "time": "A lane a person, a column a minute, a letter a job; - is away or beside a charge, | the call. Who is not "
    "on shift has no lane.",
    "begin": "A new robot. Each answer is in the book before the next is asked.",
    "logbook": "Every line. Nothing is erased: a correction or a withdrawal names the line it is about.",
}
LINE_HELP = (
    ("262.05", "a figure alone: what it may be of is offered, the likeliest first; 262.05 ROD: read with ROD"),
    ("22 hubs r", "a figure and a name, in either order; bare figures are mm, N m or kg by what they are of"),
    ("84 in-lb", 'units as a shop writes them: 5/8, 1-1/2", 712 thou, 12,5 mm, 2 lb 6.5 oz'),
    ("dr hard", "a hit: zone and light, solid, hard or not sure"),
    ("in, out", "in wheel 5 at wheel 3; in drum; out wheel 3 to scrapped; change to D: all that D names"),
    ("marks hubs r", "marks unbroken; open hubs r 1-4: undone; look wheel 4; over dr, over all: looked over"),
    ("says whines at hub 3", "what the driver says of a part; wording class limit: the words of the sheet for a rule"),
    ("wiring loom", "wiring touched; memory ESC R: a memory changed: the function checks are asked again"),
    ("add", "add joint cap L 4 M8 25 N m in W1; add gap float .25 .75 in W1; add part, zone, life, limit"),
    ("stock M10x30 12", "counted; used M10x30 4 for upright L; bought M10x30 20; tested motor 3; add spares bearing 4"),
    ("pack P9 4.18 V", "charge set 1 8 A 5.2 Ah watched EW; full set 1 4.19 V; packs out 46 C 5.2 Ah"),
    ("sign", "for the robot as it stands; sign motor R: as the second person, or for a finished job; shift EW off"),
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
