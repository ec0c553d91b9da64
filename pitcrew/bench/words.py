"""Verdicts in sentences, the same on the screen and in the shell: when, who, what, and what clears it."""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pitcrew.bench import check_words, names, notice_words, pack_words, signing_words, spare_words
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import Because, Requirement
from pitcrew.robot.checklist import Line
from pitcrew.robot.moments import clock_text
from pitcrew.robot.records import Fact
from pitcrew.units import show

LONGEST_CHECK = 120
LEAST_SAID = Decimal("0.995")
GRADES = {1: "light", 2: "solid", 3: "hard"}


def at(case: Case, ms: int) -> str:
    """A moment as hours and minutes in the event's zone."""
    return clock_text(ms, case.defs.event.time_zone if case.defs.event else "UTC")


def length(value: float | int | str | None, digits: int | None = 2) -> str:
    """A length in millimetres."""
    return "?" if value is None else show(float(value), "length", "mm", digits)


def mass(value: float | int | str | None, digits: int = 2) -> str:
    """A mass in kilograms."""
    return "?" if value is None else show(float(value), "mass", "kg", digits)


def torque(value: float | int | str | None) -> str:
    """A torque in newton metres."""
    return "?" if value is None else show(float(value), "torque", "N m")


def doubt(value: float) -> str:
    """An expanded doubt, in the unit it comes in: two significant digits, or three where two would say too little.

    What is said is short of the doubt by half a hundredth of it at most. JCGM 100:2008, 7.2.6: at most two digits as a
    rule, rather up than down, but 28.05 as 28. Where "common sense" ends, the half hundredth, is common practice.
    """
    exact = Decimal(f"{value:.9g}")
    if not exact:
        return "0"
    two, three = (exact.quantize(Decimal(1).scaleb(exact.adjusted() - digits + 1), ROUND_HALF_UP) for digits in (2, 3))
    return f"{two if two >= exact * LEAST_SAID else three:f}"


def with_doubt(value_m: float | int | str | None, u_m: float | int | str | None) -> str:
    """A length and its doubt, in millimetres."""
    return f"{length(value_m)} +-{doubt(float(u_m or 0) * 1000)} mm"


def reason(case: Case, requirement: Requirement) -> str:
    """Why a requirement stands as it does: its reasons, each one sentence; a checklist's are counted."""
    if requirement.group == "check" and requirement.blocks:
        return _checklist_reason(case, requirement)
    return "; ".join(dict.fromkeys(said(case, because) for because in requirement.because))


def _checklist_reason(case: Case, requirement: Requirement) -> str:
    """How many lines of a list want an answer and which, as far as they fit a line on the bench."""
    total = sum(len(item.lines) for item in case.checklists if item.id == requirement.subject)
    grouped: dict[str, list[str]] = {}
    for because in requirement.because:
        grouped.setdefault(_of_line(case, because), []).append(str(because.figure("line")))
    heads = [_counted(sentence, lines, total) for sentence, lines in grouped.items()]
    room = LONGEST_CHECK - len("; ".join(heads))
    parts = []
    for head, lines in zip(heads, grouped.values(), strict=True):
        named = "" if head in grouped else _named(lines, room - 2)
        parts.append(f"{head}: {named}" if named else head)
        room -= len(parts[-1]) - len(head)
    return cut("; ".join(parts), LONGEST_CHECK)


def _of_line(case: Case, because: Because) -> str:
    return "not answered" if because.code == "not answered" else said(case, because)


def _counted(sentence: str, lines: list[str], total: int) -> str:
    """A reason with its count; one that holds for the whole list, or names its line itself, stands alone."""
    if sentence == "not answered":
        return f"{len(lines)} of {total} not answered"
    return sentence if len(lines) in (1, total) else f"{len(lines)} of {total} used up, {sentence}"


def _named(lines: list[str], room: int) -> str:
    """As many names as fit, and two dots for the rest."""
    for count in range(len(lines), 0, -1):
        text = ", ".join(lines[:count]) + (", .." if count < len(lines) else "")
        if len(text) <= room:
            return text
    return ""


def cut(text: str, width: int) -> str:
    """A text that fits a width; two dots stand for what does not."""
    return text if len(text) <= width else text[: width - 2] + ".."


def said(case: Case, because: Because) -> str:
    """One reason as a sentence."""
    return SENTENCES.get(because.code, _plain)(case, because)


def _plain(case: Case, because: Because) -> str:
    return because.code


def _who(case: Case, fact: Fact) -> str:
    return f"{at(case, fact.happened)} {fact.entry.by}"


def _note(fact: Fact) -> str:
    note = str(fact.detail.get("note") or "")
    return f": {note}" if note else ""


def _first(because: Because) -> Fact:
    return because.facts[0]


def hit_words(case: Case, fact: Fact) -> str:
    """A hit in words: its grade, zone and time, and what made it hard."""
    if fact.detail.get("source") == "no hit seen":
        found = case.evidence.speaking(str(fact.detail.get("because")))
        what = found.detail["what"] if found is not None and found.entry.kind == "finding" else "damage"
        where = names.zone_name(case, fact.subject)
        return f"{what} with no hit seen counts as a solid blow on {where} {at(case, fact.happened)}"
    grade = GRADES[fact.entry.grade or 1]
    where = names.zone_name(case, fact.subject)
    raised = ", raised by what was found" if fact.detail.get("because") and fact.entry.grade == 3 else ""
    unsure = ", not sure: counts as solid" if fact.entry.place else ""
    source = fact.detail.get("source")
    kind = {"given": "own blow", "slam": "wall slam", "landing": "landing"}.get(str(source), "hit")
    return f"{grade} {kind} on {where} {at(case, fact.happened)}{raised}{unsure}"


def _hit(case: Case, because: Because) -> str:
    return f"since then {hit_words(case, _first(because))}"


def _opened(case: Case, because: Because) -> str:
    return f"opened {_who(case, _first(because))}"


def _moved(case: Case, because: Because) -> str:
    fact = _first(because)
    place = case.defs.positions.get(fact.entry.place or "")
    way = "in" if fact.entry.kind == "fitted" else "out"
    where = f" at {place.name}" if place else ""
    return f"{names.part_name(case, fact.subject)} {way}{where} {_who(case, fact)}"


def _first_fight(case: Case, because: Because) -> str:
    return f"first fight since fitted ended {at(case, _first(because).happened)}"


def _limits(low: Any, high: Any, unit: Callable[[Any], str]) -> str:
    if low is not None and high is not None:
        return f"limits {unit(low)} to {unit(high)}"
    return f"at least {unit(low)}" if low is not None else f"at most {unit(high)}"


def _summed(case: Case, because: Because) -> str:
    figure = because.figure
    limits = _limits(figure("low_m"), figure("high_m"), length)
    return f"{with_doubt(figure('value_m'), figure('u_m'))}, {limits}"


def _read(case: Case, because: Because) -> str:
    figure = because.figure
    low, high = figure("low_m"), figure("high_m")
    limits = _limits(low, high, length)
    against = ", " if low is not None and high is not None else " against "
    return f"{with_doubt(figure('value_m'), figure('u_m'))}{against}{limits}, {_who(case, _first(because))}"


def _torqued(case: Case, because: Because) -> str:
    limit = because.figure("limit_nm")
    return f"{torque(because.figure('torque_nm'))} against {torque(limit)}, {_who(case, _first(because))}"


def _locker(case: Case, because: Because) -> str:
    age, sets, set_at = because.figure("age_min"), because.figure("set_min"), because.figure("set_at")
    when = "at staging" if case.fight() is not None else "old"
    return f"{float(age or 0):.0f} min {when}, sets in {float(sets or 0):.0f} ({at(case, int(set_at or 0))})"


def _nut_uses(case: Case, because: Because) -> str:
    return f"lock nuts on use {because.figure('uses')}, at most {because.figure('max_uses')}"


def _bent(case: Case, because: Because) -> str:
    part = names.part_name(case, _first(because).subject)
    value = because.figure("value_m")
    shown = f"; the pieces add to {length(value)}" if value is not None else ""
    return f"{part} is bent: no figure makes it pass{shown}"


def _not_measured(case: Case, because: Because) -> str:
    return f"never measured, {_limits(because.figure('low_m'), because.figure('high_m'), length)}"


def _stale_stack(words: Callable[[Case, Because], str]) -> Callable[[Case, Because], str]:
    def sentence(case: Case, because: Because) -> str:
        value = because.figure("value_m")
        expected = f"; expect {length(value)}" if value is not None else ""
        return words(case, because) + expected

    return sentence


def _missing(case: Case, because: Because) -> str:
    return f"no reading of {because.figure('missing')}"


def _feeler(case: Case, because: Because) -> str:
    goes, stops = because.figure("goes_m"), because.figure("stops_m")
    said_of = [f"{length(goes)} goes"] if goes is not None else []
    said_of += [f"{length(stops)} does not"] if stops is not None else []
    return ", ".join(said_of)


def _found(case: Case, because: Because) -> str:
    fact = _first(because)
    return f"{fact.detail['what']}, found {_who(case, fact)}{_note(fact)}"


def _ran_out(case: Case, because: Because) -> str:
    finding, _, over = because.facts
    sizes = (
        float(other.detail["size_m"])
        for other in case.facts("finding", finding.subject)
        if other.detail.get("size_m") is not None
    )
    size = next(sizes, None)
    grown = f"; {length(size, 0)} now" if size is not None else ""
    return f"run as is ran out with {names.fight_name(case, over.subject)}{grown}"


def _past_limit(case: Case, because: Because) -> str:
    _, deferral, grown = because.facts
    limit = length(deferral.detail["limit_m"], 0)
    return f"{length(grown.detail['size_m'], 0)}, run as is only to {limit}"


def _as_is(case: Case, because: Because) -> str:
    deferral = because.facts[1]
    limits = []
    if deferral.detail.get("limit_m") is not None:
        limits.append(length(deferral.detail["limit_m"], 0))
    if deferral.detail.get("until_fight"):
        limits.append(f"the end of {names.fight_name(case, str(deferral.detail['until_fight']))}")
    return f"run as is to {' or '.join(limits)}, taken on by {deferral.detail['accepted_by']}"


def _not_sure(case: Case, because: Because) -> str:
    zones = " ".join(names.zone_name(case, fact.subject) for fact in because.facts)
    where = f" in {zones}" if len(because.facts) > 1 else ""
    return f"{hit_words(case, _first(because))}; feel it by hand{where}"


def _weight(case: Case, because: Because) -> str:
    figure = because.figure
    if figure("kg") is None:
        missing = [names.part_name(case, part) for part in str(figure("missing")).split(", ") if part]
        return f"no mass known of {', '.join(missing)}" if missing else "cannot be figured: weigh it"
    if figure("limit_kg") is None:
        return f"{mass(figure('kg'))}; the sheet has no limit: type it"
    unsure = "" if figure("how") == "official" else f" +-{doubt(float(figure('u_kg') or 0))}"
    return f"{figure('how')} {mass(figure('kg'), 3)}{unsure} on {mass(figure('limit_kg'))}"


def _not_on(case: Case, because: Because) -> str:
    entered = names.configuration_name(case, str(because.figure("entered")))
    fitted = because.figure("fitted")
    return f"entered {entered}, fitted {names.configuration_name(case, str(fitted)) if fitted else 'neither'}"


def _not_declared(case: Case, because: Because) -> str:
    return f"{names.configuration_name(case, str(because.figure('entered')))} was not declared"


def _packs(where: str) -> Callable[[Case, Because], str]:
    def sentence(case: Case, because: Because) -> str:
        chosen = case.defs.pack_sets.get(str(because.figure("pack_set")))
        return f"{chosen.name if chosen else 'the set chosen'} {where} the robot"

    return sentence


def _pack_away(case: Case, because: Because) -> str:
    return f"{names.part_name(case, str(because.figure('pack')))} is {because.figure('where')}"


def _line_words(case: Case, because: Because) -> str:
    lists = (item for item in case.checklists if item.id == because.figure("checklist"))
    lines = (line for item in lists for line in item.lines if line.id == because.figure("line"))
    return next((line_text(case, line) for line in lines), "")


def line_text(case: Case, line: Line) -> str:
    """A checklist line as it is read out; where the event's rules have the wording, theirs follows."""
    rule = getattr(case.defs.event, line.text_from, "") if case.defs.event and line.text_from else ""
    return f"{line.text}: {rule}" if rule and isinstance(rule, str) else line.text


def _not_answered(case: Case, because: Because) -> str:
    return f"{_line_words(case, because)}: not answered"


def _used_up(case: Case, because: Because) -> str:
    fact = _first(because)
    return f"good for one fight; {names.fight_name(case, fact.subject)} ended {at(case, fact.happened)}"


def _touched(case: Case, fact: Fact) -> str:
    """What was touched: its place on the robot, else the part itself."""
    if fact.subject == case.robot:
        return "the transmitter" if fact.entry.kind == "reprogrammed" else case.defs.robot.name
    place = case.defs.positions.get(fact.entry.place or "")
    return place.name if place else names.part_name(case, fact.subject)


def _wiring(case: Case, because: Because) -> str:
    return f"wiring of {_touched(case, _first(because))} touched {_who(case, _first(because))}"


def _memory(case: Case, because: Because) -> str:
    return f"memory of {_touched(case, _first(because))} changed {_who(case, _first(because))}"


def _said_no(case: Case, because: Because) -> str:
    return f"{_line_words(case, because)}: no, {_who(case, _first(because))}"


def _seconds(case: Case, because: Because) -> str:
    return f"torqued {_who(case, _first(because))}, a second person has not signed"


SENTENCES: dict[str, Callable[[Case, Because], str]] = {
    "hit since": _stale_stack(_hit),
    "driver says": lambda case, b: f"driver says{_note(_first(b))}, {_who(case, _first(b))}",
    "first fight": _first_fight,
    "first fight of new fasteners": _first_fight,
    "looked at": lambda case, b: "looked at, nothing since",
    "nothing disturbed": lambda case, b: "nothing disturbed it",
    "nothing fitted": lambda case, b: "nothing sits there",
    "read": _read,
    "never torqued": lambda case, b: "never torqued",
    "opened since": _stale_stack(_opened),
    "part moved since": _stale_stack(_moved),
    "turned since": lambda case, b: f"marks turned, found {_who(case, _first(b))}",
    "torqued": _torqued,
    "second initials": _seconds,
    "no threadlocker": lambda case, b: f"no threadlocker logged with the torque {_who(case, _first(b))}",
    "set time unknown": lambda case, b: f"nobody said how long threadlocker takes on {b.figure('material')}",
    "locker age": _locker,
    "nut uses": _nut_uses,
    "bent part": _bent,
    "never measured": _not_measured,
    "piece not read": _missing,
    "summed": _summed,
    "measured directly": _read,
    "feeler": _feeler,
    "found": _found,
    "deferral ran out": _ran_out,
    "past its limit": _past_limit,
    "look each turnaround": lambda case, b: "run as is, and looked at each turnaround: not since the last fight",
    "run as is": _as_is,
    "not sure": _not_sure,
    "weight": _weight,
    "configuration not on": _not_on,
    "configuration unknown": lambda case, b: "the configuration entered is not known",
    "not declared": _not_declared,
    "pack set unknown": lambda case, b: "the pack set chosen is not in this book: choose again",
    "no packs chosen": lambda case, b: "no packs chosen for this fight",
    "packs not in": _packs("not in"),
    "pack put away": _pack_away,
    "not answered": _not_answered,
    "used up": _used_up,
    "function part moved": _moved,
    "wiring touched": _wiring,
    "memory changed": _memory,
    "answered no": _said_no,
    "packs in": _packs("in"),
    **check_words.SENTENCES,
    **notice_words.SENTENCES,
    **pack_words.SENTENCES,
    **spare_words.SENTENCES,
    **signing_words.SENTENCES,
}
