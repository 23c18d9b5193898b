"""Only the command that is named is built, and nothing about the command line changes by it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from logbook.cli.grammar import COMMANDS, parse, parser


def _commands(modules: tuple[str, ...]) -> list[str]:
    """The commands that some modules register."""
    found = parser(modules)._subparsers
    assert found is not None
    choices = found._group_actions[0].choices
    assert choices is not None
    return list(choices)


@pytest.mark.parametrize("module", COMMANDS)
def test_each_module_registers_the_commands_that_are_looked_for_in_it(module: str) -> None:
    assert _commands((module,)) == list(COMMANDS[module])


@pytest.mark.parametrize(
    "arguments",
    [
        [], ["--version"], ["--sample"], ["--file", "a"], ["--file=a"], ["--file="], ["--file", "a", "--sample"],
        ["--file", "list", "backup"], ["--file", "a", "list", "flights"], ["list", "flights", "--file", "b"],
        ["--sample", "check"], ["--versio"], ["--fil", "list", "backup"], ["--file", "a", "--file", "b"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_the_options_are_those_of_the_whole_grammar(arguments: list[str]) -> None:
    assert vars(parse(arguments)) == vars(parser().parse_args(arguments))


@pytest.mark.parametrize(
    "arguments",
    [["fly"], ["--file"], ["--file", "--sample"], ["--file", "-x", "list"], ["list"], ["--nope"], ["--", "list"], ["list", "--nope"], [""], ["-h"]],
    ids=" ".join,
)  # fmt: skip
def test_what_is_no_command_is_said_as_by_the_whole_grammar(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    ended = []
    for read in (parse, parser().parse_args):
        with pytest.raises(SystemExit) as end:
            read(arguments)
        ended.append((end.value.code, capsys.readouterr()))
    assert ended[0] == ended[1]


def test_a_command_loads_its_own_module_and_no_other() -> None:
    code = (
        "import sys; from logbook.cli.grammar import parse; parse(['list', 'flights']); "
        "print(*(name for name in sys.modules if name.endswith('_commands')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split() == ["logbook.cli.record_commands"]


def test_the_version_needs_no_grammar() -> None:
    code = (
        "import sys; from logbook.cli.main import run; status = run(['--version']); "
        "print(status, *(name for name in ('argparse', 'json', 'importlib.metadata') if name in sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[1] == "0"
