"""The book: appended to, read, merged, backed up; never changed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager
from pathlib import Path
from types import TracebackType

from pitcrew.clock import Clock, Ids
from pitcrew.errors import BookError
from pitcrew.logbook import files, writing
from pitcrew.logbook.drafts import Drafts
from pitcrew.logbook.evidence import BookEvidence
from pitcrew.logbook.lock import held
from pitcrew.logbook.migrations import migrate
from pitcrew.logbook.rows import from_row
from pitcrew.logbook.schema import COLUMNS
from pitcrew.logbook.writer import writer_of
from pitcrew.logbook.writing import Draft, Pen
from pitcrew.robot.records import Entry

SCRATCH = ":memory:"

AFTER = f"SELECT {COLUMNS} FROM entry WHERE n > ? ORDER BY n LIMIT ?"
BEFORE = f"SELECT {COLUMNS} FROM entry WHERE (tick, n) < (?, ?) ORDER BY tick DESC, n DESC LIMIT ?"
# With the row of what replaces an entry; a withdrawal first, because it ends the line whatever else is there.
REPLACED = """(SELECT c.n FROM entry AS c WHERE c.replaces = entry.id AND c.tick < :cut
    ORDER BY c.kind = 'withdrawn' DESC, c.tick DESC LIMIT 1)"""
OLDER = f"""SELECT {COLUMNS}, {REPLACED} FROM entry WHERE (tick, n) < (:tick, :n)
ORDER BY tick DESC, n DESC LIMIT :limit"""
NEWER = f"""SELECT {COLUMNS}, {REPLACED} FROM entry WHERE (tick, n) > (:tick, :n) AND tick < :cut
ORDER BY tick, n LIMIT :limit"""
BY_NUMBER = f"SELECT {COLUMNS} FROM entry WHERE n = ?"
LATEST = (2**62, 0)


class Book:
    """An open book. Made by `create`, `open` or `memory`, closed by `close` or at the end of a `with`.

    A book belongs to the thread that opened it; another thread opens it once more.

    Every method raises `BookError` when the file cannot be read or written, with nothing changed.
    """

    def __init__(
        self, connection: sqlite3.Connection, path: Path | None, pen: tuple[Clock, Ids], stack: ExitStack
    ) -> None:
        self._connection = connection
        self._clock, self._ids = pen
        self._stack = stack
        self.path = path
        # Empty in a book that is open for reading only.
        self.writer = ""

    @classmethod
    def create(cls, path: str | Path, clock: Clock, ids: Ids) -> Book:
        """Start a new book.

        Raises:
            BookError: there is something at this path already, or nothing can be written there.
        """
        path = Path(path)
        with files.told(path), ExitStack() as stack:
            if path.is_dir() or (path.exists() and path.stat().st_size):
                raise BookError("there is something here already.", "Choose another name.", str(path))
            connection = files.connect(path, "mode=rwc")
            stack.callback(connection.close)
            migrate(connection)
            files.sync_folder(path.parent)
            return cls._opened(connection, path, (clock, ids), stack)

    @classmethod
    def open(
        cls,
        path: str | Path,
        clock: Clock,
        ids: Ids,
        readonly: bool = False,
        busy_ms: int = files.BUSY_MS,
    ) -> Book:
        """Open a book that is there; `busy_ms` is how long to wait for another window.

        Reading leaves the file, its folder and its mode as they are, also where nothing can be written.

        Raises:
            BookError: missing, a folder, not a book, empty, newer than this program, locked, damaged, or
                not writable.
        """
        path = Path(path)
        with files.told(path), ExitStack() as stack:
            if readonly:
                connection = files.open_reading(path, stack, busy_ms)
                return cls(connection, path, (clock, ids), stack.pop_all())
            files.glance(path, busy_ms)
            connection = files.open_writing(path, stack, busy_ms)
            return cls._opened(connection, path, (clock, ids), stack)

    @classmethod
    def memory(cls, clock: Clock, ids: Ids) -> Book:
        """A scratch book that is gone when it is closed."""
        with files.told(SCRATCH), ExitStack() as stack:
            connection = sqlite3.connect(SCRATCH, isolation_level=None)
            stack.callback(connection.close)
            migrate(connection)
            book = cls(connection, None, (clock, ids), stack.pop_all())
        book.writer = ids.mint(clock.now_ms())
        return book

    @classmethod
    def _opened(cls, connection: sqlite3.Connection, path: Path, pen: tuple[Clock, Ids], stack: ExitStack) -> Book:
        files.settle(connection, path)
        book = cls(connection, path, pen, stack)
        with held(connection):
            book.writer = writer_of(connection, path, lambda: pen[1].mint(pen[0].now_ms()))
        book._stack = stack.pop_all()
        return book

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; more than once does no harm."""
        with self._told():
            self._stack.close()

    @property
    def readonly(self) -> bool:
        """Is this book open for reading only?"""
        return not self.writer

    def append(self, drafts: Sequence[Draft], act: str | None = None) -> tuple[Entry, ...]:
        """Write drafts down as one act, all or none; they are on the disk when this returns.

        Each gets the next tick. A correction (`replaces`) keeps the kind of what it corrects.

        Args:
            drafts: what to write, in order.
            act: the act they belong to; a new one when not given.

        Raises:
            EntryError: names the field that cannot be taken.
        """
        if not drafts:
            return ()
        with self._writing():
            pen = Pen(self.writer, self._clock.now_ms(), self._ids)
            return tuple(writing.write(self._connection, drafts, pen, act))

    def insert_raw(self, entries: Iterable[Entry], checked: bool = False) -> int:
        """Put in entries that were written elsewhere, as they are; how many were new.

        The same entry twice is one; only row numbers are given anew.

        Args:
            entries: in any order.
            checked: they come from a book that has checked them already.

        Raises:
            EntryError: an entry cannot be taken, or its id stands for another; none was put in.
        """
        with self._writing():
            return writing.insert_all(self._connection, entries, checked)

    def merge(self, other_path: str | Path, allow_future: bool = False) -> int:
        """Take in every entry of another book, all or none; how many were new.

        Raises:
            BookError: the other is not a book, or a tick of its is more than a day ahead of now.
            EntryError: an entry of it cannot be taken.
        """
        from pitcrew.logbook import exchange

        newest = None if allow_future else self._clock.now_ms() + exchange.DAY_MS
        with exchange.source(Path(other_path)) as other:
            exchange.check_new(self._connection, other, newest)
            with self._writing():
                return writing.insert_all(self._connection, exchange.every(other), checked=True)

    def backup(self, to: str | Path) -> None:
        """Write a whole copy of the book, complete or not at all.

        Raises:
            BookError: there is something at `to` already, or nothing can be written there.
        """
        from pitcrew.logbook import exchange

        exchange.backup(self._connection, Path(to))

    def verify(self) -> list[str]:
        """What is wrong with the file or any entry in it, in sentences; empty when all is well."""
        from pitcrew.logbook import exchange

        with self._told():
            return exchange.verify(self._connection)

    def evidence(self, cut_tick: int | None = None) -> BookEvidence:
        """What judging asks, of the book as known before a tick (milliseconds UTC) or as it stands now."""
        with self._told():
            return BookEvidence(self._connection, cut_tick)

    def read(self, entry_id: str) -> Entry | None:
        """The entry of an id, as it was written."""
        with self._told():
            return writing.find(self._connection, entry_id)

    def by_number(self, n: int) -> Entry | None:
        """The entry in a row of this file."""
        return next(iter(self._entries(BY_NUMBER, (n,))), None)

    def entries_after(self, n: int, limit: int = 1000) -> tuple[Entry, ...]:
        """What has come in since row `n`, in the order it came; merged entries may carry older ticks."""
        return self._entries(AFTER, (n, limit))

    def entries(self, before_tick: int | None = None, limit: int = 100, before_n: int = 0) -> tuple[Entry, ...]:
        """A page of entries, newest first.

        Args:
            before_tick: only entries with a lower tick.
            limit: how many at most.
            before_n: with it, also those of that very tick in lower rows, so that the tick and row of a
                page's last entry lead to the next page.
        """
        start = LATEST if before_tick is None else (before_tick, before_n)
        return self._entries(BEFORE, (*start, limit))

    def highest_tick(self) -> int:
        """The newest tick in the book, milliseconds UTC; 0 in an empty one."""
        with self._told():
            return writing.highest_tick(self._connection)

    @property
    def drafts(self) -> Drafts:
        """Half-typed lines kept in this file."""
        return Drafts(self._connection, self.path or SCRATCH, self.readonly)

    def data_version(self) -> int:
        """A number that changes when another window has written; never by what is written here."""
        with self._told():
            return int(self._connection.execute("PRAGMA data_version").fetchone()[0])

    def _entries(self, sql: str, values: tuple[int, ...]) -> tuple[Entry, ...]:
        with self._told():
            return tuple(map(from_row, self._connection.execute(sql, values).fetchall()))

    def _told(self) -> AbstractContextManager[None]:
        return files.told(self.path or SCRATCH)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if self.readonly:
            raise BookError("the book is open for reading only.", "Open it once more, for writing.", str(self.path))
        with self._told(), held(self._connection):
            yield


def newest_row(book: Book) -> int:
    """The number of the row written last; 0 in an empty book."""
    with book._told():
        return int(book._connection.execute("SELECT ifnull(max(n), 0) FROM entry").fetchone()[0])


def stretch(
    book: Book, start: tuple[int, int], limit: int, newer: bool = False, cut: int | None = None
) -> tuple[tuple[Entry, int | None], ...]:
    """Entries from a tick and row on, that one not among them, each with the row of what replaces it, if anything.

    Args:
        book: the book to read.
        start: the tick (milliseconds UTC) and row to go on from.
        limit: how many at most.
        newer: go on to newer entries instead of older ones; either way the nearest comes first.
        cut: the book as known before this tick; as it stands when not given.

    Raises:
        BookError: the file cannot be read.
    """
    bound = LATEST[0] if cut is None else cut
    tick, n = start if newer else min(start, (bound, 0))
    values = {"tick": tick, "n": n, "cut": bound, "limit": limit}
    with book._told():
        rows = book._connection.execute(NEWER if newer else OLDER, values).fetchall()
    return tuple((from_row(row), row[-1]) for row in rows)


def copy_until(book: Book, to: str | Path, cut_tick: int | None) -> None:
    """Write the entries before a tick (milliseconds UTC; None: all) to a new book to try things out in.

    Entries keep their row numbers. The copy goes on under the writer of its newest entry, so that what is tried
    stands after what was copied without any doubt between two clocks; it is not made to outlast a power cut, and
    is not one to merge back.

    Raises:
        BookError: there is something at `to` already, nothing can be written there, or the book has no file.
    """
    with book._told():
        _, _, source = book._connection.execute("PRAGMA database_list").fetchone()
    if not source:
        raise BookError("a scratch book has no file to copy.", "Copy a book that has one.", SCRATCH)
    files.copy_until(Path(source), Path(to), LATEST[0] if cut_tick is None else cut_tick)
