"""Rule 8: what a configuration weighs, or will be seen to weigh, against the limit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from pitcrew.robot.records import Fact

from .figures import Figure, decide, doubt, figure, mass_of
from .lines import Book, newest, occupant
from .now import (
    Requirement,
    Word,
    chosen_packs,
    configuration_parts,
    decided,
    fight_configuration,
    is_declared,
    positions,
    works,
)

WORKED_SHARE = 0.05
"""How much of its mass a part that was worked may have lost or gained."""


class Weight(NamedTuple):
    """The word of a configuration's weight, and (kg, U), None where a mass is missing."""

    word: Word
    figure: tuple[float, float] | None


def as_fitted(book: Book, configuration: str, before: Fact | None = None) -> bool:
    """Do the robot's module positions hold what the configuration names, now or just before a fact?"""
    named = configuration_parts(book, configuration)
    return all(named[q] == occupant(book, q, before) for q in positions(book, "module") if q in named)


def parts_of(book: Book, configuration: str, before: Fact | None = None) -> set[str]:
    """The parts of a configuration, with everything else as it is now or as it was before a fact."""
    named = configuration_parts(book, configuration)
    found: set[str | None] = {occupant(book, q, before) for q in positions(book, "fixed")}
    for q in positions(book, "module"):
        found.add(named[q] if q in named else occupant(book, q, before))
    fitted = as_fitted(book, configuration, before)
    for q in positions(book, "shim"):
        found.add(occupant(book, q, before) if fitted else named.get(q))
    packs = chosen_packs(book, before)
    if packs is None:
        found.update(occupant(book, q, before) for q in positions(book, "pack"))
    else:
        found.update(packs)
    return {part for part in found if part is not None}


def weighed_configurations(book: Book) -> list[str]:
    """The configurations whose weight is asked for."""
    found = set()
    own = book.defined("configuration")
    entered = fight_configuration(book)
    declared_rule = book.event().get("weight_rule") == "declared"
    if entered is not None:
        found.add(entered)
    if declared_rule:
        found.update(c for c in own if is_declared(book, c))
    if entered is None and not declared_rule:
        standing = [c for c in own if as_fitted(book, c)]
        found.update(sorted(standing, key=lambda c: (own[c]["name"], c))[:1])
    return sorted(found)


def scale_shown(book: Book, weighing: Fact) -> Figure:
    return figure(book, weighing.detail["value_kg"], weighing.detail["instrument"], None, weighing.id)


def official_weight(book: Book, configuration: str, limit: float | None) -> Weight | None:
    """The newest official display, when it was of exactly these parts: it decides by itself."""
    official = book.event().get("official_scale")
    shown = [w for w in book.all("weighed", configuration) if w.detail["instrument"] == official]
    last = newest(shown)
    if last is None:
        return None
    then = parts_of(book, configuration, last)
    if then != parts_of(book, configuration) or any(worked_since(book, part, [last]) for part in then):
        return None
    kg = scale_shown(book, last).value
    if limit is None:
        return Weight(Word("unchecked"), (kg, 0.0))
    return Weight(Word(decide(kg, 0.0, None, limit)[0]), (kg, 0.0))


def worked_since(book: Book, part: str, evidence: list[Fact]) -> list[Fact]:
    """Works of a part that none of this evidence clears."""
    return [work for work in works(book, part) if book.uncleared(work, evidence)]


def unweighed_works(book: Book, configuration: str, anchor: Fact | None) -> dict[str, list[Fact]]:
    """The works of each part that no weighing answers for: the anchor's, or its own where it was not on that scale."""
    now = parts_of(book, configuration)
    then = set() if anchor is None else parts_of(book, configuration, anchor)
    stayed = {part: worked_since(book, part, [anchor]) for part in now & then} if anchor is not None else {}
    changed = {part: worked_since(book, part, book.all("part_weighed", part)) for part in now ^ then}
    return {part: found for part, found in sorted({**stayed, **changed}.items()) if found}


def work_doubts(book: Book, worked: dict[str, list[Fact]]) -> list[tuple[int, Figure]]:
    """For each part that was worked, that it may have lost or gained five percent of its mass."""
    masses = [mass_of(book, part) for part in worked]
    return [(1, Figure(0.0, tolerance=m.value * WORKED_SHARE, entry=m.entry)) for m in masses if m is not None]


def changes(book: Book, configuration: str, anchor: Fact | None) -> list[tuple[int, Figure | None]]:
    """Each part in (+1) and out (-1) since a weighing; without one, every part is in."""
    now = parts_of(book, configuration)
    then = set() if anchor is None else parts_of(book, configuration, anchor)
    came = [(1, mass_of(book, part)) for part in sorted(now - then)]
    went = [(-1, mass_of(book, part)) for part in sorted(then - now)]
    return [*came, *went]


def figured_weight(book: Book, configuration: str, limit: float | None) -> Weight:
    """The newest weighing with what changed since, or the sum of all parts."""
    anchor = newest(book.all("weighed", configuration))
    signed = [] if anchor is None else [(1, scale_shown(book, anchor))]
    for sign, mass in changes(book, configuration, anchor):
        if mass is None:
            return Weight(Word("unchecked"), None)
        signed.append((sign, mass))
    if not signed:
        return Weight(Word("unchecked"), None)
    worked = unweighed_works(book, configuration, anchor)
    signed += work_doubts(book, worked)
    kg = sum(sign * part.value for sign, part in signed)
    official = book.definition("instrument", book.event().get("official_scale")) or {}
    display = Figure(0.0, step=official.get("resolution") or 0.0)
    u = doubt([*signed, (1, display)])
    if limit is None:
        return Weight(Word("unchecked"), (kg, u))
    used = [part.entry for _, part in signed if part.entry is not None]
    used += [work.id for part, found in worked.items() if mass_of(book, part) is not None for work in found]
    return Weight(decided(kg, u, None, limit, used), (kg, u))


def judge_weight(book: Book, configuration: str) -> Weight:
    if book.definition("configuration", configuration) is None:
        # Nobody can say which parts it has.
        return Weight(Word("unchecked"), None)
    event = book.event()
    limit = event.get("limit_kg")
    if limit is not None:
        limit += event.get("allowance_kg") or 0.0
    official = official_weight(book, configuration, limit)
    return official if official is not None else figured_weight(book, configuration, limit)


def weights(book: Book) -> Iterator[Requirement]:
    for configuration in weighed_configurations(book):
        yield f"weight:{configuration}", [judge_weight(book, configuration).word]
