"""Commands on packs: where each stands, its ledger, fitting and exchanging, states, charging."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from logbook.cli.common import book_of, command, say, write_csv, write_json, write_text
from logbook.errors import UsageError
from logbook.reports.text_table import Column

if TYPE_CHECKING:
    from logbook.measures import Measures

_NOT_A_RELEASE = "A record by the operator, not a release to service; licensed people decide."


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    pack = command(commands, "pack", "one pack whole: life status, fittings, heat, charge, what comes next")
    pack.add_argument("serial", help="serial number")
    pack.add_argument("--as-of", help="as of a day or an instant (UTC)")
    pack.set_defaults(run=_pack)

    ledger = command(
        commands,
        "ledger",
        "the line of charge of a pack, and where it breaks",
        formats=("text", "json", "csv"),
    )
    ledger.add_argument("serial", help="serial number")
    ledger.add_argument("--as-of", help="as of a day or an instant (UTC)")
    ledger.add_argument("--gaps", action="store_true", help="only where it breaks")
    ledger.set_defaults(run=_ledger)

    _register_fitting(commands)
    _register_charging(commands)


def _register_fitting(commands: Any) -> None:
    fit = command(commands, "fit", "fit a pack to an aeroplane")
    fit.add_argument("serial", help="serial number")
    fit.add_argument("--aircraft", required=True, help="registration")
    fit.add_argument("--position", required=True, help="one of the positions of the aeroplane")
    fit.add_argument("--aircraft-hours", type=float, help="total time of the aeroplane then [h]")
    _who(fit)
    fit.set_defaults(run=_fit)

    remove = command(commands, "remove", "remove a pack from its aeroplane")
    remove.add_argument("serial", help="serial number")
    remove.add_argument(
        "--to-state", default="store", help="store (default), quarantined, away, transport, scrapped"
    )
    _who(remove)
    remove.set_defaults(run=_remove)

    swap = command(commands, "swap", "exchange two packs in one step")
    swap.add_argument("serial", help="serial number")
    swap.add_argument("other", help="serial number")
    _who(swap)
    swap.set_defaults(run=_swap)

    back = command(commands, "take-back", "take the last fitting, removal or swap of a pack back")
    back.add_argument("serial", help="serial number")
    back.add_argument("--by", help="who does it")
    back.add_argument("--why", help="the reason")
    back.set_defaults(run=_take_back)

    state = command(commands, "state", "say what state a pack is in, and why")
    state.add_argument("serial", help="serial number")
    state.add_argument("state", help="fitted, store, quarantined, away, transport, scrapped")
    _who(state, why=True)
    state.set_defaults(run=_state)

    release = command(
        commands, "release", "write the entry that closes a defect and ends a pack's quarantine"
    )
    release.add_argument("serial", help="serial number")
    release.add_argument("--text", required=True, help="what was done")
    release.add_argument("--defect", help="the defect it closes")
    release.add_argument("--certificate", help="certificate number")
    release.add_argument("--at", help="when it was completed (UTC; default: now)")
    release.add_argument("--by", required=True, help="who did it")
    release.set_defaults(run=_release)


def _who(parser: argparse.ArgumentParser, *, why: bool = False) -> None:
    parser.add_argument("--at", help="when (UTC, 2031-05-09T08:30Z; default: now)")
    parser.add_argument("--by", help="who did it")
    parser.add_argument("--why", required=why, help="the reason")


def _register_charging(commands: Any) -> None:
    now = command(commands, "charge-now", "may this pack be charged now, and when is it at so many percent?")
    now.add_argument("serial", help="serial number")
    now.add_argument("--at", help="the moment (UTC; default: now)")
    now.add_argument("--soc", type=float, help="charge now [%%]; default: as last read")
    now.add_argument(
        "--temp",
        type=degrees,
        help="temperature of the pack now [°C, or 64f]; default: from the last reading; where the book shows °F the unit must be named",
    )
    now.add_argument("--air", type=degrees, help="temperature of the air where it stands [°C, or 64f]")
    now.add_argument("--charger", help="default: the one used last")
    now.add_argument("--packs", type=int, help="packs that share it; default: as last time")
    now.add_argument(
        "--to", type=float, action="append", metavar="SOC", help="charge wanted [%%]; may be repeated"
    )
    now.set_defaults(run=_charge_now)


def degrees(text: str) -> str:
    """A temperature option that can be read, as it was typed: only the book says whether its unit may be left out.

    Raises:
        ValueError: it is no temperature.
    """
    from logbook.measures import USUAL

    USUAL.read(text, "°C")
    return text


def _celsius(text: str | None, measures: Measures) -> float | None:
    """A temperature option [°C].

    Raises:
        UsageError: no unit is named and the book shows °F: 30 °F is frost, 30 °C is warm enough to be charged.
    """
    from logbook.measures import USUAL

    if text is None:
        return None
    value = USUAL.read(text, "°C")
    if measures.read(text, "°C") != value:
        raise UsageError(
            f"{text} of which degrees? This book shows {measures.temperature}.",
            next_step=f"Write {text}f or {text}c.",
        )
    return value


def _pack(options: argparse.Namespace) -> int:
    from logbook.services.pack_detail import pack_detail

    if options.format == "json":
        with book_of(options) as book:
            write_json(pack_detail(book, options.serial, options.as_of))
        return 0
    from logbook.services.pack_papers import component_record, write_paper

    with book_of(options) as book:
        write_paper(sys.stdout, component_record(book, options.serial, options.as_of), "text")
    return 0


_LEDGER = (
    Column("at", "at UTC"),
    Column("what", "what"),
    Column("record_id", "flight, charge"),
    Column("soc_pct", "charge %", right=True),
    Column("change_pct", "change", right=True),
    Column("source", "source"),
    Column("gap_pct", "gap", right=True),
    Column("gap_words", "why the line breaks"),
)


def _ledger(options: argparse.Namespace) -> int:
    from logbook.services.pack_ledger import COLUMNS, ledger_of

    with book_of(options) as book:
        rows = ledger_of(book, options.serial, options.as_of)
    if options.gaps:
        rows = [row for row in rows if row["gap_pct"] is not None]
    if options.format == "json":
        write_json(rows)
    elif options.format == "csv":
        write_csv(COLUMNS, rows)
    else:
        write_text(
            _LEDGER, rows, "The line is unbroken." if options.gaps else "Nothing was read on this pack."
        )
    return 0


def _tell(options: argparse.Namespace, change: Any) -> int:
    if options.format == "json":
        write_json(change._asdict())
        return 0
    from logbook.reports.visible import visible

    for line in change.done:
        sys.stdout.write(visible(line) + "\n")
    for note in change.notes:
        say(note)
    return 0


def _fit(options: argparse.Namespace) -> int:
    from logbook.services.fitting import fit

    with book_of(options) as book:
        change = fit(
            book,
            options.serial,
            options.aircraft,
            options.position,
            at=options.at,
            by=options.by,
            why=options.why,
            aircraft_hours=options.aircraft_hours,
        )
    return _tell(options, change)


def _remove(options: argparse.Namespace) -> int:
    from logbook.services.fitting import remove

    with book_of(options) as book:
        change = remove(
            book, options.serial, at=options.at, by=options.by, why=options.why, to=options.to_state
        )
    return _tell(options, change)


def _swap(options: argparse.Namespace) -> int:
    from logbook.services.fitting import swap

    with book_of(options) as book:
        change = swap(book, options.serial, options.other, at=options.at, by=options.by, why=options.why)
    return _tell(options, change)


def _take_back(options: argparse.Namespace) -> int:
    from logbook.services.taking_back import take_back

    with book_of(options) as book:
        change = take_back(book, options.serial, by=options.by, why=options.why)
    return _tell(options, change)


def _state(options: argparse.Namespace) -> int:
    from logbook.services.pack_standing import set_state

    with book_of(options) as book:
        change = set_state(book, options.serial, options.state, why=options.why, by=options.by, at=options.at)
    return _tell(options, change)


def _release(options: argparse.Namespace) -> int:
    from logbook.services.add import now
    from logbook.services.maintenance_entry import record_entry
    from logbook.services.pack_standing import Change

    entry = {
        "serial_no": options.serial,
        "text": options.text,
        "completed": options.at or now(),
        "done_by": options.by,
        "certificate_no": options.certificate,
        "closes_defect": options.defect,
    }
    with book_of(options) as book:
        entry_id, done = record_entry(book, entry, by=options.by, release=True, clock=now)
    return _tell(options, Change([f"entry {entry_id} written", *done], [_NOT_A_RELEASE]))


def _charge_now(options: argparse.Namespace) -> int:
    from logbook.services.charge_now import ASKED, Asked, charge_now, in_words
    from logbook.services.liked_units import measures_of

    with book_of(options) as book:
        measures = measures_of(book)
        asked = Asked(
            options.at,
            options.soc,
            _celsius(options.temp, measures),
            _celsius(options.air, measures),
            options.charger,
            options.packs,
            tuple(options.to) if options.to else ASKED,
        )
        answer = charge_now(book, options.serial, asked)
    if options.format == "json":
        write_json(answer)
        return 0
    from logbook.reports.visible import visible

    for line in in_words(answer):
        sys.stdout.write(visible(measures.sentence(line)) + "\n")
    return 0
