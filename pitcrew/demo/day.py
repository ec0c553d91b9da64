"""The demo's day as acts: each line of the day's file goes through the same use case the crew's own would."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from pitcrew.bench import (
    answering,
    correcting,
    fastening,
    fighting,
    fitting,
    looking,
    measuring,
    mending,
    packing,
    stocking,
)
from pitcrew.bench.desk import Desk
from pitcrew.demo.robots import Names, si
from pitcrew.errors import PitcrewError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.judge import judge
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.records import Entry

Row = Mapping[str, Any]


class Stage(NamedTuple):
    """What a line is played with: the desk it is written at, the demo's names, its checklists, and its clock."""

    desk: Desk
    names: Names
    checklists: Sequence[Checklist]
    moment: Callable[[str], int]
    said: dict[str, tuple[Entry, ...]]

    def of(self, kind: str, name: str) -> str:
        """The id of something of this robot."""
        return self.names.of(kind, name, self.desk.robot)

    def ids(self, kind: str, names: Sequence[str]) -> list[str]:
        """The ids of several things."""
        return [self.of(kind, name) for name in names]

    def place_or_part(self, name: str) -> str:
        """The id of a place, or of a part that has no place of that name."""
        kind = "position" if self.names.known("position", name, self.desk.robot) else "part"
        return self.of(kind, name)

    def root(self, name: str, kind: str) -> str:
        """The first entry of a kind that an earlier, named line wrote."""
        return next(entry.id for entry in self.said[name] if entry.kind == kind)

    def fight(self, name: str) -> str:
        """The id of a fight, minted where it is first named."""
        known = self.names.known("fight", name, self.desk.robot)
        return self.of("fight", name) if known else self.names.new("fight", name, self.desk.robot)


def play(stage: Stage, row: Row) -> list[Draft]:
    """The entries one line of the day writes."""
    return PLAYS[row["do"]](stage, row, row.get("note", ""))


def _note(stage: Stage, row: Row, note: str) -> list[Draft]:
    return correcting.note(stage.desk, note)


def _bench_test(stage: Stage, row: Row, note: str) -> list[Draft]:
    subject = stage.of("part", row["part"]) if "part" in row else stage.desk.robot
    return [stage.desk.draft("bench_tested", subject, note=note)]


def _found(stage: Stage, row: Row, note: str) -> list[Draft]:
    hit = stage.said[row["hit"]][0].act if "hit" in row else None
    return mending.found(
        stage.desk,
        stage.of("part", row["part"]),
        stage.of("position", row["place"]),
        row["what"],
        hit=hit,
        raises=row.get("raises", False),
        joint=stage.of("joint", row["joint"]) if "joint" in row else None,
        fasteners=row.get("fasteners"),
        size_m=si(row.get("size")),
        typed=row.get("size", ""),
        note=note,
    )


def _mended(stage: Stage, row: Row, note: str) -> list[Draft]:
    return mending.mended(stage.desk, stage.root(row["finding"], "finding"), row["how"], note)


def _deferred(stage: Stage, row: Row, note: str) -> list[Draft]:
    return mending.deferred(
        stage.desk,
        stage.root(row["finding"], "finding"),
        row["accepted_by"],
        limit_m=si(row["limit"]),
        until_fight=stage.fight(row["until_fight"]),
        note=note,
    )


def _in(stage: Stage, row: Row, note: str) -> list[Draft]:
    part, place = stage.of("part", row["part"]), stage.of("position", row["place"])
    return fitting.part_in(stage.desk, part, place, note=note)


def _out(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fitting.part_out(stage.desk, stage.of("position", row["place"]), row["to"], note)


def _put_away(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fitting.put_away(stage.desk, stage.of("part", row["part"]), row["to"], note)


def _packs_in(stage: Stage, row: Row, note: str) -> list[Draft]:
    return packing.packs_in(stage.desk, stage.of("pack_set", row["pack_set"]), _pack_read(row), note)


def _packs_out(stage: Stage, row: Row, note: str) -> list[Draft]:
    return packing.packs_out(stage.desk, _pack_read(row), note)


def _packs_looked_at(stage: Stage, row: Row, note: str) -> list[Draft]:
    packs = stage.ids("part", row["packs"])
    return [*looking.look_at(stage.desk, packs, note), *packing.read_packs(stage.desk, packs, _pack_read(row))]


def _tip_speed(stage: Stage, row: Row, note: str) -> list[Draft]:
    configuration = stage.of("configuration", row["configuration"])
    return measuring.tip_speed(stage.desk, configuration, si(row["speed"]) or 0.0, row["speed"], note)


def _counted(stage: Stage, row: Row, note: str) -> list[Draft]:
    return stocking.count(stage.desk, stage.of("stock", row["stock"]), row["count"], note)


def _on_charge(stage: Stage, row: Row, note: str) -> list[Draft]:
    charge = packing.Charged(si(row["amps"]), si(row["to_put_back"]), si(row["heat"]), row.get("watched_by", ""))
    return packing.on_charge(stage.desk, stage.ids("part", row["packs"]), charge, note)


def _off_charge(stage: Stage, row: Row, note: str) -> list[Draft]:
    return packing.off_charge(stage.desk, stage.ids("part", row["packs"]), row["to"], si(row.get("lowest")), note=note)


def _pack_read(row: Row) -> packing.PackRead:
    return packing.PackRead(
        lowest_v=si(row.get("lowest")),
        ohm_per_cell=si(row.get("cell")),
        temperature_k=si(row.get("heat")),
        used_coulomb=si(row.get("used")),
    )


def _chosen(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fitting.choose_packs(stage.desk, stage.of("pack_set", row["pack_set"]), note)


def _measured(stage: Stage, row: Row, note: str) -> list[Draft]:
    stacks = stage.desk.definitions().stacks
    pieces = {p.name: p for name in row["stacks"] for p in stacks[stage.of("stack", name)].pieces()}
    reads = [
        measuring.Read(pieces[name], si(typed) or 0.0, stage.of("instrument", tool), typed)
        for name, typed, tool in row["pieces"]
    ]
    return measuring.pieces(stage.desk, reads, note)


def _read(stage: Stage, row: Row, note: str) -> list[Draft]:
    part = stage.desk.case().occupant(stage.of("position", row["place"])) or ""
    tool = stage.of("instrument", row["instrument"])
    value = si(row["shows"]) or 0.0
    return measuring.dimension(stage.desk, part, row["dimension"], value, tool, row["shows"], note)


def _weighed(stage: Stage, row: Row, note: str) -> list[Draft]:
    configuration, scale = (
        stage.of("configuration", row["configuration"]),
        stage.of("instrument", row["scale"]),
    )
    return measuring.weigh_robot(stage.desk, configuration, si(row["shows"]) or 0.0, scale, row["shows"], note)


def _part_weighed(stage: Stage, row: Row, note: str) -> list[Draft]:
    part, scale = stage.of("part", row["part"]), stage.of("instrument", row["scale"])
    return measuring.weigh_part(stage.desk, part, si(row["shows"]) or 0.0, scale, row["shows"], note)


def _torqued(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fastening.torque(
        stage.desk,
        stage.of("joint", row["joint"]),
        si(row["torque"]) or 0.0,
        fasteners=row.get("fasteners", "all"),
        locker=row.get("locker", False),
        primer=row.get("primer", False),
        new_fasteners=row.get("new_fasteners", False),
        second=row.get("second"),
        typed=row["torque"],
        note=note,
    )


def _opened(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fastening.open_joint(stage.desk, stage.of("joint", row["joint"]), row.get("fasteners", "all"), note)


def _looked_over(stage: Stage, row: Row, note: str) -> list[Draft]:
    return looking.look_over(stage.desk, stage.ids("zone", row["zones"]), note=note)


def _looked_at(stage: Stage, row: Row, note: str) -> list[Draft]:
    return looking.look_at(stage.desk, [stage.place_or_part(name) for name in row["places"]], note)


def _driver_says(stage: Stage, row: Row, note: str) -> list[Draft]:
    return looking.driver_says(stage.desk, [stage.place_or_part(name) for name in row["places"]], note)


def _hand_check(stage: Stage, row: Row, note: str) -> list[Draft]:
    return looking.hand_check(stage.desk, stage.said[row["hit"]][0].act, row["sign"], note)


def _hit(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fighting.hit(
        stage.desk,
        stage.ids("zone", row["zones"]),
        fighting.GRADES[row["grade"]],
        row.get("source", "taken"),
        not_sure=row.get("not_sure", False),
        note=note,
    )


def _entered(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fighting.enter(
        stage.desk,
        stage.fight(row["fight"]),
        row["fight"],
        stage.of("configuration", row["configuration"]),
        opponent=row["opponent"],
        call_at=stage.moment(row["call"]),
        staging_at=stage.moment(row["staging"]),
        start_at=stage.moment(row["start"]),
        note=note,
    )


def _started(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fighting.started(stage.desk, stage.fight(row["fight"]), note)


def _ended(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fighting.ended(stage.desk, stage.fight(row["fight"]), row["result"], note)


def _left(stage: Stage, row: Row, note: str) -> list[Draft]:
    return fighting.left(stage.desk, stage.fight(row["fight"]), note)


def _declared(stage: Stage, row: Row, note: str) -> list[Draft]:
    return answering.declare(stage.desk, stage.ids("configuration", row["configurations"]), True, note)


def _undeclared(stage: Stage, row: Row, note: str) -> list[Draft]:
    return answering.declare(stage.desk, stage.ids("configuration", row["configurations"]), False, note)


def _answered(stage: Stage, row: Row, note: str) -> list[Draft]:
    checklist = next(item for item in stage.checklists if item.id == row["checklist"])
    return answering.answer_all(stage.desk, checklist, row["second"], row.get("figures"), note)


def _accepted(stage: Stage, row: Row, note: str) -> list[Draft]:
    standing = judge(stage.desk.evidence, stage.desk.robot, stage.desk.now, stage.checklists)
    part = stage.desk.case().occupant(stage.of("position", row["place"]))
    key = f"limit:{part}/{row['dimension']}"
    for requirement in standing.requirements if standing else ():
        if requirement.key == key:
            return answering.accept(stage.desk, requirement, note)
    raise PitcrewError(f"the demo accepts {key}, which is not asked for")


def _withdraw(stage: Stage, row: Row, note: str) -> list[Draft]:
    return correcting.withdraw_act(stage.desk, stage.said[row["what"]][0].act, note)


def _correct(stage: Stage, row: Row, note: str) -> list[Draft]:
    changes = {"value_kg": si(row["shows"]), "typed": row["shows"]}
    return correcting.correct(stage.desk, stage.said[row["what"]][0].id, changes, note)


PLAYS: dict[str, Callable[[Stage, Row, str], list[Draft]]] = {
    "note": _note,
    "bench test": _bench_test,
    "found": _found,
    "mended": _mended,
    "deferred": _deferred,
    "in": _in,
    "out": _out,
    "put away": _put_away,
    "packs in": _packs_in,
    "packs out": _packs_out,
    "packs looked at": _packs_looked_at,
    "counted": _counted,
    "tip speed": _tip_speed,
    "on charge": _on_charge,
    "off charge": _off_charge,
    "chosen": _chosen,
    "measured": _measured,
    "read": _read,
    "weighed": _weighed,
    "part weighed": _part_weighed,
    "torqued": _torqued,
    "opened": _opened,
    "looked over": _looked_over,
    "looked at": _looked_at,
    "driver says": _driver_says,
    "hand check": _hand_check,
    "hit": _hit,
    "entered": _entered,
    "started": _started,
    "ended": _ended,
    "left": _left,
    "declared": _declared,
    "undeclared": _undeclared,
    "answered": _answered,
    "accepted": _accepted,
    "withdraw": _withdraw,
    "correct": _correct,
}
