"""Signing: for the whole robot before a fight, for a joint as the second person, for any job that is finished."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from pitcrew.bench import names, words
from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.judge import standing_of
from pitcrew.readiness.signing import GROUP
from pitcrew.readiness.verdict import Requirement, Standing
from pitcrew.robot.definitions import Joint, Robot
from pitcrew.robot.records import Fact

MOST_SAID = 3
# Of things with one name, the one whose hands a signature is usually for goes first.
FIRST = ("joint", "stack", "check", "weight", "look", "limit", "locking")


def sign_robot(desk: Desk, standing: Standing, note: str = "") -> list[Draft]:
    """Sign for the robot and the fight entered, for everything its standing rests on.

    What is accepted, run as is or only predicted is said in the note.

    Raises:
        EntryError: no fight is entered, or something blocks besides the signature.
    """
    if standing.fight is None:
        raise EntryError("no fight is entered.", "A robot is signed off for one fight: enter it first.", "sign")
    blocking = [item for item in standing.blocking if item.group != GROUP]
    if blocking:
        count = "1 thing still blocks" if len(blocking) == 1 else f"{len(blocking)} things still block"
        said = _listed(count, [names.label(desk.case(), item) for item in blocking])
        raise EntryError(f"{said}.", "Clear that before somebody signs for it.", "sign")
    rests_on = _rests_on(item for item in standing.requirements if item.group != GROUP)
    said = "; ".join(filter(None, (note, *_reserved(desk.case(), standing))))
    detail = {"rests_on": rests_on, "fight": standing.fight.subject}
    return [desk.draft("signed", desk.robot, detail, note=said)]


def _rests_on(items: Iterable[Requirement]) -> list[str]:
    return list(dict.fromkeys(ident for item in items for ident in item.evidence))


def _reserved(case: Case, standing: Standing) -> Iterator[str]:
    """What is signed for with a reservation: taken on, run as is, predicted; each sort named as far as it fits."""
    items = standing.requirements
    yield _listed("taken on", [names.label(case, item) for item in items if item.accepted is not None])
    as_is = [names.label(case, item).removeprefix("finding ") for item in items if item.verdict == "deferred"]
    yield _listed("run as is", as_is)
    figured = [row.configuration for row in standing.weights if row.entered and row.how in ("figured", "added up")]
    sets = [f"threadlocker of {_thing(case, item)} sets {words.at(case, at)}" for item, at in _setting(case, items)]
    weights = [f"weight {names.configuration_name(case, ident)} figured, not weighed" for ident in figured]
    yield _listed("predicted", [*weights, *sets])


def _setting(case: Case, items: Iterable[Requirement]) -> Iterator[tuple[Requirement, int]]:
    """Threadlocker that passes because it will be set by staging, with when."""
    for item in items:
        moments = [int(because.figure("set_at") or 0) for because in item.because if item.group == "locking"]
        if moments and max(moments) > case.now:
            yield item, max(moments)


def _thing(case: Case, item: Requirement) -> str:
    return names.label(case, item).removeprefix(f"{item.group} ")


def _listed(word: str, things: list[str]) -> str:
    more = f" and {len(things) - MOST_SAID} more" if len(things) > MOST_SAID else ""
    return f"{word}: {', '.join(things[:MOST_SAID])}{more}" if things else ""


def unsigned(case: Case, joint: str) -> tuple[Fact, ...]:
    """The torques of a joint (its id) that want a second person's initials, each once; none where it wants none."""
    from pitcrew.bench.joints_now import fasteners_now

    facts = (item.torque for item in fasteners_now(case, case.defs.joints[joint]) if item.closed and item.unsigned)
    return tuple({fact.id: fact for fact in facts if fact is not None}.values())


def sign_joint(desk: Desk, joint: str) -> list[Draft]:
    """A second person has looked at the torques of a joint that were logged without one, and signs for them.

    Raises:
        EntryError: nothing of the joint waits for a second person, or it is signed by one who torqued it.
    """
    record: Joint = known(desk.definitions().joints, joint, "joint")
    torques = unsigned(desk.case(), joint)
    if not torques:
        raise EntryError(f"{record.name} waits for no second person.", "Torque it first, or leave it.", "sign")
    for torque in torques:
        desk._replace(by=torque.entry.by).second_person(desk.by, "sign")
    return [desk.draft("signed", f"joint:{joint}", {"rests_on": [torque.id for torque in torques]})]


def sign(desk: Desk, requirement: Requirement, note: str = "") -> list[Draft]:
    """Sign for a job that is finished, for what it rests on now.

    Raises:
        EntryError: it is not finished, or rests on nothing that was logged.
    """
    name = names.label(desk.case(), requirement)
    if requirement.blocks:
        said = words.cut(words.reason(desk.case(), requirement), 60)
        raise EntryError(f"{name} is {requirement.verdict}: {said}.", "Finish it, then sign.", "sign")
    if not requirement.evidence:
        raise EntryError(f"nothing was logged of {name} yet.", "A signature rests on what was logged.", "sign")
    return [desk.draft("signed", requirement.key, {"rests_on": list(requirement.evidence)}, note=note)]


def sign_called(desk: Desk, text: str) -> list[Draft]:
    """Sign for what is named: a joint as the second person, any finished job; for nothing named, the robot.

    Raises:
        EntryError: nothing has this name, or several things, or it cannot be signed for now.
    """
    case = _with_lists(desk)
    robot = case.defs.robot
    if not text or names.fitting(text, [(robot.id, robot.name), (robot.id, "robot")]):
        return sign_robot(desk, standing_now(case))
    found = _called(case, text)
    if found.group == "joint" and unsigned(case, found.subject):
        return sign_joint(desk, found.subject)
    return sign(desk, found)


def _called(case: Case, text: str) -> Requirement:
    """The requirement that is meant: by its whole label, by the name of its thing, or the only one that fits."""
    listed = {item.key: item for item in standing_now(case).requirements if item.group != GROUP}
    labels = {key: names.label(case, item) for key, item in listed.items()}
    wanted = names.name_words(text)
    for group in FIRST:
        for key, item in listed.items():
            if item.group == group and wanted == names.name_words(labels[key])[1:]:
                return item
    return listed[names.find(text, labels.items(), "job")]


def _with_lists(desk: Desk) -> Case:
    """The robot with everything that can block it; a desk in the shell knows no lists by itself."""
    if desk.judged is not None:
        return desk.judged
    from pitcrew.checklists import load

    return Case(desk.evidence, desk.definitions(), desk.now, load())


def standing_now(case: Case) -> Standing:
    """The standing of a case: as it was judged last, or judged here."""
    return case.once("standing", of=lambda: standing_of(case))


def sign_off_wanted(desk: Desk, wanted: bool) -> list[Draft]:
    """Ask for a signature before each fight, or no longer; nothing to log where it is so already."""
    fact = next(desk.evidence.facts("robot", desk.robot))
    if bool(fact.detail.get("sign_off")) == wanted:
        return []
    detail: dict[str, Any] = {name: value for name, value in fact.detail.items() if name != "sign_off"}
    return [Draft("robot", desk.robot, desk.by, detail={**detail, **({"sign_off": True} if wanted else {})})]


def wants_sign_off(robot: Robot) -> str:
    """Whether somebody is asked to sign for a robot before it fights, in words."""
    return "somebody signs before each fight" if robot.sign_off else "nobody is asked to sign; anybody can"
