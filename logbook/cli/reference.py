"""The reference of all commands as a page of docs, from the same words that `--help` prints.

python -m logbook.cli.reference > docs/commands.md
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from logbook.cli.grammar import parser

_HEAD = """# Commands

`logbook [--file PATH] [COMMAND]`; the file is also named by `LOGBOOK_FILE`; without either it lies in the platform's
data folder ([where](guide/keeping.md#where-it-lies)). `logbook` alone opens the screens, `logbook --sample` opens them
on a scratch copy of the sample, `logbook --sample COMMAND` asks that copy.

Data goes to standard output, talk and flags to standard error. Text shows control and bidirectional characters as
visible escapes; only JSON and CSV carry text exactly (CSV behind the guard against spreadsheets, `interface.md`).

Status: 0 done, flags included; 1 `check` with findings, `plan` that does not fit, `signatures` of which one does not
hold, or `paper check` of a paper that is not what it was; 2 wrong usage; 3 data refused, or no book at that path; 70 a
defect of the program; 74 trouble with the file (locked, full, damaged, read-only).

`add` and `import` make a book where none is; commands that read do not. This page is made from the program: see
`logbook COMMAND --help`.
"""


def reference() -> str:
    """The page, in Markdown."""
    return _HEAD + "".join(_section(name, one) for name, one in _commands(parser(), ""))


def _commands(top: argparse.ArgumentParser, before: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    """Every command with its parser, and the commands below a command."""
    for action in top._actions:  # noqa: SLF001 - argparse offers no other way to ask for what was added
        if isinstance(action, argparse._SubParsersAction):  # noqa: SLF001
            for name, one in action.choices.items():
                full = f"{before}{name}"
                yield full, one
                yield from _commands(one, f"{full} ")


def _section(name: str, one: argparse.ArgumentParser) -> str:
    said = (one.description or "").strip()
    lines = [f"\n## {name}\n\n{said[:1].upper()}{said[1:]}{'' if said.endswith('?') else '.'}\n\n"]
    rows = [row for action in one._actions if (row := _row(action))]  # noqa: SLF001
    if rows:
        lines += ["| | |\n|---|---|\n", *rows]
    return "".join(lines)


def _row(action: argparse.Action) -> str:
    """One argument or option; what is explained once at the top, or for everybody, is left out."""
    if action.help == argparse.SUPPRESS or action.dest in ("help", "command"):
        return ""
    if isinstance(action, argparse._SubParsersAction):  # noqa: SLF001
        return ""
    name = (
        ", ".join(action.option_strings)
        if action.option_strings
        else str(action.metavar or action.dest).upper()
    )
    choices = "" if not action.choices else f" ({', '.join(map(str, action.choices))})"
    words = (action.help or "").replace("%%", "%")  # as argparse itself prints it
    return f"| `{_cell(name)}` | {_cell(words)}{choices} |\n"


def _cell(text: str) -> str:
    """Text within a table."""
    return text.replace("|", "\\|")


if __name__ == "__main__":
    sys.stdout.write(reference())
