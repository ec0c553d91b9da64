"""The harness itself: what it times, what it shows, and that it says so when nothing comes."""

from __future__ import annotations

import signal
import sys
import time
from pathlib import Path

import pytest

from tests.benchmarks.figures import Compared, percentile, table
from tests.benchmarks.terminal import Screen, Terminal
from tests.benchmarks.walks import BURST, LINE, ONE_BY_ONE, PEER, peer_rows, peer_typed, peer_typing, walked
from tests.end_to_end.tmux import Open, tmux

__all__ = ["tmux"]

# Answers each key with its name, this many ms later, in two writes; the second one holds the wanted.
LATE = """
import os, sys, time, tty
tty.setraw(0)
size = os.get_terminal_size()
os.write(1, f"\\x1b[2Jready {size.columns}x{size.lines} {os.environ.get('HOME')} {os.isatty(2)}".encode())
while key := os.read(0, 1):
    time.sleep(0.06)
    os.write(1, b"\\x1b[>4;1m\\x1b[5;1Hkey ")
    time.sleep(0.06)
    os.write(1, b"\\x1b[5;5H" + key + b"\\x1b[5;")
    time.sleep(0.06)
    os.write(1, b"20H!")
"""

# Keeps each line typed before it says so.
KEEPS = """
import sys
with open(sys.argv[1], "a+") as book:
    book.seek(0)
    print("kept:", book.read().split(), flush=True)
    for line in sys.stdin:
        book.write(line)
        book.flush()
        print("took", line.strip(), flush=True)
"""


def test_an_answer_is_timed_from_the_key_to_the_byte_that_shows_it() -> None:
    with Terminal([sys.executable, "-c", LATE]) as late:
        late.first_screen(lambda screen: screen.has("ready 80x24 None True"), quiet_ms=20)
        timing = late.answer("x", lambda screen: screen.row(5).startswith("key x"), quiet_ms=250)
        assert 60 <= timing.first_ms < timing.painted_ms < timing.last_ms
        assert timing.painted_ms >= 120
        assert timing.last_ms >= 180
        assert timing.size == len("\x1b[>4;1m\x1b[5;1Hkey \x1b[5;5Hx\x1b[5;20H!")
        assert late.screen.row(5) == "key x              !"


def test_keys_in_one_go_are_timed_to_the_last_ones_answer() -> None:
    with Terminal([sys.executable, "-c", LATE]) as late:
        late.first_screen(lambda screen: screen.has("ready"), quiet_ms=20)
        timing = late.answer("ab", lambda screen: screen.row(5).startswith("key b"))
        assert timing.painted_ms >= 180 + 120


def test_what_stands_already_is_no_answer() -> None:
    with Terminal(["cat"]) as cat:
        cat.answer("x", lambda screen: screen.has("x"))
        with pytest.raises(AssertionError, match="stands already"):
            cat.answer("x", lambda screen: screen.has("x"))


def test_what_never_comes_and_an_early_end_are_said_with_the_screen() -> None:
    with Terminal(["cat"]) as cat, pytest.raises(AssertionError, match=r"after 0.2 s:\nx"):
        cat.answer("x", lambda screen: screen.has("y"), timeout_s=0.2)
    with Terminal(["sh", "-c", "echo gone; exit 3"]) as short:
        with pytest.raises(AssertionError, match=r"status 3:\ngone"):
            short.first_screen(lambda screen: screen.has("y"), timeout_s=2)
        assert short.status() == 3
    with Terminal(["yes"]) as yes, pytest.raises(AssertionError, match="not quiet for 30"):
        yes.settled(timeout_s=0.1)


def test_a_sequence_cut_anywhere_draws_the_same() -> None:
    data = b"\x1b[?1049h\x1b[>1u\x1b[2;3H\x1b[1;31mred \xc2\xb5\x1b[0m\x1b]0;title\x07\x1b[?2026$p.\x1b[<u"
    for cut in range(len(data) + 1):
        screen = Screen(20, 3)
        screen.feed(data[:cut])
        screen.feed(data[cut:])
        assert screen.rows == ["", "  red \N{MICRO SIGN}.", ""]


def test_the_peer_answers_keys_and_a_new_size() -> None:
    with PEER.opened() as peer:
        first = peer.first_screen(PEER.first)
        assert 0 < first.first_ms <= first.painted_ms <= first.last_ms
        for walk in (peer_rows(4), peer_typing(4)):
            timings = list(walked(peer, walk))
            assert len(timings) == 4
            assert all(0 < each.first_ms <= each.painted_ms <= each.last_ms for each in timings)
        peer.resize(60, 20)
        assert peer.wait_until(lambda screen: "next" in screen.row(20)).has("row 0")


@pytest.mark.parametrize("end", ["kill", "hang up"])
def test_what_was_said_to_be_kept_is_there_after(end: str, tmp_path: Path) -> None:
    with Terminal([sys.executable, "-c", KEEPS, tmp_path / "book"]) as before:
        before.first_screen(lambda screen: screen.has("kept: []"), quiet_ms=20)
        before.answer("262.05\n", lambda screen: screen.has("took 262.05"))
        before.send("half a li")
        assert (before.kill() if end == "kill" else before.hang_up()) == -(
            signal.SIGKILL if end == "kill" else signal.SIGHUP
        )
        with before.again() as after:
            after.first_screen(lambda screen: screen.has("kept: ['262.05']"), quiet_ms=20)


def test_a_walk_types_whole_lines_and_leaves_the_input_empty() -> None:
    with PEER.opened() as peer:
        peer.first_screen(PEER.first)
        typed = len(ONE_BY_ONE) - LINE.count(" ")
        assert len(list(walked(peer, peer_typing(typed + 1)))) == typed + 1
        assert len(list(walked(peer, peer_typing(4, BURST)))) == 4
        assert len(list(walked(peer, peer_rows(2, BURST)))) == 2
        assert peer_typed(peer.screen) == ""
        assert peer.screen.has("row 0 ")


def test_figures_of_a_table_are_medians_high_ranks_and_ratios() -> None:
    hundred = [float(n) for n in range(1, 101)]
    assert [percentile(hundred, share) for share in (50, 90, 99, 100)] == [50, 90, 99, 100]
    assert percentile([3.0], 99) == 3
    text = table([Compared("keys", [1.0, 2.0, 4.0], [3.0, 4.0, 4.0])], 90)
    assert text.splitlines()[1].split() == ["keys", "3/3", "2.0", "4.0", "2.00", "4.0", "4.0", "1.00", "2.00"]


def test_tmux_passes_keys_text_and_size(tmux: Open) -> None:
    window = tmux(["sh", "-c", "stty -echo; stty size; echo $TERM $COLORTERM ${HOME-none}; exec cat"])
    assert window.wait_for("truecolor") == ["24 80", "tmux-256color truecolor none", *[""] * 22]
    window.type("22 N m; 'x' -l $HOME \\ #{pane_id};")
    window.send("Enter")
    window.wait_until(lambda rows: rows[2] == "22 N m; 'x' -l $HOME \\ #{pane_id};")
    window.paste("-one;")
    window.send("Enter")
    window.wait_until(lambda rows: rows[3] == "-one;")
    window.resize(60, 20)
    window.wait_until(lambda rows: len(rows) == 20)
    with pytest.raises(AssertionError, match=r"(?s)'never' is not on the screen.*24 80"):
        window.wait_for("never", timeout_s=0.1)
    window.send("C-d")
    assert window.status() == 0


def test_tmux_hangs_up_as_a_dropped_line_does(tmux: Open, tmp_path: Path) -> None:
    said = tmp_path / "said"
    window = tmux(["sh", "-c", f"trap 'echo hung up > {said}; exit' HUP; echo waiting; while :; do sleep 0.02; done"])
    window.wait_for("waiting")
    window.hang_up()
    deadline = time.monotonic() + 5
    while not (said.exists() and said.read_text()) and time.monotonic() < deadline:
        time.sleep(0.01)
    assert said.read_text() == "hung up\n"


def test_tmux_tells_the_signal_that_ended_a_program(tmux: Open) -> None:
    assert tmux(["sh", "-c", "kill -9 $$"]).status() == -9
