"""Names for ids and ids for names: labels are what the crew reads and types, ids are what the book keeps."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from functools import partial
from typing import Any, TypeVar

from pitcrew.errors import EntryError
from pitcrew.readiness.case import Case
from pitcrew.readiness.findings import judge_findings
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.definitions import Robot, robots
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Evidence, Fact
from pitcrew.units import show

Ident = TypeVar("Ident", bound=Hashable)


def find(text: str, named: Iterable[tuple[str, str]], what: str) -> str:
    """The id whose name is meant: the whole name, else the only one that holds every word typed.

    Args:
        text: what was typed.
        named: ids with their names.
        what: what is looked for, for the error.

    Raises:
        EntryError: nothing fits, or several do.
    """
    pairs = list(named)
    fits = fitting(text, pairs)
    names = dict(pairs)
    if len(fits) == 1:
        return fits[0]
    if fits:
        some = ", ".join(sorted(names[ident] for ident in fits)[:4])
        raise EntryError(f"{text!r:.40} fits more than one {what}: {some}.", "Type more of the name.", what)
    some = ", ".join(list(dict.fromkeys(names.values()))[:6])
    raise EntryError(f"there is no {what} called {text!r:.40}.", f"There is: {some}." if some else "", what)


def fitting(text: str, named: Iterable[tuple[Ident, str]]) -> list[Ident]:
    """The ids (or things) whose name is the text, or else whose name holds every word of it; each once."""
    pairs = list(named)
    wanted = name_words(text)
    exact = [ident for ident, name in pairs if name_words(name) == wanted]
    fits = exact or [ident for ident, name in pairs if wanted and _holds(name_words(name), wanted)]
    return list(dict.fromkeys(fits))


def name_words(text: str) -> list[str]:
    """The words of a name, as they are compared: in any case, without brackets and commas."""
    return text.casefold().replace("(", " ").replace(")", " ").replace(",", " ").split()


def _holds(name: list[str], wanted: list[str]) -> bool:
    return all(any(word.startswith(part) for word in name) for part in wanted)


def robot_called(evidence: Evidence, text: str) -> Robot:
    """The robot that is meant."""
    known = {robot.id: robot for robot in robots(evidence)}
    return known[find(text, ((ident, robot.name) for ident, robot in known.items()), "robot")]


def pairs(records: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Ids with names, of definitions that have one."""
    return [(ident, record.name) for ident, record in records.items()]


def part_name(case: Case, part: str) -> str:
    """A part's own name."""
    record = case.part(part)
    return record.name if record else part


def place_name(case: Case, part: str) -> str:
    """Where a part counts, by the name of the place; a part that has none, by its own."""
    for counted, position in case.scope().items():
        if counted == part and position is not None:
            return case.defs.positions[position].name
    return part_name(case, part)


def zone_name(case: Case, zone: str | None) -> str:
    """A zone's short name."""
    found = case.defs.zones.get(zone or "")
    return found.name if found else ""


def configuration_name(case: Case, configuration: str | None) -> str:
    """A configuration's name; none is said as it is."""
    found = case.defs.configurations.get(configuration or "")
    return found.name if found else "no configuration"


def fight_name(case: Case, fight: str) -> str:
    """What the crew calls a fight."""
    fact = case.newest("entered", fight)
    return str(fact.detail["name"]) if fact else "a fight"


def label(case: Case, requirement: Requirement) -> str:
    """What the crew calls a requirement: joint hubs R, look bearing L outer, check test box."""
    group, subject = requirement.group, requirement.subject
    if group == "look":
        kind = case.kind(subject)
        return f"pack {part_name(case, subject)}" if kind and kind.pack else f"look {place_name(case, subject)}"
    if group == "limit":
        part, dimension = subject.rsplit("/", 1)
        return f"{dimension} {place_name(case, part)}"
    if group == "finding":
        return f"finding {_finding_name(case, subject)}"
    if group == "hand":
        zones = sorted({fact.entry.place for fact in case.evidence.act(subject) if fact.entry.place})
        return "hand check " + " ".join(zone_name(case, zone) for zone in zones)
    if group == "life":
        return f"life {place_name(case, subject)}"
    if group == "tip":
        return f"tip-speed {configuration_name(case, subject)}"
    if group == "signed":
        return "sign-off"
    if group in ("configuration", "packs"):
        return group
    if group == "check":
        return f"check {_checklist_title(case, subject)}"
    return f"{group} {_named(case, group, subject)}"


def _named(case: Case, group: str, subject: str) -> str:
    tables: dict[str, Mapping[str, Any]] = {
        "joint": case.defs.joints,
        "locking": case.defs.joints,
        "stack": case.defs.stacks,
        "weight": case.defs.configurations,
        "empty": case.defs.positions,
    }
    record = tables[group].get(subject)
    return record.name if record else subject


def _checklist_title(case: Case, checklist: str) -> str:
    return next((item.title for item in case.checklists if item.id == checklist), checklist).lower()


def _finding_name(case: Case, root: str) -> str:
    """Where it is and what: of several that stand alike, with the size or the time that tells them apart."""
    fact = case.evidence.speaking(root)
    if fact is None:
        return root
    name = _found_at(case, fact)
    standing = (case.evidence.speaking(item.subject) for item in judge_findings(case))
    alike = [other for other in standing if other is not None and _found_at(case, other) == name]
    for told in (_size, partial(_time, case), partial(_time_and_size, case)):
        said = [told(other) for other in alike]
        if len(said) > 1 and all(said) and len(set(said)) == len(said):
            return f"{name} {told(fact)}"
    ids = [other.root for other in alike]
    return f"{name} no. {ids.index(root) + 1}" if len(ids) > 1 and root in ids else name


def _found_at(case: Case, fact: Fact) -> str:
    position = case.defs.positions.get(str(fact.detail["position"]))
    return f"{position.name if position else part_name(case, fact.subject)}: {fact.detail['what']}"


def _size(fact: Fact) -> str:
    size = fact.detail.get("size_m")
    return show(float(size), "length", "mm") if size is not None else ""


def _time(case: Case, fact: Fact) -> str:
    return clock_text(fact.happened, case.defs.event.time_zone if case.defs.event else "UTC")


def _time_and_size(case: Case, fact: Fact) -> str:
    return f"{_time(case, fact)} {_size(fact)}".rstrip()
