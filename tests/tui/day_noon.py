"""The demo's day by hand, the second fight of each robot and the long way to the third."""

from __future__ import annotations

from tests.tui.day_bench import NS, Day


def second_fight(day: Day) -> None:
    """H2: lost, one hard blow on upright and weapon; a pack dented."""
    day.at("12:10", "DV").starts()
    day.at("12:13", "DV").ends("loss, KO")
    day.at("12:15", "DV").line("UL W1 hard").line("BT solid")
    day.at("12:17", "DV").leaves()
    day.at("12:18", "MK").checklist("make safe", "PB")
    day.at("12:20", "EW").line("packs out 44 C 4.4 Ah")
    day.at("12:21", "EW").found("pack 3", "dented", "by the blow of 12:13, solid in BT")
    day.at("12:22", "EW").thing("P7").say("quarantine").home()
    day.at("12:24", "MK").home().row("measure: weapon float").say("measure").figures("263.10").home()
    day.at("12:26", "MK").found("upright L", "bent", "by the blow of 12:13, hard in UL W1", size="1.1 mm")
    day.at("12:28", "MK").found("bearing L outer", "notchy", "by the blow of 12:13, hard in UL W1")
    day.stands("12:30")


def the_small_one_patched(day: Day) -> None:
    """N3 is withdrawn, the patch stays inside the limit by one hundredth, and the official display decides."""
    day.at("12:30", "EW").refused("charge P5 P6 P8 8 A 4.4 Ah", "look first")
    day.at("12:33", "EW").row("packs: cases").say("cases whole, cells within")
    day.at("12:34", "MK", NS).line("in patch")
    day.at("12:35", "MK", NS).home().row("mend or replace: armour").say("in other words").answer("patched")
    day.at("12:37", "MK", NS).line("armour 30 5")
    day.at("12:38", "PB", NS).enters("F2 12:59 in N2 against COPPER AUNT")
    day.at("12:38", "EW", NS).line("packs set N2").line("packs in 4.18 V")
    day.at("12:40", "EW").line("charge P5 P6 P8 8 A 4.4 Ah")
    day.at("12:41", "MK", NS).line("over all")
    day.at("12:42", "MK", NS).each("hub, shaft").looks("bar")
    day.stands("12:43")
    day.at("12:44", "PB", NS).row("weigh: N3").say("undeclare")
    day.at("12:48", "PB", NS).line("13.60 N2 with OFS")
    day.at("12:50", "EW").line("1.07 kg P9")
    day.at("12:51", "DV", NS).checklist("test box", "EW", "11", "5")
    day.at("12:55", "PB", NS).checklist("before call", "DV")
    day.stands("12:56")


def upright_renewed(day: Day) -> None:
    """A misread weight put right; the spare upright, six new bolts and four bearings in."""
    day.at("12:58", "EW").go("l").thing("P9").row("1.07 kg").say("correct").answer("1.17").home()
    day.at("13:00", "MK").home().row("mend or replace: upright L").say("swap the part").swapped("upright L 2")
    day.row("mend or replace: upright L").say("replaced")
    day.at("13:05", "DV", NS).starts()
    day.at("13:05", "MK").home().row("mend or replace: bearing L outer").say("swap the part").swapped("bearing 5")
    for part, place in (("bearing 6", "L inner"), ("bearing 7", "R outer"), ("bearing 8", "R inner")):
        day.thing(f"bearing {place}").say("swap the part").swapped(part)
    day.row("mend or replace: bearing L outer").say("replaced")
    day.at("13:07", "DV", NS).ends("loss, judges")
    day.at("13:08", "DV", NS).line("NA light").line("NW solid given")
    day.at("13:10", "DV", NS).leaves()
    day.at("13:12", "MK").line("upright L 45 new")
    day.at("13:14", "DV", NS).checklist("make safe", "PB")
    day.at("13:15", "MK").home().row("torque: shaft cap L").say("4 of 4").row("torque: shaft cap R").say("4 of 4")
    day.at("13:17", "MK").row("measure: weapon float").say("measure").figures("262.05").home()
    day.at("13:20", "MK").line("over all")
    day.at("13:22", "MK").each("weapon shaft").each("belt L")
    day.at("13:23", "EW").line("full P5 P6 P8 4.19 V")
    day.at("13:24", "EW", NS).line("packs out 36 C 1.2 Ah")
    day.at("13:25", "EW").line("charge P9 8 A 3.6 Ah")
    day.at("13:30", "PB").enters("H3 15:12 in B against SLOW CATHEDRAL")
    day.stands("13:32")


def over_to_the_bar(day: Day) -> None:
    """B on: the float near its limit, settled with better gauges; a tread near its limit, taken on."""
    day.at("13:31", "EW").line("packs set 1")
    day.at("13:38", "MK").home().row("change over").say("changed over to B")
    day.at("13:40", "MK").home().row("torque: shaft cap L").say("4 of 4").row("torque: shaft cap R").say("4 of 4")
    day.at("13:42", "PB").row("torque: front bolts").say("4 of 4")
    day.at("13:43", "MK").looks("weapon")
    day.at("13:45", "MK").home().row("measure: weapon float").say("measure")
    day.figures("262.05 CAL", "2.00 CAL", "6.00 CAL", "245.20", "6.00 CAL", "2.00 CAL", "0.20").home()
    day.stands("13:46")
    day.at("13:52", "MK").home().row("measure: weapon float").say("measure").figures("262.05 ROD")
    day.figures("2.00 MIC", "6.00 MIC", "245.20", "6.00 MIC", "2.00 MIC", "0.20 MIC").home()
    day.stands("13:53")


def to_the_third_fight(day: Day) -> None:
    """Weighed, packs in, looked over, the worn tread taken on, the lists answered."""
    day.at("14:02", "EW").line("full P9 4.19 V")
    day.at("14:05", "MK").line("out bumper block")
    day.at("14:10", "MK").line("4.2 tread wheel 4 with TRG")
    day.at("14:20", "PB").line("113.04 B with SHS")
    day.at("14:25", "EW").line("tested drive motor 3")
    day.at("14:32", "EW").line("packs in 4.18 V")
    day.at("14:35", "MK").line("over all")
    day.stands("14:41")
    day.at("14:42", "PB").row("measure: tread wheel 4").say("take it on for this fight")
    day.at("14:50", "DV").checklist("test box", "EW", "21", "8")
    day.at("15:02", "PB").checklist("before call", "MK")
    day.stands("15:10")
