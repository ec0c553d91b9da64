"""The sheet a robot fights under and the crew list: one rule typed off the paper, somebody added, a role changed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, name_words
from pitcrew.bench.starting import label, machine_time_zone
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Event, Instrument
from pitcrew.robot.moments import zone
from pitcrew.robot.records import Evidence, Fact
from pitcrew.text import clean
from pitcrew.units import convert, read, show

ABSENT = "-"  # what is typed where the paper says nothing
LONGEST_TEXT, LONGEST_INITIALS, LONGEST_WORDING = 120, 4, 300
SI_UNITS = {"mass": "kg", "duration": "s", "speed": "m/s"}
_PLAIN = re.compile(r"(\d{1,6}(?:[.,]\d{1,6})?) ?(?:%|percent|per cent)?", re.IGNORECASE)


class Rule(NamedTuple):
    """One rule of a sheet: its field, what the trade calls it, what it takes, and in which unit it is kept.

    `takes` is a dimension, or one of percent, count, text, choice, scale, time zone. `most` is the largest figure
    that is believed, in the rule's unit; `above_zero` refuses 0. `words` are the choices as they are said, by value.
    `otherwise` is what is taken where the sheet says nothing. `rests` says what is worked out from it.
    """

    field: str
    name: str
    takes: str
    unit: str = ""
    example: str = ""
    most: float = 0.0
    above_zero: bool = False
    words: Mapping[str, str] = {}
    otherwise: str = ""
    rests: str = "nothing is worked out from it; it stands here for the crew to read"

    @property
    def measured(self) -> bool:
        """Is it a figure with a unit?"""
        return self.takes in SI_UNITS


TIP_SPEED = "the tip speed of what is entered; type tip by weapon motor, pulley to say what decides it"
NO_FIGURE = "what is typed on the checks, against this figure"
RULES = (
    Rule("name", "event", "text", example="the event's name", rests="the name of this sheet on every screen"),
    Rule("class_name", "class", "text", example="heavy"),
    Rule("limit_kg", "class limit", "mass", "kg", "113.4 kg, or 250 lb", 2000, True, rests="every weight's verdict"),
    Rule("allowance_kg", "allowance", "mass", "kg", "0.5 kg", 500, otherwise="0 kg", rests="it is added to the limit"),
    Rule(
        "official_scale",
        "official scale",
        "scale",
        example="a scale of the book, by its name",
        rests="what it shows counts as it stands, without doubt, and outranks the crew's own scales",
    ),
    Rule("weight_rule", "weight rule", "choice", words={"entered": "entered", "declared": "all configurations"},
         otherwise="entered", rests="which configurations must be within the limit: the one entered, or every one"),
    Rule("reweigh_band_percent", "re-weigh band", "percent", "%", "5 %", 100, otherwise="0 %"),
    Rule("gap_min", "gap between fights", "duration", "min", "45 min", 1440, rests="the earliest next call"),
    Rule("gap_counts_from", "gap counts from", "choice", words={"fight end": "fight end",
         "leaving the arena": "leaving the arena"}, otherwise="fight end", rests="the earliest next call"),
    Rule("postponements", "postponements", "count", "", "1", 99, otherwise="0"),
    Rule("match_s", "match length", "duration", "s", "180 s, or 3:00", 3600, True),
    Rule("staging_before_start_min", "staging before start", "duration", "min", "5 min", 1440),
    Rule("walk_min", "walk to staging", "duration", "min", "3 min", 240, otherwise="0 min",
         rests="when the robot is at staging, and so how long threadlocker has to set"),
    Rule("power_cut_s", "power cut-off", "duration", "s", "60 s", 3600, True, rests=NO_FIGURE),
    Rule("spin_down_s", "spin-down", "duration", "s", "60 s", 3600, True, rests=NO_FIGURE),
    Rule("tip_speed_cap_m_s", "tip-speed cap", "speed", "m/s", "90 m/s, or 200 mph", 1000, True, rests=TIP_SPEED),
    Rule("start_order", "start-up order", "text", example="transmitter last", rests="the wording shown on the checks"),
    Rule("clock_doubt_s", "clock doubt", "duration", "s", "120 s", 3600, otherwise="120 s",
         rests="how far two writers' clocks may be apart before it is unsure which of two lines came first"),
    Rule("time_zone", "time zone", "time zone", "", "+01:00", otherwise="UTC", rests="every time shown or typed"),
)  # fmt: skip
BY_FIELD = {rule.field: rule for rule in RULES}


def sheet_fact(evidence: Evidence, event: str | None) -> Fact | None:
    """The entry that says what a sheet is; None for a robot that fights under none."""
    return next(evidence.facts("event", event), None) if event else None


def wording(case: Case, field: str | None) -> str:
    """The words of the sheet for one rule, as they were copied off it; empty where nobody did."""
    return str(case.defs.event.wording.get(field, "")) if case.defs.event and field else ""


def shown(rule: Rule, value: Any, instruments: Mapping[str, Instrument]) -> str:
    """A rule's value as the crew reads it; empty where the sheet says nothing."""
    if value is None:
        return ""
    if rule.measured:
        return show(convert(float(value), rule.unit, SI_UNITS[rule.takes]), rule.takes, rule.unit)
    if rule.takes == "percent":
        return f"{value:g} %"
    if rule.takes == "scale":
        scale = instruments.get(str(value))
        return f"{scale.name}, {scale.what}" if scale and scale.what else scale.name if scale else "?"
    return rule.words.get(str(value), str(value))


def scales(instruments: Mapping[str, Instrument]) -> list[Instrument]:
    """The instruments that read a robot's weight."""
    return [tool for tool in instruments.values() if tool.unit == "kg"]


def value_typed(rule: Rule, text: str, instruments: Mapping[str, Instrument]) -> Any:
    """What was typed off the sheet, as it is kept; None for `-`: the sheet says nothing of it.

    Raises:
        EntryError, NotationError: it is nothing that this rule can be.
    """
    said = " ".join(clean(text).split())
    if said == ABSENT:
        if rule.field == "name":
            raise EntryError("a sheet has the name of its event.", "Type it as it is printed.", rule.name)
        return None
    if rule.measured:
        figure = read(said, expect=rule.takes, bare_unit=rule.unit, subject=rule.name).si
        return _believed(rule, convert(figure, SI_UNITS[rule.takes], rule.unit))
    if rule.takes in ("percent", "count"):
        return _plain_figure(rule, said)
    if rule.takes == "choice":
        return find(said, rule.words.items(), rule.name)
    if rule.takes == "scale":
        return find(said, ((tool.id, tool.name) for tool in scales(instruments)), "scale")
    if rule.takes == "time zone":
        zone(said)
        return said
    return label(said, rule.name) if rule.field in ("name", "class_name") else _text(rule, said)


def _text(rule: Rule, said: str) -> str:
    if not said:
        raise EntryError(f"no {rule.name} was typed.", f"As on the sheet: {rule.example}.", rule.name)
    if len(said) > LONGEST_TEXT:
        raise EntryError(f"that is too long for the {rule.name}.", f"Use at most {LONGEST_TEXT} letters.", rule.name)
    return said


def _plain_figure(rule: Rule, said: str) -> float:
    match = _PLAIN.fullmatch(said)
    count = rule.takes == "count"
    if match is None or (count and not said.isdigit()):
        kind = "whole number" if count else "percentage"
        raise EntryError(f"{said!r:.30} is no {kind}.", f"As on the sheet: {rule.example}.", rule.name)
    return _believed(rule, int(said) if count else float(match[1].replace(",", ".")))


def _believed(rule: Rule, figure: float) -> float:
    if figure < 0 or (rule.above_zero and figure == 0):
        least = "above zero" if rule.above_zero else "zero or more"
        raise EntryError(f"a {rule.name} is {least}.", f"As on the sheet: {rule.example}.", rule.name)
    if figure > rule.most:
        unit = f" {rule.unit}" if rule.unit else ""
        raise EntryError(
            f"{figure:g}{unit} is more than any {rule.name} is: the most taken is {rule.most:g}{unit}.",
            "Type the unit with it.",
            rule.name,
        )
    return figure


def change(desk: Desk, field: str, text: str) -> list[Draft]:
    """One rule of the sheet as typed off the paper; nothing to log where it stands so already.

    Raises:
        EntryError, NotationError: the robot fights under no sheet, or the rule cannot be that.
    """
    rule = BY_FIELD[field]
    return put(desk, field, value_typed(rule, text, desk.definitions().instruments))


def put(desk: Desk, field: str, value: Any) -> list[Draft]:
    """One rule of the sheet set to a value as it is kept; None takes it off the sheet."""
    defs = desk.definitions()
    fact = sheet_fact(desk.evidence, defs.robot.event)
    if fact is None:
        raise EntryError("this robot fights under no sheet yet.", "Start one: Tab e, then the event's name.", "sheet")
    detail = {name: old for name, old in fact.detail.items() if name != field}
    if value is not None:
        detail[field] = value
    if detail == fact.detail:
        return []
    _fits(Event(fact.subject, "")._replace(**_weights(detail)))
    return [Draft("event", fact.subject, desk.by, detail=detail)]


def put_wording(desk: Desk, field: str, text: str) -> list[Draft]:
    """The words of the sheet for one rule, as they are printed; `-` takes them out.

    Raises:
        EntryError: nothing was typed, it is too long, or the robot fights under no sheet.
    """
    rule, said = BY_FIELD[field], " ".join(clean(text).split())
    if not said:
        raise EntryError("no words were typed.", f"Copy them off the sheet; {ABSENT} takes them out.", rule.name)
    if len(said) > LONGEST_WORDING:
        most = f"{LONGEST_WORDING} letters; these are {len(said)}"
        raise EntryError(f"that is too long for the {rule.name}.", f"Use at most {most}.", rule.name)
    fact = sheet_fact(desk.evidence, desk.definitions().robot.event)
    kept = dict(fact.detail.get("wording") or {}) if fact is not None else {}
    kept.pop(field, None)
    if said != ABSENT:
        kept[field] = said
    return put(desk, "wording", kept or None)


def wording_line(desk: Desk, text: str) -> list[Draft]:
    """A typed line with the words of one rule: `gap between fights: at least 45 minutes lie between ..`.

    Raises:
        EntryError: no rule is named, or the words cannot be taken.
    """
    name, colon, said = text.partition(":")
    if not colon:
        raise EntryError("say which rule they are for.", "Type: wording class limit: No heavy shall ..", "wording")
    return put_wording(desk, find(name.strip(), ((rule.field, rule.name) for rule in RULES), "rule"), said)


def put_measured(desk: Desk, field: str, si: float) -> list[Draft]:
    """One rule of the sheet set to a figure in SI."""
    rule = BY_FIELD[field]
    return put(desk, field, _believed(rule, convert(si, SI_UNITS[rule.takes], rule.unit)))


def _weights(detail: Mapping[str, Any]) -> dict[str, Any]:
    return {name: detail[name] for name in ("limit_kg", "allowance_kg") if detail.get(name) is not None}


def _fits(event: Event) -> None:
    if event.limit_kg is not None and event.allowance_kg >= event.limit_kg:
        raise EntryError(
            f"an allowance of {event.allowance_kg:g} kg is as much as the class limit, {event.limit_kg:g} kg.",
            "Type both as on the sheet.",
            "allowance",
        )


def sheet_called(desk: Desk, text: str) -> Fact | None:
    """The sheet of the book with this very name, if there is one."""
    wanted = name_words(text)
    known = desk.evidence.definitions("event", None)
    return next((fact for fact in known if name_words(str(fact.detail["name"])) == wanted), None)


def under(desk: Desk, text: str) -> list[Draft]:
    """Put the robot under another sheet by the event's name: one the book has, or a new one with nothing on it.

    Raises:
        EntryError: no name, or one too long.
    """
    name = label(text, "event")
    robot = next(desk.evidence.facts("robot", desk.definitions().robot.id))
    known = sheet_called(desk, name)
    new = (
        [] if known else [Draft("event", desk.mint(), desk.by, detail={"name": name, "time_zone": machine_time_zone()})]
    )
    event = known.subject if known else new[0].subject
    if robot.detail.get("event") == event:
        return []
    return [*new, Draft("robot", robot.subject, desk.by, detail={**robot.detail, "event": event})]


def fighting_under(evidence: Evidence, event: str) -> list[str]:
    """The names of the robots that fight under a sheet."""
    return [str(f.detail["name"]) for f in evidence.definitions("robot", None) if f.detail.get("event") == event]


# the crew


def join(desk: Desk, text: str) -> list[Draft]:
    """Somebody joins the crew list: `EW electrics`. With the first one, whoever writes is listed too.

    Raises:
        EntryError: no initials, ones that somebody has, or a role too long.
    """
    initials, _, role = " ".join(clean(text).split()).partition(" ")
    if not initials or not initials.isalnum() or len(initials) > LONGEST_INITIALS:
        most = f"1 to {LONGEST_INITIALS} letters or figures"
        raise EntryError(f"{initials!r:.20} are no initials.", f"Type {most}, then the role: EW electrics.", "crew")
    crew = [fact.subject for fact in desk.evidence.definitions("crew", None)]
    if any(member.casefold() == initials.casefold() for member in crew):
        raise EntryError(f"somebody has the initials {initials!r} already.", "Use others for this one.", "crew")
    drafts = [_member(desk, initials, role)]
    if not crew and desk.by.isalnum() and desk.by.casefold() != initials.casefold():
        # A list refuses initials that are not on it: its first writer is not to be locked out by it.
        drafts.append(_member(desk, desk.by, ""))
    return drafts


def role(desk: Desk, initials: str, text: str) -> list[Draft]:
    """Somebody's role changed; `-` for none.

    Raises:
        EntryError: nobody has these initials, or the role is empty or too long.
    """
    fact = next(desk.evidence.facts("crew", initials), None)
    if fact is None:
        raise EntryError(f"nobody in the crew has the initials {initials!r:.20}.", "Add them first.", "crew")
    said = text.strip()
    if not said:
        raise EntryError("no role was typed.", "Type one: driver, mechanic, electrics; or - for none.", "role")
    draft = _member(desk, initials, "" if said == ABSENT else said)
    return [] if draft.detail == fact.detail else [draft]


def _member(desk: Desk, initials: str, text: str) -> Draft:
    return Draft("crew", initials, desk.by, detail={"role": label(text, "role")} if text else {})
