"""Lives in fights and in hard hits: what counts as one, when a part is due, what warns before it is."""

from __future__ import annotations

from typing import Any

from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import REPAIR, jobs
from pitcrew.readiness.judge import only, standing_of
from pitcrew.readiness.lives import blows, fought, lives
from pitcrew.robot.definitions import gather
from tests.readiness.small import CHECK, MINUTE, Small


def bearings(small: Small, **life: int) -> Small:
    """What bearings last, from now on."""
    kind = {"name": "bearing", "look_from": 3, "look": "own", "first_look": True, **life}
    small.define("part_kind", "bearing", None, kind)
    return small


def ready(**life: int) -> Small:
    return bearings(Small().ready(), **life)


def word(small: Small, part: str = "brg1") -> str | None:
    return small.verdicts().get(f"life:{part}")


def caveats(small: Small) -> list[str]:
    return [caveat.subject for caveat in small.standing().warnings if caveat.code == "last fight"]


def case_of(small: Small, evidence: Any = None) -> Case:
    evidence = evidence or small.book.evidence()
    definitions = gather(evidence, "R")
    assert definitions is not None
    return Case(evidence, definitions, small.clock.now_ms(), [CHECK])


def swap(small: Small, part: str) -> None:
    here = case_of(small).occupant("bearing")
    if here is not None:
        small.put("removed", here, {"to": "spares"}, place="bearing")
    small.put("fitted", part, {"new": False}, place="bearing")


def test_a_kind_without_a_life_is_asked_nothing() -> None:
    small = ready()
    small.fight()
    assert [key for key in small.verdicts() if key.startswith("life:")] == []


def test_a_part_is_due_with_the_fight_that_uses_its_life_up_and_warned_of_before_it() -> None:
    small = ready(life_fights=3)
    found = []
    for number in range(1, 5):
        found.append((word(small), caveats(small)))
        small.fight(f"F{number}", f"F{number + 1}")
    assert found == [("pass", []), ("pass", []), ("pass", ["brg1"]), ("due", [])]


def test_without_a_fight_entered_no_part_has_its_last_one() -> None:
    small = ready(life_fights=2)
    small.put("fight_ended", "F1")
    assert (word(small), caveats(small)) == ("pass", [])


def test_only_fights_at_a_place_of_this_robot_count() -> None:
    small = ready(life_fights=2)
    small.fight("F1", "F2")
    swap(small, "brg2")
    small.fight("F2", "F3")
    assert (word(small, "brg2"), word(small)) == ("pass", None)
    swap(small, "brg1")
    assert word(small) == "pass"
    small.put("removed", "brg1", {"to": "spares"}, place="bearing")
    small.put("fitted", "brg1", {"new": False}, place="another robot's")
    small.fight("F3", "F4")
    assert len(list(fought(case_of(small), "brg1"))) == 1
    swap(small, "brg1")
    small.fight("F4", "F5")
    assert word(small) == "due"


def test_what_a_part_came_with_counts() -> None:
    small = ready(life_fights=3, life_hard_hits=2)
    part = {"name": "bearing 1", "part_kind": "bearing", "mass_kg": 0.5, "mass_instrument": "OWN"}
    small.define("part", "brg1", "R", {**part, "fights": 2})
    assert (word(small), caveats(small)) == ("pass", ["brg1"])
    small.define("part", "brg1", "R", {**part, "fights": 3})
    found = small.requirement("life:brg1")
    assert (found.verdict, found.because[0].facts) == ("due", ())
    assert found.evidence
    small.define("part", "brg1", "R", {**part, "hard_hits": 1})
    assert word(small) == "pass"
    small.hit("W", 3)
    assert [because.figure("unit") for because in small.requirement("life:brg1").because] == ["hard hits"]


def test_only_blows_felt_hard_count_and_a_raised_one_once() -> None:
    small = ready(life_hard_hits=2)
    small.hit("W", 2)
    small.hit("U", 3)  # passes on to nobody
    assert len(list(blows(case_of(small), "brg1"))) == 0
    blow = small.hit("W", 2)
    finding = small.put("finding", "rotor1", {"what": "bent", "position": "rotor", "raises": True}, place="rotor")
    raised = {"source": "taken", "because": finding.id}
    small.book.append([blow_draft(small, "W", 3, raised)], blow.act)
    small.book.append([blow_draft(small, "W", 3, raised)], blow.act)
    assert len(list(blows(case_of(small), "brg1"))) == 1
    assert word(small) == "pass"
    small.put("withdrawn", "rotor1", replaces=finding.id)
    assert len(list(blows(case_of(small), "brg1"))) == 0
    small.hit("W", 3)
    small.hit("W", 3)
    assert word(small) == "due"


def blow_draft(small: Small, zone: str, grade: int, detail: dict[str, Any]) -> Draft:
    small.clock.set(small.clock.now_ms() + MINUTE)
    return Draft("hit", zone, "MK", robot="R", grade=grade, detail=detail)


def test_a_hit_while_the_part_was_off_is_not_its_own() -> None:
    small = ready(life_hard_hits=1)
    swap(small, "brg2")
    small.hit("W", 3)
    assert word(small, "brg2") == "due"
    swap(small, "brg1")
    assert word(small) == "pass"


def test_a_life_used_up_is_renewed_in_a_job_of_its_own() -> None:
    small = ready(life_fights=1)
    small.fight()
    case, standing = case_of(small), small.standing()
    (job,) = [job for job in jobs(case, standing) if job.action == "renew"]
    assert (job.stage, job.subject, job.zone, job.minutes) == (REPAIR, "brg1", "W", 10)
    assert [item.key for item in job.clears] == ["life:brg1"]
    swap(small, "brg2")
    assert word(small, "brg2") == "pass"
    assert "life:brg1" not in small.blocks()


def test_asked_for_alone_it_says_the_same() -> None:
    small = ready(life_fights=1, life_hard_hits=5)
    small.fight()
    small.hit("W", 3)
    whole = standing_of(case_of(small))
    wanted = tuple(item for item in whole.requirements if item.group == "life")
    assert only(case_of(small), ["life:brg1"]) == wanted
    assert [because.code for because in wanted[0].because] == ["life used up"]


class Counting:
    """Evidence that counts the facts it gave."""

    def __init__(self, evidence: Any) -> None:
        self.evidence, self.given, self.asked = evidence, 0, 0

    def __getattr__(self, name: str) -> Any:
        ask = getattr(self.evidence, name)

        def asked(*given: Any) -> Any:
            self.asked += 1
            answer = ask(*given)
            return answer if isinstance(answer, tuple) or not hasattr(answer, "__next__") else self._counted(answer)

        return asked

    def _counted(self, run: Any) -> Any:
        for fact in run:
            self.given += 1
            yield fact


def test_a_life_is_counted_no_further_back_than_it_reaches() -> None:
    small = ready(life_fights=3)
    kind = {"name": "rotor", "look_from": 2, "look": "own", "life_fights": 3}
    small.define("part_kind", "rotor", None, kind)
    for number in range(200):
        small.book.append([draft_end(small, number)])
    swap(small, "brg2")
    evidence = Counting(small.book.evidence())
    case = case_of(small, evidence)
    case.scope()
    before, given = evidence.asked, evidence.given
    found = {item.subject: item.verdict for item in only(case, ["life:brg2", "life:rotor1"])}
    assert found == {"brg2": "pass", "rotor1": "due"}
    assert evidence.given - given < 20
    assert evidence.asked - before < 12


def draft_end(small: Small, number: int) -> Draft:
    small.clock.set(small.clock.now_ms() + MINUTE)
    return Draft("fight_ended", f"G{number}", "MK", robot="R")


def test_all_of_it_is_counted_where_it_is_said() -> None:
    small = ready(life_fights=2)
    for number in range(1, 5):
        small.fight(f"F{number}", f"F{number + 1}")
    kind = case_of(small).kind("brg1")
    assert kind is not None
    (life,) = lives(case_of(small), "brg1", kind)
    assert (life.used(), life.up_to(2), life.of) == (4, 2, 2)
