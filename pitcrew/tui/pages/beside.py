"""What a wide screen has room for beside the worklist: weights, packs, what warns, the last entries."""

from __future__ import annotations

from pitcrew.bench import names, words
from pitcrew.bench.history import page
from pitcrew.bench.session import Session
from pitcrew.bench.standing import View
from pitcrew.readiness.verdict import WeightRow
from pitcrew.tui.marks import weight_mark
from pitcrew.tui.paint import BLANK, Line, Span, cut, line, pad, word, wrapped

WIDEST = 60
LEAST = 40


def width_beside(width: int) -> int:
    """How many columns go to what stands beside the list: none below 116."""
    return min(max(width - 76, 0), WIDEST) if width >= LEAST + 76 else 0


def beside(session: Session, view: View, width: int, height: int) -> list[Line]:
    """The rows beside the worklist, the most pressing above."""
    rows = [line(Span(f"{'weights':<9}        kg under      own : | limit", "quiet"))]
    rows += [_weight(view, row) for row in view.standing.weights]
    rows += [BLANK, *_packs(view, width)]
    warnings = view.warnings()
    if warnings:
        rows += [BLANK, line(Span("besides", "quiet"))]
        for text in warnings:
            first, *rest = wrapped(text, width - 2, 2)
            rows += [line(f"  {first}"), *(line(f"  {more}") for more in rest)]
    rows += [BLANK, line(Span("last entries", "quiet"))]
    room = height - len(rows)
    if room > 0:
        found = page(session.book, count=room, robot=session.robot).lines[-room:]
        for entry in reversed(found):
            number = f"#{entry.n}"
            text = pad(cut(f"  {entry.time} {entry.by:<3} {entry.words}", width - len(number) - 1), width - len(number))
            rows.append(line(Span(f"{text}{number}", "quiet")))
    return rows[:height]


def _weight(view: View, row: WeightRow) -> Line:
    name = pad(names.configuration_name(view.case, row.configuration), 3)
    counts = row.entered or row.declared
    state = word(row.verdict, counts and row.verdict not in ("pass", "warns"))
    if row.kg is None:
        return line(state, f" {name} not known")
    sign = "~" if row.how in ("figured", "added up") else " "
    margin = f"{row.margin_kg:6.2f}" if row.margin_kg is not None else "      "
    mark = weight_mark(row.kg, row.u_kg, row.limit_kg, view.case.defs.robot.crew_margin_kg, row.verdict, True)
    return line(state, f" {name}{sign}{row.kg:6.2f}{margin} ", mark)


def _packs(view: View, width: int) -> list[Line]:
    case = view.case
    chosen = case.chosen()
    record = case.defs.pack_sets.get(str(chosen.detail["pack_set"])) if chosen else None
    if record is None:
        return [line(Span("packs     ", "quiet"), "none chosen")]
    since = f", chosen {words.at(case, chosen.happened)} {chosen.entry.by}" if chosen else ""
    item = next((item for item in view.standing.requirements if item.group == "packs"), None)
    why = f": {words.reason(case, item)}" if item is not None else ""
    rows = wrapped(f"{record.name}{since}{why}", width - 10, 3)
    return [line(Span(f"{'packs' if at == 0 else '':<10}", "quiet"), text) for at, text in enumerate(rows)]
