"""The box as plain text and as data for the shell: spares, stock, what went out today and what is to buy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from pitcrew.bench.spares import AWAY, FOUND, Spare, boxes, stocked, to_buy, used_today
from pitcrew.bench.standing import View
from pitcrew.bench.words import cut
from pitcrew.text import plain

ROW = "  {:<9} {:<16} {:<20} {:<11} {}"
WIDTH = 80


def spares_lines(item: View) -> Iterator[str]:
    """A robot's box: each spare with how it stands, stock, what is to buy, what went out today."""
    yield plain(item.robot)
    yield ROW.format("state", "kind", "part", "tested", "life used")
    for box in boxes(item.case):
        if not box.spares:
            yield _row("none", box.kind.name, "", "", f"{box.wanted} wanted")
        for spare in box.spares:
            yield _row(spare.state, box.kind.name, spare.name, _tested(spare), spare.used)
    for now in stocked(item.case):
        wanted = f"{now.item.wanted} wanted" if now.item.wanted is not None else ""
        counted = "" if now.counted is not None else "never counted"
        yield _row("short" if now.short else "stock", now.item.name, f"{now.left} left", wanted, counted)
    for buy in to_buy(item.case):
        yield _line("buy" if buy.number else "look at", f"{buy.counted}: {buy.why}")
    for gone in used_today(item.case):
        yield _line("used", f"{gone.number} {gone.name} {gone.where}")


def _tested(spare: Spare) -> str:
    return spare.where if spare.state == AWAY else spare.ran or "not tested"


def _row(*parts: str) -> str:
    state, kind, name, tested, used = parts
    return plain(cut(ROW.format(state, cut(kind, 16), cut(name, 20), tested, used), WIDTH)).rstrip()


def _line(state: str, text: str) -> str:
    return plain(cut(f"  {state:<9} {text.strip()}", WIDTH)).rstrip()


def spares_data(views: Sequence[View], book: str) -> dict[str, Any]:
    """The same of each robot as plain data."""
    return {"book": book, "robots": [_robot(item) for item in views]}


def _robot(item: View) -> dict[str, Any]:
    case = item.case
    return {
        "robot": item.robot,
        "spares": [
            {
                "kind": box.kind.name,
                "part": spare.name,
                "state": spare.where if spare.state == AWAY else spare.state,
                "found": [str(fact.detail["what"]) for fact in spare.found] if spare.state == FOUND else [],
                "tested": spare.tested,
                "kg": spare.mass_kg,
                "life_used": spare.used,
            }
            for box in boxes(case)
            for spare in box.spares
        ],
        "wanted": [
            {"kind": box.kind.name, "good": box.good, "wanted": box.wanted, "short": box.short}
            for box in boxes(case)
            if box.wanted is not None
        ],
        "stock": [
            {"item": now.item.name, "left": now.left, "wanted": now.item.wanted, "counted": now.counted is not None}
            for now in stocked(case)
        ],
        "to_buy": [{"what": buy.name, "number": buy.number, "why": buy.why} for buy in to_buy(case)],
        "used_today": [
            {"what": gone.name, "number": gone.number, "where": gone.where, "entry": gone.fact.id}
            for gone in used_today(case)
        ],
    }
