"""Signatures: somebody signs for the whole robot, and a second person for a joint that was torqued without one."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from typing import NamedTuple

from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.robot.records import Fact

GROUP = "signed"


class Signature(NamedTuple):
    """Somebody's signature for the robot and the fight entered.

    `gone` names the entries it rests on that were withdrawn or put right since; it does not stand then.
    """

    fact: Fact
    gone: tuple[str, ...] = ()


def signature(case: Case) -> Signature | None:
    """The newest signature for the robot and the fight entered; None where nobody signed, or no fight is entered."""
    return case.once("signature", of=lambda: _signature(case))


def look_up_signed(case: Case) -> Iterator[None]:
    """Ask ahead whether what a signature rests on still counts, an entry a step, not all at one go."""
    if case.fight() is None:
        return
    for fact in case.facts("signed", case.robot):
        if fact.detail.get("fight") == case.fight_id():
            for ident in fact.detail["rests_on"]:
                case.evidence.speaking(str(ident))
                yield
            return


def _signature(case: Case) -> Signature | None:
    fight = case.fight_id()
    signed = (fact for fact in case.facts("signed", case.robot) if fact.detail.get("fight") == fight)
    fact = next(signed, None) if fight else None
    if fact is None:
        return None
    return Signature(fact, tuple(ident for ident in fact.detail["rests_on"] if not _counts(case, str(ident))))


def _counts(case: Case, ident: str) -> bool:
    """Is it this very entry that speaks for its line?"""
    speaks = case.evidence.speaking(ident)
    return speaks is not None and speaks.id == ident


def judge_signed(case: Case, others: Iterable[Requirement], asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """Somebody has signed for the robot, where it wants that: never fit by it, and never less fit than it is.

    `others` are all other requirements, read no further than to the first that blocks; if asked for.
    """
    if not case.defs.robot.sign_off or case.fight() is None or f"{GROUP}:{case.robot}" not in asked:
        return
    yield requirement(GROUP, case.robot, [_signed(signature(case), others)])


def _signed(found: Signature | None, others: Iterable[Requirement]) -> Ruling:
    if found is None:
        return Ruling("due", Because("not signed off"))
    fact = found.fact
    if found.gone:
        return Ruling("recheck", Because("signed entry gone", (fact,), (("entry", found.gone[0]),)), (fact,))
    if any(item.blocks for item in others if item.group != GROUP):
        return Ruling("recheck", Because("blocks since signed", (fact,)), (fact,))
    return Ruling("pass", Because("signed off", (fact,)), (fact,))


def second_signature(case: Case, joint: str, torque: Fact) -> Fact | None:
    """A second person's signature for a torque of a joint (its id) that was logged without one; None without it."""
    for fact in case.facts("signed", f"joint:{joint}"):
        if fact.order < torque.order:
            return None
        if fact.entry.by != torque.entry.by and torque.id in fact.detail["rests_on"]:
            return fact
    return None
