"""Packs read, put on charge and taken off it, out and in with what was read, into quarantine."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pitcrew.bench import fitting
from pitcrew.bench.desk import Desk, known
from pitcrew.bench.names import part_name
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import looks
from pitcrew.readiness.packs import charge_of, charging_of
from pitcrew.readiness.parts import look_disturbances
from pitcrew.robot.moments import clock_text

MOST_CELL_V = 5.0  # no cell of any common chemistry shows more; what is above is a whole pack's volts


class PackRead(NamedTuple):
    """What was read of a pack, or of each of several alike: volts and ohms of a cell, kelvin, coulombs.

    `cells_v` and `cells_ohm` are of every cell in order; `lowest_v` and `ohm_per_cell` stand where only one was read.
    """

    cells_v: tuple[float, ...] = ()
    lowest_v: float | None = None
    cells_ohm: tuple[float, ...] = ()
    ohm_per_cell: float | None = None
    temperature_k: float | None = None
    used_coulomb: float | None = None
    instrument: str | None = None
    typed: str = ""


NOTHING_READ = PackRead()


class Charged(NamedTuple):
    """How packs are charged: amperes each, coulombs to put back in each, kelvin, and who watches."""

    current_a: float | None = None
    to_put_back_coulomb: float | None = None
    temperature_k: float | None = None
    watched_by: str = ""


def read_packs(desk: Desk, packs: Sequence[str], read: PackRead, note: str = "") -> list[Draft]:
    """Packs read: the same figures for each of them.

    Raises:
        EntryError: no pack or no figure, the volts are not of a cell, or there are more or fewer than the pack has.
    """
    case = desk.case()
    detail = {
        "cells_v": list(read.cells_v) or None,
        "lowest_v": read.lowest_v,
        "cells_ohm": list(read.cells_ohm) or None,
        "ohm_per_cell": read.ohm_per_cell,
        "temperature_k": read.temperature_k,
        "used_coulomb": read.used_coulomb,
    }
    if all(value is None for value in detail.values()):
        raise EntryError("nothing was read.", "Type what was: pack P9 4.18 V, or pack set 1 46 C 5.2 Ah.", "pack")
    for pack in _each(packs):
        _counted(case, desk.part(pack), read)
    said = {**detail, "instrument": desk.instrument(read.instrument), "typed": read.typed or None}
    return [desk.draft("pack_read", pack, said, note=note) for pack in _each(packs)]


def packs_out(desk: Desk, read: PackRead = NOTHING_READ, note: str = "") -> list[Draft]:
    """Take every pack out, and say how warm they are and what was used, if that was read."""
    drafts = fitting.packs_out(desk, note=note)
    if read == NOTHING_READ:
        return drafts
    return [*drafts, *read_packs(desk, [draft.subject for draft in drafts], read)]


def packs_in(desk: Desk, pack_set: str, read: PackRead = NOTHING_READ, note: str = "") -> list[Draft]:
    """Put the packs of a set in, with what was read of them."""
    drafts = fitting.packs_in(desk, pack_set, note)
    if read == NOTHING_READ:
        return drafts
    packs = known(desk.definitions().pack_sets, pack_set, "pack set").packs
    return [*drafts, *read_packs(desk, packs, read)]


def on_charge(desk: Desk, packs: Sequence[str], charge: Charged, note: str = "") -> list[Draft]:
    """Put packs on charge.

    Raises:
        EntryError: no pack, or one that is not to be charged: put away, or with something found on it.
    """
    case = desk.case()
    for pack in _each(packs):
        reason = kept_off(case, desk.part(pack))
        if reason:
            raise EntryError(f"{part_name(case, pack)} {reason}.", "It is not charged: outside, and watched.", "charge")
    detail = charge._asdict()
    detail["watched_by"] = charge.watched_by.strip() or None
    return [desk.draft("charge_started", pack, detail, note=note) for pack in _each(packs)]


def off_charge(
    desk: Desk,
    packs: Sequence[str],
    to: str,
    lowest_v: float | None = None,
    instrument: str | None = None,
    note: str = "",
) -> list[Draft]:
    """Take packs off charge: to `full`, to `storage`, or `stopped`; volts of the lowest cell where it was read."""
    case = desk.case()
    for pack in _each(packs):
        _counted(case, desk.part(pack), PackRead(lowest_v=lowest_v))
    detail = {"to": to, "lowest_v": lowest_v, "instrument": desk.instrument(instrument)}
    return [desk.draft("charge_ended", pack, detail, note=note) for pack in _each(packs)]


def quarantined(desk: Desk, packs: Sequence[str], note: str = "") -> list[Draft]:
    """Packs put outside in quarantine, out of their places if they sit in one."""
    return [draft for pack in _each(packs) for draft in fitting.put_away(desk, pack, "quarantine", note)]


def kept_off(case: Case, pack: str) -> str:
    """Why a pack is not to be charged, as the end of a sentence about it; empty when it may be."""
    away = case.put_away(pack)
    if away is not None:
        return "is in quarantine" if away == "quarantine" else f"is {away}"
    found = case.open_findings(pack)
    return f"is {found[-1].detail['what']}, and that is not put right" if found else ""


def doubt_of(case: Case, packs: Iterable[str]) -> str:
    """Why packs had better not be charged yet: not looked at since a hit, or still warm. Empty when nothing says so."""
    listed = list(packs)
    unseen = [part_name(case, pack) for pack in listed if look_due(case, pack)]
    if unseen:
        return f"{' '.join(unseen)} in the box that was hit: look first"
    cool = [cool_at for pack in listed if (cool_at := charge_of(case, pack).cool_at) is not None]
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    return f"warm: let them cool till {clock_text(max(cool), zone)}" if cool else ""


def chosen_set(case: Case) -> str | None:
    """The set chosen since the last fight ended, by its id; one chosen for a fight that is over counts no more."""
    fact, last = case.chosen(), case.ends().first()
    if fact is None or (last is not None and fact.order < last.order):
        return None
    return str(fact.detail["pack_set"])


def look_due(case: Case, pack: str) -> bool:
    """Did something disturb a pack, wherever it is now, that nobody has looked at it since?"""
    kind = case.kind(pack)
    if kind is None:
        return False
    return case.uncleared(look_disturbances(case, pack, kind), looks(case, pack, kind)) is not None


def checked(desk: Desk, pack: str, read: PackRead) -> None:
    """Refuse figures that cannot be those of this pack's cells.

    Raises:
        EntryError: volts of more than one cell together, or more or fewer figures than it has cells.
    """
    _counted(desk.case(), pack, read)


def _each(packs: Iterable[str]) -> list[str]:
    found = list(dict.fromkeys(packs))
    if not found:
        raise EntryError("no pack was named.", "Name a pack or a set: P9, or set 1.", "pack")
    return found


def _counted(case: Case, pack: str, read: PackRead) -> None:
    """Refuse figures that cannot be those of this pack's cells."""
    name = part_name(case, pack)
    volts = [*read.cells_v, *([read.lowest_v] if read.lowest_v is not None else [])]
    if volts and max(volts) > MOST_CELL_V:
        raise EntryError(
            f"{max(volts):.2f} V is no single cell.", "Type the volts of the lowest cell, or of every cell.", "pack"
        )
    rule = charging_of(case, pack)
    cells = rule.cells if rule is not None else None
    for figures, what in ((read.cells_v, "volts"), (read.cells_ohm, "ohms")):
        if figures and cells is not None and len(figures) != cells:
            raise EntryError(
                f"{name} has {cells} cells; that is {what} of {len(figures)}.", "Type them all, or the lowest.", "pack"
            )
