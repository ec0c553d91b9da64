"""Stacks and clearances: what the gap is now, what proves it, and what has unsettled the proof since.

A direct look beats a sum. A bent part in the load path beats both: no shim makes it pass.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from pitcrew.engineering.conformity import Decision, decide
from pitcrew.engineering.stacks import Piece as Length
from pitcrew.engineering.stacks import Sum, chain, smallest
from pitcrew.engineering.uncertainty import Reading
from pitcrew.readiness import table
from pitcrew.readiness.acceptance import acceptance
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import felt
from pitcrew.readiness.figures import KEPT, Figure, figure_of, length_against, reading_with
from pitcrew.readiness.reaching import reaching
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.readiness.worked import works
from pitcrew.robot.definitions import Joint, Piece, Stack
from pitcrew.robot.records import Fact

NOTHING_THERE = Reading(0.0, None, 0.0, 0.0)


class StackValue(NamedTuple):
    """The gap as its pieces add up now: value and doubt in metres, the readings of the chain that decides.

    `missing` names the pieces nobody has read; `value_m` is None then.
    """

    value_m: float | None
    u_m: float
    decision: Decision | None
    readings: tuple[Fact, ...]
    missing: tuple[str, ...]
    sum: Sum


def judge_stacks(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement a stack that matters in the configuration entered; of those asked for by key."""
    for stack in case.defs.stacks.values():
        if f"stack:{stack.id}" in asked:
            yield from judge_stack(case, stack)


def judge_stack(case: Case, stack: Stack) -> Iterator[Requirement]:
    """The requirement of one stack; nothing where it does not matter in the configuration entered."""
    if stack.only_in and _entered(case) not in stack.only_in:
        return
    rulings = list(_rulings(case, stack))
    taken = None
    if rulings[0].verdict == "marginal":
        taken = acceptance(case, f"stack:{stack.id}", rulings[0].rests_on, rulings[0].inside)
    zone = stack.zones[0] if stack.zones else None
    yield requirement("stack", stack.id, rulings, zone, taken)


def _entered(case: Case) -> str | None:
    fight = case.fight()
    return str(fight.detail["configuration"]) if fight else None


def _rulings(case: Case, stack: Stack) -> Iterator[Ruling]:
    bent = list(_bent(case, stack))
    if bent:
        yield Ruling("fail", Because("bent part", tuple(bent), _expected(case, stack)), tuple(bent))
        return
    disturbances = Stream(stack_disturbances(case, stack))
    direct = case.newest("direct", stack.id)
    if direct is not None and case.uncleared(disturbances, [direct]) is None:
        yield _direct(case, stack, direct)
        return
    proofs = Stream(_proofs(case, stack))
    newest = proofs.first()
    if newest is None:
        yield Ruling("unchecked", Because("never measured", (), _expected(case, stack)))
        return
    disturbance = case.uncleared(disturbances, proofs)
    if disturbance is not None:
        code = {
            "hit": "hit since",
            "opened": "opened since",
            "fitted": "part moved since",
            "removed": "part moved since",
        }.get(disturbance.entry.kind, "worked since")
        yield Ruling("recheck", Because(code, (disturbance,), _expected(case, stack)), (newest,))
        yield from _failed_before(case, stack, direct, disturbances, proofs)
        return
    yield _summed(case, stack)


def _bent(case: Case, stack: Stack) -> Iterator[Fact]:
    """Open findings of bent parts in the load path at the stack's places.

    A crack changes no length; it blocks by its own finding.
    """
    for place in stack.places():
        part = case.occupant(place)
        kind = case.kind(part) if part else None
        if part is not None and kind is not None and kind.load_path:
            yield from (f for f in case.open_findings(part) if f.detail["what"] == "bent")


def stack_disturbances(case: Case, stack: Stack) -> Iterator[Fact]:
    """Everything that unsettles a stack, newest first."""
    runs: list[Iterable[Fact]] = []
    if table.disturbs(table.MOVED, "stack"):
        runs += [case.moves(place) for place in stack.places()]
    if table.disturbs(table.OPENED, "stack"):
        runs += [_opened(case, joint) for joint in _clamps(case, stack)]
    if table.disturbs(table.REACHED, "stack"):
        beyond = {other.id: other for joint in _clamps(case, stack) for other in reaching(case, joint)}
        runs += [_opened(case, joint) for joint in beyond.values()]
    if table.disturbs(table.WORKED, "stack"):
        runs += _works(case, stack)
    if table.disturbs(table.HIT, "stack"):
        runs += [felt(case, zone, stack.recheck_from) for zone in stack.zones]
    return merged(*runs)


def _clamps(case: Case, stack: Stack) -> list[Joint]:
    return [case.defs.joints[name] for name in stack.joints if name in case.defs.joints]


def _opened(case: Case, joint: Joint) -> Iterator[Fact]:
    return merged(case.facts("opened", joint.id), *(case.moves(place) for place in joint.holds))


def _works(case: Case, stack: Stack) -> list[Iterable[Fact]]:
    """What was done to the parts at the stack's places, where they sit."""
    return [works(case, part) for place in stack.places() if (part := case.occupant(place)) is not None]


def _failed_before(
    case: Case, stack: Stack, direct: Fact | None, disturbances: Stream, proofs: Stream
) -> Iterator[Ruling]:
    """A hit or an opened joint mends nothing: what was out of limits stays so until a part is changed or worked on."""
    if case.uncleared(_moves(case, stack), proofs) is not None:
        return
    spoke = direct is not None and not _overtaken(case, direct, disturbances, proofs)
    before = _direct(case, stack, direct) if direct is not None and spoke else _summed(case, stack)
    if before.verdict == "fail":
        yield before


def _overtaken(case: Case, direct: Fact, disturbances: Stream, proofs: Stream) -> bool:
    """Was a direct reading disturbed, and the gap proved again since?"""
    for disturbance in disturbances:
        if direct.happened > disturbance.happened + case.defs.doubt_ms:
            return False
        if case.uncleared([disturbance], [direct]) and not case.uncleared([disturbance], proofs):
            return True
    return False


def _moves(case: Case, stack: Stack) -> Iterator[Fact]:
    held = [place for joint in _clamps(case, stack) for place in joint.holds]
    moves = (case.moves(place) for place in dict.fromkeys((*stack.places(), *held)))
    return merged(*moves, *(_works(case, stack) if table.disturbs(table.WORKED, "stack") else ()))


def _direct(case: Case, stack: Stack, direct: Fact) -> Ruling:
    if direct.detail.get("value_m") is None:
        word = _feeler(direct, stack.low_m, stack.high_m)
        feeler = (("goes_m", direct.detail.get("goes_m")), ("stops_m", direct.detail.get("stops_m")))
        return Ruling(word, Because("feeler", (direct,), feeler), (direct,))
    decision, figures = length_against(case, direct, stack.low_m, stack.high_m)
    return Ruling(decision.word, Because("measured directly", (direct,), figures), (direct,), decision.inside)


def _feeler(direct: Fact, low: float | None, high: float | None) -> str:
    """A feeler of `goes_m` went in, one of `stops_m` did not: the gap lies between."""
    goes, stops = direct.detail.get("goes_m"), direct.detail.get("stops_m")
    if (stops is not None and low is not None and stops <= low) or (
        goes is not None and high is not None and goes >= high
    ):
        return "fail"
    enough = low is None or (goes is not None and goes >= low)
    not_too_much = high is None or (stops is not None and stops <= high)
    return "pass" if enough and not_too_much else "marginal"


def key_of(case: Case, piece: Piece) -> str | None:
    """The subject under which this piece is read now, or None when nothing sits there."""
    if piece.position is None:
        return f"{case.robot}/{piece.dimension}"
    part = case.occupant(piece.position)
    return f"{part}/{piece.dimension}" if part else None


def _proofs(case: Case, stack: Stack) -> Iterator[Fact]:
    keys = (key_of(case, piece) for piece in stack.pieces())
    return merged(case.facts("direct", stack.id), *(case.facts("reading", key) for key in keys if key is not None))


def piece_figure(case: Case, piece: Piece) -> Figure | None:
    """The figure of a piece now: its newest reading, else what the part came with; None when nobody knows."""
    key = key_of(case, piece)
    if key is None:
        place = case.defs.positions.get(piece.position or "")
        return Figure(NOTHING_THERE) if place is not None and place.role == "shim" else None
    reading = case.newest("reading", key)
    if reading is not None:
        return figure_of(case, reading, "value_m")
    part = case.part(case.occupant(piece.position) or "") if piece.position else None
    came = part.dimensions.get(piece.dimension) if part else None
    if came is None:
        return None
    return Figure(reading_with(case, came.value_m, came.instrument, came.tolerance_m, offset=False))


def stack_value(case: Case, stack: Stack) -> StackValue:
    """The gap as its pieces add up now, each with its newest reading, against the stack's limits."""
    chains = [[(piece, piece_figure(case, piece)) for piece in pieces] for pieces in stack.chains]
    total, index = _added(
        tuple(
            tuple(Length(piece.name, piece.sign, figure.reading if figure else None) for piece, figure in pieces)
            for pieces in chains
        )
    )
    missing = tuple(dict.fromkeys(p.name for pieces in chains for p, figure in pieces if figure is None))
    if missing or total.value is None or total.doubt is None:
        return StackValue(None, 0.0, None, (), missing, total)
    used = tuple(figure.fact for _, figure in chains[index] if figure and figure.fact)
    decision = decide(total.value, total.doubt.expanded, stack.low_m, stack.high_m)
    return StackValue(total.value, total.doubt.expanded, decision, used, (), total)


@lru_cache(maxsize=KEPT)
def _added(chains: tuple[tuple[Length, ...], ...]) -> tuple[Sum, int]:
    """The smallest of the chains, and which one decides."""
    total = smallest(chains)
    if len(chains) == 1 or total.value is None or total.doubt is None:
        return total, 0
    return total, _deciding([chain(pieces) for pieces in chains])


def _deciding(sums: list[Sum]) -> int:
    """Which chain decides: the smallest, of equals the one in most doubt."""
    known = [
        (index, item.value, item.doubt.expanded)
        for index, item in enumerate(sums)
        if item.value is not None and item.doubt
    ]
    least = min(value for _, value, _ in known)
    tied = [(u, -index) for index, value, u in known if value - least <= 1e-12]
    return -max(tied)[1]


def _expected(case: Case, stack: Stack) -> tuple[tuple[str, float | int | str | None], ...]:
    value = stack_value(case, stack)
    return (("value_m", value.value_m), ("u_m", value.u_m), ("low_m", stack.low_m), ("high_m", stack.high_m))


def _summed(case: Case, stack: Stack) -> Ruling:
    value = stack_value(case, stack)
    if value.decision is None:
        return Ruling("unchecked", Because("piece not read", (), (("missing", ", ".join(value.missing)),)))
    figures = (
        ("value_m", value.value_m),
        ("u_m", value.u_m),
        ("low_m", stack.low_m),
        ("high_m", stack.high_m),
        ("margin_m", value.decision.margin),
    )
    because = Because("summed", value.readings, figures)
    return Ruling(value.decision.word, because, value.readings, value.decision.inside)
