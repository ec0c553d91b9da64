"""What disturbs what: the one table, used by the engine and printed by the help.

A row says: this event unsettles this group of requirements. The engine asks a group's rows for its disturbances
and nothing else, so that a line taken out of here is a disturbance no longer noticed.
"""

from __future__ import annotations

from typing import NamedTuple


class Line(NamedTuple):
    """One line of the table: an event, the group of requirements it unsettles, and the sentence for the help."""

    event: str
    group: str
    says: str


HIT = "hit"
SYMPTOM = "symptom"
FIRST_FIGHT = "first fight"
MOVED = "part moved"
OPENED = "joint opened"
TURNED = "marks turned"
FIGHT_ENDED = "fight ended"
FUNCTION_PART_MOVED = "function part moved"
WIRING_TOUCHED = "wiring touched"
MEMORY_CHANGED = "memory changed"
WORKED = "worked in place"
REACHED = "another joint reached"

TABLE: tuple[Line, ...] = (
    Line(HIT, "look", "a part that felt a hit of its kind's grade wants a look"),
    Line(SYMPTOM, "look", "what the driver says adds a look"),
    Line(FIRST_FIGHT, "look", "a newly fitted bolt set, belt or bearing wants a look after its first fight"),
    Line(OPENED, "joint", "an opened fastener is good again when it is torqued"),
    Line(MOVED, "joint", "a part taken out or put in opens every joint that holds its place"),
    Line(REACHED, "joint", "opening a joint opens those that must be undone to reach it"),
    Line(TURNED, "joint", "a turned fastener is good again when it is torqued"),
    Line(HIT, "marks", "a hit of the joint's grade unsettles its marks"),
    Line(FIRST_FIGHT, "marks", "new fasteners want their marks looked at after their first fight"),
    Line(OPENED, "locking", "an opened fastener starts its threadlocker again and uses its lock nut once more"),
    Line(MOVED, "locking", "a part taken out or put in opens every joint that holds its place"),
    Line(REACHED, "locking", "opening a joint opens those that must be undone to reach it"),
    Line(TURNED, "locking", "a lock nut that turned and is tightened again is used once more"),
    Line(MOVED, "stack", "a part swapped at one of its places unsettles a stack"),
    Line(REACHED, "stack", "opening a joint unsettles the stacks clamped by those that must be undone to reach it"),
    Line(OPENED, "stack", "opening a joint unsettles the stacks it clamps"),
    Line(WORKED, "stack", "a part straightened, welded, ground or drilled where it sits unsettles its stacks"),
    Line(HIT, "stack", "a hit of the stack's grade in one of its zones unsettles it"),
    Line(WORKED, "limit", "working on a part unsettles its own dimensions"),
    Line(WORKED, "look", "a part that spins and was worked on wants its balance looked at"),
    Line(WORKED, "weight", "working on a part leaves its mass in doubt until it or the robot is weighed"),
    Line(HIT, "limit", "a hit of its kind's grade unsettles a part's own dimension"),
    Line(FIGHT_ENDED, "life", "a fight uses up some of the life of the parts that were in it"),
    Line(HIT, "life", "a hard hit uses up some of the life of the parts that felt it"),
    Line(FIGHT_ENDED, "finding", "a finding run as is wants a look each turnaround"),
    Line(MOVED, "tip", "another motor, pulley or number of cells wants the tip speed anew, where the event has a cap"),
    Line(HIT, "hand", "a hit nobody is sure of wants a hand check"),
    Line(FIGHT_ENDED, "packs", "a fight empties the packs that were in it"),
    Line(FIGHT_ENDED, "check", "a check is good for one fight"),
    Line(
        FUNCTION_PART_MOVED,
        "check",
        "a motor, ESC or receiver taken out or put in wants the function check again",
    ),
    Line(WIRING_TOUCHED, "check", "wiring, a plug or a radio touched wants the function check again"),
    Line(MEMORY_CHANGED, "check", "a memory changed, in an ESC or the transmitter, wants the function check again"),
)


class _Pairs:
    """The lines of a table as pairs of event and group, to be looked up at once."""

    def __init__(self, table: tuple[Line, ...]) -> None:
        self.table = table
        self.pairs = frozenset((line.event, line.group) for line in table)


_known = [_Pairs(TABLE)]


def disturbs(event: str, group: str) -> bool:
    """Does the table say that this event unsettles this group?"""
    if _known[0].table is not TABLE:
        _known[0] = _Pairs(TABLE)
    return (event, group) in _known[0].pairs
