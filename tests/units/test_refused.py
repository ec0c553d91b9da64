"""What two people could read differently, or nobody can, is refused in a sentence.

The first rows are texts that pint 0.25.3 parses into something else without a word.
"""

from __future__ import annotations

import itertools

import pytest

from pitcrew.errors import NotationError
from pitcrew.units import UNITS, read
from pitcrew.units.table import CASE_COUNTS

# text, expect, bare unit
REFUSED = [
    ("5 mm; 3", None, None),
    ("", None, None),
    ("", "length", "mm"),
    ("   ", "length", "mm"),
    ("1e400 mm", None, None),
    ("nan mm", None, None),
    ("nan", "length", "mm"),
    ("inf", "length", "mm"),
    ("-inf mm", None, None),
    ("1 Mm", None, None),
    ("1 MM", None, None),
    ("5 C", None, None),
    ("5 F", None, None),
    ("5 M", None, None),
    ("5 Nm.5", None, None),
    ("5 nm", None, None),
    ("5 pct", None, None),
    ("5 ft lb 3", None, None),
    ("9**9**9", "length", "mm"),
    ("9" * 100_000, "length", "mm"),
    ("mm" * 20_000, "length", "mm"),
    ("1+" * 2_000 + "1", "length", "mm"),
    ("__import__('os')", "length", "mm"),
    ("1/0", "length", "in"),
    ("3.2(1) mm", None, None),
    ("3.2 +/- 0.1 mm", None, None),
    ("1e3", "length", "mm"),
    ("1E3 mm", None, None),
    ("1.5e-3 in", None, None),
    ("1,234", "length", "mm"),
    ("1,234 mm", None, None),
    ("-12,500 mm", None, None),
    ("1.234,5 mm", None, None),
    ("1,234.5 mm", None, None),
    ("1,234,567 mm", None, None),
    ("1 234 mm", None, None),
    ("1.2.3 mm", None, None),
    ("5. mm", None, None),
    (".", "length", "mm"),
    ("-", "length", "mm"),
    ("--5 mm", None, None),
    ("+-5 mm", None, None),
    ("5 -mm", None, None),
    ("mm", None, None),
    ("mm 5", None, None),
    ("5", "length", None),
    ("5", "mass", "lb oz"),
    ("5", "length", "ft in"),
    ("5", "duration", "min:s"),
    ("5", "length", "furlong"),
    ("5 furlong", None, None),
    ("5 mil", None, None),
    ("5 mm mm", None, None),
    ("5 mm2", None, None),
    ("0x1F mm", None, None),
    ("1_000 mm", None, None),
    ("5/8 mm", None, None),
    ("5/8", "length", "mm"),
    ("1/3 in", None, None),
    ("1/256 in", None, None),
    ("1/1 in", None, None),
    ("8/8 in", None, None),
    ('11/2"', None, None),
    ('1 9/8"', None, None),
    ('0/8"', None, None),
    ('1 - 1/2"', None, None),
    ('1.5 1/2"', None, None),
    ("1/2-13", "length", "in"),
    ("M8", "length", "mm"),
    ("5' 14\"", None, None),
    ("5' 3", None, None),
    ("5.5' 3\"", None, None),
    ("5' -3", None, None),
    ("5 ft -3 in", None, None),
    ("5'''", None, None),
    ("2 lb 16 oz", None, None),
    ("2 lb 15 31/16 oz", None, None),
    ("2.5 lb 6 oz", None, None),
    ("2 lb 6", None, None),
    ("2 oz 6 lb", None, None),
    ("2 kg 6 oz", None, None),
    ("2 lb -6 oz", None, None),
    ("2 lb.5 oz", None, None),
    ("2lb,5oz", None, None),
    ("2 lb, 5 oz", None, None),
    ("5'.5\"", None, None),
    ("2:5", None, None),
    ("2:60", None, None),
    (":15", None, None),
    ("1:2:3:4", None, None),
    ("2:15 s", None, None),
    ("-300 deg C", None, None),
    ("-1 K", None, None),
    ("2.4 MOHM", None, None),
    ("5 MA", None, None),
    ("650 MAH", None, None),
    ("8 mpa", None, None),
    ("10 MNm", None, None),
    ("10 MNM", "torque", None),
    ("5 kn", None, None),
    ("5 mm\U0001f600", None, None),
    ("\U0001f600", "length", "mm"),
    ("5\x00 mm", None, None),
    ("\x005 mm", None, None),
    ("5\nmm", None, None),
    ("5\x1b[31m mm", None, None),
    ("\u202e5 mm", None, None),
    ("5 \u2066mm\u2069", None, None),
    ("5\u200bmm", None, None),
    ("\ud800", "length", "mm"),
    ("5 mm\udfff", None, None),
    ("\uff15 mm", None, None),
    ("\u0665 mm", None, None),
    ("10\u00b2 mm", None, None),
    ("5 m\u339c", None, None),
    ("5 \u017f", None, None),
    ("5 \u212a", None, None),
    ("[bold]5[/] mm", None, None),
    ("0" * 38 + "1 m", None, None),
]


@pytest.mark.parametrize(("text", "expect", "bare_unit"), REFUSED, ids=lambda value: ascii(value)[:40])
def test_refused_in_a_sentence_with_a_hint(text: str, expect: str | None, bare_unit: str | None) -> None:
    with pytest.raises(NotationError) as refusal:
        read(text, expect, bare_unit, subject="hub length")
    problem = refusal.value
    assert problem.message.endswith(".")
    assert problem.hint.endswith(".")
    assert problem.place == "hub length"
    assert str(problem).isprintable()
    assert len(str(problem)) < 240


@pytest.mark.parametrize(
    ("text", "expect", "subject", "message"),
    [
        ("95 in-lb", "length", "hub length", "95 in-lb is a torque; hub length is a length."),
        ("14 mm", "torque", "front bolts", "14 mm is a length; front bolts is a torque."),
        ("2:15", "charge", "", "2:15 is a duration; a charge is wanted."),
        ("22 lb", "force", "belt pull", "22 lb is a mass; belt pull is a force."),
        ("8 A", "angle", "", "8 A is a current; an angle is wanted."),
    ],
)
def test_wrong_dimension_is_refused_with_both_named(text: str, expect: str, subject: str, message: str) -> None:
    with pytest.raises(NotationError) as refusal:
        read(text, expect, subject=subject)
    assert refusal.value.message == message
    assert refusal.value.hint.startswith("Write it like ")


@pytest.mark.parametrize(
    ("text", "expect", "bare_unit", "hint"),
    [
        ("1,234 mm", None, None, "Write 1.234 or 1234."),
        ("1 MM", None, None, "Capitals count here: write mm."),
        ("2.4 MOHM", None, None, "Capitals count here: write MOhm or mOhm."),
        ("8 mpa", None, None, "Capitals count here: write MPa."),
        ("5 mil", None, None, "To some it is a thou, to others a millimetre: write thou or mm."),
        ("5", "voltage", None, "Write it like 16.8 V."),
        ("46 C", None, None, "For a temperature write deg C."),
        ("5/8", "length", "mm", 'Write decimals, or mark inches: 5/8".'),
        ("2 lb 16 oz", None, None, "Carry 16 oz into the lb, or write it all in oz."),
    ],
)
def test_hint_says_how_to_write_it(text: str, expect: str | None, bare_unit: str | None, hint: str) -> None:
    with pytest.raises(NotationError) as refusal:
        read(text, expect, bare_unit)
    assert refusal.value.hint == hint


def test_unknown_dimension_is_refused() -> None:
    with pytest.raises(NotationError, match="flavour"):
        read("5 mm", expect="flavour")


def test_bare_unit_of_another_dimension_is_refused() -> None:
    with pytest.raises(NotationError, match="5 is a length; a mass is wanted"):
        read("5", expect="mass", bare_unit="mm")


def every_case(spelling: str) -> set[str]:
    return {"".join(letters) for letters in itertools.product(*({c.lower(), c.upper()} for c in spelling))}


def test_case_never_changes_a_unit_in_silence() -> None:
    """Any change of capitals gives the same unit, is refused, or is itself a spelling of the table."""
    tried = 0
    for spelling, unit in UNITS.items():
        if len(spelling) > 8:
            continue
        for variant in every_case(spelling):
            tried += 1
            try:
                found = read(f"1 {variant}" if variant[0].isalpha() else f"1{variant}").unit
            except NotationError:
                continue
            assert found == unit.name or variant in CASE_COUNTS, (spelling, variant, found)
    assert tried > 3000


def test_milli_and_mega_stay_apart() -> None:
    assert read("1 M\u03a9").si / read("1 m\u03a9").si == pytest.approx(1e9, rel=1e-15)
    for spelling in ("Mm", "MM", "mM"):
        with pytest.raises(NotationError):
            read(f"1 {spelling}")
