"""Starts the logbook: `logbook` or `python -m logbook`."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path


def main() -> None:
    """Runs the command line and ends the process with its exit status.

    What it writes is UTF-8 with the line ends it chose, whatever the system prefers: other programs read it.
    """
    from logbook.cli.main import run

    for name in ("stdin", "stdout", "stderr"):
        if getattr(sys, name) is None:  # whoever started us closed it
            setattr(sys, name, Path(os.devnull).open("r" if name == "stdin" else "w"))  # noqa: SIM115 - open as long as we run
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", newline="")
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
