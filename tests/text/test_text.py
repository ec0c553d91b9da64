"""User text loses what a terminal would obey, and nothing else."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.text import clean, plain, stray

# Written out by hand from the Unicode Character Database: Cc, Bidi_Control, Noncharacter_Code_Point, and the
# two characters that break a line.
DROPPED = [
    *range(0x00, 0x0A),
    *range(0x0B, 0x20),
    *range(0x7F, 0xA0),
    0x061C,
    0x200E,
    0x200F,
    0x2028,
    0x2029,
    *range(0x202A, 0x202F),
    *range(0x2066, 0x206A),
    *range(0xD800, 0xE000),
    *range(0xFDD0, 0xFDF0),
    *(plane * 0x10000 + end for plane in range(17) for end in (0xFFFE, 0xFFFF)),
]

BIDI_CONTROLS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}

# Everything, and often what matters here.
awkward = st.text(
    st.one_of(
        st.characters(codec=None, exclude_categories=[]),
        st.sampled_from([chr(code) for code in DROPPED]),
        st.sampled_from("\ne\u0301o\u0308\u1100\u1161\u0340\u2126"),
    )
)


@pytest.mark.parametrize("keep_newlines", [False, True])
def test_every_character_is_dropped_or_kept_as_it_should_be(keep_newlines: bool) -> None:
    dropped = set(DROPPED) | (set() if keep_newlines else {0x0A})
    for code in range(0x110000):
        composed = unicodedata.normalize("NFC", chr(code))
        assert clean(chr(code), keep_newlines) == ("" if code in dropped else composed), hex(code)
        assert bool(stray(chr(code), keep_newlines)) == (code in dropped), hex(code)


def test_control_characters_by_the_database_are_all_dropped() -> None:
    control = [chr(code) for code in range(0x110000) if unicodedata.category(chr(code)) in ("Cc", "Cs")]
    bidi = [chr(code) for code in range(0x110000) if unicodedata.bidirectional(chr(code)) in BIDI_CONTROLS]
    assert clean("".join(control + bidi)) == ""


def test_a_title_that_would_rename_the_window_does_not() -> None:
    # OSC 0 sets a terminal's title (ECMA-48 8.3.89; xterm control sequences).
    assert clean("\x1b]0;gone\x07hub \x9b31m") == "]0;gonehub 31m"


def test_newlines_stay_only_where_they_are_kept() -> None:
    assert clean("left\r\nright") == "leftright"
    assert clean("left\r\nright", keep_newlines=True) == "left\nright"


def test_the_same_word_from_two_keyboards_is_the_same() -> None:
    assert clean("Kö\u0308") == clean("Ko\u0308\u0308")
    assert clean("Mo\u0308tor") == "M\u00f6tor"


def test_what_stood_apart_only_by_a_control_character_is_composed() -> None:
    assert clean("e\x00\u0301") == "\u00e9"


def test_fractions_and_superscripts_mean_what_they_say() -> None:
    assert clean("½ kg m² ₈") == "½ kg m² ₈"


def test_spaces_are_nobody_s_business() -> None:
    assert clean("  two  words ") == "  two  words "


def test_a_long_text_is_cut_on_the_way_in_and_not_on_the_way_out() -> None:
    assert clean("x" * 2001) == "x" * 2000
    assert clean("abc", limit=2) == "ab"
    assert plain("x" * 2001) == "x" * 2001


def test_stray_names_the_first_one() -> None:
    assert stray("a\u202eb\x00") == "U+202E"
    assert stray("a\nb") == "U+000A"
    assert stray("a\nb", keep_newlines=True) == ""


@given(awkward, st.booleans(), st.integers(0, 20))
def test_cleaning_twice_changes_nothing_more(text: str, keep: bool, limit: int) -> None:
    once = clean(text, keep, limit)
    assert clean(once, keep, limit) == once
    assert plain(once, keep) == once
    assert not stray(once, keep)
    assert len(once) <= limit


@given(awkward, st.booleans())
def test_what_is_clean_can_be_written_anywhere(text: str, keep: bool) -> None:
    assert clean(text, keep).encode("utf-8").decode("utf-8") == clean(text, keep)
