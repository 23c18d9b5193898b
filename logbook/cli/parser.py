"""How usage errors are said: as the library does, with nothing hidden in what is repeated."""

from __future__ import annotations

import argparse
from typing import NoReturn


class Parser(argparse.ArgumentParser):
    """Repeats what it did not understand with nothing hidden in it."""

    def error(self, message: str) -> NoReturn:
        """Says what was not understood and ends with status 2."""
        from logbook.reports.visible import visible

        super().error(visible(message))
