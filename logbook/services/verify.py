"""Looking at countersignatures again: is the entry still what was signed, and whose key was it?"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.services.keys import grouped, keys_in, pins, signature_fits
from logbook.services.sign import DOMAIN, read_payload
from logbook.services.signed_entry import Canon, canonical, differences
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records
from logbook.store.version_chain import chain_heads

Row = dict[str, Any]

GOOD: Final = "good"
CHANGED: Final = "changed since"
BAD: Final = "does not fit"
NO_KEY: Final = "key unknown"
GONE: Final = "entry missing"
VOID: Final = "void"

_SENTENCES: Final = {
    GOOD: "The entry is as it was signed",
    CHANGED: "The entry was changed since it was signed",
    BAD: "The signature does not fit what it says was signed",
    NO_KEY: "The key it was made with is not in the record of this person",
    GONE: "The entry it belongs to is not in this book",
    VOID: "It can no longer be checked: a person named in it was forgotten",
}
_STEPS: Final = {
    CHANGED: "Look at the difference with the instructor; sign again if it is right.",
    BAD: "Strike the signature out and have the entry signed again.",
    NO_KEY: "Ask the person for their key, or have the entry signed again.",
    GONE: "Bring the entry back from a backup or another book.",
}


class Verified(NamedTuple):
    """One countersignature, looked at again.

    Attributes:
        state: `good`, `changed since`, `does not fit`, `key unknown`, `entry missing`, `void`.
        pinned: the fingerprint was pinned on this computer for this person.
        history_holds: the earlier states the book held at signing are still there, unchanged.
        changes: what is different from what was signed.
        words: all this in a sentence or two.
    """

    signature_id: str
    flight_id: str
    person: str
    signed_at: str
    fingerprint: str
    state: str
    pinned: bool
    history_holds: bool
    changes: tuple[str, ...]
    words: str


def verify(book: Book) -> list[Verified]:
    """Looks at every countersignature again: against the key, the entry as it is now, the pins and the history.

    Raises:
        DataRefused: the file of pinned keys cannot be read.
    """
    rows = [row for _, row in Records(book, "signature").select("struck = 0", order="signed_at, n")]
    checker = _Checker(book, [read_payload(row["payload"]) for row in rows])
    return [checker.look(row) for row in rows]


def signature_findings(book: Book) -> list[tuple[str, str]]:
    """What a check of the book should say of countersignatures: what is wrong, and what to do; good ones are not named."""
    try:
        looked = verify(book)
    except DataRefused as error:
        return [(error.problem, error.next_step)]
    found = [(one.words, _STEPS[one.state]) for one in looked if one.state in _STEPS]
    rewritten = sum(one.state == GOOD and not one.history_holds for one in looked)
    if rewritten:
        what = f"The history of the book before {rewritten} good signatures is not the one that was there at signing."
        step = "That is so after forgetting a person or merging books; otherwise compare with a backup."
        found.append((what, step))
    return found


class _Owner(NamedTuple):
    """Whose key it is: the record id that stands in signatures, today's name, and the key."""

    record_id: str
    name: str
    key: str


class _Checker:
    """What all signatures of a book are held against; read once."""

    def __init__(self, book: Book, payloads: list[Row | None]) -> None:
        self._book = book
        self._canon = Canon(book)
        self._pins = pins()
        self._heads = chain_heads(book, {_states(payload) for payload in payloads})
        self._keys = {
            key.fingerprint: _Owner(row["record_id"], row["person"], key.text)
            for _, row in Records(book, "person").select()
            for key in keys_in(row["public_key"])
        }

    def look(self, row: Row) -> Verified:
        """One signature."""
        payload, owner = read_payload(row["payload"]), self._keys.get(row["fingerprint"])
        state, changes = self._state(row, payload, owner)
        name = row["person"] if owner is None or state == NO_KEY else owner.name
        found = Verified(
            signature_id=row["signature_id"],
            flight_id=row["flight_id"],
            person=name,
            signed_at=row["signed_at"],
            fingerprint=row["fingerprint"],
            state=state,
            pinned=self._pins.get(row["fingerprint"]) in (name, row["person"]),
            history_holds=payload is not None
            and self._heads.get(_states(payload)) == payload["history"].get("head"),
            changes=changes,
            words="",
        )
        return found._replace(words=_words(found))

    def _state(self, row: Row, payload: Row | None, owner: _Owner | None) -> tuple[str, tuple[str, ...]]:
        if row["signature"] == VOID:
            return VOID, ()
        if owner is None:
            return NO_KEY, ()
        message = DOMAIN + row["payload"].encode()
        if (
            payload is None
            or not signature_fits(owner.key, row["signature"], message)
            or not _agree(row, payload)
        ):
            return BAD, ()
        if payload.get("signer") != owner.record_id:
            return NO_KEY, ()
        return self._against_now(row["flight_id"], payload["entry"])

    def _against_now(self, flight_id: str, signed: Row) -> tuple[str, tuple[str, ...]]:
        """A signed entry beside the entry as it is now."""
        flights = Flights(self._book)
        number = flights.number(flight_id)
        if number is None:
            return GONE, ()
        entry = self._canon.entry(flights.read([number])[0])
        if canonical(entry) == canonical(signed):
            return GOOD, ()
        return CHANGED, tuple(differences(signed, entry, self._canon))


def _states(payload: Row | None) -> int:
    """How many earlier states the book held at signing; -1 where the text does not say."""
    states = (payload or {}).get("history", {}).get("states")
    return states if isinstance(states, int) else -1


def _agree(row: Row, payload: Row) -> bool:
    """The columns of the signature say what the signed text says."""
    return bool(
        payload.get("fingerprint") == row["fingerprint"]
        and payload.get("signed_at") == row["signed_at"]
        and payload["entry"].get("flight_id") == row["flight_id"]
    )


def _words(one: Verified) -> str:
    words = f"{one.flight_id}, signed by {one.person} at {one.signed_at}: {_SENTENCES[one.state]}"
    if one.changes:
        words += f" ({'; '.join(one.changes)})"
    words += "."
    if one.state in (GOOD, CHANGED) and not one.pinned:
        words += f" The key is not pinned on this computer: only the book says whose it is ({grouped(one.fingerprint)})."
    if one.state in (GOOD, CHANGED) and not one.history_holds:
        words += " The history of the book up to then is not the one that was there at signing."
    return words
