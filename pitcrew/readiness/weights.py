"""Weight of every configuration: the official display decides, else the last weighing and what changed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from pitcrew.engineering.conformity import decide
from pitcrew.engineering.mass import Figured, figured, rolled_up
from pitcrew.engineering.uncertainty import Reading
from pitcrew.errors import FigureError
from pitcrew.readiness.acceptance import acceptance
from pitcrew.readiness.case import Case
from pitcrew.readiness.figures import KEPT, Figure, reading_with
from pitcrew.readiness.verdict import Because, Caveat, Requirement, Ruling, WeightRow, requirement
from pitcrew.readiness.worked import Change, mass_changes, worked_since, works
from pitcrew.robot.definitions import Configuration
from pitcrew.robot.records import Fact

LEEWAY_KG = 1e-9


class Weight(NamedTuple):
    """What a configuration weighs: kg and doubt (None: a mass is missing), where from, the facts it rests on.

    `defined` holds the definitions of parts whose mass came with them.
    """

    kg: float | None
    u_kg: float
    how: str
    facts: tuple[Fact, ...] = ()
    missing: tuple[str, ...] = ()
    defined: tuple[Fact, ...] = ()


def mass_of(case: Case, part: str) -> Figure | None:
    """A part's mass: its newest weighing, else what it was defined with; None when nobody knows."""
    return case.once("mass", part, of=lambda: _mass_of(case, part))


def _mass_of(case: Case, part: str) -> Figure | None:
    weighed = case.newest("part_weighed", part)
    if weighed is not None:
        value = float(weighed.detail["value_kg"])
        return Figure(reading_with(case, value, weighed.detail.get("instrument"), None), weighed)
    record = case.part(part)
    if record is None or record.mass_kg is None:
        return None
    return Figure(reading_with(case, record.mass_kg, record.mass_instrument, record.mass_tolerance_kg, offset=False))


def is_fitted(case: Case, configuration: Configuration, before: Fact | None = None) -> bool:
    """Do the modules on the robot, now or just before a fact, make this configuration?

    One that names no module is always on the robot.
    """
    modules = [p for p in configuration.parts if _role(case, p) == "module"]
    return all(case.occupant(p, before) == configuration.parts[p] for p in modules)


def _role(case: Case, position: str) -> str:
    found = case.defs.positions.get(position)
    return found.role if found else ""


def parts_of(case: Case, configuration: Configuration, before: Fact | None = None) -> frozenset[str]:
    """Every part that is on the scale in this configuration, now or as it was just before a fact."""
    when = before.root if before is not None else ""
    return case.once("on the scale", configuration.id, when, of=lambda: _parts_of(case, configuration, before))


def _parts_of(case: Case, configuration: Configuration, before: Fact | None) -> frozenset[str]:
    fitted = is_fitted(case, configuration, before)
    parts: set[str | None] = set()
    for position in case.defs.positions.values():
        named = position.id in configuration.parts
        if position.role == "module" and named:
            parts.add(configuration.parts[position.id])
        elif position.role == "shim" and not fitted:
            parts.add(configuration.parts.get(position.id))
        elif position.role != "pack":
            parts.add(case.occupant(position.id, before))
    return frozenset(part for part in (*parts, *case.packs(before)) if part is not None)


def _display_step(case: Case) -> float:
    scale = case.defs.event.official_scale if case.defs.event else None
    tool = case.defs.instruments.get(scale) if scale else None
    return tool.resolution if tool else 0.0


def limit_kg(case: Case) -> float | None:
    """The event's limit with its allowance, kg."""
    event = case.defs.event
    return event.limit_kg + event.allowance_kg if event and event.limit_kg is not None else None


def weight_of(case: Case, configuration: Configuration) -> Weight:
    """What a configuration weighs now."""
    now = parts_of(case, configuration)
    weighings = case.facts("weighed", configuration.id)
    official = _official(case, configuration, now)
    if official is not None:
        return official
    anchor = weighings.first()
    if anchor is None:
        return _added_up(case, now)
    return _figured(case, configuration, anchor, now)


def _official(case: Case, configuration: Configuration, now: frozenset[str]) -> Weight | None:
    """The event's own display of exactly these parts, if there is one."""
    scale = case.defs.event.official_scale if case.defs.event else None
    for weighing in case.facts("weighed", configuration.id):
        if scale is not None and weighing.detail["instrument"] == scale:
            worked = any(worked_since(case, part, (weighing,)) is not None for part in now)
            if worked or parts_of(case, configuration, weighing) != now:
                return None
            return Weight(_shown(case, weighing).value, 0.0, "official", (weighing,))
    return None


def _changed(case: Case, parts: Iterable[str], weighing: Fact) -> list[Change]:
    """What the masses of parts that were on the scale may have changed by since: they were worked on."""
    return mass_changes(case, ((part, (weighing,)) for part in sorted(parts)), mass_of)


def _doubtful(case: Case, parts: Iterable[str]) -> list[Change]:
    """The same of parts known by their own mass only."""
    return mass_changes(case, ((part, case.facts("part_weighed", part)) for part in parts), mass_of)


def _shown(case: Case, weighing: Fact) -> Reading:
    return reading_with(case, float(weighing.detail["value_kg"]), weighing.detail.get("instrument"), None)


def _figured(case: Case, configuration: Configuration, anchor: Fact, now: frozenset[str]) -> Weight:
    then = parts_of(case, configuration, anchor)
    signed = [(1, part) for part in sorted(now - then)] + [(-1, part) for part in sorted(then - now)]
    masses = [(sign, part, mass_of(case, part)) for sign, part in signed]
    missing = tuple(part for _, part, mass in masses if mass is None)
    worked = _changed(case, now & then, anchor) + _doubtful(case, (part for _, part in signed))
    facts = (anchor, *(mass.fact for _, _, mass in masses if mass and mass.fact), *(item.work for item in worked))
    how = "figured" if signed or worked else "weighed"
    defined = _definitions(case, (part for _, part, mass in masses if mass is None or mass.fact is None))
    if missing:
        return Weight(None, 0.0, how, facts, missing, defined)
    reading = _shown(case, anchor)
    changes = (*((sign, mass.reading) for sign, _, mass in masses if mass), *((1, item.doubt) for item in worked))
    try:
        figure = _from_weighing(reading, changes, _display_step(case))
    except FigureError:
        return Weight(None, 0.0, how, facts, (), defined)
    return Weight(figure.kg, figure.u_kg, how, facts, (), defined)


@lru_cache(maxsize=KEPT)
def _from_weighing(anchor: Reading, changes: tuple[tuple[int, Reading], ...], display_step_kg: float) -> Figured:
    return figured(anchor.value, anchor, changes, display_step_kg)


@lru_cache(maxsize=KEPT)
def _from_parts(parts: tuple[tuple[int, Reading], ...], display_step_kg: float) -> Figured:
    return rolled_up(parts, display_step_kg)


def _added_up(case: Case, now: frozenset[str]) -> Weight:
    masses = [(part, mass_of(case, part)) for part in sorted(now)]
    missing = tuple(part for part, mass in masses if mass is None)
    worked = _doubtful(case, sorted(now))
    facts = (*(mass.fact for _, mass in masses if mass and mass.fact), *(item.work for item in worked))
    defined = _definitions(case, (part for part, mass in masses if mass is None or mass.fact is None))
    if missing or not masses:
        return Weight(None, 0.0, "added up", facts, missing, defined)
    figure = _from_parts(
        (*((1, mass.reading) for _, mass in masses if mass), *((1, item.doubt) for item in worked)),
        _display_step(case),
    )
    return Weight(figure.kg, figure.u_kg, "added up", facts, (), defined)


def _definitions(case: Case, parts: Iterable[str]) -> tuple[Fact, ...]:
    return tuple(fact for fact in (case.newest("part", part) for part in parts) if fact is not None)


def is_declared(case: Case, configuration: str) -> bool:
    """Was this configuration declared to the event, and not withdrawn since?"""
    fact = case.newest("declared", configuration)
    return fact is not None and bool(fact.detail["declared"])


def weight_row(case: Case, configuration: Configuration) -> WeightRow:
    """One configuration against the limit."""
    weight = weight_of(case, configuration)
    limit = limit_kg(case)
    margin = limit - weight.kg if limit is not None and weight.kg is not None else None
    verdict, inside = _against(weight, limit)
    fight = case.fight()
    return WeightRow(
        configuration=configuration.id,
        kg=weight.kg,
        u_kg=weight.u_kg,
        how=weight.how,
        limit_kg=limit,
        margin_kg=margin,
        verdict=verdict,
        declared=is_declared(case, configuration.id),
        entered=fight is not None and fight.detail["configuration"] == configuration.id,
        fitted=is_fitted(case, configuration),
        rests_on=weight.facts,
        defined=weight.defined,
        missing=weight.missing,
        inside=inside,
    )


def _against(weight: Weight, limit: float | None) -> tuple[str, bool]:
    if weight.kg is None or limit is None:
        return "unchecked", False
    if weight.how == "official":
        legal = weight.kg <= limit + LEEWAY_KG
        return ("pass" if legal else "fail"), legal
    decision = decide(weight.kg, weight.u_kg, None, limit)
    return decision.word, decision.inside


def look_up_masses(case: Case, configuration: Configuration) -> Iterator[None]:
    """Look up, one a step, what was done to the parts of a configuration, and every mass that its weight rests on."""
    anchor = case.newest("weighed", configuration.id)
    now = parts_of(case, configuration)
    then = parts_of(case, configuration, anchor) if anchor is not None else frozenset()
    for part in now | then:
        works(case, part).first()
        if anchor is None or (part in now) != (part in then):
            mass_of(case, part)
        yield


def judge_weights(case: Case, rows: Sequence[WeightRow]) -> Iterator[Requirement]:
    """The configuration entered, and every declared one where the event wants them all in weight."""
    fight = case.fight()
    if fight is not None and fight.detail["configuration"] not in case.defs.configurations:
        name = str(fight.detail["configuration"])
        unknown = Because("configuration unknown", (fight,), (("entered", name),))
        yield requirement("weight", name, [Ruling("unchecked", unknown)])
    wanted = wanted_weights(case)
    for row in rows:
        if row.configuration in wanted:
            yield judge_weight(case, row)


def judge_weight(case: Case, row: WeightRow) -> Requirement:
    """One configuration's weight within the limit."""
    figures = (
        ("kg", row.kg),
        ("u_kg", row.u_kg),
        ("limit_kg", row.limit_kg),
        ("margin_kg", row.margin_kg),
        ("how", row.how),
        ("missing", ", ".join(row.missing)),
    )
    because = Because("weight", (*row.rests_on, *row.defined), figures)
    ruling = Ruling(row.verdict, because, row.rests_on, row.inside)
    taken = None
    if row.verdict == "marginal":
        taken = acceptance(case, f"weight:{row.configuration}", row.rests_on, row.inside)
    return requirement("weight", row.configuration, [ruling], None, taken)


def wanted_weights(case: Case) -> frozenset[str]:
    """The configurations whose weight keeps the robot from fighting."""
    defined, fight = case.defs.configurations, case.fight()
    wanted = {name for name in defined if fight is not None and fight.detail["configuration"] == name}
    every = case.defs.event is not None and case.defs.event.weight_rule == "declared"
    if every:
        wanted |= {name for name in defined if is_declared(case, name)}
    elif fight is None:
        fitted = [item for item in defined.values() if is_fitted(case, item)]
        wanted |= {min(fitted, key=lambda item: item.name).id} if fitted else set()
    return frozenset(wanted)


def weight_warnings(case: Case, rows: Sequence[WeightRow]) -> Iterator[Caveat]:
    """What must not be forgotten about weight and blocks nothing: the crew's own margin, a figure not weighed."""
    margin = case.defs.robot.crew_margin_kg
    blocking = wanted_weights(case)
    for row in rows:
        if not (row.declared or row.entered) or row.margin_kg is None:
            continue
        figures = (
            ("margin_kg", row.margin_kg),
            ("crew_margin_kg", margin),
            ("kg", row.kg),
            ("u_kg", row.u_kg),
        )
        if row.verdict != "fail" and row.margin_kg < margin - LEEWAY_KG:
            yield Caveat("crew margin", row.configuration, figures)
        if row.verdict == "fail" and row.configuration not in blocking:
            yield Caveat("other over", row.configuration, figures)
        if row.entered and row.how in ("figured", "added up"):
            yield Caveat("figured", row.configuration, figures)
