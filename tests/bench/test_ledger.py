"""The ledger: what sits where, what it has been through, how it stands, and where the spares are."""

from __future__ import annotations

import pytest

from pitcrew.bench import fighting, fitting, looking, mending
from pitcrew.bench.ledger import (
    SPARES,
    Ledger,
    before,
    fights,
    hard_hits,
    lives_of,
    of_its_kind,
    sits_at,
    story,
    when,
    worst,
)
from pitcrew.bench.standing import View, view
from pitcrew.readiness.jobs import jobs
from pitcrew.readiness.judge import standing_of
from pitcrew.readiness.schedule import lay
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop
from tests.readiness.small import CHECK

DAY_MS = 24 * 3_600_000


def _view(shop: Shop) -> View:
    case = shop.case()
    standing = standing_of(case)
    listed = jobs(case, standing)
    return View(case, standing, listed, lay(listed, ("MK", "EW"), case.now))


@pytest.fixture(scope="module")
def evening(demo: DemoDay) -> View:
    """The heavy robot after the whole day."""
    return view(demo.book.evidence(), demo.robots[HEAVY], demo.now, demo.checklists)


def test_a_part_counts_the_fights_that_ended_while_it_was_fitted(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1", "win")
    assert fights(shop.case(), "rotor1") == 1
    shop.do(fitting.part_in, "rotor2", "rotor")
    shop.put("entered", "F2", {"name": "F2", "configuration": "A"}, place="R")
    shop.do(fighting.ended, "F2", "win")
    assert (fights(shop.case(), "rotor1"), fights(shop.case(), "rotor2")) == (1, 1)
    shop.do(fitting.part_in, "rotor1", "rotor")
    shop.put("entered", "F3", {"name": "F3", "configuration": "A"}, place="R")
    shop.do(fighting.ended, "F3", "win")
    assert (fights(shop.case(), "rotor1"), fights(shop.case(), "rotor2")) == (2, 1)


def test_a_blow_raised_by_a_finding_counts_as_one_hard_hit(shop: Shop) -> None:
    shop.ready()
    act = shop.do(fighting.hit, ["W"], 2)[0].act
    assert hard_hits(shop.case(), "rotor1") == 0
    shop.do(mending.found, "rotor1", "rotor", "bent", hit=act, raises=True)
    assert hard_hits(shop.case(), "rotor1") == 1
    shop.do(fighting.hit, ["W"], 3)
    assert hard_hits(shop.case(), "rotor1") == 2


def test_a_hit_felt_while_a_part_was_off_is_not_its_own(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_in, "rotor2", "rotor")
    shop.do(fighting.hit, ["W"], 3)
    assert (hard_hits(shop.case(), "rotor1"), hard_hits(shop.case(), "rotor2")) == (0, 1)


def test_a_row_has_the_worst_verdict_of_its_part_and_agrees_with_the_standing(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.hit, ["W"], 2)
    found = _view(shop)
    row = next(row for row in Ledger(found).rows("W") if row.key == "rotor")
    assert (row.name, row.part_name, row.mass_kg, row.verdict, row.blocks) == ("rotor", "rotor 1", 2.0, "due", True)
    assert [item.key for item in row.about] == ["look:rotor1"]
    assert Ledger(found).blocking("W") == 1


def test_an_empty_place_that_must_hold_something_fails(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_out, "rotor", "quarantine")
    row = next(row for row in Ledger(_view(shop)).rows("W") if row.key == "rotor")
    assert (row.part, row.part_name, row.verdict, row.blocks) == (None, "", "fail", True)


def test_what_was_found_on_a_part_taken_out_stands_at_its_place_until_the_new_one_is_bolted_in(shop: Shop) -> None:
    shop.ready()
    shop.do(mending.found, "rotor1", "rotor", "worn")
    shop.do(fitting.part_in, "rotor2", "rotor")
    row = next(row for row in Ledger(_view(shop)).rows("W") if row.key == "rotor")
    assert row.part == "rotor2"
    assert any(item.group == "finding" for item in row.about)


def test_spares_say_where_they_are(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_out, "rotor", "scrapped")
    named = {row.part_name: row.name for row in Ledger(_view(shop)).rows(SPARES)}
    assert named["rotor 1"] == "scrapped"
    assert named["rotor 2"] == "spares, never in"
    assert "wheel 1" not in named


def test_every_part_of_the_demo_stands_in_exactly_one_row(evening: View) -> None:
    ledger = Ledger(evening)
    listed = [row.part for block in ledger.blocks for row in ledger.rows(block) if row.part is not None]
    defined = {fact.subject for fact in evening.case.evidence.definitions("part", evening.case.robot)}
    assert len(listed) == len(set(listed))
    assert set(listed) == defined


def test_the_rows_of_every_moment_say_what_the_standing_says(views: list[View]) -> None:
    for moment in views[::5]:
        ledger = Ledger(moment)
        by_key = {item.key: item for item in moment.standing.requirements}
        for block in ledger.blocks:
            rows = ledger.rows(block)
            assert block == SPARES or ledger.blocking(block) == sum(row.blocks for row in rows)
            for row in rows:
                top = worst(by_key[item.key] for item in row.about)
                assert (row.verdict, row.blocks) == ((top.verdict, top.blocks) if top else ("", False))
                looked = by_key.get(f"look:{row.part}")
                assert looked is None or looked in row.about


def test_a_place_a_part_and_a_zone_are_found_by_their_ids(shop: Shop) -> None:
    ledger = Ledger(_view(shop))
    assert ledger.block_of("W") == ledger.block_of("rotor") == ledger.block_of("rotor1") == "W"
    assert ledger.key_of("rotor1") == ledger.key_of("rotor") == "rotor"
    assert (ledger.block_of("rotor2"), ledger.key_of("rotor2")) == (SPARES, "rotor2")
    assert ledger.block_of("nothing of the kind") is None


def test_the_more_used_life_comes_first(demo: DemoDay, evening: View) -> None:
    used = [(life.used, life.of, life.unit) for life in lives_of(evening.case, demo.id_of("part", "bearing 2"))]
    assert used == [(2, 3, "hard hits"), (2, 6, "fights")]
    assert lives_of(evening.case, "nothing of the kind") == ()


def test_the_demos_bearings_have_the_life_the_day_gave_them(demo: DemoDay, evening: View) -> None:
    # By the demo's own log: in before H1, out after H2, struck hard in both.
    old, new = (demo.id_of("part", name) for name in ("bearing 1", "bearing 5"))
    assert (fights(evening.case, old), hard_hits(evening.case, old)) == (2, 2)
    assert (fights(evening.case, new), hard_hits(evening.case, new)) == (2, 0)


def test_a_story_is_told_newest_first_and_a_raised_blow_once(demo: DemoDay, evening: View) -> None:
    told = story(evening.case, demo.id_of("part", "upright L 1"))
    said = [line.words for line in told]
    assert said[0].startswith("put right: replaced")
    assert said[1].startswith("out to scrapped")
    assert said[2].startswith("found bent")
    assert said[-1].startswith("in at upright L")
    assert sum("felt hard hit" in text and "12:13" in line.when for text, line in zip(said, told, strict=True)) == 1
    assert [line for line in story(evening.case, demo.id_of("part", "upright L 1"), 2)] == told[:2]


def test_a_story_gives_numbers_that_are_in_the_book(demo: DemoDay, evening: View) -> None:
    for line in story(evening.case, demo.id_of("part", "wheel 5")):
        entry = demo.book.by_number(line.n or 0)
        assert entry is not None
        assert entry.by == line.by


def test_another_day_is_said_with_its_date(shop: Shop) -> None:
    case = shop.case()
    assert len(when(case, case.now)) == len("15:24")
    assert len(when(case, case.now - 2 * DAY_MS)) == len("11-13 15:24")


def test_what_sat_there_before_says_why_and_when_it_went(demo: DemoDay, evening: View) -> None:
    (said,) = before(evening.case, demo.id_of("position", "wheel 3 (front R)"))
    assert said.startswith("wheel 3: 1 fight, 0 hard hits; found worn; out 10:58 to scrapped #")


def test_spares_of_a_kind_are_named_without_what_was_put_away(demo: DemoDay, evening: View) -> None:
    assert of_its_kind(evening.case, demo.id_of("part", "bearing 5")) == [
        "bearing 2 (2 of 3 hard hits)",
        "bearing 3 (2 of 3 hard hits)",
        "bearing 4 (2 of 3 hard hits)",
    ]


def test_a_part_sits_where_it_was_fitted_last_unless_another_took_its_place(shop: Shop) -> None:
    assert sits_at(shop.case(), "rotor1") == "rotor"
    shop.put("fitted", "rotor2", {"new": True}, place="rotor")
    assert (sits_at(shop.case(), "rotor1"), sits_at(shop.case(), "rotor2")) == (None, "rotor")


def test_a_look_ends_a_due_row(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.hit, ["W"], 2)
    shop.do(looking.look_at, ["rotor"])
    row = next(row for row in Ledger(_view(shop)).rows("W") if row.key == "rotor")
    assert (row.verdict, row.blocks) == ("pass", False)
    assert CHECK.lines
