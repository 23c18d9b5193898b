"""Maintenance line by line: what waits, and what there is. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from logbook.services.ages import due_in
from logbook.services.upkeep_words import SOON, left_words
from logbook.ui.screens.pack_history import defect_line, entry_line
from logbook.ui.screens.pack_lines import BLANK
from logbook.ui.screens.today_lines import SIGNS
from logbook.ui.widgets.line_list import Line, Span, heading

if TYPE_CHECKING:
    from logbook.services.upkeep_desk import Board
    from logbook.services.upkeep_flags import UpkeepFlag

Row = dict[str, Any]
_ENTRIES: Final = 30
_SOON_DAYS: Final = 30
_FLAGS: Final = 12


def waiting_lines(board: Board, today: str) -> list[Line]:
    """Defects and what falls due.

    Args:
        board: how maintenance stands.
        today: the day now.
    """
    return [
        *_waiting(board.waiting),
        *_open_flags(board.flags),
        *_defects(board.defects, today),
        BLANK,
        *_due(board.due, today),
        *_answered(board.flags),
    ]


def _open_flags(found: Sequence[UpkeepFlag]) -> list[Line]:
    """Flags of observations and entries that nobody answered, and an empty line; nothing where there is none."""
    waiting = [flag for flag in found if not flag.answered]
    if not waiting:
        return []
    lines = [heading(f"Flags without an answer: {len(waiting)} of observations and entries (w answers one)")]
    for flag in waiting[:_FLAGS]:
        head = (Span(*SIGNS[flag.severity]), Span(f"{flag.day}  "))
        lines.append(Line(head, flag.words, "", (flag.kind, flag.record_id)))
    if len(waiting) > _FLAGS:
        lines.append(Line(body=f"… and {len(waiting) - _FLAGS} earlier.", tone="grey"))
    return [*lines, BLANK]


def _answered(found: Sequence[UpkeepFlag]) -> list[Line]:
    """What was answered stays to be read, after an empty line; nothing where there is none."""
    known = [flag for flag in found if flag.answered]
    if not known:
        return []
    lines = [BLANK, heading("Flags that were answered")]
    for flag in known[:_FLAGS]:
        head = (Span("ok ", "success"), Span(f"{flag.day}  "))
        body = f"{flag.words} Answered: {flag.said}"
        lines.append(Line(head, body, "grey", (flag.kind, flag.record_id)))
    if len(known) > _FLAGS:
        lines.append(Line(body=f"… and {len(known) - _FLAGS} earlier.", tone="grey"))
    return lines


def _waiting(found: Sequence[Row]) -> list[Line]:
    if not found:
        return []
    lines = [heading("Grounded: an entry for the pack (a), or an answer to the flag, ends it")]
    for one in found:
        head = (Span("‼ ", "error"), Span(f"{one['date']}  "))
        lines.append(Line(head, f"{one['serial_no']}: {one['words']}", "error", ("pack", one["serial_no"])))
    return [*lines, BLANK]


def _defects(found: Sequence[Row], today: str) -> list[Line]:
    if not found:
        return [heading("Defects"), Line(body="None open, none deferred. a writes one down.", tone="grey")]
    lines = [heading(f"Defects: {len(found)} not closed (Enter defers or closes one)")]
    for one in found:
        line = defect_line(one)
        until = one["deferred_until"]
        if one["state"] == "deferred" and until and until < today:
            line = line._replace(
                head=(Span("‼ ", "error"), *line.head[1:]), body=f"NO LONGER VALID, {line.body}"
            )
        elif one["state"] == "deferred" and until:
            line = line._replace(body=f"{line.body} ({due_in(until, today)})")
        lines.append(line)
    return lines


def _due(found: Sequence[Row], today: str) -> list[Line]:
    rows = [item for item in found if item["kind"] != "defect"]  # stands above, with its day
    if not rows:
        return [heading("Falls due"), Line(body="Nothing, as far as the book knows.", tone="grey")]
    return [heading("Falls due, nearest first"), *(_due_line(item, today) for item in rows)]


def _due_line(item: Row, today: str) -> Line:
    day, left = item["due"], item.get("remaining")
    past = bool(day and day < today) or (left is not None and left <= 0)
    near = not past and bool(day) and (day <= today or _days(day, today) <= _SOON_DAYS)
    near = near or (left is not None and not past and left <= SOON.get(item["by"], 0))
    sign = Span("‼ ", "error") if past else Span("! ", "warning") if near else Span("  ")
    what = str(item["what"]).removesuffix(", expected")
    words = f"{what} of {item['of']}" if item["of"] else what
    if left is not None:
        words += f": {left_words(item)}"
        words += "; about then, at the pace so far" if day and not past else "" if day else "; pace not known"
    else:
        words += f", {due_in(day, today)}"
    tone = "error" if past else ""
    head = (sign, Span(f"{day or 'no date':<10}  "))
    return Line(head, f"PAST DUE: {words}" if past else words, tone, (item["kind"], item["id"]))


def _days(day: str, today: str) -> int:
    from datetime import date

    return date.fromisoformat(day).toordinal() - date.fromisoformat(today).toordinal()


def more_lines(board: Board) -> list[Line]:
    """What was done, the parts with their time, the aeroplanes with theirs."""
    return [
        *_entries(board.entries),
        BLANK,
        *_components(board.components),
        BLANK,
        *_aircraft(board.aircraft),
    ]


def _entries(found: Sequence[Row]) -> list[Line]:
    if not found:
        return [heading("Maintenance entries"), Line(body="None recorded. a writes one down.", tone="grey")]
    lines = [heading("Maintenance entries, newest first"), *(entry_line(one) for one in found[:_ENTRIES])]
    if len(found) > _ENTRIES:
        lines.append(Line(body=f"… and {len(found) - _ENTRIES} earlier.", tone="grey"))
    return lines


def _components(found: Sequence[Row]) -> list[Line]:
    if not found:
        return [heading("Components"), Line(body="None recorded. a adds one.", tone="grey")]
    return [heading("Components: time and limit"), *(_component(one) for one in found)]


def _component(row: Row) -> Line:
    said = [f"{row['hours']:.1f} h"]
    left = row["hours_remaining"]
    tone = ""
    if row["limit_hours"] is not None:
        said.append(f"limit {row['limit_hours']:g} h, " + (f"{left:.1f} h left" if left > 0 else "PASSED"))
        tone = "" if left > 0 else "error"
    if row["limit_date"]:
        said.append(f"not after {row['limit_date']}")
    if row["limit_hours"] is None and not row["limit_date"]:
        said.append("no limit is stated")
    number = f" {row['serial_no']}" if row["serial_no"] else ""
    head = (Span("  "), Span(f"{row['aircraft']}  {row['name']}{number}  "))
    return Line(head, "; ".join(said), tone, ("component", row["component_id"]))


def _aircraft(totals: dict[str, Row]) -> list[Line]:
    lines = [heading("Aeroplanes (Enter writes the page for an inspector)")]
    for name, total in totals.items():
        words = f"{total['hours']:.1f} h, {total['landings']:g} landings ({total['words']})"
        lines.append(Line((Span("  "), Span(f"{name}  ")), words, "", ("paper", name)))
    return lines
