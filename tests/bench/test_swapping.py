"""A swap before it is made: what can go there, what every configuration would weigh, what is unsettled."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.bench import fitting, mending
from pitcrew.bench.damage import blows_since, joints_at
from pitcrew.bench.defining import mass_and_name, new_part
from pitcrew.bench.fighting import hit
from pitcrew.bench.looking import look_at
from pitcrew.bench.standing import View, view
from pitcrew.bench.starting import LONGEST_NAME
from pitcrew.bench.supposing import supposing
from pitcrew.bench.swapping import effects, kinds_there, opens, places_for, spares, unsettles
from pitcrew.errors import EntryError
from pitcrew.readiness.judge import standing_of
from pitcrew.readiness.weights import weight_row
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop, said


@pytest.fixture(scope="module")
def evening(demo: DemoDay) -> View:
    return view(demo.book.evidence(), demo.robots[HEAVY], demo.now, demo.checklists)


def _names(shop: Shop, place: str) -> list[tuple[str, bool]]:
    return [(spare.name, spare.alike) for spare in spares(shop.case(), place)]


def test_spares_are_of_the_places_own_sort_only(shop: Shop) -> None:
    assert _names(shop, "rotor") == [("rotor 2", True)]
    assert _names(shop, "upright") == []


def test_where_no_sort_belongs_yet_every_spare_may_go_and_none_is_alike(shop: Shop) -> None:
    found = _names(shop, "plate")
    assert {"rotor 2", "motor 2", "plate 1"} <= set(dict(found))
    assert not any(alike for _, alike in found)
    shop.do(fitting.part_in, "pl1", "plate")
    assert _names(shop, "plate") == [("plate 2", True)]


def test_packs_go_to_pack_places_only(shop: Shop) -> None:
    assert "P1" in dict(_names(shop, "pack 1"))
    assert "rotor 2" not in dict(_names(shop, "pack 1"))
    assert "P1" not in dict(_names(shop, "rotor"))


@pytest.mark.parametrize("to", ["scrapped", "lost", "quarantine"])
def test_what_is_put_away_is_no_spare_and_what_sits_somewhere_neither(shop: Shop, to: str) -> None:
    shop.do(fitting.put_away, "rotor2", to)
    listed = dict(_names(shop, "rotor"))
    assert "rotor 2" not in listed
    assert "wheel 1" not in dict(_names(shop, "wheel"))
    shop.do(fitting.put_away, "rotor2", "spares")
    assert "rotor 2" in dict(_names(shop, "rotor"))


def test_an_empty_place_wants_the_sort_that_sat_there_last(shop: Shop) -> None:
    shop.do(fitting.part_out, "rotor", "scrapped")
    assert kinds_there(shop.case(), "rotor") == {"rotor"}
    assert _names(shop, "rotor")[0] == ("rotor 2", True)
    assert kinds_there(shop.case(), "plate") == frozenset()


def test_a_module_that_a_configuration_names_belongs_there(demo: DemoDay, evening: View) -> None:
    weapon = demo.id_of("position", "weapon")
    sorts = {evening.case.defs.kinds[kind].name for kind in kinds_there(evening.case, weapon)}
    assert sorts == {"bar", "drum"}


def test_what_was_found_on_a_spare_comes_with_it(shop: Shop) -> None:
    shop.do(mending.found, "rotor1", "rotor", "worn")
    shop.do(fitting.part_in, "rotor2", "rotor")
    # What was found bad is in quarantine until somebody puts it among the spares.
    assert shop.case().put_away("rotor1") == "quarantine"
    shop.do(fitting.put_away, "rotor1", "spares")
    (old,) = [spare for spare in spares(shop.case(), "rotor") if spare.name == "rotor 1"]
    assert [fact.detail["what"] for fact in old.found] == ["worn"]


def test_every_weight_of_a_supposed_swap_is_the_weight_after_it(shop: Shop) -> None:
    shop.ready()
    case = shop.case()
    drafts = fitting.part_in(shop.desk(), "rotor2", "rotor")
    rows = [weight_row(case, item) for item in case.defs.configurations.values()]
    (found,) = effects(rows, supposing(case, drafts, shop.book.writer))
    assert found.name == "A"
    assert found.now.kg == 5.0
    assert found.change_kg == pytest.approx(0.5)  # rotor 2 is 2.50 kg, rotor 1 is 2.00 kg
    shop.book.append(drafts)
    after = weight_row(shop.case(), shop.case().defs.configurations["A"])
    assert (found.then.kg, found.then.u_kg, found.then.verdict) == (after.kg, after.u_kg, after.verdict)


def test_a_weight_that_nobody_knows_makes_no_difference_in_figures(shop: Shop) -> None:
    shop.ready()
    case = shop.case()
    rows = [weight_row(case, item) for item in case.defs.configurations.values()]
    drafts = new_part(shop.desk(), "2.2 kg rotor 3", "rotor")
    drafts = [draft._replace(detail={**draft.detail, "mass_kg": None}) for draft in drafts]
    drafts = [draft._replace(detail={k: v for k, v in draft.detail.items() if v is not None}) for draft in drafts]
    (found,) = effects(rows, supposing(case, drafts, shop.book.writer))
    assert (found.then.kg, found.change_kg, found.blocks) == (None, None, True)


@pytest.mark.parametrize("place", ["adapter plate L", "motor washers L", "bearing L outer", "weapon"])
def test_a_swap_unsettles_just_what_is_said_of_it(demo: DemoDay, evening: View, place: str) -> None:
    case = evening.case
    at = demo.id_of("position", place)
    spare = spares(case, at)[0]
    then = supposing(case, fitting.part_in(demo.desk(), spare.part, at), demo.book.writer)
    moved = standing_of(then)
    verdicts = {item.key: item.verdict for item in moved.requirements}
    for joint in opens(case, at):
        assert verdicts[f"joint:{joint.id}"] == "recheck"
    wanted = {f"stack:{stack.id}" for stack in unsettles(case, at)}
    was = {item.key: item.verdict for item in evening.standing.requirements}
    worse = {key for key, word in verdicts.items() if key.startswith("stack:") and word != was.get(key)}
    assert worse
    assert worse <= wanted
    assert {key for key in wanted if verdicts.get(key) == "pass"} == set()


def test_a_stack_clamped_by_a_joint_that_the_swap_opens_is_named(shop: Shop) -> None:
    assert [joint.name for joint in opens(shop.case(), "rotor")] == ["cap"]
    assert [stack.name for stack in unsettles(shop.case(), "rotor")] == ["float"]
    assert unsettles(shop.case(), "wheel") == ()


def test_a_spare_belongs_where_its_sort_sits_the_empty_places_first(shop: Shop) -> None:
    assert places_for(shop.case(), "rotor2") == ("rotor",)
    shop.do(fitting.put_away, "rotor2", "scrapped")
    assert places_for(shop.case(), "rotor2") == ()


# a part the book does not know yet


def test_a_new_part_is_of_the_sort_that_sits_there_and_goes_in_as_new(shop: Shop) -> None:
    out, defined, fitted = shop.do(new_part, "3.42 kg rotor 7", "rotor")
    assert said([out])[0][:4] == ("removed", "rotor1", {"to": "spares"}, "rotor")
    assert defined.detail == {"name": "rotor 7", "part_kind": "rotor", "mass_kg": 3.42, "mass_instrument": "OWN"}
    assert said([fitted])[0][:4] == ("fitted", defined.subject, {"new": True}, "rotor")
    assert shop.case().occupant("rotor") == defined.subject


def test_a_new_part_goes_into_an_empty_place_without_taking_anything_out(shop: Shop) -> None:
    shop.do(fitting.part_out, "rotor", "lost")
    assert [entry.kind for entry in shop.do(new_part, "3.42 rotor 7", "rotor")] == ["part", "fitted"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("rotor 7", "begins with its mass"),
        ("", "begins with its mass"),
        ("3.42 kg", "no mass and name"),
        ("3.42 kg 7", "no mass and name"),
        ("-1 kg rotor 7", "no mass and name"),
        ("3.42 kg rotor 2", "already"),
        ("3.42 kg ROTOR 2", "already"),
        ("50 kg rotor 7", "more than the whole robot"),
        ("40 mm rotor 7", "mass"),
    ],
)
def test_a_new_part_that_cannot_be_read_is_refused(shop: Shop, text: str, says: str) -> None:
    shop.refused(says, new_part, text, "rotor")


def test_nobody_knows_the_sort_of_a_place_that_never_held_anything(shop: Shop) -> None:
    shop.refused("what sort of part", new_part, "0.3 kg skid", "plate")
    shop.refused("no such place", new_part, "0.3 kg skid", "nowhere")


def test_a_mass_may_have_two_units_and_a_bare_one_is_in_kilograms() -> None:
    # 1 lb = 0.45359237 kg exactly, 1 oz = 1/16 lb (NIST Handbook 44, appendix C).
    mass_kg, name = mass_and_name("2 lb 8 oz wheel 7")
    assert name == "wheel 7"
    assert mass_kg == pytest.approx(2.5 * 0.45359237)
    assert mass_and_name("390 g wheel") == (0.39, "wheel")
    assert mass_and_name("0.95 wheel 7") == (0.95, "wheel 7")
    with pytest.raises(EntryError):
        mass_and_name("\x1b[31m")


@given(st.text(max_size=40) | st.from_regex(r"[0-9.]{1,4} ?(kg|lb|g|oz|mm)? [a-z0-9 ]{0,12}", fullmatch=True))
def test_any_text_is_a_mass_and_a_name_or_refused(text: str) -> None:
    try:
        mass_kg, name = mass_and_name(text)
    except EntryError as error:
        assert error.hint
    else:
        assert mass_kg >= 0.0
        assert any(letter.isalpha() for letter in name)
        assert len(name) <= LONGEST_NAME


# what may have done the damage


def test_a_blow_counts_until_the_part_is_looked_at(shop: Shop) -> None:
    shop.ready()
    assert blows_since(shop.case(), "rotor1") == ()
    entry = shop.at({}, hit, ["W"], 2, in_fight=False)[0]
    assert [blow.id for blow in blows_since(shop.case(), "rotor1")] == [entry.id]
    shop.do(look_at, ["rotor"])
    assert blows_since(shop.case(), "rotor1") == ()


def test_a_blow_of_the_last_fight_counts_though_the_part_was_looked_at(shop: Shop) -> None:
    shop.ready()
    shop.fight()
    entry = shop.put("hit", "W", {"source": "taken", "fight": "F1"}, grade=2)
    shop.do(look_at, ["rotor"])
    assert [blow.id for blow in blows_since(shop.case(), "rotor1")] == [entry.id]


def test_a_blow_that_was_raised_is_offered_once_as_it_was_felt(shop: Shop) -> None:
    shop.ready()
    act = shop.at({}, hit, ["W"], 2, in_fight=False)[0].act
    shop.do(mending.found, "brg1", "bearing", "bent", hit=act, raises=True)
    assert [(blow.entry.act, blow.entry.grade) for blow in blows_since(shop.case(), "rotor1")] == [(act, 2)]


def test_the_joints_of_a_place_are_those_that_hold_it_else_those_of_its_zone(shop: Shop) -> None:
    assert [joint.name for joint in joints_at(shop.case(), "rotor")] == ["cap"]
    assert [joint.name for joint in joints_at(shop.case(), "bearing")] == ["cap"]
    assert {joint.name for joint in joints_at(shop.case(), "wheel")} == {"nuts", "duo"}
