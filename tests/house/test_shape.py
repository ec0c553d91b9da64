"""The shape of the code: its size, its docstrings, its words, and what starting it loads."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted((ROOT / "pitcrew").rglob("*.py"))

FUNCTION_LINES = 40
FILE_LINES = 400
CLASS_METHODS = 25

# What may be larger: "path" or "path::name" with its size, each with a comment that gives the reason.
ALLOWED: dict[str, int] = {}

PURE = ("engineering", "readiness", "robot")
IMPURE_CALLS = {"open", "print", "input", "eval", "exec", "now", "today", "utcnow"}

HEAVY = {"textual", "pint", "pydantic", "sqlite_utils"}

# Each pattern is written so that it does not match itself.
FORBIDDEN_WORDS = {
    "a path of one machine": re.compile(r"(?<![\w.])/(?:work|tmp)(?![\w.-])"),
    "a package index": re.compile(r"\b(?:pypi\.org|pythonhosted\.org|npmjs\.(?:org|com)|deb\.debian\.org)\b", re.I),
}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Documented = ast.Module | ast.ClassDef | Function


def parsed(path: Path) -> tuple[str, ast.Module]:
    return path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def body_lines(function: Function) -> int:
    """Lines of a function's body; its docstring does not count, for a figure's says a lot."""
    body = function.body[1:] if ast.get_docstring(function, clean=False) is not None else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def methods(node: ast.ClassDef) -> int:
    return sum(isinstance(item, Function) for item in node.body)


def oversized(name: str, text: str) -> dict[str, int]:
    """What is larger than it may be in one file, with its size."""
    sizes = {name: len(text.splitlines())} if len(text.splitlines()) > FILE_LINES else {}
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, Function) and body_lines(node) > FUNCTION_LINES:
            sizes[f"{name}::{node.name}"] = body_lines(node)
        if isinstance(node, ast.ClassDef) and methods(node) > CLASS_METHODS:
            sizes[f"{name}::{node.name}"] = methods(node)
    return sizes


def public(name: str, tree: ast.Module) -> Iterator[tuple[str, Documented]]:
    """The module, its public classes and functions, and their public methods.

    Methods of the front end are left out: nearly all are hooks that the framework names and describes.
    """
    yield name, tree
    for node in tree.body:
        if not isinstance(node, ast.ClassDef | Function) or node.name.startswith("_"):
            continue
        yield f"{name}::{node.name}", node
        if isinstance(node, ast.ClassDef) and not name.startswith("pitcrew/tui/"):
            for item in node.body:
                if isinstance(item, Function) and not item.name.startswith("_"):
                    yield f"{name}::{node.name}.{item.name}", item


def undocumented(name: str, tree: ast.Module) -> list[str]:
    return [where for where, node in public(name, tree) if not (ast.get_docstring(node) or "").strip()]


def impure_calls(name: str, tree: ast.Module) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            word = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
            if word in IMPURE_CALLS:
                found.append(f"{name}:{node.lineno} {word}()")
    return found


def forbidden_words(name: str, text: str) -> list[str]:
    return [
        f"{name}:{number} {what}: {line.strip()[:80]}"
        for number, line in enumerate(text.splitlines(), 1)
        for what, pattern in FORBIDDEN_WORDS.items()
        if pattern.search(line)
    ]


def tracked_texts() -> Iterator[tuple[str, str]]:
    """Every text file that is, or would be, under version control."""
    listing = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(listing, cwd=ROOT, capture_output=True, check=True).stdout.decode().split("\0")
    for name in filter(None, names):
        path = ROOT / name
        content = path.read_bytes() if path.is_file() else b"\0"
        if b"\0" not in content:
            yield name, content.decode("utf-8", errors="replace")


def test_nothing_is_larger_than_it_may_be() -> None:
    sizes: dict[str, int] = {}
    for path in SOURCES:
        sizes |= oversized(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    assert sizes == ALLOWED


def test_a_long_function_file_or_class_is_seen() -> None:
    function = 'def long():\n    """Say."""\n' + "    x = 1\n" * (FUNCTION_LINES + 1)
    crowd = "class Crowd:\n" + "".join(f"    def m{n}(self): ...\n" for n in range(CLASS_METHODS + 1))
    padding = "# line\n" * (FILE_LINES - len((function + crowd).splitlines()))
    assert oversized("a.py", function + crowd + padding) == {
        "a.py::long": FUNCTION_LINES + 1,
        "a.py::Crowd": CLASS_METHODS + 1,
    }
    assert oversized("a.py", padding + function + crowd + "x = 1\n")["a.py"] == FILE_LINES + 1


def test_the_docstring_of_a_function_does_not_count() -> None:
    text = 'def short():\n    """Say.\n' + "    more\n" * FUNCTION_LINES + '    """\n' + "    x = 1\n" * FUNCTION_LINES
    assert oversized("a.py", text) == {}


def test_everything_public_has_a_docstring() -> None:
    missing = [where for path in SOURCES for where in undocumented(*parsed(path))]
    assert missing == []


def test_a_missing_docstring_is_seen() -> None:
    tree = ast.parse('"""Mod."""\nclass A:\n    """A."""\n    def m(self): ...\n    def _m(self): ...\ndef f(): ...\n')
    assert undocumented("pitcrew/a.py", tree) == ["pitcrew/a.py::A.m", "pitcrew/a.py::f"]
    assert undocumented("pitcrew/tui/a.py", tree) == ["pitcrew/tui/a.py::f"]
    assert undocumented("pitcrew/a.py", ast.parse("x = 1")) == ["pitcrew/a.py"]


def test_pure_layers_call_nothing_that_reads_the_world() -> None:
    paths = [path for layer in PURE for path in (ROOT / "pitcrew" / layer).rglob("*.py")]
    assert paths
    assert [call for path in paths for call in impure_calls(*parsed(path))] == []


def test_a_call_that_reads_the_world_is_seen() -> None:
    tree = ast.parse("open('a')\nnow = view.now\ndatetime.now(UTC)\n")
    assert impure_calls("a.py", tree) == ["a.py:1 open()", "a.py:3 now()"]


def test_no_file_names_a_machine_or_a_package_index() -> None:
    texts = dict(tracked_texts())
    assert "README.md" in texts
    assert "tests/house/test_shape.py" in texts
    assert [found for name, text in texts.items() for found in forbidden_words(name, text)] == []


@pytest.mark.parametrize("place", ["work", "tmp"])
def test_a_path_of_one_machine_is_seen(place: str) -> None:
    assert forbidden_words("a", f"see /{place}/notes")
    assert forbidden_words("a", f"'/{place}'")
    assert not forbidden_words("a", f"rest/{place}, ./{place}/x, /{place}shop")


def test_a_package_index_is_seen() -> None:
    assert forbidden_words("a", "from https://" + ".".join(("files", "pythonhosted", "org")) + "/x")


STARTED = """
import json, runpy, sys
sys.argv = ["pitcrew", "--help"]
status = None
try:
    runpy.run_module("pitcrew", run_name="__main__", alter_sys=True)
except SystemExit as stop:
    status = stop.code
print(json.dumps({"status": status, "modules": sorted(sys.modules)}), file=sys.stderr)
"""


def test_help_starts_without_the_heavy_libraries(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-c", STARTED], cwd=tmp_path, capture_output=True, text=True, check=True)
    seen = json.loads(done.stderr.splitlines()[-1])
    assert seen["status"] in (0, None), done.stderr
    assert "pitcrew.errors" in seen["modules"]
    assert "Usage" in done.stdout
    assert HEAVY & {name.partition(".")[0] for name in seen["modules"]} == set()
