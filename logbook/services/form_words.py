"""What the fields of each kind of record are called on a form, and what they are good for.

Words to be looked up in the flight manual are named in the help. tests/services/test_record_form.py proves that every
field of every kind is here.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from logbook.domain.published_reserves import published_words


class Words(NamedTuple):
    """A field's words; a `unit` here goes before that of its type."""

    name: str
    label: str
    help: str = ""
    unit: str = ""


class Part(NamedTuple):
    """Fields that stand together under a heading."""

    heading: str
    fields: tuple[Words, ...]


_PACK_LIMITS: Final = Part(
    "Limits (flight manual, limitations)",
    (
        Words("unusable_soc_pct", "Unusable charge", "Charge that cannot be used in flight, by the flight manual. Left empty, all of it counts."),
        Words("takeoff_min_temp_c", "Take-off, least", "Least pack temperature for take-off. Left empty, none is checked."),
        Words("takeoff_max_temp_c", "Take-off, most", "Highest pack temperature for take-off. Left empty, none is checked."),
        Words("temp_caution_c", "Caution from", "Pack temperature that asks for caution. Left empty, no flight is flagged for it."),
        Words("temp_limit_c", "Limit", "Pack temperature that must not be reached. Left empty, no flight is flagged for it."),
        Words("charge_min_temp_c", "Charging, least", "Least temperature at which the pack may be charged."),
        Words("charge_max_temp_c", "Charging, most", "Highest temperature at which the pack may be charged; needed to say when it is cool enough."),
    ),
)  # fmt: skip
_SOH: Final = Part(
    "State of health (look for 'state of health' or 'SOH' in the flight manual)",
    (
        Words("soh_zero_fraction", "SOH 0 means", "What does SOH 0 mean in your manual? The share of the nominal capacity that is still usable then: 0 if SOH is the share of capacity left, more if SOH 0 is only the end of life. Left empty, capacity is learnt from flights and metered charges alone."),
        Words("soh_full_fraction", "SOH 100 means", "The share of the nominal capacity that is usable at SOH 100; 1 if the pack then holds what its maker rates. Left empty, it is learnt from the record."),
    ),
)  # fmt: skip
_TENTHS: Final = Part(
    "What a percent is worth",
    (
        Words("energy_by_decile", "Energy by tenths", "Energy for one percent of charge in each tenth, from 100-90 down to 10-0 %, apart by semicolons, in any unit: only the ratios count. Seldom in a flight manual; a capacity check or ten metered charges of ten points each give it. Left empty, each percent counts the same, and forecasts learn a straight line. Rates compares forecasts with and without it."),
    ),
)  # fmt: skip
_CELLS: Final = Part(
    "Cells and insulation (maintenance manual, checks of the pack)",
    (
        Words("cells_apart_caution_mv", "Cells, caution at", "Difference between highest and lowest cell that asks for caution. An observation that shows it is flagged; left empty, none is.", "mV"),
        Words("cells_apart_limit_mv", "Cells apart, most", "Largest difference that is allowed. A pack seen beyond it is grounded until somebody looked at it; left empty, none is.", "mV"),
        Words("cell_limit_min_v", "Cell, least", "Lowest voltage that is allowed of a cell. A pack seen below it is grounded until somebody looked at it; left empty, none is.", "V"),
        Words("cell_limit_max_v", "Cell, most", "Highest voltage that is allowed of a cell. A pack seen above it is grounded until somebody looked at it; left empty, none is.", "V"),
        Words("insulation_limit_mohm", "Insulation, least", "Least insulation resistance that is allowed. A pack seen below it is grounded until somebody looked at it; left empty, none is.", "MΩ"),
    ),
)  # fmt: skip
_LIFE: Final = Part(
    "Life",
    (
        Words("limit_hours", "Hours, most", "Hours in service after which the pack must be replaced."),
        Words("limit_cycles", "Cycles, most", "Cycles after which it must be replaced, as its maker counts them."),
        Words("cycle_definition", "A cycle is", "What the maker calls a cycle, in the words of the manual. The limit is compared with nothing else."),
        Words("limit_date", "Not after", "Last day on which it may be used."),
        Words("limit_soh_pct", "SOH, least", "State of health below which it must be replaced."),
        Words("storage_soc_pct", "Storage charge", "Charge at which it is to be stored."),
        Words("text", "Notes"),
    ),
)  # fmt: skip

FORM_WORDS: Final[dict[str, tuple[Part, ...]]] = {
    "aircraft": (
        Part("", (
            Words("registration", "Registration", "As on the aeroplane. It names the aeroplane everywhere in the book."),
            Words("type", "Type", "In your words."),
            Words("positions", "Pack positions", "Where packs can be fitted, apart by semicolons, such as front; rear. Empty for an aeroplane without packs.", "such as front; rear"),
            Words("base", "Base", "Where it lives; offered as the place a flight begins."),
        )),
        Part("Reserve (operator's policy; landing below it is flagged)", (
            Words("reserve_soc_pct", "Landing reserve", "Least charge of each pack at landing. Left empty, no landing is checked against it and plans cannot say 'fits'."),
            Words("minimum_departure_soc_pct", "Depart above", "Departures at or below this charge are flagged. Left empty, none are."),
            Words("final_reserve_min_local", "Final res., local", f"Minutes that must remain after a local flight by day. You give minutes and power. {published_words('local')}"),
            Words("final_reserve_kw_local", "at power of", "Power at which these minutes count, such as the pattern's; empty: cruise power."),
            Words("final_reserve_min_day", "Final res., day", f"Minutes that must remain after any other flight by day. {published_words('day')}"),
            Words("final_reserve_kw_day", "at power of", "Power at which these minutes count; empty: cruise power."),
            Words("final_reserve_min_night", "Final res., night", f"Minutes that must remain after a flight by night. {published_words('night')}"),
            Words("final_reserve_kw_night", "at power of", "Power at which these minutes count; empty: cruise power."),
        )),
        Part("Performance (flight manual, performance)", (
            Words("cruise_power_kw", "Cruise power", "Power in cruise, whole aeroplane. Without it minutes left cannot be told."),
            Words("cruise_tas_kt", "Cruise speed", "True airspeed at that power. Without it a leg given in miles cannot be planned.", "kt true"),
            Words("climb_rate_fpm", "Rate of climb", "Usual rate of climb.", "ft/min"),
            Words("ceiling_ft", "Ceiling", "Highest altitude of the manual.", "ft"),
            Words("empty_mass_kg", "Empty mass", "", "kg"),
        )),
        Part("Energy by the handbook (whole aeroplane; the forecast starts from it)", (
            Words("handbook_ground_kwh", "Ground", "Energy on the ground, each flight."),
            Words("handbook_climb_kwh_per_1000ft", "Climb", "Energy of a climb.", "kWh/1000 ft"),
            Words("handbook_level_kwh_per_min", "Level", "Energy in level flight; cruise power divided by 60.", "kWh/min"),
            Words("handbook_circuit_kwh", "Circuit", "Energy of one circuit."),
            Words("handbook_departure_kwh", "Leaving circuit", "Once, when anything but circuits is flown."),
            Words("handbook_mass_kg", "at mass", "The mass these figures hold for.", "kg"),
        )),
        Part("Where the pack type is silent", (*_PACK_LIMITS.fields, *_SOH.fields, *_TENTHS.fields)),
        Part("Book-keeping", (
            Words("class", "Class", "Category and class, as your licence calls it."),
            Words("time_in_service_from", "Service time by", "Which clock counts as time in service: air time or the hour meter.", "1 air  2 meter"),
            Words("hours_brought_forward", "Hours before", "Time in service before this book began.", "h"),
            Words("landings_brought_forward", "Landings before", "Landings before this book began."),
            Words("electricity_price_per_kwh", "Price of a kWh", "At the meter, in your money.", "per kWh"),
            Words("pack_set_price", "Price of packs", "Of a full set, for the wear of an hour.", ""),
            Words("text", "Notes"),
        )),
    ),
    "pack-type": (
        Part("", (
            Words("part_no", "Part number", "Of the pack type, as on the pack."),
            Words("nominal_kwh", "Nominal capacity", "What the maker rates one pack when new. Without it percent cannot be turned into energy until enough charges were metered."),
            Words("maker_text", "Maker's name"),
        )),
        _SOH, _TENTHS, _PACK_LIMITS, _CELLS, _LIFE,
    ),
    "pack": (
        Part("", (
            Words("serial_no", "Serial number", "As on the pack. It names the pack everywhere in the book."),
            Words("part_no", "Part number", "Of its type, for limits and capacity; add the type first."),
            Words("made_on", "Made on", "Day of making, from the plate or the certificate."),
            Words("state", "State", "Fitted, store, quarantined, away, transport or scrapped. Quarantined, away and scrapped ground it.", "1 fitted 2 store 3 quarantined…"),
            Words("state_since", "since"),
            Words("state_reason", "because"),
        )),
        Part("Before this book began", (
            Words("hours_brought_forward", "Hours before", "Time in service before this book began."),
            Words("cycles_brought_forward", "Cycles before", "Equivalent full cycles before this book began.", "cycles"),
            Words("landings_brought_forward", "Landings before"),
        )),
        Part("Where it differs from its type", (Words("nominal_kwh", "Nominal capacity"), *_SOH.fields, *_TENTHS.fields, *_PACK_LIMITS.fields, *_CELLS.fields, *_LIFE.fields)),
    ),
    "person": (
        Part("", (
            Words("person", "Name", "As the book is to call them everywhere."),
            Words("licence_no", "Licence number"),
            Words("role_text", "Role", "What they do here: pilot, instructor, mechanic."),
            Words("address", "Address"),
            Words("public_key", "Signing key", "The public key their countersignatures are checked with, if they sign."),
        )),
        Part("Before this book began", (
            Words("brought_forward_total_min", "Total time", "Flight time, in minutes."),
            Words("brought_forward_pic_min", "of it as pilot"),
            Words("brought_forward_dual_min", "of it dual"),
            Words("brought_forward_instructor_min", "of it instructing"),
            Words("brought_forward_night_min", "of it by night"),
            Words("brought_forward_landings_day", "Landings, day"),
            Words("brought_forward_landings_night", "Landings, night"),
        )),
    ),
    "person-item": (
        Part("", (
            Words("person", "Person", "Whose it is."),
            Words("item", "What", "Medical, rating, review, club check, solo authorisation …"),
            Words("valid_from", "Valid from"),
            Words("valid_until", "Valid until", "The last day on which it may be used; Today reminds of it thirty days before."),
            Words("issued_by", "Issued by"),
        )),
        Part("Limits of an authorisation", (
            Words("aircraft", "Aeroplane", "The only aeroplane it holds for."),
            Words("place", "Place", "The only place it holds for."),
            Words("limit_wind_kt", "Wind, most", "", "kt"),
            Words("limit_departure_soc_pct", "Departure charge", "Least charge at departure."),
            Words("limit_landing_soc_pct", "Landing charge", "Least charge at landing."),
            Words("limit_minutes", "Minutes, most"),
            Words("text", "Notes"),
        )),
    ),
    "place": (
        Part("", (
            Words("place", "Name", "As flights are to call it: an indicator or a name."),
            Words("zone", "Time zone", "Its name in the public zone database; local times and the local day come from it.", "such as Europe/Rome"),
            Words("latitude_deg", "Latitude", "North positive; needed for night.", "° north"),
            Words("longitude_deg", "Longitude", "East positive; needed for night.", "° east"),
            Words("elevation_ft", "Elevation", "Above mean sea level.", "ft"),
            Words("text", "Notes"),
        )),
    ),
    "installation": (
        Part("", (
            Words("serial_no", "Pack"),
            Words("aircraft", "Aeroplane"),
            Words("position", "Position", "As the aeroplane lists them."),
            Words("fitted", "Fitted"),
            Words("removed", "Removed", "Empty while it is fitted."),
            Words("reason", "Reason"),
            Words("aircraft_hours", "at aeroplane hours"),
        )),
    ),
    "observation": (
        Part("", (
            Words("serial_no", "Pack"),
            Words("at", "When"),
            Words("soc_pct", "Charge"),
            Words("soh_pct", "State of health"),
            Words("temp_min_c", "Coldest"),
            Words("temp_max_c", "Warmest"),
            Words("cell_min_v", "Lowest cell", "", "V"),
            Words("cell_max_v", "Highest cell", "", "V"),
            Words("insulation_mohm", "Insulation", "", "MΩ"),
            Words("counter_hours", "Own hours", "The pack's own hour counter."),
            Words("counter_cycles", "Own cycles", "The pack's own cycle counter."),
            Words("software", "Software"),
            Words("baseline_break", "Baseline break", "Firmware, module change, SOH reset or repair: what was done. Estimates and rules about state of health start anew there."),
            Words("text", "Notes"),
        )),
    ),
    "capacity-check": (
        Part("", (
            Words("serial_no", "Pack"),
            Words("at", "When"),
            Words("kwh", "Energy given", "Measured on the bench; capacity as flown is another figure."),
            Words("power_kw", "at power of"),
            Words("soc_from_pct", "Charge from"),
            Words("soc_to_pct", "Charge to"),
            Words("temp_c", "Temperature"),
            Words("by_whom", "By"),
            Words("text", "Notes"),
        )),
    ),
    "defect": (
        Part("", (
            Words("aircraft", "Aeroplane"),
            Words("serial_no", "Pack", "If it concerns a pack."),
            Words("found", "Found"),
            Words("found_by", "Found by"),
            Words("text", "What is wrong"),
            Words("needs_inspection", "Grounds it", "Yes: inspection before next use.", "yes or no"),
            Words("flight_id", "Flight", "The id of the flight on which it was found."),
        )),
        Part("State", (
            Words("state", "State", "Open, deferred or closed by a maintenance entry.", "1 open 2 deferred 3 closed"),
            Words("deferred_until", "Deferred until", "The last day it may stay open."),
            Words("deferred_basis", "on what basis"),
            Words("deferred_by", "deferred by"),
            Words("closed_by_entry", "Closed by entry", "The id of the maintenance entry."),
        )),
    ),
    "maintenance": (
        Part("", (
            Words("aircraft", "Aeroplane"),
            Words("serial_no", "Pack", "If it concerns a pack."),
            Words("component_id", "Component", "If it concerns another part: its id."),
            Words("work", "Kind of work", "Inspection, repair, replacement, software …"),
            Words("text", "What was done"),
            Words("completed", "Completed"),
            Words("done_by", "Done by"),
            Words("certificate_no", "Certificate"),
            Words("aircraft_hours", "Aeroplane hours"),
            Words("closes_defect", "Closes defect", "The id of the defect."),
        )),
        Part("Falls due again", (
            Words("next_due_date", "on"),
            Words("next_due_hours", "at hours"),
            Words("next_due_cycles", "at cycles", "", "cycles"),
        )),
    ),
    "component": (
        Part("", (
            Words("aircraft", "Aeroplane"),
            Words("name", "What", "Motor, propeller, controller, charger, rescue system …"),
            Words("part_no", "Part number"),
            Words("serial_no", "Serial number"),
            Words("fitted", "Fitted"),
            Words("removed", "Removed"),
            Words("hours_brought_forward", "Hours before"),
            Words("limit_hours", "Hours, most"),
            Words("limit_date", "Not after"),
            Words("text", "Notes"),
        )),
    ),
    "charge": (
        Part("", (
            Words("serial_no", "Pack"),
            Words("started", "Started"),
            Words("ended", "Ended"),
            Words("place", "Place"),
            Words("charger", "Charger"),
            Words("purpose", "Purpose", "Full, top-up, storage, preheat or cooling."),
            Words("ended_because", "Ended because"),
            Words("soc_start_pct", "Charge at start"),
            Words("soc_end_pct", "Charge at end"),
            Words("temp_start_c", "Temp. at start"),
            Words("temp_end_c", "Temp. at end"),
            Words("energy_kwh", "Own meter", "Of this pack alone, losses included."),
            Words("shared_energy_kwh", "Shared meter", "One meter for the session."),
            Words("price", "Price"),
            Words("text", "Notes"),
        )),
    ),
}  # fmt: skip
"""Kind to the parts of its form."""
