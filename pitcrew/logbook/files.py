"""Opening the file: what is refused untouched, how it is read without leaving a trace, how it is written."""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from pathlib import Path

from pitcrew.errors import BookError
from pitcrew.logbook import schema
from pitcrew.logbook.lock import held
from pitcrew.logbook.migrations import migrate, version
from pitcrew.logbook.writer import writer_of

BUSY_MS = 5000
AGAIN_S = 0.02
# STRICT tables came with 3.37, the arrows that the views use with 3.38.
LEAST_SQLITE = (3, 38, 0)
WRITING = ("foreign_keys = ON", "recursive_triggers = ON", "fullfsync = ON", "synchronous = FULL")
FULL = 2

_TAKE_OVER = (
    f"INSERT INTO main.entry ({schema.COLUMNS}) SELECT {schema.COLUMNS} FROM source.entry WHERE tick < ? ORDER BY n"
)
_NEWEST_WRITER = "SELECT writer FROM main.entry ORDER BY tick DESC, n DESC LIMIT 1"

# The rest of a result code, above its first byte, only says more of the same.
_SAYS = {
    sqlite3.SQLITE_BUSY: ("the book is being written by another window.", "Try again in a moment."),
    sqlite3.SQLITE_LOCKED: ("the book is being written by another window.", "Try again in a moment."),
    sqlite3.SQLITE_FULL: ("the disk is full.", "Make room, then write it again."),
    sqlite3.SQLITE_READONLY: ("the book can only be read.", "Copy it to a place where you may write."),
    sqlite3.SQLITE_CANTOPEN: (
        "the book cannot be opened here.",
        "Check that you may read and write its folder.",
    ),
    sqlite3.SQLITE_NOTADB: ("this is not a book.", "Nothing was changed."),
    sqlite3.SQLITE_CORRUPT: (
        "the book is damaged.",
        "Go on in a backup, and merge this one into it if it opens.",
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk could not read or write the book.",
        "It may or may not be written: look before you write it again.",
    ),
}


def in_words(error: sqlite3.Error, path: Path | str = "") -> BookError:
    """What SQLite says about a book, as a sentence for the crew."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    message, hint = _SAYS.get(code, (f"SQLite says: {error}.", ""))
    return BookError(message, hint, str(path))


@contextmanager
def told(path: Path | str) -> Iterator[None]:
    """Turn what SQLite or the system says about a book into a sentence.

    Raises:
        BookError: in place of any `sqlite3.Error` or `OSError`.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise in_words(error, path) from error
    except OSError as error:
        raise BookError(f"{error.strerror or error}.", "", str(path)) from error


def check_path(path: Path) -> None:
    """Refuse what cannot be a book by its looks alone.

    Raises:
        BookError: nothing there, a folder, no plain file, or an empty one.
    """
    with told(path):
        try:
            found = path.stat()
        except FileNotFoundError:
            raise BookError("there is no book here.", "Check the name, or start a new one.", str(path)) from None
    if stat.S_ISDIR(found.st_mode):
        raise BookError("this is a folder, not a book.", "Name the book in it.", str(path))
    if not stat.S_ISREG(found.st_mode):
        raise BookError("this is not a book.", "", str(path))
    if not found.st_size:
        raise BookError("this file is empty, not a book.", "Remove it and start a new one.", str(path))


def connect(path: Path, mode: str, busy_ms: int = BUSY_MS) -> sqlite3.Connection:
    """A connection without transactions of its own; `mode` as in SQLite's addresses (`mode=ro`).

    Raises:
        BookError: this Python's SQLite is too old.
    """
    if sqlite3.sqlite_version_info < LEAST_SQLITE:
        raise BookError(f"SQLite {sqlite3.sqlite_version} is too old.", "Pitcrew needs SQLite 3.38 or newer.")
    return sqlite3.connect(f"{path.absolute().as_uri()}?{mode}", timeout=busy_ms / 1000, isolation_level=None, uri=True)


def recognise(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse a file that is not a book, or one of a newer program.

    Raises:
        BookError: says which.
    """
    if connection.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
        raise BookError("this is not a book.", "Nothing was changed.", str(path))
    if version(connection) > schema.VERSION:
        raise BookError("this book was made by a newer Pitcrew.", "Update Pitcrew; nothing was changed.", str(path))


def check_guards(connection: sqlite3.Connection, path: Path | str) -> None:
    """Refuse a book whose table, indexes or guards are not as they should be.

    Raises:
        BookError: names what is missing, changed or too many.
    """
    if found := schema.flaws(connection):
        raise BookError(
            f"the book has been tampered with: {'; '.join(found)}.",
            "Start a new book, and merge a backup into it.",
            str(path),
        )


def glance(path: Path, busy_ms: int = BUSY_MS) -> None:
    """Recognise a file before anything is opened for writing, so that what is refused stays as it was.

    Raises:
        BookError: not a book, or a newer one.
    """
    check_path(path)
    # Without a -wal file all there is to know is in the header, and `immutable` reads that without making
    # files beside it. The header is not read with open(): closing such a handle would let go of the locks
    # that another connection of this program may hold on the file.
    mode = "mode=ro" if beside(path, "-wal").exists() else "immutable=1"
    with told(path), suppress_cannot_open(), ExitStack() as stack:
        connection = connect(path, mode, busy_ms)
        stack.callback(connection.close)
        recognise(connection, path)


@contextmanager
def suppress_cannot_open() -> Iterator[None]:
    """Pass over a file that cannot be opened where it lies; whoever opens it next says so or copies it."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
            raise


def beside(path: Path, suffix: str) -> Path:
    """The file that SQLite keeps beside a book."""
    return path.with_name(path.name + suffix)


def open_reading(path: Path, stack: ExitStack, busy_ms: int = BUSY_MS) -> sqlite3.Connection:
    """A connection that only reads, and leaves no file beside the book that was not there before.

    What is needed until it is closed hangs on `stack`.

    Raises:
        BookError: not a book, a newer one, or not readable.
    """
    glance(path, busy_ms)
    with told(path):
        found = None
        if _readable_in_place(path):
            with suppress_cannot_open():
                found = _reader(path, _reading_mode(path), stack, busy_ms)
        if found is None:
            found = _reader(_private_copy(path, stack), "mode=rw", stack, busy_ms)
        recognise(found, path)
    check_guards(found, path)
    return found


def _reader(path: Path, mode: str, stack: ExitStack, busy_ms: int) -> sqlite3.Connection:
    connection = connect(path, mode, busy_ms)
    with ExitStack() as failing:
        failing.callback(connection.close)
        connection.execute("PRAGMA query_only = ON")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchall()
        stack.push(failing.pop_all())
    return connection


def _may_write(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _reading_mode(path: Path) -> str:
    # Where it may, a reader is open for writing but held to queries: only so does SQLite tidy away the -wal
    # and -shm files that reading a WAL book makes.
    return "mode=rw" if _may_write(path) else "mode=ro"


def _readable_in_place(path: Path) -> bool:
    """Can the book be read where it lies without making a file that could not be removed again?"""
    if _may_write(path):
        return True
    if beside(path, "-wal").exists():
        return beside(path, "-shm").exists()
    return not _says_wal(path)


def _says_wal(path: Path) -> bool:
    """Does the header name WAL as the way to read? That is a 2 at offset 19 (SQLite file format, 1.3)."""
    # Only asked of a file that may not be written, where no connection of this program guards a change.
    with path.open("rb") as file:
        return file.read(20)[19:] == b"\x02"


def _private_copy(path: Path, stack: ExitStack) -> Path:
    """A copy of a book and of what was written but not yet folded into it."""
    import shutil
    import tempfile

    folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="pitcrew-")))
    for suffix in ("", "-wal", "-journal"):
        with suppress(FileNotFoundError):
            shutil.copyfile(beside(path, suffix), folder / f"book{suffix}")
    return folder / "book"


def open_writing(path: Path, stack: ExitStack, busy_ms: int = BUSY_MS) -> sqlite3.Connection:
    """A connection that may write, on a book brought up to date; `stack` closes it.

    Raises:
        BookError: not a book, a newer one, or one that was tampered with.
    """
    if not _may_write(path):
        raise BookError("the book can only be read.", "Copy it to a place where you may write.", str(path))
    connection = connect(path, "mode=rw", busy_ms)
    stack.callback(connection.close)
    recognise(connection, path)
    if version(connection) < schema.VERSION:
        migrate(connection)
    check_guards(connection, path)
    return connection


def copy_until(source: Path, path: Path, cut_tick: int) -> None:
    """Make a new book of another's entries before a tick, with their row numbers, under the writer of the newest.

    Somebody has the source open. Quick, not safe: nothing waits for the disk until the copy is opened for writing.

    Raises:
        BookError: there is something at this path already, or nothing can be written there.
    """
    with told(path):
        try:
            path.touch(exist_ok=False)
        except FileExistsError:
            raise BookError("there is something here already.", "Choose another name.", str(path)) from None
        try:
            with closing(connect(path, "mode=rw")) as connection:
                connection.execute("PRAGMA synchronous = OFF")
                connection.execute("PRAGMA journal_mode = MEMORY")
                connection.execute("ATTACH ? AS source", (f"{source.absolute().as_uri()}?mode=ro",))
                with held(connection):
                    _fill(connection, path, cut_tick)
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def _fill(connection: sqlite3.Connection, path: Path, cut_tick: int) -> None:
    # Indexes and guards are laid out over the rows: row by row they take three times as long.
    rest = dict(schema.EXPECTED)
    for name in ("entry", "meta"):
        connection.execute(rest.pop(name))
    connection.execute(_TAKE_OVER, (cut_tick,))
    for statement in rest.values():
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {schema.VERSION}")
    if newest := connection.execute(_NEWEST_WRITER).fetchone():
        writer_of(connection, path, lambda: str(newest[0]))


def settle(connection: sqlite3.Connection, path: Path) -> None:
    """Make every commit durable before it is acknowledged: WAL and FULL, set and read back.

    Raises:
        BookError: the file system cannot keep a WAL, or another window holds the book.
    """
    for pragma in WRITING:
        connection.execute(f"PRAGMA {pragma}")
    mode = _to_wal(connection)
    if mode != "wal" or connection.execute("PRAGMA synchronous").fetchone()[0] != FULL:
        raise BookError("the book cannot be written safely here.", "Copy it to a disk of this computer.", str(path))


def _to_wal(connection: sqlite3.Connection) -> str:
    """Go over to WAL; where another window is just doing so, SQLite does not wait by itself, so this does."""
    (busy_ms,) = connection.execute("PRAGMA busy_timeout").fetchone()
    end = time.monotonic() + busy_ms / 1000
    while True:
        try:
            return str(connection.execute("PRAGMA journal_mode = WAL").fetchone()[0])
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() >= end:
                raise
            time.sleep(AGAIN_S)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder outlast a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
