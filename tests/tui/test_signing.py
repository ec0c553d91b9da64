"""Signing on the screen: the robot before its fight, by whoever types initials; the second person at a joint."""

from __future__ import annotations

from pathlib import Path

from pitcrew.bench.signing import sign_off_wanted
from tests.tui.driver import Driver, bench_at

FIT = "16:06"


def wants_signature(tmp_path: Path) -> Driver:
    bench = bench_at(tmp_path, FIT)
    bench.session.write(sign_off_wanted(bench.session.desk(), True))
    bench.settle()
    return bench


def test_the_last_row_is_signed_by_whoever_types_initials(tmp_path: Path) -> None:
    bench = wants_signature(tmp_path)
    assert bench.screen()[0].startswith(" NOT FIT   1 blocks: 1 DUE")
    assert bench.screen()[3].startswith("> DUE       sign off: the robot as it stands")
    assert "! The event's inspectors overrule this signature." in bench.screen()
    bench.count = 0
    bench.keys("space")
    assert bench.shell.line.text == "MK"
    assert "inspectors overrule" in bench.text(60, 20)
    bench.keys("backspace", "backspace").type("pb").keys("enter")
    assert bench.count == 6
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.by) == ("signed", bench.session.robot, "PB")
    assert "rear armour: cracked" in str(entry.detail["note"])
    assert bench.session.by == "MK"
    assert bench.screen()[0].startswith(" FIT TO FIGHT")
    assert bench.screen()[1].endswith("signed PB 16:06")
    assert bench.row("  signed    ") == "  signed    PB 16:06"


def test_whoever_writes_signs_with_two_keys_and_takes_it_back(tmp_path: Path) -> None:
    bench = wants_signature(tmp_path)
    bench.count = 0
    bench.keys("space", "enter")
    assert (bench.count, bench.newest()[0].by) == (2, "MK")
    assert bench.screen()[0].startswith(" FIT TO FIGHT")
    bench.keys("tab", "u")
    assert bench.screen()[0].startswith(" NOT FIT   1 blocks: 1 DUE")


def test_nobody_signs_while_anything_else_blocks(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    bench.session.write(sign_off_wanted(bench.session.desk(), True))
    bench.settle()
    bench.keys(*["down"] * (len(bench.shell.page.keys()) - 1))
    assert "sign off" in bench.row(">")
    assert "the last thing: 28 others to clear before it" in bench.text()
    before = bench.newest()
    bench.keys("space")
    bench.type("sign").keys("enter")
    assert "28 things still block" in bench.text()
    assert bench.newest() == before


def test_a_robot_that_nobody_asks_for_is_signed_too_and_a_change_is_said(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, FIT)
    assert bench.screen()[0].startswith(" FIT TO FIGHT")
    assert "signed" not in bench.text()
    bench.keys("space")
    assert bench.newest()[0].kind != "signed", "it takes an arrow where nobody asks"
    bench.keys("right", "space", "enter")
    assert bench.newest()[0].kind == "signed"
    assert bench.screen()[1].endswith("signed MK 16:06")
    bench.type("open motor R").keys("enter")
    assert bench.row("  signed ").strip().endswith("MK 16:06, changed since")
    bench.keys("tab", "u")
    assert bench.screen()[1].endswith("signed MK 16:06")


def test_the_robot_is_signed_by_a_typed_line(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, FIT).type("sign")
    assert "signed off TALLOW ANVIL" in bench.text()
    bench.keys("enter")
    assert (bench.newest()[0].kind, bench.newest()[0].by) == ("signed", "MK")


def test_the_crew_page_turns_the_wish_for_a_signature_over_and_ends_a_shift(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, FIT).keys("tab", "m")
    bench.keys("left", "left")
    assert "[ ask for a sign-off ]" in bench.text()
    bench.keys("space")
    assert bench.newest()[0].detail["sign_off"] is True
    assert "somebody signs before each fight" in bench.text()
    assert bench.screen()[0].startswith(" NOT FIT   1 blocks: 1 DUE")
    bench.keys("down").type("on").keys("enter")
    before = bench.newest()[0].n
    bench.type("off").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.by, entry.detail) == ("shift", "EW", "MK", {"on": False})
    assert entry.n == before + 1
    assert "  off at 16:06" in bench.row("> EW")
    bench.keys("right", "space")
    assert bench.newest()[0].detail == {"on": True}
    assert "on since 16:06" in bench.row("> EW")


def test_the_checks_offer_it_too_once_nothing_else_blocks(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, FIT).keys("tab", "c")
    assert "[ show ]   sign off" in bench.text()
    bench.keys("right", "space", "enter")
    assert bench.newest()[0].kind == "signed"
    assert "sign off" not in bench.text()
    bench.type("open motor R").keys("enter")
    assert "sign off" not in bench.text()
