"""Joints: torqued, opened, marks looked at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pitcrew.bench.desk import Desk, known
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft

Fasteners = Sequence[int] | Literal["all"]


def torque(
    desk: Desk,
    joint: str,
    torque_nm: float,
    *,
    fasteners: Fasteners = "all",
    instrument: str | None = None,
    locker: bool | None = None,
    primer: bool = False,
    new_fasteners: bool = False,
    second: str | None = None,
    typed: str = "",
    note: str = "",
) -> list[Draft]:
    """Torque a joint, or some of its fasteners, N m. `locker` None: as the joint is locked; `instrument` likewise."""
    record = known(desk.definitions().joints, joint, "joint")
    if not torque_nm > 0:
        raise EntryError("a torque is above zero.", "Type what the wrench was set to.", "torque")
    detail = {
        "fasteners": _listed(fasteners, record.fastener_count),
        "torque_nm": torque_nm,
        "instrument": desk.instrument(instrument) or record.wrench,
        "locker": record.locking == "threadlocker" if locker is None else locker,
        "primer": primer or None,
        "new_fasteners": new_fasteners or None,
        "second": desk.second_person(second, "second"),
        "typed": typed or None,
    }
    return [desk.draft("torqued", joint, detail, note=note)]


def open_joint(desk: Desk, joint: str, fasteners: Fasteners = "all", note: str = "") -> list[Draft]:
    """Undo a joint, or some of its fasteners."""
    count = known(desk.definitions().joints, joint, "joint").fastener_count
    return [desk.draft("opened", joint, {"fasteners": _listed(fasteners, count)}, note=note)]


def marks_good(desk: Desk, joint: str, note: str = "") -> list[Draft]:
    """The marks of a joint were looked at and are unbroken."""
    known(desk.definitions().joints, joint, "joint")
    return [desk.draft("marks_good", joint, note=note)]


def _listed(fasteners: Fasteners, count: int) -> list[int] | str:
    if fasteners == "all":
        return "all"
    numbers = sorted({int(number) for number in fasteners})
    if not numbers or numbers[0] < 1 or numbers[-1] > count:
        raise EntryError(f"the joint has fasteners 1 to {count}.", "Name which ones.", "fasteners")
    return numbers
