"""Putting a line right: a correction that names it, a withdrawal, a note. Nothing is ever erased."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pitcrew.bench import pack_words
from pitcrew.bench.desk import Desk
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.records import Entry, Fact
from pitcrew.text import clean
from pitcrew.units import read, show

FIGURES = {
    "reading": ("value_m", "length", "mm"),
    "direct": ("value_m", "length", "mm"),
    "part_weighed": ("value_kg", "mass", "kg"),
    "weighed": ("value_kg", "mass", "kg"),
    "torqued": ("torque_nm", "torque", "N m"),
    "part": ("mass_kg", "mass", "kg"),
}
GRADES = {"light": 1, "solid": 2, "hard": 3}
NONE_AGAIN: Mapping[str, str] = {}
WORDS = {"answered": "answer", "fight_ended": "result", "finding": "what", "mended": "how"}


def correct(desk: Desk, entry_id: str, changes: Mapping[str, Any], note: str = "") -> list[Draft]:
    """Write a line again with some fields changed; it speaks at the place of the old one and never freshens it.

    It stays under the act of what it corrects.

    `changes` names columns (subject, place, grade, happened) or fields of the detail; None takes a field out.
    """
    fact = _live(desk, entry_id)
    entry = fact.entry
    columns = {name: changes[name] for name in ("subject", "place", "grade", "happened") if name in changes}
    fields = {**entry.detail, **{k: v for k, v in changes.items() if k not in columns}}
    if note:
        fields["note"] = clean(note)
    return [
        Draft(
            kind=entry.kind,
            subject=columns.get("subject", entry.subject),
            by=desk.by,
            robot=entry.robot,
            place=columns.get("place", entry.place),
            grade=columns.get("grade", entry.grade),
            replaces=entry.id,
            detail={name: value for name, value in fields.items() if value is not None},
            happened=entry.happened if columns.get("happened") is None else columns["happened"],
            act=entry.act,
        )
    ]


def withdraw(desk: Desk, entry_id: str, note: str = "") -> list[Draft]:
    """Take a line out, for ever; it stays readable and no longer counts."""
    fact = _live(desk, entry_id)
    return [_withdrawn(desk, fact, note)]


def withdraw_act(desk: Desk, act: str, note: str = "") -> list[Draft]:
    """Take out everything one act wrote."""
    facts = desk.evidence.act(act)
    if not facts:
        raise EntryError("nothing of that act stands.", "Pick a line that still counts.", "withdraw")
    return [_withdrawn(desk, fact, note) for fact in facts]


def taken_back(
    desk: Desk,
    entries: Sequence[Entry],
    read: Callable[[str], Entry | None],
    again: Mapping[str, str] = NONE_AGAIN,
) -> list[Draft]:
    """What undoes these entries: new ones are withdrawn, a correction is corrected to what it replaced.

    Args:
        desk: who takes them back.
        entries: what was written in one go; those that do not count any more are passed over.
        read: gives an entry by its id.
        again: ids of entries with those that say the same again, since what had replaced them was taken back.

    Raises:
        EntryError: a withdrawal is among them, which is final.
    """
    drafts: list[Draft] = []
    for entry in entries:
        if entry.kind == "withdrawn":
            raise EntryError("a withdrawal is final.", "Write the line anew.", "undo")
        fact, said_by = desk.evidence.speaking(entry.id), entry.id
        while said_by in again:
            said_by = again[said_by]
        if fact is None or fact.id != said_by:
            continue
        before = read(entry.replaces) if entry.replaces else None
        drafts.append(_withdrawn(desk, fact, "taken back") if before is None else _as_before(desk, entry, before))
    return drafts


def _as_before(desk: Desk, entry: Entry, before: Entry) -> Draft:
    columns = {
        name: getattr(before, name) for name in ("subject", "robot", "place", "grade", "detail", "happened", "act")
    }
    return Draft(kind=entry.kind, by=desk.by, replaces=entry.id, **columns)


def _withdrawn(desk: Desk, fact: Fact, note: str) -> Draft:
    detail = {"note": clean(note)} if note else {}
    return Draft(
        kind="withdrawn",
        subject=fact.subject,
        by=desk.by,
        robot=fact.entry.robot,
        replaces=fact.root,
        detail=detail,
        happened=desk.happened,
    )


def _live(desk: Desk, entry_id: str) -> Fact:
    fact = desk.evidence.speaking(entry_id)
    if fact is None:
        raise EntryError("that line was withdrawn, or is not in the book.", "Pick one that counts.", "line")
    return fact


def note(desk: Desk, text: str) -> list[Draft]:
    """A note about the robot."""
    return [desk.draft("note", desk.robot, {"note": clean(text)})]


def said(entry: Entry) -> str:
    """What of an entry can be put right by typing it anew, as it was typed; empty where only withdrawing helps."""
    if entry.kind in FIGURES:
        name, dimension, unit = FIGURES[entry.kind]
        value = entry.detail.get(name)
        typed = str(entry.detail.get("typed") or "")
        return typed or (show(float(value), dimension, unit) if value is not None else "")
    if entry.kind in pack_words.AGAIN:
        return pack_words.AGAIN[entry.kind](entry.detail)
    if entry.kind == "hit":
        return next((word for word, grade in GRADES.items() if grade == entry.grade), "")
    return str(entry.detail.get(WORDS.get(entry.kind, "note")) or "")


def correct_as(desk: Desk, entry_id: str, text: str, note: str = "") -> list[Draft]:
    """Put a line right by what it should have said: its figure, the grade of a hit, its words.

    Raises:
        EntryError: the line does not count any more, or the text is not what such a line holds.
    """
    entry, typed = _live(desk, entry_id).entry, clean(text).strip()
    if entry.kind in pack_words.AGAIN and typed:
        from pitcrew.bench.pack_lines import corrected

        return correct(desk, entry_id, corrected(desk, entry, typed), note)
    return correct(desk, entry_id, _changes(entry, typed), note)


def _changes(entry: Entry, text: str) -> dict[str, Any]:
    if not text:
        raise EntryError("nothing was typed.", "Type what the line should say, or withdraw it.", "correct")
    if entry.kind in FIGURES:
        name, dimension, unit = FIGURES[entry.kind]
        quantity = read(text, expect=dimension, bare_unit=unit, subject="the line")
        if entry.kind == "direct":
            # A figure read takes the place of what a feeler said.
            return {name: quantity.si, "typed": quantity.typed, "goes_m": None, "stops_m": None}
        if entry.kind == "part":
            return {name: quantity.si}
        return {name: quantity.si, "typed": quantity.typed}
    if entry.kind == "hit":
        if text.casefold() not in GRADES:
            raise EntryError(f"{text!r:.30} is no grade of a hit.", "Type light, solid or hard.", "correct")
        return {"grade": GRADES[text.casefold()]}
    return {WORDS.get(entry.kind, "note"): text}
