"""Reading what a shop writes: one figure with its unit, strictly, never by guessing.

The grammar is small and closed: a sign; whole numbers, decimals with a point or a comma, mixed
binary fractions; feet and inches, pounds and ounces, minutes and seconds; one unit of the table.
Anything that two people could read differently is refused, with a hint how to write it.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from pitcrew.errors import NotationError
from pitcrew.units.table import CASE_COUNTS, EXAMPLES, FORMS, IN_CONTEXT, NAMES, PAIRS, UNITS, Pair, Unit

LONGEST = 40
"""Characters a figure may have; the longest sensible one has about fifteen."""


class Quantity(NamedTuple):
    """A figure as read.

    Args:
        dimension: what it measures ("length", "mass", "torque", ...).
        si: its value in the SI unit of that dimension (m, kg, N m, V, K, s, rad, ...).
        unit: canonical spelling of the unit that was typed ("in", "lb oz", "min:s", ...).
        typed: the text as typed, spaces tidied.
    """

    dimension: str
    si: float
    unit: str
    typed: str


class _Amount(NamedTuple):
    """A number as an exact ratio, and whether it was written as a fraction."""

    top: int
    bottom: int
    is_fraction: bool = False


class _Figure(NamedTuple):
    amount: _Amount
    unit: Unit
    written_as: str


_SPACES = str.maketrans(dict.fromkeys("\t\u00a0\u2007\u2009\u200a\u202f", " "))
# Characters that phones, drawings and data sheets put where a keyboard has a plain one.
_PLAIN = str.maketrans(
    {
        "\u2212": "-",
        "\u2010": "-",
        "\u2011": "-",
        "\u2013": "-",
        "\u2018": "'",
        "\u2019": "'",
        "\u2032": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2033": '"',
        "\u2044": "/",
        "\u2126": "\u03a9",
        "\u00b5": "\u03bc",
        "\u00ba": "\u00b0",
        "\u22c5": "\u00b7",
        "\u2219": "\u00b7",
        "\u2103": "\u00b0C",
        "\u2109": "\u00b0F",
        "\u00bd": " 1/2 ",
        "\u00bc": " 1/4 ",
        "\u00be": " 3/4 ",
        "\u215b": " 1/8 ",
        "\u215c": " 3/8 ",
        "\u215d": " 5/8 ",
        "\u215e": " 7/8 ",
    }
)
_ALLOWED = re.compile("[ -~\u00b0\u00b2\u00b7\u03a9\u03bc]*")
_NUMBER = re.compile(r"(?:([0-9]+)[ -])?([0-9]+)/([0-9]+)|([0-9]*[.,]?[0-9]+)")
_FIRST_OF_PAIR = re.compile(r"([0-9]+) ?([A-Za-z]+|')(?:\.? | ?)(-?)(?=[.,]?[0-9])")
_CLOCK = re.compile(r"([0-9]+):([0-5][0-9])(?::([0-5][0-9]))?(?:[.,]([0-9]+))?")
_EXPONENT = re.compile(r"[0-9.,][eE][+-]?[0-9]")
_UNIT_START = re.compile("[A-Za-z'\"\u00b0\u03a9\u03bc]")
_SEPARATORS = re.compile("[ .*\u00b7-]+")
_AMBIGUOUS_COMMA = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_DENOMINATORS = frozenset(2**power for power in range(1, 8))

_UNIT_HINTS = {
    "mil": "To some it is a thou, to others a millimetre: write thou or mm.",
    "mils": "To some it is a thou, to others a millimetre: write thou or mm.",
    "c": "For a temperature write deg C.",
    "f": "For a temperature write deg F.",
    "nm": "For newton metres write N m.",
}


def read(text: str, expect: str | None = None, bare_unit: str | None = None, subject: str = "") -> Quantity:
    """Read one figure in shop notation.

    Args:
        text: what a person typed; never trusted, never evaluated.
        expect: the dimension wanted; None takes any.
        bare_unit: canonical unit that a number without one is in; None refuses such a number.
        subject: what the figure is for ("hub length"), named in refusals.

    Raises:
        NotationError: the text is not one figure of the dimension wanted, read without doubt.

    >>> read('1-1/2"')
    Quantity(dimension='length', si=0.0381, unit='in', typed='1-1/2"')
    >>> read("2 lb 6.5 oz").unit
    'lb oz'
    """
    if expect is not None and expect not in EXAMPLES:
        raise NotationError(f"{printable(expect)} is not a dimension this book knows.", place=subject)
    try:
        typed = _tidied(text)
        figure = _figure(typed, expect, bare_unit)
        if expect is None or figure.unit.dimension == expect:
            return Quantity(figure.unit.dimension, _si(figure), figure.written_as, typed)
    except NotationError as problem:
        problem.place = problem.place or subject
        raise
    raise _wrong_dimension(typed, figure.unit.dimension, expect, subject)


def printable(text: str) -> str:
    """The text cut to length, with every character that is not plainly visible shown as `?`."""
    seen = "".join(character if character.isprintable() else "?" for character in text[:LONGEST])
    return seen + ("..." if len(text) > LONGEST else "")


def _example(dimension: str | None) -> str:
    return f"Write it like {EXAMPLES[dimension or 'length']}."


def _wrong_dimension(typed: str, found: str, expect: str, subject: str) -> NotationError:
    wanted = f"{subject} is {_with_article(expect)}" if subject else f"{_with_article(expect)} is wanted"
    return NotationError(f"{printable(typed)} is {_with_article(found)}; {wanted}.", _example(expect))


def _with_article(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def _tidied(text: str) -> str:
    """The text with its spaces tidied, checked to be short and free of foreign characters."""
    stripped = text.strip(" \t\r\n")
    if len(stripped) > LONGEST:
        raise NotationError(f"A figure has at most {LONGEST} characters; this has {len(stripped)}.", _example(None))
    tidy = re.sub(" +", " ", stripped.translate(_SPACES)).strip()
    if not tidy:
        raise NotationError("There is no figure here.", _example(None))
    return tidy


def _plain(typed: str) -> str:
    """The typed text in the characters of the grammar."""
    plain = re.sub(" +", " ", typed.translate(_PLAIN)).strip().replace("''", '"')
    if not _ALLOWED.fullmatch(plain):
        raise NotationError(
            f"{printable(typed)} holds a character that is no part of a figure.",
            "Use plain digits and letters.",
        )
    return plain


def _figure(typed: str, expect: str | None, bare_unit: str | None) -> _Figure:
    plain = _plain(typed)
    negative = plain.startswith("-")
    body = plain[1:].removeprefix(" ") if plain[0] in "+-" else plain
    if _EXPONENT.search(body):
        raise NotationError(f"{printable(typed)} is written with an exponent.", "Write the number out in full.")
    try:
        figure = _clock(body) or _pair(body, expect) or _single(body, expect, bare_unit)
    except NotationError as problem:
        problem.message = f"{printable(typed)}: {problem.message}"
        raise
    if not negative:
        return figure
    top, bottom, is_fraction = figure.amount
    return figure._replace(amount=_Amount(-top, bottom, is_fraction))


def _si(figure: _Figure) -> float:
    """The value in SI units, rounded once."""
    amount, unit = figure.amount, figure.unit
    zero_top, zero_bottom = unit.zero
    top = (amount.top * zero_bottom + zero_top * amount.bottom) * unit.numerator
    si = top / (amount.bottom * zero_bottom * unit.denominator)
    if unit.dimension == "temperature" and si < 0:
        raise NotationError("That is colder than absolute zero.", _example("temperature"))
    return si


def _clock(body: str) -> _Figure | None:
    """A duration such as 2:15 (minutes and seconds) or 1:02:15."""
    if ":" not in body:
        return None
    match = _CLOCK.fullmatch(body)
    if match is None:
        raise NotationError("this is not a time I can read.", "Write minutes and seconds like 2:15.")
    first, second, third, part = match.groups()
    whole = int(first) * 60 + int(second)
    whole = whole if third is None else whole * 60 + int(third)
    part = part or ""
    amount = _Amount(int(f"{whole}{part}"), 10 ** len(part))
    return _Figure(amount, NAMES["s"], "min:s" if third is None else "h:min:s")


def _pair(body: str, expect: str | None) -> _Figure | None:
    """Two figures with two units: feet and inches, pounds and ounces, minutes and seconds."""
    match = _FIRST_OF_PAIR.match(body)
    if match is None:
        return None
    if body[match.end(2)] in ".," and body[match.end(2) + 1] != " ":
        raise NotationError("the mark after the first unit can be read two ways.", "Put a space there instead.")
    amount, rest = _number(body[match.end() :])
    if not rest:
        raise NotationError("the second figure has no unit.", "Write both, like 5' 3\" or 2 lb 6.5 oz.")
    big, small = _unit(match[2], expect), _unit(rest, expect)
    pair = PAIRS.get((big.name, small.name))
    if pair is None or (match[3] and match[2] != "'"):
        raise NotationError("these two figures do not make one.", "Write both, like 5' 3\" or 2 lb 6.5 oz.")
    return _joined(int(match[1]), amount, pair)


def _joined(big: int, small: _Amount, pair: Pair) -> _Figure:
    if small.top >= pair.ratio * small.bottom:
        raise NotationError(
            f"after {pair.big} there can be less than {pair.ratio} {pair.small} only.",
            f"Carry {pair.ratio} {pair.small} into the {pair.big}, or write it all in {pair.small}.",
        )
    amount = _Amount(big * pair.ratio * small.bottom + small.top, small.bottom)
    return _Figure(amount, NAMES[pair.small], pair.name)


def _single(body: str, expect: str | None, bare_unit: str | None) -> _Figure:
    """One number, with its unit or bare."""
    amount, rest = _number(body)
    unit = _unit(rest, expect) if rest else _bare(bare_unit, expect)
    if amount.is_fraction and not unit.fractions:
        raise NotationError(f"{unit.name} is not written in fractions.", 'Write decimals, or mark inches: 5/8".')
    return _Figure(amount, unit, unit.name)


def _number(text: str) -> tuple[_Amount, str]:
    """The number at the start, and what follows it."""
    match = _NUMBER.match(text)
    if match is None:
        raise NotationError("this does not begin with a number.", _example(None))
    rest = text[match.end() :].removeprefix(" ")
    if rest and not _UNIT_START.match(rest):
        raise NotationError("this is not one plain number with its unit.", _example(None))
    whole, top, bottom, decimal = match.groups()
    return (_decimal(decimal) if decimal else _fraction(int(whole or 0), int(top), int(bottom))), rest


def _decimal(text: str) -> _Amount:
    if _AMBIGUOUS_COMMA.fullmatch(text):
        point, joined = text.replace(",", "."), text.replace(",", "")
        raise NotationError("the comma can be read two ways.", f"Write {point} or {joined}.")
    whole, _, part = text.replace(",", ".").partition(".")
    return _Amount(int(whole + part), 10 ** len(part))


def _fraction(whole: int, top: int, bottom: int) -> _Amount:
    if bottom not in _DENOMINATORS:
        raise NotationError("fractions go by halves, quarters, ... to 128ths.", "Write a decimal instead.")
    if not 0 < top < bottom:
        raise NotationError(
            "the top of a fraction is less than its bottom.", 'Write whole and part apart, like 1-1/2".'
        )
    return _Amount(whole * bottom + top, bottom, is_fraction=True)


def _unit(spelling: str, expect: str | None) -> Unit:
    """The unit a spelling stands for, where a dimension is expected or anywhere."""
    key = _SEPARATORS.sub(" ", spelling).strip().replace(" /", "/").replace("/ ", "/")
    small = key.lower()
    in_context = IN_CONTEXT.get((expect or "", small))
    if in_context is not None:
        return in_context
    if key in UNITS:
        return UNITS[key]
    if small in UNITS and small not in CASE_COUNTS:
        return UNITS[small]
    raise NotationError(f"{spelling} is not a unit I know.", _unit_hint(small, expect))


def _unit_hint(small: str, expect: str | None) -> str:
    if small in _UNIT_HINTS:
        return _UNIT_HINTS[small]
    meant = sorted({UNITS[key].name for key in CASE_COUNTS if key.lower() == small})
    if meant:
        return f"Capitals count here: write {' or '.join(meant)}."
    return _example(expect) if expect else "Write the unit as a shop does: in, mm, lb, oz, N m, in-lb."


def _bare(bare_unit: str | None, expect: str | None) -> Unit:
    """The unit of a number typed without one."""
    if bare_unit is None:
        raise NotationError("the number has no unit.", _example(expect))
    if bare_unit in NAMES:
        return NAMES[bare_unit]
    if bare_unit.startswith("in/") and bare_unit in FORMS:
        return NAMES["in"]
    if bare_unit in FORMS:
        raise NotationError("the number has no unit.", f"Say which it is, as in {_form_example(bare_unit)}.")
    raise NotationError(
        f"{printable(bare_unit)}, the unit for bare numbers here, is unknown.", "Correct it in the settings."
    )


def _form_example(form: str) -> str:
    return {"lb oz": "2 lb 6.5 oz", "ft in": "5' 3-1/2\"", "min:s": "2:15"}.get(form, "1:02:15")
