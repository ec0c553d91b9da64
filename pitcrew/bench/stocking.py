"""Stock: things of a box that are used up; counted, used, bought, and added with the line that first counts them.

stock M10x30 12                    twelve are left: a count
used M10x30 4 for upright L        four went into it
bought M10x30 20                   twenty came in
add stock M10x30 12 wanted 6 batch B7 for upright L      a new item, and the joint that takes its fasteners out of it
add spares bearing 4               how many good spares of a sort are wanted
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, fitting, name_words, pairs
from pitcrew.bench.starting import label
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft

MOST = 100_000
COUNT, USED, BOUGHT = "stock M10x30 12", "used M10x30 4 for upright L", "bought M10x30 20"
SPARES = "add spares bearing 4"
ADD = "add stock M10x30 12 wanted 6 batch B7"
_WHOLE = re.compile(r"[0-9]{1,9}")
_STEP = re.compile(r"([+-]?) ?([0-9]{1,9})(?: for (.+))?")


def count(desk: Desk, item: str, how_many: int, note: str = "") -> list[Draft]:
    """How many of an item are left, counted."""
    return [_stocked(desk, item, "counted", how_many, None, note)]


def use(desk: Desk, item: str, how_many: int, where: str = "", note: str = "") -> list[Draft]:
    """So many of an item were used, and what for: a joint or a place by its id, or words."""
    return [_stocked(desk, item, "used", how_many, where or None, note)]


def buy(desk: Desk, item: str, how_many: int, note: str = "") -> list[Draft]:
    """So many of an item came in."""
    return [_stocked(desk, item, "bought", how_many, None, note)]


def _stocked(desk: Desk, item: str, how: str, how_many: int, where: str | None, note: str) -> Draft:
    if next(desk.evidence.facts("stock", item), None) is None:
        raise EntryError("the book has no such stock.", f"Add it first: {ADD}.", "stock")
    return _draft(desk, item, how, how_many, where, note)


def _draft(desk: Desk, item: str, how: str, how_many: int, where: str | None = None, note: str = "") -> Draft:
    least = 0 if how == "counted" else 1
    if not least <= how_many <= MOST:
        raise EntryError(f"{how_many} is no number of things.", f"Type {least} to {MOST}.", "stock")
    return desk.draft("stocked", item, {"how": how, "count": how_many, "where": where}, note=note)


def items(desk: Desk) -> list[tuple[str, str]]:
    """The book's stock by id and name."""
    return [(fact.subject, str(fact.detail["name"])) for fact in desk.evidence.definitions("stock", None)]


def want_spares(desk: Desk, kind: str, how_many: int) -> list[Draft]:
    """How many good spares of a kind the crew wants in its box; none at all with 0.

    Raises:
        EntryError: the book has no such sort of part, or it is no number of things.
    """
    was = next(desk.evidence.facts("part_kind", kind), None)
    if was is None:
        raise EntryError("the book has no such sort of part.", "Name one it has.", "spares")
    if not 0 <= how_many <= MOST:
        raise EntryError(f"{how_many} is no number of spares.", f"Type: {SPARES}.", "spares")
    return [desk.draft("part_kind", kind, {**was.detail, "spares_wanted": how_many})._replace(robot=None)]


def want(desk: Desk, item: str, how_many: int) -> list[Draft]:
    """How many of a stock item the crew wants in its box at least.

    Raises:
        EntryError: the book has no such stock, or it is no number of things.
    """
    was = next(desk.evidence.facts("stock", item), None)
    if was is None:
        raise EntryError("the book has no such stock.", f"Add it first: {ADD}.", "stock")
    if not 0 <= how_many <= MOST:
        raise EntryError(f"{how_many} is no number of things.", f"Type 0 to {MOST}.", "wanted")
    return [desk.draft("stock", item, {**was.detail, "wanted": how_many})._replace(robot=None)]


# as it is typed


def wanted_line(desk: Desk, text: str) -> list[Draft]:
    """`add spares` and these words: how many good spares of a sort are wanted: bearing 4."""
    told = _told(text.split(), SPARES, ())
    return want_spares(desk, find(told.name, pairs(desk.definitions().kinds), "sort of part"), told.number)


def counted_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`stock` and these words: a count; a name that nothing in stock has is added as a new item.

    Raises:
        EntryError: no name or no whole number, or a name that fits several; nothing is written.
    """
    told = _told(words, COUNT, ("wanted", "batch", "for"))
    known = items(desk)
    fits = fitting(told.name, known)
    if not fits:
        return _new(desk, told)
    item = find(told.name, known, "stock item")
    return [_draft(desk, item, "counted", told.number), *_changed(desk, item, told), *_taken_by(desk, item, told)]


def used_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`used` and these words: so many of an item, and what for."""
    told = _told(words, USED, ("for",))
    item = find(told.name, items(desk), "stock item")
    return [_draft(desk, item, "used", told.number, where_of(desk, told.options.get("for", "")))]


def bought_line(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`bought` and these words: so many of an item; its new batch, if one is typed."""
    told = _told(words, BOUGHT, ("wanted", "batch"))
    item = find(told.name, items(desk), "stock item")
    return [_draft(desk, item, "bought", told.number), *_changed(desk, item, told)]


def added_line(desk: Desk, text: str) -> list[Draft]:
    """`add stock` and these words: a new item with its count.

    Raises:
        EntryError: no name, no count, or a name that is taken; nothing is written.
    """
    told = _told(text.split(), ADD, ("wanted", "batch", "for"))
    taken = next((name for _, name in items(desk) if name_words(name) == name_words(told.name)), None)
    if taken is not None:
        raise EntryError(f"there is {taken!r:.40} in stock already.", f"Count it: stock {taken:.30} 12.", "stock")
    return _new(desk, told)


def stepped(desk: Desk, item: str, text: str) -> list[Draft]:
    """What is typed at an item: 12 counts it, -4 are used, +20 are bought; -4 for upright L.

    Raises:
        EntryError: it is no whole number.
    """
    match = _STEP.fullmatch(" ".join(text.split()))
    if match is None:
        raise EntryError(f"{text!r:.30} is no count.", "Type what is left: 12. Or -4 used, +20 bought.", "stock")
    sign, digits, where = match.groups()
    how = {"+": "bought", "-": "used"}.get(sign, "counted")
    if where and how != "used":
        raise EntryError("only what is used goes somewhere.", "Type it with a minus: -4 for upright L.", "stock")
    return [_stocked(desk, item, how, int(digits), where_of(desk, where or ""), "")]


def where_of(desk: Desk, text: str) -> str | None:
    """A joint or place by the name typed, by its id; words that name none stay words. None for nothing typed."""
    if not text.strip():
        return None
    defs = desk.definitions()
    fits = fitting(text, [*pairs(defs.joints), *pairs(defs.positions)])
    return fits[0] if len(fits) == 1 else label(text, "for")


class _Told(NamedTuple):
    """A line of stock: the name, the whole number, and what stands behind wanted, batch and for."""

    name: str
    number: int
    options: Mapping[str, str]


def _told(words: Sequence[str], example: str, keys: Sequence[str]) -> _Told:
    head: list[str] = []
    options: dict[str, list[str]] = {}
    at = head
    for word in words:
        if word.casefold() in keys and head:
            at = options.setdefault(word.casefold(), [])
        else:
            at.append(word)
    told = {key: " ".join(found) for key, found in options.items()}
    # The number stands behind the name; 4 M10x30 is said too. A name may end in a number of its own: M4 8 40.
    for number, rest in ((head[-1:], head[:-1]), (head[:1], head[1:])):
        if number and rest and _WHOLE.fullmatch(number[0]):
            name = label(" ".join(rest).strip(" ,;:"), "stock")
            if any(letter.isalpha() for letter in name):
                return _Told(name, int(number[0]), told)
    raise EntryError("a name and a whole number are wanted.", f"Type: {example}.", "stock")


def _new(desk: Desk, told: _Told) -> list[Draft]:
    item = desk.mint()
    made = desk.draft("stock", item, {"name": told.name, **_details(told)})._replace(robot=None)
    # The count first: what was logged last is said by it.
    return [_draft(desk, item, "counted", told.number), made, *_taken_by(desk, item, told)]


def _details(told: _Told) -> dict[str, Any]:
    wanted, batch = told.options.get("wanted"), told.options.get("batch")
    if wanted is not None and not _WHOLE.fullmatch(wanted):
        raise EntryError(f"{wanted!r:.20} is no whole number.", f"Type: {ADD}.", "wanted")
    if batch is not None and not batch:
        raise EntryError("the batch is missing.", f"Type: {ADD}.", "batch")
    return {"wanted": int(wanted) if wanted else None, "batch": label(batch, "batch") if batch else None}


def _changed(desk: Desk, item: str, told: _Told) -> list[Draft]:
    """The item defined anew where more than its number was typed."""
    changes = {name: value for name, value in _details(told).items() if value is not None}
    if not changes:
        return []
    was = next(desk.evidence.facts("stock", item)).detail
    return [desk.draft("stock", item, {**was, **changes})._replace(robot=None)]


def _taken_by(desk: Desk, item: str, told: _Told) -> list[Draft]:
    """The joints that take their fasteners out of it from now on."""
    named = told.options.get("for", "")
    joints = [find(name, pairs(desk.definitions().joints), "joint") for name in re.split(r"\s*,\s*", named) if name]
    return [
        desk.draft("joint", joint, {**next(desk.evidence.facts("joint", joint)).detail, "stock": item})
        for joint in joints
    ]
