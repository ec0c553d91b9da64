"""The demo's day by hand, the first fight of each robot and the turnarounds after it."""

from __future__ import annotations

from tests.tui.day_bench import NS, Day


def first_fight(day: Day) -> None:
    """H1: fought, the blows logged, the robot safe and its packs out."""
    day.at("10:40", "DV").starts()
    day.at("10:43", "DV").ends("win, judges")
    day.at("10:44", "DV").line("DR solid").line("UR W1 not sure")
    day.at("10:46", "DV").leaves()
    day.at("10:47", "MK").checklist("make safe", "PB")
    day.at("10:50", "EW").line("packs out 46 C 5.2 Ah")
    day.stands("10:51")


def marks_turned(day: Day) -> None:
    """The marks on the right upright have turned: the blow was a hard one. A wheel is worn."""
    day.at("10:52", "MK").found(
        "upright R", "turned mark", "by the blow of 10:43, solid in UR W1", turned="upright R 3,5"
    )
    day.at("10:54", "MK").looks("drive motor R", "gearbox R", "wheel 4")
    day.at("10:55", "MK").found("wheel 3", "worn", size="2 mm")
    day.stands("10:56")


def mended_after_the_first(day: Day) -> None:
    """A wheel renewed, two bolts renewed, everything the blows reached looked at and measured."""
    day.at("10:58", "MK").line("open hubs R 1-4").line("out wheel 3 to scrapped")
    day.at("11:00", "MK").line("in wheel 5")
    day.at("11:02", "MK").line("hubs R 22 1-4")
    day.at("11:04", "MK").line("open upright R 3,5")
    day.at("11:05", "EW").line("charge set 1 8 A 5.2 Ah")
    day.at("11:07", "MK").line("upright R 45 3,5 new")
    day.at("11:08", "MK").row("mend or replace: upright R").say("new bolts")
    day.at("11:10", "MK").line("over UL UR FR DL DR W1 W2")
    day.at("11:12", "MK").each("belt L")


def the_small_one_fights(day: Day) -> None:
    """F1, while the big one is measured."""
    day.at("11:20", "DV", NS).starts()
    day.at("11:20", "MK").each("weapon shaft")
    day.at("11:22", "DV", NS).ends("win, KO")
    day.at("11:23", "DV", NS).line("NW hard given").line("NA solid")
    day.at("11:24", "MK").row("measure: weapon float").say("measure").figures("262.00").home()
    day.at("11:25", "DV", NS).leaves()
    day.at("11:28", "EW", NS).checklist("make safe", "DV")
    day.at("11:30", "EW", NS).line("packs out 38 C 1.3 Ah")
    day.at("11:32", "MK", NS).found("bar", "cracked", "by the blow of 11:22, hard in NW")
    day.at("11:33", "MK", NS).found("armour", "torn", "by the blow of 11:22, solid in NA", size="60 mm")
    day.stands("11:35")


def to_the_second_fight(day: Day) -> None:
    """Set 2 in, H2 entered, the lists answered; a bar for the small one."""
    day.at("11:36", "PB").enters("H2 12:02 in A against NINTH KETTLE")
    day.at("11:36", "EW").line("packs set 2")
    day.at("11:38", "EW").line("packs in 4.18 V")
    day.at("11:47", "MK", NS).home().row("mend or replace: bar").say("swap the part").swapped("bar 2")
    day.at("11:48", "DV").checklist("test box", "EW", "19", "8")
    day.at("11:49", "MK", NS).home().row("torque: bar bolts").say("4 of 4")
    day.at("11:52", "MK", NS).row("measure: bar shaft float").say("measure").figures("62.42", "62.00").home()
    day.at("11:54", "EW").line("full set 1 4.19 V")
    day.at("11:55", "PB").checklist("before call", "MK")
    day.stands("12:00")
