"""A bench at its logbook: lines found by their words, and the answers of the line the keys are at."""

from __future__ import annotations

from pitcrew.tui.pages.logbook import Logbook
from tests.tui.driver import Driver

WIDTH = 200


def worked(bench: Driver) -> Driver:
    """Let the screen find out all it has still to find out."""
    while bench.shell.page.waits():
        bench.shell.page.work()
    return bench


def logbook(bench: Driver) -> Logbook:
    page = bench.shell.page
    assert isinstance(page, Logbook)
    return page


def narrowed(bench: Driver, words: str) -> Driver:
    return worked(bench.type(words).keys("enter"))


def to_line(bench: Driver, words: str) -> Driver:
    """Put the keys on the line that holds these words."""
    while words not in here(bench):
        at = logbook(bench).lines.at
        bench.keys("up")
        assert logbook(bench).lines.at != at or logbook(bench).waits(), f"no line holds {words}"
        worked(bench)
    return bench


def here(bench: Driver) -> str:
    (row,) = [row for row in bench.screen() if row.startswith(">")]
    return row


def to_answer(bench: Driver, label: str) -> Driver:
    for _ in (None, *bench.shell.page.answers().items):
        answer = bench.shell.answer()
        if answer is not None and answer.label == label:
            return bench
        bench.keys("right")
    raise AssertionError(f"no answer {label}: {bench.text()}")
