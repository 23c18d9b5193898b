"""Taking the last correction back. That is a correction as well: nothing is forgotten, and it can be taken back too."""

from __future__ import annotations

from logbook.errors import DataRefused
from logbook.services.correct import correct
from logbook.services.questions import show
from logbook.services.versions import changes_of
from logbook.store.database import Book


def undo(book: Book, word: str, record_id: str, *, by: str | None = None, seen: int | None = None) -> str:
    """Gives every field of the last change the value it had before. Returns what was taken back, in words.

    Raises:
        DataRefused: there is nothing to take back, or the record was changed meanwhile.
    """
    shown = show(book, word, record_id)
    changes = changes_of(shown)
    if not changes or not changes[0].differences:
        raise DataRefused(
            "There is no correction to take back.", next_step="Correct the record instead, or strike it out."
        )
    last = changes[0]
    back = {difference.field: difference.was for difference in last.differences}
    words = last.words(word)
    correct(book, word, record_id, back, by=by, why=f"taken back: {words}", seen=seen)
    return words
