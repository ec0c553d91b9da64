"""Rules 7, 9, 11 and 12: hand checks, the configuration of the fight, places, checklists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.records import Fact

from .lines import Book, fights_ended, moves, newest, occupant
from .now import (
    PASS,
    Requirement,
    Word,
    configuration_parts,
    fight_configuration,
    is_declared,
    kind_of,
    positions,
)

# 7. Hand checks.


def hand_checks(book: Book) -> Iterator[Requirement]:
    hits = book.all("hit")
    raised = {hit.entry.act for hit in hits if hit.detail.get("because") is not None}
    for zone in book.defined("zone"):
        checked = book.all("hand_checked", zone)
        for hit in hits:
            if hit.entry.place == zone and hit.entry.act not in raised and book.uncleared(hit, checked):
                yield f"hand:{hit.entry.act}", [Word("due")]


# 9. The configuration entered.


def configuration(book: Book) -> Iterator[Requirement]:
    entered = fight_configuration(book)
    if entered is None:
        return
    words = [PASS]
    if book.definition("configuration", entered) is None:
        words.append(Word("due"))
    named = configuration_parts(book, entered)
    if any(named[q] != occupant(book, q) for q in positions(book, "module") if q in named):
        words.append(Word("due"))
    if any(is_declared(book, c) for c in book.defined("configuration")) and not is_declared(book, entered):
        words.append(Word("fail"))
    yield f"configuration:{book.robot}", words


# 11. Empty positions.


def empties(book: Book) -> Iterator[Requirement]:
    for q, sheet in positions(book, "fixed").items():
        if not sheet.get("may_be_empty") and occupant(book, q) is None:
            yield f"empty:{q}", [Word("fail")]


# 12. Checklists.


def touched(book: Book) -> list[Fact]:
    """Wiring touched or memory changed, of the robot itself or of any part of its own, fitted or not."""
    own = {book.robot, *book.defined("part")}
    return [f for f in book.facts if f.entry.kind in ("rewired", "reprogrammed") and f.subject in own]


def check_disturbances(book: Book, checklist: Checklist) -> list[Fact]:
    found = fights_ended(book) if "fight_ended" in checklist.stale_when else []
    if "function_part_moved" in checklist.stale_when:
        for q in positions(book):
            found += [m for m in moves(book, q) if (kind_of(book, m.subject) or {}).get("function_check")]
        found += touched(book)
    return found


def is_good(line: Line, answer: Fact) -> bool:
    detail: Any = answer.detail
    if detail["answer"] == "yes":
        return not line.second or detail.get("second") not in (None, answer.entry.by)
    return bool(detail["answer"] == "skipped" and line.may_skip)


def answered_by_the_book(line: Line, others: Mapping[str, bool]) -> bool:
    """There is something to go by among what its evidence names, and none of it blocks."""
    named = [blocks for key, blocks in others.items() if key.split(":")[0] in line.evidence]
    return bool(named) and not any(named)


def line_word(book: Book, key: str, line: Line, disturbances: list[Fact], others: Mapping[str, bool]) -> str:
    answers = book.all("answered", key)
    last = newest(answers)
    if last is not None and last.detail["answer"] == "no":
        return "fail"
    if answered_by_the_book(line, others):
        return "pass"
    good = [answer for answer in answers if is_good(line, answer)]
    return "due" if not good or book.any_uncleared(disturbances, good) else "pass"


def checks(book: Book, checklists: Sequence[Checklist], others: Mapping[str, bool]) -> Iterator[Requirement]:
    """Every list; the others are the requirements of the rules before it, each with whether it blocks."""
    for checklist in checklists:
        disturbances = check_disturbances(book, checklist)
        words = [
            Word(line_word(book, f"{book.robot}/{checklist.id}/{line.id}", line, disturbances, others))
            for line in checklist.lines
        ]
        yield f"check:{checklist.id}", words
