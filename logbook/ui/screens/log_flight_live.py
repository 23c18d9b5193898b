"""What a flight that is being typed would cost and what would be flagged, as lines of text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from rich.cells import cell_len
from rich.text import Text
from textual.widgets import Static

from logbook.measures import TIME, USUAL, Measures
from logbook.reports.visible import visible
from logbook.rules.flag import SIGNS
from logbook.ui.widgets.plain import wrap
from logbook.units import plain_number

Row = Mapping[str, Any]
EMPTY = "Cost and flags appear here while you type."
AID = "Planning aid; the flight manual, the instruments, local rules and the pilot decide."
TONES = {"serious": "text-error", "check": "text-warning", "note": "grey"}


class Line(NamedTuple):
    """One line and the name of its colour."""

    words: str
    tone: str = ""


def figures(flight: Row, packs: int, measures: Measures = USUAL) -> list[str]:
    """The flight's figures, each as words; those that cannot be said yet are left out.

    Args:
        flight: as `services.questions.describe` gives it.
        packs: how many packs the form asks for; the sum is not shown before all are known.
        measures: the units they are shown in.
    """
    derived = flight.get("derived") or {}
    found = []
    unit = f" {measures.unit_word}".rstrip()
    for name, words in (("block_min", "block"), ("air_min", "air")):
        if derived.get(name) is not None:
            found.append(f"{words} {measures.figure(derived[name], TIME)}{unit}")
    if derived.get("meter_h") is not None:
        found.append(f"meter {plain_number(round(derived['meter_h'], 2))} h")
    known = [r for r in flight.get("readings", ()) if r["derived"]["energy_kwh"] is not None]
    if derived.get("energy_kwh") is not None and len(known) == packs:
        found.append(f"{_spread(derived, 'energy_kwh', 1)} kWh")
        if derived.get("energy_kwh_per_min") is not None:
            found.append(f"{derived['energy_kwh_per_min']:.3f} kWh/min")
    return found


def pack_figures(flight: Row) -> list[str]:
    """What each pack gave."""
    found = []
    for reading in flight.get("readings", ()):
        before, after = reading["soc_departure_pct"], reading["soc_landing_pct"]
        derived = reading["derived"]
        name = derived["position"] or reading["serial_no"] or "aeroplane"
        if before is None or after is None:
            continue
        words = f"{name} {plain_number(before)} to {plain_number(after)} %"
        if derived["energy_kwh"] is not None:
            words += f" = {_spread(derived, 'energy_kwh', 1)} kWh"
        found.append(words)
    return found


def time_left(flight: Row) -> Line | None:
    """Minutes left after landing beside the final reserve."""
    derived = flight.get("derived") or {}
    mid = derived.get("minutes_left")
    if mid is None:
        return None
    words = (
        f"left {_spread(derived, 'minutes_left', 0)} min at {plain_number(derived['minutes_left_at_kw'])} kW"
    )
    reserve = derived.get("final_reserve_min")
    if reserve is None:
        return Line(f"{words}; no final reserve is set")
    least = f"final reserve {plain_number(reserve)} min"
    if mid < reserve:
        return Line(f"{words}: below the {least}", "text-error")
    close = derived["minutes_left_low"] < reserve
    return Line(f"{words}; {least} {'only just kept' if close else 'kept'}", "text-warning" if close else "")


def _spread(row: Row, name: str, digits: int) -> str:
    low, high = f"{row[f'{name}_low']:.{digits}f}", f"{row[f'{name}_high']:.{digits}f}"
    mid = f"{row[name]:.{digits}f}"
    return mid if low == high else f"{mid} ({low} to {high})"


def packed(parts: Sequence[str], width: int, gap: str = "  ") -> list[str]:
    """Parts side by side as far as they fit into lines of so many cells."""
    lines: list[str] = []
    for part in map(visible, parts):
        if lines and cell_len(lines[-1]) + len(gap) + cell_len(part) <= width:
            lines[-1] += gap + part
        else:
            lines += wrap(part, width)
    return lines


def live_lines(
    flight: Row,
    flags: Sequence[tuple[str, str]],
    *,
    packs: int,
    width: int,
    measures: Measures = USUAL,
) -> list[Line]:
    """Everything that follows from what was typed: figures, then flags, the serious ones first."""
    lines = [Line(words) for words in packed(figures(flight, packs, measures), width)]
    lines += [Line(words) for words in packed(pack_figures(flight), width)]
    left = time_left(flight)
    if left is not None:
        lines += [Line(words, left.tone) for words in wrap(left.words, width)]
    for severity, words in flags:
        lines += flag_lines(severity, measures.sentence(words), width)
    return lines


def flag_lines(severity: str, words: str, width: int) -> list[Line]:
    """A flag in words behind its sign."""
    sign = SIGNS[severity]
    indent = " " * (cell_len(sign) + 1)
    first, *rest = wrap(words, max(10, width - len(indent)))
    tone = TONES[severity]
    return [Line(f"{sign} {first}", tone), *(Line(indent + line, tone) for line in rest)]


class LiveStrip(Static):
    """Shows what follows from what was typed; what there is no room for is counted, never cut off without a word."""

    DEFAULT_CSS = """
    LiveStrip { height: 6; padding: 0 1; background: $surface; color: $foreground; }
    """

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__("", markup=False, id=id)
        self._flight: Row = {}
        self._flags: Sequence[tuple[str, str]] = ()
        self._packs = 0
        self._warning = ""
        self._words: Sequence[str] | None = None
        self.measures = USUAL
        """The units figures are shown in."""

    def show(self, flight: Row, flags: Sequence[tuple[str, str]], packs: int, warning: str = "") -> None:
        """Replaces the content.

        Args:
            flight: as `services.questions.describe` gives it; empty while nothing can be said.
            flags: severity and words.
            packs: how many packs the form asks for.
            warning: what goes first: trouble with keeping the draft.
        """
        self._flight, self._flags, self._packs, self._warning = flight, flags, packs, warning
        self._draw()

    def show_words(self, words: Sequence[str], warning: str = "") -> None:
        """Shows sentences instead of a flight's figures; one that begins with `!` is a warning."""
        self._words, self._warning = words, warning
        self._draw()

    def on_resize(self) -> None:
        """Lines are broken for the new width."""
        self._draw()

    def _draw(self) -> None:
        width, room = self.content_size.width, self.content_size.height
        if width < 10 or room < 1:
            return
        if self._words is not None:
            lines = [
                Line(line, "text-warning" if words.startswith("!") else "")
                for words in self._words
                for line in wrap(words, width)
            ]
        else:
            lines = live_lines(
                self._flight, self._flags, packs=self._packs, width=width, measures=self.measures
            )
        if self._warning:
            lines = [*(Line(words, "text-error") for words in wrap(f"! {self._warning}", width)), *lines]
        if not lines:
            lines = [Line(words, "grey") for words in (*wrap(EMPTY, width), *wrap(AID, width))]
        if len(lines) > room:
            lines.sort(
                key=lambda line: line.tone != TONES["serious"]
            )  # what may hurt is never the part left out
            left = len(lines) - room + 1
            lines = [
                *lines[: room - 1],
                Line(f"… {left} more lines; all of them are shown after saving", "grey"),
            ]
        text = Text(no_wrap=True)
        inks = self.app.theme_variables
        for number, line in enumerate(lines):
            text.append("\n" if number else "").append(
                line.words, inks.get(line.tone, "") if line.tone else ""
            )
        self.update(text, layout=False)
