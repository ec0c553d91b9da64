"""The box: stock counted, used and bought as it is typed; spares by kind; used today, to buy; how long kinds last."""

from __future__ import annotations

from typing import Any

import pytest

from pitcrew.bench import fastening, fighting, fitting, mending, stocking
from pitcrew.bench.entry_words import entry_words, subject_name
from pitcrew.bench.ledger import story
from pitcrew.bench.line import drafts
from pitcrew.bench.lives_now import asked_for_life, failures_told, give_life, had_before, life_told, suggested
from pitcrew.bench.meanings import Read, read_line
from pitcrew.bench.names import label
from pitcrew.bench.saying import caveat_words, job_words
from pitcrew.bench.spares import Box, Buy, bench_tested, boxes, moved, stock_story, stocked, to_buy, used_today
from pitcrew.bench.spares_out import spares_data, spares_lines
from pitcrew.bench.standing import view
from pitcrew.errors import EntryError
from pitcrew.readiness.jobs import jobs
from pitcrew.readiness.judge import standing_of
from pitcrew.robot.definitions import Joint, PartKind, read
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Entry
from tests.bench.shop import Shop
from tests.readiness.small import CHECK

DAY_MINUTES = 24 * 60


def typed(shop: Shop, text: str) -> tuple[Entry, ...]:
    """A line typed and logged."""
    return shop.do(lambda desk: drafts(desk, text, lambda n: None))


def meant(shop: Shop, text: str) -> Read:
    return read_line(shop.desk(), text, lambda n: None)


def said(shop: Shop, entry: Entry) -> str:
    return f"{entry_words(entry)} {subject_name(shop.book.evidence(), entry)}"


def lefts(shop: Shop) -> dict[str, int]:
    return {now.item.name: now.left for now in stocked(shop.case())}


def kind(shop: Shop, ident: str) -> PartKind:
    return read(PartKind, next(shop.book.evidence().facts("part_kind", ident)))


# stock


def test_a_name_that_is_new_is_added_with_its_first_count_and_said_to_be_new(shop: Shop) -> None:
    (meaning,) = meant(shop, "stock M10x30 12 wanted 6 batch B7").meanings
    assert meaning.text == "new in stock: M10x30, counted 12, 6 wanted, batch B7"
    assert meaning.doubtful == "nothing in stock is called M10x30 yet"
    entries = typed(shop, "stock M10x30 12 wanted 6 batch B7")
    assert sorted(entry.kind for entry in entries) == ["stock", "stocked"]
    (now,) = stocked(shop.case())
    assert (now.item.name, now.item.wanted, now.item.batch, now.left) == ("M10x30", 6, "B7", 12)


def test_counted_used_and_bought(shop: Shop) -> None:
    typed(shop, "stock M10x30 12")
    (meaning,) = meant(shop, "used M10x30 4 for duo").meanings
    assert (meaning.text, meaning.doubtful) == ("stock used 4 M10x30 for duo", "")
    (used,) = typed(shop, "used M10x30 4 for duo")
    assert used.detail == {"how": "used", "count": 4, "where": "duo"}
    assert said(shop, used) == "stock used 4 M10x30 for duo"
    typed(shop, "bought M10x30 20")
    assert lefts(shop) == {"M10x30": 28}
    assert moved(shop.case(), stocked(shop.case())[0]) == (4, 20)
    typed(shop, "stock m10x30 25")
    assert lefts(shop) == {"M10x30": 25}
    assert moved(shop.case(), stocked(shop.case())[0]) == (0, 0)


@pytest.mark.parametrize(
    ("text", "detail"),
    [
        ("used 4 M10x30", {"how": "used", "count": 4}),
        ("used M10x30 4 for the spare box", {"how": "used", "count": 4, "where": "the spare box"}),
        ("bought M10x30 1", {"how": "bought", "count": 1}),
        ("stock M10x30 0", {"how": "counted", "count": 0}),
    ],
)
def test_what_a_line_of_stock_says(shop: Shop, text: str, detail: dict[str, Any]) -> None:
    typed(shop, "stock M10x30 12")
    (entry,) = typed(shop, text)
    assert entry.detail == detail


def test_a_name_may_hold_a_number(shop: Shop) -> None:
    typed(shop, "stock 8 mm washers 40")
    assert lefts(shop) == {"8 mm washers": 40}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("stock", "a name and a whole number are wanted"),
        ("stock M10x30", "a name and a whole number are wanted"),
        ("stock 12", "a name and a whole number are wanted"),
        ("stock M10x30 1.5", "a name and a whole number are wanted"),
        ("stock M10x30 12 wanted some", "is no whole number"),
        ("stock M10x30 999999999", "is no number of things"),
        ("used M10x30 4", "there is no stock item called"),
        ("bought M10x30 4", "there is no stock item called"),
        ("used washers 0", "is no number of things"),
        ("add stock washers 4", "in stock already"),
        ("add spares magnet 4", "there is no sort of part called"),
    ],
)
def test_what_is_refused_writes_nothing(shop: Shop, text: str, says: str) -> None:
    typed(shop, "stock washers 12")
    shop.refused(says, lambda desk: drafts(desk, text, lambda n: None))


def test_a_joint_takes_its_new_fasteners_out_of_stock_from_when_it_is_said(shop: Shop) -> None:
    shop.ready()
    entries = typed(shop, "stock M6x20 12 wanted 6 for duo")
    joint = next(shop.book.evidence().facts("joint", "duo"))
    assert read(Joint, joint).stock == next(entry.subject for entry in entries if entry.kind == "stock")
    assert read(Joint, joint)._replace(stock=None).second
    shop.do(fastening.torque, "duo", 10.0, new_fasteners=True, second="EW")
    assert lefts(shop) == {"M6x20": 8}
    shop.do(fastening.torque, "duo", 10.0, fasteners=[2], new_fasteners=True, second="EW")
    assert [gone.number for gone in used_today(shop.case()) if gone.item] == [1, 4]
    assert moved(shop.case(), stocked(shop.case())[0]) == (5, 0)
    told = [fact.entry.kind for fact in stock_story(shop.case(), stocked(shop.case())[0].item)]
    assert told == ["torqued", "torqued", "stocked"]


@pytest.mark.parametrize(
    ("text", "how", "count"),
    [("12", "counted", 12), ("-4", "used", 4), ("+20", "bought", 20), ("- 4 for duo", "used", 4)],
)
def test_a_bare_number_at_an_item(shop: Shop, text: str, how: str, count: int) -> None:
    item = typed(shop, "stock M10x30 12")[0].subject
    (entry,) = shop.do(stocking.stepped, item, text)
    assert (entry.detail["how"], entry.detail["count"]) == (how, count)


@pytest.mark.parametrize("text", ["", "twelve", "1.5", "+4 for duo", "12 for duo", "-0"])
def test_what_is_no_number_at_an_item(shop: Shop, text: str) -> None:
    item = typed(shop, "stock M10x30 12")[0].subject
    with pytest.raises(EntryError):
        stocking.stepped(shop.desk(), item, text)


def test_what_is_short_is_to_buy_and_warns_in_words(shop: Shop) -> None:
    shop.ready()
    typed(shop, "stock M10x30 4 wanted 6")
    typed(shop, "add spares bearing 3")
    (first, second) = to_buy(shop.case())
    assert (first.name, first.number, first.why) == ("bearing", 2, "1 good, 3 wanted")
    assert (second.name, second.number, second.why) == ("M10x30", 2, "4 left, 6 wanted")
    case = shop.case()
    words = [caveat_words(case, item) for item in standing_of(case).warnings if item.code.endswith("short")]
    assert words == ["bearing short, 1 good spare, 3 wanted", "M10x30 short, 4 left, 6 wanted"]
    shop.do(stocking.want, stocked(case)[0].item.id, 0)
    assert [buy.name for buy in to_buy(shop.case())] == ["bearing"]
    shop.do(stocking.want_spares, "bearing", 0)
    assert to_buy(shop.case()) == ()
    assert kind(shop, "bearing").first_look


def test_changing_how_many_are_wanted_keeps_the_rest(shop: Shop) -> None:
    typed(shop, "stock M10x30 4 wanted 6 batch B7")
    typed(shop, "bought M10x30 20 batch B8")
    (now,) = stocked(shop.case())
    assert (now.item.wanted, now.item.batch, now.left) == (6, "B8", 24)
    (meaning,) = meant(shop, "stock M10x30 24 wanted 9").meanings
    assert (meaning.text, meaning.doubtful) == ("stock M10x30, counted 24, 9 wanted, batch B8", "")


# spares


def box(shop: Shop, name: str) -> Box:
    return next(item for item in boxes(shop.case()) if item.kind.id == name)


def test_spares_are_good_tested_found_bad_or_away(shop: Shop) -> None:
    shop.ready()
    (spare,) = box(shop, "motor").spares
    assert (spare.name, spare.state, spare.tested, box(shop, "motor").untested) == ("motor 2", "good", False, 1)
    typed(shop, "tested motor 2")
    (spare,) = box(shop, "motor").spares
    assert (spare.ran, spare.tested, box(shop, "motor").untested) == ("bench test", True, 0)
    assert story(shop.case(), "mot2")[0].words == "bench test"
    shop.do(mending.found, "mot2", "motor", "cracked")
    assert box(shop, "motor").spares[0].state == "found"
    shop.refused("motor 2 is cracked", bench_tested, "mot2")
    shop.do(fitting.put_away, "mot2", "quarantine")
    assert (box(shop, "motor").spares[0].state, box(shop, "motor").put_away("quarantine")) == ("away", 1)


def test_a_fight_is_a_test(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1", "win")
    shop.do(fitting.part_in, "rotor2", "rotor")
    (spare,) = box(shop, "rotor").spares
    assert (spare.name, spare.ran) == ("rotor 1", "1 fight")


def test_a_kind_that_is_wanted_and_has_none_left_stands_first(shop: Shop) -> None:
    shop.ready()
    typed(shop, "add spares wheel 2")
    first = boxes(shop.case())[0]
    assert (first.kind.name, first.spares, first.short) == ("wheel", (), 2)


def test_what_went_out_today_and_what_of_its_batch_is_on_the_robot(shop: Shop) -> None:
    for part in ("brg1", "brg2", "rotor1"):
        was = next(shop.book.evidence().facts("part", part)).detail
        shop.define("part", part, "R", {**was, "batch": "B7"})
    shop.define("position", "bearing 2", "R", {"name": "outer bearing", "zone": "W"})
    third = {"name": "bearing 3", "part_kind": "bearing", "batch": "B7"}
    shop.define("part", "brg3", "R", third)
    shop.clock.set(shop.clock.now_ms() + DAY_MINUTES * MINUTE_MS)
    shop.do(fitting.part_in, "brg3", "bearing 2")
    assert to_buy(shop.case()) == ()
    shop.do(fitting.part_in, "brg2", "bearing")
    assert [(gone.name, gone.where) for gone in used_today(shop.case())] == [
        ("bearing 2", "at bearing"),
        ("bearing 3", "at outer bearing"),
    ]
    (look,) = to_buy(shop.case())
    assert (look.name, look.number, look.why) == ("bearing, outer bearing", 0, "same batch B7 as bearing 1")
    assert look.counted == "bearing, outer bearing"
    shop.clock.set(shop.clock.now_ms() + DAY_MINUTES * MINUTE_MS)
    assert (used_today(shop.case()), to_buy(shop.case())) == ((), ())
    shop.do(mending.found, "brg3", "bearing 2", "notchy")
    assert [(look.name, look.why) for look in to_buy(shop.case())] == [("bearing", "same batch B7 as bearing 3")]


def test_what_changes_with_the_configuration_is_not_used_up(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_in, "rotor2", "rotor")
    assert [(gone.name, gone.where) for gone in used_today(shop.case())] == [("rotor 2", "at rotor")]
    was = next(shop.book.evidence().facts("position", "rotor")).detail
    for role in ("module", "shim", "pack"):
        shop.define("position", "rotor", "R", {**was, "role": role})
        assert used_today(shop.case()) == ()
    shop.define("position", "rotor", "R", {**was, "role": "fixed"})
    assert [gone.part for gone in used_today(shop.case())] == ["rotor2"]


@pytest.mark.parametrize(
    ("name", "number", "said"),
    [
        ("belt", 2, "2 belts"),
        ("bearing", 1, "1 bearing"),
        ("drive motor", 3, "3 drive motors"),
        ("battery", 2, "2 battery"),
        ("key", 2, "2 keys"),
        ("washers", 2, "2 washers"),
        ("clutch", 2, "2 clutch"),
        ("bearing (inner)", 2, "2 bearing (inner)"),
        ("belt 5", 2, "2 belt 5"),
    ],
)
def test_how_many_to_buy_is_said_as_one_would(name: str, number: int, said: str) -> None:
    assert Buy(name, number, "", kind="some kind").counted == said
    assert Buy(name, number, "", item="some item").counted == f"{number} {name}"


# lives


def test_failures_of_a_kind_are_told_and_suggest_a_life(shop: Shop) -> None:
    shop.ready()
    assert (failures_told(shop.case(), "brg2"), suggested(shop.case(), "brg2")) == ("", "")
    for number in (1, 2, 3):
        shop.do(fighting.ended, f"F{number}", "win")
        shop.put("entered", f"F{number + 1}", {"name": f"F{number + 1}", "configuration": "A"}, place="R")
    found = shop.do(mending.found, "brg1", "bearing", "notchy")
    assert failures_told(shop.case(), "brg2") == ""
    shop.do(fitting.part_in, "brg2", "bearing")
    shop.do(mending.mended, found[0].id, "replaced")
    assert failures_told(shop.case(), "brg2") == "its kind failed at 3 fights; this one has 0"
    assert failures_told(shop.case(), "brg1") == ""
    assert suggested(shop.case(), "brg2") == "2 fights"
    assert asked_for_life(shop.case(), "brg2").startswith("this kind failed at 3 fights. how long does every bearing")
    assert life_told(shop.case(), "brg2") == ""
    shop.do(give_life, "brg2", "2")
    assert life_told(shop.case(), "brg2") == "0 of 2 fights: 2 fights left"
    shop.do(give_life, "brg2", "2 fights, 3 hard")
    assert life_told(shop.case(), "brg2") == "0 of 2 fights, 0 of 3 hard hits: 2 fights or 3 hard hits left"
    shop.refused("how many fights or hard hits", give_life, "brg2", "a long time")
    assert kind(shop, "bearing").first_look


def test_a_life_used_up_is_a_job_in_words(shop: Shop) -> None:
    shop.ready()
    shop.do(give_life, "brg1", "1 fight")
    case = shop.case()
    assert [caveat_words(case, item) for item in standing_of(case).warnings if item.code == "last fight"] == [
        "last fight of bearing, 0 of 1 fights behind it"
    ]
    shop.do(fighting.ended, "F1", "win")
    case = shop.case()
    standing = standing_of(case)
    (job,) = [job for job in jobs(case, standing) if job.action == "renew"]
    assert (label(case, job.clears[0]), job_words(case, job)) == ("life bearing", "renew: bearing")


def test_what_a_part_had_behind_it_counts(shop: Shop) -> None:
    shop.do(give_life, "brg1", "4 fights 3 hard")
    shop.do(had_before, "brg1", "2 fights, 1 hard")
    assert life_told(shop.case(), "brg1") == "2 of 4 fights, 1 of 3 hard hits: 2 fights or 2 hard hits left"
    shop.do(had_before, "brg1", "3")
    assert life_told(shop.case(), "brg1") == "3 of 4 fights, 1 of 3 hard hits: 1 fight or 2 hard hits left"
    for text in ("", "some", "-1 fights", "2 rounds"):
        shop.refused("is no count of fights", had_before, "brg1", text)


def test_the_shell_says_the_same_box(shop: Shop) -> None:
    shop.ready()
    typed(shop, "stock M10x30 4 wanted 6")
    typed(shop, "add spares wheel 2")
    typed(shop, "tested motor 2")
    item = view(shop.book.evidence(), "R", shop.clock.now_ms(), [CHECK])
    text = "\n".join(spares_lines(item))
    for row in (
        "  none      wheel                                             2 wanted",
        "  good      motor            motor 2              bench test",
        "  good      rotor            rotor 2              not tested",
        "  short     M10x30           4 left               6 wanted",
        "  buy       2 wheels: 0 good, 2 wanted",
        "  buy       2 M10x30: 4 left, 6 wanted",
    ):
        assert row in text.split("\n")
    (data,) = spares_data([item], "book")["robots"]
    assert data["wanted"] == [{"kind": "wheel", "good": 0, "wanted": 2, "short": 2}]
    assert data["stock"] == [{"item": "M10x30", "left": 4, "wanted": 6, "counted": True}]
    assert {row["part"]: row["tested"] for row in data["spares"]}["motor 2"] is True
    assert [row["number"] for row in data["to_buy"]] == [2, 2]
