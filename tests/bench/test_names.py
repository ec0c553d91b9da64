"""Names for ids and ids for names."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pitcrew.bench import fitting, mending, names
from pitcrew.bench.standing import View
from pitcrew.errors import EntryError
from pitcrew.readiness.findings import judge_findings
from pitcrew.readiness.verdict import Requirement
from tests.bench.demo_day import DemoDay
from tests.bench.shop import Shop

WORD = st.text("abcLR123", min_size=1, max_size=4)
NAME = st.lists(WORD, min_size=1, max_size=4).map(" ".join)
NAMED = st.dictionaries(st.text("xyz", min_size=1, max_size=3), NAME, min_size=1, max_size=6)


def folded(text: str) -> list[str]:
    return text.casefold().split()


@given(named=NAMED, data=st.data())
def test_a_whole_name_is_found_in_any_case_with_any_spaces_or_brackets(
    named: dict[str, str], data: st.DataObject
) -> None:
    ident = data.draw(st.sampled_from(sorted(named)))
    assume([folded(name) for name in named.values()].count(folded(named[ident])) == 1)
    pairs = list(named.items())
    for text in (named[ident], named[ident].upper(), f"  {named[ident]} ", f"({named[ident]}),"):
        assert names.find(text, pairs, "thing") == ident


@given(named=NAMED, text=NAME)
def test_what_is_found_fits_and_nothing_else_does(named: dict[str, str], text: str) -> None:
    exact = {ident for ident, name in named.items() if folded(name) == folded(text)}
    partly = {
        ident
        for ident, name in named.items()
        if all(any(word.startswith(part) for word in folded(name)) for part in folded(text))
    }
    fits = exact or partly
    if len(fits) == 1:
        assert {names.find(text, named.items(), "thing")} == fits
    else:
        with pytest.raises(EntryError) as caught:
            names.find(text, named.items(), "thing")
        assert caught.value.place == "thing"
        assert ("fits more than one thing" if fits else "there is no thing called") in caught.value.message
        if fits:
            listed = caught.value.message.partition(": ")[2]
            assert any(named[ident] in listed for ident in fits)


@given(named=NAMED, text=NAME)
def test_the_order_of_the_names_does_not_matter(named: dict[str, str], text: str) -> None:
    def found(pairs: list[tuple[str, str]]) -> str:
        try:
            return names.find(text, pairs, "thing")
        except EntryError:
            return "refused"

    assert found(list(named.items())) == found(list(named.items())[::-1])


@given(text=st.text(max_size=100))
def test_any_text_is_found_or_refused(text: str) -> None:
    try:
        assert names.find(text, [("a", "hubs R"), ("b", "hubs L")], "joint") in ("a", "b")
    except EntryError as error:
        assert len(error.message) < 160


@pytest.mark.parametrize("text", ["", " ", "()", ","])
def test_no_name_fits_nothing(text: str) -> None:
    with pytest.raises(EntryError, match="there is no joint called"):
        names.find(text, [("a", "hubs R")], "joint")


def test_the_whole_name_goes_before_a_longer_one() -> None:
    assert names.find("plate", [("a", "plate L"), ("b", "plate")], "part") == "b"


def test_two_of_one_name_are_never_chosen_between() -> None:
    with pytest.raises(EntryError, match="fits more than one part"):
        names.find("plate", [("a", "plate"), ("b", "plate")], "part")


def test_one_thing_named_twice_is_one_thing() -> None:
    assert names.find("pla", [("a", "plate"), ("a", "plate")], "part") == "a"


def test_nothing_to_find_in() -> None:
    with pytest.raises(EntryError) as caught:
        names.find("x", [], "robot")
    assert caught.value.hint == ""


def test_a_robot_is_called_by_part_of_its_name(demo: DemoDay) -> None:
    evidence = demo.book.evidence()
    assert names.robot_called(evidence, "tallow").name == "TALLOW ANVIL"
    assert names.robot_called(evidence, "sprocket").name == "NETTLE SPROCKET"
    with pytest.raises(EntryError, match="There is: TALLOW ANVIL, NETTLE SPROCKET"):
        names.robot_called(evidence, "rust")


LABELS = {
    "look": r"look [a-z].*|look ESCs|pack [PQ]\d",
    "limit": r"tread wheel \d \((front|rear) [LR]\)",
    "life": r"life (belt|bearing) [LR].*",
    "finding": r"finding [A-Za-z].*: [a-z ]+( \d+ mm)?",
    "hand": r"hand check( [A-Z][A-Z0-9])+",
    "configuration": "configuration",
    "packs": "packs",
    "tip": r"tip-speed N\d",
    "check": "check (make safe|test box|before call)",
    "joint": r"joint [a-z].*",
    "locking": r"locking [a-z].*",
    "stack": r"stack [a-z].*",
    "weight": r"weight ([ABCD]|N[123])",
    "empty": r"empty [a-z].*",
}


@pytest.fixture(scope="module")
def labelled(views: list[View]) -> list[list[tuple[str, str]]]:
    """Group and label of everything asked for, a view each."""
    return [[(item.group, names.label(view.case, item)) for item in view.standing.requirements] for view in views]


def test_every_group_has_its_label_on_the_demos_day(labelled: list[list[tuple[str, str]]]) -> None:
    seen = {pair for pairs in labelled for pair in pairs}
    assert {group for group, _ in seen} == set(LABELS)
    assert [label for group, label in seen if not re.fullmatch(LABELS[group], label)] == []
    assert all(not re.search(r"[0-9A-Z]{26}", label) for _, label in seen)


def test_labels_are_told_apart(labelled: list[list[tuple[str, str]]]) -> None:
    for pairs in labelled:
        labels = [label for _, label in pairs]
        assert len(set(labels)) == len(labels)


@pytest.mark.parametrize(
    ("key", "label"),
    [
        ("look:rotor1", "look rotor"),
        ("look:P1", "pack P1"),
        ("look:rotor2", "look rotor 2"),
        ("limit:wh1/tread", "tread wheel"),
        ("joint:cap", "joint cap"),
        ("locking:cap", "locking cap"),
        ("stack:float", "stack float"),
        ("weight:A", "weight A"),
        ("empty:plate", "empty plate"),
        ("configuration:R", "configuration"),
        ("packs:R", "packs"),
        ("finding:gone", "finding gone"),
        ("check:gone", "check gone"),
        ("joint:gone", "joint gone"),
    ],
)
def test_a_label_says_the_place_or_the_thing(shop: Shop, key: str, label: str) -> None:
    group, _, subject = key.partition(":")
    assert names.label(shop.case(), Requirement(key, group, subject, "due", ())) == label


def cracked(shop: Shop, *sizes_m: float | None) -> list[str]:
    """The labels of cracks found in one plate, a minute apart."""
    shop.do(fitting.part_in, "pl1", "plate")
    for size_m in sizes_m:
        shop.do(mending.found, "pl1", "plate", "cracked", size_m=size_m)
    case = shop.case()
    return [names.label(case, item) for item in judge_findings(case)]


def test_findings_alike_are_told_apart_by_their_size(shop: Shop) -> None:
    assert cracked(shop, 0.014, 0.022) == ["finding plate: cracked 14 mm", "finding plate: cracked 22 mm"]


@pytest.mark.parametrize("sizes_m", [(None, None), (0.014, 0.014), (0.014, None)])
def test_findings_of_one_size_are_told_apart_by_their_time(shop: Shop, sizes_m: tuple[float | None, ...]) -> None:
    first, second = cracked(shop, *sizes_m)
    assert re.fullmatch(r"finding plate: cracked \d\d:\d\d", first)
    assert first != second


def test_findings_of_one_minute_are_told_apart(shop: Shop) -> None:
    shop.do(fitting.part_in, "pl1", "plate")
    moment = shop.clock.now_ms()
    for _ in range(2):
        shop.at({"happened": moment}, mending.found, "pl1", "plate", "torn")
    case = shop.case()
    labels = [names.label(case, item) for item in judge_findings(case)]
    assert labels == ["finding plate: torn no. 1", "finding plate: torn no. 2"]


def test_a_finding_mended_no_longer_counts(shop: Shop) -> None:
    cracked(shop, 0.014, 0.022)
    gone = judge_findings(shop.case())
    shop.do(mending.mended, next(gone).subject, "welded")
    case = shop.case()
    assert [names.label(case, item) for item in judge_findings(case)] == ["finding plate: cracked"]
