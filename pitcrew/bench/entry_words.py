"""One entry of the logbook in words, by its kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pitcrew.bench import pack_words
from pitcrew.bench.signing_words import signed_name
from pitcrew.robot.kinds import DEFINITION_KINDS, KINDS
from pitcrew.robot.records import Entry, Evidence
from pitcrew.units import show

SHOWN = {
    "value_m": ("length", "mm"),
    "value_kg": ("mass", "kg"),
    "torque_nm": ("torque", "N m"),
    "value_m_s": ("speed", "m/s"),
}
GRADES = {1: "light", 2: "solid", 3: "hard"}
NAMED_BY_ID: Mapping[str, tuple[str, ...]] = {
    "fitted": ("part",),
    "removed": ("part",),
    "part_weighed": ("part",),
    "looked_at": ("part",),
    "symptom": ("part",),
    "finding": ("part",),
    "bench_tested": ("part", "robot"),
    "pack_read": ("part",),
    "charge_started": ("part",),
    "charge_ended": ("part",),
    "stocked": ("stock",),
    "worked": ("part",),
    "rewired": ("part", "robot"),
    "reprogrammed": ("part", "robot"),
    "direct": ("stack",),
    "torqued": ("joint",),
    "opened": ("joint",),
    "marks_good": ("joint",),
    "looked_over": ("zone",),
    "hand_checked": ("zone",),
    "hit": ("zone",),
    "weighed": ("configuration",),
    "tip_speed": ("configuration",),
    "declared": ("configuration",),
    "entered": ("entered",),
    "fight_started": ("entered",),
    "fight_ended": ("entered",),
    "fight_left": ("entered",),
    "mended": (),
    "deferred": (),
}


def entry_words(entry: Entry) -> str:
    """What an entry says, before the name of what it is about and without its note."""
    said = KINDS[entry.kind].says
    extra = EXTRAS.get(entry.kind, _nothing)(entry, entry.detail)
    return " ".join(part for part in (said, extra) if part)


def note_words(entry: Entry) -> str:
    """An entry's note, set apart; a note that is all there is stands by itself."""
    note = str(entry.detail.get("note") or "")
    return f"({note})" if note else ""


def _nothing(entry: Entry, detail: Mapping[str, Any]) -> str:
    return ""


def _typed(entry: Entry, detail: Mapping[str, Any]) -> str:
    typed = str(detail.get("typed") or "")
    if any(not (letter.isdigit() or letter in "+-., /") for letter in typed):
        return typed
    # A bare number as typed would not say what it counts.
    figures = (show(float(detail[name]), *shown) for name, shown in SHOWN.items() if detail.get(name) is not None)
    return _as_read(next(figures, ""), typed) or typed


def _as_read(shown: str, typed: str) -> str:
    """A figure with its unit, to the digits that were read off and typed: 0.20 is not 0.2."""
    figure, _, unit = shown.partition(" ")
    number = _number(typed)
    return f"{typed} {unit}" if number is not None and _number(figure) == number else shown


def _number(text: str) -> float | None:
    return float(text) if text.isascii() and text.replace(".", "", 1).isdigit() else None


def _torqued(entry: Entry, detail: Mapping[str, Any]) -> str:
    listed = detail["fasteners"]
    which = "" if listed == "all" else " ".join(f"#{number}" for number in listed)
    second = f"with {detail['second']}" if detail.get("second") else ""
    return " ".join(part for part in (_typed(entry, detail), which, second) if part)


def _hit(entry: Entry, detail: Mapping[str, Any]) -> str:
    unsure = ", not sure" if entry.place else ""
    return f"{GRADES.get(entry.grade or 0, '?')} {detail['source']}{unsure}"


def _opened(entry: Entry, detail: Mapping[str, Any]) -> str:
    listed = detail["fasteners"]
    return "" if listed == "all" else " ".join(f"#{number}" for number in listed)


def _direct(entry: Entry, detail: Mapping[str, Any]) -> str:
    if detail.get("value_m") is not None:
        return _typed(entry, detail)
    goes, stops = detail.get("goes_m"), detail.get("stops_m")
    said = [f"{show(goes, 'length', 'mm')} goes"] if goes is not None else []
    said += [f"{show(stops, 'length', 'mm')} does not"] if stops is not None else []
    return ", ".join(said)


EXTRAS: dict[str, Callable[[Entry, Mapping[str, Any]], str]] = {
    "reading": lambda entry, detail: f"{detail['dimension']} {_typed(entry, detail)}",
    "direct": _direct,
    "opened": _opened,
    "hand_checked": lambda entry, detail: "a sign" if detail["sign"] else "no sign",
    "part_weighed": _typed,
    "weighed": _typed,
    "tip_speed": _typed,
    "torqued": _torqued,
    "hit": _hit,
    "removed": lambda entry, detail: f"to {detail['to']}",
    "stocked": lambda entry, detail: f"{detail['how']} {detail['count']}",
    "finding": lambda entry, detail: str(detail["what"]),
    "mended": lambda entry, detail: str(detail["how"]),
    "worked": lambda entry, detail: f"{detail['how']}:",
    "answered": lambda entry, detail: str(detail["answer"]),
    "robot": lambda entry, detail: "signed for before each fight:" if detail.get("sign_off") else "",
    "shift": lambda entry, detail: "begins:" if detail["on"] else "ends:",
    "declared": lambda entry, detail: "" if detail["declared"] else "withdrawn:",
    "fight_ended": lambda entry, detail: str(detail.get("result") or ""),
    "reprogrammed": lambda entry, detail: "in the transmitter for" if entry.subject == entry.robot else "",
    **pack_words.EXTRAS,
}


def subject_name(evidence: Evidence, entry: Entry) -> str:
    """The name of what an entry is about."""
    if entry.kind in DEFINITION_KINDS:
        return str(entry.detail.get("name", entry.subject))
    if entry.kind == "answered":
        return entry.subject.split("/", 1)[-1].replace("/", ": ")
    if entry.kind == "chosen":
        return _name(evidence, ("pack_set",), str(entry.detail["pack_set"]))
    if entry.kind == "signed":
        return signed_name(evidence, entry)
    if entry.kind == "shift":
        return entry.subject
    if entry.kind in ("mended", "deferred"):
        return _finding(evidence, entry.subject)
    if entry.kind == "reading":
        return _name(evidence, ("part", "robot"), str(entry.detail["of"]))
    name = _name(evidence, NAMED_BY_ID.get(entry.kind, ()), entry.subject)
    if entry.kind == "stocked" and entry.detail.get("where"):
        where = str(entry.detail["where"])
        return f"{name} for {_name(evidence, ('joint', 'position'), where) or where}"
    place = _name(evidence, ("position",), entry.place) if entry.place else ""
    return f"{name} at {place}" if place and name else name


def _name(evidence: Evidence, kinds: tuple[str, ...], ident: str) -> str:
    for kind in kinds:
        fact = next(evidence.facts(kind, ident), None)
        if fact is not None:
            return str(fact.detail.get("name", ident))
    return ""


def _finding(evidence: Evidence, root: str) -> str:
    fact = evidence.speaking(root)
    if fact is None:
        return ""
    return f"{_name(evidence, ('position',), str(fact.detail['position']))}: {fact.detail['what']}"
