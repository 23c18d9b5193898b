"""Rows of a long table, read page by page: the ids are all here, the rows only where somebody looks."""

from __future__ import annotations

from array import array
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Final, Generic, Protocol, TypeVar

RowT = TypeVar("RowT")
RowT_co = TypeVar("RowT_co", covariant=True)
PAGE: Final = 64
PAGES_KEPT: Final = 32


class RowSource(Protocol[RowT_co]):
    """Where rows come from; a service supplies it."""

    def rows(self, ids: Sequence[int]) -> Mapping[int, RowT_co]:
        """The rows of these records by their number; a record that no longer exists is left out."""
        ...


class RecordPages(Generic[RowT]):
    """The ids in the order shown (eight bytes a row), and the pages of rows used last."""

    def __init__(self, source: RowSource[RowT], ids: Sequence[int] = ()) -> None:
        self.ids: array[int] = ids if isinstance(ids, array) else array("q", ids)
        self._source = source
        self._pages: OrderedDict[int, Mapping[int, RowT]] = OrderedDict()

    def __len__(self) -> int:
        return len(self.ids)

    def row(self, index: int) -> RowT | None:
        """The row at a place in the order; None if the record is gone."""
        page = index // PAGE
        rows = self._pages.get(page)
        if rows is None:
            rows = self._pages[page] = self._source.rows(self.ids[page * PAGE : (page + 1) * PAGE].tolist())
            if len(self._pages) > PAGES_KEPT:
                self._pages.popitem(last=False)
        else:
            self._pages.move_to_end(page)
        return rows.get(self.ids[index])

    def index_of(self, record: int, near: int = 0) -> int | None:
        """Where a record stands; looked for near a given place first."""
        low, high = max(0, near - 200), near + 200
        window = self.ids[low:high]
        if record in window:
            return low + window.index(record)
        try:
            return self.ids.index(record)
        except ValueError:
            return None

    def set_ids(self, ids: Sequence[int]) -> None:
        """A new order or selection; every row is read anew."""
        self.ids = ids if isinstance(ids, array) else array("q", ids)
        self._pages.clear()

    def forget(self) -> None:
        """Read the rows anew when they are next looked at; the order stays."""
        self._pages.clear()
