"""Why a job is on the list, what ends it and what it rests on: the rows below the list, in the trade's words."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.bench import names, pack_words, words
from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.saying import job_words
from pitcrew.bench.signing_words import OVERRULED, signed_for
from pitcrew.bench.standing import View
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import Job
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Fact

Detail = tuple[str, str]

DO: dict[str, str] = {
    "packs out": "take every pack out; feel for heat, look at the cases; a hot or dented one goes outside, watched",
    "look over": "look at the marks of every joint and at the parts of the zone that need no look of their own",
    "look at each": "look at each part by itself",
    "look at packs": "look at cases and cell voltages",
    "hand check": "feel it by hand: play, notches, bends. Any sign makes the blow a hard one",
    "mend": "mend or replace it, or have it taken on as it is where that is allowed",
    "fit": "put a part in",
    "renew": "put another one of its kind in; the life that was given to the kind is used up",
    "change over": "take off what is on and put on what was entered",
    "measure": "measure any piece that can have changed, or the gap directly: that outranks the sum",
    "measure part": "measure it",
    "tip speed": "figure it from the weapon's radius and its speed at full charge, or measure it; type: tip 85 m/s",
    "torque": "torque every fastener to its target",
    "packs in": "put the chosen packs in",
    "charge packs": "put them on charge, watched, as soon as they are cool; full ends it",
    "weigh": "weigh the robot as it is entered",
    "sign": "look once more, then sign: whoever signs says that it is fit to fight",
    "check": "answer the list",
}
# Common practice: what is said before hands go near a weapon, a pack or a heavy robot.
CAUTIONS: dict[str, str] = {
    "packs out": "A hot, puffed or dented pack goes outside in a fire-resistant box, watched. No bare hands on a leak.",
    "charge packs": pack_words.CAUTION,
    "packs in": "Lock in, power off. A dented, hot or puffed pack stays out.",
    "tip speed": "A weapon is spun up in the test box only, the box shut, nobody inside.",
    "weigh": "Two people or a lift table for every lift.",
    "sign": OVERRULED,
}
WELDING = "Before anybody welds: packs out, electronics unplugged."
WEAPON = "Lock in before any hand. Out of the plane of the weapon. Eye protection."


def caution(view: View, job: Job) -> str:
    """What is said before the step; empty where nothing more than usual care is needed."""
    if job.action == "check":
        checklist = next((item for item in view.case.checklists if item.id == job.subject), None)
        return " ".join(checklist.cautions[:2]) if checklist else ""
    if job.action in CAUTIONS:
        return CAUTIONS[job.action]
    zone = view.case.defs.zones.get(job.zone or "")
    said = [WEAPON] if zone is not None and "weapon" in zone.title.casefold() else []
    return " ".join([*said, *([WELDING] if job.action == "mend" else [])])


def job_detail(view: View, job: Job, most: int = 3) -> Iterator[Detail]:
    """Rows of label and text for one job, the most pressing reasons first."""
    case = view.case
    shown = job.clears[:most]
    for index, item in enumerate(shown):
        # A zone looked over for one thing does not say by itself for which.
        told = len(job.clears) == 1 and job.action != "look over"
        name = "" if told else f"{names.label(case, item)}: "
        yield ("why" if index == 0 else "", f"{name}{words.reason(case, item)}")
    if len(job.clears) > most:
        yield ("", f"and {len(job.clears) - most} more: Enter shows all")
    yield ("do", _do(view, job))
    facts = {fact.id: fact for item in job.clears for fact in evidence_of(item)}
    newest = sorted(facts.values(), key=lambda fact: fact.order, reverse=True)[:2]
    for index, fact in enumerate(newest):
        yield ("rests on" if index == 0 else "", fact_words(case, fact))


def _do(view: View, job: Job) -> str:
    """What ends a job; a configuration that is not entered is weighed as itself, or is declared no more."""
    other = view.case.defs.configurations.get(job.clears[0].subject) if job.clears else None
    if job.action == "weigh" and other is not None and other.id != view.standing.configuration:
        return f"this sheet wants every declared configuration in weight: bring {other.name} down, or undeclare it"
    return DO.get(job.action, job_words(view.case, job))


def evidence_of(item: Requirement) -> list[Fact]:
    """The facts a verdict names, each once."""
    facts = [fact for reason in item.because for fact in reason.facts] + list(item.rests_on)
    return list({fact.id: fact for fact in facts}.values())


def fact_words(case: Case, fact: Fact) -> str:
    """An entry that counts, with its number: #202 15:23 DV hit solid given W1."""
    entry = fact.entry
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    said = " ".join(filter(None, (entry_words(entry), subject_name(case.evidence, entry), note_words(entry))))
    return f"#{entry.n} {clock_text(entry.happened, zone)} {entry.by} {said}"


def requirement_detail(view: View, item: Requirement) -> Iterator[Detail]:
    """Everything about one requirement: its reasons, each entry it rests on, who took it on."""
    case = view.case
    # Lines of one checklist are stale for one reason: it is said once.
    for index, text in enumerate(dict.fromkeys(words.said(case, because) for because in item.because)):
        yield ("why" if index == 0 else "", text)
    if item.accepted is not None:
        yield ("taken on", f"by {item.accepted.entry.by} {words.at(case, item.accepted.happened)}")
    if signed := signed_for(case, item):
        yield ("signed", signed)
    for index, fact in enumerate(evidence_of(item)):
        yield ("rests on" if index == 0 else "", fact_words(case, fact))
