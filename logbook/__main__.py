"""Starts the logbook: `logbook` or `python -m logbook`."""

from __future__ import annotations

import sys


def main() -> None:
    """Runs the command line and ends the process with its exit status."""
    from logbook.cli.main import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
