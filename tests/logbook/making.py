"""Entries for the tests, and a plain reading of what counts among them to hold the book against."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from pitcrew.robot.kinds import KINDS
from pitcrew.robot.records import Entry, Fact

# A Saturday noon.
NOON = 1_780_747_200_000


def entry(
    entry_id: str,
    kind: str = "looked_at",
    subject: str = "p1",
    tick: int = 10,
    happened: int | None = None,
    writer: str = "w1",
    place: str | None = None,
    grade: int | None = None,
    replaces: str | None = None,
    act: str | None = None,
    robot: str | None = "r1",
    detail: Mapping[str, Any] | None = None,
) -> Entry:
    when = tick if happened is None else happened
    return Entry(
        entry_id,
        act or f"act-{entry_id}",
        tick,
        when,
        writer,
        "AB",
        robot,
        kind,
        subject,
        place,
        grade,
        replaces,
        dict(detail or {}),
    )


def hit(entry_id: str, because: str | None = None, source: str = "taken", **columns: Any) -> Entry:
    detail = {"source": source, **({"because": because} if because else {})}
    return entry(entry_id, "hit", columns.pop("subject", "z1"), grade=columns.pop("grade", 3), detail=detail, **columns)


def rows(path: Path) -> set[tuple[Any, ...]]:
    """The rows of a closed book without their numbers, read past the code under test."""
    with closing(sqlite3.connect(path)) as connection:
        return {row[1:] for row in connection.execute("SELECT * FROM entry")}


def ids(facts: Iterable[Fact]) -> list[str]:
    return [fact.id for fact in facts]


# --- The plain reading: lists and full scans, straight from the meaning of lines, facts and the cut.


def plain_root(item: Entry, known: dict[str, Entry]) -> str | None:
    seen = {item.id}
    while item.replaces is not None and item.replaces in known:
        item = known[item.replaces]
        if item.id in seen:
            return None
        seen.add(item.id)
    return item.id


def plain_lines(entries: Iterable[Entry], cut: int) -> tuple[dict[str, Fact], dict[str, str | None]]:
    """What speaks for each standing line, whatever it was written because of, and the root of each entry."""
    known = {item.id: item for item in entries if item.tick < cut}
    roots = {name: plain_root(item, known) for name, item in known.items()}
    facts = {}
    for root in {root for root in roots.values() if root}:
        members = [known[name] for name in known if roots[name] == root]
        if not any(member.kind == "withdrawn" for member in members):
            speaks = sorted(members, key=lambda member: (member.tick, member.writer, member.id))[-1]
            facts[root] = Fact(speaks, known[root].tick, known[root].writer, root)
    return facts, roots


def plain_ground(fact: Fact, facts: dict[str, Fact], roots: dict[str, str | None]) -> bool:
    if fact.entry.kind != "hit" or "because" not in fact.detail:
        return True
    ground = facts.get(roots.get(fact.detail["because"]) or "")
    if ground is None:
        return False
    if ground.entry.kind == "hand_checked":
        return bool(ground.detail["sign"])
    if ground.entry.kind != "finding":
        return False
    if fact.detail["source"] == "no hit seen":
        return ground.detail["what"] in {"bent", "cracked"}
    return bool(ground.detail.get("raises"))


def plain_facts(entries: Iterable[Entry], cut: int) -> list[Fact]:
    """Every fact, newest first."""
    facts, roots = plain_lines(entries, cut)
    live = [fact for fact in facts.values() if plain_ground(fact, facts, roots)]
    return sorted(live, key=lambda fact: fact.order, reverse=True)


def plain_speaking(entries: Iterable[Entry], cut: int) -> dict[str, Fact]:
    """The fact that speaks for each entry that has one."""
    facts, roots = plain_lines(entries, cut)
    return {
        name: facts[root] for name, root in roots.items() if root in facts and plain_ground(facts[root], facts, roots)
    }


# --- Small random books: few subjects and moments, so that everything meets everything.

COLUMNS: dict[str, dict[str, Any]] = {
    "looked_at": {"subject": ("p1", "p2"), "place": (None, "q1")},
    "fitted": {"subject": ("p1", "p2"), "place": ("q1", "q2")},
    "removed": {"subject": ("p1", "p2"), "place": ("q1", None), "detail": ({"to": "spares"},)},
    "fight_ended": {"subject": ("f1", "f2")},
    "hand_checked": {"subject": ("z1",), "detail": ({"sign": True}, {"sign": False})},
    "part_kind": {
        "subject": ("k1", "k2"),
        "detail": tuple({"name": name, "look_from": 2, "look": "own"} for name in ("one", "two")),
    },
    "finding": {
        "subject": ("p1",),
        "place": ("q1",),
        "detail": tuple(
            {"what": what, "position": "q1", "raises": raises} for what in ("bent", "worn") for raises in (True, False)
        ),
    },
    "hit": {"subject": ("z1", "z2"), "grade": (1, 2, 3), "detail": ({"source": "taken"},)},
    "withdrawn": {"subject": ("p1",)},
}
MOMENTS = 12


@st.composite
def columns_of(draw: st.DrawFn, kind: str, names: list[str]) -> dict[str, Any]:
    choices = {name: draw(st.sampled_from(values)) for name, values in COLUMNS[kind].items()}
    if kind == "hit" and draw(st.booleans()):
        source = draw(st.sampled_from(("taken", "no hit seen")))
        choices["detail"] = {"source": source, "because": draw(st.sampled_from([*names, "unknown"]))}
    return choices


@st.composite
def books(draw: st.DrawFn, most: int = 24) -> list[Entry]:
    """Entries of several writers with replacements of all sorts: forks, chains, rings, unknown targets."""
    names = [f"e{number:02}" for number in range(draw(st.integers(1, most)))]
    kinds: dict[str, str] = {}
    made = []
    for name in names:
        earlier = draw(st.sampled_from([None, None, *kinds, "unknown", draw(st.sampled_from(names))]))
        same = kinds.get(earlier or "")
        kind = draw(st.sampled_from([same, same, "withdrawn"] if same else sorted(set(COLUMNS) - {"withdrawn"})))
        if kind == "withdrawn" and earlier is None:
            kind = "looked_at"
        kinds[name] = kind
        tick = draw(st.integers(1, MOMENTS))
        made.append(
            entry(
                name,
                kind,
                tick=tick,
                happened=draw(st.integers(max(0, tick - 4), tick)),
                writer=draw(st.sampled_from(("w1", "w2", "w3"))),
                replaces=earlier,
                act=draw(st.sampled_from(("a1", "a2", "a3"))),
                robot=draw(st.sampled_from(("r1", "r2"))) if KINDS[kind].robot else None,
                **draw(columns_of(kind, names)),
            )
        )
    return draw(st.permutations(made))
