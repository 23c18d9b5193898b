"""Which edition of the rules this is. Apart from them, so that an up-to-date book is recognised without loading a rule."""

from __future__ import annotations

from typing import Final

EDITION: Final = 14
"""Raised whenever a rule, its words or a figure behind it changes: books written under another edition are judged anew."""
