"""The demo opened at a moment: a book of its own with what was known then, and a clock that runs on from there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from pitcrew.bench.openbook import moment_of
from pitcrew.clock import Clock, RunningFrom, SystemClock, SystemIds
from pitcrew.errors import BookError
from pitcrew.logbook.book import Book, copy_until

NAME = "demo.db"
START = "15:24"


class Scratch(NamedTuple):
    """A book to try things out in, and the clock to open it with."""

    path: Path
    clock: Clock


def shipped_demo() -> Path:
    """The demo's book that comes with the program, in a wheel, an editable install or a checkout.

    Raises:
        BookError: there is none.
    """
    package = Path(__file__).resolve().parents[1]
    for path in (package / "_shipped" / NAME, package.parent / NAME):
        if path.is_file():
            return path
    raise BookError("the demo's book is missing.", "Install Pitcrew again.", str(package))


@contextmanager
def scratch(source: Path | None = None, at: str = START) -> Iterator[Scratch]:
    """A new book in a folder of its own, holding just what was known at a moment; gone at the end of the `with`.

    The source stays as it is, to the byte, and nothing is left beside it.

    Args:
        source: the book to copy from; the demo's own when not given.
        at: the moment, as typed for `--at`: a time typed to the minute covers that minute.

    Raises:
        BookError: the source is not a book, or there is nowhere to put the copy.
        EntryError: `at` is not a time.
    """
    import tempfile

    with tempfile.TemporaryDirectory(prefix="pitcrew-", ignore_cleanup_errors=True) as folder:
        path = Path(folder) / NAME
        with Book.open(source or shipped_demo(), SystemClock(), SystemIds(), readonly=True) as book:
            moment = moment_of(book, SystemClock(), at)
            copy_until(book, path, moment.cut)
        yield Scratch(path, RunningFrom(moment.now))
