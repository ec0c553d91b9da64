"""What would stand if something were written: the book's evidence with drafts laid over it, and nothing written."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from pitcrew.bench.remembering import GROUNDS, MOVES
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import line_key
from pitcrew.readiness.felt import stays
from pitcrew.readiness.findings import half_replaced, unfelt
from pitcrew.readiness.signing import GROUP, signature
from pitcrew.readiness.stacks import key_of
from pitcrew.robot.definitions import gather
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry, Evidence, Fact, Order

# A hit that nobody saw is read off a part that is bent or cracked.
UNSEEN, SHOW_A_HIT = "no hit seen", frozenset(("bent", "cracked"))

# What drafts without an id of their own go by; no book gives such ids.
SUPPOSED = "supposed"

Test = Callable[[Fact], bool]


class _Line(NamedTuple):
    """A line the drafts touch: the fact that spoke for it in the book, and the one that would speak for it now."""

    was: Fact | None
    speaks: Fact | None


class Supposed:
    """The evidence as if these drafts had just been written as one act; the book knows nothing of it.

    `now` (ms UTC) is the moment of writing, not before the newest entry; `writer` is who would write. What is
    supposed stands after everything else. The drafts are such as the book would take.

    `whole` is false when an answer may lack something: a draft puts right the finding or the hand check that a
    hit was written because of, which did not count so far. Evidence hides such a hit, so that nobody here can say
    whether there is one; a scratch copy of the book can.

    Raises:
        EntryError: a draft corrects or withdraws a line that does not count.
    """

    def __init__(self, evidence: Evidence, drafts: Sequence[Draft], now: int, writer: str) -> None:
        self._base = evidence
        self._lines: dict[str, _Line] = {}
        self._roots: dict[str, str] = {}
        for place, draft in enumerate(drafts):
            if draft.id is None or evidence.speaking(draft.id) is None:
                self._take(draft.entry(f"{SUPPOSED} {place}", SUPPOSED, now + 1 + place, now, writer))
        self._unsettles = any(_is_ground(line.was) for line in self._lines.values())
        self.whole = not any(_is_ground(line.was) and _grows(line) for line in self._lines.values())
        new = [line.speaks for line in self._lines.values() if line.speaks is not None and self._counts(line.speaks)]
        self._new = sorted(new, key=_order, reverse=True)
        self._changed = [*self._new, *(line.was for line in self._lines.values() if line.was is not None)]

    @property
    def defines(self) -> bool:
        """Would anything be defined otherwise than it is?"""
        return any(fact.entry.kind in DEFINITION_KINDS for fact in self._changed)

    def _take(self, entry: Entry) -> None:
        """Lay one entry over its line."""
        if entry.replaces is None:
            self._roots[entry.id] = entry.id
            self._lines[entry.id] = _Line(None, Fact(entry, entry.tick, entry.writer, entry.id))
            return
        root = self._roots.get(entry.replaces)
        if root is None:
            was = self._base.speaking(entry.replaces)
            root = was.root if was is not None else ""
            self._lines.setdefault(root, _Line(was, was))
        line = self._lines[root]
        if line.speaks is None:
            raise EntryError("that line was withdrawn, or is not in the book.", "Pick one that counts.", "line")
        self._roots[entry.id] = root
        speaks = None if entry.kind == "withdrawn" else line.speaks._replace(entry=entry)
        self._lines[root] = line._replace(speaks=speaks)

    # what is asked

    def facts(self, kind: str, subject: str, upto: int | None = None) -> Iterator[Fact]:
        """Facts of a kind about a subject, newest first; with `upto`, none that happened after it."""
        return self._run(
            self._base.facts(kind, subject, upto),
            lambda fact: fact.entry.kind == kind and fact.subject == subject and _by(fact, upto),
            self._unsettles and kind == "hit",
        )

    def placed(self, place: str, upto: int | None = None) -> Iterator[Fact]:
        """Fittings and removals at a position, newest first."""
        return self._run(
            self._base.placed(place, upto),
            lambda fact: fact.entry.kind in MOVES and fact.entry.place == place and _by(fact, upto),
        )

    def at_place(self, kind: str, place: str) -> Iterator[Fact]:
        """Facts of a kind at a place, newest first."""
        return self._run(
            self._base.at_place(kind, place),
            lambda fact: fact.entry.kind == kind and fact.entry.place == place,
            self._unsettles and kind == "hit",
        )

    def hits(self, zone: str, least: int, upto: int | None = None) -> Iterator[Fact]:
        """Hits on a zone of at least this grade, newest first; with `upto`, none that happened after it."""

        def asked(fact: Fact) -> bool:
            entry = fact.entry
            return entry.kind == "hit" and fact.subject == zone and (entry.grade or 0) >= least and _by(fact, upto)

        return self._run(self._base.hits(zone, least, upto), asked, self._unsettles)

    def fights_ended(self, robot: str, after: int) -> Iterator[Fact]:
        """Ends of fights that happened at or after a moment, oldest first."""

        def asked(fact: Fact) -> bool:
            return _ends(fact, robot) and fact.happened >= after

        found = self._base.fights_ended(robot, after)
        if not any(map(asked, self._changed)):
            return found
        new = [fact for fact in reversed(self._new) if asked(fact)]
        return heapq.merge(filter(self._stays, found), new, key=_order)

    def last_fights_ended(self, robot: str) -> Iterator[Fact]:
        """Ends of fights, newest first."""
        return self._run(self._base.last_fights_ended(robot), lambda fact: _ends(fact, robot))

    def act(self, act: str) -> tuple[Fact, ...]:
        """Every fact of one act, in their order."""
        found = self._run(reversed(self._base.act(act)), lambda fact: fact.entry.act == act, self._unsettles)
        return tuple(found)[::-1]

    def speaking(self, entry_id: str) -> Fact | None:
        """The fact that speaks for the line of this entry, or None when the line is withdrawn or unknown."""
        fact = self._speaks(entry_id)
        return fact if fact is not None and self._counts(fact) else None

    def definitions(self, kind: str, robot: str | None) -> tuple[Fact, ...]:
        """Definitions of a kind for one robot (or for the whole book), one a subject: the latest that counts.

        In the order in which their subjects were first defined.
        """

        def asked(fact: Fact) -> bool:
            return fact.entry.kind == kind and fact.entry.robot == robot

        found = self._base.definitions(kind, robot)
        touched = [fact.subject for fact in self._changed if asked(fact)]
        if not touched and not (self._unsettles and kind == "hit"):
            return found
        ranked: list[tuple[int, str, Fact]] = []
        for subject in dict.fromkeys((*(fact.subject for fact in found), *touched)):
            stand = [fact for fact in self.facts(kind, subject) if asked(fact)]
            if stand:
                ranked.append((min(fact.tick for fact in stand), subject, stand[0]))
        return tuple(fact for _, _, fact in sorted(ranked, key=lambda item: item[:2]))

    # how it is answered

    def _run(self, found: Iterator[Fact], asked: Test, unsettled: bool = False) -> Iterator[Fact]:
        """A run of the book, newest first, without what would count no longer and with what would come in."""
        if not any(map(asked, self._changed)):
            return filter(self._counts, found) if unsettled else found
        new = [fact for fact in self._new if asked(fact)]
        return heapq.merge(filter(self._stays, found), new, key=_order, reverse=True)

    def _stays(self, fact: Fact) -> bool:
        return fact.root not in self._lines and self._counts(fact)

    def _speaks(self, entry_id: str) -> Fact | None:
        """What speaks for the line of an entry, whatever it was written because of."""
        root = self._roots.get(entry_id)
        if root is None:
            found = self._base.speaking(entry_id)
            root = found.root if found is not None else ""
            return self._lines[root].speaks if root in self._lines else found
        return self._lines[root].speaks

    def _counts(self, fact: Fact) -> bool:
        """Does what a hit was written because of still count?"""
        because = fact.detail.get("because") if fact.entry.kind == "hit" else None
        return because is None or _grounds(self._speaks(str(because)), fact.detail.get("source") == UNSEEN)


def _is_ground(fact: Fact | None) -> bool:
    return fact is not None and fact.entry.kind in GROUNDS


def _grounds(ground: Fact | None, unseen: bool) -> bool:
    """Does a hit written because of this count? One that nobody saw is read off what was found."""
    if ground is None:
        return False
    if ground.entry.kind == "finding":
        return ground.detail.get("what") in SHOW_A_HIT if unseen else ground.detail.get("raises") is True
    return ground.entry.kind == "hand_checked" and ground.detail.get("sign") is True


def _grows(line: _Line) -> bool:
    """Would a hit count because of this line that did not before?"""
    return any(_grounds(line.speaks, unseen) and not _grounds(line.was, unseen) for unseen in (True, False))


def _by(fact: Fact, upto: int | None) -> bool:
    return upto is None or fact.happened <= upto


def _ends(fact: Fact, robot: str) -> bool:
    return fact.entry.kind == "fight_ended" and fact.entry.robot == robot


def _order(fact: Fact) -> Order:
    return fact.order


def supposing(case: Case, drafts: Sequence[Draft], writer: str) -> Case:
    """The case as it would be if these drafts were written now; see `Supposed`."""
    evidence = Supposed(case.evidence, drafts, case.now, writer)
    if evidence.defines:
        return Case(evidence, gather(evidence, case.robot) or case.defs, case.now, case.checklists)
    found = Case(evidence, case.defs, case.now, case.checklists)
    found.reach = dict(case.reach)
    return found


# what drafts speak to


def spoken(case: Case, drafts: Iterable[Draft]) -> tuple[str, ...]:
    """The keys of the requirements that these drafts speak to, for those that speak to a few only.

    Empty where a draft may touch anything: a hit, a part moved, a fight, a correction; judge it all then.
    """
    keys: dict[str, None] = {}
    for draft in drafts:
        speaks = SPEAKS_TO.get(draft.kind)
        if speaks is None or draft.replaces is not None:
            return ()
        keys.update(dict.fromkeys(speaks(case, draft)))
    return tuple(keys)


def touched(case: Case, drafts: Iterable[Draft]) -> tuple[str, ...]:
    """The keys of every requirement that these drafts can change: those they speak to, and what rests on these.

    Empty where a draft may touch anything, as in `spoken`.
    """
    keys = dict.fromkeys(spoken(case, drafts))
    groups = {key.partition(":")[0] for key in keys}
    for checklist in case.checklists:
        if checklist.each_fight and any(groups & set(line.evidence) for line in checklist.lines):
            keys[f"check:{checklist.id}"] = None
    if keys and case.defs.robot.sign_off and signature(case) is not None:
        # A signature holds while nothing else blocks.
        keys[f"{GROUP}:{case.robot}"] = None
    return tuple(keys)


def _by_reading(case: Case, draft: Draft) -> Iterator[str]:
    for stack in case.defs.stacks.values():
        if any(key_of(case, piece) == draft.subject for piece in stack.pieces()):
            yield f"stack:{stack.id}"
    part, _, dimension = draft.subject.rpartition("/")
    kind = case.kind(part)
    if kind is not None and any(limit.dimension == dimension for limit in kind.limits):
        yield f"limit:{draft.subject}"


def _by_torque(case: Case, draft: Draft) -> Iterator[str]:
    """The joint; and what was found on a part replaced at one of its places, which goes when this closes it."""
    yield f"joint:{draft.subject}"
    yield f"locking:{draft.subject}"
    joint = case.defs.joints.get(draft.subject)
    for place in joint.holds if joint is not None else ():
        position = case.defs.positions.get(place)
        for _, finding in half_replaced(case, position) if position is not None else ():
            yield f"finding:{finding.root}"


def _by_part_weighed(case: Case, draft: Draft) -> Iterator[str]:
    return (f"weight:{configuration}" for configuration in case.defs.configurations)


def _by_answer(case: Case, draft: Draft) -> Iterator[str]:
    for checklist in case.checklists:
        if any(line_key(case.robot, checklist.id, line.id) == draft.subject for line in checklist.lines):
            yield f"check:{checklist.id}"


def _by_touch(case: Case, draft: Draft) -> Iterator[str]:
    return (f"check:{item.id}" for item in case.checklists if "function_part_moved" in item.stale_when)


def _by_look(case: Case, draft: Draft) -> Iterator[str]:
    return _looked(case, draft.subject)


def _looked(case: Case, part: str) -> Iterator[str]:
    yield f"look:{part}"
    yield from (f"finding:{finding.root}" for finding in case.open_findings(part))


def _by_zone_look(case: Case, draft: Draft) -> Iterator[str]:
    left_out = frozenset(draft.detail.get("except") or ())
    for joint in case.defs.joints.values():
        if joint.zone == draft.subject and joint.id not in left_out:
            yield f"joint:{joint.id}"
    replaced = (part for place in case.defs.positions.values() for part, _ in half_replaced(case, place))
    for part in dict.fromkeys((*case.scope(), *replaced)):
        kind = case.kind(part)
        if kind is None or kind.look != "zone" or part in left_out:
            continue
        here = (since.entry.place for zone, _, since, _ in stays(case, part) if zone == draft.subject)
        if any(place not in left_out for place in here):
            yield from _looked(case, part)


def _by_signature(case: Case, draft: Draft) -> Iterator[str]:
    """A joint that a second person signs for; a signature for the whole robot is judged with all there is."""
    return iter((draft.subject,) if draft.subject.partition(":")[2] in case.defs.joints else ())


def _by_hand(case: Case, draft: Draft) -> Iterator[str]:
    return (f"hand:{hit.entry.act}" for hit in unfelt(case, draft.subject))


SPEAKS_TO: dict[str, Callable[[Case, Draft], Iterator[str]]] = {
    "reading": _by_reading,
    "direct": lambda case, draft: iter((f"stack:{draft.subject}",)),
    "torqued": _by_torque,
    "marks_good": lambda case, draft: iter((f"joint:{draft.subject}",)),
    "weighed": lambda case, draft: iter((f"weight:{draft.subject}",)),
    "part_weighed": _by_part_weighed,
    "answered": _by_answer,
    "rewired": _by_touch,
    "reprogrammed": _by_touch,
    "looked_at": _by_look,
    "looked_over": _by_zone_look,
    "hand_checked": _by_hand,
    "signed": _by_signature,
}
