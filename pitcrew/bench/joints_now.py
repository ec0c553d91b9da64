"""Joints as they are now: every fastener's state and what it rests on, what stops a torque, what a torque would do."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from pitcrew.bench import fastening, names, words
from pitcrew.bench.desk import Desk
from pitcrew.bench.parting import numbers
from pitcrew.bench.standing import View
from pitcrew.bench.supposing import supposing
from pitcrew.errors import EntryError
from pitcrew.readiness import joints as rules
from pitcrew.readiness.case import Case, covers
from pitcrew.readiness.figures import decided, reading_with
from pitcrew.readiness.judge import only
from pitcrew.readiness.verdict import BLOCKING, WORST_FIRST, Because, Requirement, Ruling, worst
from pitcrew.robot.definitions import Joint
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Fact

OPENED = frozenset(("never torqued", "opened since", "part moved since"))
TURNED = "turned since"
MARKS = frozenset(("hit since", "first fight of new fasteners"))
SECOND = "second initials"
# Any initials but those of who torques; only what a torque would do is asked with them.
SOMEBODY = "somebody else"
FASTENERS = re.compile(r"\d+(-\d+)?(,\d+(-\d+)?)*")


class FastenerNow(NamedTuple):
    """One fastener: its number from 1, its state (holds, was good, open, turned), why, and what locks it.

    `torque` is its newest torque, None where it was never torqued; `locking` says what its locking is worth, None
    where it has none or is not closed. `because` is the worst thing said against it, None where it holds. `unsigned`
    says that its torque wants a second person's initials.
    """

    number: int
    state: str
    torque: Fact | None
    because: Because | None
    locking: Because | None
    unsigned: bool = False

    @property
    def closed(self) -> bool:
        """Torqued, and neither opened nor turned since."""
        return self.state in ("holds", "was good")


class JointNow(NamedTuple):
    """One joint: every fastener of it, and what is required of it now (the joint, and its locking where it has any)."""

    joint: Joint
    fasteners: tuple[FastenerNow, ...]
    requirements: tuple[Requirement, ...]

    @property
    def worst(self) -> Requirement | None:
        """What speaks for the joint: what blocks before what does not, then the worst."""
        rank = {word: index for index, word in enumerate(WORST_FIRST)}
        return min(self.requirements, key=lambda item: (not item.blocks, rank[item.verdict]), default=None)

    @property
    def blocks(self) -> bool:
        """Does anything about this joint keep the robot from fighting?"""
        return any(item.blocks for item in self.requirements)

    @property
    def states(self) -> tuple[str, ...]:
        """The state of each fastener, in their order."""
        return tuple(item.state for item in self.fasteners)

    @property
    def codes(self) -> frozenset[str]:
        """The reasons of everything about the joint that blocks."""
        against = {item.because.code for item in self.fasteners if item.because is not None}
        locking = {said.code for item in self.requirements if item.blocks for said in item.because}
        return frozenset(against | locking)

    @property
    def not_closed(self) -> tuple[int, ...]:
        """Numbers of the fasteners that are open or turned."""
        return tuple(item.number for item in self.fasteners if not item.closed)

    @property
    def unsigned(self) -> tuple[Fact, ...]:
        """Torques that want a second person's initials, each once."""
        torques = (item.torque for item in self.fasteners if item.closed and item.unsigned)
        return tuple({fact.id: fact for fact in torques if fact is not None}.values())


def joint_now(view: View, joint: str) -> JointNow:
    """One joint by its id, as it was judged."""
    return view.case.once("joint now", joint, of=lambda: _joint_now(view, view.case.defs.joints[joint]))


def _joint_now(view: View, joint: Joint) -> JointNow:
    about = (f"joint:{joint.id}", f"locking:{joint.id}")
    found = tuple(item for item in view.standing.requirements if item.key in about)
    return JointNow(joint, fasteners_now(view.case, joint), found)


def fasteners_now(case: Case, joint: Joint) -> tuple[FastenerNow, ...]:
    """Every fastener of a joint, in their order."""
    return case.once("fasteners now", joint.id, of=lambda: tuple(_fasteners(case, joint)))


def _fasteners(case: Case, joint: Joint) -> Iterator[FastenerNow]:
    """Every fastener; one that everything covers just as it covers another fares as that one does."""
    runs = (
        case.facts("torqued", joint.id),
        case.facts("opened", joint.id),
        case.stream("found", joint.id, of=lambda: case.evidence.at_place("finding", joint.id)),
    )
    done: list[FastenerNow] = []
    for number in range(1, joint.fastener_count + 1):
        some = [fact for run in runs for fact in run.read if fact.detail.get("fasteners", "all") != "all"]
        alike = (other for other in done if all(covers(f, number) == covers(f, other.number) for f in some))
        same = next(alike, None)
        now = same._replace(number=number) if same else _fastener(case, joint, number)
        if same is None:
            done.append(now)
        yield now


def _fastener(case: Case, joint: Joint, number: int) -> FastenerNow:
    rulings = list(rules.fastener_rulings(case, joint, number))
    against = worst(rulings)
    torque = rules.torques_of(case, joint, number).first()
    because = against.because if against.verdict in BLOCKING else None
    state = _state(against)
    locking = None
    if torque is not None and state in ("holds", "was good") and joint.locking in ("threadlocker", "lock nuts"):
        locking = rules.locking_ruling(case, joint, number, torque).because
    unsigned = joint.second and torque is not None and not rules.second_signed(case, joint, torque)
    return FastenerNow(number, state, torque, because, locking, unsigned)


def _state(ruling: Ruling) -> str:
    if ruling.verdict not in BLOCKING:
        return "holds"
    if ruling.because.code == TURNED:
        return "turned"
    return "open" if ruling.because.code in OPENED else "was good"


def zones_of(view: View) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Zones that have joints, with the ids of their joints, in the order in which they were defined."""
    return view.case.once("joints by zone", of=lambda: _zones_of(view))


def _zones_of(view: View) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, list[str]] = {zone: [] for zone in view.case.defs.zones}
    for joint in view.case.defs.joints.values():
        found.setdefault(joint.zone, []).append(joint.id)
    return tuple((zone, tuple(joints)) for zone, joints in found.items() if joints)


def blocking_in(view: View) -> dict[str, int]:
    """How many joints of each zone block."""

    def count() -> dict[str, int]:
        joints = view.case.defs.joints
        about = ("joint", "locking")
        blocking = {item.subject for item in view.standing.blocking if item.group in about and item.subject in joints}
        counts: dict[str, int] = {}
        for ident in blocking:
            counts[joints[ident].zone] = counts.get(joints[ident].zone, 0) + 1
        return counts

    return view.case.once("joints blocking", of=count)


def stops(view: View, joint: str) -> tuple[str, ...]:
    """What forbids torquing a joint now, in sentences: a failed clearance or a broken part under its fasteners."""
    return view.case.once("joint stops", joint, of=lambda: tuple(_stops(view, view.case.defs.joints[joint])))


def _stops(view: View, joint: Joint) -> Iterator[str]:
    case = view.case
    for item in view.standing.requirements:
        if item.verdict != "fail":
            continue
        if item.group == "stack":
            places = case.defs.stacks[item.subject].places()
            if set(places) & set(joint.holds):
                yield f"Not yet: {case.defs.stacks[item.subject].name} fails, {words.reason(case, item)}."
        if item.group == "finding" and _still_in(case, joint, item):
            yield f"Not yet: {names.label(case, item).removeprefix('finding ')}, still in."


def _still_in(case: Case, joint: Joint, item: Requirement) -> bool:
    """Does the part that something was found on sit at a place this joint holds?"""
    fact = case.evidence.speaking(item.subject)
    return fact is not None and any(case.occupant(place) == fact.subject for place in joint.holds)


# what a torque would do


class Way(NamedTuple):
    """One way to torque a joint now: with primer or without (None: it makes no difference), and its verdicts.

    `set_min` is how long its threadlocker takes, `set_at` when it is set (ms UTC), `spare_min` the minutes between
    that and staging, below zero where it comes too late; None where there is no threadlocker, no fight.
    """

    primer: bool | None
    verdict: str
    blocks: bool
    set_min: float | None = None
    set_at: int | None = None
    spare_min: int | None = None


def primer_decides(case: Case, joint: Joint) -> bool:
    """Is there a set time for the joint's material both with primer and without?"""
    if joint.locking != "threadlocker":
        return False
    rows = (
        row for row in case.defs.lockers if row.material == joint.material and joint.locker_name in (None, row.name)
    )
    return len({row.primer for row in rows}) > 1


def torque_ways(view: View, joint: str, desk: Desk, writer: str) -> tuple[Way, ...]:
    """What torquing every fastener to its target at this desk would give, for each way that differs.

    `writer` is the book's. A joint without a target has none.
    """
    record = view.case.defs.joints[joint]
    if record.target_nm is None:
        return ()
    ways = (True, False) if primer_decides(view.case, record) else (None,)
    return tuple(_way(view, record, primer, desk, writer) for primer in ways)


def _way(view: View, joint: Joint, primer: bool | None, desk: Desk, writer: str) -> Way:
    second = SOMEBODY if joint.second else None
    drafts = fastening.torque(desk, joint.id, joint.target_nm or 0.0, primer=bool(primer), second=second)
    later = supposing(Case(desk.evidence, view.case.defs, desk.now, view.case.checklists), drafts, writer)
    found = only(later, (f"joint:{joint.id}", f"locking:{joint.id}"))
    said = JointNow(joint, (), found).worst
    verdict, blocks = (said.verdict, said.blocks) if said else ("pass", False)
    age = next((because for item in found for because in item.because if because.code == "locker age"), None)
    if age is None:
        return Way(primer, verdict, blocks)
    set_at = int(age.figure("set_at") or 0)
    staging = later.staging_at()
    spare = None if staging is None else (staging - set_at) // MINUTE_MS
    return Way(primer, verdict, blocks, float(age.figure("set_min") or 0), set_at, spare)


class Wrench(NamedTuple):
    """The wrench of a joint: its name, what to set it to, between what it lands, N m, and whether that is inside."""

    name: str
    set_nm: float
    low_nm: float
    high_nm: float
    verdict: str


def wrench_for(case: Case, joint: Joint) -> Wrench | None:
    """How to set the joint's wrench for its target; None where either is not known.

    What the instrument is known to read wrong by is taken off the setting; it lands within its permissible error.
    """
    tool = case.defs.instruments.get(joint.wrench or "")
    if tool is None or joint.target_nm is None:
        return None
    setting = joint.target_nm - tool.offset
    lands = reading_with(case, setting, tool.id, None)
    low, high = limits_nm(joint)
    verdict = decided(lands, low, high).word
    return Wrench(tool.name, setting, lands.value - lands.permissible, lands.value + lands.permissible, verdict)


def limits_nm(joint: Joint) -> tuple[float, float]:
    """Between what a torque of this joint passes, N m; its target is known."""
    target = joint.target_nm or 0.0
    band = target * joint.band_percent / 100
    return target - band, target + band


# what is written


class Some(NamedTuple):
    """Which fasteners were torqued, by number, and how."""

    fasteners: tuple[int, ...]
    primer: bool
    new: bool


def some_typed(text: str) -> Some:
    """Read which fasteners are meant: 1-4, or 1,3, with the words primer and new behind them.

    Raises:
        EntryError: no fastener is named, or a word is none of these.
    """
    found: list[int] = []
    ways = dict.fromkeys(("primer", "new"), False)
    for word in text.casefold().split():
        if word in ways:
            ways[word] = True
        elif FASTENERS.fullmatch(word):
            found += numbers(word)
        else:
            raise EntryError(f"{word!r:.20} names no fastener.", "Type 1-4, or 1,3; then primer, new.", "fasteners")
    if not found:
        raise EntryError("no fastener was named.", "Type which: 1-4, or 1,3.", "fasteners")
    return Some(tuple(dict.fromkeys(found)), ways["primer"], ways["new"])


def listed(fasteners: tuple[int, ...]) -> str:
    """Numbers of fasteners as they are typed: 1-4, or 1,3."""
    runs: list[list[int]] = []
    for number in sorted(fasteners):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ",".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
