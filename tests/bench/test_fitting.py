"""Parts in and out: what is written, what is refused, and where everything sits afterwards."""

from __future__ import annotations

import pytest

from pitcrew.bench import fitting
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from tests.bench.shop import Said, Shop, said


def test_a_part_goes_in_and_the_old_one_to_the_spares_box(shop: Shop) -> None:
    entries = shop.do(fitting.part_in, "rotor2", "rotor", note="balanced")
    assert said(entries) == [
        Said("removed", "rotor1", {"to": "spares"}, "rotor"),
        Said("fitted", "rotor2", {"new": True, "note": "balanced"}, "rotor"),
    ]
    assert {e.act for e in entries} == {entries[0].act}
    assert {e.happened for e in entries} == {shop.clock.now_ms()}
    assert shop.case().occupant("rotor") == "rotor2"


def test_fitting_a_part_where_it_sits_writes_nothing(shop: Shop) -> None:
    before = shop.rows()
    assert shop.do(fitting.part_in, "rotor1", "rotor", new=True, note="again") == ()
    assert shop.rows() == before


def test_an_empty_place_takes_a_part_alone(shop: Shop) -> None:
    assert said(shop.do(fitting.part_in, "pl1", "plate")) == [Said("fitted", "pl1", {"new": True}, "plate")]


def test_a_part_is_new_once(shop: Shop) -> None:
    shop.do(fitting.part_in, "pl1", "plate")
    shop.do(fitting.part_out, "plate")
    assert said(shop.do(fitting.part_in, "pl1", "plate")) == [Said("fitted", "pl1", {"new": False}, "plate")]
    shop.do(fitting.part_out, "plate")
    assert shop.do(fitting.part_in, "pl1", "plate", new=True)[0].detail["new"] is True


def test_a_part_fitted_elsewhere_is_taken_out_there_first(shop: Shop) -> None:
    shop.do(fitting.part_in, "pl1", "plate")
    shop.do(fitting.part_in, "pl2", "back plate")
    assert said(shop.do(fitting.part_in, "pl1", "back plate")) == [
        Said("removed", "pl2", {"to": "spares"}, "back plate"),
        Said("removed", "pl1", {"to": "spares"}, "plate"),
        Said("fitted", "pl1", {"new": False}, "back plate"),
    ]
    assert shop.case().occupant("plate") is None
    assert shop.case().occupant("back plate") == "pl1"


def test_a_swap_opens_the_joint_that_holds_the_place(shop: Shop) -> None:
    shop.ready()
    assert shop.standing().fit
    shop.do(fitting.part_in, "rotor2", "rotor")
    verdicts = shop.blocks()
    assert verdicts["joint:cap"] == "recheck"
    assert verdicts["stack:float"] == "recheck"


def test_nothing_is_disturbed_by_fitting_what_sits_there(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_in, "rotor1", "rotor")
    assert shop.standing().fit


@pytest.mark.parametrize(
    ("part", "place", "says"),
    [("rotor2", "nowhere", "no such place"), ("nothing", "rotor", "no such part"), ("", "rotor", "no such part")],
)
def test_what_the_book_does_not_know_is_refused(shop: Shop, part: str, place: str, says: str) -> None:
    shop.refused(says, fitting.part_in, part, place)


@pytest.mark.parametrize("to", ["spares", "quarantine", "scrapped", "lost"])
def test_a_part_comes_out_to_where_it_is_said(shop: Shop, to: str) -> None:
    assert said(shop.do(fitting.part_out, "rotor", to)) == [Said("removed", "rotor1", {"to": to}, "rotor")]
    assert shop.case().occupant("rotor") is None
    assert shop.blocks()["empty:rotor"] == "fail"


def test_an_empty_place_gives_nothing(shop: Shop) -> None:
    shop.refused("nothing sits there", fitting.part_out, "plate")
    shop.refused("no such place", fitting.part_out, "nowhere")


def test_out_to_anywhere_else_is_refused(shop: Shop) -> None:
    shop.refused("^removed: to: takes one of", fitting.part_out, "rotor", "bin")


def test_putting_a_fitted_part_away_empties_its_place(shop: Shop) -> None:
    assert said(shop.do(fitting.put_away, "wh1")) == [Said("removed", "wh1", {"to": "quarantine"}, "wheel")]
    assert shop.case().occupant("wheel") is None
    assert said(shop.do(fitting.put_away, "wh1", "scrapped")) == [Said("removed", "wh1", {"to": "scrapped"})]
    assert shop.case().put_away("wh1") == "scrapped"


def test_packs_go_in_one_a_place_and_are_never_new(shop: Shop) -> None:
    assert said(shop.do(fitting.packs_in, "S1", "full")) == [
        Said("fitted", "P1", {"new": False, "note": "full"}, "pack 1"),
        Said("fitted", "P2", {"new": False, "note": "full"}, "pack 2"),
    ]


def test_packs_of_another_set_come_out_first(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert [(e.kind, e.subject, e.place) for e in shop.do(fitting.packs_in, "S2")] == [
        ("removed", "P1", "pack 1"),
        ("removed", "P2", "pack 2"),
        ("fitted", "P3", "pack 1"),
        ("fitted", "P4", "pack 2"),
    ]


def test_packs_that_are_in_stay_in(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert shop.do(fitting.packs_in, "S1") == ()


def test_packs_change_places(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    shop.do(fitting.packs_in, "crossed")
    assert [shop.case().occupant(place) for place in ("pack 1", "pack 2")] == ["P2", "P1"]


def test_a_smaller_set_leaves_no_pack_of_the_other_in(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    shop.do(fitting.packs_in, "one")
    assert [shop.case().occupant(place) for place in ("pack 1", "pack 2")] == ["P3", None]


def test_more_packs_than_places_are_refused(shop: Shop) -> None:
    shop.refused("3 packs for 2 places", fitting.packs_in, "three")


def test_packs_come_out_of_every_place(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    assert said(shop.do(fitting.packs_out, "46 C")) == [
        Said("removed", "P1", {"to": "spares", "note": "46 C"}, "pack 1"),
        Said("removed", "P2", {"to": "spares", "note": "46 C"}, "pack 2"),
    ]
    assert shop.do(fitting.packs_out) == ()


def test_choosing_packs_asks_for_them_to_be_in(shop: Shop) -> None:
    shop.ready()
    assert said(shop.do(fitting.choose_packs, "S2")) == [Said("chosen", "R", {"pack_set": "S2"})]
    assert shop.blocks()["packs:R"] == "due"
    shop.do(fitting.packs_in, "S2")
    assert "packs:R" not in shop.blocks()


def test_a_typed_time_is_kept(shop: Shop) -> None:
    earlier = shop.clock.now_ms() - 600_000
    entries = shop.at({"happened": earlier}, fitting.part_in, "rotor2", "rotor")
    assert [e.happened for e in entries] == [earlier, earlier]


def test_a_time_to_come_is_refused(shop: Shop) -> None:
    later = shop.clock.now_ms() + 600_000
    before = shop.rows()
    with pytest.raises(EntryError, match="future"):
        shop.at({"happened": later}, fitting.part_out, "rotor")
    assert shop.rows() == before


def test_packs_of_an_unknown_set_are_refused(shop: Shop) -> None:
    shop.refused("set", fitting.packs_in, "nothing")


def test_choosing_an_unknown_set_is_refused(shop: Shop) -> None:
    shop.refused("set", fitting.choose_packs, "nothing")


def test_putting_an_unknown_part_away_is_refused(shop: Shop) -> None:
    shop.refused("no such part", fitting.put_away, "nothing")


# changing over to a configuration


def configured(shop: Shop, **parts: str | None) -> None:
    """A configuration B that names these parts by place; places are written with `_` for a blank."""
    named = {place.replace("_", " "): part for place, part in parts.items()}
    shop.put("configuration", "B", {"name": "B", "parts": named})


def test_changing_over_puts_on_what_is_named_and_takes_off_what_sits_there(shop: Shop) -> None:
    configured(shop, plate="pl2", rotor="rotor1")
    shop.do(fitting.part_in, "pl1", "plate")
    assert said(shop.do(fitting.change_over, "B", "for the wedge")) == [
        Said("removed", "pl1", {"to": "spares", "note": "for the wedge"}, "plate"),
        Said("fitted", "pl2", {"new": True, "note": "for the wedge"}, "plate"),
    ]
    assert fitting.change_over(shop.desk(), "B") == []


def test_changing_over_takes_off_what_a_configuration_goes_without(shop: Shop) -> None:
    configured(shop, plate=None)
    assert fitting.change_over(shop.desk(), "B") == []
    shop.do(fitting.part_in, "pl1", "plate")
    assert said(shop.do(fitting.change_over, "B")) == [Said("removed", "pl1", {"to": "spares"}, "plate")]


@pytest.mark.parametrize("other", ["pl2", "pl1"])
def test_parts_that_change_places_sit_where_they_are_named(shop: Shop, other: str) -> None:
    """Both places change: neither part is left as if it sat nowhere."""
    configured(shop, plate="pl2", back_plate="pl1" if other == "pl2" else None)
    shop.do(fitting.part_in, "pl1", "plate")
    shop.do(fitting.part_in, "pl2", "back plate")
    shop.do(fitting.change_over, "B")
    case = shop.case()
    assert (case.occupant("plate"), case.occupant("back plate")) == ("pl2", "pl1" if other == "pl2" else None)
    last = case.whereabouts("pl2").first()
    assert last is not None
    assert (last.entry.kind, last.entry.place) == ("fitted", "plate")


def test_a_part_that_a_configuration_names_leaves_its_old_place(shop: Shop) -> None:
    configured(shop, plate="pl1")
    shop.do(fitting.part_in, "pl1", "back plate")
    assert [(e.kind, e.place) for e in shop.do(fitting.change_over, "B")] == [
        ("removed", "back plate"),
        ("fitted", "plate"),
    ]
    assert shop.case().occupant("back plate") is None


def test_changing_over_to_what_is_not_there_is_refused(shop: Shop) -> None:
    shop.refused("no such configuration", fitting.change_over, "C")
    configured(shop, plate="nothing")
    shop.refused("no such part", fitting.change_over, "B")
    configured(shop, nowhere="pl1")
    shop.refused("no such place", fitting.change_over, "B")


def test_a_place_of_another_robot_gives_nothing(shop: Shop) -> None:
    """The book knows what sits there, and this robot has no such place all the same."""
    shop.book.append(
        [
            Draft("robot", "Q", "MK", detail={"name": "OTHER"}),
            Draft("zone", "QZ", "MK", robot="Q", detail={"name": "QZ", "passes_to": []}),
            Draft("position", "q", "MK", robot="Q", detail={"name": "q", "zone": "QZ"}),
            Draft("part", "qp", "MK", robot="Q", detail={"name": "qp", "part_kind": "plate"}),
            Draft("fitted", "qp", "MK", robot="Q", place="q", detail={"new": True}),
        ]
    )
    assert shop.case().occupant("q") == "qp"
    shop.refused("no such place", fitting.part_out, "q")
