"""What a new robot starts from: zones by weapon type, sorts of part, and which words of a weight list mean which.

Which zone passes a blow to which, and from which grade of hit a sort of part wants a look: common practice, no
source. A crew changes them where its robot differs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple


class ZoneRow(NamedTuple):
    """A zone of a template: short name, title, and the zones of the template that a hit passes to."""

    name: str
    title: str
    passes_to: tuple[str, ...] = ()


class Template(NamedTuple):
    """The zones of a robot with one type of weapon."""

    name: str
    zones: tuple[ZoneRow, ...]


class Sort(NamedTuple):
    """A sort of part: the grade of hit from which it wants a look, of its own or with its zone, and its flags."""

    name: str
    look_from: int
    look: str = "zone"
    load_path: bool = False
    first_look: bool = False
    function_check: bool = False
    pack: bool = False
    sets_speed: bool = False


class Home(NamedTuple):
    """A sort of part and the zone it lies in; of two zones the left and the right one."""

    sort: str
    zones: tuple[str, ...]


class Hint(NamedTuple):
    """What words in a part's name say of it, and what they say beside a word of the weapon or of the drive."""

    phrases: tuple[tuple[str, ...], ...]
    home: Home
    with_weapon: Home | None = None
    with_drive: Home | None = None


WEAPON, WEAPON_DRIVE, UPRIGHTS, DRIVE = ("W1",), ("W2",), ("UL", "UR"), ("DL", "DR")
FRAME, FRONT, SIDES, REAR = ("FR",), ("AF",), ("AS",), ("AR",)
BATTERY, ELECTRONICS, RADIO, PLATES = ("BT",), ("EL",), ("RS",), ("TP",)

_BODY = (
    ZoneRow("DL", "drive, left", FRAME),
    ZoneRow("DR", "drive, right", FRAME),
    ZoneRow("FR", "frame", ("BT", "EL")),
    ZoneRow("AF", "front attachment", FRAME),
    ZoneRow("AS", "side armour", FRAME),
    ZoneRow("AR", "rear armour", FRAME),
    ZoneRow("BT", "battery"),
    ZoneRow("EL", "electronics", RADIO),
    ZoneRow("RS", "radio and switch"),
    ZoneRow("TP", "plates", ELECTRONICS),
)
_BETWEEN_UPRIGHTS = (
    ZoneRow("W1", "weapon", ("UL", "UR", "W2")),
    ZoneRow("W2", "weapon drive"),
    ZoneRow("UL", "upright, left", ("W1", "FR")),
    ZoneRow("UR", "upright, right", ("W1", "FR")),
)


def _on_the_frame(weapon: str, drive: str) -> tuple[ZoneRow, ...]:
    return (ZoneRow("W1", weapon, ("FR", "W2")), ZoneRow("W2", drive), *_BODY)


TEMPLATES = (
    Template("vertical spinner", (*_BETWEEN_UPRIGHTS, *_BODY)),
    Template(
        "horizontal spinner", (ZoneRow("W1", "weapon", ("TP", "FR", "W2")), ZoneRow("W2", "weapon drive"), *_BODY)
    ),
    Template("drum", (*_BETWEEN_UPRIGHTS, *_BODY)),
    Template("lifter", _on_the_frame("lifter", "lifter drive")),
    Template("flipper", _on_the_frame("flipper", "ram and gas")),
    Template("hammer", _on_the_frame("hammer", "hammer drive")),
    Template("control or wedge", _BODY),
)

SORTS = (
    Sort("frame", 2, load_path=True),
    Sort("upright", 2, load_path=True),
    Sort("plate", 3),
    Sort("armour", 2),
    Sort("front attachment", 2),
    Sort("bumper", 3),
    Sort("weapon", 2, "own", load_path=True),
    Sort("weapon shaft", 2, "own", load_path=True),
    Sort("axle", 2, load_path=True),
    Sort("bearing", 2, "own", load_path=True, first_look=True),
    Sort("belt", 2, "own", load_path=True, first_look=True),
    Sort("pulley", 3, load_path=True, sets_speed=True),
    Sort("chain", 2, load_path=True),
    Sort("weapon motor", 3, "own", load_path=True, function_check=True, sets_speed=True),
    Sort("drive motor", 2, "own", load_path=True, function_check=True),
    Sort("gearbox", 2, "own", load_path=True),
    Sort("adapter plate", 3, load_path=True),
    Sort("wheel", 2, "own"),
    Sort("hub", 2, load_path=True),
    Sort("actuator", 2, "own", load_path=True, function_check=True),
    Sort("gas bottle", 2, "own"),
    Sort("valve", 3, "own", function_check=True),
    Sort("ESC", 3, "own", function_check=True),
    Sort("loom", 3, function_check=True),
    Sort("receiver", 3, function_check=True),
    Sort("switch and light", 3, function_check=True),
    Sort("pack", 2, "own", pack=True),
    Sort("battery box", 3),
    Sort("spacers and washers", 3),
    Sort("fasteners", 4),
)
# What no word tells: looked at with its zone, from a solid hit on.
OTHER = Sort("other part", 2)

WEAPON_WORDS = frozenset(
    ["weapon", "spinner", "drum", "bar", "disc", "disk", "blade", "lifter", "lift", "flipper", "hammer", "axe"]
)
DRIVE_WORDS = frozenset(("drive", "wheel"))
# What follows one of these says more of the part, and does not name it.
ASIDES = frozenset(("and", "for", "of", "on", "with", "from", "under"))


def _hint(phrases: str, home: Home, with_weapon: Home | None = None, with_drive: Home | None = None) -> Hint:
    return Hint(tuple(tuple(phrase.split()) for phrase in phrases.split(", ")), home, with_weapon, with_drive)


HINTS = (
    _hint("frame, rail, chassis, bulkhead, frame rail", Home("frame", FRAME)),
    _hint("upright", Home("upright", UPRIGHTS)),
    _hint("top plate, base plate, bottom plate, top armour, top armor, lid, floor", Home("plate", PLATES)),
    _hint("armour, armor, side armour, side armor, skirt", Home("armour", SIDES)),
    _hint("rear armour, rear armor, back armour, back armor", Home("armour", REAR)),
    _hint("front armour, front armor", Home("armour", FRONT)),
    _hint("wedge, fork, plow, plough", Home("front attachment", FRONT)),
    _hint("bumper, bumper block", Home("bumper", REAR)),
    _hint(
        "weapon, drum, bar, disc, disk, blade, rotor, beater, lifter, lifter arm, flipper, flipper arm, hammer, axe,"
        " hammer head, axe head, arm",
        Home("weapon", WEAPON),
    ),
    _hint("shaft", Home("weapon shaft", WEAPON), with_drive=Home("axle", DRIVE)),
    _hint("axle", Home("axle", DRIVE), Home("weapon shaft", WEAPON)),
    _hint("bearing", Home("bearing", WEAPON), with_drive=Home("bearing", DRIVE)),
    _hint("belt", Home("belt", WEAPON_DRIVE), with_drive=Home("belt", DRIVE)),
    _hint("pulley", Home("pulley", WEAPON_DRIVE), with_drive=Home("pulley", DRIVE)),
    _hint("chain, sprocket", Home("chain", DRIVE), Home("chain", WEAPON_DRIVE)),
    _hint("motor", Home("drive motor", DRIVE), Home("weapon motor", WEAPON_DRIVE)),
    _hint("gearbox, gear", Home("gearbox", DRIVE), Home("gearbox", WEAPON_DRIVE)),
    _hint("adapter plate, motor plate, motor mount", Home("adapter plate", DRIVE), Home("adapter plate", WEAPON_DRIVE)),
    _hint("wheel, tyre, tire", Home("wheel", DRIVE)),
    _hint("hub", Home("hub", DRIVE), Home("hub", WEAPON)),
    _hint("actuator, ram, cylinder", Home("actuator", WEAPON_DRIVE)),
    _hint("gas bottle, gas tank, bottle, buffer tank", Home("gas bottle", WEAPON_DRIVE)),
    _hint("valve, regulator", Home("valve", WEAPON_DRIVE)),
    _hint("esc, speed controller, controller", Home("ESC", ELECTRONICS)),
    _hint("loom, wiring, cable, wire", Home("loom", ELECTRONICS)),
    _hint("receiver, radio, aerial, antenna, gyro", Home("receiver", RADIO)),
    _hint("switch, light, link, removable link", Home("switch and light", RADIO)),
    _hint("pack, battery, batteries", Home("pack", BATTERY)),
    _hint("battery box, battery tray, battery foam, battery strap, pack box, pack tray", Home("battery box", BATTERY)),
    _hint(
        "spacer, washer, thrust washer, shim",
        Home("spacers and washers", WEAPON),
        None,
        Home("spacers and washers", DRIVE),
    ),
    _hint("fastener, bolt, screw, nut", Home("fasteners", FRAME)),
)
VOCABULARY = frozenset(word for hint in HINTS for phrase in hint.phrases for word in phrase)


def _forms(word: str) -> set[str]:
    """A word as it may stand in a hint: itself, or the one thing of several."""
    return {word, word.removesuffix("s"), word.removesuffix("es")}


def singular(word: str) -> str:
    """One thing of several, where a hint knows it: wheels is wheel, chassis stays; any other word stays too."""
    if word.casefold() in VOCABULARY:
        return word
    return next((word[:-cut] for cut in (1, 2) if word.casefold()[:-cut] in VOCABULARY and word[-1] in "sS"), word)


def home_of(words: Sequence[str]) -> Home | None:
    """What sort of part a name says and where it lies; None when no word of it tells.

    The thing that is named last counts: a hammer motor is a motor, gearbox screws are screws.
    """
    folded = [_forms(word.casefold()) for word in words]
    named = next((index for index, forms in enumerate(folded) if index and forms & ASIDES), len(folded))
    found = max(_found(folded, named), key=lambda item: item[:2], default=None)
    if found is None:
        return None
    last, _, hint = found
    beside = set().union(*folded[:last], *folded[last + 1 :])
    if hint.with_weapon is not None and beside & WEAPON_WORDS:
        return hint.with_weapon
    if hint.with_drive is not None and beside & DRIVE_WORDS:
        return hint.with_drive
    return hint.home


def _found(folded: Sequence[set[str]], named: int) -> Iterator[tuple[int, int, Hint]]:
    """Hints whose words are all there: where the thing itself is named, how many words say it, and the hint."""
    for hint in HINTS:
        for phrase in hint.phrases:
            if all(any(word in forms for forms in folded) for word in phrase):
                places = [index for index in range(named) if phrase[-1] in folded[index]]
                if places:
                    yield places[-1], len(phrase), hint
