"""The box as rows: how each block of it looks, and what stands behind a row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from pitcrew.bench import spares as box_of
from pitcrew.bench.detail import fact_words
from pitcrew.bench.ledger import when
from pitcrew.bench.spares import AWAY, FOUND, GOOD, Box, Buy, Gone, Spare
from pitcrew.readiness.case import Case
from pitcrew.readiness.spares import Left, torqued
from pitcrew.robot.records import Fact
from pitcrew.tui.pages.parts import life_rows
from pitcrew.tui.paint import Line, Span, labelled, line, pad, spread
from pitcrew.tui.strips import shorten

BOX, STOCK, TODAY = range(3)
TITLES = ("box", "stock", "used today, to buy")
NARROW = 76
TO_AWAY = {"quarantine": "to quarantine", "scrapped": "scrap", "lost": "lost"}
STEP = "what is left: 12; what was used: -4 for upright L; what came in: +20"


class Row(NamedTuple):
    """One row of a block: its name for the keys, and what it is of; a box without a spare is a kind with none left."""

    key: str
    box: Box | None = None
    spare: Spare | None = None
    left: Left | None = None
    gone: Gone | None = None
    buy: Buy | None = None


def rows_of(case: Case, block: int) -> list[Row]:
    """The rows of a block, what is short first."""
    if block == BOX:
        found = []
        for box in box_of.boxes(case):
            found += [] if box.spares else [Row(box.kind.id, box=box)]
            found += [Row(spare.part, box=box, spare=spare) for spare in box.spares]
        return found
    if block == STOCK:
        return [Row(now.item.id, left=now) for now in box_of.stocked(case)]
    buying = [Row(f"buy {buy.kind or buy.item or buy.part}", buy=buy) for buy in box_of.to_buy(case)]
    return [*buying, *(Row(f"used {gone.fact.id}", gone=gone) for gone in box_of.used_today(case))]


def blocks_row(counts: Sequence[str], at: int) -> Line:
    """The three blocks with what is short or to buy, the open one in brackets."""
    row: list[Span] = [Span(f"  {'lists':<9} ", "quiet")]
    for block, (title, count) in enumerate(zip(TITLES, counts, strict=True)):
        text = f"{title} {count}".rstrip()
        row.append(Span(f"[ {text} ]", "here") if block == at else Span(text, "owed" if count else "quiet"))
        row.append(Span("  "))
    return line(*row)


def _widths(width: int) -> tuple[int, int]:
    """How many columns a kind and a part get beside the figures."""
    room = width - (34 if width < NARROW else 52)
    kind = min(max(room // 2, 6), 24)
    return kind, min(max(room - kind, 8), 34)


def _name_width(width: int) -> int:
    """How many columns a name gets in the lists of stock and of today: half of what the figures leave."""
    return min((width - 21) // 2, sum(_widths(width)) + 1)


def heading(block: int, width: int) -> Line:
    """The heading of a block."""
    kind, part = _widths(width)
    named = _name_width(width)
    if block == BOX:
        text = f"{'state':<9} {pad('kind', kind)} {pad('part', part)}     kg {pad('tested', 11)} " + (
            "life used" if width >= NARROW else ""
        )
    elif block == STOCK:
        text = f"{'state':<9} {pad('what', named)}   left wanted  last counted"
    else:
        text = f"{'':<9} {pad('what', named)} number  why, where"
    return line(Span(f"  {text}", "quiet"))


def painted(case: Case, row: Row, block: int, width: int) -> Line:
    """One row of a block."""
    if block == BOX and row.box is not None:
        return _box_row(row.box, row.spare, *_widths(width), width)
    named = _name_width(width)
    if row.left is not None:
        now = row.left
        state = Span(f"{'short':<9}", "owed") if now.short else Span(f"{'enough' if now.item.wanted else '':<9}")
        last = (
            f"{when(case, now.counted.happened)} #{now.counted.entry.n}"
            if now.counted is not None
            else "never: count it"
        )
        wanted = f"{now.item.wanted:>6}" if now.item.wanted is not None else "     -"
        batch = f", batch {now.item.batch}" if now.item.batch else ""
        name = pad(shorten(now.item.name, named), named)
        return line(" ", state, f" {name} {now.left:>6} {wanted}  {last}{batch}")
    what, name, number, why = _of_today(row)
    shown = f" {pad(shorten(name, named), named)} {number:>6}  {why}"
    return line(" ", Span(f"{what:<9}", "owed" if row.buy is not None else ""), shown)


def _of_today(row: Row) -> tuple[str, str, str, str]:
    if row.buy is not None:
        number = row.buy.number
        return "buy" if number else "look at", row.buy.name, str(number or ""), row.buy.why
    gone = row.gone
    return ("used", gone.name, str(gone.number), f"{gone.where}  #{gone.fact.entry.n}") if gone else ("", "", "", "")


def _box_row(box: Box, spare: Spare | None, kind: int, part: int, width: int) -> Line:
    name = pad(shorten(box.kind.name, kind), kind)
    if spare is None:
        return line(" ", Span(f"{'none':<9}", "owed"), f" {name} none left, {box.wanted} wanted")
    # Nothing: its mass is counted with something else.
    kg = "     ?" if spare.mass_kg is None else f"{spare.mass_kg:6.3f}" if spare.mass_kg else "     -"
    tested = spare.where if spare.state == AWAY else spare.ran or "not tested"
    doubtful = spare.state == GOOD and not spare.tested and box.can_run
    state = Span(f"{spare.state:<9}", {GOOD: "", FOUND: "stop", AWAY: "quiet"}[spare.state])
    tail = Span(f" {spare.used}" if width >= NARROW else "", "owed" if spare.used_up else "")
    named = pad(shorten(spare.name, part), part)
    return line(" ", state, f" {name} {named} {kg} ", Span(pad(tested, 11), "owed" if doubtful else ""), tail)


def name_of(row: Row) -> str:
    """What a row is about."""
    if row.spare is not None:
        return row.spare.name
    if row.left is not None:
        return row.left.item.name
    if row.buy is not None:
        return f"buy {row.buy.counted}" if row.buy.number else "same batch"
    return row.box.kind.name if row.box else row.gone.name if row.gone else ""


def details(case: Case, row: Row, width: int) -> list[Line]:
    """What stands behind a row."""
    if row.box is not None:
        return [*_of_box(row.box, width), *(_of_spare(case, row.spare, width) if row.spare else [])]
    if row.left is not None:
        return _of_stock(case, row.left, width)
    if row.buy is not None:
        return _of_buy(case, row.buy, width)
    return labelled("rests on", fact_words(case, row.gone.fact), width, "quiet") if row.gone else []


def _of_buy(case: Case, buy: Buy, width: int) -> list[Line]:
    if not buy.number:
        return [*labelled("look at", buy.name, width, "owed", 3), *labelled("why", buy.why, width)]
    if buy.item is not None:
        return _sum_of(case, next(now for now in box_of.stocked(case) if now.item.id == buy.item), width)
    return _of_box(next(box for box in box_of.boxes(case) if box.kind.id == buy.kind), width)


def _of_box(box: Box, width: int) -> list[Line]:
    said = [f"{box.good} good" + (f", {box.untested} of them not tested" if box.untested else "")]
    said += [f"{box.put_away(where)} {where}" for where in TO_AWAY if box.put_away(where)]
    wanted = f"; {box.wanted} wanted" if box.wanted is not None else ""
    short = f", {box.short} short" if box.short else ""
    return labelled("box", f"{box.kind.name}: {', '.join(said)}{wanted}{short}", width, "owed" if short else "", 2)


def _of_spare(case: Case, spare: Spare, width: int) -> list[Line]:
    rows: list[Line] = []
    for index, fact in enumerate(spare.found):
        rows += labelled("" if index else "found", fact_words(case, fact), width, "owed", 2)
    rows += life_rows(case, spare.part, width)
    if spare.batch:
        rows += labelled("batch", spare.batch, width, "quiet")
    tests = [] if spare.ran.endswith(("fight", "fights")) else [case.newest("bench_tested", spare.part)]
    most = 1 if spare.state == GOOD else 2  # why it is not good may stand in the note at the end
    facts = [fact for fact in (*tests, case.whereabouts(spare.part).first()) if fact is not None]
    for index, fact in enumerate(facts):
        rows += labelled("" if index else "rests on", fact_words(case, fact), width, "quiet", most)
    return rows


def _sum_of(case: Case, now: Left, width: int) -> list[Line]:
    """What is left as it came about: counted, bought and used since."""
    used, bought = box_of.moved(case, now)
    said = [
        f"{now.counted.detail['count']} counted {when(case, now.counted.happened)}" if now.counted else "never counted"
    ]
    said += [f"{bought} bought"] if bought else []
    said += [f"{used} used"] if used else []
    wanted = f"; {now.item.wanted} wanted" if now.item.wanted is not None else ""
    short = f", {now.item.wanted - now.left} short" if now.short and now.item.wanted is not None else ""
    text = f"{now.left}: {', '.join(said)}{wanted}{short}"
    return labelled("left", text, width, "owed" if short else "", 2)


def _change(fact: Fact, took: Mapping[str, int]) -> str:
    """What an entry did to the count, as it would be typed: 18 counted, -6 used, +20 bought."""
    if fact.entry.kind != "stocked":
        return f"-{took[fact.id]}"
    sign = {"used": "-", "bought": "+"}.get(fact.detail["how"], "")
    return f"{sign}{fact.detail['count']}"


def _of_stock(case: Case, now: Left, width: int) -> list[Line]:
    rows = [*_sum_of(case, now, width), *labelled("type", STEP, width, "quiet", 2)]
    joints = box_of.taken_by(case, now.item)
    rows += labelled("goes into", ", ".join(joints), width, "quiet", 2) if joints else []
    took = {fact.id: count for fact, count in torqued(case, now.item)}
    for index, fact in enumerate(box_of.stock_story(case, now.item)):
        number = line(Span(f" #{fact.entry.n} ", "quiet"))
        text = f"{_change(fact, took):>4} {fact_words(case, fact).partition(' ')[2]}"
        said = line(Span(f"  {'' if index else 'story':<9} ", "quiet"), text)
        rows.append(spread(said, number, width - 1))
    return rows
