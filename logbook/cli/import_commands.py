"""Commands that take records in: import, merge."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from logbook.cli import recording_commands, track_commands
from logbook.cli.common import book_of, command, say, write_json
from logbook.cli.track_commands import take_track

_SHOWN = 50


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    taking = command(
        commands, "import", "take in a data package (folder or zip), a CSV file, a GPX track, or a recording"
    )
    taking.add_argument("source", type=Path, metavar="PATH", help="what to take in")
    taking.add_argument(
        "--map", type=Path, help="how the columns of a foreign CSV file are to be read (TOML)"
    )
    taking.add_argument("--dry-run", action="store_true", help="say what would happen; write nothing")
    taking.add_argument(
        "--partial", action="store_true", help="take in the good rows and write the others aside"
    )
    taking.add_argument("--refused", type=Path, help="the folder for refused rows (default: <book>.refused)")
    taking.add_argument("--by", help="who takes it in")
    track_commands.add_options(taking)
    recording_commands.add_options(taking)
    taking.set_defaults(run=_import)

    merging = command(commands, "merge", "merge another book into this one; a backup is made first")
    merging.add_argument("other", type=Path, metavar="OTHER", help="the other book; it is only read")
    merging.add_argument("--take", choices=("ours", "theirs"), help="whose word counts where the two differ")
    merging.add_argument(
        "--decide",
        action="append",
        default=[],
        metavar="KIND/ID=WHOSE",
        help="whose word counts for one difference (again for each; of a charge KIND/ID/PACK)",
    )
    merging.add_argument("--dry-run", action="store_true", help="say what would happen; write nothing")
    merging.add_argument("--by", help="who merges")
    merging.set_defaults(run=_merge)


def _import(options: argparse.Namespace) -> int:
    if options.source.suffix.lower() == ".gpx":
        return take_track(options)
    if options.recording is not None:
        return recording_commands.take_recording(options)
    with book_of(options, create=True) as book:
        how = {
            "dry_run": options.dry_run,
            "partial": options.partial,
            "refused": options.refused,
            "by": options.by,
        }
        if options.map is not None:
            from logbook.services.import_csv import import_csv

            report = import_csv(book, options.source, options.map, **how)
        else:
            from logbook.services.import_book import import_package

            report = import_package(book, options.source, progress=_progress, **how)
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
                "fates": [fate._asdict() for fate in report.fates],
                "notes": list(report.notes),
            }
        )
    else:
        from logbook.reports.visible import visible

        would = "would be " if report.dry_run else ""
        for kind, count in report.counts.items():
            sys.stdout.write(
                f"{kind}: {count.new} {would}new, {count.same} the same, {count.refused} refused\n"
            )
        for fate in report.fates:
            sys.stdout.write(
                visible(f"{fate.file} line {fate.line}: {fate.fate} {fate.record_id} {fate.why}") + "\n"
            )
    for row in report.refused[:_SHOWN]:
        say(f"refused: {row.file} line {row.line} {row.record_id}: {row.why}")
    if len(report.refused) > _SHOWN:
        say(f"and {len(report.refused) - _SHOWN} more refused rows")
    if report.refused_to is not None:
        say(f"The refused rows are in {report.refused_to}; mend them there and import that folder.")
    for note in report.notes:
        say(note)


def _decisions(options: argparse.Namespace) -> Any:
    """Whose word counts: for all, for each difference by itself, or not said.

    Raises:
        UsageError: both are said, or a decision is not of the form KIND/ID=ours.
    """
    from logbook.errors import UsageError

    if not options.decide:
        return options.take
    found = {}
    for text in options.decide:
        about, _, word = text.rpartition("=")
        kind, _, rest = about.partition("/")
        record_id, _, part = rest.partition("/") if kind == "charge" else (rest, "", "")
        if options.take or not (record_id and word in ("ours", "theirs")):
            raise UsageError(
                f"'{text}' is no decision, or --take says something as well.",
                next_step="Write --decide flight/F-12=theirs for each difference, without --take.",
            )
        found[kind, record_id, part] = word
    return found


def _merge(options: argparse.Namespace) -> int:
    from logbook.services.merge_book import merge_book

    with book_of(options, create=True) as book:
        report = merge_book(
            book, options.other, take=_decisions(options), dry_run=options.dry_run, by=options.by
        )
    undecided = [difference for difference in report.differences if not difference.decided]
    if options.format == "json":
        write_json(
            {
                "written": report.written,
                "backup": None if report.backup is None else str(report.backup),
                "counts": {kind: vars(count) for kind, count in report.counts.items()},
                "differences": [difference._asdict() for difference in report.differences],
                "people": report.people,
            }
        )
    else:
        for kind, count in report.counts.items():
            sys.stdout.write(
                f"{kind}: {count.new} new, {count.same} the same, {count.continued} continued, "
                f"{count.ahead} ahead here, {count.different} different\n"
            )
    for difference in report.differences:
        fields = "; ".join(
            f"{name}: ours {ours}, theirs {theirs}" for name, ours, theirs in difference.fields
        )
        say(
            f"{difference.kind} {difference.record_id}: {difference.words} {fields} {difference.decided}".rstrip()
        )
    for theirs, ours in report.people.items():
        say(f"'{theirs}' of the other book is '{ours}' here (same licence number).")
    if report.backup is not None:
        say(f"The book as it was before is in {report.backup}.")
    if undecided and not report.written and not options.dry_run:
        say("Nothing was written: say whose word counts with --take ours or --take theirs.")
        return 3
    return 0
