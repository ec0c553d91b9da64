"""What a line of the logbook says, which lines are found by words, and what stands behind one."""

from __future__ import annotations

import pytest

from pitcrew.bench import measuring
from pitcrew.bench.correcting import withdraw
from pitcrew.bench.history import BUDGET, HistoryLine, Known, detail, newer, page
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.logbook.book import Book
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.moments import typed
from tests.bench.demo_day import ZONE, DemoDay
from tests.bench.shop import Shop
from tests.bench.test_history import back, forth
from tests.logbook.making import NOON, entry


def line_called(demo: DemoDay, words: str, at: str | None = None) -> HistoryLine:
    cut = typed(at, ZONE, demo.now)[1] if at else None
    return next(line for line in back(lambda c: page(demo.book, c, cut=cut)) if words in line.words)


def test_a_line_says_when_who_and_what_to_what(demo: DemoDay) -> None:
    line = line_called(demo, "drive motor 3 at drive motor R")
    assert (line.time, line.day, line.by, line.kind, line.state) == ("15:38", "2026-06-13", "MK", "fitted", "")
    assert line.words == "part in drive motor 3 at drive motor R (spare motor on 6.0 plate)"
    assert (line.n, line.ids, line.act) == (line.entry.n, (line.entry.id,), line.entry.act)


def test_alike_entries_of_an_act_are_one_line(demo: DemoDay) -> None:
    line = line_called(demo, "part out to spares P1 at pack 1, P2 at pack 2")
    assert len(line.ids) == 4
    assert line.end == (line.start[0] + 3, line.start[1] + 3)


def test_a_line_that_no_longer_counts_says_so_and_numbers_point_both_ways(demo: DemoDay) -> None:
    wrong = line_called(demo, "part weighed 1.07 kg P9")
    right = line_called(demo, "part weighed 1.17 kg P9")
    assert (wrong.state, right.state) == ("replaced", f"corrects #{wrong.n}")
    gone = line_called(demo, "on charge 8 A, 4.4 Ah to put back, 33 deg C")
    out = line_called(demo, "charge NOT started")
    assert (gone.state, out.state) == ("withdrawn", f"takes out #{gone.n}-{gone.n + 2}")


def test_a_line_not_yet_corrected_at_a_moment_counts_at_it(demo: DemoDay) -> None:
    assert line_called(demo, "part weighed 1.07 kg P9", "06-13 12:55").state == ""


def test_one_of_several_withdrawn_is_a_line_of_its_own(shop: Shop) -> None:
    first, second, third = shop.book.append(
        [shop.desk().draft("marks_good", joint) for joint in ("cap", "nuts", "duo")],
    )
    assert page(shop.book, count=1).lines[0].words == "marks looked at, unbroken cap, nuts, duo"
    shop.do(withdraw, second.id)
    lines = page(shop.book, count=2).lines
    assert [(line.ids, line.state) for line in lines[:-1]] == [
        ((first.id,), ""),
        ((second.id,), "withdrawn"),
        ((third.id,), ""),
    ]
    assert lines[-1].state == f"takes out #{second.n}"


def test_what_a_terminal_would_obey_is_not_in_a_line() -> None:
    with Book.memory(FixedClock(NOON), SeededIds(0)) as book:
        made = [entry("e1", "note", detail={"note": "one\ntwo"}), entry("d1", "zone", detail={"name": "W\u202e1"})]
        book.insert_raw(made, checked=True)
        words = [line.words for line in page(book, definitions=True).lines]
        assert words and all(word.isprintable() for word in words)


# --- Only lines about


def about(demo: DemoDay, words: str, count: int = 40) -> list[HistoryLine]:
    known = Known(demo.book)
    return back(lambda c: page(demo.book, c, count, about=words, known=known))


@pytest.mark.parametrize(
    "words", ["pack", "mk torqued", "TORQUED mk", "bearing l outer", "withdrawn", "part_weighed p9"]
)
def test_every_word_asked_for_is_in_the_line_and_no_line_is_missed(demo: DemoDay, words: str) -> None:
    def holds(line: HistoryLine) -> bool:
        numbers = "".join(f"#{e.n}|" for e in demo.entries if e.id in line.ids)
        text = f"{line.words}|{line.by}|{line.kind}|{line.state}|{numbers}".lower()
        return all(word in text for word in words.lower().split())

    whole = back(lambda c: page(demo.book, c, definitions=True))
    found = about(demo, words)
    assert found == [line for line in whole if holds(line)]
    assert 0 < len(found) < len(whole)
    assert about(demo, words, 2) == found == forth(lambda c: newer(demo.book, c, about=words))


def test_a_number_asked_for_finds_the_line_and_what_corrects_it(demo: DemoDay) -> None:
    wrong = line_called(demo, "part weighed 1.07 kg P9")
    found = [line for line in about(demo, f"#{wrong.n}") if line.kind == "part_weighed"]
    assert [line.state for line in found] == ["replaced", f"corrects #{wrong.n}"]


def test_definitions_are_left_out_until_they_are_asked_for(demo: DemoDay) -> None:
    assert not [line for line in back(lambda c: page(demo.book, c)) if line.kind in DEFINITION_KINDS]
    assert [line.kind for line in about(demo, "pack_set set")] == ["pack_set", "pack_set"]


def test_a_search_stops_for_now_and_says_how_far_it_came(demo: DemoDay) -> None:
    found = page(demo.book, about="no such word")
    assert found.lines == () and not found.ended
    assert found.searched_to == found.older
    assert found.searched_to is not None
    looked_at = len(demo.entries) + 1 - found.searched_to[1]
    acts = [e.act for e in demo.entries[-looked_at - 1 :]]
    assert BUDGET <= looked_at < BUDGET + acts.count(acts[1]) and acts[0] != acts[1]
    assert page(demo.book, about="no such word", budget=len(demo.entries)).searched_to is None
    assert page(demo.book, count=3).searched_to is None


# --- What stands behind a line


def behind(demo: DemoDay, line: HistoryLine) -> dict[str, str]:
    rows = detail(demo.book.evidence(), demo.book, line)
    assert len(dict(rows)) == len(rows)
    return dict(rows)


def test_behind_a_replaced_line_stands_what_speaks_now(demo: DemoDay) -> None:
    wrong, right = (line_called(demo, f"part weighed {kg} kg P9") for kg in ("1.07", "1.17"))
    assert behind(demo, wrong) == {
        "said": wrong.words,
        "by": "EW 12:50 on 2026-06-13",
        "with": "KIT",
        "now": f"#{right.n} 12:50 EW: {right.words}; since 12:58, speaks for 12:50",
    }
    assert behind(demo, right) == {
        "said": right.words,
        "by": "EW 12:50 on 2026-06-13, written down 12:58 on 2026-06-13",
        "with": "KIT",
        "corrects": f"#{wrong.n} 12:50 EW: {wrong.words}",
    }


def test_behind_a_withdrawn_line_stands_who_took_it_out(demo: DemoDay) -> None:
    gone, out = (
        line_called(demo, "on charge 8 A, 4.4 Ah to put back, 33 deg C"),
        line_called(demo, "charge NOT started"),
    )
    now, taken = (
        [text for name, text in detail(demo.book.evidence(), demo.book, line) if name == label]
        for line, label in ((gone, "now"), (out, "takes out"))
    )
    assert len(now) == len(taken) == 3  # three packs went on the charger in one act
    assert now[0].startswith(f"#{out.n} 12:31 EW: withdrawn (charge NOT started")
    assert taken[0].startswith(f"#{gone.n} 12:30 EW: on charge 8 A, 4.4 Ah")


def test_behind_a_corrected_and_then_withdrawn_line_stands_the_withdrawal(shop: Shop) -> None:
    (wrong,) = shop.do(measuring.weigh_part, "rotor1", 2.0, "OWN")
    right = shop.put("part_weighed", "rotor1", {"value_kg": 2.1, "instrument": "OWN"}, replaces=wrong.id)
    (out,) = shop.do(withdraw, right.id)
    line = next(line for line in page(shop.book).lines if line.ids == (wrong.id,))
    assert line.state == "withdrawn"
    assert dict(detail(shop.book.evidence(), shop.book, line))["now"].startswith(f"#{out.n} ")


def test_behind_a_hard_hit_stands_what_raised_it_and_behind_a_repair_what_was_found(demo: DemoDay) -> None:
    hit = next(line for line in back(lambda c: page(demo.book, c)) if line.entry.detail.get("because"))
    ground = demo.book.read(hit.entry.detail["because"])
    assert ground is not None
    assert behind(demo, hit)["because"].startswith(f"#{ground.n} ")
    mended = line_called(demo, "mended replaced belt R")
    assert "found frayed belt R 1" in behind(demo, mended)["rests on"]


def test_a_hit_whose_reason_fell_says_so(shop: Shop) -> None:
    reason = shop.put("hand_checked", "W", {"sign": True})
    hit = shop.put("hit", "W", {"source": "taken", "because": reason.id}, grade=3)
    shop.do(withdraw, reason.id)
    line = next(line for line in page(shop.book).lines if line.ids == (hit.id,))
    assert line.state == "withdrawn"
    rows = dict(detail(shop.book.evidence(), shop.book, line))
    assert rows["now"] == "what it was written because of no longer counts"


def test_behind_any_line_stands_at_least_what_was_said_and_by_whom(demo: DemoDay) -> None:
    evidence = demo.book.evidence()
    for line in back(lambda c: page(demo.book, c)):
        rows = detail(evidence, demo.book, line)
        assert [label for label, _ in rows[:2]] == ["said", "by"]
        assert all(text and text.isprintable() for _, text in rows)
