"""Rules 1, 5 and 6: looks at parts, limits of their own dimensions, and findings."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .figures import doubt, of_reading
from .joints import fasteners, torques
from .lines import (
    Book,
    Detail,
    fights_ended,
    hits_on_part,
    moves,
    newest,
    occupant,
    placings,
    sat,
    sat_zone,
)
from .now import PASS, Requirement, Word, decided, kind_of, open_findings, positions, scope, works

NEVER_DEFERRED = {"bent", "cracked", "shorted", "stripped"}


# 1. Looks at parts.


def look_evidence(book: Book, part: str, kind: Detail | None) -> list[Fact]:
    evidence = book.all("looked_at", part) + book.all("finding", part)
    if kind is not None and kind["look"] == "zone":
        for look in book.all("looked_over"):
            excepted = look.detail.get("except") or []
            place = sat(book, part, look)
            if sat_zone(book, part, look) == look.subject and not {part, place} & set(excepted):
                evidence.append(look)
    return evidence


def first_fights(book: Book, part: str) -> list[Fact]:
    """The end of the first fight on this robot after each time the part was put in new."""
    own = positions(book)
    firsts = []
    for fitting in book.all("fitted", part):
        if fitting.detail.get("new") is True:
            later = [e for e in fights_ended(book) if e.order > fitting.order and sat(book, part, e) in own]
            firsts += later[:1]
    return firsts


def looks(book: Book) -> Iterator[Requirement]:
    for part in scope(book):
        kind = kind_of(book, part)
        if kind is None:
            continue
        disturbances = hits_on_part(book, part, kind["look_from"]) + book.all("symptom", part)
        if kind.get("first_look"):
            disturbances += first_fights(book, part)
        if kind.get("spins"):
            disturbances += works(book, part)
        due = book.any_uncleared(disturbances, look_evidence(book, part, kind))
        yield f"look:{part}", [Word("due") if due else PASS]


# 5. Limits of a part's own dimensions.


def limits(book: Book) -> Iterator[Requirement]:
    for part in scope(book):
        kind = kind_of(book, part) or {}
        for limit in kind.get("limits") or []:
            key = f"{part}/{limit['dimension']}"
            readings = book.all("reading", key)
            last = newest(readings)
            if last is None:
                continue
            shown = of_reading(book, last)
            read = decided(shown.value, doubt([(1, shown)]), limit.get("low_m"), limit.get("high_m"), [last.id])
            if book.any_uncleared(works(book, part), readings):
                words = [Word("recheck")]
            elif book.any_uncleared(hits_on_part(book, part, kind["look_from"]), readings):
                # A hit mends nothing that was found out of limits.
                words = [Word("recheck"), *([read] if read.word == "fail" else [])]
            else:
                words = [read]
            yield f"limit:{key}", words


# 6. Findings.


def bolted_in(book: Book, position: str) -> bool:
    """Was every fastener that is ever torqued of what holds a position torqued after a part came or went there last?

    What is opened or moved elsewhere later brings nothing back that went off for good.
    """
    moved = newest(moves(book, position))
    holding = {joint: sheet for joint, sheet in book.defined("joint").items() if position in (sheet.get("holds") or [])}
    torqued = [torques(book, joint, i) for joint, sheet in holding.items() for i in fasteners(sheet)]
    return moved is None or not any(book.uncleared(moved, of_one) for of_one in torqued if of_one)


def replaced_findings(book: Book) -> Iterator[Fact]:
    """Findings on what was last taken from a position that is empty, or whose new part was never bolted in."""
    counted = scope(book)
    for q in positions(book, "fixed"):
        now_there = occupant(book, q)
        half = now_there is None or not bolted_in(book, q)
        before = newest(f for f in placings(book, q) if f.subject != now_there)
        if half and before is not None and before.subject not in counted:
            yield from (f for f in open_findings(book, before.subject) if f.detail["position"] == q)


def finding_word(book: Book, found: Fact) -> str:
    part, what = found.subject, found.detail["what"]
    kind = kind_of(book, part)
    deferral = newest(book.all("deferred", found.root))
    if deferral is None:
        return "fail"
    if (kind or {}).get("load_path") and what in NEVER_DEFERRED:
        return "fail"
    until = deferral.detail.get("until_fight")
    if until is not None and book.all("fight_ended", until):
        return "fail"
    most = deferral.detail.get("limit_m")
    sized = [f for f in book.all("finding", part) if f.detail["what"] == what]
    last_sized = newest(f for f in sized if f.detail.get("size_m") is not None)
    if most is not None and last_sized is not None and last_sized.detail["size_m"] > most:
        return "fail"
    evidence = [deferral, *look_evidence(book, part, kind)]
    return "due" if book.any_uncleared(fights_ended(book), evidence) else "deferred"


def findings(book: Book) -> Iterator[Requirement]:
    counted = [found for part in scope(book) for found in open_findings(book, part)]
    for found in [*counted, *replaced_findings(book)]:
        yield f"finding:{found.root}", [Word(finding_word(book, found))]
