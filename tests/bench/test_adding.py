"""What is added with the line where it is first needed: every sort, what is refused, and that undo takes it back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from pitcrew.bench import line, openbook
from pitcrew.bench.meanings import Read, read_line
from pitcrew.bench.names import find, pairs
from pitcrew.bench.session import Session, Source
from pitcrew.bench.supposing import Supposed
from pitcrew.checklists import load
from pitcrew.clock import FixedClock, SeededIds
from pitcrew.errors import EntryError
from pitcrew.logbook.book import Book
from pitcrew.robot.definitions import gather
from pitcrew.robot.records import Entry
from tests.bench.begun import NOON, Fresh
from tests.bench.demo_day import DemoDay
from tests.bench.test_session import verdicts


class Begun(Fresh):
    """A robot just begun, and a session at it that types lines."""

    def __init__(self) -> None:
        clock = FixedClock(NOON)
        super().__init__(Book.memory(clock, SeededIds(3)), clock)
        self.put("0.2 kg bearing in W1", "0.13 kg wheel in DL")
        self.session = Session(Source(self.book, clock, self.ids, load()), self.robot)
        self.session.by = "MK"

    def read(self, text: str) -> Read:
        return read_line(self.session.desk(), text, lambda n: openbook.number(self.book, n))

    def log(self, text: str) -> tuple[Entry, ...]:
        """Log the one meaning of a line."""
        (meaning,) = self.read(text).meanings
        return self.session.write(meaning.drafts(self.session.desk()))

    def named(self, idents: list[str]) -> list[str]:
        defs = self.defs()
        known = dict((*pairs(defs.zones), *pairs(defs.positions)))
        return [known[ident] for ident in idents]


@pytest.fixture
def begun() -> Iterator[Begun]:
    begun = Begun()
    yield begun
    begun.book.close()


JOINT = {"name": "cap L", "thread": "M8", "count": 4, "target_nm": 25.0, "locking": "none", "recheck_from": 2}


@pytest.mark.parametrize(
    "text",
    [
        "25 N m 4 M8 cap L in W1",
        "add joint cap L 4 M8 25 N m in W1",
        "25 4 x m8 cap L in weapon",
    ],
)
def test_a_joint_comes_with_its_first_torque(begun: Begun, text: str) -> None:
    (meaning,) = begun.read(text).meanings
    assert (meaning.text, meaning.doubtful) == ("a new joint cap L: 4 x M8, 25 N m, in W1", "")
    joint, torque = begun.log(text)
    zone = find("W1", pairs(begun.defs().zones), "zone")
    assert dict(joint.detail) == {**JOINT, "zone": zone}
    assert (torque.kind, torque.subject, torque.act) == ("torqued", joint.subject, joint.act)
    assert (torque.detail["torque_nm"], torque.detail["fasteners"]) == (25.0, "all")
    session = begun.session
    assert dict(verdicts(session))[f"joint:{joint.subject}"] == "pass"
    session.take_back()
    assert f"joint:{joint.subject}" not in dict(verdicts(session))
    assert begun.defs().joints == {}


def test_what_locks_a_joint_what_it_holds_and_with_what_it_is_set(demo: DemoDay) -> None:
    text = "add joint cover 8 1/4-20 UNC 9 N m in AF threadlocker on bare aluminium holds upright L, weapon with TW5"
    joint, torque = demo.typed(text)
    kept = {name: demo.called(value) for name, value in joint.detail.items() if isinstance(value, str)}
    assert kept == {
        "name": "cover",
        "zone": "AF",
        "thread": "1/4-20 UNC",
        "locking": "threadlocker",
        "material": "bare aluminium",
        "wrench": "TW5",
    }
    assert [demo.called(place) for place in joint.detail["holds"]] == ["upright L", "weapon"]
    assert (joint.detail["count"], torque.detail["locker"]) == (8, True)
    assert demo.called(torque.detail["instrument"]) == "TW5"
    for typed, locking in (("lock nuts", "lock nuts"), ("wedge washers", "wedge washers"), ("", "none")):
        made = demo.typed(f"add joint cover 6 bolts 9 N m in AF {typed}")[0]
        assert (made.detail["locking"], made.detail.get("thread")) == (locking, None)


@pytest.mark.parametrize(
    ("name", "zone"),
    [("hubs R", "DR"), ("wheel hub L", "DL"), ("cap UL", "UL"), ("weapon motor", "W2"), ("bearing", "W1")],
)
def test_the_zone_is_told_by_the_words_of_the_name(begun: Begun, name: str, zone: str) -> None:
    joint = line.drafts(begun.desk(), f"add joint {name} 4 M8 25 N m", lambda _: None)[0]
    assert begun.named([joint.detail["zone"]]) == [zone]


@pytest.mark.parametrize(
    ("text", "figure", "limits", "says"),
    [
        ("add gap float 0.25 0.75 in W1", None, (0.00025, 0.00075), "0.25 mm to 0.75 mm"),
        (".5 float .25 .75 in W1", 0.0005, (0.00025, 0.00075), "0.5 mm now, 0.25 mm to 0.75 mm"),
        (".5 float - .75 in W1", 0.0005, (None, 0.00075), "0.5 mm now, at most 0.75 mm"),
        (".02 in float .01 in - in W1", 0.000508, (0.000254, None), "0.508 mm now, at least 0.254 mm"),
    ],
)
def test_a_gap_comes_with_its_limits_and_its_figure(
    begun: Begun, text: str, figure: float | None, limits: tuple[float | None, float | None], says: str
) -> None:
    assert [meaning.text for meaning in begun.read(text).meanings] == [f"a new gap float: {says}, in W1"]
    stack, *read = begun.log(text)
    record = begun.defs().stacks[stack.subject]
    assert (record.name, record.recheck_from, begun.named(list(record.zones))) == ("float", 2, ["W1"])
    assert (record.low_m, record.high_m) == pytest.approx(limits) if None not in limits else limits
    assert [entry.detail["value_m"] for entry in read] == pytest.approx([figure] if figure else [])
    wanted = "pass" if figure else "unchecked"
    assert dict(verdicts(begun.session))[f"stack:{stack.subject}"] == wanted
    if figure is None:
        begun.log("0.5 float")
        assert dict(verdicts(begun.session))[f"stack:{stack.subject}"] == "pass"
        begun.session.take_back()
    begun.session.take_back()
    assert begun.defs().stacks == {}


def test_a_life_and_a_limit_change_the_sort_and_undo_brings_back_what_it_was(begun: Begun) -> None:
    before = begun.defs().kinds
    wheel, bearing = (find(name, pairs(before), "sort") for name in ("wheel", "bearing"))
    begun.log("add life bearing 6 fights 3 hard")
    begun.log("add life bearing 8 fights")
    begun.log("add limit tread 4.0 mm wheel")
    begun.log("add limit width at most 30 wheel")
    begun.log("add limit tread 3 9 wheel")
    kinds = begun.defs().kinds
    assert kinds[bearing] == before[bearing]._replace(life_fights=8, life_hard_hits=3)
    limits = {item.dimension: (item.low_m, item.high_m) for item in kinds[wheel].limits}
    assert limits == {"width": (None, pytest.approx(0.03)), "tread": pytest.approx((0.003, 0.009))}
    for _ in range(5):
        begun.session.take_back()
    assert begun.defs().kinds == before


def test_a_part_and_a_zone_are_added_too(begun: Begun) -> None:
    assert begun.read("add zone W3 second weapon passes to FR W2").meanings[0].text == (
        "a new zone W3: second weapon, passes a hit to FR W2"
    )
    (zone,) = begun.log("add zone W3 second weapon passes to FR W2")
    record = begun.defs().zones[zone.subject]
    assert (record.title, begun.named(list(record.passes_to))) == ("second weapon", ["FR", "W2"])
    assert begun.read("add part 3.30 kg second shaft in W3").meanings[0].text == (
        "a new part second shaft: 3.3 kg, in W3"
    )
    begun.log("add part 3.30 kg second shaft in W3")
    assert begun.where()["second shaft"][0] == "W3"
    begun.session.take_back()
    assert "second shaft" not in begun.where()


def test_a_part_that_nobody_knows_is_offered_but_not_logged_without_a_second_look(begun: Begun) -> None:
    (meaning,) = begun.read("0.3 kg ESC 7").meanings
    assert meaning[::2] == ("a new part ESC 7: 0.3 kg, in EL", "nothing is called ESC 7 yet")
    assert "there is no thing to read called 'zork'" in begun.read("0.3 kg zork").refusal


def test_a_name_like_one_that_is_there_is_said(demo: DemoDay) -> None:
    for text, there in (
        ("25 N m 4 M8 cap L in W1", "shaft cap L"),
        (".5 float .25 .75 in W1", "weapon float"),
    ):
        (meaning,) = read_line(demo.desk(), text, lambda _: None).meanings
        assert meaning.doubtful == f"there is {there} already"


REFUSED = [
    ("add", "say what is added"),
    ("add thing", "say what is added"),
    ("add joint", "how many fasteners"),
    ("add joint cap L 25 N m in W1", "how many fasteners"),
    ("add joint cap L 0 M8 25 N m in W1", "1 to 64 fasteners"),
    ("add joint cap L 99 M8 25 N m in W1", "1 to 64 fasteners"),
    ("add joint cap L 4 M8 in W1", "what it is torqued to is missing"),
    ("add joint cap L 4 M8 0 N m in W1", "above zero"),
    ("add joint cap L 4 M8 25 mm in W1", "what it is torqued to is missing"),
    ("add joint 4 M8 25 N m in W1", "name of the joint is missing"),
    ("add joint in W1 4 M8 25 N m", "name of the joint is missing"),
    ("add joint cap L 4 M8 25 N m", "no word says where 'cap L' is"),
    ("add joint hubs 4 M8 25 N m", "no word says where 'hubs' is"),
    ("add joint cap L 4 M8 25 N m in XX", "no zone called 'XX'"),
    ("add joint cap L 4 M8 25 N m in W1 holds nothing", "no place called 'nothing'"),
    ("add joint cap L 4 M8 25 N m in W1 with TW9", "no instrument called 'TW9'"),
    ("add gap float 0.25 in W1", "its limits are missing"),
    ("add gap 0.25 0.75 in W1", "name of the gap is missing"),
    ("add gap float - - in W1", "one limit at least"),
    ("add gap float .8 .2 in W1", "low limit is not below"),
    ("add gap float .25 .75", "no word says where 'float' is"),
    ("add gap in/out .25 .75 in W1", "has a slash in it"),
    ("add zone", "name of the zone is missing"),
    ("add zone W1 x", "there is a zone 'W1' already"),
    ("add zone hard x", "means something else"),
    ("add zone add x", "means something else"),
    ("add zone W3 x passes to QQ", "no zone called 'QQ'"),
    ("add life bearing", "how many fights or hard hits"),
    ("add life bearing 0 fights", "how many fights or hard hits"),
    ("add life 6 fights", "sort of part is missing"),
    ("add life belt 6 fights", "no sort of part called 'belt'"),
    ("add limit tread wheel", "the dimension and its limit are missing"),
    ("add limit 4 wheel", "the dimension and its limit are missing"),
    ("add limit tread 4", "sort of part is missing"),
    ("add limit tread - wheel", "one limit at least"),
    ("add part weapon shaft", "there is no mass here"),
    ("open cap L", "25 N m 4 M8 cap L in W1"),
]


def test_a_word_that_is_missing_is_said_in_one_sentence_and_nothing_is_written(begun: Begun) -> None:
    before = begun.book.entries(limit=1000)
    for text, says in REFUSED:
        found = begun.read(text)
        assert (found.meanings, says in found.refusal) == ((), True), (text, found)
        with pytest.raises(EntryError) as caught:
            line.drafts(begun.desk(), text, lambda _: None)
        assert caught.value.hint, text
        assert caught.value.sentence.isascii()
    assert "A new one is typed so: 25 N m 4 M8 cap L in W1" in begun.read("25 N m cap L").refusal
    assert begun.book.entries(limit=1000) == before


def test_what_is_there_is_not_added_twice(begun: Begun) -> None:
    begun.log("25 N m 4 M8 cap L in W1")
    begun.log("add gap float 0.25 0.75 in W1")
    for text, says in (
        ("add joint CAP l 4 M8 25 N m in W1", "Its torque alone is enough: 25 N m cap L."),
        ("25 N m 4 M8 cap L in W1", "Its torque alone is enough: 25 N m cap L."),
        ("add gap Float 1 2 in W1", "Its figure alone is enough: 0.5 float."),
    ):
        assert says in begun.read(text).refusal
    torque, *rest = begun.log("26 N m cap L")
    assert (torque.kind, rest) == ("torqued", [])


def test_an_act_is_whole_before_it_is_written(begun: Begun) -> None:
    """What is logged of a new joint is drafted at a book that has it; the real one has nothing of it yet."""
    desk = begun.desk()
    drafts = line.drafts(desk, "add joint cap L 4 M8 25 N m in W1", lambda _: None)
    assert begun.defs().joints == {}
    supposed = gather(Supposed(desk.evidence, drafts, desk.now, ""), begun.robot)
    assert supposed is not None
    assert [item.name for item in supposed.joints.values()] == ["cap L"]
