"""Blank slips of an aeroplane, made from the same fields as the forms on the screen, so that neither can drift away."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from pathlib import Path
from typing import BinaryIO, Final

from logbook.errors import DataRefused, UsageError
from logbook.reports.slips import Box, Group, Slip
from logbook.services.flight_fields import FUNCTIONS, KINDS, PARTS, Field, Slot
from logbook.services.flight_form import Choice, form_for, owner_of
from logbook.services.liked_units import measures_of
from logbook.services.typed_time import Clock
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

SLIPS: Final = ("flight", "charge")
FORMS: Final = ("text", "html")


def slips_of(book: Book, aircraft: str | None, *, now: str, which: Iterable[str] = SLIPS) -> list[Slip]:
    """The slips of an aeroplane with the packs that are fitted now.

    Args:
        book: the open book.
        aircraft: its registration; None: the first in the book.
        now: the present moment (UTC, stored form).
        which: of `SLIPS`.

    Raises:
        DataRefused: the book knows no such aeroplane, or none at all.
    """
    fleet = BookFacts(book).fleet()
    if not fleet or (aircraft is not None and aircraft not in fleet):
        what = f"no aeroplane '{aircraft}'" if aircraft else "no aeroplane"
        raise DataRefused(
            f"The book knows {what}.", next_step="See 'logbook list aircraft'.", field="aircraft"
        )
    makers = {"flight": _flight_slip, "charge": _charge_slip}
    return [makers[one](book, aircraft or fleet[0], now) for one in which]


def write_slips_to(
    slips: list[Slip], to: Path | str | BinaryIO, how: str | None = None, *, force: bool = False
) -> None:
    """Writes slips as text or HTML.

    Args:
        slips: as `slips_of` gives them.
        to: a path, `-` for standard output, or an open binary stream.
        how: one of `FORMS`; absent: by the ending of the path, else text.
        force: replace a file that is there.

    Raises:
        UsageError: there is no such form, or something is there already.
        FileTrouble: it cannot be written.
    """
    from logbook.reports.slips import write_slips
    from logbook.reports.slips_html import write_slips_html
    from logbook.reports.target import text_to

    page = isinstance(to, (str, Path)) and Path(to).suffix.lower() in (".html", ".htm")
    form = how or ("html" if page else "text")
    if form not in FORMS:
        raise UsageError(f"There is no form '{form}' of slips.", next_step=f"Forms are: {', '.join(FORMS)}.")
    with text_to(to, force=force) as stream:
        (write_slips_html if form == "html" else write_slips)(stream, slips)


def _flight_slip(book: Book, aircraft: str, now: str) -> Slip:
    day = now[:10]
    form = form_for(book, Choice(aircraft, Clock(day, "UTC", "UTC")), now=now, measures=measures_of(book))
    first = Group("Flight", (Box("Aeroplane"), Box("Date"), Box("Plan"), Box("Written by")))
    choices = {"function": FUNCTIONS, "second_function": FUNCTIONS, "kind": KINDS}
    groups = _groups(form.fields, form.packs, choices)
    return Slip(f"Flight of {aircraft}", "Times in UTC or local: ________.", (first, *groups))


def _charge_slip(book: Book, aircraft: str, now: str) -> Slip:
    from logbook.services.charge_entry import charge_form
    from logbook.services.charge_fields import PURPOSES

    clock = Clock(now[:10], "UTC", "UTC")
    form = charge_form(book, aircraft, clock, measures=measures_of(book))
    first = Group("Charge", (Box("Aeroplane"), Box("Date"), Box("Charger no."), Box("Written by")))
    groups = _groups(form.fields, form.packs, {"purpose": PURPOSES})
    return Slip(f"Charge of {aircraft}", "Times in UTC or local: ________.", (first, *groups))


def _groups(
    fields: Iterable[Field], packs: Iterable[Slot], choices: Mapping[str, tuple[str, ...]]
) -> list[Group]:
    """The parts of the form one after the other, in each a new group wherever the pack changes."""
    names = {slot.serial_no: slot for slot in packs}
    ordered = list(fields)
    parts = list(dict.fromkeys((*PARTS, *(field.part for field in ordered))))
    ordered.sort(key=lambda field: parts.index(field.part))
    found: list[Group] = []
    for (part, owner), run in groupby(ordered, key=lambda field: (field.part, owner_of(field.name))):
        heading = _heading(part, owner, names)
        again = any(group.heading == heading for group in found)
        boxes = tuple(_box(field, choices) for field in run)
        found.append(Group(f"{heading}, continued" if again else heading, boxes))
    return found


def _heading(part: str, owner: str | None, packs: Mapping[str, Slot]) -> str:
    if owner is None:
        return part
    if not owner:
        return f"{part}: all packs together"
    place = packs[owner].position if owner in packs else ""
    return f"{part}: pack {owner}{', ' + place if place else ''}"


def _box(field: Field, choices: Mapping[str, tuple[str, ...]]) -> Box:
    return Box(field.label, field.unit, choices.get(field.name, ()), field.long)
