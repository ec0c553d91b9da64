"""The screen started on a book: what the program's commands call when a screen is wanted."""

from __future__ import annotations

import gc
import os
from pathlib import Path

from pitcrew.bench.names import robot_called
from pitcrew.bench.session import Session, Source
from pitcrew.checklists import load
from pitcrew.clock import Clock, Ids
from pitcrew.logbook.book import Book
from pitcrew.tui.looks import chosen
from pitcrew.tui.page import Say
from pitcrew.tui.pages.home import Home
from pitcrew.tui.shell import Shell

READ_ONLY = "read only  this book can be looked at here, and nothing can be logged in it"
DRAFT = "draft      half typed when the screen went away. Enter goes on, Back rubs it out."


def show(path: Path, clock: Clock, ids: Ids, robot: str | None = None, look: str | None = None, title: str = "") -> int:
    """Open a book on this terminal until it is left; the exit status.

    Raises:
        BookError: the book cannot be opened, or has no such robot.
    """
    # Collecting garbage has nothing to find before the first screen stands, and costs a fifth of the way there.
    gc.disable()
    with Book.open(path, clock, ids, readonly=_only_read(path)) as book:
        session = Session(Source(book, clock, ids, load(), title or path.name))
        if robot is not None:
            session.choose(robot_called(session.evidence, robot).id)
        shell = Shell(session, Home)
        typed = session.kept_draft()
        if typed:
            shell.line.restore(typed, shell.page)
            shell.message = Say(DRAFT, "care")
        if book.readonly:
            shell.message = Say(READ_ONLY, "care")
        from pitcrew.tui.app import run

        return run(session, shell, chosen(look))


def _only_read(path: Path) -> bool:
    """May this book only be read: a stick that is locked, a folder where nothing can be written?"""
    return path.is_file() and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK))


def begin(path: Path, clock: Clock, ids: Ids, look: str | None = None) -> int:
    """Start a new book and ask for its first robot; the exit status.

    Raises:
        BookError: there is something at this path already, or nothing can be written there.
    """
    Book.create(path, clock, ids).close()
    with Book.open(path, clock, ids) as book:
        session = Session(Source(book, clock, ids, load(), path.name))
        shell = Shell(session, Home)
        from pitcrew.tui.app import run
        from pitcrew.tui.pages.begin import Begin

        shell.show(Begin(session))
        return run(session, shell, chosen(look))
