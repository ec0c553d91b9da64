"""What holds for every text, and the documentation held against the keys that are taken."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pitcrew import checklists
from pitcrew.checklists import keys as known_keys
from pitcrew.checklists import parse
from pitcrew.checklists.keys import (
    CHECKLIST_KEYS,
    EVIDENCE,
    LIMIT_RULES,
    LINE_KEYS,
    MOST_BYTES,
    SAFETY,
    TEXT_RULES,
    Key,
)
from pitcrew.errors import ChecklistError
from pitcrew.readiness.judge import RULES
from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.kinds import KINDS

HEAD: dict[str, Any] = {
    "id": "gate",
    "title": "gate",
    "when": "each fight",
    "good_for": "one fight",
    "stale_when": ["fight_ended"],
    "order": 1,
    "minutes": 1,
    "people": 2,
    "second_person": True,
}


def toml(head: dict[str, Any], lines: list[dict[str, Any]]) -> str:
    """Tables as TOML, for values that JSON and TOML write alike."""

    def rows(table: dict[str, Any]) -> str:
        return "".join(f"{json.dumps(key)} = {json.dumps(value)}\n" for key, value in table.items())

    return rows(head) + "".join("[[lines]]\n" + rows(line) for line in lines)


def accepted(text: str) -> Checklist | None:
    try:
        return parse(text, "any.toml")
    except ChecklistError as error:
        for line in str(error).splitlines():
            assert line.startswith("any.toml: ")
            assert line.isprintable()
        return None


any_text = st.text(st.characters(exclude_categories=()))
TOKENS = [
    "id",
    "lines",
    "[[",
    "]]",
    "[",
    "]",
    "{",
    "}",
    "=",
    ".",
    ",",
    '"',
    "'",
    '"""',
    "\\u001b",
    "#",
    "true",
    "nan",
    "-inf",
    "1e400",
    "0x",
    "1979-05-27T07:32:00Z",
]
token = st.sampled_from([*TOKENS, "[[lines]]\n", "\n", " ", "\r", "\x00", "9" * 4400])
shuffled = st.lists(token, max_size=30).map("".join)


@given(any_text | shuffled)
@example("a = " + "[" * 20000)
@example("x" * (MOST_BYTES + 1))
@example("\ud800")
@example("\ufeff")
def test_any_text_is_a_checklist_or_a_checklist_error(text: str) -> None:
    accepted(text)


@given(st.data())
def test_a_good_file_with_anything_written_into_it_is_read_or_refused(data: st.DataObject) -> None:
    text = toml(HEAD, [{"id": "a", "text": "look", "ground": "common practice"}])
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 12)))
    accepted(text[:start] + data.draw(any_text | shuffled) + text[end:])


anything = st.recursive(
    st.booleans() | st.integers(-(10**18), 10**18) | st.text(st.characters(categories=["L", "P", "Zs"])),
    lambda inner: st.lists(inner, max_size=4),
    max_leaves=5,
)


@given(
    st.dictionaries(st.sampled_from([key.name for key in CHECKLIST_KEYS if key.name != "lines"]), anything),
    st.lists(st.dictionaries(st.sampled_from([key.name for key in LINE_KEYS]), anything), max_size=3),
)
def test_any_value_at_any_key_is_read_or_refused(head: dict[str, Any], lines: list[dict[str, Any]]) -> None:
    accepted(toml(HEAD | head, lines))


line_tables = st.fixed_dictionaries(
    {
        "id": st.sampled_from("abcdefghijklmnop"),
        "text": st.just("look"),
        "ground": st.just("common practice"),
    },
    optional={
        "safety": st.sampled_from(SAFETY),
        "second": st.booleans(),
        "may_skip": st.booleans(),
        "figure": st.sampled_from(["stop, s", "speed, m/s"]),
        "limit_from": st.sampled_from(sorted(LIMIT_RULES)),
        "evidence": st.lists(st.sampled_from(EVIDENCE), max_size=2),
    },
)


def fair(line: dict[str, Any]) -> bool:
    """The rules of one line, said again."""
    alone = not line.get("second", False)
    if "safety" in line and (alone or line.get("may_skip", False)):
        return False
    evidence = line.get("evidence", [])
    if len(set(evidence)) != len(evidence) or (evidence and ("safety" in line or not alone)):
        return False
    unit = {"power_cut_s": "s", "spin_down_s": "s", "tip_speed_cap_m_s": "m/s"}.get(line.get("limit_from", ""))
    return unit is None or line.get("figure", "").endswith(f", {unit}")


@given(st.lists(line_tables, min_size=1, max_size=14, unique_by=lambda line: line["id"]) | st.lists(line_tables))
def test_a_list_is_taken_exactly_when_its_lines_keep_the_rules(lines: list[dict[str, Any]]) -> None:
    names = [line["id"] for line in lines]
    keeps = 1 <= len(lines) <= 12 and len(set(names)) == len(names) and all(map(fair, lines))
    checklist = accepted(toml(HEAD, lines))
    assert (checklist is not None) == keeps
    if checklist is not None:
        assert [line.id for line in checklist.lines] == names


@given(st.lists(line_tables.filter(fair), min_size=1, max_size=12, unique_by=lambda line: line["id"]))
def test_what_a_file_says_is_what_the_record_holds(lines: list[dict[str, Any]]) -> None:
    checklist = parse(toml(HEAD, lines), "any.toml")
    for said, line in zip(lines, checklist.lines, strict=True):
        assert {name: getattr(line, name) for name in said} == said | {
            name: tuple(value) for name, value in said.items() if isinstance(value, list)
        }
        assert all(getattr(line, name) in (None, False, ()) for name in set(Line._fields) - set(said))


def documented(heading: str) -> dict[str, str]:
    """The keys under one heading of the module's documentation, each with its words."""
    doc = checklists.__doc__ or ""
    block = doc.split(f"{heading}:\n")[1].split("\n\n")[0]
    entries = re.findall(r"^    (\w+) +(.*(?:\n {10,}.*)*)", block, flags=re.MULTILINE)
    return {key: " ".join(words.split()) for key, words in entries}


@pytest.mark.parametrize(
    ("heading", "keys", "record"),
    [("Keys of a checklist", CHECKLIST_KEYS, Checklist), ("Keys of a line", LINE_KEYS, Line)],
)
def test_the_documentation_names_every_key_and_no_other(
    heading: str, keys: tuple[Key, ...], record: type[Checklist] | type[Line]
) -> None:
    said = documented(heading)
    assert set(said) == {key.name for key in keys} == set(record._fields)
    for key in keys:
        without = {name: value for name, value in HEAD.items() if name != key.name}
        line = {"id": "a", "text": "look", "ground": "common practice"}
        if record is Line:
            text = toml(HEAD, [{name: value for name, value in line.items() if name != key.name}])
        else:
            text = toml(without, [] if key.name == "lines" else [line])
        assert (accepted(text) is not None) == said[key.name].startswith("(optional)"), key.name


def test_the_documentation_names_every_word_of_the_closed_sets() -> None:
    head, line = documented("Keys of a checklist"), documented("Keys of a line")
    assert set(re.findall(r'"([^"]+)"', head["asked"])) == set(known_keys.ASKED)
    assert set(re.findall(r'"([^"]+)"', head["good_for"])) == set(known_keys.GOOD_FOR)
    assert set(re.findall(r'"([^"]+)"', head["stale_when"])) == set(known_keys.STALE_WHEN)
    assert set(re.findall(r'"([^"]+)"', line["safety"])) == set(SAFETY)
    assert set(re.findall(r"\w+_s\b", line["limit_from"])) == set(LIMIT_RULES)
    assert set(re.findall(r"\w+_\w+", line["text_from"])) == set(TEXT_RULES)
    assert set(re.findall(r'"([^"]+)"', line["evidence"])) == set(EVIDENCE)


def test_the_book_answers_with_every_sort_of_requirement_but_lists_and_signatures() -> None:
    assert set(EVIDENCE) == {*RULES, "weight"}


def test_the_rules_named_by_lines_are_rules_of_an_event() -> None:
    fields = {field.name: field.takes for field in KINDS["event"].fields}
    suffixes = {"s": "_s", "m/s": "_m_s"}
    for rule, unit in LIMIT_RULES.items():
        assert fields[rule] == "a number above zero"
        assert rule.endswith(suffixes[unit])
        assert (unit == "m/s") == rule.endswith("_m_s")
    assert set(TEXT_RULES) <= set(fields)
