"""The one table of what keys do: names, keys, words. Footer, help, the go strip and finding by name read it.

A key does one thing in every screen: keys move, meanings do not double. Remapping changes keys here, never meanings.
"""

from __future__ import annotations

from typing import NamedTuple


class Action(NamedTuple):
    """Something a key does: its name, the keys that do it, a word for the bottom row, a sentence for the help."""

    id: str
    keys: tuple[str, ...]
    label: str
    help: str


class Place(NamedTuple):
    """Somewhere Tab and a letter lead: the letter, its name, a sentence, and whether it is an act and no screen."""

    letter: str
    name: str
    help: str
    act: bool = False


ACTIONS = (
    Action("up", ("up",), "^", "up a row; on an open line, the meaning before"),
    Action("down", ("down",), "v", "down a row; on an open line, the next meaning"),
    Action("left", ("left",), "<", "the answer before; on an open line, back in the text"),
    Action("right", ("right",), ">", "the next answer; on an open line, on in the text"),
    Action("say", ("space",), "Space say it", "give the bracketed answer, step to the next row"),
    Action("open", ("enter",), "Enter open", "open the row; on an open line, log what it means"),
    Action("back", ("backspace", "escape"), "Back", "one step back: a letter, the line, the screen"),
    Action("go", ("tab",), "Tab go to", "go elsewhere: then one letter"),
    Action("block up", ("pageup",), "PgUp", "the block before: a zone, a page"),
    Action("block down", ("pagedown",), "PgDn", "the next block: a zone, a page"),
    Action("help", ("?",), "? help", "help for the screen you are on"),
    Action("leave", ("ctrl+c", "ctrl+q"), "", "leave the program; what is logged is on the disk"),
)

PLACES = (
    Place("h", "home", "what to do next, in this order"),
    Place("f", "fights", "fights, their times, hits and what the driver says"),
    Place("a", "after a fight", "from the arena to the next call: what is done, what is next"),
    Place("s", "stacks", "gaps and clearances, measured and still to measure"),
    Place("j", "joints", "joints zone by zone: torque, marks, threadlocker"),
    Place("p", "parts", "parts zone by zone: what sits where, spares, in and out"),
    Place("k", "packs", "sets and packs: full, on charge, cooling, ready for the call"),
    Place("x", "spares", "the box: good spares, stock, used today and to buy"),
    Place("w", "weight", "every configuration against the limit, and how it came about"),
    Place("t", "time", "who does what when, when it is ready, what is to spare"),
    Place("c", "checks", "the checklists of this moment"),
    Place("g", "findings", "what was found and stands, is run as is, or was put right"),
    Place("e", "event", "the sheet the robot fights under: limits, times, wording"),
    Place("m", "crew", "who is on shift, who is writing, who must sign"),
    Place("l", "logbook", "every line, newest below; correct and withdraw"),
    Place("b", "big", "the standing in letters to be read from afar"),
    Place("r", "robot", "put another robot on the bench"),
    Place("i", "initials", "who is writing", act=True),
    Place("u", "undo", "take back what was last logged here", act=True),
    Place("q", "quit", "leave the program; what is logged is on the disk", act=True),
)

BY_KEY = {key: action.id for action in ACTIONS for key in action.keys}
BY_LETTER = {place.letter: place for place in PLACES}


def help_rows() -> list[tuple[str, str]]:
    """Keys and what they do, for the help."""
    shown = {"up": "Up Down", "left": "Left Right", "block up": "PgUp PgDn"}
    rows = [(shown.get(action.id, action.label), action.help) for action in ACTIONS if action.label]
    return [row for row in rows if row[0] not in ("v", ">", "PgDn")]
