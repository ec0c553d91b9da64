"""Rule 10: packs are chosen for the fight, sit in the robot, and are matched, charged, cool and equal."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pitcrew.robot.records import Fact

from .lines import Book, Detail, current_fight, fights_ended, newest, occupant, sat
from .now import PASS, Requirement, Word, gone, kind_of, positions

MINUTE = 60_000
HAIR = 1e-9
"""Volts and ohms that are forgiven at a limit."""
MINUTE_HAIR = 1e-6

FAIL, DUE = Word("fail"), Word("due")


def charging(book: Book, pack: str) -> Detail:
    """What a pack is charged and judged by; empty where its kind says nothing."""
    return (kind_of(book, pack) or {}).get("charging") or {}


def judged_by(book: Book, packs: list[str], figure: str) -> dict[str, float]:
    """The packs whose kind gives this figure, each with it."""
    return {pack: charging(book, pack)[figure] for pack in packs if figure in charging(book, pack)}


def readings(book: Book, pack: str, *figures: str) -> list[Fact]:
    """The readings of a pack that hold one of these figures."""
    return [r for r in book.all("pack_read", pack) if any(r.detail.get(name) is not None for name in figures)]


# Matched.


def resistance(book: Book, pack: str) -> float | None:
    """The ohms of its worst cell: as read last, else as it came."""
    last = newest(readings(book, pack, "cells_ohm", "ohm_per_cell"))
    if last is None:
        return (book.definition("part", pack) or {}).get("ohm_per_cell")
    if last.detail.get("cells_ohm") is not None:
        return float(max(last.detail["cells_ohm"]))
    return float(last.detail["ohm_per_cell"])


def matched_words(book: Book, packs: list[str]) -> Iterator[Word]:
    spreads = judged_by(book, packs, "spread_ohm")
    ohms = {pack: resistance(book, pack) for pack in spreads}
    known = [value for value in ohms.values() if value is not None]
    for pack, value in ohms.items():
        if value is None:
            yield Word("unchecked", why=f"resistance unknown, {pack}")
    if known and max(known) - min(known) > min(spreads.values()) + HAIR:
        yield Word("fail", why=f"packs not matched, {max(known) - min(known):.6f}")


# Charged.


def volts_of(fact: Fact, full_v: float | None) -> float | None:
    """The volts of the lowest cell that a reading or an end of a charge gives; None where it gives none."""
    if fact.detail.get("cells_v") is not None:
        return float(min(fact.detail["cells_v"]))
    if fact.detail.get("lowest_v") is not None:
        return float(fact.detail["lowest_v"])
    return full_v if fact.entry.kind == "charge_ended" and fact.detail["to"] == "full" else None


def charge_evidence(book: Book, pack: str) -> list[Fact]:
    """Readings that give volts, and every end of a charge."""
    return readings(book, pack, "cells_v", "lowest_v") + book.all("charge_ended", pack)


def fight_uses(book: Book, pack: str) -> list[Fact]:
    """Ends of the robot's fights at which the pack sat in it."""
    own = positions(book)
    return [end for end in fights_ended(book) if sat(book, pack, end) in own]


def uses(book: Book, pack: str) -> list[Fact]:
    """What a pack is not full after: a fight, and being charged down or up to storage."""
    stored = [end for end in book.all("charge_ended", pack) if end.detail["to"] == "storage"]
    return fight_uses(book, pack) + stored


def on_charge(book: Book, pack: str) -> Fact | None:
    """The start of a charge that nothing ended: no end, no use, and the pack was not put in."""
    start = newest(book.all("charge_started", pack))
    if start is None:
        return None
    ends = book.all("charge_ended", pack) + uses(book, pack) + book.all("fitted", pack)
    return None if any(end.order > start.order for end in ends) else start


def used_coulomb(book: Book, pack: str) -> float | None:
    """What was read to have been used since the pack was used last."""
    use = newest(uses(book, pack))
    read = newest(r for r in readings(book, pack, "used_coulomb") if use is None or r.order > use.order)
    return None if read is None else float(read.detail["used_coulomb"])


def charge_ms(coulomb: float | None, amps: float | None, tail_min: float) -> int | None:
    """How long a charge takes, in whole minutes begun; None where it cannot be known."""
    if coulomb is None or not amps:
        return None
    return math.ceil(coulomb / amps / 60 + tail_min - MINUTE_HAIR) * MINUTE


def earliest_call(book: Book) -> float | None:
    """What the gap counts from, of the last fight, and the gap."""
    event, last = book.event(), newest(fights_ended(book))
    if last is None or event.get("gap_min") is None:
        return None
    start: Fact | None = last
    if event.get("gap_counts_from") == "leaving the arena":
        start = newest(book.all("fight_left", last.subject))
    return None if start is None else start.happened + event["gap_min"] * MINUTE


def call(book: Book) -> float | None:
    """When the robot is called: as it was entered, else as early as the event may call it."""
    fight = current_fight(book)
    stated = None if fight is None else fight.detail.get("call_at")
    return stated if stated is not None else earliest_call(book)


def in_time(book: Book, full_at: float | None, why: str, pack: str) -> Word:
    """Due; or failed, where it is known that it cannot be full by the call."""
    called = call(book)
    if full_at is not None and called is not None and full_at > called:
        return Word("fail", why=f"too late, {pack}")
    return Word("due", why=f"{why}, {pack}")


def charging_word(book: Book, pack: str, start: Fact) -> Word:
    """It is on the charger."""
    by = charging(book, pack)
    amps, coulomb = start.detail.get("current_a"), start.detail.get("to_put_back_coulomb")
    amps = by.get("current_a") if amps is None else amps
    coulomb = used_coulomb(book, pack) if coulomb is None else coulomb
    takes = charge_ms(coulomb, amps, by.get("tail_min") or 0.0)
    return in_time(book, None if takes is None else start.happened + takes, "on charge", pack)


def not_charged_word(book: Book, pack: str) -> Word:
    """It is yet to be put on the charger: now, or once it is cool."""
    by = charging(book, pack)
    takes = charge_ms(used_coulomb(book, pack), by.get("current_a"), by.get("tail_min") or 0.0)
    start = max(book.now, cool_at(book, pack) or book.now)
    return in_time(book, None if takes is None else start + takes, "not charged", pack)


def is_full(evidence: Fact, full_v: float) -> bool:
    volts = volts_of(evidence, full_v)
    return volts is not None and volts >= full_v - HAIR


def charged_word(book: Book, pack: str, full_v: float) -> Word:
    start = on_charge(book, pack)
    if start is not None:
        return charging_word(book, pack, start)
    evidence = charge_evidence(book, pack)
    last = newest(evidence)
    fought = fight_uses(book, pack)
    if last is None:
        return not_charged_word(book, pack) if fought else Word("unchecked", why=f"never read, {pack}")
    # The end of a charge to storage answers for itself: its own volts say whether it is full.
    if book.any_uncleared(fought, evidence) or not is_full(last, full_v):
        return not_charged_word(book, pack)
    return PASS


# Cool.


def cool_at(book: Book, pack: str) -> float | None:
    """The moment a pack that is warm will be cool; None when it is not warm."""
    by = charging(book, pack)
    felt = readings(book, pack, "temperature_k")
    felt += [start for start in book.all("charge_started", pack) if start.detail.get("temperature_k") is not None]
    last = newest(felt)
    if "cool_k" not in by or last is None or last.detail["temperature_k"] <= by["cool_k"]:
        return None
    cool: float = last.happened + (by.get("cool_min") or 0.0) * MINUTE
    return cool if book.now < cool else None


# Equal.


def equal_words(book: Book, packs: list[str]) -> Iterator[Word]:
    within = judged_by(book, packs, "equal_v")
    volts = []
    for pack in within:
        full_v = charging(book, pack).get("full_v")
        given = [fact for fact in charge_evidence(book, pack) if volts_of(fact, full_v) is not None]
        last = newest(given)
        volts += [] if last is None else [volts_of(last, full_v)]
    known = [value for value in volts if value is not None]
    if len(known) > 1 and max(known) - min(known) > min(within.values()) + HAIR:
        yield Word("fail", why=f"not equal, {max(known) - min(known):.6f}")


# Chosen and put in.


def set_words(book: Book, packs: list[str]) -> Iterator[Word]:
    """What is to be said of the packs of the set chosen."""
    fitted = [part for q in positions(book, "pack") if (part := occupant(book, q)) is not None]
    yield PASS if sorted(set(fitted)) == sorted(set(packs)) else Word("due", why="packs not in")
    yield from matched_words(book, packs)
    for pack, full_v in judged_by(book, packs, "full_v").items():
        yield charged_word(book, pack, full_v)
    yield from [Word("due", why=f"warm, {pack}") for pack in packs if cool_at(book, pack) is not None]
    yield from equal_words(book, packs)


def packs_words(book: Book) -> list[Word]:
    """Packs are chosen anew for every fight, out of a set whose packs are known, and none of them is put away."""
    choice, last_fight = newest(book.all("chosen", book.robot)), newest(fights_ended(book))
    if choice is None or (last_fight is not None and last_fight.order > choice.order):
        return [DUE]
    pack_set = book.definition("pack_set", choice.detail["pack_set"])
    if pack_set is None:
        return [DUE]
    if any(gone(book, pack) for pack in pack_set["packs"]):
        return [FAIL]
    return list(set_words(book, pack_set["packs"]))


def packs(book: Book) -> Iterator[Requirement]:
    if current_fight(book) is not None and positions(book, "pack"):
        yield f"packs:{book.robot}", packs_words(book)
