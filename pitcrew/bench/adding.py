"""Small start: a joint, a gap, a part, a zone, a life or a limit comes with the line where it is first needed.

joint cap L 4 M8 25 N m in W1         count and thread, torque, zone; defined and logged as torqued
25 N m 4 M8 cap L in W1               the same, torque first; threadlocker on steel, lock nuts, wedge washers
gap float 0.25 0.75 in W1             limits, - for the one it has not; .5 float .25 .75 in W1 with its figure
part 3.30 kg weapon shaft in W1       a line of a weight list
zone W3 second weapon passes to FR    its short name, its title, where a hit goes on to
life bearing 6 fights 3 hard          how long every part of a sort lasts
limit tread 4.0 mm wheel              the least of a dimension of every part of a sort; at most, or both: 2 8
stock M10x30 12 wanted 6 batch B7     a box of things that are used up
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from pitcrew.bench import fastening, measuring
from pitcrew.bench.desk import Desk
from pitcrew.bench.fighting import GRADES
from pitcrew.bench.names import find, fitting, name_words, pairs
from pitcrew.bench.parting import MOST_FASTENERS, UNIT_WORDS
from pitcrew.bench.starting import label
from pitcrew.bench.stocking import added_line, wanted_line
from pitcrew.bench.supposing import supposing
from pitcrew.bench.templates import home_of
from pitcrew.bench.weight_list import LEFT, RIGHT, weight_line
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import Limit
from pitcrew.units import Quantity, read

RECHECK_FROM = 2
JOINT = "add joint cap L 4 M8 25 N m in W1"
GAP, LIFE, LIMIT = "add gap float 0.25 0.75 in W1", "add life bearing 6 fights 3 hard", "add limit tread 4.0 mm wheel"
ZONE = "add zone W3 second weapon"
# Property classes as ISO 898-1 and ISO 3506-1 mark them, inch threads as ASME B1.1 does; from memory.
_CLASS = r"(?:,?\s+(?:4\.6|5\.6|5\.8|6\.8|8\.8|9\.8|10\.9|12\.9|A[24]-\d\d))?"
_INCH = r"(?:#\d+|\d+/\d+)-\d\d(?:\s+UN[CFR])?|4-40|6-32|8-32|10-24|10-32"
_THREAD = rf"(?:M\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?)?|{_INCH}){_CLASS}"
COUNTED = re.compile(
    rf"(?<!\S)(\d{{1,4}})\s*(?:x\s*)?(?:({_THREAD})|bolts?|screws?|nuts?|studs?|fasteners?)(?!\S)", re.IGNORECASE
)
_LOCKED = re.compile(r"(?<!\S)(?:(threadlocker)|(lock ?nuts?)|(wedge ?washers?))(?!\S)", re.IGNORECASE)
_LOCKING = ("threadlocker", "lock nuts", "wedge washers")
FIGURE = re.compile(r"[+-]?[.,]?\d")

Adding = Callable[[Desk, str], list[Draft]]


class Length(NamedTuple):
    """A figure on a line: its quantity, None where `-` says that there is none; the words it was typed in."""

    quantity: Quantity | None
    words: tuple[str, ...]

    @property
    def si(self) -> float | None:
        """Metres; None where it was left out."""
        return self.quantity.si if self.quantity is not None else None


def add(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """What `add` and these words bring: the sort of thing first, then what is known of it.

    Raises:
        EntryError: no such sort, a word that is missing, or a name that is taken; nothing is written.
    """
    use = SORTS.get(words[0].casefold()) if words else None
    if use is None:
        sorts = "joint, gap, part, zone, life, limit or stock"
        raise EntryError("say what is added.", f"Type add and {sorts}: {JOINT}.", "add")
    return use(desk, " ".join(words[1:]))


# a joint


def joint(desk: Desk, text: str) -> list[Draft]:
    """A joint nobody had entered yet, and that it was torqued: 25 N m 4 M8 cap L in W1.

    Raises:
        EntryError: its count, torque, name or zone is missing, or the name is taken; nothing is written.
    """
    counted = COUNTED.search(text)
    if counted is None:
        raise EntryError("how many fasteners it has, and which, is missing.", f"Type: {JOINT}.", "joint")
    count = int(counted[1])
    if not 1 <= count <= MOST_FASTENERS:
        raise EntryError(f"a joint has 1 to {MOST_FASTENERS} fasteners.", f"Type: {JOINT}.", "joint")
    locked = _LOCKED.search(text)
    spans = sorted(found.span() for found in (counted, locked) if found is not None)
    for start, end in reversed(spans):
        text = f"{text[:start]} {text[end:]}"
    torque, words = _torque(tuple(text.split()))
    head, told = sections(words, ("in", "holds", "with", "on") if locked else ("in", "holds", "with"))
    name = _new_name(head, pairs(desk.definitions().joints), "joint", JOINT, "Its torque alone is enough: 25 N m")
    locking = _LOCKING[(locked.lastindex or 1) - 1] if locked else "none"
    detail = {
        "name": name,
        "zone": _zones(desk, told.get("in", ""), name)[0],
        "thread": _thread(counted[2]),
        "count": count,
        "target_nm": torque.si,
        "locking": locking,
        "material": told.get("on") or None,
        "recheck_from": RECHECK_FROM,
        "wrench": _instrument(desk, told.get("with", "")),
        "holds": _places(desk, told.get("holds", "")) or None,
    }
    made = desk.draft("joint", desk.mint(), detail)
    return [made, *fastening.torque(_with(desk, made), made.subject, torque.si, typed=torque.typed)]


def _thread(typed: str | None) -> str | None:
    """A thread as it is kept: a metric one with its capital M."""
    return f"M{typed[1:]}" if typed and typed[0] in "mM" else typed


def _torque(words: tuple[str, ...]) -> tuple[Quantity, tuple[str, ...]]:
    """The torque among the words, and the others; a bare figure counts at either end, in N m."""
    for start, word in enumerate(words):
        for end in range(min(start + UNIT_WORDS, len(words)), start, -1):
            if FIGURE.match(word) and (found := figure_of(words[start:end], "torque")):
                return found, words[:start] + words[end:]
    for bare, rest in ((words[:1], words[1:]), (words[-1:], words[:-1])):
        if bare and FIGURE.match(bare[0]) and (found := figure_of(bare, "torque", "N m")):
            return found, rest
    raise EntryError("what it is torqued to is missing.", f"Type: {JOINT}.", "joint")


def figure_of(words: tuple[str, ...], dimension: str, bare_unit: str | None = None) -> Quantity | None:
    """These words as a figure of one dimension, the whole of them; None where they are none."""
    try:
        return read(" ".join(words), expect=dimension, bare_unit=bare_unit)
    except NotationError:
        return None


def _places(desk: Desk, typed: str) -> list[str]:
    """The places that holds bearing L, upright L names."""
    known = pairs(desk.definitions().positions)
    return [find(name, known, "place") for name in re.split(r"\s*,\s*|\s+and\s+", typed) if name]


def _instrument(desk: Desk, typed: str) -> str | None:
    return find(typed, pairs(desk.definitions().instruments), "instrument") if typed else None


def _with(desk: Desk, made: Draft) -> Desk:
    """The desk as if this had been written, so that more can be logged of it in the same act."""
    case = supposing(desk.case(), [made], "")
    return desk._replace(evidence=case.evidence, judged=case)


# a gap


def gap(desk: Desk, text: str) -> list[Draft]:
    """A gap nobody had entered yet, of one piece of the structure, with its limits, and its figure if one is typed.

    Raises:
        EntryError: its name, limits or zone is missing, or the name is taken; nothing is written.
    """
    words, told = sections(tuple(text.split()), ("in", "with"))
    figure, name_of, limits = gap_parts(words)
    known = {ident: stack.name for ident, stack in desk.definitions().stacks.items()}
    pieces = [piece for stack in desk.definitions().stacks.values() for piece in stack.pieces()]
    taken = [(piece.dimension, piece.dimension) for piece in pieces if piece.position is None]
    name = _new_name(name_of, [*known.items(), *taken], "gap", GAP, "Its figure alone is enough: 0.5")
    if len(limits) < 2:
        raise EntryError("its limits are missing, low and high, - for one it has not.", f"Type: {GAP}.", "gap")
    low_m, high_m = (limit.si for limit in limits)
    _check_limits(low_m, high_m, GAP)
    zones = _zones(desk, told.get("in", ""), name)
    chain = [{"name": name, "sign": 1, "dimension": name}]
    detail = {"name": name, "zones": zones, "low_m": low_m, "high_m": high_m, "recheck_from": RECHECK_FROM}
    made = desk.draft("stack", desk.mint(), {**detail, "chains": [chain]})
    if figure is None:
        return [made]
    tool = _instrument(desk, told.get("with", ""))
    return [made, *measuring.dimension(desk, desk.robot, name, figure.si, tool, figure.typed)]


def gap_parts(words: tuple[str, ...]) -> tuple[Quantity | None, tuple[str, ...], list[Length]]:
    """A figure at the beginning if there is one, the words of the name, and two limits at the end."""
    tokens = _tokens(words)
    first = tokens[0] if tokens else None
    figure = first.quantity if isinstance(first, Length) else None
    rest = tokens[1:] if figure is not None else tokens
    limits = [token for token in rest[-2:] if isinstance(token, Length)]
    named = rest[:-2] if len(limits) == 2 else rest
    return figure, tuple(word for token in named for word in _typed(token)), limits


def _tokens(words: tuple[str, ...]) -> list[str | Length]:
    """Words and lengths in their order; a bare figure is in mm, `-` is a figure left out."""
    found: list[str | Length] = []
    at = 0
    while at < len(words):
        figure = _length(words[at : at + UNIT_WORDS])
        found.append(figure or words[at])
        at += len(figure.words) if figure else 1
    return found


def _length(words: tuple[str, ...]) -> Length | None:
    """The longest length these words begin with."""
    if words[0] == "-":
        return Length(None, words[:1])
    most = words.index("-") if "-" in words else len(words)
    counts = range(most, 0, -1) if FIGURE.match(words[0]) else ()
    found = ((count, figure_of(words[:count], "length", "mm")) for count in counts)
    return next((Length(quantity, words[:count]) for count, quantity in found if quantity is not None), None)


def _typed(token: str | Length) -> tuple[str, ...]:
    return (token,) if isinstance(token, str) else token.words


def _check_limits(low_m: float | None, high_m: float | None, example: str) -> None:
    if low_m is None and high_m is None:
        raise EntryError("one limit at least is wanted.", f"Type: {example}.", "limit")
    if low_m is not None and high_m is not None and low_m >= high_m:
        raise EntryError("the low limit is not below the high one.", f"Type the low one first: {example}.", "limit")


# a part, a zone, what holds for every part of a sort


def zone(desk: Desk, text: str) -> list[Draft]:
    """A zone: its short name, its title, and the zones a hit goes on to: W3 second weapon passes to FR W2.

    Raises:
        EntryError: no short name, one that is taken or means something else on the line, or no such zone to pass to.
    """
    said, _, passes = text.partition(" passes to ")
    short, _, title = said.strip().partition(" ")
    name = _new_name((short,), pairs(desk.definitions().zones), "zone", ZONE)
    if name.casefold() in _line_words():
        raise EntryError(f"{name!r:.20} means something else on the line.", f"Take another short name: {ZONE}.", "zone")
    zones = _zones(desk, passes, name) if passes.strip() else None
    detail = {"name": name, "title": label(title, "zone") if title.strip() else None, "passes_to": zones}
    return [desk.draft("zone", desk.mint(), detail)]


def _line_words() -> set[str]:
    """What a line may begin with, and what a hit is said with: no zone can be called so."""
    from pitcrew.bench.line import SOURCES, VERBS

    return {*VERBS, *SOURCES, *GRADES, "not", "sure", "pit", "in", "the", "on"}


def life(desk: Desk, text: str) -> list[Draft]:
    """How long every part of a sort lasts: bearing 6 fights 3 hard. What is not typed stays as it was.

    Raises:
        EntryError: no fights and no hard hits, none of them above zero, or no such sort of part.
    """
    fights, text = _how_many(text, r"fights?")
    hard, text = _how_many(text, r"hard(?:\s+hits?)?")
    if not fights and not hard:
        raise EntryError("how many fights or hard hits it lasts is missing.", f"Type: {LIFE}.", "life")
    return _kind_with(desk, text, LIFE, lambda detail: {"life_fights": fights, "life_hard_hits": hard})


def _how_many(text: str, what: str) -> tuple[int | None, str]:
    found = re.search(rf"(?<!\S)(\d{{1,4}})\s*{what}(?!\S)", text, re.IGNORECASE)
    return (int(found[1]) or None, f"{text[: found.start()]} {text[found.end() :]}") if found else (None, text)


def limit(desk: Desk, text: str) -> list[Draft]:
    """A limit on a dimension of every part of a sort: tread 4.0 mm wheel, at least unless `at most` stands before it.

    With two figures the first is the least, the second the most; what limits the same dimension had is given up.

    Raises:
        EntryError: the dimension, its figure or the sort of part is missing, or the limits cross.
    """
    tokens = _tokens(tuple(text.split()))
    at = next((index for index, token in enumerate(tokens) if isinstance(token, Length)), 0)
    figures = [token for token in tokens[at : at + 2] if isinstance(token, Length)]
    if not at or not figures:
        raise EntryError("the dimension and its limit are missing.", f"Type: {LIMIT}.", "limit")
    named = " ".join(word for token in tokens[:at] for word in _typed(token))
    dimension = re.sub(r"\s+(at least|at most)$", "", named, flags=re.IGNORECASE)
    low_m, high_m = figures[0].si, figures[1].si if len(figures) == 2 else None
    if named != dimension and named.casefold().endswith("most"):
        low_m, high_m = high_m, low_m
    _check_limits(low_m, high_m, LIMIT)
    _check_dimension(dimension, "limit")
    new = {name: value for name, value in Limit(dimension, low_m, high_m)._asdict().items() if value is not None}

    def changed(detail: Mapping[str, Any]) -> dict[str, Any]:
        others = [item for item in detail.get("limits") or () if name_words(item["dimension"]) != name_words(dimension)]
        return {"limits": [*others, new]}

    kind = " ".join(word for token in tokens[at + len(figures) :] for word in _typed(token))
    return _kind_with(desk, kind, LIMIT, changed)


def _kind_with(
    desk: Desk, text: str, example: str, changed: Callable[[Mapping[str, Any]], dict[str, Any]]
) -> list[Draft]:
    """A sort of part defined anew, with some of it changed; sorts belong to every robot of the book."""
    known = pairs(desk.definitions().kinds)
    if not text.split():
        raise EntryError("the sort of part is missing.", f"Type: {example}.", "part kind")
    if not known:
        raise EntryError("the book has no part yet.", "Add one first: add part 0.2 kg bearing in W1.", "part kind")
    ident = find(" ".join(text.split()), known, "sort of part")
    was = next(desk.evidence.facts("part_kind", ident)).detail
    changes = {name: value for name, value in changed(was).items() if value is not None}
    return [desk.draft("part_kind", ident, {**was, **changes})._replace(robot=None)]


# what they share


def _new_name(words: Sequence[str], known: Sequence[tuple[str, str]], what: str, example: str, enough: str = "") -> str:
    """A name that nothing of its sort has yet; of one that has it, `enough` begins what can be typed instead."""
    if not any(letter.isalpha() for letter in "".join(words)):
        raise EntryError(f"the name of the {what} is missing.", f"Type: {example}.", what)
    name = label(" ".join(words).strip(" ,;:"), what)
    _check_dimension(name, what)
    taken = next((other for _, other in known if name_words(other) == name_words(name)), None)
    if taken is not None:
        hint = f"{enough} {taken}." if enough else "Give this one another name."
        raise EntryError(f"there is a {what} {taken!r:.40} already.", hint, what)
    return name


def _check_dimension(name: str, what: str) -> None:
    """Readings are kept by what they are of and the dimension, a slash between them."""
    if "/" in name:
        raise EntryError(f"{name!r:.40} has a slash in it.", "Leave the slash out of the name.", what)


def sections(words: tuple[str, ...], keys: Sequence[str]) -> tuple[tuple[str, ...], dict[str, str]]:
    """The words before the first of these keys, and what stands behind each; in as a unit is no key: 0.25 in."""
    head: list[str] = []
    told: dict[str, list[str]] = {}
    at = head
    folded_words = [word.casefold() for word in words]
    for index, (word, folded) in enumerate(zip(words, folded_words, strict=True)):
        later = words[index + 1 : index + 2]
        ends = not later or later[0] == "-" or FIGURE.match(later[0]) is not None
        once_more = index == 1 or ends or "in" in folded_words[index + 1 :]
        unit = folded == "in" and index > 0 and FIGURE.match(words[index - 1]) is not None and once_more
        if folded in keys and not unit:
            at = told.setdefault(folded, [])
        else:
            at.append(word)
    return tuple(head), {key: " ".join(found) for key, found in told.items()}


def _zones(desk: Desk, typed: str, name: str) -> list[str]:
    """The zones typed, else the one zone that a name tells: by a zone's name in it, a place, a word of the trade."""
    defs = desk.definitions()
    if not defs.zones:
        raise EntryError("the robot has no zone yet.", f"Add one first: {ZONE}.", "zone")
    titled = [(ident, item.title) for ident, item in defs.zones.items() if item.title]
    called = [*titled, *pairs(defs.zones)]
    if typed:
        words = typed.replace(",", " ").split()
        each = [typed] if len(words) == 1 or fitting(typed, called) else words
        return list(dict.fromkeys(find(one, called, "zone") for one in each))
    words = name_words(name)
    said = {ident for ident, item in defs.zones.items() if item.name.casefold() in words}
    placed = {defs.positions[place].zone for place in fitting(name, pairs(defs.positions))}
    for found in (said, placed, _home(desk, words)):
        if len(found) == 1:
            return list(found)
    known = ", ".join([item.name for item in defs.zones.values()][:14])
    raise EntryError(f"no word says where {name!r:.40} is.", f"Type its zone too: in W1. There is: {known}.", "zone")


def _home(desk: Desk, words: list[str]) -> set[str]:
    """Where such a thing lies on most robots; of two sides the one that L or R says."""
    home = home_of(words)
    zones = {item.name: ident for ident, item in desk.definitions().zones.items()}
    found = [zones[name] for name in home.zones if name in zones] if home else []
    sides = [zone for zone, side in zip(found, (LEFT, RIGHT), strict=False) if any(word in side for word in words)]
    return set(sides if home and len(home.zones) > 1 else found)


SORTS: dict[str, Adding] = {
    "joint": joint,
    "gap": gap,
    "part": weight_line,
    "zone": zone,
    "life": life,
    "limit": limit,
    "stock": added_line,
    "spares": wanted_line,
}
