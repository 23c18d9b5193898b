"""A box to pick one of many from, found by typing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Final, NamedTuple

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from logbook.reports.visible import visible
from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.plain import PlainText

_LEAST_ROWS: Final = 18


class Pick(NamedTuple):
    """One possibility."""

    value: str
    words: str
    help: str = ""
    key: str = ""
    """The key that does the same, where there is one."""


def matching(picks: Sequence[Pick], typed: str) -> list[Pick]:
    """Those in which every typed word occurs, those that begin with what was typed first; else in their own order."""
    parts = typed.casefold().split()
    found = [pick for pick in picks if all(part in f"{pick.words} {pick.help}".casefold() for part in parts)]

    def rank(pick: Pick) -> int:
        words = pick.words.casefold()
        if not parts or words.startswith(" ".join(parts)):
            return 0
        return 1 if all(part in words for part in parts) else 2

    return sorted(found, key=rank)


class PickBox(ModalScreen[str | None]):
    """Gives the value that was picked, or nothing on Escape. With `free`, a typed text that matches nothing is taken too."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back", show=False),
        Binding("up", "move(-1)", "Up", show=False, priority=True),
        Binding("down", "move(1)", "Down", show=False, priority=True),
        Binding("pageup", "move(-8)", "Page up", show=False),
        Binding("pagedown", "move(8)", "Page down", show=False),
    ]
    AUTO_FOCUS = "EntryInput"
    DEFAULT_CSS = """
    PickBox { align: center top; background: $background 60%; }
    PickBox > Vertical {
        width: 94%; max-width: 92; height: auto; max-height: 90%; margin-top: 1;
        background: $panel; border-left: outer $accent; padding: 0 2 1 2;
    }
    PickBox .heading { text-style: bold; height: auto; }
    PickBox .hint { color: $grey; height: auto; }
    PickBox EntryInput { margin: 1 0; }
    PickBox OptionList {
        height: auto; max-height: 1fr; border: none; padding: 0; background: $panel; overflow-x: hidden;
        text-wrap: nowrap; text-overflow: ellipsis;
    }
    PickBox .whole { height: 2; color: $grey; margin-bottom: 1; display: none; }
    PickBox OptionList > .option-list--option-highlighted { color: $cursor-text; background: $cursor; }
    """

    def __init__(
        self, heading: str, picks: Sequence[Pick], *, hint: str = "", free: str = "", value: str = ""
    ) -> None:
        """A box.

        Args:
            heading: what is to be picked.
            picks: the possibilities.
            hint: said below the heading.
            free: if not empty, any typed text may be taken; shown in front of it, such as 'New name'.
            value: the one highlighted at first.
        """
        super().__init__()
        self._heading, self._hint, self._free, self._first = heading, hint, free, value
        self._picks = list(picks)
        self._shown: list[Pick] = []

    def compose(self) -> ComposeResult:
        """Heading, box to type into, the list."""
        with Vertical():
            yield PlainText(self._heading, classes="heading")
            yield PlainText(
                self._hint or "Type to find, arrows to move, Enter to take, Esc to leave.", classes="hint"
            )
            yield EntryInput(max_length=200)
            yield PlainText("", classes="whole")
            yield OptionList(markup=False)

    def on_mount(self) -> None:
        """Shows all of them."""
        self._list.can_focus = False
        self._offer("")
        places = [pick.value for pick in self._shown]
        if self._first in places:
            self._list.highlighted = places.index(self._first)

    @property
    def _list(self) -> OptionList:
        return self.query_one(OptionList)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrows the list."""
        self._offer(event.value)

    def on_option_list_option_highlighted(self) -> None:
        """Says in full what is cut in some line of the list."""
        place, whole = self._list.highlighted, self.query_one(".whole", PlainText)
        room = self.size.height >= _LEAST_ROWS  # in the lowest windows the list needs every row itself
        cut = room and any(
            self._line(pick, self._wide).cell_len > self._list.content_size.width for pick in self._picks
        )
        whole.display = cut
        self.call_after_refresh(self._fit_list)
        if cut and self._shown and place is not None:
            pick = self._shown[min(place, len(self._shown) - 1)]
            whole.show(f"{pick.words}: {pick.help}" if pick.help else pick.words)

    def _fit_list(self) -> None:
        """The list ends where the box ends: of a long one no line is hidden behind the edge."""
        box = self.query_one(Vertical).region
        room = box.y + int(self.size.height * 0.9) - 1 - self._list.region.y
        self._list.styles.max_height = max(3, room)

    def on_resize(self) -> None:
        """Lines are cut to the width."""
        self.call_after_refresh(self._fit_list)
        kept = self._list.highlighted
        self._offer(self.query_one(EntryInput).value)
        if self._shown:
            self._list.highlighted = min(kept or 0, len(self._shown) - 1)

    def _offer(self, typed: str) -> None:
        self._shown = matching(self._picks, typed)
        bare = typed.strip()
        if self._free and bare and all(bare.casefold() != pick.words.casefold() for pick in self._shown):
            self._shown.append(Pick(bare, f"{self._free}: {bare}"))
        self._list.clear_options()
        self._list.add_options([Option(self._line(pick, self._wide)) for pick in self._shown])
        if self._shown:
            self._list.highlighted = 0
        else:
            self._list.add_option(Option(Text("Nothing here is called so."), disabled=True))

    @property
    def _wide(self) -> int:
        return min(34, max((len(pick.words) for pick in self._picks), default=0))

    def _line(self, pick: Pick, wide: int) -> Text:
        line = Text(no_wrap=True, overflow="ellipsis")
        keys = max((len(other.key) for other in self._picks), default=0)
        if keys:
            line.append(f"{pick.key:>{keys}}  ")
        line.append(visible(pick.words).ljust(wide) if pick.help else visible(pick.words))
        if pick.help:
            line.append(f"  {visible(pick.help)}")
        return line

    def on_input_submitted(self) -> None:
        """Takes the highlighted one."""
        place = self._list.highlighted
        if self._shown and place is not None:
            self.dismiss(self._shown[place].value)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A click takes it."""
        if self._shown:
            self.dismiss(self._shown[event.option_index].value)

    def action_move(self, by: int) -> None:
        """Up or down in the list."""
        if self._shown:
            self._list.highlighted = max(0, min(len(self._shown) - 1, (self._list.highlighted or 0) + by))

    def action_back(self) -> None:
        """Picks nothing."""
        self.dismiss(None)
