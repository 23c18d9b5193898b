"""Papers of maintenance written to files: the same paper as PDF and HTML to print and as text, side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

from logbook.errors import UsageError
from logbook.reports.pdf_letters import has_pdf
from logbook.services import typed, typed_time
from logbook.services.pack_papers import aircraft_paper, component_record
from logbook.services.paper_out import write_paper_to
from logbook.services.paper_register import note_issue
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Meaning, Reader
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.settings import Settings

_FORMS: Final = (("pdf", "pdf"), ("html", "html"), ("txt", "text"))
_TITLES: Final = {"pack": "Record of pack {} on paper", "aircraft": "Page of {} for an inspector"}


def paper_form(book: Book, what: str, which: str, now: str, folder: Path) -> PlainForm:
    """The form for a paper: as of when, and where to.

    Args:
        book: the open book.
        what: pack or aircraft.
        which: serial number or registration; empty: it is asked for.
        now: the present moment (UTC, stored form).
        folder: where it goes unless something else is typed.
    """
    fields = []
    readers: dict[str, Reader] = {
        "as_of": lambda text: typed_time.read_day(text, now[:10]),
        "folder": _folder,
    }
    if not which:
        names = tuple(BookFacts(book).fleet())
        readers["which"] = typed.known_name(names, "aeroplane")
        only = names[0] if len(names) == 1 else ""
        fields.append(
            FormField(
                "which", "Aeroplane", "needed", "The beginning of its registration is enough.", "", only, True
            )
        )
    fields += [
        FormField("as_of", "As of", "a day; empty: now", "What was recorded of later days does not count."),
        FormField(
            "folder",
            "Folder",
            "",
            f"{forms_in_words()} are written there; nothing is ever overwritten.",
            "",
            str(folder),
        ),
    ]
    title = _TITLES[what].format(which) if which else "Page of an aeroplane for an inspector"
    return PlainForm(title, tuple(fields), readers)


def _folder(text: str) -> Meaning:
    path = Path(text.strip()).expanduser()
    return Meaning(str(path), "" if path.is_dir() else "a new folder")


def forms_in_words() -> str:
    """The forms that can be written here, as a person says it."""
    return "PDF, HTML and text" if has_pdf() else "HTML and text"


class Written(NamedTuple):
    """The files of a paper, and what else there is to say; empty where there is nothing."""

    files: list[Path]
    said: str


def write_papers(book: Book, what: str, which: str, folder: Path, as_of: str | None = None) -> Written:
    """Writes a paper in every form that can be written here, all under one name that was free.

    Args:
        book: the open book.
        what: pack or aircraft.
        which: serial number or registration.
        folder: made where it is missing.
        as_of: a day; None for now.

    Returns: The files, and whether it could be put on the list of papers issued.

    Raises:
        DataRefused: the book knows no such thing.
        FileTrouble: the folder cannot be written.
    """
    paper = (component_record if what == "pack" else aircraft_paper)(book, which, as_of)
    stem = f"{what}-{_for_a_name(which)}-{paper.as_of[:10]}"
    bases = (folder / (stem if number == 1 else f"{stem}-{number}") for number in range(1, 10_000))
    base = next((one for one in bases if not any(_taken(one, suffix) for suffix, _ in _FORMS)), None)
    if base is None:
        raise UsageError(f"{folder} is full of files named {stem}.", next_step="Name another folder.")
    written = []
    for suffix, form in _FORMS:
        if form == "pdf" and not has_pdf():
            continue
        path = base.with_name(f"{base.name}.{suffix}")
        write_paper_to(path, paper, form)
        written.append(path)
    forms = [form for suffix, form in _FORMS if any(path.suffix == f".{suffix}" for path in written)]
    said = note_issue(book, paper, forms, base.name, by=Settings(book).value("operator"))
    return Written(written, said)


def _taken(base: Path, suffix: str) -> bool:
    return base.with_name(f"{base.name}.{suffix}").exists()


def _for_a_name(which: str) -> str:
    """A serial number as part of a file's name: no separators, nothing hidden."""
    return re.sub(r"[^\w-]+", "_", which).strip("_")[:60] or "unnamed"


def which_of(values: Mapping[str, Any], which: str) -> str:
    """The thing a filled form is about."""
    return which or str(values["which"])
