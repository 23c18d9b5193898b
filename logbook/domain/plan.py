"""A plan as it is typed in: who, what with, and the legs to be flown."""

from __future__ import annotations

from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from logbook.domain.fields import Celsius, Count, Date, Degrees, Health, Kw, Minutes, Name, Number, Percent
from logbook.domain.flight import Kind
from logbook.domain.record import Part

LegKind = Literal["ground", "climb", "level", "circuits", "airwork", "descent"]


_NO_DIRECTION: Final = "a wind needs wind_dir, the direction it blows from"


def _not_negative(value: float) -> float:
    if value < 0:
        raise ValueError("an amount to be flown cannot be negative")
    return value


def _more_than_nothing(value: float) -> float:
    if value <= 0:
        raise ValueError("this must be more than zero")
    return value


Amount = Annotated[Number, AfterValidator(_not_negative)]
Stated = Annotated[Number, AfterValidator(_more_than_nothing)]

_FOREIGN: Final[dict[str, tuple[str, ...]]] = {
    "ground": ("climb_ft", "to_ft", "distance_nm", "circuits"),
    "climb": ("circuits",),
    "level": ("climb_ft", "to_ft", "circuits"),
    "circuits": ("climb_ft", "to_ft", "distance_nm"),
    "airwork": ("to_ft", "distance_nm", "circuits"),
    "descent": ("climb_ft", "circuits"),
}
"""What a leg of each kind has no use for: refused rather than silently dropped, unless it is zero."""


class LegInput(Part):
    """One leg of a plan. Zero, like absent, means "not stated".

    Attributes:
        leg_kind: `kind` in files. `ground` is waiting or taxiing beyond the usual; the usual start, taxi and
            shutdown are counted once for each flight anyway.
        climb_ft: feet to climb (climb, airwork) [ft].
        to_ft: the altitude to climb or descend to, instead of feet [ft above mean sea level].
        minutes: how long; of circuits: all of them together [min].
        distance_nm: how far over the ground (level; climb and descent: made good on the way) [NM].
        track_deg: true track [°].
        circuits: how many.
        power_kw: power of the whole aeroplane (ground, level, airwork, descent) [kW].
        tas_kt: true airspeed at that power [kt]; absent: that of the aircraft record.
        cas_kt: calibrated airspeed, turned into true airspeed at the height of the leg [kt].
        wind_dir: the wind on this leg where it differs [° true, from]; `wind_kt` its speed [kt].
        name: what the pilot calls the leg.
    """

    kind: ClassVar[str] = "leg"

    leg_kind: LegKind = Field(alias="kind")
    climb_ft: Amount | None = None
    to_ft: Number | None = None
    minutes: Annotated[Minutes, AfterValidator(_not_negative)] | None = None
    distance_nm: Amount | None = None
    track_deg: Degrees | None = None
    circuits: Count | None = None
    power_kw: Annotated[Kw, AfterValidator(_not_negative)] | None = None
    tas_kt: Amount | None = None
    cas_kt: Amount | None = None
    wind_dir: Degrees | None = None
    wind_kt: Amount | None = None
    name: Name | None = None

    @model_validator(mode="after")
    def _only_what_the_kind_has(self) -> Self:
        for field in _FOREIGN[self.leg_kind]:
            if getattr(self, field):
                raise ValueError(f"a {self.leg_kind} leg has no {field}; make it a leg of its own")
        return self

    @model_validator(mode="after")
    def _says_how_much(self) -> Self:
        if self.leg_kind == "climb" and self.climb_ft is None and self.to_ft is None:
            raise ValueError("a climb needs climb_ft or to_ft")
        if self.leg_kind == "level" and not self.minutes and not self.distance_nm:
            raise ValueError("a level leg needs minutes or distance_nm")
        if self.leg_kind == "airwork" and not self.minutes and not self.climb_ft:
            raise ValueError("airwork needs minutes or climb_ft")
        if self.leg_kind == "circuits" and self.circuits is None:
            raise ValueError("circuits need a number of circuits")
        if self.wind_kt and self.wind_dir is None:
            raise ValueError(_NO_DIRECTION)
        return self


class DiversionInput(Part):
    """The way from the destination to where one would go instead; the reserve must be kept there too.

    Attributes:
        distance_nm: over the ground [NM]; or `minutes` [min].
        climb_ft: the climb after the approach was broken off [ft].
        place: where to.
    """

    kind: ClassVar[str] = "diversion"

    distance_nm: Amount | None = None
    minutes: Annotated[Minutes, AfterValidator(_not_negative)] | None = None
    track_deg: Degrees | None = None
    climb_ft: Amount | None = None
    power_kw: Annotated[Kw, AfterValidator(_not_negative)] | None = None
    tas_kt: Amount | None = None
    place: Name | None = None

    @model_validator(mode="after")
    def _goes_somewhere(self) -> Self:
        if not self.distance_nm and not self.minutes:
            raise ValueError("a diversion needs distance_nm or minutes")
        return self


class PackInput(Part):
    """One pack as it will be at departure; what is absent is taken as last recorded.

    Attributes:
        serial_no: the pack; absent: one figure for the whole aeroplane.
        soc_departure_pct: charge [%].
        soh_pct: state of health as indicated [%].
        temp_departure_c: temperature [°C].
    """

    kind: ClassVar[str] = "pack of a plan"

    serial_no: Name | Literal[""] = ""
    soc_departure_pct: Percent | None = None
    soh_pct: Health | None = None
    temp_departure_c: Celsius | None = None


class PaceInput(Part):
    """How fast the packs usually charge in one band of SOC [%, points a minute]."""

    kind: ClassVar[str] = "charging band"

    soc_from_pct: Percent
    soc_to_pct: Percent
    points_per_min: Stated


_NEVER_ZERO: Final = ("mass_kg", "aboard", "circuit_min", "descent_fpm", "return_power_kw", "return_tas_kt")


class PlanInput(Part):
    """A flight to be judged before it is flown. Only the aircraft and the legs are demanded.

    Attributes:
        flight_kind: `kind` in files; absent: told from the legs.
        landings_night: landings by night; any one makes the night reserve apply.
        mass_kg: take-off mass [kg]; `aboard` persons aboard; `handled_by` who flies.
        outside_temp_c: at the aerodrome [°C].
        wind_dir: the wind for every leg without one of its own [° true, from]; `wind_kt` its speed [kt].
        elevation_ft: of the place of departure [ft].
        circuit_min: minutes of one circuit, where the record does not tell [min].
        descent_fpm: rate of descent, for the time of a descent that states no minutes [ft/min].
        return_power_kw: power on the way home, for the points; absent: that of the way out [kW].
        return_tas_kt: true airspeed at that power [kt].
    """

    kind: ClassVar[str] = "plan"

    aircraft: Name
    date: Date | None = None
    flight_kind: Kind | None = Field(default=None, alias="kind")
    place_from: Name | None = None
    place_to: Name | None = None
    landings_night: Count | None = None
    mass_kg: Stated | None = None
    aboard: Count | None = None
    handled_by: Name | None = None
    outside_temp_c: Celsius | None = None
    wind_dir: Degrees | None = None
    wind_kt: Amount | None = None
    elevation_ft: Number | None = None
    circuit_min: Stated | None = None
    descent_fpm: Stated | None = None
    return_power_kw: Stated | None = None
    return_tas_kt: Stated | None = None
    packs: list[PackInput] = Field(default_factory=list)
    legs: list[LegInput]
    diversion: DiversionInput | None = None
    charging_pace: list[PaceInput] = Field(default_factory=list)

    @model_validator(mode="before")
    @classmethod
    def _zero_is_not_stated(cls, data: object) -> object:
        """No aeroplane weighs nothing and nobody plans to fly with nobody aboard: zero stands for "not stated"."""
        if isinstance(data, dict):
            return {key: value for key, value in data.items() if key not in _NEVER_ZERO or value != 0}
        return data

    @model_validator(mode="after")
    def _goes_flying(self) -> Self:
        if not self.legs:
            raise ValueError("a plan needs at least one leg")
        return self

    @model_validator(mode="after")
    def _knows_where_the_wind_is_from(self) -> Self:
        """Where nothing leads anywhere, as in circuits, the direction tells nothing."""
        leads = any(leg.distance_nm or leg.track_deg for leg in self.legs)
        if self.wind_kt and self.wind_dir is None and (leads or self.diversion is not None):
            raise ValueError(_NO_DIRECTION)
        return self

    @model_validator(mode="after")
    def _each_pack_once(self) -> Self:
        serials = [pack.serial_no for pack in self.packs]
        if len(set(serials)) < len(serials):
            raise ValueError("a pack is named twice")
        return self


def there_and_back_plan(
    aircraft: str,
    distance_nm: float,
    track_deg: float,
    climb_ft: float,
    *,
    land_there: bool = False,
    power_kw: float | None = None,
    **others: object,
) -> PlanInput:
    """The plan "there and back": climb, fly out, (land and climb again,) fly home, descend.

    Args:
        aircraft: registration.
        distance_nm: one way [NM].
        track_deg: true track out [°].
        climb_ft: climb above the place of departure [ft].
        land_there: the outward flight ends with a landing, and the way home begins with a climb.
        power_kw: level power both ways [kW]; absent: cruise power.
        others: any other field of a plan.
    """
    level = {"kind": "level", "distance_nm": distance_nm, "power_kw": power_kw}
    climb, home = {"kind": "climb", "climb_ft": climb_ft}, (track_deg + 180) % 360
    between = [{"kind": "descent"}, climb] if land_there else []
    legs = [
        climb,
        {**level, "track_deg": track_deg},
        *between,
        {**level, "track_deg": home},
        {"kind": "descent"},
    ]
    return PlanInput.model_validate({"aircraft": aircraft, "legs": legs, **others})
