"""Masses worked out from the last weighing, against an invented day's book and the laws of addition."""

from __future__ import annotations

import math
import random

import pytest

from pitcrew.engineering.mass import figured, rolled_up
from pitcrew.engineering.uncertainty import Reading, combined, decide, nominal
from pitcrew.engineering.working import POUNDS
from pitcrew.errors import FigureError
from tests.engineering.bench import weighed

Change = tuple[int, Reading]


def swapped(out_kg: float, in_kg: float, count: int = 1) -> list[Change]:
    return [(-1, weighed(out_kg)), (1, weighed(in_kg))] * count


# One invented day of the heavy robot since its own weighing, in the order it was done.
HEAVY_CHANGES: list[Change] = [
    *swapped(0.95, 0.98),  # wheel
    *swapped(4.15, 4.42),  # upright
    *swapped(0.22, 0.22, 4),  # bearings
    (-1, weighed(0.10)),  # bumper block
    *swapped(1.15, 1.15, 3),  # packs
    *swapped(1.15, 1.17),  # pack
    *swapped(1.90, 2.11),  # motor
    *swapped(0.30, 0.23),  # adapter plate
    *swapped(0.14, 0.14, 2),  # belts
    (1, weighed(0.002)),  # shim
]


def test_the_small_robot_with_a_patch_is_one_hundredth_under() -> None:
    """Invented book: 13.44 shown, patch 0.16 in, two packs out and two in: 13.60 +-0.0185."""
    changes = [(1, weighed(0.16)), *swapped(0.39, 0.39, 2)]
    total = figured(13.44, weighed(13.44, "OFS"), changes, 0.02)
    assert total.kg == pytest.approx(13.60, abs=1e-9)
    assert total.u_kg == pytest.approx(0.0185, abs=5e-5)
    assert decide(total.kg, total.u_kg, None, 13.61).word == "marginal"


def test_the_heavy_robot_after_its_day() -> None:
    """Invented book: own scale showed 112.44 and reads 0.06 low; now 112.862 +-0.058."""
    total = figured(112.50, weighed(112.44, "SHS"), HEAVY_CHANGES, 0.05)
    assert total.kg == pytest.approx(112.862, abs=1e-9)
    assert total.u_kg == pytest.approx(0.058, abs=5e-4)
    decision = decide(total.kg, total.u_kg, None, 113.4)
    assert decision.word == "pass"
    assert decision.margin == pytest.approx(0.538, abs=1e-9)


def test_like_for_like_keeps_the_mass_and_adds_its_doubt() -> None:
    before = figured(112.50, weighed(112.44, "SHS"), [], 0.05)
    after = figured(112.50, weighed(112.44, "SHS"), swapped(1.15, 1.15), 0.05)
    assert after.kg == before.kg
    # The parts scale's own error cancels: only the two steps are left.
    steps = 2 * 0.005**2 / 12
    assert (after.u_kg / 2) ** 2 - (before.u_kg / 2) ** 2 == pytest.approx(steps, rel=1e-6)


def test_a_part_weighed_on_the_anchor_scale_takes_its_error_along() -> None:
    """Anchor + and part - on one scale: its permissible error cancels, the steps do not."""
    shed = weighed(112.44, "SHS")
    total = figured(112.44, shed, [(-1, weighed(16.40, "SHS"))], 0.0)
    assert total.u_kg == pytest.approx(2 * math.sqrt(2 * 0.02**2 / 12))
    assert total.u_kg < figured(112.44, shed, [], 0.0).u_kg


def test_the_doubt_is_that_of_the_sum_with_one_more_step_for_the_display() -> None:
    """Against a plain sum of squares."""
    total = figured(50.0, weighed(50.0, "SHS"), [(1, weighed(0.3)), (1, nominal(2.2, 0.05))], 0.05)
    squares = [0.04**2 / 3, 0.02**2 / 12, 0.005**2 / 3, 0.005**2 / 12, 0.05**2 / 3, 0.05**2 / 12]
    assert total.u_kg == pytest.approx(2 * math.sqrt(sum(squares)))


def test_the_order_of_the_changes_does_not_matter() -> None:
    shed = weighed(112.44, "SHS")
    total = figured(112.50, shed, HEAVY_CHANGES, 0.05)
    for seed in range(20):
        mixed = random.Random(seed).sample(HEAVY_CHANGES, len(HEAVY_CHANGES))
        assert figured(112.50, shed, mixed, 0.05)[:2] == total[:2]


def test_a_robot_never_weighed_is_the_sum_of_its_parts() -> None:
    parts = [(1, weighed(16.40, "SHS")), (1, weighed(7.10)), (1, weighed(4.30)), (1, nominal(2.20, 0.05))]
    total = rolled_up(parts, 0.05)
    assert total.kg == pytest.approx(30.0)
    display = (1, Reading(0.0, "display", 0.05, 0.0))
    assert total.u_kg == pytest.approx(combined([*parts, display]).expanded)
    assert total.u_kg > rolled_up(parts, 0.0).u_kg


def test_taking_out_what_was_put_in_returns_the_mass() -> None:
    shed = weighed(50.0, "SHS")
    total = figured(50.0, shed, [(1, weighed(0.16)), (-1, weighed(0.16))], 0.05)
    assert total.kg == pytest.approx(50.0, abs=1e-12)


def test_the_working_shows_the_offset_and_every_change() -> None:
    total = figured(112.50, weighed(112.44, "SHS"), [*swapped(0.95, 0.98), (-1, weighed(0.10))], 0.05)
    assert total.working.numbers == "112.44 + 0.06 offset - 0.950 + 0.980 - 0.100 = 112.430 kg"
    assert total.working.inputs == (
        "last weighing 112.44 + 0.06 offset kg on SHS",
        "out 0.950 kg KIT",
        "in 0.980 kg KIT",
        "out 0.100 kg KIT",
    )
    assert repr(total.working).isascii()
    in_pounds = figured(13.44, weighed(13.44, "OFS"), [], 0.02, POUNDS).working
    assert in_pounds.numbers.endswith("lb")


def test_a_scale_that_reads_high_is_taken_down() -> None:
    total = figured(49.94, weighed(50.00, "SHS"), [], 0.0)
    assert total.working.numbers == "50.00 - 0.06 offset = 49.94 kg"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_a_mass_that_makes_no_sense_is_refused(bad: float) -> None:
    shed = weighed(50.0, "SHS")
    with pytest.raises(FigureError):
        figured(bad, shed, [], 0.05)
    with pytest.raises(FigureError):
        figured(50.0, shed, [(1, weighed(bad))], 0.05)
    with pytest.raises(FigureError):
        figured(50.0, shed, [], bad)
    with pytest.raises(FigureError):
        rolled_up([(1, weighed(bad))], 0.05)


def test_what_cannot_be_a_weighing_is_refused() -> None:
    with pytest.raises(FigureError, match="no scale"):
        figured(50.0, nominal(50.0, 0.1), [], 0.05)
    with pytest.raises(FigureError, match="More was taken out"):
        figured(1.0, weighed(1.0), [(-1, weighed(1.5))], 0.05)
    with pytest.raises(FigureError, match="no parts"):
        rolled_up([], 0.05)
