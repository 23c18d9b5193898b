"""Commands that bring records in and out: import, export, merge."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from logbook.cli.common import book_of, command, say, write_json
from logbook.errors import UsageError

_FORMATS = ("csv", "json", "xlsx", "html", "pdf", "text", "ics")


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    taking = command(commands, "import", "take in a data package (folder or zip), a CSV file, or a GPX track")
    taking.add_argument("source", type=Path, metavar="PATH")
    taking.add_argument(
        "--map", type=Path, help="how the columns of a foreign CSV file are to be read (TOML)"
    )
    taking.add_argument("--dry-run", action="store_true", help="say what would happen; write nothing")
    taking.add_argument(
        "--partial", action="store_true", help="take in the good rows and write the others aside"
    )
    taking.add_argument("--refused", type=Path, help="the folder for refused rows (default: <book>.refused)")
    taking.add_argument("--by", help="who takes it in")
    taking.set_defaults(run=_import)

    giving = command(commands, "export", "write the book, a table or a page to a file", formats=())
    giving.add_argument(
        "what", choices=("all", "flights", "packs", "person", "pack", "plan", "aircraft", "due")
    )
    giving.add_argument("which", nargs="?", help="of one person, pack, plan or aircraft: its name")
    giving.add_argument("--to", required=True, metavar="PATH|-", help="where to; - is standard output")
    giving.add_argument("--format", choices=_FORMATS, default=None)
    giving.add_argument("--force", action="store_true", help="overwrite what is there")
    giving.set_defaults(run=_export)


def _import(options: argparse.Namespace) -> int:
    from logbook.services.import_book import import_package

    with book_of(options, create=True) as book:
        if options.map is not None:
            from logbook.services.import_csv import import_csv

            report = import_csv(
                book,
                options.source,
                options.map,
                dry_run=options.dry_run,
                partial=options.partial,
                refused=options.refused,
                by=options.by,
            )
        else:
            report = import_package(
                book,
                options.source,
                dry_run=options.dry_run,
                partial=options.partial,
                refused=options.refused,
                by=options.by,
                progress=_progress,
            )
    _tell(options, report)
    return 0 if not report.refused or any(count.new for count in report.counts.values()) else 3


def _progress(done: int, name: str) -> None:
    """Shown on a terminal only: a log file wants no moving line."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{done} {name}")
        sys.stderr.flush()


def _tell(options: argparse.Namespace, report: Any) -> None:
    if sys.stderr.isatty():
        sys.stderr.write("\r\x1b[K")
    if options.format == "json":
        write_json(
            {
                "dry_run": report.dry_run,
                "counts": {kind: vars(count) for kind, count in report.counts.items()},
                "refused": [row._asdict() for row in report.refused],
                "refused_to": None if report.refused_to is None else str(report.refused_to),
                "notes": list(report.notes),
            }
        )
    else:
        would = "would be " if report.dry_run else ""
        for kind, count in report.counts.items():
            sys.stdout.write(
                f"{kind}: {count.new} {would}new, {count.same} the same, {count.refused} refused\n"
            )
    for row in report.refused[:50]:
        say(f"refused: {row.file} line {row.line} {row.record_id}: {row.why}")
    if len(report.refused) > 50:
        say(f"and {len(report.refused) - 50} more refused rows")
    if report.refused_to is not None:
        say(f"The refused rows are in {report.refused_to}; mend them there and import that folder.")
    for note in report.notes:
        say(note)


def _export(options: argparse.Namespace) -> int:
    if options.what in ("person", "pack", "plan", "aircraft") and not options.which:
        raise UsageError(
            f"Which {options.what}?", next_step=f"Name it: logbook export {options.what} NAME --to PATH."
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

        export_table(book, options.what, options.which, options.to, options.format, force=options.force)
    return 0
