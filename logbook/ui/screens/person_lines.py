"""One person, line by line: what they hold, what they may do by the record, what waits, what they flew."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from logbook.measures import TIME, Measures, time_words
from logbook.rules.recency import UNKNOWN_SCOPE
from logbook.services.ages import due_in
from logbook.ui.widgets.line_list import Line, Span, heading
from logbook.units import plain_number

if TYPE_CHECKING:
    from logbook.services.people_desk import PersonView

Row = Mapping[str, Any]
BLANK: Final = Line()
CAUTION: Final = "The rules in force, the licensing authority and the instructor decide; this counts what was written down."
SOON_DAYS: Final = 30

_STATES: Final = {
    "current": ("current", "success"),
    "lapsed": ("LAPSED", "warning"),
    "never": ("not yet", "grey"),
    "void": ("not needed", "grey"),
}
_LIMITS: Final = (
    ("aircraft", "only {}"),
    ("place", "at {}"),
    ("limit_wind_kt", "wind to {} kt"),
    ("limit_departure_soc_pct", "depart with {} % or more"),
    ("limit_landing_soc_pct", "land with {} % or more"),
    ("limit_minutes", "to {} min"),
)


def held_lines(view: PersonView) -> list[Line]:
    """Items with when they end and their limits, what waits, recency by rule."""
    return [*_items(view), BLANK, *_work(view), BLANK, *_recency(view)]


def beside_lines(view: PersonView) -> list[Line]:
    """The items, and of each rule only whether it is kept and until when: what stands beside a list."""
    lines = [line for line in _items(view) if line.target is None or line.target[0] != "add"]
    lines += [BLANK, heading(f"Recency on {view.today}")]
    for row in view.standings:
        word, tone = _STATES[row["state"]]
        if row["state"] in ("current", "lapsed"):
            lines.append(
                Line((Span(f"{word:<9}", tone),), f"{row['valid_until']} {row['title']}{_scope(row)}")
            )
    others = sum(row["state"] not in ("current", "lapsed") for row in view.standings)
    return [*lines, Line(body=f"{others} rules not yet begun, or not needed (Enter shows all)", tone="grey")]


def flown_lines(view: PersonView) -> list[Line]:
    """Totals, and the record itself."""
    return [*_totals(view.totals, view.measures), BLANK, *_record(view.shown)]


# -- items -----------------------------------------------------------------------------------------------------------


def _items(view: PersonView) -> list[Line]:
    lines = [heading("Held, and until when")]
    shown = [item for item in view.items if item["item_id"] in view.newest]
    lines += [_item(item, view.today) for item in sorted(shown, key=lambda item: item["valid_until"] or "9")]
    if not shown:
        lines.append(Line(body="Nothing is written down.", tone="grey"))
    older = len(view.items) - len(shown)
    if older:
        lines.append(Line(body=f"{older} older, replaced by a newer one of the same kind", tone="grey"))
    lines.append(Line((Span("+ ", "accent"),), "Add one (a)", "", ("add", "")))
    return lines


def _item(item: Row, today: str) -> Line:
    until = item["valid_until"]
    past = until is not None and until < today
    near = until is not None and not past and _days(until, today) <= SOON_DAYS
    sign = ("! ", "warning") if past else ("· ", "accent") if near else ("  ", "")
    words = [item["item"]]
    if until is None:
        words.append("no end written down")
    else:
        words.append(f"{'PAST: ' if past else ''}until {until}, {due_in(until, today)}")
    words += [form.format(_plain(item[name])) for name, form in _LIMITS if item[name] not in (None, "")]
    if item["valid_from"] and (item["valid_from"] > today or until is None):
        words.append(f"from {item['valid_from']}")
    if item["issued_by"]:
        words.append(f"by {item['issued_by']}")
    if item["text"]:
        words.append(item["text"])
    return Line((Span(*sign),), "; ".join(words), "warning" if past else "", ("person-item", item["item_id"]))


def _days(day: str, today: str) -> int:
    from datetime import date

    return (date.fromisoformat(day) - date.fromisoformat(today)).days


def _plain(value: Any) -> str:
    return plain_number(value) if isinstance(value, (int, float)) else str(value)


# -- what waits ------------------------------------------------------------------------------------------------------


def _work(view: PersonView) -> list[Line]:
    waiting = view.waiting
    entries = "1 entry waits" if waiting == 1 else f"{waiting or 'no'} entries wait"
    return [
        heading("The record"),
        Line((Span("> ", "accent"),), "Flights: charge at landing, estimates, flags, progress (F3)", "", ("history", "")),
        Line((Span("> ", "accent"),), f"Countersign: {entries} for a signature (k)", "", ("sign", "")),
        Line((Span("> ", "accent"),), "Write the pages of the record to a file (z)", "", ("pages", "")),
    ]  # fmt: skip


# -- recency ---------------------------------------------------------------------------------------------------------


def _recency(view: PersonView) -> list[Line]:
    lines = [heading(f"Recency on {view.today}")]
    order = {"current": 0, "lapsed": 1, "never": 2, "void": 3}
    lines += [_standing(row) for row in sorted(view.standings, key=lambda row: order[row["state"]])]
    if not view.standings:
        lines.append(Line(body="No rule is in force in this book.", tone="grey"))
    return [*lines, Line(body=CAUTION, tone="grey")]


def _scope(row: Row) -> str:
    """The class or type a rule is about; where the aeroplane's record says none, that is said."""
    scope = row["scope"]
    return f", {'class not written down' if scope == UNKNOWN_SCOPE else scope}" if scope else ""


def _standing(row: Row) -> Line:
    word, tone = _STATES[row["state"]]
    said = row["words"]
    for repeated in ("Current, ", "Lapsed, ", "Not yet. "):
        said = said.removeprefix(repeated)
    words = f"{row['title']}{_scope(row)} [{row['rule']}]: {said}"
    if row["state"] == "current" and row["stricter_until"] and row["stricter_until"] not in said:
        words += f" Who counts the day itself too stops on {row['stricter_until']}."
    target = ("flight", row["kept_by"]) if row["flight"] else None
    return Line((Span(f"{word:<11}", tone),), words, "", target)


# -- totals ----------------------------------------------------------------------------------------------------------


_WRITTEN_DOWN = (
    ("under IFR", "ifr_min", "as written down"),
    ("actual instrument", "instrument_min", "as written down"),
    ("simulated instr.", "simulated_min", "as written down, devices included"),
    ("ground training", "ground_min", "not in the total"),
)


def _totals(totals: Row, measures: Measures) -> list[Line]:
    def time(minutes: float) -> str:
        return measures.figure(minutes, TIME)

    before, whole = totals["brought_forward"], totals["with_brought_forward"]
    lines = [heading(f"Totals, block time in {time_words(measures)}")]
    for label, name in (
        ("total", "total_min"),
        ("pilot in command", "pic_min"),
        ("dual", "dual_min"),
        ("instructor", "instructor_min"),
        ("by night", "night_min"),
    ):
        lines.append(_sum(label, time(whole[name]), _forward(before.get(name), time)))
    day = whole["total_min"] - whole["night_min"]
    if not totals["night_unknown"]:
        lines.insert(-1, _sum("by day", time(day)))
    else:
        note = f"night unknown for {totals['night_unknown']} flights: places without coordinates"
        lines.append(Line(body=note, tone="grey"))
    lines.append(_sum("landings by day", plain_number(whole["landings_day"]), _forward(before.get("landings_day"), plain_number)))  # fmt: skip
    lines.append(_sum("landings by night", plain_number(whole["landings_night"]), _forward(before.get("landings_night"), plain_number)))  # fmt: skip
    lines.append(_sum("flights in this book", plain_number(totals["flights"]), f"the last on {totals['last_flight']}" if totals["last_flight"] else ""))  # fmt: skip
    if totals["device_sessions"]:
        note = f"in {totals['device_sessions']} sessions, not in the total"
        lines.append(_sum("training devices", time(totals["device_min"]), note))
    lines += [_sum(label, time(totals[name]), note) for label, name, note in _WRITTEN_DOWN if totals[name]]
    lines += _split("By function, this book", totals["by_function"], time)
    lines += _split("By class, this book", totals["by_class"], time)
    lines += _split("By type, this book", totals["by_type"], time)
    return lines


def _forward(value: float | None, said: Any) -> str:
    return f"of these {said(value)} brought forward" if value else ""


def _sum(label: str, value: str, note: str = "") -> Line:
    return Line((Span(f"{label:<21}", "grey"), Span(f"{value:>7}  ")), note, "grey")


def _split(title: str, parts: Mapping[str, float], time: Callable[[float], str]) -> Iterable[Line]:
    if not parts:
        return []
    rows = sorted(parts.items(), key=lambda part: -part[1])
    return [
        Line((Span(title, "grey"),)),
        *(Line((Span(f"{time(minutes):>9}  "),), name) for name, minutes in rows),
    ]


# -- the record -------------------------------------------------------------------------------------------------------


def _record(shown: Row) -> list[Line]:
    lines = [heading("Written down of the person")]
    for label, name in (
        ("role", "role_text"),
        ("licence number", "licence_no"),
        ("address", "address"),
        ("e-mail", "email"),
    ):
        value = shown.get(name)
        if value:
            lines.append(Line((Span(f"{label:<16}", "grey"),), str(value)))
    if not shown.get("licence_no"):
        lines.append(Line(body="No licence number: the pages of the record want one (e).", tone="grey"))
    return lines
