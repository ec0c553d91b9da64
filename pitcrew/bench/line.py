"""The log line: what a person types, read into an act. A figure first or its subject first, or a plain verb.

262.05 gap between uprights with ROD      a reading (a bare figure is mm, N m or kg by what it is for)
hubs R 22 N m 1-4 new                     a torque, of some fasteners, new ones
113.04 kg B with SHS                      what a scale shows, for a configuration or a part
hit DR hard      hit W1 given not sure    a blow: zones, grade or not sure; taken, given, slam, landing
in wheel 5 at wheel 3      out wheel 3 to scrapped
withdraw 131                              take a line out, by its number
look wheel 4     over DR     marks hubs R     open motor R     note …
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import NamedTuple

from pitcrew.bench import correcting, fastening, fighting, fitting, looking, measuring
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, pairs
from pitcrew.bench.subjects import Figured, figured_subject
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.text import clean
from pitcrew.units import Quantity, read

SOURCES = ("taken", "given", "slam", "landing")
UNIT_WORDS = 4
MOST_FASTENERS = 64
MOST_DIGITS = 12


class Line(NamedTuple):
    """A line split up: its words, and the desk it is typed at."""

    desk: Desk
    words: tuple[str, ...]
    numbered: Callable[[int], str | None]


def drafts(desk: Desk, text: str, numbered: Callable[[int], str | None]) -> list[Draft]:
    """Read a typed line into the entries it means; `numbered` gives an entry's id by its number.

    Raises:
        EntryError: it cannot be read, or it does not fit the robot; nothing is written and nothing is lost.
    """
    # Split before cleaning: a tab between two words is a space, not nothing.
    typed = " ".join(filter(None, map(clean, text.split())))
    if not typed:
        raise EntryError("nothing was typed.", "Type a reading, a torque, a hit, in, out or withdraw.", "line")
    words = tuple(typed.split())
    verb = VERBS.get(words[0].casefold())
    if verb is not None:
        return verb(Line(desk, words[1:], numbered))
    return _figure(Line(desk, words, numbered))


def _figure(line: Line) -> list[Draft]:
    """A line with a figure in it: the figure's unit and the name decide what it is."""
    words, options = _options(line.words)
    figure, subject = _figure_and_subject(line.desk, words, options)
    quantity = _quantity(figure.text, subject)
    if subject.group == "joint":
        return _torque(line, subject.ident, quantity, options)
    stray = sorted(set(options) - {"with"})
    if stray:
        raise EntryError(
            f"{subject.name} takes no {', '.join(stray)}.", "Leave it out; it belongs to a torque.", "line"
        )
    tool = options.get("with")
    instrument = find(tool, pairs(line.desk.definitions().instruments), "instrument") if tool else None
    return _reading(line, subject, quantity, instrument)


def _figure_and_subject(desk: Desk, words: tuple[str, ...], options: dict[str, str]) -> tuple[_Typed, Figured]:
    """The figure and what it is of; the first way of parting them that names something the robot has."""
    ways = list(_ways(words))
    if not ways:
        raise EntryError(
            "there is no figure here that can be read, or nothing to say what it is of.",
            "Type the figure and the name: 262.05 gap between uprights.",
            "line",
        )
    refused: EntryError | None = None
    for figure, rest in ways:
        try:
            subject = _subject(desk, figure, rest, options)
        except EntryError as error:
            refused = refused or error
            if "more than one" in error.message:
                break  # one reading of the line fits twice: another one would be a guess
        else:
            if figure.dimension in ("", subject.dimension):
                return figure, subject
            refused = refused or _wrong(figure, subject)
    if _is_number(words[-1]) and "fasteners" not in options and len(words) > 2:
        with suppress(EntryError):
            figure, subject = _figure_and_subject(desk, words[:-1], options | {"fasteners": words[-1]})
            if subject.group == "joint":
                options["fasteners"] = words[-1]
                return figure, subject
    raise refused or EntryError("nothing fits.", "Type more of the name.", "line")


def _is_number(word: str) -> bool:
    return word.isascii() and word.isdigit() and len(word) <= 2


def _wrong(figure: _Typed, subject: Figured) -> EntryError:
    try:
        _quantity(figure.text, subject)
    except EntryError as error:
        return error
    return EntryError(f"{figure.text} is not a {subject.dimension}.", "Check the unit.", "line")


def _subject(desk: Desk, figure: _Typed, rest: tuple[str, ...], options: dict[str, str]) -> Figured:
    try:
        return figured_subject(desk, " ".join(rest), figure.dimension or None)
    except EntryError:
        # A number after a joint's whole name is one of its fasteners: motor R 1.
        if len(rest) < 2 or not _is_number(rest[-1]) or "fasteners" in options:
            raise
        joints = {joint.name.casefold(): joint for joint in desk.definitions().joints.values()}
        joint = joints.get(" ".join(rest[:-1]).casefold())
        if joint is None:
            raise
        options["fasteners"] = rest[-1]
        return Figured("joint", joint.id, joint.name, "torque", "N m")


class _Typed(NamedTuple):
    text: str
    dimension: str


def _ways(words: tuple[str, ...]) -> Iterator[tuple[_Typed, tuple[str, ...]]]:
    """Every way to part a figure with its unit, at one end of the words, from the rest; the longest figure first."""
    for count in range(min(UNIT_WORDS, len(words)), 0, -1):
        for head in (True, False):
            part = words[:count] if head else words[-count:]
            rest = words[count:] if head else words[:-count]
            if re.match(r"[+-]?[\d.,]", part[0]) is None or not rest:
                continue
            found = _readable(" ".join(part))
            if found is not None:
                yield found, rest


def _readable(text: str) -> _Typed | None:
    try:
        return _Typed(text, read(text).dimension)
    except NotationError:
        pass
    try:
        read(text, expect="length", bare_unit="mm")
    except NotationError:
        return None
    return _Typed(text, "")


def _quantity(text: str, subject: Figured) -> Quantity:
    return read(text, expect=subject.dimension, bare_unit=subject.unit, subject=subject.name)


def _options(words: tuple[str, ...]) -> tuple[tuple[str, ...], dict[str, str]]:
    """Words that say how: with ROD, 1-4, new, primer, no locker, second EW; the rest is figure and name."""
    left: list[str] = []
    options: dict[str, str] = {}
    queue = list(words)
    while queue:
        word = queue.pop(0)
        folded = word.casefold()
        if folded in ("with", "second") and queue:
            options[folded] = queue.pop(0)
        elif folded == "no" and queue and queue[0].casefold() in ("locker", "primer"):
            options[queue.pop(0).casefold()] = "no"
        elif folded in ("new", "primer", "locker"):
            options[folded] = "yes"
        elif _lists_fasteners(word, [*left, *queue]):
            options["fasteners"] = word.lstrip("#")
        else:
            left.append(word)
    return tuple(left), options


def _lists_fasteners(word: str, others: list[str]) -> bool:
    """1-4, #3, or 1,3 where another word is the figure: by itself 22,5 is a decimal comma."""
    if re.fullmatch(r"#\d+(,\d+)*|\d+-\d+(,\d+(-\d+)?)*", word):
        return True
    return re.fullmatch(r"\d+(,\d+)+", word) is not None and any(re.match(r"[.\d]", other) for other in others)


def _numbers(text: str) -> list[int]:
    numbers: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        if max(len(first), len(last)) > 2 or int(last or first) > MOST_FASTENERS:
            raise EntryError(
                f"{text!r:.20} is more fasteners than a joint has.", "Name them: 1-4, or 1,3.", "fasteners"
            )
        numbers += range(int(first), int(last or first) + 1)
    return numbers


def _torque(line: Line, joint: str, quantity: Quantity, options: dict[str, str]) -> list[Draft]:
    tool = options.get("with")
    fasteners = options.get("fasteners")
    return fastening.torque(
        line.desk,
        joint,
        quantity.si,
        fasteners=_numbers(fasteners) if fasteners else "all",
        instrument=find(tool, pairs(line.desk.definitions().instruments), "instrument") if tool else None,
        locker={"yes": True, "no": False}.get(options.get("locker", "")),
        primer=options.get("primer") == "yes",
        new_fasteners=options.get("new") == "yes",
        second=options.get("second"),
        typed=quantity.typed,
    )


def _reading(line: Line, subject: Figured, quantity: Quantity, instrument: str | None) -> list[Draft]:
    if subject.group == "configuration":
        if instrument is None:
            raise EntryError("a weighing needs its scale.", "Say which: 113.04 kg B with SHS.", "with")
        return measuring.weigh_robot(line.desk, subject.ident, quantity.si, instrument, quantity.typed)
    if subject.group == "part":
        return measuring.weigh_part(line.desk, subject.ident, quantity.si, instrument, quantity.typed)
    if subject.group == "stack":
        return measuring.direct(line.desk, subject.ident, quantity.si, instrument, quantity.typed)
    of, name = subject.ident.rsplit("/", 1)
    return measuring.dimension(line.desk, of, name, quantity.si, instrument, quantity.typed)


def _hit(line: Line) -> list[Draft]:
    zones: list[str] = []
    grade, source, not_sure, in_fight = 0, "taken", False, True
    words = list(line.words)
    while words:
        typed = words.pop(0)
        word = typed.casefold()
        if word in fighting.GRADES:
            grade = fighting.GRADES[word]
        elif word in SOURCES:
            source = word
        elif word == "not" and words and words[0].casefold() == "sure":
            words.pop(0)
            not_sure = True
        elif word == "pit":
            in_fight = False
        elif word not in ("in", "the", "on"):
            zones.append(find(typed, _zones(line.desk), "zone"))
    if not zones or not (grade or not_sure):
        raise EntryError("a hit has a zone and a grade.", "Type: hit DR solid, or hit W1 not sure.", "hit")
    return fighting.hit(line.desk, zones, grade, source, not_sure=not_sure, in_fight=in_fight)


def _zones(desk: Desk) -> list[tuple[str, str]]:
    return [(zone.id, zone.name) for zone in desk.definitions().zones.values()]


def _in(line: Line) -> list[Draft]:
    part_words, place_words = _around(line.words, "at")
    if not place_words:
        raise EntryError("say where it goes.", "Type: in wheel 5 at wheel 3.", "in")
    part = find(" ".join(part_words), spares(line.desk), "part")
    return fitting.part_in(line.desk, part, _place(line.desk, place_words))


def spares(desk: Desk) -> list[tuple[str, str]]:
    """The robot's parts by id and name."""
    return [(fact.subject, str(fact.detail["name"])) for fact in desk.evidence.definitions("part", desk.robot)]


def _out(line: Line) -> list[Draft]:
    place_words, to = _around(line.words, "to")
    where = " ".join(to).casefold() or "spares"
    if where not in ("spares", "quarantine", "scrapped", "lost"):
        raise EntryError(f"{where!r:.30} is not where a part goes.", "Say spares, quarantine, scrapped or lost.", "to")
    return fitting.part_out(line.desk, _place(line.desk, place_words), where)


def _around(words: tuple[str, ...], word: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    for index, found in enumerate(words):
        if found.casefold() == word:
            return words[:index], words[index + 1 :]
    return words, ()


def _place(desk: Desk, words: tuple[str, ...]) -> str:
    return find(" ".join(words), pairs(desk.definitions().positions), "place")


def _withdraw(line: Line) -> list[Draft]:
    number = "".join(line.words[:1]).lstrip("#")
    readable = number.isascii() and number.isdigit() and len(number) <= MOST_DIGITS
    ident = line.numbered(int(number)) if readable else None
    if ident is None:
        raise EntryError("name the line by its number.", "Type: withdraw 131; the log shows the numbers.", "withdraw")
    return correcting.withdraw(line.desk, ident, " ".join(line.words[1:]))


def _look(line: Line) -> list[Draft]:
    return looking.look_at(line.desk, [_place(line.desk, line.words)])


def _over(line: Line) -> list[Draft]:
    if not line.words:
        raise EntryError("say which zones were looked over.", "Type: over DR.", "over")
    return looking.look_over(line.desk, [find(word, _zones(line.desk), "zone") for word in line.words])


def _joint(line: Line) -> str:
    return find(" ".join(line.words), pairs(line.desk.definitions().joints), "joint")


def _marks(line: Line) -> list[Draft]:
    return fastening.marks_good(line.desk, _joint(line))


def _open(line: Line) -> list[Draft]:
    return fastening.open_joint(line.desk, _joint(line))


def _note(line: Line) -> list[Draft]:
    if not line.words:
        raise EntryError("the note is empty.", "Type: note belt box is empty.", "note")
    return correcting.note(line.desk, " ".join(line.words))


VERBS: dict[str, Callable[[Line], list[Draft]]] = {
    "hit": _hit,
    "in": _in,
    "out": _out,
    "withdraw": _withdraw,
    "look": _look,
    "over": _over,
    "marks": _marks,
    "open": _open,
    "note": _note,
}
