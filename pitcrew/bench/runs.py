"""A gap as it is measured: which pieces, what each was last read as, by whom and with what, its share of the doubt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice
from math import hypot
from typing import NamedTuple

from pitcrew.bench.subjects import Figured
from pitcrew.bench.usual import usual_instrument
from pitcrew.engineering.stacks import TIE_M, Sum, chain, smallest
from pitcrew.engineering.stacks import Piece as Length
from pitcrew.engineering.uncertainty import Reading, decide
from pitcrew.readiness.case import Case
from pitcrew.readiness.figures import figure_of, length_against, reading_with
from pitcrew.readiness.stacks import NOTHING_THERE, judge_stack, key_of, piece_figure, stack_value
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.definitions import Instrument, Piece, Stack
from pitcrew.robot.records import Fact
from pitcrew.units.table import NAMES

STALE = frozenset(("hit since", "opened since", "part moved since", "never measured", "piece not read"))
KEPT_READINGS = 12
"""Readings of one piece that are looked at for the gaps of earlier runs."""


class PieceNow(NamedTuple):
    """One piece of a gap as it stands.

    `key` is the subject it is read under, None where nothing sits. `length_m` is what was read (as the instrument
    showed it) or what the part came with, None where nobody knows; `tolerance_m` goes with what was never read.
    `share` is its part of the variance of the gap, of 1; negative where its error takes from another's; None where
    it has none because the piece is not in the chain that decides, or the gap is not known.
    """

    piece: Piece
    key: str | None
    length_m: float | None
    tolerance_m: float | None
    instrument: str | None
    fact: Fact | None
    share: float | None
    part: str | None


class Gap(NamedTuple):
    """A gap against its limits: the requirement as it is judged, and the figure that speaks for it, metres.

    `counts` is false where the gap does not matter in the configuration entered; it never blocks then. `how` is
    "sum", "direct" or "feeler"; `goes_m` and `stops_m` are the feeler's. `solid` says that the figure counts: nothing
    has disturbed it. `added` is what the pieces add to, whatever decides.
    """

    requirement: Requirement
    counts: bool
    how: str
    value_m: float | None
    u_m: float
    solid: bool
    added: Sum
    goes_m: float | None = None
    stops_m: float | None = None

    @property
    def blocks(self) -> bool:
        """Does it keep the robot from fighting?"""
        return self.counts and self.requirement.blocks


class Past(NamedTuple):
    """A gap as it came out at one earlier reading: its last fact, value and doubt in metres, the verdict then."""

    at: Fact
    value_m: float
    u_m: float
    word: str
    how: str


def length_instruments(case: Case) -> tuple[Instrument, ...]:
    """Everything a length can be read with, in the order it was defined."""
    tools = case.defs.instruments.values()
    return tuple(tool for tool in tools if tool.unit in NAMES and NAMES[tool.unit].dimension == "length")


# the pieces


def pieces_now(case: Case, stack: Stack) -> tuple[PieceNow, ...]:
    """Every piece of a gap, in the order of its chain."""
    shares = doubt_shares(case, stack)
    return tuple(_piece_now(case, piece, shares.get((piece.position, piece.dimension))) for piece in stack.pieces())


def _piece_now(case: Case, piece: Piece, share: float | None) -> PieceNow:
    key = key_of(case, piece)
    part = case.occupant(piece.position) if piece.position else None
    if key is None:
        return PieceNow(piece, None, None, None, None, None, share, None)
    fact = case.newest("reading", key)
    if fact is not None:
        tool = fact.detail.get("instrument")
        return PieceNow(piece, key, float(fact.detail["value_m"]), None, tool, fact, share, part)
    record = case.part(part) if part else None
    came = record.dimensions.get(piece.dimension) if record else None
    if came is None:
        return PieceNow(piece, key, None, None, None, None, share, part)
    return PieceNow(piece, key, came.value_m, came.tolerance_m, came.instrument, None, share, part)


def deciding_chain(case: Case, stack: Stack) -> tuple[tuple[Piece, Reading], ...] | None:
    """The chain that decides, each piece with its reading; None while one is missing in any chain.

    Of chains that come out alike, the one in most doubt decides.
    """
    found: list[tuple[tuple[Piece, Reading], ...]] = []
    for pieces in stack.chains:
        known = [(piece, figure.reading) for piece in pieces if (figure := piece_figure(case, piece)) is not None]
        if len(known) < len(pieces):
            return None
        found.append(tuple(known))
    sums = [added_up(pieces) for pieces in found]
    least = min(total.value or 0.0 for total in sums)
    tied = [index for index, total in enumerate(sums) if (total.value or 0.0) - least <= TIE_M]
    return found[max(tied, key=lambda index: (_expanded(sums[index]), -index))]


def added_up(pieces: Sequence[tuple[Piece, Reading]]) -> Sum:
    """What readings of the pieces of one chain add to."""
    return chain([Length(piece.name, piece.sign, reading) for piece, reading in pieces])


def _expanded(total: Sum) -> float:
    return total.doubt.expanded if total.doubt else 0.0


def doubt_shares(case: Case, stack: Stack) -> dict[tuple[str | None, str], float]:
    """The part of the gap's variance that each piece of the deciding chain owns, by its position and dimension.

    A piece owns its own variance and half of every covariance with another: one instrument's error is the same error
    in all that was read with it. The parts add up to 1; nothing is owned where there is no doubt at all.
    """
    decides = deciding_chain(case, stack)
    if decides is None:
        return {}
    net: dict[str, float] = {}
    for piece, reading in decides:
        if reading.instrument is not None:
            net[reading.instrument] = net.get(reading.instrument, 0.0) + piece.sign * reading.permissible
    owned: dict[tuple[str | None, str], float] = {}
    for piece, reading in decides:
        own = piece.sign * reading.permissible * net.get(reading.instrument or "", 0.0) / 3.0
        own += reading.resolution**2 / 12.0 + reading.tolerance**2 / 3.0
        key = (piece.position, piece.dimension)
        owned[key] = owned.get(key, 0.0) + own
    variance = sum(owned.values())
    return {key: own / variance for key, own in owned.items()} if variance > 0.0 else {}


def readings_here(case: Case, piece: Piece) -> Iterator[Fact]:
    """Readings of a piece, of whatever part sat at its place when it was read; the newest of each part first."""
    if piece.position is None:
        yield from islice(case.facts("reading", f"{case.robot}/{piece.dimension}"), KEPT_READINGS)
        return
    for part in dict.fromkeys(fact.subject for fact in case.placed(piece.position)):
        for fact in islice(case.facts("reading", f"{part}/{piece.dimension}"), KEPT_READINGS):
            if case.occupant(piece.position, before=fact) == part:
                yield fact


def usual_tool(case: Case, stack: Stack, piece: Piece, key: str) -> str | None:
    """What a piece is usually read with: as last time, as the part before it at its place, else as its neighbours.

    None only where the book has nothing that reads a length: a figure without its instrument would count as exact.
    """
    fact = case.newest("reading", key) or next(readings_here(case, piece), None)
    if fact is not None and fact.detail.get("instrument"):
        return str(fact.detail["instrument"])
    usual = usual_instrument(case, Figured("reading", key, piece.name, "length", "mm"))
    return usual or _of_its_neighbours(case, stack)


def usual_gap_tool(case: Case, stack: Stack) -> str | None:
    """What the gap itself is usually read with: as last time, else as most of its pieces."""
    usual = usual_instrument(case, Figured("stack", stack.id, stack.name, "length", "mm"))
    return usual or _of_its_neighbours(case, stack)


def _of_its_neighbours(case: Case, stack: Stack) -> str | None:
    """What most pieces of a gap were last read with, else the first instrument of the book that reads lengths."""
    used = Counter(
        str(fact.detail["instrument"])
        for key in (key_of(case, piece) for piece in stack.pieces())
        if key is not None and (fact := case.newest("reading", key)) is not None and fact.detail.get("instrument")
    )
    return next((tool for tool, _ in used.most_common(1)), next((tool.id for tool in length_instruments(case)), None))


# the gap


def gap_now(case: Case, stack: Stack) -> Gap:
    """A gap as it stands, judged as if it mattered where the configuration entered does not ask for it."""
    judged = next(judge_stack(case, stack), None)
    item = judged or next(judge_stack(case, stack._replace(only_in=())))
    added = stack_value(case, stack).sum
    because = item.because[0]
    goes, stops = because.figure("goes_m"), because.figure("stops_m")
    if because.code == "feeler":
        return Gap(item, judged is not None, "feeler", None, 0.0, True, added, _number(goes), _number(stops))
    value, u = because.figure("value_m"), because.figure("u_m")
    how = "direct" if because.code == "measured directly" else "sum"
    return Gap(item, judged is not None, how, _number(value), _number(u) or 0.0, because.code not in STALE, added)


def next_gap(case: Case, asked: Sequence[Requirement], stack: Stack) -> Stack | None:
    """The next gap that wants measuring and shares a piece with this one: hands and tools are at the place."""
    keys = {(piece.position, piece.dimension) for piece in stack.pieces()}
    wanted = {item.subject for item in asked if item.group == "stack" and item.verdict in ("recheck", "unchecked")}
    others = (other for ident, other in case.defs.stacks.items() if ident in wanted and ident != stack.id)
    return next((o for o in others if keys & {(p.position, p.dimension) for p in o.pieces()}), None)


def _number(figure: float | int | str | None) -> float | None:
    return None if figure is None else float(figure)


def at_odds(gap: Gap) -> bool:
    """Do a direct look and the sum of the pieces disagree by more than both their doubts allow?

    Then something is bent, or one of them was misread.
    """
    total = gap.added.value
    if gap.how == "sum" or total is None or not gap.solid:
        return False
    u = _expanded(gap.added)
    if gap.how == "direct":
        return gap.value_m is not None and abs(gap.value_m - total) > hypot(u, gap.u_m)
    below = gap.goes_m is not None and total + u < gap.goes_m
    return below or (gap.stops_m is not None and total - u > gap.stops_m)


# what it was


def past_gaps(case: Case, stack: Stack, most: int = 6) -> tuple[Past, ...]:
    """The gap as it came out at earlier readings, oldest first: each run through its pieces, each direct reading."""
    last: dict[str, Fact] = {}
    for fact in _read(case, stack):
        if fact.entry.act not in last or fact.order > last[fact.entry.act].order:
            last[fact.entry.act] = fact
    newest = sorted(last.values(), key=lambda fact: fact.order, reverse=True)
    found = (_past(case, stack, fact) for fact in newest)
    return tuple(islice((past for past in found if past is not None), most))[::-1]


def _read(case: Case, stack: Stack) -> Iterator[Fact]:
    yield from islice(case.facts("direct", stack.id), KEPT_READINGS)
    for piece in stack.pieces():
        yield from readings_here(case, piece)


def _past(case: Case, stack: Stack, at: Fact) -> Past | None:
    if at.entry.kind == "direct":
        if at.detail.get("value_m") is None:
            return None
        decision, figures = length_against(case, at, stack.low_m, stack.high_m)
        known = dict(figures)
        return Past(at, float(known["value_m"] or 0), float(known["u_m"] or 0), decision.word, "direct")
    total = smallest(
        [[Length(piece.name, piece.sign, _then(case, piece, at)) for piece in pieces] for pieces in stack.chains]
    )
    if total.value is None or total.doubt is None:
        return None
    u = total.doubt.expanded
    return Past(at, total.value, u, decide(total.value, u, stack.low_m, stack.high_m).word, "sum")


def _then(case: Case, piece: Piece, at: Fact) -> Reading | None:
    """The reading of a piece as it stood when something was read."""
    part = case.robot if piece.position is None else case.occupant(piece.position, before=at)
    if part is None:
        place = case.defs.positions.get(piece.position or "")
        return NOTHING_THERE if place is not None and place.role == "shim" else None
    facts = case.facts("reading", f"{part}/{piece.dimension}")
    fact = next((fact for fact in facts if fact.order <= at.order), None)
    if fact is not None:
        return figure_of(case, fact, "value_m").reading
    record = case.part(part) if piece.position else None
    came = record.dimensions.get(piece.dimension) if record else None
    if came is None:
        return None
    return reading_with(case, came.value_m, came.instrument, came.tolerance_m, offset=False)
