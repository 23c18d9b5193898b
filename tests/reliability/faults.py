"""Faults that really reach the program: a child that is nobody, a small disk, a limit on the size of files."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from logbook.cli.main import run
from tests import children

NOBODY = 54321
"""A user without a name, a home and a right to anything."""


class Outcome(NamedTuple):
    """How a command ended, and all it wrote."""

    status: int
    said: str


def outcome(words: list[str], before: Callable[[], None] = lambda: None) -> Outcome:
    """Runs a command in a child, in which something is done first that could not be taken back here."""

    def work() -> None:
        os.dup2(1, 2)
        sys.stderr = sys.stdout
        before()
        status = run(words)
        sys.stdout.write(f"\n{status}\n")

    child = children.start(work)
    with child.said:
        said = child.said.read().decode()
    assert child.wait() == 0, said
    text, _, status = said.rstrip().rpartition("\n")
    return Outcome(int(status), text)


def become_nobody() -> None:
    """Gives up all rights: the tests of a build run as root, for whom nothing is read-only."""
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    os.environ["LOGBOOK_STATE"] = "/dev/null/nowhere"  # nor a place for drafts


def limit_files(most: int) -> Callable[[], None]:
    """No file of the process may become larger [bytes]."""
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))


@contextmanager
def small_disk(size: int) -> Iterator[Path | None]:
    """A disk of its own [bytes], or None where none may be mounted."""
    folder = Path(tempfile.mkdtemp(prefix="logbook-disk-"))
    mounted = sys.platform == "linux" and os.geteuid() == 0 and shutil.which("mount")
    done = mounted and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "logbook-test", str(folder)],
        check=False,
        capture_output=True,
    )
    try:
        yield folder if done and done.returncode == 0 else None
    finally:
        if done and done.returncode == 0:
            subprocess.run(["umount", "-l", str(folder)], check=True)
        shutil.rmtree(folder)


def remount_read_only(folder: Path) -> None:
    """The disk can only be read from now on."""
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
