"""What was found, kept apart from what was done about it: mended, or run as is inside a limit."""

from __future__ import annotations

from pitcrew.bench.desk import Desk, known
from pitcrew.bench.looking import raised
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.findings import never_deferred
from pitcrew.robot.records import Fact

UNSEEN = frozenset(("bent", "cracked"))


def found(
    desk: Desk,
    part: str,
    position: str,
    what: str,
    *,
    hit: str | None = None,
    raises: bool = False,
    joint: str | None = None,
    fasteners: list[int] | None = None,
    size_m: float | None = None,
    typed: str = "",
    note: str = "",
) -> list[Draft]:
    """Something wrong with a part. `hit` is the act of the blow that did it; `raises` makes that blow a hard one.

    A bent or cracked part that no hit explains counts as one solid blow on its own zone.
    """
    defs = desk.definitions()
    known(defs.positions, position, "place")
    if joint is not None:
        _numbered(known(defs.joints, joint, "joint").fastener_count, fasteners or [])
    blow = _blow(desk, hit) if hit is not None else []
    ident = desk.mint()
    detail = {
        "what": what,
        "position": position,
        "joint": joint,
        "fasteners": fasteners,
        "hit": hit,
        "raises": raises or None,
        "size_m": size_m,
        "typed": typed or None,
    }
    finding = desk.draft("finding", desk.part(part), detail, place=joint or position, id=ident, note=note)
    if hit is None and what in UNSEEN:
        return [_unseen_blow(desk, position, ident), finding]
    return [finding, *(raised(desk, felt, ident) for felt in blow if raises)]


def _unseen_blow(desk: Desk, position: str, because: str) -> Draft:
    """It stands before its finding, so that the finding counts as the look of its part."""
    zone = desk.definitions().positions[position].zone
    return desk.draft("hit", zone, {"source": "no hit seen", "spreads": False, "because": because}, grade=2)


def _numbered(count: int, fasteners: list[int]) -> None:
    if any(number < 1 or number > count for number in fasteners):
        raise EntryError(f"the joint has fasteners 1 to {count}.", "Name which ones.", "fasteners")


def _blow(desk: Desk, act: str) -> list[Fact]:
    """The hits of one blow, one a zone."""
    hits = {f.subject: f for f in desk.evidence.act(act) if f.entry.kind == "hit" and not f.detail.get("because")}
    if not hits:
        raise EntryError("no such blow is in the book.", "Pick the blow that did it.", "hit")
    return list(hits.values())


def _finding(desk: Desk, finding: str) -> Fact:
    fact = desk.evidence.speaking(finding)
    if fact is None or fact.entry.kind != "finding":
        raise EntryError("no such finding stands.", "Pick one from the worklist.", "finding")
    return fact


def mended(desk: Desk, finding: str, how: str, note: str = "") -> list[Draft]:
    """A finding is put right: replaced, straightened, welded, ground, drilled, found straight.

    Replaced, or taken out of use, it goes with its part: it stands again if that part is fitted again.
    """
    return [desk.draft("mended", _finding(desk, finding).root, {"how": how}, note=note)]


def deferred(
    desk: Desk,
    finding: str,
    accepted_by: str,
    *,
    limit_m: float | None = None,
    until_fight: str | None = None,
    note: str = "",
) -> list[Draft]:
    """Run as is, inside a limit. What is bent, cracked, shorted or stripped in the load path never is."""
    fact = _finding(desk, finding)
    if never_deferred(desk.case(), fact.subject, fact):
        raise EntryError(
            f"{fact.detail['what']} in the load path cannot be run as is.", "Mend or replace it.", "finding"
        )
    if limit_m is None and until_fight is None:
        raise EntryError("run as is needs a limit.", "Say how far, or until the end of which fight.", "limit")
    detail = {"limit_m": limit_m, "until_fight": until_fight, "accepted_by": accepted_by}
    return [desk.draft("deferred", fact.root, detail, note=note)]
