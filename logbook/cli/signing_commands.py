"""Commands on countersigning: keys, signing, looking at signatures again."""

from __future__ import annotations

import argparse
import os
import sys
from typing import Any, Final

from logbook.cli.common import book_of, command, say, write_json
from logbook.errors import DataRefused, UsageError
from logbook.reports.visible import visible

PASSPHRASE_FILE: Final = "LOGBOOK_PASSPHRASE_FILE"  # noqa: S105 - a name, no secret
"""Names a file whose first line is the passphrase, for scripts."""


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
    key = command(commands, "key", "signing keys: make one, list those known here, pin one that was checked")
    key.add_argument("what", choices=("new", "list", "pin"), help="make, list or pin")
    key.add_argument("person", nargs="?", help="name")
    key.add_argument(
        "fingerprint", nargs="?", help="to pin: as its owner read it out (default: the one in the book)"
    )
    key.set_defaults(run=_key)

    sign = command(commands, "sign", "countersign flights as they are now")
    sign.add_argument("flights", nargs="+", metavar="FLIGHT", help="flight ids")
    sign.add_argument("--person", required=True, help="who signs")
    sign.set_defaults(run=_sign)

    looked = command(
        commands, "signatures", "look at every countersignature again (status 1: one does not hold)"
    )
    looked.set_defaults(run=_signatures)


def passphrase(*, again: bool = False) -> str:
    """The passphrase, asked for without showing it, or from the file that is named for scripts.

    Args:
        again: ask twice, for a new one.

    Raises:
        UsageError: it cannot be asked for, or was typed differently.
        DataRefused: the file cannot be read.
    """
    named = os.environ.get(PASSPHRASE_FILE)
    if named:
        try:
            with open(named, encoding="utf-8") as file:  # noqa: PTH123 - read once, one line
                return file.readline().rstrip("\r\n")
        except (OSError, UnicodeDecodeError):
            raise DataRefused(
                f"The file named by {PASSPHRASE_FILE} cannot be read.",
                next_step="Check its name and permissions.",
            ) from None
    if not sys.stdin.isatty():
        raise UsageError(
            "There is no terminal to ask for the passphrase.",
            next_step=f"Name a file with it in {PASSPHRASE_FILE}.",
        )
    from getpass import getpass

    typed = getpass("Passphrase: ")
    if again and getpass("The same again: ") != typed:
        raise UsageError("The two are not the same.", next_step="Try again.")
    return typed


def _key(options: argparse.Namespace) -> int:
    if options.what == "list":
        return _list_keys(options)
    if not options.person:
        raise UsageError("Whose key?", next_step=f"Name the person: logbook key {options.what} NAME.")
    return _new_key(options) if options.what == "new" else _pin_key(options)


def _new_key(options: argparse.Namespace) -> int:
    from logbook.services.keys import config_folder, grouped
    from logbook.services.people import person_row
    from logbook.services.sign import make_key

    with book_of(options) as book:
        person_row(book, options.person)  # before anybody thinks of a passphrase
        key = make_key(book, options.person, passphrase(again=True))
    if options.format == "json":
        write_json({"person": options.person, "public_key": key.text, "fingerprint": key.fingerprint})
    else:
        sys.stdout.write(f"Fingerprint of {visible(options.person)}'s new key:\n{grouped(key.fingerprint)}\n")
    say(
        f"The private key is in {config_folder()}, under the passphrase. Keep a copy; a lost key cannot be recovered."
    )
    return 0


def _pin_key(options: argparse.Namespace) -> int:
    from logbook.services.keys import grouped, keys_in, pin
    from logbook.services.people import person_row

    with book_of(options) as book:
        known = keys_in(person_row(book, options.person)["public_key"])
    fingerprint = options.fingerprint or (known[-1].fingerprint if known else "")
    if not fingerprint:
        raise DataRefused(
            "This person has no signing key in the book.", next_step="Give the fingerprint they read out."
        )
    pin(fingerprint, options.person)
    if fingerprint.replace(" ", "").lower() not in {key.fingerprint for key in known}:
        say("The book holds no key with this fingerprint for this person.")
    say(f"Pinned for {options.person}: {grouped(fingerprint.replace(' ', '').lower())}")
    return 0


def _list_keys(options: argparse.Namespace) -> int:
    from logbook.reports.text_table import Column, write_table
    from logbook.services.keys import grouped, keys_in, pins
    from logbook.services.questions import list_records
    from logbook.store.flights import FlightFilter

    known = pins()
    with book_of(options) as book:
        people = list(list_records(book, "person", FlightFilter()))
    rows = [
        {
            "person": row["person"],
            "fingerprint": key.fingerprint,
            "pinned": known.get(key.fingerprint) == row["person"],
        }
        for row in people
        for key in keys_in(row["public_key"])
    ]
    if options.format == "json":
        write_json(rows)
        return 0
    columns = [
        Column("person", "person"),
        Column("pinned", "pinned here"),
        Column("fingerprint", "fingerprint"),
    ]
    lines = [
        row | {"pinned": "yes" if row["pinned"] else "no", "fingerprint": grouped(str(row["fingerprint"]))}
        for row in rows
    ]
    write_table(sys.stdout, columns, lines, empty="Nobody has a signing key.")
    return 0


def _sign(options: argparse.Namespace) -> int:
    from logbook.services.people_list import teacher_named
    from logbook.services.sign import sign

    with book_of(options) as book:
        for flight_id in options.flights:
            teacher = teacher_named(book, flight_id)
            if teacher not in ("", options.person):
                say(
                    f"note: {flight_id} names another instructor: {teacher}. Whoever signs certifies the lesson."
                )
        done = sign(book, options.flights, options.person, passphrase())
    if options.format == "json":
        write_json([one._asdict() for one in done])
    else:
        for one in done:
            words = "signed" if one.fate == "new" else "was signed already, as it is"
            sys.stdout.write(f"{visible(one.flight_id)}: {words}\n")
    return 0


def _signatures(options: argparse.Namespace) -> int:
    from logbook.services.verify import GOOD, VOID, verify

    with book_of(options) as book:
        looked = verify(book)
    if options.format == "json":
        write_json([one._asdict() for one in looked])
    else:
        sys.stdout.writelines(f"{one.state}: {visible(one.words)}\n" for one in looked)
        if not looked:
            sys.stdout.write("Nobody has countersigned anything.\n")
    return 0 if all(one.state in (GOOD, VOID) for one in looked) else 1
