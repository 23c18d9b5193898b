"""A label and a box for sentences: several lines, pasted ones too, and nothing hidden in them."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import TextArea

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_text import Source


class WordsArea(TextArea):
    """The box. F6 and F7 are not taken, a paste shows its hidden characters, and nothing blinks."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "up_or_out", "Up", show=False),
        Binding("down", "down_or_out", "Down", show=False),
        Binding("f6", "screen.next_part", "Next part", show=False),
        Binding("f7", "pass", "Nothing", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(compact=True, highlight_cursor_line=False, max_checkpoints=200)
        self.cursor_blink = False

    def get_line(self, line_index: int) -> Text:
        """A line as it is drawn: whatever came in, no control character reaches the terminal."""
        line = super().get_line(line_index)
        line.plain = "".join("·" if visible(letter) != letter else letter for letter in line.plain)
        return line

    async def _on_paste(self, event: events.Paste) -> None:
        """Keeps every line; hidden characters become visible escapes before the library's own handler inserts them."""
        event.stop()
        event.text = visible(event.text.replace("\r\n", "\n").replace("\r", "\n"), keep_newlines=True)

    def action_up_or_out(self) -> None:
        """One line up; from the first one, to the field above."""
        if self._at_edge(-1):
            self.screen.focus_previous()
        else:
            self.action_cursor_up()

    def action_down_or_out(self) -> None:
        """One line down; from the last one, to the field below."""
        if self._at_edge(1):
            self.screen.focus_next()
        else:
            self.action_cursor_down()

    def action_pass(self) -> None:
        """A key that means nothing here."""

    def _at_edge(self, way: int) -> bool:
        """Whether the cursor is on the first (-1) or the last (1) line as drawn."""
        _, y = self.wrapped_document.location_to_offset(self.cursor_location)
        return y == 0 if way < 0 else y >= self.wrapped_document.height - 1


class WordsField(Widget):
    """Shows and collects sentences; the same face as a reading field, so that forms need not tell them apart."""

    DEFAULT_CSS = """
    WordsField { height: auto; width: 1fr; padding: 0 1; layout: horizontal; }
    WordsField .label { height: 1; color: $grey; text-wrap: nowrap; text-overflow: ellipsis; }
    WordsField.-here .label { color: $foreground; text-style: bold; }
    WordsArea { height: auto; min-height: 1; max-height: 4; width: 1fr; padding: 0; background: $field; }
    WordsArea:focus { background: $resting-cursor; }
    """

    class Changed(Message):
        """What is in the field changed."""

        def __init__(self, field: WordsField, text: str, source: Source) -> None:
            super().__init__()
            self.field = field
            self.text = text
            self.source = source

        @property
        def control(self) -> WordsField:
            """The field."""
            return self.field

    def __init__(self, label: str, *, label_width: int = 15, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id)
        self._label = PlainText(label, classes="label")
        self._label.styles.width = label_width
        self._area = WordsArea()
        self._restored = ("", "")  # as shown, as it really is
        self._said = ""
        self.expected = ""
        self.doubtful = False
        self.refused = False

    def compose(self) -> ComposeResult:
        """Label and box."""
        yield self._label
        yield self._area

    @property
    def box(self) -> WordsArea:
        """The box, for a screen that puts the keyboard there."""
        return self._area

    @property
    def text(self) -> str:
        """What was written; what was put back and not touched is exactly what it was."""
        shown, real = self._restored
        return real if self._area.text == shown else self._area.text

    @property
    def source(self) -> Source:
        """Where it comes from."""
        return Source.READ if self.text.strip() else Source.EMPTY

    def restore(self, text: str, source: str, *, kept: bool = True) -> None:  # noqa: ARG002 - the face of a reading field
        """Puts back what a draft or a record says."""
        self._restored = (visible(text, keep_newlines=True), text)
        self._said = text
        self._area.text = self._restored[0]
        self._area.move_cursor(self._area.document.end)

    def reread(self) -> None:
        """Words mean what they say."""

    def show_problem(self, words: str) -> None:
        """Marks the label; the form says the words."""
        self.refused = bool(words)
        self._label.set_class(self.refused, "error")

    def focus(self, scroll_visible: bool = True) -> WordsField:
        """Puts the keyboard into the box."""
        self._area.focus(scroll_visible)
        return self

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        """Tells what is in the box now."""
        event.stop()
        if self.text != self._said:
            self._said = self.text
            self.show_problem("")
            self.post_message(self.Changed(self, self.text, self.source))

    def on_descendant_focus(self) -> None:
        """The label shows where the keyboard is."""
        self.add_class("-here")

    def on_descendant_blur(self) -> None:
        """The label shows where the keyboard is."""
        self.remove_class("-here")
