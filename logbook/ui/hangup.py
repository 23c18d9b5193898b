"""A terminal that went away: the program ends, instead of reading nothing for ever.

Usually the system ends it by SIGHUP. Where that signal is ignored (nohup, some multiplexers), the library would go on reading an
ended stream and keep a processor busy. A thread therefore waits for the terminal to hang up; it costs nothing until then.
"""

from __future__ import annotations

import os
import select
import sys
import threading
from contextlib import suppress
from typing import Any, Final

from textual.app import App

EXIT_HUNG_UP: Final = 129  # 128 and the number of SIGHUP, as shells report it
PATIENCE_S: Final = 3.0
"""How long the app may take to end by itself [s]."""


def watch(app: App[Any]) -> None:
    """Ends the app, and then the process, when the terminal it reads from hangs up. Does nothing without a terminal."""
    try:
        number = sys.__stdin__.fileno() if sys.__stdin__ else -1
    except (OSError, ValueError):
        return
    if number < 0 or not os.isatty(number) or not hasattr(select, "poll"):
        return
    threading.Thread(target=_wait, args=(app, number), name="hangup", daemon=True).start()


def _wait(app: App[Any], number: int) -> None:
    poll = select.poll()
    poll.register(number, 0)  # no event but the one that cannot be left out: hung up
    poll.poll()
    # Entries are on the disk, drafts too; an app that cannot end by itself by then has nobody to say anything to.
    last_resort = threading.Timer(PATIENCE_S, os._exit, [EXIT_HUNG_UP])
    last_resort.daemon = True
    last_resort.start()
    with suppress(RuntimeError):  # it is ending already
        app.call_from_thread(app.exit)
