"""What a driver says after a fight, and the parts each word points at.

Which part a symptom points at: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from pitcrew.bench import correcting, looking, words
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, fitting, name_words, place_name
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import looks
from pitcrew.robot.definitions import Zone
from pitcrew.robot.records import Fact
from pitcrew.text import clean


class Symptom(NamedTuple):
    """One thing a driver says, and words of the sorts of part it points at, the likeliest first."""

    words: str
    sorts: tuple[str, ...]


SYMPTOMS = (
    Symptom("pulls to one side", ("drive motor", "gearbox", "chain", "drive ESC", "wheel", "hub")),
    Symptom("weapon slow", ("belt", "weapon motor", "weapon ESC", "bearing", "pulley")),
    Symptom("weapon stopped", ("weapon motor", "weapon ESC", "belt", "bearing")),
    Symptom("no drive", ("drive ESC", "drive motor", "gearbox", "chain", "receiver")),
    Symptom("cut out", ("switch", "loom", "pack", "receiver")),
    Symptom("radio lost", ("receiver", "loom")),
    Symptom("smoke", ("drive ESC", "weapon ESC", "ESC", "drive motor", "weapon motor", "pack")),
    Symptom("heat", ("pack", "drive motor", "weapon motor", "ESC")),
    Symptom("noise", ("gearbox", "bearing", "chain", "hub")),
    Symptom("lost a part", ("armour", "wheel", "bumper", "plate")),
)


class Where(NamedTuple):
    """A side or a zone that a symptom may come from, with the parts there that it points at, by id and place."""

    name: str
    parts: tuple[tuple[str, str], ...]


def wheres(case: Case, symptom: Symptom) -> list[Where]:
    """Where a symptom may come from: right, left, or a zone; the place of the likeliest sort of part first."""
    return case.once("where", symptom.words, of=lambda: _wheres(case, symptom))


def _wheres(case: Case, symptom: Symptom) -> list[Where]:
    grouped: dict[str, dict[str, str]] = {}
    scope = case.scope()
    for sort in symptom.sorts:
        for part, position in scope.items():
            kind, place, record = case.kind(part), case.defs.positions.get(position or ""), case.part(part)
            name = place.name if place else record.name if record else part
            if sort.casefold() in f"{kind.name if kind else ''} {name}".casefold():
                zone = case.defs.zones.get(place.zone) if place else None
                grouped.setdefault(_side(name, zone), {}).setdefault(part, name)
    return [Where(name, tuple(parts.items())) for name, parts in grouped.items()]


def _side(name: str, zone: Zone | None) -> str:
    words = name.casefold().replace("(", " ").replace(")", " ").split()
    title = zone.title.casefold() if zone else ""
    for letter, side in (("l", "left"), ("r", "right")):
        if letter in words or (title.startswith("drive") and side in title):
            return side
    return zone.title or zone.name if zone else "packs"


# what was said


class Said(NamedTuple):
    """One thing the driver said: what, and a fact for each part it points at; `done` has the parts looked at since.

    A part that is no longer on the robot is done: it is looked at where it comes back in.
    """

    what: str
    facts: tuple[Fact, ...]
    done: frozenset[str]

    @property
    def key(self) -> str:
        """What it goes by on a list: its first line."""
        return self.facts[0].root

    @property
    def open(self) -> tuple[Fact, ...]:
        """What still wants a look."""
        return tuple(fact for fact in self.facts if fact.subject not in self.done)


def said_now(case: Case) -> tuple[Said, ...]:
    """What the driver said since the last fight ended, and whatever of before still wants a look; in its order."""
    return case.once("said", of=lambda: tuple(_said_now(case)))


def _said_now(case: Case) -> Iterator[Said]:
    end = case.ends().first()
    grouped: dict[tuple[str, str], list[Fact]] = {}
    for part in (fact.subject for fact in case.evidence.definitions("part", case.robot)):
        for fact in case.facts("symptom", part):
            if end is None or fact.happened >= end.happened or not _looked(case, fact):
                grouped.setdefault((fact.entry.act, str(fact.detail.get("note") or "")), []).append(fact)
    for (_, what), facts in sorted(grouped.items(), key=lambda item: min(fact.order for fact in item[1])):
        ordered = tuple(sorted(facts, key=lambda fact: fact.order))
        yield Said(what, ordered, frozenset(fact.subject for fact in ordered if _looked(case, fact)))


def _looked(case: Case, said: Fact) -> bool:
    kind = case.kind(said.subject)
    if kind is None or said.subject not in case.scope():
        return True
    return case.uncleared([said], looks(case, said.subject, kind)) is None


def said_words(case: Case, said: Said) -> tuple[str, str]:
    """Which parts want a look because of it, and which were looked at since, each with when; either may be empty."""
    left = ", ".join(place_name(case, fact.subject) for fact in said.open)
    done = [_done_words(case, fact) for fact in said.facts if fact.subject in said.done]
    return left, ", ".join(done)


def _done_words(case: Case, said: Fact) -> str:
    kind = case.kind(said.subject)
    look = looks(case, said.subject, kind).first() if kind is not None and said.subject in case.scope() else None
    when = f" {words.at(case, look.happened)}" if look is not None and look.order > said.order else " (off the robot)"
    return f"{place_name(case, said.subject)}{when}"


def unsay(desk: Desk, said: Said) -> list[Draft]:
    """Take back what the driver was said to have said, for every part it pointed at."""
    return [draft for fact in said.facts for draft in correcting.withdraw(desk, fact.id)]


# what is typed


def says(desk: Desk, text: str, where: str = "") -> list[Draft]:
    """What the driver says in words of his own; the parts are named in them, after `at`, or in `where`.

    `whines at gearbox L`, `gearbox L whines`, `rubs at wheel 1, wheel 3`; a listed word with its side goes to all it
    points at: `weapon slow`, `pulls to one side left`.

    Raises:
        EntryError: nothing was typed, or no part is named that the robot has.
    """
    said = " ".join(clean(text).split())
    if not said:
        raise EntryError("nothing was typed.", "Type what the driver says: says whines at gearbox L.", "says")
    case = desk.case()
    what, _, named = said.partition(" at ")
    what, named = (said, where) if where else (what, named)
    listed = _listed(case, said) if not named else None
    if listed is not None:
        return looking.driver_says(desk, [part for part, _ in listed[1].parts], f"{listed[0].words}, {listed[1].name}")
    if named:
        places = [find(name.strip(), _sitting(case), "part") for name in named.split(",") if name.strip()]
        return looking.driver_says(desk, list(dict.fromkeys(places)), what)
    inside = _inside(case, said)
    if not inside:
        raise EntryError("say which part it may be.", f"Type: says {said:.30} at gearbox L.", "says")
    return looking.driver_says(desk, inside, said)


def _listed(case: Case, said: str) -> tuple[Symptom, Where] | None:
    """A word of the list that was typed, with where: the only place there is, or the one named behind it."""
    wanted = name_words(said)
    for symptom in SYMPTOMS:
        begins = name_words(symptom.words)
        if wanted[: len(begins)] == begins:
            rest, found = wanted[len(begins) :], wheres(case, symptom)
            fits = fitting(" ".join(rest), ((where, where.name) for where in found)) if rest else found
            return (symptom, fits[0]) if len(fits) == 1 else None
    return None


def _sitting(case: Case) -> list[tuple[str, str]]:
    """Parts that count by id, with the names of their places and their own."""
    found = []
    for part, place in case.scope().items():
        position, record = case.defs.positions.get(place or ""), case.part(part)
        found += [(part, position.name)] if position is not None else []
        found += [(part, record.name)] if record is not None else []
    return found


def _inside(case: Case, said: str) -> list[str]:
    """The parts whose whole name stands in what was said, word beside word; the longest name counts."""
    typed = name_words(said)
    fits: dict[str, int] = {}
    for part, name in _sitting(case):
        wanted = name_words(name)
        if any(typed[start : start + len(wanted)] == wanted for start in range(len(typed))):
            fits[part] = max(fits.get(part, 0), len(wanted))
    return [part for part, length in fits.items() if length == max(fits.values())]
