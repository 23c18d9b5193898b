"""The box one types into: one line, no borders, no hidden characters, and keys that lead to the next field."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive
from textual.strip import Strip
from textual.widgets import Input

from logbook.reports.visible import visible


class EntryInput(Input):
    """A one-line input for forms. Up and down go to the fields above and below; nothing blinks."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "app.focus_previous", "Field above", show=False),
        Binding("down", "app.focus_next", "Field below", show=False),
    ]

    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)
    """With the library's own, every key would lay out the whole screen again; our boxes never grow."""

    class Dropped(Message):
        """A paste had more lines than a field can hold; the rest was left out."""

        def __init__(self, box: EntryInput, lines: int) -> None:
            super().__init__()
            self.box = box
            self.lines = lines
            """How many lines were left out."""

    class Sign(Message):
        """A key that means something to the field rather than a character of its content."""

        def __init__(self, box: EntryInput, sign: str) -> None:
            super().__init__()
            self.box = box
            self.sign = sign

    def __init__(
        self,
        value: str = "",
        *,
        max_length: int = 0,
        signs: str = "",
        id: str | None = None,  # noqa: A002 - the library's word
    ) -> None:
        """A box.

        Args:
            value: what stands in it at first.
            max_length: most characters; 0: no limit.
            signs: keys that are told to the field by `Sign` and not typed.
            id: as everywhere in the library.
        """
        super().__init__(value, compact=True, select_on_focus=False, id=id)
        self.max_length = max_length or None
        self.cursor_blink = False
        self.signs = signs

    def render_line(self, y: int) -> Strip:
        """The line of the box, filled to its end: the library leaves the rest of an empty box without style."""
        return super().render_line(y).extend_cell_length(self.size.width, self.rich_style)

    async def _on_key(self, event: events.Key) -> None:
        """Runs before the library's own handler, which would type the sign."""
        if event.character and event.character in self.signs:
            event.stop()
            event.prevent_default()
            self.post_message(self.Sign(self, event.character))

    def _on_paste(self, event: events.Paste) -> None:
        """Keeps the first line with anything in it, with hidden characters made visible, and says how many were left out."""
        lines = [line for line in event.text.splitlines() if line.strip()]
        event.text = visible(lines[0].strip()) if lines else ""
        if len(lines) > 1:
            self.post_message(self.Dropped(self, len(lines) - 1))
