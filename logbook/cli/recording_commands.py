"""Recordings of the aeroplane: taken in beside the flight they belong to, looked at, and taken over."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.cli.common import book_of, command, say, write_json

if TYPE_CHECKING:
    from logbook.services.import_recording import Taken


def add_options(taking: argparse.ArgumentParser) -> None:
    """The options of `import` that only a recording knows."""
    taking.add_argument(
        "--recording",
        type=Path,
        metavar="MAP",
        help="the CSV file is a recording of the aeroplane; how it is to be read (TOML)",
    )
    taking.add_argument("--start", default="", help="of a recording that counts seconds: from when")


def register(commands: Any) -> None:
    """Adds the command to the command line."""
    recorded = command(
        commands, "recorded", "what was recorded of a flight, beside what was written down; take it over"
    )
    recorded.add_argument("id", help="the flight")
    recorded.add_argument(
        "--accept",
        action="append",
        default=[],
        metavar="FIELD",
        help="take this recorded value over: takeoff, SERIAL.soc_landing_pct, phases, or all (again for each)",
    )
    recorded.add_argument("--by", help="who takes it over")
    recorded.add_argument("--why", help="the reason")
    recorded.set_defaults(run=_recorded)


def take_recording(options: argparse.Namespace) -> int:
    """Takes in a recording; without a flight in the book it is a proposal, which `--record` records.

    Raises:
        UsageError: options that do not go together.
    """
    from logbook.services.import_recording import import_recording
    from logbook.services.recording_read import Reading

    how = Reading(options.source, options.recording, _offset(options), options.start, options.aircraft or "")
    with book_of(options) as book:
        taken = import_recording(book, how, flight_id=options.flight, dry_run=options.dry_run, by=options.by)
        if taken.flight is None and options.record and not options.dry_run:
            from logbook.services.import_recording import record_flight

            record_flight(book, how, taken, pilot=options.pilot, by=options.by)
            taken = import_recording(book, how, by=options.by)
        flags = _flags(book, taken)
    _tell(options, taken, flags)
    return 0


def _offset(options: argparse.Namespace) -> float | None:
    from logbook.errors import UsageError
    from logbook.services.proposal import read_offset

    if not options.clock:
        return None
    offset = read_offset(options.clock)
    if offset.problem:
        raise UsageError(f"--clock {options.clock} cannot be read.", next_step=f"Write {offset.problem}.")
    return float(offset.value)


def _flags(book: Any, taken: Taken) -> list[dict[str, Any]]:
    """What the rules say of the flight now that its recording is there."""
    from logbook.services.questions import show_flight

    if taken.flight is None:
        return []
    flags = show_flight(book, taken.flight["flight_id"])["flags"]
    return [flag for flag in flags if flag["rule"] == "recording_differs" and not flag["answered"]]


def _tell(options: argparse.Namespace, taken: Taken, flags: list[dict[str, Any]]) -> None:
    from logbook.reports.recording_text import write_taken
    from logbook.services.record_proposal import flight_of

    aircraft = taken.flight["aircraft"] if taken.flight else options.aircraft
    add = flight_of(None, taken.proposal, 1, aircraft=aircraft, pilot=options.pilot)
    if options.format == "json":
        write_json(
            {
                "dry_run": options.dry_run,
                "fate": taken.fate,
                "flight_id": None if taken.flight is None else taken.flight["flight_id"],
                "recording": {name: value for name, value in taken.recording.items() if name != "findings"},
                "findings": taken.findings._asdict(),
                "proposal": add,
                "flags": flags,
            }
        )
    else:
        write_taken(sys.stdout, taken.recording, taken.findings._asdict())
    if taken.flight is None:
        say(
            "The book has no flight of that aeroplane at that time; nothing was recorded. --record records it, "
            "or add the proposal of --format json with people and places, and take the recording in again."
        )
    else:
        would = " (a trial: nothing was written)" if options.dry_run else ""
        say(f"Recording of flight {taken.flight['flight_id']}: {taken.fate}{would}.")
    for flag in flags:
        say(f"{flag['severity']}: {flag['words']} [{flag['rule']}]")


def _recorded(options: argparse.Namespace) -> int:
    from logbook.reports.recording_text import write_beside
    from logbook.services.questions import show_flight
    from logbook.services.recorded import accept_recorded

    with book_of(options) as book:
        changes = []
        if options.accept:
            changes = accept_recorded(book, options.id, options.accept, by=options.by, why=options.why)
        derived = show_flight(book, options.id)["derived"]
    told = {"recordings": derived.get("recordings", []), "beside": derived.get("beside", [])}
    if options.format == "json":
        write_json(told | {"changes": changes})
        return 0
    write_beside(sys.stdout, told["beside"], empty="No recording of this flight was taken in.")
    phases = [field for field, _, _ in changes if field.partition(".")[0].isdecimal()]
    for field, old, new in changes:
        if field not in phases:
            say(f"{field}: {'unknown' if old is None else old} -> {new}")
    if phases:
        say("The recorded phases are in the flight now.")
    return 0
