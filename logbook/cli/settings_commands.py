"""The command that says and changes how a book is shown and typed: settings."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from logbook.cli.common import book_of, command, write_json
from logbook.errors import UsageError

_UNSAID = {"operator": "nobody named", "currency": "not named"}


def register(commands: Any) -> None:
    """Adds the command to the command line."""
    made = command(
        commands,
        "settings",
        "how figures and times are shown and typed, and rules of the book's own; what is recorded stays",
    )
    made.add_argument(
        "changes",
        nargs="*",
        metavar="NAME=VALUE",
        help="mass=kg|lb, temperature=°C|°F, distance=NM|km, duration=h:mm|min|h, clock=utc|local, currency=EUR, operator=NAME, "
        "record_form=european|american, recency_rules=JSON, charge_bands=JSON; an empty value: as usual",
    )
    made.set_defaults(run=_settings)


def _settings(options: argparse.Namespace) -> int:
    from logbook.services.settings import change_settings, settings_of

    changes: dict[str, str] = {}
    for change in options.changes:
        name, mark, value = change.partition("=")
        if not mark:
            raise UsageError(f"'{change}' is not NAME=VALUE.", next_step="Write, for example, mass=lb.")
        changes[name] = _degrees(value) if name == "temperature" else value
    with book_of(options) as book:
        now = change_settings(book, changes) if changes else settings_of(book)
    if options.format == "json":
        write_json(now)
        return 0
    from logbook.reports.text_table import write_facts

    write_facts(sys.stdout, [(name, value or _UNSAID.get(name, "as usual")) for name, value in now.items()])
    return 0


def _degrees(value: str) -> str:
    """`C` and `F` for keyboards without the sign of a degree."""
    return {"C": "°C", "F": "°F"}.get(value.upper(), value)
