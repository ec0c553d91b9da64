"""Signatures and shifts in sentences: who signed when, for what, and why it does not hold any more."""

from __future__ import annotations

from collections.abc import Callable

from pitcrew.readiness.case import Case
from pitcrew.readiness.signing import signature
from pitcrew.readiness.verdict import Because, Requirement
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Entry, Evidence, Fact

OVERRULED = "The event's inspectors overrule this signature."
# What a requirement's subject is defined as, by its group.
DEFINED_AS = {
    "joint": "joint",
    "locking": "joint",
    "stack": "stack",
    "weight": "configuration",
    "tip": "configuration",
    "look": "part",
    "life": "part",
    "limit": "part",
    "empty": "position",
}


def at(case: Case, fact: Fact) -> str:
    """When something was done, in the event's zone."""
    return clock_text(fact.happened, case.defs.event.time_zone if case.defs.event else "UTC")


def who(case: Case, because: Because) -> str:
    """Who signed, and when."""
    fact = because.facts[0]
    return f"{fact.entry.by} {at(case, fact)}"


def _gone(case: Case, because: Because) -> str:
    return f"signed off by {who(case, because)}; an entry it rests on was withdrawn or put right since: sign again"


def _blocks(case: Case, because: Because) -> str:
    return f"signed off by {who(case, because)}; something else blocks since"


SENTENCES: dict[str, Callable[[Case, Because], str]] = {
    "not signed off": lambda case, because: "nobody has signed for this fight yet",
    "signed off": lambda case, because: f"signed off by {who(case, because)}",
    "signed entry gone": _gone,
    "blocks since signed": _blocks,
}


def signature_words(case: Case, blocks: bool) -> str:
    """The signature for the fight entered: signed PB 16:05, or that it was changed since; empty where nobody signed.

    `blocks` says whether anything but the signature blocks.
    """
    found = signature(case)
    if found is None:
        return ""
    stands = not found.gone and not blocks
    return f"signed {found.fact.entry.by} {at(case, found.fact)}{'' if stands else ', changed since'}"


def signed_for(case: Case, requirement: Requirement) -> str:
    """Who signed last for what this requirement rests on: signed off by EW 15:49; empty where nobody did."""
    fact = case.newest("signed", requirement.key)
    if fact is None or requirement.key == f"signed:{case.robot}":
        return ""
    rests_on = set(requirement.evidence)
    new = "" if rests_on <= set(fact.detail["rests_on"]) or not rests_on else ", for what it rested on then"
    return f"by {fact.entry.by} {at(case, fact)}{new}"


def signed_name(evidence: Evidence, entry: Entry) -> str:
    """What a signature is for, by name: the robot, or joint motor R."""
    group, _, subject = entry.subject.partition(":")
    if not subject:
        return _name(evidence, "robot", entry.subject) or "robot"
    if group in ("finding", "hand"):
        return group
    if group not in DEFINED_AS:
        return f"{group} {subject}" if group == "check" else group
    ident, _, more = subject.partition("/")
    return " ".join(filter(None, (group if group != "limit" else more, _name(evidence, DEFINED_AS[group], ident))))


def _name(evidence: Evidence, kind: str, ident: str) -> str:
    fact = next(evidence.facts(kind, ident), None)
    return str(fact.detail.get("name", ident)) if fact is not None else ""
