"""Where a tired crew goes wrong, played with the keys: each trap of the demo's day, and its silent twin.

Times and figures are those of the demo's story, worked out by hand.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.end_to_end.commands import NS, TA
from tests.tui.driver import Driver, bench_at
from tests.tui.read_off import blocks, configurations, standing, weight

DAY = "06-13"
FLOAT = "stack weapon float"
TREAD = "tread wheel 4 (rear R)"


def log(bench: Driver, *lines: str) -> Driver:
    """Type lines and log each; every one is taken at once."""
    for text in lines:
        before = bench.newest()[0].n
        bench.shell.paste(text)
        bench.settle()
        bench.keys("enter")
        assert bench.newest()[0].n > before, bench.text()
    return bench


def say(bench: Driver, answer: str) -> Driver:
    """Step to an answer with the arrow and say it."""
    for _ in range(20):
        if f"[ {answer} ]" in bench.text(200, 60):
            return bench.keys("space")
        bench.keys("right")
    raise AssertionError(f"no answer {answer}: {bench.text(200, 60)}")


def at_job(bench: Driver, job: str) -> Driver:
    """Home, with the keys at a job."""
    bench.keys("tab", "h")
    for _ in range(len(bench.shell.page.keys())):
        bench.keys("up")
    for _ in range(len(bench.shell.page.keys())):
        if any(row.startswith(">") and job in row for row in bench.screen(200, 60)):
            return bench
        bench.keys("down")
    raise AssertionError(f"no job {job}: {bench.text(200, 60)}")


def sign(bench: Driver, initials: str) -> Driver:
    """Somebody else is writing from here on."""
    bench.keys("tab", "i").type(initials).keys("enter")
    assert bench.session.by == initials.upper()
    return bench


def listed(bench: Driver) -> dict[str, tuple[str, str]]:
    """What blocks as it is read off the opened rows: verdict and reason by name; the keys are on home before it."""
    bench.keys("tab", "h")
    for _ in range(len(bench.shell.page.keys())):
        bench.keys("up")
    return {block.name: (block.verdict, block.reason) for block in blocks(bench)}


def test_drum_and_plow_are_over_only_when_they_are_entered(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 08:34", TA)
    assert "weight C" not in listed(bench)
    bench.keys("tab", "w")
    assert configurations(bench)["C"] == ("fail", 114.19, -0.79)
    say(bench.keys("tab", "f"), "enter the next fight").type("H1 09:40 in C against X").keys("enter")
    assert weight(bench)[1:] == ("C", True, 114.19, -0.79)
    found = listed(bench)
    assert found["weight C"][0] == "fail"
    assert "114.190 kg" in found["weight C"][1]
    assert found["configuration"] == ("fail", "C was not declared")


@pytest.mark.parametrize("named", [True, False], ids=["that blow did it", "no blow known"])
def test_turned_marks_make_the_blow_hard(tmp_path: Path, named: bool) -> None:
    neighbours = {"joint upright L", "look frame rails", "look belt L", "look belt R"}
    bench = bench_at(tmp_path, f"{DAY} 10:51", TA)
    assert not neighbours & set(listed(bench))
    bench.keys("tab", "h").type("upright R").keys("enter")
    say(say(say(bench, "found something"), "turned mark"), "upright R")
    bench.type("3,5").keys("enter")
    say(bench, "by the blow of 10:43, solid in UR W1" if named else "no blow known")
    found = listed(bench)
    assert found["finding upright R: marks turned"][0] == "fail"
    assert (neighbours <= set(found)) is named
    assert bool(neighbours & set(found)) is named


def test_two_new_bolts_are_not_set_yet(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 11:55", TA)
    assert standing(bench).fit
    log(bench, "45 N m upright R 3,5 new locker with TW5")
    verdict, reason = listed(bench)["locking upright R"]
    assert verdict == "fail"
    assert "10 min at staging, sets in 15 (12:10)" in reason


def test_a_shim_does_not_straighten_an_upright(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 12:30", TA)
    log(bench, "in 1.00 shim at shim", "263.10 gap between uprights with ROD")
    verdict, reason = listed(bench)[FLOAT]
    assert verdict == "fail"
    assert "is bent" in reason
    assert "0.60 mm" in reason
    # The same figures on a straight upright: the finding is taken out in the logbook.
    bench.keys("tab", "l").type(bench.number("found bent upright L 1")).keys("enter")
    assert "found bent upright L 1" in bench.text()
    assert re.search(r"#\d+-\d+ 12:13 DV: hit hard taken UL, W1", bench.text())
    say(bench, "withdraw")
    if bench.shell.line.is_open:
        bench.keys("enter")
    assert FLOAT not in listed(bench)


def test_a_shim_left_behind_binds(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 13:17", TA)
    assert FLOAT not in listed(bench)
    log(bench, "in 1.00 shim at shim", "262.05 gap between uprights with ROD")
    verdict, reason = listed(bench)[FLOAT]
    assert verdict == "fail"
    assert "-0.45 mm" in reason


def test_the_bar_without_its_shim(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 13:33", TA)
    log(bench, "in bar at weapon", "262.05 gap between uprights with ROD")
    verdict, reason = listed(bench)[FLOAT]
    assert verdict == "fail"
    assert "0.85 mm" in reason
    log(bench.keys("tab", "h"), "in 0.20 shim at shim", "262.05 gap between uprights with ROD")
    assert FLOAT not in listed(bench)


def test_the_packs_beside_the_dented_one(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 12:30", TA)
    before = set(listed(bench))
    beside = {"pack P5", "pack P6", "pack P8"}
    assert beside <= before
    assert "pack P7" not in before
    at_job(bench, "packs: cases and cell voltages").keys("space", "space", "space", "space", "space")
    assert set(listed(bench)) == before - beside


def test_a_misread_pack_is_put_right_where_it_stands(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 12:51", TA)
    bench.keys("tab", "l").type("P9").keys("enter")
    assert "1.07 kg" in bench.text()
    say(bench, "correct").type("1.17").keys("enter")
    said = bench.row("  last")
    assert "part weighed 1.17 kg P9" in said
    assert bench.newest()[0].replaces is not None


def test_the_official_display_decides_and_all_declared_count(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 12:43", NS)
    assert {name: verdict for name, (verdict, _) in listed(bench).items() if name.startswith("weight")} == {
        "weight N2": "marginal",
        "weight N3": "fail",
    }
    log(bench.keys("tab", "w"), "13.62")
    assert configurations(bench)["N2"] == ("FAIL", 13.62, -0.01)
    bench.keys("tab", "u", "tab", "w")
    log(bench, "13.60 with OFS")
    assert configurations(bench)["N2"] == ("pass", 13.6, 0.01)
    assert not weight(bench).figured
    say(at_job(bench, "weigh: N3"), "undeclare")
    assert not {"weight N2", "weight N3"} & set(listed(bench))


def test_a_better_gauge_settles_a_marginal_gap(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 13:46", TA)
    verdict, reason = listed(bench)[FLOAT]
    assert verdict == "marginal"
    assert "0.65 mm +-0.174 mm" in reason
    say(at_job(bench, "measure: weapon float"), "measure")
    with_mic = ("2.00 with MIC", "6.00 with MIC")
    log(bench, "262.05 with ROD", *with_mic, "245.20", *reversed(with_mic), "0.20 with MIC")
    assert "0.65 mm +-0.046" in bench.text()
    assert FLOAT not in listed(bench)


def test_only_the_pit_boss_takes_a_marginal_on_and_for_what_was_read(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 14:41", TA)
    assert listed(bench)[TREAD][0] == "marginal"
    say(at_job(bench, "tread wheel 4"), "take it on for this fight")
    assert "only the pit boss takes on a marginal" in bench.text()
    say(at_job(sign(bench, "pb"), "tread wheel 4"), "take it on for this fight")
    assert TREAD not in listed(bench)
    log(bench.keys("tab", "h"), "4.2 tread wheel 4 with TRG")
    assert listed(bench)[TREAD][0] == "marginal"


def test_own_scale_reads_low(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 14:21", TA)
    assert "weight B" not in listed(bench)
    log(bench.keys("tab", "w"), "113.36 with SHS")
    assert configurations(bench)["B"] == ("MARGINAL", 113.42, -0.02)


@pytest.mark.parametrize("sign_found", [False, True], ids=["no sign", "a sign"])
def test_the_blow_we_gave_is_felt_by_hand(tmp_path: Path, sign_found: bool) -> None:
    raised = {"joint upright R", "look upright L", "look upright R", "look belt L"}
    bench = bench_at(tmp_path, f"{DAY} 15:24", TA)
    assert not raised & set(listed(bench))
    say(at_job(bench, "feel by hand: W1"), "a sign: it was hard" if sign_found else "no sign")
    found = set(listed(bench))
    assert "hand check W1" not in found
    assert (raised <= found) is sign_found
    assert bool(raised & found) is sign_found


def test_a_hit_part_left_off_waits_until_it_is_entered(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 15:24", TA)
    assert not {"look front", "look weapon"} & set(listed(bench))
    log(bench.keys("tab", "l"), "withdraw 850")
    bench.keys("tab", "f")
    say(bench, "enter the next fight").type("H4 16:07 in B against GRAVEL HYMN").keys("enter")
    found = listed(bench)
    assert "hit on AF 15:22" in found["look front"][1]
    assert "own blow on W1 15:22" in found["look weapon"][1]
    assert "configuration" not in found


def test_the_first_look_after_the_first_fight_says_at_what(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 15:24", TA)
    found = listed(bench)
    assert "joint upright L" in found
    assert "joint upright R" not in found
    at_job(bench, "look over UL")
    assert "joint upright L: first fight since fitted" in bench.text()
    say(bench, "looked over, marks good")
    assert "joint upright L" not in listed(bench)


def test_a_cracked_tab_may_wait_and_a_shorted_motor_may_not(tmp_path: Path) -> None:
    tab, motor = "finding rear armour: cracked", "finding drive motor R: shorted"
    bench = bench_at(tmp_path, f"{DAY} 15:30", TA)
    assert {tab, motor} <= set(listed(bench))
    for job in ("rear armour: cracked", "drive motor R: shorted"):
        say(at_job(bench, job), "run as is").type("pb").keys("enter")
    assert "cannot be run as is" in bench.text()
    while bench.shell.line.is_open:
        bench.keys("escape")
    found = listed(bench)
    assert tab not in found
    assert found[motor][0] == "fail"


@pytest.mark.parametrize(("answer", "holds"), [("no primer", False), ("4 of 4 at 4 N m, primer", True)])
def test_no_primer_on_aluminium(tmp_path: Path, answer: str, holds: bool) -> None:
    bench = bench_at(tmp_path, f"{DAY} 15:46", TA)
    at_job(bench, "torque: motor R")
    # Which of the two is never a habit of the thumb.
    assert "primer or none? choose first" in bench.text(200, 60)
    before = bench.newest()
    assert bench.keys("space").newest() == before
    say(bench, answer).type("ew").keys("enter")
    found = listed(bench)
    assert "joint motor R" not in found
    assert ("locking motor R" in found) is not holds
    if not holds:
        assert "24 min at staging, sets in 45 (16:31)" in found["locking motor R"][1]


def test_the_old_screw_in_the_thin_plate(tmp_path: Path) -> None:
    clear = "stack screw clear R"
    bench = bench_at(tmp_path, f"{DAY} 15:40", TA)
    assert "-1.00 mm" in listed(bench)[clear][1]
    log(bench.keys("tab", "h"), "in M5x14 screws at motor screws R", "6.00 adapter plate R with CAL")
    assert clear not in listed(bench)
    log(bench.keys("tab", "h"), "in M5x12 screws at motor screws R", "6.00 adapter plate R with CAL")
    assert "4.00 mm" in listed(bench)["stack screw engagement R"][1]


def test_the_shim_left_in_with_the_drum(tmp_path: Path) -> None:
    bench = bench_at(tmp_path, f"{DAY} 16:06", TA)
    assert standing(bench).fit
    assert weight(bench).figured
    log(bench, "out shim")
    assert "expect 0.55 mm" in listed(bench)[FLOAT][1]
    log(bench.keys("tab", "w"), "112.80 with SHS")
    assert weight(bench).kg == pytest.approx(112.86)
    assert not weight(bench).figured
