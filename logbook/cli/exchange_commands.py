"""Commands to come."""

from __future__ import annotations

from typing import Any


def register(commands: Any) -> None:
    """Adds these commands to the command line."""
