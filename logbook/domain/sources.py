"""Where a reading comes from: which sources feed the estimates and the line of charge."""

from __future__ import annotations

from typing import Final

TRUSTED: Final = frozenset({"read", "confirmed", "recorder"})
"""Sources that count; what was remembered or not read feeds nothing."""
