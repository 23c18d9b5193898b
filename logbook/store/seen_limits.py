"""What packs allow of their cells and insulation, and observations that may lie beyond it: one look for each pack."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from logbook.store.database import Book

_COLUMNS: Final = (
    "cells_apart_caution_mv",
    "cells_apart_limit_mv",
    "cell_limit_min_v",
    "cell_limit_max_v",
    "insulation_limit_mohm",
)
_OF_A_PACK: Final = ", ".join(f"coalesce(p.{name}, t.{name}) AS {name}" for name in _COLUMNS)
_ANY: Final = f"coalesce({', '.join(f'p.{name}, t.{name}' for name in _COLUMNS)}) IS NOT NULL"
_STATED: Final = f"""SELECT p.n, p.serial_no, {_OF_A_PACK}
            FROM pack p LEFT JOIN pack_type t ON t.part_no = p.part_no AND t.struck = 0 WHERE {_ANY}"""

Limits = tuple[float | None, float | None, float | None, float | None, float | None]
"""Caution and most of the difference between cells [mV], least and most of a cell [V], least insulation [MΩ]."""


class SeenBeyond(NamedTuple):
    """An observation that may lie beyond a limit of its pack; the rules say whether it does."""

    serial_no: str
    observation_id: str
    at: str
    cell_min_v: float | None
    cell_max_v: float | None
    insulation_mohm: float | None
    limits: Limits


def limits_stated(book: Book, serials: Sequence[str] | None = None) -> dict[str, Limits]:
    """Packs of which such a limit is stated, by themselves or else by their type: serial number to limits.

    Args:
        book: the open book.
        serials: only these packs; None: all.
    """
    only = "" if serials is None else f" AND p.serial_no IN ({','.join('?' * len(serials))})"
    rows = book.connection.execute(_STATED + only, tuple(serials or ())).fetchall()
    return {row[1]: tuple(row[2:]) for row in rows}


def beyond_limits(book: Book, until: str, *, since_entries: bool = True) -> list[SeenBeyond]:
    """Observations beyond a limit, cautions apart, newest first.

    Args:
        book: the open book.
        until: observations and maintenance entries up to here (UTC).
        since_entries: only those after the last maintenance entry on their pack.
    """
    after = """coalesce((SELECT max(m.completed) FROM maintenance m
                WHERE m.serial_no = l.n AND m.struck = 0 AND m.completed <= ?1), '')"""
    rows = book.connection.execute(
        f"""SELECT l.serial_no, o.id, o.at, o.cell_min_v, o.cell_max_v, o.insulation_mohm,
                {", ".join(f"l.{name}" for name in _COLUMNS)}
            FROM ({_STATED}) l CROSS JOIN observation o ON o.serial_no = l.n
            WHERE o.at <= ?1 AND o.at > {after if since_entries else "''"} AND o.struck = 0
                AND (round((o.cell_max_v - o.cell_min_v) * 1000, 1) > l.cells_apart_limit_mv
                    OR o.insulation_mohm < l.insulation_limit_mohm
                    OR o.cell_min_v < l.cell_limit_min_v OR o.cell_max_v < l.cell_limit_min_v
                    OR o.cell_min_v > l.cell_limit_max_v OR o.cell_max_v > l.cell_limit_max_v)
            ORDER BY o.at DESC, o.n DESC""",
        (until,),
    )
    return [
        SeenBeyond(row[0], row[1], row[2], row[3], row[4], row[5], tuple(row[6:])) for row in rows.fetchall()
    ]
