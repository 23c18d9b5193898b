"""Forgetting a person: a pseudonym takes the place of their name in the whole file, histories included.

Flights stay: they belong to the aeroplane and its packs. What stays and what goes is said in docs/people/privacy.md.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from logbook.errors import DataRefused, UsageError
from logbook.services.add import now
from logbook.services.people import person_row
from logbook.services.verify import VOID
from logbook.store.database import Book
from logbook.store.forgetting import Forgetting
from logbook.store.kept_people import PeopleTotals
from logbook.store.keys import Keys
from logbook.store.settings import Settings
from logbook.store.version_chain import chain_head

SETTING: Final = "forgotten"
"""The setting that keeps when somebody was forgotten, as what, why, and the heads of the history before and after."""


class Forgotten(NamedTuple):
    """What was done.

    Attributes:
        pseudonym: what stands in the place of the name now.
        replaced: how many values held the name.
        voided: countersignatures that can no longer be checked, since the signed text held the name.
        hints: texts that still hold a part of the name; they are left to be read by a person.
    """

    pseudonym: str
    replaced: int
    voided: int
    hints: tuple[str, ...]


def forget(book: Book, name: str, pseudonym: str, why: str, *, by: str | None = None) -> Forgotten:
    """Puts a pseudonym in the place of a person's name, everywhere in the book, and takes licence number and address away.

    Args:
        book: the open book.
        name: the person.
        pseudonym: what is to stand there instead; nobody else's name.
        why: the reason; it is kept, so it must not hold the name.
        by: who asks for it.

    Raises:
        DataRefused: the book knows no such person, or the pseudonym is taken.
        UsageError: there is no reason or no pseudonym, or they hold the name.
    """
    person_row(book, name)
    _check(book, name, pseudonym, why)
    before = chain_head(book)
    at = now()
    asked_by = pseudonym if by == name else by
    with book.writing(by=asked_by, why=why):
        forgetting = Forgetting(book, name, pseudonym)
        replaced, voided = forgetting.replace(VOID)
        PeopleTotals(book).clear()
        kept = Settings(book).value(SETTING) or []
        after = chain_head(book)
        note = {
            "as": pseudonym,
            "at": at,
            "by": asked_by,
            "why": why,
            "states": before.states,
            "head_before": before.head,
            "head_after": after.head,
        }
        Settings(book).set(SETTING, [*kept, note])
        hints = forgetting.hints()
    forgetting.wipe()
    return Forgotten(pseudonym, replaced, voided, hints)


def _check(book: Book, name: str, pseudonym: str, why: str) -> None:
    if not pseudonym.strip() or not why.strip():
        raise UsageError("Forgetting needs a pseudonym and a reason.", next_step="Give --as and --why.")
    if name.casefold() in pseudonym.casefold() or name.casefold() in why.casefold():
        raise UsageError(
            "The pseudonym or the reason holds the name that is to be forgotten.",
            next_step="Word it without.",
        )
    if pseudonym in Keys(book.connection).numbers("person"):
        raise DataRefused(
            f"'{pseudonym}' is a person of this book already.",
            next_step="Choose another pseudonym.",
            field="as",
        )
