"""The demo's book in a folder of its own, put on the screen at a moment of its day with the clock running.

Run as a program it is what `pitcrew BOOK` is, but for the clock: `at_bench.py BOOK MS [LOOK]`.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

from pitcrew.clock import RunningFrom, SystemClock, SystemIds


class OnBench(NamedTuple):
    """A book and the moment its clock starts at, milliseconds UTC."""

    path: Path
    now: int

    def words(self, *more: str) -> list[str]:
        """The command that puts it on the screen."""
        return [sys.executable, "-P", __file__, str(self.path), str(self.now), *more]


def book_at(folder: Path, at: str = "15:24") -> OnBench:
    """What the demo's crew knew at a moment, in a new book in `folder`."""
    from pitcrew.bench.openbook import moment_of
    from pitcrew.demo.scratch import shipped_demo
    from pitcrew.logbook.book import Book, copy_until

    path = folder / "bench.db"
    with Book.open(shipped_demo(), SystemClock(), SystemIds(), readonly=True) as book:
        moment = moment_of(book, SystemClock(), at)
        copy_until(book, path, moment.cut)
    return OnBench(path, moment.now)


def main(words: list[str]) -> int:
    """Show the book until it is left; the exit status."""
    from pitcrew.tui.start import show

    path, now, *look = words
    return show(Path(path), RunningFrom(int(now)), SystemIds(), look=look[0] if look else None)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
