"""Commands on records: add, list, show, correct, strike, undo, answer."""

from __future__ import annotations

import argparse
import sys
from typing import Any, Final

from logbook.cli.columns import columns_of, flight_text_row, pack_text_rows, recorded_columns
from logbook.cli.common import (
    book_of,
    command,
    read_json,
    say,
    write_csv,
    write_json,
    write_json_list,
    write_text,
)
from logbook.errors import UsageError


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    _register_add(commands)
    _register_list(commands)
    show = command(
        commands, "show", "one record: everything recorded, derived, flagged, and its earlier states"
    )
    show.add_argument("kind", help="the kind of record, as in add")
    show.add_argument("id", help="its id, or the name people know it by")
    show.set_defaults(run=_show)

    correct = command(commands, "correct", "correct fields of a record; the earlier state is kept")
    correct.add_argument("kind", help="the kind of record, as in add")
    correct.add_argument("id", help="its id, or the name people know it by")
    correct.add_argument(
        "changes", nargs="+", metavar="FIELD=VALUE", help="or SERIAL.FIELD=VALUE for one pack's reading"
    )
    correct.add_argument("--by", help="who corrects")
    correct.add_argument("--why", help="the reason")
    correct.set_defaults(run=_correct)

    strike = command(commands, "strike", "strike a record out; nothing is deleted")
    strike.add_argument("kind", help="the kind of record, as in add")
    strike.add_argument("id", help="its id, or the name people know it by")
    strike.add_argument("--by", help="who strikes it out")
    strike.add_argument("--why", required=True, help="the reason")
    strike.set_defaults(run=_strike)

    undo = command(
        commands, "undo", "take the last correction of a record back; that is a correction too, and is kept"
    )
    undo.add_argument("kind", help="the kind of record, as in add")
    undo.add_argument("id", help="its id, or the name people know it by")
    undo.add_argument("--by", help="who takes it back")
    undo.set_defaults(run=_undo)

    answer = command(
        commands,
        "answer",
        "answer a flag of a flight, a charge, an observation or a maintenance entry in words",
    )
    answer.add_argument("id", help="the flight, charge, observation or entry")
    answer.add_argument("rule", help="the rule's id, e.g. ledger_gap")
    answer.add_argument("--words", required=True, help="what was found out")
    answer.add_argument("--pack", default="", help="serial number, where several packs have the flag")
    answer.add_argument("--by", help="who answers")
    answer.set_defaults(run=_answer)


def _register_add(commands: Any) -> None:
    from logbook.services.kinds import KINDS

    add = command(commands, "add", "record one object or a list of objects (JSON)")
    add.add_argument("kind", help=", ".join(KINDS))
    add.add_argument("source", metavar="FILE|-", help="a file, or - for standard input")
    add.add_argument("--by", help="who enters it")
    add.set_defaults(run=_add)


def _register_list(commands: Any) -> None:
    from logbook.services.kinds import KINDS

    listing = command(commands, "list", "records of a kind, newest first", formats=("text", "json", "csv"))
    listing.add_argument("kind", help=", ".join([*(kind.plural for kind in KINDS.values()), "due"]))
    for name, words in (
        ("since", "first day, YYYY-MM-DD"),
        ("until", "last day, YYYY-MM-DD"),
        ("aircraft", "registration"),
        ("person", "name"),
        ("pack", "serial number"),
        ("flag", "a rule's id, or 'any'"),
        ("text", "words in remarks, exercise, debrief, places"),
        ("kind-of-flight", "circuits, local, cross-country, ferry, check"),
    ):
        listing.add_argument(f"--{name}", help=words)
    listing.add_argument("--limit", type=int, help="so many at most")
    listing.add_argument("--struck", action="store_true", help="what was struck out, instead")
    listing.set_defaults(run=_list)


def _add(options: argparse.Namespace) -> int:
    from logbook.services.add import add
    from logbook.services.kinds import kind_of
    from logbook.services.liked_units import measures_of

    kind_of(options.kind)
    data = read_json(options.source)
    with book_of(options, create=True) as book:
        added, measures = add(book, options.kind, data, by=options.by), measures_of(book)
    if options.format == "json":
        write_json([{"id": one.record_id, "fate": one.fate, "flags": one.flags} for one in added])
    else:
        from logbook.reports.visible import visible

        for one in added:
            sys.stdout.write(visible(one.record_id) + "\n")
    for one in added:
        for flag in one.flags:
            say(f"{flag['severity']}: {measures.sentence(flag['words'])} [{flag['rule']}]")
    return 0


_MOST: Final = 2**62
"""A larger number is no number for SQLite, and no book has so many records."""


def _filter(options: argparse.Namespace) -> Any:
    from logbook.store.flights import FlightFilter
    from logbook.units import canonical_date

    for name in ("since", "until"):
        value = getattr(options, name)
        if value is not None:
            try:
                canonical_date(value)
            except ValueError as error:
                raise UsageError(f"--{name}: {error}.", next_step="Correct the date.") from None
    if options.limit is not None and options.limit < 0:
        raise UsageError("--limit cannot be negative.", next_step="Leave it out for all records.")
    if options.flag not in (None, "any"):
        from logbook.services.rule_words import rules_of

        rules = rules_of(options.kind)
        if rules and options.flag not in rules:  # a kind without flags is refused by its own words
            raise UsageError(
                f"There is no rule '{options.flag}' for {options.kind}.",
                next_step=f"Rules are: any, {', '.join(rules)}.",
            )
    return FlightFilter(
        since=options.since,
        until=options.until,
        aircraft=options.aircraft,
        person=options.person,
        pack=options.pack,
        flag=options.flag,
        text=options.text,
        kind=options.kind_of_flight,
        struck=options.struck,
        limit=None if options.limit is None else min(options.limit, _MOST),
    )


def _list(options: argparse.Namespace) -> int:
    from logbook.services.liked_units import measures_of
    from logbook.services.questions import list_flights, list_records

    wanted = _filter(options)
    with book_of(options) as book:
        measures = measures_of(book)
        if options.kind == "due":
            from logbook.services.due import narrowed
            from logbook.services.due_by_use import all_due

            rows: Any = narrowed(all_due(book), wanted)
        elif options.kind in ("flight", "flights"):
            rows = list_flights(book, wanted)
            if options.format == "text":
                rows = (flight_text_row(row, measures) for row in rows)
        else:
            rows = list_records(book, options.kind, wanted)
            if options.format == "text" and options.kind in ("pack", "packs"):
                rows = pack_text_rows(book, rows)
        if options.format == "json":
            write_json_list(rows)
            return 0
        if options.format == "csv":
            _write_csv(options.kind, rows)
        else:
            write_text(columns_of(options.kind, measures), rows, "Nothing in the book meets that.")
    return 0


def _write_csv(word: str, rows: Any) -> None:
    """Every recorded column of the kind; flights with what is derived from them, one row each."""
    if word in ("flight", "flights"):
        from logbook.services.export_rows import FLIGHT_COLUMNS, flat_flight

        write_csv(FLIGHT_COLUMNS, map(flat_flight, rows))
        return
    write_csv(recorded_columns(word), rows)


def _show(options: argparse.Namespace) -> int:
    from logbook.services.liked_units import measures_of
    from logbook.services.shown import shown

    with book_of(options) as book:
        record, measures = shown(book, options.kind, options.id), measures_of(book)
    if options.format == "json":
        write_json(record)
    elif options.kind in ("plan", "plans"):
        _show_plan(options)
    else:
        from logbook.reports.record_text import write_record

        write_record(sys.stdout, options.kind, record, measures)
    return 0


def _show_plan(options: argparse.Namespace) -> None:
    """A kept plan against what came, and below it the answer as it was given."""
    from logbook.measures import told
    from logbook.reports.plan_review import write_review
    from logbook.reports.plan_text import write_plan
    from logbook.services.estimates import estimator_of
    from logbook.services.liked_units import measures_of
    from logbook.services.plan_kept import review_of

    with book_of(options) as book:
        review, measures = review_of(book, options.id, estimator_of), measures_of(book)
    write_review(sys.stdout, told(measures, review.to_json()))
    if "verdict" in review.answer:
        sys.stdout.write("\n")
        write_plan(sys.stdout, "The answer as it was given", review.answer, measures)


def _correct(options: argparse.Namespace) -> int:
    from logbook.services.correct import correct

    changes: dict[str, str] = {}
    for change in options.changes:
        field, mark, value = change.partition("=")
        if not mark or not field:
            raise UsageError(
                f"'{change}' is not FIELD=VALUE.", next_step="Write, for example, remarks='gusty'."
            )
        changes[field] = value
    with book_of(options) as book:
        done = correct(book, options.kind, options.id, changes, by=options.by, why=options.why)
    for note in done.notes:
        say(f"note: {note}")
    if options.format == "json":
        write_json({"changes": done.changes, "record": done.record})
        return 0
    for field, old, new in done.changes:
        say(f"{field}: {'unknown' if old is None else old} -> {'unknown' if new is None else new}")
    if not done.changes:
        say("Nothing differs; nothing was written.")
    return 0


def _strike(options: argparse.Namespace) -> int:
    from logbook.services.correct import strike

    with book_of(options) as book:
        record = strike(book, options.kind, options.id, by=options.by, why=options.why)
    if options.format == "json":
        write_json(record)
    else:
        say(f"Struck out; restore it with: logbook correct {options.kind} {options.id} struck=0")
    return 0


def _undo(options: argparse.Namespace) -> int:
    from logbook.services.questions import show
    from logbook.services.undo import undo

    with book_of(options) as book:
        words = undo(book, options.kind, options.id, by=options.by)
        record = show(book, options.kind, options.id)
    if options.format == "json":
        write_json(record)
    else:
        say(f"Taken back: {words}")
    return 0


def _answer(options: argparse.Namespace) -> int:
    from logbook.services.answer import answer

    with book_of(options) as book:
        answer_id = answer(
            book, options.id, options.rule, options.words, serial_no=options.pack, by=options.by
        )
    if options.format == "json":
        write_json({"id": answer_id})
    else:
        say("Answered; the flag opens again if its figure changes.")
    return 0
