"""Reasons and entries in sentences: none missing, none too long for its line."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import pitcrew.readiness
from pitcrew.bench import words
from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.standing import View
from pitcrew.robot.kinds import DEFINITION_KINDS, KINDS
from pitcrew.robot.records import Entry
from tests.bench.demo_day import DemoDay

LONGEST = 160


def _strings(node: ast.expr, function: ast.stmt, module: ast.Module) -> set[str]:
    """Every text an expression can be: a constant, a choice, a table looked up, a name or a call of the module."""
    match node:
        case ast.Constant(value=str(text)):
            return {text}
        case ast.IfExp():
            return _strings(node.body, function, module) | _strings(node.orelse, function, module)
        case ast.Call(func=ast.Attribute(value=ast.Dict() as table, attr="get")):
            return set().union(*(_strings(item, function, module) for item in (*table.values, *node.args[1:])))
        case ast.Name():
            given = [n for n in ast.walk(function) if isinstance(n, ast.Assign) and _assigns(n, node.id)]
            return set().union(*(_strings(n.value, function, module) for n in given))
        case ast.Call(func=ast.Name(id=name)):
            called = next(n for n in module.body if isinstance(n, ast.FunctionDef) and n.name == name)
            returns = [n.value for n in ast.walk(called) if isinstance(n, ast.Return) and n.value]
            return set().union(*(_strings(value, called, module) for value in returns))
    raise AssertionError(f"a reason's code that cannot be followed: {ast.unparse(node)}")


def _assigns(node: ast.Assign, name: str) -> bool:
    return any(isinstance(target, ast.Name) and target.id == name for target in node.targets)


@cache
def codes() -> dict[str, set[str]]:
    """Every reason made in readiness: where, and the codes it can have."""
    found: dict[str, set[str]] = {}
    for path in sorted(Path(pitcrew.readiness.__path__[0]).glob("*.py")):
        module = ast.parse(path.read_text("utf-8"))
        for statement in module.body:
            for node in ast.walk(statement):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Because":
                    found[f"{path.name}:{node.lineno}"] = _strings(node.args[0], statement, module)
    return found


def every_code() -> set[str]:
    return set().union(*codes().values())


def test_reasons_are_found_where_they_are_made() -> None:
    found = every_code()
    assert len(codes()) > 30
    assert {"hit since", "turned since", "driver says", "used up", "function part moved", "part moved since"} <= found


def test_every_reason_has_a_sentence() -> None:
    assert every_code() - set(words.SENTENCES) == set()


def test_no_other_reason_is_without_a_sentence() -> None:
    assert every_code() - set(words.SENTENCES) <= {"answered", "packs in"}


def test_no_sentence_is_left_over() -> None:
    assert set(words.SENTENCES) - every_code() == set()


def reasons(views: list[View]) -> set[tuple[str, str, str]]:
    return {
        (item.group, item.verdict, words.reason(view.case, item))
        for view in views
        for item in view.standing.requirements
    }


def misfits(found: set[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    return sorted(
        row
        for row in found
        if not row[2].strip()
        or not row[2].isascii()
        or not row[2].isprintable()
        or re.search(r"[0-9A-Z]{26}|None|\{|\?", row[2])
    )


def test_every_reason_of_the_day_is_a_plain_sentence(views: list[View]) -> None:
    found = reasons(views)
    assert len({group for group, _, _ in found}) == 12
    assert misfits(found) == []
    assert [row for row in found if len(row[2]) >= LONGEST and row[0] != "check"] == []


def test_every_reason_of_the_day_fits_its_line(views: list[View]) -> None:
    assert [row for row in reasons(views) if len(row[2]) >= LONGEST] == []


@pytest.mark.soak
def test_every_reason_at_every_minute_of_the_day(demo: DemoDay) -> None:
    found = reasons(list(demo.views(every=1)))
    assert misfits(found) == []
    assert [row for row in found if len(row[2]) >= LONGEST and row[0] != "check"] == []


SAYS: dict[str, tuple[dict[str, Any], str]] = {
    "fitted": ({"new": True}, "part in"),
    "removed": ({"to": "scrapped"}, "part out to scrapped"),
    "reading": ({"dimension": "gap", "typed": "262.05 mm"}, "dimension measured gap 262.05 mm"),
    "direct": ({"value_m": 0.0005, "typed": "0.5 mm"}, "gap measured directly 0.5 mm"),
    "part_weighed": ({"value_kg": 1.17, "typed": "1.17 kg"}, "part weighed 1.17 kg"),
    "weighed": ({"value_kg": 113.04, "typed": "113.04 kg"}, "robot weighed 113.04 kg"),
    "torqued": ({"fasteners": [3, 5], "typed": "45 N m", "second": "PB"}, "joint torqued 45 N m #3 #5 with PB"),
    "opened": ({"fasteners": "all"}, "joint opened"),
    "marks_good": ({}, "marks looked at, unbroken"),
    "looked_over": ({}, "zone looked over"),
    "looked_at": ({}, "part looked at"),
    "symptom": ({}, "driver says"),
    "hand_checked": ({"sign": False}, "hand check no sign"),
    "hit": ({"source": "slam"}, "hit solid slam"),
    "finding": ({"what": "bent"}, "found bent"),
    "mended": ({"how": "welded"}, "mended welded"),
    "deferred": ({"accepted_by": "PB"}, "run as is"),
    "entered": ({"name": "H1"}, "fight entered"),
    "fight_started": ({}, "fight started"),
    "fight_ended": ({"result": "win, KO"}, "fight ended win, KO"),
    "fight_left": ({}, "left the arena"),
    "declared": ({"declared": False}, "configuration declared withdrawn:"),
    "chosen": ({"pack_set": "x"}, "pack set chosen"),
    "answered": ({"answer": "skipped"}, "check answered skipped"),
    "accepted": ({}, "marginal accepted"),
    "bench_tested": ({}, "bench test"),
    "note": ({"note": "x"}, "note"),
    "withdrawn": ({}, "withdrawn"),
    **{kind: ({"name": "x"}, KINDS[kind].says) for kind in DEFINITION_KINDS},
}


def entry(kind: str, detail: dict[str, Any], place: str | None = None) -> Entry:
    grade = 2 if kind == "hit" else None
    return Entry("i", "a", 1, 1, "w", "MK", "R", kind, "s", place, grade, None, detail)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_an_entry_of_every_kind_is_said(kind: str) -> None:
    detail, says = SAYS[kind]
    assert entry_words(entry(kind, detail)) == says


def test_there_is_no_kind_unsaid() -> None:
    assert set(SAYS) == set(KINDS)


def test_a_hit_nobody_is_sure_of_says_so() -> None:
    assert entry_words(entry("hit", {"source": "taken"}, place="s")) == "hit solid taken, not sure"


def test_a_note_stands_in_brackets() -> None:
    assert note_words(entry("note", {"note": "long day"})) == "(long day)"
    assert note_words(entry("opened", {})) == ""


def test_every_entry_of_the_demo_is_said_in_plain_words(demo: DemoDay) -> None:
    evidence = demo.book.evidence()
    for item in demo.entries:
        text = " ".join((entry_words(item), subject_name(evidence, item), note_words(item)))
        assert text.isascii()
        assert not re.search(r"[0-9A-Z]{26}|None|\{", text), (item.kind, text)


def test_what_a_feeler_did_is_said() -> None:
    assert "0.3" in entry_words(entry("direct", {"goes_m": 0.0003, "stops_m": 0.0004}))


def test_a_figure_is_said_with_its_unit() -> None:
    assert entry_words(entry("reading", {"dimension": "gap", "value_m": 0.26205})).endswith("mm")


def test_what_the_hand_found_is_said() -> None:
    assert entry_words(entry("hand_checked", {"sign": True})) != entry_words(entry("hand_checked", {"sign": False}))


def test_which_fasteners_were_opened_is_said() -> None:
    assert "#3" in entry_words(entry("opened", {"fasteners": [3]}))
