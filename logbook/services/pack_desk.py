"""What the screens of packs ask for and do: the list, one pack whole, charging now, papers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.services.pack_lines import PackLine
    from logbook.services.pack_view import PackView
    from logbook.services.paper_files import Written
    from logbook.services.plain_form import PlainForm

Row = dict[str, Any]
_FOLDER: Final = "paper_folder"


class PackDesk:
    """The part of the desk for packs and for papers.

    Args:
        book: the open book.
        clock: what time it is (UTC, stored form).
        learned: what was worked out already and may be used again; shared with desks elsewhere.
    """

    def __init__(self, book: Book, clock: Callable[[], str], learned: dict[str, Any]) -> None:
        self.book, self.clock, self.learned = book, clock, learned

    def lines(self) -> list[PackLine]:
        """Every pack by serial number (slow: to be called elsewhere)."""
        from logbook.services.pack_lines import pack_lines

        return pack_lines(self.book, self.clock(), self.learned)

    def view(self, serial_no: str) -> PackView:
        """Everything about one pack (slow: to be called elsewhere).

        Raises:
            DataRefused: the book knows no such pack.
        """
        from logbook.services.pack_view import pack_view

        return pack_view(self.book, serial_no, self.clock())

    def charge_form(self, serial_no: str) -> PlainForm:
        """The form at the charger."""
        from logbook.services.charge_form import charge_now_form

        return charge_now_form(self.book, serial_no)

    def may_charge(self, serial_no: str, values: Mapping[str, Any]) -> list[str]:
        """May it be charged now, with what is read at the charger; in sentences."""
        from logbook.services.charge_form import answer

        return answer(self.book, serial_no, values, self.clock())

    # -- papers ----------------------------------------------------------------------------------------------------------

    def paper_form(self, what: str, which: str = "") -> PlainForm:
        """The form for the paper of a pack or an aeroplane, which is asked for where none is named."""
        from logbook.services.paper_files import paper_form

        return paper_form(self.book, what, which, self.clock(), self._folder)

    @property
    def _folder(self) -> Path:
        """Where papers went last, else beside the book."""
        return Path(self.learned.get(_FOLDER) or self.book.path.parent)

    def write_papers(self, what: str, which: str, values: Mapping[str, Any]) -> Written:
        """Writes a paper as HTML and text (slow: to be called elsewhere). Returns the files, and what else there is to say.

        Raises:
            DataRefused: the book knows no such thing.
            FileTrouble: the folder cannot be written.
        """
        from logbook.services.paper_files import which_of, write_papers

        folder = Path(values.get("folder") or self._folder)
        found = write_papers(self.book, what, which_of(values, which), folder, values.get("as_of"))
        self.learned[_FOLDER] = str(folder)
        return found
