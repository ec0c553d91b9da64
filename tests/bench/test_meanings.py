"""What a line may mean while it is typed: the entries it would write, in words, and which of them may be a slip."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.bench import openbook
from pitcrew.bench.meanings import LEAST_FAR_M, MOST, Read, as_hit, drafts_words, far_off, known, read_line, things
from pitcrew.bench.subjects import Figured
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop

NOTE = "neither: keep it as a note"
GAP = Figured("reading", "R/gap", "gap", "length", "mm")
JOINT = Figured("joint", "cap", "cap", "torque", "N m")


def meant(demo: DemoDay, text: str) -> Read:
    return read_line(demo.desk(), text, lambda n: openbook.number(demo.book, n))


def texts(demo: DemoDay, text: str) -> list[str]:
    return [meaning.text for meaning in meant(demo, text).meanings]


def drafts(demo: DemoDay, text: str, index: int = 0) -> list[Draft]:
    return meant(demo, text).meanings[index].drafts(demo.desk())


def detail(demo: DemoDay, draft: Draft) -> dict[str, Any]:
    return {name: demo.called(value) for name, value in draft.detail.items()}


def test_a_figure_alone_means_things_that_were_last_near_it_the_nearest_first(demo: DemoDay) -> None:
    assert texts(demo, "262.05") == [
        "gap between uprights 262.05 mm with ROD",
        "rotor or hub width weapon 262.05 mm with CAL",
        NOTE,
    ]
    (draft,) = drafts(demo, "262.05")
    assert (draft.kind, detail(demo, draft)["instrument"], draft.detail["value_m"]) == ("reading", "ROD", 0.26205)


def test_a_unit_leaves_only_things_of_its_kind(demo: DemoDay) -> None:
    assert texts(demo, "22")[:3] == ["hubs L 22 N m with TW5", "hubs R 22 N m with TW5", "bar 22 kg"]
    assert all("N m" in text for text in texts(demo, "22 N m")[:-1])
    assert texts(demo, "22 kg")[0] == "bar 22 kg"


@pytest.mark.parametrize("text", ["0", "-5", "99999", "22 N m", "0.95", '10-5/16"', "712 thou", "12,5 mm"])
def test_a_figure_alone_can_always_be_kept_as_a_note(demo: DemoDay, text: str) -> None:
    found = meant(demo, text)
    assert found.meanings[-1].text == NOTE
    assert found.refusal == ""
    assert len(found.meanings) <= MOST
    (draft,) = found.meanings[-1].drafts(demo.desk())
    assert (draft.kind, draft.subject, draft.detail) == ("note", demo.robots[HEAVY], {"note": text})


def test_a_name_of_two_things_offers_both(demo: DemoDay) -> None:
    for text in ("22 hubs", "hubs 22"):
        assert texts(demo, text) == ["hubs L 22 N m with TW5", "hubs R 22 N m with TW5", NOTE]
    second = drafts(demo, "22 hubs", 1)
    assert [demo.called(draft.subject) for draft in second] == ["hubs R"]


def test_a_name_and_a_figure_in_either_order_are_one_thing(demo: DemoDay) -> None:
    wanted = ["dimension measured gap between uprights 262.05 mm TALLOW ANVIL"]
    assert texts(demo, "262.05 gap between uprights") == wanted
    assert texts(demo, "gap between uprights 262.05") == wanted


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("dr hard", "hit hard taken DR"),
        ("DR solid", "hit solid taken DR"),
        ("hit dr hard", "hit hard taken DR"),
        ("w1 hard given", "hit hard given W1"),
        ("w1 not sure", "hit solid taken, not sure W1"),
        ("over dr", "zone looked over DR"),
        ("out weapon", "part out to spares drum at weapon"),
        ("in bar at weapon", "part out to spares drum at weapon; part in bar at weapon"),
        ("in drum at weapon", "it is so already"),
        ("note belt box is empty", "note (belt box is empty)"),
    ],
)
def test_what_a_line_would_write_is_said_as_the_logbook_says_it(demo: DemoDay, text: str, says: str) -> None:
    assert texts(demo, text) == [says]


def test_what_is_taken_out_or_put_right_is_said_by_its_number_and_words(demo: DemoDay) -> None:
    hit = next(entry for entry in demo.entries if entry.kind == "hit")
    zone, old = demo.called(hit.subject), f"{('light', 'solid', 'hard')[(hit.grade or 1) - 1]} {hit.detail['source']}"
    (out,) = texts(demo, f"withdraw {hit.n}")
    assert out.startswith(f"withdraws #{hit.n} hit {old}")
    assert zone in out
    (right,) = texts(demo, f"correct #{hit.n} light")
    assert right.startswith(f"puts #{hit.n} right: hit light {hit.detail['source']}")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("nonsense", "no figure here"),
        ("1-4", "no figure here"),
        ("1e400", "no figure here"),
        ("9" * 50, "no figure here"),
        ("dr", "no figure here"),
        ("in nothing", "there is no part called 'nothing'"),
        ("in wheel 5", "say where it goes"),
        ("out", "no place called"),
        ("95 kg A", "a weighing needs its scale"),
        ("hubs r 22 #9", "fasteners 1 to 8"),
        ("withdraw 99999", "by its number"),
        ("withdraw x", "by its number"),
        ("correct 851", "nothing was typed"),
        ("note", "the note is empty"),
        ("262.05 gap between uprights with HAMMER", "no instrument called"),
    ],
)
def test_what_means_nothing_says_why(demo: DemoDay, text: str, says: str) -> None:
    found = meant(demo, text)
    assert found.meanings == ()
    assert says in found.refusal


@pytest.mark.parametrize("text", ["", "   ", "\t", "\x1b", "\u202e \u2066"])
def test_nothing_typed_means_nothing_and_is_no_fault(demo: DemoDay, text: str) -> None:
    assert meant(demo, text) == Read(())


def test_control_letters_do_not_reach_what_is_kept(demo: DemoDay) -> None:
    (draft,) = drafts(demo, "note \x1b[31mred\u202e")
    assert draft.detail["note"] == "[31mred"


def test_a_meaning_is_written_by_the_desk_that_signs(demo: DemoDay) -> None:
    found = meant(demo, "dr hard").meanings[0]
    assert [draft.by for draft in found.drafts(demo.desk(by="EW"))] == ["EW"]


def test_only_a_zone_with_a_grade_behind_it_is_a_hit(demo: DemoDay) -> None:
    desk = demo.desk()
    assert as_hit(desk, "dr hard") == "hit dr hard"
    assert as_hit(desk, "W1 given Not Sure") == "hit W1 given Not Sure"
    assert [as_hit(desk, text) for text in ("dr", "hard dr", "hit dr hard", "drive hard", "dr 22", "")] == [""] * 6


def test_drafts_that_say_the_same_are_said_once(demo: DemoDay) -> None:
    note = Draft("note", demo.robots[HEAVY], "MK", robot=demo.robots[HEAVY], detail={"note": "x"})
    assert drafts_words(demo.book.evidence(), [note, note]) == "note (x)"
    assert drafts_words(demo.book.evidence(), []) == "it is so already"


# slips


def test_a_figure_far_from_the_last_of_its_thing_may_be_a_slip(demo: DemoDay) -> None:
    (found,) = meant(demo, "400 gap between uprights").meanings
    assert found.doubtful == "137.95 mm off the last gap between uprights, 262.05 mm"
    assert meant(demo, "262.5 gap between uprights").meanings[0].doubtful == ""
    assert "N m off the last hubs R, 22 N m" in meant(demo, "220 hubs r").meanings[0].doubtful


@given(st.floats(0.02, 5.0), st.floats(-0.9, 3.0))
def test_a_length_is_far_off_beyond_a_quarter_either_way(last: float, off: float) -> None:
    share = abs(last * (1 + off) - last) / last
    if abs(share - 0.25) > 1e-9:
        assert bool(far_off(last, GAP, last * (1 + off))) == (share > 0.25)


@given(st.floats(-0.0039, 0.0039), st.floats(-0.003, 0.003))
def test_a_small_clearance_is_far_off_beyond_a_millimetre(last: float, off: float) -> None:
    by = abs(last + off - last)
    if abs(by - LEAST_FAR_M) > 1e-9:
        assert bool(far_off(last, GAP, last + off)) == (by > LEAST_FAR_M)


def test_what_was_never_read_is_never_far_off() -> None:
    assert far_off(None, JOINT, 1e9) == ""
    assert far_off(22.0, JOINT, 22.0) == ""


# things by name


def test_a_name_finds_places_before_parts(demo: DemoDay) -> None:
    assert [(sort, name) for sort, _, name in things(demo.desk(), "wheel 3")] == [
        ("place", "wheel 3 (front R)"),
        ("part", "wheel 3"),
    ]
    assert [name for _, _, name in things(demo.desk(), "hubs")] == ["hubs L", "hubs R"]


def test_the_short_name_of_a_zone_is_that_zone(demo: DemoDay) -> None:
    zones = [name for sort, _, name in things(demo.desk(), "dr") if sort == "zone"]
    assert zones == ["DR drive, right"]
    assert [name for sort, _, name in things(demo.desk(), "drive") if sort == "zone"] == [
        "W2 weapon drive",
        "DL drive, left",
        "DR drive, right",
    ]


@pytest.mark.parametrize(
    ("text", "sort", "name"),
    [
        ("weapon float", "stack", "weapon float"),
        ("wheel 5", "part", "wheel 5"),
        ("upright, left", "zone", "UL upright, left"),
    ],
)
def test_any_thing_is_found_by_its_name(demo: DemoDay, text: str, sort: str, name: str) -> None:
    found = {(sort, name.casefold()) for sort, _, name in things(demo.desk(), text)}
    assert (sort, name.casefold()) in found


@pytest.mark.parametrize("text", ["", "nothing of the sort", "\x1b[31m"])
def test_a_name_of_nothing_finds_nothing(demo: DemoDay, text: str) -> None:
    assert things(demo.desk(), text) == []


def test_a_robot_that_is_not_in_the_book_is_refused(demo: DemoDay) -> None:
    with pytest.raises(EntryError, match="does not know this robot"):
        read_line(demo.desk()._replace(robot="nobody"), "262.05", lambda n: None)


@given(st.text(max_size=30) | st.from_regex(r"[0-9.,]{1,5} ?[a-z]{0,3} ?[a-z]{0,6}", fullmatch=True))
def test_any_text_has_meanings_or_a_reason_and_what_it_means_can_be_written(text: str) -> None:
    shop = Shop()
    found = read_line(shop.desk(), text, lambda n: openbook.number(shop.book, n))
    assert len(found.meanings) <= MOST
    assert not (found.meanings and found.refusal)
    for meaning in found.meanings:
        assert meaning.text.isprintable()
        shop.book.append(meaning.drafts(shop.desk()))


def test_everything_a_figure_can_be_of_is_found_out_once_a_case(demo: DemoDay) -> None:
    case = demo.desk().case()
    assert known(case) is known(case)
