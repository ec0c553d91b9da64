"""A typed line with a figure in it, parted: the figure with its unit, what it is of, and the words that say how.

Only a torque has fasteners, and a bare number can be a figure or a fastener, 4,5 a figure or two fasteners. A way of
parting the line counts when what it names is there and the fasteners are ones the joint has. A comma is a decimal
comma where that makes sense of the line; a line that can be parted in two ways is refused, not guessed at.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.subjects import Figured, figured_subject, names_a_figure
from pitcrew.errors import EntryError, NotationError
from pitcrew.units import read

UNIT_WORDS = 4
MOST_FASTENERS = 64
MOST_WORDS = 24
FASTENERS = re.compile(r"\d{1,3}(-\d{1,3})?(,\d{1,3}(-\d{1,3})?)*")

Options = dict[str, str]


class Typed(NamedTuple):
    """A figure as it was typed, with the dimension of its unit (empty: it has none)."""

    text: str
    dimension: str


class Meant(NamedTuple):
    """What a line says: a figure, what it is of, and the options typed with it."""

    figure: Typed
    subject: Figured
    options: Options


def parted(desk: Desk, words: tuple[str, ...]) -> Meant:
    """Part a line with a figure in it.

    Raises:
        EntryError: it cannot be parted, or in more than one way.
    """
    whole = " ".join(words)
    if names_a_figure(desk.case(), whole):
        raise EntryError(f"{whole!r:.40} is the name of a thing to read.", "Type its figure too.", "line")
    left, options = _options(words)
    plain = _attempt(desk, left, options)
    if isinstance(plain, Meant):
        return plain
    tried = [] if "fasteners" in options or len(left) > MOST_WORDS else [*_lists(desk, left), *_ones(desk, left)]
    found = [way for way in tried if isinstance(way, Meant)]
    ways = list({(way.figure, way.options["fasteners"]): way for way in found}.values())
    fit = [way for way in ways if _has(desk, way)]
    if len(fit) > 1:
        said = " or ".join(f"{way.figure.text} on {way.options['fasteners']}" for way in fit[:2])
        raise EntryError(f"this can be read in two ways: {said}.", "Type the unit of the torque: 4 N m.", "line")
    if ways:
        meant = (fit or ways)[0]
        return meant._replace(options=options | meant.options)
    refused = [plain, *(way for way in tried if isinstance(way, EntryError))]
    raise next((error for error in refused if "more than one" in error.message), plain)


def _attempt(desk: Desk, words: tuple[str, ...], options: Options) -> Meant | EntryError:
    try:
        return _meant(desk, words, options)
    except EntryError as error:
        return error


def _has(desk: Desk, way: Meant) -> bool:
    """Does the joint have these fasteners?"""
    count = desk.definitions().joints[way.subject.ident].fastener_count
    return all(1 <= number <= count for number in numbers(way.options["fasteners"]))


def _lists(desk: Desk, words: tuple[str, ...]) -> Iterator[Meant | EntryError]:
    """1,3 as fasteners: the figure is another word, and has its unit where the list comes first."""
    for index, word in enumerate(words):
        others = words[:index] + words[index + 1 :]
        if re.fullmatch(r"\d+(,\d+)+", word) and any(re.match(r"[.\d]", other) for other in others):
            way = _attempt(desk, others, {"fasteners": word})
            if isinstance(way, EntryError) or (way.subject.group == "joint" and (index or way.figure.dimension)):
                yield way


def _ones(desk: Desk, words: tuple[str, ...]) -> Iterator[Meant]:
    """A lone small number anywhere after a joint's whole name is one of its fasteners: motor R 1."""
    for index, word in enumerate(words):
        if index and word.isascii() and word.isdigit() and len(word) <= len(str(MOST_FASTENERS)):
            way = _attempt(desk, words[:index] + words[index + 1 :], {"fasteners": word})
            if isinstance(way, Meant) and way.subject.group == "joint" and _named(way.subject.name, words[:index]):
                yield way


def _named(name: str, words: tuple[str, ...]) -> bool:
    return set(name.casefold().split()) <= {word.casefold() for word in words}


def _meant(desk: Desk, words: tuple[str, ...], options: Options) -> Meant:
    """The figure and what it is of; the first way of parting them that names something the robot has."""
    refused: EntryError | None = None
    for figure, rest in ways(words):
        try:
            subject = figured_subject(desk, " ".join(rest), figure.dimension or None)
        except EntryError as error:
            refused = refused or error
            if "more than one" in error.message:
                break  # one reading of the line fits twice: another one would be a guess
        else:
            if figure.dimension in ("", subject.dimension):
                return Meant(figure, subject, options)
            refused = refused or _wrong(figure, subject)
    raise refused or EntryError(
        "there is no figure here that can be read, or nothing to say what it is of.",
        "Type the figure and the name: 262.05 gap between uprights.",
        "line",
    )


def _wrong(figure: Typed, subject: Figured) -> EntryError:
    try:
        read(figure.text, expect=subject.dimension, bare_unit=subject.unit, subject=subject.name)
    except EntryError as error:
        return error
    return EntryError(f"{figure.text} is not a {subject.dimension}.", "Check the unit.", "line")


def ways(words: tuple[str, ...]) -> Iterator[tuple[Typed, tuple[str, ...]]]:
    """Every way to part a figure with its unit, at one end of the words, from the rest; the longest figure first."""
    for count in range(min(UNIT_WORDS, len(words)), 0, -1):
        for head in (True, False):
            part = words[:count] if head else words[-count:]
            rest = words[count:] if head else words[:-count]
            if re.match(r"[+-]?[\d.,]", part[0]) is None or not rest:
                continue
            found = readable(" ".join(part))
            if found is not None:
                yield found, rest


def readable(text: str) -> Typed | None:
    """A text that is a figure and nothing else, with its dimension; None when it is anything else."""
    try:
        return Typed(text, read(text).dimension)
    except NotationError:
        pass
    try:
        read(text, expect="length", bare_unit="mm")
    except NotationError:
        return None
    return Typed(text, "")


def _options(words: tuple[str, ...]) -> tuple[tuple[str, ...], Options]:
    """Words that say how: with ROD, 1-4, #3, new, primer, no locker, second EW; the rest is figure and name."""
    left: list[str] = []
    options: Options = {}
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
        elif re.fullmatch(r"#\d+(,\d+)*|\d+-\d+(,\d+(-\d+)?)*", word):
            options["fasteners"] = ",".join(filter(None, (options.get("fasteners"), word.lstrip("#"))))
        else:
            left.append(word)
    return tuple(left), options


def numbers(text: str) -> list[int]:
    """The fasteners that 1-4 or 1,3 means.

    Raises:
        EntryError: more than any joint has.
    """
    found: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        if max(len(first), len(last)) > len(str(MOST_FASTENERS)) or int(last or first) > MOST_FASTENERS:
            raise EntryError(
                f"{text!r:.20} is more fasteners than a joint has.", "Name them: 1-4, or 1,3.", "fasteners"
            )
        found += range(int(first), int(last or first) + 1)
    return found


def trailing_fasteners(words: tuple[str, ...], names: Iterable[str]) -> tuple[tuple[str, ...], list[int]]:
    """A joint's words, and the fasteners typed behind them: hubs R 1-4. A number that ends a name belongs to it."""
    known = {name.casefold() for name in names}
    some: list[str] = []
    while len(words) > 1 and FASTENERS.fullmatch(words[-1]) and " ".join(words).casefold() not in known:
        words, some = words[:-1], [words[-1], *some]
    return words, numbers(",".join(some)) if some else []
