"""The command that writes blank slips for the pencil."""

from __future__ import annotations

import argparse
from typing import Any

from logbook.cli.common import book_of, command


def register(commands: Any) -> None:
    """Adds the command to the command line."""
    slips = command(
        commands,
        "slips",
        "blank slips for a flight and a charge, to be filled in by pencil",
        formats=("text", "html"),
    )
    slips.add_argument("which", nargs="?", choices=("flight", "charge"), help="only this one (default: both)")
    slips.add_argument("--aircraft", help="registration (default: the first in the book)")
    slips.add_argument("--to", default="-", metavar="PATH|-", help="where to (default: standard output)")
    slips.add_argument("--force", action="store_true", help="overwrite what is there")
    slips.set_defaults(run=_slips)


def _slips(options: argparse.Namespace) -> int:
    from datetime import UTC, datetime

    from logbook.services.slips import SLIPS, slips_of, write_slips_to

    now = f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}"
    with book_of(options) as book:
        slips = slips_of(book, options.aircraft, now=now, which=[options.which] if options.which else SLIPS)
    how = options.format if options.to == "-" or options.format != "text" else None
    write_slips_to(slips, options.to, how, force=options.force)
    return 0
