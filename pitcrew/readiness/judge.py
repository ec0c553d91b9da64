"""From a case to a standing: every requirement judged, what warns, and when time alone can change it."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from itertools import chain

from pitcrew.readiness import packs
from pitcrew.readiness.call import call_at
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import Others, among, judge_checks, look_up_touches
from pitcrew.readiness.entered import judge_configuration, judge_packs
from pitcrew.readiness.findings import judge_findings, judge_hands
from pitcrew.readiness.joints import is_open, judge_joints, judge_locking
from pitcrew.readiness.lives import judge_lives, last_fights
from pitcrew.readiness.notices import not_run_in, piling_up
from pitcrew.readiness.parts import judge_empty, judge_limits, judge_looks
from pitcrew.readiness.signing import judge_signed, look_up_signed
from pitcrew.readiness.spares import look_up_spares, shortages
from pitcrew.readiness.stacks import judge_stacks
from pitcrew.readiness.steps import Steps, finished
from pitcrew.readiness.tip import judge_tip
from pitcrew.readiness.verdict import EVERY, Caveat, Requirement, Standing, WeightRow
from pitcrew.readiness.weights import judge_weights, look_up_masses, weight_row, weight_warnings
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.definitions import gather
from pitcrew.robot.moments import day_text
from pitcrew.robot.records import Evidence

Rule = Callable[[Case, Container[str]], Iterator[Requirement]]

# By group, in the order in which requirements are given; the weights stand between.
BEFORE_WEIGHTS: tuple[tuple[str, Rule], ...] = (
    ("finding", judge_findings),
    ("empty", judge_empty),
    ("hand", judge_hands),
    ("look", judge_looks),
    ("limit", judge_limits),
    ("life", judge_lives),
    ("stack", judge_stacks),
    ("joint", judge_joints),
    ("locking", judge_locking),
)
AFTER_WEIGHTS: tuple[tuple[str, Rule], ...] = (
    ("configuration", judge_configuration),
    ("packs", judge_packs),
    ("tip", judge_tip),
)
RULES = dict((*BEFORE_WEIGHTS, *AFTER_WEIGHTS))


def judge(evidence: Evidence, robot: str, now: int, checklists: Sequence[Checklist] = ()) -> Standing | None:
    """Judge one robot at a moment (milliseconds UTC), or None when the book does not know it."""
    definitions = gather(evidence, robot)
    if definitions is None:
        return None
    return standing_of(Case(evidence, definitions, now, checklists))


def standing_of(case: Case) -> Standing:
    """Everything that says whether the robot of this case is fit to fight."""
    return finished(steps(case))


def steps(case: Case) -> Steps[Standing]:
    """The same as `standing_of`, a few questions to the book a step.

    Its evidence is of one moment, so the book may be written between two steps.
    """
    yield from _look_up(case)
    requirements: list[Requirement] = []
    for item in chain.from_iterable(rule(case, EVERY) for _, rule in BEFORE_WEIGHTS):
        requirements.append(item)
        yield
    rows: list[WeightRow] = []
    for configuration in case.defs.configurations.values():
        yield from look_up_masses(case, configuration)
        rows.append(weight_row(case, configuration))
        yield
    yield from look_up_touches(case)
    yield from look_up_spares(case)
    after = (rule(case, EVERY) for _, rule in AFTER_WEIGHTS)
    for item in chain(judge_weights(case, rows), chain.from_iterable(after)):
        requirements.append(item)
        yield
    # The lists come after everything else: the book answers some of their lines with it.
    for item in judge_checks(case, among(requirements)):
        requirements.append(item)
        yield
    yield from look_up_signed(case)
    requirements += list(judge_signed(case, requirements))
    return _standing(case, tuple(requirements), tuple(rows))


def _look_up(case: Case) -> Iterator[None]:
    """Ask ahead what the first requirements rest on, which would be asked at one go otherwise."""
    for position in case.defs.positions:
        case.occupant(position)
        yield
    for part in case.scope():
        case.newest("finding", part)
        yield
    for joint in case.defs.joints.values():
        is_open(case, joint)
        yield


def _standing(case: Case, requirements: tuple[Requirement, ...], rows: tuple[WeightRow, ...]) -> Standing:
    fight = case.fight()
    return Standing(
        robot=case.robot,
        at=case.now,
        fight=fight,
        configuration=str(fight.detail["configuration"]) if fight else None,
        fit=fight is not None and not any(item.blocks for item in requirements),
        requirements=requirements,
        warnings=tuple(_warnings(case, requirements, rows)),
        weights=rows,
        call_at=call_at(case, fight),
        changes_at=changes_at(case, requirements),
    )


def only(case: Case, keys: Iterable[str], known: Others | None = None) -> tuple[Requirement, ...]:
    """Of all requirements those with these keys, just as `standing_of` gives them and in its order.

    A key that is not required now gives nothing. `known` gives the requirements of the groups without a key here,
    where they are known already; without it they are judged as far as the lists asked for rest on them.
    """
    asked = frozenset(keys)
    groups = {key.partition(":")[0] for key in asked}
    found = [item for group, rule in BEFORE_WEIGHTS if group in groups for item in rule(case, asked)]
    if "weight" in groups:
        named = (item for item in case.defs.configurations.values() if f"weight:{item.id}" in asked)
        found += judge_weights(case, [weight_row(case, configuration) for configuration in named])
    found += [item for group, rule in AFTER_WEIGHTS if group in groups for item in rule(case, asked)]
    if "check" in groups:
        found += judge_checks(case, _others(case, groups, known), asked)
    found += judge_signed(case, _all(case), asked)
    return tuple(item for item in found if item.key in asked)


def _others(case: Case, asked: Container[str], known: Others | None) -> Others:
    """The requirements of a group: as they are known, unless some of them are asked for now."""

    def of(group: str) -> Sequence[Requirement]:
        if known is not None and group not in asked:
            return known(group)
        return case.once("group", group, of=lambda: _group(case, group))

    return of


def _group(case: Case, group: str) -> tuple[Requirement, ...]:
    """Every requirement of one group."""
    if group == "weight":
        rows = [weight_row(case, configuration) for configuration in case.defs.configurations.values()]
        return tuple(judge_weights(case, rows))
    return tuple(RULES[group](case, EVERY))


def _all(case: Case) -> Iterator[Requirement]:
    """Every requirement, judged when the first is asked for."""
    yield from standing_of(case).requirements


def _warnings(case: Case, requirements: tuple[Requirement, ...], rows: tuple[WeightRow, ...]) -> Iterator[Caveat]:
    yield from weight_warnings(case, rows)
    for item in requirements:
        if item.verdict == "deferred":
            yield Caveat("deferred", item.key)
        elif item.verdict == "marginal" and item.accepted is not None:
            yield Caveat("accepted", item.key)
    yield from _skipped(case, requirements)
    yield from last_fights(case, requirements)
    yield from shortages(case)
    yield from not_run_in(case)
    yield from piling_up(requirements)
    yield from _check_due(case, requirements)


def _skipped(case: Case, requirements: tuple[Requirement, ...]) -> Iterator[Caveat]:
    for item in requirements:
        for fact in item.rests_on if item.group == "check" and not item.blocks else ():
            if fact.detail.get("answer") == "skipped":
                yield Caveat("skipped", fact.subject, (("note", str(fact.detail.get("note", ""))),))


def _check_due(case: Case, requirements: tuple[Requirement, ...]) -> Iterator[Caveat]:
    today = day_text(case.now, case.defs.event.time_zone if case.defs.event else "UTC")
    used = {
        str(fact.detail["instrument"])
        for item in requirements
        for fact in item.rests_on
        if fact.detail.get("instrument")
    }
    for name in sorted(used):
        tool = case.defs.instruments.get(name)
        if tool is not None and tool.check_due and today > tool.check_due:
            yield Caveat("instrument past check", name, (("check_due", tool.check_due),))


def changes_at(case: Case, requirements: tuple[Requirement, ...]) -> int | None:
    """The next instant at which any verdict can change by time alone.

    A threadlocker that sets, a pack that is cool, or one that can no longer be charged before the call.
    """
    moments = [
        int(reason.figure("set_at") or 0)
        for item in requirements
        if item.group == "locking" and item.verdict == "fail"
        for reason in item.because
        if reason.figure("set_at") is not None
    ]
    moments += packs.moments(case)
    return min((moment for moment in moments if moment > case.now), default=None)
