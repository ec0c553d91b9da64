"""What is supposed is judged as if it had been written, and only what drafts speak to is judged anew."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from random import Random
from typing import Any, TypeVar

import pytest

from pitcrew.bench import answering, correcting, fastening, fighting, fitting, looking, measuring, mending
from pitcrew.bench.desk import Desk
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.standing import view
from pitcrew.bench.supposing import SPEAKS_TO, SUPPOSED, Supposed, supposing, touched
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.judge import judge, only, standing_of
from pitcrew.robot.definitions import gather
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry, Fact
from tests.bench.demo_day import HEAVY, DemoDay
from tests.bench.shop import Shop
from tests.oracle import acts
from tests.oracle.desk import Desk as Pen
from tests.oracle.histories import Case as History
from tests.oracle.histories import random_book
from tests.oracle.plans import DIMENSIONS, ROBOT, Plan, definition, random_plan, subjects

# The same books for every question; those of the first seeds are kept.
SEEDS = range(80)
book_of = lru_cache(maxsize=len(SEEDS))(random_book)

Found = TypeVar("Found")
Maker = Callable[["Bench"], list[Draft]]


class Bench:
    """The use cases at a desk of a random robot, each with something random to do."""

    def __init__(self, book: Book, history: History, plan: Plan, rng: Random) -> None:
        self.history, self.plan, self.rng = history, plan, rng
        ids = SeededIds(rng.getrandbits(30))
        happened = history.now - 1 if rng.random() < 0.2 else None
        self.desk = Desk(book.evidence(), ROBOT, "AB", history.now, lambda: ids.mint(history.now), happened)
        pen = Pen(rng, 1)
        pen.entries, pen.time = list(history.entries), history.now
        self.play = acts.Play(plan, rng, pen)

    def some(self, kind: str) -> Entry:
        """An entry of a kind, whether it counts or not."""
        found = [entry for entry in self.history.entries if entry.kind == kind]
        if not found:
            raise EntryError("nothing like that.", "Try another.", kind)
        return self.rng.choice(found)


def correct(bench: Bench) -> list[Draft]:
    logged = [entry for entry in bench.history.entries if entry.kind not in DEFINITION_KINDS]
    old = bench.rng.choice(logged or [bench.some("nothing logged")])
    changes: dict[str, Any] = bench.rng.choice(
        (
            {"happened": max(0, old.happened - bench.rng.choice((1, 60_000, 600_000)))},
            {"raises": bench.rng.choice((True, None))} if old.kind == "finding" else {"note": "again"},
            {"grade": bench.rng.randint(1, 3)} if old.kind == "hit" else {"note": "again"},
            {"what": "worn"} if old.kind == "finding" else {},
            {"sign": bench.rng.choice((True, False))} if old.kind == "hand_checked" else {},
        )
    )
    return correcting.correct(bench.desk, old.id, changes)


def find(bench: Bench) -> list[Draft]:
    rng = bench.rng
    blow = bench.some("hit").act if rng.random() < 0.5 else None
    what, raises = rng.choice(acts.WHATS), rng.random() < 0.5
    joint = rng.choice((None, *bench.plan.joints))
    place = bench.play.place()
    return mending.found(bench.desk, bench.play.part(), place, what, hit=blow, raises=raises, joint=joint)


def answer(bench: Bench) -> list[Draft]:
    checklist = bench.rng.choice(bench.plan.checklists)
    line = bench.rng.choice(checklist.lines)
    said = bench.rng.choice(("yes", "yes", "no", "skipped"))
    return answering.answer(bench.desk, checklist, line, said, second="CD" if bench.rng.random() < 0.7 else None)


def read(bench: Bench) -> list[Draft]:
    value, tool = 0.010 + bench.rng.randint(-4, 4) * 5e-5, bench.rng.choice(("cal", "mic", None))
    if bench.rng.random() < 0.3:
        return measuring.dimension(bench.desk, ROBOT, bench.rng.choice(("g", "h")), value, tool)
    return measuring.dimension(bench.desk, bench.play.part(), bench.rng.choice(DIMENSIONS), value, tool)


def mend(bench: Bench) -> list[Draft]:
    finding = bench.some("finding").id
    if bench.rng.random() < 0.5:
        return mending.mended(bench.desk, finding, bench.rng.choice(("replaced", "welded")))
    return mending.deferred(bench.desk, finding, "AB", limit_m=0.015)


def define(bench: Bench) -> list[Draft]:
    named = subjects(bench.plan)
    kind = bench.rng.choice([kind for kind in named if kind != "crew"])
    draft = definition(bench.plan, bench.rng, kind, bench.rng.choice(named[kind]))
    old = next(bench.desk.evidence.facts(kind, draft.subject), None)
    replaces = old.id if old is not None and bench.rng.random() < 0.5 else None
    return [Draft(kind, draft.subject, "AB", draft.robot, replaces=replaces, detail=draft.detail)]


def raw(bench: Bench) -> list[Draft]:
    """An act of the histories, as it stands there."""
    make = bench.rng.choice([make for make, _ in acts.ACTS])
    return [Draft(d.kind, d.subject, "CD", d.robot, d.place, d.grade, None, d.detail) for d in make(bench.play)]


SPEAKING: tuple[Maker, ...] = (
    read,
    answer,
    lambda bench: measuring.direct(bench.desk, bench.rng.choice(bench.plan.stacks), 0.010, "mic"),
    lambda bench: measuring.weigh_part(bench.desk, bench.play.part(), 0.5, "kit"),
    lambda bench: measuring.weigh_robot(bench.desk, bench.rng.choice(bench.plan.configurations), 3.0, "shed"),
    lambda bench: fastening.torque(
        bench.desk, bench.rng.choice(bench.plan.joints), 10.0, instrument="wr", second="CD", new_fasteners=True
    ),
    lambda bench: fastening.torque(bench.desk, bench.rng.choice(bench.plan.joints), 10.0, fasteners=[1]),
    lambda bench: fastening.marks_good(bench.desk, bench.rng.choice(bench.plan.joints)),
    lambda bench: looking.look_over(
        bench.desk, [bench.play.zone()], [bench.play.part()] if bench.rng.random() < 0.3 else []
    ),
    lambda bench: looking.look_at(bench.desk, [bench.play.place()]),
    lambda bench: looking.hand_check(bench.desk, bench.some("hit").act, False),
)
REACHING: tuple[Maker, ...] = (
    raw,
    raw,
    correct,
    correct,
    find,
    mend,
    define,
    lambda bench: fighting.hit(bench.desk, [bench.play.zone()], bench.rng.randint(1, 3), not_sure=True),
    lambda bench: fighting.ended(bench.desk, bench.some("entered").subject),
    lambda bench: fighting.enter(bench.desk, "f9", "nine", bench.rng.choice(bench.plan.configurations)),
    lambda bench: fitting.part_in(bench.desk, bench.play.part(), bench.play.place()),
    lambda bench: fitting.part_out(bench.desk, bench.play.place(), bench.rng.choice(("spares", "quarantine"))),
    lambda bench: fitting.choose_packs(bench.desk, bench.rng.choice(bench.plan.pack_sets)),
    lambda bench: fastening.open_joint(bench.desk, bench.rng.choice(bench.plan.joints)),
    lambda bench: answering.declare(bench.desk, bench.plan.configurations, bench.rng.random() < 0.5),
    lambda bench: looking.hand_check(bench.desk, bench.some("hit").act, True),
    lambda bench: correcting.withdraw(bench.desk, bench.rng.choice(bench.history.entries).id),
    lambda bench: correcting.withdraw(bench.desk, bench.some("finding").id),
    lambda bench: correcting.withdraw_act(bench.desk, bench.rng.choice(bench.history.entries).act),
)


def made(bench: Bench, makers: Sequence[Maker], turn: int, tries: int = 12) -> list[Draft]:
    """What the use case whose turn it is gives; after some tries another, where it is refused."""
    for attempt in range(tries):
        maker = makers[turn % len(makers)] if attempt < tries / 2 else bench.rng.choice(makers)
        try:
            drafts = maker(bench)
        except EntryError:
            continue
        if drafts:
            return [draft._replace(id=draft.id or f"{SUPPOSED} {place}") for place, draft in enumerate(drafts)]
    return []


@contextmanager
def at_the_bench(seed: int, size: int = 25) -> Iterator[tuple[Book, Bench]]:
    """A random book as far as its cut, ready to be written on by the writer of its newest entry."""
    history = book_of(seed, size)
    kept = tuple(entry for entry in history.entries if entry.tick < history.cut)
    rng = Random(seed)
    with Book.memory(FixedClock(history.now), SeededIds(1)) as book:
        book.insert_raw(kept, checked=True)
        book.writer = max(kept, key=lambda entry: entry.tick).writer if kept else "w"
        yield book, Bench(book, history._replace(entries=kept), random_plan(rng), rng)


def told(value: Any) -> Any:
    """What is judged, without the ticks and rows that only writing gives."""
    if isinstance(value, Fact):
        return (value.entry._replace(tick=0, n=0), value.writer, value.root)
    return tuple(map(told, value)) if isinstance(value, tuple) else value


def supposed_as_written(seed: int, makers: Sequence[Maker]) -> str:
    """Assert that drafts supposed judge as drafts written; what was supposed."""
    with at_the_bench(seed) as (book, bench):
        if not bench.history.entries or gather(book.evidence(), ROBOT) is None:
            return "no robot"
        drafts = made(bench, makers, seed)
        evidence = Supposed(Remembered(book.evidence()), drafts, bench.history.now, book.writer)
        supposed = judge(evidence, ROBOT, bench.history.now, bench.history.checklists)
        book.append(drafts, act=SUPPOSED)
        if evidence.whole:
            written = judge(book.evidence(), ROBOT, bench.history.now, bench.history.checklists)
            assert told(supposed) == told(written), [draft.kind for draft in drafts]
            check_answers(evidence, book)
        return " ".join(sorted({draft.kind for draft in drafts})) if evidence.whole else "not whole"


def check_answers(evidence: Supposed, book: Book) -> None:
    """The questions that judging seldom asks."""
    written = book.evidence()
    for entry in book.entries(limit=12):
        named = entry.id if entry.replaces is None else entry.replaces
        assert told(evidence.speaking(named)) == told(written.speaking(named))
        assert told(evidence.act(entry.act)) == told(written.act(entry.act))
        for robot in (ROBOT, None):
            assert told(evidence.definitions(entry.kind, robot)) == told(written.definitions(entry.kind, robot))


def proved(prove: Callable[[int], Found], seeds: Iterable[int]) -> list[Found]:
    """What was found of each seed; one that goes wrong is named."""
    found = []
    for seed in seeds:
        try:
            found.append(prove(seed))
        except AssertionError as error:
            error.add_note(f"seed {seed}")
            raise
    return found


def test_what_is_supposed_is_judged_as_if_it_were_written_whatever_sort_of_draft_it_is() -> None:
    seen = proved(lambda seed: supposed_as_written(seed, SPEAKING + REACHING), SEEDS)
    kinds = {kind for words in seen for kind in words.split()}
    wanted = {"reading", "torqued", "hit", "fitted", "removed", "finding", "withdrawn", "answered"}
    assert wanted <= kinds
    assert seen.count("not whole") < 5


def test_corrections_and_withdrawals_are_supposed_as_if_they_were_written() -> None:
    proved(lambda seed: supposed_as_written(seed, REACHING[2:5] + REACHING[-4:]), SEEDS[::2])


def only_what_is_touched(seed: int) -> tuple[int, int]:
    """Assert that drafts change nothing but what they touch; how much is touched and changed."""
    with at_the_bench(seed) as (book, bench):
        evidence = Remembered(book.evidence())
        defined = evidence.gathered(ROBOT)
        drafts = made(bench, SPEAKING, seed)
        if defined is None or not drafts:
            return 0, 0
        case = Case(evidence, defined, bench.history.now, bench.history.checklists)
        before = {item.key: item for item in standing_of(case).requirements}
        keys = touched(case, drafts)
        after = {item.key: item for item in standing_of(supposing(case, drafts, book.writer)).requirements}
        changed = {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}
        assert changed <= set(keys), [draft.kind for draft in drafts]
        asked = only(supposing(case, drafts, book.writer), keys)
        assert asked == tuple(item for key, item in after.items() if key in keys)
        return len(keys), len(changed)


@pytest.mark.soak
def test_supposing_for_long() -> None:
    proved(lambda seed: supposed_as_written(seed, SPEAKING + REACHING), range(20_000))
    proved(only_what_is_touched, range(20_000))


def test_drafts_change_only_what_they_touch_which_is_little() -> None:
    sizes = proved(only_what_is_touched, SEEDS[:40])
    assert sum(changed for _, changed in sizes) > 12
    assert all(size <= 14 for size, _ in sizes)


def test_what_may_touch_anything_names_nothing(shop: Shop) -> None:
    shop.ready()
    case = shop.case()
    reading = measuring.dimension(shop.desk(), "R", "gap", 0.1005, "CAL")
    assert touched(case, reading) == ("stack:float",)
    for drafts in (
        fighting.hit(shop.desk(), ["W"], 3),
        fitting.part_out(shop.desk(), "rotor"),
        [*reading, *fighting.hit(shop.desk(), ["W"], 3)],
        [reading[0]._replace(replaces="another")],
    ):
        assert touched(case, drafts) == ()
    assert set(SPEAKS_TO).isdisjoint({"hit", "fitted", "removed", "fight_ended", "withdrawn"})


def test_supposing_writes_nothing(shop: Shop) -> None:
    shop.ready()
    before = shop.rows()
    found = standing_of(supposing(shop.case(), fighting.hit(shop.desk(), ["W"], 3), shop.book.writer))
    assert "joint:cap" in {item.key for item in found.blocking}
    assert shop.rows() == before


def test_a_line_that_does_not_count_is_not_put_right(shop: Shop) -> None:
    shop.ready()
    entry = shop.put("looked_at", "brg1")
    case, gone = shop.case(), shop.do(correcting.withdraw, entry.id)
    for evidence, replaces in ((case.evidence, "unknown"), (shop.book.evidence(), entry.id)):
        with pytest.raises(EntryError):
            Supposed(evidence, [Draft("looked_at", "brg1", "MK", "R", replaces=replaces)], case.now, "w")
    draft = Draft("looked_at", "brg1", "MK", "R", replaces=entry.id)
    withdrawn = draft._replace(kind="withdrawn")
    with pytest.raises(EntryError):
        Supposed(case.evidence, [withdrawn, draft], case.now, "w")
    assert gone[0].kind == "withdrawn"


def test_a_draft_corrects_another_of_the_same_act(shop: Shop) -> None:
    shop.ready()
    first = Draft("looked_at", "brg1", "MK", "R", id="first")
    second = Draft("looked_at", "mot1", "MK", "R", replaces="first")
    evidence = Supposed(shop.book.evidence(), [first, second], shop.clock.now_ms(), shop.book.writer)
    assert [fact.root for fact in evidence.facts("looked_at", "mot1")] == ["first"]
    assert list(evidence.facts("looked_at", "brg1")) == []


def test_a_second_try_is_what_the_first_one_wrote(shop: Shop) -> None:
    shop.ready()
    draft = Draft("looked_at", "brg1", "MK", "R", id="once")
    shop.book.append([draft])
    evidence = Supposed(shop.book.evidence(), [draft], shop.clock.now_ms(), shop.book.writer)
    assert len(list(evidence.facts("looked_at", "brg1"))) == 1


def hits_felt(evidence: Supposed, zone: str, act: str) -> list[list[str]]:
    """The hits on a zone, as each question that gives hits has them."""
    runs = (evidence.hits(zone, 1), evidence.facts("hit", zone), evidence.definitions("hit", "R"))
    of_act = (fact for fact in evidence.act(act) if fact.entry.kind == "hit")
    return [[fact.id for fact in run] for run in (*runs, of_act)]


def test_a_hit_goes_with_what_it_was_written_because_of(shop: Shop) -> None:
    shop.ready()
    hit, found = shop.do(mending.found, "rotor1", "rotor", "bent")
    evidence, now, writer = shop.book.evidence(), shop.clock.now_ms(), shop.book.writer
    for drafts, wanted in (
        (correcting.correct(shop.desk(), found.id, {"note": "again"}), [hit.id]),
        (correcting.correct(shop.desk(), found.id, {"what": "worn"}), []),
        (correcting.withdraw(shop.desk(), found.id), []),
        (correcting.withdraw_act(shop.desk(), found.act), []),
    ):
        supposed = Supposed(evidence, drafts, now, writer)
        assert hits_felt(supposed, "W", hit.act) == [wanted] * 4
        assert (supposed.speaking(hit.id) is not None) == bool(wanted)


def test_a_hit_comes_with_what_it_is_written_because_of(shop: Shop) -> None:
    shop.ready()
    unsure = shop.do(fighting.hit, ["W"], 2, not_sure=True)[0]
    evidence, now, writer = shop.book.evidence(), shop.clock.now_ms(), shop.book.writer
    for sign, hardest in ((True, 3), (False, 2)):
        drafts = looking.hand_check(shop.desk(), unsure.act, sign)
        supposed = Supposed(evidence, drafts, now, writer)
        assert max(fact.entry.grade or 0 for fact in supposed.hits("W", 1)) == hardest
        assert supposed.whole
    assert max(fact.entry.grade or 0 for fact in evidence.hits("W", 1)) == 2


def test_a_ground_that_comes_back_is_said_to_be_uncertain(shop: Shop) -> None:
    shop.ready()
    worn, raised = "worn", {"what": "worn", "position": "rotor"}
    shop.put("finding", "rotor1", raised, place="rotor", id=worn)
    shop.put("hit", "W", {"source": "taken", "because": worn}, grade=3)
    evidence, now = shop.book.evidence(), shop.clock.now_ms()
    back = correcting.correct(shop.desk(), worn, {"raises": True})
    assert not Supposed(evidence, back, now, shop.book.writer).whole
    assert Supposed(evidence, correcting.correct(shop.desk(), worn, {"note": "again"}), now, shop.book.writer).whole


@pytest.mark.benchmark
def test_how_long_a_preview_takes(demo: DemoDay) -> None:
    evidence = Remembered(demo.book.evidence())
    case = view(evidence, demo.robots[HEAVY], demo.now, demo.checklists).case
    writer = demo.entries[-1].writer
    for line in ("L1 10.02 mm", "shaft cap L 25 Nm", "over DR", "hit DR hard"):
        try:
            drafts = demo.typed(line)
        except EntryError:
            continue
        took, keys = [], touched(case, drafts)
        for _ in range(25):
            start = time.process_time()
            keys = touched(case, drafts)
            found = supposing(case, drafts, writer)
            only(found, keys) if keys else standing_of(found)
            took.append(1000 * (time.process_time() - start))
        print(f"{line}: {len(keys)} keys, {min(took):.2f} ms, middle {sorted(took)[12]:.2f} ms")  # noqa: T201
