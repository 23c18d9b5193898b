"""What is heavy and seldom needed is loaded by the question that needs it."""

from __future__ import annotations

import subprocess
import sys

_CODE = """
import sys
import logbook.cli.main, logbook.services.people, logbook.services.recency, logbook.services.legal_record, logbook.services.verify
print([name for name in ("astral", "cryptography", "reportlab", "numpy", "textual") if name in sys.modules])
"""


def test_sun_keys_and_paper_are_loaded_when_first_asked_for():
    done = subprocess.run([sys.executable, "-c", _CODE], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
