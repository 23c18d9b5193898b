"""A box that asks for words: a reason, an answer."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input

from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.plain import PlainText


class WordsBox(ModalScreen[str | None]):
    """Gives the words, or nothing on Escape. Where words are demanded, Enter without any says so and stays."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back", show=False),
        Binding("f2", "take", "Save", show=False),
    ]
    AUTO_FOCUS = "EntryInput"
    DEFAULT_CSS = """
    WordsBox { align: center middle; background: $background 60%; }
    WordsBox > Vertical {
        width: 94%; max-width: 80; height: auto; max-height: 90%;
        background: $panel; border-left: outer $accent; padding: 0 2;
    }
    WordsBox .heading { text-style: bold; height: auto; }
    WordsBox .more { height: auto; color: $foreground; margin-top: 1; }
    WordsBox EntryInput { margin: 1 0 0 0; }
    WordsBox .said { height: auto; color: $text-error; }
    WordsBox .keys { height: auto; color: $grey; margin: 1 0 0 0; }
    """

    def __init__(
        self, heading: str, *, more: str = "", needed: str = "", value: str = "", secret: bool = False
    ) -> None:
        """A box.

        Args:
            heading: what is asked.
            more: what it is about.
            needed: what to say when there are no words; empty: none are needed.
            value: what stands in it at first.
            secret: show dots instead of what is typed.
        """
        super().__init__()
        self._secret = secret
        self._heading, self._more, self._needed, self._value = heading, more, needed, value

    def compose(self) -> ComposeResult:
        """The question and the box."""
        with Vertical():
            yield PlainText(self._heading, classes="heading")
            if self._more:
                yield PlainText(self._more, classes="more")
            box = EntryInput(self._value, max_length=2000)
            box.password = self._secret
            yield box
            yield PlainText("", classes="said")
            yield PlainText("Enter takes it, Esc leaves without.", classes="keys")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter takes it."""
        event.stop()
        self.action_take()

    def action_take(self) -> None:
        """Gives the words, or says that some are needed."""
        words = self.query_one(EntryInput).value if self._secret else self.query_one(EntryInput).value.strip()
        if not words and self._needed:
            self.query_one(".said", PlainText).show(f"! {self._needed}")
            return
        self.dismiss(words)

    def action_back(self) -> None:
        """Gives nothing."""
        self.dismiss(None)
