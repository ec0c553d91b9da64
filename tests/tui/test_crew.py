"""The crew on the screen: who is writing, a role changed, somebody added."""

from __future__ import annotations

from pathlib import Path

from tests.tui.driver import Driver, bench_at, empty_bench


def at_crew(tmp_path: Path) -> Driver:
    return bench_at(tmp_path).keys("tab", "m")


def test_the_list_says_who_does_what_and_who_is_writing(tmp_path: Path) -> None:
    bench = at_crew(tmp_path)
    assert bench.screen()[2:7] == [
        "  initials  writing   shift          role",
        "  PB                  on since 07:50 pit boss",
        "> MK        writing   on since 08:06 mechanic",
        "  EW                  on since 09:50 electrics",
        "  DV                  on since 10:12 driver",
    ]
    assert max(map(len, bench.screen(60, 20))) <= 60


def test_another_takes_over_the_writing(tmp_path: Path) -> None:
    bench = at_crew(tmp_path)
    before = bench.newest()
    bench.count = 0
    bench.keys("down", "space")
    assert bench.count == 2
    assert bench.session.by == "EW"
    assert bench.newest() == before
    assert bench.row("> EW").split() == [">", "EW", "writing", "on", "since", "09:50", "electrics"]
    bench.keys("space").type(" [b]").keys("enter")
    (entry,) = bench.newest()
    assert (entry.by, entry.subject, entry.detail) == ("EW", "EW", {"role": "electrics [b]"})
    assert bench.row("> EW").endswith(" electrics [b]")


def test_somebody_is_added_and_can_sign_at_once(tmp_path: Path) -> None:
    bench = at_crew(tmp_path).keys("left", "space").type("RT mechanic").keys("enter")
    (entry,) = bench.newest()
    assert (entry.kind, entry.subject, entry.robot, entry.detail) == ("crew", "RT", None, {"role": "mechanic"})
    assert bench.row("  RT") == "  RT                  -              mechanic"
    bench.keys("tab", "i").type("rt").keys("enter")
    assert bench.session.by == "RT"
    assert "  RT        writing   -              mechanic" in bench.screen()


def test_what_are_no_initials_is_refused(tmp_path: Path) -> None:
    bench = at_crew(tmp_path)
    before = bench.newest()
    bench.keys("left", "space").type("ew driver").keys("enter")
    assert "somebody has the initials 'ew' already" in bench.text()
    assert bench.shell.line.text == "ew driver"
    assert bench.newest() == before


def test_an_empty_book_lists_its_first_and_who_writes(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path).keys("tab", "m")
    assert "nobody is listed yet, so any initials are taken" in bench.text()
    bench.keys("space").type("EW electrics").keys("enter")
    assert [entry.subject for entry in bench.newest(2)] == ["MK", "EW"]
    assert bench.shell.page.keys() == ["EW", "MK"]
    assert "  MK        writing   on since 08:00 -" in bench.screen()
