"""The first screen is there at once, because nothing heavy is loaded before it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from logbook.paths import sample_file

FIRST_PAINT = """
import asyncio, sys
from pathlib import Path
from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp

async def paint() -> None:
    app = LogbookApp(Desk.at(Path(sys.argv[1])))
    async with app.run_test(size=(80, 24)):
        heavy = {"pydantic", "numpy", "sqlite_utils", "dateutil", "reportlab", "cryptography", "astral", "xlsxwriter"}
        print(sorted(heavy & {name.split(".")[0] for name in sys.modules}))

asyncio.run(paint())
"""


def test_nothing_heavy_is_loaded_before_the_first_paint(tmp_path: Path) -> None:
    book = tmp_path / "book.logbook"
    book.write_bytes(sample_file().read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT, str(book)], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
