"""What a driver says after a fight, and the parts each word points at."""

from __future__ import annotations

import pytest

from pitcrew.bench import fitting, looking, mending
from pitcrew.bench.names import place_name
from pitcrew.bench.symptoms import SYMPTOMS, Symptom, said_now, said_words, says, unsay, wheres
from pitcrew.errors import EntryError
from tests.bench.demo_day import HEAVY, SMALL, DemoDay
from tests.bench.shop import Shop

BY_WORDS = {symptom.words: symptom for symptom in SYMPTOMS}


def places(demo: DemoDay, words: str, robot: str = HEAVY) -> dict[str, list[str]]:
    case = demo.desk(robot).case()
    return {where.name: [name for _, name in where.parts] for where in wheres(case, BY_WORDS[words])}


def test_no_word_is_said_twice() -> None:
    assert len(BY_WORDS) == len(SYMPTOMS)
    assert all(symptom.sorts for symptom in SYMPTOMS)


def test_a_side_is_asked_where_there_are_two_and_the_likeliest_part_is_first(demo: DemoDay) -> None:
    found = places(demo, "pulls to one side")
    assert list(found) == ["left", "right"]
    assert found["right"][0] == "drive motor R"
    assert all("L)" not in name and not name.endswith(" L") for name in found["right"])


def test_zones_and_packs_are_named_where_there_are_no_sides(demo: DemoDay) -> None:
    assert next(iter(places(demo, "heat"))) == "packs"
    assert places(demo, "radio lost") == {"electronics": ["loom and receiver"]}
    assert places(demo, "cut out")["radio and switch"] == ["switch and light"]


@pytest.mark.parametrize("robot", [HEAVY, SMALL])
@pytest.mark.parametrize("symptom", SYMPTOMS, ids=lambda symptom: symptom.words)
def test_every_part_pointed_at_counts_and_is_named_once_a_place(demo: DemoDay, robot: str, symptom: Symptom) -> None:
    case = demo.desk(robot).case()
    found = wheres(case, symptom)
    parts = [part for where in found for part, _ in where.parts]
    assert len(parts) == len(set(parts))
    assert set(parts) <= set(case.scope())
    assert [where.name for where in found] == list(dict.fromkeys(where.name for where in found))
    for where in found:
        assert where.name
        assert where.parts


@pytest.mark.parametrize("symptom", SYMPTOMS, ids=lambda symptom: symptom.words)
def test_what_the_driver_says_asks_for_a_look_at_every_part_it_points_at(shop: Shop, symptom: Symptom) -> None:
    shop.ready()
    for where in wheres(shop.case(), symptom):
        parts = [part for part, _ in where.parts]
        shop.do(looking.driver_says, parts, f"{symptom.words}, {where.name}")
        blocks = shop.blocks()
        assert {f"look:{part}" for part in parts} <= set(blocks)
        shop.do(looking.look_at, parts)
        assert not {f"look:{part}" for part in parts} & set(shop.blocks())


def test_a_robot_without_such_a_part_has_nowhere_to_point(shop: Shop) -> None:
    shop.do(fitting.part_out, "bearing")
    assert wheres(shop.case(), Symptom("sings", ("violin",))) == []
    assert wheres(shop.case(), BY_WORDS["radio lost"]) == []


def test_a_part_taken_out_is_not_pointed_at(shop: Shop) -> None:
    noise = BY_WORDS["noise"]
    assert [part for where in wheres(shop.case(), noise) for part, _ in where.parts] == ["brg1"]
    shop.do(fitting.part_out, "bearing")
    assert wheres(shop.case(), noise) == []


def test_sides_are_read_from_names_and_from_the_titles_of_drive_zones(shop: Shop) -> None:
    shop.put("zone", "X", {"name": "X", "title": "drive, right", "passes_to": []})
    shop.put("zone", "Y", {"name": "Y", "title": "right tail", "passes_to": []})
    for zone, name in (("X", "hub one"), ("Y", "hub two"), ("Y", "hub (L)")):
        shop.put("position", name, {"name": name, "zone": zone})
        shop.put("part", f"p {name}", {"name": f"p {name}", "part_kind": "plate"})
        shop.do(fitting.part_in, f"p {name}", name)
    found = {where.name: [name for _, name in where.parts] for where in wheres(shop.case(), Symptom("x", ("hub",)))}
    assert found == {"right": ["hub one"], "right tail": ["hub two"], "left": ["hub (L)"]}


def subjects(demo: DemoDay, text: str, where: str = "") -> dict[str, str]:
    desk = demo.desk(HEAVY)
    case = desk.case()
    return {place_name(case, str(draft.subject)): str(draft.detail["note"]) for draft in says(desk, text, where)}


@pytest.mark.parametrize(
    ("text", "where", "places", "note"),
    [
        ("whines at gearbox L", "", ["gearbox L"], "whines"),
        ("gearbox L whines", "", ["gearbox L"], "gearbox L whines"),
        ("Whines on the left", "gearbox l", ["gearbox L"], "Whines on the left"),
        ("rubs at gearbox L, gearbox R", "", ["gearbox L", "gearbox R"], "rubs"),
        ("smells\x1b[31m at gearbox L", "", ["gearbox L"], "smells[31m"),
    ],
)
def test_his_own_words_become_the_note_of_the_part_they_name(
    demo: DemoDay, text: str, where: str, places: list[str], note: str
) -> None:
    assert subjects(demo, text, where) == dict.fromkeys(places, note)


def test_a_listed_word_with_its_side_goes_to_all_it_points_at(demo: DemoDay) -> None:
    right = places(demo, "pulls to one side")["right"]
    assert subjects(demo, "pulls to one side right") == dict.fromkeys(right, "pulls to one side, right")


@pytest.mark.parametrize(
    ("text", "message"),
    [("", "nothing was typed"), ("whines", "say which part"), ("whines at the violin", "there is no part called")],
)
def test_what_names_no_part_is_refused(demo: DemoDay, text: str, message: str) -> None:
    with pytest.raises(EntryError, match=message):
        says(demo.desk(HEAVY), text)


def test_what_was_said_stands_until_every_part_was_looked_at(shop: Shop) -> None:
    shop.ready()
    shop.do(says, "rubs at bearing, rotor")
    (said,) = said_now(shop.case())
    assert (said.what, len(said.facts), said.done) == ("rubs", 2, frozenset())
    shop.do(looking.look_at, ["brg1"])
    (said,) = said_now(shop.case())
    assert said.done == {"brg1"}
    left, done = said_words(shop.case(), said)
    assert (left, done.startswith("bearing ")) == ("rotor", True)
    # A finding is a look; what was not looked at is still there after another fight, what was is not.
    shop.fight()
    assert [item.what for item in said_now(shop.case())] == ["rubs"]
    shop.do(mending.found, "rotor1", "rotor", "worn")
    assert said_now(shop.case()) == ()


def test_what_was_said_in_error_is_taken_back(shop: Shop) -> None:
    shop.ready()
    shop.do(says, "rubs at bearing, rotor")
    (said,) = said_now(shop.case())
    assert {"look:brg1", "look:rotor1"} <= set(shop.blocks())
    shop.do(unsay, said)
    assert said_now(shop.case()) == ()
    assert not {"look:brg1", "look:rotor1"} & set(shop.blocks())
