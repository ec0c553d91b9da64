"""Moments as the crew says them: milliseconds UTC inside, the event's own time zone outside."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pitcrew.errors import EntryError

MINUTE_MS = 60_000
_OFFSET = re.compile(r"([+-])(\d{2}):([0-5]\d)")
_TYPED = re.compile(r"(?:(?:(\d{4})-)?(\d{1,2})-(\d{1,2})[ T])?(\d{1,2}):(\d{2})(?::(\d{2}))?")
_HINT = "Type it as 15:24, or 2026-06-13 15:24."


def zone(name: str) -> tzinfo:
    """A time zone by its name ("Europe/…", "UTC") or fixed offset ("+01:00")."""
    fixed = _OFFSET.fullmatch(name)
    if fixed:
        sign, hours, minutes = fixed.groups()
        ahead = timedelta(hours=int(hours), minutes=int(minutes))
        if ahead < timedelta(hours=24):
            return timezone(ahead if sign == "+" else -ahead)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise EntryError(f"{name!r:.40} is not a time zone.", "Give an offset such as +01:00.", "time_zone") from None


def local(ms: int, name: str) -> datetime:
    """A moment as a date and time of day in a zone."""
    return datetime.fromtimestamp(ms / 1000, UTC).astimezone(zone(name))


def clock_text(ms: int, name: str) -> str:
    """Hours and minutes: 15:24."""
    return local(ms, name).strftime("%H:%M")


def day_text(ms: int, name: str) -> str:
    """The day: 2026-06-13."""
    return local(ms, name).strftime("%Y-%m-%d")


def to_ms(moment: datetime) -> int:
    """A date and time with its zone, as milliseconds UTC."""
    return round(moment.timestamp() * 1000)


def typed(text: str, name: str, near_ms: int) -> tuple[int, int]:
    """A moment as typed: the first millisecond it covers, and the first one after it.

    `15:24` is of the day of `near_ms`; `06-13 15:24` of its year; a time typed to the minute covers that
    minute, one typed to the second that second.

    Raises:
        EntryError: not a time of day, no such day, or a time the clock jumped over on that day.
    """
    match = _TYPED.fullmatch(text.strip())
    if match is None:
        raise EntryError(f"{text!r:.40} is not a time.", _HINT, "time")
    year, month, day, hour, minute, second = match.groups()
    near = local(near_ms, name)
    try:
        moment = near.replace(
            year=int(year) if year else near.year,
            month=int(month) if month else near.month,
            day=int(day) if day else near.day,
            hour=int(hour),
            minute=int(minute),
            second=int(second or 0),
            microsecond=0,
        )
        start = to_ms(moment)
        covered = 1000 if second else MINUTE_MS
        shown = local(start, name)
        local(start + covered, name)
    except (ValueError, OverflowError):  # the first and last hours of all are not there in every zone
        raise EntryError(f"there is no {text!r:.40}.", _HINT, "time") from None
    if shown.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise EntryError(
            f"there is no {moment:%H:%M} on that day.", "The clock jumped over it: type the time it showed.", "time"
        )
    return start, start + covered
