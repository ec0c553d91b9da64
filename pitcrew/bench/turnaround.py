"""The walk after a fight: what comes in which order, what is done, what is next, and when; read off the standing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from pitcrew.bench import names, words
from pitcrew.bench.checks_now import packs_words
from pitcrew.bench.saying import job_words
from pitcrew.bench.standing import View
from pitcrew.bench.symptoms import said_now
from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import looks
from pitcrew.readiness.jobs import Job
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.records import Fact
from pitcrew.units import show

ARENA = "arena"
DONE, NOW, LATER, NOTHING = "done", "now", "later", "-"
LOCK = "Lock in before any hand. Nobody in the plane of the weapon. Eye protection."
HOT = "A hot, puffed or dented pack goes outside in a fire-resistant box, watched."
# Which jobs belong to which step; every action stands once.
ACTIONS: dict[str, tuple[str, ...]] = {
    "packs out": ("packs out", "look at packs", "charge packs"),
    "hands": ("hand check",),
    "looks": ("look over", "look at each"),
    "mend": ("mend", "fit", "renew", "change over"),
    "measure": ("measure", "measure part", "tip speed"),
    "fasten": ("torque",),
    "packs in": ("packs in",),
    "weigh": ("weigh",),
    "sign": ("sign",),
}
GROUPS: dict[str, tuple[str, ...]] = {
    "looks": ("look",),
    "measure": ("stack", "limit", "tip"),
    "fasten": ("joint", "locking"),
    "sign": ("signed",),
}


class Step(NamedTuple):
    """One step of the walk.

    `state` is done, now (the first that is not), later, or - where nothing is to be done. `told` says what is done or
    what is left; `at` (ms UTC) when it was done, or when the work laid over the people begins. `jobs` are those of the
    list that belong to it, `minutes` what they take; `caution` is said above it.
    """

    id: str
    title: str
    state: str
    told: str
    at: int | None = None
    jobs: tuple[Job, ...] = ()
    caution: str = ""

    @property
    def minutes(self) -> int:
        """What is left of it takes so long, in minutes."""
        return sum(job.minutes for job in self.jobs)


class _Found(NamedTuple):
    """A step before it is known which one is next: `left` says that something is to be done."""

    id: str
    title: str
    told: str
    left: bool
    at: int | None = None
    jobs: tuple[Job, ...] = ()
    caution: str = ""


def walk(view: View) -> tuple[Step, ...]:
    """The steps after the fight that is on or ended last, in their order."""
    begins = {id(item.job): item.start for item in view.plan.laid}
    steps: list[Step] = []
    for found in _found(view):
        state = LATER if found.left else NOTHING if found.at is None else DONE
        if found.left and not any(step.state == NOW for step in steps):
            state = NOW
        starts = [begins[id(job)] for job in found.jobs if id(job) in begins]
        at = min(starts, default=None) if found.left else found.at
        steps.append(Step(found.id, found.title, state, found.told, at, found.jobs, found.caution))
    on = steps[0].id == ARENA and fight_of(view.case)[1] is None
    # While it is on, nothing is known of what there will be to do after it.
    return tuple(
        step._replace(state=LATER, told="", at=None, jobs=()) if on and step.id != ARENA else step for step in steps
    )


def fight_of(case: Case) -> tuple[str, Fact | None]:
    """The fight that the walk is after, by its id, and its end: the one that is on (no end yet), else the last over."""
    on = case.fight_id()
    if on and case.newest("fight_started", on) is not None:
        return on, None
    end = case.ends().first()
    return (end.subject if end is not None else ""), end


def _found(view: View) -> Iterator[_Found]:
    case = view.case
    fight, end = fight_of(case)
    lists = sorted((item for item in case.checklists if item.each_fight), key=lambda item: item.order)
    if fight:
        yield _arena(view, fight, end, lists)
    for checklist in lists[:1]:
        yield _list(view, checklist, LOCK)
    if _has_packs(case):
        yield _packs_out(view, end)
    if end is not None:
        yield from _told(view, end)
    yield _hands(view, end)
    if end is not None:
        yield _old_findings(view, end)
    yield _of_jobs(view, "looks", "look over", end)
    yield _mend(view, end)
    yield _of_jobs(view, "measure", "measure", end)
    yield _of_jobs(view, "fasten", "fasten", end)
    yield _next_fight(view, end)
    if _has_packs(case):
        yield _packs_in(view, end)
    yield _weigh(view, end)
    for checklist in lists[1:]:
        yield _list(view, checklist)
    if case.defs.robot.sign_off:
        yield _of_jobs(view, "sign", "sign off", end)


def _has_packs(case: Case) -> bool:
    return any(place.role == "pack" for place in case.defs.positions.values())


# what happened


def _arena(view: View, fight: str, end: Fact | None, lists: list[Checklist]) -> _Found:
    case, title = view.case, "off the arena"
    name = names.fight_name(case, fight)
    if end is None:
        return _Found(ARENA, title, f"{name} is on: say how it ended", True, caution=LOCK)
    left, safe = case.newest("fight_left", fight), _since(view, [f"check:{item.id}" for item in lists[:1]], end)
    ended = f"{name} ended {words.at(case, end.happened)}"
    if left is not None:
        return _Found(ARENA, title, ended, False, left.happened)
    # Nobody makes a robot safe that is still in the arena.
    return _Found(ARENA, title, ended, safe is None, safe, caution=LOCK)


def _told(view: View, end: Fact) -> Iterator[_Found]:
    """Result, hits and the driver's words: what only those who saw it can say."""
    case = view.case
    result = str(end.detail.get("result") or "")
    yield _Found("result", "result", result or "won or lost, and how?", not result, end.happened if result else None)
    hits = [fact for zone in case.defs.zones for fact in case.evidence.hits(zone, 1) if _of_fight(fact, end)]
    zones = ", ".join(dict.fromkeys(names.zone_name(case, fact.subject) for fact in hits))
    said = [said for said in said_now(case) if said.facts[0].happened >= end.happened]
    # Once somebody has looked the robot over, it has been said what was felt.
    over = _since(view, [item.key for item in view.standing.requirements if item.group == "look"], end)
    blows = len({fact.entry.act for fact in hits})
    text = f"{blows} {'blow' if blows == 1 else 'blows'}: {zones}" if hits else "none logged"
    yield _Found("hits", "hits", text, not hits and over is None, _newest(hits))
    text = "; ".join(item.what for item in said) or "nothing logged"
    spoken = [fact for item in said for fact in item.facts]
    yield _Found("driver", "what the driver says", text, not said and over is None, _newest(spoken))


def _of_fight(fact: Fact, end: Fact) -> bool:
    return bool(fact.detail.get("fight") == end.subject)


def _newest(facts: Iterable[Fact]) -> int | None:
    return max((fact.entry.tick for fact in facts), default=None)


# what is done with hands


def _since(view: View, keys: Iterable[str], end: Fact | None) -> int | None:
    """When the newest of what these requirements rest on was done, if that was after the fight."""
    wanted = frozenset(keys)
    resting = (item for item in view.standing.requirements if item.key in wanted and not item.blocks)
    done = [fact for item in resting for fact in item.rests_on if end is None or fact.order > end.order]
    return max((fact.happened for fact in done), default=None)


def _jobs(view: View, step: str) -> tuple[Job, ...]:
    return tuple(job for job in view.jobs if job.action in ACTIONS[step])


def _left_words(view: View, jobs: tuple[Job, ...], title: str) -> str:
    more = f", and {len(jobs) - 1} more" if len(jobs) > 1 else ""
    return f"{job_words(view.case, jobs[0]).removeprefix(f'{title}: ')}{more}"


def _of_jobs(view: View, step: str, title: str, end: Fact | None) -> _Found:
    jobs = _jobs(view, step)
    if jobs:
        return _Found(step, title, _left_words(view, jobs, title), True, None, jobs)
    keys = [item.key for item in view.standing.requirements if item.group in GROUPS.get(step, ())]
    done = _since(view, keys, end)
    return _Found(step, title, "nothing left of it" if done is not None else "nothing to do", False, done)


def _hands(view: View, end: Fact | None) -> _Found:
    found = _of_jobs(view, "hands", "feel by hand", end)
    checks = [fact for zone in view.case.defs.zones for fact in _after(view.case, "hand_checked", zone, end)]
    if found.left or not checks:
        return found
    signs = any(fact.detail.get("sign") for fact in checks)
    return found._replace(told="a sign: it was hard" if signs else "no sign", at=_newest(checks))


def _mend(view: View, end: Fact | None) -> _Found:
    """What is to mend, swap or change over; once nothing is left, what was put right and put in since."""
    case, found = view.case, _of_jobs(view, "mend", "mend, change over", end)
    if found.left or end is None:
        return found
    places = [place.id for place in case.defs.positions.values() if place.role != "pack"]
    moved = [move for place in places for move in case.moves(place) if move.order > end.order]
    put_in = [move for move in moved if move.entry.kind == "fitted"]
    parts = {*case.scope(), *(move.subject for move in moved)}
    roots = {finding.root for part in parts for finding in case.facts("finding", part)}
    mended = [fact for root in roots for fact in _after(case, "mended", root, end)]
    if not put_in and not mended:
        return found
    said = [f"{len(mended)} put right"] if mended else []
    said += [f"{len(put_in)} {'part' if len(put_in) == 1 else 'parts'} in"] if put_in else []
    return found._replace(told=", ".join(said), at=_newest([*put_in, *mended]))


def _packs_in(view: View, end: Fact | None) -> _Found:
    case, found = view.case, _of_jobs(view, "packs in", "packs in", end)
    places = [place.id for place in case.defs.positions.values() if place.role == "pack"]
    put_in = [move for place in places for move in case.moves(place) if move.entry.kind == "fitted"]
    since = [move for move in put_in if end is None or move.order > end.order]
    if found.left or not since:
        return found
    return found._replace(told=packs_words(case), at=_newest(since))


def _after(case: Case, kind: str, subject: str, end: Fact | None) -> list[Fact]:
    return [fact for fact in case.facts(kind, subject) if end is None or fact.order > end.order]


def _list(view: View, checklist: Checklist, caution: str = "") -> _Found:
    key = f"check:{checklist.id}"
    jobs = tuple(job for job in view.jobs if job.action == "check" and job.subject == checklist.id)
    _, end = fight_of(view.case)
    done = _since(view, [key], end)
    required = next((item for item in view.standing.requirements if item.key == key), None)
    told = "all answered"
    if jobs and required is not None:
        left = f"{len(required.because)} of {len(checklist.lines)} lines to answer"
        told = left if required.verdict == "due" else words.reason(view.case, required)
    return _Found(key, checklist.title, told, bool(jobs), done, jobs, caution)


def _packs_out(view: View, end: Fact | None) -> _Found:
    """Packs out, felt and read: heat and the charge used are asked for and keep nobody waiting."""
    case, jobs = view.case, _jobs(view, "packs out")
    places = [place.id for place in case.defs.positions.values() if place.role == "pack"]
    packs = [pack for place in places if end and (pack := case.occupant(place, before=end)) is not None]
    moves = [fact for pack in packs for fact in case.facts("removed", pack) if end and fact.order > end.order]
    read = _read_words(case, packs, end)
    if jobs:
        told = _left_words(view, jobs, "packs out") + (f"; {read}" if moves else "")
        return _Found("packs out", "packs out", told, True, None, jobs, HOT)
    return _Found("packs out", "packs out", read, False, _newest(moves), (), HOT)


def _read_words(case: Case, packs: Iterable[str], end: Fact | None) -> str:
    """The heat and the charge used that were read of the packs since: the most of each."""
    read = [fact for pack in packs for fact in case.facts("pack_read", pack) if end and fact.order > end.order]
    heat = [float(fact.detail["temperature_k"]) for fact in read if fact.detail.get("temperature_k") is not None]
    used = [float(fact.detail["used_coulomb"]) for fact in read if fact.detail.get("used_coulomb") is not None]
    said = [show(max(heat), "temperature", "deg C")] if heat else ["heat not read"]
    said.append(f"{show(max(used), 'charge', 'Ah', 1)} used" if used else "charge used not read")
    return ", ".join(said)


def _old_findings(view: View, end: Fact) -> _Found:
    """What was found before in the zones that were hit, and stands: was it looked at since?"""
    case = view.case
    hit = {zone for zone in case.defs.zones if any(_of_fight(fact, end) for fact in case.evidence.hits(zone, 1))}
    old, left, seen = [], [], []
    for part, place in case.scope().items():
        kind = case.kind(part)
        if kind is None or case.zone_of(place) not in hit:
            continue
        for finding in case.open_findings(part):
            if finding.order < end.order:
                old.append(f"{names.place_name(case, part)} {finding.detail['what']}")
                look = looks(case, part, kind).first()
                seen += [look] if look is not None and look.order > end.order else []
                left += [] if look is not None and look.order > end.order else [part]
    told = ", ".join(old) or "none in the zones hit"
    return _Found("old", "old findings there", told, bool(left), _newest(seen) if old else None)


def _next_fight(view: View, end: Fact | None) -> _Found:
    """The next fight: entered, in which configuration, with which packs."""
    case, title = view.case, "next fight"
    entered = case.fight()
    if entered is None:
        return _Found("next", title, "none entered yet", True)
    configuration = names.configuration_name(case, str(entered.detail["configuration"]))
    call = entered.detail.get("call_at")
    said = f"{entered.detail['name']} in {configuration}" + (f", call {words.at(case, int(call))}" if call else "")
    if not _has_packs(case):
        return _Found("next", title, said, False, entered.happened)
    chosen = case.chosen()
    known = case.defs.pack_sets.get(str(chosen.detail["pack_set"])) if chosen is not None else None
    if chosen is None or (end is not None and chosen.order < end.order):
        return _Found("next", title, f"{said}; choose its packs", True)
    return _Found("next", title, f"{said}, {known.name if known else 'packs chosen'}", False, chosen.happened)


def _weigh(view: View, end: Fact | None) -> _Found:
    """A weighing where one is wanted; else how the robot stands against the limit."""
    found = _of_jobs(view, "weigh", "weigh", end)
    row = next((row for row in view.standing.weights if row.entered and row.kg is not None), None)
    if found.left or row is None:
        return found
    margin = f", {row.margin_kg:.2f} under" if row.margin_kg is not None else ""
    weighed = [
        fact for fact in row.rests_on if fact.entry.kind == "weighed" and (end is None or fact.order > end.order)
    ]
    told = f"{row.how} {words.mass(row.kg)}{margin}" + ("" if weighed else ": not needed")
    return found._replace(told=told, at=_newest(weighed))
