"""How long parts last: what is used of a part's life, when others of its kind failed, and the life that suggests."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

from pitcrew.bench.adding import life
from pitcrew.bench.desk import Desk
from pitcrew.bench.ledger import fights, fought, lives_of
from pitcrew.bench.spare_words import counted
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import OFF_WITH_THE_PART, Case
from pitcrew.readiness.spares import parts_of
from pitcrew.robot.records import Fact

EXAMPLE = "4 fights, or 6 fights 3 hard"
_BEFORE = re.compile(r"(?:(\d{1,4}) ?fights?)? ?(?:(\d{1,4}) ?hard(?: hits?)?)?", re.IGNORECASE)


class Failure(NamedTuple):
    """A part that was given up for what was found on it: how many fights it had by then."""

    part: str
    fights: int
    found: Fact


def failures(case: Case, kind: str) -> tuple[Failure, ...]:
    """The robot's parts of a kind that were given up for what was found on them, the one with fewest fights first."""
    found = []
    for part in parts_of(case).get(kind, ()):
        last = next((fact for fact in case.facts("finding", part.id) if _gave_up(case, fact)), None)
        if last is not None:
            found.append(Failure(part.id, _fights_by(case, part.id, last), last))
    return tuple(sorted(found, key=lambda failure: failure.fights))


def _gave_up(case: Case, finding: Fact) -> bool:
    """Was the part taken off for this, for another or for good?"""
    mend = case.newest("mended", finding.root)
    if mend is not None and mend.detail["how"] in OFF_WITH_THE_PART:
        return True
    return case.put_away(finding.subject) is not None and any(
        other.root == finding.root for other in case.open_findings(finding.subject)
    )


def _fights_by(case: Case, part: str, when: Fact) -> int:
    record = case.part(part)
    return ((record.fights if record else None) or 0) + sum(end.order < when.order for end in fought(case, part))


def life_told(case: Case, part: str) -> str:
    """What is used of a part's lives and what is left: 3 of 4 fights: 1 fight left; empty where it has none."""
    lives = lives_of(case, part)
    if not lives:
        return ""
    used = ", ".join(f"{each.used} of {each.of} {each.unit}" for each in lives)
    left = [counted(each.of - each.used, each.unit.removesuffix("s")) for each in lives]
    up = any(each.used >= each.of for each in lives)
    return f"{used}: used up" if up else f"{used}: {' or '.join(left)} left"


def failures_told(case: Case, part: str) -> str:
    """When others of its kind failed: its kind failed at 5, 7, 9 fights; this one has 6. Empty where none did."""
    record = case.part(part)
    of_kind = failures(case, record.part_kind) if record is not None else ()
    others = Counter(failure.fights for failure in of_kind if failure.part != part)
    if not others:
        return ""
    *said, last = [f"{at} (x{count})" if count > 1 else str(at) for at, count in sorted(others.items())]
    unit = "fight" if set(others) == {1} else "fights"
    return f"its kind failed at {', '.join([*said, last])} {unit}; this one has {fights(case, part)}"


def asked_for_life(case: Case, part: str) -> str:
    """What is said where a life is asked for: this kind failed at 3 fights: give it a life."""
    record = case.part(part)
    of_kind = failures(case, record.part_kind) if record is not None else ()
    least = f"this kind failed at {counted(of_kind[0].fights, 'fight')}. " if of_kind else ""
    return f"{least}how long does every {kind_name(case, part)} last? {EXAMPLE}"


def suggested(case: Case, part: str) -> str:
    """The life that the failures of a part's kind suggest, one fight short of the first; empty where none failed."""
    record = case.part(part)
    of_kind = failures(case, record.part_kind) if record is not None else ()
    return counted(max(of_kind[0].fights - 1, 1), "fight") if of_kind else ""


def kind_name(case: Case, part: str) -> str:
    """What a part's kind is called."""
    kind = case.kind(part)
    return kind.name if kind is not None else "part"


def has_life(case: Case, part: str) -> bool:
    """Does a part's kind have a life?"""
    kind = case.kind(part)
    return kind is not None and (kind.life_fights is not None or kind.life_hard_hits is not None)


def give_life(desk: Desk, part: str, text: str) -> list[Draft]:
    """A life for every part of a part's kind, as it is typed: 4 fights, or 6 fights 3 hard.

    Raises:
        EntryError: neither fights nor hard hits are typed, or the part's kind is not known.
    """
    kind = desk.case().kind(desk.part(part))
    if kind is None:
        raise EntryError("the book does not know what sort of part this is.", "Add it to the weight list.", "life")
    text = " ".join(text.replace(",", " ").split())
    bare = f"{text} fights" if text.isascii() and text.isdigit() else text
    return life(desk, f"{bare} {kind.name}")


def had_before(desk: Desk, part: str, text: str) -> list[Draft]:
    """What a part had behind it when it came into the book, as it is typed: 2 fights, or 2 fights 1 hard.

    Raises:
        EntryError: neither fights nor hard hits are typed, or the book has no such part.
    """
    was = next(desk.evidence.facts("part", desk.part(part))).detail
    typed = " ".join(text.replace(",", " ").split())
    match = _BEFORE.fullmatch(f"{typed} fights" if typed.isascii() and typed.isdigit() else typed)
    if not typed or match is None:
        raise EntryError(f"{text!r:.30} is no count of fights or hard hits.", "Type: 2 fights 1 hard.", "before")
    counts = {"fights": match[1], "hard_hits": match[2]}
    changes = {name: int(count) for name, count in counts.items() if count is not None}
    return [desk.draft("part", part, {**was, **changes})]
