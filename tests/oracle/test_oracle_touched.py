"""The oracle held against cases worked out by hand: wiring touched and memory changed use up function checks."""

from __future__ import annotations

import pytest

from .pen import Pen, bolted, checklist, line, measured

FUNCTION = [checklist(line("direction"), line("failsafe"), stale_when=("function_part_moved",))]
EACH_FIGHT = [checklist(line("direction"), line("failsafe"))]
BOTH_KINDS = pytest.mark.parametrize("kind", ["rewired", "reprogrammed"])


def answered(pen: Pen, at: float = 10, writer: str = "a") -> Pen:
    """Both lines answered yes."""
    for name in ("direction", "failsafe"):
        pen("answered", f"R/list/{name}", at, writer=writer, answer="yes")
    return pen


def drive() -> Pen:
    """The robot with an ESC in its belly, another on the shelf, one in the spares box, and what is not its own."""
    pen = Pen()
    pen.kind("controller")
    for part in ("ESC L", "ESC R", "ESC spare"):
        pen.part(part, "controller", mass_kg=0.1)
    pen("fitted", "ESC L", place="belly")
    pen("fitted", "ESC spare", place="tail")
    pen("removed", "ESC spare", place="tail", to="spares")
    pen("robot", "S", robot="S", name="the other robot", event="E")
    pen("part", "their ESC", robot="S", name="their ESC", part_kind="controller")
    return pen


@BOTH_KINDS
@pytest.mark.parametrize("place", [None, "belly", "nose"])
@pytest.mark.parametrize("part", ["ESC L", "ESC R", "ESC spare", "blade"])
def test_a_part_of_the_robot_counts_wherever_it_is_and_whatever_its_kind(
    kind: str, part: str, place: str | None
) -> None:
    pen = answered(drive())
    pen(kind, part, 11, place=place, note="a plug was pulled")
    assert pen.word("check:list", lists=FUNCTION) == "due"
    assert pen.word("check:list", lists=EACH_FIGHT) == "pass"
    answered(pen, 12)
    assert pen.word("check:list", lists=FUNCTION) == "pass"


@BOTH_KINDS
@pytest.mark.parametrize("part", ["their ESC", "an ESC nobody knows"])
@pytest.mark.parametrize("written_under", ["R", "S"])
def test_what_is_not_the_robots_own_does_not_count_whoever_wrote_it(kind: str, part: str, written_under: str) -> None:
    pen = answered(drive())
    pen(kind, part, 11, robot=written_under)
    assert pen.word("check:list", lists=FUNCTION) == "pass"


@pytest.mark.parametrize(("robot", "word"), [("R", "due"), ("S", "pass")])
def test_a_transmitters_memory_counts_for_its_own_robot_only(robot: str, word: str) -> None:
    pen = answered(drive())
    pen("reprogrammed", robot, 11, robot=robot)
    assert pen.word("check:list", lists=FUNCTION) == word


@BOTH_KINDS
def test_nothing_else_is_unsettled(kind: str) -> None:
    pen = bolted(holds=["nose"], second=True)
    pen.kind("weapon", load_path=True, first_look=True, function_check=True, look_from=1)
    pen.instrument("caliper", resolution=1e-5)
    width = {"sign": 1, "name": "width", "dimension": "width", "position": "nose"}
    pen("stack", "gap", name="gap", zones=["front"], recheck_from=1, chains=[[width]], low_m=0.009, joints=["hub"])
    pen.fight("one", 1)
    pen.torque("hub", 5, second="CD", instrument="wrench")
    measured(pen, 10.2, 6)
    answered(pen, 7)
    before = pen.judged(lists=FUNCTION)
    assert {"look:blade", "joint:hub", "stack:gap", "weight:bare", "configuration:R"} <= before.verdicts.keys()
    assert set(before.verdicts.values()) == {"pass"}
    pen(kind, "blade", 8, place="nose")
    pen("reprogrammed", "R", 8)
    after = pen.judged(lists=FUNCTION)
    assert after.verdicts == {**before.verdicts, "check:list": "due"}
    assert (after.weights, after.fit, before.fit) == (before.weights, False, True)


@BOTH_KINDS
@pytest.mark.parametrize(
    ("writer", "minutes", "word"), [("a", 0, "pass"), ("b", 0, "due"), ("b", 2, "due"), ("b", 2.01, "pass")]
)
def test_between_writers_the_answer_must_be_later_by_more_than_the_clock_doubt(
    kind: str, writer: str, minutes: float, word: str
) -> None:
    pen = drive()
    pen(kind, "ESC L", 10)
    answered(pen, 10 + minutes, writer)
    assert pen.word("check:list", lists=FUNCTION) == word


@BOTH_KINDS
def test_a_correction_never_freshens_it_and_one_of_the_time_moves_it(kind: str) -> None:
    pen = drive()
    first = pen(kind, "ESC L", 10)
    answered(pen, 11)
    assert pen.word("check:list", lists=FUNCTION) == "pass"
    second = pen(kind, "ESC R", 10, replaces=first)
    assert pen.word("check:list", lists=FUNCTION) == "pass"
    pen(kind, "ESC R", 12, replaces=second)
    assert pen.word("check:list", lists=FUNCTION) == "due"


@BOTH_KINDS
def test_a_correction_of_the_part_and_a_withdrawal_take_it_back(kind: str) -> None:
    pen = answered(drive())
    first = pen(kind, "their ESC", 11)
    second = pen(kind, "ESC L", 11, replaces=first)
    assert pen.word("check:list", lists=FUNCTION) == "due"
    third = pen(kind, "their ESC", 11, replaces=second)
    assert pen.word("check:list", lists=FUNCTION) == "pass"
    pen(kind, "ESC L", 11, replaces=third)
    assert pen.word("check:list", lists=FUNCTION) == "due"
    pen.withdraw(first, 20)
    assert pen.word("check:list", lists=FUNCTION) == "pass"


@BOTH_KINDS
def test_each_line_is_asked_again_and_a_no_stays_a_no(kind: str) -> None:
    pen = answered(drive())
    pen(kind, "ESC L", 11)
    pen("answered", "R/list/direction", 12, answer="yes")
    assert pen.word("check:list", lists=FUNCTION) == "due"
    pen("answered", "R/list/failsafe", 12, answer="no")
    assert pen.word("check:list", lists=FUNCTION) == "fail"
    pen("answered", "R/list/failsafe", 13, answer="yes")
    assert pen.word("check:list", lists=FUNCTION) == "pass"


@BOTH_KINDS
def test_before_the_part_was_known_it_was_nobodys(kind: str) -> None:
    pen = answered(drive())
    pen(kind, "ESC new", 11)
    assert pen.word("check:list", lists=FUNCTION) == "pass"
    pen.part("ESC new", "controller")
    assert pen.word("check:list", lists=FUNCTION) == "due"
