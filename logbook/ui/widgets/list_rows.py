"""Rows of a short list that are all here already, as a table wants them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Generic, TypeVar

RowT = TypeVar("RowT")


class ListRows(Generic[RowT]):
    """Rows by their place in the list."""

    def __init__(self, rows: Sequence[RowT]) -> None:
        self._rows = rows

    def rows(self, ids: Sequence[int]) -> Mapping[int, RowT]:
        """The rows at these places."""
        return {at: self._rows[at] for at in ids}
