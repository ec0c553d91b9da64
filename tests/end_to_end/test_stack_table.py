"""Every stack reading of the demo's book against a table worked out by hand.

The doubt of a sum is U = 2 sqrt(sum per instrument (sum of signs x permissible error)^2/3 + step^2/12 for each
reading + tolerance^2/3 for each nominal piece): rectangular distributions and coverage factor 2 as in JCGM
100:2008 (4.3.7, 6.2), errors of one instrument taken as wholly correlated (5.2.2).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import stack_value
from pitcrew.robot.definitions import gather, robots
from tests.end_to_end.commands import NS, TA, cut_ms

# When it was read, the stack, the gap and its doubt in mm, the verdict of the figure.
TABLE = [
    ("06-07 13:10", "screw clear L", 0.0, 0.414, "fail"),
    ("06-07 13:10", "screw engagement L", 7.0, 0.41, "pass"),
    ("06-07 13:10", "bottom gap L", 2.3, 0.036, "pass"),
    ("06-07 13:10", "pinion overlap L", 16.0, 0.036, "pass"),
    ("06-07 13:40", "screw clear L", 1.0, 0.414, "pass"),
    ("06-07 13:40", "screw engagement L", 6.0, 0.41, "pass"),
    ("06-07 13:40", "bottom gap L", 2.3, 0.036, "pass"),
    ("06-07 13:40", "pinion overlap L", 16.0, 0.036, "pass"),
    ("06-07 13:44", "screw clear R", 1.0, 0.414, "pass"),
    ("06-07 13:44", "screw engagement R", 6.0, 0.41, "pass"),
    ("06-07 13:44", "bottom gap R", 2.3, 0.036, "pass"),
    ("06-07 13:44", "pinion overlap R", 16.0, 0.036, "pass"),
    ("06-07 16:55", "bar shaft float", 0.4, 0.008, "pass"),
    ("06-13 08:07", "bar shaft float", 0.4, 0.008, "pass"),
    ("06-13 08:56", "weapon float", 0.5, 0.044, "pass"),
    ("06-13 11:24", "weapon float", 0.5, 0.044, "pass"),
    ("06-13 11:52", "bar shaft float", 0.42, 0.008, "pass"),
    ("06-13 12:24", "weapon float", 1.6, 0.044, "fail"),
    ("06-13 13:17", "weapon float", 0.55, 0.044, "pass"),
    ("06-13 13:45", "weapon float", 0.65, 0.174, "marginal"),
    ("06-13 13:52", "weapon float", 0.65, 0.046, "pass"),
    ("06-13 15:39", "screw clear R", -1.0, 0.414, "fail"),
    ("06-13 15:39", "screw engagement R", 8.0, 0.41, "pass"),
    ("06-13 15:39", "bottom gap R", 0.3, 0.036, "pass"),
    ("06-13 15:39", "pinion overlap R", 18.0, 0.036, "pass"),
    ("06-13 15:42", "screw clear R", 1.0, 0.414, "pass"),
    ("06-13 15:42", "screw engagement R", 6.0, 0.41, "pass"),
    ("06-13 15:42", "bottom gap R", 0.3, 0.036, "pass"),
    ("06-13 15:42", "pinion overlap R", 18.0, 0.036, "pass"),
    ("06-13 15:55", "weapon float", 0.35, 0.046, "pass"),
]
MM = 1000.0


@pytest.fixture(scope="module")
def book(demo: Path) -> Iterator[Book]:
    with Book.open(demo, FixedClock(0), SeededIds(1), readonly=True) as opened:
        yield opened


def test_the_table_is_whole() -> None:
    assert len(TABLE) == len({row[:2] for row in TABLE}) == 30


@pytest.mark.parametrize(("at", "name", "value_mm", "u_mm", "word"), TABLE)
def test_a_reading_gives_the_gap_and_its_doubt(
    book: Book, at: str, name: str, value_mm: float, u_mm: float, word: str
) -> None:
    evidence = book.evidence(cut_ms(at))
    called = NS if name == "bar shaft float" else TA
    (robot,) = (item.id for item in robots(evidence) if item.name == called)
    definitions = gather(evidence, robot)
    assert definitions is not None
    (stack,) = (item for item in definitions.stacks.values() if item.name == name)
    found = stack_value(Case(evidence, definitions, cut_ms(at) - 60_000), stack)
    assert found.missing == ()
    assert found.value_m is not None
    assert found.value_m * MM == pytest.approx(value_mm, abs=0.005)
    assert found.u_m * MM == pytest.approx(u_mm, abs=0.001)
    assert found.decision is not None
    assert found.decision.word == word
    assert all(fact.tick < cut_ms(at) for fact in found.readings)
