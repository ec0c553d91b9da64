"""The views of a book as any SQLite reader sees them, with the shell `sqlite3`, against what the program says."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pitcrew.bench.ledger import Ledger
from pitcrew.bench.openbook import moment_of
from pitcrew.bench.standing import View, view
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.demo.scratch import shipped_demo
from pitcrew.logbook.book import Book
from pitcrew.logbook.schema import VIEWS, VIEWS_2
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.felt import felt
from pitcrew.robot.definitions import robots

pytestmark = pytest.mark.skipif(shutil.which("sqlite3") is None, reason="there is no sqlite3 here")

HANDBOOK = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"
SECTION = "## Your book in any SQLite reader"


def ask(book: Path, query: str, live: bool = False) -> list[dict[str, Any]]:
    """The rows of a query, by the shell; `live` of a book that a bench has open."""
    name = str(book) if live else f"{book.as_uri()}?immutable=1"
    command = ["sqlite3", "-readonly", "-json", name, query]
    done = subprocess.run(command, check=True, capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    return json.loads(done.stdout) if done.stdout.strip() else []


def queries() -> dict[str, str]:
    """The queries of the handbook, by the view they ask."""
    section = HANDBOOK.read_text().split(SECTION)[1].split("\n## ")[0]
    found = re.search(r"```sql\n(.*?)```", section, re.DOTALL)
    assert found is not None
    named = re.split(r"^-- (\w+).*$", found[1], flags=re.MULTILINE)[1:]
    return dict(zip(named[::2], named[1::2], strict=True))


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's book, alone in its folder."""
    path = tmp_path_factory.mktemp("alone") / "book.db"
    shutil.copyfile(shipped_demo(), path)
    return path


@pytest.fixture(scope="module")
def views_of_program(book: Path) -> Iterator[dict[str, View]]:
    """Both robots as the program judges them after the whole day, by name."""
    clock = FixedClock(0)
    with Book.open(book, clock, SeededIds(7), readonly=True) as opened:
        clock.set(opened.highest_tick())
        moment = moment_of(opened, clock, None)
        evidence = opened.evidence(moment.cut)
        yield {robot.name: view(evidence, robot.id, moment.now, ()) for robot in robots(evidence)}


def test_the_handbook_asks_every_view_and_describes_its_columns(book: Path) -> None:
    section = HANDBOOK.read_text().split(SECTION)[1].split("\n## ")[0]
    assert set(queries()) == set(VIEWS | VIEWS_2)
    for name in VIEWS | VIEWS_2:
        (row,) = (line for line in section.splitlines() if line.startswith(f"| `{name}` |"))
        columns = [column["name"] for column in ask(book, f"SELECT name FROM pragma_table_info('{name}')")]
        # What `fact` has of the table itself stands with the table.
        wanted = {"root", "root_tick", "root_writer"} if name == "fact" else set(columns)
        assert wanted <= set(re.findall(r"`(\w+)`", row)) | {name}, name


def test_every_query_of_the_handbook_is_answered(book: Path) -> None:
    for name, query in queries().items():
        assert ask(book, query), name


def test_what_is_fitted_now_is_what_the_ledger_says(book: Path, views_of_program: dict[str, View]) -> None:
    said = {(row["place"], row["part"]) for row in ask(book, queries()["fitted_now"])}
    known = set()
    for shown in views_of_program.values():
        ledger = Ledger(shown)
        rows = [row for block in ledger.blocks for row in ledger.rows(block) if row.place and row.part]
        known |= {(row.name, row.part_name) for row in rows}
    assert said == known


def test_a_thing_that_was_edited_has_its_newest_name(book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    shutil.copyfile(book, copy)
    clock = FixedClock(0)
    with Book.open(copy, clock, SeededIds(7)) as opened:
        clock.set(opened.highest_tick() + 60_000)
        wheel = next(e for e in opened.entries(limit=2000) if e.kind == "part" and e.detail["name"] == "wheel 4")
        detail = {**wheel.detail, "name": "wheel four"}
        opened.append([Draft("part", wheel.subject, "MK", robot=wheel.robot, detail=detail)])
    assert [row["part"] for row in ask(copy, queries()["readings"])] == ["wheel four"] * 2
    assert len(ask(copy, queries()["fitted_now"])) == len(ask(book, queries()["fitted_now"]))


def test_readings_are_those_that_count(book: Path, views_of_program: dict[str, View]) -> None:
    case = views_of_program["TALLOW ANVIL"].case
    rows = ask(book, "SELECT id, measured_on || '/' || dimension AS subject, value_m FROM readings")
    for subject in {row["subject"] for row in rows}:
        mine = {row["id"]: row["value_m"] for row in rows if row["subject"] == subject}
        assert mine == {fact.id: fact.detail["value_m"] for fact in case.facts("reading", subject)}
    treads = ask(book, queries()["readings"])
    # By the day's log: the tread gauge before H3, the caliper after it.
    assert [(row["part"], row["mm"], row["with"]) for row in treads] == [
        ("wheel 4", 4.2, "TRG"),
        ("wheel 4", 4.11, "CAL"),
    ]


def test_hits_are_those_the_zones_felt(book: Path, views_of_program: dict[str, View]) -> None:
    rows = ask(book, "SELECT id, zone, grade FROM hits_felt")
    for shown in views_of_program.values():
        for zone in shown.case.defs.zones:
            mine = {row["id"] for row in rows if row["zone"] == zone}
            assert mine == {fact.id for fact in felt(shown.case, zone, 1) if fact.subject == zone}
    counted = {(row["robot"], row["zone"]): row["hits"] for row in ask(book, queries()["hits_felt"])}
    assert sum(counted.values()) == len(rows)


def test_weighings_are_those_of_the_parts_and_configurations(book: Path, views_of_program: dict[str, View]) -> None:
    rows = ask(book, queries()["weighings"])
    for shown in views_of_program.values():
        case = shown.case
        for configuration in case.defs.configurations.values():
            said = [row["kg"] for row in rows if row["what"] == configuration.name and row["robot"] == shown.robot]
            assert said == [fact.detail["value_kg"] for fact in case.facts("weighed", configuration.id)][::-1]
    assert len(ask(book, "SELECT id FROM weighings WHERE kind = 'part_weighed'")) == 1


def test_torques_are_those_of_the_joints(book: Path, views_of_program: dict[str, View]) -> None:
    rows = ask(book, "SELECT id, joint, torque_nm, second FROM torques")
    for shown in views_of_program.values():
        for joint in shown.case.defs.joints:
            mine = {(row["id"], row["torque_nm"], row["second"]) for row in rows if row["joint"] == joint}
            facts = shown.case.facts("torqued", joint)
            assert mine == {(fact.id, fact.detail["torque_nm"], fact.detail.get("second")) for fact in facts}


def test_fights_are_those_entered_with_their_ends(book: Path, views_of_program: dict[str, View]) -> None:
    rows = ask(book, queries()["fights"])
    # By the day's log.
    assert [(row["fight"], row["result"]) for row in rows if row["robot"] == "TALLOW ANVIL"] == [
        ("H1", "win, judges"),
        ("H2", "loss, KO"),
        ("H3", "win, KO"),
        ("H4", "loss, judges"),
    ]


def test_packs_are_read_and_charged_as_the_program_has_it(book: Path, views_of_program: dict[str, View]) -> None:
    read = ask(book, "SELECT id, pack, lowest_v, temperature_k FROM packs_read")
    charged = ask(book, "SELECT id, pack, step FROM charges")
    for shown in views_of_program.values():
        packs = {pack for pack_set in shown.case.defs.pack_sets.values() for pack in pack_set.packs}
        for pack in packs:
            mine = {(row["id"], row["lowest_v"], row["temperature_k"]) for row in read if row["pack"] == pack}
            facts = shown.case.facts("pack_read", pack)
            assert mine == {(fact.id, fact.detail.get("lowest_v"), fact.detail.get("temperature_k")) for fact in facts}
            steps = {row["id"] for row in charged if row["pack"] == pack}
            kinds = ("charge_started", "charge_ended")
            assert steps == {fact.id for kind in kinds for fact in shown.case.facts(kind, pack)}
    assert read
    assert charged


def test_facts_are_the_lines_that_stand_as_they_speak_now(book: Path, views_of_program: dict[str, View]) -> None:
    evidence = views_of_program["TALLOW ANVIL"].case.evidence
    rows = ask(book, "SELECT root, id, root_tick, root_writer, kind FROM fact")
    assert len({row["root"] for row in rows}) == len(rows) > 500
    for row in rows:
        spoken = evidence.speaking(row["root"])
        assert spoken is not None
        assert (spoken.id, spoken.tick, spoken.writer) == (row["id"], row["root_tick"], row["root_writer"])
    # Every entry is in one line; those not in a fact were replaced, withdrawn or withdraw, or rest on what fell.
    assert ask(book, "SELECT count(*) AS n FROM line") == ask(book, "SELECT count(*) AS n FROM entry")
    standing = {row["root"] for row in ask(book, "SELECT root FROM standing_line")}
    assert {row["root"] for row in rows} <= standing


def test_looking_leaves_nothing_beside_the_file(book: Path, tmp_path: Path) -> None:
    written = tmp_path / "written.db"
    shutil.copyfile(book, written)
    # A book that was open for writing at a bench is left in another mode than a fresh copy.
    clock = FixedClock(0)
    with Book.open(written, clock, SeededIds(7)) as opened:
        clock.set(opened.highest_tick() + 60_000)
        opened.append([Draft("note", "belt box", "MK", detail={"note": "belt box is empty"})])
        assert ask(written, "SELECT kind FROM fact ORDER BY tick DESC LIMIT 1", live=True) == [{"kind": "note"}]
    for path in (book, written):
        before = path.read_bytes()
        assert ask(path, queries()["fact"])
        assert [item.name for item in path.parent.iterdir()] == [path.name]
        assert path.read_bytes() == before


def test_a_reader_that_may_write_is_refused_by_the_file(book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    shutil.copyfile(book, copy)
    for statement in ("DELETE FROM entry", "UPDATE entry SET \"by\" = 'X'"):
        done = subprocess.run(
            ["sqlite3", str(copy), statement], check=False, capture_output=True, text=True, timeout=60
        )
        assert done.returncode != 0
        assert "entries are never" in done.stderr
    assert copy.read_bytes() == book.read_bytes()
