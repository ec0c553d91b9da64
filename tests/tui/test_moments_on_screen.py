"""The turns of the demo's day on the screen: what one reads there is what was worked out by hand, row by row.

Everything is parsed back from the painted rows; what is expected is read from the same list that the commands are
held to.
"""

from __future__ import annotations

import re
from collections import Counter
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import pytest

from tests.tui.driver import Driver, bench_at
from tests.tui.read_off import (
    LIMIT_KG,
    MOMENTS,
    SIZE,
    VERDICTS,
    blocks,
    configurations,
    expected,
    jobs,
    standing,
    weight,
)

# A weight is shown to a hundredth, and expected to 0.005.
SHOWN_KG = 0.0101
AT_LEAST = 40
every_moment = pytest.mark.parametrize("moment", MOMENTS, ids=lambda m: f"{m['at'][6:]} {m['robot']}: {m['story']}")


@every_moment
def test_a_moment_reads_as_it_was_worked_out(tmp_path: Path, moment: dict[str, Any]) -> None:
    bench = bench_at(tmp_path, moment["at"], moment["robot"])
    the_standing_says_what_was_worked_out(bench, moment)
    what_a_person_took_on_stands_beside_it(bench, moment)
    each_row_opened_says_what_blocks_and_why(bench, moment)
    the_weights_are_those_worked_out(bench, moment)


def the_standing_says_what_was_worked_out(bench: Driver, moment: dict[str, Any]) -> None:
    said = standing(bench)
    assert said.fit is moment["fit"]
    assert said.counts == {verdict: len(moment[verdict]) for verdict in VERDICTS if moment.get(verdict)}
    assert said.clock == moment["at"][6:]
    if "minutes" in moment:
        assert said.minutes == moment["minutes"]
    if moment["fit"]:
        assert said.deferred == len(moment.get("deferred", ()))
    row = weight(bench)
    assert row.robot == moment["robot"]
    assert row.kg + row.under_kg == pytest.approx(LIMIT_KG[row.robot], abs=SHOWN_KG)
    if row.entered in moment.get("weights", {}):
        assert row.kg == pytest.approx(moment["weights"][row.entered], abs=SHOWN_KG)
    if any(warning.startswith(f"{row.entered} figured") for warning in moment.get("warns", ())):
        assert row.figured


def each_row_opened_says_what_blocks_and_why(bench: Driver, moment: dict[str, Any]) -> None:
    found = blocks(bench)
    assert Counter((block.name, block.verdict) for block in found) == expected(moment)
    assert not {block.name for block in found} & set(moment.get("absent", ()))
    for block in found:
        words = next(words for pattern, *words in moment["why"] if fnmatchcase(block.name, pattern))
        assert [word for word in words if word not in block.reason] == [], block
    if not found:
        assert jobs(bench) == []


def what_a_person_took_on_stands_beside_it(bench: Driver, moment: dict[str, Any]) -> None:
    beside = bench.text(*SIZE)
    for said in moment.get("warns", ()):
        # A long one is cut where the list stands beside it.
        assert said[:AT_LEAST] in beside
    for name in (*moment.get("deferred", ()), *moment.get("accepted", ())):
        assert re.search(f"(deferred|accepted):? +{re.escape(name)}", beside)


def the_weights_are_those_worked_out(bench: Driver, moment: dict[str, Any]) -> None:
    bench.keys("tab", "w")
    rows = configurations(bench)
    for name, kg in moment.get("weights", {}).items():
        assert rows[name][1] == pytest.approx(kg, abs=SHOWN_KG), name
    for name, (word, kg, under_kg) in rows.items():
        assert kg + under_kg == pytest.approx(LIMIT_KG[moment["robot"]], abs=SHOWN_KG)
        blocking = next((verdict for verdict in VERDICTS if f"weight {name}" in moment.get(verdict, ())), "")
        # Capitals block; what does not block is said in small letters.
        assert word == (blocking.upper() or ("fail" if under_kg < 0 else "pass")), name
