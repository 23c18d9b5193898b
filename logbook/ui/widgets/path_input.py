"""A box for a path: Tab completes it as far as it is clear, and goes on where there is nothing to complete."""

from __future__ import annotations

from textual import events
from textual.message import Message

from logbook.services.typed_path import completed
from logbook.ui.widgets.entry_input import EntryInput


class PathInput(EntryInput):
    """One line for the path of a file or folder."""

    class Candidates(Message):
        """Several names begin so."""

        def __init__(self, names: tuple[str, ...]) -> None:
            super().__init__()
            self.names = names

    def __init__(self, value: str = "", *, endings: tuple[str, ...], id: str | None = None) -> None:  # noqa: A002 - the library's word
        """A box.

        Args:
            value: what stands in it at first.
            endings: of files that are offered, in small letters.
            id: as everywhere in the library.
        """
        super().__init__(value, max_length=1000, id=id)
        self._endings = endings
        self._tried = ""

    async def _on_key(self, event: events.Key) -> None:
        if event.key == "tab" and self._complete():
            event.stop()
            event.prevent_default()
        else:
            await super()._on_key(event)

    def _complete(self) -> bool:
        """Completes the path; False where that changes nothing and nothing was listed just now."""
        found = completed(self.value, self._endings)
        if found.text != self.value:
            self.value = found.text
            self.cursor_position = len(found.text)
            if len(found.names) > 1:
                self.post_message(self.Candidates(found.names))
            return True
        listed = len(found.names) > 1 and self._tried != self.value
        self._tried = self.value
        if listed:
            self.post_message(self.Candidates(found.names))
        return listed
