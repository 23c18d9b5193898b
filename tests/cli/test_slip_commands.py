"""Slips by command: both on standard output, or one of them as a page in a file."""

from logbook.cli.main import run
from tests import club


def test_both_slips_come_on_standard_output(book_path, capsys) -> None:
    assert run(["--file", str(book_path), "slips"]) == 0
    out = capsys.readouterr().out
    assert "Flight of X-" in out
    assert "Charge of X-" in out


def test_one_slip_of_one_aeroplane_as_a_page(book_path, tmp_path, capsys) -> None:
    target = tmp_path / "slip.html"
    words = ["--file", str(book_path), "slips", "charge", "--aircraft", club.VOLT, "--to", str(target)]
    assert run(words) == 0
    assert f"Charge of {club.VOLT}" in target.read_text()
    assert run(words) == 2
    assert "there already" in capsys.readouterr().err
