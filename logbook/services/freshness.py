"""Whether the derived figures and flags are those of today's rules; the rules are loaded only where they are not."""

from __future__ import annotations

from logbook.errors import FileTrouble
from logbook.rules.edition import EDITION
from logbook.store.attention import Attention
from logbook.store.database import Book
from logbook.store.settings import Settings


def waiting(book: Book) -> int:
    """How many flights `freshen` would compute again; all of them where the rules have a newer edition."""
    if Settings(book).value("rules_edition") == EDITION:
        return len(Attention(book).stale())
    from logbook.store.derived import Derived

    return Derived(book).flight_count()


def freshen(book: Book) -> bool:
    """Brings a book up to date that another tool, or an earlier edition of the rules, left behind.

    Costs one look where nothing did. Returns whether the figures are up to date: a book that cannot be written stays
    as it is and can still be read.
    """
    older = Settings(book).value("rules_edition") != EDITION
    if not older and not Attention(book).stale(1):
        return True
    from logbook.services.refresh import refresh
    from logbook.store.derived import Derived

    try:
        with book.writing():
            if older:
                Derived(book).mark_all()
                Settings(book).set("rules_edition", EDITION)
            refresh(book)
    except FileTrouble:
        return False
    return True
