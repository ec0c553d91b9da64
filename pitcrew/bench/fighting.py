"""Fights and what was felt in them: entered, started, ended, left the arena; hits by zone and grade."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft

SAME_DAY_MS = 6 * 3_600_000
GRADES = {"light": 1, "solid": 2, "hard": 3}


def enter(
    desk: Desk,
    fight: str,
    name: str,
    configuration: str,
    *,
    opponent: str = "",
    call_at: int | None = None,
    staging_at: int | None = None,
    start_at: int | None = None,
    note: str = "",
) -> list[Draft]:
    """Enter a fight with a configuration; times in ms UTC."""
    detail = {
        "name": name,
        "configuration": configuration,
        "opponent": opponent or None,
        "call_at": call_at,
        "staging_at": staging_at,
        "start_at": start_at,
    }
    known(desk.definitions().configurations, configuration, "configuration")
    return [desk.draft("entered", fight, detail, place=desk.robot, note=note)]


def started(desk: Desk, fight: str, note: str = "") -> list[Draft]:
    """The fight began."""
    return [desk.draft("fight_started", _fight(desk, fight), note=note)]


def ended(desk: Desk, fight: str, result: str = "", note: str = "") -> list[Draft]:
    """The fight is over."""
    return [desk.draft("fight_ended", _fight(desk, fight), {"result": result or None}, note=note)]


def left(desk: Desk, fight: str, note: str = "") -> list[Draft]:
    """The robot left the arena."""
    return [desk.draft("fight_left", _fight(desk, fight), note=note)]


def _fight(desk: Desk, fight: str) -> str:
    if next(desk.evidence.facts("entered", fight), None) is None:
        raise EntryError("no such fight was entered.", "Enter it first.", "fight")
    return fight


def hit(
    desk: Desk,
    zones: Sequence[str],
    grade: int,
    source: str = "taken",
    *,
    not_sure: bool = False,
    in_fight: bool = True,
    note: str = "",
) -> list[Draft]:
    """One blow, felt in one zone or several. Its time is the end of its fight, or what was typed.

    Not sure counts as solid and asks for a hand check. `in_fight` false is a knock in the pit, at its own time.
    """
    defined = desk.definitions().zones
    zones = list(dict.fromkeys(zones))
    for zone in zones:
        known(defined, zone, "zone")
    fight, happened = _when(desk) if in_fight else (None, None)
    return [
        desk.draft(
            "hit",
            zone,
            {"source": source, "fight": fight},
            place=zone if not_sure else None,
            grade=GRADES["solid"] if not_sure else grade,
            happened=desk.happened if desk.happened is not None else happened,
            note=note,
        )
        for zone in zones
    ]


def _when(desk: Desk) -> tuple[str | None, int | None]:
    """The fight a blow belongs to and its time: the end of the last fight, unless one is on now or it is long ago."""
    case = desk.case()
    now_on = case.fight_id()
    if now_on and case.newest("fight_started", now_on) is not None:
        return now_on, None
    end = case.ends().first()
    if end is None or desk.moment - end.happened > SAME_DAY_MS:
        return None, None
    return end.subject, end.happened
