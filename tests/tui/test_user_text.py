"""User text on the screen: shown as it was typed, never as markup, never able to steer a terminal."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import pitcrew
from pitcrew.text import stray
from pitcrew.tui.actions import PLACES
from pitcrew.tui.frame import frame
from pitcrew.tui.paint import Span, cells, cut, fitted, line, pad, text_of
from tests.tui.driver import bench_at

TUI = Path(pitcrew.__file__).parent / "tui"
SOURCES = sorted(TUI.rglob("*.py"))
NASTY = (
    "[/] [red]hard[/red] [@click=app.quit]x[/]",
    "a[b=c] [link=file:///x]y",
    "\x1b]0;title\x07\x1b[31mred\x9b1mbold",
    "right\u202eto left\u2066",
    "\u65e5\u672c\u8a9e wide \u0301 marks",
)


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.split(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


def test_one_file_alone_hands_text_to_the_toolkit() -> None:
    assert [path.name for path in SOURCES if "textual" in imports(path)] == ["app.py"]


def test_that_file_uses_one_widget_and_paints_cleaned_rows_only() -> None:
    tree = ast.parse((TUI / "app.py").read_text("utf-8"))
    widgets = {
        name.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("textual.widget")
        for name in node.names
    }
    assert widgets == {"Widget"}
    called = {
        node.func.attr for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }
    assert not called & {"notify", "update", "mount", "copy_to_clipboard", "bell", "from_markup"}
    segments = [
        node for node in ast.walk(tree) if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Segment"
    ]
    # Blanks, or a span's text that `line` has cleaned.
    assert {ast.unparse(node.args[0]) for node in segments} == {"text", "' ' * (width - used)"}


@given(text=st.text(max_size=60), width=st.integers(1, 80))
def test_a_row_that_nobody_cleaned_is_clean_when_it_leaves(text: str, width: int) -> None:
    assert not stray(text_of(fitted((Span(text),), width)))


@pytest.mark.parametrize("text", NASTY)
def test_a_hostile_name_is_shown_on_every_screen_without_its_teeth(tmp_path: Path, text: str) -> None:
    bench = bench_at(tmp_path)
    case = bench.session.view.case if bench.session.view else None
    assert case is not None
    # As a foreign program might have written it into the file: past every check of ours.
    last = bench.book.entries(limit=1)[0]
    robot = next(case.evidence.facts("robot", case.robot)).entry
    part = next(iter(case.evidence.definitions("part", case.robot))).entry
    ids = [bench.session.source.ids.mint(last.tick) for _ in range(3)]
    named = {"name": text}
    foreign = [
        robot._replace(id=ids[0], tick=last.tick + 1, replaces=robot.id, detail={**robot.detail, **named}),
        part._replace(id=ids[1], tick=last.tick + 2, replaces=part.id, detail={**part.detail, **named}),
        last._replace(id=ids[2], tick=last.tick + 3, kind="note", subject=robot.subject, detail={"note": text}),
    ]
    bench.book.insert_raw(foreign, checked=True)
    bench.shell.elsewhere(bench.session.news())
    bench.settle()
    for place in PLACES:
        if place.act:
            continue
        bench.keys("tab", place.letter)
        for row in frame(bench.shell, 80, 24):
            shown = text_of(row)
            assert not stray(shown)
            assert cells(shown) == 80
    bench.keys("tab", "h")
    if text.startswith("[/]"):
        assert "[/] [red]hard[/red]" in bench.screen()[1]
    bench.book.close()


def test_a_note_that_looks_like_markup_is_logged_and_shown_as_typed(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    bench.type("note [/] [b]x").keys("enter")
    assert bench.newest()[0].detail["note"] == "[/] [b]x"
    assert "[/] [b]x" in bench.row("last")


@given(text=st.text(max_size=60), width=st.integers(0, 40))
def test_cut_and_pad_keep_their_width_whatever_the_letters(text: str, width: int) -> None:
    row = line(text)
    plain = text_of(row)
    assert cells(cut(plain, width)) <= width
    assert cells(pad(plain, width)) == width
    assert sum(cells(span.text) for span in fitted(row, width)) == width


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=st.text(max_size=60))
def test_no_row_holds_what_a_terminal_obeys(text: str) -> None:
    assert not stray(text_of(line(text)))
