"""Broken files: each problem is named by file and key, all of a file at once, and none stops the others."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.checklists import load, load_all, parse
from pitcrew.checklists.keys import MOST_BYTES
from pitcrew.errors import ChecklistError

GOOD = """\
id = "pit gate"
title = "pit gate"
when = "each fight, at the gate"
good_for = "one fight"
stale_when = ["fight_ended"]
order = 40
minutes = 2
people = 2
second_person = true
cautions = ["Edges cut."]

[[lines]]
id = "lock in"
text = "weapon lock in"
ground = "common practice"
safety = "weapon lock"
second = true

[[lines]]
id = "spin-down"
text = "weapon to a full stop"
ground = "common practice"
figure = "spin-down, s"
limit_from = "spin_down_s"

[[lines]]
id = "wheels"
text = "wheels turn free"
ground = "common practice"
may_skip = true
"""
SAFETY_TAIL = 'safety = "weapon lock"\nsecond = true\n'
LIMIT_TAIL = 'figure = "spin-down, s"\nlimit_from = "spin_down_s"\n'

# what is wrong: the text replaced, its replacement, the key named, words of the message
BROKEN = {
    "no id": ('id = "pit gate"\n', "", "id", "missing"),
    "id in capitals": ('id = "pit gate"', 'id = "Pit Gate"', "id", "(got 'Pit Gate')"),
    "id with a slash": ('id = "pit gate"', 'id = "pit / gate"', "id", "(got 'pit / gate')"),
    "title not text": ('title = "pit gate"', "title = 3", "title", "(got 3)"),
    "title blank": ('title = "pit gate"', 'title = "  "', "title", "(got '  ')"),
    "title too long": ('title = "pit gate"', f'title = "{"x" * 41}"', "title", "at most 40"),
    "title with an escape": ('title = "pit gate"', 'title = "\\u001b[31m"', "title", r"'\x1b[31m'"),
    "title with a bidi mark": ('title = "pit gate"', 'title = "a\\u202eb"', "title", r"\u202e"),
    "no moment": ('when = "each fight, at the gate"\n', "", "when", "missing"),
    "good for what": ('"one fight"', '"two fights"', "good_for", "one day, one charge (got 'two fights')"),
    "stale word unknown": ('["fight_ended"]', '["fight_ended", "rain"]', "stale_when", "'rain']"),
    "stale not a list": ('["fight_ended"]', '"fight_ended"', "stale_when", "(got 'fight_ended')"),
    "stale twice": ('["fight_ended"]', '["fight_ended", "fight_ended"]', "stale_when", "twice"),
    "one fight, never used up": ('["fight_ended"]', '["function_part_moved"]', "stale_when", "one fight"),
    "undisturbed, used up": ('"one fight"', '"until disturbed"', "stale_when", "until disturbed"),
    "asked at a word not known": ("minutes = 2", 'minutes = 2\nasked = "daily"', "asked", "when wanted (got 'daily')"),
    "asked each fight, good for a day": (
        'good_for = "one fight"\nstale_when = ["fight_ended"]',
        'good_for = "one day"\nstale_when = ["day_over"]',
        "asked",
        "one day is only for a list asked when wanted (got 'each fight')",
    ),
    "asked each fight, used up by a pack": (
        '["fight_ended"]',
        '["fight_ended", "pack_moved"]',
        "asked",
        "pack_moved is only for a list asked when wanted",
    ),
    "good for a day that never ends": (
        'good_for = "one fight"\n',
        'good_for = "one day"\nasked = "when wanted"\n',
        "stale_when",
        "good for one day, so day_over must be among them",
    ),
    "good for a charge, used up by the day": (
        'good_for = "one fight"\nstale_when = ["fight_ended"]',
        'good_for = "one charge"\nasked = "when wanted"\nstale_when = ["day_over"]',
        "stale_when",
        "good for one charge, so pack_moved must be among them",
    ),
    "order a fraction": ("order = 40", "order = 4.5", "order", "(got 4.5)"),
    "minutes none": ("minutes = 2", "minutes = 0", "minutes", "(got 0)"),
    "minutes true": ("minutes = 2", "minutes = true", "minutes", "(got true)"),
    "minutes beyond print": ("minutes = 2", f"minutes = 0x{'f' * 9000}", "minutes", "more than 15 digits"),
    "nobody to sign": ("people = 2", "people = 1", "people", "at least 2 (got 1)"),
    "second person a word": ("second_person = true", 'second_person = "yes"', "second_person", "'yes'"),
    "second person unsaid": ("second_person = true\n", "", "second_person", "line 1 wants"),
    "cautions one text": ('["Edges cut."]', '"Edges cut."', "cautions", "takes a list"),
    "cautions not text": ('["Edges cut."]', "[1, 2]", "cautions", "(got [1, 2])"),
    "key mistyped": ("minutes = 2", "minutes = 2\nminuts = 3", "minuts", "nearest is minutes (got 3)"),
    "key far off": ("minutes = 2", "minutes = 2\ncautoins = []", "cautoins", "nearest is cautions"),
    "key unprintable": ("minutes = 2", 'minutes = 2\n"a\\nb" = 3', r"'a\nb'", "not a known key"),
    "list deferred": ("minutes = 2", "minutes = 2\ndefer = true", "defer", "never deferred"),
    "line without id": ('id = "wheels"\n', "", "lines.3.id", "missing"),
    "line id twice": ('id = "wheels"', 'id = "lock in"', "lines.3.id", "line 1 (got 'lock in')"),
    "line without text": ('text = "wheels turn free"\n', "", "lines.3.text", "missing"),
    "line text of two rows": ('"wheels turn free"', '"""wheels\nfree"""', "lines.3.text", r"'wheels\nfree'"),
    "line without ground": (
        'free"\nground = "common practice"\n',
        'free"\n',
        "lines.3.ground",
        "missing",
    ),
    "safety unknown": ('safety = "weapon lock"', 'safety = "lock"', "lines.1.safety", "(got 'lock')"),
    "safety skipped": (
        SAFETY_TAIL,
        SAFETY_TAIL + "may_skip = true\n",
        "lines.1.may_skip",
        "weapon lock is never skipped (got true)",
    ),
    "safety deferred": (
        SAFETY_TAIL,
        SAFETY_TAIL + 'deferral = "one fight"\n',
        "lines.1.deferral",
        "never deferred (got 'one fight')",
    ),
    "safety by one": ("second = true", "second = false", "lines.1.second", "wants a second person"),
    "safety by one, unsaid": ("\nsecond = true\n", "\n", "lines.1.second", "Set second = true."),
    "second not a flag": ("second = true", "second = 1", "lines.1.second", "true or false (got 1)"),
    "skip not a flag": ("may_skip = true", 'may_skip = "yes"', "lines.3.may_skip", "(got 'yes')"),
    "skip mistyped": ("may_skip = true", "may-skip = true", "lines.3.may-skip", "nearest is may_skip"),
    "figure without unit": ('"spin-down, s"', '"spin-down"', "lines.2.figure", "(got 'spin-down')"),
    "figure in minutes": ('"spin-down, s"', '"spin-down, min"', "lines.2.figure", "must be s"),
    "limit without figure": (
        LIMIT_TAIL,
        'limit_from = "spin_down_s"\n',
        "lines.2.limit_from",
        "without a figure",
    ),
    "limit unknown": ('"spin_down_s"', '"spindown"', "lines.2.limit_from", "(got 'spindown')"),
    "wording unknown": (
        "may_skip = true",
        'text_from = "match_s"',
        "lines.3.text_from",
        "gap_min (got 'match_s')",
    ),
    "evidence unknown": (
        "may_skip = true",
        'evidence = ["pack"]',
        "lines.3.evidence",
        "configuration, packs, tip (got ['pack'])",
    ),
    "evidence not a list": ("may_skip = true", 'evidence = "packs"', "lines.3.evidence", "(got 'packs')"),
    "evidence twice": ("may_skip = true", 'evidence = ["look", "look"]', "lines.3.evidence", "a word stands twice"),
    "a safety item by the book": (
        SAFETY_TAIL,
        f'{SAFETY_TAIL}evidence = ["packs"]\n',
        "lines.1.evidence",
        "the weapon lock is seen by people",
    ),
    "two people by the book": (
        "may_skip = true",
        'second = true\nevidence = ["packs"]',
        "lines.3.evidence",
        "two people sign this line",
    ),
    "caution a date": ("may_skip = true", "caution = 2026-06-13", "lines.3.caution", "(got 2026-06-13)"),
    "key of the list in a line": (
        "may_skip = true",
        "title = 'gate'",
        "lines.3.title",
        "above the first [[lines]]",
    ),
    "thirteen lines": (
        "may_skip = true\n",
        "".join(f'[[lines]]\nid = "x{n}"\ntext = "look"\nground = "common practice"\n' for n in range(4, 14)),
        "lines",
        "one to 12 lines (got 13)",
    ),
    "a quote left open": ('title = "pit gate"', 'title = "pit gate', "line 2", "not TOML"),
    "an open bracket at the end": ("may_skip = true\n", "may_skip = [\n", "line 30", "not TOML"),
    "a key twice": ("minutes = 2", "minutes = 2\nminutes = 3", "line 8", "not TOML"),
}


def test_the_text_that_is_broken_below_is_good() -> None:
    checklist = parse(GOOD, "gate.toml")
    assert [line.id for line in checklist.lines] == ["lock in", "spin-down", "wheels"]
    assert checklist.lines[2].may_skip and checklist.lines[2].safety is None


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_named_with_its_key(name: str) -> None:
    old, new, key, words = BROKEN[name]
    assert GOOD.count(old) == 1
    with pytest.raises(ChecklistError) as raised:
        parse(GOOD.replace(old, new), "gate.toml")
    said = str(raised.value)
    assert said.startswith(f"gate.toml: {key}: ")
    assert words in said
    assert raised.value.place == f"gate.toml: {key}"
    assert len(said.splitlines()) == 1


@pytest.mark.parametrize(
    ("lines", "got"),
    [("", "missing"), ("lines = []\n", "(got 0)"), ("lines = 'x'\n", "(got 'x')"), ("[lines]\n", "a table")],
)
def test_a_list_without_lines_is_refused(lines: str, got: str) -> None:
    head = GOOD[: GOOD.index("[[lines]]")]
    with pytest.raises(ChecklistError, match=r"^gate\.toml: lines: ") as raised:
        parse(head + lines, "gate.toml")
    assert got in str(raised.value)


@pytest.mark.parametrize(
    ("good_for", "stale"),
    [
        ("one event", ["event_changed"]),
        ("one day", ["day_over", "pack_moved"]),
        ("one charge", ["pack_moved", "fight_ended"]),
        ("one fight", ["fight_ended", "day_over"]),
        ("until disturbed", ["function_part_moved"]),
    ],
)
def test_a_list_asked_when_wanted_is_good_for_what_it_says(good_for: str, stale: list[str]) -> None:
    text = GOOD.replace('"one fight"', f'"{good_for}"\nasked = "when wanted"')
    checklist = parse(text.replace('["fight_ended"]', str(stale)), "gate.toml")
    assert (checklist.good_for, list(checklist.stale_when)) == (good_for, stale)
    assert not checklist.each_fight
    assert parse(GOOD, "gate.toml").each_fight


def test_all_problems_of_a_file_are_said_at_once() -> None:
    text = GOOD.replace("minutes = 2", "minutes = 0").replace('"wheels"', '"Wheels"').replace("40", "'x'")
    with pytest.raises(ChecklistError) as raised:
        parse(text, "gate.toml")
    assert [line.split(": ")[:2] for line in str(raised.value).splitlines()] == [
        ["gate.toml", "order"],
        ["gate.toml", "minutes"],
        ["gate.toml", "lines.3.id"],
    ]
    assert raised.value.place == "gate.toml: order"


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000,
        "a = " + "{b = " * 3000,
        "a = " + "9" * 5000,
        "#" * (MOST_BYTES + 1),
        "é" * (MOST_BYTES // 2 + 1),
    ],
    ids=["brackets", "braces", "digits", "bytes", "bytes of two"],
)
def test_a_file_out_of_all_bounds_is_refused_by_name(text: str) -> None:
    with pytest.raises(ChecklistError, match=r"^gate\.toml: (not a|too long for a) checklist"):
        parse(text, "gate.toml")


def test_an_odd_file_name_reaches_no_terminal() -> None:
    with pytest.raises(ChecklistError) as raised:
        parse("", "a\x1b]0;b\x07.toml")
    assert str(raised.value).replace("\n", "").isprintable()


def test_a_broken_file_stops_none_of_the_others(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(GOOD.replace("minutes = 2", "minutes = 0\nminuts = 1"))
    (tmp_path / "b.toml").write_text("not a list")
    (tmp_path / "c.toml").write_text(GOOD)
    (tmp_path / "d.toml").write_bytes(GOOD.encode() + b'\n# caf\xe9\n# "')
    (tmp_path / "notes.txt").write_text("not a list")
    (tmp_path / ".#c.toml").write_text("not a list")
    (tmp_path / "e.toml").mkdir()
    good, problems = load_all(tmp_path)
    assert [checklist.id for checklist in good] == ["pit gate"]
    assert [problem.place for problem in problems] == [
        "a.toml: minuts",
        "a.toml: minutes",
        "b.toml: line 1",
        "d.toml: line 32",
    ]
    with pytest.raises(ChecklistError, match=r"^a\.toml: minuts: "):
        load(tmp_path)


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "gate.toml").write_text(GOOD)
    (tmp_path / "x.toml").symlink_to(tmp_path / "gone.toml")
    good, problems = load_all(tmp_path)
    assert len(good) == 1
    assert [str(problem) for problem in problems] == ["x.toml: cannot be read: No such file or directory"]


def test_two_files_with_one_id_keep_the_first_and_name_both(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(GOOD)
    (tmp_path / "b.toml").write_text(GOOD.replace("order = 40", "order = 1"))
    good, problems = load_all(tmp_path)
    assert [checklist.order for checklist in good] == [40]
    assert [str(problem) for problem in problems] == ["b.toml: id: already the id of a.toml (got 'pit gate')"]


def test_lists_come_by_order_whatever_their_file_names(tmp_path: Path) -> None:
    for file, name, order in (("a", "last", 3), ("b", "first", 1), ("c", "tied b", 2), ("d", "tied a", 2)):
        text = GOOD.replace('id = "pit gate"', f'id = "{name}"').replace("order = 40", f"order = {order}")
        (tmp_path / f"{file}.toml").write_text(text)
    assert [checklist.id for checklist in load(tmp_path)] == ["first", "tied a", "tied b", "last"]


@pytest.mark.parametrize("make", ["nothing", "a file", "an empty folder"])
def test_a_folder_without_lists_is_a_problem_and_not_a_crash(tmp_path: Path, make: str) -> None:
    folder = tmp_path / "lists"
    if make == "a file":
        folder.write_text(GOOD)
    elif make == "an empty folder":
        folder.mkdir()
    good, problems = load_all(folder)
    assert good == ()
    assert len(problems) == 1


def test_what_windows_editors_add_is_read_through(tmp_path: Path) -> None:
    (tmp_path / "gate.toml").write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert load(tmp_path) == (parse(GOOD, "gate.toml"),)
