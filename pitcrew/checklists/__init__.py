"""Finds and reads checklists: one TOML file a list, its keys at the top and one `[[lines]]` table a line.

Keys of a checklist:
    id            lower-case words; no other list has it
    title         what the screen calls it
    when          the moment it is for, in words
    asked         (optional) "each fight", as when left out, or "when wanted": blocks no fight and is no job
    good_for      "one fight" or "until disturbed"; asked when wanted, also "one event", "one day", "one charge"
    stale_when    what uses the answers up, the end of what they are good for among it: "fight_ended",
                  "function_part_moved" (a part that wants a function check moved, wiring touched, memory changed);
                  asked when wanted, also "event_changed" (the robot is under another event's rules), "day_over"
                  (another day, where the event is), "pack_moved" (a pack was taken out or put in)
    order         place among the lists, a whole number, lowest first
    minutes       how long it takes
    people        how many it takes
    second_person (optional) true: not finished before another person has signed; needs two people, and must
                  be true when a line has `second`
    cautions      (optional) sentences that stand above the whole list
    lines         the lines, one to twelve

Keys of a line:
    id            lower-case words; no other line of the list has it
    text          what is looked at or done, short enough for one row
    ground        what it rests on: a kind of rule, or "common practice"
    safety        (optional) the safety item it proves: "weapon lock", "power cut-off", "power light" or
                  "failsafe"; such a line wants a second person and is never skipped or deferred
    second        (optional) true: wants the initials of another person than the one who did it
    may_skip      (optional) true: may be skipped, and the driver is told
    figure        (optional) a number asked for, as name and unit: "power cut, s"
    limit_from    (optional) the event rule the figure must not go above: power_cut_s, spin_down_s,
                  tip_speed_cap_m_s; the figure is in that rule's unit
    text_from     (optional) the event rule whose words are shown, as they were copied off the sheet: start_order,
                  spin_down_s, power_cut_s, tip_speed_cap_m_s, limit_kg, gap_min
    evidence      (optional) what the book itself answers the line with: a list of groups of requirements, of which
                  there is at least one and none blocks: "finding", "empty", "hand", "look", "limit", "life", "stack",
                  "joint", "locking", "weight", "configuration", "packs", "tip"; never for a safety item or a `second`
    caution       (optional) a sentence that stands directly above the line

Problems are named as `file: key: message (got ...)`, all of a file at once; lines are counted from 1.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from pitcrew.checklists.keys import (
    ABSENT,
    CHECKLIST_KEYS,
    EACH_FIGHT,
    ENDS,
    LIMIT_RULES,
    LINE_KEYS,
    MOST_BYTES,
    MOST_LINES,
    SAFETY,
    Key,
)
from pitcrew.errors import ChecklistError
from pitcrew.robot.checklist import Checklist, Line

_AT_LINE = re.compile(r"line (\d+), column \d+\)")


class _Report:
    """The problems of one file."""

    def __init__(self, file: str) -> None:
        self.file = _plain(file)
        self.problems: list[ChecklistError] = []

    def add(self, key: str, message: str, value: Any = ABSENT, hint: str = "") -> None:
        got = "" if value is ABSENT else f" (got {_got(value)})"
        place = f"{self.file}: {key}" if key else self.file
        self.problems.append(ChecklistError(message + got + ("." if hint else ""), hint, place))


def _plain(name: str) -> str:
    """A name from outside as it may be printed: odd characters escaped, cut to a row."""
    short = name if len(name) <= 60 else name[:57] + "..."
    return short if short.isprintable() else repr(short)


def _got(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return repr(value if len(value) <= 60 else value[:57] + "...")
        case dict():
            return "a table"
        case list() | tuple() if len(value) <= 3 and not any(isinstance(each, list) for each in value):
            return "[" + ", ".join(map(_got, value)) + "]"
        case list() | tuple():
            return f"a list of {len(value)}"
        case int() if abs(value) >= 10**15:  # Python refuses to print thousands of digits
            return "a number of more than 15 digits"
    return str(value)


def _unknown(report: _Report, path: str, name: str, value: Any, keys: tuple[Key, ...]) -> None:
    from difflib import get_close_matches

    place = path + _plain(name)
    if name.startswith("defer"):
        report.add(place, "a check is never deferred", value, "Take the key out.")
    elif path and any(name == key.name for key in CHECKLIST_KEYS):
        report.add(place, f"{name} belongs to the whole list", value, "Put it above the first [[lines]].")
    else:
        nearest = get_close_matches(name[:40], [key.name for key in keys], n=1, cutoff=0.0)[0]
        report.add(place, f"not a known key, the nearest is {nearest}", value)


def _values(report: _Report, path: str, table: Mapping[str, Any], keys: tuple[Key, ...]) -> dict[str, Any]:
    """The good values of one table, defaults filled in; every other is reported and left out."""
    known = {key.name for key in keys}
    for name, value in table.items():
        if name not in known:
            _unknown(report, path, name, value, keys)
    good: dict[str, Any] = {}
    for key in keys:
        value = table.get(key.name, key.default)
        if value is ABSENT:
            report.add(path + key.name, f"missing, it takes {key.takes}")
        elif key.name in table and not key.check(value):
            report.add(path + key.name, f"takes {key.takes}", value)
        else:
            good[key.name] = tuple(value) if isinstance(value, list) else value
    return good


def _safety_rules(report: _Report, path: str, line: Mapping[str, Any]) -> None:
    if (safety := line.get("safety")) is None:
        return
    if line.get("may_skip"):
        report.add(path + "may_skip", f"the {safety} is never skipped", True, "Take the key out.")
    if line.get("second") is False:
        report.add(path + "second", f"the {safety} wants a second person", hint="Set second = true.")


def _evidence_rules(report: _Report, path: str, line: Mapping[str, Any]) -> None:
    evidence = line.get("evidence") or ()
    if len(set(evidence)) != len(evidence):
        report.add(path + "evidence", "a word stands twice", evidence)
    if not evidence:
        return
    if (safety := line.get("safety")) is not None:
        report.add(path + "evidence", f"the {safety} is seen by people, never read off the book", evidence)
    elif line.get("second"):
        report.add(path + "evidence", "two people sign this line, so the book cannot answer it", evidence)


def _figure_rules(report: _Report, path: str, line: Mapping[str, Any]) -> None:
    if (rule := line.get("limit_from")) is None or "figure" not in line:
        return
    figure, unit = line["figure"], LIMIT_RULES[rule]
    if figure is None:
        report.add(path + "limit_from", "a limit without a figure", rule, "Say which figure is asked for.")
    elif figure.rsplit(", ", 1)[1] != unit:
        report.add(path + "figure", f"the unit must be {unit}, as in {rule}", figure)


def _lines(report: _Report, tables: tuple[dict[str, Any], ...]) -> list[dict[str, Any]]:
    if not 1 <= len(tables) <= MOST_LINES:
        report.add("lines", f"takes one to {MOST_LINES} lines", len(tables), "Split the list.")
    first: dict[str, int] = {}
    lines = []
    for number, table in enumerate(tables, 1):
        path = f"lines.{number}."
        line = _values(report, path, table, LINE_KEYS)
        _safety_rules(report, path, line)
        _evidence_rules(report, path, line)
        _figure_rules(report, path, line)
        name = line.get("id")
        if name is not None and first.setdefault(name, number) != number:
            report.add(path + "id", f"already the id of line {first[name]}", name)
        lines.append(line)
    return lines


def _stale_rules(report: _Report, good: Mapping[str, Any]) -> None:
    good_for, stale = good.get("good_for"), good.get("stale_when")
    if good_for is None or stale is None:
        return
    if len(set(stale)) != len(stale):
        report.add("stale_when", "a word stands twice", stale)
    if good_for in ENDS and ENDS[good_for] not in stale:
        report.add("stale_when", f"good for {good_for}, so {ENDS[good_for]} must be among them", stale)
    early = [word for word in (good_for, *stale) if word not in EACH_FIGHT]
    if good.get("asked") == "each fight" and early:
        report.add("asked", f"{early[0]} is only for a list asked when wanted", "each fight")
    if good_for == "until disturbed" and set(stale) != {"function_part_moved"}:
        report.add("stale_when", "good until disturbed, so it takes function_part_moved alone", stale)


def _people_rules(report: _Report, good: Mapping[str, Any], lines: list[dict[str, Any]]) -> None:
    signing = [number for number, line in enumerate(lines, 1) if line.get("second")]
    if good.get("second_person") is False and signing:
        report.add("second_person", f"line {signing[0]} wants a second person, so it must be true")
    if good.get("second_person") and good.get("people") == 1:
        report.add("people", "a second person signs, so it takes at least 2", 1)


def _checklist(report: _Report, table: Mapping[str, Any]) -> Checklist | None:
    good = _values(report, "", table, CHECKLIST_KEYS)
    lines = _lines(report, good["lines"]) if "lines" in good else []
    _stale_rules(report, good)
    _people_rules(report, good, lines)
    if report.problems:
        return None
    return Checklist(**{**good, "lines": tuple(Line(**line) for line in lines)})


def _syntax(report: _Report, text: str, error: tomllib.TOMLDecodeError) -> None:
    # The line stands only inside the sentence, and at the end of the text not even there.
    said, _, where = str(error).rpartition(" (at ")
    found = _AT_LINE.match(where)
    number = int(found[1]) if found else text.rstrip().count("\n") + 1
    report.add(f"line {number}", f"not TOML: {said or where}", hint="Put this line right first.")


def _read(text: str, name: str) -> tuple[Checklist | None, list[ChecklistError]]:
    report = _Report(name)
    if len(text.encode("utf-8", "replace")) > MOST_BYTES:
        report.add("", f"too long for a checklist, at most {MOST_BYTES} bytes")
        return None, report.problems
    try:
        table = tomllib.loads(text.removeprefix("\ufeff"))
    except RecursionError:
        report.add("", "not a checklist: brackets within brackets without end")
    except tomllib.TOMLDecodeError as error:
        _syntax(report, text, error)
    except ValueError:
        report.add("", "not a checklist: a number has thousands of digits")
    else:
        return _checklist(report, table), report.problems
    return None, report.problems


def parse(text: str, name: str) -> Checklist:
    """Read one checklist from the text of its file; `name` is what errors call the file.

    Raises:
        ChecklistError: printed, it is one line for every problem, `file: key: message (got ...)`; its place
            is that of the first. Whatever the text, nothing else is raised.
    """
    checklist, problems = _read(text, name)
    if checklist is not None:
        return checklist
    if len(problems) == 1:
        raise problems[0]
    first, *rest = problems
    after_place = str(first).removeprefix(f"{first.place}: ")
    raise ChecklistError("\n".join([after_place, *map(str, rest)]), place=first.place)


def shipped_folder() -> Path:
    """The folder of the lists that come with the program, in a wheel, an editable install or a checkout.

    Raises:
        ChecklistError: there is none.
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_shipped" / "checklists", package.parent / "checklists"):
        if folder.is_dir():
            return folder
    raise ChecklistError("the shipped checklists are missing.", "Install Pitcrew again.", str(package))


def _read_file(path: Path) -> tuple[Checklist | None, list[ChecklistError]]:
    report = _Report(path.name)
    raw = b""
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        return _read(raw.decode("utf-8"), path.name)
    except OSError as error:
        report.add("", f"cannot be read: {error.strerror or error}")
    except UnicodeDecodeError as error:
        number = raw[: error.start].count(b"\n") + 1
        report.add(f"line {number}", "not UTF-8 text", hint="Save the file as UTF-8.")
    return None, report.problems


def _files(folder: Path) -> list[Path]:
    # Names with a leading dot are what editors and file managers leave behind.
    found = [path for path in folder.iterdir() if path.suffix == ".toml" and path.name[0] != "."]
    # A link to nothing is a list that somebody misses, so it is kept, to be named as unreadable.
    return sorted(path for path in found if path.is_file() or not path.exists())


def load_all(folder: Path | None = None) -> tuple[tuple[Checklist, ...], tuple[ChecklistError, ...]]:
    """Every good checklist of a folder (None: the shipped ones), by order and id, and every problem.

    A file with a problem is left out whole and stops none of the others. Never raises: a robot is not to be
    called fit on the strength of lists that could not be read, so the caller has to show the problems.
    """
    kept: dict[str, tuple[str, Checklist]] = {}
    problems: list[ChecklistError] = []
    place = "checklists" if folder is None else _plain(str(folder))
    try:
        paths = _files(shipped_folder() if folder is None else folder)
    except ChecklistError as error:
        return (), (error,)
    except OSError as error:
        return (), (ChecklistError(f"the folder cannot be read: {error.strerror or error}", place=place),)
    for path in paths:
        checklist, found = _read_file(path)
        problems += found
        if checklist is None:
            continue
        other, _ = kept.setdefault(checklist.id, (path.name, checklist))
        if other != path.name:
            report = _Report(path.name)
            report.add("id", f"already the id of {_plain(other)}", checklist.id)
            problems += report.problems
    if not paths:
        problems.append(ChecklistError("no checklist in this folder", place=place))
    good = sorted((checklist for _, checklist in kept.values()), key=lambda each: (each.order, each.id))
    return tuple(good), tuple(problems)


def load(folder: Path | None = None) -> tuple[Checklist, ...]:
    """The checklists of a folder (None: the shipped ones), by order and id.

    Raises:
        ChecklistError: the first problem of any file.
    """
    checklists, problems = load_all(folder)
    if problems:
        raise problems[0]
    return checklists


def unasked(checklists: Iterable[Checklist]) -> tuple[str, ...]:
    """The safety items that no line asks for before each fight; a list asked when wanted proves none of them."""
    asked = {line.safety for checklist in checklists if checklist.each_fight for line in checklist.lines}
    return tuple(item for item in SAFETY if item not in asked)
