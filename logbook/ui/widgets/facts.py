"""Facts in lines: label, figure, unit, remark. Figures stand under each other by their decimal point, units are grey."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rich.cells import cell_len
from rich.text import Text
from textual.widgets import Static

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit, wrap

LEAST_NOTE = 8  # narrower than this [cells], a remark is cut rather than broken
INK = {
    "": "",
    "grey": "$grey",
    "success": "$text-success",
    "warning": "$text-warning",
    "error": "$text-error",
}


class Fact(NamedTuple):
    """One line. A state is said in words in `note`, the tone only repeats it."""

    label: str
    value: str = ""
    unit: str = ""
    note: str = ""
    tone: str = ""
    """Of value and note: grey, success, warning, error; or empty."""


class Line(NamedTuple):
    """A fact laid out: each part padded to its column."""

    label: str
    value: str
    unit: str
    note: str
    tone: str


def lay_out(facts: Sequence[Fact]) -> list[Line]:
    """Pads the parts so that labels, decimal points and units stand under each other.

    Words and figures share a column: words begin at its left, figures are aligned by their decimal point.
    """
    safe = [Fact(*(visible(part) for part in fact)) for fact in facts]
    whole = max((_before_point(fact.value) for fact in safe if _is_figure(fact.value)), default=0)
    values = [_aligned(fact.value, whole) for fact in safe]
    shared = [(fact, value) for fact, value in zip(safe, values, strict=True) if not _is_free(fact)]
    labels = max((cell_len(fact.label) for fact in safe), default=0)
    figures = max((cell_len(value) for _, value in shared), default=0)
    units = max((cell_len(fact.unit) for fact, _ in shared), default=0)
    return [
        Line(fit(fact.label, labels), value, "", "", fact.tone)
        if _is_free(fact)
        else Line(fit(fact.label, labels), fit(value, figures), fit(fact.unit, units), fact.note, fact.tone)
        for fact, value in zip(safe, values, strict=True)
    ]


_FIGURE = re.compile(r"[-−+<>≥≤~]?\d+(?:\.\d+)?(?: .*)?")
"""A number, alone or as the first of a range; a date or a clock time is words."""


def _is_figure(value: str) -> bool:
    return _FIGURE.fullmatch(value) is not None


def _is_free(fact: Fact) -> bool:
    """Whether its words stand alone beside the label, and so need not share columns with the figures."""
    return bool(fact.value) and not _is_figure(fact.value) and not fact.unit and not fact.note


def _before_point(value: str) -> int:
    """Letters before the decimal point; of a range, before that of its first figure."""
    return len(value.split(" ", maxsplit=1)[0].split(".", maxsplit=1)[0])


def _aligned(value: str, whole: int) -> str:
    return " " * (whole - _before_point(value)) + value if _is_figure(value) else value


class Facts(Static):
    """A block of facts."""

    DEFAULT_CSS = """
    Facts { height: auto; padding: 0 1; }
    """

    def __init__(
        self,
        facts: Iterable[Fact] = (),
        *,
        id: str | None = None,  # noqa: A002 - the library's word
        classes: str | None = None,
    ) -> None:
        super().__init__("", markup=False, id=id, classes=classes)
        self._facts = list(facts)
        self._drawn: Text | None = None

    def on_mount(self) -> None:
        """Draws with the colours of the look in use."""
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())
        self._draw()

    def show(self, facts: Iterable[Fact]) -> None:
        """Replaces the facts."""
        self._facts = list(facts)
        self._draw()

    def on_resize(self) -> None:
        """Breaks the remarks for the new width."""
        self._draw()

    def _draw(self) -> None:
        inks = self.app.theme_variables
        grey = inks["grey"]
        text = Text(no_wrap=True, overflow="ellipsis")
        for number, line in enumerate(lay_out(self._facts)):
            tone = inks.get(INK[line.tone][1:], "") if line.tone else ""
            text.append("\n" if number else "")
            text.append(f"{line.label}  ", grey)
            if not line.unit and not line.note and line.value:
                text.append(self._wrapped(line.value, cell_len(line.label) + 2), tone)
                continue
            text.append(line.value, tone).append(f" {line.unit}", grey)
            indent = cell_len(line.label) + cell_len(line.value) + cell_len(line.unit) + 5
            if line.note:
                text.append(f"  {self._wrapped(line.note, indent)}", tone or grey)
        if text != self._drawn:  # an update lays the whole screen out anew
            self._drawn = text
            self.update(text)

    def _wrapped(self, words: str, indent: int) -> str:
        """Words broken for the room there is, further lines under the first."""
        room = self.content_size.width - indent
        return ("\n" + " " * indent).join(wrap(words, room) if room >= LEAST_NOTE else [words])
