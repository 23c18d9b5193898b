"""What happened to a pack, line by line, newest first. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

from logbook.services.grounding import INSPECT
from logbook.ui.screens.pack_fact import fact
from logbook.ui.screens.today_lines import SIGNS
from logbook.ui.widgets.line_list import Line, Span, heading

if TYPE_CHECKING:
    from logbook.measures import Measures
    from logbook.services.pack_view import PackView
    from logbook.services.versions import Change

Row = dict[str, Any]
_FEW: Final = 8
"""So many of the newest records of a kind are listed; the paper has all."""


def _more(rows: list[Any], shown: int = _FEW) -> list[Line]:
    left = len(rows) - shown
    return [Line(body=f"… and {left} earlier; the paper (z) has all.", tone="grey")] if left > 0 else []


def _none(title: str, words: str) -> list[Line]:
    return [heading(title), Line(body=words, tone="grey")]


def exceedances(view: PackView) -> list[Line]:
    """Limits and cautions that were passed, newest first; each opens its flight, charge or observation."""
    found = view.detail["exceedances"]
    if not found:
        return _none("Exceedances", "None in the record.")
    lines = [heading(f"Exceedances: {len(found)}")]
    for one in found[:_FEW]:
        sign = Span("‼ ", "error") if one["severity"] == "serious" else Span("! ", "warning")
        kind = view.records.get(one["record_id"], "flight")
        lines.append(
            Line(
                (sign, Span(f"{one['at'][:10]}  ")),
                view.measures.sentence(one["words"]),
                "",
                (kind, one["record_id"]),
            )
        )
    if str(view.row["grounded"]).endswith(INSPECT):
        lines.append(Line(body="An entry (a) or an answer to the flag (w) ends it."))
    return lines + _more(found)


def defects(found: list[Row]) -> list[Line]:
    """Defects of the pack that are not closed."""
    waiting = [one for one in found if one["state"] != "closed"]
    closed = len(found) - len(waiting)
    if not waiting:
        return _none("Defects", f"None open; {closed} closed." if closed else "None open.")
    return [heading("Defects"), *(defect_line(one, of=False) for one in waiting)]


def defect_line(defect: Row, *, of: bool = True) -> Line:
    """A defect that is not closed."""
    deferred = defect["state"] == "deferred"
    words = f"deferred until {defect['deferred_until']}" if deferred else "open"
    if deferred and defect["deferred_by"]:
        words += f" by {defect['deferred_by']}"
    if defect["needs_inspection"] and not deferred:
        words = "INSPECTION BEFORE NEXT USE"
    name = f"{defect['aircraft'] or defect['serial_no']}  " if of else ""
    sign = Span("! ", "warning") if deferred else Span("‼ ", "error")
    head = (sign, Span(f"{defect['found'][:10]}  {name}"))
    return Line(head, f"{words}: {defect['text']}", "", ("defect", defect["defect_id"]))


def entries(found: list[Row]) -> list[Line]:
    """Maintenance entries of the pack, newest first."""
    if not found:
        return _none("Maintenance entries", "None recorded.")
    return [
        heading("Maintenance entries"),
        *(entry_line(one, of=False) for one in found[:_FEW]),
        *_more(found),
    ]


def entry_line(entry: Row, *, of: bool = True) -> Line:
    """A maintenance entry."""
    name = f"{entry['aircraft'] or entry['serial_no'] or ''}  " if of else ""
    who = f" ({entry['done_by']})" if entry["done_by"] else ""
    kind = f"{entry['work']}: " if entry["work"] else ""
    head = (Span("  "), Span(f"{entry['completed'][:10]}  {name}"))
    return Line(head, f"{kind}{entry['text']}{who}", "", ("maintenance", entry["entry_id"]))


def gaps(view: PackView) -> list[Line]:
    """Where its line of charge breaks, newest first, with the likely cause."""
    found, unread = view.detail["gaps"], view.detail["unread"]
    missing = f" {unread} readings were not made." if unread else ""
    if not found:
        return _none("Line of charge", f"Unbroken: each charge follows on from the one before.{missing}")
    lines = [heading(f"Line of charge: {len(found)} gaps (g draws it)")]
    for gap in list(reversed(found))[:_FEW]:
        kind = view.records.get(gap["after_record"], "flight")
        head = (Span("! ", "warning"), Span(f"{gap['at'][:10]}  "))
        lines.append(Line(head, f"{gap['cause']}: {gap['words']}", "", (kind, gap["after_record"])))
    return lines + _more(found) + ([Line(body=missing.strip(), tone="grey")] if missing else [])


def observations(seen: Row, measures: Measures) -> list[Line]:
    """What was seen outside flight and charge, and how cells and insulation move."""
    rows = list(reversed(seen["rows"]))
    if not rows:
        return _none("Observations", "None yet: a adds what the pack shows outside flight and charge.")
    lines = [heading("Observations")]
    for name, label, unit in (
        ("cells_apart_mv", "Cells apart", "mV"),
        ("insulation_mohm", "Insulation", "MΩ"),
    ):
        trend = seen["trends"][f"{name}_per_year"]
        slope = ""
        if trend["value"] is not None:
            slope = f"{trend['value']:+.1f} ({trend['low']:+.1f} to {trend['high']:+.1f}) {unit} a year, "
        lines.append(fact(label, f"{slope}{trend['words']}"))
        passed = "warning" if "passed on" in trend["limit_words"] else ""
        lines.append(fact("", trend["limit_words"], "grey" if trend["limit"] is None else passed))
    for one in rows[:_FEW]:
        target = ("observation", one["observation_id"])
        lines.append(Line((Span("  "), Span(f"{one['at'][:10]}  ")), _seen(one, measures), "", target))
        for flag in one["flags"]:
            sign = ("ok ", "success") if flag["answered"] else SIGNS[flag["severity"]]
            lines.append(Line((Span("  "), Span(*sign)), flag["words"], "grey" * flag["answered"], target))
    return lines + _more(rows)


def _seen(row: Row, measures: Measures) -> str:
    said = [
        f"{words} {measures.figure(row[name], unit) if unit == '°C' else format(row[name], 'g')} {measures.unit(unit)}".strip()
        for name, words, unit in (
            ("cells_apart_mv", "cells", "mV apart"), ("insulation_mohm", "insulation", "MΩ"), ("soc_pct", "charge", "%"),
            ("soh_pct", "SOH", "%"), ("temp_max_c", "up to", "°C"), ("counter_hours", "own hours", "h"),
            ("counter_cycles", "own cycles", ""),
        )
        if row[name] is not None
    ]  # fmt: skip
    said += [str(row[name]) for name in ("software", "text") if row[name]]
    if row["baseline_break"]:
        said.insert(0, f"STARTS ANEW ({row['baseline_break']})")
    return ", ".join(said) or "nothing read"


def fittings(found: list[Row]) -> list[Line]:
    """Where it was, newest first, with what it accrued there."""
    if not found:
        return _none("Fittings", "None recorded (F3 fits it).")
    lines = [heading("Fittings (F3: fit, remove, swap, state)")]
    for one in reversed(found):
        until = one["removed"][:10] if one["removed"] else "now"
        why = f", {one['reason']}" if one["reason"] else ""
        head = (Span("  "), Span(f"{one['fitted'][:10]} to {until:<10}  "))
        words = (
            f"{one['aircraft']} {one['position']}: {one['hours']:.1f} h, {one['landings']:g} landings{why}"
        )
        lines.append(Line(head, words))
    return lines


def costs(found: Row) -> list[Line]:
    """What an hour of flying costs."""
    lines = [heading("Costs per hour of flying")]
    for name, label in (
        ("electricity_per_hour", "Electricity"), ("wear_per_hour", "Wear of the pack"), ("together_per_hour", "Together"),
    ):  # fmt: skip
        part = found[name]
        spread = part["per_hour"]
        figures = (
            "" if spread is None else f"{spread['mid']:.2f} ({spread['low']:.2f} to {spread['high']:.2f}): "
        )
        lines.append(fact(label, f"{figures}{part['words']}"))
    return lines


def states(detail: Row, changes: Iterable[Change], measures: Measures) -> list[Line]:
    """States somebody set, and changes of its record; first whether the program knows the state set last."""
    lines = [heading("States somebody set, and changes of its record")]
    if detail["state_note"]:
        lines.append(Line(body=detail["state_note"], tone="warning"))
    for one in reversed(detail["states"]):
        since = one["since"][:10] if one["since"] else "not said when"
        why = f": {one['why']}" if one["why"] else ""
        lines.append(fact(f"  {since}", f"{one['state']}{why} ({one['by'] or 'nobody named'})"))
    lines += [
        fact(f"  {change.when[:10]}", f"{change.who or 'nobody named'}: {change.words('pack', measures)}")
        for change in changes
    ]
    return lines
