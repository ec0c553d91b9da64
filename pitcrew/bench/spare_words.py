"""Lives, spares and stock in sentences: why a part is due, what warns before anything runs out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pitcrew.bench import names
from pitcrew.readiness.case import Case
from pitcrew.readiness.lives import lives
from pitcrew.readiness.verdict import Because, Caveat
from pitcrew.robot.definitions import PartKind


def counted(count: int, one: str) -> str:
    """So many of something: 1 fight, 2 fights."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def life_words(kind: PartKind) -> str:
    """How long parts of a kind last: 6 fights or 3 hard hits; empty where nobody said."""
    said = [counted(kind.life_fights, "fight")] if kind.life_fights is not None else []
    said += [counted(kind.life_hard_hits, "hard hit")] if kind.life_hard_hits is not None else []
    return " or ".join(said)


def _used(case: Case, because: Because) -> str:
    """How much of a life is used, all of it counted."""
    part, unit, of = str(because.figure("part")), str(because.figure("unit")), because.figure("of")
    kind = case.kind(part)
    used = next((life.used() for life in lives(case, part, kind) if life.unit == unit), 0) if kind is not None else 0
    return f"{used} of {of} {unit}"


SENTENCES: dict[str, Callable[[Case, Because], str]] = {
    "life left": _used,
    "life used up": lambda case, because: f"life used up, {_used(case, because)}",
}


def _last_fight(case: Case, caveat: Caveat) -> str:
    of = int(dict(caveat.figures)["of"] or 0)
    return f"last fight of {names.place_name(case, caveat.subject)}, {of - 1} of {of} fights behind it"


def _stock(case: Case, caveat: Caveat) -> str:
    figures: dict[str, Any] = dict(caveat.figures)
    return f"{figures['name']} short, {figures['left']} left, {figures['wanted']} wanted"


def _spares(case: Case, caveat: Caveat) -> str:
    figures: dict[str, Any] = dict(caveat.figures)
    kind = case.defs.kinds.get(caveat.subject)
    good = counted(int(figures["good"]), "good spare")
    return f"{kind.name if kind else caveat.subject} short, {good}, {figures['wanted']} wanted"


CAVEATS: dict[str, Callable[[Case, Caveat], str]] = {
    "last fight": _last_fight,
    "stock short": _stock,
    "spares short": _spares,
}
