"""What every command is given, and how an error leaves it: a sentence on stderr and a status."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, NamedTuple, TypeVar

import click

from pitcrew.clock import Clock, Ids, SystemClock, SystemIds
from pitcrew.errors import PitcrewError

FIT, BLOCKED, NOT_JUDGED = 0, 1, 2
F = TypeVar("F", bound=Callable[..., Any])


class House(NamedTuple):
    """What commands are given: where the time and new ids come from."""

    clock: Clock = SystemClock()
    ids: Ids = SystemIds()


def told(command: F) -> F:
    """Say an error in one sentence on stderr and end with status 2; nothing was changed."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        try:
            return command(*args, **kwargs)
        except PitcrewError as error:
            click.echo(str(error), err=True)
            raise SystemExit(NOT_JUDGED) from None

    return run  # type: ignore[return-value]
