"""Exports as a page to print: the papers of maintenance, and any other table as it is."""

from __future__ import annotations

from typing import Final

from logbook.reports.fleet_page import fleet_page
from logbook.reports.paper import Listing, Paper, digest_of
from logbook.reports.text_table import Column
from logbook.services.export_rows import Table
from logbook.services.liked_units import measures_of
from logbook.services.pack_papers import aircraft_paper, component_record
from logbook.services.pack_status import pack_rows
from logbook.services.paper_issue import issued, moment_of, with_line
from logbook.store.database import Book

PAPERS: Final = ("pack", "aircraft", "plan", "year")
"""Exports that are papers, in text too."""


def paper_of(book: Book, what: str, which: str, as_of: str | None = None) -> Paper:
    """The paper of one pack, aeroplane, kept plan or year, as of a day; a kept plan is as it was given.

    Raises:
        DataRefused: the book knows no such thing.
        UsageError: it is no year, or `as_of` no day.
    """
    if what == "year":
        from logbook.services.year_paper import year_paper

        return year_paper(book, which, as_of)
    if what == "plan":
        from logbook.services.export_plan import plan_page

        paper = plan_page(book, which)[0]
        return issued(book, paper, "plan", which, paper.as_of)
    return component_record(book, which, as_of) if what == "pack" else aircraft_paper(book, which, as_of)


def packs_page(book: Book) -> Paper:
    """Every pack on one page."""
    rows = pack_rows(book)[1]
    until = moment_of(book, None, packs=[row["serial_no"] for row in rows])
    return issued(book, fleet_page(rows, until, "", measures_of(book)), "packs", "", until)


def table_page(book: Book, table: Table) -> Paper:
    """Any other table as a page: every row, every column."""
    rows = list(table.rows)
    heads = [Column(name, name.replace("_", " "), right=_figures(rows, name)) for name in table.columns]
    paper = Paper(
        table.title.capitalize(),
        book.clock(),
        digest_of(rows),
        [Listing(heads, rows, table.empty)],
        "As recorded by the operator.",
    )
    return with_line(book, paper, "table", table.title)


def _figures(rows: list[dict[str, object]], name: str) -> bool:
    return all(isinstance(row.get(name), (int, float, type(None))) for row in rows)
