"""Rule 4: stacks and clearances."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .figures import Figure, doubt, figure, of_dimension, of_reading
from .joints import openings_behind
from .lines import Book, Detail, hits_on, moves, newest, occupant
from .now import PASS, Requirement, Word, decided, fight_configuration, kind_of, open_findings, works

# 4. Stacks.


def stack_positions(sheet: Detail) -> list[str]:
    named = [piece.get("position") for chain in sheet["chains"] for piece in chain]
    named += sheet.get("positions") or []
    return sorted({q for q in named if q is not None})


def bent_in(book: Book, places: list[str]) -> bool:
    """Is a piece of the load path bent where it sits? No figure and no shim makes up for that.

    A crack is not asked here: it changes no length, and blocks as the finding it is.
    """
    sitting = [part for q in places if (part := occupant(book, q)) is not None]
    bearing = [part for part in sitting if (kind_of(book, part) or {}).get("load_path") is True]
    return any(found.detail["what"] == "bent" for part in bearing for found in open_findings(book, part))


def held_positions(book: Book, sheet: Detail) -> list[str]:
    """The positions of what its joints clamp together."""
    return [
        q for joint in sheet.get("joints") or [] for q in (book.definition("joint", joint) or {}).get("holds") or []
    ]


def part_changes(book: Book, sheet: Detail) -> list[Fact]:
    """Parts taken out, put in and worked where they sit: the only disturbances that may have mended a gap."""
    places = stack_positions(sheet)
    sitting = [part for q in places if (part := occupant(book, q)) is not None]
    worked = [work for part in sitting for work in works(book, part)]
    return worked + [move for q in [*places, *held_positions(book, sheet)] for move in moves(book, q)]


def blows(book: Book, sheet: Detail) -> list[Fact]:
    """Hits felt and joints opened: a gap is never the better for them."""
    felt_here = [hit for zone in sheet["zones"] for hit in hits_on(book, zone, sheet["recheck_from"])]
    joints = sheet.get("joints") or []
    opened = [o for joint in joints for o in book.all("opened", joint) + openings_behind(book, joint)]
    return felt_here + opened


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


def stack_evidence(book: Book, stack: str, sheet: Detail) -> list[Fact]:
    """Every act that measured any of it: the gap itself, or a piece that is there."""
    keys = {piece_key(book, piece) for chain in sheet["chains"] for piece in chain}
    readings = [reading for key in keys if key is not None for reading in book.all("reading", key)]
    return book.all("direct", stack) + readings


def word_after(book: Book, stack: str, sheet: Detail, disturbances: list[Fact]) -> Word:
    """What is to be said of it if these disturbances and no others had come."""
    evidence = stack_evidence(book, stack, sheet)
    direct = newest(book.all("direct", stack))
    if direct is not None and not book.any_uncleared(disturbances, [direct]):
        return direct_word(book, sheet, direct)
    if not evidence:
        return Word("unchecked")
    return Word("recheck") if book.any_uncleared(disturbances, evidence) else sum_word(book, sheet)


def proof_words(book: Book, stack: str, sheet: Detail) -> list[Word]:
    """What it is now; and one that failed before blows came that nobody has measured since is failed still."""
    changed, struck = part_changes(book, sheet), blows(book, sheet)
    evidence = stack_evidence(book, stack, sheet)
    answered = [blow for blow in struck if not book.uncleared(blow, evidence)]
    before = word_after(book, stack, sheet, [*changed, *answered])
    return [word_after(book, stack, sheet, [*changed, *struck]), *([before] if before.word == "fail" else [])]


def stacks(book: Book) -> Iterator[Requirement]:
    for stack, sheet in book.defined("stack").items():
        only_in = sheet.get("only_in") or []
        if only_in and fight_configuration(book) not in only_in:
            continue
        words = proof_words(book, stack, sheet)
        if bent_in(book, stack_positions(sheet)):
            words.append(Word("fail"))
        yield f"stack:{stack}", words
