"""Signed off: asked for where the crew wants it, last of all; never fit by it, and never less fit than it is."""

from __future__ import annotations

from typing import Any

from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import CHECK as CHECKS
from pitcrew.readiness.jobs import jobs
from pitcrew.readiness.judge import only, standing_of
from pitcrew.readiness.signing import signature
from pitcrew.readiness.verdict import Requirement
from pitcrew.robot.definitions import gather
from tests.readiness.small import CHECK, Small


class Signed(Small):
    """The small robot; it wants somebody to sign before each fight."""

    def __init__(self, sign_off: bool = True) -> None:
        super().__init__()
        detail = {"name": "SMALL", "event": "ev", "crew_margin_kg": 0.1, "sign_off": sign_off}
        self.define("robot", "R", None, detail)

    def sign(self, **more: Any) -> str:
        """Sign for all that the standing rests on."""
        rests_on = [ident for item in self.standing().requirements for ident in item.evidence]
        fight = more.pop("fight", "F1")
        return self.put("signed", "R", {"rests_on": list(dict.fromkeys(rests_on)), "fight": fight}, **more).id

    def word(self) -> str | None:
        """The verdict on the signature, judged with all else and by itself."""
        found = self.verdicts().get("signed:R")
        alone = only(self.case(), ["signed:R"])
        assert [item.verdict for item in alone] == ([found] if found else [])
        return found

    def case(self) -> Case:
        definitions = gather(self.book.evidence(), "R")
        assert definitions is not None
        return Case(self.book.evidence(), definitions, self.clock.now_ms(), [CHECK])


def codes(item: Requirement) -> list[str]:
    return [reason.code for reason in item.because]


def test_it_is_asked_for_last_and_clears_when_somebody_signs() -> None:
    small = Signed()
    small.ready()
    assert small.blocks() == {"signed:R": "due"}
    standing = small.standing()
    assert standing.requirements[-1].key == "signed:R"
    assert not standing.fit
    (job,) = jobs(small.case(), standing)
    assert (job.stage, job.action, job.minutes, job.people) == (CHECKS, "sign", 1, 1)
    small.sign()
    assert small.standing().fit and small.word() == "pass"


def test_the_job_comes_after_every_list() -> None:
    small = Signed()
    small.ready()
    small.fight()
    listed = jobs(small.case(), standing_of(small.case()))
    assert len(listed) > 1 and listed[-1].action == "sign"
    assert [job.action for job in listed].count("sign") == 1


def test_nobody_is_asked_without_a_fight_or_where_the_crew_wants_no_signature() -> None:
    plain = Signed(sign_off=False)
    plain.ready()
    assert plain.word() is None and plain.standing().fit
    plain.sign()
    found = signature(plain.case())
    assert found is not None and found.gone == ()
    small = Signed()
    assert small.word() is None
    assert signature(small.case()) is None


def test_what_blocks_afterwards_asks_again_until_it_is_cleared() -> None:
    small = Signed()
    small.ready()
    small.sign()
    small.hit("D", 3)
    assert small.word() == "recheck"
    assert codes(small.requirement("signed:R")) == ["blocks since signed"]
    small.put("looked_over", "D")
    for part in ("mot1", "wh1"):
        small.put("looked_at", part)
    small.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.006, "instrument": "CAL"})
    small.put("torqued", "nuts", {"fasteners": "all", "torque_nm": 25.0, "new_fasteners": True})
    assert small.blocks() == {}


def test_an_entry_taken_out_or_put_right_asks_for_a_new_signature() -> None:
    for corrects in (True, False):
        small = Signed()
        small.ready()
        reading = next(small.book.evidence().facts("reading", "wh1/tread"))
        small.sign()
        if corrects:
            small.put("reading", "wh1/tread", dict(reading.detail), replaces=reading.id)
        else:
            small.put("reading", "wh1/tread", dict(reading.detail))
            small.put("withdrawn", "wh1/tread", replaces=reading.id)
        assert small.blocks() == {"signed:R": "recheck"}
        found = small.requirement("signed:R")
        assert (codes(found), found.because[0].figure("entry")) == (["signed entry gone"], reading.id)
        small.sign()
        assert small.standing().fit


def test_a_signature_is_for_one_fight() -> None:
    small = Signed()
    small.ready()
    small.sign()
    small.fight()
    small.answer()
    assert small.blocks() == {"signed:R": "due"}
    small.sign(fight="F2")
    # The newest for this fight counts, whatever is signed for another one after it.
    small.put("signed", "R", {"rests_on": ["nothing"], "fight": "F1"})
    assert small.word() == "pass" and small.standing().fit
    small.put("signed", "R", {"rests_on": ["nothing"], "fight": "F2"})
    assert small.word() == "recheck"


def torque(small: Small, **more: Any) -> str:
    detail = {"fasteners": "all", "torque_nm": 25.0, "instrument": "TW", "locker": True, **more}
    return small.put("torqued", "cap", detail).id


def wants_second() -> Small:
    small = Small()
    joint = next(small.book.evidence().facts("joint", "cap"))
    small.define("joint", "cap", "R", {**joint.detail, "second": True})
    small.ready()
    return small


def test_a_second_person_signs_later_for_the_torque_itself() -> None:
    small = wants_second()
    first = torque(small)
    assert small.blocks() == {"joint:cap": "due"}
    signed = {"rests_on": [first]}
    small.put("signed", "joint:cap", signed)
    assert small.blocks() == {"joint:cap": "due"}, "by the one who torqued it"
    small.put("signed", "joint:cap", {"rests_on": ["another"]}, by="EW")
    small.put("signed", "joint:nuts", signed, by="EW")
    assert small.blocks() == {"joint:cap": "due"}, "for something else"
    entry = small.put("signed", "joint:cap", signed, by="EW")
    assert small.blocks() == {}
    torque(small)
    assert small.blocks() == {"joint:cap": "due"}, "torqued again since"
    small.put("signed", "joint:cap", signed, by="EW")
    assert small.blocks() == {"joint:cap": "due"}
    assert entry.kind == "signed"


def test_a_signature_from_before_a_torque_or_for_what_was_put_right_since_does_not_hold() -> None:
    small = wants_second()
    last = torque(small)
    fact = next(small.book.evidence().facts("torqued", "cap"))
    early = fact.happened - 1
    small.put("signed", "joint:cap", {"rests_on": [last]}, by="EW", happened=early)
    assert small.blocks() == {"joint:cap": "due"}
    entry = small.put("signed", "joint:cap", {"rests_on": [last]}, by="EW")
    assert small.blocks() == {}
    small.put("torqued", "cap", {**fact.detail, "torque_nm": 24.9}, replaces=last)
    assert small.blocks() == {"joint:cap": "due"}
    small.put("withdrawn", "joint:cap", replaces=entry.id)
    assert small.blocks() == {"joint:cap": "due"}
