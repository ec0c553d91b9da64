"""What can be said to packs: out and in with what was read, read, on charge and off it, chosen, in quarantine."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from pitcrew.bench import fitting, looking, pack_words, packing
from pitcrew.bench.desk import Desk
from pitcrew.bench.history import said
from pitcrew.bench.pack_lines import charge_of_text, figures_of
from pitcrew.bench.packs_now import at
from pitcrew.bench.session import Session
from pitcrew.errors import EntryError, PitcrewError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import charge_of, charging_of, used_coulomb
from pitcrew.tui.page import Answer, Ask, Outcome, Write
from pitcrew.units import show

if TYPE_CHECKING:
    Drafting = Callable[[Desk, str], list[Draft]]

OUT = "how warm, and what was used in each? 46 C 5.2 Ah. Enter alone: only out"
IN = "the lowest cell of all? 4.18 V. Enter alone: only in"
READ = "volts of the lowest or of every cell, mOhm, C, Ah: 4.18 V 2.4 mOhm"
CHARGE = "A each, Ah to put back, C, who stays with it: 8 A 5.2 Ah watched EW"
FULL = "the lowest cell? 4.19 V. Enter alone: the charger said full"


def out_answer(session: Session) -> Answer:
    """Every pack out, with how warm they are and what was used."""
    return _asks(session, "packs out", "out", OUT, _out, "")


def _out(desk: Desk, text: str) -> list[Draft]:
    return packing.packs_out(desk, figures_of(desk, text) if text.strip() else packing.NOTHING_READ)


def in_answer(pack_set: str, name: str) -> Answer:
    """The packs of a set in, at once: they were read when they came off the charger."""
    return Answer(f"{name} in", lambda: Write(lambda desk: packing.packs_in(desk, pack_set)))


def in_read_answer(session: Session, pack_set: str) -> Answer:
    """The packs of a set in, with the volts of the lowest cell."""

    def drafts(desk: Desk, text: str) -> list[Draft]:
        return packing.packs_in(desk, pack_set, figures_of(desk, text) if text.strip() else packing.NOTHING_READ)

    return _asks(session, "in, and read", "in", IN, drafts, "")


def read_answer(session: Session, packs: Sequence[str]) -> Answer:
    """Packs read: any figures of them."""
    return _asks(session, "read", "read", READ, reading(packs), "")


def reading(packs: Sequence[str]) -> Drafting:
    """Typed figures as read of these packs."""
    return lambda desk, text: packing.read_packs(desk, packs, figures_of(desk, text))


def charge_answer(session: Session, case: Case, packs: Sequence[str]) -> Answer:
    """Packs on charge; what is known of it already stands on the line."""

    def drafts(desk: Desk, text: str) -> list[Draft]:
        return packing.on_charge(desk, packs, charge_of_text(desk, text))

    doubt = packing.doubt_of(case, packs)
    hint = f"{doubt}. {CHARGE}" if doubt else CHARGE
    return _asks(session, "on charge", "charge", hint, drafts, _expected(session, case, packs), doubt)


def off_answer(session: Session, packs: Sequence[str], to: str) -> Answer:
    """Packs off charge: full, at storage charge, or stopped before."""

    def drafts(desk: Desk, text: str) -> list[Draft]:
        read = figures_of(desk, text) if text.strip() else packing.NOTHING_READ
        if read != packing.NOTHING_READ and read.lowest_v is None:
            raise EntryError("only the volts of the lowest cell are asked for.", "Type: 4.19 V.", "pack")
        return packing.off_charge(desk, packs, to, read.lowest_v, read.instrument)

    hint = FULL if to == "full" else "the lowest cell? 3.80 V. Enter alone: not read"
    return _asks(session, to, to, hint, drafts, "")


def choose_answer(pack_set: str, name: str) -> Answer:
    """A set chosen for the next fight."""
    return Answer(f"choose {name}", lambda: Write(lambda desk: fitting.choose_packs(desk, pack_set)))


def look_answer(packs: Sequence[str]) -> Answer:
    """Packs looked at, and good."""
    return Answer("cases whole, looked at", lambda: Write(lambda desk: looking.look_at(desk, packs)))


def quarantine_answer(packs: Sequence[str]) -> Answer:
    """Packs outside in quarantine."""
    return Answer("quarantine", lambda: Write(lambda desk: packing.quarantined(desk, packs)))


def _expected(session: Session, case: Case, packs: Sequence[str]) -> str:
    """Amperes of the kind, what was used since the last fight, whoever is writing: 8 A 5.2 Ah watched EW."""
    known: list[str] = []
    amps = {rule.current_a for pack in packs if (rule := charging_of(case, pack)) and rule.current_a}
    if len(amps) == 1:
        known.append(show(amps.pop(), "current", "A"))
    used = [found for pack in packs if (found := used_coulomb(case, pack)) is not None]
    if used and len(used) == len(packs):
        known.append(pack_words.charge(max(used)))
    if known and session.by:
        known.append(f"watched {session.by}")
    return " ".join(known)


def warm_till(case: Case, packs: Sequence[str]) -> str:
    """Until when packs are too warm to be charged, and from what on; empty when they are cool."""
    until = [cool for pack in packs if (cool := charge_of(case, pack).cool_at) is not None]
    limits = [rule.cool_k for pack in packs if (rule := charging_of(case, pack)) is not None and rule.cool_k]
    if not until:
        return ""
    above = f" (above {pack_words.heat(min(limits))})" if limits else ""
    return f"warm{above}: let them cool till {at(case, max(until))}"


def empty_of(case: Case, packs: Sequence[str]) -> list[str]:
    """Those of these packs that want charging and may be charged."""
    return [
        pack
        for pack in packs
        if case.put_away(pack) is None and charge_of(case, pack).state in ("used", "not full", "never read")
    ]


def _read_as(desk: Desk, drafts: Sequence[Draft]) -> str:
    """What was read or done to packs, as the log will say it: one reading of several packs once; where they go, not."""
    entries = [draft.entry() for draft in drafts if draft.kind in pack_words.EXTRAS]
    return said(desk.evidence, entries) if entries else ""


def _asks(session: Session, label: str, word: str, hint: str, drafts: Drafting, text: str, doubt: str = "") -> Answer:
    """An answer that asks for figures and logs them; refused while what was typed still stands."""

    def told(typed: str) -> str:
        try:
            desk = session.desk()
            words = _read_as(desk, drafts(desk, typed)) if typed.strip() else ""
            return f"{doubt}. {words}" if doubt and words else words
        except PitcrewError:
            return ""

    def take(typed: str) -> Outcome:
        drafts(session.desk(), typed)
        return Write(lambda desk: drafts(desk, typed))

    return Answer(label, lambda: Ask(word, take, hint, text, told))
