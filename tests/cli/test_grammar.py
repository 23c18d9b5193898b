"""Only the command that is named is built, and nothing about the command line changes by it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

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


@pytest.mark.parametrize("offset", ["-2:00", "-45s", "-2", "-1:30", "1:00", "-2 min"])
def test_a_clock_that_was_ahead_needs_no_sign_between_option_and_value(offset: str) -> None:
    assert parse(["import", "a.gpx", "--clock", offset, "--dry-run"]) == parse(
        ["import", "a.gpx", f"--clock={offset}", "--dry-run"]
    )
    assert parse(["import", "a.gpx", "--clock", offset]).clock == offset


@pytest.mark.parametrize("rest", [["--clock", "--dry-run"], ["--clock", "-x"], ["--clock"]], ids=" ".join)
def test_a_clock_without_a_value_is_refused(rest: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        parse(["import", "a.gpx", *rest])
    assert end.value.code == 2
    assert "--clock" in capsys.readouterr().err


def test_behind_two_hyphens_every_word_is_a_value() -> None:
    assert parse(["import", "--", "--clock"]).source == Path("--clock")


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
