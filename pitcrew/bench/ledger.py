"""What sits where, what it has been through, and how it stands: the rows of a zone, the spares, a part's story."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from itertools import islice
from typing import NamedTuple

from pitcrew.bench import names
from pitcrew.bench.entry_words import GRADES, entry_words, note_words
from pitcrew.bench.standing import View
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import HARDEST, felt_by, looks, stays
from pitcrew.readiness.lives import lives as judged_lives
from pitcrew.readiness.spares import sits
from pitcrew.readiness.stream import merged
from pitcrew.readiness.verdict import WORST_FIRST, Requirement
from pitcrew.readiness.weights import mass_of
from pitcrew.robot.definitions import PartKind, Position
from pitcrew.robot.moments import local
from pitcrew.robot.records import Fact

SPARES = ""
"""The block of parts that sit nowhere on the robot, where a zone's id stands for the others."""

MOST = 40
LOOKED_FROM = {1: "from any hit", 2: "from solid", 3: "from hard only"}


class Life(NamedTuple):
    """How much of a life is used: how many of how many, and of what (fights, hard hits)."""

    used: int
    of: int
    unit: str

    @property
    def share(self) -> float:
        """Used by the whole; at its end or past it, one or more."""
        return self.used / self.of if self.of else 1.0


class Row(NamedTuple):
    """One place with what sits there, or one spare.

    `key` is the place's id, a spare's own. `part` is what sits there (None: empty), `mass_kg` its mass (None: not
    known). `fights` and `hard_hits` are counted while it was fitted, on whatever robot. `lives` are those its kind
    has, the more used one first. `verdict` is the worst of `about`, the requirements of what sits there or counts
    there; empty when there are none. `name` is the place's, of a spare where it is. `beside` says what counts in place
    of what sits there, or what its looks go by.
    """

    key: str
    place: str | None
    part: str | None
    name: str
    part_name: str
    mass_kg: float | None = None
    fights: int = 0
    hard_hits: int = 0
    lives: tuple[Life, ...] = ()
    verdict: str = ""
    blocks: bool = False
    about: tuple[Requirement, ...] = ()
    beside: str = ""


class Ledger:
    """The parts of a robot as last judged. Rows are made when they are first asked for, and kept."""

    def __init__(self, view: View) -> None:
        self.view, self.case = view, view.case
        self._about = _about(view)
        self._rows: dict[str, tuple[Row, ...]] = {}
        self._counts: dict[str, int] = {}
        self._places: dict[str, list[Position]] = {zone: [] for zone in self.case.defs.zones}
        for place in self.case.defs.positions.values():
            self._places.setdefault(place.zone, []).append(place)
        self.blocks = (*self._places, SPARES)

    def rows(self, block: str) -> tuple[Row, ...]:
        """The rows of a zone by its id, or of the spares."""
        if block not in self._rows:
            places = (self._placed(place) for place in self._places.get(block, ()))
            self._rows[block] = tuple(self._spares() if block == SPARES else places)
        return self._rows[block]

    def blocking(self, block: str) -> int:
        """How many rows of a zone block. Spares are asked for at the place they go to."""
        if block not in self._counts:
            places = self._places.get(block, ())
            self._counts[block] = sum(any(item.blocks for item in self._of(place)) for place in places)
        return self._counts[block]

    def block_of(self, ident: str) -> str | None:
        """The zone in which a place or a part is, by its id; the spares for a part that sits nowhere here."""
        if ident in self._places:
            return ident
        place = ident if ident in self.case.defs.positions else sits_at(self.case, ident)
        if place in self.case.defs.positions:
            return self.case.zone_of(place)
        return SPARES if self.case.part(ident) is not None else None

    def key_of(self, ident: str) -> str:
        """The key of the row at which a place or a part stands."""
        place = sits_at(self.case, ident) if ident not in self.case.defs.positions else ident
        return place if place is not None and place in self.case.defs.positions else ident

    def _of(self, place: Position) -> list[Requirement]:
        counted = self.case.at_position(place) if place.role != "pack" else None
        keys = dict.fromkeys(filter(None, (place.id, self.case.occupant(place.id), counted)))
        found = {item.key: item for key in keys for item in self._about.get(key, ())}
        return list(found.values())

    def _placed(self, place: Position) -> Row:
        part = self.case.occupant(place.id)
        counted = self.case.at_position(place) if place.role != "pack" else part
        beside = ""
        if counted != part:
            fight = self.case.fight()
            entered = names.configuration_name(self.case, str(fight.detail["configuration"])) if fight else "?"
            beside = f"{entered} has {names.part_name(self.case, counted) if counted else 'nothing'}"
        return self._row(place.id, place.id, part, place.name, self._of(place), beside)

    def _spares(self) -> Iterator[Row]:
        for fact in self.case.evidence.definitions("part", self.case.robot):
            if sits_at(self.case, fact.subject) is None:
                about = self._about.get(fact.subject, [])
                yield self._row(fact.subject, None, fact.subject, whereabouts_words(self.case, fact.subject), about)

    def _row(
        self, key: str, place: str | None, part: str | None, name: str, about: list[Requirement], beside: str = ""
    ) -> Row:
        top = worst(about)
        row = Row(key, place, part, name, "", about=tuple(about), beside=beside)
        if top is not None:
            row = row._replace(verdict=top.verdict, blocks=top.blocks)
        if part is None:
            return row
        kind, mass = self.case.kind(part), mass_of(self.case, part)
        return row._replace(
            part_name=names.part_name(self.case, part),
            mass_kg=mass.reading.value if mass else None,
            fights=fights(self.case, part),
            hard_hits=hard_hits(self.case, part),
            lives=lives_of(self.case, part),
            beside=beside or (_looked_by(kind) if kind else ""),
        )


def _looked_by(kind: PartKind) -> str:
    return "own look" if kind.look == "own" else LOOKED_FROM.get(kind.look_from, "")


def _about(view: View) -> dict[str, list[Requirement]]:
    """Requirements about parts and places, by the id of what they are about."""
    case = view.case
    found: dict[str, list[Requirement]] = {}
    for item in view.standing.requirements:
        for key in _subjects(case, item):
            found.setdefault(key, []).append(item)
    return found


def _subjects(case: Case, item: Requirement) -> Iterator[str]:
    """The ids of the parts and places a requirement is about."""
    if item.group in ("look", "empty", "life"):
        yield item.subject
    elif item.group == "limit":
        yield item.subject.rpartition("/")[0]
    elif item.group == "finding":
        fact = case.evidence.speaking(item.subject)
        if fact is not None:
            yield fact.subject
            if fact.subject not in case.scope():
                yield str(fact.detail["position"])
    elif item.group == "configuration" and item.verdict != "pass":
        for place in case.defs.positions.values():
            if place.role == "module" and case.at_position(place) != case.occupant(place.id):
                yield place.id


def worst(items: Iterable[Requirement]) -> Requirement | None:
    """The requirement that is said of several: what blocks before what does not, then the worst verdict."""
    return min(items, key=lambda item: (not item.blocks, WORST_FIRST.index(item.verdict)), default=None)


def sits_at(case: Case, part: str) -> str | None:
    """The place at which a part sits now, on this robot or another; None when it is off."""
    return sits(case, part)


def whereabouts_words(case: Case, part: str) -> str:
    """Where a part that sits nowhere is: spares, quarantine, scrapped, lost; never fitted ones are spares too."""
    last = case.whereabouts(part).first()
    if last is None:
        return "spares, never in"
    return str(last.detail.get("to", "spares"))


def fights(case: Case, part: str) -> int:
    """How many fights ended while a part was fitted, on whatever robot, and those it had when it was entered."""
    record = case.part(part)
    return ((record.fights if record else None) or 0) + sum(1 for _ in fought(case, part))


def fought(case: Case, part: str) -> Iterator[Fact]:
    """Ends of the fights a part was fitted in, newest first."""
    for _, robot, since, until in stays(case, part):
        if robot is None:
            continue
        ends = case.stream("ends of", robot, of=partial(case.evidence.last_fights_ended, robot))
        for end in ends:
            if end.order <= since.order:
                break
            if until is None or end.order < until.order:
                yield end


def hard_hits(case: Case, part: str) -> int:
    """How many blows a part felt hard, wherever it sat, and those it had when it was entered; one blow counts once."""
    record = case.part(part)
    return ((record.hard_hits if record else None) or 0) + len({hit.entry.act for hit in felt_by(case, part, HARDEST)})


def lives_of(case: Case, part: str) -> tuple[Life, ...]:
    """The lives that a part has, as they are judged, the more used one first."""
    kind = case.kind(part)
    found = [Life(life.used(), life.of, life.unit) for life in judged_lives(case, part, kind)] if kind else []
    return tuple(sorted(found, key=lambda life: -life.share))


def used_words(case: Case, part: str) -> str:
    """The most used of a part's lives, such as 2 of 3 hard hits; empty for one that is not used, or has no life."""
    top = next(iter(lives_of(case, part)), None)
    return f"{top.used} of {top.of} {top.unit}" if top is not None and top.used else ""


def is_used_up(case: Case, part: str) -> bool:
    """Is any of a part's lives used up?"""
    return any(life.used >= life.of for life in lives_of(case, part))


# a part's story


class Told(NamedTuple):
    """One line of a story: when (with its day if it was another one), who, what, and the entry's number."""

    when: str
    by: str
    words: str
    n: int | None


def story(case: Case, part: str, most: int = MOST) -> list[Told]:
    """What a part has been through, newest first: in, out, fights, hits of its grade, looks, findings, weighings."""
    found = islice(_happened(case, part), most)
    return [Told(when(case, f.happened), f.entry.by, _told(case, f), f.entry.n) for f in found]


def _happened(case: Case, part: str) -> Iterator[Fact]:
    kind = case.kind(part)
    seen = looks(case, part, kind) if kind else merged(case.facts("looked_at", part), case.facts("finding", part))
    mends = [
        case.facts(done, finding.root) for finding in case.facts("finding", part) for done in ("mended", "deferred")
    ]
    blows = _blows(case, part, kind.look_from if kind else 1)
    kinds = ("symptom", "part_weighed", "bench_tested", "rewired", "reprogrammed")
    others = (case.whereabouts(part), *(case.facts(kind_of, part) for kind_of in kinds))
    return merged(fought(case, part), *others, seen, *mends, blows)


def _blows(case: Case, part: str, least: int) -> list[Fact]:
    """The blows a part felt, newest first; of one that was raised, the hardest hit."""
    hardest: dict[str, Fact] = {}
    for hit in felt_by(case, part, least):
        known = hardest.get(hit.entry.act)
        if known is None or (hit.entry.grade or 0) > (known.entry.grade or 0):
            hardest[hit.entry.act] = hit
    return sorted(hardest.values(), key=lambda hit: hit.order, reverse=True)


def _told(case: Case, fact: Fact) -> str:
    entry = fact.entry
    kind, place = entry.kind, case.position(entry.place) if entry.place else None
    note = note_words(entry)
    if kind == "fitted":
        said = f"in{f' at {place[0].name}' if place else ''}{', new' if fact.detail.get('new') else ''}"
    elif kind == "removed":
        said = f"out to {fact.detail.get('to', 'spares')}"
    elif kind == "hit":
        grade, zone = GRADES.get(entry.grade or 0, "a"), names.zone_name(case, fact.subject)
        said = f"felt {grade} hit {fact.detail['source']}, {zone}"
    elif kind == "fight_ended":
        return f"fought {names.fight_name(case, fact.subject)}"
    elif kind == "looked_at":
        said = "looked at"
    elif kind == "mended":
        said = f"put right: {fact.detail['how']}"
    elif kind == "looked_over":
        said = f"looked over with {names.zone_name(case, fact.subject)}"
    else:
        said = entry_words(entry)
    return f"{said} {note}".rstrip()


def when(case: Case, ms: int) -> str:
    """A moment as hours and minutes in the event's zone, with month and day before it when it was another day."""
    zone = case.defs.event.time_zone if case.defs.event else "UTC"
    moment = local(ms, zone)
    return moment.strftime("%H:%M" if moment.date() == local(case.now, zone).date() else "%m-%d %H:%M")


def before(case: Case, place: str, most: int = 2) -> list[str]:
    """What sat at a place before what sits there now, newest first: its fights, hard hits, why and when it went."""
    here = case.occupant(place)
    said: dict[str, str] = {}
    for fact in case.placed(place):
        part = fact.subject
        if fact.entry.kind == "removed" and part != here and part not in said:
            said[part] = _left(case, fact)
            if len(said) == most:
                break
    return list(said.values())


def _left(case: Case, out: Fact) -> str:
    part = out.subject
    found = [str(finding.detail["what"]) for finding in case.facts("finding", part)]
    parts = [
        f"{counted(fights(case, part), 'fight')}, {counted(hard_hits(case, part), 'hard hit')}",
        *([f"found {', '.join(dict.fromkeys(found))}"] if found else []),
        f"out {when(case, out.happened)} to {out.detail.get('to', 'spares')}",
    ]
    number = f" #{out.entry.n}" if out.entry.n is not None else ""
    return f"{names.part_name(case, part)}: {'; '.join(parts)}{number}"


def counted(count: int, one: str) -> str:
    """So many of something: 1 fight, 2 fights."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def of_its_kind(case: Case, part: str) -> list[str]:
    """The names of parts of the same kind that are off the robot and not put away, with what is used of their lives."""
    record = case.part(part)
    if record is None:
        return []
    named = []
    for fact in case.evidence.definitions("part", case.robot):
        other = fact.subject
        alike = fact.detail["part_kind"] == record.part_kind and other != part
        if alike and sits_at(case, other) is None and case.put_away(other) is None:
            used = used_words(case, other)
            named.append(f"{fact.detail['name']} ({used})" if used else str(fact.detail["name"]))
    return named
