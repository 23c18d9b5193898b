"""What Today says, line by line: what waits for somebody on one side, the state of everything on the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from logbook.services.ages import ago, due_in, overdue
from logbook.ui import theme
from logbook.ui.widgets.line_list import Line, Span, heading
from logbook.units import minutes_of

if TYPE_CHECKING:
    from logbook.measures import Measures
    from logbook.services.drafts import Draft
    from logbook.services.today import AircraftNow, PackNow, TodayView

SIGNS: Final = {severity: (f"{sign} ", tone) for severity, (sign, tone) in theme.SIGNS.items()}
BLANK: Final = Line()
BAR: Final = 8
"""Length of the bar of a pack's charge [cells]."""
_ONE_GAUGE: Final = "one gauge"
_WARM_MIN: Final = 12 * 60
"""So long a temperature tells something of the pack; after a night it is that of the hangar: common practice, no source."""


def today_lines(view: TodayView, drafts: list[Draft], now: str, state: list[Line], most: int) -> list[Line]:
    """Who is out, defects, unfinished entries, due items, the state of everything, flags and missing readings.

    Args:
        view: how things stand.
        drafts: unfinished entries.
        now: the present moment (UTC, stored form).
        state: the lines of the aeroplanes, where they stand in the same list; else empty.
        most: how many flags of flights, and of charges, are shown; the rest is in Flights and Charging.
    """
    blocks = [_out(view, now), _defects(view, now), _by_use(view), _drafts(drafts, now), _due(view, now)]
    if not any(blocks):
        blocks = [[Line((Span("Nobody is out, nothing is defective, nothing is due.", "grey"),))]]
    blocks += [
        state,
        _flags(view, most),
        _charge_flags(view, most),
        _upkeep_flags(view, most),
        _missing(view),
    ]
    return _joined([block for block in blocks if block])


def _joined(blocks: list[list[Line]]) -> list[Line]:
    found: list[Line] = []
    for block in blocks:
        found += [BLANK, *block] if found else block
    return found


def _out(view: TodayView, now: str) -> list[Line]:
    if not view.out:
        return []
    lines = [heading("Out now")]
    for flight in view.out:
        since = flight["off_blocks"]
        words = [flight["pilot"] or "pilot not named"]
        if flight["second_person"]:
            words[0] += f" with {flight['second_person']}"
        if flight["place_from"]:
            words.append(f"from {flight['place_from']}")
        words.append(
            f"since {_clock(since, flight, view)} ({ago(since, now)})"
            if since
            else f"opened for {flight['date']}"
        )
        back = flight["expected_back"]
        if back and flight["overdue"]:
            lines.append(
                Line(
                    (Span("‼ ", "error"), Span(f"{flight['aircraft']}  ")),
                    f"OVERDUE by {overdue(back, now)}, expected {_clock(back, flight, view)}: {', '.join(words)}",
                    "error",
                    ("out", flight["flight_id"]),
                )
            )
            continue
        words.append(f"expected back {_clock(back, flight, view)}" if back else "no time of return given")
        lines.append(
            Line(
                (Span("  "), Span(f"{flight['aircraft']}  ")),
                ", ".join(words),
                "",
                ("out", flight["flight_id"]),
            )
        )
    return lines


def _clock(instant: str, flight: dict[str, Any], view: TodayView) -> str:
    """A time of a flight that is out as the book shows times: UTC, or local where the flight began."""
    zone = (view.zones or {}).get(flight["place_from"] or "")
    if zone is None:
        return f"{instant[11:16]} UTC"
    from logbook.services.typed_time import clock_of

    return f"{clock_of(instant, zone)} local"


def _defects(view: TodayView, now: str) -> list[Line]:
    if not view.defects:
        return []
    lines = [heading("Defects")]
    for defect in view.defects:
        of = " ".join(str(defect[name]) for name in ("aircraft", "serial_no") if defect[name])
        deferred = defect["state"] == "deferred"
        until = defect["deferred_until"]
        state = "open" if not deferred else "deferred"
        if deferred and until:
            past = until < now[:10]
            state += f" until {until}, {due_in(until, now[:10])}" + (": NO LONGER VALID" if past else "")
        if defect["needs_inspection"]:
            state += ", inspection before next use"
        sign = SIGNS["check" if deferred else "serious"]
        lines.append(
            Line(
                (Span(*sign), Span(f"{of}  ")),
                f"{state}: {defect['text']}",
                "",
                ("defect", defect["defect_id"]),
            )
        )
    return lines


def _drafts(drafts: list[Draft], now: str) -> list[Line]:
    lines = [
        Line(
            (Span("… ", "accent"),),
            f"{draft.about or draft.kind}, {ago(draft.changed, now)}",
            "",
            ("draft", draft),
        )
        for draft in drafts
    ]
    return [heading("Unfinished entries (Enter goes on)"), *lines] if lines else []


def _flags(view: TodayView, most: int) -> list[Line]:
    if not view.flags:
        return []
    flights = _flights(view.flagged, view)
    lines = [heading(f"Flags without an answer: {flights}")]
    for flight_id, day, aircraft, severity, words in view.flags[:most]:
        lines.append(
            Line(
                (Span(*SIGNS[severity]), Span(f"{day} {aircraft}  ")),
                words,
                "",
                ("flight", flight_id),
            )
        )
    if view.flagged > len({flag[0] for flag in view.flags[:most]}):
        lines.append(Line((Span("  "),), "… all of them in Flights", "grey", ("flagged", "any")))
    return lines


def _flights(count: int, view: TodayView) -> str:
    """How many flights, in words."""
    if count > view.counted:
        return f"more than {view.counted} flights"
    return "1 flight" if count == 1 else f"{count} flights"


def _charge_flags(view: TodayView, most: int) -> list[Line]:
    found = view.charges
    if found is None or not found.flags:
        return []
    charges = "1 charge" if found.sessions == 1 else f"{found.sessions} charges"
    among = "" if found.looked_at is None else f" of the newest {found.looked_at}"
    lines = [heading(f"Flags without an answer: {charges}{among}")]
    for flag in found.flags[:most]:
        head = (Span(*SIGNS[flag.severity]), Span(f"{flag.day}  "))
        lines.append(Line(head, view.measures.sentence(flag.words), "", ("charge", flag.charge_id)))
    if len(found.flags) > most:
        lines.append(Line((Span("  "),), "… all of them in Charging", "grey", ("go", "charging")))
    return lines


def _upkeep_flags(view: TodayView, most: int) -> list[Line]:
    """Flags of observations and maintenance entries."""
    found = view.charges.upkeep if view.charges is not None else ()
    if not found:
        return []
    lines = [heading(f"Flags without an answer: {len(found)} of observations and entries")]
    for flag in found[:most]:
        head = (Span(*SIGNS[flag.severity]), Span(f"{flag.day}  "))
        lines.append(Line(head, flag.words, "", (flag.kind, flag.record_id)))
    if len(found) > most:
        lines.append(Line((Span("  "),), "… all of them in Maintenance", "grey", ("go", "maintenance")))
    return lines


def _missing(view: TodayView) -> list[Line]:
    count = view.missing[0]
    if not count:
        return []
    words = f"{_flights(count, view)} {'has' if count == 1 else 'have'} no charge before or after; the next charge may tell. See them in Flights."
    return [
        heading("Missing readings"),
        Line((Span("· ", "grey"),), words, "", ("flagged", "readings_missing")),
    ]


def _by_use(view: TodayView) -> list[Line]:
    """What is past its hours or cycles, or has few left."""
    if not view.by_use:
        return []
    from logbook.services.upkeep_words import left_words

    lines = []
    for item in view.by_use:
        past = item["remaining"] <= 0
        what = f"{item['what'].removesuffix(', expected')} of {item['of']}"
        words = f"{'PAST DUE: ' if past else ''}{what}: {left_words(item)}"
        sign = SIGNS["serious" if past else "check"]
        lines.append(Line((Span(*sign),), words, "error" if past else "", (item["kind"], item["id"])))
    return [heading("Runs out by use"), *lines]


def _due(view: TodayView, now: str) -> list[Line]:
    lines = []
    shown = {defect["defect_id"] for defect in view.defects}
    for item in view.due:
        if item["id"] in shown:
            continue  # stands above, with its day
        past = item["due"] < now[:10]
        sign = SIGNS["check" if past else "note"]
        when = f"{item['due']}, {due_in(item['due'], now[:10])}"
        words = f"{item['what']} of {item['of']}" if item["of"] else item["what"]
        state = f"PAST: {words}, {when}" if past else f"{words}, {when}"
        lines.append(Line((Span(*sign),), state, "warning" if past else "", (item["kind"], item["id"])))
    return [heading("Due within thirty days"), *lines] if lines else []


def state_lines(view: TodayView, now: str) -> list[Line]:
    """Each aeroplane with its packs, by the latest record."""
    blocks = [_aeroplane(aircraft, now, view.measures) for aircraft in view.aircraft]
    return _joined(blocks)


def _aeroplane(aircraft: AircraftNow, now: str, measures: Measures) -> list[Line]:
    words = [aircraft.type] if aircraft.type else []
    if aircraft.out:
        words.append("out")
    if aircraft.defects:
        words.append("1 defect" if aircraft.defects == 1 else f"{aircraft.defects} defects")
    head = (Span(aircraft.registration, "heading"), Span("  "))
    lines = [Line(head, ", ".join(words), "grey", ("aircraft", aircraft.registration))]
    wide = max((len(pack.position) for pack in aircraft.packs), default=0)
    serial = max((len(pack.serial_no or _ONE_GAUGE) for pack in aircraft.packs), default=0)
    for pack in aircraft.packs:
        name = f"{pack.position:<{wide}} {pack.serial_no or _ONE_GAUGE:<{serial}}  "
        where = ("pack", pack.serial_no) if pack.serial_no else ("aircraft", aircraft.registration)
        lines.append(Line(*_pack(pack, name, now, measures), where))
    return lines


def _pack(pack: PackNow, name: str, now: str, measures: Measures) -> tuple[tuple[Span, ...], str, str]:
    """Head, words and tone of a pack's line."""
    reading = pack.reading
    if pack.grounded:
        return (Span("‼ ", "error"), Span(name)), f"GROUNDED: {pack.grounded}", "error"
    if reading.soc_pct is None:
        return (Span("  "), Span(name)), "never read", "grey"
    full = int(reading.soc_pct / 100 * BAR)
    bar = (Span("━" * full, "accent"), Span("─" * (BAR - full), "grey"))
    age = "before start" if pack.before_start else ago(reading.soc_at, now) if reading.soc_at else ""
    details = [age] if age else []
    if reading.soh_pct is not None:
        details.append(f"SOH {reading.soh_pct:g} %")
    details += _warmth(pack, now, measures)
    head = (Span("  "), Span(name), *bar, Span(f" {reading.soc_pct:3.0f} %  "))
    return head, "  ".join(details), "grey"


def _warmth(pack: PackNow, now: str, measures: Measures) -> list[str]:
    """The temperature while it still tells something, with its own age; the age of the charge says nothing of it."""
    reading = pack.reading
    if reading.temp_c is None:
        return []
    words = measures.say(reading.temp_c, "°C")
    if pack.before_start or reading.temp_at is None:
        return [words] if pack.before_start else []
    if minutes_of(now) - minutes_of(reading.temp_at) > _WARM_MIN:
        return []
    return [words if reading.temp_at == reading.soc_at else f"{words} {ago(reading.temp_at, now)}"]


def empty_lines() -> list[Line]:
    """What to do with a book that holds no flight yet."""
    steps: list[tuple[str, str, Any]] = [
        ("l", "log the first flight", ("go", "log")),
        ("n", "plan one: it starts from the handbook's figures, if Setup has them", ("go", "plan")),
        ("s", "aeroplanes, packs, people, places, units and looks", ("go", "setup")),
    ]
    lines = [heading("The book holds no flight yet")]
    return lines + [Line((Span(f"{key}  ", "accent"),), words, "", target) for key, words, target in steps]
