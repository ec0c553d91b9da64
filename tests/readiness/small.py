"""A small robot in a real book: two zones that pass load, a weapon on a shaft, one joint, one stack."""

from __future__ import annotations

from typing import Any

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.judge import judge
from pitcrew.readiness.verdict import Requirement, Standing
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.definitions import gather
from pitcrew.robot.records import Entry

MINUTE = 60_000
START = 1_700_000_000_000

CHECK = Checklist(
    id="test box",
    title="Test box",
    when="each fight",
    good_for="one fight",
    order=20,
    minutes=5,
    people=1,
    second_person=False,
    cautions=(),
    lines=(
        Line("failsafe", "failsafe", "event rule", None, False, False, None, None, None, None),
        Line("cut", "power cut", "event rule", None, False, True, "power cut, s", "power_cut_s", None, None),
    ),
    stale_when=("fight_ended", "function_part_moved"),
)

DEFINED: tuple[tuple[str, str, str | None, dict[str, Any]], ...] = (
    ("instrument", "CAL", None, {"name": "CAL", "unit": "mm", "resolution": 1e-5, "permissible": 3e-5}),
    ("instrument", "OWN", None, {"name": "OWN", "unit": "kg", "resolution": 0.01, "permissible": 0.01}),
    ("instrument", "OFF", None, {"name": "OFF", "unit": "kg", "resolution": 0.01, "permissible": 0.0}),
    ("instrument", "TW", None, {"name": "TW", "unit": "N m", "resolution": 0.1, "permissible_percent": 4}),
    ("locker", "lk", None, {"name": "medium", "material": "steel", "primer": False, "set_min": 15}),
    (
        "event",
        "ev",
        None,
        {"name": "open", "limit_kg": 10.0, "official_scale": "OFF", "gap_min": 30, "power_cut_s": 60},
    ),
    ("part_kind", "rotor", None, {"name": "rotor", "look_from": 2, "look": "own", "load_path": True}),
    ("part_kind", "upright", None, {"name": "upright", "look_from": 2, "look": "zone", "load_path": True}),
    ("part_kind", "bearing", None, {"name": "bearing", "look_from": 3, "look": "own", "first_look": True}),
    ("part_kind", "motor", None, {"name": "motor", "look_from": 3, "look": "own", "function_check": True}),
    (
        "part_kind",
        "wheel",
        None,
        {"name": "wheel", "look_from": 2, "look": "own", "limits": [{"dimension": "tread", "low_m": 0.004}]},
    ),
    ("robot", "R", None, {"name": "SMALL", "event": "ev", "crew_margin_kg": 0.1}),
    ("zone", "W", "R", {"name": "W", "passes_to": ["U"]}),
    ("zone", "U", "R", {"name": "U", "passes_to": []}),
    ("zone", "D", "R", {"name": "D", "passes_to": []}),
    ("position", "rotor", "R", {"name": "rotor", "zone": "W"}),
    ("position", "bearing", "R", {"name": "bearing", "zone": "W"}),
    ("position", "upright", "R", {"name": "upright", "zone": "U"}),
    ("position", "motor", "R", {"name": "motor", "zone": "D"}),
    ("position", "wheel", "R", {"name": "wheel", "zone": "D"}),
    ("part", "rotor1", "R", {"name": "rotor 1", "part_kind": "rotor", "mass_kg": 2.0, "mass_instrument": "OWN"}),
    ("part", "rotor2", "R", {"name": "rotor 2", "part_kind": "rotor", "mass_kg": 2.5, "mass_instrument": "OWN"}),
    ("part", "brg1", "R", {"name": "bearing 1", "part_kind": "bearing", "mass_kg": 0.5, "mass_instrument": "OWN"}),
    ("part", "brg2", "R", {"name": "bearing 2", "part_kind": "bearing", "mass_kg": 0.5, "mass_instrument": "OWN"}),
    ("part", "up1", "R", {"name": "upright 1", "part_kind": "upright", "mass_kg": 1.0, "mass_instrument": "OWN"}),
    ("part", "mot1", "R", {"name": "motor 1", "part_kind": "motor", "mass_kg": 1.0, "mass_instrument": "OWN"}),
    ("part", "mot2", "R", {"name": "motor 2", "part_kind": "motor", "mass_kg": 1.0, "mass_instrument": "OWN"}),
    ("part", "wh1", "R", {"name": "wheel 1", "part_kind": "wheel", "mass_kg": 0.5, "mass_instrument": "OWN"}),
    (
        "joint",
        "cap",
        "R",
        {
            "name": "cap",
            "zone": "W",
            "count": 2,
            "target_nm": 25.0,
            "locking": "threadlocker",
            "material": "steel",
            "recheck_from": 2,
            "wrench": "TW",
            "holds": ["rotor"],
        },
    ),
    (
        "joint",
        "nuts",
        "R",
        {
            "name": "nuts",
            "zone": "D",
            "count": 1,
            "locking": "lock nuts",
            "max_uses": 1,
            "recheck_from": 3,
            "holds": ["motor"],
        },
    ),
    (
        "stack",
        "float",
        "R",
        {
            "name": "float",
            "zones": ["W"],
            "low_m": 0.0002,
            "high_m": 0.0008,
            "recheck_from": 2,
            "joints": ["cap"],
            "positions": ["upright"],
            "chains": [
                [
                    {"name": "gap", "sign": 1, "dimension": "gap"},
                    {"name": "width", "sign": -1, "dimension": "width", "position": "rotor"},
                ]
            ],
        },
    ),
    ("configuration", "A", "R", {"name": "A", "parts": {}}),
)

FITTED = (("rotor1", "rotor"), ("brg1", "bearing"), ("up1", "upright"), ("mot1", "motor"), ("wh1", "wheel"))


class Small:
    """The small robot's book, a minute passing between any two entries; fit to fight when `ready` is done."""

    def __init__(self) -> None:
        self.clock = FixedClock(START)
        self.book = Book.memory(self.clock, SeededIds(7))
        self.book.append([Draft(k, s, "PB", robot=r, detail=d) for k, s, r, d in DEFINED])
        for part, place in FITTED:
            self.put("fitted", part, {"new": False}, place=place)

    def put(self, kind: str, subject: str, detail: dict[str, Any] | None = None, **columns: Any) -> Entry:
        """Write one entry, a minute after the last."""
        self.clock.set(self.clock.now_ms() + MINUTE)
        draft = Draft(kind, subject, columns.pop("by", "MK"), robot="R", detail=detail or {}, **columns)
        return self.book.append([draft])[0]

    def define(self, kind: str, subject: str, robot: str | None, detail: dict[str, Any]) -> None:
        """Write one more definition."""
        self.book.append([Draft(kind, subject, "PB", robot=robot, detail=detail)])

    def packs(self, **charging: Any) -> Small:
        """Two places for packs, and two packs of a kind that is charged and judged by these figures, chosen and in."""
        kind = {"name": "pack", "look_from": 3, "look": "own", "pack": True, "charging": charging}
        self.define("part_kind", "pack", None, kind)
        for pack, place in (("P1", "bay 1"), ("P2", "bay 2")):
            self.define("position", place, "R", {"name": place, "zone": "U", "role": "pack"})
            part = {"name": pack, "part_kind": "pack", "mass_kg": 0.5, "mass_instrument": "OWN"}
            self.define("part", pack, "R", part)
            self.put("fitted", pack, {"new": False}, place=place)
        self.define("pack_set", "S", "R", {"name": "set 1", "packs": ["P1", "P2"]})
        self.put("chosen", "R", {"pack_set": "S"})
        return self

    def ready(self) -> Small:
        """Everything proved, a fight entered: the robot is fit."""
        self.put("entered", "F1", {"name": "F1", "configuration": "A", "call_at": START + 600 * MINUTE}, place="R")
        for fastener in ("cap", "nuts"):
            self.put("torqued", fastener, {"fasteners": "all", "torque_nm": 25.0, "instrument": "TW", "locker": True})
        self.put("reading", "R/gap", {"of": "R", "dimension": "gap", "value_m": 0.1005, "instrument": "CAL"})
        self.put("reading", "rotor1/width", {"of": "rotor1", "dimension": "width", "value_m": 0.1, "instrument": "CAL"})
        self.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.006, "instrument": "CAL"})
        self.put("weighed", "A", {"value_kg": 5.0, "instrument": "OFF"})
        self.answer()
        return self

    def answer(self) -> None:
        """Answer the checklist's lines."""
        for line in CHECK.lines:
            self.put("answered", f"R/test box/{line.id}", {"answer": "yes"})

    def hit(self, zone: str, grade: int, **columns: Any) -> Entry:
        """A hit taken."""
        return self.put("hit", zone, {"source": "taken"}, grade=grade, **columns)

    def fight(self, fight: str = "F1", then: str = "F2") -> None:
        """End a fight and enter the next."""
        self.put("fight_ended", fight)
        self.put("entered", then, {"name": then, "configuration": "A", "call_at": START + 6000 * MINUTE}, place="R")

    def standing(self) -> Standing:
        """The standing a minute from the last entry."""
        self.clock.set(self.clock.now_ms() + MINUTE)
        found = judge(self.book.evidence(), "R", self.clock.now_ms(), [CHECK])
        assert found is not None
        return found

    def case(self) -> Case:
        """What is known now."""
        evidence = self.book.evidence()
        definitions = gather(evidence, "R")
        assert definitions is not None
        return Case(evidence, definitions, self.clock.now_ms(), [CHECK])

    def verdicts(self) -> dict[str, str]:
        """Every requirement's verdict by its key."""
        return {item.key: item.verdict for item in self.standing().requirements}

    def requirement(self, key: str) -> Requirement:
        """One requirement."""
        return next(item for item in self.standing().requirements if item.key == key)

    def blocks(self) -> dict[str, str]:
        """What blocks, by key."""
        return {item.key: item.verdict for item in self.standing().blocking}
