"""Entering a charge: one session for the packs of an aeroplane or for one pack, with one meter or one each.

As on the flight form, what is expected stands beside the field and enters the record only when typed or confirmed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from logbook.errors import DataRefused
from logbook.measures import USUAL, Measures
from logbook.services import typed_time
from logbook.services.charge_fields import (
    AS_BEFORE,
    SESSION,
    TIMES,
    ChargeForm,
    pack_fields,
    session_fields,
)
from logbook.services.charging import OF_A_PACK, OF_THE_SESSION, record_session
from logbook.services.flight_fields import Field, Slot
from logbook.services.flight_form import Values, taken
from logbook.services.liked_units import presented, typed_in
from logbook.services.money import currency_of, priced
from logbook.services.typed import Meaning
from logbook.services.typed_time import Clock
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import to_cell

if TYPE_CHECKING:
    from logbook.services.charge_now import Asked

Row = dict[str, Any]


def subjects(book: Book) -> list[tuple[str, str]]:
    """What can be charged: aeroplanes with packs, then packs that are fitted nowhere; value and words."""
    facts = BookFacts(book)
    planes = [(name, packs) for name in facts.fleet() if (packs := facts.fitted_now(name))]
    fitted = {serial for _, packs in planes for serial, _ in packs}
    stored = [
        row["serial_no"]
        for _, row in Records(book, "pack").select("struck = 0", order="serial_no")
        if row["serial_no"] not in fitted and row["state"] != "scrapped"
    ]
    return [(name, name) for name, _ in planes] + [(serial, f"pack {serial}") for serial in stored]


def packs_of(book: Book, subject: str) -> tuple[Slot, ...]:
    """The packs of an aeroplane now, or the pack itself."""
    fitted = BookFacts(book).fitted_now(subject)
    return tuple(Slot(serial, position) for serial, position in fitted) or (Slot(subject, ""),)


def charge_form(
    book: Book,
    subject: str,
    clock: Clock,
    running: Mapping[str, Any] | None = None,
    *,
    measures: Measures = USUAL,
    now: Callable[[], str] = typed_time.never,
) -> ChargeForm:
    """The form for a charge, with what the record lets one expect.

    Args:
        book: the open book.
        subject: an aeroplane, or one pack by its serial number.
        clock: day and zone.
        running: the session as `services.questions.show` gives it, if it is in the book already and is ended now.
        measures: the units figures are typed in.
        now: what time it is (UTC, stored form).
    """
    currency = currency_of(book)
    facts = BookFacts(book)
    slots = packs_of(book, subject)
    if running is not None:
        places = {slot.serial_no: slot.position for slot in slots}
        slots = tuple(Slot(row["serial_no"], places.get(row["serial_no"], "")) for row in running["packs"])
    last = _last_charge(book, [slot.serial_no for slot in slots])
    fields = session_fields(last, one_meter=len(slots) > 1)
    for slot in slots:
        expected = facts.last_reading(slot.serial_no).soc_pct
        fields += pack_fields(slot.serial_no, to_cell(expected), own_meter=len(slots) > 1)
    fields.append(
        Field("text", "Remarks", part=SESSION, hint="anything worth knowing; Tab goes on", long=True)
    )
    told = tuple(priced(presented(fields, measures, exact=False), currency))
    return ChargeForm(subject, clock, told, slots, measures, currency, now)


def _last_charge(book: Book, serials: list[str]) -> Mapping[str, Any]:
    numbers = [n for serial in serials if (n := book.keys.find("pack", serial)) is not None]
    marks = ",".join("?" * len(numbers))
    for _, row in Records(book, "charge").select(
        f"serial_no IN ({marks}) AND struck = 0", tuple(numbers), "started DESC", 1
    ):
        return row
    return {}


def meanings(form: ChargeForm, values: Values) -> dict[str, Meaning]:
    """What each filled field means."""
    return {name: form.reader(name, values)(text) for name in form.names if (text := taken(values, name))}


def as_before(form: ChargeForm, values: Values) -> dict[str, tuple[str, str]]:
    """Charger, place and purpose as last time, confirmed, where nothing stands yet."""
    return {
        field.name: (field.expected, "confirmed")
        for field in form.fields
        if field.name in AS_BEFORE and field.expected and values.get(field.name, ("", "empty"))[1] == "empty"
    }


def save_charge(
    book: Book,
    form: ChargeForm,
    values: Values,
    charge_id: str,
    *,
    closing: bool,
    by: str | None,
    clock: Callable[[], str],
    seen: int | None = None,
) -> None:
    """Records the session, or writes the end of one that is running.

    `seen` is the token under which a session that is in the book was read: it must not have changed since.

    Raises:
        ChangedMeanwhile: somebody else changed it; nothing is written.
        DataRefused: it contradicts itself, or no pack takes part; `field` names where.
    """
    read = meanings(form, values)
    for field in form.fields:
        if field.name in read and read[field.name].problem:
            raise DataRefused(
                f"{field.label}: {read[field.name].problem}.",
                next_step="Correct the field.",
                field=field.name,
            )
    session: Row = {name: read[name].value for name in OF_THE_SESSION if name in read}
    packs: dict[str, Row] = {}
    for slot in form.packs:
        mine = {
            name: read[f"{slot.serial_no}.{name}"].value
            for name in OF_A_PACK
            if f"{slot.serial_no}.{name}" in read
        }
        if mine:
            packs[slot.serial_no] = mine
    if "started" not in session:
        raise DataRefused("A charge needs the time it began.", next_step="Type it.", field="started")
    if closing:
        _change(book, form, (session, packs), charge_id, by=by, seen=seen)
        return
    if not packs:
        first = f"{form.packs[0].serial_no}.soc_start_pct"
        raise DataRefused(
            "No pack was charged.", next_step="Type the charge of a pack before or after.", field=first
        )
    rows = [{"serial_no": serial, **mine} for serial, mine in packs.items()]
    record_session(book, session | {"charge_id": charge_id}, rows, by=by, clock=clock)


def _change(
    book: Book,
    form: ChargeForm,
    read: tuple[Row, Mapping[str, Row]],
    charge_id: str,
    *,
    by: str | None,
    seen: int | None,
) -> None:
    """Writes what is new, different or taken back into a session that is in the book already."""
    from logbook.services.correct import correct
    from logbook.services.questions import show

    before = show(book, "charge", charge_id)
    session, packs = read
    changes = dict(session)
    for serial, mine in packs.items():
        changes |= {f"{serial}.{name}": value for name, value in mine.items()}
    was = values_of(before, form.clock.zone)
    changes |= {name: None for name in form.names if name in was and name not in changes}
    ended = any(row["ended"] for row in before["packs"])
    why = "correction" if ended else "end of the charge"
    correct(book, "charge", charge_id, changes, by=by, why=why, seen=seen)


def values_of(shown: Mapping[str, Any], zone: str, measures: Measures = USUAL) -> dict[str, tuple[str, str]]:
    """The fields of a session that is in the book, as they would have been typed."""
    values: dict[str, tuple[str, str]] = {}
    for row in shown["packs"]:
        for name in (*OF_THE_SESSION, *OF_A_PACK):
            value = row.get(name)
            if value is None:
                continue
            text = (
                typed_time.clock_text(value, zone)
                if name in TIMES
                else typed_in(to_cell(value), name, measures)
            )
            values[name if name in OF_THE_SESSION else f"{row['serial_no']}.{name}"] = (text, "read")
    return values


def filled(form: ChargeForm, values: Values) -> list[str]:
    """What was charged, as words: points of each pack and the time."""
    read = {name: meaning.value for name, meaning in meanings(form, values).items() if not meaning.problem}
    found = []
    for slot in form.packs:
        start, end = read.get(f"{slot.serial_no}.soc_start_pct"), read.get(f"{slot.serial_no}.soc_end_pct")
        if start is not None and end is not None:
            sign = "!" if end < start else ""
            words = f"{sign}{slot.position or slot.serial_no} {to_cell(start)} to {to_cell(end)} %"
            found.append(f"{words}: it fell while charging" if sign else words)
    return found


def asked_of(form: ChargeForm, values: Values) -> list[tuple[str, str, Asked]]:
    """What to ask of each pack, from what was typed: serial number, position, what is known at the charger."""
    from logbook.services.charge_now import Asked

    read = {name: meaning.value for name, meaning in meanings(form, values).items() if not meaning.problem}
    found = []
    for slot in form.packs:
        wanted = read.get(f"{slot.serial_no}.soc_end_pct")
        running = "started" in read and "ended" not in read
        asked = Asked(
            at=read["started"] if running else None,
            soc_pct=read.get(f"{slot.serial_no}.soc_start_pct"),
            temp_c=read.get(f"{slot.serial_no}.temp_start_c"),
            charger=read.get("charger"),
            wanted=(80.0, 100.0) if wanted is None else (wanted,),
        )
        found.append((slot.serial_no, slot.position, asked))
    return found
