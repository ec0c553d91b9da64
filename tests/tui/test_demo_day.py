"""The demo's day lived through in the app, from weigh-in to close of day, by keys alone, as a crew would type it.

Everything is done with keys at one bench that is handed on from person to person. At every moment that was worked out
by hand, a second window on the same book is read off: fit or not, what blocks by name and verdict, minutes to the call.
"""

from __future__ import annotations

from pathlib import Path

from tests.tui import day_first_fights, day_last_fights, day_morning, day_noon
from tests.tui.day_bench import Day, name_of
from tests.tui.read_off import MOMENTS

STRETCHES = (
    day_morning.check_in,
    day_morning.on_with_the_drum,
    day_morning.to_the_first_fights,
    day_first_fights.first_fight,
    day_first_fights.marks_turned,
    day_first_fights.mended_after_the_first,
    day_first_fights.the_small_one_fights,
    day_first_fights.to_the_second_fight,
    day_noon.second_fight,
    day_noon.the_small_one_patched,
    day_noon.upright_renewed,
    day_noon.over_to_the_bar,
    day_noon.to_the_third_fight,
    day_last_fights.third_fight,
    day_last_fights.found_after_the_third,
    day_last_fights.motor_and_weapon_out,
    day_last_fights.all_in_again,
    day_last_fights.ready_again,
    day_last_fights.last_fight,
)
TURNAROUND = STRETCHES[-6:-1]
MOST_IN_TURNAROUND, MOST_IN_DAY, MOST_HANDED = 545, 3000, 680


def test_the_day_is_lived_through_by_keys(tmp_path: Path) -> None:
    day = Day(tmp_path)
    keys: dict[str, int] = {}
    for stretch in STRETCHES:
        before = day.work
        stretch(day)
        keys[stretch.__name__] = day.work - before
    assert day.seen == [name_of(moment) for moment in MOMENTS]
    # A key more is a key more for tired hands: what costs more than this wants a better way.
    assert sum(keys[stretch.__name__] for stretch in TURNAROUND) <= MOST_IN_TURNAROUND, keys
    assert sum(keys.values()) <= MOST_IN_DAY, keys
    assert day.handed <= MOST_HANDED
