"""From the start of `pitcrew demo` to its first screen, against a bare Textual app on the same machine.

Asked for by name: `pytest -m benchmark -n 0 tests/benchmarks/test_first_screen.py`. It prints and judges no time.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.conftest import Say
from tests.benchmarks.figures import Compared
from tests.benchmarks.terminal import Timing
from tests.benchmarks.walks import PEER, Program, pitcrew

WARM_UPS, RUNS = 2, 25
HIGH = 90.0


def first_screens(one: Program, other: Program, runs: int = RUNS) -> tuple[list[Timing], list[Timing]]:
    """Start two programs by turns, each on a new terminal; the first few of each are not counted."""
    timings: tuple[list[Timing], list[Timing]] = ([], [])
    both = [(one, timings[0]), (other, timings[1])]
    for _ in range(WARM_UPS + runs):
        for program, found in both:
            with program.opened() as terminal:
                found.append(terminal.first_screen(program.first))
        # Neither has always the other's warm caches before it.
        both.reverse()
    return timings[0][WARM_UPS:], timings[1][WARM_UPS:]


def compared(peer: list[Timing], ours: list[Timing]) -> list[Compared]:
    """The first byte, the screen as it stands, and the quiet after it."""
    return [
        Compared("first byte, ms", [each.first_ms for each in peer], [each.first_ms for each in ours]),
        Compared("first screen stands, ms", [each.painted_ms for each in peer], [each.painted_ms for each in ours]),
        Compared("first screen settled, ms", [each.last_ms for each in peer], [each.last_ms for each in ours]),
        Compared("until settled, bytes", [each.size for each in peer], [each.size for each in ours]),
    ]


@pytest.mark.benchmark
@pytest.mark.usefixtures("alone")
def test_the_first_screen_of_the_demo(say: Say, tmp_path: Path) -> None:
    peer, ours = first_screens(PEER, pitcrew(tmp_path))
    say("pitcrew demo, from start to first screen", compared(peer, ours), HIGH)


@pytest.mark.benchmark
@pytest.mark.usefixtures("alone")
def test_the_peer_against_itself(say: Say) -> None:
    """How far two measurements of one thing lie apart here: what a ratio near 1 is worth."""
    say("the peer against itself, from start to first screen", compared(*first_screens(PEER, PEER)), HIGH)
