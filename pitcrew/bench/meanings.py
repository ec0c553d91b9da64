"""What a line may mean while it is typed: the entries it would write, in words, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from pitcrew.bench import line as lines
from pitcrew.bench.correcting import note
from pitcrew.bench.desk import Desk
from pitcrew.bench.entry_words import entry_words, note_words, subject_name
from pitcrew.bench.fighting import GRADES
from pitcrew.bench.names import fitting, name_words, pairs
from pitcrew.bench.parting import readable, ways
from pitcrew.bench.subjects import Figured, fits, subjects
from pitcrew.bench.usual import last_value, usual_instrument
from pitcrew.errors import EntryError, NotationError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.robot.records import Entry, Evidence
from pitcrew.text import clean
from pitcrew.units import Quantity, read, show

MOST = 4
NEAR = 0.2
FAR = 0.25
LEAST_FAR_M = 0.001
Drafting = Callable[[Desk], list[Draft]]


class Meaning(NamedTuple):
    """One thing a line may mean: in words, the entries it makes, and why it may be a slip (empty: it is none).

    A guess is one of several things that fit as well.
    """

    text: str
    drafts: Drafting
    doubtful: str = ""
    guess: bool = False


class Read(NamedTuple):
    """What a line was read as: its meanings, the likeliest first, and why there is none."""

    meanings: tuple[Meaning, ...]
    refusal: str = ""


def read_line(desk: Desk, text: str, numbered: Callable[[int], str | None]) -> Read:
    """What a typed line may mean at this desk; `numbered` gives an entry's id by its number."""
    typed = " ".join(filter(None, map(clean, text.split())))
    if not typed:
        return Read(())
    if readable(typed) is not None and not _fasteners_only(typed):
        return Read((*_guesses(_by_value(desk, typed)), _note(typed)))
    hit = as_hit(desk, typed)
    try:
        drafts = lines.drafts(desk, hit or typed, numbered)
    except EntryError as error:
        several = _guesses(_several(desk, typed)) if "more than one" in error.message else ()
        return Read((*several[: MOST - 1], _note(typed))) if several else _unknown(desk, typed, error)
    said = hit or typed
    again: Drafting = lambda at: lines.drafts(at, said, numbered)  # noqa: E731  the same line at the desk that signs
    if typed.split()[0].casefold() == "add":
        return Read((_adding(desk, drafts, again),))
    if any(draft.kind == "stock" for draft in drafts):
        return Read((_stocking(desk, drafts, again),))
    return Read((Meaning(drafts_words(desk.evidence, drafts), again, _slip(desk, drafts)),))


def _unknown(desk: Desk, typed: str, error: EntryError) -> Read:
    """What a refused line adds if what it names is new; else why it cannot be."""
    from pitcrew.bench.adding_words import unknown

    try:
        use, drafts = unknown(desk, typed, error)
    except EntryError as refused:
        return Read((), refused.sentence)
    found = _adding(desk, drafts, lambda at: use(at, typed))
    part = next((draft for draft in drafts if draft.kind == "part"), None)
    # A part's mass is typed every day; one letter wrong must not make another part of it.
    return Read((found._replace(doubtful=f"nothing is called {part.detail['name']} yet") if part else found,))


def _adding(desk: Desk, drafts: list[Draft], again: Drafting) -> Meaning:
    from pitcrew.bench.adding_words import nearly, said

    return Meaning(said(desk, drafts), again, nearly(desk, drafts))


def _stocking(desk: Desk, drafts: list[Draft], again: Drafting) -> Meaning:
    """A count that adds its item, or changes it; one letter wrong must not make another item of it."""
    found = _adding(desk, drafts, again)
    item = next(draft for draft in drafts if draft.kind == "stock")
    new = next(desk.evidence.facts("stock", item.subject), None) is None
    return found._replace(doubtful=f"nothing in stock is called {item.detail['name']} yet") if new else found


def _guesses(found: Iterator[Meaning]) -> tuple[Meaning, ...]:
    meanings = tuple(found)
    return tuple(item._replace(guess=True) for item in meanings) if len(meanings) > 1 else meanings


def as_hit(desk: Desk, typed: str) -> str:
    """The line of a hit that begins with its zone: DR solid is hit DR solid; empty when it is no such line."""
    words = typed.casefold().split()
    zones = {zone.name.casefold() for zone in desk.definitions().zones.values()}
    graded = any(word in GRADES for word in words[1:]) or "not sure" in typed.casefold()
    return f"hit {typed}" if len(words) > 1 and words[0] in zones and graded else ""


def drafts_words(evidence: Evidence, drafts: list[Draft]) -> str:
    """What drafts say, as the logbook will say it."""
    if not drafts:
        return "it is so already"
    said = [_words(evidence, draft) for draft in drafts]
    return "; ".join(dict.fromkeys(said))


def _words(evidence: Evidence, draft: Draft) -> str:
    fact = evidence.speaking(draft.replaces) if draft.replaces else None
    if fact is None:
        return _said(evidence, draft.entry())
    if draft.kind == "withdrawn":
        return f"withdraws #{fact.entry.n} {_said(evidence, fact.entry)}"
    return f"puts #{fact.entry.n} right: {_said(evidence, draft.entry())}"


def _said(evidence: Evidence, entry: Entry) -> str:
    return " ".join(filter(None, (entry_words(entry), subject_name(evidence, entry), note_words(entry))))


def _fasteners_only(typed: str) -> bool:
    return "-" in typed[1:] and typed.replace("-", "").isdigit()


def _note(typed: str) -> Meaning:
    return Meaning("neither: keep it as a note", lambda at: note(at, typed))


def _by_value(desk: Desk, typed: str) -> Iterator[Meaning]:
    """Things whose last figure is near the one typed, the nearest first."""
    case = desk.case()
    near: list[tuple[float, int, Figured, Quantity]] = []
    read_as: dict[tuple[str, str], Quantity | None] = {}
    for index, (item, last) in enumerate(known(case)):
        kind = (item.dimension, item.unit)
        if kind not in read_as:
            read_as[kind] = _quantity(typed, item)
        quantity = read_as[kind]
        if last and quantity is not None:
            off = abs(quantity.si - last) / abs(last)
            if off <= NEAR:
                near.append((off, index, item, quantity))
    for _, _, item, quantity in sorted(near, key=lambda found: found[:2])[: MOST - 1]:
        yield figure_meaning(desk, item, quantity)


@lru_cache(maxsize=4)
def known(case: Case) -> tuple[tuple[Figured, float | None], ...]:
    """Everything a figure can be of, with its last figure; found out once a case."""
    return tuple((item, last_value(case, item)) for item in subjects(case))


def _quantity(typed: str, item: Figured) -> Quantity | None:
    try:
        return read(typed, expect=item.dimension, bare_unit=item.unit, subject=item.name)
    except NotationError:
        return None


def _several(desk: Desk, typed: str) -> Iterator[Meaning]:
    """Everything of a name that fits more than one thing."""
    named = [item for item, _ in known(desk.case())]
    seen: set[tuple[str, str]] = set()
    for figure, rest in ways(tuple(typed.split())):
        for item in fits(" ".join(rest), named):
            if (item.group, item.ident) in seen or figure.dimension not in ("", item.dimension):
                continue
            quantity = _quantity(figure.text, item)
            if quantity is None:
                continue
            seen.add((item.group, item.ident))
            yield figure_meaning(desk, item, quantity)


def figure_meaning(desk: Desk, item: Figured, quantity: Quantity) -> Meaning:
    """A figure as a reading, torque or weight of one thing, with the instrument it is usually read with."""
    case = desk.case()
    tool = usual_instrument(case, item)
    record = case.defs.instruments.get(tool or "")
    drafts: Drafting = lambda at: lines.of_figure(at, item, quantity, tool)  # noqa: E731
    shown = show(quantity.si, item.dimension, item.unit)
    with_tool = f" with {record.name}" if record else ""
    return Meaning(f"{item.name} {shown}{with_tool}", drafts, far_off(last_value(case, item), item, quantity.si))


def far_off(last: float | None, item: Figured, si: float) -> str:
    """Why a figure may be a slip: it is far from the last one of the same thing. Empty when it is not."""
    if last is None:
        return ""
    off = abs(si - last)
    near = off <= LEAST_FAR_M if item.dimension == "length" and abs(last) < LEAST_FAR_M * 4 else off <= FAR * abs(last)
    if near:
        return ""
    was, by = (show(value, item.dimension, item.unit) for value in (last, off))
    return f"{by} off the last {item.name}, {was}"


def _slip(desk: Desk, drafts: list[Draft]) -> str:
    """Is the one figure of these drafts far from its last? Packs that should not be charged yet are a slip too."""
    charged = [draft.subject for draft in drafts if draft.kind == "charge_started"]
    if charged:
        from pitcrew.bench.packing import doubt_of

        return doubt_of(desk.case(), charged)
    if len(drafts) != 1:
        return ""
    draft, case = drafts[0], desk.case()
    groups = {"reading": "value_m", "torqued": "torque_nm", "weighed": "value_kg", "part_weighed": "value_kg"}
    name = groups.get(draft.kind)
    if name is None:
        return ""
    for item, last in known(case):
        if item.ident == draft.subject:
            return far_off(last, item, float(draft.detail[name]))
    return ""


def things(desk: Desk, text: str) -> list[tuple[str, str, str]]:
    """Things of the robot that a typed name finds: what sort, id, name; places before the parts of like name."""
    case = desk.case()
    defs = case.defs
    tables: dict[str, Mapping[str, Any]] = {
        "place": defs.positions,
        "joint": defs.joints,
        "stack": defs.stacks,
        "configuration": defs.configurations,
        "pack set": defs.pack_sets,
    }
    # A zone's short name alone means that zone, though its letters begin a word of another's title.
    zones = [
        (ident, name) for ident, zone in defs.zones.items() for name in (zone.name, f"{zone.name} {zone.title}".strip())
    ]
    named = {"zone": zones, **{sort: pairs(records) for sort, records in tables.items()}}
    fights = {fact.subject: str(fact.detail["name"]) for fact in case.evidence.at_place("entered", case.robot)}
    named["fight"] = list(fights.items())
    named["stock"] = [(fact.subject, str(fact.detail["name"])) for fact in case.evidence.definitions("stock", None)]
    named["checklist"] = [(item.id, item.title) for item in case.checklists]
    parts = case.evidence.definitions("part", case.robot)
    named["part"] = [(fact.subject, str(fact.detail["name"])) for fact in parts]
    found = []
    for sort, known_of in named.items():
        names = dict(known_of)
        found += [(sort, ident, names[ident]) for ident in fitting(text, known_of)]
    wanted = name_words(text)
    # A name in full goes first; what a place says in brackets besides its name is not part of it.
    return sorted(found, key=lambda thing: wanted not in (name_words(thing[2]), name_words(thing[2].partition("(")[0])))
