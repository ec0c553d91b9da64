"""Where an act begins: the book as it stands, the robot on the bench, who is writing and when it was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, TypeVar

from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Definitions, gather
from pitcrew.robot.records import Evidence
from pitcrew.text import clean


class Desk(NamedTuple):
    """One crew member at one robot. `happened` (ms UTC) is a typed time, None is now; `mint` makes new ids.

    `judged` is the robot's case where somebody has looked into this evidence already, so that it is not asked twice.
    """

    evidence: Evidence
    robot: str
    by: str
    now: int
    mint: Callable[[], str]
    happened: int | None = None
    judged: Case | None = None

    @property
    def moment(self) -> int:
        """When what is being written was done, ms UTC."""
        return self.now if self.happened is None else self.happened

    def definitions(self) -> Definitions:
        """What the robot is.

        Raises:
            EntryError: the book does not know the robot.
        """
        found = self.judged.defs if self.judged else gather(self.evidence, self.robot)
        if found is None:
            raise EntryError("the book does not know this robot.", "Name one that it has.", "robot")
        return found

    def case(self) -> Case:
        """The robot as the book has it now."""
        return self.judged or Case(self.evidence, self.definitions(), self.now)

    def second_person(self, second: str | None, place: str) -> str | None:
        """The initials of a second person, or none.

        Raises:
            EntryError: they are those of who did it.
        """
        given = second.strip() if second else ""
        if given and given.casefold() == self.by.strip().casefold():
            raise EntryError("who did it cannot be the second person.", "Another one looks and signs.", place)
        return given or None

    def part(self, part: str) -> str:
        """A part the book knows.

        Raises:
            EntryError: it does not.
        """
        if next(self.evidence.facts("part", part), None) is None:
            raise EntryError("the book has no such part.", "Name a part it has, or add it first.", "part")
        return part

    def instrument(self, instrument: str | None) -> str | None:
        """An instrument the book knows, or none.

        Raises:
            EntryError: it does not know it.
        """
        if instrument is not None and next(self.evidence.facts("instrument", instrument), None) is None:
            raise EntryError("the book has no such instrument.", "Name one it has.", "instrument")
        return instrument

    def draft(
        self,
        kind: str,
        subject: str,
        detail: Mapping[str, Any] | None = None,
        *,
        place: str | None = None,
        grade: int | None = None,
        happened: int | None = None,
        id: str | None = None,
        note: str = "",
    ) -> Draft:
        """An entry of this desk, not written yet; absent fields of the detail are left out."""
        fields = {name: value for name, value in (detail or {}).items() if value is not None}
        if note:
            fields["note"] = clean(note)
        return Draft(
            kind=kind,
            subject=subject,
            by=self.by,
            robot=self.robot,
            place=place,
            grade=grade,
            detail=fields,
            happened=self.happened if happened is None else happened,
            id=id,
        )


Record = TypeVar("Record")


def known(records: Mapping[str, Record], ident: str, what: str) -> Record:
    """One of the robot's own things by its id.

    Raises:
        EntryError: the robot has no such thing.
    """
    if ident not in records:
        raise EntryError(f"this robot has no such {what}.", "Name one that it has.", what)
    return records[ident]
