"""A simulated world as the plain record that the estimators read."""

from typing import Any

from logbook.energy.record import (
    AircraftFacts,
    AircraftHistory,
    ChargeFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from tests.world.season import World


def history_of(world: World) -> AircraftHistory:
    """The book of a world as an ``AircraftHistory``."""
    readings: dict[str, list[ReadingFacts]] = {}
    when = {f["flight_id"]: f["off_blocks"] for f in world.flights}
    for row in world.readings:
        readings.setdefault(row["flight_id"], []).append(
            ReadingFacts(
                serial_no=row["serial_no"],
                position=position(world, row["serial_no"], when[row["flight_id"]]),
                soc_departure_pct=row["soc_departure_pct"],
                soc_landing_pct=row["soc_landing_pct"],
                soh_pct=row["soh_pct"],
                temp_departure_c=row["temp_departure_c"],
                counts=row["source"] in ("read", "confirmed", "recorder"),
            )
        )
    flights = tuple(_flight(row, tuple(readings.get(row["flight_id"], ()))) for row in world.flights)
    charges = tuple(ChargeFacts(**{k: row[k] for k in ChargeFacts._fields}) for row in world.charges)
    facts = {
        k: world.aircraft.get(k) for k in AircraftFacts._fields if k not in ("registration", "positions")
    }
    aircraft = AircraftFacts(world.aircraft["registration"], tuple(world.aircraft["positions"]), **facts)
    packs = tuple(
        PackFacts(
            row["serial_no"],
            row["nominal_kwh"],
            world.pack_type["soh_zero_fraction"],
            world.pack_type["soh_full_fraction"],
            world.pack_type["unusable_soc_pct"],
        )
        for row in world.packs
    )
    return AircraftHistory(aircraft, packs, flights, charges)


def position(world: World, serial_no: str, at: int) -> str | None:
    """Where a pack was fitted at an instant."""
    for row in world.installations:
        if (
            row["serial_no"] == serial_no
            and row["fitted"] <= at
            and (row["removed"] is None or at < row["removed"])
        ):
            return str(row["position"])
    return None


def _flight(row: dict[str, Any], readings: tuple[ReadingFacts, ...]) -> FlightFacts:
    same = {
        k: row[k]
        for k in (
            "flight_id",
            "off_blocks",
            "takeoff",
            "landing",
            "on_blocks",
            "kind",
            "circuits",
            "climb_ft",
            "highest_ft",
            "level_min",
            "level_kw",
            "mass_kg",
            "aboard",
            "outside_temp_c",
            "wind_dir",
            "wind_kt",
            "place_from",
            "place_to",
        )
    }
    return FlightFacts(**same, handler=row["handled_by"], landings=row["landings_day"], readings=readings)
