"""A pen that writes small books entry by entry, for cases worked out by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.kinds import KINDS, problems
from pitcrew.robot.records import Entry

from .oracle import Judged, judge

MINUTE = 60_000
NOON = 1_700_000_000_000
ROBOT = "R"


class Pen:
    """Writes entries at minutes after noon, each a little later in the book than the one before it.

    The robot has three zones in a row, front passing load to middle and middle to back, one fixed position in
    each (nose, belly, tail) and a part in the nose: the blade, of the kind weapon, looked at from solid hits on.
    """

    def __init__(self, **event: Any) -> None:
        self.entries: list[Entry] = []
        self("event", "E", name="event", **{"limit_kg": 10.0, "official_scale": "official", **event})
        self("robot", ROBOT, name="robot", event="E")
        for zone, following in (("front", ["middle"]), ("middle", ["back"]), ("back", [])):
            self("zone", zone, name=zone, passes_to=following)
        for position, zone in (("nose", "front"), ("belly", "middle"), ("tail", "back")):
            self("position", position, name=position, zone=zone, may_be_empty=True)
        self.kind("weapon")
        self.part("blade", "weapon", mass_kg=1.0)
        self("fitted", "blade", place="nose")

    def __call__(
        self,
        kind: str,
        subject: str,
        at: float = 0,
        *,
        writer: str = "a",
        by: str = "AB",
        place: str | None = None,
        grade: int | None = None,
        replaces: str | None = None,
        act: str | None = None,
        robot: str = ROBOT,
        **detail: Any,
    ) -> str:
        """Write one entry done `at` minutes after noon; give its id."""
        number = len(self.entries)
        happened = NOON + round(at * MINUTE)
        tick = max(happened, self.entries[-1].tick + 1 if self.entries else 0)
        name = f"entry-{number:03}"
        belongs = robot if KINDS[kind].robot else None
        entry = Entry(
            name, act or name, tick, happened, writer, by, belongs, kind, subject, place, grade, replaces, detail
        )  # fmt: skip
        assert not problems(entry), problems(entry)
        self.entries.append(entry)
        return name

    def kind(self, name: str, **fields: Any) -> None:
        self("part_kind", name, **{"name": name, "look_from": 2, "look": "own", **fields})

    def part(self, name: str, kind: str, **fields: Any) -> None:
        self("part", name, name=name, part_kind=kind, **fields)

    def joint(self, name: str, **fields: Any) -> None:
        self(
            "joint", name, **{"name": name, "zone": "front", "count": 2, "locking": "none", "recheck_from": 2, **fields}
        )

    def instrument(self, name: str, resolution: float = 0.0, permissible: float = 0.0, **fields: Any) -> None:
        self("instrument", name, name=name, unit="SI", resolution=resolution, permissible=permissible, **fields)

    def fight(self, name: str, at: float, configuration: str = "bare", **fields: Any) -> None:
        """Enter a fight; the configuration bare names nothing."""
        if not any(entry.kind == "configuration" and entry.subject == configuration for entry in self.entries):
            self("configuration", configuration, name=configuration, parts={})
        self("entered", name, at, place=ROBOT, name=name, configuration=configuration, **fields)

    def hit(self, zone: str, at: float, grade: int = 3, *, place: str | None = None, **fields: Any) -> str:
        columns = {name: fields.pop(name) for name in ("writer", "act", "replaces") if name in fields}
        return self("hit", zone, at, grade=grade, place=place, **columns, **{"source": "taken", **fields})

    def torque(self, joint: str, at: float, newton_metres: float = 10.0, fasteners: Any = "all", **fields: Any) -> str:
        columns = {name: fields.pop(name) for name in ("writer", "by", "replaces") if name in fields}
        return self("torqued", joint, at, torque_nm=newton_metres, fasteners=fasteners, **columns, **fields)

    def read(self, of: str, dimension: str, at: float, value_m: float, **fields: Any) -> str:
        key = f"{of}/{dimension}"
        return self("reading", key, at, of=of, dimension=dimension, value_m=value_m, **fields)

    def find(self, part: str, at: float, what: str = "torn", position: str = "nose", **fields: Any) -> str:
        columns = {name: fields.pop(name) for name in ("act", "replaces") if name in fields}
        place = fields.get("joint") or position
        return self("finding", part, at, place=place, what=what, position=position, **columns, **fields)

    def look_over(self, zone: str, at: float, besides: Sequence[str]) -> str:
        fields: dict[str, Any] = {"except": list(besides)}
        return self("looked_over", zone, at, **fields)

    def withdraw(self, entry: str, at: float) -> str:
        return self("withdrawn", "whatever it was", at, replaces=entry)

    def judged(self, at: float = 600, cut: int | None = None, lists: Sequence[Checklist] = ()) -> Judged:
        """What the oracle says at a moment, of the whole book unless cut."""
        whole = self.entries[-1].tick + 1
        return judge(self.entries, ROBOT, NOON + round(at * MINUTE), whole if cut is None else cut, lists)

    def word(self, key: str, at: float = 600, lists: Sequence[Checklist] = ()) -> str | None:
        """The verdict of one requirement, None where there is none."""
        return self.judged(at, lists=lists).verdicts.get(key)


def checklist(*lines: Line, stale_when: tuple[str, ...] = ("fight_ended",)) -> Checklist:
    """A list of those lines."""
    return Checklist("list", "List", "before the call", "one fight", 1, 2, 1, False, (), lines, stale_when)


def line(name: str, *, second: bool = False, may_skip: bool = False, evidence: tuple[str, ...] = ()) -> Line:
    """One line to answer."""
    return Line(name, name, "common practice", None, second, may_skip, None, None, None, None, evidence)


def bolted(**fields: Any) -> Pen:
    """The robot with a joint of two fasteners and a wrench good to 0.4 N m."""
    pen = Pen()
    pen.instrument("wrench", permissible=0.4)
    pen.joint("hub", **{"target_nm": 10, "band_percent": 10, **fields})
    return pen


def gapped(**fields: Any) -> Pen:
    """The robot with a gap: slot less width of the blade, 0.1 to 0.3 mm, and a caliper."""
    pen = Pen()
    pen.instrument("caliper", resolution=1e-5, permissible=3e-5)
    slot = {"sign": 1, "name": "slot", "dimension": "slot"}
    width = {"sign": -1, "name": "width", "dimension": "width", "position": "nose"}
    sheet = {"zones": ["front"], "low_m": 1e-4, "high_m": 3e-4, "recheck_from": 3, "chains": [[slot, width]]}
    pen("stack", "gap", name="gap", **{**sheet, **fields})
    return pen


def measured(pen: Pen, slot_mm: float, at: float = 10, **fields: Any) -> list[str]:
    """Both pieces of the gap, the blade 10 mm wide."""
    fields = fields or {"instrument": "caliper"}
    return [
        pen.read("R", "slot", at, slot_mm / 1000, **fields),
        pen.read("blade", "width", at, 0.010, **fields),
    ]


def on_the_scale(**event: Any) -> Pen:
    """The robot entered in a fight, with three scales."""
    pen = Pen(**event)
    pen.instrument("official", 0.05, offset=0.06)
    pen.instrument("shed", 0.02, 0.04)
    pen.instrument("kit", 0.005, 0.005)
    pen.fight("one", 1)
    return pen
