"""Commands on people: totals, recency, students, the pilot's record, forgetting, billing."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from logbook.cli.common import book_of, command, say, write_csv, write_json, write_text
from logbook.reports.visible import visible

if TYPE_CHECKING:
    from logbook.store.database import Book


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    totals = command(commands, "totals", "what a person flew: by function, night, class, type")
    totals.add_argument("person", help="name")
    totals.add_argument("--until", metavar="DATE", help="up to this day (local, included)")
    totals.set_defaults(run=_totals)

    recency = command(
        commands, "recency", "what a person may do on a day, until when, and which flight keeps it"
    )
    recency.add_argument("person", help="name")
    recency.add_argument("--on", metavar="DATE", help="the day (default: today)")
    recency.set_defaults(run=_recency)

    student = command(commands, "student", "how a student managed energy, landing by landing")
    student.add_argument("person", help="name")
    student.add_argument(
        "--no-forecasts", action="store_true", help="leave the program's own forecasts out (quicker)"
    )
    student.set_defaults(run=_student)

    students = command(
        commands,
        "students",
        "all students: last flight, hours, flags, what waits",
        formats=("text", "json", "csv"),
    )
    students.set_defaults(run=_students)
    _register_pages(commands)

    forget = command(
        commands, "forget", "put a pseudonym in the place of a person's name, everywhere in the book"
    )
    forget.add_argument("person", help="name")
    forget.add_argument(
        "--as", dest="pseudonym", required=True, metavar="PSEUDONYM", help="what stands there instead"
    )
    forget.add_argument("--why", required=True, help="the reason, which is kept")
    forget.add_argument("--by", help="who asks for it")
    forget.set_defaults(run=_forget)

    billing = command(
        commands, "billing", "hours and energy of a month, by person", formats=("text", "json", "csv")
    )
    billing.add_argument("--month", required=True, metavar="YYYY-MM", help="the month")
    billing.set_defaults(run=_billing)


def _register_pages(commands: Any) -> None:
    pages = command(
        commands, "pages", "a pilot's record as pages with totals", formats=("text", "html", "pdf")
    )
    pages.add_argument("person", help="name")
    pages.add_argument(
        "--form",
        choices=("european", "american"),
        help="columns (default: the book's setting, else european)",
    )
    pages.add_argument(
        "--since", metavar="DATE", help="first day on the pages; what was before is in the totals"
    )
    pages.add_argument("--until", metavar="DATE", help="last day on the pages")
    pages.add_argument("--rows", type=int, default=14, metavar="N", help="entries on a page (default: 14)")
    pages.add_argument(
        "--width", type=int, default=80, metavar="N", help="characters in a line of text (80 or more)"
    )
    pages.add_argument(
        "--join", action="store_true", help="flights of one day back to base within 30 minutes as one entry"
    )
    pages.add_argument("--to", default="-", metavar="PATH|-", help="where to (default: standard output)")
    pages.add_argument("--force", action="store_true", help="overwrite what is there")
    pages.set_defaults(run=_pages)


def today() -> str:
    """The day it is here."""
    from datetime import UTC, datetime

    return f"{datetime.now(UTC).astimezone():%Y-%m-%d}"


def day_of(text: str | None) -> str:
    """A day as typed, or today.

    Raises:
        UsageError: it is no date.
    """
    from logbook.errors import UsageError
    from logbook.units import canonical_date

    try:
        return today() if text is None else canonical_date(text)
    except ValueError as error:
        raise UsageError(f"{error}.", next_step="Write the day as year-month-day.") from None


def _totals(options: argparse.Namespace) -> int:
    from logbook.reports.people_text import write_totals
    from logbook.services.liked_units import measures_of
    from logbook.services.people import totals_of, totals_row

    until = None if options.until is None else day_of(options.until)
    with book_of(options) as book:
        row, measures = totals_row(totals_of(book, options.person, until)), measures_of(book)
    if options.format == "json":
        write_json({"person": options.person} | row)
    else:
        write_totals(sys.stdout, options.person, row, measures)
    return 0


def _recency(options: argparse.Namespace) -> int:
    from logbook.reports.people_text import write_recency
    from logbook.services.recency import recency_rows

    on = day_of(options.on)
    with book_of(options) as book:
        rows = recency_rows(book, options.person, on)
    if options.format == "json":
        write_json({"person": options.person, "on": on, "standings": rows})
    else:
        write_recency(sys.stdout, options.person, on, rows)
    return 0


def _student(options: argparse.Namespace) -> int:
    from logbook.reports.people_text import write_student
    from logbook.services.liked_units import measures_of
    from logbook.services.student import student_of

    with book_of(options) as book:
        history = student_of(book, options.person, hindcasts=not options.no_forecasts)
        measures = measures_of(book)
    if options.format == "json":
        write_json(history)
    else:
        write_student(sys.stdout, history, measures)
    return 0


_STUDENT_COLUMNS = (
    "person",
    "last_flight",
    "dual_min",
    "solo_min",
    "landings",
    "open_flags",
    "to_countersign",
    "ends",
)


def _students(options: argparse.Namespace) -> int:
    from logbook.reports.people_text import write_students
    from logbook.services.liked_units import measures_of
    from logbook.services.people import students

    with book_of(options) as book:
        rows, measures = students(book, today()), measures_of(book)
    if options.format == "json":
        write_json(rows)
    elif options.format == "csv":
        ends = ([f"{item['item']} {item['valid_until']}" for item in row["ending"]] for row in rows)
        write_csv(_STUDENT_COLUMNS, (row | {"ends": end} for row, end in zip(rows, ends, strict=True)))
    else:
        write_students(sys.stdout, rows, measures)
    return 0


def _pages(options: argparse.Namespace) -> int:
    from logbook.errors import UsageError
    from logbook.reports.pilot_pages_text import missing_lines
    from logbook.services.legal_record import form_of_book, person_pages, write_person_pages

    if not 1 <= options.rows <= 1000:
        raise UsageError("A page holds 1 to 1000 entries.", next_step="Give --rows such a number.")
    with book_of(options) as book:
        pages = person_pages(
            book,
            options.person,
            options.form or form_of_book(book),
            since=None if options.since is None else day_of(options.since),
            until=None if options.until is None else day_of(options.until),
            join_same_day=options.join,
            rows=options.rows,
        )
    for line in missing_lines(pages):
        say(line)
    write_person_pages(pages, options.to, options.format, width=options.width, force=options.force)
    return 0


def paper_form(to: str, how: str | None) -> str | None:
    """The form of paper that is wanted, as said or by the ending of the file; None for a table."""
    from pathlib import Path

    endings = {".html": "html", ".htm": "html", ".pdf": "pdf", ".txt": "text"}
    return how if how in ("text", "html", "pdf") else None if how else endings.get(Path(to).suffix.lower())


def write_record(book: Book, name: str, to: str, how: str, *, force: bool) -> None:
    """The whole record of a pilot in the form the book is set to; what is incomplete is said first."""
    from logbook.reports.pilot_pages_text import missing_lines
    from logbook.services.legal_record import form_of_book, person_pages, write_person_pages

    pages = person_pages(book, name, form_of_book(book))
    for line in missing_lines(pages):
        say(line)
    write_person_pages(pages, to, how, force=force)


def _forget(options: argparse.Namespace) -> int:
    from logbook.paths import backup_folder
    from logbook.services.forget import forget

    with book_of(options) as book:
        done = forget(book, options.person, options.pseudonym, options.why, by=options.by)
        backups = backup_folder(book.path)
    if options.format == "json":
        write_json(done._asdict())
    else:
        sys.stdout.write(f"{done.replaced} values now say {visible(done.pseudonym)}.\n")
    if done.voided:
        say(f"{done.voided} countersignatures over texts with the name can no longer be checked.")
    for hint in done.hints:
        say(f"a part of the name still stands in {hint}: read these and correct them")
    if backups.exists():
        say(f"Backups made before still hold the name: {backups}")
    say("So may exports, papers, unfinished entries and copies of the file elsewhere.")
    return 0


def _billing(options: argparse.Namespace) -> int:
    from logbook.services.billing import COLUMNS, billing

    with book_of(options) as book:
        rows = billing(book, options.month)
    if options.format == "json":
        write_json(rows)
    elif options.format == "csv":
        write_csv(COLUMNS, rows)
    else:
        from logbook.reports.text_table import Column

        columns = [Column(name, name.replace("_", " "), right=at > 2) for at, name in enumerate(COLUMNS)]
        write_text(columns[1:], rows, "No flights in that month.")
        say("Energy is what the packs gave by their readings, not what a meter charged.")
    return 0
