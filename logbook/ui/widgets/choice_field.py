"""One line to choose one of a few: all of them in sight where there is room, the chosen one in brackets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit


class Choice(NamedTuple):
    """One possibility."""

    value: str
    """As stored."""
    words: str
    """As shown."""


class ChoiceField(Widget, can_focus=True):
    """Nothing is chosen until somebody chooses: left and right, or the first letter. Enter goes on to the next field."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Previous", show=False),
        Binding("right,space", "step(1)", "Next", show=False),
        Binding("backspace,delete", "clear", "None", show=False),
        Binding("enter,down", "app.focus_next", "Next field", show=False),
        Binding("up", "app.focus_previous", "Field above", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "choice-field--label",
        "choice-field--chosen",
        "choice-field--other",
    }
    DEFAULT_CSS = """
    ChoiceField { height: 1; width: 1fr; padding: 0 1; color: $foreground; background: $background; }
    ChoiceField > .choice-field--label { color: $grey; }
    ChoiceField > .choice-field--other { color: $grey; }
    ChoiceField > .choice-field--chosen { color: $foreground; text-style: bold; }
    ChoiceField:focus > .choice-field--label { color: $foreground; text-style: bold; }
    ChoiceField:focus > .choice-field--chosen { color: $cursor-text; background: $cursor; }
    ChoiceField:focus > .choice-field--other { background: $field; }
    """

    chosen: reactive[int] = reactive(-1)
    """Which one; -1: none."""

    class Changed(Message):
        """Another one was chosen, or none."""

        def __init__(self, field: ChoiceField, value: str) -> None:
            super().__init__()
            self.field = field
            self.value = value

        @property
        def control(self) -> ChoiceField:
            """The field."""
            return self.field

    def __init__(
        self,
        label: str,
        choices: Sequence[Choice],
        *,
        value: str = "",
        label_width: int = 15,
        id: str | None = None,  # noqa: A002 - the library's word
    ) -> None:
        """A choice.

        Args:
            label: in front of it.
            choices: in the order shown.
            value: the one chosen at first; empty: none.
            label_width: of the label [cells].
            id: as everywhere in the library.
        """
        super().__init__(id=id)
        self._label = label
        self._label_width = label_width
        self.choices = list(choices)
        self.set_reactive(ChoiceField.chosen, self._index(value))

    def _index(self, value: str) -> int:
        return next((index for index, choice in enumerate(self.choices) if choice.value == value), -1)

    @property
    def value(self) -> str:
        """What is chosen, as stored; empty: nothing."""
        return self.choices[self.chosen].value if self.chosen >= 0 else ""

    @value.setter
    def value(self, value: str) -> None:
        self.chosen = self._index(value)

    def show(self, choices: Sequence[Choice]) -> None:
        """Offers others; what was chosen stays chosen if it is still among them."""
        before = self.value
        self.choices = list(choices)
        self.set_reactive(ChoiceField.chosen, self._index(before))
        if self.value != before:
            self.post_message(self.Changed(self, self.value))
        self.refresh()

    def watch_chosen(self) -> None:
        """Tells what was chosen."""
        self.post_message(self.Changed(self, self.value))

    def action_step(self, by: int) -> None:
        """The next or the previous one; the first press chooses the first, or the last."""
        if self.choices:
            first = 0 if by > 0 else len(self.choices) - 1
            self.chosen = first if self.chosen < 0 else (self.chosen + by) % len(self.choices)

    def action_clear(self) -> None:
        """Chooses nothing."""
        self.chosen = -1

    def on_key(self, event: events.Key) -> None:
        """A letter goes to the next one that begins with it."""
        if not event.character or not event.character.isalnum():
            return
        begin = self.chosen + 1
        order = [*range(begin, len(self.choices)), *range(begin)]
        for index in order:
            if self.choices[index].words.casefold().startswith(event.character.casefold()):
                event.stop()
                self.chosen = index
                return

    def on_click(self, event: events.Click) -> None:
        """Chooses the one under the mouse."""
        column = self._label_width + 1
        if not self._all_fit():
            self.action_step(1)
            return
        for index, choice in enumerate(self.choices):
            width = cell_len(visible(choice.words)) + 2
            if column <= event.x - self.styles.padding.left < column + width:
                self.chosen = index
                return
            column += width

    def _all_fit(self) -> bool:
        wanted = sum(cell_len(visible(choice.words)) + 2 for choice in self.choices)
        return self._label_width + 1 + wanted <= self.size.width

    def render_line(self, y: int) -> Strip:
        """The whole line; there is only one."""
        width, base = self.size.width, self.rich_style
        if y > 0:
            return Strip.blank(width, base)
        other = self.get_component_rich_style("choice-field--other")
        chosen = self.get_component_rich_style("choice-field--chosen")
        label = Segment(
            fit(self._label, self._label_width) + " ", self.get_component_rich_style("choice-field--label")
        )
        segments = [label]
        if self._all_fit():
            for index, choice in enumerate(self.choices):
                words = visible(choice.words)
                here = index == self.chosen
                segments.append(Segment(f"[{words}]" if here else f" {words} ", chosen if here else other))
        elif self.chosen >= 0:
            words = visible(self.choices[self.chosen].words)
            count = f" {self.chosen + 1} of {len(self.choices)}"
            segments += [Segment(f"[{words}]", chosen), Segment(count, other)]
        else:
            segments.append(Segment(f" one of {len(self.choices)} ", other))
        return Strip(segments).adjust_cell_length(width, base)
