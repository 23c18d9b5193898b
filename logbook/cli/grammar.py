"""The grammar of the command line. Without a command the screens open, and no command's code is loaded for them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NoReturn


class Parser(argparse.ArgumentParser):
    """Repeats what it did not understand with nothing hidden in it."""

    def error(self, message: str) -> NoReturn:
        """Says what was not understood and ends with status 2."""
        from logbook.reports.visible import visible

        super().error(visible(message))


def parser() -> argparse.ArgumentParser:
    """Everything the command line understands."""
    from logbook.cli import (
        care_commands,
        energy_commands,
        export_commands,
        import_commands,
        pack_commands,
        people_commands,
        record_commands,
        recording_commands,
        signing_commands,
        slip_commands,
    )

    top = Parser(
        prog="logbook",
        description="A pilot's logbook for battery-electric light aeroplanes. Without a command: the screens.",
        epilog="Planning aid and record; the flight manual, local rules and licensed people decide. See docs/interface.md.",
    )
    _general(top)
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for module in (
        record_commands,
        pack_commands,
        energy_commands,
        people_commands,
        signing_commands,
        import_commands,
        recording_commands,
        export_commands,
        slip_commands,
        care_commands,
    ):
        module.register(commands)
    return top


def parse(arguments: list[str]) -> argparse.Namespace:
    """The options that were given; ends the process with status 2 where they are none."""
    return _without_command(arguments) or parser().parse_args(arguments)


def _general(parser_: argparse.ArgumentParser) -> None:
    parser_.add_argument(
        "--file", type=Path, help="the logbook (default: LOGBOOK_FILE, else the data folder)"
    )
    parser_.add_argument("--sample", action="store_true", help="open a scratch copy of the sample")
    parser_.add_argument("--version", action="store_true", help="print the version and end")


def _without_command(arguments: list[str]) -> argparse.Namespace | None:
    """The options where no command is named; None where one is, or where help is wanted."""
    top = Parser(prog="logbook", add_help=False, allow_abbrev=False, exit_on_error=False)
    _general(top)
    try:
        options, rest = top.parse_known_args(arguments)
    except argparse.ArgumentError:
        return None
    return None if rest else argparse.Namespace(**vars(options), command=None)
