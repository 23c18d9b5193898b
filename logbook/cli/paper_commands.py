"""The command for papers: writes one, or says of an issued one whether it is still true."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.cli.common import book_of, command, say, write_json
from logbook.errors import UsageError

if TYPE_CHECKING:
    from logbook.reports.paper import Paper
    from logbook.store.database import Book

_STILL_TRUE, _NOT_AS_ISSUED = 0, 1


def register(commands: Any) -> None:
    """Adds the command to the command line."""
    paper = command(
        commands,
        "paper",
        "a paper: of a pack, of an aeroplane, or the report of a year; or check an issued one (status 1: not as issued)",
        formats=(),
    )
    paper.add_argument(
        "what",
        choices=("pack", "aircraft", "year", "check"),
        help="of which kind of thing; check: an issued paper",
    )
    paper.add_argument(
        "which",
        nargs="?",
        help="serial number, registration, or the year; to check: the file (text, HTML, PDF), or -; none: all that were issued",
    )
    paper.add_argument("--as-of", help="as of a day or an instant (UTC)")
    paper.add_argument("--to", default="-", metavar="PATH|-", help="where to; - is standard output (default)")
    paper.add_argument(
        "--format",
        choices=("html", "pdf", "text", "json"),
        default=None,
        help="default: by the file's ending; of a check text or json",
    )
    paper.add_argument("--by", help="who issues it")
    paper.add_argument("--force", action="store_true", help="overwrite what is there")
    paper.set_defaults(run=_paper)


def _paper(options: argparse.Namespace) -> int:
    if options.what == "check":
        return _check(options)
    from logbook.services.export_pages import paper_of
    from logbook.services.paper_out import form_by_ending, write_paper_to

    if options.which is None:
        raise UsageError(
            f"Which {options.what}?", next_step=f"Name it: logbook paper {options.what} NAME --to PATH."
        )
    if options.format == "json":
        raise UsageError("A paper has no JSON.", next_step=f"Ask 'logbook {options.what}' or 'logbook show'.")
    with book_of(options) as book:
        paper = paper_of(book, options.what, options.which, options.as_of)
        options.format = options.format or form_by_ending(options.to)
        write_paper_to(options.to, paper, options.format, force=options.force)
        note_paper(book, paper, options)
    return 0


def note_paper(book: Book, paper: Paper, options: argparse.Namespace) -> None:
    """Puts a paper that was written to a file on the list of those issued; one on standard output is only looked at."""
    from logbook.services.paper_out import form_by_ending
    from logbook.services.paper_register import note_issue

    if options.to == "-":
        return
    form = options.format or form_by_ending(options.to)
    said = note_issue(book, paper, [form], Path(options.to).name, by=options.by)
    if said:
        say(f"note: {said}")


def _check_all(options: argparse.Namespace) -> int:
    """How every paper of the list stands; status 1 where one of them no longer holds."""
    from logbook.reports.visible import visible
    from logbook.services.paper_check import UNCHANGED
    from logbook.services.paper_register import as_data, issued_papers

    with book_of(options) as book:
        found = issued_papers(book)
    if options.format == "json":
        write_json([as_data(one) for one in found])
    else:
        for one in found:
            sys.stdout.write(visible(f"{one.sign:<3}{one.title}: {one.words}") + "\n")
        if not found:
            say("No paper was issued from this book yet.")
    return _STILL_TRUE if all(one.records == UNCHANGED for one in found) else _NOT_AS_ISSUED


def _check(options: argparse.Namespace) -> int:
    from logbook.reports.visible import visible
    from logbook.services.liked_units import measures_of
    from logbook.services.paper_check import as_data, check_paper, in_words
    from logbook.services.paper_read import MOST, bounded, read_file

    if options.as_of is not None or options.to != "-" or options.force or options.format in ("html", "pdf"):
        raise UsageError(
            "A paper that is checked says itself what it is of, and nothing is written.",
            next_step="Use: logbook paper check FILE [--format text|json].",
        )
    if options.which is None:
        return _check_all(options)
    data = (
        bounded(sys.stdin.buffer.read(MOST + 1)) if options.which == "-" else read_file(Path(options.which))
    )
    with book_of(options) as book:
        checked, measures = check_paper(book, data), measures_of(book)
    if options.format == "json":
        write_json(as_data(checked))
    else:
        for line in in_words(checked, measures):
            sys.stdout.write(visible(line) + "\n")
    return _STILL_TRUE if checked.still_true else _NOT_AS_ISSUED
