"""Rules 2 and 3: joints, fastener by fastener, and their locking."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pitcrew.robot.records import Fact

from .figures import doubt, figure
from .lines import Book, Detail, current_fight, fights_ended, hits_on, moves, newest
from .now import PASS, Requirement, Word, covers, decided
from .signing import signed_later

# 2. Joints.


def torques(book: Book, joint: str, fastener: int) -> list[Fact]:
    return [t for t in book.all("torqued", joint) if covers(t, fastener)]


def reached_through(book: Book, joint: str) -> set[str]:
    """What must be opened to reach a joint, and what must be opened to reach that; a joint never reaches itself."""
    sheets = book.defined("joint")
    found: list[str] = list(sheets.get(joint, {}).get("through") or [])
    for other in found:
        found += [further for further in sheets.get(other, {}).get("through") or [] if further not in found]
    return set(found) - {joint}


def openings_behind(book: Book, joint: str) -> list[Fact]:
    """A joint is opened too, whole, when another is that is reached through it: as such, or by a part moved there."""
    opened = []
    for other, sheet in book.defined("joint").items():
        if joint in reached_through(book, other):
            opened += book.all("opened", other)
            opened += [move for q in sheet.get("holds") or [] for move in moves(book, q)]
    return opened


def openings(book: Book, joint: str, sheet: Detail, fastener: int) -> list[Fact]:
    opened = [o for o in book.all("opened", joint) if covers(o, fastener)]
    opened += openings_behind(book, joint)
    for q in sheet.get("holds") or []:
        opened += moves(book, q)
    for found in book.all("finding"):
        if found.entry.place == joint and found.detail["what"] == "marks turned" and covers(found, fastener):
            opened.append(found)
    return opened


def is_open(book: Book, joint: str, sheet: Detail, fastener: int) -> bool:
    return book.any_uncleared(openings(book, joint, sheet, fastener), torques(book, joint, fastener))


def fasteners(sheet: Detail) -> range:
    return range(1, sheet["count"] + 1)


def wrench_used(sheet: Detail, torque: Fact) -> str | None:
    """The wrench the crew named when it torqued; where it named none, the one the joint is set with."""
    named = torque.detail.get("instrument")
    return named if named is not None else sheet.get("wrench")


def torque_limits(sheet: Detail) -> tuple[float, float]:
    """As far off its target as the joint allows, which is ten percent where it does not say."""
    percent = sheet.get("band_percent")
    off = sheet["target_nm"] * (10 if percent is None else percent) / 100
    return sheet["target_nm"] - off, sheet["target_nm"] + off


def torque_word(book: Book, sheet: Detail, torque: Fact) -> Word:
    """Was the torque sure to be near enough its target, by the wrench it was set with?"""
    shown = figure(book, torque.detail["torque_nm"], wrench_used(sheet, torque), None, torque.id)
    return decided(shown.value, doubt([(1, shown)]), *torque_limits(sheet), [torque.id])


def fastener_words(book: Book, joint: str, sheet: Detail, fastener: int) -> Iterator[Word]:
    torqued = torques(book, joint, fastener)
    last = newest(torqued)
    if last is None:
        yield Word("unchecked")
        return
    if is_open(book, joint, sheet, fastener):
        yield Word("recheck")
        return
    if sheet.get("target_nm") is not None:
        yield torque_word(book, sheet, last)
    alone = last.detail.get("second") in (None, last.entry.by)
    if sheet.get("second") and alone and not signed_later(book, joint, last):
        yield Word("due")
    marks = torqued + book.all("marks_good", joint)
    marks += [look for look in book.all("looked_over", sheet["zone"]) if joint not in (look.detail.get("except") or [])]
    if book.any_uncleared(hits_on(book, sheet["zone"], sheet["recheck_from"]), marks):
        yield Word("recheck")
    for torque in torqued:
        if torque.detail.get("new_fasteners"):
            later = [e for e in fights_ended(book) if e.order > torque.order]
            if book.any_uncleared(later[:1], marks):
                yield Word("due")


def joints(book: Book) -> Iterator[Requirement]:
    for joint, sheet in book.defined("joint").items():
        words = [w for i in fasteners(sheet) for w in fastener_words(book, joint, sheet, i)]
        yield f"joint:{joint}", words


# 3. Locking.


def locker_row(book: Book, sheet: Detail, primer: bool) -> Detail | None:
    """The threadlocker's row; should several fit, the one that takes longest."""
    name = sheet.get("locker_name")
    rows = [
        row
        for row in book.defined("locker", everywhere=True).values()
        if (name is None or row["name"] == name) and row["material"] == sheet.get("material")
    ]
    fitting = [row for row in rows if row["primer"] is primer] or [row for row in rows if not row["primer"]]
    return max(fitting, key=lambda row: float(row["set_min"]), default=None)


def needed_at(book: Book) -> float:
    """When the locker has to have set: at staging if that is still to come."""
    fight = current_fight(book)
    if fight is None:
        return book.now
    staging: float | None = fight.detail.get("staging_at")
    call = fight.detail.get("call_at")
    if staging is None and call is not None:
        staging = call + (book.event().get("walk_min") or 0) * 60_000
    return book.now if staging is None else max(staging, book.now)


def threadlocker_word(book: Book, sheet: Detail, last: Fact) -> str:
    if not last.detail.get("locker"):
        return "fail"
    row = locker_row(book, sheet, bool(last.detail.get("primer")))
    if row is None:
        return "unchecked"
    age = max(0, needed_at(book) - last.happened)
    wet = age < row["set_min"] * 60_000
    return "fail" if wet and current_fight(book) is not None else "pass"


def nut_uses(torqued: list[Fact], opened: list[Fact]) -> int:
    """Times a lock nut has been run on: the first, and each that followed an opening."""
    fresh = [place for place, t in enumerate(torqued) if t.detail.get("new_fasteners")]
    run = torqued[fresh[-1] :] if fresh else torqued
    uses = 1
    for before, after in pairwise(run):
        if any(before.order < o.order < after.order for o in opened):
            uses += 1
    return uses


def locking_word(book: Book, joint: str, sheet: Detail, fastener: int) -> Word | None:
    torqued = torques(book, joint, fastener)
    last = newest(torqued)
    if last is None or is_open(book, joint, sheet, fastener):
        return None
    if sheet["locking"] == "threadlocker":
        return Word(threadlocker_word(book, sheet, last))
    most = sheet.get("max_uses")
    uses = nut_uses(torqued, openings(book, joint, sheet, fastener))
    return Word("fail") if most is not None and uses > most else PASS


def lockings(book: Book) -> Iterator[Requirement]:
    for joint, sheet in book.defined("joint").items():
        if sheet["locking"] not in ("threadlocker", "lock nuts"):
            continue
        words = [locking_word(book, joint, sheet, i) for i in fasteners(sheet)]
        closed = [word for word in words if word is not None]
        if closed:
            yield f"locking:{joint}", closed
