"""The files of a data package: their names, columns and order, as `docs/interface.md` promises them.

The columns written out here are the contract: none may be renamed or dropped. Whatever else a record holds follows
after them, so that a package loses nothing.
"""

from __future__ import annotations

from functools import cached_property
from typing import Final, NamedTuple

from logbook.domain.aircraft import Aircraft
from logbook.domain.cells import column_types
from logbook.domain.charge import Charge
from logbook.domain.flight import Crew, Flight, Phase, Reading
from logbook.domain.pack import Installation, Pack, PackType
from logbook.domain.paperwork import Answer, IssuedPaper, Plan, Signature
from logbook.domain.person import Person, PersonItem
from logbook.domain.place import Place
from logbook.domain.record import Part
from logbook.domain.recording import Recording
from logbook.domain.upkeep import CapacityCheck, Component, Defect, Maintenance, Observation

_LAST: Final = ("struck", "entered_by", "entered_at")
_PARTS: Final = ("readings", "crew", "phases")


class _Names(NamedTuple):
    name: str
    kind: str
    model: type[Part] | None
    promised: str
    key: tuple[str, ...]
    refs: tuple[tuple[str, str, str], ...] = ()
    record_id: str = ""


class FileLayout:
    """One file of a package.

    Attributes:
        name: base name, without `.csv`.
        kind: the kind of record, as in commands; `reading`, `crew`, `phase` and `version` for what is none.
        model: what a row must be; None for versions, which hold earlier states of any kind.
        promised: the columns of the contract, in order.
        key: the columns that tell rows apart.
        refs: (column, file, column there) of what a row refers to.
        record_id: the column that holds the record's id.
    """

    def __init__(self, names: _Names) -> None:
        self.name = names.name
        self.kind = names.kind
        self.model = names.model
        self.promised = tuple(names.promised.split())
        self.key = names.key
        self.refs = names.refs
        self.record_id = names.record_id or names.key[0]

    @cached_property
    def types(self) -> dict[str, type]:
        """The plain type of each column: str, float, int or list."""
        if self.model is None:
            return {name: int if name == "seq" else str for name in self.promised}
        own = {
            name: kind
            for name, kind in column_types(self.model).items()
            if name not in _PARTS or self.kind != "flight"
        }
        return {"flight_id": str} | own if self.kind in ("reading", "crew", "phase") else own

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """All columns: those of the contract, what else the record holds, and last what is known of its entry."""
        last = [name for name in (*_LAST, self.record_id) if name in self.types and name not in self.promised]
        rest = [name for name in self.types if name not in self.promised and name not in last]
        return (*self.promised, *rest, *last)


_BY_PACK: Final = ("serial_no", "packs", "serial_no")
_BY_AIRCRAFT: Final = ("aircraft", "aircraft", "registration")
_BY_PERSON: Final = ("person", "people", "person")
_BY_FLIGHT: Final = ("flight_id", "flights", "flight_id")

_PACK_TYPE = """part_no nominal_kwh soh_zero_fraction soh_full_fraction unusable_soc_pct takeoff_min_temp_c takeoff_max_temp_c
    temp_caution_c temp_limit_c charge_min_temp_c charge_max_temp_c storage_soc_pct limit_hours limit_cycles cycle_definition
    limit_date limit_soh_pct text maker_text"""
_AIRCRAFT = """registration type class positions base reserve_soc_pct minimum_departure_soc_pct final_reserve_min_local
    final_reserve_kw_local final_reserve_min_day final_reserve_kw_day final_reserve_min_night final_reserve_kw_night
    temp_caution_c temp_limit_c charge_min_temp_c charge_max_temp_c soh_zero_fraction soh_full_fraction unusable_soc_pct
    cruise_power_kw cruise_tas_kt climb_rate_fpm ceiling_ft empty_mass_kg handbook_ground_kwh handbook_climb_kwh_per_1000ft
    handbook_level_kwh_per_min handbook_circuit_kwh handbook_departure_kwh handbook_mass_kg electricity_price_per_kwh
    pack_set_price time_in_service_from"""
_PACK = """serial_no part_no nominal_kwh made_on hours_brought_forward cycles_brought_forward landings_brought_forward
    limit_hours limit_cycles cycle_definition limit_date limit_soh_pct state"""
_FLIGHT = """flight_id date aircraft state outcome off_blocks takeoff landing on_blocks meter_start meter_end place_from
    place_to pilot function second_person second_function handled_by kind landings_day landings_night
    landings_night_full_stop circuits climb_ft highest_ft level_min level_kw aboard mass_kg outside_temp_c wind_dir wind_kt
    exercise pilot_estimate_soc_pct remarks debrief reserve_soc_pct minimum_departure_soc_pct final_reserve_min
    final_reserve_kw temp_limit_c plan_id struck"""
_READING = """flight_id serial_no soc_departure_pct soc_takeoff_pct soc_touchdown_pct soc_landing_pct soh_pct
    temp_departure_c temp_max_c temp_landing_c source"""
_CREW = """flight_id person function handled takeoffs_day takeoffs_night landings_day landings_night
    landings_night_full_stop"""
_CHARGE = """charge_id serial_no started ended place charger purpose ended_because soc_start_pct soc_end_pct temp_start_c
    temp_end_c energy_kwh shared_energy_kwh price"""

_FLIGHT_REFS: Final = (
    _BY_AIRCRAFT,
    ("pilot", "people", "person"),
    ("second_person", "people", "person"),
    ("handled_by", "people", "person"),
    ("safety_pilot", "people", "person"),
)

LAYOUTS: Final = {
    names.name: FileLayout(names)
    for names in (
        _Names("pack_types", "pack-type", PackType, _PACK_TYPE, ("part_no",), record_id="record_id"),
        _Names("aircraft", "aircraft", Aircraft, _AIRCRAFT, ("registration",), record_id="record_id"),
        _Names("packs", "pack", Pack, _PACK, ("serial_no",), record_id="record_id"),
        _Names("people", "person", Person, "person licence_no role_text", ("person",), record_id="record_id"),
        _Names(
            "places",
            "place",
            Place,
            "place latitude_deg longitude_deg elevation_ft zone text",
            ("place",),
            record_id="record_id",
        ),
        _Names(
            "installations",
            "installation",
            Installation,
            "serial_no aircraft position fitted removed reason",
            ("installation_id",),
            (_BY_PACK, _BY_AIRCRAFT),
        ),
        _Names(
            "person_items",
            "person-item",
            PersonItem,
            "person item valid_from valid_until",
            ("item_id",),
            (_BY_PERSON, _BY_AIRCRAFT),
        ),
        _Names("flights", "flight", Flight, _FLIGHT, ("flight_id",), _FLIGHT_REFS),
        _Names("crew", "crew", Crew, _CREW, ("flight_id", "person"), (_BY_FLIGHT, _BY_PERSON)),
        _Names("readings", "reading", Reading, _READING, ("flight_id", "serial_no"), (_BY_FLIGHT, _BY_PACK)),
        _Names(
            "phases",
            "phase",
            Phase,
            "flight_id sequence phase minutes climb_ft mean_kw",
            ("flight_id", "sequence"),
            (_BY_FLIGHT,),
        ),
        _Names("charges", "charge", Charge, _CHARGE, ("charge_id", "serial_no"), (_BY_PACK,)),
        _Names("observations", "observation", Observation, "", ("observation_id",), (_BY_PACK,)),
        _Names("capacity_checks", "capacity-check", CapacityCheck, "", ("check_id",), (_BY_PACK,)),
        _Names("defects", "defect", Defect, "", ("defect_id",), (_BY_AIRCRAFT, _BY_PACK)),
        _Names("maintenance", "maintenance", Maintenance, "", ("entry_id",), (_BY_AIRCRAFT, _BY_PACK)),
        _Names("components", "component", Component, "", ("component_id",), (_BY_AIRCRAFT,)),
        _Names("plans", "plan", Plan, "", ("plan_id",), (_BY_AIRCRAFT,)),
        _Names("signatures", "signature", Signature, "", ("signature_id",)),
        _Names("answers", "answer", Answer, "", ("answer_id",), (_BY_PACK,)),
        _Names("recordings", "recording", Recording, "", ("recording_id",)),
        _Names("papers", "paper", IssuedPaper, "", ("paper_id",)),
        _Names(
            "versions",
            "version",
            None,
            "seq record record_id was at by_whom why",
            ("seq",),
            record_id="record_id",
        ),
    )
}
"""Every file of a package by its base name, each after the files it refers to."""

PART_FILES: Final = {"reading": "readings", "crew": "crew", "phase": "phases"}
"""Table of a part of a flight, and its file; the file is also called as the field of a flight is."""
