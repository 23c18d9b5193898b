"""Everything that can be written out of a book, with what each is for, and the names its files are given."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final, NamedTuple

from logbook.store.database import Book


class Form(NamedTuple):
    """One form a file can have: its word, the ending of its name, and what it is good for."""

    word: str
    ending: str
    about: str


class Offer(NamedTuple):
    """Something that can be written.

    Attributes:
        id: its word.
        part: the heading under which it stands.
        title: what it is called.
        about: what it is for, in a sentence.
        forms: the forms of file it can have, the usual one first.
        of: what has to be named: `person`, `pack`, `aircraft`, `plan`, `layout`; empty: nothing.
        name: how its file is called, without the ending.
    """

    id: str
    part: str
    title: str
    about: str
    forms: tuple[Form, ...]
    of: str = ""
    name: str = ""


ZIP: Final = Form("zip", ".zip", "one file, loss-free; any spreadsheet or program can read its CSV files")
CSV: Final = Form("csv", ".csv", "a table for any program")
XLSX: Final = Form("xlsx", ".xlsx", "a spreadsheet, text kept as text")
HTML: Final = Form("html", ".html", "a page to print, or to look at in a browser")
TEXT: Final = Form("text", ".txt", "eighty columns of plain text")
PDF: Final = Form("pdf", ".pdf", "a document to print or to send")
JSON: Final = Form("json", ".json", "for a program of your own")
ICS: Final = Form("ics", ".ics", "a calendar file; taken in again it updates what is there")
COPY: Final = Form("copy", ".logbook", "the file itself, checked after it was copied")

WHOLE, TABLES, PAPERS, BLANK = "The whole book", "Tables", "Pages to print", "Blank paper"

OFFERS: Final = (
    Offer("package", WHOLE, "Whole book", "every record with its history, to keep or to move", (ZIP,), name="logbook"),
    Offer("backup", WHOLE, "Backup", "a verified copy of the file, against mishaps", (COPY,), name="logbook-backup"),
    Offer("flights", TABLES, "Flights", "every flight, recorded and derived", (CSV, XLSX, HTML, JSON), name="flights"),
    Offer("packs", TABLES, "Packs", "where every pack stands: hours, cycles, life left", (CSV, XLSX, PDF, HTML, JSON), name="packs"),
    Offer("person", TABLES, "A person's flights", "times, landings, and how the charge was managed", (CSV, XLSX, JSON), "person", "flights"),
    Offer("due", TABLES, "Due dates", "a calendar for the telephone, or a list", (ICS, CSV, PDF, HTML), name="due"),
    Offer("pack", PAPERS, "A pack's record", "for maintenance, and for its next owner", (HTML, PDF, TEXT, CSV, JSON), "pack", "pack"),
    Offer("aircraft", PAPERS, "An aeroplane's page", "packs, defects and what is due, for an inspector", (HTML, PDF, TEXT, CSV), "aircraft", "aeroplane"),
    Offer("person-pages", PAPERS, "A pilot's pages", "the record of flight time with page totals", (HTML, TEXT, PDF), "person", "record"),
    Offer("year", PAPERS, "A year", "flights, energy, cost, packs, defects, by aeroplane", (HTML, PDF, TEXT), "year", "year"),
    Offer("plan", PAPERS, "A kept plan", "forecast, points and cautions as given", (TEXT, HTML, PDF, JSON), "plan", "plan"),
    Offer("flight-slip", BLANK, "Slip for a flight", "for the pencil, in the order of the form", (TEXT, HTML), "aircraft", "flight-slip"),
    Offer("charge-slip", BLANK, "Slip for a charge", "for the pencil at the charger", (TEXT, HTML), "aircraft", "charge-slip"),
)  # fmt: skip
"""In the order in which they are listed."""

BY_ID: Final = {offer.id: offer for offer in OFFERS}


def forms_of(offer: Offer) -> tuple[Form, ...]:
    """The forms that can be written here: PDF needs an extra that may not be installed."""
    from logbook.reports.pdf_letters import has_pdf

    return offer.forms if has_pdf() else tuple(form for form in offer.forms if form != PDF)


def names_for(book: Book, offer: Offer) -> list[tuple[str, str]]:
    """What can be named for an offer: id and words, the likeliest first."""
    if not offer.of:
        return []
    if offer.of == "plan":
        from logbook.store.records import Records

        rows = [row for _, row in Records(book, "plan").select("struck = 0", order="made_at DESC")]
        return [
            (row["plan_id"], f"{row['made_at'][:10]} {row['aircraft']} {row['title'] or ''}".strip())
            for row in rows
        ]
    if offer.of == "year":
        from logbook.services.year_paper import years_of

        return [(year, year) for year in years_of(book)]
    from logbook.services.record_form import names_of

    return [(name, name) for name in names_of(book, offer.of)]


def documents_folder() -> Path:
    """Where files for people go: the documents folder of the platform where it is there, else the home folder."""
    from platformdirs import user_documents_path

    documents, home = Path(user_documents_path()), Path.home()
    return documents if documents.is_dir() and os.access(documents, os.W_OK) else home


def usual_path(offer: Offer, which: str, form: Form, today: str) -> Path:
    """A path that is free: the offer's name, what it is of, and the day."""
    parts = [offer.name, _file_word(which), today]
    stem = "-".join(part for part in parts if part)
    return free_path(documents_folder() / f"{stem}{form.ending}")


def free_path(path: Path) -> Path:
    """The path itself, or with a number where something is there already."""
    number, candidate = 2, path
    while candidate.exists():
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return candidate


def _file_word(text: str) -> str:
    """A name as part of a file name that every file system takes."""
    return re.sub(r"[^\w]+", "-", text).strip("-_")[:40]
