"""The command line in this process, and as a process of its own."""

from __future__ import annotations

import io
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from logbook.cli.main import run

ROOT = Path(__file__).parents[2]


class Answer(NamedTuple):
    """Exit status, standard output, standard error."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def logbook(capfd, monkeypatch) -> Callable[..., Answer]:
    """Runs a command in this process; `given` is what comes on standard input."""

    def call(*words: str, given: object = None) -> Answer:
        if given is not None:
            data = given if isinstance(given, bytes) else json.dumps(given).encode()
            monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), "utf-8"))
        capfd.readouterr()
        try:
            status = run([str(word) for word in words])
        except SystemExit as end:  # argparse ends so
            status = int(end.code or 0)
        sys.stdout.flush()
        return Answer(status, *capfd.readouterr())

    return call


@pytest.fixture
def process(tmp_path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Runs a command as people do: a fresh process."""

    def call(*words: str, given: bytes = b"", **options: Any) -> subprocess.CompletedProcess[bytes]:
        extra = options.pop("env", {})
        streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options
        return subprocess.run(
            [sys.executable, "-m", "logbook", *map(str, words)],
            input=given,
            env=os.environ | {"PYTHONPATH": str(ROOT)} | extra,
            cwd=tmp_path,
            check=False,
            timeout=60,
            **streams,
        )

    return call


def dump(path: Path) -> str:
    """Everything in the file, as SQL text."""
    connection = sqlite3.connect(path)
    try:
        return "\n".join(connection.iterdump())
    finally:
        connection.close()
