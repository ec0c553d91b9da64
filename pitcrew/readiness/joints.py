"""Joints: every fastener torqued since it was opened, its marks unbroken since the last hit, its locking good.

Evidence may be for part of a group, so each fastener is judged by itself and the worst one speaks.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator

from pitcrew.readiness import table
from pitcrew.readiness.acceptance import acceptance
from pitcrew.readiness.case import Case, covers, first_end_after
from pitcrew.readiness.felt import excepts, felt
from pitcrew.readiness.figures import decided, reading_with
from pitcrew.readiness.reaching import reaching
from pitcrew.readiness.signing import second_signature
from pitcrew.readiness.stream import Stream, merged
from pitcrew.readiness.verdict import EVERY, PASS, Because, Requirement, Ruling, requirement
from pitcrew.robot.definitions import Joint
from pitcrew.robot.records import Fact


def judge_joints(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One requirement a joint: the worst of its fasteners; of those asked for by key."""
    for joint in case.defs.joints.values():
        if f"joint:{joint.id}" in asked:
            yield judge_joint(case, joint)


def judge_joint(case: Case, joint: Joint) -> Requirement:
    """Torqued since it was opened, marks unbroken since the last hit: for every fastener."""
    rulings = [ruling for fastener in _different(case, joint) for ruling in fastener_rulings(case, joint, fastener)]
    return requirement("joint", joint.id, rulings, joint.zone, _accepted(case, joint, rulings))


def _different(case: Case, joint: Joint) -> Iterator[int]:
    """The fasteners that may fare otherwise than each one before them.

    Whoever asks judges one before asking for the next. What was read to judge it, as it covers another fastener just
    the same, would be read again for that one, and end the same.
    """
    runs = (case.facts("torqued", joint.id), case.facts("opened", joint.id), _found_at(case, joint))
    judged: list[int] = []
    for fastener in range(1, joint.fastener_count + 1):
        if not any(_alike(runs, fastener, other) for other in judged):
            judged.append(fastener)
            yield fastener


def _alike(runs: Iterable[Stream], fastener: int, other: int) -> bool:
    """Has nothing been read so far that covers one of two fasteners only?"""
    read = (fact for run in runs for fact in run.read if fact.detail.get("fasteners", "all") != "all")
    return all(covers(fact, fastener) == covers(fact, other) for fact in read)


def _found_at(case: Case, joint: Joint) -> Stream:
    return case.stream("found", joint.id, of=lambda: case.evidence.at_place("finding", joint.id))


def fastener_rulings(case: Case, joint: Joint, fastener: int) -> Iterator[Ruling]:
    """What one fastener of a joint, by its number, gives as verdicts: its torque, its mark, a second person."""
    torques = torques_of(case, joint, fastener)
    torque = torques.first()
    if torque is None:
        yield Ruling("unchecked", Because("never torqued"))
        return
    opened = open_since(case, joint, fastener)
    if opened is not None:
        yield Ruling("recheck", Because(_opening(opened), (opened,)), (torque,))
        return
    yield _torque_ruling(case, joint, torque)
    if joint.second and not second_signed(case, joint, torque):
        yield Ruling("due", Because("second initials", (torque,)), (torque,))
    marks = _mark_evidence(case, joint, torques)
    if table.disturbs(table.HIT, "marks"):
        hit = case.uncleared(felt(case, joint.zone, joint.recheck_from), marks)
        if hit is not None:
            yield Ruling("recheck", Because("hit since", (hit,)), (torque,))
    if table.disturbs(table.FIRST_FIGHT, "marks"):
        first = case.uncleared(_first_fights(case, torques), marks)
        if first is not None:
            yield Ruling("due", Because("first fight of new fasteners", (first,)), (torque,))


def second_signed(case: Case, joint: Joint, torque: Fact) -> bool:
    """Has a second person signed for this torque: with it, or later?"""
    with_it = torque.detail.get("second") not in (None, "", torque.entry.by)
    return with_it or second_signature(case, joint.id, torque) is not None


def _opening(fact: Fact) -> str:
    return {"opened": "opened since", "finding": "turned since"}.get(fact.entry.kind, "part moved since")


def _torque_ruling(case: Case, joint: Joint, torque: Fact) -> Ruling:
    if joint.target_nm is None:
        return PASS
    band = joint.target_nm * joint.band_percent / 100
    wrench = torque.detail.get("instrument") or joint.wrench
    figure = reading_with(case, float(torque.detail["torque_nm"]), wrench, None)
    decision = decided(figure, joint.target_nm - band, joint.target_nm + band)
    figures = (("torque_nm", figure.value), ("limit_nm", decision.limit), ("margin_nm", decision.margin))
    return Ruling(decision.word, Because("torqued", (torque,), figures), (torque,), decision.inside)


def _accepted(case: Case, joint: Joint, rulings: list[Ruling]) -> Fact | None:
    marginal = [ruling for ruling in rulings if ruling.verdict == "marginal"]
    if not marginal:
        return None
    rests_on = [fact for ruling in marginal for fact in ruling.rests_on]
    return acceptance(case, f"joint:{joint.id}", rests_on, all(ruling.inside for ruling in marginal))


def torques_of(case: Case, joint: Joint, fastener: int) -> Stream:
    """Torques of one fastener, newest first."""
    run = case.facts("torqued", joint.id)
    return case.stream("torques", joint.id, str(fastener), of=lambda: (fact for fact in run if covers(fact, fastener)))


def openings(case: Case, joint: Joint, group: str) -> Iterator[Fact]:
    """Whatever opened the joint or turned its fasteners, newest first, as the table has it for a group."""
    runs: list[Iterable[Fact]] = []
    if table.disturbs(table.OPENED, group):
        runs.append(case.facts("opened", joint.id))
    if table.disturbs(table.MOVED, group):
        runs += [case.moves(position) for position in joint.holds]
    if table.disturbs(table.REACHED, group):
        for other in reaching(case, joint):
            runs += [case.facts("opened", other.id), *(case.moves(position) for position in other.holds)]
    if table.disturbs(table.TURNED, group):
        runs.append(fact for fact in _found_at(case, joint) if fact.detail["what"] == "marks turned")
    return merged(*runs)


def _covering(case: Case, joint: Joint, fastener: int) -> Stream:
    run = case.stream("openings", joint.id, of=lambda: openings(case, joint, "joint"))

    def covering() -> Iterator[Fact]:
        return (fact for fact in run if _opens(fact, joint, fastener))

    return case.stream("openings", joint.id, str(fastener), of=covering)


def _opens(fact: Fact, joint: Joint, fastener: int) -> bool:
    """Does this open one fastener of the joint? A part that moved opens all, and so does a joint reached through it."""
    reached = fact.entry.kind == "opened" and fact.subject != joint.id
    return reached or fact.entry.kind in ("fitted", "removed") or covers(fact, fastener)


def open_since(case: Case, joint: Joint, fastener: int) -> Fact | None:
    """What left this fastener open or turned, if nothing has torqued it since."""
    return case.uncleared(_covering(case, joint, fastener), torques_of(case, joint, fastener))


def is_open(case: Case, joint: Joint) -> bool:
    """Has any fastener that was ever torqued been opened or turned since?"""
    return any(open_since(case, joint, fastener) is not None for fastener in _different(case, joint))


def closed_since(case: Case, joint: Joint, move: Fact) -> bool:
    """Was every fastener that was ever torqued torqued again after something, whatever became of it later?"""
    runs = (torques_of(case, joint, fastener) for fastener in _different(case, joint))
    return all(torques.first() is None or case.uncleared([move], torques) is None for torques in runs)


def _mark_evidence(case: Case, joint: Joint, torques: Stream) -> Stream:
    def run() -> Iterator[Fact]:
        over = (look for look in case.facts("looked_over", joint.zone) if not excepts(look, joint.id))
        return merged(case.facts("marks_good", joint.id), over)

    marks = case.stream("marks", joint.id, of=run)
    return Stream(merged(torques, marks))


def _first_fights(case: Case, torques: Stream) -> Iterator[Fact]:
    """The first fight after each torque of new fasteners, newest first."""
    last = None
    for torque in torques:
        if torque.detail.get("new_fasteners"):
            end = first_end_after(case, torque)
            if end is not None and end.id != last:
                last = end.id
                yield end


def judge_locking(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """Threadlocker set by staging, lock nuts within their uses: for the fasteners that are closed.

    Of the requirements asked for by key.
    """
    for joint in case.defs.joints.values():
        if f"locking:{joint.id}" in asked:
            yield from judge_lock(case, joint)


def judge_lock(case: Case, joint: Joint) -> Iterator[Requirement]:
    """The locking of one joint; nothing where it has none, or no fastener is closed."""
    if joint.locking not in ("threadlocker", "lock nuts"):
        return
    rulings = []
    for fastener in _different(case, joint):
        torque = torques_of(case, joint, fastener).first()
        if torque is not None and open_since(case, joint, fastener) is None:
            rulings.append(locking_ruling(case, joint, fastener, torque))
    if rulings:
        yield requirement("locking", joint.id, rulings, joint.zone)


def locking_ruling(case: Case, joint: Joint, fastener: int, torque: Fact) -> Ruling:
    """How far one fastener is locked after its torque: threadlocker by its age at staging, lock nuts by their uses."""
    if joint.locking == "lock nuts":
        return _nut_uses(case, joint, fastener, torque)
    if not torque.detail.get("locker"):
        return Ruling("fail", Because("no threadlocker", (torque,)), (torque,))
    set_min = _sets_in(case, joint, bool(torque.detail.get("primer")))
    if set_min is None:
        material = (("material", joint.material),)
        return Ruling("unchecked", Because("set time unknown", (torque,), material), (torque,))
    return _set_by_staging(case, torque, set_min)


def _set_by_staging(case: Case, torque: Fact, set_min: float) -> Ruling:
    staging = case.staging_at()
    moment = case.now if staging is None else max(staging, case.now)
    age_ms = max(0, moment - torque.happened)
    figures = (("age_min", age_ms / 60_000), ("set_min", set_min), ("set_at", set_at(torque, set_min)))
    short = age_ms < set_min * 60_000 and case.fight() is not None
    return Ruling("fail" if short else "pass", Because("locker age", (torque,), figures), (torque,))


def set_at(torque: Fact, set_min: float) -> int:
    """When threadlocker put on with this torque is set, milliseconds UTC."""
    return torque.happened + round(set_min * 60_000)


def _sets_in(case: Case, joint: Joint, primer: bool) -> float | None:
    """Minutes to set on this joint's material; without a line for the primer, the line without it."""
    rows = [
        row for row in case.defs.lockers if row.material == joint.material and joint.locker_name in (None, row.name)
    ]
    for wanted in (primer, False):
        for row in rows:
            if row.primer == wanted:
                return row.set_min
    return None


def _nut_uses(case: Case, joint: Joint, fastener: int, torque: Fact) -> Ruling:
    """A nut is used once more each time it is torqued after having been opened."""
    uses, later = 1, torque
    for earlier in list(torques_of(case, joint, fastener))[1:]:
        if later.detail.get("new_fasteners"):
            break
        if any(earlier.order < o.order < later.order for o in _lock_openings(case, joint, fastener, earlier)):
            uses += 1
        later = earlier
    figures = (("uses", uses), ("max_uses", joint.max_uses))
    over = joint.max_uses is not None and uses > joint.max_uses
    return Ruling("fail" if over else "pass", Because("nut uses", (torque,), figures), (torque,))


def _lock_openings(case: Case, joint: Joint, fastener: int, since: Fact) -> Iterator[Fact]:
    run = case.stream("lock openings", joint.id, of=lambda: openings(case, joint, "locking"))
    for fact in run:
        if fact.order < since.order:
            return
        if _opens(fact, joint, fastener):
            yield fact
