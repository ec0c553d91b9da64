"""Longer goings-on of packs: all is well with them but for one thing or two, and the call is near."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from .acts import Play, charging, pack_reading, some_detail
from .desk import MINUTE
from .plans import COULOMBS, OHMS, ROBOT, VOLTS, Draft, chance, some

TAILS = (0, 0, 1, 10)
"""Minutes that a charge takes longer than its coulombs and its amps say."""


class Charge(NamedTuple):
    """What a charge of the story would be: from when (ms), how much and how fast; the call comes about when it ends."""

    start: int
    coulomb: float
    amps: float

    def ends_min(self) -> int:
        return math.ceil(self.coulomb / self.amps / 60 - 1e-6)


def put_packs_in(play: Play, charge: Charge, fitted: float = 0.8) -> None:
    """A fight is entered whose call is near, a set chosen, and its places filled, if nobody thinks they are."""
    rng, desk, plan = play.rng, play.desk, play.plan
    fight = f"f{len(desk.entries)}"
    minutes = charge.ends_min() + rng.choice(TAILS) + rng.choice((-1, 0, 0, 5))
    call = {"call_at": charge.start + minutes * MINUTE} if chance(rng, 0.65) else {}
    detail = {"name": fight, "configuration": rng.choice((plan.configurations[0], *plan.configurations)), **call}
    desk.write(Draft("entered", fight, detail, ROBOT))
    desk.write(Draft("chosen", ROBOT, {"pack_set": plan.pack_sets[0]}))
    if chance(rng, fitted):
        desk.write_all([Draft("fitted", plan.parts[q][0], {}, q) for q in plan.of_role("pack")])


def make_good(play: Play, charge: Charge) -> None:
    """Every pack comes off the charger full, and is read: alike, and cool."""
    good = {"cells_v": [4.2, 4.2], "cells_ohm": [0.002, 0.002], "temperature_k": 295.15}
    for pack in play.plan.packs:
        play.desk.write(Draft("charge_ended", pack, {"to": "full"}), happened=play.desk.clock())
        play.desk.write(Draft("pack_read", pack, dict(good)), happened=play.desk.clock())


def fight(play: Play, charge: Charge) -> None:
    """A fight ends, for which a pack may have lain elsewhere; most times somebody reads what it took."""
    rng, desk, entered = play.rng, play.desk, play.newest("entered")
    name = entered.subject if entered else "f1"
    if chance(rng, 0.3):
        away = rng.choice(play.plan.packs)
        elsewhere = [Draft("fitted", away, {}, "their place")] if chance(rng, 0.5) else []
        out = [Draft("removed", away, {"to": "spares"}, q) for q in play.plan.of_role("pack")]
        desk.write_all([*out, *elsewhere])
    desk.write(Draft("fight_ended", name, {}))
    if chance(rng, 0.6):
        desk.time += rng.choice((0, 4)) * MINUTE
        desk.write(Draft("fight_left", name, {}))
    if chance(rng, 0.7):
        desk.wait()
        figures = {"used_coulomb": charge.coulomb, **({"temperature_k": 318.15} if chance(rng, 0.5) else {})}
        desk.write_all([Draft("pack_read", pack, dict(figures)) for pack in play.plan.packs])


def some_packs(play: Play) -> list[str]:
    return some(play.rng, play.plan.packs, 2) or list(play.plan.packs)


def put_on(play: Play, charge: Charge) -> None:
    """Packs go on the charger, at a moment from which the call is whole minutes away."""
    rng = play.rng
    detail = some_detail(
        rng,
        current_a=rng.choice((charge.amps, charge.amps, None)),
        to_put_back_coulomb=rng.choice((charge.coulomb, charge.coulomb, None)),
        temperature_k=rng.choice((295.15, 318.15, None, None)),
    )
    for pack in some_packs(play):
        play.desk.write(Draft("charge_started", pack, dict(detail)), happened=charge.start)


def take_off(play: Play, charge: Charge) -> None:
    """Packs are taken off the charger before they are full, or for the shelf."""
    detail = some_detail(
        play.rng, to=play.rng.choice(("storage", "stopped")), lowest_v=play.rng.choice((3.8, 4.2, None, None))
    )
    play.desk.write_all([Draft("charge_ended", pack, dict(detail)) for pack in some_packs(play)])


def read_ohms(play: Play, charge: Charge) -> None:
    for pack in play.plan.packs if chance(play.rng, 0.5) else some_packs(play):
        ohms = play.rng.choice(OHMS)
        detail = play.rng.choice(({"ohm_per_cell": ohms}, {"cells_ohm": [0.002, ohms]}))
        play.desk.write(Draft("pack_read", pack, detail), happened=play.desk.clock())


def read_volts(play: Play, charge: Charge) -> None:
    for pack in play.plan.packs if chance(play.rng, 0.5) else some_packs(play):
        volts = play.rng.choice(VOLTS)
        detail = play.rng.choice(({"lowest_v": volts}, {"cells_v": [volts, 4.2]}))
        play.desk.write(Draft("pack_read", pack, detail), happened=play.desk.clock())


def feel_heat(play: Play, charge: Charge) -> None:
    rng = play.rng
    kind, warm = rng.choice(("pack_read", "charge_started")), rng.choice((303.15, 303.16, 318.15))
    for pack in some_packs(play):
        play.desk.write(Draft(kind, pack, {"temperature_k": warm}), happened=play.desk.clock())


def put_in_again(play: Play, charge: Charge) -> None:
    place = play.rng.choice(play.plan.of_role("pack"))
    play.desk.write(Draft("fitted", play.plan.parts[place][0], {}, place))


def fight_and_choose(play: Play, charge: Charge) -> None:
    """A fight ends while packs may be on charge, and the next is entered with the same packs, left where they are."""
    if chance(play.rng, 0.4):
        put_on(play, charge)
    fight(play, charge)
    put_packs_in(play, charge, fitted=0.3)


def put_one_away(play: Play, charge: Charge) -> None:
    play.desk.write(Draft("removed", play.rng.choice(play.plan.packs), {"to": "quarantine"}))


def charge_as_it_comes(play: Play, charge: Charge) -> None:
    play.desk.write_all(charging(play))


def read_as_it_comes(play: Play, charge: Charge) -> None:
    play.desk.write_all(pack_reading(play))


TURNS: tuple[tuple[Callable[[Play, Charge], None], int], ...] = (
    (put_on, 5),
    (take_off, 3),
    (read_ohms, 4),
    (read_volts, 4),
    (feel_heat, 2),
    (put_in_again, 1),
    (fight_and_choose, 2),
    (put_one_away, 1),
    (charge_as_it_comes, 1),
    (read_as_it_comes, 1),
)


def work_the_packs(play: Play) -> None:
    """Packs are used, read, put on charge and taken off, in what order it comes, for a fight that is near."""
    rng, desk = play.rng, play.desk
    if not play.plan.of_role("pack"):
        return
    figures = rng.choice(COULOMBS), rng.choice((8.0, 8.0, 4.0))
    if chance(rng, 0.6):
        earlier = Charge(desk.clock(), *figures)
        put_packs_in(play, earlier)
        if chance(rng, 0.8):
            make_good(play, earlier)
        desk.wait()
        fight(play, earlier)
    charge = Charge(desk.clock(), *figures)
    if chance(rng, 0.1):
        put_on(play, charge)
    put_packs_in(play, charge)
    if chance(rng, 0.6):
        make_good(play, charge)
    for _ in range(rng.choice((0, 1, 1, 2, 2))):
        if chance(rng, 0.4):
            desk.wait()
            desk.take_over()
        rng.choices([turn for turn, _ in TURNS], [weight for _, weight in TURNS])[0](play, charge)
