"""What a kind of entry is made of: its columns, and its fields with what each takes, in words and as a plain check."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, NamedTuple, TypeGuard

from pitcrew.robot.definitions import Charging, Dimension, Limit, Piece

Check = Callable[[Any], bool]


class Field(NamedTuple):
    """One field of a kind's detail: its name, what it takes (in words and as a check), and whether it may be absent."""

    name: str
    takes: str
    check: Check
    optional: bool = False


class EntryKind(NamedTuple):
    """One row of the registry.

    `subject`, `place`, `grade` and `robot` say in words what those columns hold; an empty word means the column
    stays empty, a word in brackets that it may. Without a robot is what the whole book shares.
    """

    name: str
    says: str
    subject: str
    fields: tuple[Field, ...] = ()
    place: str = ""
    grade: str = ""
    definition: bool = False
    robot: str = "robot"


def _text(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def words(value: Any) -> bool:
    """Is it text, which may be empty?"""
    return isinstance(value, str)


def finite(value: Any) -> TypeGuard[int | float]:
    """Is it a number that a float can hold? True and false are none."""
    largest = sys.float_info.max
    return isinstance(value, int | float) and not isinstance(value, bool) and -largest <= value <= largest


def _positive(value: Any) -> bool:
    return finite(value) and value > 0


def _not_negative(value: Any) -> bool:
    return finite(value) and value >= 0


def whole(value: Any) -> bool:
    """Is it a whole number above zero?"""
    return isinstance(value, int) and _positive(value)


def moment_value(value: Any) -> bool:
    """Is it a whole number, zero or more: a count, or a moment in milliseconds UTC?"""
    return isinstance(value, int) and _not_negative(value)


def whole_from(least: int, most: int, value: Any) -> bool:
    """Is it a whole number between these two, both included?"""
    return isinstance(value, int) and finite(value) and least <= value <= most


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(_text(item) for item in value)


def fasteners(value: Any) -> bool:
    """Is it all, or numbers of fasteners, counted from one?"""
    return value == "all" or (isinstance(value, list) and value != [] and all(whole(item) for item in value))


def fitting_plan(value: Any) -> bool:
    """Is it a part, or nothing, for each position by id?"""
    return isinstance(value, dict) and all(_text(k) and (v is None or _text(v)) for k, v in value.items())


def figures(value: Any) -> bool:
    """Is it a list of numbers, zero or more, at least one?"""
    return isinstance(value, list) and value != [] and all(map(_not_negative, value))


def wording(value: Any) -> bool:
    """Is it text for each rule by name?"""
    return isinstance(value, dict) and all(_text(k) and _text(v) for k, v in value.items())


def charging(value: Any) -> bool:
    """Is it what a kind of pack is charged and judged by, every figure zero or more?"""
    return _held(value, Charging) and all(
        whole(item) if name == "cells" else _not_negative(item) for name, item in value.items()
    )


def _held(value: Any, record: type[Charging | Dimension | Limit | Piece]) -> bool:
    return isinstance(value, dict) and set(value) <= set(record._fields)


def _text_or_none(value: Any) -> bool:
    return value is None or _text(value)


def _dimension(value: Any) -> bool:
    if not _held(value, Dimension) or not finite(value.get("value_m")):
        return False
    doubt = value.get("tolerance_m")
    said = _text_or_none(value.get("instrument")) and words(value.get("typed", ""))
    return said and (doubt is None or _not_negative(doubt))


def dimensions(value: Any) -> bool:
    """Is it dimensions by name, metres, each with its instrument or its tolerance where known?"""
    return isinstance(value, dict) and all(_text(k) and _dimension(v) for k, v in value.items())


def _limit(value: Any) -> bool:
    if not _held(value, Limit) or not _text(value.get("dimension")):
        return False
    bounds = [value.get("low_m"), value.get("high_m")]
    return any(b is not None for b in bounds) and all(b is None or finite(b) for b in bounds)


def limits(value: Any) -> bool:
    """Is it a list of limits, metres, each with at least one bound?"""
    return isinstance(value, list) and all(_limit(item) for item in value)


def _sign(value: Any) -> bool:
    return whole_from(-1, 1, value) and value != 0


def _piece(value: Any) -> bool:
    if not _held(value, Piece) or not _sign(value.get("sign")):
        return False
    return _text(value.get("name")) and _text(value.get("dimension")) and _text_or_none(value.get("position"))


def chains(value: Any) -> bool:
    """Is it one or more chains of signed pieces, none of them empty?"""
    return (
        isinstance(value, list)
        and value != []
        and all(isinstance(chain, list) and chain != [] and all(map(_piece, chain)) for chain in value)
    )


def _one_of(*words: str) -> Check:
    return lambda value: isinstance(value, str) and value in words


def choice(name: str, *words: str, optional: bool = False) -> Field:
    """A field that takes one of these words."""
    return Field(name, "one of: " + ", ".join(words), _one_of(*words), optional)


def text(name: str, *, optional: bool = False) -> Field:
    """A field that takes a word or a sentence."""
    return Field(name, "text", _text, optional)


def number(name: str, *, optional: bool = False) -> Field:
    """A field that takes a finite number."""
    return Field(name, "a number", finite, optional)


def positive(name: str, *, optional: bool = False) -> Field:
    """A field that takes a number above zero."""
    return Field(name, "a number above zero", _positive, optional)


def not_negative(name: str, *, optional: bool = False) -> Field:
    """A field that takes zero or more."""
    return Field(name, "zero or more", _not_negative, optional)


def flag(name: str, *, optional: bool = False) -> Field:
    """A field that takes true or false."""
    return Field(name, "true or false", _flag, optional)


def moment(name: str, *, optional: bool = False) -> Field:
    """A field that takes a moment in milliseconds UTC."""
    return Field(name, "a moment in ms UTC", moment_value, optional)


def texts(name: str, *, optional: bool = False) -> Field:
    """A field that takes a list of names or ids."""
    return Field(name, "a list of names", _texts, optional)


def grade(name: str) -> Field:
    """A field that takes a grade of hit from which something happens; 4 is harder than any: never."""
    return Field(name, "a grade from 1 to 4", lambda value: whole_from(1, 4, value))


NAME = text("name")
NOTE = Field("note", "text", words, optional=True)
