"""What would bring a gap in: another part of the same kind at one of its places, or a better instrument."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from pitcrew.bench.runs import Gap, added_up, deciding_chain, doubt_shares, readings_here
from pitcrew.bench.supposing import supposing
from pitcrew.engineering.stacks import TIE_M
from pitcrew.engineering.uncertainty import Reading, decide
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.figures import reading_with
from pitcrew.readiness.stacks import stack_value
from pitcrew.robot.definitions import Instrument, Part, Piece, Position, Stack, read

BEST_FIRST = ("pass", "marginal", "fail")


class WhatIf(NamedTuple):
    """The gap if other parts sat at its places: nothing is written, nothing of it has been read there.

    `part` is None for a place left empty and for a whole configuration. `spoils` names the gaps that pass now and
    would not pass then; `entered` marks the whole configuration entered, which is not on yet.
    """

    part: str | None
    name: str
    value_m: float
    u_m: float
    word: str
    spoils: tuple[str, ...] = ()
    entered: bool = False


class Settling(NamedTuple):
    """A marginal gap settled by better instruments: which pieces with which, and the doubt then, metres."""

    changes: tuple[tuple[Piece, Instrument], ...]
    u_m: float


def what_ifs(case: Case, stack: Stack, wide: bool) -> tuple[WhatIf, ...]:
    """What other parts would make of a gap: the configuration entered first, then those that bring it in.

    Args:
        case: the robot as the book has it.
        stack: the gap.
        wide: for every place that has spares of its kind; else only for shims, which are there for it.
    """
    found: list[WhatIf] = []
    for place in dict.fromkeys(piece.position for piece in stack.pieces()):
        position = case.defs.positions.get(place or "")
        if position is None or position.role not in (("shim", "fixed") if wide else ("shim",)):
            continue
        names = {piece.dimension for piece in stack.pieces() if piece.position == place}
        if position.role == "shim" and case.occupant(position.id) is not None:
            found += _supposed(case, stack, None, f"{position.name} out", {position.id: None})
        for part in _spares(case, position):
            if all(_length_known(case, part, name) for name in names):
                found += _supposed(case, stack, part.id, part.name, {position.id: part.id})
    now = stack_value(case, stack).value_m
    other = (item for item in found if now is None or abs(item.value_m - now) > TIE_M)
    best = sorted(other, key=lambda item: (bool(item.spoils), BEST_FIRST.index(item.word)))
    return (*_entered(case, stack), *best)


def _entered(case: Case, stack: Stack) -> Iterator[WhatIf]:
    """The gap with the configuration entered on, where it is asked for there and not on yet at its places."""
    fight = case.fight()
    wanted = case.defs.configurations.get(str(fight.detail["configuration"])) if fight else None
    if wanted is None or (stack.only_in and wanted.id not in stack.only_in):
        return
    moves = {place: part for place, part in wanted.parts.items() if case.occupant(place) != part}
    if any(place in moves for place in stack.places()):
        yield from (item._replace(entered=True) for item in _supposed(case, stack, None, wanted.name, moves))


def _spares(case: Case, position: Position) -> Iterator[Part]:
    """Parts of the kind that belongs at a place: not fitted anywhere, not put away."""
    sat = [case.part(fact.subject) for fact in case.placed(position.id)]
    kinds = {part.part_kind for part in sat if part is not None}
    for fact in case.evidence.definitions("part", case.robot):
        part = read(Part, fact)
        last = case.whereabouts(part.id).first()
        loose = last is None or last.entry.kind != "fitted" or case.occupant(last.entry.place or "") != part.id
        if part.part_kind in kinds and loose and case.put_away(part.id) is None:
            yield part


def _length_known(case: Case, part: Part, dimension: str) -> bool:
    return dimension in part.dimensions or case.newest("reading", f"{part.id}/{dimension}") is not None


def _supposed(
    case: Case, stack: Stack, part: str | None, name: str, moves: Mapping[str, str | None]
) -> Iterator[WhatIf]:
    then = supposing(case, list(_moved(case, moves)), "")
    value = stack_value(then, stack)
    if value.value_m is None or value.decision is None:
        return
    beside = (
        other
        for other in case.defs.stacks.values()
        if other.id != stack.id and not moves.keys().isdisjoint(other.places())
    )
    spoils = tuple(other.name for other in beside if _passes(case, other) and not _passes(then, other))
    yield WhatIf(part, name, value.value_m, value.u_m, value.decision.word, spoils)


def _moved(case: Case, moves: Mapping[str, str | None]) -> Iterator[Draft]:
    """Out with what sits at each place, in with what is named for it."""
    for place, part in moves.items():
        here = case.occupant(place)
        if here is not None:
            yield Draft("removed", here, "", case.robot, place, detail={"to": "spares"})
        if part is not None:
            yield Draft("fitted", part, "", case.robot, place, detail={"new": False})


def _passes(case: Case, stack: Stack) -> bool:
    decision = stack_value(case, stack).decision
    return decision is not None and decision.word == "pass"


def settling(case: Case, stack: Stack, gap: Gap) -> Settling | None:
    """The fewest better readings that would settle a marginal sum, if each piece reads the same again.

    Only instruments that have read the piece before are thought of: that they reach it is known. The piece that owns
    most of the doubt goes first. None where it is not marginal by its sum, or nothing known would settle it.
    """
    decides = deciding_chain(case, stack)
    if gap.requirement.verdict != "marginal" or gap.how != "sum" or decides is None:
        return None
    shares = doubt_shares(case, stack)
    changes: list[tuple[Piece, Instrument]] = []
    now = dict(enumerate(decides))
    for index in sorted(now, key=lambda at: -shares.get((now[at][0].position, now[at][0].dimension), 0.0)):
        piece, reading = now[index]
        better = _better(case, piece, reading)
        if better is None:
            continue
        now[index] = (piece, better[1])
        changes.append((piece, better[0]))
        total = added_up(tuple(now.values()))
        if total.value is None or total.doubt is None:
            return None
        u = total.doubt.expanded
        if decide(total.value, u, stack.low_m, stack.high_m).word == "pass":
            return Settling(tuple(changes), u)
    return None


def _better(case: Case, piece: Piece, reading: Reading) -> tuple[Instrument, Reading] | None:
    """The finest instrument that has read a piece before, if it is finer than what it is known by now."""
    doubt = max(reading.permissible, reading.tolerance)
    names = dict.fromkeys(fact.detail.get("instrument") for fact in readings_here(case, piece))
    tools = (case.defs.instruments.get(str(name)) for name in names if name)
    read_with = [(tool, reading_with(case, reading.value, tool.id, None, offset=False)) for tool in tools if tool]
    finer = [pair for pair in read_with if pair[1].permissible < doubt]
    return min(finer, key=lambda pair: pair[1].permissible, default=None)
