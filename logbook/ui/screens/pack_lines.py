"""A pack line by line: may it fly, may it be charged, what is left of its life, what happened to it. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from logbook.ui.screens import pack_history
from logbook.ui.screens.pack_fact import fact
from logbook.ui.widgets.line_list import Line, Span, heading

if TYPE_CHECKING:
    from logbook.measures import Measures
    from logbook.services.pack_lines import PackLine
    from logbook.services.pack_view import PackView
    from logbook.services.versions import Change

Row = dict[str, Any]
BLANK: Final = Line()
LIMITS: Final = (("hours", "hours", "h"), ("cycles", "cycles", ""), ("date", "date", ""), ("soh", "SOH", "%"))
_YEARS: Final = 4
"""An expected date that may be off by so many years is said in years."""


def glance(row: Row) -> str:
    """State, place and whether it may fly, in one line."""
    where = "to" if row["state"] == "fitted" else "in"
    place = f" {where} {row['aircraft']}, {row['position']}" if row["aircraft"] else ""
    since = f" since {row['state_since'][:10]}" if row["state_since"] else ""
    why = f": {row['state_reason']}" if row["state_reason"] else ""
    words = f"{row['state']}{place}{since}{why}"
    return f"‼ MAY NOT FLY, {row['grounded']} · {words}" if row["grounded"] else words[:1].upper() + words[1:]


def beside(line: PackLine, view: PackView | None = None) -> list[Line]:
    """A pack beside the list: what the list says in short, and once it is known, what the record says."""
    row, reading = line.row, line.reading
    lines = [
        heading(f"{line.serial_no}  {row['part_no'] or ''}"),
        Line(body=glance(row), tone="error" if row["grounded"] else ""),
        BLANK,
    ]
    temperature = "" if reading.temp_c is None else f", {line.measures.say(reading.temp_c, '°C')}"
    lines += [
        fact("Charge as read", f"{line.charge}{temperature}"),
        fact("SOH as read", _soh(row)),
        fact("Usable, SOH scale", f"{line.usable} kWh" if line.usable else row["usable_basis"]),
    ]
    if view is None:
        return [*lines, fact("Usable as flown", "working …", "grey"), BLANK, *life(row)]
    lines.append(fact("Usable as flown", _flown(view.detail["capacity"])))
    return [*lines, *charging(view)[:3], BLANK, *life(row), Line(body=row["first_limit"], tone="grey")]


def whole(view: PackView, changes: Iterable[Change], *, asked: bool = False) -> list[Line]:
    """The pack on its own screen; `asked` where charging was answered for what was read at the charger."""
    detail = view.detail
    how = "with what you read" if asked else "F4: with what you read"
    blocks = [
        *([[Line(body=detail["state_note"], tone="warning")]] if detail["state_note"] else []),
        [heading(f"May it be charged now? ({how})"), *charging(view)],
        [*life(view.row), Line(body=view.row["first_limit"])],
        _condition(view),
        pack_history.exceedances(view),
        pack_history.defects(detail["defects"]),
        pack_history.entries(detail["entries"]),
        pack_history.gaps(view),
        pack_history.observations(detail["observations"], view.measures),
        pack_history.fittings(detail["fittings"]),
        pack_history.costs(detail["costs"]),
        pack_history.states(detail, changes, view.measures),
    ]
    found: list[Line] = []
    for block in blocks:
        found += [BLANK, *block] if found else block
    return found


def under(line: PackLine) -> str:
    """What has no room in a narrow list, of the pack one is on."""
    cycles = f"{line.row['equivalent_cycles_discharge']:.1f} cycles. "
    usable = cycles + (f"Usable by the SOH scale {line.usable} kWh. " if line.usable else "")
    return f"{line.serial_no}: {glance(line.row)}.\n{usable}{line.row['first_limit']}"


def _flown(capacity: Row) -> str:
    usable = capacity["usable_kwh"]
    if usable is None:
        return "; ".join(capacity["why"]) or "too few records"
    return f"{usable['mid']:.1f} ({usable['low']:.1f} to {usable['high']:.1f}) kWh, n {capacity['n']}"


def _soh(row: Row) -> str:
    if row["soh_pct"] is None:
        return "never read"
    note = f": {row['soh_note']}" if row["soh_note"] else ""
    return f"{row['soh_pct']:g} % on {row['soh_read_at'][:10]}{note}"


def charging(view: PackView) -> list[Line]:
    """May it be charged now, and when it will be full."""
    lines = []
    for words in view.charging:
        label, answer, tone = "", words, ""
        if words.startswith("Charge now? "):
            label, answer = "Charge now?", words.removeprefix("Charge now? ")
            tone = {"yes": "success", "no:": "error"}.get(answer[:3], "warning")
        elif words.startswith("This pack may not fly"):
            tone = "error"
        lines.append(fact(label, answer, tone))
    return lines


def life(row: Row) -> list[Line]:
    """Limit by limit: so far, limit, left, expected; or why it cannot be judged."""
    lines = [
        heading("Life left"),
        Line((Span(f"{'':6}{'so far':>8}{'limit':>11}{'left':>9}  expected", "grey"),)),
    ]
    silent = []
    for name, words, unit in LIMITS:
        if row[f"{name}_limit"] is None:
            silent.append(words)
        else:
            lines.append(_limit(row, name, words, unit))
    if silent:
        lines.append(Line(body=f"No limit is stated in: {', '.join(silent)}.", tone="grey"))
    return lines


def _limit(row: Row, name: str, words: str, unit: str) -> Line:
    done, limit, left = (row[f"{name}_{part}"] for part in ("accumulated", "limit", "remaining"))
    low, mid, high = (row[f"{name}_expected_{end}"] for end in ("low", "mid", "high"))
    if name == "date":
        cells = ("", str(limit), f"{left} d")
    else:
        cells = (_one(done), f"{limit:g} {unit}".strip(), _one(left))
    head = (Span(f"{words:<6}{cells[0]:>8}{cells[1]:>11}{cells[2]:>9}  "),)
    if left is None:
        why = str(row[f"{name}_words"]).removeprefix("Cannot be judged: ")
        return Line(head, f"cannot be judged: {why}", "warning")
    if left <= 0:
        return Line(head, "PASSED", "error")
    if low is None:
        why = row[f"{name}_words"]
        return Line(head, why.partition(" left. ")[2] or why.partition("; ")[2] or "no date", "grey")
    return Line(head, _expected(low, mid, high))


def _expected(low: str, mid: str | None, high: str | None) -> str:
    """A date with its interval, no finer than it is known: the day, months, or years."""
    if mid is None:
        return f"not within 100 years ({low[:4]} at the earliest)"
    if high is None:
        return f"{mid[:4]} ({low[:4]} or later)"
    if low == high:
        return mid
    places = 7 if int(high[:4]) - int(low[:4]) < _YEARS else 4
    return f"{mid[:places]} ({low[:places]} to {high[:places]})"


def _one(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"


def _too_few(row: Mapping[str, Any]) -> str:
    unread = row["flights_unread"]
    return f"; too few: {unread} of {row['flights']} flights have no charge of this pack" if unread else ""


def _condition(view: PackView) -> list[Line]:
    row, time, heat = view.row, view.detail["standing_charge"], view.detail["temperature"]
    lines = [
        heading("What it has been through (u: how it was counted)"),
        fact("Hours, landings", f"{row['time_in_service_hours']:.1f} h, {row['landings']:g} landings"),
        fact(
            "Cycles",
            f"{row['equivalent_cycles_discharge']:.1f} by discharge, "
            f"{row['equivalent_cycles_half_sum']:.1f} by half-sum{_too_few(row)}",
        ),
        fact("SOH as read", _soh(row)),
        fact("Usable as flown", _flown(view.detail["capacity"])),
        fact("Above 90 % charge", f"{time['days_above_90_pct']:.1f} of {time['days_known']:.0f} days"),
        fact("Below 20 % charge", f"{time['days_below_20_pct']:.1f} of {time['days_known']:.0f} days"),
    ]
    if time["last_full_charge"]:
        lines.append(
            fact(
                "Last full charge",
                f"{time['last_full_charge'][:10]}, {time['days_since_full']:.0f} days and "
                f"{time['cycles_since_full']:.1f} cycles ago",
            )
        )
    if time["days_above_storage"]:
        lines.append(
            fact(
                "Parked too full",
                f"{time['days_above_storage']:.0f} days above {time['storage_soc_pct']:g} %",
            )
        )
    highest = "never read"
    if row["highest_temp_c"] is not None:
        highest = f"{view.measures.say(row['highest_temp_c'], '°C')} on {row['highest_temp_at'][:10]}"
    return [*lines, fact("Highest temperature", f"{highest}; {_edges(heat, view.measures)}")]


def _edges(heat: Row, measures: Measures) -> str:
    said = [
        f"{name} {measures.say(heat[f'{name}_c'], '°C')}"
        for name in ("caution", "limit")
        if heat[f"{name}_c"] is not None
    ]
    return ", ".join(said) or "no limit is stated"
