"""Rule 16: tip speed of what is entered, where the event has a cap and a part that counts sets the speed."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .lines import Book, newest, occupant
from .now import Requirement, Word, chosen_packs, fight_configuration, kind_of, positions, scope


def tips(book: Book) -> Iterator[Requirement]:
    cap, entered = book.event().get("tip_speed_cap_m_s"), fight_configuration(book)
    if cap is None or entered is None or not any(sets_speed(book, part) for part in scope(book)):
        return
    said = newest(book.all("tip_speed", entered))
    if said is None:
        word = "unchecked"
    elif set_by(book, None) != set_by(book, said) or cells(book, None) != cells(book, said):
        word = "recheck"
    else:
        word = "fail" if said.detail["value_m_s"] > cap else "pass"
    yield f"tip:{entered}", [Word(word)]


def sets_speed(book: Book, part: str | None) -> bool:
    return part is not None and bool((kind_of(book, part) or {}).get("sets_speed"))


def set_by(book: Book, before: Fact | None) -> dict[str, str]:
    """Which part set the speed at each place that no configuration changes."""
    held = {place: occupant(book, place, before) for place in positions(book, "fixed", "shim")}
    return {place: part for place, part in held.items() if part is not None and sets_speed(book, part)}


def cells(book: Book, before: Fact | None) -> list[int]:
    """The cells of each pack of the set chosen; none chosen or an unknown one, of those in the robot."""
    packs = chosen_packs(book, before) or [
        part for place in positions(book, "pack") if (part := occupant(book, place, before)) is not None
    ]
    found = [((kind_of(book, pack) or {}).get("charging") or {}).get("cells") for pack in packs]
    return sorted(count for count in found if count)
