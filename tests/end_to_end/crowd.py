"""A book that is far larger than any crew's: thirty robots, one of them of 300 parts, with names of every sort."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft

ROBOTS = 30
PARTS, JOINTS, STACKS, ZONES = 300, 80, 60, 12
LONGEST = 60
START_MS = 1_780_000_000_000
MINUTE_MS = 60_000
HIT_EVERY = 3
# One of each is what a name may be: short, sixty letters, two columns a letter, letters that take no column.
FORMS = (
    "{sort} {n}",
    "{sort} {n} of the one behind the other, on the right hand side of it",
    "{sort} {n} 左側駆動輪の外側にある長い名前の部品、右から二番目のもの",
    "{sort} {n} e\u0301lan a\u0308usserer na\u0303o Å\u0303ngstro\u0308m",
)


class Crowd(NamedTuple):
    """Where the book is, the large robot's id and name, and a moment after its last entry (milliseconds UTC)."""

    path: Path
    giant: str
    name: str
    now: int


def named(sort: str, n: int) -> str:
    """The name of the nth thing of its sort, at most sixty letters."""
    return FORMS[n % len(FORMS)].format(sort=sort, n=n)[:LONGEST].strip()


def crowd(folder: Path) -> Crowd:
    """Make the book in a folder."""
    path, clock = folder / "crowd.db", FixedClock(START_MS)
    giant = "robot 0"
    with Book.create(path, clock, SeededIds(11)) as book:
        book.append(list(_shared()))
        for index in range(ROBOTS):
            size = (PARTS, JOINTS, STACKS, ZONES) if index == 0 else (3, 1, 1, 2)
            book.append(list(_machine(f"robot {index}", index, *size)))
        for drafts in (_work(giant), _fight(giant)):
            clock.set(clock.now_ms() + MINUTE_MS)
            book.append(list(drafts))
        now = book.highest_tick() + MINUTE_MS
    return Crowd(path, giant, named("crusher", 0), now)


def _shared() -> Iterator[Draft]:
    """The crew, what it measures with, the sheet, twenty sorts of parts."""

    def define(kind: str, ident: str, **detail: Any) -> Draft:
        return Draft(kind, ident, "PB", detail=detail)

    for initials, role in (("PB", "pit boss"), ("MK", "mechanic")):
        yield define("crew", initials, role=role)
    yield define("instrument", "CAL", name="CAL", unit="mm", resolution=1e-5, permissible=3e-5)
    yield define("instrument", "OWN", name="OWN", unit="kg", resolution=0.01, permissible=0.02)
    yield define("instrument", "TW", name="TW", unit="N m", resolution=0.1, permissible_percent=4)
    yield define("locker", "lk", name="medium", material="steel", primer=False, set_min=15)
    yield define(
        "event", "ev", name=named("event", 1), limit_kg=113.4, official_scale="OWN", gap_min=30, power_cut_s=60
    )
    for index in range(20):
        limits = [{"dimension": "tread", "low_m": 0.004}] if index == 3 else []
        more = {"limits": limits} if limits else {}
        yield define(
            "part_kind",
            f"kind {index}",
            name=named("sort", index),
            look_from=2,
            look="own" if index % 2 else "zone",
            load_path=index % 5 == 0,
            **more,
        )


def _machine(robot: str, index: int, parts: int, joints: int, stacks: int, zones: int) -> Iterator[Draft]:
    """One robot: zones that pass load to the next, a part at every place, joints that hold three places, gaps."""

    def define(kind: str, ident: str, **detail: Any) -> Draft:
        return Draft(kind, f"{robot} {ident}", "PB", robot, detail=detail)

    def zone(n: int) -> str:
        return f"{robot} zone {n % zones}"

    yield Draft("robot", robot, "PB", detail={"name": named("crusher", index), "event": "ev", "crew_margin_kg": 0.25})
    for n in range(zones):
        yield define("zone", f"zone {n}", name=f"Z{n}", title=named("zone", n), passes_to=[zone(n + 1)])
    for n in range(parts):
        yield define("position", f"place {n}", name=named("place", n), zone=zone(n))
        yield define(
            "part",
            f"part {n}",
            name=named("part", n),
            part_kind=f"kind {n % 20}",
            mass_kg=0.2 + n / 1000,
            mass_instrument="OWN",
        )
    for n in range(parts):
        yield Draft("fitted", f"{robot} part {n}", "PB", robot, place=f"{robot} place {n}", detail={"new": False})
    for n in range(joints):
        locking = ("none", "threadlocker", "lock nuts", "wedge washers")[n % 4]
        holds = [f"{robot} place {(3 * n + step) % parts}" for step in range(3)]
        yield define(
            "joint",
            f"joint {n}",
            name=named("joint", n),
            zone=zone(n),
            count=4 + n % 20,
            target_nm=25.0,
            locking=locking,
            material="steel",
            recheck_from=2,
            wrench="TW",
            holds=holds,
        )
    for n in range(stacks):
        chain: list[dict[str, Any]] = [{"name": named("gap", n), "sign": 1, "dimension": f"gap {n}"}]
        for step in range(3):
            place = f"{robot} place {(4 * n + step) % parts}"
            chain.append({"name": named("width", n + step), "sign": -1, "dimension": "width", "position": place})
        yield define(
            "stack",
            f"stack {n}",
            name=named("float", n),
            zones=[zone(n)],
            low_m=0.0002,
            high_m=0.0008,
            recheck_from=2,
            joints=[f"{robot} joint {n % joints}"],
            chains=[chain],
        )
    yield define("configuration", "A", name="A", parts={})


def _work(robot: str) -> Iterator[Draft]:
    """Every second joint torqued, every gap read piece by piece, the robot weighed."""

    def entry(kind: str, ident: str, **detail: Any) -> Draft:
        return Draft(kind, ident, "MK", robot, detail=detail)

    for n in range(0, JOINTS, 2):
        yield entry("torqued", f"{robot} joint {n}", fasteners="all", torque_nm=25.0, instrument="TW", locker=True)
    read: set[str] = set()
    for n in range(STACKS):
        yield entry("reading", f"{robot}/gap {n}", of=robot, dimension=f"gap {n}", value_m=0.0305, instrument="CAL")
        for step in range(3):
            part = f"{robot} part {(4 * n + step) % PARTS}"
            if part not in read:
                read.add(part)
                yield entry("reading", f"{part}/width", of=part, dimension="width", value_m=0.01, instrument="CAL")
    yield entry("weighed", f"{robot} A", value_kg=105.5, instrument="OWN")


def _fight(robot: str) -> Iterator[Draft]:
    """A fight that is over, with a hit on every third zone, and the next one entered."""

    def entry(kind: str, ident: str, place: str | None = None, grade: int | None = None, **detail: Any) -> Draft:
        return Draft(kind, ident, "PB", robot, place, grade, detail=detail)

    for n in (1, 2):
        call = START_MS + n * 60 * MINUTE_MS
        fight: dict[str, Any] = {
            "name": f"F{n}",
            "configuration": f"{robot} A",
            "call_at": call,
            "opponent": named("opponent", n),
        }
        yield entry("entered", f"fight {n}", robot, **fight)
        if n == 1:
            yield entry("fight_ended", "fight 1")
            for zone in range(0, ZONES, HIT_EVERY):
                yield entry("hit", f"{robot} zone {zone}", grade=2, source="taken")
