"""Starts the logbook: `logbook` or `python -m logbook`."""

from __future__ import annotations

import io
import sys


def main() -> None:
    """Runs the command line and ends the process with its exit status.

    What it writes is UTF-8 with the line ends it chose, whatever the system prefers: other programs read it.
    """
    from logbook.cli.main import run

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", newline="")
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
