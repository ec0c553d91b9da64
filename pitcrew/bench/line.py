"""The log line: what a person types, read into an act. A figure first or its subject first, or a plain verb.

262.05 gap between uprights with ROD      a reading (a bare figure is mm, N m or kg by what it is for)
hubs R 22 N m 1-4 new                     a torque, of some fasteners, new ones
113.04 kg B with SHS                      what a scale shows, for a configuration or a part
hit DR hard      hit W1 given not sure    a blow: zones, grade or not sure; taken, given, slam, landing
in wheel 5 at wheel 3      in drum      out wheel 3 to scrapped      change to D
wiring loom      memory ESC R             a plug or wire touched; a memory changed, of a part or the transmitter
ground bar       welded rear armour       a part straightened, welded, ground or drilled where it sits
reach motor R through gearbox R           opening the one opens the other from now on
tip 85 m/s N2      tip by weapon motor    how fast the weapon's tip is; which sorts of part decide it
withdraw 131                              take a line out, by its number
look wheel 4     over DR     marks hubs R     open motor R     open hubs R 1-4     note …
says whines at gearbox L     says weapon slow     wording class limit: No heavy shall ..
sign     sign motor R                     for the robot; as the second person, or for a job that is finished
shift EW     shift EW off                 somebody comes to the bench, or leaves it for today
stock M10x30 12    used M10x30 4 for upright L    bought M10x30 20    tested motor 3
pack P9 4.18 V     charge set 1 8 A 5.2 Ah watched EW     full set 1 4.19 V     packs out 46 C 5.2 Ah
add joint cap L 4 M8 25 N m in W1     what is first needed now: joint, gap, part, zone, life, limit, stock
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from pitcrew.bench import correcting, fastening, fighting, fitting, in_place, looking, measuring, wiring
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import find, pairs
from pitcrew.bench.names import fitting as fits
from pitcrew.bench.parting import numbers, parted
from pitcrew.bench.subjects import Figured
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.kinds import IN_PLACE
from pitcrew.text import clean
from pitcrew.units import Quantity, read

SOURCES = ("taken", "given", "slam", "landing")
MOST_DIGITS = 12


class Line(NamedTuple):
    """A line split up: its words, and the desk it is typed at."""

    desk: Desk
    words: tuple[str, ...]
    numbered: Callable[[int], str | None]


def drafts(desk: Desk, text: str, numbered: Callable[[int], str | None]) -> list[Draft]:
    """Read a typed line into the entries it means; `numbered` gives an entry's id by its number.

    Raises:
        EntryError: it cannot be read, or it does not fit the robot; nothing is written and nothing is lost.
    """
    # Split before cleaning: a tab between two words is a space, not nothing.
    typed = " ".join(filter(None, map(clean, text.split())))
    if not typed:
        raise EntryError("nothing was typed.", "Type a reading, a torque, a hit, in, out or withdraw.", "line")
    words = tuple(typed.split())
    verb = VERBS.get(words[0].casefold())
    if verb is not None:
        return verb(Line(desk, words[1:], numbered))
    return _figure(Line(desk, words, numbered))


def _figure(line: Line) -> list[Draft]:
    """A line with a figure in it: the figure's unit and the name decide what it is."""
    meant = parted(line.desk, line.words)
    subject, options = meant.subject, meant.options
    quantity = read(meant.figure.text, expect=subject.dimension, bare_unit=subject.unit, subject=subject.name)
    if subject.group == "joint":
        return _torque(line, subject.ident, quantity, options)
    stray = sorted(set(options) - {"with"})
    if stray:
        raise EntryError(
            f"{subject.name} takes no {', '.join(stray)}.", "Leave it out; it belongs to a torque.", "line"
        )
    tool = options.get("with")
    instrument = find(tool, pairs(line.desk.definitions().instruments), "instrument") if tool else None
    return of_figure(line.desk, subject, quantity, instrument)


def _torque(line: Line, joint: str, quantity: Quantity, options: dict[str, str]) -> list[Draft]:
    tool = options.get("with")
    fasteners = options.get("fasteners")
    return fastening.torque(
        line.desk,
        joint,
        quantity.si,
        fasteners=numbers(fasteners) if fasteners else "all",
        instrument=find(tool, pairs(line.desk.definitions().instruments), "instrument") if tool else None,
        locker={"yes": True, "no": False}.get(options.get("locker", "")),
        primer=options.get("primer") == "yes",
        new_fasteners=options.get("new") == "yes",
        second=options.get("second"),
        typed=quantity.typed,
    )


def of_figure(desk: Desk, subject: Figured, quantity: Quantity, instrument: str | None) -> list[Draft]:
    """The entry that a figure of one thing means: a torque of all its fasteners, a reading, a weight.

    Raises:
        EntryError: the robot was weighed and nobody said with which scale.
    """
    if subject.group == "joint":
        return fastening.torque(desk, subject.ident, quantity.si, instrument=instrument, typed=quantity.typed)
    if subject.group == "configuration":
        if instrument is None:
            raise EntryError("a weighing needs its scale.", "Say which: 113.04 kg B with SHS.", "with")
        return measuring.weigh_robot(desk, subject.ident, quantity.si, instrument, quantity.typed)
    if subject.group == "part":
        return measuring.weigh_part(desk, subject.ident, quantity.si, instrument, quantity.typed)
    if subject.group == "stack":
        return measuring.direct(desk, subject.ident, quantity.si, instrument, quantity.typed)
    of, name = subject.ident.rsplit("/", 1)
    return measuring.dimension(desk, of, name, quantity.si, instrument, quantity.typed)


def _hit(line: Line) -> list[Draft]:
    zones: list[str] = []
    grade, source, not_sure, in_fight = 0, "taken", False, True
    words = list(line.words)
    while words:
        typed = words.pop(0)
        word = typed.casefold()
        if word in fighting.GRADES:
            grade = fighting.GRADES[word]
        elif word in SOURCES:
            source = word
        elif word == "not" and words and words[0].casefold() == "sure":
            words.pop(0)
            not_sure = True
        elif word == "pit":
            in_fight = False
        elif word not in ("in", "the", "on"):
            zones.append(find(typed, _zones(line.desk), "zone"))
    if not zones or not (grade or not_sure):
        raise EntryError("a hit has a zone and a grade.", "Type: hit DR solid, or hit W1 not sure.", "hit")
    return fighting.hit(line.desk, zones, grade, source, not_sure=not_sure, in_fight=in_fight)


def _zones(desk: Desk) -> list[tuple[str, str]]:
    return [(zone.id, zone.name) for zone in desk.definitions().zones.values()]


def _in(line: Line) -> list[Draft]:
    part_words, place_words = _around(line.words, "at")
    if not part_words:
        raise EntryError("say what goes in.", "Type: in wheel 5, or in wheel 5 at wheel 3.", "in")
    if not place_words and len(part_words) < len(line.words):
        raise EntryError("say where it goes.", "Type: in wheel 5 at wheel 3.", "in")
    part = find(" ".join(part_words), spares(line.desk), "part")
    if place_words:
        return fitting.part_in(line.desk, part, _place(line.desk, place_words))
    from pitcrew.bench.swapping import place_for

    return fitting.part_in(line.desk, part, place_for(line.desk, part))


def _change(line: Line) -> list[Draft]:
    wanted = " ".join(word for word in line.words if word.casefold() not in ("over", "to"))
    if not wanted:
        raise EntryError("say to which configuration.", "Type: change to D.", "change")
    return fitting.change_over(line.desk, find(wanted, pairs(line.desk.definitions().configurations), "configuration"))


def spares(desk: Desk) -> list[tuple[str, str]]:
    """The robot's parts by id and name."""
    return [(fact.subject, str(fact.detail["name"])) for fact in desk.evidence.definitions("part", desk.robot)]


def _out(line: Line) -> list[Draft]:
    place_words, to = _around(line.words, "to")
    where = " ".join(to).casefold() or None
    if where not in (None, "spares", "quarantine", "scrapped", "lost"):
        raise EntryError(f"{where!r:.30} is not where a part goes.", "Say spares, quarantine, scrapped or lost.", "to")
    return fitting.part_out(line.desk, _place(line.desk, place_words), where)


def _around(words: tuple[str, ...], word: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    for index, found in enumerate(words):
        if found.casefold() == word:
            return words[:index], words[index + 1 :]
    return words, ()


def _place(desk: Desk, words: tuple[str, ...]) -> str:
    return find(" ".join(words), pairs(desk.definitions().positions), "place")


def _withdraw(line: Line) -> list[Draft]:
    return correcting.withdraw(line.desk, _named(line, "withdraw 131"), " ".join(line.words[1:]))


def _correct(line: Line) -> list[Draft]:
    return correcting.correct_as(line.desk, _named(line, "correct 131 1.17 kg"), " ".join(line.words[1:]))


def _named(line: Line, example: str) -> str:
    number = "".join(line.words[:1]).lstrip("#")
    readable = number.isascii() and number.isdigit() and len(number) <= MOST_DIGITS
    ident = line.numbered(int(number)) if readable else None
    if ident is None:
        raise EntryError("name the line by its number.", f"Type: {example}; the log shows the numbers.", "line")
    return ident


def _look(line: Line) -> list[Draft]:
    return looking.look_at(line.desk, [_place(line.desk, line.words)])


def _over(line: Line) -> list[Draft]:
    if not line.words:
        raise EntryError("say which zones were looked over.", "Type: over DR, or over all.", "over")
    if [word.casefold() for word in line.words] == ["all"]:
        return looking.look_over(line.desk, list(line.desk.definitions().zones))
    zones = dict.fromkeys(find(word, _zones(line.desk), "zone") for word in line.words)
    return looking.look_over(line.desk, list(zones))


def _wiring(line: Line) -> list[Draft]:
    named, text = _sitting(line.desk), " ".join(line.words)
    if not text:
        raise EntryError("say whose wiring was touched.", "Type: wiring loom, the part or its place.", "wiring")
    # A name may hold commas itself, so the whole of it goes first.
    apart = [text] if len(fits(text, named)) == 1 else [name for name in text.split(",") if name.strip()]
    return wiring.wiring_touched(line.desk, [find(name.strip(), named, "part") for name in apart])


def _worked(how: str) -> Callable[[Line], list[Draft]]:
    def worked(line: Line) -> list[Draft]:
        if not line.words:
            raise EntryError(f"say which part was {how}.", f"Type: {how} rear armour.", how)
        return in_place.worked(line.desk, find(" ".join(line.words), _sitting(line.desk), "part"), how)

    return worked


def _tip(line: Line) -> list[Draft]:
    from pitcrew.bench.tips import tip

    return tip(line.desk, line.words)


def _reach(line: Line) -> list[Draft]:
    joint, through = _around(line.words, "through")
    if not joint or not through:
        raise EntryError("say which joint, and through which.", "Type: reach motor R through gearbox R.", "reach")
    joints = pairs(line.desk.definitions().joints)
    named, others = find(" ".join(joint), joints, "joint"), " ".join(through)
    apart = () if others.casefold() == "nothing" else tuple(find(name, joints, "joint") for name in others.split(","))
    return in_place.reached_through(line.desk, named, apart)


def _memory(line: Line) -> list[Draft]:
    robot, text = line.desk.robot, " ".join(line.words)
    if not text:
        raise EntryError("say whose memory was changed.", "Type: memory ESC R, or memory transmitter.", "memory")
    itself = [(robot, line.desk.definitions().robot.name), (robot, "transmitter")]
    return wiring.memory_changed(line.desk, find(text, [*_sitting(line.desk), *itself], "part"))


def _sitting(desk: Desk) -> list[tuple[str, str]]:
    """The robot's parts by id and name, and by the names of the places they sit at."""
    case = desk.case()
    held = ((case.occupant(place), name) for place, name in pairs(case.defs.positions))
    return [*spares(desk), *((part, name) for part, name in held if part is not None)]


def _joint(line: Line) -> str:
    return find(" ".join(line.words), pairs(line.desk.definitions().joints), "joint")


def _marks(line: Line) -> list[Draft]:
    return fastening.marks_good(line.desk, _joint(line))


def _open(line: Line) -> list[Draft]:
    from pitcrew.bench.parting import trailing_fasteners

    words, some = trailing_fasteners(line.words, (joint.name for joint in line.desk.definitions().joints.values()))
    try:
        return fastening.open_joint(line.desk, _joint(line._replace(words=words)), some or "all")
    except EntryError as error:
        if not line.words or "there is no joint" not in error.message:
            raise
        new = f"A new one is typed with its torque: 25 N m 4 M8 {' '.join(line.words):.20} in W1."
        raise EntryError(error.message, f"{new} {error.hint}".rstrip(), error.place) from None


def _add(line: Line) -> list[Draft]:
    from pitcrew.bench.adding import add

    return add(line.desk, line.words)


def _stock(line: Line) -> list[Draft]:
    from pitcrew.bench.stocking import counted_line

    return counted_line(line.desk, line.words)


def _used(line: Line) -> list[Draft]:
    from pitcrew.bench.stocking import used_line

    return used_line(line.desk, line.words)


def _bought(line: Line) -> list[Draft]:
    from pitcrew.bench.stocking import bought_line

    return bought_line(line.desk, line.words)


def _tested(line: Line) -> list[Draft]:
    from pitcrew.bench.spares import bench_tested

    return bench_tested(line.desk, find(" ".join(line.words), spares(line.desk), "part"))


def _sign(line: Line) -> list[Draft]:
    from pitcrew.bench.signing import sign_called

    return sign_called(line.desk, " ".join(line.words))


def _shift(line: Line) -> list[Draft]:
    from pitcrew.bench.shifts import shift_line

    return shift_line(line.desk, line.words)


def _says(line: Line) -> list[Draft]:
    from pitcrew.bench.symptoms import says

    return says(line.desk, " ".join(line.words))


def _wording(line: Line) -> list[Draft]:
    from pitcrew.bench.sheeting import wording_line

    return wording_line(line.desk, " ".join(line.words))


def _packs(verb: str) -> Callable[[Line], list[Draft]]:
    def packs(line: Line) -> list[Draft]:
        from pitcrew.bench.pack_lines import line_of

        return line_of(verb, line.desk, line.words)

    return packs


def _note(line: Line) -> list[Draft]:
    if not line.words:
        raise EntryError("the note is empty.", "Type: note belt box is empty.", "note")
    return correcting.note(line.desk, " ".join(line.words))


VERBS: dict[str, Callable[[Line], list[Draft]]] = {
    "hit": _hit,
    "in": _in,
    "out": _out,
    "change": _change,
    "withdraw": _withdraw,
    "correct": _correct,
    "look": _look,
    "over": _over,
    "marks": _marks,
    "open": _open,
    "note": _note,
    "wording": _wording,
    "says": _says,
    "add": _add,
    "sign": _sign,
    "shift": _shift,
    "wiring": _wiring,
    "memory": _memory,
    "reach": _reach,
    "tip": _tip,
    **{how: _worked(how) for how in IN_PLACE},
    "stock": _stock,
    "used": _used,
    "bought": _bought,
    "tested": _tested,
    **{verb: _packs(verb) for verb in ("pack", "packs", "charge", "full", "storage", "stopped", "quarantine")},
}
