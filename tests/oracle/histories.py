"""Random histories of small random robots: every kind of entry, corrected, withdrawn, by clocks that differ."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random
from typing import NamedTuple

from hypothesis import strategies as st

from pitcrew.robot.checklist import Checklist
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry

from .acts import ACTS, FIGHTS, Play, fighting, some_detail, touching
from .desk import MINUTE, Desk
from .pack_stories import work_the_packs
from .plans import DIMENSIONS, ROBOT, Draft, chance, definition, definitions, near, random_plan, some, subjects
from .settling import accept, run_out, settle
from .stories import sign_later, work_in_place


class Case(NamedTuple):
    """A book to judge: its entries, the robot, the moment (ms UTC), the cut (tick), and the checklists."""

    entries: tuple[Entry, ...]
    robot: str
    now: int
    cut: int
    checklists: Sequence[Checklist]


def raise_something(play: Play) -> None:
    """A finding or a sign makes an earlier blow a hard one; or a bend nobody saw happen counts as a blow."""
    ground = play.any_of(play.rng.choice(("finding", "hand_checked")))
    blow = play.any_of("hit")
    if ground is None:
        return
    because = ground.id if chance(play.rng, 0.95) else "unknown"
    if blow is None or chance(play.rng, 0.3):
        detail = {"source": "no hit seen", "spreads": False, "because": because}
        play.desk.write(Draft("hit", play.zone(), detail, None, 2), happened=ground.happened)
        return
    detail = {"source": "taken", "because": because}
    play.desk.write(Draft("hit", blow.subject, detail, None, 3), act=blow.act, happened=blow.happened)


def correct_something(play: Play) -> None:
    """Write an entry again: another figure, subject, place, grade or time; or take its line out."""
    rng = play.rng
    free = [e for e in play.desk.entries if e.kind not in DEFINITION_KINDS and e.kind != "withdrawn"]
    if not free:
        return
    old = rng.choice(free)
    if chance(rng, 0.4):
        named = old.id if chance(rng, 0.95) else f"unknown-{len(play.desk.entries)}"
        play.desk.write(Draft("withdrawn", old.subject, {}, robot=old.robot), replaces=named)
        return
    fresh = next((draft for draft in _again(play, old.kind) if draft.kind == old.kind), None)
    keep = chance(rng, 0.5) or fresh is None
    detail = old.detail if keep or fresh is None else fresh.detail
    subject = old.subject if keep or fresh is None else fresh.subject
    place = old.place if keep or fresh is None else fresh.place
    grade = old.grade if keep or fresh is None else fresh.grade
    happened = old.happened if chance(rng, 0.7) else old.happened + rng.choice((-9, -1, 1, 9)) * MINUTE
    draft = Draft(old.kind, subject, dict(detail), place, grade, old.robot)
    named = old.id if chance(rng, 0.95) else f"unknown-{len(play.desk.entries)}"
    play.desk.write(draft, act=old.act if chance(rng, 0.5) else None, happened=happened, replaces=named)


def _again(play: Play, kind: str) -> list[Draft]:
    for make, _ in ACTS:
        drafts = make(play)
        if any(draft.kind == kind for draft in drafts):
            return drafts
    return []


def defer_something(play: Play) -> None:
    """Something is run as it is; perhaps a fight goes by, it grows, and somebody looks again."""
    rng, desk, place = play.rng, play.desk, play.place()
    part = play.plan.parts[place][0]
    what = rng.choice(("torn", "torn", "worn", "bent", "stripped"))
    seen = {"what": what, "position": place}
    found = desk.write(Draft("finding", part, {**seen, "size_m": 0.01}, place))
    desk.wait()
    until, most = rng.choice((*FIGHTS, None, None)), rng.choice((0.015, 0.5, None))
    desk.write(Draft("deferred", found.id, some_detail(rng, limit_m=most, until_fight=until, accepted_by="AB")))
    desk.wait()
    if chance(rng, 0.7):
        desk.write(Draft("fight_ended", rng.choice(FIGHTS), {}))
        desk.wait()
    if chance(rng, 0.3):
        desk.write(Draft("finding", part, {**seen, "size_m": rng.choice((0.015, 0.02))}, place))
    if chance(rng, 0.3):
        desk.write(Draft("looked_at", part, {}))


def replace_something(play: Play) -> None:
    """What was found bad is taken out, and another part comes in, bolted up or not yet."""
    rng, desk, place = play.rng, play.desk, play.place()
    old, new = play.plan.parts[place][0], play.plan.parts[place][-1]
    desk.write(Draft("finding", old, {"what": rng.choice(("bent", "cracked", "torn")), "position": place}, place))
    desk.wait()
    desk.write(Draft("removed", old, {"to": "spares"}, place))
    if new != old and chance(rng, 0.7):
        desk.write(Draft("fitted", new, {}, place))
        desk.wait()
        for joint in some(rng, play.plan.joints, 3):
            desk.write(Draft("torqued", joint, {"fasteners": play.fasteners(), "torque_nm": 10.0}))


def bring_back(play: Play) -> None:
    """A bad part is called replaced, comes off or not, and is put in again: by another, at once, or where it sits."""
    rng, desk, place = play.rng, play.desk, play.place()
    part = rng.choice(play.plan.parts[place])
    if chance(rng, 0.5):
        desk.write(Draft("fitted", part, {}, place))
    found = desk.write(Draft("finding", part, {"what": rng.choice(("bent", "torn")), "position": place}, place))
    for _ in range(rng.choice((1, 2, 3))):
        step = rng.random()
        desk.wait()
        desk.take_over()
        if step < 0.3:
            desk.write(Draft("removed", part, {"to": "spares"}, place))
        if step < 0.8:
            how = rng.choice(("replaced", "replaced", "taken out of use", "welded"))
            desk.write(Draft("mended", found.id, {"how": how}))
        if chance(rng, 0.6):
            desk.wait()
            desk.take_over()
            desk.write(Draft("fitted", part, {}, place))


def put_a_pack_away(play: Play) -> None:
    """A set is chosen for a fight, and one of its packs goes outside."""
    chosen = play.rng.choice(play.plan.pack_sets)
    play.desk.write_all(fighting(play))
    play.desk.write(Draft("chosen", ROBOT, {"pack_set": chosen}))
    play.desk.write(Draft("removed", play.rng.choice(play.plan.packs), {"to": "quarantine"}))


def touch_something(play: Play) -> None:
    """Checks are answered, then wiring or a memory is touched, which may be put right or taken out, or answered for."""
    rng, desk = play.rng, play.desk
    answer_everything(play)
    desk.wait()
    desk.take_over()
    desk.write_all(touching(play))
    old = play.newest(rng.choice(("rewired", "reprogrammed")))
    for _ in range(rng.choice((0, 0, 1, 2)) if old is not None else 0):
        desk.wait()
        assert old is not None
        if chance(rng, 0.4):
            desk.write(Draft("withdrawn", old.subject, {}, robot=old.robot), replaces=old.id)
            continue
        subject = rng.choice((old.subject, play.part(), "their part", "a part nobody knows"))
        happened = old.happened + rng.choice((0, 0, -30, -6, 6)) * MINUTE
        draft = Draft(old.kind, subject, {"note": "put right"}, rng.choice((play.place(), None)), None, old.robot)
        old = desk.write(draft, happened=happened, replaces=old.id)
    if chance(rng, 0.3):
        desk.wait()
        desk.take_over()
        answer_everything(play)


def answer_everything(play: Play) -> None:
    """Every line of every checklist is answered as it should be."""
    for checklist in play.plan.checklists:
        for line in checklist.lines:
            detail = {"answer": "yes", "second": "AB"}
            play.desk.write(Draft("answered", f"{ROBOT}/{checklist.id}/{line.id}", detail), by="CD")


def edit_something(play: Play) -> None:
    """Define something anew, in its line or as a second line of the same subject."""
    named = subjects(play.plan)
    kind = play.rng.choice([kind for kind in named if kind != "crew"])
    subject = play.rng.choice(named[kind])
    old = next((e for e in reversed(play.desk.entries) if e.kind == kind and e.subject == subject), None)
    replaces = old.id if old is not None and chance(play.rng, 0.85) else None
    play.desk.write(definition(play.plan, play.rng, kind, subject), replaces=replaces)


def begin(play: Play, proved: float = 0.7) -> None:
    """What is defined, what sits where, and often much of it proved: else nothing would ever pass."""
    plan, rng, desk = play.plan, play.rng, play.desk
    desk.write_all(definitions(plan, rng))
    for place, parts in plan.parts.items():
        if chance(rng, 0.92):
            desk.write(Draft("fitted", parts[0], some_detail(rng, new=rng.choice((True, False, None))), place))
    if chance(rng, proved):
        prove(play)


def prove(play: Play) -> None:
    """Torque every joint, read every dimension, look over every zone, answer every line."""
    plan, rng, desk = play.plan, play.rng, play.desk
    for joint in plan.joints:
        detail = {"fasteners": "all", "torque_nm": 10.0, "locker": True, "second": "AB", "instrument": "wr"}
        desk.write(Draft("torqued", joint, detail), by="CD")
    for of, dimensions in [(ROBOT, ("g", "h")), *((parts[0], DIMENSIONS) for parts in plan.parts.values())]:
        for dimension in dimensions if chance(rng, 0.85) else ():
            detail = {"of": of, "dimension": dimension, "value_m": near(rng, -1, 1), "instrument": "mic"}
            desk.write(Draft("reading", f"{of}/{dimension}", detail))
    desk.write_all([Draft("looked_over", zone, {}) for zone in plan.zones])
    if chance(rng, 0.6):
        fight = {"name": "f3", "configuration": plan.configurations[0]}
        desk.write(Draft("entered", "f3", fight, ROBOT))
        desk.write(Draft("chosen", ROBOT, {"pack_set": plan.pack_sets[0]}))
    for parts in plan.parts.values():
        desk.write(Draft("looked_at", parts[0], {}))
    if chance(rng, 0.6):
        answer_everything(play)


SCENES: tuple[tuple[Callable[[Play], None], float], ...] = (
    (raise_something, 0.06),
    (correct_something, 0.10),
    (edit_something, 0.04),
    (prove, 0.04),
    (defer_something, 0.025),
    (replace_something, 0.015),
    (put_a_pack_away, 0.02),
    (settle, 0.02),
    (accept, 0.02),
    (touch_something, 0.03),
    (bring_back, 0.02),
    (work_the_packs, 0.025),
    (sign_later, 0.02),
    (work_in_place, 0.02),
)
"""What takes more than one act, each with its share of all that happens."""


def act_or_scene(play: Play) -> None:
    """Something happens: most times one act, at times a scene of several."""
    rng = play.rng
    acts = 1 - sum(share for _, share in SCENES)
    scene = rng.choices([None, *(scene for scene, _ in SCENES)], [acts, *(share for _, share in SCENES)])[0]
    if scene is not None:
        scene(play)
    elif drafts := rng.choices([make for make, _ in ACTS], [weight for _, weight in ACTS])[0](play):
        play.desk.write_all(drafts)


def judged_at(play: Play, cut: int, waits: Sequence[int]) -> Case:
    """What was written before a tick, judged so many milliseconds after the last of it."""
    shown = max((entry.tick for entry in play.desk.entries if entry.tick < cut), default=cut)
    return Case(tuple(play.desk.entries), ROBOT, shown + play.rng.choice(waits), cut, play.plan.checklists)


def random_book(seed: int, size: int = 40) -> Case:
    """A small random robot and a history of up to `size` acts, the same for the same seed."""
    rng = Random(seed)
    desk = Desk(rng, rng.choice((1, 1, 2, 3)))
    play = Play(random_plan(rng), rng, desk)
    begin(play)
    for _ in range(rng.randint(0, size)):
        desk.wait()
        desk.take_over()
        act_or_scene(play)
    ending = rng.random()
    if ending < 0.4:
        run_out(play)
    elif ending < 0.6:
        work_the_packs(play)
    ticks = [entry.tick for entry in desk.entries]
    cut = rng.choice((max(ticks) + 1, max(ticks) + 1, rng.choice(ticks)))
    return judged_at(play, cut, (0, MINUTE, 4 * MINUTE, 10 * MINUTE, 600 * MINUTE))


def cases(most: int = 40) -> st.SearchStrategy[Case]:
    """Random books of up to so many acts."""
    return st.builds(random_book, st.integers(0, 2**32 - 1), st.integers(5, most))


@st.composite
def thinned_cases(draw: st.DrawFn, most: int = 40) -> Case:
    """Books that miss some of what happened, as when laptops have not merged yet: what is named may be unknown."""
    case = draw(cases(most))
    missing = Random(draw(st.integers(0, 2**32 - 1)))
    share = draw(st.sampled_from((0.02, 0.1, 0.5)))
    kept = [entry for entry in case.entries if entry.kind in DEFINITION_KINDS or not chance(missing, share)]
    return case._replace(entries=tuple(kept))


def smallest(case: Case, wrong: Callable[[Case], bool]) -> Case:
    """The case without every entry that is not needed for it to go wrong: what to read first."""
    entries, size = list(case.entries), len(case.entries)
    while size:
        place = 0
        while place < len(entries):
            fewer = case._replace(entries=tuple(entries[:place] + entries[place + size :]))
            if wrong(fewer):
                entries = list(fewer.entries)
            else:
                place += size
        size //= 2
    return case._replace(entries=tuple(entries))
