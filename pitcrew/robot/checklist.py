"""The records of a checklist: what is asked at one moment of the day, and how long the answers stand."""

from __future__ import annotations

from typing import NamedTuple


class Line(NamedTuple):
    """One line to answer.

    `ground` is what it rests on: a kind of rule, or common practice. `safety` names the safety item it proves
    (weapon lock, power cut-off, power light, failsafe) or is None. `second` wants the initials of another
    person than the one who did it; `may_skip` lets the crew skip it and tell the driver.

    `figure` is the name and unit of a number asked for ("power cut, s"). `limit_from` is the event rule that
    this figure must not go above; `text_from` the event rule whose words are shown with the line. `caution`
    stands directly above the line.

    `evidence` names groups of requirements: where there is at least one of them and none blocks, the book itself
    answers the line.
    """

    id: str
    text: str
    ground: str
    safety: str | None
    second: bool
    may_skip: bool
    figure: str | None
    limit_from: str | None
    text_from: str | None
    caution: str | None
    evidence: tuple[str, ...] = ()


class Checklist(NamedTuple):
    """A short list for one moment.

    `when` says the moment in words; `order` sets the place among the lists, lowest first. `minutes` and
    `people` are what it takes. With `second_person` it is not finished before another person has signed.

    `asked` is "each fight", or "when wanted": such a list blocks no fight and is no job.

    `good_for` is "one fight" or "until disturbed", and for a list asked when wanted "one event", "one day" or
    "one charge" too; `stale_when` names what uses the answers up: "fight_ended", "function_part_moved" (a part
    whose kind asks for a function check, such as a motor, an ESC, a loom or a receiver, was taken out or put
    in), "event_changed" (the robot fights under another event's rules), "day_over" (the day is another, in the
    event's time zone), "pack_moved" (a pack was taken out of the robot or put in).
    """

    id: str
    title: str
    when: str
    good_for: str
    order: int
    minutes: int
    people: int
    second_person: bool
    cautions: tuple[str, ...]
    lines: tuple[Line, ...]
    stale_when: tuple[str, ...]
    asked: str = "each fight"

    @property
    def each_fight(self) -> bool:
        """Must it be answered before the robot may fight?"""
        return self.asked == "each fight"
