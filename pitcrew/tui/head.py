"""The standing, always in sight: fit or not, how many block and of what, minutes to the call, weight and margin."""

from __future__ import annotations

from collections import Counter

from pitcrew.bench import names, words
from pitcrew.bench.session import Session
from pitcrew.bench.signing_words import signature_words
from pitcrew.bench.standing import View
from pitcrew.readiness.verdict import WORST_FIRST, WeightRow
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.tui.figures import big
from pitcrew.tui.paint import Line, Span, cells, line, pad, spread

TALL, WIDE = 36, 104
# A call that is further gone by is of another day: nobody is late for it any more.
LONGEST_LATE_MIN = 600
SECONDS_BELOW_MS = 5 * 60_000
HOURS_FROM, DAYS_FROM = 10, 48


def standing_word(view: View | None, unsaved: str, now: int = 0) -> tuple[str, str]:
    """The word at the upper left and its role; LATE joins it when the work does not end before the call."""
    if unsaved:
        return "NOT SAVED", "stop"
    if view is None:
        return "NOT JUDGED", "stop"
    if view.standing.fit:
        return "FIT TO FIGHT", "go"
    late = -(view.spare_min(now) or 0) if view.standing.fight is not None and now else 0
    return (f"NOT FIT, LATE {late}" if 0 < late < LONGEST_LATE_MIN else "NOT FIT"), "stop"


def counted(view: View) -> str:
    """How many block and of what: 28 block: 7 RECHECK, 21 DUE."""
    blocking = view.standing.blocking
    if not blocking:
        return "nothing blocks" if view.standing.fight else "nothing blocks, no fight entered"
    counts = Counter(item.verdict for item in blocking)
    kinds = ", ".join(f"{counts[verdict]} {verdict.upper()}" for verdict in WORST_FIRST if counts[verdict])
    rest = "" if view.standing.fight else " (rest work)"
    return f"{len(blocking)} {'blocks' if len(blocking) == 1 else 'block'}: {kinds}{rest}"


def besides(view: View) -> str:
    """What does not block and is not forgotten, counted."""
    deferred = sum(item.verdict == "deferred" for item in view.standing.requirements)
    warns = len(view.standing.warnings) - deferred
    said = [f"{deferred} deferred"] if deferred else []
    return ", ".join([*said, f"{warns} warn{'s' if warns == 1 else ''}"] if warns > 0 else said)


def to_call(view: View, now: int) -> str:
    """Minutes to the call and its time; seconds under five minutes; gone by says so."""
    call = view.standing.call_at
    if call is None:
        return "no call set"
    at = words.at(view.case, call)
    kind = "call" if view.standing.fight else "earliest call"
    left = minutes_left(call, now)
    if call < now:
        return f"{kind} {at} gone by {_while(-left)}"
    return f"{_while(left) if call - now >= SECONDS_BELOW_MS else _seconds(call - now)} to {kind} {at}"


def minutes_left(call: int, now: int) -> int:
    """Minutes between two clocks as they are shown: 15:24 to 16:07 is 43, whatever the seconds."""
    return call // MINUTE_MS - now // MINUTE_MS


def _while(minutes: int) -> str:
    """Minutes as far as they can be grasped, then hours, then days."""
    hours = abs(minutes) // 60
    if hours < HOURS_FROM:
        return f"{minutes} min"
    sign = "-" if minutes < 0 else ""
    return f"{sign}{hours} h" if hours < DAYS_FROM else f"{sign}{hours // 24} days"


def _seconds(left_ms: int) -> str:
    minutes, seconds = divmod(left_ms // 1000, 60)
    return f"{minutes}:{seconds:02d}"


def weight_now(view: View) -> str:
    """What the entered configuration weighs (the one that is on, without a fight), with what is under the limit."""
    row = _shown(view)
    if row is None:
        return "no configuration"
    if row.kg is None:
        return "weight not known"
    sign = "~" if row.how in ("figured", "added up") else ""
    if row.margin_kg is None:
        return f"{sign}{row.kg:.2f} kg, no limit set"
    side = "under" if row.margin_kg >= 0 else "OVER"
    return f"{sign}{row.kg:.2f} kg, {abs(row.margin_kg):.2f} {side}"


def _shown(view: View) -> WeightRow | None:
    rows = view.standing.weights
    return next((row for row in rows if row.entered), next((row for row in rows if row.fitted), None))


def head(session: Session, width: int, height: int, unsaved: str = "") -> list[Line]:
    """The rows on top: two of them, or seven with a standing that can be read from afar."""
    view, now = session.view, session.now()
    state, role = standing_word(view, unsaved, now)
    clock = session.clock_text()
    if view is None:
        why = unsaved or ("judging.." if session.robot else "no robot in this book yet")
        first = spread(line(Span(f" {state}   {why}", role)), line(Span(f"{clock}", role)), width, role)
        return [first, line(f" {session.source.title}")]
    count = unsaved or ", ".join(filter(None, (counted(view), besides(view) if view.standing.fit else "")))
    right = f"{to_call(view, now)}   {clock}"
    left = f" {state}   {count}"
    if len(left) + len(right) + 2 > width:
        right = f"{_short_call(view, now)}   {clock}"
    first = spread(line(Span(left, role)), line(Span(f" {right}", role)), width, role)
    who, work = f" {_who(view)}", f"{_work(view, now)} "
    # On a narrow screen the weight goes before the work: the work stands in the list.
    second = spread(line(who), line(work if cells(who + work) < width else ""), width)
    if height < TALL or width < WIDE:
        return [first, second]
    return [*(line(Span(pad(row, width), role)) for row in big(state, view, now, width)), first, second]


def _short_call(view: View, now: int) -> str:
    call = view.standing.call_at
    return "" if call is None else _while(minutes_left(call, now))


def _who(view: View) -> str:
    fight, case = view.standing.fight, view.case
    if fight is None:
        return f"{view.robot}   no fight entered   {weight_now(view)}"
    entered = names.configuration_name(case, view.standing.configuration)
    return f"{view.robot}   {fight.detail['name']} in {entered}   {weight_now(view)}"


def _work(view: View, now: int) -> str:
    """When the work can be done, and what is to spare; the minutes of work where no call says what for."""
    minutes = sum(job.minutes for job in view.jobs)
    if not view.jobs:
        return signature_words(view.case, False)
    spare = view.spare_min(now)
    if view.standing.fight is None or spare is None or abs(spare) >= LONGEST_LATE_MIN:
        return f"{minutes} min of work in {len(view.jobs)} jobs"
    ready = words.at(view.case, view.ready_at(now))
    return f"ready {ready}, {spare} to spare" if spare >= 0 else f"ready {ready}, {-spare} too late"
