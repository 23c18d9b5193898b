"""Getting text out of the terminal: by its clipboard sequence, and always also by a file."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from textual.app import App

SENT = "Sent to the terminal. If pasting does not give it, write it to a file instead."


def send_to_terminal(app: App[Any], text: str) -> str:
    """Asks the terminal to put text on the clipboard (OSC 52). Gives the words to show: the terminal never answers."""
    app.copy_to_clipboard(text)
    return SENT


def write_to_file(text: str, folder: Path, name: str) -> Path:
    """Writes text to a new file readable by its owner only; never over another file.

    Raises:
        OSError: the folder cannot be written.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for number in range(1, 10_000):
        path = folder / (f"{name}.txt" if number == 1 else f"{name}-{number}.txt")
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            continue
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        return path
    raise FileExistsError(f"{folder} holds too many files named {name}")
