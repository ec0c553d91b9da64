"""A small robot's book at which the crew's own use cases are tried, with packs, a second person and a pit boss."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Concatenate, NamedTuple, ParamSpec

import pytest

from pitcrew.bench import fastening, fitting
from pitcrew.bench.desk import Desk
from pitcrew.clock import SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.readiness.small import MINUTE, Small

P = ParamSpec("P")

EXTRA: tuple[tuple[str, str, str | None, dict[str, Any]], ...] = (
    ("crew", "PB", None, {"role": "pit boss"}),
    ("crew", "MK", None, {"role": "mechanic"}),
    ("crew", "EW", None, {"role": "electrics"}),
    ("part_kind", "pack", None, {"name": "pack", "look_from": 2, "look": "own", "pack": True}),
    ("part_kind", "plate", None, {"name": "plate", "look_from": 3, "look": "zone"}),
    ("position", "pack 1", "R", {"name": "pack 1", "zone": "D", "role": "pack"}),
    ("position", "pack 2", "R", {"name": "pack 2", "zone": "D", "role": "pack"}),
    ("position", "plate", "R", {"name": "plate", "zone": "U", "may_be_empty": True}),
    ("position", "back plate", "R", {"name": "back plate", "zone": "D", "may_be_empty": True}),
    *(
        ("part", name, "R", {"name": name, "part_kind": "pack", "mass_kg": 0.1, "mass_instrument": "OWN"})
        for name in ("P1", "P2", "P3", "P4")
    ),
    ("part", "pl1", "R", {"name": "plate 1", "part_kind": "plate", "mass_kg": 0.2, "mass_instrument": "OWN"}),
    ("part", "pl2", "R", {"name": "plate 2", "part_kind": "plate", "mass_kg": 0.2, "mass_instrument": "OWN"}),
    ("pack_set", "S1", "R", {"name": "set 1", "packs": ["P1", "P2"]}),
    ("pack_set", "S2", "R", {"name": "set 2", "packs": ["P3", "P4"]}),
    ("pack_set", "crossed", "R", {"name": "set 1 crossed", "packs": ["P2", "P1"]}),
    ("pack_set", "one", "R", {"name": "one pack", "packs": ["P3"]}),
    ("pack_set", "three", "R", {"name": "three packs", "packs": ["P1", "P2", "P3"]}),
    (
        "joint",
        "duo",
        "R",
        {
            "name": "duo",
            "zone": "D",
            "count": 4,
            "target_nm": 10.0,
            "locking": "none",
            "recheck_from": 3,
            "wrench": "TW",
            "second": True,
        },
    ),
)


class Said(NamedTuple):
    """What an entry says, apart from ids and moments."""

    kind: str
    subject: str
    detail: Mapping[str, Any]
    place: str | None = None
    grade: int | None = None


class Shop(Small):
    """The small robot with a desk to work at; a minute passes between any two acts."""

    def __init__(self) -> None:
        super().__init__()
        self.ids = SeededIds(8)
        self.book.append([Draft(k, s, "PB", robot=r, detail=d) for k, s, r, d in EXTRA])

    def ready(self) -> Shop:
        """Fit to fight."""
        self.do(fitting.choose_packs, "S1")
        self.do(fitting.packs_in, "S1")
        self.do(fastening.torque, "duo", 10.0, second="EW")
        super().ready()
        return self

    def desk(self, by: str = "MK", happened: int | None = None) -> Desk:
        """A desk at the robot, now."""
        now = self.clock.now_ms()
        return Desk(self.book.evidence(), "R", by, now, lambda: self.ids.mint(now), happened)

    def at(
        self,
        desk: Mapping[str, Any],
        use: Callable[Concatenate[Desk, P], Sequence[Draft]],
        *given: P.args,
        **named: P.kwargs,
    ) -> tuple[Entry, ...]:
        """Do something at a desk (its `by` and `happened`), a minute after the last, and write it down."""
        self.clock.set(self.clock.now_ms() + MINUTE)
        return self.book.append(use(self.desk(**desk), *given, **named))

    def do(
        self, use: Callable[Concatenate[Desk, P], Sequence[Draft]], *given: P.args, **named: P.kwargs
    ) -> tuple[Entry, ...]:
        """Do something as the mechanic, now."""
        return self.at({}, use, *given, **named)

    def refused(
        self,
        says: str,
        use: Callable[Concatenate[Desk, P], Sequence[Draft]],
        *given: P.args,
        **named: P.kwargs,
    ) -> EntryError:
        """It is refused with these words, and the book is as it was."""
        before = self.rows()
        with pytest.raises(EntryError, match=says) as caught:
            self.do(use, *given, **named)
        assert self.rows() == before
        assert caught.value.hint
        return caught.value

    def rows(self) -> tuple[Entry, ...]:
        """Every entry of the book."""
        return self.book.entries(limit=100_000)


def said(entries: Sequence[Entry]) -> list[Said]:
    """What entries say."""
    return [Said(e.kind, e.subject, e.detail, e.place, e.grade) for e in entries]
