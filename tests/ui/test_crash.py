"""A defect ends the program politely: nothing private on the terminal, a report on the disk, exit code 70."""

import os
import pty
import stat
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from logbook.ui.base_app import BaseApp
from logbook.ui.crash import crash_report, last_words, run_guarded, write_report

PROGRAM = textwrap.dedent(
    """
    import sys
    from pathlib import Path
    from logbook.ui.base_app import BaseApp
    from logbook.ui.crash import run_guarded

    class Broken(BaseApp):
        def on_mount(self):
            licence = "SECRET-LICENCE-4711"
            self.set_timer(0.05, lambda: self.fail(licence))
        def fail(self, licence):
            raise ValueError(f"no such person: {licence}")

    app = Broken()
    app.crash_folder = Path(sys.argv[1])
    sys.exit(run_guarded(app, app.crash_folder))
    """
)


def run_in_a_terminal(script: str, folder: Path) -> tuple[int, str]:
    """Runs a program in a real pseudo-terminal; gives the exit code and everything it wrote there."""
    main, side = pty.openpty()
    program = subprocess.Popen(
        [sys.executable, "-c", script, str(folder)],
        stdin=side,
        stdout=side,
        stderr=side,
        env={
            **os.environ,
            "TERM": "xterm-256color",
            "COLUMNS": "80",
            "LINES": "24",
            "PYTHONPATH": str(Path.cwd()),
        },
    )
    os.close(side)
    written = b""
    while True:
        try:
            data = os.read(main, 65536)
        except OSError:  # the other side is closed: the program has ended
            break
        if not data:
            break
        written += data
    os.close(main)
    return program.wait(timeout=20), written.decode("utf-8", "replace")


def test_a_defect_restores_the_terminal_and_leaves_three_lines_and_a_report(tmp_path: Path) -> None:
    folder = tmp_path / "state"
    code, written = run_in_a_terminal(PROGRAM, folder)
    assert code == 70
    (report,) = folder.iterdir()
    after = written[
        written.rindex("\x1b[?1049l") :
    ]  # what is printed once the alternate screen is left (xterm, ctlseqs)
    assert "\x1b[?25h" in written  # the cursor is shown again
    plain = [line for line in after.replace("\r", "").split("\n") if line.strip()]
    assert any("defect of its own" in line for line in plain)
    assert str(report) in after.replace("\r", "").replace("\n", "")
    assert "SECRET" not in written
    assert "SECRET" not in report.read_text(encoding="utf-8")
    assert stat.S_IMODE(report.stat().st_mode) == 0o600


def test_the_report_says_where_but_not_what() -> None:
    def inner(name: str) -> None:
        raise KeyError(name)

    def outer() -> None:
        try:
            inner("Person One")
        except KeyError as error:
            raise RuntimeError("about Person One") from error

    with pytest.raises(RuntimeError) as caught:
        outer()
    report = crash_report(caught.value)
    assert "RuntimeError" in report
    assert "KeyError" in report  # the cause too
    assert "in inner" in report
    assert "Person" not in report
    assert str(Path.home()) + "/" not in report


async def test_under_a_test_the_defect_is_still_raised(tmp_path: Path) -> None:
    class Broken(BaseApp):
        def on_mount(self) -> None:
            raise ZeroDivisionError

    app = Broken()
    app.crash_folder = tmp_path
    with pytest.raises(ZeroDivisionError):
        async with app.run_test():
            pass
    assert app.return_code == 70
    assert len(os.listdir(tmp_path)) == 1  # noqa: PTH208 - in an async test


def test_a_failure_before_the_first_screen_is_reported_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    class Unstartable(BaseApp):
        def run(self, *_args, **_options) -> None:
            raise RuntimeError("no terminal")

    assert run_guarded(Unstartable(), tmp_path) == 70
    assert capsys.readouterr().err.count("\n") == 3
    assert len(list(tmp_path.iterdir())) == 1


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    assert write_report(ValueError("x"), blocked / "below") is None
    assert "could not be written" in last_words(None)
