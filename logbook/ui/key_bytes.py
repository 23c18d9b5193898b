"""Bytes from the terminal that are not UTF-8: shown as a replacement sign instead of ending the program.

A console set to an older alphabet sends them for a plain letter with an accent, and so does a paste of a file that is no text. The
library decodes strictly and would leave with a traceback.
"""

from __future__ import annotations

import codecs
from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.driver import Driver


def forgiving(driver: type[Driver]) -> type[Driver]:
    """A driver like the given one that reads any bytes; the given one itself where it decodes nothing (Windows, tests)."""
    if not hasattr(driver, "run_input_thread"):
        return driver

    def run_input_thread(self: Any) -> None:
        from textual.drivers import linux_driver

        names = vars(linux_driver)  # the decoder is looked up there by name; it cannot be handed in
        names["getincrementaldecoder"] = _any_bytes
        driver.run_input_thread(self)

    made: type[Driver] = type(driver.__name__, (driver,), {"run_input_thread": run_input_thread})
    return made


def _any_bytes(encoding: str) -> Any:
    """As `codecs.getincrementaldecoder`, with a sign in the place of what cannot be decoded."""
    return partial(codecs.getincrementaldecoder(encoding), errors="replace")
