"""A new book: useful after a name, a limit, a weapon type and a weight list; zones and sorts as the demo has them."""

from __future__ import annotations

import time
import tomllib
from collections.abc import Iterator, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from pitcrew.bench import starting
from pitcrew.bench.standing import view
from pitcrew.bench.templates import HINTS, OTHER, SORTS, TEMPLATES, Template, home_of, singular
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.moments import MINUTE_MS, clock_text
from tests.bench.begun import LIMIT_KG, LIST, NOON, Fresh


@pytest.fixture
def fresh() -> Iterator[Fresh]:
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        yield Fresh(book, clock)


def test_a_new_book_gives_a_standing_in_two_minutes(tmp_path: Path) -> None:
    clock = FixedClock(NOON)
    with Book.create(tmp_path / "new.db", clock, SeededIds(2)) as book:
        fresh = Fresh(book, clock)
        for figure, name, besides in LIST:
            fresh.put(f"{besides}{figure} {name}")
        book.append(starting.fight(fresh.desk(), "13:10"))
        seen = fresh.view()
        row = seen.standing.weights[0]
        by_hand = 2.62 + 1.24 + 1.36 + 2 * 0.31 + 2 * 12 * 0.028349523125 + 4 * 0.13 + 0.62 + 0.48 + 2.35 + 0.78 + 0.55
        assert row.kg == pytest.approx(by_hand)
        assert row.margin_kg == pytest.approx(LIMIT_KG - by_hand)
        assert (row.verdict, row.entered, row.missing) == ("pass", True, ())
        due = {item.subject for item in seen.standing.blocking if item.group == "check"}
        assert due == {item.id for item in load() if item.each_fight}
        assert {item.group for item in seen.standing.blocking} == {"check", "packs"}
        assert seen.minutes_to_call() == 70 - len(LIST)
        assert book.verify() == []
    with Book.open(tmp_path / "new.db", clock, SeededIds(3), readonly=True) as book:
        assert view(book.evidence(), fresh.robot, clock.now_ms(), load()).standing.weights == seen.standing.weights


def test_it_takes_few_keys_beside_the_values() -> None:
    # Name, limit, weapon type and call are four answers; every line and answer ends with Enter.
    keys = sum(len(f"{besides} ") + 1 for _, _, besides in LIST) + 4
    assert keys <= 60


def test_after_every_answer_the_book_works(fresh: Fresh) -> None:
    seen = fresh.view()
    assert seen.standing.weights[0].limit_kg == LIMIT_KG
    assert {item.group for item in seen.standing.blocking} == {"check", "weight"}
    fresh.put("2.62 kg frame")
    assert fresh.view().standing.weights[0].margin_kg == pytest.approx(10.99)


def test_a_book_without_a_limit_is_not_judged_by_weight() -> None:
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        fresh = Fresh(book, clock, limit=False)
        fresh.put("2.62 kg frame")
        row = fresh.view().standing.weights[0]
        assert (row.kg, row.limit_kg, row.verdict) == (2.62, None, "unchecked")


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda item: item.name)
def test_a_template_passes_a_hit_to_its_own_zones(template: Template) -> None:
    names = [zone.name for zone in template.zones]
    assert len(set(names)) == len(names)
    for zone in template.zones:
        assert set(zone.passes_to) <= set(names) - {zone.name}
        assert zone.title


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda item: item.name)
def test_a_robot_of_each_weapon_type_can_be_begun(template: Template) -> None:
    clock = FixedClock(NOON)
    with Book.memory(clock, SeededIds(2)) as book:
        fresh = Fresh(book, clock, template.name)
        zones = fresh.defs().zones
        named = {zone.name: tuple(zones[other].name for other in zone.passes_to) for zone in zones.values()}
        assert named == {zone.name: zone.passes_to for zone in template.zones}
        assert [item.name for item in fresh.defs().configurations.values()] == ["A"]
        fresh.put("0.9 kg drive motor L", "0.2 kg radio", "1 kg pack", "0.5 kg side armour")
        assert fresh.view().standing.weights[0].margin_kg is not None


def demo_facts() -> Any:
    return tomllib.loads(files("pitcrew.demo").joinpath("robots.toml").read_text("utf-8"))


def test_zones_are_called_as_in_the_demo() -> None:
    demo = {zone["name"]: (zone["title"], tuple(zone["passes_to"])) for zone in demo_facts()["tallow-anvil"]["zone"]}
    spinner = {zone.name: (zone.title, zone.passes_to) for zone in starting.template_called("vertical").zones}
    assert spinner == demo
    names = {zone.name for template in TEMPLATES for zone in template.zones}
    assert names == set(demo)


def test_sorts_of_part_are_looked_at_as_in_the_demo() -> None:
    demo = {kind["name"]: kind for kind in demo_facts()["part_kind"]}
    shared = [sort for sort in SORTS if sort.name in demo]
    assert len(shared) >= 15
    for sort in shared:
        said = {key: value for key, value in sort._asdict().items() if value is not False}
        without = ("charging", "life_fights", "life_hard_hits", "limits", "spares_wanted")
        assert said == {key: value for key, value in demo[sort.name].items() if key not in without}


def test_every_hint_names_a_sort_and_zones_of_a_template() -> None:
    sorts = {sort.name for sort in SORTS}
    zones = {zone.name for template in TEMPLATES for zone in template.zones}
    for hint in HINTS:
        for home in filter(None, (hint.home, hint.with_weapon, hint.with_drive)):
            assert home.sort in sorts
            assert set(home.zones) <= zones
    assert len(sorts) == len(SORTS)
    assert OTHER.name not in sorts


@pytest.mark.parametrize(
    ("name", "sort", "zones"),
    [
        ("weapon shaft", "weapon shaft", "W1"),
        ("shaft", "weapon shaft", "W1"),
        ("drive shaft", "axle", "DL DR"),
        ("hammer axle", "weapon shaft", "W1"),
        ("drum", "weapon", "W1"),
        ("bearing L outer", "bearing", "W1"),
        ("wheel bearing", "bearing", "DL DR"),
        ("bearing for the wheel", "bearing", "DL DR"),
        ("motor", "drive motor", "DL DR"),
        ("weapon motor 2", "weapon motor", "W2"),
        ("hammer motors", "weapon motor", "W2"),
        ("motor of the lifter", "weapon motor", "W2"),
        ("weapon motor pulley", "pulley", "W2"),
        ("drive belt", "belt", "DL DR"),
        ("belts", "belt", "W2"),
        ("chain 1", "chain", "DL DR"),
        ("weapon chain", "chain", "W2"),
        ("gearbox screws", "fasteners", "FR"),
        ("drive ESC", "ESC", "EL"),
        ("batteries", "pack", "BT"),
        ("battery box and foam", "battery box", "BT"),
        ("loom and receiver", "loom", "EL"),
        ("receiver", "receiver", "RS"),
        ("switch and light", "switch and light", "RS"),
        ("rear armour", "armour", "AR"),
        ("armor", "armour", "AS"),
        ("front wedge", "front attachment", "AF"),
        ("forks", "front attachment", "AF"),
        ("spacers and thrust washers", "spacers and washers", "W1"),
        ("chassis", "frame", "FR"),
        ("base plate", "plate", "TP"),
        ("hub 1", "hub", "DL DR"),
        ("valves", "valve", "W2"),
        ("motor pulley motor", "drive motor", "DL DR"),
        ("on switch", "switch and light", "RS"),
    ],
)
def test_the_words_of_a_name_say_what_a_part_is(name: str, sort: str, zones: str) -> None:
    home = home_of(name.split())
    assert home is not None
    assert (home.sort, " ".join(home.zones)) == (sort, zones)


@pytest.mark.parametrize("name", ["", "widget", "plate", "barrel", "M5x16"])
def test_what_no_word_says_is_not_guessed(name: str) -> None:
    assert home_of(name.split()) is None


def test_one_of_several() -> None:
    told = {word: singular(word) for word in ("wheels", "ESCs", "chassis", "switches", "batteries", "glass", "s", "")}
    assert told == {
        "wheels": "wheel",
        "ESCs": "ESC",
        "chassis": "chassis",
        "switches": "switch",
        "batteries": "batteries",
        "glass": "glass",
        "s": "s",
        "": "",
    }


def test_a_second_robot_shares_the_sorts_of_part(fresh: Fresh) -> None:
    fresh.put("1 kg bar")
    event = next(iter(fresh.book.evidence().definitions("event", None))).subject
    made = starting.robot(fresh.start(), "OTHER", starting.template_called("drum"), event=event, crew_margin_kg=0.1)
    fresh.book.append(made)
    fresh.robot = made[0].subject
    fresh.put("1 kg bar")
    assert [kind.name for kind in fresh.defs().kinds.values()] == ["weapon"]
    assert fresh.defs().robot.crew_margin_kg == 0.1


def test_a_robot_needs_a_name_of_its_own(fresh: Fresh) -> None:
    template = TEMPLATES[0]
    for name, says in (("nettle  sprocket", "already"), (" \x1b", "missing"), ("N" * 61, "too long")):
        with pytest.raises(EntryError, match=says) as caught:
            starting.robot(fresh.start(), name, template)
        assert caught.value.hint


@pytest.mark.parametrize(
    ("typed_word", "name"),
    [("vert", "vertical spinner"), ("Drum", "drum"), ("wedge", "control or wedge"), ("control", "control or wedge")],
)
def test_a_weapon_type_is_found_by_a_word(typed_word: str, name: str) -> None:
    assert starting.template_called(typed_word).name == name


@pytest.mark.parametrize(("typed_word", "says"), [("spinner", "more than one"), ("saw", "no weapon type"), ("", "no")])
def test_a_weapon_type_that_is_none_is_refused(typed_word: str, says: str) -> None:
    with pytest.raises(EntryError, match=says):
        starting.template_called(typed_word)


@pytest.mark.parametrize("given_kg", [0.0, -1.0, float("nan")])
def test_a_sheet_s_figures_are_above_zero(fresh: Fresh, given_kg: float) -> None:
    with pytest.raises(EntryError, match="not above zero"):
        starting.sheet(fresh.start(), limit_kg=given_kg)
    with pytest.raises(EntryError, match="not above zero"):
        starting.sheet(fresh.start(), resolution_kg=given_kg)


def test_a_sheet_says_what_was_typed(fresh: Fresh) -> None:
    event, scale = starting.sheet(
        fresh.start(), "Shed Open", 1.36, class_name="3 lb", resolution_kg=0.001, time_zone="+01:00"
    )
    assert event.detail == {"name": "Shed Open", "class_name": "3 lb", "limit_kg": 1.36, "time_zone": "+01:00"}
    assert (scale.detail["unit"], scale.detail["resolution"]) == ("kg", 0.001)
    with pytest.raises(EntryError, match="not a time zone"):
        starting.sheet(fresh.start(), time_zone="Shed/Estuary")


def test_a_limit_is_read_as_the_sheet_has_it() -> None:
    # NIST SP 811 (2008), appendix B.8: one pound is 0.45359237 kg exactly.
    assert starting.mass_kg("30 lb", "limit") == pytest.approx(30 * 0.45359237)
    assert starting.mass_kg("113.4", "limit") == 113.4
    for text, says in (("0 kg", "not above zero"), ("10 mm", "is a length"), ("heavy", "number")):
        with pytest.raises(EntryError, match=says):
            starting.mass_kg(text, "limit")


@pytest.mark.parametrize(
    ("setting", "name"),
    [
        ("Europe/Berlin", "Europe/Berlin"),
        (":Asia/Tokyo", "Asia/Tokyo"),
        ("", "UTC"),
        ("XXX-5:30", "+05:30"),
        ("XXX3", "-03:00"),
    ],
)
def test_the_time_zone_is_the_computer_s(monkeypatch: pytest.MonkeyPatch, setting: str, name: str) -> None:
    monkeypatch.setenv("TZ", setting)
    time.tzset()
    try:
        assert starting.machine_time_zone() == name
    finally:
        monkeypatch.undo()
        time.tzset()


def test_the_time_zone_of_this_computer_agrees_with_its_clock() -> None:
    now = time.time()
    assert clock_text(round(now * 1000), starting.machine_time_zone()) == time.strftime("%H:%M", time.localtime(now))


def entered(fresh: Fresh, drafts: Sequence[Draft]) -> Any:
    fresh.clock.set(fresh.clock.now_ms() + MINUTE_MS)
    fresh.book.append(drafts)
    fight = fresh.view().standing.fight
    assert fight is not None
    return fight.detail


def test_a_fight_is_entered_with_its_call(fresh: Fresh) -> None:
    detail = entered(fresh, starting.fight(fresh.desk(), "12:43", opponent="PAPER WALRUS"))
    assert (detail["name"], detail["opponent"]) == ("fight 1", "PAPER WALRUS")
    assert fresh.defs().configurations[detail["configuration"]].name == "A"
    assert fresh.view().standing.call_at == NOON + 43 * MINUTE_MS
    assert entered(fresh, starting.fight(fresh.desk()))["name"] == "fight 2"
    assert entered(fresh, starting.fight(fresh.desk(), "06-14 09:00", name="F1", configuration="a"))["name"] == "F1"


def test_a_fight_of_this_minute_can_still_be_entered(fresh: Fresh) -> None:
    fresh.clock.set(NOON + 59_000)
    assert entered(fresh, starting.fight(fresh.desk(), "12:00"))["call_at"] == NOON


@pytest.mark.parametrize(
    ("call", "configuration", "says", "hint"),
    [
        ("11:59", "", "11:59 has gone by", "2026-06-14 11:59"),
        ("soon", "", "not a time", "15:24"),
        ("13:00", "B", "no configuration called 'B'", "There is: A"),
    ],
)
def test_a_fight_that_cannot_be_is_refused(fresh: Fresh, call: str, configuration: str, says: str, hint: str) -> None:
    with pytest.raises(EntryError) as caught:
        starting.fight(fresh.desk(), call, configuration=configuration)
    assert says in caught.value.message
    assert hint in caught.value.hint
