"""The commands of the shell: what a robot's standing is, what to do next, what it weighs; a line put in; the log."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

import click

from pitcrew.bench import openbook
from pitcrew.bench.data import weights_data, worklist_data
from pitcrew.bench.line import drafts
from pitcrew.bench.packs_now import packs_data, packs_lines, set_can_be_ready
from pitcrew.bench.plain import log_lines, standing_lines, weight_lines, worklist_lines
from pitcrew.bench.spares_out import spares_data, spares_lines
from pitcrew.bench.standing import View, as_data, view
from pitcrew.checklists import load
from pitcrew.doorway import BLOCKED, FIT, House, told
from pitcrew.errors import PitcrewError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.definitions import Robot
from pitcrew.robot.moments import typed
from pitcrew.robot.records import Entry, Evidence

book_argument = click.argument("book", type=click.Path(readable=False))
robot_argument = click.argument("robot", required=False)
at_option = click.option("--at", metavar="TIME", help="Look at another moment: 15:24, or 2026-06-13 15:24.")
json_option = click.option("--json", "as_json", is_flag=True, help="Plain data for a script.")
if_option = click.option("--if", "supposing", multiple=True, metavar="LINE", help="Suppose a line were put in.")


class Seen(NamedTuple):
    """A book looked at: the views asked for, the moment, and the book they were judged from."""

    views: tuple[View, ...]
    moment: openbook.Moment
    book: Book


class Ask(NamedTuple):
    """What is asked of a book: its path, one robot or all, another moment, lines supposed, words or data."""

    house: House
    book: str
    robot: str | None
    at: str | None
    as_json: bool
    supposing: tuple[str, ...]


def asks(command: Callable[[Ask], int]) -> click.Command:
    """A command that reads a book and ends with the status its answer has."""

    @click.command(command.__name__, help=command.__doc__)
    @book_argument
    @robot_argument
    @at_option
    @json_option
    @if_option
    @click.pass_obj
    @told
    def run(
        house: House, book: str, robot: str | None, at: str | None, as_json: bool, supposing: tuple[str, ...]
    ) -> None:
        raise SystemExit(command(Ask(house, book, robot, at, as_json, supposing)))

    return run


@contextmanager
def looked_at(ask: Ask) -> Iterator[Seen]:
    """Open a book for reading and judge the robots asked for at a moment."""
    with openbook.opened(ask.book, ask.house.clock, ask.house.ids) as opened:
        moment = openbook.moment_of(opened, ask.house.clock, ask.at)
        if moment.warning:
            click.echo(moment.warning, err=True)
        evidence = opened.evidence(moment.cut)
        found = openbook.which(evidence, ask.robot)
        if not ask.supposing:
            yield Seen(_views(evidence, found, moment), moment, opened)
            return
        if len(found) != 1:
            raise PitcrewError("a supposed line needs one robot.", "Name it after the book.", "--if")
        with openbook.supposed(opened, moment, ask.supposing, found[0].id, ask.house.ids) as scratch:
            yield Seen(_views(scratch.evidence(), found, moment), moment, scratch)


def say(ask: Ask, data: Callable[[], dict[str, Any]], words: Iterable[Iterable[str]]) -> None:
    """Print an answer: as data for a script, or as words, one paragraph a robot."""
    if ask.as_json:
        click.echo(json.dumps(data(), indent=2, ensure_ascii=False))
    else:
        click.echo("\n\n".join("\n".join(lines) for lines in words))


def _views(evidence: Evidence, found: tuple[Robot, ...], moment: openbook.Moment) -> tuple[View, ...]:
    checklists = load()
    return tuple(view(evidence, robot.id, moment.now, checklists) for robot in found)


@asks
def standing(ask: Ask) -> int:
    """Is the robot fit to fight, and if not, why?

    Ends with status 0 when fit, 1 when anything blocks, 2 when it could not be judged; without a robot, the
    worst of all.
    """
    with looked_at(ask) as seen:
        say(ask, lambda: as_data(seen.views, ask.book, seen.moment.now), map(standing_lines, seen.views))
        return _status(seen)


@asks
def worklist(ask: Ask) -> int:
    """What stands between now and fit to fight, in the order to do it."""
    with looked_at(ask) as seen:
        say(ask, lambda: worklist_data(seen.views, ask.book, seen.moment.now), map(worklist_lines, seen.views))
        return _status(seen)


@asks
def weights(ask: Ask) -> int:
    """What every configuration weighs against the limit, weighed or figured.

    Ends with status 1 when a weight that counts blocks.
    """
    with looked_at(ask) as seen:
        say(ask, lambda: weights_data(seen.views, ask.book), map(weight_lines, seen.views))
        blocks = any(r.group == "weight" and r.blocks for item in seen.views for r in item.standing.requirements)
        return BLOCKED if blocks else FIT


@asks
def spares(ask: Ask) -> int:
    """What is in the box: good spares and tested ones, stock, what went out today, what is to buy.

    Ends with status 1 when something is short.
    """
    with looked_at(ask) as seen:
        say(ask, lambda: spares_data(seen.views, ask.book), map(spares_lines, seen.views))
        codes = {caveat.code for item in seen.views for caveat in item.standing.warnings}
        return BLOCKED if codes & {"spares short", "stock short"} else FIT


@asks
def packs(ask: Ask) -> int:
    """Every set of packs: full, on charge, cooling or used, and whether it can be ready for the call.

    Ends with status 1 when the set chosen cannot, or a fight is entered and no set was chosen for it.
    """
    with looked_at(ask) as seen:
        say(ask, lambda: packs_data(seen.views, ask.book), map(packs_lines, seen.views))
        return FIT if all(set_can_be_ready(one.case) for one in seen.views) else BLOCKED


def _status(seen: Seen) -> int:
    return FIT if all(item.standing.fit for item in seen.views) else BLOCKED


@click.command()
@book_argument
@click.argument("line")
@click.option("--robot", help="Which robot; not needed in a book with one.")
@click.option("--by", required=True, metavar="INITIALS", help="Who did it.")
@click.option("--at", metavar="TIME", help="When it was done, if not now.")
@click.pass_obj
@told
def put(house: House, book: str, line: str, robot: str | None, by: str, at: str | None) -> None:
    """Log a line: a reading, a torque, a hit, a part in or out, a withdrawal.

    \b
    pitcrew put BOOK --by MK "262.05 gap between uprights with ROD"
    pitcrew put BOOK --by MK "22 N m hubs R 1-4 new"
    pitcrew put BOOK --by DV "hit DR hard"
    pitcrew put BOOK --by MK "in wheel 6 at wheel 3"
    pitcrew put BOOK --by MK "withdraw 131"
    """  # noqa: D301  click keeps the lines apart by that very character
    # Read first: a line that is refused leaves the file as it was, to the byte.
    with openbook.opened(book, house.clock, house.ids) as opened:
        meant, zone = _meant(house, opened, line, robot, by, at)
    if not meant:
        click.echo("it is so already; nothing was written")
        return
    with openbook.opened(book, house.clock, house.ids, readonly=False) as opened:
        entries = opened.append(meant)
        for said in _log_lines(opened, opened.evidence(), entries, zone):
            click.echo(said)


def _meant(
    house: House, opened: Book, line: str, robot: str | None, by: str, at: str | None
) -> tuple[list[Draft], str]:
    """The entries a typed line means, and the time zone they are shown in."""
    evidence = opened.evidence()
    found = openbook.which(evidence, robot)
    if len(found) != 1:
        raise PitcrewError("this book has more than one robot.", "Say which: --robot NAME.", "--robot")
    zone = openbook.time_zone(evidence, found[0])
    now = max(house.clock.now_ms(), opened.highest_tick() + 1)
    happened = typed(at, zone, now)[0] if at else None
    initials = openbook.crew_member(evidence, by)
    desk = openbook.desk(opened, found[0].id, initials, now, house.ids, happened)
    return drafts(desk, line, lambda n: openbook.number(opened, n)), zone


@click.command()
@book_argument
@robot_argument
@at_option
@click.option("--last", type=click.IntRange(1), default=40, show_default=True, help="How many lines.")
@click.pass_obj
@told
def log(house: House, book: str, robot: str | None, at: str | None, last: int) -> None:
    """The last lines of the logbook, newest below."""
    with openbook.opened(book, house.clock, house.ids) as opened:
        moment = openbook.moment_of(opened, house.clock, at)
        evidence = opened.evidence(moment.cut)
        wanted = openbook.which(evidence, robot)[0].id if robot else None
        entries = openbook.last_entries(opened, moment.cut, wanted, last)
        for said in _log_lines(opened, evidence, entries, openbook.time_zone(evidence)):
            click.echo(said)


def _log_lines(book: Book, evidence: Evidence, entries: Iterable[Entry], zone: str) -> Iterator[str]:
    def number(ident: str) -> int | None:
        entry = book.read(ident)
        return entry.n if entry else None

    return log_lines(evidence, entries, zone, number)


COMMANDS = (standing, worklist, weights, spares, packs, put, log)
