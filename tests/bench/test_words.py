"""Reasons and entries in sentences: none missing, none too long for its line."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import pitcrew.readiness
from pitcrew.bench import words
from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.standing import View
from pitcrew.readiness.verdict import Because, Requirement
from pitcrew.robot.kinds import DEFINITION_KINDS, KINDS
from pitcrew.robot.records import Entry
from tests.bench.demo_day import DemoDay

LONGEST = 160
LONGEST_OF_A_LIST = 120


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
    assert len({group for group, _, _ in found}) == 14
    assert misfits(found) == []
    assert [row for row in found if len(row[2]) >= LONGEST] == []


def test_every_reason_of_a_list_is_short(views: list[View]) -> None:
    found = [text for group, verdict, text in reasons(views) if group == "check" and verdict != "pass"]
    assert len(found) > 5
    assert [text for text in found if len(text) > LONGEST_OF_A_LIST] == []


def checked(views: list[View], checklist: str, codes: str) -> str:
    """What is said of a list whose lines, one letter each, are not answered, used up by a fight, or answered no."""
    view = next(
        view
        for view in views
        if any(r.subject == checklist and r.because[0].code == "used up" for r in view.standing.requirements)
    )
    used = next(r.because[0] for r in view.standing.requirements if r.subject == checklist)
    lines = next(item.lines for item in view.case.checklists if item.id == checklist)
    code = {"n": ("not answered", ()), "u": ("used up", used.facts), "x": ("answered no", used.facts)}
    because = [
        Because(*code[letter], (("checklist", checklist), ("line", line.id)))
        for letter, line in zip(codes, lines, strict=False)
        if letter != "."
    ]
    requirement = Requirement(f"check:{checklist}", "check", checklist, "due", tuple(because))
    return words.reason(view.case, requirement)


def test_lines_not_answered_are_counted_and_named(views: list[View]) -> None:
    lines = [line.id for item in views[0].case.checklists if item.id == "before call" for line in item.lines]
    assert checked(views, "before call", "nnn") == f"3 of {len(lines)} not answered: {', '.join(lines[:3])}"
    assert checked(views, "before call", "..n") == f"1 of {len(lines)} not answered: {lines[2]}"
    every = checked(views, "before call", "n" * len(lines))
    assert every.startswith(f"{len(lines)} of {len(lines)} not answered: {lines[0]}, {lines[1]}, ")
    assert every.endswith(", ..")


def test_lines_used_up_are_counted_unless_all_are(views: list[View]) -> None:
    lines = [line.id for item in views[0].case.checklists if item.id == "before call" for line in item.lines]
    every = checked(views, "before call", "u" * len(lines))
    assert re.fullmatch(r"good for one fight; \w+ ended \d\d:\d\d", every)
    assert checked(views, "before call", "uu") == f"2 of {len(lines)} used up, {every}: {lines[0]}, {lines[1]}"


@pytest.mark.parametrize("codes", ["nnnnnuuuuu", "unununun", "xxxxxxxxxx", "nuxnuxnux", "n", "x"])
def test_a_list_with_several_reasons_stays_short(views: list[View], codes: str) -> None:
    text = checked(views, "before call", codes)
    assert 0 < len(text) <= LONGEST_OF_A_LIST


def test_damage_nobody_saw_happen_says_what_it_is(views: list[View]) -> None:
    said = {text for _, _, text in reasons(views)}
    assert "since then cracked with no hit seen counts as a solid blow on AR 15:30" in said


def test_a_single_reading_says_its_doubt(views: list[View]) -> None:
    """4.2 mm by a tread gauge of 0.5 mm steps: in doubt by 0.35 mm, by hand in the day's story (invented)."""
    texts = {text for group, _, text in reasons(views) if group == "limit"}
    assert any(text.startswith("4.20 mm +-0.35 mm against at least 4.00 mm, ") for text in texts)


def test_a_published_doubt_is_shortened_as_published() -> None:
    """JCGM 100:2008, 7.2.6: "28,05 kHz should be rounded down to 28 kHz" (quoted from memory)."""
    assert words.doubt(28.05) == "28"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.0, "0"),
        (0.01848423, "0.0185"),
        (0.05751811, "0.058"),
        (0.17387735, "0.174"),
        (0.36055, "0.36"),
        (0.0999, "0.100"),
        (0.058, "0.058"),
        (0.0614, "0.0614"),
        (12.3, "12.3"),
        (250.0, "250"),
        (1e-7, "0.00000010"),
    ],
)
def test_a_doubt_in_digits(value: float, said: str) -> None:
    assert words.doubt(value) == said


@given(value=st.floats(1e-9, 1e6))
def test_a_doubt_is_not_said_smaller_than_it_is(value: float) -> None:
    """By half a hundredth at most; and no more than five hundredths larger, the half of a last digit of two."""
    said = float(words.doubt(value))
    assert value * (0.995 - 1e-9) <= said <= value * 1.05 + 1e-15
    assert "e" not in words.doubt(value).lower()


@pytest.mark.soak
def test_every_reason_at_every_minute_of_the_day(demo: DemoDay) -> None:
    found = reasons(list(demo.views(every=1)))
    assert misfits(found) == []
    assert [row for row in found if len(row[2]) >= LONGEST] == []


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
    "pack_read": (
        {"cells_v": [4.18, 4.2], "ohm_per_cell": 0.0023, "temperature_k": 319.15, "used_coulomb": 18720.0},
        "pack read 4.18 4.20 V, 2.3 mOhm, 46 deg C, 5.2 Ah used:",
    ),
    "charge_started": (
        {"current_a": 8.0, "to_put_back_coulomb": 18720.0, "watched_by": "EW"},
        "on charge 8 A, 5.2 Ah to put back, watched by EW:",
    ),
    "charge_ended": ({"to": "full", "lowest_v": 4.19}, "off charge full, 4.19 V:"),
    "stocked": ({"how": "used", "count": 4}, "stock used 4"),
    "shift": ({"on": True}, "shift begins:"),
    "signed": ({"rests_on": []}, "signed off"),
    "tip_speed": ({"value_m_s": 84.2, "typed": "84.2 m/s"}, "tip speed 84.2 m/s"),
    "worked": ({"how": "welded"}, "worked in place welded:"),
    "rewired": ({}, "wiring touched"),
    "reprogrammed": ({}, "memory changed"),
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
