"""The pilot's record as the law wants it: entries in order, pages with totals, and what is missing, named first."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO, Final

from logbook.errors import UsageError
from logbook.reports import american_page, european_page
from logbook.reports.pilot_pages import OPTIONAL, ROWS, Entry, PilotPages, Sums, paginate, sum_up
from logbook.rules.experience import engines_of
from logbook.rules.person_totals import brought_forward
from logbook.services.legal_gaps import lacking, missing_of, notes_of
from logbook.services.people import Aboard, aboard, person_row
from logbook.store.database import Book
from logbook.store.people_sweep import PeopleSweep
from logbook.store.settings import Settings
from logbook.store.version_chain import chain_head
from logbook.units import between

Row = dict[str, Any]

FORMS: Final = {"european": european_page, "american": american_page}

GAP_MIN: Final = 30
"""Longest time between flights of one day that may stand as one entry (AMC1 FCL.050(b)) [min]."""


def form_of_book(book: Book) -> str:
    """The form this book is set to (setting `record_form`), else the European one."""
    form = Settings(book).value("record_form")
    return form if form in FORMS else "european"


def person_pages(
    book: Book,
    name: str,
    form: str = "european",
    *,
    since: str | None = None,
    until: str | None = None,
    join_same_day: bool = False,
    rows: int = ROWS,
) -> PilotPages:
    """A pilot's record as pages.

    Args:
        book: the open book.
        name: the person.
        form: `european` or `american`.
        since: first day on the pages (local); what was before is in "previous pages".
        until: last day on the pages (local).
        join_same_day: flights of one day that each return to where they started, at most thirty minutes apart, stand
            as one entry (European form only; allowed, not asked for).
        rows: lines on a page.

    Raises:
        DataRefused: the book knows no such person.
        UsageError: there is no such form.
    """
    if form not in FORMS:
        raise UsageError(f"There is no form '{form}'.", next_step=f"Forms are: {', '.join(FORMS)}.")
    person = person_row(book, name)
    entries = _entries(book, name, form)
    before = [entry for entry in entries if since is not None and entry.date < since]
    shown = [
        entry
        for entry in entries
        if (since is None or entry.date >= since) and (until is None or entry.date <= until)
    ]
    start = sum_up(before, _brought_forward(person))
    missing = missing_of(person, shown, form)
    if join_same_day and form == "european":
        shown = joined(shown)
    return PilotPages(
        person=person,
        form=form,
        pages=paginate(shown, start, rows),
        brought_forward=start,
        missing=missing,
        chain=chain_head(book),
        notes=notes_of(person, FORMS[form], shown, has_earlier=bool(before)),
    )


def write_person_pages(
    pages: PilotPages,
    to: Path | str | BinaryIO,
    how: str = "text",
    *,
    width: int = 80,
    force: bool = False,
) -> None:
    """Writes a pilot's record as text, HTML or PDF to a path, `-` for standard output, or an open binary stream.

    Raises:
        UsageError: there is no such form of file, the extra for PDF is missing, or something is at that path already.
        FileTrouble: it cannot be written.
    """
    from logbook.reports.pilot_pages_html import write_pages_html
    from logbook.reports.pilot_pages_text import write_pages
    from logbook.reports.target import text_to, written_to

    if how not in ("text", "html", "pdf"):
        raise UsageError(f"There is no form '{how}' of these pages.", next_step="Forms are: text, html, pdf.")
    if how == "pdf":
        from logbook.reports.pilot_pages_pdf import write_pages_pdf

        with written_to(to, force=force) as binary:
            write_pages_pdf(binary, pages)
        return
    with text_to(to, force=force) as stream:
        if how == "html":
            write_pages_html(stream, pages)
        else:
            write_pages(stream, pages, width=width)


def _entries(book: Book, name: str, form: str) -> list[Entry]:
    signed = PeopleSweep(book).signed()
    return [
        _entry(one, form, sorted(signed.get(one.flight["flight_id"], ())))
        for one in aboard(book, name)
        if one.experience.minutes
        or one.experience.device_min
        or (form == "american" and one.experience.ground_min)
    ]


def _entry(one: Aboard, form: str, signed: Sequence[str]) -> Entry:
    flight, had = one.flight, one.experience
    device = bool(had.device_min)
    commander = "" if device else _commander(one)
    engines = engines_of(had.aircraft_class)
    words = [flight["exercise"] or "", flight["remarks"] or ""]
    if flight["approaches_text"] and one.part.handled:
        words.insert(1, f"approaches: {flight['approaches_text']}")
    words += [f"countersigned by {who}" for who in signed]
    if one.part.function == "picus" and not signed:
        words.append("under supervision, not countersigned")
    return Entry(
        flight_ids=(flight["flight_id"],),
        date=flight["date"],
        device=device,
        aircraft=flight["aircraft"],
        aircraft_type=had.aircraft_type or "",
        engines=engines,
        place_from=flight["place_from"] or "",
        place_to=flight["place_to"] or "",
        departed=flight["off_blocks"] or "",
        arrived=flight["on_blocks"] or "",
        function=one.part.function or "",
        commander=commander,
        sums=_sums(one, engines),
        night_known=had.night_min is not None,
        remarks="; ".join(word for word in words if word),
        missing=lacking(one, form, commander, engines),
        safety_pilot=flight["safety_pilot"] or "",
        device_text=flight["device_text"] or "",
        night_recorded=had.night_recorded,
        written=tuple(name for name in OPTIONAL if flight[name] is not None),
    )


def _commander(one: Aboard) -> str:
    """The pilot in command: who flew as such, or alone, or taught, or was supervised as such."""
    for function in ("pic", "solo", "instructor", "picus"):
        for part in one.everybody:
            if part.function == function:
                return part.person
    return ""


def _sums(one: Aboard, engines: str) -> Sums:
    had, part, function = one.experience, one.experience.part, one.part.function
    minutes, night = had.minutes, had.night_min or 0
    crewed = any(other.function == "copilot" for other in one.everybody)
    return Sums(
        minutes=minutes,
        single_min=minutes if engines == "single" and not crewed else 0,
        multi_min=minutes if engines == "multi" and not crewed else 0,
        multi_pilot_min=minutes if crewed else 0,
        day_min=max(minutes - night, 0) if had.night_min is not None else 0,
        night_min=night,
        pic_min=had.pic_min,
        solo_min=minutes if function == "solo" else 0,
        copilot_min=minutes if function == "copilot" else 0,
        dual_min=minutes if function == "dual" else 0,
        instructor_min=minutes if function == "instructor" else 0,
        landings_day=part.landings_day,
        landings_night=part.landings_night,
        device_min=had.device_min,
        ifr_min=had.ifr_min,
        instrument_min=had.instrument_min,
        simulated_min=had.simulated_min,
        ground_min=had.ground_min,
    )


def _brought_forward(person: Row) -> Sums:
    known = brought_forward(person)
    return Sums(
        minutes=known.get("total_min", 0),
        night_min=known.get("night_min", 0),
        pic_min=known.get("pic_min", 0),
        dual_min=known.get("dual_min", 0),
        instructor_min=known.get("instructor_min", 0),
        landings_day=known.get("landings_day", 0),
        landings_night=known.get("landings_night", 0),
    )


def joined(entries: Sequence[Entry]) -> list[Entry]:
    """Flights of one day that may stand as one entry, as one.

    They are of one aeroplane, function and pilot in command, each returns to where it started, and at most thirty
    minutes lie between them. The time is the sum of the flights: the breaks are not flight time.
    """
    found: list[Entry] = []
    for entry in entries:
        last = found[-1] if found else None
        if last is not None and _may_join(last, entry):
            found[-1] = _one(last, entry)
        else:
            found.append(entry)
    return found


def _may_join(last: Entry, entry: Entry) -> bool:
    gap = between(last.arrived or None, entry.departed or None)
    same = all(
        getattr(last, name) == getattr(entry, name)
        for name in (
            "date",
            "aircraft",
            "function",
            "commander",
            "place_from",
            "night_known",
            "night_recorded",
        )
    )
    returns = entry.place_from and last.place_from == last.place_to == entry.place_to
    return bool(
        same and returns and not last.device and not entry.device and gap is not None and 0 <= gap <= GAP_MIN
    )


def _one(last: Entry, entry: Entry) -> Entry:
    ids = last.flight_ids + entry.flight_ids
    words = [last.remarks.removeprefix(f"{len(last.flight_ids)} flights").removeprefix("; "), entry.remarks]
    return last._replace(
        flight_ids=ids,
        arrived=entry.arrived,
        sums=last.sums.plus(entry.sums),
        remarks="; ".join([f"{len(ids)} flights", *(word for word in words if word)]),
        missing=tuple(dict.fromkeys(last.missing + entry.missing)),
        written=tuple(name for name in last.written if name in entry.written),
    )
