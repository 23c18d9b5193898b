"""What people flew and what waits for them, kept in the book: the table `person_total`; it can be thrown away."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from logbook.store.database import Book
from logbook.store.kept_totals import Unchanged


class PersonSums(NamedTuple):
    """What is kept of one person, without what their record brings forward.

    Attributes:
        last_flight: local day of the newest flight, or empty.
        total_min: block time [min]; likewise as pilot in command, under instruction, solo.
        landings: by day and night.
        open_flags: unanswered flags of flights on which they did not teach.
        waiting: their own entries that nobody else aboard has countersigned.
        to_sign: entries of others that wait, on which they taught or commanded.
    """

    last_flight: str = ""
    total_min: int = 0
    pic_min: int = 0
    dual_min: int = 0
    solo_min: int = 0
    landings: int = 0
    open_flags: int = 0
    waiting: int = 0
    to_sign: int = 0


_COLUMNS: Final = ", ".join(PersonSums._fields)


class PeopleTotals:
    """Reads and writes what is kept; triggers delete what no longer holds."""

    def __init__(self, book: Book) -> None:
        self._book, self._unchanged = book, Unchanged(book)

    def read(self, edition: int) -> dict[str, PersonSums]:
        """What holds of each person, by name.

        Args:
            edition: of the way the totals are made; what another one made does not count.
        """
        rows = self._book.connection.execute(
            f"SELECT p.person, {_COLUMNS} FROM person_total t JOIN person p ON p.n = t.person WHERE t.edition = ?",
            (edition,),
        ).fetchall()
        return {name: PersonSums(*sums) for name, *sums in rows}

    def write(self, edition: int, learned: Mapping[str, PersonSums]) -> bool:
        """Keeps sums worked out since this object was made, unless anybody has written meanwhile.

        Returns whether they are kept.

        Raises:
            FileTrouble: the book cannot be written.
        """

        def put() -> None:
            numbers = self._book.keys.numbers("person")
            self._book.connection.executemany(
                f"INSERT OR REPLACE INTO person_total VALUES (?, ?{', ?' * len(PersonSums._fields)})",
                [(numbers[name], edition, *sums) for name, sums in learned.items()],
            )

        return self._unchanged.write(put)

    def clear(self) -> None:
        """Throws everything away (inside a transaction)."""
        self._book.connection.execute("DELETE FROM person_total")
