"""How a gap is written wherever it stands: its figure with the doubt, its mark, its limits, what explains it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from pitcrew.bench import names, words
from pitcrew.bench.detail import WEAPON, fact_words
from pitcrew.bench.remedies import Settling, WhatIf, settling, what_ifs
from pitcrew.bench.runs import Gap, Past, PieceNow, at_odds, deciding_chain, gap_now, past_gaps, pieces_now
from pitcrew.bench.session import Session
from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Piece, Stack
from pitcrew.robot.moments import local
from pitcrew.robot.records import Fact
from pitcrew.tui.marks import mark
from pitcrew.tui.page import Go, Outcome
from pitcrew.tui.paint import VERDICT_ROLES, Line, Span, labelled, line, pad, wrapped
from pitcrew.tui.strips import shorten
from pitcrew.units import show

DAY_MS = 20 * 3_600_000
"""What happened longer ago is said by its day: nobody means last night by 15:24."""

OWNS_MUCH = 1 / 3
"""The share of the doubt from which one piece is named as the one to read better."""

ODDS = (
    "The direct look and the sum of the pieces are further apart than their doubt: something is bent, or was misread."
)


class Known(NamedTuple):
    """Everything that is shown of one gap. It follows from the entries alone: time by itself changes none of it."""

    case: Case
    stack: Stack
    gap: Gap
    pieces: tuple[PieceNow, ...]
    ifs: tuple[WhatIf, ...] = ()
    settle: Settling | None = None
    past: tuple[Past, ...] = ()


def listed(case: Case, stack: Stack) -> Known:
    """What a list shows of a gap: no pieces, nothing that takes long."""
    return Known(case, stack, gap_now(case, stack), ())


def known(case: Case, stack: Stack) -> Known:
    """Everything about a gap."""
    gap = gap_now(case, stack)
    pieces = pieces_now(case, stack)
    wide = gap.requirement.verdict != "pass"
    return Known(
        case, stack, gap, pieces, what_ifs(case, stack, wide), settling(case, stack, gap), past_gaps(case, stack)
    )


# words


def millimetres(value_m: float, least: int = 2) -> str:
    """A length as its digits in millimetres, with at least so many decimals."""
    digits = show(value_m, "length", "mm").removesuffix(" mm")
    whole, _, decimals = digits.partition(".")
    text = f"{whole}.{decimals.ljust(least, '0')}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def figure_text(gap: Gap) -> str:
    """The figure that speaks for a gap, with its doubt; a feeler says only between what it lies."""
    if gap.how == "feeler":
        return "by feeler"
    if gap.value_m is None:
        return "not known"
    return doubtful(gap.value_m, gap.u_m)


def doubtful(value_m: float, u_m: float) -> str:
    """A length and its doubt as digits: 0.65 +-0.046."""
    return f"{millimetres(value_m)} +-{words.doubt(u_m * 1000)}"


def limits_text(stack: Stack) -> str:
    """The limits of a gap, millimetres."""
    low, high = stack.low_m, stack.high_m
    if low is not None and high is not None:
        return f"{millimetres(low)} to {millimetres(high)}"
    if low is not None:
        return f"at least {millimetres(low)}"
    return f"at most {millimetres(high)}" if high is not None else "no limit"


def gap_mark(gap: Gap, stack: Stack) -> str:
    """The mark of a gap: hollow when it was disturbed since, only its doubt where a feeler went between."""
    verdict, low, high = gap.requirement.verdict, stack.low_m, stack.high_m
    if gap.how == "feeler":
        if gap.goes_m is None or gap.stops_m is None:
            return mark(None, None, low, high, verdict)
        middle, half = (gap.goes_m + gap.stops_m) / 2, abs(gap.stops_m - gap.goes_m) / 2
        return mark(middle, half, low, high, verdict).replace("#", "=")
    return mark(gap.value_m, gap.u_m, low, high, verdict, gap.solid)


def role_of(verdict: str, blocks: bool = True) -> str:
    """The role of a mark: that of its verdict."""
    return VERDICT_ROLES.get(verdict, "") if blocks else ""


def when_text(case: Case, ms: int) -> str:
    """A moment of today as 15:24, an earlier one as its day, 06-07."""
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    return words.at(case, ms) if case.now - ms < DAY_MS else local(ms, zone).strftime("%m-%d")


def tool_name(case: Case, ident: str | None) -> str:
    """An instrument's name; empty where none is known."""
    tool = case.defs.instruments.get(ident or "")
    return tool.name if tool else ""


def zones_text(known: Known) -> str:
    """The zones of a gap by their short names."""
    return " ".join(filter(None, (names.zone_name(known.case, zone) for zone in known.stack.zones)))


def feeler_text(stack: Stack) -> str:
    """What a feeler says of a gap that is in."""
    low, high = millimetres(stack.low_m or 0.0), millimetres(stack.high_m or 0.0)
    return f"{low} goes, {high} does not"


def near_weapon(case: Case, stack: Stack) -> bool:
    """Do hands go near the weapon when this gap is measured?"""
    zones = (case.defs.zones.get(zone) for zone in stack.zones)
    return any(zone is not None and "weapon" in zone.title.casefold() for zone in zones)


def cautions(known: Known, width: int) -> Iterator[Line]:
    """What is said before a hand goes near, and what does not fit together; each at most two rows."""
    if near_weapon(known.case, known.stack):
        yield from _caution(WEAPON, width)
    if at_odds(known.gap):
        yield from _caution(ODDS, width)


def _caution(text: str, width: int) -> Iterator[Line]:
    for index, row in enumerate(wrapped(text, width - 2, 2)):
        yield line(Span(f"{'!' if index == 0 else ' '} {row}", "care"))


# what explains it, the most wanted first


def explained(known: Known, width: int) -> Iterator[Line]:
    """Why it stands as it does, what would bring it in or settle it, what moves it most, what it rests on."""
    case, item = known.case, known.gap.requirement
    if known.ifs and known.ifs[0].entered:
        yield from labelled("first", f"{known.ifs[0].name} is entered and not on yet: put it on, then measure", width)
    if not known.gap.counts:
        only = ", ".join(names.configuration_name(case, ident) for ident in known.stack.only_in)
        yield from labelled("why", f"only asked for with {only} entered", width)
    yield from labelled("why" if known.gap.counts else "", why_text(known), width, "", 2)
    if item.accepted is not None:
        taken = f"by {item.accepted.entry.by} {when_text(case, item.accepted.happened)}, for this fight"
        yield from labelled("taken on", taken, width, "watch")
    yield from _if_rows(known, width)
    yield from _settle_rows(known, width)
    yield from _doubt_rows(known, width)
    yield from _added_row(known, width)
    if known.stack.note:
        yield from labelled("note", known.stack.note, width, "quiet", 2)


def why_text(known: Known) -> str:
    """Why a gap stands as it does; where a figure decides, by how far, and what it takes to pass."""
    because = known.gap.requirement.because[0]
    if because.code not in ("summed", "measured directly"):
        return words.reason(known.case, known.gap.requirement)
    value, margin = known.gap.value_m or 0.0, float(because.figure("margin_m") or 0.0)
    limits = [limit for limit in (known.stack.low_m, known.stack.high_m) if limit is not None]
    if not limits:
        return "no limit is known"
    nearest, u = millimetres(min(limits, key=lambda limit: abs(value - limit))), words.doubt(known.gap.u_m * 1000)
    said = {
        "pass": f"inside {nearest}; pass needs {u}",
        "marginal": f"inside {nearest}, but pass needs {u}"
        if margin >= 0
        else f"outside {nearest}, within its doubt, {u}",
        "fail": f"outside {nearest}, by more than its doubt, {u}",
    }
    who = f", measured directly {_who(known.case, because.facts[0])}" if because.code == "measured directly" else ""
    return f"{millimetres(abs(margin))} {said[known.gap.requirement.verdict]}{who}"


def _who(case: Case, fact: Fact) -> str:
    return f"{when_text(case, fact.happened)} {fact.entry.by}"


def _if_rows(known: Known, width: int) -> Iterator[Line]:
    low, high = known.stack.low_m, known.stack.high_m
    worse = ("fail", known.gap.requirement.verdict) if known.gap.requirement.verdict != "pass" else ("fail",)
    shown = [item for item in known.ifs if item.entered or item.word not in worse][:4]
    if known.ifs and not shown and known.gap.requirement.verdict == "fail":
        yield from labelled("what if", "nothing loose in the book brings it in", width)
    for index, item in enumerate(shown):
        picture = mark(item.value_m, item.u_m, low, high, item.word, counts=False)
        name = pad(shorten(f"{item.name} on" if item.entered else item.name, 18), 18)
        label = "what if" if index == 0 else ""
        yield line(
            Span(f"  {label:<9} ", "quiet"),
            f"{name} {millimetres(item.value_m):>7} ",
            Span(picture, role_of(item.word)),
            f" {item.word}",
        )
        if item.spoils:
            yield from labelled("", f"but then {', '.join(item.spoils)} would not pass", width)


def _settle_rows(known: Known, width: int) -> Iterator[Line]:
    if known.settle is not None:
        tools: dict[str, list[str]] = {}
        for piece, tool in known.settle.changes:
            tools.setdefault(tool.name, []).append(piece.name)
        said = "; ".join(f"{', '.join(pieces)} with {tool}" for tool, pieces in tools.items())
        u = words.doubt(known.settle.u_m * 1000)
        yield from labelled("settle", f"read {said}: the doubt is {u} then, and the same figure passes", width, "", 2)


def _doubt_rows(known: Known, width: int) -> Iterator[Line]:
    doubt = known.gap.added.doubt
    most = max(known.pieces, key=lambda row: row.share or 0.0, default=None)
    if len(known.pieces) < 2 or doubt is None or most is None or not most.share or known.gap.how != "sum":
        return
    tool = tool_name(known.case, most.instrument)
    if most.share >= OWNS_MUCH:
        by = f"read with {tool}" if tool else "as it was made, never read"
        said = f"{most.piece.name} moves it most: {most.share:.0%} of the doubt, {by}"
    else:
        owner, share = doubt.shares[0]
        said = f"{tool_name(known.case, owner) or owner} owns {share:.0%} of it: one error in all that is read with it"
    yield from labelled("doubt", said, width, "quiet", 2)


def _added_row(known: Known, width: int) -> Iterator[Line]:
    """The sum in figures, of the chain that decides."""
    chain = deciding_chain(known.case, known.stack)
    total = known.gap.added
    if chain is None or total.value is None or len(chain) < 2:
        return
    terms = " ".join(f"{_sign(piece)} {millimetres(reading.value)}" for piece, reading in chain)
    yield from labelled("working", f"{terms.removeprefix('+ ')} = {millimetres(total.value)} mm", width, "quiet", 2)


def _sign(piece: Piece) -> str:
    return "+" if piece.sign > 0 else "-"


def rests_on(known: Known, width: int) -> Iterator[Line]:
    """The newest entries a verdict rests on."""
    facts: dict[str, Fact] = {fact.id: fact for reason in known.gap.requirement.because for fact in reason.facts}
    facts |= {fact.id: fact for fact in known.gap.requirement.rests_on}
    newest = sorted(facts.values(), key=lambda fact: fact.order, reverse=True)[:2]
    for index, fact in enumerate(newest):
        yield from labelled("rests on" if index == 0 else "", fact_words(known.case, fact), width, "quiet", 2)


def past_rows(known: Known, width: int) -> Iterator[Line]:
    """The gap at earlier readings on one scale, newest first."""
    for index, past in enumerate(reversed(known.past)):
        label = "was" if index == 0 else ""
        yield line(Span(f"  {label:<9} ", "quiet"), *past_words(known, past))


def past_words(known: Known, past: Past) -> Line:
    """One earlier gap: when and by whom, figure, mark, the verdict it had then."""
    low, high = known.stack.low_m, known.stack.high_m
    picture = mark(past.value_m, past.u_m, low, high, past.word)
    tail = " direct" if past.how == "direct" else ""
    figure = doubtful(past.value_m, past.u_m)
    return (
        Span(f"{pad(_who(known.case, past.at), 8)} {pad(figure, 13)} ", "quiet"),
        Span(picture, role_of(past.word)),
        Span(f" {past.word}{tail}", "quiet"),
    )


def found_at(session: Session, zone: str | None, place: str | None) -> Outcome:
    """The form for what was found wrong at a place of a zone."""
    from pitcrew.tui.pages.found import Found

    return Go(Found(session, zone, place))
