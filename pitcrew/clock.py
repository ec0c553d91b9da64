"""Where moments and ids come from; whoever starts the program passes them in."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from typing import Protocol

# Crockford's base 32: digits and capitals without I, L, O and U, in rising order.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
ID_LENGTH = 26
RANDOM_BITS = 80
LAST_MS = (1 << 48) - 1


class Clock(Protocol):
    """Something that knows what time it is."""

    def now_ms(self) -> int:
        """Now, in milliseconds UTC since 1970."""
        ...


class SystemClock:
    """The computer's own clock."""

    def now_ms(self) -> int:
        """Now, in milliseconds UTC since 1970."""
        return time.time_ns() // 1_000_000


class FixedClock:
    """A clock that stands until it is set."""

    def __init__(self, ms: int) -> None:
        self.ms = ms

    def now_ms(self) -> int:
        """The moment it stands at, in milliseconds UTC since 1970."""
        return self.ms

    def set(self, ms: int) -> None:
        """Put the clock at a moment, forwards or back."""
        self.ms = ms


class RunningFrom:
    """A clock that stands at a moment when it is made, and runs on from there as time goes by.

    Args:
        start_ms: the moment, in milliseconds UTC since 1970.
        elapsed_ns: counts nanoseconds, never back; setting the computer's own clock does not move it.
    """

    def __init__(self, start_ms: int, elapsed_ns: Callable[[], int] = time.monotonic_ns) -> None:
        self._start_ms = start_ms
        self._elapsed_ns = elapsed_ns
        self._made_ns = elapsed_ns()

    def now_ms(self) -> int:
        """The moment it has come to, in milliseconds UTC since 1970."""
        return self._start_ms + (self._elapsed_ns() - self._made_ns) // 1_000_000


def ulid(ms: int, chance: int) -> str:
    """The 26 characters of a ULID: 48 bits of milliseconds, then 80 bits of chance, most significant first.

    Raises:
        ValueError: either figure does not fit its bits.
    """
    if not 0 <= ms <= LAST_MS or not 0 <= chance < 1 << RANDOM_BITS:
        raise ValueError("a ULID holds 48 bits of time and 80 bits of chance")
    value = ms << RANDOM_BITS | chance
    return "".join(ALPHABET[value >> shift & 31] for shift in range(5 * (ID_LENGTH - 1), -1, -5))


class Ids:
    """Mints ULIDs that only ever rise, within one millisecond and over a clock put back too.

    Args:
        chance: gives so many random bits as a whole number.
    """

    def __init__(self, chance: Callable[[int], int]) -> None:
        self._chance = chance
        self._ms = -1
        self._low = 0

    def mint(self, now_ms: int) -> str:
        """A new id, greater than every one minted here before; `now_ms` in milliseconds UTC."""
        if now_ms > self._ms:
            self._ms, self._low = now_ms, self._chance(RANDOM_BITS)
        elif self._low + 1 < 1 << RANDOM_BITS:
            self._low += 1
        else:
            self._ms, self._low = self._ms + 1, self._chance(RANDOM_BITS)
        return ulid(self._ms, self._low)


class SystemIds(Ids):
    """Ids that nobody else mints."""

    def __init__(self) -> None:
        super().__init__(lambda bits: int.from_bytes(os.urandom(bits // 8), "big"))


class SeededIds(Ids):
    """The same ids in the same order for the same seed: for demonstrations and tests."""

    def __init__(self, seed: int) -> None:
        import random

        super().__init__(random.Random(seed).getrandbits)
