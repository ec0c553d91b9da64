"""A book just begun, with one new robot and a desk at it."""

from __future__ import annotations

import pytest

from pitcrew.bench import openbook, starting
from pitcrew.bench.desk import Desk
from pitcrew.bench.standing import View, view
from pitcrew.bench.starting import Start
from pitcrew.bench.weight_list import weight_list
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.robot.definitions import Definitions, gather
from pitcrew.robot.moments import MINUTE_MS, typed
from pitcrew.robot.records import Entry

NOON = typed("2026-06-13 12:00", "UTC", 0)[0]
LIMIT_KG = 13.61

# Figure, name and what has to be typed besides.
LIST = (
    ("2.62 kg", "frame", ""),
    ("1.24 kg", "top plate", ""),
    ("1.36 kg", "armour", ""),
    ("0.31 kg", "upright", "2 x "),
    ("12 oz", "drive motor", "2 x "),
    ("0.13 kg", "wheel", "4 x "),
    ("0.62 kg", "weapon shaft", ""),
    ("0.48 kg", "weapon motor", ""),
    ("2.35 kg", "bar", ""),
    ("0.39 kg", "pack", "2 x "),
    ("0.31 kg", "ESCs", ""),
    ("0.24 kg", "switch and light", ""),
)


class Fresh:
    """A new book with one new robot, and a desk at it."""

    def __init__(self, book: Book, clock: FixedClock, template: str = "vertical spinner", limit: bool = True) -> None:
        self.book, self.clock, self.ids = book, clock, SeededIds(5)
        sheet = starting.sheet(self.start(), limit_kg=LIMIT_KG if limit else None)
        robot = starting.robot(
            self.start(), "NETTLE SPROCKET", starting.template_called(template), event=sheet[0].subject
        )
        book.append([*sheet, *robot])
        self.robot = robot[0].subject

    def mint(self) -> str:
        return self.ids.mint(self.clock.now_ms())

    def start(self) -> Start:
        return Start(self.book.evidence(), "MK", self.mint)

    def desk(self) -> Desk:
        return openbook.desk(self.book, self.robot, "MK", self.clock.now_ms(), self.ids)

    def put(self, *lines: str) -> tuple[Entry, ...]:
        self.clock.set(self.clock.now_ms() + MINUTE_MS)
        return self.book.append(weight_list(self.desk(), lines))

    def defs(self) -> Definitions:
        found = gather(self.book.evidence(), self.robot)
        assert found is not None
        return found

    def view(self) -> View:
        return view(self.book.evidence(), self.robot, self.clock.now_ms(), load())

    def where(self) -> dict[str, tuple[str, str, str]]:
        """Of each place: the zone it is in, and the part that sits there with its sort."""
        case, defs = self.view().case, self.defs()
        found = {}
        for place in defs.positions.values():
            part = case.part(case.occupant(place.id) or "")
            assert part is not None
            found[place.name] = (defs.zones[place.zone].name, part.name, defs.kinds[part.part_kind].name)
        return found

    def refused(self, *lines: str) -> EntryError:
        before = self.book.entries(limit=1000)
        with pytest.raises(EntryError) as caught:
            self.put(*lines)
        assert self.book.entries(limit=1000) == before
        assert caught.value.hint
        return caught.value
