"""What a robot is: its zones, positions, joints, stacks and configurations, and the sheet it fights under.

Definitions are entries like any other; these are the plain records they read into. Today's definitions judge
the whole history; looking back at a moment uses those of that moment.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple, TypeVar

from pitcrew.robot.records import Evidence, Fact

DEFAULT_CLOCK_DOUBT_S = 120


class Event(NamedTuple):
    """One sheet of event rules. Masses kg, times in the unit of the name."""

    id: str
    name: str
    class_name: str = ""
    limit_kg: float | None = None
    allowance_kg: float = 0.0
    official_scale: str | None = None
    gap_min: float | None = None
    gap_counts_from: str = "fight end"
    match_s: float | None = None
    staging_before_start_min: float | None = None
    walk_min: float = 0.0
    power_cut_s: float | None = None
    spin_down_s: float | None = None
    start_order: str = ""
    weight_rule: str = "entered"
    reweigh_band_percent: float = 0.0
    tip_speed_cap_m_s: float | None = None
    postponements: int = 0
    clock_doubt_s: float = DEFAULT_CLOCK_DOUBT_S
    time_zone: str = "UTC"
    wording: Mapping[str, str] = {}


class Instrument(NamedTuple):
    """What a figure is read with. `resolution`, `permissible` and `offset` in SI; the offset is added."""

    id: str
    name: str
    unit: str
    resolution: float
    what: str = ""
    permissible: float | None = None
    permissible_percent: float | None = None
    offset: float = 0.0
    checked: str = ""
    check_due: str = ""


class Locker(NamedTuple):
    """How long a threadlocker takes on one material, with or without primer."""

    id: str
    name: str
    material: str
    primer: bool
    set_min: float
    full_h: float | None = None


class Limit(NamedTuple):
    """Limits on one dimension of every part of a kind (a wheel's tread). Metres."""

    dimension: str
    low_m: float | None = None
    high_m: float | None = None


class Charging(NamedTuple):
    """What packs of a kind are charged and judged by; what is not given is not asked for.

    Volts and ohms are of one cell. `full_v` is the least that counts as charged, `storage_v` what a pack is put away
    at. Packs of a set are matched within `spread_ohm`, and equal within `equal_v` before they are paralleled. A pack
    warmer than `cool_k` (kelvin) cools for `cool_min` minutes before it is charged; charging takes what was used
    (coulombs) at `current_a` and `tail_min` minutes more.
    """

    cells: int | None = None
    capacity_coulomb: float | None = None
    current_a: float | None = None
    full_v: float | None = None
    storage_v: float | None = None
    spread_ohm: float | None = None
    equal_v: float | None = None
    cool_k: float | None = None
    cool_min: float = 0.0
    tail_min: float = 0.0


class PartKind(NamedTuple):
    """A sort of part: from which grade of hit it wants a look, and of what sort.

    A life is counted in fights or in hard hits; `spares_wanted` is how many good ones the crew wants in its box. What
    `spins` must keep its balance; what `sets_speed` decides how fast the weapon's tip is (a motor, a pulley).
    """

    id: str
    name: str
    look_from: int
    look: str
    load_path: bool = False
    first_look: bool = False
    function_check: bool = False
    pack: bool = False
    life_fights: int | None = None
    life_hard_hits: int | None = None
    limits: tuple[Limit, ...] = ()
    charging: Charging | None = None
    spares_wanted: int | None = None
    spins: bool = False
    sets_speed: bool = False


class Robot(NamedTuple):
    """A robot: its name, the sheet it fights under, the crew's own weight margin (kg).

    With `sign_off` it is not fit to fight before somebody signed for it.
    """

    id: str
    name: str
    event: str | None = None
    crew_margin_kg: float = 0.0
    sign_off: bool = False


class Zone(NamedTuple):
    """A region of the robot; a hit passes to the listed zones, one grade lower a step."""

    id: str
    name: str
    title: str = ""
    passes_to: tuple[str, ...] = ()


class Position(NamedTuple):
    """A place where one part sits."""

    id: str
    name: str
    zone: str
    role: str = "fixed"
    may_be_empty: bool = False


class Dimension(NamedTuple):
    """A length a part came with, metres: read with an instrument, or nominal with a tolerance."""

    value_m: float
    instrument: str | None = None
    tolerance_m: float | None = None
    typed: str = ""


class Part(NamedTuple):
    """A physical thing with its own history.

    `cycles`, `fights` and `hard_hits` are what it had behind it when it was entered; `batch` tells which ones were
    bought together.
    """

    id: str
    name: str
    part_kind: str
    mass_kg: float | None = None
    mass_instrument: str | None = None
    mass_tolerance_kg: float | None = None
    dimensions: Mapping[str, Dimension] = {}
    cycles: int | None = None
    ohm_per_cell: float | None = None
    ohm_new: float | None = None
    fights: int | None = None
    hard_hits: int | None = None
    batch: str = ""


class Joint(NamedTuple):
    """A group of like fasteners holding positions together.

    Without a band of its own the torque may be 10 % off its target. `wrench` is what a torque is set with when its
    entry names none. `through` names the joints that must be opened to reach it: opening this one opens them.
    """

    id: str
    name: str
    zone: str
    fastener_count: int
    locking: str
    recheck_from: int
    thread: str = ""
    target_nm: float | None = None
    band_percent: float = 10.0
    locker_name: str | None = None
    material: str = ""
    max_uses: int | None = None
    wrench: str | None = None
    second: bool = False
    holds: tuple[str, ...] = ()
    stock: str | None = None
    through: tuple[str, ...] = ()


class Piece(NamedTuple):
    """One signed piece of a stack: a dimension of whatever sits at a position, or of the structure."""

    name: str
    sign: int
    dimension: str
    position: str | None = None


class Stack(NamedTuple):
    """A gap and its limits, metres. Its value is the smallest of its chains of signed pieces.

    One chain is the plain case. An overlap (smaller end less larger start, never more than either face) is
    four chains, one for each end against each start.
    """

    id: str
    name: str
    zones: tuple[str, ...]
    recheck_from: int
    chains: tuple[tuple[Piece, ...], ...]
    low_m: float | None = None
    high_m: float | None = None
    positions: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    only_in: tuple[str, ...] = ()
    note: str = ""

    def pieces(self) -> tuple[Piece, ...]:
        """Every different piece of the chains, in order of first appearance; a piece counts once, sign aside."""
        seen: dict[tuple[str | None, str], Piece] = {}
        for chain in self.chains:
            for piece in chain:
                seen.setdefault((piece.position, piece.dimension), piece)
        return tuple(seen.values())

    def places(self) -> tuple[str, ...]:
        """Every position whose part matters to this stack."""
        named = [piece.position for piece in self.pieces() if piece.position is not None]
        return tuple(dict.fromkeys((*named, *self.positions)))


class Configuration(NamedTuple):
    """A declared set of modules: the part (or nothing) at each position it names."""

    id: str
    name: str
    parts: Mapping[str, str | None]


class PackSet(NamedTuple):
    """Packs used together."""

    id: str
    name: str
    packs: tuple[str, ...]


class Stock(NamedTuple):
    """A box of like things that are used up: how many the crew wants in it at least, and of which batch they are."""

    id: str
    name: str
    wanted: int | None = None
    batch: str = ""


class CrewMember(NamedTuple):
    """Somebody with initials."""

    id: str
    role: str = ""


T = TypeVar("T")


def read(record: type[T], fact: Fact) -> T:
    """Turn a definition's fact into its record."""
    fields: tuple[str, ...] = record._fields  # type: ignore[attr-defined]
    values: dict[str, Any] = {"id": fact.subject}
    for key, value in fact.detail.items():
        name = "fastener_count" if key == "count" else key  # a tuple has a method called count
        if name in fields and value is not None:
            values[name] = _frozen(name, value) if value.__class__ in (list, dict) else value
    return record(**values)


def _frozen(name: str, value: Any) -> Any:
    if name == "charging":
        return Charging(**value)
    if name == "limits":
        return tuple(Limit(**item) for item in value)
    if name == "dimensions":
        return {key: Dimension(**item) for key, item in value.items()}
    if name == "chains":
        return tuple(tuple(Piece(**piece) for piece in chain) for chain in value)
    return tuple(value) if isinstance(value, list) else value


class Definitions(NamedTuple):
    """Everything that says what one robot is, keyed by id, in the order it was defined."""

    robot: Robot
    event: Event | None
    zones: Mapping[str, Zone]
    positions: Mapping[str, Position]
    kinds: Mapping[str, PartKind]
    joints: Mapping[str, Joint]
    stacks: Mapping[str, Stack]
    configurations: Mapping[str, Configuration]
    pack_sets: Mapping[str, PackSet]
    instruments: Mapping[str, Instrument]
    lockers: tuple[Locker, ...]

    @property
    def doubt_ms(self) -> int:
        """How far two writers' clocks may be apart, milliseconds."""
        seconds = self.event.clock_doubt_s if self.event else DEFAULT_CLOCK_DOUBT_S
        return round(seconds * 1000)


def gather(evidence: Evidence, robot: str) -> Definitions | None:
    """Read one robot's definitions, or None when the book does not know the robot."""
    fact = next(evidence.facts("robot", robot), None)
    if fact is None:
        return None
    machine = read(Robot, fact)

    def own(kind: str, record: type[T]) -> dict[str, T]:
        return {item.subject: read(record, item) for item in evidence.definitions(kind, robot)}

    def shared(kind: str, record: type[T]) -> dict[str, T]:
        return {item.subject: read(record, item) for item in evidence.definitions(kind, None)}

    sheet = next(evidence.facts("event", machine.event), None) if machine.event else None
    return Definitions(
        robot=machine,
        event=read(Event, sheet) if sheet else None,
        zones=own("zone", Zone),
        positions=own("position", Position),
        kinds=shared("part_kind", PartKind),
        joints=own("joint", Joint),
        stacks=own("stack", Stack),
        configurations=own("configuration", Configuration),
        pack_sets=own("pack_set", PackSet),
        instruments=shared("instrument", Instrument),
        lockers=tuple(shared("locker", Locker).values()),
    )


def robots(evidence: Evidence) -> tuple[Robot, ...]:
    """Every robot of the book, in the order they were defined."""
    return tuple(read(Robot, fact) for fact in evidence.definitions("robot", None))
