"""The demo's day from check-in to the first fight, by hand."""

from __future__ import annotations

from tests.tui.day_bench import NS, Day


def check_in(day: Day) -> None:
    """Every configuration on the official scale; what was changed for it fastened and measured again."""
    day.at("07:50", "PB").line("112.50 A with OFH")
    day.at("07:56", "PB", NS).line("13.38 N1 with OFS")
    day.at("07:59", "PB", NS).line("13.44 N2 with OFS")
    day.at("08:02", "PB", NS).line("13.58 N3 with OFS")
    day.at("08:06", "MK", NS).line("bar bolts 14")
    day.at("08:07", "MK", NS).go("s").row("bar shaft float").say("measure").figures("62.40", "62.00").home()
    day.at("08:12", "MK").line("change to D")
    day.at("08:15", "PB").line("111.20 D with OFH")
    day.at("08:26", "MK").line("change to B")
    day.at("08:30", "PB").line("112.90 B with OFH")
    day.at("08:34", "PB").go("w")
    for name in "ABD":
        day.row(f" {name} ").say("declare")
    day.at("08:35", "PB", NS).go("w")
    for name in ("N1", "N2", "N3"):
        day.row(f" {name} ").say("declare")
    day.home()


def on_with_the_drum(day: Day) -> None:
    """Back to A: forks and drum on, fastened, measured, weighed on the own scale, looked over."""
    day.at("08:48", "MK").line("change to A")
    day.at("08:50", "MK").home().row("torque: shaft cap L").say("4 of 4").row("torque: shaft cap R").say("4 of 4")
    day.at("08:52", "MK").row("torque: front bolts").say("4 of 4")
    day.at("08:56", "MK").row("measure: weapon float").say("measure").figures("262.00 ROD", "2.00", "6.00")
    day.figures("245.50", "6.00", "2.00").home()
    day.at("09:02", "PB").line("112.44 A with SHS")
    day.at("09:20", "MK").line("over all")
    day.at("09:25", "MK", NS).line("over all")


def to_the_first_fights(day: Day) -> None:
    """Packs chosen, fights entered, the lists answered."""
    day.at("09:50", "EW").line("packs set 1")
    day.at("09:52", "EW").line("packs in 4.18 V")
    day.at("09:55", "EW", NS).line("packs set N1")
    day.at("09:56", "EW", NS).line("packs in 4.17 V")
    day.at("10:00", "PB").enters("H1 10:32 in A against MOSS VERDICT")
    day.at("10:00", "PB", NS).enters("F1 11:14 in N1 against PAPER WALRUS")
    day.at("10:02", "MK").checklist("make safe", "PB")
    day.at("10:12", "DV").checklist("test box", "EW", "20", "8")
    day.at("10:14", "MK", NS).checklist("make safe", "PB")
    day.at("10:22", "DV", NS).checklist("test box", "EW", "12", "5")
    day.at("10:28", "PB").checklist("before call", "MK")
    day.at("10:29", "PB", NS).checklist("before call", "MK")
    day.stands("10:30")
