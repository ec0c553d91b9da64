"""Jobs and warnings in the trade's words."""

from __future__ import annotations

from pitcrew.bench import names, notice_words, pack_words, spare_words
from pitcrew.bench.words import doubt, mass
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import Job
from pitcrew.readiness.verdict import Caveat

ACTIONS: dict[str, str] = {
    "packs out": "packs out: feel for heat, look at the cases",
    "look over": "look over {zone}: marks and parts",
    "look at each": "look at each: {things}",
    "look at packs": "packs: cases and cell voltages: {things}",
    "hand check": "feel by hand: {zone}",
    "mend": "mend or replace: {things}",
    "fit": "fit a part: {things}",
    "renew": "renew: {things}",
    "change over": "change over to the configuration entered",
    "measure": "measure: {things}",
    "measure part": "measure: {things}",
    "tip speed": "tip speed of {things} against the cap",
    "torque": "torque: {things}",
    "packs in": "packs in",
    "weigh": "weigh: {things}",
    "sign": "sign off: the robot as it stands",
    "check": "{things}",
}

CAVEATS = {**notice_words.CAVEATS, **spare_words.CAVEATS}


def job_words(case: Case, job: Job) -> str:
    """What a job is, in the trade's words."""
    if job.action == "charge packs":
        return pack_words.charge_job(case)
    things = [names.label(case, item).split(" ", 1) for item in job.clears]
    listed = [words[1] if len(words) > 1 and words[0] not in ("tread",) else " ".join(words) for words in things]
    zone = names.zone_name(case, job.zone)
    return ACTIONS[job.action].format(zone=zone, things=", ".join(dict.fromkeys(listed)))


def caveat_words(case: Case, caveat: Caveat) -> str:
    """What warns, in a sentence."""
    figures = dict(caveat.figures)
    if caveat.code in ("crew margin", "other over", "figured"):
        name = names.configuration_name(case, caveat.subject)
        under = float(figures["margin_kg"] or 0)
        if caveat.code == "figured":
            return f"{name} figured, not weighed: {mass(figures['kg'], 3)} +-{doubt(float(figures['u_kg'] or 0))}"
        if caveat.code == "other over":
            return f"{name} {-under:.2f} kg over, not entered"
        if under < 0:
            return f"{name} {-under:.2f} over"
        return f"{name} {under:.2f} under, own margin {float(figures['crew_margin_kg'] or 0):.2f}"
    if caveat.code == "instrument past check":
        tool = case.defs.instruments.get(caveat.subject)
        return f"{tool.name if tool else caveat.subject} is past its check date {figures['check_due']}"
    if caveat.code == "skipped":
        return f"skipped: {caveat.subject.rsplit('/', 1)[-1]} {figures.get('note') or ''}".rstrip()
    said = CAVEATS.get(caveat.code)
    return said(case, caveat) if said is not None else caveat.code
