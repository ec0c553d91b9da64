"""A joint in words: what locks it, what a torque would give, how to set the wrench, what each fastener rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pitcrew.bench import words
from pitcrew.bench.detail import Detail, evidence_of, fact_words
from pitcrew.bench.joints_now import (
    MARKS,
    SECOND,
    FastenerNow,
    JointNow,
    Way,
    joint_now,
    limits_nm,
    listed,
    primer_decides,
    wrench_for,
)
from pitcrew.bench.signing_words import signed_for
from pitcrew.bench.standing import View
from pitcrew.readiness.case import Case
from pitcrew.readiness.signing import second_signature
from pitcrew.robot.definitions import Joint
from pitcrew.robot.moments import day_text
from pitcrew.units import show

LEAST_WHOLE_IN_LB = 10.0


def locking_words(case: Case, now: JointNow, at: int) -> str:
    """What locks a joint and how far it is, at a moment (ms UTC): set, sets 15:55, use 2 of 3, open."""
    joint = now.joint
    if joint.locking not in ("threadlocker", "lock nuts"):
        return joint.locking
    said = [item.locking for item in now.fasteners if item.locking is not None]
    if not said:
        return "open"
    if joint.locking == "lock nuts":
        return f"use {max(int(because.figure('uses') or 0) for because in said)} of {joint.max_uses or '?'}"
    codes = {because.code for because in said}
    if "no threadlocker" in codes:
        return "no locker"
    if "set time unknown" in codes:
        return "sets when?"
    last = max(int(because.figure("set_at") or 0) for because in said)
    text = "set" if last <= at else f"sets {words.at(case, last)}"
    return f"{text}, part open" if now.not_closed else text


def torque_limits(joint: Joint) -> tuple[str, str]:
    """A joint's target and its limits, N m, without their unit; empty where no target is known."""
    if joint.target_nm is None:
        return "?", ""
    low, high = limits_nm(joint)
    digits = 2 if joint.target_nm < 1 else 1
    return words.torque(joint.target_nm).removesuffix(" N m"), f"{low:.{digits}f}-{high:.{digits}f}"


def way_words(case: Case, way: Way) -> str:
    """What torquing a joint in one way would give: primer: sets in 15 min, 15 to spare at staging 16:10: pass."""
    name = {True: "primer: ", False: "no primer: ", None: ""}[way.primer]
    verdict = way.verdict.upper() if way.blocks else way.verdict
    if way.set_min is None:
        return f"{name or 'all at target: '}{verdict}"
    staging = case.staging_at()
    if way.spare_min is None or staging is None:
        return f"{name}sets in {way.set_min:.0f} min, at {words.at(case, way.set_at or 0)}: {verdict}"
    side = f"{way.spare_min} to spare" if way.spare_min >= 0 else f"{-way.spare_min} short"
    return f"{name}sets in {way.set_min:.0f} min, {side} at staging {words.at(case, staging)}: {verdict}"


def wrench_words(case: Case, joint: Joint) -> str:
    """How to set the wrench, and between what it lands; empty where nobody said which wrench."""
    wrench = wrench_for(case, joint)
    if wrench is None:
        return ""
    in_lb = show(wrench.set_nm, "torque", "in-lb")
    if float(in_lb.split()[0]) >= LEAST_WHOLE_IN_LB:
        in_lb = show(wrench.set_nm, "torque", "in-lb", 0)
    inside = "inside the limits" if wrench.verdict == "pass" else "too coarse for these limits"
    lands = f"lands {wrench.low_nm:.2f} to {wrench.high_nm:.2f}, {inside}"
    return f"{wrench.name} at {words.torque(wrench.set_nm)} ({in_lb}): {lands}"


def to_do(now: JointNow, case: Case) -> str:
    """What ends what stands against a joint; empty where nothing does."""
    codes, joint = now.codes, now.joint
    if not codes:
        return ""
    if codes == {SECOND}:
        return "another person looks, then signs"
    if codes <= MARKS:
        return "look at every mark; one that moved is found, not good"
    if "nut uses" in codes:
        return "new nuts, then torque"
    if codes == {"locker age"}:
        ready = max((int(i.locking.figure("set_at") or 0) for i in now.fasteners if i.locking), default=0)
        return f"leave it till {words.at(case, ready)}; or open, clean and primer, where primer sets sooner"
    which = f"{listed(now.not_closed)} " if 0 < len(now.not_closed) < joint.fastener_count else ""
    target = f"{which}to {words.torque(joint.target_nm)}" if joint.target_nm is not None else f"{which}tight"
    glue = ", clean threads and threadlocker" if joint.locking == "threadlocker" else ""
    return f"torque {target}{glue}" + (", a second person's initials" if joint.second else "")


def fastener_rows(case: Case, now: JointNow) -> Iterator[Detail]:
    """Fasteners that rest on the same torque and fare alike, as one row: which, and who torqued them when and how."""
    groups: dict[tuple[str, str], list[FastenerNow]] = {}
    for item in now.fasteners:
        groups.setdefault((item.state, item.torque.id if item.torque else ""), []).append(item)
    for index, items in enumerate(groups.values()):
        which = listed(tuple(item.number for item in items))
        yield ("each one" if index == 0 else "", f"{which} {_torqued(case, now.joint, items[0])}")


def _torqued(case: Case, joint: Joint, item: FastenerNow) -> str:
    if item.torque is None:
        return "never torqued"
    detail = item.torque.detail
    said = [torque_who(case, item), words.torque(detail["torque_nm"])]
    if joint.locking == "threadlocker" and item.closed and (primer_decides(case, joint) or not detail.get("locker")):
        said.append("primer" if detail.get("primer") else "no primer" if detail.get("locker") else "no locker")
    if item.locking is not None and item.locking.code == "locker age":
        figure = item.locking.figure
        said.append(f"sets in {float(figure('set_min') or 0):.0f} min ({words.at(case, int(figure('set_at') or 0))})")
    state = {"open": ", opened since", "turned": ", a mark turned since", "was good": ""}.get(item.state, "")
    return ", ".join(said) + state


def torque_who(case: Case, item: FastenerNow) -> str:
    """When a fastener was torqued, by whom and with whom, and whether it was new then."""
    if item.torque is None:
        return "never"
    detail = item.torque.detail
    later = second_signature(case, item.torque.subject, item.torque)
    second = f"+{detail['second']}" if detail.get("second") else f"+{later.entry.by}" if later is not None else ""
    new = ", new" if detail.get("new_fasteners") else ""
    return f"{_when(case, item.torque.happened)} {item.torque.entry.by}{second}{new}"


def _when(case: Case, moment: int) -> str:
    """Hours and minutes; the day before them where it was another one."""
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    day = day_text(moment, zone)
    today = day == day_text(case.now, zone)
    return words.at(case, moment) if today else f"{day[5:]} {words.at(case, moment)}"


def joint_detail(view: View, ident: str, ways: Iterable[Way]) -> Iterator[Detail]:
    """Rows of label and text for a joint: why, what to do, the wrench, what an answer gives, what it rests on."""
    now, case = joint_now(view, ident), view.case
    speaks = [item for item in now.requirements if item.blocks] or [item for item in now.requirements[:1]]
    for index, item in enumerate(speaks):
        locking = "locking: " if item.group == "locking" else ""
        yield ("why" if index == 0 else "", f"{locking}{words.reason(case, item)}")
    do = to_do(now, case)
    if do:
        yield ("do", do)
    wrench = wrench_words(case, now.joint)
    if wrench:
        yield ("wrench", wrench)
    if now.codes - MARKS - {SECOND}:
        for index, way in enumerate(ways):
            yield ("expect" if index == 0 else "", way_words(case, way))
    yield from fastener_rows(case, now)
    if signed := next(filter(None, (signed_for(case, item) for item in now.requirements)), ""):
        yield ("signed", signed)
    facts = {fact.id: fact for item in now.requirements for fact in evidence_of(item)}
    for index, fact in enumerate(sorted(facts.values(), key=lambda fact: fact.order, reverse=True)[:2]):
        yield ("rests on" if index == 0 else "", fact_words(case, fact))
