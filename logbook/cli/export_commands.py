"""The command that brings records out: export."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from logbook.cli.common import book_of, command
from logbook.cli.paper_commands import note_paper
from logbook.errors import UsageError

_OF_ALL = ("all", "flights", "packs", "due")
_FORMATS = ("csv", "json", "xlsx", "html", "pdf", "text", "ics")


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    giving = command(commands, "export", "write the book, a table or a page to a file", formats=())
    giving.add_argument(
        "what",
        choices=("all", "flights", "packs", "person", "pack", "plan", "aircraft", "due", "year"),
        help="all: the whole book as a package; else a table or a page",
    )
    giving.add_argument("which", nargs="?", help="of one person, pack, plan, aircraft or year: its name")
    giving.add_argument("--to", required=True, metavar="PATH|-", help="where to; - is standard output")
    giving.add_argument("--format", choices=_FORMATS, default=None, help="default: by the file's ending")
    giving.add_argument("--force", action="store_true", help="overwrite what is there")
    giving.add_argument("--by", help="of a paper: who issues it")
    giving.set_defaults(run=_export)


def _export(options: argparse.Namespace) -> int:
    if options.what in ("person", "pack", "plan", "aircraft", "year") and not options.which:
        raise UsageError(
            f"Which {options.what}?", next_step=f"Name it: logbook export {options.what} NAME --to PATH."
        )
    if options.which and options.what in _OF_ALL:
        raise UsageError(
            f"An export of {options.what} is of all there are, not of '{options.which}'.",
            next_step="Leave the name out, or export one person, pack, plan, aircraft or year.",
        )
    if options.what == "all" and options.format not in (None, "csv"):
        raise UsageError(
            f"The whole book is a package of CSV files, not {options.format}.",
            next_step="Leave --format out; a path that ends in .zip gives one file.",
        )
    with book_of(options) as book:
        if options.what == "all":
            from logbook.services.export_book import export_package

            target = sys.stdout.buffer if options.to == "-" else Path(options.to)
            export_package(book, target, force=options.force)
            return 0
        if options.what == "person":
            from logbook.cli.people_commands import paper_form, write_record

            form = paper_form(options.to, options.format)
            if form is not None:
                write_record(book, options.which, options.to, form, force=options.force)
                return 0
        from logbook.services.export_table import export_table

        paper = export_table(
            book, options.what, options.which, options.to, options.format, force=options.force
        )
        if paper is not None:
            note_paper(book, paper, options)
    return 0
