"""Entries to rows and back, and what an entry must be before it may become a row."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, NoReturn

from pitcrew.errors import EntryError
from pitcrew.robot import kinds
from pitcrew.robot.records import Entry
from pitcrew.text import stray

Row = tuple[Any, ...]

# A JSON reader elsewhere may hold whole numbers as floats; below this nothing is lost.
LARGEST = 2**53
_TEXTS = ("id", "act", "writer", "by", "kind", "subject")
_TEXTS_OR_NONE = ("robot", "place", "replaces")


def canonical(detail: Mapping[str, Any]) -> str:
    """The one spelling of a detail as JSON: keys sorted, no spaces, no NaN or infinity, letters unescaped.

    Raises:
        ValueError: a figure that is not finite.
        TypeError: something JSON does not have.
    """
    return json.dumps(detail, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def to_row(entry: Entry) -> Row:
    """The columns of an entry after `n`, in the table's order."""
    return (*entry[:12], canonical(entry.detail))


def from_row(row: Sequence[Any]) -> Entry:
    """The entry of a row that starts with the table's columns, `n` first."""
    return Entry._make((*row[1:13], _detail(row[13]), row[0]))


@lru_cache(maxsize=4096)
def _detail(text: str) -> Mapping[str, Any]:
    """A detail as it is read; whatever is judged anew reads the same ones again, and nobody changes one."""
    found: Mapping[str, Any] = json.loads(text)
    return found


def problems(entry: Entry) -> list[str]:
    """What keeps an entry out of the book, as `field: sentence` lines; empty when it may be written."""
    found = [*_column_problems(entry), *_detail_problems(entry.detail)]
    return found or list(kinds.problems(entry))


def require(entry: Entry) -> None:
    """Let an entry pass, or say what is wrong with it.

    Raises:
        EntryError: names every field that cannot be taken.
    """
    found = problems(entry)
    if found:
        refuse(entry.kind, "; ".join(found))


def refuse(kind: object, sentence: str) -> NoReturn:
    """Raise an `EntryError` at the place of a kind."""
    raise EntryError(f"{sentence}.", "Nothing was written.", kind if isinstance(kind, str) else "kind")


def _column_problems(entry: Entry) -> Iterator[str]:
    for name in _TEXTS:
        yield from _text_problems(name, getattr(entry, name))
    for name in _TEXTS_OR_NONE:
        if getattr(entry, name) is not None:
            yield from _text_problems(name, getattr(entry, name))
    for name in ("tick", "happened"):
        value = getattr(entry, name)
        if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < LARGEST:
            yield f"{name}: takes a moment in ms UTC, got {value!r:.40}"
    if entry.grade is not None and (not isinstance(entry.grade, int) or isinstance(entry.grade, bool)):
        yield f"grade: takes a whole number, got {entry.grade!r:.40}"


def _text_problems(name: str, value: object) -> Iterator[str]:
    if not isinstance(value, str):
        yield f"{name}: takes text, got {value!r:.40}"
    elif found := stray(value):
        yield f"{name}: holds the control character {found}"


def _detail_problems(detail: object) -> Iterator[str]:
    if not isinstance(detail, Mapping):
        yield "detail: takes fields by name"
        return
    for name, value in detail.items():
        if not isinstance(name, str) or stray(name):
            yield f"detail: {name!r:.40} is not a name"
        elif sentence := _json_problem(value):
            yield f"{name}: {sentence}"


def _json_problem(value: object) -> str:
    """What keeps a value from being kept as JSON unchanged; empty when nothing does."""
    if isinstance(value, str):
        found = stray(value, keep_newlines=True)
        return f"holds the control character {found}" if found else ""
    if isinstance(value, dict):
        return next(filter(None, map(_json_problem, (*value, *value.values()))), "")
    if isinstance(value, list):
        return next(filter(None, map(_json_problem, value)), "")
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        return f"takes a finite number, got {value!r}"
    if isinstance(value, int) and not -LARGEST < value < LARGEST:
        return "takes a smaller whole number"
    return "" if value is None or isinstance(value, int | float) else f"cannot be written down, got {value!r:.40}"
