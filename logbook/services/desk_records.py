"""The part of the desk that shows, enters and changes records of any kind by forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.services.plain_form import PlainForm
    from logbook.services.versions import Change

Row = dict[str, Any]


class DeskRecords:
    """What the screens of single records ask for; the desk is one."""

    book: Book
    clock: Callable[[], str]

    @property
    def operator(self) -> str | None:
        """Who is at the keys."""
        raise NotImplementedError

    def setting(self, name: str, default: Any = None) -> Any:
        """A setting of the book."""
        raise NotImplementedError

    def title_of(self, kind: str, shown: Mapping[str, Any]) -> str:
        """What a record is, in words."""
        from logbook.services.record_words import title

        return title(kind, shown)

    def lines_of(self, kind: str, shown: Mapping[str, Any]) -> list[tuple[str, str, str, str]]:
        """The filled fields of a record: label, value, unit, remark."""
        from logbook.services.record_words import lines

        return lines(kind, shown)

    def changes_of(self, shown: Mapping[str, Any]) -> list[Change]:
        """The changes of a record, newest first."""
        from logbook.services.versions import changes_of

        return changes_of(shown)

    def names(self, table: str) -> list[str]:
        """The names of a kind of thing: `aircraft`, `pack`, `person`, `place`, `pack_type`."""
        from logbook.services.record_form import names_of

        return names_of(self.book, table)

    def record_form(self, kind: str, given: Mapping[str, Any] | None = None) -> PlainForm:
        """The form for a new record of a kind."""
        from logbook.services.record_form import record_form

        return record_form(self.book, kind, self.clock(), given)

    def correction_form(self, kind: str, shown: Mapping[str, Any]) -> PlainForm:
        """The form to correct a record as `show` gives it."""
        if kind == "flight":
            from logbook.services.correct_flight import flight_correction

            local = self.setting("clock") == "local"
            return flight_correction(self.book, shown, self.clock(), local=local)
        from logbook.services.record_form import correction_form

        return correction_form(self.book, kind, self.clock(), shown)

    def correct_form(
        self, kind: str, record_id: str, values: Mapping[str, Any], *, why: str | None, seen: int
    ) -> str:
        """Writes what a correction form gave. Returns what was changed, in words."""
        from logbook.services.correct import correct
        from logbook.services.versions import label_of

        done = correct(self.book, kind, record_id, values, by=self.operator, why=why, seen=seen)
        labels = [label_of(kind, name.rpartition(".")[2]) for name, _, _ in done.changes]
        return f"Corrected: {', '.join(labels)}." if labels else "Nothing was changed."

    def undo(self, kind: str, record_id: str, *, seen: int | None = None) -> str:
        """Takes the last correction of a record back. Returns what was taken back, in words."""
        from logbook.services.undo import undo

        return undo(self.book, kind, record_id, by=self.operator, seen=seen)

    def first_form(self) -> PlainForm:
        """The form of the first start."""
        from logbook.services.first_start import first_form

        return first_form(self.clock())

    def save_first(self, values: Mapping[str, Any]) -> str:
        """Writes what the first start asked, all or nothing. Returns the registration."""
        from logbook.services.first_start import save_first

        return save_first(self.book, values, self.clock())
