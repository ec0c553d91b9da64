"""What a driver says after a fight, and the parts each word points at."""

from __future__ import annotations

import pytest

from pitcrew.bench import fitting, looking
from pitcrew.bench.symptoms import SYMPTOMS, Symptom, wheres
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
