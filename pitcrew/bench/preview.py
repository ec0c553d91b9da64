"""What entries would do before they are written: the verdict of what they speak to, or what they would add."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from pitcrew.bench import names, words
from pitcrew.bench.session import Session
from pitcrew.bench.supposing import spoken
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.checks import among
from pitcrew.readiness.judge import only, steps
from pitcrew.readiness.steps import Steps
from pitcrew.readiness.verdict import WORST_FIRST, Requirement, Standing

LONGEST = 44


def previewing(session: Session, drafts: Sequence[Draft]) -> Steps[str]:
    """What drafts would do, in a few words and in small steps; empty where they change nothing that is judged."""
    view = session.view
    if view is None or not drafts:
        return ""
    # What rests on them in its turn, a list or a signature, is said when the line is in the book.
    keys = spoken(view.case, drafts)
    yield
    supposed = session.suppose(drafts)
    if supposed is None:
        return ""
    if keys:
        found = only(supposed, keys, among(view.standing.requirements))
        worst = min(found, key=lambda item: WORST_FIRST.index(item.verdict), default=None)
        return _said(supposed, worst, len(found)) if worst is not None else ""
    standing = yield from steps(supposed)
    return changed(view.standing, standing)


def changed(before: Standing, after: Standing) -> str:
    """What would block more, and how many things less: adds 2 RECHECK, 1 DUE, clears 1."""
    was, now = ({item.key: item.verdict for item in standing.blocking} for standing in (before, after))
    added = Counter(verdict for key, verdict in now.items() if was.get(key) != verdict)
    cleared = sum(key not in now for key in was)
    parts = [f"{added[verdict]} {verdict.upper()}" for verdict in WORST_FIRST if added[verdict]]
    said = [f"adds {', '.join(parts)}"] if parts else []
    return "; ".join([*said, f"clears {cleared}"] if cleared else said) or "changes nothing on the list"


def _said(case: Case, item: Requirement, count: int) -> str:
    verdict = item.verdict.upper() if item.blocks else item.verdict
    more = f" ({count} judged)" if count > 1 else ""
    name = names.label(case, item).partition(" ")[2]
    figures = ""
    for because in item.because:
        if because.figure("value_m") is not None:
            figures = f" {words.with_doubt(because.figure('value_m'), because.figure('u_m'))}"
    return words.cut(f"{name}{figures}", LONGEST - len(verdict) - len(more) - 2) + f": {verdict}{more}"
