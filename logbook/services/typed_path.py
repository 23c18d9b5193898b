"""A path as it is typed: completed as far as it is clear, and the folder that was used last."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple

from logbook.paths import for_owner, state_folder

_NAME: Final = "recent-folder"
_MOST_LISTED: Final = 2000


class Completed(NamedTuple):
    """A path completed: the text that may stand in the box now, and the names that begin so."""

    text: str
    names: tuple[str, ...] = ()


def completed(text: str, endings: tuple[str, ...]) -> Completed:
    """Completes a typed path as far as all names that begin so agree; folders end in a slash.

    Args:
        text: as typed; `~` is the home folder and stays as it is.
        endings: of files that count, in small letters; folders always count.
    """
    head, slash, start = text.rpartition("/")
    folder = Path(f"{head}/" if slash else ".").expanduser()
    try:
        with os.scandir(folder) as entries:
            listed = [entry for _, entry in zip(range(_MOST_LISTED), entries, strict=False)]
        found = sorted(
            f"{entry.name}/" if entry.is_dir() else entry.name
            for entry in listed
            if entry.name.startswith(start) and (start or not entry.name.startswith("."))
            and (entry.is_dir() or entry.name.lower().endswith(endings))
        )  # fmt: skip
    except (OSError, RuntimeError, ValueError):
        return Completed(text)
    return Completed(f"{head}{slash}{_common(found)}" if found else text, tuple(found))


def _common(names: list[str]) -> str:
    """The letters with which all names begin; they are sorted, so the first and the last tell."""
    first, last = names[0], names[-1]
    agree = next(
        (at for at, (one, other) in enumerate(zip(first, last, strict=False)) if one != other), len(first)
    )
    return first[:agree]


def recent_folder() -> str:
    """The folder a file was taken from last, with a slash at its end; empty where there is none."""
    try:
        text = (state_folder() / _NAME).read_text(encoding="utf-8").strip()
        return f"{text.rstrip('/')}/" if text and Path(text).is_dir() else ""
    except (OSError, ValueError):
        return ""


def keep_folder(path: Path) -> None:
    """Remembers the folder of a file; where that cannot be kept, nothing is lost but some typing."""
    with (
        suppress(OSError, ValueError),
        open(state_folder() / _NAME, "w", encoding="utf-8", opener=for_owner) as file,
    ):
        file.write(str(path.expanduser().absolute().parent))
