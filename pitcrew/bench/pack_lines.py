"""Lines about packs: which of them, the figures in any order told apart by their units, and who watches.

pack P9 4.18 V 2.4 mOhm                    read: the lowest cell, the worst cell
pack P1 4.18 4.19 4.19 4.18 4.20 4.18 V    read: every cell in order
pack set 1 46 C 5.2 Ah                     a whole set: how warm, what was used
charge set 1 8 A 5.2 Ah 30 C watched EW    on charge
full set 1 4.19 V     storage set 1     stopped P9 3.95 V     off charge
packs out 46 C 5.2 Ah     packs in set 2 4.18 V     packs set 2     out, in, chosen
quarantine P7                              outside, watched
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from pitcrew.bench import fitting, packing
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, name_words, pairs
from pitcrew.bench.names import fitting as fits
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Part, read
from pitcrew.robot.records import Entry
from pitcrew.units import read as read_figure

PACK, CHARGE, FULL = "pack set 1 46 C 5.2 Ah", "charge set 1 8 A 5.2 Ah watched EW", "full set 1 4.19 V"
READ, CHARGED = "Type volts, mOhm, C or Ah: ", "Type A, Ah or C: "
ENDS = ("full", "storage", "stopped")
_FIGURE = re.compile(r"([+-]?[0-9]*[.,]?[0-9]+)(.*)")
NAMES = {"voltage": "volts", "resistance": "ohms", "temperature": "heat", "charge": "Ah", "current": "A"}


class Told(NamedTuple):
    """What a line says: packs by id, figures in SI by what they measure, words that go with them."""

    packs: tuple[str, ...]
    figures: dict[str, tuple[float, ...]]
    typed: str = ""
    instrument: str | None = None
    watched_by: str = ""

    def one(self, dimension: str) -> float | None:
        """The only figure of a dimension, or none.

        Raises:
            EntryError: there are several.
        """
        found = self.figures.get(dimension, ())
        if len(found) > 1:
            raise EntryError(f"there are {len(found)} figures of {NAMES[dimension]}.", "Type one of them.", "pack")
        return found[0] if found else None


def packs_known(case: Case) -> list[tuple[str, str]]:
    """Every pack of the robot by id and name, those put away with them."""
    found = []
    for fact in case.evidence.definitions("part", case.robot):
        kind = case.defs.kinds.get(read(Part, fact).part_kind)
        if kind is not None and (kind.pack or kind.charging is not None):
            found.append((fact.subject, str(fact.detail["name"])))
    return found


def pack_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`pack` and these words: packs read.

    Raises:
        EntryError: no pack or no figure of one, or figures that cannot be read.
    """
    told = _told(desk, words, PACK)
    return packing.read_packs(desk, told.packs, read_of(told))


def charge_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`charge` and these words: packs on charge; refused where a pack is not to be charged."""
    told = _told(desk, words, CHARGE)
    _only(told, ("current", "charge", "temperature"), CHARGED + CHARGE)
    charge = packing.Charged(told.one("current"), told.one("charge"), told.one("temperature"), told.watched_by)
    return packing.on_charge(desk, told.packs, charge)


def ended_line(desk: Desk, to: str, words: Sequence[str]) -> list[Draft]:
    """`full`, `storage` or `stopped` and these words: packs off charge."""
    told = _told(desk, words, FULL.replace("full", to))
    _only(told, ("voltage",), f"Type the lowest cell: {FULL.replace('full', to)}.")
    return packing.off_charge(desk, told.packs, to, told.one("voltage"), told.instrument)


def quarantine_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`quarantine` and these words: packs outside, watched."""
    told = _told(desk, words, "quarantine P7")
    _only(told, (), "Type: quarantine P7.")
    return packing.quarantined(desk, told.packs)


def packs_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`packs` and these words: out, with what was read; in, of a set or the one chosen; or a set to be chosen.

    Raises:
        EntryError: it is none of these, or the book has no such set.
    """
    verb, rest = (words[0].casefold() if words else ""), words[1:]
    if verb == "out":
        return packing.packs_out(desk, read_of(_figures(desk, rest, PACK)))
    if verb == "in":
        name, figures = _set_at(desk, rest)
        return packing.packs_in(desk, name or _chosen(desk), read_of(_figures(desk, figures, PACK)))
    if verb:
        return fitting.choose_packs(desk, find(" ".join(words), pairs(desk.definitions().pack_sets), "pack set"))
    raise EntryError("say what the packs do.", "Type: packs out 46 C 5.2 Ah, packs in set 2, or packs set 2.", "packs")


def read_of(told: Told) -> packing.PackRead:
    """What a line says was read of a pack.

    Raises:
        EntryError: a current, or more than one temperature or charge.
    """
    _only(told, ("voltage", "resistance", "temperature", "charge"), f"{READ}{PACK}.")
    volts, ohms = told.figures.get("voltage", ()), told.figures.get("resistance", ())
    return packing.PackRead(
        cells_v=volts if len(volts) > 1 else (),
        lowest_v=volts[0] if len(volts) == 1 else None,
        cells_ohm=ohms if len(ohms) > 1 else (),
        ohm_per_cell=ohms[0] if len(ohms) == 1 else None,
        temperature_k=told.one("temperature"),
        used_coulomb=told.one("charge"),
        instrument=told.instrument,
        typed=told.typed,
    )


def figures_of(desk: Desk, text: str) -> packing.PackRead:
    """What was read of packs, as it is typed without their names: 46 C 5.2 Ah."""
    return read_of(_figures(desk, text.split(), "46 C 5.2 Ah"))


def charge_of_text(desk: Desk, text: str) -> packing.Charged:
    """How packs are charged, as it is typed without their names: 8 A 5.2 Ah watched EW."""
    told = _figures(desk, text.split(), "8 A 5.2 Ah watched EW")
    _only(told, ("current", "charge", "temperature"), f"{CHARGED}8 A 5.2 Ah watched EW.")
    return packing.Charged(told.one("current"), told.one("charge"), told.one("temperature"), told.watched_by)


def corrected(desk: Desk, entry: Entry, text: str) -> dict[str, Any]:
    """What a line about packs should have said, as it is typed anew; what is not typed stays as it was.

    Raises:
        EntryError: it is not what such a line holds.
    """
    words = text.split()
    if entry.kind == "charge_started":
        charge = charge_of_text(desk, text)._asdict()
        return {name: value for name, value in charge.items() if value not in (None, "")}
    if entry.kind == "charge_ended":
        to = words[0].casefold() if words[0].casefold() in ENDS else str(entry.detail["to"])
        told = _figures(desk, words[1:] if words[0].casefold() in ENDS else words, FULL)
        _only(told, ("voltage",), f"Type: {FULL}.")
        lowest = told.one("voltage")
        packing.checked(desk, entry.subject, packing.PackRead(lowest_v=lowest))
        return {"to": to} | ({"lowest_v": lowest} if lowest is not None else {})
    read = read_of(_figures(desk, words, "4.18 V"))
    packing.checked(desk, entry.subject, read)
    found = {name: list(value) if isinstance(value, tuple) else value for name, value in read._asdict().items()}
    found = {name: value for name, value in found.items() if value not in (None, "", [])}
    # Every cell takes the place of the lowest one, and the other way round.
    for one, other in (("cells_v", "lowest_v"), ("cells_ohm", "ohm_per_cell")):
        if one in found or other in found:
            found.setdefault(one, None)
            found.setdefault(other, None)
    return found


def _only(told: Told, dimensions: Sequence[str], hint: str) -> None:
    stray = next((name for name in told.figures if name not in dimensions), None)
    if stray is not None:
        raise EntryError(f"a figure of {stray} has no place here.", hint, "pack")


def _chosen(desk: Desk) -> str:
    chosen = packing.chosen_set(desk.case())
    if chosen is None:
        raise EntryError("no set was chosen since the last fight.", "Say which: packs in set 2.", "packs")
    return chosen


def _told(desk: Desk, words: Sequence[str], example: str) -> Told:
    """The packs named first, and what follows them."""
    case = desk.case()
    called: list[tuple[tuple[str, ...], str]] = [((ident,), name) for ident, name in packs_known(case)]
    called.extend((item.packs, item.name) for item in case.defs.pack_sets.values())
    packs: list[str] = []
    left = tuple(word.strip(",") for word in words)
    while left:
        meant, left_now = _first(called, left)
        if meant is None:
            break
        packs += meant
        left = left_now
    if not packs:
        name = " ".join(_until_figure(left))
        if name:
            find(name, [(name, name) for _, name in called], "pack or set")
        raise EntryError("no pack was named.", f"Type: {example}.", "pack")
    return _figures(desk, left, example)._replace(packs=tuple(dict.fromkeys(packs)))


def _first(
    called: Sequence[tuple[tuple[str, ...], str]], words: tuple[str, ...]
) -> tuple[tuple[str, ...] | None, tuple[str, ...]]:
    """The packs that the first words name in full, the longest name first; and the words after it."""
    for count in range(min(len(words), 6), 0, -1):
        wanted = name_words(" ".join(words[:count]))
        for packs, name in called:
            if wanted and name_words(name) == wanted:
                return packs, words[count:]
    # A part of a name will do where it is the only one: alone, with no figure in it.
    some = " ".join(_until_figure(words))
    meant = fits(some, called) if some else []
    return (meant[0], words[len(some.split()) :]) if len(meant) == 1 else (None, words)


def _until_figure(words: Sequence[str]) -> list[str]:
    found: list[str] = []
    for word in words:
        if _FIGURE.match(word) or word.casefold() in ("with", "watched"):
            break
        found.append(word)
    return found


def _set_at(desk: Desk, words: Sequence[str]) -> tuple[str | None, Sequence[str]]:
    """The set that the first words name, and the words after it."""
    sets = desk.definitions().pack_sets
    for count in range(len(words), 0, -1):
        wanted = name_words(" ".join(words[:count]))
        for item in sets.values():
            if name_words(item.name) == wanted:
                return item.id, words[count:]
    name = " ".join(_until_figure(words))
    return (find(name, pairs(sets), "pack set") if name else None), words[len(name.split()) :]


def _figures(desk: Desk, words: Sequence[str], example: str) -> Told:
    """Figures and the words that go with them, without packs; figures in a row share the unit of the last."""
    figures: dict[str, tuple[float, ...]] = {}
    instrument, watched_by = None, ""
    left = list(words)
    while left:
        word = left[0].casefold()
        if word == "with":
            tool = " ".join(left[1:2])
            instrument, left = find(tool, pairs(desk.definitions().instruments), "instrument"), left[2:]
        elif word == "watched":
            left = left[2:] if len(left) > 1 and left[1].casefold() == "by" else left[1:]
            watched_by, left = " ".join(_names(left)), left[len(_names(left)) :]
        elif word in ("used", "at"):
            left = left[1:]
        else:
            dimension, values, left = _run(left, example)
            figures[dimension] = figures.get(dimension, ()) + values
    typed = " ".join(words)
    return Told((), figures, typed, instrument, watched_by)


def _names(words: Sequence[str]) -> Sequence[str]:
    """Who watches: every word up to a figure or a word of the line."""
    found = _until_figure(words)
    if not found:
        raise EntryError("say who watches.", f"Type: {CHARGE}.", "watched")
    return found


def _run(words: list[str], example: str) -> tuple[str, tuple[float, ...], list[str]]:
    """The figures at the front that share a unit: what they measure, their values, and what follows."""
    numbers: list[str] = []
    unit = ""
    while words and not unit and (match := _FIGURE.fullmatch(words[0])):
        numbers.append(match[1])
        unit, words = match[2], words[1:]
    if not numbers:
        raise EntryError(f"{words[0]!r:.30} is not understood here.", f"Type: {example}.", "pack")
    if not unit:
        count = 2 if [word.casefold() for word in words[:1]] == ["deg"] else 1
        unit, words = " ".join(words[:count]), words[count:]
    if not unit:
        raise EntryError(f"{numbers[-1]} has no unit.", f"Type it: {example}.", "pack")
    # A bare C is a temperature here: nobody writes a pack's charge in coulombs.
    expect = "temperature" if unit.casefold() in ("c", "f") else None
    quantities = [read_figure(f"{number} {unit}", expect=expect) for number in numbers]
    dimension = quantities[0].dimension
    if dimension not in NAMES:
        raise EntryError(f"{numbers[0]} {unit} says nothing of a pack.", f"Type: {example}.", "pack")
    return dimension, tuple(quantity.si for quantity in quantities), words


def line_of(verb: str, desk: Desk, words: Sequence[str]) -> list[Draft]:
    """A line about packs, by its verb.

    Raises:
        EntryError: it cannot be read, or it does not fit the packs; nothing is written.
    """
    if verb in ENDS:
        return ended_line(desk, verb, words)
    lines = {"pack": pack_line, "packs": packs_line, "charge": charge_line, "quarantine": quarantine_line}
    return lines[verb](desk, words)
