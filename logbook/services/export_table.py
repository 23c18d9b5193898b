"""Writing a table of the book to a file or a stream, in the form that is wanted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Final

from logbook.errors import UsageError
from logbook.services.export_rows import (
    Table,
    due_table,
    flights_table,
    pack_table,
    packs_table,
    person_table,
    plan_table,
)
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.reports.paper import Paper

FORMATS: Final = ("csv", "json", "xlsx", "html", "pdf", "text", "ics")
_BY_ENDING: Final = {
    ".csv": "csv",
    ".json": "json",
    ".xlsx": "xlsx",
    ".html": "html",
    ".htm": "html",
    ".pdf": "pdf",
    ".txt": "text",
    ".ics": "ics",
}

_TOO_WIDE: Final = {
    "flights": "CSV, a spreadsheet or HTML; a pilot's record has pages of its own",
    "person": "CSV or a spreadsheet; 'logbook pages' has the record of a pilot as PDF",
}


def export_table(
    book: Book,
    what: str,
    which: str | None,
    to: Path | str | BinaryIO,
    how: str | None = None,
    *,
    force: bool = False,
) -> Paper | None:
    """Writes one table.

    Args:
        book: the open book.
        what: `flights`, `packs`, `due`, or, with `which`, `person`, `pack`, `plan`, `aircraft`, `year`.
        which: the name or id of that one.
        to: a path, `-` for standard output, or a binary stream.
        how: one of `FORMATS`; absent: by the ending of the path, else CSV, of a plan text.
        force: replace a file that is there.

    Returns: The paper, where it is one; `paper_register.note_issue` puts it on the list.

    Raises:
        UsageError: there is no such table or form, or something is at that path already.
        DataRefused: the book knows no such thing.
        FileTrouble: it cannot be written.
    """
    form = how or _form_of(to, what)
    if form not in FORMATS:
        raise UsageError(
            f"There is no form '{form}' of this export.", next_step=f"Forms are: {', '.join(FORMATS)}."
        )
    if form == "ics":
        _write_calendar(book, what, which, to, force=force)
    elif form == "pdf" and what in _TOO_WIDE:
        raise UsageError(
            f"The table of {what} has too many columns for PDF.",
            next_step=f"Write it as {_TOO_WIDE[what]}.",
        )
    elif form in ("html", "pdf") or (form == "text" and what in ("pack", "aircraft", "year")):
        return _write_page(book, (what, which), form, to, force=force)
    elif form == "text" and what == "plan":
        _write_plan_page(book, which or "", to, force=force)
    else:
        _write(table_of(book, what, which), form, to, force=force)
    return None


def table_of(book: Book, what: str, which: str | None) -> Table:
    """The rows behind an export.

    Raises:
        UsageError: there is no such table, or it needs a name.
        DataRefused: the book knows no such thing.
    """
    if what in ("flights", "packs", "due"):
        return {"flights": flights_table, "packs": packs_table, "due": due_table}[what](book)
    one = {"person": person_table, "pack": pack_table, "plan": plan_table, "aircraft": flights_table}.get(
        what
    )
    if what == "year":
        raise UsageError("A year is a page, no table.", next_step="Write it as text, HTML or PDF.")
    if one is None:
        raise UsageError(f"There is no export called '{what}'.", next_step="See docs/interface.md.")
    if which is None:
        raise UsageError(f"Which {what}?", next_step="Name it.")
    return one(book, which)


def _form_of(to: Path | str | BinaryIO, what: str) -> str:
    usual = "text" if what == "plan" else "csv"
    return _BY_ENDING.get(Path(to).suffix.lower(), usual) if isinstance(to, (str, Path)) else usual


def _write(table: Table, form: str, to: Path | str | BinaryIO, *, force: bool) -> None:
    from logbook.reports.table_out import write_csv, write_json, write_plain
    from logbook.reports.target import text_to, written_to

    if form == "xlsx":
        from logbook.reports.xlsx_out import write_xlsx

        with written_to(to, force=force) as binary:
            write_xlsx(binary, table.title, table.columns, table.rows)
        return
    with text_to(to, force=force) as stream:
        if form == "csv":
            write_csv(stream, table.columns, table.rows)
        elif form == "text":
            write_plain(stream, table.columns, table.rows, empty=table.empty)
        elif isinstance(table.objects, dict):
            import json

            stream.write(json.dumps(table.objects, ensure_ascii=False, allow_nan=False, indent=1) + "\n")
        else:
            write_json(stream, table.rows if table.objects is None else table.objects)


def _write_calendar(
    book: Book, what: str, which: str | None, to: Path | str | BinaryIO, *, force: bool
) -> None:
    """Dates of everything, or of the person, pack or aeroplane that is named."""
    from logbook.reports.ics import DueDate, write_calendar
    from logbook.reports.target import text_to

    if what not in ("due", "person", "pack", "aircraft"):
        raise UsageError(
            f"A calendar holds due dates; {what} have none.",
            next_step="Export due, or a person, pack or aircraft.",
        )
    rows = due_table(book, which).rows
    dates = [DueDate(row["due"], f"{row['what']}: {row['of']}", row["text"], row["id"]) for row in rows]
    with text_to(to, force=force) as stream:
        write_calendar(stream, dates)


def _write_page(
    book: Book, named: tuple[str, str | None], form: str, to: Path | str | BinaryIO, *, force: bool
) -> Paper:
    """A paper of maintenance, or any table, as a page to print."""
    from logbook.services.export_pages import PAPERS, packs_page, paper_of, table_page
    from logbook.services.paper_out import write_paper_to

    what, which = named
    if what == "packs":
        paper = packs_page(book)
    elif what in PAPERS and which is not None:
        paper = paper_of(book, what, which)
    else:
        paper = table_page(book, table_of(book, what, which))
    write_paper_to(to, paper, form, force=force)
    return paper


def _write_plan_page(book: Book, which: str, to: Path | str | BinaryIO, *, force: bool) -> None:
    """A plan in text is set as on the screen, not as a paper."""
    from logbook.reports.target import text_to
    from logbook.services.export_plan import plan_page

    words = plan_page(book, which)[1]
    with text_to(to, force=force) as stream:
        stream.write(words)
