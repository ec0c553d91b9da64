"""Rows of check values from outside the code, one TOML file a subject.

A row names the check that works it out, what goes in, what must come out within which tolerance, and
where the value comes from:

    [[row]]
    check = "type_b"                    # a function of the test module beside the file
    inputs = { half_width = 1.0 }       # keyword arguments of that function
    data = "end_gauge"                  # optional: a [data.end_gauge] table that goes in as well
    expect = 0.57735026919
    tolerance = 1e-9                    # absolute; or `relative = 1e-4` in its place
    status = "COMPUTED"
    source = "which document or library"
    place = "where in it"

The first word of a status says how the value was come by:

FOUND     read in the named source; FOUND+C found, and an independent computation agreed
COMPUTED  made by a general-purpose library or a plain sum; no printed source was read
MEMORY    recalled from the named source, not read again; MEMORY+C the recalled inputs give the answer
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

STATUSES = {"FOUND", "FOUND+C", "COMPUTED", "MEMORY", "MEMORY+C"}


@dataclass(frozen=True)
class Row:
    """One check value with its source."""

    check: str
    inputs: Mapping[str, Any]
    expect: float
    status: str
    source: str
    place: str
    tolerance: float = 0.0
    relative: float = 0.0

    def __post_init__(self) -> None:
        if self.status.split(maxsplit=1)[0] not in STATUSES:
            raise ValueError(f"{self}: the status is one of {sorted(STATUSES)}")
        if not (self.source.strip() and self.place.strip()):
            raise ValueError(f"{self}: source and place are missing")
        if (self.tolerance > 0.0) == (self.relative > 0.0):
            raise ValueError(f"{self}: give one of tolerance and relative")

    def agrees(self, value: float) -> bool:
        return math.isclose(value, self.expect, rel_tol=self.relative, abs_tol=self.tolerance)

    def __str__(self) -> str:
        return f"{self.check} = {self.expect:g} ({self.status}: {self.source}, {self.place})"


def load(subject: str) -> list[Row]:
    """The rows of one subject, from the file of its name."""
    path = Path(__file__).with_name(f"{subject}.toml")
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    rows = []
    for table in tables["row"]:
        data = tables["data"][table.pop("data")] if "data" in table else {}
        rows.append(Row(**table | {"inputs": {**data, **table.get("inputs", {})}}))
    return rows


def hold(row: Row, checks: Mapping[str, Callable[..., float]]) -> None:
    """Work the row out and compare."""
    value = checks[row.check](**row.inputs)
    assert row.agrees(value), f"{row}\n  the code gives {value!r}"


def unused(rows: list[Row], checks: Mapping[str, Callable[..., float]]) -> set[str]:
    """Checks without a row: they would pass by never running."""
    return set(checks) - {row.check for row in rows}
