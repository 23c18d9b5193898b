"""What the documents tell a reader to type is typed here, on a copy of the sample: commands, keys, SQL and Python."""

from __future__ import annotations

import io
import json
import re
import shlex
import shutil
import sqlite3
import sys
from pathlib import Path

import pytest

from logbook.cli.grammar import parser
from logbook.cli.main import run
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.ui.actions import ACTIONS
from tests.docs.pages import DOCS, ROOT, blocks, name_of, spans, text_of
from tests.recorder import flight_rows, written

GUIDES = sorted((DOCS / "guide").glob("*.md"))
SAMPLE = ROOT / "sample_db" / "sample.logbook"
MODEL, LIBRARY = DOCS / "data-model.md", DOCS / "library.md"

_FILES = {
    "aeroplane.json": {"registration": "X-TWIN", "positions": ["front", "rear"], "reserve_soc_pct": 30},
    "packs.json": [{"serial_no": "S1", "nominal_kwh": 12}],
    "flight.json": {
        "aircraft": "ZZ-AMP", "off_blocks": "2026-11-18T08:30Z", "on_blocks": "2026-11-18T09:05Z", "pilot": "Ada Brink",
        "readings": [{"serial_no": "A1-417", "soc_departure_pct": 95, "soc_landing_pct": 60}],
    },
    "charge.json": {"serial_no": "A1-417", "started": "2026-11-18T09:40Z", "soc_start_pct": 60, "soc_end_pct": 90},
    "plan.json": {"aircraft": "ZZ-AMP", "legs": [{"kind": "circuits", "circuits": 2}]},
    "people.json": [{"person": "Sol Reker"}],
    "items.json": {"person": "Sol Reker", "item": "medical", "valid_until": "2027-11-01"},
    "entry.json": {"aircraft": "ZZ-AMP", "text": "Tyre changed", "completed": "2026-11-17T09:00Z", "work": "repair"},
    "readings.json": {"serial_no": "A1-417", "at": "2026-11-17T09:00Z", "cell_min_v": 3.9, "cell_max_v": 3.93},
    "bench.json": {"serial_no": "A1-417", "at": "2026-11-17T10:00Z", "kwh": 14.1, "soc_from_pct": 100, "soc_to_pct": 5},
}  # fmt: skip
_CSV = "Day,Out,In,Who\n17.11.2026,09:10,09:50,Ada Brink\n"
_MAPPING = """kind = "flight"
[dates]
order = "day month year"
zone = "UTC"
[columns]
aircraft = { value = "ZZ-OHM" }
off_blocks = { column = "Out", as = "time", date = "Day" }
on_blocks = { column = "In", as = "time", date = "Day", after = "off_blocks" }
pilot = "Who"
"""


_RECORDER = """kind = "recording"
aircraft = "ZZ-AMP"
time = { column = "t", as = "seconds", start = "2031-05-08T16:00:00Z" }
gaps = { longest_s = 5 }
speed = { column = "gs", unit = "kt", of = "ground" }
"""


def _track() -> str:
    """A straight flight of ten minutes at some fifty knots, a point every ten seconds."""
    points = [
        f'<trkpt lat="{55.9 + 0.0023 * max(0, min(n, 60)):.4f}" lon="4.42"><ele>{12 + min(n, 60 - n, 20) * 10}</ele>'
        f"<time>2026-11-17T{10 + (n + 6) // 360:02d}:{(n + 6) // 6 % 60:02d}:{(n + 6) % 6 * 10:02d}Z</time></trkpt>"
        for n in range(-6, 67)
    ]
    head = '<gpx version="1.1" creator="by hand" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
    return head + "".join(points) + "</trkseg></trk></gpx>"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the sample as the usual book and every file the guides speak of."""
    monkeypatch.chdir(tmp_path)
    for name in ("book.logbook", "other.logbook", "damaged.logbook", "club.logbook"):
        shutil.copyfile(SAMPLE, tmp_path / name)
        (tmp_path / name).chmod(0o600)
    for name, content in _FILES.items():
        (tmp_path / name).write_text(json.dumps(content), encoding="utf-8")
    (tmp_path / "flights.csv").write_text(_CSV, encoding="utf-8")
    (tmp_path / "flights.toml").write_text(_MAPPING, encoding="utf-8")
    (tmp_path / "track.gpx").write_text(_track(), encoding="utf-8")
    written(tmp_path / "card.csv", flight_rows())
    (tmp_path / "club.toml").write_text(_RECORDER, encoding="utf-8")
    (tmp_path / "passphrase").write_text("a long passphrase\n", encoding="utf-8")
    monkeypatch.setenv("LOGBOOK_PASSPHRASE_FILE", str(tmp_path / "passphrase"))
    return tmp_path


def _lines(page: Path) -> list[str]:
    return [
        line
        for block in blocks(page, "sh")
        for line in block.splitlines()
        if "logbook " in line and "venv" not in line
    ]


@pytest.mark.usefixtures("desk")
@pytest.mark.parametrize("page", GUIDES, ids=name_of)
def test_every_command_of_a_guide_works_in_the_order_in_which_it_stands(page, monkeypatch, capfd) -> None:
    lines = _lines(page)
    assert len(lines) > 5
    for line in lines:
        given, _, command = line.rpartition(" | ")
        if given:
            said = " ".join(shlex.split(given)[1:]).encode()
            monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(said), "utf-8"))
        words = shlex.split(command)
        assert words[0] == "logbook"
        status = run(words[1:])
        told = capfd.readouterr()
        fine = (0, 1) if words[1] in ("plan", "check") else (0,)
        assert status in fine, f"{line}\n{told.err}"


def _commands(page: Path) -> list[str]:
    return [span for span in spans(page) if re.match(r"logbook [a-z-]+ ", span)]


@pytest.mark.parametrize(
    "page", [*GUIDES, DOCS / "flags.md", DOCS / "exchange.md", ROOT / "README.md"], ids=name_of
)
def test_a_command_in_the_running_text_is_one_the_program_knows(page: Path) -> None:
    known = {name for action in parser()._actions if action.choices for name in action.choices}
    for command in _commands(page):
        for word in command.split()[1].split("|"):
            assert word in known, command


@pytest.mark.parametrize("page", GUIDES, ids=name_of)
def test_a_key_a_guide_names_is_a_key(page: Path) -> None:
    keys = (
        {action.shown_key for action in ACTIONS}
        | {key for action in ACTIONS for key in action.keys}
        | {"=", "-"}
    )
    named = {span for span in spans(page) if re.fullmatch(r"F\d+|[a-z?=-]|Esc", span)}
    assert named - keys - {key.upper() for key in keys} == set()


@pytest.mark.parametrize("query", blocks(MODEL, "sql"))
def test_a_query_of_the_data_model_gives_rows(query: str) -> None:
    connection = sqlite3.connect(f"file:{SAMPLE}?mode=ro", uri=True)
    try:
        assert connection.execute(query).fetchall()
    finally:
        connection.close()


def test_the_data_model_names_every_table_and_view(tmp_path: Path) -> None:
    with Book.open(tmp_path / "new.logbook", create=True) as book:
        rows = book.connection.execute(
            "SELECT name FROM sqlite_master WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
    names = {name for (name,) in rows}
    assert names >= TABLES.keys()
    assert names - set(spans(MODEL)) == set()


@pytest.mark.usefixtures("desk")
@pytest.mark.parametrize("code", blocks(LIBRARY, "python"))
def test_the_example_of_the_library_runs(code: str, capsys) -> None:
    exec(compile(code, "docs/library.md", "exec"), {})  # noqa: S102 - our own page
    told = capsys.readouterr().out
    assert "level flight: 0." in told
    assert "2026-04" in told
    assert re.search(r"^(fits|does_not_fit|cannot_tell) \w+", told, re.MULTILINE)


def test_the_library_page_names_every_method() -> None:
    from logbook.services.library import Logbook

    text = text_of(LIBRARY)
    methods = {name for name in vars(Logbook) if not name.startswith("_")} - {"close", "path"}
    assert {name for name in methods if f"`{name}(" not in text and f"{name}(" not in text} == set()
