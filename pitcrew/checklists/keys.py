"""The keys of a checklist's file and of its lines: what each takes, and what stands when it is left out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

SAFETY = ("weapon lock", "power cut-off", "power light", "failsafe")
ASKED = ("each fight", "when wanted")
GOOD_FOR = ("one fight", "until disturbed", "one event", "one day", "one charge")
STALE_WHEN = ("fight_ended", "function_part_moved", "event_changed", "day_over", "pack_moved")
EACH_FIGHT = (*GOOD_FOR[:2], *STALE_WHEN[:2])  # the words of a list that is asked before each fight
ENDS = {"one fight": "fight_ended", "one event": "event_changed", "one day": "day_over", "one charge": "pack_moved"}
LIMIT_RULES = {"power_cut_s": "s", "spin_down_s": "s", "tip_speed_cap_m_s": "m/s"}
TEXT_RULES = ("start_order", *LIMIT_RULES, "limit_kg", "gap_min")
EVIDENCE = (
    "finding",
    "empty",
    "hand",
    "look",
    "limit",
    "life",
    "stack",
    "joint",
    "locking",
    "weight",
    "configuration",
    "packs",
    "tip",
)
MOST_LINES = 12
MOST_BYTES = 16 * 1024

ABSENT: Any = object()
_ID_SHAPE = re.compile(r"[a-z0-9]+(?:[ -][a-z0-9]+)*")
_FIGURE_SHAPE = re.compile(r"[^,]*[^,\s], [^,\s]+")


class Key(NamedTuple):
    """One key of a file: its name, what it takes (in words and as a check), what stands when absent."""

    name: str
    takes: str
    check: Callable[[Any], bool]
    default: Any = ABSENT


def _words(longest: int) -> Callable[[Any], bool]:
    return lambda value: (
        isinstance(value, str) and value.strip() != "" and len(value) <= longest and value.isprintable()
    )


def _text(name: str, longest: int, default: Any = ABSENT) -> Key:
    return Key(name, f"plain text of at most {longest} characters", _words(longest), default)


def _shaped(name: str, takes: str, shape: re.Pattern[str], default: Any = ABSENT) -> Key:
    short = _words(40)
    return Key(name, takes, lambda value: short(value) and shape.fullmatch(value) is not None, default)


def _choice(name: str, among: Iterable[str], default: Any = ABSENT) -> Key:
    allowed = tuple(among)
    takes = "one of: " + ", ".join(allowed)
    return Key(name, takes, lambda value: isinstance(value, str) and value in allowed, default)


def _whole(name: str, least: int, most: int) -> Key:
    takes = f"a whole number from {least} to {most}"
    # isinstance would let true in, which is an int as well.
    return Key(name, takes, lambda value: type(value) is int and least <= value <= most)


def _flag(name: str) -> Key:
    return Key(name, "true or false", lambda value: isinstance(value, bool), default=False)


def _list_of(name: str, takes: str, check: Callable[[Any], bool], default: Any = ABSENT) -> Key:
    return Key(name, takes, lambda value: isinstance(value, list) and all(map(check, value)), default)


_ID_KEY = _shaped("id", "lower-case letters and digits, with single spaces or hyphens, at most 40 in all", _ID_SHAPE)

CHECKLIST_KEYS = (
    _ID_KEY,
    _text("title", 40),
    _text("when", 76),
    _choice("asked", ASKED, "each fight"),
    _choice("good_for", GOOD_FOR),
    _list_of("stale_when", "a list of: " + ", ".join(STALE_WHEN), lambda value: value in STALE_WHEN),
    _whole("order", 0, 999),
    _whole("minutes", 1, 120),
    _whole("people", 1, 20),
    _flag("second_person"),
    _list_of("cautions", "a list of plain texts of at most 76 characters", _words(76), ()),
    _list_of("lines", "[[lines]] tables", lambda value: isinstance(value, dict)),
)
LINE_KEYS = (
    _ID_KEY,
    _text("text", 60),
    _text("ground", 160),
    _choice("safety", SAFETY, None),
    _flag("second"),
    _flag("may_skip"),
    _shaped("figure", 'a name and a unit, such as "power cut, s"', _FIGURE_SHAPE, None),
    _choice("limit_from", LIMIT_RULES, None),
    _choice("text_from", TEXT_RULES, None),
    _text("caution", 76, None),
    _list_of("evidence", "a list of: " + ", ".join(EVIDENCE), lambda value: value in EVIDENCE, ()),
)
