"""What entries would do before they are written: what is said beforehand is what stands afterwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import answering, correcting, fastening, fighting, fitting, looking, measuring, mending
from pitcrew.bench.desk import Desk
from pitcrew.bench.preview import LONGEST, changed, previewing
from pitcrew.bench.session import Session, Source
from pitcrew.bench.supposing import touched
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.steps import finished
from pitcrew.readiness.verdict import WORST_FIRST, Requirement, Standing
from tests.bench.shop import Shop
from tests.readiness.small import CHECK, MINUTE

Doing = Callable[[Desk], Sequence[Draft]]


def bench(shop: Shop) -> Session:
    session = Session(Source(shop.book, shop.clock, shop.ids, (CHECK,)), "R")
    session.by = "MK"
    session.judge()
    return session


def ready() -> tuple[Shop, Session]:
    shop = Shop().ready()
    return shop, bench(shop)


def said(session: Session, doing: Doing) -> str:
    return finished(previewing(session, list(doing(session.desk()))))


def log(shop: Shop, session: Session, doing: Doing) -> Standing:
    """Log it at the very moment of the preview, and judge anew."""
    session.write(list(doing(session.desk())))
    return session.judge().standing


def verdict_of(standing: Standing, key: str) -> str:
    item = next(item for item in standing.requirements if item.key == key)
    return item.verdict.upper() if item.blocks else item.verdict


FIGURES = st.one_of(
    st.tuples(st.just("torque"), st.floats(20.0, 32.0)),
    st.tuples(st.just("direct"), st.floats(-0.001, 0.002)),
    st.tuples(st.just("gap"), st.floats(0.0995, 0.1015)),
    st.tuples(st.just("tread"), st.floats(0.0, 0.008)),
    st.tuples(st.just("weight"), st.floats(9.5, 10.5)),
)
KEYS = {"torque": "joint:cap", "direct": "stack:float", "gap": "stack:float", "tread": "limit:wh1/tread"}


def reading(which: str, value: float) -> Doing:
    ways: dict[str, Doing] = {
        "torque": lambda desk: fastening.torque(desk, "cap", value),
        "direct": lambda desk: measuring.direct(desk, "float", value, "CAL"),
        "gap": lambda desk: measuring.dimension(desk, "R", "gap", value, "CAL"),
        "tread": lambda desk: measuring.dimension(desk, "wh1", "tread", value, "CAL"),
        "weight": lambda desk: measuring.weigh_robot(desk, "A", value, "OWN"),
    }
    return ways[which]


@given(FIGURES)
def test_the_verdict_of_a_reading_is_the_one_that_stands_when_it_is_logged(figure: tuple[str, float]) -> None:
    which, value = figure
    shop, session = ready()
    doing = reading(which, value)
    before = said(session, doing)
    keys = touched(session.case(), doing(session.desk()))  # type: ignore[arg-type]
    standing = log(shop, session, doing)
    found = [item for item in standing.requirements if item.key in keys]
    worst = min(found, key=lambda item: WORST_FIRST.index(item.verdict))
    word = worst.verdict.upper() if worst.blocks else worst.verdict
    assert f": {word}" in before
    assert len(before) <= LONGEST + 2
    if which in KEYS:
        assert KEYS[which] in keys


ACTS: dict[str, Doing] = {
    "hit": lambda desk: fighting.hit(desk, ["W"], 3, in_fight=False),
    "not sure": lambda desk: fighting.hit(desk, ["W", "U"], 2, not_sure=True, in_fight=False),
    "light": lambda desk: fighting.hit(desk, ["D"], 1, in_fight=False),
    "open": lambda desk: fastening.open_joint(desk, "cap"),
    "swap": lambda desk: fitting.part_in(desk, "rotor2", "rotor"),
    "out": lambda desk: fitting.part_out(desk, "wheel"),
    "packs out": fitting.packs_out,
    "found": lambda desk: mending.found(desk, "wh1", "wheel", "worn"),
    "said": lambda desk: looking.driver_says(desk, ["motor"], "weapon slow"),
    "look": lambda desk: looking.look_at(desk, ["rotor"]),
    "note": lambda desk: correcting.note(desk, "belt box is empty"),
    "no": lambda desk: [desk.draft("answered", "R/test box/cut", {"answer": "no"})],
}


@pytest.mark.parametrize("name", ACTS)
def test_what_an_act_adds_and_clears_is_what_it_does(name: str) -> None:
    shop, session = ready()
    log(shop, session, lambda desk: fighting.hit(desk, ["D"], 2, in_fight=False))
    was = session.judge().standing
    before = said(session, ACTS[name])
    few = touched(session.case(), ACTS[name](session.desk()))  # type: ignore[arg-type]
    now = log(shop, session, ACTS[name])
    if few:
        assert before.rpartition(": ")[2].partition(" (")[0].lower() in {item.verdict for item in now.requirements}
    else:
        assert before == changed(was, now)


def test_a_hard_hit_says_what_it_adds_and_its_withdrawal_what_it_clears() -> None:
    _, session = ready()
    assert said(session, ACTS["hit"]) == "adds 2 RECHECK, 3 DUE"
    entries = session.write(ACTS["hit"](session.desk()))
    count = len(session.judge().standing.blocking)
    assert said(session, lambda desk: correcting.withdraw(desk, entries[0].id)) == f"clears {count}"


def test_what_changes_nothing_on_the_list_says_so() -> None:
    _, session = ready()
    assert said(session, ACTS["note"]) == "changes nothing on the list"


def test_nothing_to_write_or_nothing_judged_yet_says_nothing() -> None:
    _, session = ready()
    assert said(session, lambda desk: []) == ""
    assert said(Session(session.source, "R"), ACTS["hit"]) == ""


def test_the_figure_with_its_doubt_stands_before_the_verdict() -> None:
    _, session = ready()
    text = said(session, reading("gap", 0.1006))
    assert text.startswith("float 0.60 mm +-")
    assert text.endswith(": pass")


def test_how_many_were_judged_is_said_where_it_is_more_than_one() -> None:
    _, session = ready()
    assert said(session, reading("torque", 25.0)).endswith("(2 judged)")
    assert "judged" not in said(session, reading("tread", 0.006))


@settings(max_examples=25)
@given(st.lists(st.sampled_from(sorted(ACTS)), min_size=1, max_size=4))
def test_looking_ahead_writes_nothing_and_moves_nothing(names: list[str]) -> None:
    shop, session = ready()
    rows, before = shop.rows(), session.judge().standing
    for name in names:
        said(session, ACTS[name])
    assert shop.rows() == rows
    assert session.judge().standing == before


def _standing(verdicts: dict[str, str]) -> Standing:
    found = tuple(Requirement(key, "look", key, word, ()) for key, word in verdicts.items())
    return Standing("R", 0, None, None, False, found, (), (), None, None)


VERDICTS = st.dictionaries(st.sampled_from("abcdef"), st.sampled_from(["fail", "recheck", "due", "unchecked"]))


@given(VERDICTS, VERDICTS)
def test_what_is_added_and_cleared_adds_up(was: dict[str, str], now: dict[str, str]) -> None:
    text = changed(_standing(was), _standing(now))
    added = sum(int(word) for word in text.replace(";", "").split("clears")[0].split() if word.isdigit())
    cleared = int(text.rpartition("clears ")[2]) if "clears" in text else 0
    assert added == sum(was.get(key) != word for key, word in now.items())
    assert cleared == len(set(was) - set(now))
    assert (text == "changes nothing on the list") == (was == now)


def test_a_moment_that_passes_meanwhile_does_not_break_a_preview() -> None:
    shop, session = ready()
    steps = previewing(session, ACTS["hit"](session.desk()))
    next(steps)
    shop.clock.set(shop.clock.now_ms() + MINUTE)
    session.write(ACTS["note"](session.desk()))
    assert finished(steps).startswith("adds ")


def test_answers_are_foretold_too() -> None:
    _, session = ready()
    assert said(session, ACTS["no"]) == "test box: FAIL"
    good: Doing = lambda desk: answering.answer_all(desk, CHECK, "EW", {"cut": 12.0})  # noqa: E731
    assert said(session, good).startswith("test box: pass")
