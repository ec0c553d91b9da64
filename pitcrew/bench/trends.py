"""How a figure ran: a dimension of a part, a gap, a joint's torque, reading by reading, and its change a fight.

A change is worked out from three readings on, since what is measured was last changed or put right, and is said only
where it is larger than its own doubt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice, pairwise, takewhile
from math import ceil, sqrt
from typing import NamedTuple

from pitcrew.bench import ledger, names, words
from pitcrew.bench.joints_now import limits_nm, listed
from pitcrew.bench.runs import past_gaps
from pitcrew.readiness import joints as rules
from pitcrew.readiness.case import OFF_WITH_THE_PART, Case
from pitcrew.readiness.felt import felt, felt_by
from pitcrew.readiness.figures import decided, doubt_of, figure_of, reading_with
from pitcrew.readiness.stacks import stack_disturbances
from pitcrew.readiness.stream import merged
from pitcrew.robot.definitions import Limit
from pitcrew.robot.records import Fact

MOST = 24
"""Readings of one figure that are looked at, the newest."""

LEAST = 3
"""Readings from which a change is worked out: two always lie on a line."""

FAR = 20
"""Fights beyond which nothing is foretold."""

# Student's t for 95 %, by degrees of freedom from 1: JCGM 100:2008, table G.2. That of the last stands for all above.
STUDENT = (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23)
NOISE = 1e-9
MOST_DECIMALS = 3  # of a change in millimetres: no gauge of the bench reads finer


class Point(NamedTuple):
    """One reading: its fact, figure and doubt U (SI), the verdict it had then (empty: no limits), what read it.

    `run` is how many fights what is measured had fought since the first reading shown. `between` is what happened
    since the reading before, oldest first; nothing before the first.
    """

    at: Fact
    value: float
    u: float
    word: str
    tool: str
    run: int = 0
    between: tuple[Fact, ...] = ()


class Change(NamedTuple):
    """The line of least squares through the readings over fights run.

    `a_fight` is its slope with doubt `u` (SI a fight), `now` the line at the fights run by now, `middle` the mean of
    the readings' fights, `fights` those run by now, both counted as `Point.run` is. `reading_u` is the largest doubt
    of a reading, `spanned` the fights between the first and the last reading, `readings` how many the line rests on.
    """

    a_fight: float
    u: float
    now: float
    middle: float
    fights: int
    reading_u: float
    spanned: int
    readings: int

    @property
    def decided(self) -> bool:
        """Is the change larger than its doubt?"""
        return abs(self.a_fight) > self.u

    def after(self, more: int) -> tuple[float, float]:
        """The line so many fights from now, and its doubt: that of a reading and that of the slope, added up."""
        u = self.reading_u + abs(self.fights + more - self.middle) * self.u
        return self.now + self.a_fight * more, u


class Trend(NamedTuple):
    """A figure through its readings, oldest first, between its limits; metres, or N m where `dimension` is torque.

    `since` is what happened after the newest reading, `runs` from which point on what is measured is the same,
    `change` None where none can be worked out.
    """

    name: str
    dimension: str
    low: float | None
    high: float | None
    points: tuple[Point, ...]
    since: tuple[Fact, ...] = ()
    runs: int = 0
    change: Change | None = None


def limits_of(case: Case, part: str) -> tuple[Limit, ...]:
    """The dimensions of a part that have limits of their own; none for a part nobody knows."""
    kind = case.kind(part)
    return kind.limits if kind else ()


def trend_of(case: Case, key: str) -> Trend | None:
    """The trend of what a key of a requirement is of: limit:PART/DIMENSION, stack:ID, joint:ID; None of others."""
    group, _, subject = key.partition(":")
    if group == "stack" and subject in case.defs.stacks:
        return gap_trend(case, subject)
    if group == "joint" and subject in case.defs.joints:
        return torque_trend(case, subject)
    part, slash, dimension = subject.rpartition("/")
    return part_trend(case, part, dimension) if group == "limit" and slash and case.part(part) else None


def part_trend(case: Case, part: str, dimension: str) -> Trend:
    """A dimension of a part, over the fights the part was in, on whatever robot."""
    kind = case.kind(part)
    limit = next((item for item in limits_of(case, part) if item.dimension == dimension), Limit(dimension))
    facts = list(islice(case.facts("reading", f"{part}/{dimension}"), MOST))[::-1]
    points = [_read(case, fact, limit.low_m, limit.high_m) for fact in facts]
    mends = _mends(case, part)
    happened = merged(
        _blows(felt_by(case, part, kind.look_from if kind else 1)), case.whereabouts(part), case.facts("finding", part)
    )
    trend = Trend(f"{dimension} of {names.part_name(case, part)}", "length", limit.low_m, limit.high_m, tuple(points))
    return _followed(trend, _since_mended(points, mends), ledger.fought(case, part), merged(happened, mends))


def gap_trend(case: Case, stack: str) -> Trend:
    """A gap, over the robot's fights; its change since the parts in it are those that are in it now."""
    record = case.defs.stacks[stack]
    points = []
    for past in past_gaps(case, record, MOST):
        tool = _tool(case, past.at.detail.get("instrument")) if past.how == "direct" else past.how
        limits = record.low_m is not None or record.high_m is not None
        points.append(Point(past.at, past.value_m, past.u_m, past.word if limits else "", tool))
    places = record.places()
    held = [tuple(case.occupant(place, before=point.at) for place in places) for point in points]
    same = next((index + 1 for index in range(len(held) - 2, -1, -1) if held[index] != held[-1]), 0)
    parts = {part for part in (case.occupant(place) for place in places) if part is not None}
    mends = merged(*(_mends(case, part) for part in parts))
    changed = [fact for fact in mends]
    start = max(same, _since_mended(points, changed))
    trend = Trend(record.name, "length", record.low_m, record.high_m, tuple(points))
    hits_and_moves = _blows(stack_disturbances(case, record))
    return _followed(trend, start, case.ends(), merged(hits_and_moves, changed))


def torque_trend(case: Case, joint: str) -> Trend:
    """A joint's torques, each one set anew: no change a fight is worked out of them."""
    record = case.defs.joints[joint]
    low, high = limits_nm(record) if record.target_nm is not None else (None, None)
    points = []
    for fact in list(islice(case.facts("torqued", joint), MOST))[::-1]:
        wrench = fact.detail.get("instrument") or record.wrench
        figure = reading_with(case, float(fact.detail["torque_nm"]), wrench, None)
        word = decided(figure, low, high).word if low is not None else ""
        points.append(Point(fact, figure.value, doubt_of(figure), word, _tool(case, wrench)))
    trend = Trend(f"torque of {record.name}", "torque", low, high, tuple(points))
    blows = _blows(felt(case, record.zone, record.recheck_from))
    return _followed(trend, len(points), case.ends(), merged(rules.openings(case, record, "joint"), blows))


def _read(case: Case, fact: Fact, low: float | None, high: float | None) -> Point:
    figure = figure_of(case, fact, "value_m").reading
    word = decided(figure, low, high).word if low is not None or high is not None else ""
    return Point(fact, figure.value, doubt_of(figure), word, _tool(case, figure.instrument))


def _tool(case: Case, ident: str | None) -> str:
    tool = case.defs.instruments.get(ident or "")
    return tool.name if tool else ""


# what happened between


def _followed(trend: Trend, runs: int, ends: Iterable[Fact], happened: Iterable[Fact]) -> Trend:
    """The trend with its fights, with what happened between its readings, and with its change from point `runs` on.

    Ends of fights and all else that happened come newest first.
    """
    if not trend.points:
        return trend
    first = trend.points[0].at.order
    fought = list(takewhile(lambda fact: fact.order > first, ends))
    all_of_it = merged(fought, takewhile(lambda fact: fact.order > first, happened))
    facts = list({fact.id: fact for fact in all_of_it}.values())[::-1]
    points = [trend.points[0]]
    for before, point in pairwise(trend.points):
        between = tuple(fact for fact in facts if before.at.order < fact.order < point.at.order)
        run = sum(end.order < point.at.order for end in fought)
        points.append(point._replace(run=run, between=between))
    since = tuple(fact for fact in facts if fact.order > points[-1].at.order)
    return trend._replace(points=tuple(points), since=since, runs=runs, change=change(points[runs:], len(fought)))


def _blows(facts: Iterable[Fact]) -> Iterator[Fact]:
    """Facts without the hits of a blow that was met before, newest first: one blow is felt in many zones."""
    seen: set[str] = set()
    for fact in facts:
        if fact.entry.kind != "hit":
            yield fact
        elif fact.entry.act not in seen:
            seen.add(fact.entry.act)
            yield fact


def _mends(case: Case, part: str) -> list[Fact]:
    """When things found on a part were put right on it, newest first; what was taken off with it is as it was."""
    mends = merged(*(case.facts("mended", finding.root) for finding in case.facts("finding", part)))
    return [fact for fact in mends if fact.detail["how"] not in OFF_WITH_THE_PART]


def _since_mended(points: Sequence[Point], mends: Sequence[Fact]) -> int:
    """From which point on nothing was put right any more."""
    if not mends:
        return 0
    newest = max(fact.order for fact in mends)
    return sum(point.at.order < newest for point in points)


# the change


def change(points: Sequence[Point], fights: int) -> Change | None:
    """The line of least squares through readings; None of fewer than three, or where no fight lies between them.

    The doubt of its slope is the larger of two: what the doubts of the readings leave (k = 2, each on its own), and
    what their scatter about the line shows (Student's t for 95 %).

    Args:
        points: the readings, oldest first, SI.
        fights: how many fights were run by now, counted as `Point.run` is.
    """
    count = len(points)
    if count < LEAST:
        return None
    middle = sum(point.run for point in points) / count
    spread = sum((point.run - middle) ** 2 for point in points)
    if spread == 0.0:
        return None
    mean = sum(point.value for point in points) / count
    slope = sum((point.run - middle) * (point.value - mean) for point in points) / spread
    by_readings = sqrt(sum(((point.run - middle) * point.u) ** 2 for point in points)) / spread
    left = sum((point.value - mean - slope * (point.run - middle)) ** 2 for point in points)
    freedom = count - 2
    by_scatter = STUDENT[min(freedom, len(STUDENT)) - 1] * sqrt(left / freedom / spread)
    return Change(
        slope,
        max(by_readings, by_scatter),
        mean + slope * (fights - middle),
        middle,
        fights,
        max(point.u for point in points),
        points[-1].run - points[0].run,
        count,
    )


class Foretold(NamedTuple):
    """When the line meets a limit: which (SI), in which fight from now (0: met already), how many fights are sure.

    `fight` is None where that is too far ahead to be said. The sure ones leave it inside by more than the doubt.
    """

    limit: float
    fight: int | None
    sure: int


def foretold(trend: Trend) -> Foretold | None:
    """When a figure meets the limit it moves towards; None where the readings do not decide that it moves to one."""
    found = trend.change
    if found is None or not found.decided:
        return None
    limit = trend.high if found.a_fight > 0 else trend.low
    if limit is None:
        return None
    left = (limit - found.now) / found.a_fight
    fight = None if left > FAR else max(ceil(left - NOISE), 0)

    def inside(more: int) -> bool:
        value, u = found.after(more)
        return (limit - value if found.a_fight > 0 else value - limit) >= u

    return Foretold(limit, fight, sum(1 for _ in takewhile(inside, range(1, FAR + 1))))


# in words


def figure(trend: Trend, value: float) -> str:
    """A figure of a trend with its unit."""
    return words.torque(value) if trend.dimension == "torque" else words.length(value, None)


def change_words(trend: Trend) -> str:
    """The change a fight in one sentence, or why there is none."""
    if trend.dimension == "torque":
        return "a torque is set anew each time: no change a fight is worked out"
    count, found = len(trend.points) - trend.runs, trend.change
    if found is None:
        if count >= LEAST:
            return "no fight lies between these readings: no change a fight can be worked out"
        since = " since it was last changed or put right" if trend.runs else ""
        return f"{ledger.counted(count, 'reading')}{since}: a change a fight takes three"
    rests = f"{found.readings} readings over {ledger.counted(found.spanned, 'fight')}"
    u = words.doubt(found.u * 1000)
    size = words.length(abs(found.a_fight), min(len(u.partition(".")[2]), MOST_DECIMALS) if found.u else None)
    way = "more" if found.a_fight > 0 else "less"
    if not found.decided:
        return f"the readings do not decide it: {size} {way} a fight +-{u}, {rests}"
    return f"{size} {way} a fight +-{u}, by {rests}"


def foretold_words(trend: Trend) -> str:
    """When the figure meets its limit if it goes on as it did; empty where the readings do not decide that."""
    found = foretold(trend)
    if found is None:
        return ""
    limit = figure(trend, found.limit)
    if found.fight is None:
        return f"if it goes on so, not at {limit} in the next {FAR} fights"
    if found.fight == 0:
        return f"by the line it is at {limit} already: read it before the next fight"
    sure = f"surely not in the next {found.sure}" if found.sure else "perhaps in the next: read it after each"
    return f"if it goes on so, at {limit} in fight {found.fight} from now; {sure}"


def happened_words(case: Case, fact: Fact) -> str:
    """What happened between two readings, with its time and who wrote it."""
    entry = fact.entry
    who = f"{ledger.when(case, fact.happened)} {entry.by}"
    if entry.kind == "hit":
        return words.hit_words(case, fact)
    if entry.kind == "fight_ended":
        return f"{names.fight_name(case, fact.subject)} ended {ledger.when(case, fact.happened)}"
    if entry.kind in ("fitted", "removed"):
        place = case.position(entry.place) if entry.place else None
        way = "in" if entry.kind == "fitted" else "out"
        where = f" at {place[0].name}" if place else ""
        return f"{names.part_name(case, fact.subject)} {way}{where} {who}"
    if entry.kind == "opened":
        joint = case.defs.joints.get(fact.subject)
        return f"{joint.name if joint else 'a joint'} opened {who}"
    if entry.kind == "mended":
        return f"put right, {fact.detail['how']} {who}"
    return f"found {fact.detail['what']} {who}"


def between_words(facts: Sequence[Fact]) -> str:
    """What happened between two readings, counted: 1 fight, 2 hits, 1 part moved."""
    kinds = [fact.entry.kind for fact in facts]
    moved = len({fact.entry.act for fact in facts if fact.entry.kind in ("fitted", "removed")})
    counts = ((kinds.count("fight_ended"), "fight"), (kinds.count("hit"), "hit"), (moved, "move"))
    other = (kinds.count("opened"), "opening"), (kinds.count("mended"), "mend")
    return ", ".join(ledger.counted(count, name) for count, name in (*counts, *other) if count)


def fasteners_words(point: Point) -> str:
    """Which fasteners a torque was of: all, or 3,5; empty for what is no torque."""
    which = point.at.detail.get("fasteners")
    return "" if which is None else "all" if which == "all" else listed(tuple(which))
