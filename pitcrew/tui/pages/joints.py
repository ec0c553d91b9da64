"""Joints zone by zone: a letter a fastener, the torque with its limits, what locks it, and what an answer will do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pitcrew.bench import names
from pitcrew.bench.detail import WEAPON
from pitcrew.bench.joint_words import joint_detail, locking_words, torque_limits, torque_who
from pitcrew.bench.joints_now import JointNow, blocking_in, joint_now, stops, torque_ways, zones_of
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.tui.jobs import figure_awaited, joint_answers
from pitcrew.tui.page import Answer, Answers, Awaited, Go, Outcome, Page, filled, marked, parting, window
from pitcrew.tui.pages.anew import new_joint
from pitcrew.tui.paint import Line, Span, cells, cut, labelled, line, pad, word, wrapped
from pitcrew.tui.strips import fasteners, shorten

LEGEND = "# holds   o not enough now: see why   . open   x mark turned"
EMPTY = "none in this robot yet. The first comes with its torque, count, thread and zone: 25 N m 4 M8 cap L in W1"
LEAST_ROWS, TALL = 3, 34  # from TALL rows on, the joints of every zone stand in one list
LEAST_STRIP, MOST_STRIP, MOST_NAME = 8, 16, 20
WIDE, WIDEST = 74, 110  # columns from which thread and limits, and the last torque, have room
FIGURE, LIMITS, LOCKING, LAST = 5, 10, 13, 18


class _Columns(NamedTuple):
    """How wide the columns of the list are; 0 leaves one out."""

    name: int
    strip: int
    thread: int
    last: int


class Joints(Page):
    """Every joint, the open zone's on the screen, and below them the one the keys are at."""

    name = "joints"
    title = "joints zone by zone"
    blocks = "next zone"

    def __init__(self, session: Session, joint: str | None = None) -> None:
        super().__init__(session)
        self._wanted: str | None = joint or ""
        self._seen = session.own_acts[-1] if session.own_acts else ""
        self._painted: tuple[View, tuple[object, ...], list[Line]] | None = None
        self._listed: tuple[View, tuple[object, ...], list[Line]] | None = None

    def keys(self) -> Sequence[str]:
        view = self.session.view
        if view is None:
            return ()
        found = [joint for _, joints in zones_of(view) for joint in joints]
        if self._wanted is not None:
            # Where to put the keys is known only once the robot has been judged.
            blocking = blocking_in(view)
            fit = (
                index
                for index, joint in enumerate(found)
                if joint == self._wanted or (not self._wanted and view.case.defs.joints[joint].zone in blocking)
            )
            self.row, self._wanted = next(fit, 0), None
        return found

    def answers(self) -> Answers:
        view, ident = self.session.view, self.key()
        if view is None:
            return Answers(hint="judging.." if self.session.robot else "no robot yet")
        if not ident:
            return Answers((new_joint(self.session),))
        found = joint_answers(self.session, view, ident)
        return found._replace(
            items=(*found.items, Answer("trend", lambda: _trend(self.session, ident)), new_joint(self.session))
        )

    def awaited(self) -> Awaited | None:
        view, ident = self.session.view, self.key()
        return figure_awaited(view, ident) if view is not None and ident else None

    def opened(self) -> Outcome:
        view, ident = self.session.view, self.key()
        if view is None or not ident:
            return None
        jobs = (view.job_of(item) for item in joint_now(view, ident).requirements if item.blocks)
        job = next((job for job in jobs if job is not None), None)
        if job is None:
            return _trend(self.session, ident)
        from pitcrew.tui.pages.why import Why

        return Go(Why(self.session, job))

    def block(self, step: int) -> None:
        view = self.session.view
        if view is None or not self.keys():
            return
        zones = zones_of(view)
        at = next(index for index, (_, joints) in enumerate(zones) if self.key() in joints)
        joints = zones[min(max(at + step, 0), len(zones) - 1)][1]
        self.hold(next((joint for joint in joints if joint_now(view, joint).blocks), joints[0]))

    def refreshed(self) -> None:
        """After an answer of one's own that ends a row, on to the next one in the zone that blocks."""
        acts = self.session.own_acts
        if not acts or acts[-1] == self._seen:
            return
        self._seen = acts[-1]
        written = self.session.last_of(self._seen)
        view, ident = self.session.view, self.key()
        done = any(
            entry.subject == ident
            and (entry.kind == "marks_good" or (entry.kind == "torqued" and entry.detail["fasteners"] == "all"))
            for entry in written
        )
        if done and view is not None:
            joints = next(joints for _, joints in zones_of(view) if ident in joints)
            later = joints[joints.index(ident) + 1 :]
            self.hold(next((joint for joint in later if joint_now(view, joint).blocks), ident))

    # what is drawn

    def sheet(self, width: int, height: int) -> list[Line]:
        view = self.session.view
        if view is None:
            text = "judging the robot.." if self.session.robot else "no robot in this book yet"
            return [line(Span(f"  {text}", "quiet"))]
        ident = self.key()
        if not ident:
            return labelled("joints", EMPTY, width, "quiet")
        zones = zones_of(view)
        zone = view.case.defs.joints[ident].zone
        every = height >= TALL
        shown = [joint for of, joints in zones for joint in joints if every or of == zone]
        most = len(shown) if every else max(LEAST_ROWS, *(len(joints) for _, joints in zones))
        room = min(most, max(height - 8, 1))
        heading, *listed = self._list(view, shown, width, every)
        rows, below = window(listed, shown.index(ident), room)
        legend = f"{below} rows below   " if below else ""
        above = [
            _zones_row(view, zone, width),
            heading,
            *filled(rows, room),
            line(Span(f"  {'':9} {legend}{LEGEND}", "quiet")),
            parting(names.label(view.case, joint_now(view, ident).requirements[0]), width, _right(view, ident)),
        ]
        return [*above, *self._detail(width, max(height - len(above), 0))][:height]

    def _list(self, view: View, shown: Sequence[str], width: int, every: bool) -> Iterator[Line]:
        """The list's rows, worked out again as the detail is; only the mark of the keys moves with every key."""
        key = (shown[0], self.session.now() // MINUTE_MS, width, every)
        if self._listed is None or self._listed[0] is not view or self._listed[1] != key:
            columns = _columns(view, shown, width, every)
            at = self.session.now()
            rows = [_row(view, joint_now(view, joint), columns, every, at) for joint in shown]
            self._listed = (view, key, [_heading(columns, width), *rows])
        heading, *rows = self._listed[2]
        yield heading
        yield from (marked(row, joint == self.key(), width) for joint, row in zip(shown, rows, strict=True))

    def _detail(self, width: int, height: int) -> list[Line]:
        """What stands about the joint below the list; worked out again when the robot, the row or the minute is new."""
        view, ident = self.session.view, self.key()
        if view is None:
            return []
        key = (ident, self.session.now() // MINUTE_MS, width, height)
        if self._painted is None or self._painted[0] is not view or self._painted[1] != key:
            self._painted = (view, key, filled(_detail(self.session, view, ident, width), height))
        return self._painted[2]


def _trend(session: Session, joint: str) -> Outcome:
    from pitcrew.tui.pages.trend import Trends

    return Go(Trends(session, [f"joint:{joint}"]))


def _zones_row(view: View, open_zone: str, width: int) -> Line:
    """The zones with how many of their joints block, the open one in brackets; as many as fit around it."""
    blocking = blocking_in(view)
    said = [
        (zone == open_zone, f"{names.zone_name(view.case, zone) or '?'} {blocking.get(zone, 0) or '-'}")
        for zone, _ in zones_of(view)
    ]
    spans = [Span(f"[ {text} ]", "here") if here else Span(text) for here, text in said]
    at = next(index for index, (here, _) in enumerate(said) if here)
    for gap in (3, 2, 1):
        if sum(cells(span.text) + gap for span in spans) <= width - 12:
            break
    start = 0
    while start < at and sum(cells(span.text) + 1 for span in spans[start : at + 1]) > width - 12:
        start += 1
    row: list[Span] = [Span("  zones     ", "quiet")]
    for span in spans[start:]:
        row += [span, Span(" " * gap)]
    return line(*row)


def _columns(view: View, shown: Sequence[str], width: int, every: bool) -> _Columns:
    joints = [view.case.defs.joints[ident] for ident in shown]
    longest = max(cells(_name(view, joint_now(view, joint.id), every)) for joint in joints)
    name = min(max(longest, len("joint")), MOST_NAME)
    strip = min(max(LEAST_STRIP, *(joint.fastener_count for joint in joints)), MOST_STRIP)
    if width < WIDE:
        return _Columns(name, strip, 0, 0)
    last = LAST if width >= WIDEST else 0
    left = width - 12 - name - 1 - strip - 2 - 1 - FIGURE - 2 - LIMITS - LOCKING - (last + 1 if last else 0)
    return _Columns(name, strip, min(max(left, 8), 24), last)


def _name(view: View, now: JointNow, every: bool) -> str:
    zone = f"{names.zone_name(view.case, now.joint.zone)} " if every else ""
    return f"{zone}{now.joint.name}"


def _heading(columns: _Columns, width: int) -> Line:
    thread = f"{pad('thread', columns.thread)} " if columns.thread else ""
    limits = f"{pad('limits', LIMITS)}" if columns.thread else ""
    last = f"{pad('locking', LOCKING)} last torqued" if columns.last else "locking"
    text = f"  {'verdict':<9} {pad('joint', columns.name)} {pad('each one', columns.strip)}  {thread}"
    return line(Span(cut(f"{text}{'N m':>{FIGURE}}  {limits}{last}", width), "quiet"))


def _row(view: View, now: JointNow, columns: _Columns, every: bool, at: int) -> Line:
    worst = now.worst
    states = fasteners(now.states)
    strip = states if len(states) <= columns.strip else f"{states.count('#')} of {len(states)} hold"
    target, limits = torque_limits(now.joint)
    text = f" {pad(shorten(_name(view, now, every), columns.name), columns.name)} {pad(strip, columns.strip)}  "
    if columns.thread:
        text += f"{pad(shorten(now.joint.thread, columns.thread), columns.thread)} "
    text += f"{target:>{FIGURE}}  "
    if columns.thread:
        text += pad(limits, LIMITS)
    text += pad(locking_words(view.case, now, at), LOCKING)
    if columns.last:
        text += " "
        newest = max(now.fasteners, key=lambda item: item.torque.order if item.torque else (0, 0, "", ""))
        text += torque_who(view.case, newest)
    return line(" ", word(worst.verdict, worst.blocks) if worst else " " * 9, text)


def _right(view: View, ident: str) -> str:
    now = joint_now(view, ident)
    jobs = (view.job_of(item) for item in now.requirements if item.blocks)
    job = next((job for job in jobs if job is not None), None)
    second = ["second person"] if now.joint.second else []
    return "   ".join([*second, *([f"{job.minutes} min", f"clears {len(job.clears)}"] if job else [])])


def _detail(session: Session, view: View, ident: str, width: int) -> list[Line]:
    rows: list[Line] = []
    joint = view.case.defs.joints[ident]
    zone = view.case.defs.zones.get(joint.zone)
    guards = list(stops(view, ident))
    if zone is not None and "weapon" in zone.title.casefold():
        guards.append(WEAPON)
    for text in guards:
        first, *more = wrapped(text, width - 2, 2)
        rows += [line(Span(f"! {first}", "care")), *(line(Span(f"  {row}", "care")) for row in more)]
    ways = torque_ways(view, ident, session.desk(), session.book.writer)
    label = ""
    for given, text in joint_detail(view, ident, ways):
        label = given or label
        role = "stop" if label == "expect" and text.endswith("FAIL") else "quiet" if label == "rests on" else ""
        rows += labelled(given, text, width, role, 2)
    return rows
