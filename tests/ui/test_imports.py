"""The first screen is there at once, because nothing heavy is loaded before it."""

import subprocess
import sys

LOAD_ALL = """
import importlib, pkgutil, sys
import logbook.ui
for module in pkgutil.walk_packages(logbook.ui.__path__, "logbook.ui."):
    importlib.import_module(module.name)
heavy = {"pydantic", "numpy", "sqlite_utils", "pandas", "dateutil", "sqlite3", "reportlab"}
print(sorted(heavy & {name.split(".")[0] for name in sys.modules}))
"""


def test_the_screens_load_nothing_but_textual() -> None:
    done = subprocess.run([sys.executable, "-c", LOAD_ALL], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
