"""The event's sheet on the screen: every rule, how one is changed, and what follows from it."""

from __future__ import annotations

from pathlib import Path

from pitcrew.bench.sheeting import RULES
from pitcrew.bench.standing import view
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import Event
from tests.tui.driver import Driver, bench_at, empty_bench

ROW = {rule.field: index for index, rule in enumerate(RULES)}


def at_rule(tmp_path: Path, field: str, robot: str = "TALLOW ANVIL") -> Driver:
    return bench_at(tmp_path, robot=robot).keys("tab", "e", *["down"] * ROW[field])


def here(bench: Driver) -> str:
    (row,) = [row for row in bench.screen() if row.startswith(">")]
    return row


def event(bench: Driver) -> Event:
    assert bench.session.view is not None
    found = bench.session.view.case.defs.event
    assert found is not None
    return found


def test_every_rule_stands_with_its_unit_and_what_it_is_good_for(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "limit_kg")
    rows = bench.screen()
    assert rows[2] == "  sheet     TALLOW ANVIL under Estuary Shed Open, heavy"
    assert rows[3] == "! The event's own sheet and its inspectors overrule what stands here."
    assert rows[6].startswith("> class limit           113.4 kg  (250.0 lb)")
    assert "  good for  every weight's verdict: 113.4 kg with the allowance" in rows
    tall = bench.text(100, 45)
    for said in ("re-weigh band         5 %", "match length          180 s", "start-up order        transmitter last"):
        assert said in tall
    assert "clock doubt           -  taken as 120 s" in tall
    assert all(rule.name in tall for rule in RULES)


def test_the_other_robot_has_its_own_sheet(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "weight_rule", "NETTLE SPROCKET")
    assert bench.screen()[2] == "  sheet     NETTLE SPROCKET under Estuary Shed Open, 30 lb"
    assert here(bench) == "> weight rule           all configurations"


def test_a_limit_is_typed_off_the_sheet_and_the_standing_follows(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "limit_kg")
    old = event(bench)
    bench.count = 0
    bench.keys("space").type("112 kg")
    assert "then      class limit 112 kg  (246.9 lb)" in bench.text()
    bench.keys("enter")
    assert bench.count == len("112 kg") + 2
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.robot, entry.by) == ("event", old.id, None, "MK")
    assert event(bench) == old._replace(limit_kg=112)
    assert "0.72 OVER" in bench.screen()[1]
    session = bench.session
    judged = view(session.evidence, session.robot, session.now(), session.source.checklists).standing
    assert session.view is not None
    assert session.view.standing.requirements == judged.requirements
    bench.keys("tab", "u")
    assert event(bench) == old
    assert "0.68 under" in bench.screen()[1]


def test_a_bare_figure_is_of_the_rule_the_keys_are_at(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "gap_min").type("30")
    assert "> gap between fights 30 min on the sheet" in bench.text()
    bench.keys("enter")
    assert "sure?" in bench.text()
    assert event(bench).gap_min == 45
    bench.keys("enter")
    assert event(bench).gap_min == 30
    assert here(bench).startswith("> gap between fights    30 min")


def test_of_few_choices_one_is_picked(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "weight_rule")
    before = bench.newest()
    bench.keys("space")
    assert bench.newest() == before
    bench.keys("right", "space")
    assert event(bench).weight_rule == "declared"
    assert here(bench) == "> weight rule           all configurations"
    bench.keys("up", "left", "left", "space")
    assert event(bench).official_scale is None


def test_nonsense_is_refused_where_it_was_typed(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "power_cut_s")
    before = bench.newest()
    bench.keys("enter").type("60 kg").keys("enter")
    assert "not taken" in bench.text()
    assert bench.shell.line.text == "60 kg"
    assert bench.newest() == before
    assert "power" in bench.row("  asked ").casefold()


def test_another_sheet_is_one_of_the_book_or_a_new_one(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "name").keys("left", "space").type("estuary shed open, 30 lb")
    assert "under Estuary Shed Open, 30 lb, as the book has it" in bench.text()
    bench.keys("enter")
    assert event(bench).limit_kg == 13.61
    assert "also      NETTLE SPROCKET fights under this sheet" in bench.text()
    bench.keys("left", "space").type("[b]Barn[/b]").keys("enter")
    assert [entry.kind for entry in bench.newest(2)] == ["robot", "event"]
    assert bench.screen()[2] == "  sheet     TALLOW ANVIL under [b]Barn[/b]"
    assert event(bench).limit_kg is None


def test_a_robot_without_a_sheet_starts_one(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    bench.session.write([Draft("robot", bench.session.robot, "MK", detail={"name": "TALLOW ANVIL"})])
    bench.settle()
    bench.keys("tab", "e")
    assert "this robot fights under no sheet yet" in bench.text()
    bench.keys("space").type("Barn").keys("enter")
    assert bench.screen()[2] == "  sheet     TALLOW ANVIL under Barn"


def test_a_small_screen_and_a_book_without_a_robot(tmp_path: Path) -> None:
    rows = at_rule(tmp_path, "time_zone").screen(60, 20)
    assert max(map(len, rows)) <= 60
    assert "> time zone             +01:00" in rows
    (tmp_path / "other").mkdir()
    bench = empty_bench(tmp_path / "other").keys("tab", "e")
    assert "no robot in this book yet" in bench.text()
    bench.keys("space", "enter")
    assert bench.newest() == ()


WORDS = "No heavy shall weigh more than 250 lb [b]as it enters[/b]."


def test_the_words_of_a_rule_are_copied_off_the_sheet_and_stand_beside_it(tmp_path: Path) -> None:
    bench = at_rule(tmp_path, "match_s")
    assert "  its words not copied off the sheet yet" in bench.screen()
    others = event(bench).wording
    bench.count = 0
    bench.keys("right", "space").type(WORDS).keys("enter")
    assert bench.count == len(WORDS) + 3
    assert event(bench).wording == {**others, "match_s": WORDS}
    assert f'  its words "{WORDS}"' in bench.screen()
    assert WORDS in next(row for row in bench.screen(120, 40) if row.startswith(">"))
    assert all(len(row) <= 60 for row in bench.screen(60, 20))
    # They stay when the figure is typed anew, and are there to be changed.
    bench.type("170 s").keys("enter")
    assert (event(bench).match_s, event(bench).wording) == (170, {**others, "match_s": WORDS})
    bench.keys("right", "space")
    assert bench.shell.line.text == WORDS
    bench.keys(*["backspace"] * len(WORDS), "-", "enter")
    assert event(bench).wording == others


def test_the_words_of_a_rule_stand_with_the_line_that_rests_on_it(tmp_path: Path) -> None:
    bench = bench_at(tmp_path)
    bench.type("wording spin-down: Every weapon stands still a minute after the end.").keys("enter")
    assert event(bench).wording["spin_down_s"] == "Every weapon stands still a minute after the end."
    bench.keys("tab", "c", "space")
    assert bench.shell.page.key() == "weapon at rest"
    assert '  sheet     "Every weapon stands still a minute after the end."' in bench.screen()
