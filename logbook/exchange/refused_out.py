"""Rows that an import refused, as files that can be mended and imported again."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TextIO

from logbook.errors import FileTrouble, UsageError
from logbook.exchange.layout import LAYOUTS
from logbook.paths import for_owner

_REASONS = "reasons.csv"


class RefusedFiles:
    """Collects refused rows beside the folder in which they will stand, and puts them there when the import is done.

    Each file has the header and the rows of its source, untouched, so that mending a row and importing the folder is
    all there is to do; `reasons.csv`, which an import passes over, says what was wrong.
    """

    def __init__(
        self, folder: Path, *, encoding: str = "utf-8", separator: str = ",", preface: str = ""
    ) -> None:
        """Args: folder: where they go.

        The encoding, the separator and the lines before the header are those of the source, so that it is read again
        as it was; the reasons are always UTF-8 with commas.

        Raises:
            UsageError: it holds rows refused earlier, which would be lost.
        """
        if folder.exists() and (
            not folder.is_dir() or any((folder / f"{name}.csv").exists() for name in LAYOUTS)
        ):
            raise UsageError(
                f"{folder} holds something already.",
                next_step="Mend and import it, move it away, or name another folder with --refused.",
            )
        self.folder = folder
        self._encoding, self._separator, self._preface = encoding, separator, preface
        self.count = 0
        self._draft: TemporaryDirectory[str] | None = None
        self._files: dict[str, TextIO] = {}

    def add(self, file: str, header: Sequence[str], row: Sequence[str], why: tuple[int, str, str]) -> None:
        """Keeps a row of a file (base name) with the line, the record's id and the reason."""
        self.count += 1
        self._write(f"{file}.csv", header, row)
        line, record_id, reason = why
        self._write(
            _REASONS, ("file", "line", "record_id", "why"), (f"{file}.csv", str(line), record_id, reason)
        )

    def finish(self, descriptor: str | None) -> Path | None:
        """Puts the files in their place. Returns the folder, or None where nothing was refused.

        Args:
            descriptor: the text of a `datapackage.json` the files need to be read as they were, if any.
        """
        if self._draft is None:
            return None
        try:
            for stream in self._files.values():
                stream.close()
            draft = Path(self._draft.name)
            if descriptor is not None:
                with open(draft / "datapackage.json", "x", encoding="utf-8", opener=for_owner) as file:
                    file.write(descriptor)
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            for path in sorted(draft.iterdir()):
                path.replace(self.folder / path.name)
        except OSError as error:
            raise FileTrouble(
                f"The refused rows cannot be written to {self.folder}: {error.strerror or error}.",
                next_step="Check the folder.",
            ) from error
        finally:
            self.drop()
        return self.folder

    def drop(self) -> None:
        """Lets go of what was collected."""
        for stream in self._files.values():
            stream.close()
        self._files = {}
        if self._draft is not None:
            self._draft.cleanup()
            self._draft = None

    def _write(self, name: str, header: Sequence[str], row: Sequence[str]) -> None:
        if self._draft is None:
            self.folder.parent.mkdir(parents=True, exist_ok=True)
            self._draft = TemporaryDirectory(prefix=f".{self.folder.name}-", dir=self.folder.parent)
        ours = name == _REASONS
        separator = "," if ours else self._separator
        if name not in self._files:
            encoding = "utf-8" if ours else self._encoding
            path = Path(self._draft.name) / name
            self._files[name] = open(path, "x", encoding=encoding, newline="", opener=for_owner)  # noqa: SIM115 - a path takes no opener; closed at the end
            self._files[name].write("" if ours else self._preface)
            csv.writer(self._files[name], delimiter=separator).writerow(header)
        csv.writer(self._files[name], delimiter=separator).writerow(row)
