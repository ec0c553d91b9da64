"""Moments as the crew types and reads them, in the event's own zone.

Summer time in London in 2026 runs from 29 March 01:00 UTC to 25 October 01:00 UTC (The Summer Time Order 2002,
last Sundays of March and October); the expected moments are figured here from plain UTC dates.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.errors import EntryError
from pitcrew.robot.moments import MINUTE_MS, clock_text, day_text, local, to_ms, typed, zone


def utc(year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0) -> int:
    """A moment by its UTC date, counted from 1970 without the code under test."""
    moment = datetime(year, month, day, hour, minute, second, tzinfo=UTC)
    return (moment - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


# Not on a whole minute or second, as no clock ever is.
NEAR = utc(2026, 6, 13, 12, 0, 17) + 345
LONDON = "Europe/London"


@pytest.mark.parametrize(
    ("name", "minutes"),
    [
        ("UTC", 0),
        ("+00:00", 0),
        ("-00:00", 0),
        ("+01:00", 60),
        ("-05:30", -330),
        ("+05:45", 345),
        ("+14:00", 840),
        ("-23:59", -1439),
        (LONDON, 60),
        ("Asia/Kathmandu", 345),
    ],
)
def test_a_zone_is_so_far_ahead_in_june(name: str, minutes: int) -> None:
    assert local(NEAR, name).utcoffset() == timedelta(minutes=minutes)
    assert zone(name).utcoffset(local(NEAR, name).replace(tzinfo=None)) == timedelta(minutes=minutes)


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "Mars/Olympus",
        "Europe",
        "+1:00",
        "+24:00",
        "+99:99",
        "+05:60",
        "+05:75",
        "01:00",
        "UTC ",
        "../UTC",
        "a\0b",
        "\ud800",
        "\u00e9",
    ],
)
def test_what_is_no_zone_is_refused(name: str) -> None:
    with pytest.raises(EntryError, match="is not a time zone") as caught:
        zone(name)
    assert (caught.value.place, caught.value.hint) == ("time_zone", "Give an offset such as +01:00.")


@pytest.mark.parametrize(
    ("text", "name", "start", "covers"),
    [
        ("15:24", "UTC", utc(2026, 6, 13, 15, 24), MINUTE_MS),
        ("15:24", "+01:00", utc(2026, 6, 13, 14, 24), MINUTE_MS),
        ("15:24", LONDON, utc(2026, 6, 13, 14, 24), MINUTE_MS),
        ("15:24:30", "UTC", utc(2026, 6, 13, 15, 24, 30), 1000),
        (" 9:05 ", "UTC", utc(2026, 6, 13, 9, 5), MINUTE_MS),
        ("00:00", "-05:30", utc(2026, 6, 13, 5, 30), MINUTE_MS),
        ("23:59:59", "+14:00", utc(2026, 6, 14, 9, 59, 59), 1000),
        ("06-07 09:00", "UTC", utc(2026, 6, 7, 9, 0), MINUTE_MS),
        ("6-7 09:00", "UTC", utc(2026, 6, 7, 9, 0), MINUTE_MS),
        ("12-31 23:59", "+01:00", utc(2026, 12, 31, 22, 59), MINUTE_MS),
        ("2025-01-01 00:00", "+01:00", utc(2024, 12, 31, 23, 0), MINUTE_MS),
        ("2026-06-13T15:24:01", "UTC", utc(2026, 6, 13, 15, 24, 1), 1000),
        ("2028-02-29 10:00", "UTC", utc(2028, 2, 29, 10, 0), MINUTE_MS),
        ("2000-02-29 10:00", "UTC", utc(2000, 2, 29, 10, 0), MINUTE_MS),
        # Winter and summer in one zone, whatever the season of the day it is typed on.
        ("2026-01-15 12:00", LONDON, utc(2026, 1, 15, 12, 0), MINUTE_MS),
        ("2026-07-15 12:00", LONDON, utc(2026, 7, 15, 11, 0), MINUTE_MS),
        ("2026-03-29 00:59", LONDON, utc(2026, 3, 29, 0, 59), MINUTE_MS),
        ("2026-03-29 02:00", LONDON, utc(2026, 3, 29, 1, 0), MINUTE_MS),
        ("2026-10-25 00:59", LONDON, utc(2026, 10, 24, 23, 59), MINUTE_MS),
        # Twice on the clock that night: the first is meant.
        ("2026-10-25 01:30", LONDON, utc(2026, 10, 25, 0, 30), MINUTE_MS),
        ("2026-10-25 02:00", LONDON, utc(2026, 10, 25, 2, 0), MINUTE_MS),
    ],
)
def test_a_typed_time_covers_its_minute_or_second(text: str, name: str, start: int, covers: int) -> None:
    assert typed(text, name, NEAR) == (start, start + covers)


def test_the_day_is_that_of_the_zone() -> None:
    late = utc(2026, 6, 13, 23, 30)
    assert typed("00:10", "+01:00", late)[0] == utc(2026, 6, 13, 23, 10)
    assert (day_text(late, "+01:00"), clock_text(late, "+01:00")) == ("2026-06-14", "00:30")
    assert (day_text(late, "UTC"), clock_text(late, "UTC")) == ("2026-06-13", "23:30")


def test_a_day_without_a_year_is_of_the_year_in_the_zone() -> None:
    assert typed("01-01 00:10", "+01:00", utc(2026, 12, 31, 23, 30))[0] == utc(2026, 12, 31, 23, 10)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "noon",
        "15",
        "15:2",
        "15.24",
        "1524",
        "3:24 pm",
        "-1:00",
        "15:24:5",
        "15:24:30.5",
        "13/06 15:24",
        "26-06-13 15:24",
        "2026-06-13",
        "2026-06-13  15:24",
        "15:24Z",
        "15:24\n15:25",
        "now",
    ],
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(EntryError, match="is not a time") as caught:
        typed(text, "UTC", NEAR)
    assert (caught.value.place, caught.value.hint) == ("time", "Type it as 15:24, or 2026-06-13 15:24.")


@pytest.mark.parametrize(
    "text",
    [
        "24:00",
        "15:60",
        "15:24:60",
        "99:99",
        "13-01 10:00",
        "00-10 10:00",
        "06-31 10:00",
        "02-29 10:00",
        "2026-02-29 10:00",
        "1900-02-29 10:00",
        "2100-02-29 10:00",
        "0000-01-01 00:00",
    ],
)
def test_a_time_there_is_not_is_refused(text: str) -> None:
    with pytest.raises(EntryError, match="there is no"):
        typed(text, "UTC", NEAR)


def test_29_february_is_there_in_its_own_year() -> None:
    assert typed("02-29 10:00", "UTC", utc(2028, 6, 1))[0] == utc(2028, 2, 29, 10, 0)
    assert typed("10:00", "UTC", utc(2028, 2, 29, 23, 0))[0] == utc(2028, 2, 29, 10, 0)
    assert typed("2027-03-01 10:00", "UTC", utc(2028, 2, 29))[0] == utc(2027, 3, 1, 10, 0)


def test_a_time_in_a_zone_that_is_none_is_refused() -> None:
    with pytest.raises(EntryError, match="is not a time zone"):
        typed("15:24", "nowhere", NEAR)


@given(
    ms=st.integers(utc(1980, 1, 1), utc(2100, 1, 1)),
    name=st.sampled_from(["UTC", "+01:00", "-05:30", "+14:00", "Asia/Kathmandu"]),
)
def test_a_time_as_shown_is_the_time_as_typed(ms: int, name: str) -> None:
    shown = f"{day_text(ms, name)} {clock_text(ms, name)}"
    start, end = typed(shown, name, NEAR)
    # Offsets are whole minutes in all these zones since 1980, so a minute there is a minute of UTC.
    assert (start, end) == (ms // MINUTE_MS * MINUTE_MS, ms // MINUTE_MS * MINUTE_MS + MINUTE_MS)
    assert to_ms(local(ms, name)) == ms


@given(
    text=st.text(max_size=30) | st.from_regex(r"[0-9]{1,4}(-[0-9]{1,2}){0,2} ?[0-9]{1,3}:[0-9]{1,3}", fullmatch=True)
)
def test_any_text_is_a_time_or_refused(text: str) -> None:
    try:
        start, end = typed(text, "+01:00", NEAR)
    except EntryError:
        return
    assert end - start in (1000, MINUTE_MS)


@pytest.mark.parametrize(
    ("text", "shown"),
    [("2026-03-29 01:00", "01:00"), ("2026-03-29 01:30", "01:30"), ("3-29 01:59:59", "01:59"), ("1:30", "01:30")],
)
def test_an_hour_the_clock_jumps_over_is_refused(text: str, shown: str) -> None:
    with pytest.raises(EntryError, match=f"there is no {shown} on that day") as caught:
        typed(text, LONDON, utc(2026, 3, 29, 12))
    assert caught.value.place == "time"


def test_every_time_shown_on_the_days_the_clock_is_put_is_taken() -> None:
    for midnight in (utc(2026, 3, 29), utc(2026, 10, 25)):
        for ms in range(midnight, midnight + 4 * 60 * MINUTE_MS, MINUTE_MS):
            shown = clock_text(ms, LONDON)
            start, _ = typed(f"{day_text(ms, LONDON)} {shown}", LONDON, NEAR)
            assert clock_text(start, LONDON) == shown


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("9999-12-31 23:59", "-12:00"),
        ("9999-12-31 12:00", "-12:00"),
        ("9999-12-31 23:59", "UTC"),
        ("0001-01-01 00:00", "+12:00"),
        ("0001-01-01 11:59", "+12:00"),
    ],
)
def test_the_first_and_last_hours_of_all_are_refused(text: str, name: str) -> None:
    with pytest.raises(EntryError, match="there is no"):
        typed(text, name, NEAR)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("9999-12-31 11:58", "-12:00"),
        ("9999-12-31 23:58", "UTC"),
        ("9999-12-31 23:58", "+12:00"),
        ("0001-01-01 12:00", "+12:00"),
        ("0001-01-01 00:00", "UTC"),
        ("0001-01-01 00:00", "-12:00"),
    ],
)
def test_a_time_that_is_taken_can_be_shown(text: str, name: str) -> None:
    start, end = typed(text, name, NEAR)
    assert clock_text(start, name) == text[-5:]
    assert local(end, name) - local(start, name) == timedelta(minutes=1)
