"""Commands that look after the file: check, backup, restore, salvage."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from logbook.cli.common import book_of, command, say, write_json
from logbook.errors import FileTrouble
from logbook.paths import default_book


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    check = command(commands, "check", "read the whole book and say what is wrong with it")
    check.add_argument("--mend", action="store_true", help="compute derived figures again")
    check.set_defaults(run=_check)

    backup = command(commands, "backup", "make a verified copy of the book")
    backup.add_argument("--to", type=Path, help="where (default: a dated copy beside the book)")
    backup.add_argument("--force", action="store_true", help="overwrite the copy")
    backup.set_defaults(run=_backup)

    restore = command(
        commands, "restore", "put a verified backup in the place of the book, which is kept beside it"
    )
    restore.add_argument("source", type=Path, nargs="?", help="the backup (default: the newest)")
    restore.set_defaults(run=_restore)

    salvage = command(
        commands, "salvage", "take over what can be read of a damaged or distrusted book into a new one"
    )
    salvage.add_argument("damaged", type=Path, help="the book; it is not changed, and nothing of it runs")
    salvage.add_argument("--to", type=Path, required=True, metavar="NEW", help="the new book")
    salvage.set_defaults(run=_salvage)


def _check(options: argparse.Namespace) -> int:
    from logbook.services.check import check, mend

    with book_of(options) as book:
        if options.mend:
            say(f"Computed {mend(book)} flights again.")
        findings = check(book)
    if options.format == "json":
        write_json([finding._asdict() for finding in findings])
    else:
        for finding in findings:
            sys.stdout.write(f"{finding.what} {finding.next_step}\n")
        if not findings:
            sys.stdout.write("Nothing wrong was found.\n")
    return 1 if findings else 0


def _backup(options: argparse.Namespace) -> int:
    from logbook.services.care import back_up

    if options.to is not None and options.to.exists() and not options.force:
        raise FileTrouble(f"{options.to} exists already.", next_step="Name another file, or use --force.")
    _answer(options, "backup", back_up(options.file or default_book(), options.to))
    return 0


def _restore(options: argparse.Namespace) -> int:
    from logbook.services.care import restore

    book = options.file or default_book()
    source, kept = restore(options.source, book)
    say(f"Restored from {source}." + ("" if kept is None else f" The book that was there is now {kept}."))
    _answer(options, "book", book)
    return 0


def _salvage(options: argparse.Namespace) -> int:
    from logbook.services.salvage import salvage

    done = salvage(options.damaged, options.to)
    if options.format == "json":
        write_json(
            {"book": str(done.book), "report": str(done.report), "counts": done.counts, "missing": done.words}
        )
    else:
        from logbook.reports.visible import visible

        for name, count in done.counts.items():
            sys.stdout.write(f"{name}: {count} rows\n")
        for word in done.words:
            say(word)
        sys.stdout.write(visible(str(done.book)) + "\n")
    say(f"What is missing is listed in {done.report}.")
    return 0


def _answer(options: argparse.Namespace, name: str, path: Path) -> None:
    if options.format == "json":
        write_json({name: str(path)})
    else:
        from logbook.reports.visible import visible

        sys.stdout.write(visible(str(path)) + "\n")
