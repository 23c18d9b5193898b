"""What is wrong and what to do, in a box that stays until it is closed."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen

from logbook.errors import LogbookError
from logbook.reports.visible import visible
from logbook.ui.actions import bindings_of
from logbook.ui.copying import send_to_terminal, write_to_file
from logbook.ui.widgets.key_line import KeyLine
from logbook.ui.widgets.plain import PlainText


class ProblemBox(ModalScreen[None]):
    """Shown over the screen where something went wrong. Errors are never toasts: those vanish unread."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings_of("problem"),
        Binding("enter", "back", "Close", show=False),
    ]
    DEFAULT_CSS = """
    ProblemBox { align: center middle; background: $background 60%; }
    ProblemBox > Vertical {
        width: 90%; max-width: 76; height: auto; max-height: 90%;
        background: $panel; border-left: outer $error; padding: 0 2;
    }
    ProblemBox VerticalScroll { height: auto; max-height: 50vh; }
    ProblemBox .heading { color: $text-error; text-style: bold; height: auto; }
    ProblemBox .what { height: auto; margin-top: 1; }
    ProblemBox .next { height: auto; margin-top: 1; text-style: bold; }
    ProblemBox .details { height: auto; margin-top: 1; color: $grey; }
    ProblemBox .said { height: auto; margin-top: 1; color: $grey; display: none; }
    ProblemBox KeyLine { dock: none; margin-top: 1; }
    ProblemBox.-short KeyLine { margin-top: 0; }
    """

    def __init__(
        self, problem: str, next_step: str, *, heading: str = "This did not work", details: str = ""
    ) -> None:
        super().__init__()
        self.problem = problem
        self.next_step = next_step
        self.heading = heading
        self.details = details

    @classmethod
    def of(cls, error: LogbookError, *, heading: str = "This did not work", details: str = "") -> ProblemBox:
        """The box for an error that a person can act on."""
        return cls(error.problem, error.next_step, heading=heading, details=details)

    def compose(self) -> ComposeResult:
        """The words, scrollable, and the keys."""
        with Vertical():
            yield PlainText(f"! {self.heading}", classes="heading")
            with VerticalScroll(can_focus=True):
                yield PlainText(self.problem, classes="what")
                yield PlainText(self.next_step, classes="next")
                if self.details:
                    yield PlainText(self.details, classes="details")
            yield PlainText("", classes="said")
            yield KeyLine("problem")

    def on_resize(self, event: events.Resize) -> None:
        """Leaves out the air in a window of few rows."""
        self.set_class(event.size.height < 16, "-short")

    @property
    def plain_text(self) -> str:
        """All of it as text."""
        parts = [self.heading, self.problem, self.next_step, self.details]
        return "\n".join(visible(part, keep_newlines=True) for part in parts if part) + "\n"

    def action_back(self) -> None:
        """Closes the box."""
        self.dismiss()

    def action_copy(self) -> None:
        """Sends the words to the terminal's clipboard."""
        self._say(send_to_terminal(self.app, self.plain_text))

    def action_write_file(self) -> None:
        """Writes the words to a file, for a terminal without clipboard."""
        from logbook.paths import state_folder

        try:
            path = write_to_file(self.plain_text, state_folder(), "problem")
        except OSError as error:
            self._say(
                f"Could not be written: {error.strerror}. Select the text with the mouse while holding Shift."
            )
        else:
            self._say(f"Written to {path}")

    def _say(self, words: str) -> None:
        said = self.query_one(".said", PlainText)
        said.show(words)
        said.display = True
