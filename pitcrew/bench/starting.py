"""Starting a book: the sheet, a robot by its weapon type, and the fight it is to be fit for."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from pitcrew.bench import fighting
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, name_words, pairs
from pitcrew.bench.templates import TEMPLATES, Template
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import robots
from pitcrew.robot.moments import clock_text, day_text, typed, zone
from pitcrew.robot.records import Evidence
from pitcrew.text import clean
from pitcrew.units import read

LONGEST_NAME = 60
SCALE_STEP_KG = 0.01
DAY_MS = 24 * 3_600_000
_ZONE_FILE = "/zoneinfo/"


class Start(NamedTuple):
    """A book in which something is begun: what it holds, who writes, and where new ids come from."""

    evidence: Evidence
    by: str
    mint: Callable[[], str]

    def draft(self, kind: str, subject: str, detail: dict[str, Any], robot: str | None = None) -> Draft:
        """A definition, not written yet; absent fields are left out."""
        fields = {name: value for name, value in detail.items() if value is not None}
        return Draft(kind, subject, self.by, robot, detail=fields)


def sheet(
    start: Start,
    name: str = "own sheet",
    limit_kg: float | None = None,
    *,
    class_name: str = "",
    resolution_kg: float = SCALE_STEP_KG,
    time_zone: str = "UTC",
) -> list[Draft]:
    """The sheet a robot fights under, with the limit of its class, and the crew's own scale.

    The first draft is the event; the scale is called `scale`, its step is `resolution_kg`.

    Raises:
        EntryError: a figure that is not above zero, or no such time zone.
    """
    _above_zero(limit_kg, "limit")
    _above_zero(resolution_kg, "scale")
    zone(time_zone)
    rules = {
        "name": label(name, "sheet"),
        "class_name": clean(class_name).strip() or None,
        "limit_kg": limit_kg,
        "time_zone": time_zone,
    }
    scale = {"name": "scale", "what": "own scale", "unit": "kg", "resolution": resolution_kg}
    return [start.draft("event", start.mint(), rules), start.draft("instrument", start.mint(), scale)]


def _above_zero(figure: float | None, what: str) -> None:
    if figure is not None and not figure > 0:
        raise EntryError(f"{figure:g} kg is not above zero.", "Type it as on the sheet: 13.61 kg, or 30 lb.", what)


def mass_kg(text: str, what: str) -> float:
    """A mass above zero as a shop types it, kg; a bare figure is in kg. `what` names it in a refusal.

    Raises:
        EntryError: it is no mass, or not above zero.
    """
    figure = read(text, expect="mass", bare_unit="kg", subject=what).si
    _above_zero(figure, what)
    return figure


def label(text: str, what: str) -> str:
    """A name as it is kept: cleaned, neither empty nor overlong.

    Raises:
        EntryError: it is.
    """
    name = " ".join(filter(None, map(clean, text.split())))
    if not name:
        raise EntryError("the name is missing.", "Type one.", what)
    if len(name) > LONGEST_NAME:
        raise EntryError(f"{name[:20]!r}... is too long for a name.", f"Use at most {LONGEST_NAME} characters.", what)
    return name


def robot_name(evidence: Evidence, text: str) -> str:
    """The name of a new robot, as it is kept.

    Raises:
        EntryError: no name, or one that another robot has.
    """
    name = label(text, "robot")
    if any(name_words(other.name) == name_words(name) for other in robots(evidence)):
        raise EntryError(f"there is a robot called {name!r} already.", "Give this one another name.", "robot")
    return name


def machine_time_zone() -> str:
    """The time zone this computer is set to, by its name, else by its present offset; UTC when neither is told."""
    for name in _zone_names():
        with suppress(EntryError):
            zone(name)
            return name
    minutes = time.localtime().tm_gmtoff // 60
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}" if minutes else "UTC"


def _zone_names() -> Iterator[str]:
    """What may name this computer's time zone, the surest first."""
    if "TZ" in os.environ:
        yield os.environ["TZ"].removeprefix(":")
        return
    with suppress(OSError):
        _, found, name = os.path.realpath("/etc/localtime").partition(_ZONE_FILE)
        if found:
            yield name
    with suppress(OSError, UnicodeDecodeError):
        yield Path("/etc/timezone").read_text("utf-8").strip()


def template_called(text: str) -> Template:
    """The template of a weapon type, by a word of its name.

    Raises:
        EntryError: none fits, or several do.
    """
    named = {item.name: item for item in TEMPLATES}
    return named[find(text, ((name, name) for name in named), "weapon type")]


def robot(
    start: Start,
    name: str,
    template: Template,
    *,
    event: str | None = None,
    crew_margin_kg: float | None = None,
    configuration: str = "A",
) -> list[Draft]:
    """A robot with the zones of its weapon type and one configuration, which names no modules yet.

    The first draft is the robot; `event` is the sheet it fights under, by its id.

    Raises:
        EntryError: no name, or one that another robot has.
    """
    name = robot_name(start.evidence, name)
    ident = start.mint()
    ids = {row.name: start.mint() for row in template.zones}
    zones = [
        start.draft(
            "zone",
            ids[row.name],
            {"name": row.name, "title": row.title, "passes_to": [ids[other] for other in row.passes_to]},
            ident,
        )
        for row in template.zones
    ]
    called = {"name": label(configuration, "configuration"), "parts": {}}
    return [
        start.draft("robot", ident, {"name": name, "event": event, "crew_margin_kg": crew_margin_kg}),
        *zones,
        start.draft("configuration", start.mint(), called, ident),
    ]


def fight(
    desk: Desk, call: str = "", *, name: str = "", configuration: str = "", opponent: str = "", fight: str = ""
) -> list[Draft]:
    """Enter the next fight, so that there is something to be fit for; or change one that is entered.

    Args:
        desk: where it is entered.
        call: when it is called, as typed in the event's time zone; empty when nobody knows yet.
        name: what the crew calls it; numbered when not given.
        configuration: its name; the robot's first when not given.
        opponent: who it is against.
        fight: the id of the one to change. Its staging and start stay if its call does.

    Raises:
        EntryError: no such configuration, or a call that is no time or has gone by.
    """
    defs = desk.definitions()
    known = pairs(defs.configurations)
    if not known:
        raise EntryError("the robot has no configuration yet.", "Add one first.", "fight")
    before = {fact.subject for fact in desk.evidence.at_place("entered", desk.robot)}
    call_at = _call_at(call, defs.event.time_zone if defs.event else "UTC", desk.now) if call.strip() else None
    known_of = next(desk.evidence.facts("entered", fight), None) if fight else None
    stays = known_of is not None and known_of.detail.get("call_at") == call_at
    return fighting.enter(
        desk,
        fight or desk.mint(),
        label(name or f"fight {len(before) + 1}", "fight"),
        find(configuration, known, "configuration") if configuration else known[0][0],
        opponent=clean(opponent).strip(),
        call_at=call_at,
        staging_at=known_of.detail.get("staging_at") if known_of is not None and stays else None,
        start_at=known_of.detail.get("start_at") if known_of is not None and stays else None,
    )


def _call_at(text: str, time_zone: str, now: int) -> int:
    start, end = typed(text, time_zone, now)
    if end <= now:
        clock, tomorrow = clock_text(start, time_zone), day_text(now + DAY_MS, time_zone)
        raise EntryError(f"the call at {clock} has gone by.", f"Type its day with it: {tomorrow} {clock}.", "call")
    return start
