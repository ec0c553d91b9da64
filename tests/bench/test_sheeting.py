"""The event's sheet rule by rule as typed off the paper, another sheet, and the crew list."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import openbook, sheeting
from pitcrew.bench.sheeting import BY_FIELD, RULES
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.robot.definition_kinds import DEFINITIONS
from pitcrew.robot.definitions import Event
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Entry
from tests.bench.begun import LIST, NOON, Fresh
from tests.bench.shop import Shop

# Exact by definition: the pound is 0.45359237 kg, the mile per hour 0.44704 m/s (NIST SP 811, appendix B).
TYPED: tuple[tuple[str, str, Any], ...] = (
    ("class_name", "  30 lb ", "30 lb"),
    ("limit_kg", "250 lb", 250 * 0.45359237),
    ("limit_kg", "13.61", 13.61),
    ("allowance_kg", "500 g", 0.5),
    ("official_scale", "scale", "scale"),
    ("weight_rule", "all", "declared"),
    ("reweigh_band_percent", "2,5 %", 2.5),
    ("gap_min", "20", 20),
    ("gap_min", "1800 s", 30),
    ("gap_counts_from", "arena", "leaving the arena"),
    ("postponements", "2", 2),
    ("match_s", "3:00", 180),
    ("match_s", "2 min", 120),
    ("staging_before_start_min", "0", 0),
    ("walk_min", "90 s", 1.5),
    ("power_cut_s", "60 s", 60),
    ("spin_down_s", "1 min", 60),
    ("tip_speed_cap_m_s", "200 mph", 89.408),
    ("start_order", "transmitter [last]", "transmitter [last]"),
    ("clock_doubt_s", "30", 30),
    ("time_zone", "+01:00", "+01:00"),
)
REFUSED = (
    ("name", "-", "a sheet has the name of its event"),
    ("limit_kg", "0", "a class limit is above zero"),
    ("limit_kg", "heavy", ""),
    ("limit_kg", "60 s", ""),
    ("limit_kg", "113400", "113400 kg is more than any class limit is: the most taken is 2000 kg"),
    ("allowance_kg", "20 kg", "an allowance of 20 kg is as much as the class limit, 13.61 kg"),
    ("gap_min", "two days", ""),
    ("gap_min", "48 h", "2880 min is more than any gap between fights is"),
    ("reweigh_band_percent", "5 kg", "'5 kg' is no percentage"),
    ("reweigh_band_percent", "101 %", "101 % is more than any re-weigh band is"),
    ("postponements", "1.5", "'1.5' is no whole number"),
    ("weight_rule", "none", "there is no weight rule called 'none'"),
    ("official_scale", "shed", "there is no scale called 'shed'"),
    ("start_order", "x" * 121, "that is too long for the start-up order"),
    ("start_order", " ", "no start-up order was typed"),
    ("time_zone", "Atlantis", "'Atlantis' is not a time zone"),
)


@pytest.fixture
def fresh() -> Fresh:
    clock = FixedClock(NOON)
    return Fresh(Book.memory(clock, SeededIds(3)), clock)


def event(fresh: Fresh) -> Event:
    found = fresh.defs().event
    assert found is not None
    return found


def change(fresh: Fresh, field: str, text: str) -> tuple[Entry, ...]:
    fresh.clock.set(fresh.clock.now_ms() + MINUTE_MS)
    return fresh.book.append(sheeting.change(fresh.desk(), field, text))


def test_there_is_a_row_for_every_rule_that_a_sheet_can_hold() -> None:
    kind = next(kind for kind in DEFINITIONS if kind.name == "event")
    # The words of a rule stand beside its figure.
    assert {*BY_FIELD, "wording"} == {field.name for field in kind.fields}
    assert len({rule.name for rule in RULES}) == len(RULES)


def test_each_rule_is_read_as_it_is_printed_and_leaves_the_others_alone(fresh: Fresh) -> None:
    scale = next(iter(fresh.defs().instruments))
    for field, text, value in TYPED:
        before = event(fresh)
        entries = change(fresh, field, text)
        wanted = scale if field == "official_scale" else value
        wanted = pytest.approx(wanted, rel=1e-12) if isinstance(wanted, float) else wanted
        assert getattr(event(fresh), field) == wanted, field
        assert event(fresh)._replace(**{field: getattr(before, field)}) == before
        assert [(entry.kind, entry.subject, entry.robot) for entry in entries] == [("event", before.id, None)]


def test_nonsense_is_refused_and_nothing_is_written(fresh: Fresh) -> None:
    before = fresh.book.entries(limit=1)
    for field, text, message in REFUSED:
        with pytest.raises(EntryError) as error:
            change(fresh, field, text)
        assert message in error.value.sentence
    assert fresh.book.entries(limit=1) == before


def test_what_stands_so_already_logs_nothing_and_what_the_paper_leaves_out_is_taken_off(fresh: Fresh) -> None:
    assert change(fresh, "limit_kg", "13.61 kg") == ()
    assert change(fresh, "gap_min", "-") == ()
    change(fresh, "gap_min", "45")
    assert event(fresh).gap_min == 45
    (entry,) = change(fresh, "gap_min", "-")
    assert "gap_min" not in entry.detail
    assert event(fresh).gap_min is None


def test_every_weight_is_judged_by_the_limit_just_typed(fresh: Fresh) -> None:
    fresh.put(*(f"{times}{figure} {name}" for figure, name, times in LIST))
    (row,) = fresh.view().standing.weights
    assert (row.limit_kg, row.verdict) == (13.61, "pass")
    change(fresh, "limit_kg", "11 kg")
    (row,) = fresh.view().standing.weights
    assert (row.limit_kg, row.verdict) == (11, "fail")


def test_a_value_is_shown_with_its_unit() -> None:
    shown = sheeting.shown
    assert shown(BY_FIELD["limit_kg"], 113.4, {}) == "113.4 kg"
    assert shown(BY_FIELD["match_s"], 180, {}) == "180 s"
    assert shown(BY_FIELD["reweigh_band_percent"], 5, {}) == "5 %"
    assert shown(BY_FIELD["weight_rule"], "declared", {}) == "all configurations"
    assert shown(BY_FIELD["gap_min"], None, {}) == ""


@given(st.sampled_from([rule for rule in RULES if rule.measured]), st.decimals(1, 99, places=2))
@settings(deadline=None, max_examples=60)
def test_typing_what_is_shown_changes_nothing(rule: sheeting.Rule, figure: Any) -> None:
    value = sheeting.value_typed(rule, f"{figure} {rule.unit}", {})
    assert value == pytest.approx(float(figure), rel=1e-12)
    assert sheeting.value_typed(rule, sheeting.shown(rule, value, {}), {}) == pytest.approx(value, rel=1e-12)


def test_a_robot_goes_under_another_sheet_and_back(fresh: Fresh) -> None:
    own = event(fresh)
    fresh.book.append(sheeting.under(fresh.desk(), "Autumn Barn"))
    new = event(fresh)
    assert (new.name, new.limit_kg, new.gap_min) == ("Autumn Barn", None, None)
    assert sheeting.fighting_under(fresh.book.evidence(), own.id) == []
    assert sheeting.fighting_under(fresh.book.evidence(), new.id) == ["NETTLE SPROCKET"]
    assert sheeting.under(fresh.desk(), "autumn barn") == []
    change(fresh, "limit_kg", "6.8 kg")
    (robot,) = fresh.book.append(sheeting.under(fresh.desk(), own.name))
    assert (robot.kind, robot.detail["event"]) == ("robot", own.id)
    assert event(fresh) == own
    with pytest.raises(EntryError, match="name is missing"):
        sheeting.under(fresh.desk(), "  ")


def test_a_robot_without_a_sheet_says_so(fresh: Fresh) -> None:
    robot = next(fresh.book.evidence().facts("robot", fresh.robot))
    draft = sheeting.under(fresh.desk(), "x")[-1]
    detail = {key: value for key, value in robot.detail.items() if key != "event"}
    fresh.book.append([draft._replace(detail=detail)])
    assert fresh.defs().event is None
    with pytest.raises(EntryError, match="under no sheet yet"):
        sheeting.change(fresh.desk(), "limit_kg", "13.61")


def crew(fresh: Fresh) -> dict[str, str]:
    return {fact.subject: str(fact.detail.get("role", "")) for fact in fresh.book.evidence().definitions("crew", None)}


def test_the_first_of_the_crew_does_not_lock_out_who_writes(fresh: Fresh) -> None:
    fresh.book.append(sheeting.join(fresh.desk(), "EW electrics"))
    assert crew(fresh) == {"EW": "electrics", "MK": ""}
    assert openbook.crew_member(fresh.book.evidence(), "mk") == "MK"
    fresh.book.append(sheeting.join(fresh.desk(), "PB  pit boss"))
    fresh.book.append(sheeting.join(fresh.desk(), "DV"))
    assert crew(fresh) == {"EW": "electrics", "MK": "", "PB": "pit boss", "DV": ""}


def test_a_role_is_changed_and_taken_off(fresh: Fresh) -> None:
    fresh.book.append(sheeting.join(fresh.desk(), "MK mechanic"))
    assert crew(fresh) == {"MK": "mechanic"}
    assert sheeting.role(fresh.desk(), "MK", " mechanic ") == []
    fresh.book.append(sheeting.role(fresh.desk(), "MK", "driver"))
    assert crew(fresh) == {"MK": "driver"}
    fresh.book.append(sheeting.role(fresh.desk(), "MK", "-"))
    assert crew(fresh) == {"MK": ""}


def test_what_is_no_crew_member_is_refused(fresh: Fresh) -> None:
    fresh.book.append(sheeting.join(fresh.desk(), "MK mechanic"))
    for text, message in (
        ("", "'' are no initials"),
        ("driver who drives", "'driver' are no initials"),
        ("[b] driver", "'[b]' are no initials"),
        ("mk driver", "somebody has the initials 'mk' already"),
        (f"PB {'x' * 61}", "too long for a name"),
    ):
        with pytest.raises(EntryError) as error:
            sheeting.join(fresh.desk(), text)
        assert message in error.value.sentence
    with pytest.raises(EntryError, match="nobody in the crew has the initials 'XX'"):
        sheeting.role(fresh.desk(), "XX", "driver")
    with pytest.raises(EntryError, match="no role was typed"):
        sheeting.role(fresh.desk(), "MK", " ")


def test_words_of_a_rule_that_cannot_be_taken(shop: Shop) -> None:
    shop.refused("no words were typed", sheeting.put_wording, "gap_min", " ")
    shop.refused("too long for the gap between fights", sheeting.put_wording, "gap_min", "x" * 301)
    shop.refused("say which rule", sheeting.wording_line, "gap between fights")
    shop.refused("there is no rule", sheeting.wording_line, "pit passes: two a team")
    assert sheeting.put_wording(shop.desk(), "gap_min", "-") == []
