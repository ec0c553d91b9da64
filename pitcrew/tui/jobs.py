"""What can be said to a job: its answers, the likeliest first, each with the screen or the entries it leads to."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pitcrew.bench import fastening, fitting, looking, measuring
from pitcrew.bench.answering import accept, declare
from pitcrew.bench.desk import Desk
from pitcrew.bench.names import fitting as called
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.bench.subjects import Figured, subjects
from pitcrew.bench.usual import last_value, usual_instrument
from pitcrew.bench.words import length, torque
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.jobs import MAKE_SAFE, Job
from pitcrew.tui.finding import page_of, place_page
from pitcrew.tui.page import Answer, Answers, Ask, Awaited, Go, Leap, Outcome, Page, Say, Write

if TYPE_CHECKING:
    from pitcrew.bench.joints_now import JointNow

Giving = Callable[[Session, View, Job], Answers]
LOOK_AND_SIGN = "look yourself, then sign: a second person's initials"


def job_answers(session: Session, view: View, job: Job) -> Answers:
    """The answers of a job; a marginal reading can also be taken on by the pit boss."""
    answers = GIVING[job.action](session, view, job)
    marginal = [item for item in job.clears if item.verdict == "marginal"]
    if marginal:
        taken = Answer(
            "take it on for this fight", lambda: Write(lambda desk: [d for i in marginal for d in accept(desk, i)])
        )
        answers = answers._replace(items=(*answers.items, taken))
    return answers


def logs(label: str, drafts: Callable[[Desk], list[Draft]]) -> Answer:
    """An answer that logs something at once."""
    return Answer(label, lambda: Write(drafts))


def shows(label: str, session: Session, sort: str, ident: str) -> Answer:
    """An answer that opens the screen of a thing."""

    def go() -> Outcome:
        page = page_of(session, sort, ident)
        return Go(page) if page is not None else Say(f"nothing more is known of {label}")

    return Answer(label, go)


def found_something(session: Session, job: Job) -> Answer:
    """An answer that opens the form for a finding: at the part that the job is about, else at its zone."""

    def go() -> Outcome:
        from pitcrew.tui.pages.found import Found

        return Go(Found(session, job.zone, _place_of(session, job)))

    return Answer("found something", go)


def _place_of(session: Session, job: Job) -> str | None:
    """The place of the one part that a job is about; None where it is about several, or about no part."""
    case = session.case()
    parts = {item.subject.partition("/")[0] for item in job.clears if item.group in ("look", "limit")}
    return case.scope().get(*parts) if case is not None and len(parts) == len(job.clears) == 1 else None


def _check(session: Session, view: View, job: Job) -> Answers:
    start = shows("start", session, "checklist", job.subject)
    return Answers((start, Answer("after a fight", lambda: Leap("a"))) if job.stage == MAKE_SAFE else (start,))


def _look_over(session: Session, view: View, job: Job) -> Answers:
    zone = job.zone or job.subject
    good = logs("looked over, marks good", lambda desk: looking.look_over(desk, [zone]))
    return Answers((good, found_something(session, job)))


def _look_at_each(session: Session, view: View, job: Job) -> Answers:
    said = {reason.code for item in job.clears for reason in item.because}
    parts = [item.subject for item in job.clears]
    one = Answer("one by one", lambda: Go(_one_by_one(session, job)))
    if "driver says" in said and len(parts) > 1:
        return Answers((one, found_something(session, job)))
    words = "looked at, good" if len(parts) == 1 else "all good"
    good = logs(words, lambda desk: looking.look_at(desk, parts))
    # Several parts are looked at one by one; to say all of them at once takes an arrow.
    return Answers(
        (good, found_something(session, job)) if len(parts) == 1 else (one, good, found_something(session, job))
    )


def _one_by_one(session: Session, job: Job) -> Page:
    from pitcrew.tui.pages.looks import Looks

    return Looks(session, job)


def _look_at_packs(session: Session, view: View, job: Job) -> Answers:
    packs = [item.subject for item in job.clears]
    good = logs("cases whole, cells within", lambda desk: looking.look_at(desk, packs))
    return Answers((Answer("one by one", lambda: Go(_one_by_one(session, job))), good))


def _hand_check(session: Session, view: View, job: Job) -> Answers:
    act = job.clears[0].subject if job.clears else job.subject
    return Answers(
        (
            logs("no sign", lambda desk: looking.hand_check(desk, act, sign=False)),
            logs("a sign: it was hard", lambda desk: looking.hand_check(desk, act, sign=True)),
        )
    )


def _mend(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.mends import mend_answers

    return mend_answers(session, view, job.clears[0].subject)


def _fit(session: Session, view: View, job: Job) -> Answers:
    place = job.clears[0].subject
    return Answers((shows("put a part in", session, "place", place),))


def _renew(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.life import renew_answers

    return renew_answers(session, view, job)


def _change_over(session: Session, view: View, job: Job) -> Answers:
    wanted = view.standing.configuration or ""
    name = view.case.defs.configurations[wanted].name if wanted in view.case.defs.configurations else "?"
    over = logs(f"changed over to {name}", lambda desk: fitting.change_over(desk, wanted))
    return Answers((over, Answer("part by part", lambda: Go(place_page(session, "p")))))


def _measure(session: Session, view: View, job: Job) -> Answers:
    stack = view.case.defs.stacks[job.clears[0].subject if job.clears else job.subject]
    answers = [shows("measure", session, "stack", stack.id)]
    if stack.low_m is not None and stack.high_m is not None:
        low, high = stack.low_m, stack.high_m
        words = f"{length(low)} goes, {length(high)} does not"
        answers.append(logs(words, lambda desk: measuring.feeler(desk, stack.id, low, high)))
    return Answers((*answers, found_something(session, job)))


def _measure_part(session: Session, view: View, job: Job) -> Answers:
    return Answers((found_something(session, job),), None, "type the figure")


def _torque(session: Session, view: View, job: Job) -> Answers:
    ident = job.clears[0].subject if job.clears else job.subject
    return joint_answers(session, view, ident)


def joint_answers(session: Session, view: View, ident: str) -> Answers:
    """What can be said to a joint, the likeliest first: torqued, some of it, marks good, signed, opened, found."""
    from pitcrew.bench import joints_now as now_of

    now = now_of.joint_now(view, ident)
    torqued = _torqued(session, view, now)
    marks = [logs("marks good", lambda desk: fastening.marks_good(desk, ident))] if not now.not_closed else []
    closed = len(now.not_closed) < now.joint.fastener_count
    rest = [logs("opened", lambda desk: fastening.open_joint(desk, ident))] if closed else []
    rest.append(_found_in(session, now.joint.zone))
    if now.unsigned:
        from pitcrew.tui.signs import second_signs_for

        sign = second_signs_for(session, now)
        first = 0 if now.codes == {now_of.SECOND} else None
        return Answers((sign, *torqued, *marks, *rest), first, "choose first")
    if now.codes and now.codes <= now_of.MARKS:
        return Answers((*marks, *torqued, *rest), 0)
    items = tuple([*torqued, *marks, *rest])
    if not now.blocks:
        return Answers((*marks, *rest, *torqued), None, "it holds")
    if now.joint.target_nm is None:
        return Answers(items, None, "no target known: type the torque")
    if now_of.stops(view, ident):
        return Answers(items, None, "a caution stands: choose first")
    # With threadlocker the primer may decide how long it takes to set: that wants a choice, not a habit.
    choice = now_of.primer_decides(view.case, now.joint)
    failing = (item for item in now.requirements if item.group == "locking" and item.verdict == "fail")
    too_young = any(because.code == "locker age" for item in failing for because in item.because)
    hint = "it sets too late: the same once more sets later still" if too_young else "primer or none? choose first"
    return Answers(items, None if choice or too_young else 0, hint)


def _torqued(session: Session, view: View, now: JointNow) -> list[Answer]:
    """Answers that torque a joint to its target: all, with primer or without where that matters, only some."""
    from pitcrew.bench.joints_now import primer_decides

    joint, target = now.joint, now.joint.target_nm
    if target is None:
        return []
    every = f"{joint.fastener_count} of {joint.fastener_count} at {torque(target)}"
    choice = primer_decides(view.case, joint)

    def clicked(primer: bool, new: bool = False) -> Callable[[Desk], list[Draft]]:
        return lambda desk: fastening.torque(
            desk, joint.id, target, primer=primer, new_fasteners=new, typed=torque(target)
        )

    def said(label: str, primer: bool, new: bool = False) -> Answer:
        return signed(session, joint.second, label, clicked(primer, new))

    ways = [(f"{every}, primer", True), ("no primer", False)] if choice else [(every, False)]
    items = [said(label, primer) for label, primer in ways]
    some = Answer("some, or new", lambda: _ask_which(session, now, target, choice))
    new = [said(f"{every}, new ones", False, new=True)] if "nut uses" in now.codes else []
    return [*new, *items, some]


def _ask_which(session: Session, now: JointNow, target: float, choice: bool) -> Outcome:
    """Ask which fasteners were torqued; the open ones are offered."""
    from pitcrew.bench.joints_now import listed, some_typed

    joint = now.joint

    def take(text: str) -> Outcome:
        some = some_typed(text)

        def drafts(desk: Desk) -> list[Draft]:
            return fastening.torque(
                desk,
                joint.id,
                target,
                fasteners=some.fasteners,
                primer=some.primer,
                new_fasteners=some.new,
                typed=torque(target),
            )

        drafts(session.desk())  # refused while what was typed still stands
        return signed(session, joint.second, "", drafts).do()

    part = 0 < len(now.not_closed) < joint.fastener_count
    words = "primer, new" if choice else "new"
    hint = f"which of 1-{joint.fastener_count}? 1-4, or 1,3; then, if so: {words}"
    return Ask("fasteners", take, hint, listed(now.not_closed) if part else "")


def _found_in(session: Session, zone: str) -> Answer:
    def go() -> Outcome:
        from pitcrew.tui.pages.found import Found

        return Go(Found(session, zone))

    return Answer("found", go)


def second_signs(session: Session, drafts: Callable[[Desk, str], list[Draft]]) -> Answer:
    """An answer that asks for a second person's initials, then logs; refused while they can still be changed."""
    from pitcrew.bench.openbook import crew_member

    def take(text: str) -> Outcome:
        second = crew_member(session.evidence, text)
        drafts(session.desk(), second)
        return Write(lambda desk: drafts(desk, second))

    return Answer("second person signs", lambda: Ask("second", take, LOOK_AND_SIGN))


def signed(session: Session, second: bool, label: str, drafts: Callable[[Desk], list[Draft]]) -> Answer:
    """An answer that logs, and asks for a second person's initials first where the joint wants them."""
    if not second:
        return logs(label, drafts)

    def take(text: str) -> Outcome:
        with_second(session.desk(), drafts(session.desk()), text)
        return Write(lambda desk: with_second(desk, drafts(desk), text))

    return Answer(label, lambda: Ask("second", take, LOOK_AND_SIGN))


def with_second(desk: Desk, drafts: list[Draft], text: str) -> list[Draft]:
    """Drafts signed by a second person of the crew.

    Raises:
        EntryError: nobody in the crew has these initials, or they are those of who did it.
    """
    from pitcrew.bench.openbook import crew_member

    second = desk.second_person(crew_member(desk.evidence, text), "second")
    return [draft._replace(detail={**draft.detail, "second": second}) for draft in drafts]


def _packs_in(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.pack_answers import in_answer, in_read_answer

    chosen = view.case.chosen()
    sets = view.case.defs.pack_sets
    named = sets.get(str(chosen.detail["pack_set"])) if chosen else None
    items = [in_answer(named.id, named.name), in_read_answer(session, named.id)] if named else []
    for item in sets.values():
        if named is None or item.id != named.id:
            items.append(logs(f"choose {item.name}", lambda desk, item=item: fitting.choose_packs(desk, item.id)))  # type: ignore[misc]
    return Answers(tuple(items), 0 if named else None, "choose the packs" if items else "no pack set yet: type one")


def _packs_out(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.pack_answers import out_answer

    return Answers((out_answer(session),))


def _charge_packs(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.pack_answers import charge_answer, empty_of, warm_till

    empty = empty_of(view.case, view.case.packs())
    packs = Answer("packs", lambda: Go(place_page(session, "k")))
    warm = warm_till(view.case, empty)
    first = None if warm else 0
    return Answers((charge_answer(session, view.case, empty), packs), first, warm or "somebody stays with it")


def _weigh(session: Session, view: View, job: Job) -> Answers:
    items = [Answer("weights", lambda: Go(place_page(session, "w")))]
    ident = job.clears[0].subject if job.clears else ""
    if ident in view.case.defs.configurations and ident != view.standing.configuration:
        # What is only declared blocks no longer once it is not.
        items.append(logs("undeclare", lambda desk: declare(desk, [ident], declared=False)))
    return Answers(tuple(items), None, "type what the scale shows")


def _tip(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.bench.tips import tip

    name = view.case.defs.configurations[job.clears[0].subject].name
    ask = Ask("tip", lambda text: Write(lambda desk: tip(desk, (*text.split(), *name.split()))), "full charge: 85 m/s")
    return Answers((Answer("type it", lambda: ask),), None)


def _sign(session: Session, view: View, job: Job) -> Answers:
    from pitcrew.tui.signs import sign_answers

    return sign_answers(session, view)


GIVING: dict[str, Giving] = {
    "check": _check,
    "look over": _look_over,
    "look at each": _look_at_each,
    "look at packs": _look_at_packs,
    "hand check": _hand_check,
    "mend": _mend,
    "fit": _fit,
    "renew": _renew,
    "change over": _change_over,
    "measure": _measure,
    "measure part": _measure_part,
    "torque": _torque,
    "packs in": _packs_in,
    "packs out": _packs_out,
    "charge packs": _charge_packs,
    "tip speed": _tip,
    "weigh": _weigh,
    "sign": _sign,
}


def job_awaited(view: View, job: Job) -> Awaited | None:
    """The figure a job waits for: a worn dimension, a weight, a torque, a gap measured directly."""
    if not job.clears or job.action not in ("measure part", "weigh", "torque", "measure"):
        return None
    subject = job.clears[0].subject
    return figure_awaited(view, subject)


def figure_awaited(view: View, subject: str) -> Awaited | None:
    """The figure of one thing by its id, read with what it is usually read with."""
    from pitcrew.bench.line import of_figure
    from pitcrew.units import Quantity

    item = next((item for item in subjects(view.case) if item.ident == subject), None)
    if item is None:
        return None
    figured: Figured = item
    tools = view.case.defs.instruments

    def read_with(tool: str | None) -> Awaited:
        def take(desk: Desk, si: float, typed: str) -> list[Draft]:
            return of_figure(desk, figured, Quantity(figured.dimension, si, figured.unit, typed), tool)

        note = f" with {tools[tool].name}" if tool is not None and tool in tools else ""
        return Awaited(figured.name, figured.dimension, figured.unit, take, note, None, last_value(view.case, figured))

    def named(text: str) -> Awaited | None:
        found = called(text, ((ident, record.name) for ident, record in tools.items()))
        return read_with(found[0]) if len(found) == 1 else None

    return read_with(usual_instrument(view.case, figured))._replace(with_tool=named)
