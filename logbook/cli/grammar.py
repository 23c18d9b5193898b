"""The grammar of the command line. Only the code of the command that is named is loaded; without one, the screens open."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import argparse

COMMANDS: Final = {
    "record_commands": ("add", "list", "show", "correct", "strike", "undo", "answer"),
    "pack_commands": (
        "pack",
        "ledger",
        "fit",
        "remove",
        "swap",
        "take-back",
        "state",
        "release",
        "charge-now",
    ),
    "paper_commands": ("paper",),
    "energy_commands": ("rates", "capacity", "forecasts", "plan", "plans"),
    "people_commands": ("totals", "recency", "student", "students", "pages", "forget", "billing"),
    "signing_commands": ("key", "sign", "signatures"),
    "import_commands": ("import", "merge"),
    "recording_commands": ("recorded",),
    "export_commands": ("export",),
    "slip_commands": ("slips",),
    "care_commands": ("check", "backup", "restore", "salvage"),
    "settings_commands": ("settings",),
}
"""Which module registers which commands: building all of them takes longer than most commands do."""

_OFFSET: Final = "--clock"
"""The option whose value may begin with a minus."""

Options = SimpleNamespace
"""What was asked for, by the names of the options; `argparse.Namespace` serves as well."""


def parser(modules: tuple[str, ...] = tuple(COMMANDS)) -> argparse.ArgumentParser:
    """Everything the command line understands, or only the commands of some modules."""
    from logbook.cli.parser import Parser

    top = Parser(
        prog="logbook",
        description="A pilot's logbook for battery-electric light aeroplanes. Without a command: the screens.",
        epilog="Planning aid and record; the flight manual, local rules and licensed people decide. See docs/interface.md.",
    )
    top.add_argument("--file", type=Path, help="the logbook (default: LOGBOOK_FILE, else the data folder)")
    top.add_argument("--sample", action="store_true", help="open a scratch copy of the sample")
    top.add_argument("--version", action="store_true", help="print the version and end")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for module in modules:
        import_module(f"logbook.cli.{module}").register(commands)
    return top


def parse(arguments: list[str]) -> Options:
    """The options that were given; ends the process with status 2 where they are none."""
    options = Options(file=None, sample=False, version=False, command=None)
    arguments = _with_offsets(arguments)
    rest = _leading(arguments, options)
    if not rest and rest is not None:
        return options
    named = [module for module, words in COMMANDS.items() if rest and rest[0] in words]
    return Options(**vars(parser(tuple(named or COMMANDS)).parse_args(arguments)))


def _with_offsets(arguments: list[str]) -> list[str]:
    """The arguments with an offset that begins with a minus joined to its option: `--clock -2:00` is `--clock=-2:00`.

    Such a word would be taken for an option. A minus before anything but a figure stays what it is, and so does what
    stands behind `--`.
    """
    found: list[str] = []
    for number, word in enumerate(arguments):
        if word == "--":
            return found + arguments[number:]
        if found and found[-1] == _OFFSET and word[:1] == "-" and word[1:2].isdecimal():
            found[-1] = f"{_OFFSET}={word}"
        else:
            found.append(word)
    return found


def _leading(arguments: list[str], options: Options) -> list[str] | None:
    """Reads the options before the command. Returns the rest; None where there is anything to be said about them."""
    words = iter(arguments)
    for word in words:
        name, given, value = word.partition("=")
        if word in ("--sample", "--version"):
            setattr(options, word[2:], True)
        elif name == "--file":
            path = value if given else next(words, "-")
            if path.startswith("-"):
                return None  # none was given
            options.file = Path(path)
        elif word.startswith("-"):
            return None  # help, or an option there is not
        else:
            return [word, *words]
    return []
