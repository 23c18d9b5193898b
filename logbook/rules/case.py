"""What a rule looks at: one flight with its packs, and what lies before and after it in the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from logbook.domain.reserve import reserve_case, reserve_figures, reserve_words
from logbook.energy.estimate import Estimate
from logbook.energy.worth import Worths, worths_of


class Limits(NamedTuple):
    """The figures that hold for one pack on one flight; unknown raises no flag.

    The flight's own (in force that day) go first, then the pack's, its type's, the aeroplane's.
    """

    nominal_kwh: float | None = None
    soh_zero_fraction: float | None = None
    soh_full_fraction: float | None = None
    unusable_soc_pct: float | None = None
    energy_by_decile: Sequence[float] | None = None
    takeoff_min_temp_c: float | None = None
    takeoff_max_temp_c: float | None = None
    temp_caution_c: float | None = None
    temp_limit_c: float | None = None
    charge_min_temp_c: float | None = None
    charge_max_temp_c: float | None = None

    @property
    def worths(self) -> Worths | None:
        """What a percent is worth in each tenth of charge, where that is stated."""
        return worths_of(self.energy_by_decile)


def in_force(limits: Limits, flight: Mapping[str, Any]) -> Limits:
    """The limits of a pack on a flight: those written down with the flight go before what the pack and its kin say."""
    own = {name: flight.get(name) for name in ("temp_caution_c", "temp_limit_c")}
    return limits._replace(**{name: value for name, value in own.items() if value is not None})


class Event(NamedTuple):
    """A flight or charge of the same pack, before or after.

    Attributes:
        what: `flight` or `charge`.
        record_id: its id.
        at: when it began (UTC).
        until: when it ended, where known.
        soc_before_pct: charge at its start [%].
        soc_after_pct: charge at its end [%].
        soh_pct: state of health as indicated [%], flights only.
        source: where the readings come from.
    """

    what: str
    record_id: str
    at: str
    until: str | None
    soc_before_pct: float | None
    soc_after_pct: float | None
    soh_pct: float | None
    source: str


class PackCase(NamedTuple):
    """One pack on the flight.

    Attributes:
        serial_no: the pack; None where one figure stands for the whole aeroplane.
        reading: the recorded columns of the reading.
        limits: what holds for it.
        usable_kwh: usable capacity that day [kWh], None where nothing is known.
        energy_kwh: what it gave on this flight [kWh].
        position: where it was fitted then, None if the record knows no fitting then.
        grounded: why it should not have flown, or empty.
        before: its events since, and with, its last flight before this one, in order of time.
        after: the event that follows.
        break_since: a baseline break lies between the last flight and this one.
    """

    serial_no: str | None
    reading: dict[str, Any]
    limits: Limits
    usable_kwh: Estimate | None = None
    energy_kwh: Estimate | None = None
    position: str | None = None
    grounded: str = ""
    before: tuple[Event, ...] = ()
    after: Event | None = None
    break_since: bool = False


class Neighbour(NamedTuple):
    """The flight of the same aeroplane before or after: id, blocks (UTC) and hour meter [h]."""

    flight_id: str
    off_blocks: str | None
    on_blocks: str | None
    meter_start: float | None
    meter_end: float | None


class RecordedCase(NamedTuple):
    """What a recording of the aeroplane said of the flight.

    Attributes:
        recording_id: its id.
        times: off_blocks, takeoff, landing, on_blocks, as far as it tells them (UTC).
        packs: serial number and what was recorded of it, by the columns of a reading.
    """

    recording_id: str
    times: dict[str, str]
    packs: tuple[tuple[str, dict[str, float]], ...]


class FlightCase(NamedTuple):
    """One flight as the rules see it.

    Attributes:
        flight: the recorded columns.
        aircraft: the recorded columns of the aeroplane.
        packs: its packs.
        block_min: off blocks to on blocks [min].
        air_min: take-off to landing [min].
        minutes_left: after landing, at the power of the final reserve that applies [min].
        reserve: the final reserve that applies.
        fitted: serial numbers fitted in the aeroplane at off blocks.
        previous: the flight of the aeroplane before.
        following: the flight of the aeroplane after.
        recordings: of the aeroplane itself, on this flight.
    """

    flight: dict[str, Any]
    aircraft: dict[str, Any]
    packs: tuple[PackCase, ...] = ()
    block_min: int | None = None
    air_min: int | None = None
    minutes_left: Estimate | None = None
    reserve: FinalReserve | None = None
    fitted: tuple[str, ...] = ()
    previous: Neighbour | None = None
    following: Neighbour | None = None
    recordings: tuple[RecordedCase, ...] = ()

    @property
    def unread(self) -> tuple[str, ...]:
        """Packs that were fitted and have no reading: what the others gave is then not what the flight took."""
        return unread_of(self.packs, self.fitted)

    def limit(self, name: str) -> Any:
        """A limit of the operator's policy: that in force on the flight, else the aeroplane's."""
        own = self.flight.get(name)
        return own if own is not None else self.aircraft.get(name)


def unread_of(packs: Sequence[PackCase], fitted: Sequence[str]) -> tuple[str, ...]:
    """Fitted packs of which nothing was read, where fewer were read than fitted.

    None where a reading is of the aeroplane as a whole; as many of other packs speak of a swap nobody wrote down.
    """
    read = {pack.serial_no for pack in packs}
    if None in read or not 0 < len(read) < len(fitted):
        return ()
    return tuple(serial for serial in fitted if serial not in read)


class FinalReserve(NamedTuple):
    """Least minutes that must remain after landing [min], at a power [kW], and the case that applies."""

    minutes: float | None
    power_kw: float | None
    case: str

    @property
    def words(self) -> str:
        """The rule as people say it."""
        return "final reserve " + reserve_words(self.case, self.minutes, self.power_kw)


def final_reserve(flight: dict[str, Any], aircraft: dict[str, Any]) -> FinalReserve:
    """The final reserve that applies to a flight; figures recorded with the flight go first.

    The case is that of `domain.reserve.reserve_case`; a landing by night counts wherever it was written down.
    """
    case = reserve_case(
        flight.get("kind"), _landings_by_night(flight), flight.get("place_from"), flight.get("place_to")
    )
    minutes, power = reserve_figures(aircraft, case)
    own_minutes, own_power = flight.get("final_reserve_min"), flight.get("final_reserve_kw")
    minutes = minutes if own_minutes is None else own_minutes
    power = power if own_power is None else own_power
    return FinalReserve(minutes, power, case)


def _landings_by_night(flight: Mapping[str, Any]) -> int:
    """The most that the flight or somebody aboard has, to a full stop or not."""
    found = [
        part.get(name) or 0
        for part in (flight, *(flight.get("crew") or ()))
        for name in ("landings_night", "landings_night_full_stop")
    ]
    return max(found)
