"""The whole screen as rows of text: the standing, the sheet, the answer row, the line, the keys of this moment."""

from __future__ import annotations

from pitcrew.tui.actions import PLACES
from pitcrew.tui.head import head
from pitcrew.tui.page import Answers, filled
from pitcrew.tui.paint import BLANK, LABEL_WIDTH, Line, Span, cells, cut, fitted, labelled, line, pad, spread
from pitcrew.tui.shell import Shell

SMALLEST = 12
BELOW = 3
GAP = "   "


def frame(shell: Shell, width: int, height: int) -> list[Line]:
    """Every row of the screen, exactly `height` of them, each exactly `width` columns."""
    top = head(shell.session, width, height, shell.unsaved)
    if height < SMALLEST:
        top = top[:1]
    bottom = (
        _strip(shell, width)
        if shell.strip
        else [*_answer_rows(shell, width), _typed_row(shell, width), _keys(shell, width)]
    )
    room = max(height - len(top) - min(len(bottom), BELOW), 0)
    sheet = filled(shell.page.sheet(width, room), room)
    if height < SMALLEST:
        sheet = _row_first(sheet, room)
    # Meanings lie over the foot of the sheet, so that no row of the list moves while one types.
    sheet = sheet[: max(height - len(top) - len(bottom), 0)]
    if shell.line.is_open and shell.line.found:
        sheet = [_left(row) for row in sheet]
    return [fitted(row, width) for row in [*top, *sheet, *bottom][:height]]


def _left(row: Line) -> Line:
    """The row the keys have left for the meanings: one can see where one will come back to."""
    if not row or not row[0].text.startswith(">"):
        return row
    return (Span(":" + row[0].text[1:]), *(Span(span.text) for span in row[1:]))


def _row_first(sheet: list[Line], room: int) -> list[Line]:
    """On a very low screen, the row the keys are at stands on top."""
    here = next((index for index, row in enumerate(sheet) if row and row[0].text.startswith(">")), 0)
    return filled(sheet[here:], room)


def _answer_rows(shell: Shell, width: int) -> list[Line]:
    """What Space will say, or what the open line may mean, or why something was not taken."""
    if shell.message is not None and shell.message.text:
        return (
            [line(Span(f"  {shell.message.text}", shell.message.role))]
            if cells(shell.message.text) < width - 2
            else (labelled("", shell.message.text, width, shell.message.role, 2))
        )
    if shell.line.asked is not None:
        heard = shell.line.heard
        return labelled("then" if heard else "", heard or shell.line.asked.hint, width, "" if heard else "quiet", 2)
    if shell.line.typed is not None:
        return _meanings(shell, width)
    return [_answers(shell.page.answers(), shell.choice, width)]


def _meanings(shell: Shell, width: int) -> list[Line]:
    if not shell.line.found:
        text = shell.line.refusal or "type a figure, a name, a hit, in, out, or where to go"
        return labelled("not yet" if shell.line.refusal else "", text, width, "quiet", 2)
    rows = []
    for index, choice in enumerate(shell.line.found):
        picked = index == shell.line.picked and not shell.line.wants_picking()
        then = shell.line.told() if picked else ""
        right = line(Span(f"  {then} ", "quiet")) if then else BLANK
        room = width - sum(cells(span.text) for span in right)
        rows.append(
            spread(
                line(Span(f"{'>' if picked else ' '} {cut(choice.text, room - 3)}", "here" if picked else "")),
                right,
                width,
            )
        )
    return rows


def _answers(answers: Answers, choice: int | None, width: int) -> Line:
    """The answers in their order, the one that Space says in brackets."""
    index = choice if choice is not None else answers.first
    if not answers.items:
        return line(Span("  answer    ", "quiet"), Span(answers.hint, "quiet"))
    labels = [f"[ {item.label} ]" if at == index else item.label for at, item in enumerate(answers.items)]
    room = width - LABEL_WIDTH
    first, last = _around(labels, index or 0, room)
    row = [Span("  answer    ", "quiet"), Span(".. " if first else "", "quiet")]
    for at in range(first, last):
        row += [Span(labels[at], "here" if at == index else ""), Span(GAP)]
    row.append(Span(".." if last < len(labels) else "", "quiet"))
    used = sum(cells(span.text) for span in row) - LABEL_WIDTH
    hint = f"({answers.hint})" if index is None and answers.hint else ""
    return line(*row, Span(hint if used + cells(hint) <= room else "", "care"))


def _around(labels: list[str], index: int, room: int) -> tuple[int, int]:
    """The first answers, or as many around the picked one as there is room for: from, and up to."""

    def wide(first: int, last: int) -> int:
        dots = 3 * bool(first) + 2 * (last < len(labels))
        return sum(cells(label) + len(GAP) for label in labels[first:last]) - len(GAP) + dots

    first = 0
    while first < index and wide(first, index + 1) > room:
        first += 1
    last = index + 1
    while last < len(labels) and wide(first, last + 1) <= room:
        last += 1
    return first, last


def _typed_row(shell: Shell, width: int) -> Line:
    """The line: what is asked or typed, or what was logged last."""
    if shell.line.typed is not None:
        label = shell.line.asked.label if shell.line.asked else "log"
        who = f"  {shell.session.by} " if shell.session.by else ""
        shown = shell.line.typed.shown(max(width - 13 - len(who), 8))
        return spread(line(Span(f"  {label:<9} ", "quiet"), Span(shown, "yours")), line(Span(who, "quiet")), width)
    if shell.line.kept:
        return line(Span("  kept      ", "quiet"), Span(shell.line.kept, "yours"))
    if not shell.last:
        return line(Span("  last      nothing logged here yet", "quiet"))
    text, numbers = shell.last
    star = text.startswith("* ")
    return spread(
        line(Span(f"{'* ' if star else '  '}last      {text.removeprefix('* ')}", "quiet")),
        line(Span(f"  {numbers} ", "quiet")),
        width,
    )


def _keys(shell: Shell, width: int) -> Line:
    return line(Span(cut(f" {_fitting(keys_of(shell), width)}", width), "quiet"))


def keys_of(shell: Shell) -> list[str]:
    """The keys of this moment."""
    if shell.line.asked is not None:
        return ["Enter take it", "Back rub out", "Tab go to"]
    if shell.line.typed is not None:
        many = ["^v other meaning"] if len(shell.line.found) > 1 else []
        if shell.line.wants_picking():
            return ["^v pick one, then Enter", "Back rub out", "Tab go to (the line is kept)"]
        return ["Enter log it", *many, "Back rub out", "Tab go to (the line is kept)"]
    answers = shell.page.answers()
    said = ["Space say it"] if answers.items and shell.answer() is not None else []
    choose = ["<> choose"] if len(answers.items) > 1 or (answers.items and answers.first is None) else []
    block = [f"PgDn {shell.page.blocks}"] if shell.page.blocks else []
    rows = ["^v row"] if len(shell.page.keys()) > 1 else []
    return [*said, *choose, *rows, *block, "Enter open", "Back", "Tab go to", "? help"]


def _fitting(words: list[str], width: int) -> str:
    """The keys with room between them; on a narrow screen closer, then without the ones that everybody knows."""
    for known in ((), ("Back",), ("Back", "^v row"), ("Back", "^v row", "Enter open")):
        left = [word for word in words if word not in known]
        for gap in ("   ", "  "):
            if len(gap.join(left)) < width:
                return gap.join(left)
    return "  ".join(words)


def _strip(shell: Shell, width: int) -> list[Line]:
    """Where one may go: letter and name; the place before is bracketed, Space goes there."""
    names = {place.letter: place.name for place in PLACES}
    words = [f"{place.letter} {place.name}" for place in PLACES]
    words.append(f"Space [ {names.get(shell.before, 'home')} ]")
    rows: list[str] = []
    for gap in ("  ", " "):
        rows = ["  go to  "]
        for word in words:
            if len(rows[-1]) + len(gap) + len(word) > width:
                rows.append("         ")
            rows[-1] += f"{gap}{word}"
        if len(rows) <= BELOW:
            break
    rows += [""] * (BELOW - len(rows))
    return [line(Span(pad(row, width), "here")) for row in rows]
