"""The start-up order is the event's, not ours: two sheets, two orders."""

from __future__ import annotations

import pytest

from pitcrew.bench.words import line_text
from pitcrew.checklists import load
from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import gather, robots
from tests.bench.demo_day import DemoDay


@pytest.mark.parametrize(
    ("robot", "order"),
    [("TALLOW ANVIL", "transmitter last"), ("NETTLE SPROCKET", "transmitter on before the lock comes off")],
)
def test_the_start_order_is_read_from_the_sheet(demo: DemoDay, robot: str, order: str) -> None:
    evidence = demo.book.evidence()
    ident = next(item.id for item in robots(evidence) if item.name == robot)
    definitions = gather(evidence, ident)
    assert definitions is not None
    case = Case(evidence, definitions, 0, load())
    named = (line for item in case.checklists for line in item.lines if line.text_from == "start_order")
    lines = [line_text(case, line) for line in named]
    assert lines
    assert all(line.endswith(f": {order}") for line in lines)
