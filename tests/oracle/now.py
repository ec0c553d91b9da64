"""What the book says of the robot now: its positions, the parts that count, and the words of verdicts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from pitcrew.robot.kinds import IN_PLACE
from pitcrew.robot.records import Fact

from .figures import decide
from .lines import Book, Detail, current_fight, last_placing, newest, occupant

WORST_FIRST = ("fail", "recheck", "due", "unchecked", "marginal", "deferred", "pass")
GONE = {"quarantine", "scrapped", "lost"}


class Word(NamedTuple):
    """One verdict within a requirement; a marginal one with what it rests on, and whether it lies inside.

    A word on a pack says why, and of which pack, for a worse one hides most of what is said of packs.
    """

    word: str
    rests_on: frozenset[str] = frozenset()
    inside: bool = False
    why: str = ""


Requirement = tuple[str, list[Word]]
PASS = Word("pass")


def worst(words: Iterable[Word]) -> str:
    return min((word.word for word in words), key=WORST_FIRST.index, default="pass")


def decided(value: float, u: float, low: float | None, high: float | None, rests_on: Iterable[str]) -> Word:
    word, inside = decide(value, u, low, high)
    return Word(word, frozenset(rests_on), inside)


def positions(book: Book, *roles: str) -> dict[str, Detail]:
    """The robot's positions of some roles, or all of them; one that states no role is fixed."""
    return {
        position: sheet
        for position, sheet in book.defined("position").items()
        if not roles or (sheet.get("role") or "fixed") in roles
    }


def kind_of(book: Book, part: str) -> Detail | None:
    sheet = book.definition("part", part) or {}
    return book.definition("part_kind", sheet.get("part_kind"))


def fight_configuration(book: Book) -> str | None:
    fight = current_fight(book)
    return None if fight is None else str(fight.detail["configuration"])


def configuration_parts(book: Book, configuration: str | None) -> dict[str, str | None]:
    return dict((book.definition("configuration", configuration) or {}).get("parts") or {})


def chosen_packs(book: Book, before: Fact | None = None) -> list[str] | None:
    """The packs of the set chosen last, of all or of those before a fact; None when none ever was."""
    choices = book.all("chosen", book.robot)
    chosen = newest(choice for choice in choices if before is None or choice.order < before.order)
    if chosen is None:
        return None
    return list((book.definition("pack_set", chosen.detail["pack_set"]) or {}).get("packs") or [])


def gone(book: Book, part: str) -> bool:
    """Last heard of in quarantine, scrapped or lost."""
    last = last_placing(book, part)
    return last is not None and last.entry.kind == "removed" and last.detail["to"] in GONE


def scope(book: Book) -> list[str]:
    """The parts that count for this fight, or for the robot as it stands."""
    found: set[str | None] = {occupant(book, q) for q in positions(book, "fixed", "shim")}
    named = configuration_parts(book, fight_configuration(book))
    for q in positions(book, "module"):
        found.add(named[q] if q in named else occupant(book, q))
    packs = chosen_packs(book)
    if packs is None:
        packs = [part for q in positions(book, "pack") if (part := occupant(book, q)) is not None]
    found.update(part for part in packs if not gone(book, part))
    return sorted(part for part in found if part is not None)


OFF_WITH_ITS_PART = {"replaced", "taken out of use"}
"""Ways to mend that leave the part as bad as it was, and only take it away."""


def open_findings(book: Book, part: str) -> list[Fact]:
    return [found for found in book.all("finding", part) if blocks_its_part(book, found)]


def blocks_its_part(book: Book, found: Fact) -> bool:
    """Nobody has put it right: it was left alone, or went off with its part, which was put in again since then.

    Said to have gone off more than once, it went the last time.
    """
    mends = book.all("mended", found.root)
    if not mends:
        return True
    if {mend.detail["how"] for mend in mends} - OFF_WITH_ITS_PART:
        return False
    return book.any_uncleared(book.all("fitted", found.subject), mends[-1:])


def works(book: Book, part: str) -> list[Fact]:
    """What was done to a part where it sat that may have changed its lengths, its mass and its balance."""
    found = {finding.root for finding in book.all("finding", part)}
    mends = [mend for mend in book.all("mended") if mend.subject in found and mend.detail["how"] in IN_PLACE]
    return book.all("worked", part) + mends


def covers(fact: Fact, fastener: int) -> bool:
    """Is a fastener among those named? Nothing named means all."""
    named = fact.detail.get("fasteners")
    return named is None or named == "all" or fastener in named


def is_declared(book: Book, configuration: str) -> bool:
    last = newest(book.all("declared", configuration))
    return last is not None and last.detail["declared"] is True
