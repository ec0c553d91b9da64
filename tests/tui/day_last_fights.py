"""The demo's day by hand from the third fight to the close: the turnaround that has to fit, and what ends the day."""

from __future__ import annotations

from tests.tui.day_bench import NS, Day


def third_fight(day: Day) -> None:
    """H3: won; the blows by zone, what the driver says, the next fight entered while it is still in the arena."""
    day.at("15:20", "DV").starts()
    day.at("15:22", "DV").ends("win, KO")
    day.at("15:23", "DV").go("f").press("enter")
    day.row("own weapon").say("not sure").row("drive, right").say("solid wall slam").row("front attach").say("solid")
    day.row("pulls to one side").say("right").row("smoke").say("right").home()
    day.at("15:24", "PB").enters("H4 16:07 in A against GRAVEL HYMN")
    day.at("15:24", "EW").line("packs set 2 with P9")
    day.stands("15:24")


def found_after_the_third(day: Day) -> None:
    """Safe, packs out, the hand on the weapon; a belt frayed, a motor shorted, a tab cracked that may wait."""
    day.at("15:27", "DV").leaves()
    day.at("15:28", "MK").checklist("make safe", "PB")
    day.at("15:29", "EW").line("packs out 45 C 3.9 Ah")
    day.at("15:29", "MK").home().row("feel by hand").say("no sign")
    day.at("15:30", "DV").found("belt R", "frayed", "by the blow of 15:22, solid in W1")
    day.at("15:30", "EW").found("drive motor R", "shorted", "by the blow of 15:22, solid in DR")
    day.at("15:30", "MK").found("rear armour", "cracked", size="14 mm")
    day.at("15:31", "MK").row("mend or replace: rear armour").say("run as is").answer("PB 25 mm")
    day.at("15:31", "EW").row("look at each: drive ESC R").say("looked at, good")
    day.stands("15:35")


def motor_and_weapon_out(day: Day) -> None:
    """The motor and the bar out; the spare motor in on the thin plate, for which the old screws are too long."""
    day.at("15:37", "DV").line("out weapon")
    day.at("15:38", "PB").line("out front")
    day.at("15:38", "MK").home().row("mend or replace: drive motor R").say("swap the part").swapped("drive motor 3")
    day.thing("adapter plate R").say("swap the part").swapped("6.0 plate")
    day.at("15:39", "MK").home().row("measure: screw clear R").say("measure")
    day.figures("7.00").say("not touched").say("not touched").figures("6.00")
    day.home()
    day.stands("15:40")


def all_in_again(day: Day) -> None:
    """Shorter screws; belts, forks and drum; threadlocker without primer, and once more with it."""
    day.at("15:42", "MK").line("in M5x14 at motor screws R")
    day.home().row("measure: screw clear R").say("measure").row("adapter plate").figures("6.00").home()
    day.at("15:44", "DV").home().row("mend or replace: belt R").say("swap the part").swapped("belt R 2")
    day.line("in belt L 2")
    day.at("15:44", "PB").line("in forks")
    day.at("15:45", "PB").home().row("torque: front bolts").say("4 of 4")
    day.at("15:47", "MK").row("torque: motor R").say("no primer").answer("EW")
    day.stands("15:48")


def ready_again(day: Day) -> None:
    """What the blows reached looked at, the float measured with the shim left in, packs in, the lists answered."""
    day.at("15:50", "MK").line("open motor R")
    day.at("15:51", "DV").line("in drum")
    day.at("15:52", "DV").home().row("torque: shaft cap L").say("4 of 4").row("torque: shaft cap R").say("4 of 4")
    day.at("15:53", "MK").row("torque: motor R").say("4 of 4 at 4").answer("EW")
    day.at("15:53", "PB").each("weapon shaft")
    day.at("15:54", "MK").each("gearbox R")
    day.at("15:55", "DV").home().row("measure: weapon float").say("measure").figures("262.05").home()
    day.at("15:55", "EW").line("note chains R back on, tension good")
    day.at("15:55", "MK").row("measure: tread wheel 4").line("4.11 CAL")
    day.at("15:56", "MK").marks()
    day.at("15:58", "EW").line("packs in 4.18 V")
    day.at("16:03", "DV").checklist("test box", "EW", "20", "8")
    day.at("16:05", "PB").checklist("before call", "MK")
    day.stands("16:06")


def last_fight(day: Day) -> None:
    """H4: lost on points; the crack has grown, a hub bolt is loose; closed as not fit."""
    day.at("16:15", "DV").starts()
    day.at("16:18", "DV").ends("loss, judges")
    day.at("16:20", "DV").line("AR light").line("DR solid").line("W1 light given")
    day.at("16:22", "DV").leaves()
    day.at("16:23", "MK").checklist("make safe", "PB")
    day.at("16:24", "EW").line("packs out 4.1 Ah")
    day.at("16:25", "MK").found("hub 3", "turned mark", "by the blow of 16:18, solid in DR", turned="hubs R 2")
    day.at("16:26", "MK").found("rear armour", "cracked", "by the blow of 16:18, light in AR", size="22 mm")
    day.at("16:30", "PB").line("note closed as NOT fit: rear tab and hub bolt to the rebuild")
    day.stands("16:31")
    day.at("16:45", "EW").closes("P7 watched till tomorrow")
    day.at("16:50", "EW", NS).closes()
    day.stands("16:51")
