"""Standings, worklists, weights and log lines as plain text for the shell."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from textwrap import wrap

from pitcrew.bench import names, words
from pitcrew.bench.history import likeness, said, state_of_all
from pitcrew.bench.saying import job_words
from pitcrew.bench.signing_words import signature_words
from pitcrew.bench.standing import View
from pitcrew.readiness.verdict import WORST_FIRST
from pitcrew.robot.moments import clock_text, day_text
from pitcrew.robot.records import Entry, Evidence
from pitcrew.text import plain

WIDTH = 80
JOB_ROW = "  {:<10} {:<48} {:<5} {:>6} {:>5}"


def standing_lines(item: View, width: int = WIDTH) -> Iterator[str]:
    """A robot's standing: the head line, then each thing that blocks with its reason, then what warns.

    What does not fit the width goes on below, indented.
    """
    yield from _head(item, width)
    for requirement in sorted(item.standing.blocking, key=lambda r: WORST_FIRST.index(r.verdict)):
        name = names.label(item.case, requirement)
        yield from _row(requirement.verdict.upper(), name, words.reason(item.case, requirement), width)
    for requirement in item.standing.requirements:
        if requirement.accepted is not None:
            accepted = requirement.accepted
            name = names.label(item.case, requirement)
            yield from _row("marginal", name, f"{accepted.entry.by} took it on", width)
    for warning in item.warnings():
        yield from _row("warns", warning, "", width)


def _row(word: str, name: str, reason: str, width: int) -> Iterator[str]:
    """A verdict, what it is of, and why: on one line where it fits, else the reason below."""
    line = f"  {word:<10} {name:<28} {reason}".rstrip()
    if len(line) <= width:
        yield plain(line)
        return
    yield from _wrapped(name, f"  {word:<10} ", width)
    yield from _wrapped(reason, " " * 15, width)


def _wrapped(text: str, lead: str, width: int) -> Iterator[str]:
    for index, part in enumerate(wrap(plain(text), max(width - len(lead), 20))):
        yield lead + part if index == 0 else " " * len(lead) + part


def _head(item: View, width: int = WIDTH) -> Iterator[str]:
    standing, case = item.standing, item.case
    blocking = standing.blocking
    if standing.fit:
        state = "FIT TO FIGHT"
    elif standing.fight is None:
        state = f"NOT FIT   no fight entered; rest work: {len(blocking)}"
    else:
        state = f"NOT FIT   {len(blocking)} block: {_counts(item)}"
    yield plain(f"{item.robot}   {state}")
    line = ""
    for fact in _facts(item):
        if line and len(line) + 3 + len(fact) > width:
            yield plain(line)
            line = ""
        line = f"{line}   {fact}" if line else f"  {fact}"
    yield plain(line)
    if not case.defs.zones:
        yield "  no zones yet: what hits disturb cannot be judged"


def _counts(item: View) -> str:
    verdicts = [requirement.verdict for requirement in item.standing.blocking]
    return ", ".join(f"{verdicts.count(word)} {word.upper()}" for word in WORST_FIRST if word in verdicts)


def _facts(item: View) -> Iterator[str]:
    standing, case = item.standing, item.case
    if standing.fight is not None:
        fight = standing.fight.detail["name"]
        yield f"{fight} in {names.configuration_name(case, standing.configuration)}"
    for row in standing.weights:
        shown = row.entered or (standing.fight is None and row.fitted)
        if shown and row.kg is not None and row.margin_kg is not None:
            mark = "~" if row.how in ("figured", "added up") else ""
            side = "under" if row.margin_kg >= 0 else "over"
            yield f"{mark}{words.mass(row.kg)}, {abs(row.margin_kg):.2f} {side}"
    minutes = item.minutes_to_call()
    if minutes is not None and (standing.fight is not None or minutes >= 0) and standing.call_at is not None:
        earliest = "" if standing.fight is not None else "earliest "
        yield f"{minutes} min to {earliest}call {words.at(case, standing.call_at)}"
    if signed := signature_words(case, any(item.group != "signed" for item in standing.blocking)):
        yield signed
    yield f"at {words.at(case, standing.at)}"


def worklist_lines(item: View) -> Iterator[str]:
    """The jobs in order, with what each clears and its minutes."""
    yield from _head(item)
    yield JOB_ROW.format("verdict", "next, in this order", "zone", "clears", "min")
    for job in item.jobs:
        zone = names.zone_name(item.case, job.zone)
        clears = str(len(job.clears)) if job.clears else "-"
        text = words.cut(job_words(item.case, job), 48)
        yield plain(JOB_ROW.format(job.verdict.upper(), text, zone, clears, job.minutes))
    minutes = sum(job.minutes for job in item.jobs)
    yield f"  {len(item.standing.blocking)} to clear in {len(item.jobs)} jobs, {minutes} min of work"
    yield from _ready(item)


def _ready(item: View) -> Iterator[str]:
    """When the robot is ready if the crew begins now, and what is to spare before the call."""
    spare = item.spare_min(item.standing.at)
    if not item.jobs or spare is None or item.standing.fight is None:
        return
    people = len({who for laid in item.plan.laid for who in laid.people})
    ready = words.at(item.case, item.ready_at(item.standing.at))
    said = f"{spare} min to spare" if spare >= 0 else f"{-spare} min too late"
    yield f"  ready {ready} with {people} people, {said}"


def weight_lines(item: View) -> Iterator[str]:
    """Every configuration's weight against the limit."""
    yield plain(item.robot)
    yield "  verdict    conf.        kg        U    under  from"
    for row in item.standing.weights:
        name = names.configuration_name(item.case, row.configuration)
        kg = f"{row.kg:.3f}" if row.kg is not None else "?"
        margin = f"{row.margin_kg:.2f}" if row.margin_kg is not None else "?"
        state = "entered" if row.entered else "" if row.declared else "not declared"
        doubt = words.doubt(row.u_kg) if row.how != "official" and row.kg is not None else "-"
        yield plain(f"  {row.verdict:<10} {name:<5} {kg:>9} {doubt:>8} {margin:>8}  {row.how:<9} {state}".rstrip())


def log_lines(
    evidence: Evidence, entries: Iterable[Entry], zone: str, number: Callable[[str], int | None]
) -> Iterator[str]:
    """Acts as lines: number, time, initials, what was done and to what; entries alike in one act share a line.

    `number` gives an entry's number by its id, for the lines that name another.
    """
    for _, group in groupby(entries, key=likeness):
        together = list(group)
        first = together[0]
        when = f"{day_text(first.happened, zone)[5:]} {clock_text(first.happened, zone)}"
        state = state_of_all(evidence, together, number)
        what = said(evidence, together)
        lead = plain(f"#{first.n:<5} {when} {first.by:<3} ")
        yield from _wrapped(": ".join(filter(None, (state, what))), lead, WIDTH)
