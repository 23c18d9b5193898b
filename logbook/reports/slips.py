"""Blank slips to be filled in by pencil: what a form asks, in its order, as eighty columns of text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple, TextIO

from logbook.reports.text_table import width_of
from logbook.reports.visible import visible

WIDTH: Final = 80
_GAP: Final = 4
_LABEL: Final = 12
LEAVE_EMPTY: Final = "Leave empty what was not read: an empty box is better than a guess."


class Box(NamedTuple):
    """One thing to be written down.

    Attributes:
        label: what it is.
        unit: stands behind the room to write.
        choices: the words to choose from, where there are only a few.
        long: takes sentences, and so whole lines.
    """

    label: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    long: bool = False


class Group(NamedTuple):
    """Boxes under a heading, in the order of the form."""

    heading: str
    boxes: tuple[Box, ...]


class Slip(NamedTuple):
    """A slip: what it is for, how times are written, and its groups."""

    title: str
    hint: str
    groups: tuple[Group, ...]


def write_slips(stream: TextIO, slips: Sequence[Slip]) -> None:
    """Writes slips as text of eighty columns, each on a page of its own (apart by a form feed)."""
    for place, slip in enumerate(slips):
        stream.write("\f" if place else "")
        stream.writelines(line.rstrip() + "\n" for line in _lines(slip))


def _lines(slip: Slip) -> Iterator[str]:
    title = visible(slip.title)
    yield from (title[:WIDTH], "=" * min(WIDTH, width_of(title)))
    yield from textwrap.wrap(f"{visible(slip.hint)} {LEAVE_EMPTY}", WIDTH)
    for group in slip.groups:
        yield ""
        yield visible(group.heading).upper()[:WIDTH]
        yield from _boxes(group.boxes)


def _boxes(boxes: Sequence[Box]) -> Iterator[str]:
    """Two beside each other, read from left to right as the form goes from top to bottom; long ones over whole lines."""
    half = (WIDTH - _GAP) // 2
    row: list[str] = []
    for box in boxes:
        if row and (box.long or len(row) == 2):
            yield from ("", (" " * _GAP).join(row))
            row = []
        if box.long:
            yield from ("", _box(box, WIDTH), "", "_" * WIDTH)
        else:
            row.append(_box(box, half))
    if row:
        yield from ("", (" " * _GAP).join(row))
    choices = [f"{visible(box.label)}: {', '.join(box.choices)}." for box in boxes if box.choices]
    for line in dict.fromkeys(choices):
        yield from textwrap.wrap(line, WIDTH)


def _box(box: Box, width: int) -> str:
    label = visible(box.label)
    label += " " * max(1, _LABEL - width_of(label))
    unit = f" {visible(box.unit)}" if box.unit else ""
    return f"{label}{'_' * max(4, width - width_of(label) - width_of(unit))}{unit}"
