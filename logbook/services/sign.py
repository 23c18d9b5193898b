"""Countersigning: an instructor signs entries as they are, and anybody can see later whether they still are.

What a signature proves, and what it does not, is said in docs/people/countersigning.md.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.services.add import add, now
from logbook.services.correct import correct
from logbook.services.keys import (
    PublicKey,
    new_key,
    open_key,
    own_fingerprint,
    pin,
)
from logbook.services.people import person_row
from logbook.services.signed_entry import Canon, canonical
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records
from logbook.store.version_chain import chain_head

Row = dict[str, Any]

_FORMAT: Final = 1
DOMAIN: Final = b"logbook countersignature 1\n"
"""Stands before the signed text, so that a signature over it can never be one over something else."""


class Signed(NamedTuple):
    """What became of one flight: `new`, or `same` where this person had signed just this before."""

    flight_id: str
    signature_id: str
    fate: str


def make_key(book: Book, name: str, passphrase: str, *, by: str | None = None) -> PublicKey:
    """Makes a signing key for a person, puts its public part into their record, and pins it on this computer.

    An earlier key of theirs stays in the record: what it signed can still be checked.

    Raises:
        DataRefused: the book knows no such person, or the passphrase is too short.
    """
    person = person_row(book, name)
    key = new_key(passphrase)
    known = " ".join([*(person["public_key"] or "").split(), key.text])
    correct(book, "person", name, {"public_key": known}, by=by or name, why="signing key")
    pin(key.fingerprint, name)
    return key


def sign(
    book: Book,
    flight_ids: Sequence[str],
    name: str,
    passphrase: str,
    *,
    clock: Callable[[], str] = now,
) -> list[Signed]:
    """Countersigns flights as they are now.

    Args:
        book: the open book.
        flight_ids: the entries.
        name: who signs.
        passphrase: opens the private key.
        clock: what time it is, for tests.

    Raises:
        DataRefused: an entry is unknown, open or struck out; the key is not here; the passphrase is wrong.
    """
    fingerprint = own_fingerprint(person_row(book, name)["public_key"])
    entries = _entries(book, flight_ids)
    private = open_key(fingerprint, passphrase)
    canon, history = Canon(book), chain_head(book)
    earlier = _standing(book, name)
    fresh: list[Row] = []
    outcome: list[Signed] = []
    for flight_id, flight in entries.items():
        entry = canon.entry(flight)
        same = earlier.get((flight_id, canonical(entry)))
        if same is not None:
            outcome.append(Signed(flight_id, same, "same"))
            continue
        said = {
            "format": _FORMAT,
            "signer": canon.person_id(name),
            "fingerprint": fingerprint,
            "signed_at": clock(),
            "history": {"states": history.states, "head": history.head},
        }
        payload = canonical(said | {"entry": entry})
        fresh.append(
            {
                "flight_id": flight_id,
                "person": name,
                "fingerprint": fingerprint,
                "signed_at": said["signed_at"],
                "payload": payload,
                "signature": base64.b64encode(private.sign(DOMAIN + payload.encode())).decode(),
            }
        )
    added = add(book, "signature", fresh, by=name, clock=clock) if fresh else []
    outcome += [Signed(row["flight_id"], one.record_id, "new") for row, one in zip(fresh, added, strict=True)]
    return outcome


def _entries(book: Book, flight_ids: Sequence[str]) -> dict[str, Row]:
    flights, found = Flights(book), {}
    for flight_id in flight_ids:
        number = flights.number(flight_id)
        if number is None:
            raise DataRefused(f"There is no flight '{flight_id}'.", next_step="See 'logbook list flights'.")
        flight = flights.read([number])[0]
        if flight["struck"] or flight["state"] != "closed":
            what = "is struck out" if flight["struck"] else "is still open"
            raise DataRefused(
                f"The flight '{flight_id}' {what}.", next_step="Sign closed, standing entries only."
            )
        found[flight_id] = flight
    return found


def _standing(book: Book, name: str) -> dict[tuple[str, str], str]:
    """What a person has signed already: flight and signed entry to the signature's id."""
    rows = Records(book, "signature").select("struck = 0 AND person = ?", (name,))
    found = {}
    for _, row in rows:
        payload = read_payload(row["payload"])
        if payload is not None:
            found[row["flight_id"], canonical(payload["entry"])] = row["signature_id"]
    return found


def read_payload(text: str) -> Row | None:
    """A payload, or None where it is not one of ours."""
    try:
        payload = json.loads(text)
    except (ValueError, RecursionError):
        return None
    whole = isinstance(payload, dict) and isinstance(payload.get("entry"), dict)
    return payload if whole and isinstance(payload.get("history"), dict) else None
