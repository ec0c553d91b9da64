"""A whole new book from an empty file: five questions and a weight list, in few keys, and then there is a standing."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitcrew.bench.standing import view
from pitcrew.bench.templates import TEMPLATES
from pitcrew.checklists import load
from pitcrew.tui.frame import frame
from pitcrew.tui.head import counted, standing_word
from pitcrew.tui.pages.begin import Begin
from pitcrew.tui.pages.home import Home
from pitcrew.tui.paint import cells, text_of
from tests.bench.begun import LIST
from tests.tui.driver import Driver, empty_bench

MOST_KEYS = 60
# Of each of these a robot has one, in a zone that its name says.
PLAIN = ["frame", "top plate", "weapon motor", "weapon shaft", "bar", "pack"]
LINES = [f"{alike}{mass} {name}" for mass, name, alike in LIST]


@pytest.fixture
def bench(tmp_path: Path) -> Driver:
    driver = empty_bench(tmp_path)
    driver.shell.show(Begin(driver.session))
    return driver


def page(bench: Driver) -> Begin:
    found = bench.shell.page
    assert isinstance(found, Begin)
    return found


def answered(bench: Driver, *values: str) -> Driver:
    """Values typed, each taken with Enter."""
    for value in values:
        bench.type(value).keys("enter")
    return bench


def weapon_chosen(bench: Driver, name: str = "vertical spinner") -> Driver:
    """At the weight list of a robot with a limit of 30 lb."""
    answered(bench, "NETTLE SPROCKET", "30 lb")
    bench.keys(*["down"] * [template.name for template in TEMPLATES].index(name), "space")
    return bench


def test_a_robot_of_twelve_lines_takes_few_keys_beside_its_values(bench: Driver) -> None:
    weapon_chosen(bench)
    answered(bench, *LINES)
    bench.keys("space")
    answered(bench, "16:07")
    typed = sum(map(len, ("NETTLE SPROCKET", "30 lb", "16:07", *LINES)))
    assert bench.count - typed == 17
    assert bench.count - typed <= MOST_KEYS
    # The standing is there, it is the one of the bench, and the first jobs are listed.
    assert isinstance(bench.shell.page, Home)
    found = view(bench.book.evidence(), bench.session.robot, bench.session.now(), load())
    assert bench.session.view is not None
    assert bench.session.view.standing == found.standing
    word, _ = standing_word(found, "")
    assert bench.screen()[0].startswith(f" {word}   {counted(found)}")
    assert bench.screen()[1].startswith(" NETTLE SPROCKET   fight 1 in A   ~")
    assert bench.row("> DUE").startswith("> DUE       make safe")
    weight = found.standing.weights[0]
    assert weight.kg is not None
    # 30 lb of 0.45359237 kg: exact by the international yard and pound agreement of 1959.
    assert weight.limit_kg == pytest.approx(30 * 0.45359237)


def test_every_question_says_what_to_type(bench: Driver) -> None:
    assert "type the robot's name, then Enter" in bench.text()
    answered(bench, "NETTLE")
    assert "type the weight limit of its class: 113.4 kg, or 30 lb" in bench.text()
    answered(bench, "13.61")
    assert "pick the weapon that is nearest" in bench.text()
    bench.keys("space")
    assert "type a line: 3.30 kg weapon shaft, or 4 x 0.13 kg wheel" in bench.text()
    answered(bench, "1 kg frame")
    bench.keys("space")
    assert "type when the next fight is called: 16:07" in bench.text()


def test_what_is_answered_is_in_the_book_at_once(bench: Driver) -> None:
    answered(bench, "NETTLE")
    assert bench.newest() == ()
    bench.type("30 lb").keys("enter", "space")
    written = [entry for entry in bench.newest(40) if entry.kind != "shift"]
    kinds = [entry.kind for entry in written]
    assert kinds[-4:] == ["zone", "robot", "instrument", "event"]
    assert kinds[0] == "configuration"
    assert len({entry.act for entry in written}) == 1
    answered(bench, "4 x 0.13 kg wheel")
    assert [entry.kind for entry in bench.newest(12)].count("fitted") == 4
    assert bench.row("  weights ") == "  weights   4 parts, 0.520 kg of 13.6078"


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda template: template.name)
def test_every_weapon_gives_its_zones(bench: Driver, template: object) -> None:
    name = template.name  # type: ignore[attr-defined]
    weapon_chosen(bench, name)
    assert bench.session.view is not None
    zones = [zone.name for zone in bench.session.view.case.defs.zones.values()]
    assert zones == [zone.name for zone in template.zones]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("before", "typed", "says"),
    [
        ((), "x" * 61, "too long for a name"),
        (("NETTLE",), "heavy", "does not begin with a number"),
        (("NETTLE",), "0", "not above zero"),
        (("NETTLE",), "-5 kg", "not above zero"),
        (("NETTLE",), "30 mm", "is a length"),
    ],
)
def test_what_cannot_be_taken_is_said_and_stays_on_the_line(
    bench: Driver, before: tuple[str, ...], typed: str, says: str
) -> None:
    answered(bench, *before, typed)
    assert says in bench.text()
    assert bench.shell.line.text == typed
    assert bench.newest() == ()
    assert page(bench).stage == len(before)


def test_an_empty_name_is_refused(bench: Driver) -> None:
    bench.type("N").keys("backspace", "enter")
    assert "the name is missing" in bench.text()
    assert page(bench).stage == 0


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("wheel", "not taken"),
        ("3 kg", "not taken"),
        ("99 x 1 kg wheel", "99 alike is no weight line"),
        ("-1 kg wheel", "weighs nothing or more"),
        ("1 kg gubbins", "no word says where"),
        ("1 mm wheel", "not taken"),
    ],
)
def test_a_weight_line_that_cannot_be_read_writes_nothing(bench: Driver, typed: str, says: str) -> None:
    weapon_chosen(bench)
    before = bench.newest()
    answered(bench, typed)
    assert says in bench.text()
    assert bench.newest() == before
    assert page(bench).lines == 0
    assert bench.shell.line.text == typed


def test_an_empty_weight_list_is_not_ended_by_habit(bench: Driver) -> None:
    weapon_chosen(bench)
    bench.keys("space")
    assert "type a line: 3.30 kg weapon shaft" in bench.text()
    bench.keys("enter")
    assert "weights" in bench.row("  weights ")
    bench.keys("right", "space")
    assert bench.row("  call ").strip() == "call      ?"


def test_limit_and_call_may_be_unknown(bench: Driver) -> None:
    answered(bench, "NETTLE")
    bench.keys("right", "space", "space")
    answered(bench, "1 kg frame")
    bench.keys("space", "right", "space")
    assert isinstance(bench.shell.page, Home)
    assert bench.session.view is not None
    assert bench.session.view.standing.fight is not None
    assert bench.session.view.standing.call_at is None
    assert "no call set" in bench.screen()[0]
    assert "no limit set" in bench.screen()[1]


@pytest.mark.parametrize(("typed", "says"), [("noon", "noon"), ("25:00", "25:00"), ("07:00", "has gone by")])
def test_a_call_that_is_no_time_or_has_gone_by_is_refused(bench: Driver, typed: str, says: str) -> None:
    weapon_chosen(bench)
    answered(bench, "1 kg frame")
    bench.keys("space")
    before = bench.newest()
    answered(bench, typed)
    assert says in bench.text()
    assert bench.newest() == before
    assert bench.shell.line.text == typed


def test_initials_are_asked_for_once_and_the_robot_is_begun(tmp_path: Path) -> None:
    bench = empty_bench(tmp_path, by="")
    bench.shell.show(Begin(bench.session))
    weapon_chosen(bench)
    assert "initials" in bench.text()
    answered(bench, "mk")
    assert page(bench).stage == 3
    assert {entry.by for entry in bench.newest(40)} == {"mk"}
    answered(bench, "1 kg frame")
    assert bench.newest()[0].by == "mk"


def test_the_name_of_another_robot_is_refused_while_it_can_be_changed(bench: Driver) -> None:
    weapon_chosen(bench)
    bench.shell.show(Begin(bench.session))
    answered(bench, "nettle  sprocket")
    assert "there is a robot called" in bench.text()
    assert bench.shell.line.text == "nettle  sprocket"


def test_names_are_shown_as_they_are_typed_and_steer_nothing(bench: Driver) -> None:
    bench.shell.paste("[red]X[/]\x1b[2J\u202e")
    bench.keys("enter")
    assert bench.row("  name ") == "  name      [red]X[/][2J"


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20), (120, 40), (200, 60), (40, 10)])
def test_it_fits_every_size(bench: Driver, width: int, height: int) -> None:
    for text in ("NETTLE SPROCKET", "30 lb"):
        _fits(bench, width, height)
        answered(bench, text)
    _fits(bench, width, height)
    bench.keys("space")
    for text in LINES:
        answered(bench, text)
        _fits(bench, width, height)
    if height >= 20:
        assert "switch and light" in bench.text(width, height)
        assert "weights " in bench.text(width, height)


def _fits(bench: Driver, width: int, height: int) -> None:
    rows = frame(bench.shell, width, height)
    assert len(rows) == height
    assert all(cells(text_of(row)) <= width for row in rows)


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    lines=st.lists(
        st.tuples(st.integers(1, 9000), st.sampled_from(PLAIN)),
        min_size=1,
        max_size=6,
        unique_by=lambda line: line[1],
    )
)
def test_the_weight_shown_is_the_sum_of_the_lines(
    tmp_path_factory: pytest.TempPathFactory, lines: list[tuple[int, str]]
) -> None:
    bench = empty_bench(tmp_path_factory.mktemp("begin"))
    bench.shell.show(Begin(bench.session))
    weapon_chosen(bench)
    answered(bench, *(f"{grams} g {name}" for grams, name in lines))
    total = sum(grams for grams, _ in lines) / 1000
    assert f"{len(lines)} parts, {total:.3f} kg of" in bench.row("  weights ")
    view_ = bench.session.view
    assert view_ is not None
    assert view_.standing.weights[0].kg == pytest.approx(total)
    bench.book.close()
