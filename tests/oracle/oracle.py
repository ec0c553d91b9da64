"""Fit to fight or not, worked out the slow way from the rules alone.

It shares nothing with the engine but the records. Whole histories are replayed with full scans, one small
function a rule, to be held against the rule by eye; what the engine says must be the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from pitcrew.robot.checklist import Checklist
from pitcrew.robot.records import Entry

from .fights import checks, configuration, empties, hand_checks
from .joints import joints, lockings
from .lines import Book, current_fight, facts_of, newest
from .lives import lives
from .now import Requirement, Word, worst
from .packs import packs
from .parts import findings, limits, looks
from .signing import signed_off
from .stacks import stacks
from .tips import tips
from .weights import judge_weight, weighed_configurations, weights

BLOCKS = {"fail", "recheck", "due", "unchecked"}


class Judged(NamedTuple):
    """What the rules say: the fight (or None), fit or not, the word of each requirement, the marginal ones
    accepted, (kg, U) of each configuration weighed, None where a part has no mass, and why packs are no better.
    """

    fight: str | None
    fit: bool
    verdicts: dict[str, str]
    accepted: frozenset[str]
    weights: dict[str, tuple[float, float] | None]
    packs: frozenset[str] = frozenset()


def is_accepted(book: Book, key: str, words: list[Word]) -> bool:
    """Did the pit boss accept everything marginal here, for this fight, as it now stands?"""
    fight = current_fight(book)
    last = newest(book.all("accepted", key))
    if fight is None or last is None or last.detail["fight"] != fight.subject:
        return False
    rests_on = set(last.detail["rests_on"])
    return all(word.inside and word.rests_on <= rests_on for word in words if word.word == "marginal")


def blocks(book: Book, key: str, words: list[Word]) -> bool:
    word = worst(words)
    return word in BLOCKS or (word == "marginal" and not is_accepted(book, key, words))


def requirements(book: Book, checklists: Sequence[Checklist]) -> Iterator[Requirement]:
    """Every requirement; checks and the signature come last, for they go by what the others say."""
    found: list[Requirement] = []
    for rule in (looks, joints, lockings, stacks, limits, lives, findings, hand_checks, weights):
        found += rule(book)
    for rule in (configuration, packs, tips, empties):
        found += rule(book)
    found += checks(book, checklists, {key: blocks(book, key, words) for key, words in found})
    yield from found
    yield from signed_off(book, any(blocks(book, key, words) for key, words in found))


def judge(entries: Iterable[Entry], robot: str, now: int, cut: int, checklists: Sequence[Checklist]) -> Judged:
    """Judge a robot at a moment (milliseconds UTC) from the entries whose tick lies before the cut."""
    book = Book(facts_of(entries, cut), robot, now)
    required = dict(requirements(book, checklists))
    verdicts = {key: worst(words) for key, words in required.items()}
    accepted = frozenset(
        key for key, words in required.items() if verdicts[key] == "marginal" and is_accepted(book, key, words)
    )
    blocked = any(blocks(book, key, words) for key, words in required.items())
    fight = current_fight(book)
    of_packs = required.get(f"packs:{robot}", [])
    figures = {c: judge_weight(book, c).figure for c in weighed_configurations(book)}
    return Judged(
        None if fight is None else fight.subject,
        fight is not None and not blocked,
        verdicts,
        accepted,
        figures,
        frozenset(word.why for word in of_packs if word.word == worst(of_packs) and word.why),
    )
