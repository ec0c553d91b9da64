"""Times side by side: what a measurement says, in rows of one table."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from typing import NamedTuple


def percentile(values: Sequence[float], share: float) -> float:
    """The smallest value that at least `share` percent of the values do not exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[max(0, math.ceil(share / 100 * len(ordered)) - 1)]


class Compared(NamedTuple):
    """One measurement of both: times in ms, in the order they were taken by turns."""

    name: str
    peer_ms: Sequence[float]
    pitcrew_ms: Sequence[float]

    def row(self, high: float) -> tuple[str, ...]:
        """Medians, high percentiles, their ratios, and the median ratio of neighbours in time."""
        low_peer, high_peer = statistics.median(self.peer_ms), percentile(self.peer_ms, high)
        low, up = statistics.median(self.pitcrew_ms), percentile(self.pitcrew_ms, high)
        pairs = [b / a for a, b in zip(self.peer_ms, self.pitcrew_ms, strict=False)]
        counts = f"{len(self.peer_ms)}/{len(self.pitcrew_ms)}"
        figures = (f"{low_peer:.1f}", f"{low:.1f}", f"{low / low_peer:.2f}", f"{high_peer:.1f}", f"{up:.1f}")
        return (self.name, counts, *figures, f"{up / high_peer:.2f}", f"{statistics.median(pairs):.2f}")


def table(compared: Iterable[Compared], high: float) -> str:
    """A table of what was compared, times in ms, a header on top."""
    p = f"p{high:g}"
    head = ("", "n", "peer p50", "p50", "ratio", f"peer {p}", p, f"{p} ratio", "paired")
    rows = [head, *(each.row(high) for each in compared)]
    widths = [max(len(row[n]) for row in rows) for n in range(len(head))]
    lines = (
        "  ".join(
            text.ljust(w) if n == 0 else text.rjust(w) for n, (text, w) in enumerate(zip(row, widths, strict=True))
        )
        for row in rows
    )
    return "\n".join(lines)
