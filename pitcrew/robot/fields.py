"""The fields of an entry's detail: what each takes, in words and as a quick plain check."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

Check = Callable[[Any], bool]


class Field(NamedTuple):
    """One field of a kind's detail: its name, what it takes (in words and as a check), and whether it may be absent."""

    name: str
    takes: str
    check: Check
    optional: bool = False


def _text(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def words(value: Any) -> bool:
    return isinstance(value, str)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _positive(value: Any) -> bool:
    return _number(value) and value > 0


def _not_negative(value: Any) -> bool:
    return _number(value) and value >= 0


def whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value > 0


def moment_value(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(_text(item) for item in value)


def fasteners(value: Any) -> bool:
    return value == "all" or (isinstance(value, list) and value != [] and all(whole(item) for item in value))


def fitting_plan(value: Any) -> bool:
    return isinstance(value, dict) and all(_text(k) and (v is None or _text(v)) for k, v in value.items())


def _dimension(value: Any) -> bool:
    if not isinstance(value, dict) or not _number(value.get("value_m")):
        return False
    rest = {"value_m", "instrument", "tolerance_m", "typed"}
    doubt = value.get("tolerance_m")
    return set(value) <= rest and (doubt is None or _not_negative(doubt))


def dimensions(value: Any) -> bool:
    return isinstance(value, dict) and all(_text(k) and _dimension(v) for k, v in value.items())


def _limit(value: Any) -> bool:
    if not isinstance(value, dict) or not _text(value.get("dimension")):
        return False
    bounds = [value.get("low_m"), value.get("high_m")]
    return any(b is not None for b in bounds) and all(b is None or _number(b) for b in bounds)


def limits(value: Any) -> bool:
    return isinstance(value, list) and all(_limit(item) for item in value)


def _piece(value: Any) -> bool:
    if not isinstance(value, dict) or value.get("sign") not in (1, -1):
        return False
    place = value.get("position")
    return _text(value.get("name")) and _text(value.get("dimension")) and (place is None or _text(place))


def chains(value: Any) -> bool:
    return (
        isinstance(value, list)
        and value != []
        and all(isinstance(chain, list) and chain != [] and all(map(_piece, chain)) for chain in value)
    )


def _one_of(*words: str) -> Check:
    return lambda value: isinstance(value, str) and value in words


def choice(name: str, *words: str, optional: bool = False) -> Field:
    return Field(name, "one of: " + ", ".join(words), _one_of(*words), optional)


def text(name: str, *, optional: bool = False) -> Field:
    """A field that takes a word or a sentence."""
    return Field(name, "text", _text, optional)


def number(name: str, *, optional: bool = False) -> Field:
    """A field that takes a finite number."""
    return Field(name, "a number", _number, optional)


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
