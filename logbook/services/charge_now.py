"""May this pack be charged now, and when will it be at so many percent?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from logbook.energy.charging_pace import ChargingPace, charging_paces, fillings_of
from logbook.energy.cooling import may_now
from logbook.energy.estimate import Estimate
from logbook.energy.ledger import last_known
from logbook.services.add import now as clock_now
from logbook.services.pack_beside import Beside
from logbook.services.pack_costs import charge_facts
from logbook.services.pack_heat import cooling, last_warmth
from logbook.services.pack_record import Fleet, PackRecord, read_fleet
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records
from logbook.units import instant_of, minutes_of

Row = dict[str, Any]
_OPEN_CHARGE_MIN: Final = 24 * 60
ASKED: Final = (80.0, 90.0, 100.0)
"""Charges that are answered for where nobody asks for others [%]."""


class Asked(NamedTuple):
    """What is known at the charger and not in the book yet; None is taken from the record.

    Attributes:
        at: the moment (UTC); None for now.
        soc_pct: charge now [%].
        temp_c: temperature of the pack now [°C].
        air_c: air where it stands [°C].
        charger: which charger.
        packs_together: how many packs share it.
        wanted: charges to answer for [%].
    """

    at: str | None = None
    soc_pct: float | None = None
    temp_c: float | None = None
    air_c: float | None = None
    charger: str | None = None
    packs_together: int | None = None
    wanted: Sequence[float] = ASKED


def charge_now(book: Book, serial_no: str, asked: Asked = Asked()) -> Row:  # noqa: B008 - a frozen tuple
    """May it be charged now, when it may, and when it will be at the charges asked for.

    Returns: `verdict` (yes, no, cannot tell), `words`, `grounded`, `temperature_c`, `when` (UTC) where it must wait,
        `soc_pct`, `charger`, `reaches`: for each charge low, mid and high instants (UTC), or why that cannot be told.

    Raises:
        DataRefused: the book knows no such pack.
    """
    newest = PackSweep(book, [serial_no]).newest() or ""
    at = minutes_of(
        asked.at or max(clock_now(), newest)
    )  # a book that is ahead of the clock is taken at its word
    fleet = read_fleet(book, _of_its_type(book, serial_no), instant_of(at))
    record = fleet.packs[serial_no]
    beside = Beside(book, [serial_no], instant_of(at), at)
    state, _, _ = beside.state(record)
    grounded = beside.grounded(record, state)
    may = _may(record, asked, at)
    return {
        "serial_no": serial_no,
        "at": instant_of(at),
        "grounded": grounded,
        **(_not_while_grounded(may) if grounded else may),
        **_reaches(record, fleet, asked, at),
    }


def _of_its_type(book: Book, serial_no: str) -> list[str]:
    """The pack and those of its part number: what one charger does, all packs of a type can teach."""
    found = Records(book, "pack").find(serial_no)
    part = None if found is None else found[1]["part_no"]
    if part is None:
        return [serial_no]
    rows = Records(book, "pack").select("part_no = ? AND struck = 0", (part,))
    return sorted({serial_no, *(row["serial_no"] for _, row in rows)})


def _may(record: PackRecord, asked: Asked, at: int) -> Row:
    limits = (record.figures["charge_min_temp_c"], record.figures["charge_max_temp_c"])
    warmth = last_warmth(record)
    if asked.temp_c is not None:
        read, age, air = asked.temp_c, 0.0, asked.air_c
    elif warmth is not None:
        read, age = warmth.value_c, float(max(at - warmth.at, 0))
        air = asked.air_c if asked.air_c is not None else warmth.air_c
    else:
        return {
            "verdict": "cannot tell",
            "words": "The temperature of this pack was never read: read it.",
            "temperature_c": None,
            "when": None,
        }
    answer = may_now(cooling(record), read, age, limits, air)
    wait = None if answer.when is None else answer.when.minutes
    return {
        "verdict": answer.verdict,
        "words": answer.words,
        "temperature_c": _span(answer.temperature_c),
        "when": None if wait is None else _instants(wait, at),
    }


def _not_while_grounded(may: Row) -> Row:
    """The answer for a pack that may not fly: a temperature within limits says nothing of what was wrong with it."""
    by_temperature = f"By temperature {may['verdict']}: {may['words']}"
    return may | {"verdict": "no", "words": f"not before what grounds the pack is ended. {by_temperature}"}


def _reaches(record: PackRecord, fleet: Fleet, asked: Asked, at: int) -> Row:
    soc, begun = asked.soc_pct, at
    running = record.charges[-1] if record.charges else None
    charging = (
        running is not None
        and running.ended is None
        and running.soc_start_pct is not None
        and 0 <= at - minutes_of(running.started) <= _OPEN_CHARGE_MIN
    )
    if soc is None and charging and running is not None:
        soc, begun = running.soc_start_pct, minutes_of(running.started)
    if soc is None:
        last = last_known(record.events, at)
        soc = None if last is None else last.soc_pct
    charger, together = _charger(record, fleet, asked)
    row: Row = {"soc_pct": soc, "charger": charger, "packs_together": together, "reaches": []}
    pace = _pace(fleet, charger, together)
    if soc is None or pace is None:
        row["pace_words"] = (
            "the charge of this pack was never read: read it"
            if soc is None
            else f"needs three charges of {_packs(together)} with {charger or 'this charger'} to know the pace"
        )
        return row
    row["pace_words"] = pace.minutes_to(0.0, 100.0).how
    if charging and asked.soc_pct is None:
        row["pace_words"] += f"; counted from the start of the charge at {instant_of(begun)[11:16]} UTC"
    row["reaches"] = [
        {"soc_pct": wanted, **_instants(pace.minutes_to(soc, wanted), begun)}
        for wanted in asked.wanted
        if wanted > soc
    ]
    return row


def _charger(record: PackRecord, fleet: Fleet, asked: Asked) -> tuple[str | None, int]:
    """The charger asked about or used last, and how many packs shared it then."""
    last = next(
        (one for one in reversed(record.charges) if asked.charger is None or one.charger == asked.charger),
        None,
    )
    charger = asked.charger if asked.charger is not None else (last.charger if last else None)
    if asked.packs_together is not None:
        return charger, asked.packs_together
    if last is None:
        return charger, 1
    together = sum(
        any(charge.charge_id == last.charge_id for charge in other.charges) for other in fleet.packs.values()
    )
    return charger, max(together, 1)


def _pace(fleet: Fleet, charger: str | None, together: int) -> ChargingPace | None:
    facts = [
        charge_facts(charge, fleet.minutes) for record in fleet.packs.values() for charge in record.charges
    ]
    return charging_paces(fillings_of(facts)).get((charger or "", together))


def _span(value: Estimate) -> Row:
    return {"low": value.low, "mid": value.mid, "high": value.high}


def _instants(wait: Estimate, since: int) -> Row:
    """Minutes from a moment as instants (UTC)."""
    ends = zip(("low", "mid", "high"), wait[:3], strict=True)
    return {name: instant_of(since + round(end)) for name, end in ends}


def _packs(together: int) -> str:
    return "one pack alone" if together == 1 else f"{together} packs together"


def in_words(answer: Row) -> list[str]:
    """The answer as sentences for a person."""
    lines = []
    if answer["grounded"]:
        lines.append(f"This pack may not fly: {answer['grounded']}.")
    lines.append(f"Charge now? {answer['verdict']}: {answer['words']}")
    soc = answer["soc_pct"]
    began = minutes_of(answer["at"])
    for reach in answer["reaches"]:
        if answer["verdict"] == "no":  # a clock time would read as if it could begin now
            low, mid, high = (str(max(minutes_of(reach[name]) - began, 0)) for name in ("low", "mid", "high"))
            lines.append(
                f"{reach['soc_pct']:g} % about {mid} min ({low} to {high}) after it may begin, from {soc:g} %"
            )
            continue
        low, mid, high = (reach[name][11:16] for name in ("low", "mid", "high"))
        lines.append(f"{reach['soc_pct']:g} % at about {mid} UTC ({low} to {high}), from {soc:g} %")
    lines.append(f"Pace: {answer['pace_words']}.")
    return lines
