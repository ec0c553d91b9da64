"""A weight list as a shop types it: each line a part with its mass, its sort, and a place in a zone.

3.30 kg weapon shaft                in the zone its name says
3.30 kg weapon shaft in W1          in the zone typed
2 lb 6.5 oz drive motor L           left or right by L or R
4 x 0.22 kg bearing                 bearing 1 to bearing 4; of what has two sides, the first half left
0.95 kg spare wheel                 not on the robot
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from typing import NamedTuple

from pitcrew.bench import correcting
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, name_words
from pitcrew.bench.starting import label
from pitcrew.bench.templates import OTHER, SORTS, Sort, home_of, singular
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.weights import limit_kg
from pitcrew.text import clean
from pitcrew.units import Quantity, read

MOST_ALIKE = 24
UNIT_WORDS = 4
LEFT, RIGHT = ("l", "left"), ("r", "right")
_EXAMPLE = "Type a mass and a name: 3.30 kg weapon shaft."
_ALIKE = re.compile(r"(\d{1,9}) ?[x*\u00d7] +(?=\S)", re.IGNORECASE)
_TURNED = re.compile(r"[x*\u00d7] ?\d", re.IGNORECASE)


def weight_line(desk: Desk, text: str) -> list[Draft]:
    """One line of a weight list: a part with its mass and its sort, at a place of its own in a zone.

    A pack comes at a pack place, and belongs to the robot's one pack set.

    Raises:
        EntryError: no mass, no name or one that is taken, or a zone that no word tells; nothing is written.
    """
    return weight_list(desk, [text])


def weight_list(desk: Desk, lines: Sequence[str]) -> list[Draft]:
    """A whole weight list, all or nothing; empty lines are passed over.

    Raises:
        EntryError: a line cannot be taken; with several lines its place begins with the line's number.
    """
    made = _Making(desk)
    for number, line in enumerate(lines, 1):
        words = tuple(filter(None, map(clean, line.split())))
        if not words and len(lines) > 1:
            continue
        try:
            made.add(_weight(words))
        except EntryError as error:
            if len(lines) > 1:
                error.place = f"line {number}, {error.place}" if error.place else f"line {number}"
            raise
    return made.finished()


_Way = tuple[tuple[str, ...], tuple[str, ...]]


class _Weight(NamedTuple):
    """A line of a weight list, parted. `zone` is what was typed after `in`; empty: it was left out."""

    mass_kg: float
    name: str
    zone: str
    alike: int
    spare: bool


def _weight(words: tuple[str, ...]) -> _Weight:
    if not words:
        raise EntryError("nothing was typed.", _EXAMPLE, "weight")
    alike = _ALIKE.match(" ".join(words))
    count = int(alike[1]) if alike else 1
    if not 1 <= count <= MOST_ALIKE:
        raise EntryError(f"{count} alike is no weight line.", f"Take 1 to {MOST_ALIKE} a line.", "weight")
    if alike:
        words = tuple(" ".join(words)[alike.end() :].split())
    quantity, named, typed_zone = _figure_and_name(words)
    if quantity.si < 0:
        raise EntryError("a part weighs nothing or more.", _EXAMPLE, "weight")
    spare = any(word.casefold() in ("spare", "spares") for word in named)
    name = label(" ".join(w for w in named if w.casefold() not in ("spare", "spares")).strip(" ,;:"), "weight")
    turned = _TURNED.match(name) is not None or (alike is not None and name[0].isdigit())
    if turned or not any(letter.isalpha() for letter in name):
        raise EntryError(f"{name!r:.40} is no name of a part.", "Type: 4 x 0.22 kg bearing.", "weight")
    return _Weight(quantity.si, name, typed_zone, count, spare)


def _figure_and_name(words: tuple[str, ...]) -> tuple[Quantity, tuple[str, ...], str]:
    """The mass, the words of the name, and the zone typed: the mass stands before or behind the zone."""
    named, typed_zone = _before_zone(words)
    heads, tails = _ends(named)
    if typed_zone and (_with_unit(heads, "mass") or _with_unit(tails, "mass")):
        return (*_mass(named), typed_zone)
    quantity, rest = _mass(words)
    return (quantity, *_before_zone(rest))


def _before_zone(words: tuple[str, ...]) -> tuple[tuple[str, ...], str]:
    """The name, and the zone typed behind the last `in`."""
    for index in range(len(words) - 2, 0, -1):
        if words[index].casefold() == "in":
            return words[:index], " ".join(words[index + 1 :])
    return words, ""


def _mass(words: tuple[str, ...]) -> tuple[Quantity, tuple[str, ...]]:
    """The mass of a line, at its beginning or end, and the rest. A bare figure counts at the beginning, in kg."""
    heads, tails = _ends(words)
    found = [*filter(None, (_with_unit(heads, "mass"), _with_unit(tails, "mass")))]
    if len(found) == 2 and found[0][1]:
        first, last = (quantity.typed for quantity, _ in found)
        raise EntryError(f"there are two masses here, {first} and {last}.", "Type one part a line.", "weight")
    if found:
        _check_one_way(words, found[0])
        return found[0]
    if other := _with_unit(heads, None):
        read(other[0].typed, expect="mass", subject="what a part weighs")
    if not any(letter.isdigit() for letter in words[0]):
        raise EntryError("there is no mass here.", _EXAMPLE, "weight")
    return read(words[0], expect="mass", bare_unit="kg", subject="weight"), words[1:]


def _ends(words: tuple[str, ...]) -> tuple[list[_Way], list[_Way]]:
    """Some words at the beginning with the rest, and some at the end with the rest; the most words first."""
    counts = range(min(UNIT_WORDS, len(words)), 0, -1)
    return [(words[:n], words[n:]) for n in counts], [(words[-n:], words[:-n]) for n in counts]


def _check_one_way(words: tuple[str, ...], found: tuple[Quantity, tuple[str, ...]]) -> None:
    """Refuse wheel 1 1/2 lb: the number may belong to the name or to the mass."""
    quantity, rest = found
    shorter = words[len(rest) + 1 :]
    if rest and rest == words[: len(rest)] and shorter and (other := _with_unit([(shorter, ())], "mass")):
        said = f"{quantity.typed} or {other[0].typed}"
        raise EntryError(f"this can be read in two ways: {said}.", "Type the mass first: 1.5 lb wheel 1 L.", "weight")


def _with_unit(ways: Sequence[_Way], dimension: str | None) -> tuple[Quantity, tuple[str, ...]] | None:
    """The longest figure with its unit, of a dimension or of any, and the rest."""
    for part, rest in ways:
        if any(letter.isdigit() for letter in part[0]):
            with suppress(NotationError):
                return read(" ".join(part), expect=dimension), rest
    return None


class _Making:
    """A weight list while it is read: what the robot has, and what the lines so far add to it."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.case = desk, desk.case()
        defs = self.case.defs
        self.zones = {item.name: item.id for item in defs.zones.values()}
        titled = [(item.id, item.title) for item in defs.zones.values() if item.title]
        self.called = [*titled, *((ident, name) for name, ident in self.zones.items())]
        self.sorts = {item.name.casefold(): item.id for item in defs.kinds.values()}
        self.places = [name_words(item.name) for item in defs.positions.values()]
        parts = desk.evidence.definitions("part", desk.robot)
        self.parts = [name_words(str(fact.detail["name"])) for fact in parts]
        self.pack_places = sum(item.role == "pack" for item in defs.positions.values())
        self.limit_kg = limit_kg(self.case)
        official = defs.event.official_scale if defs.event else None
        scales = [item.id for item in defs.instruments.values() if item.unit == "kg" and item.id != official]
        self.scale = scales[0] if scales else None
        self.packs: list[str] = []
        self.drafts: list[Draft] = []

    def add(self, line: _Weight) -> None:
        """Add the parts of a line."""
        home = home_of(name_words(line.name))
        sort = next((item for item in SORTS if home and item.name == home.sort), OTHER)
        if self.limit_kg is not None and line.mass_kg > self.limit_kg:
            over = f"{line.mass_kg:g} kg is more than the whole robot may weigh, {self.limit_kg:g} kg."
            raise EntryError(over, "Type the unit: 390 g, or 2 lb 6.5 oz.", "weight")
        zones = self._zones(line, home.zones if home else ())
        for number in range(line.alike):
            side = number * len(zones) // line.alike
            name = _numbered(line, number, "LR"[side] if len(zones) > 1 else "")
            part = self._part(name, sort, line.mass_kg)
            if not line.spare:
                self._put_in(part, name, sort, zones[side])

    def finished(self) -> list[Draft]:
        """Everything the lines add, the pack set last."""
        if not self.packs:
            return self.drafts
        sets = self.desk.evidence.definitions("pack_set", self.desk.robot)
        if not sets:
            detail = {"name": "set 1", "packs": [*self.case.packs(), *self.packs]}
            made = self.desk.draft("pack_set", self.desk.mint(), detail)
            return [*self.drafts, made._replace(act=self.desk.mint())]
        if len(sets) > 1:
            return self.drafts
        packs = [*filter(self.case.part, sets[0].detail["packs"]), *self.packs]
        return [*self.drafts, *correcting.correct(self.desk, sets[0].id, {"packs": packs})]

    def _zones(self, line: _Weight, names: Sequence[str]) -> list[str]:
        """The zone typed, or the one a name says; the left and the right one when a line is of as many of each."""
        if line.zone:
            return [find(line.zone, self.called, "zone")]
        if line.spare:
            return [""]
        zones = [self.zones[name] for name in names if name in self.zones]
        if not zones or len(zones) < len(names):
            known = ", ".join(list(self.zones)[:14])
            raise EntryError(
                f"no word says where {line.name!r:.40} is.",
                f"Type its zone behind it: in FR. There is: {known}.",
                "zone",
            )
        words = name_words(line.name)
        sides = [zone for zone, side in zip(zones, (LEFT, RIGHT), strict=False) if any(word in side for word in words)]
        if len(zones) == 1 or (not sides and line.alike % 2 == 0):
            return zones
        if len(sides) != 1:
            hint = f"Type L or R with it, or its zone: in {names[0]}."
            raise EntryError(f"{line.name!r:.40} can be left or right.", hint, "zone")
        return sides

    def _part(self, name: str, sort: Sort, mass_kg: float) -> str:
        if name_words(name) in self.parts:
            raise _taken(name)
        self.parts.append(name_words(name))
        kind, part = self._kind(sort), self.desk.mint()
        detail = {"name": name, "part_kind": kind, "mass_kg": mass_kg, "mass_instrument": self.scale}
        self.drafts.append(self.desk.draft("part", part, detail))
        return part

    def _put_in(self, part: str, name: str, sort: Sort, zone: str) -> None:
        place = self.desk.mint()
        detail = {"name": self._place_name(name, sort), "zone": zone, "role": "pack" if sort.pack else None}
        self.drafts.append(self.desk.draft("position", place, detail))
        self.drafts.append(self.desk.draft("fitted", part, {"new": False}, place=place))
        if sort.pack:
            self.packs.append(part)

    def _place_name(self, name: str, sort: Sort) -> str:
        """A part that stays gives its place its name; a pack goes from place to place, which are numbered."""
        if sort.pack:
            self.pack_places += 1
            while name_words(f"pack {self.pack_places}") in self.places:
                self.pack_places += 1
            name = f"pack {self.pack_places}"
        if name_words(name) in self.places:
            raise _taken(name)
        self.places.append(name_words(name))
        return name

    def _kind(self, sort: Sort) -> str:
        """The book's sort of part of this name; the first part of its sort brings it."""
        ident = self.sorts.get(sort.name.casefold())
        if ident is None:
            ident = self.sorts[sort.name.casefold()] = self.desk.mint()
            detail = {name: value for name, value in sort._asdict().items() if value is not False}
            # An act of its own: taking the line back must not take the sort from the parts that came after.
            kind = self.desk.draft("part_kind", ident, detail)
            self.drafts.append(kind._replace(robot=None, act=self.desk.mint()))
        return ident


def _taken(name: str) -> EntryError:
    return EntryError(f"there is a {name!r:.40} already.", "Give this one a number: wheel 2.", "weight")


def _numbered(line: _Weight, number: int, side: str) -> str:
    """The name of one of several: bearing 2; of two, one of each side, wheel L."""
    if line.alike == 1:
        return line.name
    *first, last = line.name.split()
    parts = [*first, singular(last)]
    if not (side and line.alike == 2):
        parts.append(str(number + 1))
    return label(" ".join(filter(None, (*parts, side))), "weight")
