"""Writing entries down: what is stamped on them, what is refused, and what a second try finds."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple, NoReturn

from pitcrew.clock import Ids
from pitcrew.errors import EntryError
from pitcrew.logbook.lines import BY_ID, Lines, fetch
from pitcrew.logbook.rows import from_row, problems, refuse, require, to_row
from pitcrew.logbook.schema import COLUMNS
from pitcrew.robot.records import Entry

INSERT = f"INSERT INTO entry ({COLUMNS.removeprefix('n,')}) VALUES ({', '.join('?' * 13)})"


class Draft(NamedTuple):
    """An entry before it is written: what is known about it besides when, where and by which writer.

    `happened` in milliseconds UTC, now when not given. With an `id` of one's own, a second try after a
    doubtful first one writes nothing twice. `act` puts it under an earlier act (a hit that a finding raises);
    without one it goes under the act it is written in.
    """

    kind: str
    subject: str
    by: str
    robot: str | None = None
    place: str | None = None
    grade: int | None = None
    replaces: str | None = None
    detail: Mapping[str, Any] = {}
    happened: int | None = None
    id: str | None = None
    act: str | None = None

    def entry(self, ident: str = "", act: str = "", tick: int = 0, happened: int = 0, writer: str = "") -> Entry:
        """This as the entry it would become; an id, an act and a time of its own stand before those given here."""
        return Entry(
            id=self.id or ident,
            act=self.act or act,
            tick=tick,
            happened=happened if self.happened is None else self.happened,
            writer=writer,
            by=self.by,
            robot=self.robot,
            kind=self.kind,
            subject=self.subject,
            place=self.place,
            grade=self.grade,
            replaces=self.replaces,
            detail=self.detail,
        )


class Pen(NamedTuple):
    """Who writes, and when: the writer's id, now in milliseconds UTC, and where new ids come from."""

    writer: str
    now_ms: int
    ids: Ids


def highest_tick(connection: sqlite3.Connection) -> int:
    """The newest tick in the book, milliseconds UTC; 0 in an empty one."""
    return int(connection.execute("SELECT max(tick) FROM entry").fetchone()[0] or 0)


def find(connection: sqlite3.Connection, entry_id: str) -> Entry | None:
    """The entry of an id, as it was written."""
    found = fetch(connection, BY_ID, {"id": entry_id})
    return from_row(found[0]) if found else None


def write(connection: sqlite3.Connection, drafts: Sequence[Draft], pen: Pen, act: str | None) -> list[Entry]:
    """Write drafts down as one act; the caller holds the transaction, and gives it up on an error.

    Raises:
        EntryError: names what cannot be taken.
    """
    known = [find(connection, draft.id) if draft.id else None for draft in drafts]
    act = act or next((entry.act for entry in known if entry), None) or pen.ids.mint(pen.now_ms)
    tick = max(highest_tick(connection) + 1, pen.now_ms)
    written = []
    for draft, old in zip(drafts, known, strict=True):
        if old is not None:
            written.append(_same(old, draft, act))
            continue
        entry = _stamped(draft, tick, pen, act)
        require(entry)
        _check_replaces(connection, entry)
        insert(connection, entry)
        written.append(find(connection, entry.id) or entry)
        tick += 1
    return written


def insert(connection: sqlite3.Connection, entry: Entry) -> bool:
    """Put an entry in as it is; False when the same entry was there already.

    Raises:
        EntryError: its id stands for another entry.
    """
    try:
        return connection.execute(INSERT, to_row(entry)).rowcount > 0
    except sqlite3.IntegrityError as error:
        _not_taken(entry, error)


def insert_all(connection: sqlite3.Connection, entries: Iterable[Entry], checked: bool) -> int:
    """Put entries in as they are; how many were new. Their row numbers are given anew.

    Raises:
        EntryError: names what cannot be taken; also an id that stands for another entry.
    """
    added = 0
    for entry in entries:
        if not checked and (found := problems(entry)):
            refuse(entry.kind, f"entry {entry.id!r:.40}: {'; '.join(found)}")
        added += insert(connection, entry)
    return added


def _not_taken(entry: Entry, error: sqlite3.IntegrityError) -> NoReturn:
    if "id taken" in str(error):
        raise EntryError(
            f"id: {entry.id} already stands for another entry.", "Nothing was written.", entry.kind
        ) from error
    raise EntryError(f"{error}.", "Nothing was written.", entry.kind) from error


def _stamped(draft: Draft, tick: int, pen: Pen, act: str) -> Entry:
    happened = min(pen.now_ms, tick) if draft.happened is None else draft.happened
    if isinstance(happened, int) and happened > tick:
        refuse(draft.kind, "happened: that is in the future")
    return draft.entry(draft.id or pen.ids.mint(pen.now_ms), act, tick, happened, pen.writer)


def _same(old: Entry, draft: Draft, act: str) -> Entry:
    """What a first try wrote, if it wrote this draft."""
    happened = old.happened if draft.happened is None else draft.happened
    given = draft._replace(id=old.id, happened=happened, act=draft.act or act)
    if given != Draft(*(getattr(old, name) for name in Draft._fields)):
        refuse(draft.kind, f"id: {old.id} already stands for another entry")
    return old


def _check_replaces(connection: sqlite3.Connection, entry: Entry) -> None:
    if entry.replaces is None:
        return
    target = find(connection, entry.replaces)
    if target is None:
        refuse(entry.kind, f"replaces: there is no entry {entry.replaces:.40}")
    # A new look each time: an entry of this very act may have withdrawn the line.
    if Lines(connection).speaking(target.id) is None:
        refuse(entry.kind, "replaces: that entry has been withdrawn, which is final; write it anew")
    if entry.kind not in (target.kind, "withdrawn"):
        refuse(entry.kind, f"replaces: that entry is of kind {target.kind}, a correction keeps the kind")
