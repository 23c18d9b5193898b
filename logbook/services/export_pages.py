"""Exports as a page to print: the papers of maintenance, and any other table as it is."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from logbook.reports.fleet_page import fleet_page
from logbook.reports.paper import Listing, Paper, digest_of
from logbook.reports.text_table import Column
from logbook.services.export_rows import Table
from logbook.services.pack_papers import aircraft_paper, component_record
from logbook.services.pack_status import pack_rows
from logbook.store.database import Book

PAPERS: Final = ("pack", "aircraft")
"""Exports that are papers in text too."""


def paper_of(book: Book, what: str, which: str) -> Paper:
    """The paper of one pack or one aeroplane.

    Raises:
        DataRefused: the book knows no such thing.
    """
    return component_record(book, which) if what == "pack" else aircraft_paper(book, which)


def packs_page(book: Book) -> Paper:
    """Every pack on one page."""
    rows = pack_rows(book)[1]
    return fleet_page(rows, _now(), digest_of([{**row, "as_of": None} for row in rows]))


def table_page(table: Table) -> Paper:
    """Any other table as a page: every row, every column."""
    rows = list(table.rows)
    heads = [Column(name, name.replace("_", " "), right=_figures(rows, name)) for name in table.columns]
    return Paper(
        table.title.capitalize(),
        _now(),
        digest_of(rows),
        [Listing(heads, rows, table.empty)],
        "As recorded by the operator.",
    )


def _figures(rows: list[dict[str, object]], name: str) -> bool:
    return all(isinstance(row.get(name), (int, float, type(None))) for row in rows)


def _now() -> str:
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}"
