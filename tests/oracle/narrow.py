"""Short histories of one subject each: a few entries that all bear on each other, so that every turn of a rule is met.

In long histories of everything most of what is subtle is hidden by something worse.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import NamedTuple

from . import acts
from .acts import Play
from .desk import MINUTE, Desk
from .histories import Case, begin, correct_something, judged_at, raise_something, replace_something
from .pack_stories import work_the_packs
from .plans import EVENT, PACK_KINDS, ROBOT, Draft, chance, definition, maybe, plan_of, some
from .settling import accept, run_out, sign
from .stories import sign_later, work_in_place

Turn = Callable[[Play], None]


class Subject(NamedTuple):
    """A robot in outline, what its definitions are sharpened by, what happens, at most how often, and how it ends."""

    roles: dict[str, str]
    joints: int
    sharpen: Turn
    turns: tuple[Turn, ...]
    most: int
    end: Turn


def of(make: Callable[[Play], list[Draft]]) -> Turn:
    """One act of drafts as a turn of a history."""

    def turn(play: Play) -> None:
        if drafts := make(play):
            play.desk.write_all(drafts)

    return turn


def nothing(play: Play) -> None:
    """Leave it."""


def again(play: Play, kind: str, subject: str, **fields: object) -> None:
    """Define something anew with these fields."""
    draft = definition(play.plan, play.rng, kind, subject)
    play.desk.write(draft._replace(detail={**draft.detail, **fields}))


# Packs.


def strict_packs(play: Play) -> None:
    """Two kinds of pack, each with nearly all that packs are judged by, and not the same."""
    rng = play.rng
    for kind, amps, spread_ohm, equal_v in zip(PACK_KINDS, (8, 4), (0.0005, 0.0002), (0.05, 0.03), strict=True):
        figures = {"full_v": 4.15, "current_a": amps, "spread_ohm": spread_ohm, "equal_v": equal_v, "cool_k": 303.15}
        given = {name: value for name, value in figures.items() if chance(rng, 0.9)}
        waits = {"cool_min": rng.choice((15, 30)), "tail_min": rng.choice((0, 0, 1, 10))}
        again(play, "part_kind", kind, charging={**given, **waits})
    counts_from = rng.choice(("fight end", "leaving the arena"))
    again(play, "event", EVENT, gap_min=rng.choice((10, 20)), gap_counts_from=counts_from)


# Weights of what was worked.


def strict_scale(play: Play) -> None:
    again(play, "event", EVENT, limit_kg=play.plan.nominal_kg() + 0.1, official_scale="off", weight_rule="entered")
    enter(play)


def enter(play: Play) -> None:
    detail = {"name": "f9", "configuration": play.plan.configurations[0]}
    play.desk.write(Draft("entered", "f9", detail, ROBOT))


def weigh_near(play: Play) -> None:
    """The robot as it is entered is weighed, as near its limit as the doubt of a worked part makes up."""
    rng = play.rng
    limit = play.plan.nominal_kg() + 0.1
    scale, offset = rng.choice((("off", 0.06), ("off", 0.06), ("shed", -0.06)))
    below = rng.choice((0.0, 0.03, 0.042, 0.046, 0.05, 0.054, 0.058, 0.062, 0.066))
    detail = {"value_kg": round(limit - offset - below, 4), "instrument": scale}
    play.desk.write(Draft("weighed", play.plan.configurations[0], detail))


def work(play: Play) -> None:
    """A part that is in, or one on the shelf."""
    part = play.plan.parts[play.place()][0] if chance(play.rng, 0.7) else play.part()
    play.desk.write(Draft("worked", part, {"how": "ground"}))


def weigh_part(play: Play) -> None:
    part = play.part()
    play.desk.write(Draft("part_weighed", part, {"value_kg": play.plan.masses[part], "instrument": "kit"}))


def accept_and_work(play: Play) -> None:
    """What is marginal is accepted; then a part is worked, or weighed again, and the acceptance may not hold."""
    accept(play)
    if chance(play.rng, 0.7):
        play.desk.wait()
        play.rng.choice((work, weigh_part, weigh_part))(play)


def mend_in_place(play: Play) -> None:
    """A finding is mended: by work on the part, or without."""
    rng, place = play.rng, play.place()
    part = rng.choice(play.plan.parts[place][:2])
    found = play.desk.write(Draft("finding", part, {"what": "torn", "position": place}, place))
    play.desk.wait()
    how = rng.choice(("straightened", "welded", "ground", "drilled", "replaced", "found straight"))
    play.desk.write(Draft("mended", found.id, {"how": how}))


# Lives.


def short_lives(play: Play) -> None:
    rng = play.rng
    for kind in play.plan.kinds:
        hard = maybe(rng, 0.7, {"life_hard_hits": rng.choice((1, 2, 2, 3))})
        again(play, "part_kind", kind, **maybe(rng, 0.5, {"life_fights": rng.choice((1, 2, 3))}), **hard)
    for part in play.plan.all_parts():
        again(play, "part", part, part_kind=rng.choice(play.plan.kinds), **maybe(rng, 0.2, {"hard_hits": 1}))


def blow(play: Play) -> None:
    """One blow in several zones, which a finding may raise."""
    rng, desk = play.rng, play.desk
    grade = rng.choice((2, 3, 3))
    hits = desk.write_all([Draft("hit", zone, {"source": "given"}, None, grade) for zone in play.plan.zones])
    if chance(rng, 0.5):
        place = play.place()
        seen = {"what": "worn", "position": place, "raises": True}
        found = desk.write(Draft("finding", play.plan.parts[place][0], seen, place))
        raised = {"source": "given", "because": found.id}
        for hit in some(rng, [hit.id for hit in hits], 2):
            zone = next(entry.subject for entry in hits if entry.id == hit)
            desk.write(Draft("hit", zone, dict(raised), None, 3), act=hits[0].act, happened=hits[0].happened)


def end_a_fight(play: Play) -> None:
    play.desk.write(Draft("fight_ended", f"f{len(play.desk.entries)}", {}))


def sit_elsewhere(play: Play) -> None:
    """A part is lent to another robot for a while."""
    play.desk.write(Draft("fitted", play.plan.parts[play.place()][0], {}, "their place"))


def sit_at_home(play: Play) -> None:
    place = play.place()
    play.desk.write(Draft("fitted", play.plan.parts[place][0], {}, place))


# Joints reached through others, and joints of two people.


def deep_joints(play: Play) -> None:
    """Joints that are reached through each other, in a row or a circle; and a stack that one of them clamps."""
    rng, joints = play.rng, play.plan.joints
    for joint, before in zip(joints, (None, *joints), strict=False):
        through = [before] if before and chance(rng, 0.75) else some(rng, [*joints, "unknown"], 2)
        again(play, "joint", joint, through=through, max_uses=rng.choice((1, 2)), locking="lock nuts", target_nm=10)
    piece = {"sign": 1, "name": "piece", "dimension": "g"}
    again(play, "stack", play.plan.stacks[0], joints=[rng.choice(joints)], only_in=[], chains=[[piece]])


def holding_joints(play: Play) -> None:
    """Joints that hold places, which are bolted up or not yet."""
    for joint in play.plan.joints:
        again(play, "joint", joint, holds=some(play.rng, list(play.plan.roles), 2), count=play.rng.choice((1, 2)))


def half_replace(play: Play) -> None:
    """A bad part goes, another comes in and is bolted up, some of it or all; then somebody puts a hand to it again."""
    rng, desk, place = play.rng, play.desk, play.place()
    old, new = play.plan.parts[place][0], play.plan.parts[place][-1]
    desk.write(Draft("finding", old, {"what": "torn", "position": place}, place))
    desk.wait()
    desk.write(Draft("fitted", new, {}, place))
    desk.wait()
    desk.take_over()
    for joint in play.plan.joints:
        fasteners = rng.choice(("all", "all", [1], [2]))
        desk.write(Draft("torqued", joint, {"fasteners": fasteners, "torque_nm": 10.0}), happened=desk.clock())
    if chance(rng, 0.4):
        desk.wait()
        desk.write(Draft("fitted", new, {}, place))


def read_gap(play: Play) -> None:
    detail = {"of": ROBOT, "dimension": "g", "value_m": 0.01, "instrument": "mic"}
    play.desk.write(Draft("reading", f"{ROBOT}/g", detail))


def two_people(play: Play) -> None:
    for joint in play.plan.joints:
        again(play, "joint", joint, second=True, count=1, band_percent=10)


# The signature.


def wants_signature(play: Play) -> None:
    again(play, "robot", ROBOT, event=EVENT, sign_off=True)


def sign_and_change(play: Play) -> None:
    run_out(play)
    if chance(play.rng, 0.4):
        sign(play)
    if chance(play.rng, 0.4):
        correct_something(play)


PACKS = Subject({"q0": "pack", "q1": "pack"}, 0, strict_packs, (work_the_packs,), 1, work_the_packs)
WEIGHTS = Subject(
    {"q0": "fixed", "q1": "fixed", "q2": "fixed"},
    0,
    strict_scale,
    (work, work, mend_in_place, weigh_near, weigh_near, weigh_near, weigh_part, sit_at_home, of(acts.fitting)),
    5,
    accept_and_work,
)
WORKS = Subject(
    {"q0": "fixed", "q1": "fixed", "q2": "module", "q3": "shim"},
    1,
    enter,
    (work_in_place, work, mend_in_place, mend_in_place, mend_in_place, of(acts.reading), of(acts.direct),
     of(acts.mending), of(acts.hit), of(acts.looking)),
    7,
    nothing,
)  # fmt: skip
LIVES = Subject(
    {"q0": "fixed", "q1": "fixed", "q2": "fixed"},
    1,
    short_lives,
    (blow, blow, blow, of(acts.hit), raise_something, end_a_fight, sit_at_home, sit_elsewhere, correct_something),
    5,
    nothing,
)
JOINTS = Subject(
    {"q0": "fixed", "q1": "fixed", "q2": "module"},
    3,
    deep_joints,
    (of(acts.torque), of(acts.torque), of(acts.opening), of(acts.opening), of(acts.fitting), of(acts.direct), read_gap),
    6,
    nothing,
)
REPLACED = Subject(
    {"q0": "fixed", "q1": "fixed"},
    2,
    holding_joints,
    (half_replace, replace_something, of(acts.torque), of(acts.opening), of(acts.fitting)),
    4,
    half_replace,
)
INITIALS = Subject(
    {"q0": "fixed"}, 1, two_people, (sign_later, sign_later, of(acts.signing), correct_something), 3, sign_later
)
SIGNATURE = Subject(
    {"q0": "fixed"}, 1, wants_signature, (of(acts.hit), of(acts.signing), end_a_fight), 3, sign_and_change
)
IN_TURN = (
    PACKS, WEIGHTS, PACKS, WORKS, PACKS, JOINTS, PACKS, LIVES, WEIGHTS, INITIALS, PACKS, SIGNATURE, PACKS, REPLACED,
)  # fmt: skip


def narrow_book(seed: int) -> tuple[Case, ...]:
    """A short history of one subject, the same for the same seed, judged at its end and at some moments before.

    The subjects come in turn, packs most often.
    """
    rng = Random(seed)
    subject = IN_TURN[seed % len(IN_TURN)]
    desk = Desk(rng, rng.choice((1, 1, 2)))
    play = Play(plan_of(rng, subject.roles, 2, subject.joints, min(1, subject.joints)), rng, desk)
    begin(play, proved=0.8 if subject.joints else 0.0)
    subject.sharpen(play)
    for _ in range(rng.randint(0, subject.most)):
        desk.wait()
        desk.take_over()
        rng.choice(subject.turns)(play)
    desk.wait()
    subject.end(play)
    ticks = [entry.tick for entry in desk.entries]
    cuts = {max(ticks) + 1, *rng.sample(ticks[-15:], 2)}
    return tuple(judged_at(play, cut, (0, 0, MINUTE, 4 * MINUTE, 30 * MINUTE)) for cut in sorted(cuts))
