"""A simulated world as rows for the files of a data package: instants as text, lists joined, nothing but recorded columns."""

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.world.season import World

Row = dict[str, Any]
INSTANTS = ("off_blocks", "takeoff", "landing", "on_blocks", "started", "ended", "fitted", "removed")


def instant(minutes: int | None) -> str | None:
    """POSIX minutes as ``YYYY-MM-DDTHH:MMZ``."""
    return None if minutes is None else datetime.fromtimestamp(minutes * 60, UTC).strftime("%Y-%m-%dT%H:%MZ")


def package_rows(world: "World") -> dict[str, list[Row]]:
    """Rows by base name of the file: aircraft, pack_types, packs, installations, people, flights, readings, charges."""
    flights = [{"date": instant(row["off_blocks"])[:10], **_written(row)} for row in world.flights]  # type: ignore[index]
    return {
        "aircraft": [{**world.aircraft, "positions": ";".join(world.aircraft["positions"])}],
        "pack_types": [dict(world.pack_type)],
        "packs": [dict(row) for row in world.packs],
        "installations": [_written(row) for row in world.installations],
        "people": [dict(row) for row in world.people],
        "flights": flights,
        "readings": [dict(row) for row in world.readings],
        "charges": [_written(row) for row in world.charges],
    }


def _written(row: Row) -> Row:
    return {name: instant(value) if name in INSTANTS else value for name, value in row.items()}
