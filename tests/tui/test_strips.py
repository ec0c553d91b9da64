"""Small strips, and names cut so that two places can still be told apart."""

from __future__ import annotations

import math
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from pitcrew.text import plain
from pitcrew.tui.strips import FASTENERS, cell_width, characters, fasteners, life, shorten

NAMES = (
    ("spacers and thrust washers", 21, "spac.. thrust washers"),
    ("bearing R outer", 12, "be.. R outer"),
    ("bearing R outer", 15, "bearing R outer"),
    ("wheel 4 (rear R)", 14, "wheel 4"),
    ("wheel 4 (rear R)", 16, "wheel 4 (rear R)"),
    ("wheel 4 (rear (R))", 14, "wheel 4"),
    ("wheel 4 [old] (rear R)", 9, "wheel 4"),
    ("loom, receiver, switch, light", 20, "loom.. switch, light"),
    ("gap between uprights", 14, "gap.. uprights"),
    ("gap between uprights", 15, "gap.. uprights"),
    ("loom, receiver, switch, light", 21, "loom.. switch, light"),
    ("GRAVEL HYMN (vertical disc)", 22, "GRAVEL HYMN"),
    ("bearing R outer (spare)", 12, "be.. R outer"),
    ("bearing R outer", 11, "b.. R outer"),
    ("bearing R outer", 8, ".. outer"),
    ("(vertical disc)", 9, "(.. disc)"),
    ("bearing", 5, "..ing"),
    ("bearing", 2, "ng"),
    ("bearing", 0, ""),
)

texts = st.text(max_size=40) | st.text("ab R4,()[] \u8ef8\u53d7\u0301\u200d\ufe0f\u2708\U0001f527", max_size=40)


@pytest.mark.parametrize(("used", "of", "strip"), [
    (2, 6, "##...."), (1, 6, "#....."), (0, 6, "......"), (6, 6, "######"), (7, 6, "######"), (1, 3, "##...."),
    (1, 100, "#....."), (99, 100, "#####."), (0.01, 1, "#....."), (-3, 6, "......"), (0, 0, "######"),
    (5, math.inf, "#....."),
])  # fmt: skip
def test_life_shows_what_is_used_and_what_is_left(used: float, of: float, strip: str) -> None:
    assert life(used, of) == strip


@given(used=st.integers(0, 50), of=st.integers(1, 50), cells=st.integers(2, 20))
def test_a_life_shows_any_use_and_anything_left_and_never_shrinks(used: int, of: int, cells: int) -> None:
    strip = life(used, of, cells)
    assert len(strip) == cells and strip.rstrip(".").strip("#") == ""
    assert ("#" in strip) == (used > 0) and ("." in strip) == (used < of)
    assert strip.count("#") <= life(used + 1, of, cells).count("#")
    assert life(used, cells, cells).count("#") == min(used, cells)


def test_a_life_of_no_number_is_refused() -> None:
    for used, of in ((math.nan, 6.0), (1.0, math.nan)):
        with pytest.raises(ValueError, match="not a number"):
            life(used, of)
    assert life(1, 2, 0) == "" and life(1, 2, -1) == ""


def test_each_fastener_has_its_character() -> None:
    assert fasteners(["holds", "was good", "open", "turned"]) == "#o.x"
    assert fasteners(["was good"] * 8) == "oooooooo"
    assert fasteners([]) == ""
    assert len(set(FASTENERS.values())) == len(FASTENERS)
    with pytest.raises(ValueError, match="tight"):
        fasteners(["holds", "tight"])


@pytest.mark.parametrize(("name", "width", "short"), NAMES)
def test_a_name_is_cut_in_the_middle(name: str, width: int, short: str) -> None:
    assert shorten(name, width) == short


def test_wide_characters_are_measured_in_cells() -> None:
    name = "\u8ef8\u53d7 R \u5916\u5074"
    assert (len(name), cell_width(name)) == (7, 11)
    assert shorten(name, 11) == name
    assert shorten(name, 10) == "\u8ef8.. \u5916\u5074"
    assert shorten(name, 8) == "..R \u5916\u5074"
    assert shorten("g\u030a" * 10, 5) == ".." + "g\u030a" * 3


@given(name=texts, width=st.integers(-2, 45))
def test_a_name_is_never_wider_than_it_may_be_and_whole_when_it_fits(name: str, width: int) -> None:
    short, whole = shorten(name, width), plain(name)
    assert cell_len(short) <= max(width, 0)
    if cell_len(whole) <= width:
        assert short == whole
    elif ".." in short and ".." not in whole:
        head, tail = short.split("..", 1)
        assert whole.startswith(head)
        assert tail in whole
        assert not (tail and unicodedata.combining(tail[0]))


@given(words=st.lists(st.text("abcdefgh", min_size=1, max_size=9), min_size=2, max_size=5), width=st.integers(3, 40))
def test_the_last_words_stay_for_as_long_as_there_is_room(words: list[str], width: int) -> None:
    name = " ".join(words)
    short = shorten(name, width)
    if len(words[-1]) + 4 <= width:
        assert short.endswith(" " + words[-1])
    if len(name) > width:
        kept = short.split("..", 1)[1]
        assert name.endswith(kept)


@given(side=st.sampled_from("LR"), other=st.sampled_from("LR"), width=st.integers(11, 30))
def test_two_sides_are_told_apart(side: str, other: str, width: int) -> None:
    assert (shorten(f"bearing {side} outer", width) == shorten(f"bearing {other} outer", width)) == (side == other)


@given(text=texts)
def test_a_character_stays_with_its_marks(text: str) -> None:
    pieces = characters(text)
    assert "".join(pieces) == text
    assert all(not unicodedata.combining(piece[0]) for piece in pieces[1:])
    assert cell_width(plain(text)) == sum(cell_width(piece) for piece in characters(plain(text)))


def test_what_a_terminal_would_obey_does_not_come_through() -> None:
    assert shorten("weapon\x1b[2J shaft\n", 30) == "weapon[2J shaft"
