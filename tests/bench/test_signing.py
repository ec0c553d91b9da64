"""Signing for the robot, for a joint as the second person, for any job that is finished."""

from __future__ import annotations

import pytest

from pitcrew.bench import answering, fastening, fighting, looking, measuring, signing
from pitcrew.bench.desk import Desk
from pitcrew.bench.detail import requirement_detail
from pitcrew.bench.entry_words import subject_name
from pitcrew.bench.line import drafts
from pitcrew.bench.signing_words import signature_words, signed_for
from pitcrew.bench.standing import View, view
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from tests.bench.shop import Shop
from tests.readiness.small import CHECK, MINUTE


def seen(shop: Shop) -> View:
    shop.clock.set(shop.clock.now_ms() + MINUTE)
    return view(shop.book.evidence(), "R", shop.clock.now_ms(), (CHECK,))


def typed(desk: Desk, line: str) -> list[Draft]:
    """What a line means at a desk that knows the robot as it is judged."""
    judged = Case(desk.evidence, desk.definitions(), desk.now, (CHECK,))
    return drafts(desk._replace(judged=judged), line, lambda n: None)


def reserved(shop: Shop) -> str:
    """The note of a signature given now."""
    (draft,) = signing.sign_robot(shop.desk("PB"), shop.standing())
    return str(draft.detail.get("note", ""))


def test_the_robot_is_signed_for_all_it_rests_on(shop: Shop) -> None:
    shop.ready()
    standing = shop.standing()
    (entry,) = shop.at({"by": "PB"}, signing.sign_robot, standing)
    assert (entry.kind, entry.subject, entry.by, entry.detail["fight"]) == ("signed", "R", "PB", "F1")
    rests_on = entry.detail["rests_on"]
    assert set(rests_on) == {ident for item in standing.requirements for ident in item.evidence}
    assert len(rests_on) == len(set(rests_on)) > 8
    assert signature_words(seen(shop).case, False).startswith("signed PB ")
    assert subject_name(shop.book.evidence(), entry) == "SMALL"


def test_nobody_signs_while_anything_blocks_but_the_signature(shop: Shop) -> None:
    shop.ready()
    shop.do(signing.sign_off_wanted, True)
    assert shop.blocks() == {"signed:R": "due"}
    shop.do(fighting.hit, ["D"], 3, in_fight=False)
    blocking = len(shop.blocks()) - 1
    said = f"{blocking} things still block: .* and {blocking - 3} more"
    error = shop.refused(said, signing.sign_robot, shop.standing())
    assert error.hint
    shop.do(looking.look_over, ["D"])
    shop.do(looking.look_at, ["motor", "wheel", "P1", "P2"])
    shop.refused("1 thing still blocks: tread wheel", signing.sign_robot, shop.standing())
    shop.do(measuring.dimension, "wh1", "tread", 0.006, "CAL")
    shop.do(signing.sign_robot, shop.standing())
    assert shop.standing().fit


def test_without_a_fight_there_is_nothing_to_sign_for(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    shop.refused("no fight is entered", signing.sign_robot, shop.standing())


def test_what_is_signed_for_with_a_reservation_is_said(shop: Shop) -> None:
    shop.ready()
    shop.clock.set(shop.clock.now_ms() + 30 * MINUTE)
    assert reserved(shop) == ""
    shop.do(measuring.dimension, "wh1", "tread", 0.00401, "CAL")
    shop.at({"by": "PB"}, answering.accept, shop.requirement("limit:wh1/tread"))
    shop.do(fastening.open_joint, "cap")
    shop.do(fastening.torque, "cap", 25.0)
    shop.do(measuring.dimension, "R", "gap", 0.1005, "CAL")
    assert reserved(shop).startswith("taken on: tread wheel; predicted: threadlocker of cap sets ")


def test_a_second_person_signs_by_name_and_never_the_one_who_did_it(shop: Shop) -> None:
    shop.ready()
    shop.do(fastening.torque, "duo", 10.0, fasteners=[1, 2])
    (torque,) = signing.unsigned(shop.case(), "duo")
    with pytest.raises(EntryError, match="cannot be the second person"):
        typed(shop.desk("MK"), "sign duo")
    (entry,) = shop.at({"by": "EW"}, typed, "sign joint duo")
    assert (entry.subject, entry.by, entry.detail) == ("joint:duo", "EW", {"rests_on": [torque.id]})
    assert shop.standing().fit
    assert subject_name(shop.book.evidence(), entry) == "joint duo"
    shop.refused("waits for no second person", signing.sign_joint, "duo")


def test_any_finished_job_is_signed_for_and_says_so(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.at({"by": "EW"}, typed, "sign float")
    found = shop.requirement("stack:float")
    assert (entry.subject, entry.by) == ("stack:float", "EW")
    assert entry.detail["rests_on"] == list(found.evidence)
    now = seen(shop)
    item = next(item for item in now.standing.requirements if item.key == "stack:float")
    assert ("signed", f"by EW {signed_for(now.case, item)[6:]}") in list(requirement_detail(now, item))
    shop.do(measuring.dimension, "R", "gap", 0.1005, "CAL")
    now = seen(shop)
    item = next(item for item in now.standing.requirements if item.key == "stack:float")
    assert signed_for(now.case, item).endswith(", for what it rested on then")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("sign cap", "joint cap is recheck: opened"),
        ("sign nothing like it", "no job called"),
        ("sign", "still block"),
    ],
)
def test_what_is_not_finished_is_not_signed_for(shop: Shop, line: str, says: str) -> None:
    shop.ready()
    shop.do(fastening.open_joint, "cap")
    shop.refused(says, typed, line)


def test_the_robot_is_signed_for_by_its_name_or_none(shop: Shop) -> None:
    shop.ready()
    for line in ("sign", "sign robot", "sign SMALL"):
        (draft,) = typed(shop.desk("PB"), line)
        assert (draft.kind, draft.subject, draft.by) == ("signed", "R", "PB")
    # The shell knows what is judged as the screen does: the lists that come with the program are not answered here.
    with pytest.raises(EntryError, match="still block"):
        drafts(shop.desk("PB"), "sign", lambda n: None)


def test_the_signature_says_when_it_was_changed_since(shop: Shop) -> None:
    shop.ready()
    assert signature_words(seen(shop).case, False) == ""
    shop.at({"by": "PB"}, signing.sign_robot, shop.standing())
    said = signature_words(seen(shop).case, False)
    assert signature_words(seen(shop).case, True) == f"{said}, changed since"
    reading = next(shop.book.evidence().facts("reading", "wh1/tread"))
    shop.put("reading", "wh1/tread", dict(reading.detail), replaces=reading.id)
    assert signature_words(seen(shop).case, False) == f"{said}, changed since"


def test_the_wish_for_a_signature_is_kept_with_all_else_of_the_robot(shop: Shop) -> None:
    before = next(shop.book.evidence().facts("robot", "R")).detail
    (entry,) = shop.do(signing.sign_off_wanted, True)
    assert entry.detail == {**before, "sign_off": True}
    assert signing.sign_off_wanted(shop.desk(), True) == []
    (entry,) = shop.do(signing.sign_off_wanted, False)
    assert entry.detail == before
