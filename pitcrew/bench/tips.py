"""Tip speed on the line: how fast a configuration's weapon is at its tip, and which sorts of part decide it."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench import measuring
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, pairs
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.units import Quantity, read

EXAMPLE = "Type: tip 85 m/s N2, or tip by weapon motor, pulley."


def tip(desk: Desk, words: Sequence[str]) -> list[Draft]:
    """`tip` and these words: a speed and a configuration (none: the one entered), or `by` and sorts of part.

    Raises:
        EntryError: neither is said, or a name fits nothing or several.
    """
    if words and words[0].casefold() == "by":
        return _set_by(desk, " ".join(words[1:]))
    for end in range(len(words), 0, -1):
        speed = _speed(" ".join(words[:end]))
        if speed is not None:
            return measuring.tip_speed(desk, _configuration(desk, words[end:]), speed.si, speed.typed)
    raise EntryError("how fast the tip is is missing.", EXAMPLE, "tip")


def _speed(text: str) -> Quantity | None:
    try:
        return read(text, expect="speed", bare_unit="m/s")
    except NotationError:
        return None


def _configuration(desk: Desk, words: Sequence[str]) -> str:
    if words:
        return find(" ".join(words), pairs(desk.definitions().configurations), "configuration")
    fight = desk.case().fight()
    if fight is None:
        raise EntryError("no fight is entered, so say of which configuration.", EXAMPLE, "tip")
    return str(fight.detail["configuration"])


def _set_by(desk: Desk, text: str) -> list[Draft]:
    kinds = pairs(desk.definitions().kinds)
    named = [find(name.strip(), kinds, "sort of part") for name in text.split(",") if name.strip()]
    if not named:
        raise EntryError("say which sorts of part decide the tip speed.", EXAMPLE, "tip")
    facts = [next(desk.evidence.facts("part_kind", kind)) for kind in dict.fromkeys(named)]
    return [
        desk.draft("part_kind", fact.subject, {**fact.detail, "sets_speed": True})._replace(robot=None)
        for fact in facts
    ]
