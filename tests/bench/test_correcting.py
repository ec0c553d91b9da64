"""Lines put right and taken out: a correction keeps its place and time, a withdrawal is for ever."""

from __future__ import annotations

import pytest

from pitcrew.bench import correcting, fastening, fighting, fitting, looking, measuring, mending
from pitcrew.robot.records import Entry
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import MINUTE


def reading(shop: Shop, value: float = 0.006) -> Entry:
    return shop.do(measuring.dimension, "wh1", "tread", value, "CAL", "typed")[0]


def test_a_correction_keeps_subject_and_time(shop: Shop) -> None:
    old = reading(shop)
    (new,) = shop.at({"by": "EW"}, correcting.correct, old.id, {"value_m": 0.0042, "typed": "4.2"}, "misread")
    assert (new.kind, new.subject, new.place, new.grade, new.happened) == (*old[7:11], old.happened)
    assert (new.replaces, new.by, new.robot) == (old.id, "EW", "R")
    assert new.detail == {**old.detail, "value_m": 0.0042, "typed": "4.2", "note": "misread"}
    (fact,) = shop.book.evidence().facts("reading", "wh1/tread")
    assert (fact.id, fact.root, fact.tick) == (new.id, old.id, old.tick)


def test_a_correction_keeps_the_place_and_grade(shop: Shop) -> None:
    (hit,) = shop.do(fighting.hit, ["W"], 2, not_sure=True, in_fight=False)
    (new,) = shop.do(correcting.correct, hit.id, {"source": "given"})
    assert (new.place, new.grade, new.happened, new.detail) == ("W", 2, hit.happened, {"source": "given"})


def test_a_correction_never_freshens(shop: Shop) -> None:
    shop.ready()
    (torque,) = shop.do(fastening.torque, "cap", 25.0)
    shop.do(fastening.open_joint, "cap")
    shop.do(correcting.correct, torque.id, {"torque_nm": 25.5})
    assert shop.blocks()["joint:cap"] == "recheck"


def test_the_subject_and_the_time_may_be_what_was_wrong(shop: Shop) -> None:
    shop.ready()
    (look,) = shop.do(looking.look_over, ["D"])
    shop.hit("W", 2)
    after = shop.clock.now_ms() + 1
    (moved,) = shop.do(correcting.correct, look.id, {"subject": "W", "happened": after})
    assert (moved.subject, moved.happened) == ("W", after)
    assert list(shop.book.evidence().facts("looked_over", "D")) == []
    assert "joint:cap" not in shop.blocks()


def test_a_place_may_be_what_was_wrong(shop: Shop) -> None:
    (entry,) = shop.do(fitting.part_in, "pl1", "plate")
    shop.do(correcting.correct, entry.id, {"place": "back plate"})
    case = shop.case()
    assert (case.occupant("plate"), case.occupant("back plate")) == (None, "pl1")


def test_a_grade_may_be_what_was_wrong(shop: Shop) -> None:
    shop.ready()
    (hit,) = shop.do(fighting.hit, ["W"], 2, in_fight=False)
    assert "joint:cap" in shop.blocks()
    shop.do(correcting.correct, hit.id, {"grade": 1})
    assert shop.standing().fit


def test_none_takes_a_field_out(shop: Shop) -> None:
    old = reading(shop)
    (new,) = shop.do(correcting.correct, old.id, {"instrument": None, "typed": None})
    assert new.detail == {"of": "wh1", "dimension": "tread", "value_m": 0.006}


def test_what_must_be_there_is_not_taken_out(shop: Shop) -> None:
    shop.refused("value_m: missing", correcting.correct, reading(shop).id, {"value_m": None})


def test_a_field_the_kind_has_not_is_refused(shop: Shop) -> None:
    shop.refused("colour: not a field of reading", correcting.correct, reading(shop).id, {"colour": "red"})


def test_a_correction_of_a_correction_speaks(shop: Shop) -> None:
    old = reading(shop)
    (second,) = shop.do(correcting.correct, old.id, {"value_m": 0.005})
    (third,) = shop.do(correcting.correct, second.id, {"value_m": 0.0055})
    (fact,) = shop.book.evidence().facts("reading", "wh1/tread")
    assert (fact.id, fact.root, fact.detail["value_m"]) == (third.id, old.id, 0.0055)


def test_a_correction_of_an_old_entry_goes_by_what_speaks_for_it(shop: Shop) -> None:
    old = reading(shop)
    shop.do(correcting.correct, old.id, {"value_m": 0.005, "typed": "5"})
    (third,) = shop.do(correcting.correct, old.id, {"instrument": "TW"})
    assert (third.detail["value_m"], third.detail["typed"], third.detail["instrument"]) == (0.005, "5", "TW")


def test_a_line_withdrawn_is_neither_corrected_nor_withdrawn_again(shop: Shop) -> None:
    old = reading(shop)
    shop.do(correcting.withdraw, old.id)
    shop.refused("that line was withdrawn", correcting.correct, old.id, {"value_m": 0.005})
    shop.refused("that line was withdrawn", correcting.withdraw, old.id)


@pytest.mark.parametrize("ident", ["", "nothing"])
def test_a_line_that_is_not_there_is_refused(shop: Shop, ident: str) -> None:
    shop.refused("not in the book", correcting.correct, ident, {})
    shop.refused("not in the book", correcting.withdraw, ident)


def test_a_withdrawal_takes_the_whole_line_out(shop: Shop) -> None:
    old = reading(shop)
    (new,) = shop.do(correcting.correct, old.id, {"value_m": 0.005})
    (gone,) = shop.do(correcting.withdraw, new.id, "wrong wheel")
    assert said([gone]) == [Said("withdrawn", "wh1/tread", {"note": "wrong wheel"})]
    assert gone.replaces == old.id
    assert list(shop.book.evidence().facts("reading", "wh1/tread")) == []
    assert shop.book.read(old.id) == old


def test_a_withdrawal_stands_as_if_never_logged(shop: Shop) -> None:
    shop.ready()
    (opened,) = shop.do(fastening.open_joint, "cap")
    assert not shop.standing().fit
    shop.do(correcting.withdraw, opened.id)
    assert shop.standing().fit


def test_withdrawing_an_act_takes_out_every_line_of_it(shop: Shop) -> None:
    entries = shop.do(looking.look_over, ["W", "U", "D"])
    gone = shop.do(correcting.withdraw_act, entries[0].act, "wrong robot")
    assert said(gone) == [Said("withdrawn", zone, {"note": "wrong robot"}) for zone in ("W", "U", "D")]
    assert {e.replaces for e in gone} == {e.id for e in entries}
    assert shop.book.evidence().act(entries[0].act) == ()
    shop.refused("nothing of that act stands", correcting.withdraw_act, entries[0].act)


def test_withdrawing_a_blow_takes_out_what_raised_it(shop: Shop) -> None:
    shop.ready()
    hits = shop.do(fighting.hit, ["W", "U"], 2, in_fight=False)
    shop.do(mending.found, "brg1", "bearing", "notchy", hit=hits[0].act, raises=True)
    gone = shop.do(correcting.withdraw_act, hits[0].act)
    assert [e.subject for e in gone] == ["W", "U", "W", "U"]
    assert [list(shop.book.evidence().hits(zone, 1)) for zone in ("W", "U")] == [[], []]


def test_withdrawing_a_finding_takes_its_unseen_blow_along(shop: Shop) -> None:
    shop.ready()
    hit, finding = shop.do(mending.found, "rotor1", "rotor", "bent")
    assert hit.act == finding.act
    shop.do(correcting.withdraw_act, finding.act)
    assert shop.standing().fit


def test_withdrawing_a_hand_check_brings_the_raise_down(shop: Shop) -> None:
    shop.ready()
    (hit,) = shop.do(fighting.hit, ["W"], 2, not_sure=True, in_fight=False)
    checked = shop.do(looking.hand_check, hit.act, True)
    assert [f.entry.grade for f in shop.book.evidence().hits("W", 3)] == [3]
    shop.do(correcting.withdraw, checked[0].id)
    assert list(shop.book.evidence().hits("W", 3)) == []
    assert shop.blocks()[f"hand:{hit.act}"] == "due"


def test_an_act_nobody_wrote_is_refused(shop: Shop) -> None:
    shop.refused("nothing of that act stands", correcting.withdraw_act, "nothing")


def test_a_note_about_the_robot(shop: Shop) -> None:
    assert said(shop.do(correcting.note, "two\u202e bolts\x1b[2J short")) == [
        Said("note", "R", {"note": "two bolts[2J short"})
    ]


def test_a_correction_is_of_its_own_moment_in_the_log(shop: Shop) -> None:
    old = reading(shop)
    (new,) = shop.do(correcting.correct, old.id, {"value_m": 0.005})
    assert new.tick == old.tick + MINUTE


def test_a_corrected_blow_is_still_one_blow(shop: Shop) -> None:
    shop.ready()
    hits = shop.do(fighting.hit, ["W", "U"], 2, not_sure=True, in_fight=False)
    shop.do(correcting.correct, hits[0].id, {"source": "given"})
    assert [key for key in shop.verdicts() if key.startswith("hand:")] == [f"hand:{hits[0].act}"]


def test_a_finding_raises_the_corrected_zone_of_a_blow_too(shop: Shop) -> None:
    hits = shop.do(fighting.hit, ["W", "U"], 2, in_fight=False)
    shop.do(correcting.correct, hits[0].id, {"source": "given"})
    shop.do(mending.found, "brg1", "bearing", "notchy", hit=hits[0].act, raises=True)
    assert [len(list(shop.book.evidence().hits(zone, 3))) for zone in ("W", "U")] == [1, 1]


def test_withdrawing_an_act_takes_out_its_corrected_lines_too(shop: Shop) -> None:
    entries = shop.do(looking.look_over, ["W", "U"])
    shop.do(correcting.correct, entries[0].id, {"except": ["cap"]})
    shop.do(correcting.withdraw_act, entries[0].act)
    assert [list(shop.book.evidence().facts("looked_over", zone)) for zone in ("W", "U")] == [[], []]


def test_a_correction_without_a_time_keeps_the_old_one(shop: Shop) -> None:
    old = reading(shop)
    (new,) = shop.do(correcting.correct, old.id, {"happened": None})
    assert new.happened == old.happened
