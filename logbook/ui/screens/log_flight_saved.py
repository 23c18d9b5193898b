"""After saving: what the flight cost and what was flagged, and how to go on."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from logbook.measures import USUAL, Measures
from logbook.ui.actions import bindings_of
from logbook.ui.screens.log_flight_live import AID, Line, live_lines
from logbook.ui.widgets.key_line import KeyLine
from logbook.ui.widgets.plain import PlainText
from logbook.units import plain_number

_GO_ON = "Enter: done.  a: the next flight of this aeroplane on this date.  F5: the same, people, kind and place as before."


class SavedBox(ModalScreen[str]):
    """Gives how to go on: `done`, `next` (same aeroplane and date) or `again` (and people, kind and place as before)."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings_of("saved"),
        Binding("enter", "back", "Close", show=False),
    ]
    DEFAULT_CSS = """
    SavedBox { align: center middle; background: $background 60%; }
    SavedBox > Vertical {
        width: 94%; max-width: 84; height: auto; max-height: 94%;
        background: $panel; border-left: outer $accent; padding: 0 2;
    }
    SavedBox VerticalScroll { height: auto; max-height: 60vh; margin: 1 0; }
    SavedBox .heading { text-style: bold; height: auto; }
    SavedBox .go-on { color: $grey; height: auto; margin-bottom: 1; }
    SavedBox KeyLine { dock: none; }
    """

    def __init__(
        self,
        flight: dict[str, Any],
        *,
        kept: Sequence[str] = (),
        beside: Sequence[str] = (),
        measures: Measures = USUAL,
    ) -> None:
        """The box.

        Args:
            flight: as `services.questions.show_flight` gives it.
            kept: what was improbable and confirmed, in words.
            beside: what became of recordings that were to be kept beside it.
            measures: the units figures are shown in.
        """
        super().__init__()
        self.flight = flight
        self._kept = kept
        self._beside = beside
        self._measures = measures

    def compose(self) -> ComposeResult:
        """The words, scrollable, and the keys."""
        with Vertical():
            yield PlainText(self._heading(), classes="heading")
            with VerticalScroll(can_focus=True):
                yield Static("", markup=False, id="saved-words")
            yield PlainText(f"{AID}\n{_GO_ON}", classes="go-on")
            yield KeyLine("saved")

    def _heading(self) -> str:
        flight = self.flight
        if flight["state"] == "open":
            return f"Saved open: {flight['aircraft']}. It is offered first when you log again: close it after landing."
        outcome = "" if flight["outcome"] == "flown" else f" ({flight['outcome']})"
        return f"Saved: {flight['aircraft']}, {flight['date']}{outcome}"

    def on_resize(self) -> None:
        """Lines are broken for the width."""
        self.call_after_refresh(self._draw)

    def _draw(self) -> None:
        words = self.query_one("#saved-words", Static)
        width = max(20, words.content_size.width)
        flags = [(flag["severity"], flag["words"]) for flag in self.flight["flags"]]
        lines = [  # first: in a low window the rest is scrolled to
            Line(part, "text-warning" if one.startswith("!") else "")
            for one in self._beside
            for part in wrap(one, width)
        ]
        lines += live_lines(
            self.flight,
            flags,
            packs=len(self.flight["readings"]),
            width=width,
            measures=self._measures,
        )
        lines += self._guess()
        lines += [Line(f"? kept although improbable: {kept}", "text-warning") for kept in self._kept]
        lines.append(Line("" if flags else "Nothing was flagged.", "text-success"))
        inks = self.app.theme_variables
        text = Text(no_wrap=True)
        for line in lines:
            text.append(f"{line.words}\n", inks.get(line.tone, "") if line.tone else "")
        text.right_crop(1)
        words.update(text)

    def _guess(self) -> list[Line]:
        """The pilot's own estimate beside what it came to."""
        guess, landed = self.flight["pilot_estimate_soc_pct"], self.flight["derived"]["landing_soc_pct"]
        if guess is None or landed is None:
            return []
        return [Line(f"own estimate {plain_number(guess)} %, landed with {plain_number(landed)} %")]

    def action_back(self) -> None:
        """Done."""
        self.dismiss("done")

    def action_add(self) -> None:
        """Another flight of that aeroplane on that date."""
        self.dismiss("next")

    def action_as_before(self) -> None:
        """Another one, same people, kind and place."""
        self.dismiss("again")
