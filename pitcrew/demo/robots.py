"""The demo's robots as entries: their definitions, and what sat where when the book began."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from pitcrew.logbook.writing import Draft
from pitcrew.units import read

Row = Mapping[str, Any]
KINDS_OF_THE_BOOK = ("crew", "instrument", "event", "locker", "stock", "part_kind")
WRITER = "PB"
MILLIMETRE_KEYS = {"mm": "length", "kg": "mass", "N m": "torque", "V": "voltage", "mOhm": "resistance"}


class Names:
    """Ids of the demo's things by kind and name; a thing of one robot is found under that robot first."""

    def __init__(self, mint: Callable[[], str]) -> None:
        self._mint = mint
        self._ids: dict[tuple[str | None, str, str], str] = {}

    def new(self, kind: str, name: str, robot: str | None = None) -> str:
        """Mint an id for a new thing; crew members go by their initials."""
        ident = name if kind == "crew" else self._mint()
        self._ids[robot, kind, name] = ident
        return ident

    def of(self, kind: str, name: str, robot: str | None = None) -> str:
        """The id of a thing that was named before."""
        for owner in (robot, None):
            if (owner, kind, name) in self._ids:
                return self._ids[owner, kind, name]
        raise KeyError(f"the demo has no {kind} called {name!r}")

    def known(self, kind: str, name: str, robot: str | None = None) -> bool:
        """Was there a thing of this name?"""
        return (robot, kind, name) in self._ids or (None, kind, name) in self._ids


def si(text: str | None) -> float | None:
    """A figure as the demo's files write it, in SI; None stays None."""
    return read(text).si if text is not None else None


def definitions(data: Mapping[str, Any], names: Names) -> Iterator[Draft]:
    """Every definition, things of the book first, then robot by robot."""
    for kind in KINDS_OF_THE_BOOK:
        for row in data[kind]:
            yield _shared(kind, row, names)
    for row in data["robot"]:
        robot = names.new("robot", row["name"])
        detail = {**row, "event": names.of("event", row["event"])}
        yield Draft("robot", robot, WRITER, detail=detail)
        yield from _machine(data[row["name"].lower().replace(" ", "-")], robot, names)


def _shared(kind: str, row: Row, names: Names) -> Draft:
    name = row["name"] if kind != "locker" else f"{row['material']}, {row['primer']}"
    ident = names.new(kind, name)
    return Draft(kind, ident, WRITER, detail=SHARED.get(kind, dict)(row) if kind != "event" else _event(row, names))


def _event(row: Row, names: Names) -> dict[str, Any]:
    return {**row, "official_scale": names.of("instrument", row["official_scale"])}


def _crew(row: Row) -> dict[str, Any]:
    return {"role": row["role"]}


def _instrument(row: Row) -> dict[str, Any]:
    figures = {key: si(row[key]) for key in ("resolution", "permissible", "offset") if key in row}
    return {**row, **figures}


CHARGING = {
    "capacity_coulomb": "capacity",
    "current_a": "current",
    "full_v": "full",
    "storage_v": "storage",
    "spread_ohm": "spread",
    "equal_v": "equal",
    "cool_k": "cool",
}


def _part_kind(row: Row) -> dict[str, Any]:
    limits = [{"dimension": item["dimension"], "low_m": si(item["low"])} for item in row.get("limits", ())]
    detail = {**row, **({"limits": limits} if limits else {})}
    if "charging" in row:
        detail["charging"] = _charging(row["charging"])
    return detail


def _charging(row: Row) -> dict[str, Any]:
    figures = {field: si(row[name]) for field, name in CHARGING.items()}
    return {name: row[name] for name in ("cells", "cool_min", "tail_min")} | figures


SHARED: dict[str, Callable[[Row], dict[str, Any]]] = {
    "crew": _crew,
    "instrument": _instrument,
    "part_kind": _part_kind,
}


def _machine(data: Mapping[str, Any], robot: str, names: Names) -> Iterator[Draft]:
    for row in data["zone"]:
        names.new("zone", row["name"], robot)
    makers = {
        "zone": _zone,
        "position": _position,
        "part": _part,
        "configuration": _configuration,
        "pack_set": _pack_set,
        "joint": _joint,
        "stack": _stack,
    }
    for kind, make in makers.items():
        for row in data[kind]:
            known = names.known(kind, row["name"], robot) and kind == "zone"
            ident = names.of(kind, row["name"], robot) if known else names.new(kind, row["name"], robot)
            yield Draft(kind, ident, WRITER, robot, detail=make(row, robot, names))
    for row in data["fitted"]:
        part, place = names.of("part", row["part"], robot), names.of("position", row["place"], robot)
        yield Draft("fitted", part, WRITER, robot, place=place, detail={"new": False})


def _zone(row: Row, robot: str, names: Names) -> dict[str, Any]:
    return {**row, "passes_to": [names.of("zone", name, robot) for name in row["passes_to"]]}


def _position(row: Row, robot: str, names: Names) -> dict[str, Any]:
    return {**row, "zone": names.of("zone", row["zone"], robot)}


def _part(row: Row, robot: str, names: Names) -> dict[str, Any]:
    detail: dict[str, Any] = {
        "name": row["name"],
        "part_kind": names.of("part_kind", row["kind"]),
        "mass_kg": si(row["mass"]),
    }
    if "scale" in row:
        detail["mass_instrument"] = names.of("instrument", row["scale"])
    if "within" in row:
        detail["mass_tolerance_kg"] = si(row["within"])
    for name, key in (("ohm_per_cell", "cell"), ("ohm_new", "cell_new")):
        if key in row:
            detail[name] = si(row[key])
    detail |= {key: row[key] for key in ("cycles", "batch") if key in row}
    if "dimensions" in row:
        detail["dimensions"] = {key: _length(item, names) for key, item in row["dimensions"].items()}
    return detail


def _length(item: Mapping[str, str], names: Names) -> dict[str, Any]:
    figure: dict[str, Any] = {"value_m": si(item["is"]), "typed": item["is"]}
    if "with" in item:
        figure["instrument"] = names.of("instrument", item["with"])
    if "within" in item:
        figure["tolerance_m"] = si(item["within"])
    return figure


def _configuration(row: Row, robot: str, names: Names) -> dict[str, Any]:
    parts = {
        names.of("position", place, robot): names.of("part", part, robot) if part else None
        for place, part in row["parts"].items()
    }
    return {"name": row["name"], "parts": parts}


def _pack_set(row: Row, robot: str, names: Names) -> dict[str, Any]:
    return {"name": row["name"], "packs": [names.of("part", pack, robot) for pack in row["packs"]]}


def _joint(row: Row, robot: str, names: Names) -> dict[str, Any]:
    detail = {key: value for key, value in row.items() if key != "target"}
    return {
        **detail,
        "target_nm": si(row["target"]),
        "zone": names.of("zone", row["zone"], robot),
        "wrench": names.of("instrument", row["wrench"]),
        **({"stock": names.of("stock", row["stock"])} if "stock" in row else {}),
        "holds": [names.of("position", place, robot) for place in row["holds"]],
    }


def _stack(row: Row, robot: str, names: Names) -> dict[str, Any]:
    detail: dict[str, Any] = {key: row[key] for key in ("name", "recheck_from", "note") if key in row}
    for name, key in (("low_m", "low"), ("high_m", "high")):
        if key in row:
            detail[name] = si(row[key])
    for key, kind in (
        ("zones", "zone"),
        ("joints", "joint"),
        ("positions", "position"),
        ("only_in", "configuration"),
    ):
        if key in row:
            detail[key] = [names.of(kind, name, robot) for name in row[key]]
    detail["chains"] = [[_piece(piece, robot, names) for piece in chain] for chain in row["chains"]]
    return detail


def _piece(piece: Row, robot: str, names: Names) -> dict[str, Any]:
    place = piece.get("position")
    return {**piece, **({"position": names.of("position", place, robot)} if place else {})}
