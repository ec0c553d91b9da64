"""The oracle held against cases worked out by hand: weights, the fight and its checks, acceptance.

Every expectation is reasoned from the rules of readiness, none was read off the oracle; the sums of doubt stand
beside the cases, U = 2 sqrt( (signed errors of each instrument)^2/3 + steps^2/12 + tolerances^2/3 ).
"""

from __future__ import annotations

from typing import Any

import pytest

from .pen import Pen, bolted, checklist, gapped, line, measured, on_the_scale

# 8. Weights. Limit 10 kg. Official scale: step 0.05, no error, offset +0.06.


@pytest.mark.parametrize(("shown_kg", "word"), [(9.90, "pass"), (9.94, "pass"), (9.95, "fail")])
def test_an_official_display_of_these_parts_decides_by_itself(shown_kg: float, word: str) -> None:
    pen = on_the_scale()
    pen("weighed", "bare", 10, value_kg=shown_kg, instrument="official")
    assert pen.word("weight:bare") == word
    assert pen.judged().weights["bare"] == pytest.approx((shown_kg + 0.06, 0.0))


def test_a_configuration_weighs_its_own_modules_and_shims_whatever_is_fitted() -> None:
    pen = on_the_scale()
    for place, role in (("weapon place", "module"), ("side place", "module"), ("gap", "shim")):
        pen("position", place, name=place, zone="front", role=role)
    for part, mass_kg in (("drum", 2.0), ("wedge", 3.0), ("thin", 0.1), ("thick", 0.2)):
        pen.part(part, "weapon", mass_kg=mass_kg)
    for name, part, shim in (("drums", "drum", "thick"), ("wedges", "wedge", None)):
        pen("configuration", name, name=name, parts={"weapon place": part, "gap": shim})
    pen("fitted", "drum", 10, place="weapon place")
    pen("fitted", "thin", 10, place="gap")
    pen.fight("two", 11, "drums")
    assert (pen.judged().weights["drums"] or (0, 0))[0] == pytest.approx(1.0 + 2.0 + 0.1)
    pen("fitted", "wedge", 12, place="weapon place")
    assert (pen.judged().weights["drums"] or (0, 0))[0] == pytest.approx(1.0 + 2.0 + 0.2)
    pen("fitted", "drum", 13, place="side place")
    pen.fight("three", 14, "wedges")
    assert (pen.judged().weights["wedges"] or (0, 0))[0] == pytest.approx(1.0 + 3.0 + 2.0 + 0.1)
    pen("fight_ended", "three", 15)
    # Bare names nothing, so it too is what stands there, and its name comes first.
    assert pen.judged().weights.keys() == {"bare"}
    pen("configuration", "bare", 16, name="bare", parts={"weapon place": None})
    assert pen.judged().weights.keys() == {"wedges"}


def test_a_weighing_and_what_changed_since() -> None:
    pen = on_the_scale()
    pen.part("light blade", "weapon", mass_kg=0.5, mass_instrument="kit")
    pen.part("blade", "weapon", mass_kg=0.6, mass_instrument="kit")
    pen("weighed", "bare", 10, value_kg=9.95, instrument="shed")
    # 2 sqrt(0.04^2/3 + 0.02^2/12 + 0.05^2/12) = 0.0557 against a margin of 0.05.
    assert pen.word("weight:bare") == "marginal"
    pen("fitted", "light blade", 20, place="nose")
    judged = pen.judged()
    # The kit's error cancels: 2 sqrt(0.04^2/3 + 0.02^2/12 + 2 x 0.005^2/12 + 0.05^2/12) = 0.05583.
    assert judged.weights["bare"] == pytest.approx((9.85, 0.0558271), abs=1e-6)
    assert judged.verdicts["weight:bare"] == "pass"


def test_a_part_weighed_counts_before_what_its_sheet_says_and_one_without_mass_leaves_it_open() -> None:
    pen = on_the_scale()
    pen("weighed", "bare", 10, value_kg=9.0, instrument="shed")
    pen.part("second blade", "weapon")
    pen("fitted", "second blade", 20, place="nose")
    assert (pen.word("weight:bare"), pen.judged().weights) == ("unchecked", {"bare": None})
    pen("part_weighed", "second blade", 21, value_kg=2.5, instrument="kit")
    assert pen.judged().weights["bare"] == pytest.approx((10.5, 0.0560), abs=1e-4)
    assert pen.word("weight:bare") == "fail"


def test_never_weighed_is_the_sum_of_the_parts() -> None:
    pen = on_the_scale()
    pen.part("blade", "weapon", mass_kg=9.9, mass_tolerance_kg=0.03)
    # 2 sqrt(0.03^2/3 + 0.05^2/12) = 0.0451.
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0450925), abs=1e-6)
    assert pen.word("weight:bare") == "pass"


def test_an_event_without_limit_leaves_the_weight_unchecked_and_an_allowance_lifts_it() -> None:
    pen = on_the_scale(allowance_kg=1.0)
    pen("weighed", "bare", 10, value_kg=10.5, instrument="shed")
    assert pen.word("weight:bare") == "pass"
    pen("event", "E", 20, name="event", official_scale="official")
    assert pen.word("weight:bare") == "unchecked"


def test_which_configurations_must_make_weight() -> None:
    pen = Pen(weight_rule="declared")
    for name in ("b", "a"):
        pen("configuration", name, name=name, parts={})
    assert pen.judged().weights.keys() == set()
    pen("declared", "b", 1, declared=True)
    assert pen.judged().weights.keys() == {"b"}
    pen.fight("one", 2, "a")
    assert pen.judged().weights.keys() == {"a", "b"}
    pen("declared", "b", 3, declared=False)
    pen("event", "E", 3, name="event", weight_rule="entered")
    assert pen.judged().weights.keys() == {"a"}
    pen("fight_ended", "one", 4)
    assert pen.judged().weights.keys() == {"a"}


# 9 to 12. The fight's configuration and packs, empty places, checks.


def test_the_configuration_entered_must_be_fitted_and_declared() -> None:
    pen = Pen()
    pen("position", "weapon place", name="weapon place", zone="front", role="module")
    pen.part("drum", "weapon")
    for name, part in (("drums", "drum"), ("nothing", None)):
        pen("configuration", name, name=name, parts={"weapon place": part})
    assert pen.word("configuration:R") is None
    pen.fight("one", 10, "drums")
    assert pen.word("configuration:R") == "due"
    assert pen.word("look:drum") == "pass"
    pen("fitted", "drum", 11, place="weapon place")
    assert pen.word("configuration:R") == "pass"
    pen("declared", "nothing", 12, declared=True)
    assert pen.word("configuration:R") == "fail"
    pen.fight("two", 13, "nothing")
    assert pen.word("configuration:R") == "due"
    assert pen.word("look:drum") is None
    pen("fight_ended", "two", 14)
    assert pen.word("configuration:R") is None


def test_packs_are_chosen_anew_for_each_fight_and_sit_where_they_belong() -> None:
    pen = Pen()
    pen.kind("cell", pack=True)
    for pack in ("red pack", "blue pack"):
        pen.part(pack, "cell")
        pen("pack_set", f"{pack} alone", name=pack, packs=[pack])
    pen("position", "tray", name="tray", zone="back", role="pack")
    assert pen.word("packs:R") is None
    pen.fight("one", 10)
    assert pen.word("packs:R") == "due"
    pen("chosen", "R", 11, pack_set="red pack alone")
    assert pen.word("packs:R") == "due"
    pen("fitted", "red pack", 12, place="tray")
    assert pen.word("packs:R") == "pass"
    pen("fight_ended", "one", 20)
    pen.fight("two", 21)
    assert pen.word("packs:R") == "due"
    pen("chosen", "R", 22, pack_set="blue pack alone")
    pen("fitted", "blue pack", 23, place="tray")
    assert pen.word("packs:R") == "pass"
    assert pen.word("look:red pack") is None
    pen("removed", "blue pack", 24, place="tray", to="quarantine")
    assert pen.word("packs:R") == "fail"
    assert pen.word("look:blue pack") is None


def test_until_packs_are_chosen_those_fitted_count_and_one_put_away_never() -> None:
    pen = Pen()
    pen.kind("cell", pack=True)
    pen.part("red pack", "cell")
    pen("position", "tray", name="tray", zone="back", role="pack")
    pen("fitted", "red pack", 10, place="tray")
    pen.hit("back", 11)
    assert pen.word("look:red pack") == "due"
    pen("removed", "red pack", 12, to="quarantine")
    assert pen.word("look:red pack") is None


def test_a_fight_with_an_unknown_configuration_waits_for_it() -> None:
    pen = Pen()
    pen("entered", "one", 10, place="R", name="one", configuration="not merged yet")
    assert pen.word("configuration:R") == "due"


def test_an_empty_place_fails_unless_it_may_be_empty() -> None:
    pen = Pen()
    pen("position", "nose", 1, name="nose", zone="front")
    assert pen.word("empty:nose") is None
    pen("removed", "blade", 10, place="nose", to="spares")
    assert pen.word("empty:nose") == "fail"
    assert pen.word("empty:belly") is None


@pytest.mark.parametrize(
    ("second", "may_skip", "answer", "word"),
    [
        (False, False, {"answer": "yes"}, "pass"),
        (True, False, {"answer": "yes"}, "due"),
        (True, False, {"answer": "yes", "second": "AB"}, "due"),
        (True, False, {"answer": "yes", "second": "CD"}, "pass"),
        (False, False, {"answer": "skipped"}, "due"),
        (False, True, {"answer": "skipped"}, "pass"),
        (False, True, {"answer": "no"}, "fail"),
    ],
)
def test_what_answers_a_line(second: bool, may_skip: bool, answer: dict[str, Any], word: str) -> None:
    lists = [checklist(line("lock in", second=second, may_skip=may_skip))]
    pen = Pen()
    assert pen.word("check:list", lists=lists) == "due"
    pen("answered", "R/list/lock in", 10, by="AB", **answer)
    assert pen.word("check:list", lists=lists) == word


def test_a_later_no_speaks_against_an_earlier_yes_and_a_fight_uses_answers_up() -> None:
    lists = [checklist(line("lock in"), line("covers on"))]
    pen = Pen()
    for name in ("lock in", "covers on"):
        pen("answered", f"R/list/{name}", 10, answer="yes")
    assert pen.word("check:list", lists=lists) == "pass"
    pen("answered", "R/list/covers on", 11, answer="no")
    assert pen.word("check:list", lists=lists) == "fail"
    pen("answered", "R/list/covers on", 12, answer="yes")
    pen("fight_ended", "theirs", 13, robot="S")
    assert pen.word("check:list", lists=lists) == "pass"
    pen("fight_ended", "ours", 14)
    assert pen.word("check:list", lists=lists) == "due"


@pytest.mark.parametrize(("function_check", "word"), [(True, "due"), (False, "pass")])
def test_a_moved_motor_uses_up_the_function_check(function_check: bool, word: str) -> None:
    lists = [checklist(line("direction"), stale_when=("function_part_moved",))]
    pen = Pen()
    pen.kind("weapon", function_check=function_check)
    pen("answered", "R/list/direction", 10, answer="yes")
    pen("fight_ended", "one", 11)
    assert pen.word("check:list", lists=lists) == "pass"
    pen("removed", "blade", 12, place="nose", to="spares")
    assert pen.word("check:list", lists=lists) == word


# Acceptance, and the whole.


def marginal_gap(slot_mm: float = 10.105) -> tuple[Pen, list[str]]:
    """A gap 0.005 mm inside (or elsewhere), and nothing else that blocks."""
    pen = gapped()
    pen.instrument("official", 0.05)
    pen("weighed", "bare", 5, value_kg=9.0, instrument="official")
    pen.fight("one", 6)
    return pen, measured(pen, slot_mm)


def test_a_marginal_gap_blocks_until_the_pit_boss_accepts_it_for_this_fight() -> None:
    pen, rests_on = marginal_gap()
    judged = pen.judged()
    assert (judged.fight, judged.fit, judged.accepted) == ("one", False, frozenset())
    assert judged.verdicts.pop("stack:gap") == "marginal"
    assert set(judged.verdicts.values()) == {"pass"}
    pen("accepted", "stack:gap", 20, fight="one", rests_on=rests_on)
    judged = pen.judged()
    assert (judged.fit, judged.accepted) == (True, frozenset({"stack:gap"}))
    assert judged.verdicts["stack:gap"] == "marginal"
    pen.fight("two", 30)
    assert not pen.judged().accepted


@pytest.mark.parametrize("wrong", ["one reading missing", "another fight", "accepted again without grounds"])
def test_an_acceptance_that_does_not_count(wrong: str) -> None:
    pen, rests_on = marginal_gap()
    fight = "another" if wrong == "another fight" else "one"
    pen("accepted", "stack:gap", 20, fight=fight, rests_on=rests_on[:1] if "missing" in wrong else rests_on)
    if "again" in wrong:
        pen("accepted", "stack:gap", 21, fight="one", rests_on=[])
    assert (pen.judged().fit, pen.judged().accepted) == (False, frozenset())


def test_an_acceptance_falls_when_a_reading_is_corrected() -> None:
    pen, rests_on = marginal_gap()
    pen("accepted", "stack:gap", 20, fight="one", rests_on=rests_on)
    corrected = pen.read("R", "slot", 10, 0.010104, replaces=rests_on[0], instrument="caliper")
    assert pen.word("stack:gap") == "marginal"
    assert not pen.judged().accepted
    pen("accepted", "stack:gap", 30, fight="one", rests_on=[corrected, rests_on[1]])
    assert pen.judged().fit


def test_what_lies_outside_is_not_accepted() -> None:
    pen, rests_on = marginal_gap(10.095)
    assert pen.word("stack:gap") == "marginal"
    pen("accepted", "stack:gap", 20, fight="one", rests_on=rests_on)
    assert not pen.judged().accepted


def test_a_joint_is_accepted_with_every_marginal_fastener() -> None:
    pen = bolted()
    pen.fight("one", 1)
    first = pen.torque("hub", 10, 9.4, [1], instrument="wrench")
    second = pen.torque("hub", 11, 9.4, [2], instrument="wrench")
    pen("accepted", "joint:hub", 20, fight="one", rests_on=[second])
    assert (pen.word("joint:hub"), pen.judged().accepted) == ("marginal", frozenset())
    pen("accepted", "joint:hub", 21, fight="one", rests_on=[second, first])
    assert pen.judged().accepted == {"joint:hub"}


def test_a_limit_and_a_weight_are_accepted_on_what_they_rest_on() -> None:
    pen = on_the_scale()
    pen.kind("weapon", limits=[{"dimension": "tooth", "low_m": 0.008}])
    tooth = pen.read("blade", "tooth", 10, 0.00802, tolerance_m=5e-5)
    anchor = pen("weighed", "bare", 11, value_kg=8.97, instrument="shed")
    pen.part("second blade", "weapon")
    weighed = pen("part_weighed", "second blade", 12, value_kg=1.0, instrument="kit")
    pen("fitted", "second blade", 13, place="belly")
    # 9.97 kg, U = 2 sqrt(0.04^2/3 + 0.02^2/12 + 0.005^2/3 + 0.005^2/12 + 0.05^2/12) = 0.056.
    for key, rests_on in (("limit:blade/tooth", [tooth]), ("weight:bare", [anchor])):
        assert pen.word(key) == "marginal"
        pen("accepted", key, 20, fight="one", rests_on=rests_on)
    assert pen.judged().accepted == {"limit:blade/tooth"}
    pen("accepted", "weight:bare", 21, fight="one", rests_on=[anchor, weighed])
    assert pen.judged().accepted == {"limit:blade/tooth", "weight:bare"}


def test_without_a_fight_nothing_is_fit() -> None:
    pen, rests_on = marginal_gap(10.2)
    assert pen.judged().fit
    pen("fight_ended", "one", 30)
    assert (pen.judged().fight, pen.judged().fit) == (None, False)
    assert rests_on
