"""What was written here last taken back in turn: the standing is as it was, whatever it was that was written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import correcting, fastening, fitting, looking, measuring
from pitcrew.bench.desk import Desk
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from tests.bench.shop import Shop
from tests.bench.test_session import HARD, LIGHT, Doing, OnDisk, at_shop, do, verdicts


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[OnDisk]:
    found = OnDisk(tmp_path / "season.db")
    yield found
    found.book.close()


def test_what_was_written_last_is_taken_back_in_turn() -> None:
    session = at_shop(Shop().ready())
    stands = [verdicts(session)]
    for doing in (HARD, lambda desk: fastening.open_joint(desk, "nuts"), LIGHT):
        do(session, doing)
        stands.append(verdicts(session))
    while len(stands) > 1:
        assert verdicts(session) == stands.pop()
        session.take_back()
    assert verdicts(session) == stands[0]
    with pytest.raises(EntryError, match="nothing was written here yet"):
        session.take_back()


@pytest.mark.parametrize("times", [1, 2, 3])
def test_corrections_taken_back_in_turn_are_as_they_were_and_their_line_is_last(times: int) -> None:
    session = at_shop(Shop().ready())
    (first,) = do(session, LIGHT)
    (old,) = do(session, lambda desk: measuring.weigh_robot(desk, "A", 5.2, "OWN"))
    said = [old.detail]
    for kg in range(times):
        said.append(do(session, lambda desk, kg=kg: correcting.correct_as(desk, old.id, f"{6 + kg} kg"))[0].detail)  # type: ignore[misc]
    said.pop()
    while said:
        (back,) = session.take_back()
        assert (back.kind, back.detail) == ("weighed", said.pop())
    (gone,) = session.take_back()
    assert (gone.kind, gone.replaces) == ("withdrawn", old.id)
    (gone,) = session.take_back()
    assert (gone.kind, gone.replaces) == ("withdrawn", first.id)
    with pytest.raises(EntryError):
        session.take_back()


def test_what_is_put_right_again_after_an_undo_is_taken_back_to_the_same() -> None:
    session = at_shop(Shop().ready())
    (old,) = do(session, lambda desk: measuring.weigh_robot(desk, "A", 5.2, "OWN"))
    for text in ("6 kg", "7 kg", "8 kg"):
        do(session, lambda desk, text=text: correcting.correct_as(desk, old.id, text))  # type: ignore[misc]
        assert session.take_back()[0].detail == old.detail
    assert [(entry.kind, entry.replaces) for entry in session.take_back()] == [("withdrawn", old.id)]


def test_a_withdrawal_is_not_taken_back_and_stays_said() -> None:
    session = at_shop(Shop().ready())
    (old,) = do(session, LIGHT)
    do(session, lambda desk: correcting.withdraw(desk, old.id))
    for _ in range(2):
        with pytest.raises(EntryError, match="a withdrawal is final"):
            session.take_back()


def test_what_another_window_withdrew_is_passed_over(disk: OnDisk) -> None:
    (first,) = do(disk.session, LIGHT)
    (second,) = do(disk.session, HARD)
    other = disk.other()
    do(other, lambda desk: correcting.withdraw(desk, second.id))
    disk.session.news()
    (gone,) = disk.session.take_back()
    assert gone.replaces == first.id
    other.book.close()


ACTS: tuple[Doing, ...] = (
    HARD,
    LIGHT,
    lambda desk: fitting.part_in(desk, "rotor2", "rotor"),
    fitting.packs_out,
    lambda desk: looking.look_over(desk, ["W", "D"]),
    lambda desk: measuring.direct(desk, "float", 0.0009, "CAL"),
)


def put_right(desk: Desk) -> list[Draft]:
    """The newest weighing that counts said something else."""
    fact = desk.case().newest("weighed", "A")
    return correcting.correct_as(desk, fact.id, "9.9 kg") if fact else []


@settings(max_examples=25)
@given(st.lists(st.sampled_from([*ACTS, put_right]), min_size=1, max_size=6))
def test_undo_restores_the_standing_exactly(acts: list[Doing]) -> None:
    session = at_shop(Shop().ready())
    stands = []
    for doing in acts:
        stands.append(verdicts(session))
        if not do(session, doing):
            stands.pop()
    for before in reversed(stands):
        session.take_back()
        assert verdicts(session) == before
