"""Tracks taken in: shown as proposals, given as flights for `add`, or recorded on request."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from logbook.cli.common import book_of, say, write_json

if TYPE_CHECKING:
    from logbook.services.proposal import Proposal


def add_options(taking: argparse.ArgumentParser) -> None:
    """The options of `import` that only a track knows."""
    taking.add_argument("--aircraft", help="of a track or a recording: the aeroplane that flew")
    taking.add_argument("--pilot", help="of a track or a recording: who flew")
    taking.add_argument(
        "--clock", default="", metavar="OFFSET",
        help="of a track or a recording: what is to be added to its clock: 2 (minutes), 45s, 1:00; -2 where it was ahead",
    )  # fmt: skip
    taking.add_argument(
        "--flight",
        metavar="N|ID",
        help="of a track with several flights: which, from 1; of a recording: its id",
    )
    taking.add_argument(
        "--record", action="store_true", help="of a track or a recording: record the flight; needs --aircraft"
    )


def take_track(options: argparse.Namespace) -> int:
    """Shows what a track proposes; with `--record` it is a flight in the book afterwards.

    Raises:
        UsageError: options that do not go together, or a flight that is not on the track.
    """
    from logbook.errors import UsageError

    if options.record and not options.aircraft:
        raise UsageError("A track does not say which aeroplane flew.", next_step="Name it with --aircraft.")
    with _book(options) as book:
        found = _proposals(options, book)
        chosen = _chosen(options, found)
        if options.record and not options.dry_run:
            return _record(options, book, chosen)
        _show(options, book, chosen)
    say("A proposal only, nothing was recorded: compare it; --record records it, `add` takes its JSON.")
    return 0


def _book(options: argparse.Namespace) -> Any:
    """The book, for its places; a proposal can also be made where there is none yet."""
    from contextlib import nullcontext

    from logbook.paths import default_book

    if options.record or (options.file or default_book()).exists():
        return book_of(options)
    return nullcontext(None)


def _proposals(options: argparse.Namespace, book: Any) -> list[Proposal]:
    from logbook.errors import UsageError
    from logbook.services.proposal import read_offset
    from logbook.services.propose_track import propose_track
    from logbook.store.book_facts import BookFacts

    offset = read_offset(options.clock)
    if offset.problem:
        raise UsageError(f"--clock {options.clock} cannot be read.", next_step=f"Write {offset.problem}.")
    return propose_track(BookFacts(book) if book is not None else None, options.source, offset.value)


def _chosen(options: argparse.Namespace, found: list[Proposal]) -> list[tuple[int, Proposal]]:
    """The flights that are meant, with their numbers.

    Raises:
        UsageError: the track has no such flight, or one must be chosen.
    """
    from logbook.errors import UsageError

    numbered = list(enumerate(found, 1))
    if options.flight is not None:
        if not options.flight.isdecimal() or not 1 <= int(options.flight) <= len(found):
            raise UsageError(f"The track has no flight {options.flight}.", next_step=f"It has {len(found)}.")
        return [numbered[int(options.flight) - 1]]
    if options.record and len(found) > 1:
        listed = "; ".join(f"{number}: {proposal.about}" for number, proposal in numbered)
        raise UsageError(
            f"The track holds {len(found)} flights.", next_step=f"Choose with --flight. {listed}."
        )
    return numbered


def _record(options: argparse.Namespace, book: Any, chosen: list[tuple[int, Proposal]]) -> int:
    from logbook.services.record_proposal import record_proposal

    number, proposal = chosen[0]
    added = record_proposal(
        book, proposal, number, aircraft=options.aircraft, pilot=options.pilot, by=options.by
    )
    if options.format == "json":
        write_json(added._asdict())
    else:
        sys.stdout.write(f"{added.record_id} {added.fate}\n")
    for note in proposal.notes:
        say(note)
    for flag in added.flags:
        say(f"{flag['severity']}: {flag['words']}")
    return 0


def _show(options: argparse.Namespace, book: Any, chosen: list[tuple[int, Proposal]]) -> None:
    from logbook.services.record_proposal import flight_of
    from logbook.store.book_facts import BookFacts

    facts = BookFacts(book) if book is not None else None
    flights = [
        flight_of(facts, proposal, number, aircraft=options.aircraft, pilot=options.pilot)
        for number, proposal in chosen
    ]
    if options.format == "json":
        first = chosen[0][1]
        write_json(
            {
                "proposal": {field.name: flights[0][field.name] for field in first.fields},
                "distance_nm": first.distance_nm,
                "file": first.file,
                "sha256": first.digest,
                "clock_offset_s": first.offset_s,
                "flights": [
                    {
                        "number": number,
                        "about": proposal.about,
                        "add": flight,
                        "origins": {field.name: field.origin for field in proposal.fields},
                        "notes": list(proposal.notes),
                    }
                    for (number, proposal), flight in zip(chosen, flights, strict=True)
                ],
            }
        )
        return
    from logbook.reports.text_table import write_facts

    for (number, proposal), flight in zip(chosen, flights, strict=True):
        sys.stdout.write(f"flight {number}: {proposal.about}\n")
        write_facts(sys.stdout, flight.items())
        for note in proposal.notes:
            say(note)
