"""From a key to its answer on the screen of `pitcrew demo`, against a bare Textual app on the same machine.

Both run side by side and are given keys by turns, each only when the other and itself have been quiet. Asked for by
name: `pytest -m benchmark -n 0 tests/benchmarks/test_key_to_paint.py`. It prints and judges no time.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.conftest import Say
from tests.benchmarks.figures import Compared
from tests.benchmarks.terminal import Terminal, Timing
from tests.benchmarks.walks import (
    BURST,
    PEER,
    Look,
    Program,
    Walk,
    peer_keeps,
    peer_rows,
    peer_typing,
    pitcrew,
    pitcrew_answers,
    pitcrew_row_bursts,
    pitcrew_rows,
    pitcrew_typing,
    walked,
)

KEYS, BURSTS, JUDGED, WARM_UPS = 200, 20, 20, 4
HIGH = 99.0
LOOK = Look()
# A row of the demo whose bracketed answer is one entry, which changes the standing.
ANSWERED = "feel by hand"

Walks = tuple[str, Walk, Walk]


def by_turns(one: Terminal, other: Terminal, walks: Walks) -> list[Compared]:
    """Two walks step by step by turns: the time until each answer stood and all was quiet, and the bytes."""
    name, one_walk, other_walk = walks
    pairs: list[tuple[Timing, Timing]] = list(zip(walked(one, one_walk), walked(other, other_walk), strict=True))
    first, second = zip(*pairs[WARM_UPS:], strict=True)
    return [
        Compared(f"{name}, ms", [each.painted_ms for each in first], [each.painted_ms for each in second]),
        Compared("  until quiet, ms", [each.last_ms for each in first], [each.last_ms for each in second]),
        Compared("  bytes", [each.size for each in first], [each.size for each in second]),
    ]


def measured(one: Program, other: Program, *walks: Walks) -> list[Compared]:
    """Walk through both programs, one walk after the other on the same two terminals."""
    with one.opened() as first, other.opened() as second:
        first.first_screen(one.first)
        second.first_screen(other.first)
        return [row for walk in walks for row in by_turns(first, second, walk)]


@pytest.mark.benchmark
@pytest.mark.usefixtures("alone")
def test_keys_of_the_demo(say: Say, tmp_path: Path) -> None:
    keys, bursts, judged = (WARM_UPS + n for n in (KEYS, BURSTS, JUDGED))
    walks: tuple[Walks, ...] = (
        ("Down, Up on the worklist", peer_rows(keys), pitcrew_rows(LOOK, keys)),
        (f"{BURST} of them at once", peer_rows(bursts, BURST), pitcrew_row_bursts(LOOK, bursts)),
        ("typing on the log line", peer_typing(keys), pitcrew_typing(LOOK, keys)),
        (f"{BURST} characters at once", peer_typing(bursts, BURST), pitcrew_typing(LOOK, bursts, BURST)),
        (
            "Space logs an answer, a row kept",
            peer_keeps(judged),
            pitcrew_answers(LOOK, judged, ANSWERED, LOOK.said_last),
        ),
        ("the same, a number changed", peer_rows(judged), pitcrew_answers(LOOK, judged, ANSWERED, LOOK.said_last)),
        ("Space, until judged", peer_rows(judged), pitcrew_answers(LOOK, judged, ANSWERED, LOOK.standing)),
    )
    say("pitcrew demo, from key to answer", measured(PEER, pitcrew(tmp_path), *walks), HIGH)


@pytest.mark.benchmark
@pytest.mark.usefixtures("alone")
def test_the_peers_keys_against_themselves(say: Say) -> None:
    """How far two measurements of one thing lie apart here: what a ratio near 1 is worth."""
    keys, bursts = WARM_UPS + KEYS, WARM_UPS + BURSTS
    walks: tuple[Walks, ...] = (
        ("Down, Up", peer_rows(keys), peer_rows(keys)),
        (f"{BURST} of them at once", peer_rows(bursts, BURST), peer_rows(bursts, BURST)),
        ("typing", peer_typing(keys), peer_typing(keys)),
        (f"{BURST} characters at once", peer_typing(bursts, BURST), peer_typing(bursts, BURST)),
    )
    say("the peer against itself, from key to answer", measured(PEER, PEER, *walks), HIGH)
