"""A flight as a sheet to read: recorded, derived, flagged, answered and changed, in lines with units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final, NamedTuple

from logbook.measures import TIME, USUAL, Measures, quantity_of
from logbook.rules.flag import SIGNS, Flag
from logbook.services.flight_words import FLIGHT_FIELDS
from logbook.services.record_form import as_typed
from logbook.services.rule_words import what_to_do
from logbook.services.typed_time import zone_named
from logbook.units import down, plain_number

Flight = Mapping[str, Any]

_TONES: Final = {"serious": "error", "check": "warning", "note": "grey"}
_ELSEWHERE: Final = frozenset({
    "date", "outcome", "state", "off_blocks", "takeoff", "landing", "on_blocks", "place_from", "place_to", "pilot",
    "function", "second_person", "second_function", "remarks", "debrief", "kind",
    "off_blocks_source", "takeoff_source", "landing_source", "on_blocks_source",
})  # fmt: skip
"""Fields that stand in a block of their own making; all others are listed with their plain names."""


class SheetLine(NamedTuple):
    """Label, figure, unit, remark, and the tone of the last two."""

    label: str
    value: str = ""
    unit: str = ""
    note: str = ""
    tone: str = ""


class Block(NamedTuple):
    """Lines under a heading; words are a text of several lines instead."""

    heading: str
    lines: tuple[SheetLine, ...] = ()
    words: str = ""


def recorded(flight: Flight, zone: str, measures: Measures = USUAL) -> list[Block]:
    """What somebody wrote down.

    Args:
        flight: as `questions.show` gives it.
        zone: the zone of the place, shown beside UTC; `UTC` where none is known.
        measures: the units figures are shown in.
    """
    blocks = [
        Block("Flight", tuple(_flight_lines(flight, measures))),
        Block("Times", tuple(_times(flight, zone))),
    ]
    blocks += [_reading(reading, measures) for reading in flight["readings"]]
    if not flight["readings"]:
        blocks.append(Block("Readings", (SheetLine("No pack was read on this flight."),)))
    blocks.append(Block("Also written down", tuple(_others(flight, measures))))
    blocks += [Block(f"Part of {row['person']}", tuple(_crew(row))) for row in flight["crew"]]
    blocks += [
        Block(title, words=flight[name])
        for name, title in (("remarks", "Remarks"), ("debrief", "Debrief"))
        if flight[name]
    ]
    return [block for block in blocks if block.lines or block.words]


def glance(flight: Flight, measures: Measures = USUAL) -> str:
    """The flight in one line: what it cost, and whether anything was wrong."""
    found = flight["derived"]
    parts = []
    if found["block_min"] is not None:
        parts.append(f"{measures.say(found['block_min'], TIME)} block")
    if found["energy_kwh"] is not None:
        spread = f"{found['energy_kwh_low']:.1f} to {found['energy_kwh_high']:.1f}"
        parts.append(f"{found['energy_kwh']:.1f} kWh ({spread})")
    if found["landing_soc_pct"] is not None:
        parts.append(f"landed with {plain_number(found['landing_soc_pct'])} %")
    if found["minutes_left"] is not None:
        parts.append(f"{found['minutes_left']:.0f} min left at {found['minutes_left_at_kw']:g} kW")
    waiting = [flag for flag in flight["flags"] if not flag["answered"]]
    if waiting:
        count = "1 flag" if len(waiting) == 1 else f"{len(waiting)} flags"
        parts.append(
            f"{SIGNS[waiting[0]['severity']]} {count} without an answer: {measures.sentence(waiting[0]['words'])}"
        )
    elif flight["state"] == "closed":
        parts.append("ok: no flag")
    return " · ".join(parts)


def derived(flight: Flight) -> list[Block]:
    """What follows from the record; low to high is meant to hold the truth nine times in ten."""
    found = flight["derived"]
    lines = [_span("Energy", found, "energy_kwh", 2, "kWh")]
    if found["energy_kwh_per_min"] is not None:
        per_minute = _span("per minute of air time", found, "energy_kwh_per_min", 3, "kWh/min")
        lines.append(per_minute._replace(note=f"{per_minute.note}; a record, not a planning rate"))
    if found["landing_soc_pct"] is not None:
        one = all(reading["serial_no"] is None for reading in flight["readings"])
        lines.append(
            SheetLine(
                "Landed with" if one else "Weaker pack landed with",
                plain_number(found["landing_soc_pct"]),
                "%",
            )
        )
    if found["minutes_left"] is not None:
        left = _span("Minutes left", found, "minutes_left", 0, "min")
        lines.append(left._replace(note=f"{left.note}, at {found['minutes_left_at_kw']:g} kW"))
    if found["final_reserve_rule"]:
        lines.append(SheetLine("Compared with", found["final_reserve_rule"]))
    if found["how"]:
        lines.append(SheetLine("Made from", found["how"]))
    blocks = [Block("What follows from it (low to high: nine times in ten)", tuple(lines))]
    for reading in flight["readings"]:
        own = reading["derived"]
        if own["usable_kwh"] is not None:
            name = reading["serial_no"] or "Aeroplane"
            blocks.append(
                Block(
                    f"Energy of {name}",
                    (
                        _span("Energy", own, "energy_kwh", 2, "kWh"),
                        _span("Usable capacity then", own, "usable_kwh", 2, "kWh"),
                        SheetLine("Made from", own["how"]),
                    ),
                )
            )
    return blocks


def _span(label: str, row: Mapping[str, Any], name: str, digits: int, unit: str) -> SheetLine:
    if row[name] is None:
        return SheetLine(label, "cannot be told", "", "a charge or the capacity is not known", "grey")
    low, high = row[f"{name}_low"], row[f"{name}_high"]
    return SheetLine(label, f"{row[name]:.{digits}f}", unit, f"{low:.{digits}f} to {high:.{digits}f}")


def flags(flight: Flight, measures: Measures = USUAL) -> Block:
    """What the rules found: sign and word of severity, the words, what to do, and who answered."""
    lines: list[SheetLine] = []
    for flag in flight["flags"]:
        sign = SIGNS[flag["severity"]]
        tone = "" if flag["answered"] else _TONES[flag["severity"]]
        lines.append(SheetLine(f"{sign} {flag['severity']}", "", "", measures.sentence(flag["words"]), tone))
        if not flag["answered"]:
            lines.append(SheetLine("  what to do", "", "", f"{what_to_do(flag['rule'])} Answer it with w."))
        lines += _answers(flight, flag)
    if not lines:
        return Block("Flags", (SheetLine("ok: no rule found anything."),))
    open_flags = sum(not flag["answered"] for flag in flight["flags"])
    return Block(f"Flags: {open_flags} of {len(flight['flags'])} without an answer", tuple(lines))


def _answers(flight: Flight, flag: Mapping[str, Any]) -> list[SheetLine]:
    # A rule may have found two things in one record: an answer for the figures of the other is none for this one.
    others = {_fingerprint(one) for one in flight["flags"]} - {_fingerprint(flag)}
    mine = [
        answer
        for answer in flight["answers"]
        if answer["rule"] == flag["rule"]
        and (answer["serial_no"] or "") == flag["serial_no"]
        and (answer["rule"], flag["serial_no"], answer["figures"]) not in others
    ]
    heading = "  answered" if flag["answered"] else "  answered before its figure changed"
    return [
        SheetLine(
            heading,
            "",
            "",
            f"{answer['words']} ({answer['by_whom'] or 'nobody named'}, {as_typed(answer['at'])} UTC)",
        )
        for answer in mine
    ]


def _fingerprint(flag: Mapping[str, Any]) -> tuple[str, str, str]:
    made = Flag(flag["rule"], flag["severity"], flag["words"], flag["figures"])
    return flag["rule"], flag["serial_no"], made.fingerprint


def forecast(flight: Flight, rows: Sequence[Mapping[str, Any]]) -> Block:
    """What the forecast from earlier flights alone would have been, beside what happened.

    Args:
        flight: as `questions.show` gives it.
        rows: of `desk.forecasts`; those of other flights are left out.
    """
    lines = []
    for row in rows:
        if row["flight_id"] != flight["flight_id"]:
            continue
        inside = row["low"] <= row["actual"] <= row["high"]
        verdict = "ok, inside" if inside else "OUTSIDE the interval"
        note = f"forecast {row['mid']:.0f} ({down(row['low'])} to {row['high']:.0f}) %: {verdict}"
        lines.append(
            SheetLine(
                f"{row['serial_no']} landed with",
                plain_number(row["actual"]),
                "%",
                note,
                "" if inside else "warning",
            )
        )
    if not lines:
        lines = [SheetLine("No forecast: a charge is missing, or it was not flown.")]
    return Block("Forecast from earlier flights, given what was flown", tuple(lines))


def _flight_lines(flight: Flight, measures: Measures) -> list[SheetLine]:
    found = flight["derived"]
    what = flight["outcome"] if flight["outcome"] != "flown" else (flight["kind"] or "kind not written down")
    lines = [
        SheetLine(
            "Day",
            flight["date"],
            "",
            "open: not yet closed after landing" if flight["state"] == "open" else "",
        ),
        SheetLine("Aeroplane", flight["aircraft"]),
        SheetLine("What", what),
        SheetLine("From, to", f"{flight['place_from'] or '?'} - {flight['place_to'] or '?'}"),
        SheetLine("Pilot", _person(flight["pilot"], flight["function"])),
    ]
    if flight["second_person"]:
        lines.append(SheetLine("Second", _person(flight["second_person"], flight["second_function"])))
    for name, label in (("block_min", "Block time"), ("air_min", "Air time")):
        if found[name] is not None:
            lines.append(SheetLine(label, measures.say(found[name], TIME)))
    if found["meter_h"] is not None:
        lines.append(SheetLine("Meter time", f"{plain_number(found['meter_h'])} h"))
    return lines


def _person(name: str | None, function: str | None) -> str:
    return ", ".join(part for part in (name or "not written down", function) if part)


_FROM: Final = {"track": "taken from a track", "recorder": "taken from a recording of the aeroplane"}


def _times(flight: Flight, zone: str) -> list[SheetLine]:
    local = zone_named(zone)
    lines = []
    for name, label, _ in FLIGHT_FIELDS:
        if name not in ("off_blocks", "takeoff", "landing", "on_blocks") or not flight[name]:
            continue
        moment = datetime.fromisoformat(flight[name])
        notes = [f"{moment.astimezone(local):%H:%M} local"] if local and zone != "UTC" else []
        notes += [_FROM[flight[f"{name}_source"]]] if flight[f"{name}_source"] else []
        other_day = f" ({flight[name][:10]})" if flight[name][:10] != flight["date"] else ""
        lines.append(SheetLine(label.capitalize(), flight[name][11:16], f"UTC{other_day}", ", ".join(notes)))
    return lines


def _reading(reading: Mapping[str, Any], measures: Measures) -> Block:
    own = reading["derived"]
    where = f", {own['position']}" if own.get("position") else ""
    serial = reading["serial_no"]
    name = f"Pack {serial}" if serial else "The whole aeroplane, one gauge"
    lines = []
    for keys, label, unit in (
        (("soc_departure_pct", "soc_takeoff_pct", "soc_touchdown_pct", "soc_landing_pct"), "Charge", "%"),
        (("temp_departure_c", "temp_max_c", "temp_landing_c"), "Temperature", "°C"),
    ):
        known = [(key, reading[key]) for key in keys if reading[key] is not None]
        if known:
            words = "  ".join(f"{_WHEN[key]} {measures.figure(value, unit)}" for key, value in known)
            lines.append(SheetLine(label, f"{words} {measures.unit_after(unit)}"))
    if own["soc_used_pct"] is not None:
        lines.append(SheetLine("Used", plain_number(own["soc_used_pct"]), "%"))
    if reading["soh_pct"] is not None:
        lines.append(SheetLine("State of health", plain_number(reading["soh_pct"]), "% as indicated"))
    if reading["source"] != "read":
        lines.append(SheetLine("Source", reading["source"]))
    return Block(f"{name}{where}", tuple(lines or [SheetLine("Not read.")]))


_WHEN: Final = {
    "soc_departure_pct": "before", "soc_takeoff_pct": "take-off", "soc_touchdown_pct": "touchdown",
    "soc_landing_pct": "after", "temp_departure_c": "before", "temp_max_c": "highest", "temp_landing_c": "after",
}  # fmt: skip


def _others(flight: Flight, measures: Measures) -> list[SheetLine]:
    lines = []
    for name, label, unit in FLIGHT_FIELDS:
        value = flight[name]
        if name in _ELSEWHERE or value is None or value == "":
            continue
        quantity = quantity_of(name)
        if quantity:
            shown, unit = measures.figure(value, quantity), measures.unit_after(quantity)  # noqa: PLW2901 - as shown
        else:
            shown = f"{as_typed(value)}{' UTC' if name == 'expected_back' else ''}"
        lines.append(SheetLine(label[:1].upper() + label[1:], shown, unit))
    if flight["entered_at"]:
        lines.append(
            SheetLine(
                "Entered", f"{as_typed(flight['entered_at'])} UTC", "", flight["entered_by"] or "nobody named"
            )
        )
    return lines


def _crew(row: Mapping[str, Any]) -> list[SheetLine]:
    words = {"handled": "had the controls"}
    return [
        SheetLine(words.get(name, name.replace("_", " ")), "yes" if name == "handled" else as_typed(value))
        for name, value in row.items()
        if name != "person" and value not in (None, "", 0)
    ]
