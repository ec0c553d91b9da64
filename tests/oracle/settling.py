"""A crew that does what is asked of it: clears what blocks, and accepts what is marginal.

Random acts alone hardly ever make a robot fit or accept a marginal reading on the entries it rests on. What blocks
is taken from the oracle, so these histories lead where the rules are decided.
"""

from __future__ import annotations

from collections.abc import Callable

from pitcrew.robot.kinds import DEFINITION_KINDS

from .acts import FIGHTS, Play
from .desk import MINUTE
from .lines import Book, current_fight, facts_of, occupant
from .now import Word, configuration_parts, fight_configuration, positions, worst
from .oracle import BLOCKS, requirements
from .plans import BASE_M, EVENT, ROBOT, Draft, chance
from .stacks import piece_key

FITTING = ("configuration", "packs", "empty")


def book_now(play: Play) -> Book:
    """Everything written so far."""
    highest = max(entry.tick for entry in play.desk.entries)
    return Book(facts_of(play.desk.entries, highest + 1), ROBOT, play.desk.time)


def asked(play: Play) -> dict[str, list[Word]]:
    """Every requirement as it stands now."""
    return dict(requirements(book_now(play), play.plan.checklists))


def look(play: Play, book: Book, part: str) -> list[Draft]:
    return [Draft("looked_at", part, {})]


def bolt(play: Play, book: Book, joint: str) -> list[Draft]:
    newton_metres = play.rng.choice((10.0, 10.0, 9.3))
    detail = {"fasteners": "all", "torque_nm": newton_metres, "locker": True, "second": "AB", "instrument": "wr"}
    return [Draft("torqued", joint, {**detail, "new_fasteners": chance(play.rng, 0.7)})]


def lock(play: Play, book: Book, joint: str) -> list[Draft]:
    """Put the locker on, and name one that there is."""
    sheet = dict(book.definition("joint", joint) or {})
    known = {**sheet, "material": "steel", "locker_name": "blue"}
    named = [] if known == sheet or chance(play.rng, 0.3) else [Draft("joint", joint, known)]
    return [*named, *bolt(play, book, joint)]


def read(key: str, instrument: str, value_m: float = BASE_M) -> Draft:
    of, dimension = key.split("/")
    detail = {"of": of, "dimension": dimension, "value_m": value_m, "instrument": instrument}
    return Draft("reading", key, detail)


def measure(play: Play, book: Book, stack: str) -> list[Draft]:
    """Every piece that is there, or the gap itself."""
    sheet = book.definition("stack", stack) or {}
    if chance(play.rng, 0.25):
        ends = [sheet[name] for name in ("low_m", "high_m") if sheet.get(name) is not None] or [BASE_M]
        middle = round(sum(ends) / len(ends), 7)
        return [Draft("direct", stack, {"value_m": middle, "instrument": play.rng.choice(("cal", "mic"))})]
    keys = {piece_key(book, piece) for chain in sheet["chains"] for piece in chain}
    instrument = play.rng.choice(("cal", "mic"))
    return [read(key, instrument) for key in sorted(key for key in keys if key is not None)]


def read_limit(play: Play, book: Book, key: str) -> list[Draft]:
    return [read(key, play.rng.choice(("cal", "mic")), round(BASE_M + play.rng.choice((0.0, 2e-5, 3e-5)), 7))]


def mend(play: Play, book: Book, root: str) -> list[Draft]:
    if chance(play.rng, 0.5):
        return [Draft("mended", root, {"how": play.rng.choice(("replaced", "taken out of use", "welded"))})]
    return [Draft("deferred", root, {"accepted_by": "AB"})]


def feel(play: Play, book: Book, act: str) -> list[Draft]:
    zones = {hit.subject for hit in book.all("hit") if hit.entry.act == act}
    return [Draft("hand_checked", zone, {"sign": False}) for zone in sorted(zones)]


def weigh(play: Play, book: Book, configuration: str) -> list[Draft]:
    """On the official scale, on the other one near the limit, or part by part; without a limit, get one first."""
    if chance(play.rng, 0.4):
        parts = [part for part in play.plan.all_parts() if chance(play.rng, 0.8)]
        return [Draft("part_weighed", p, {"value_kg": play.plan.masses[p], "instrument": "kit"}) for p in parts]
    event = dict(book.definition("event", EVENT) or {})
    if event.get("limit_kg") is None:
        return [Draft("event", EVENT, {**event, "limit_kg": play.plan.nominal_kg()}, robot=None)]
    limit = event["limit_kg"]
    scale, below = play.rng.choice((("off", 0.2), ("off", 0.1), ("shed", -0.04)))
    detail = {"value_kg": max(0.1, round(limit - below, 3)), "instrument": scale}
    return [Draft("weighed", configuration, detail)]


def swap(book: Book, place: str, part: str | None) -> list[Draft]:
    """Put a part in a place, or leave the place empty."""
    there = occupant(book, place)
    out = [] if there in (None, part) else [Draft("removed", str(there), {"to": "spares"}, place)]
    return out if part is None or part == there else [*out, Draft("fitted", part, {}, place)]


def fit_configuration(play: Play, book: Book, robot: str) -> list[Draft]:
    entered = fight_configuration(book)
    named = configuration_parts(book, entered)
    drafts = [draft for q in positions(book, "module") if q in named for draft in swap(book, q, named[q])]
    return drafts + ([Draft("declared", entered, {"declared": True})] if entered else [])


def fit_packs(play: Play, book: Book, robot: str) -> list[Draft]:
    chosen = play.rng.choice(play.plan.pack_sets)
    packs = list((book.definition("pack_set", chosen) or {})["packs"])
    drafts = [Draft("chosen", ROBOT, {"pack_set": chosen})]
    drafts += full_packs(play, packs)
    for q in positions(book, "pack"):
        drafts += swap(book, q, packs.pop(0) if packs else None)
    return drafts


def full_packs(play: Play, packs: list[str]) -> list[Draft]:
    """Packs taken off the charger full and read, most of them alike."""
    rng, drafts = play.rng, []
    for pack in packs:
        full = {"to": "full", **({"lowest_v": rng.choice((4.2, 4.2, 4.18))} if chance(rng, 0.7) else {})}
        drafts.append(Draft("charge_ended", pack, full))
        if chance(rng, 0.8):
            ohms, volts = rng.choice((0.002, 0.002, 0.002, 0.0021, 0.0025)), rng.choice((4.2, 4.2, 4.2, 4.16))
            detail = {"cells_ohm": [0.002, ohms], "cells_v": [4.2, volts], "temperature_k": 295.15}
            drafts.append(Draft("pack_read", pack, detail))
    return drafts


def renew(play: Play, book: Book, part: str) -> list[Draft]:
    """Put another part in its place, or find that its kind lasts longer."""
    places = [q for q in positions(book, "fixed", "shim") if occupant(book, q) == part]
    others = [(q, other) for q in places for other in play.plan.parts[q] if other != part]
    if others and chance(play.rng, 0.6):
        return swap(book, *play.rng.choice(others))
    name = (book.definition("part", part) or {})["part_kind"]
    sheet = {k: v for k, v in (book.definition("part_kind", name) or {}).items() if not k.startswith("life")}
    return [Draft("part_kind", name, sheet, robot=None)]


def fill(play: Play, book: Book, place: str) -> list[Draft]:
    return [Draft("fitted", play.plan.parts[place][0], {}, place)]


def answer(play: Play, book: Book, name: str) -> list[Draft]:
    detail = {"answer": "yes", "second": "AB"}
    listed = next(checklist for checklist in play.plan.checklists if checklist.id == name)
    return [Draft("answered", f"{ROBOT}/{name}/{line.id}", dict(detail)) for line in listed.lines]


CLEARS: dict[str, Callable[[Play, Book, str], list[Draft]]] = {
    "look": look,
    "joint": bolt,
    "locking": lock,
    "stack": measure,
    "limit": read_limit,
    "life": renew,
    "finding": mend,
    "hand": feel,
    "weight": weigh,
    "configuration": fit_configuration,
    "packs": fit_packs,
    "empty": fill,
    "check": answer,
}


def enter_a_fight(play: Play) -> None:
    """Enter one that has not ended, unless one is entered."""
    if current_fight(book_now(play)) is not None:
        return
    ended = {entry.subject for entry in play.desk.entries if entry.kind == "fight_ended"}
    fight = next((name for name in FIGHTS if name not in ended), f"f{len(play.desk.entries)}")
    call = play.desk.time + play.rng.choice((40, 60, 60)) * MINUTE
    detail = {"name": fight, "configuration": play.rng.choice(play.plan.configurations), "call_at": call}
    play.desk.write(Draft("entered", fight, detail, ROBOT))


def clear(play: Play, share: float, rules: tuple[str, ...]) -> None:
    """Do what clears a share of what these rules block with, long enough after what disturbed it."""
    play.desk.time += 15 * MINUTE
    book = book_now(play)
    for key, words in asked(play).items():
        rule, _, subject = key.partition(":")
        if rule not in rules or worst(words) not in BLOCKS or not chance(play.rng, share):
            continue
        for draft in CLEARS[rule](play, book, subject):
            play.desk.write(draft, by="CD", happened=play.desk.clock())


def settle(play: Play) -> None:
    """Work the list down: put in what belongs there, then prove it."""
    share = play.rng.choice((0.6, 1.0, 1.0, 1.0))
    enter_a_fight(play)
    clear(play, share, FITTING)
    clear(play, share, FITTING)
    for _ in range(2):
        clear(play, share, tuple(rule for rule in CLEARS if rule not in FITTING))


def accept(play: Play) -> None:
    """Accept what is marginal, most times on just what it rests on, at times short of one or for another fight."""
    fight = current_fight(book_now(play))
    for key, words in asked(play).items():
        if worst(words) != "marginal":
            continue
        ids = sorted({name for word in words for name in word.rests_on})
        slip = play.rng.random()
        if slip < 0.06 and ids:
            ids.remove(play.rng.choice(ids))
        name = fight.subject if fight is not None and slip < 0.95 else play.rng.choice(FIGHTS)
        play.desk.write(Draft("accepted", key, {"fight": name, "rests_on": ids}))


def sign(play: Play) -> None:
    """Put initials under the robot as it stands; at times what they rest on is written again or taken out."""
    rng, book = play.rng, book_now(play)
    fight = current_fight(book)
    spoken = [fact.id for fact in book.facts]
    name = fight.subject if fight is not None and chance(rng, 0.9) else rng.choice(FIGHTS)
    rests_on = rng.sample(spoken, min(len(spoken), 5))
    play.desk.write(Draft("signed", ROBOT, {"fight": name, "rests_on": rests_on}))
    if chance(rng, 0.25):
        chosen = rng.choice(rests_on)
        old = next(entry for entry in play.desk.entries if entry.id == chosen)
        draft = Draft(old.kind, old.subject, dict(old.detail), old.place, old.grade, old.robot)
        if old.kind not in DEFINITION_KINDS and chance(rng, 0.5):
            draft = Draft("withdrawn", old.subject, {}, robot=old.robot)
        play.desk.write(draft, happened=old.happened, replaces=old.id)


def reopen(play: Play) -> None:
    """Write something marginal rests on again: the acceptance no longer names what speaks."""
    resting = [name for words in asked(play).values() for word in words for name in word.rests_on]
    if resting:
        chosen = play.rng.choice(sorted(resting))
        old = next(entry for entry in play.desk.entries if entry.id == chosen)
        draft = Draft(old.kind, old.subject, dict(old.detail), old.place, old.grade, old.robot)
        play.desk.write(draft, happened=old.happened, replaces=old.id)


def run_out(play: Play) -> None:
    """The crew works the list down, accepts what is left most times, and now and then writes one again."""
    settle(play)
    # Most times the locker gets the time it wants.
    play.desk.time += play.rng.choice((0, 40, 40)) * MINUTE
    play.desk.wait()
    if chance(play.rng, 0.9):
        accept(play)
    if chance(play.rng, 0.85):
        play.desk.wait()
        sign(play)
    if chance(play.rng, 0.2):
        reopen(play)
