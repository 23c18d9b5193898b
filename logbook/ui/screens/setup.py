"""Setup: what the book is about, and how it looks and behaves."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.setup_list import SetupList
from logbook.ui.theme import DEFAULT_THEME
from logbook.ui.widgets.line_list import Line, LineList, Span, heading
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.words_box import WordsBox

KINDS: Final = {
    "aircraft": ("Aeroplanes", "positions, reserve, performance, handbook energy"),
    "pack-type": ("Pack types", "capacity, what SOH 0 means, limits, life"),
    "pack": ("Packs", "by serial number; limits come from the type"),
    "installation": ("Fittings", "which pack was where, from when to when"),
    "person": ("People", "names as the book calls them"),
    "person-item": ("Dated items", "medicals, ratings, checks; Today reminds of them"),
    "place": ("Places", "time zones for local times, coordinates for night"),
}  # fmt: skip
THEMES: Final = (
    Pick("logbook-dark", "Dark", "light text on a dark ground"),
    Pick("logbook-light", "Light", "dark text on a light ground, for bright places"),
    Pick("logbook-plain", "Plain", "sixteen colours, for old or limited terminals"),
)


class SetupScreen(BookScreen):
    """Lists of what the book is set up with, and settings."""

    NAME = "setup"
    SECTION = "setup"
    HEADING = "Setup"
    AUTO_FOCUS = "LineList"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("setup")]

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield LineList()

    def fill(self) -> None:
        """Counts records and reads settings."""
        self.query_one(LineList).show([*self._beginning(), *self._records(), Line(), *self._settings()])

    def _beginning(self) -> list[Line]:
        if not self.desk.is_empty():
            return []
        return [
            heading("This book is empty"),
            Line((Span("> ", "accent"),), "Begin it: one short form, or the sample", "", ("begin", "")),
            Line(),
        ]

    def _records(self) -> list[Line]:
        lines = [heading("What the book is about")]
        for kind, (title, about) in KINDS.items():
            count = len(self.desk.records(kind))
            lines.append(
                Line((Span(f"{title:<14}"), Span(f"{count:>4}  ", "accent")), about, "grey", ("kind", kind))
            )
        return lines

    def _settings(self) -> list[Line]:
        desk = self.desk
        local = desk.setting("clock") == "local"
        theme = next((pick.words for pick in THEMES if pick.value == self.app.theme), "")
        bands = desk.bands_changed()
        settings = (
            ("operator", "Who", desk.operator or "nobody named", "every entry is kept under that name"),
            ("clock", "Times", "local" if local else "UTC", "typed and shown first; the other stands beside"),
            ("units", "Units", " ".join(desk.measures), "shown and typed; the book keeps kg, °C, NM and minutes"),
            ("currency", "Money", desk.currency or "not named", "stands beside prices; nothing is converted"),
            ("theme", "Looks", theme.lower(), "dark, light or plain"),
            ("ascii", "Signs", "plain letters" if self.logbook.ascii_only else "drawn", "plain letters for fonts without lines and dots"),
            ("bands", "Rules", f"{bands} changed" if bands else "as usual", "how far a figure may be off before a rule speaks"),
            ("backup", "Back up", "now", "a verified copy beside the book"),
        )  # fmt: skip
        lines = [heading("How it behaves")]
        for key, label, value, about in settings:
            lines.append(
                Line((Span(f"{label:<9}"), Span(f"{value:<16}", "accent")), about, "grey", (key, ""))
            )
        return lines

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens a list, or changes a setting."""
        what, which = event.target
        if what == "kind":
            self.app.push_screen(SetupList(which, *KINDS[which]))
        elif what == "begin":
            self.logbook.first_start()
        else:
            getattr(self, f"_set_{what}")()

    # -- settings ------------------------------------------------------------------------------------------------------

    def _set_operator(self) -> None:
        self.action_operator()

    def _set_clock(self) -> None:
        picks = [
            Pick("utc", "UTC", "times are typed in UTC, local time stands beside"),
            Pick(
                "local", "Local time", "times are typed in the local time of the aerodrome, UTC stands beside"
            ),
        ]
        self._pick("clock", "How are times typed and shown?", picks, self.desk.setting("clock", "utc"))

    def _set_theme(self) -> None:
        self._pick("theme", "How is it to look?", list(THEMES), self.desk.setting("theme", DEFAULT_THEME))

    def _set_ascii(self) -> None:
        picks = [
            Pick("no", "Drawn", "lines, dots and bars; needs a usual font"),
            Pick("yes", "Plain letters", "only what every terminal has"),
        ]
        self._pick("ascii", "Which signs are drawn?", picks, "yes" if self.logbook.ascii_only else "no")

    def _pick(self, name: str, question: str, picks: list[Pick], value: str) -> None:
        def keep(picked: str | None) -> None:
            if picked is None:
                return
            try:
                self.desk.set(name, picked == "yes" if name == "ascii" else picked)
            except LogbookError as error:
                self.trouble(error, "Not kept")
                return
            if name == "theme":
                self.app.theme = picked
            elif name == "ascii":
                self.logbook.ascii_only = picked == "yes"
            self.refill()

        self.app.push_screen(PickBox(question, picks, value=value), keep)

    def _set_bands(self) -> None:
        intro = "How far a figure may be off before a rule speaks. Type only what is to change; - takes the usual value again."

        def done(count: Any) -> None:
            if count is not None:
                self.refill()
                self.notify("Kept. Every flight is looked at again.", markup=False)

        form = FormScreen(
            self.desk.bands_form(), self.desk.save_bands, section="setup", intro=intro, page="bands"
        )
        self.app.push_screen(form, done)

    def _set_units(self) -> None:
        intro = "Units in which figures are shown and typed. Nothing that is recorded changes; files keep their own."

        def keep(values: dict[str, Any]) -> bool:
            self.desk.keep_measures({name: unit for name, unit in values.items() if unit is not None})
            return True

        def done(kept: bool | None) -> None:
            if kept:
                self.refill()

        form = FormScreen(self.desk.units_form(), keep, section="setup", intro=intro, page="units")
        self.app.push_screen(form, done)

    def _set_currency(self) -> None:
        def keep(words: str | None) -> None:
            if words is None:
                return
            try:
                self.desk.keep_currency(words)
            except LogbookError as error:
                self.trouble(error, "Not kept")
                return
            self.refill()

        more = f"A code or a sign, such as EUR. Now: {self.desk.currency or 'not named'}. Figures stay as they are."
        self.app.push_screen(
            WordsBox("In which currency are prices?", more=more, needed="Type a currency."), keep
        )

    def _set_backup(self) -> None:
        try:
            path = self.desk.back_up()
        except LogbookError as error:
            self.trouble(error, "No backup was made")
        else:
            self.notify(f"A verified copy is in {path}", markup=False, timeout=10)
