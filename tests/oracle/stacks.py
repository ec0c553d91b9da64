"""Rule 4: stacks and clearances."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .figures import Figure, doubt, figure, of_dimension, of_reading
from .lines import Book, Detail, hits_on, moves, newest, occupant
from .now import PASS, Requirement, Word, decided, fight_configuration, kind_of, open_findings

# 4. Stacks.


def stack_positions(sheet: Detail) -> list[str]:
    named = [piece.get("position") for chain in sheet["chains"] for piece in chain]
    named += sheet.get("positions") or []
    return sorted({q for q in named if q is not None})


def bent_in(book: Book, places: list[str]) -> bool:
    """Does a bent part of the load path sit at one of the positions? A crack changes no length."""
    for q in places:
        part = occupant(book, q)
        if part is None or not (kind_of(book, part) or {}).get("load_path"):
            continue
        if any(found.detail["what"] == "bent" for found in open_findings(book, part)):
            return True
    return False


def stack_disturbances(book: Book, sheet: Detail) -> list[Fact]:
    found = [move for q in stack_positions(sheet) for move in moves(book, q)]
    for joint in sheet.get("joints") or []:
        found += book.all("opened", joint)
        for q in (book.definition("joint", joint) or {}).get("holds") or []:
            found += moves(book, q)
    for zone in sheet["zones"]:
        found += hits_on(book, zone, sheet["recheck_from"])
    return found


def direct_word(book: Book, sheet: Detail, direct: Fact) -> Word:
    low, high, detail = sheet.get("low_m"), sheet.get("high_m"), direct.detail
    if detail.get("value_m") is not None:
        shown = figure(book, detail["value_m"], detail.get("instrument"), None, direct.id)
        return decided(shown.value, doubt([(1, shown)]), low, high, [direct.id])
    goes, stops = detail.get("goes_m"), detail.get("stops_m")
    low_kept = low is None or (goes is not None and goes >= low)
    high_kept = high is None or (stops is not None and stops <= high)
    if low_kept and high_kept:
        return PASS
    low_broken = stops is not None and low is not None and stops <= low
    high_broken = goes is not None and high is not None and goes >= high
    # A feeler that leaves it open gives no value that could be seen to lie inside.
    return Word("fail") if low_broken or high_broken else Word("marginal", frozenset({direct.id}))


def piece_key(book: Book, piece: Detail) -> str | None:
    owner = book.robot if piece.get("position") is None else occupant(book, piece["position"])
    return None if owner is None else f"{owner}/{piece['dimension']}"


def piece_figure(book: Book, piece: Detail) -> Figure | None:
    """The figure of one piece; an empty shim place counts nothing; None where it is missing."""
    key = piece_key(book, piece)
    q = piece.get("position")
    if key is None:
        shim = (book.definition("position", q) or {}).get("role") == "shim"
        return Figure(0.0) if shim else None
    reading = newest(book.all("reading", key))
    if reading is not None:
        return of_reading(book, reading)
    if q is None:
        return None
    return of_dimension(book, book.definition("part", occupant(book, q)) or {}, piece["dimension"])


def sum_word(book: Book, sheet: Detail) -> Word:
    sums = []
    for chain in sheet["chains"]:
        pieces = [(piece["sign"], piece_figure(book, piece)) for piece in chain]
        signed = [(sign, found) for sign, found in pieces if found is not None]
        if len(signed) < len(pieces):
            return Word("unchecked")
        used = [found.entry for _, found in signed if found.entry is not None]
        sums.append((sum(sign * found.value for sign, found in signed), doubt(signed), used))
    smallest = min(value for value, _, _ in sums)
    value, u, used = max((s for s in sums if s[0] <= smallest + 1e-12), key=lambda s: s[1])
    return decided(value, u, sheet.get("low_m"), sheet.get("high_m"), used)


def failed_before(book: Book, sheet: Detail, last: Fact | None, evidence: list[Fact]) -> list[Word]:
    """A hit or an opened joint mends nothing; only a part taken out or put in may have.

    What counts is what stood before the disturbances that nothing has cleared.
    """
    changed = [move for q in stack_positions(sheet) for move in moves(book, q)]
    for joint in sheet.get("joints") or []:
        for q in (book.definition("joint", joint) or {}).get("holds") or []:
            changed += moves(book, q)
    if book.any_uncleared(changed, evidence):
        return []
    settled = [d for d in stack_disturbances(book, sheet) if not book.any_uncleared([d], evidence)]
    if last is not None and not book.any_uncleared(settled, [last]):
        word = direct_word(book, sheet, last)
    else:
        word = sum_word(book, sheet)
    return [word] if word.word == "fail" else []


def proof_words(book: Book, stack: str, sheet: Detail) -> list[Word]:
    disturbances = stack_disturbances(book, sheet)
    directs = book.all("direct", stack)
    last = newest(directs)
    if last is not None and not book.any_uncleared(disturbances, [last]):
        return [direct_word(book, sheet, last)]
    keys = {piece_key(book, piece) for chain in sheet["chains"] for piece in chain}
    evidence = directs + [r for key in keys if key is not None for r in book.all("reading", key)]
    if not evidence:
        return [Word("unchecked")]
    if book.any_uncleared(disturbances, evidence):
        return [Word("recheck"), *failed_before(book, sheet, last, evidence)]
    return [sum_word(book, sheet)]


def stacks(book: Book) -> Iterator[Requirement]:
    for stack, sheet in book.defined("stack").items():
        only_in = sheet.get("only_in") or []
        if only_in and fight_configuration(book) not in only_in:
            continue
        words = proof_words(book, stack, sheet)
        if bent_in(book, stack_positions(sheet)):
            words.append(Word("fail"))
        yield f"stack:{stack}", words
