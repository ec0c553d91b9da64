"""Longer goings-on of initials and of parts worked in place, which acts drawn one by one would hardly make."""

from __future__ import annotations

from pitcrew.robot.kinds import IN_PLACE

from .acts import Play
from .plans import CREW, DIMENSIONS, Draft, chance, near, some


def sign_later(play: Play) -> None:
    """A joint is torqued by one person alone; somebody puts initials under it, which may be written again."""
    rng, desk, joint = play.rng, play.desk, joint_of_two(play)
    done = desk.write(Draft("torqued", joint, {"fasteners": "all", "torque_nm": 10.0}))
    desk.wait()
    desk.take_over()
    rests_on = [done.id] if chance(rng, 0.9) else []
    early = done.happened - 1 if chance(rng, 0.15) else None
    by = rng.choice((*CREW, done.by))
    desk.write(Draft("signed", f"joint:{joint}", {"rests_on": rests_on}), happened=early, by=by)
    if chance(rng, 0.3):
        again = {**done.detail, "torque_nm": rng.choice((10.0, 9.9))}
        desk.write(Draft("torqued", joint, again), happened=done.happened, replaces=done.id)


def joint_of_two(play: Play) -> str:
    """A joint that was ever defined to want second initials; else any."""
    wants = [e.subject for e in play.desk.entries if e.kind == "joint" and e.detail.get("second")]
    return play.rng.choice(wants or list(play.plan.joints))


def work_in_place(play: Play) -> None:
    """A part is weighed or measured, worked where it sits, and perhaps weighed or measured again."""
    rng, desk, place = play.rng, play.desk, play.place()
    part = play.plan.parts[place][0]
    prove_part(play, part)
    desk.wait()
    desk.take_over()
    desk.write(Draft("worked", part, {"how": rng.choice(IN_PLACE)}, place))
    desk.wait()
    desk.take_over()
    prove_part(play, part)


def prove_part(play: Play, part: str) -> None:
    """What a part weighs and measures, and what it all weighs: some of it, or nothing."""
    rng, desk, plan = play.rng, play.desk, play.plan
    if chance(rng, 0.3):
        detail = {"value_kg": plan.masses[part], "instrument": "kit"}
        desk.write(Draft("part_weighed", part, detail))
    if chance(rng, 0.3):
        instrument = rng.choice(("off", "off", "shed"))
        detail = {"value_kg": round(plan.nominal_kg(), 3), "instrument": instrument}
        desk.write_all([Draft("weighed", configuration, dict(detail)) for configuration in plan.configurations])
    for dimension in some(rng, DIMENSIONS, 2):
        detail = {"of": part, "dimension": dimension, "value_m": near(rng), "instrument": "mic"}
        desk.write(Draft("reading", f"{part}/{dimension}", detail))
