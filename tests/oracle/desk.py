"""Writers with clocks that differ, and the books they write into."""

from __future__ import annotations

from random import Random

from pitcrew.robot.kinds import problems
from pitcrew.robot.records import Entry

from .plans import CREW, Draft

MINUTE = 60_000
START = 1_700_000_000_000
DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


class Writer:
    """One laptop: its clock's error, and the highest tick it has seen."""

    def __init__(self, name: str, error_ms: int) -> None:
        self.name = name
        self.error_ms = error_ms
        self.highest = 0


class Desk:
    """Takes entries down as writers would who merge now and then; every entry is one that may be written."""

    def __init__(self, rng: Random, writers: int) -> None:
        self.rng = rng
        self.time = START
        self.entries: list[Entry] = []
        errors = (0, 0, 30_000, -45_000, 2 * MINUTE, -4 * MINUTE)
        self.writers = [Writer(f"writer-{i}", rng.choice(errors)) for i in range(writers)]
        self.writer = self.writers[0]

    def new_id(self) -> str:
        return "0" + "".join(self.rng.choices(DIGITS, k=25))

    def wait(self) -> None:
        """Time passes: often enough to be sure across clocks, at times not at all."""
        self.time += self.rng.choice((0, 1, 1000, 30_000, 3 * MINUTE, 6 * MINUTE, 12 * MINUTE))

    def take_over(self) -> None:
        """Somebody else writes, perhaps with everything merged."""
        if self.rng.random() < 0.3:
            self.writer = self.rng.choice(self.writers)
        if self.rng.random() < 0.3:
            self.merge()

    def merge(self) -> None:
        highest = max((entry.tick for entry in self.entries), default=0)
        self.writer.highest = max(self.writer.highest, highest)

    def clock(self) -> int:
        return self.time + self.writer.error_ms

    def moment(self, tick: int) -> int:
        """When it was done, as a rule just now; at times typed to the minute, or the same as before."""
        chosen = self.rng.random()
        now = min(self.clock(), tick)
        if chosen < 0.80 or not self.entries:
            return now
        if chosen < 0.88:
            return min(self.entries[-1].happened, tick)
        if chosen < 0.92:
            return min(self.rng.choice(self.entries).happened, tick)
        return (now - self.rng.choice((0, 2, 10, 45)) * MINUTE) // MINUTE * MINUTE

    def write(
        self,
        draft: Draft,
        act: str | None = None,
        happened: int | None = None,
        replaces: str | None = None,
        by: str | None = None,
    ) -> Entry:
        """Write one entry; a replacement is written by somebody who has the replaced one before him."""
        if replaces is not None:
            self.merge()
        tick = max(self.writer.highest + 1, self.clock())
        self.writer.highest = tick
        done = self.moment(tick) if happened is None else min(happened, tick)
        entry = Entry(
            self.new_id(), act or self.new_id(), tick, done, self.writer.name, by or self.rng.choice(CREW),
            draft.robot, draft.kind, draft.subject, draft.place, draft.grade, replaces, draft.detail,
            len(self.entries) + 1,
        )  # fmt: skip
        assert not problems(entry), (problems(entry), entry)
        self.entries.append(entry)
        return entry

    def write_all(self, drafts: list[Draft]) -> list[Entry]:
        """One act of several entries, done at one moment."""
        act, happened, by = self.new_id(), self.moment(max(self.writer.highest + 1, self.clock())), None
        by = self.rng.choice(CREW)
        return [self.write(draft, act, happened, by=by) for draft in drafts]
