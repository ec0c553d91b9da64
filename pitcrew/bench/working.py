"""The calculation behind a verdict, as rows: pieces, formula, numbers, result."""

from __future__ import annotations

from collections.abc import Iterator

from pitcrew.bench import names
from pitcrew.bench.runs import added_up, deciding_chain
from pitcrew.bench.words import at, doubt, length, mass, torque
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import stack_value
from pitcrew.readiness.verdict import Requirement
from pitcrew.readiness.weights import mass_of, parts_of, weight_of

# What decides in place of the sum of the pieces, which is worked out all the same.
OUTRANKS = {
    "measured directly": "measured directly, which outranks the sum of its pieces:",
    "feeler": "felt directly, which outranks the sum of its pieces:",
    "bent part": "a bent part is in it, which outranks the sum of its pieces:",
}


def working_rows(case: Case, item: Requirement) -> Iterator[str]:
    """The working of a requirement that rests on figures; none for one that rests on a look."""
    if item.group == "stack":
        yield from (OUTRANKS[because.code] for because in item.because if because.code in OUTRANKS)
        yield from stack_working(case, item.subject)
    elif item.group == "weight":
        yield from weight_working(case, item.subject)
    elif item.group == "joint":
        yield from joint_working(case, item.subject)


def stack_working(case: Case, stack: str) -> Iterator[str]:
    """Every piece with its sign, the sum, its doubt, and the limits it stands against."""
    record = case.defs.stacks[stack]
    value = stack_value(case, record)
    deciding = deciding_chain(case, record)
    # Of several chains the smallest is the gap: its own sum says more than that it is the smallest.
    working = added_up(deciding).working if deciding is not None else value.sum.working
    tools = {tool.id: tool.name for tool in case.defs.instruments.values()}
    for text in working.inputs:
        yield " ".join(tools.get(word, word) for word in text.split(" "))
    yield from filter(None, (working.formula, working.numbers, working.result))
    if len(record.chains) > 1:
        yield f"the smallest of {len(record.chains)} sums"
    if value.decision is not None:
        low, high = (length(limit) if limit is not None else "-" for limit in (record.low_m, record.high_m))
        yield f"{value.decision.word}: limits {low} to {high}, doubt {doubt(value.u_m * 1000)} mm (k = 2)"
    if working.source:
        yield f"after {working.source}"


def weight_working(case: Case, configuration: str) -> Iterator[str]:
    """The last weighing, what went in and came out since, the sum and its doubt."""
    record = case.defs.configurations[configuration]
    weight = weight_of(case, record)
    anchor = case.newest("weighed", configuration)
    if weight.how == "added up" or anchor is None:
        parts = parts_of(case, record)
        yield f"never weighed: {len(parts)} parts added up"
    else:
        tool = case.defs.instruments.get(str(anchor.detail.get("instrument")))
        scale = f" on {tool.name}" if tool else ""
        off = tool.offset if tool else 0.0
        shown = f"{float(anchor.detail['value_kg']):.2f} kg shown{scale}"
        yield f"{at(case, anchor.happened)} {anchor.entry.by} {shown} #{anchor.entry.n}"
        if off:
            yield f"{off:+.3f} kg what the scale reads low or high"
        if weight.how == "figured":
            yield from _changes(case, parts_of(case, record), parts_of(case, record, anchor))
    if weight.kg is None:
        missing = ", ".join(names.part_name(case, part) for part in weight.missing)
        yield f"no mass known of {missing}" if missing else "cannot be figured: weigh it"
        return
    yield f"= {mass(weight.kg, 3)} +-{doubt(weight.u_kg)} kg (k = 2), {weight.how}"


def _changes(case: Case, now: frozenset[str], then: frozenset[str]) -> Iterator[str]:
    for sign, part in [*((1, part) for part in sorted(now - then)), *((-1, part) for part in sorted(then - now))]:
        known = mass_of(case, part)
        shown = f"{sign * known.reading.value:+.3f} kg" if known else "? kg"
        yield f"{shown} {names.part_name(case, part)} {'in' if sign > 0 else 'out'}"


def joint_working(case: Case, joint: str) -> Iterator[str]:
    """Target and band of a joint, and what its wrench was set to."""
    record = case.defs.joints[joint]
    if record.target_nm is None:
        yield "no target torque known: type one"
        return
    off = record.target_nm * record.band_percent / 100
    yield f"target {torque(record.target_nm)}, band {record.band_percent:g} %"
    yield f"limits {record.target_nm - off:.4g} to {record.target_nm + off:.4g} N m"
    tool = case.defs.instruments.get(record.wrench or "")
    if tool is not None:
        share = f", within {tool.permissible_percent:g} %" if tool.permissible_percent else ""
        yield f"wrench {tool.name}{share}"
