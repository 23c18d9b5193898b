"""What the commands share: options, opening the book, reading input, writing output."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.errors import DataRefused, FileTrouble
from logbook.paths import default_book

if TYPE_CHECKING:
    from logbook.reports.text_table import Column
    from logbook.store.database import Book

WRITTEN: set[Path] = set()
"""Books that a command has written to; a backup of the day is made of them once the answer is out."""

MOST_INPUT = 512 * 1024 * 1024
"""Larger input is refused before it is parsed [bytes]."""


def command(
    commands: Any, name: str, words: str, *, formats: Sequence[str] = ("text", "json")
) -> argparse.ArgumentParser:
    """A command with the options that all have."""
    made: argparse.ArgumentParser = commands.add_parser(name, help=words, description=words)
    made.add_argument("--file", type=Path, default=argparse.SUPPRESS, help=argparse.SUPPRESS)
    if formats:
        made.add_argument(
            "--format", choices=formats, default="text", help="how to write the answer (default: text)"
        )
    return made


@contextmanager
def book_of(options: argparse.Namespace, *, create: bool = False) -> Iterator[Book]:
    """The book the options name, open and with its derived figures up to date.

    One that was made for a command that then wrote nothing, as it was refused or only tried, is taken back. One that is made
    where backups of another stand does not mix with them: they are set aside, and it is said.
    """
    from logbook.services.freshness import freshen
    from logbook.wiring import open_book

    path = options.file or default_book()
    begun = create and not path.exists()
    with open_book(path, create=create, anew=begun) as book:
        try:
            if not freshen(book):
                say(
                    "note: the book cannot be written now; flags and figures may be those of an earlier time."
                )
            book.after_commit = lambda: WRITTEN.add(path)
            yield book
        finally:
            if create and path not in WRITTEN:
                book.take_back()
            elif begun:
                _say_begun(path)


def _say_begun(path: Path) -> None:
    from logbook.services.backups import set_earlier_aside

    if words := set_earlier_aside(path):
        say(words)


def read_text(path: str) -> str:
    """A file's text, or standard input for `-`.

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it is not UTF-8, or too large.
    """
    try:
        data = sys.stdin.buffer.read(MOST_INPUT + 1) if path == "-" else _read_file(Path(path))
    except OSError as error:
        raise FileTrouble(
            f"The file {path} cannot be read: {error.strerror}.", next_step="Check its name and permissions."
        ) from error
    if len(data) > MOST_INPUT:
        raise DataRefused("The input is larger than 512 MiB.", next_step="Split it, or import a package.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DataRefused("The input is not UTF-8 text.", next_step="Save it as UTF-8.") from None


def _read_file(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_INPUT + 1)


def read_json(path: str) -> Any:
    """JSON from a file or standard input.

    Raises:
        DataRefused: it is not JSON; says where.
    """
    text = read_text(path)
    try:
        return json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_repeats)
    except json.JSONDecodeError as error:
        raise DataRefused(
            f"The input is not JSON: {error.msg} in line {error.lineno}.", next_step="Correct it there."
        ) from None
    except (ValueError, RecursionError) as error:
        raise DataRefused(f"The input cannot be taken: {error}.", next_step="Correct it.") from None


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number here; leave the field out where it is unknown")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("an object names a field twice")
    return found


def write_json(value: Any) -> None:
    """One JSON value on standard output."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, allow_nan=False)
    sys.stdout.write("\n")


def write_json_list(rows: Iterable[Any]) -> None:
    """A bare list, written as it comes so that a large book needs no large memory."""
    begin = "[\n"
    for (
        row
    ) in rows:  # the first row is there before anything is written: what is refused leaves no half answer
        sys.stdout.write(begin + json.dumps(row, ensure_ascii=False, allow_nan=False))
        begin = ",\n"
    sys.stdout.write("[\n]\n" if begin == "[\n" else "\n]\n")


def write_csv(columns: Sequence[str], rows: Iterable[dict[str, Any]]) -> None:
    """Rows as CSV (RFC 4180), text guarded against spreadsheets that would run it."""
    import csv

    from logbook.reports.guard import guarded
    from logbook.units import to_cell

    writer = csv.writer(sys.stdout, lineterminator="\r\n")
    rows = iter(rows)
    first = next(rows, None)  # what is refused leaves no half answer
    writer.writerow(columns)
    for row in rows if first is None else chain((first,), rows):
        cells = (row.get(column) for column in columns)
        writer.writerow(
            [guarded(to_cell(cell)) if isinstance(cell, (str, list)) else to_cell(cell) for cell in cells]
        )


def write_text(columns: Sequence[Column], rows: Iterable[dict[str, Any]], empty: str) -> None:
    """Rows as a table of plain text."""
    from logbook.reports.text_table import write_table

    write_table(sys.stdout, columns, rows, empty=empty)


def say(text: str) -> None:
    """Talk, on standard error, with nothing hidden in it."""
    from logbook.reports.visible import visible

    sys.stderr.write(visible(text) + "\n")
