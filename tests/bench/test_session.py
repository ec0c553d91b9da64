"""One crew at one open book: what is written, what waits while it cannot be, what others write."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pitcrew.bench import correcting, fastening, fighting, fitting
from pitcrew.bench.desk import Desk
from pitcrew.bench.session import Session, Source
from pitcrew.bench.standing import view
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import BookError, EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry
from tests.bench.shop import Shop
from tests.readiness.small import CHECK, MINUTE

Doing = Callable[[Desk], list[Draft]]
LIGHT: Doing = lambda desk: fighting.hit(desk, ["D"], 1, in_fight=False)  # noqa: E731
HARD: Doing = lambda desk: fighting.hit(desk, ["W"], 3, in_fight=False)  # noqa: E731


def at_shop(shop: Shop) -> Session:
    session = Session(Source(shop.book, shop.clock, shop.ids, (CHECK,)), "R")
    session.by = "MK"
    return session


def do(session: Session, doing: Doing) -> tuple[Entry, ...]:
    return session.write(doing(session.desk()))


def verdicts(session: Session) -> list[tuple[str, str]]:
    return [(item.key, item.verdict) for item in session.judge().standing.requirements]


class OnDisk:
    """A small book in a file that can be made full, and a session at it."""

    def __init__(self, path: Path) -> None:
        shop = Shop().ready()
        shop.book.backup(path)
        shop.book.close()
        self.path, self.clock = path, shop.clock
        self.book = Book.open(path, self.clock, SeededIds(9), busy_ms=50)
        self.session = Session(Source(self.book, self.clock, SeededIds(10), (CHECK,)), "R")
        self.session.by = "MK"

    def full(self) -> None:
        """Leave the file no room to grow."""
        (pages,) = self.book._connection.execute("PRAGMA page_count").fetchone()
        self.book._connection.execute(f"PRAGMA max_page_count = {pages}")

    def room(self) -> None:
        self.book._connection.execute("PRAGMA max_page_count = 1000000")

    def other(self) -> Session:
        """Another window at the same file."""
        book = Book.open(self.path, self.clock, SeededIds(11))
        session = Session(Source(book, self.clock, SeededIds(12), (CHECK,)), "R")
        session.by = "EW"
        return session

    def write_until_full(self) -> tuple[list[Entry], Draft]:
        """Notes until one is refused: those written, and the draft that waits."""
        written: list[Entry] = []
        for number in range(400):
            try:
                written += do(self.session, lambda desk, n=number: correcting.note(desk, f"{n} " + "x" * 900))  # type: ignore[misc]
            except BookError:
                (drafts, _act) = self.session.unwritten[-1]
                return written, drafts[0]
        raise AssertionError("the book never filled up")

    def count(self, ident: str) -> int:
        return sum(entry.id == ident for entry in self.book.entries(limit=100_000))


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[OnDisk]:
    found = OnDisk(tmp_path / "season.db")
    yield found
    found.book.close()


# judging


def test_what_is_judged_is_what_the_bench_says_of_the_book() -> None:
    shop = Shop().ready()
    session = at_shop(shop)
    found = session.judge()
    assert found.standing == view(shop.book.evidence(), "R", session.now(), (CHECK,)).standing
    assert not session.stale
    do(session, HARD)
    assert session.stale
    assert session.judge().standing == view(shop.book.evidence(), "R", session.now(), (CHECK,)).standing


def test_a_step_of_judging_given_up_leaves_the_view_before() -> None:
    session = at_shop(Shop().ready())
    before = session.judge()
    do(session, HARD)
    steps = session.judging()
    next(steps)
    assert session.view is before
    steps.close()  # type: ignore[attr-defined]
    assert session.view is before


def test_another_robot_chosen_meanwhile_is_not_given_the_view_of_the_one_before() -> None:
    session = at_shop(Shop().ready())
    steps = session.judging()
    next(steps)
    session.choose("")
    for _ in steps:
        pass
    assert session.view is None


def test_an_empty_book_has_no_robot_no_case_and_is_not_judged() -> None:
    clock = FixedClock(1_800_000_000_000)
    session = Session(Source(Book.memory(clock, SeededIds(1)), clock, SeededIds(2), load()))
    assert (session.robot, session.case(), session.robots(), session.zone()) == ("", None, (), "UTC")
    with pytest.raises(BookError, match="no robot in this book yet"):
        session.judge()
    assert session.suppose([]) is None


def test_the_clock_never_stands_before_the_newest_entry() -> None:
    shop = Shop().ready()
    session = at_shop(shop)
    newest = shop.book.highest_tick()
    shop.clock.set(newest - 90 * MINUTE)
    assert session.now() == newest
    do(session, LIGHT)  # a shift begins with it
    newest = shop.book.highest_tick()
    assert do(session, LIGHT)[0].tick == newest + 1


def test_time_alone_makes_a_standing_old_when_it_changes_by_time() -> None:
    shop = Shop().ready()
    session = at_shop(shop)
    assert not session.overdue()
    # Called in a minute, with threadlocker that sets in a quarter of an hour.
    do(session, lambda desk: fighting.enter(desk, "F2", "F2", "A", call_at=desk.now + MINUTE))
    do(session, lambda desk: fastening.torque(desk, "cap", 25.0))
    changes = session.judge().standing.changes_at
    assert changes is not None
    shop.clock.set(changes - 1)
    assert not session.overdue()
    shop.clock.set(changes)
    assert session.overdue()


# writing


def test_what_is_written_is_one_act_and_known_at_once() -> None:
    session = at_shop(Shop().ready())
    entries = do(session, lambda desk: fitting.part_in(desk, "rotor2", "rotor"))
    assert len({entry.act for entry in entries}) == 1
    assert session.last_of(entries[0].act) == entries
    case = session.case()
    assert case is not None
    assert case.occupant("rotor") == "rotor2"
    assert session.own == [entries]
    assert session.news() == ()


def test_an_entry_that_cannot_be_taken_waits_for_nothing() -> None:
    session = at_shop(Shop().ready())
    with pytest.raises(EntryError):
        session.write([Draft("hit", "D", "MK", robot="R", detail={"source": "taken"}, grade=9)])
    assert session.unwritten == []
    assert session.own == []


def test_a_book_that_is_only_read_takes_nothing_and_nothing_waits(disk: OnDisk) -> None:
    disk.book.close()
    with Book.open(disk.path, disk.clock, SeededIds(3), readonly=True) as book:
        session = Session(Source(book, disk.clock, SeededIds(4), (CHECK,)), "R")
        with pytest.raises(BookError, match="open for reading only"):
            do(session, LIGHT)
        assert session.unwritten == []
        with pytest.raises(EntryError, match="nothing was written here yet"):
            session.take_back()


def test_what_does_not_fit_on_the_disk_waits_and_is_written_once(disk: OnDisk) -> None:
    disk.full()
    written, draft = disk.write_until_full()
    assert disk.count(draft.id or "") == 0
    for _ in range(2):
        with pytest.raises(BookError):
            disk.session.write_again()
    assert len(disk.session.unwritten) == 1
    disk.room()
    (entry,) = disk.session.write_again()
    assert (entry.id, entry.detail) == (draft.id, draft.detail)
    assert disk.session.write_again() == ()
    assert disk.count(entry.id) == 1
    assert all(disk.count(one.id) == 1 for one in written)
    assert disk.session.own[-1] == (entry,)


def test_what_was_written_after_all_is_not_written_twice(disk: OnDisk) -> None:
    """The first try reached the disk, and only its answer was lost."""
    disk.full()
    _, draft = disk.write_until_full()
    (drafts, act) = disk.session.unwritten[0]
    disk.room()
    disk.book.append(drafts, act)
    rows = len(disk.book.entries(limit=100_000))
    (entry,) = disk.session.write_again()
    assert entry.id == draft.id
    assert len(disk.book.entries(limit=100_000)) == rows


def test_what_waited_longer_is_written_first(disk: OnDisk) -> None:
    disk.full()
    _, first = disk.write_until_full()
    with pytest.raises(BookError):
        do(disk.session, lambda desk: correcting.note(desk, "second " + "y" * 900))
    assert [drafts[0].detail["note"][:6] for drafts, _ in disk.session.unwritten][1:] == ["second"]
    disk.room()
    do(disk.session, lambda desk: correcting.note(desk, "third"))
    newest = disk.book.entries(limit=3)
    assert [str(entry.detail["note"])[:6] for entry in newest[:2]] == ["third", "second"]
    assert newest[2].id == first.id
    assert disk.session.unwritten == []


def test_a_locked_book_keeps_what_is_typed_until_the_other_lets_go(disk: OnDisk) -> None:
    other = disk.other()
    other.book._connection.execute("BEGIN IMMEDIATE")
    with pytest.raises(BookError):
        do(disk.session, LIGHT)
    assert len(disk.session.unwritten) == 1
    other.book._connection.execute("ROLLBACK")
    (entry,) = disk.session.write_again()
    assert disk.count(entry.id) == 1
    assert [seen.id for seen in other.news()] == [entry.id]
    other.book.close()


def test_what_another_window_has_made_impossible_is_given_up_and_said(disk: OnDisk) -> None:
    (old,) = do(disk.session, LIGHT)
    other = disk.other()
    other.book._connection.execute("BEGIN IMMEDIATE")
    for doing in (lambda desk: correcting.correct_as(desk, old.id, "hard"), LIGHT):
        with pytest.raises(BookError):
            do(disk.session, doing)
    other.book._connection.execute("ROLLBACK")
    do(other, lambda desk: correcting.withdraw(desk, old.id))
    with pytest.raises(EntryError, match="withdrawn, which is final"):
        disk.session.write_again()
    assert [entry.kind for entry in disk.session.write_again()] == ["hit"]
    other.book.close()


def test_a_line_half_typed_on_a_full_disk_breaks_nothing(disk: OnDisk) -> None:
    disk.session.keep_draft("262.0")
    disk.full()
    disk.write_until_full()
    disk.session.keep_draft("z" * 100_000)
    disk.book._connection.execute("PRAGMA query_only = ON")
    disk.session.keep_draft("")
    assert disk.session.kept_draft() in ("", "262.0")


# news


def test_news_of_another_window_is_told_once_and_judged(disk: OnDisk) -> None:
    mine, other = disk.session, disk.other()
    mine.judge()
    (entry,) = do(other, HARD)
    (own,) = do(mine, LIGHT)  # written here before the other's was seen
    assert mine.news() == ()
    assert verdicts(mine) == verdicts(other) or other.news() == (own,)
    (later,) = do(other, LIGHT)
    assert [seen.id for seen in mine.news()] == [later.id]
    assert mine.news() == ()
    assert mine.judge().standing == view(mine.book.evidence(), "R", mine.now(), (CHECK,)).standing
    assert mine.own == [(own,)]
    assert entry.id in {seen.id for seen in mine.book.entries()}
    other.book.close()


def test_more_news_than_a_page_is_all_told(disk: OnDisk) -> None:
    other = disk.other()
    other.write([draft for _ in range(1001) for draft in correcting.note(other.desk(), "n")])
    assert len(disk.session.news()) == 1001
    other.book.close()


# robots


def test_another_robot_on_the_bench_has_its_own_case() -> None:
    shop = Shop().ready()
    shop.book.append([Draft("robot", "Q", "PB", detail={"name": "OTHER"})])
    session = at_shop(shop)
    session.judge()
    session.choose("Q")
    assert (session.view, session.stale) == (None, True)
    case = session.case()
    assert case is not None
    assert (case.robot, dict(case.defs.positions)) == ("Q", {})
    assert session.desk().robot == "Q"
    assert session.judge().robot == "OTHER"
    session.choose("R")
    assert session.judge().robot == "SMALL"
