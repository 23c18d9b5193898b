"""The first start: the few things a book begins with, asked once and written in one go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.domain.published_reserves import published_words
from logbook.errors import DataRefused
from logbook.measures import USUAL, Measures
from logbook.services import typed
from logbook.services.add import add_many
from logbook.services.form_readers import day, several, share
from logbook.services.kinds import KINDS
from logbook.services.liked_units import presented
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import Meaning, Reader
from logbook.services.typed_time import zone_named
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.settings import Settings

_YOU: Final = "You"
_PLANE: Final = "The aeroplane"
_PACKS: Final = "Its packs"
_RESERVE: Final = "Reserve (the flight manual, local rules and the operator decide)"

_FIELDS: Final = (
    FormField("operator", "Your name", "", "Every entry is kept under it. Left empty, entries carry no name and flights no pilot.", _YOU),
    FormField("base", "Base aerodrome", "", "Its indicator or name. Left empty, each flight asks where it began.", _YOU),
    FormField("zone", "Its time zone", "such as Europe/Rome", "Its name in the public zone database. Left empty, times are UTC only and the day of a flight is the UTC day.", _YOU),
    FormField("registration", "Registration", "needed", "As on the aeroplane. It names the aeroplane everywhere in the book.", _PLANE, required=True),
    FormField("type", "Type", "", "In your words. Left empty, lists show the registration alone.", _PLANE),
    FormField("cruise_power_kw", "Cruise power", "kW", "Flight manual, performance: power in cruise, whole aeroplane. Left empty, minutes left cannot be told.", _PLANE),
    FormField("positions", "Pack positions", "such as front; rear", "Where packs are fitted, apart by semicolons; one word, such as packs, if you do not know. Left empty, the book keeps times only and no charge.", _PACKS),
    FormField("serials", "Serial numbers", "in that order", "Of the packs fitted now, apart by semicolons, in the order of the positions. Left empty, flights ask for one charge of the whole aeroplane until packs are fitted in Setup.", _PACKS),
    FormField("fitted", "Fitted since", "a day; empty: today", "When these packs were fitted: name the day of the first flight you will enter, or an earlier one. Flights before that day are asked for one charge of the whole aeroplane instead of each pack's.", _PACKS),
    FormField("part_no", "Part number", "", "Of the pack type, as on the packs. Left empty, the figures below are kept with the aeroplane.", _PACKS),
    FormField("nominal_kwh", "Nominal capacity", "kWh, one pack", "What the maker rates one pack when new. Left empty, percent become energy only once charges were metered.", _PACKS),
    FormField("soh_zero_fraction", "SOH 0 means", "share left, 0.46 or 46 %", "What does SOH 0 mean in your manual? Look for 'state of health': the share of the nominal capacity that is usable then; 0 where SOH is the share of capacity left. There is no usual value: left empty, capacity is learnt from flights and metered charges alone.", _PACKS),
    FormField("soh_full_fraction", "SOH 100 means", "share, 1 or 100 %", "The share that is usable at SOH 100; 1 where a new pack holds what it is rated. Left empty, it is learnt from the record.", _PACKS),
    FormField("unusable_soc_pct", "Unusable charge", "%", "Flight manual, limitations: charge that cannot be used in flight. Left empty, all of it counts.", _PACKS),
    FormField("temp_limit_c", "Highest temp.", "°C", "Flight manual, limitations: pack temperature that must not be reached. Left empty, no flight is flagged for it.", _PACKS),
    FormField("reserve_soc_pct", "Landing reserve", "%", "Least charge of each pack at landing, by the operator's policy. Left empty, no landing is checked and no plan can be said to fit.", _RESERVE),
    FormField("minimum_departure_soc_pct", "Depart above", "%", "Departures at or below this charge are flagged. Left empty, none are.", _RESERVE),
    FormField("final_reserve_min_local", "Final res., local", "min", f"Minutes that must remain after a local flight by day. Left empty, minutes are told but not judged. {published_words('local')}", _RESERVE),
    FormField("final_reserve_kw_local", "at power of", "kW", "The power at which these minutes count. Left empty, cruise power.", _RESERVE),
    FormField("final_reserve_min_day", "Final res., day", "min", f"Minutes that must remain after any other flight by day. Left empty, they are not judged. {published_words('day')}", _RESERVE),
)  # fmt: skip
_TYPE_FIELDS: Final = (
    "nominal_kwh",
    "soh_zero_fraction",
    "soh_full_fraction",
    "unusable_soc_pct",
    "temp_limit_c",
)
_PLANE_FIELDS: Final = (
    "registration", "type", "base", "positions", "cruise_power_kw", "reserve_soc_pct", "minimum_departure_soc_pct",
    "final_reserve_min_local", "final_reserve_kw_local", "final_reserve_min_day",
)  # fmt: skip


def zone_name(text: str) -> Meaning:
    """The name of a time zone."""
    bare = text.strip()
    if zone_named(bare) is None:
        return Meaning(problem="a name of the public zone database, such as Europe/Rome")
    return Meaning(bare, bare)


def serial_numbers(text: str) -> Meaning:
    """Serial numbers apart by semicolons; a space within one is most likely a forgotten semicolon."""
    found = several(text)
    together = next((one for one in found.value or () if " " in one), "")
    return found._replace(doubt=f"'{together}' is one pack? ; stands between two.") if together else found


_READERS: Final[dict[str, Reader]] = {
    "zone": zone_name,
    "positions": several,
    "serials": serial_numbers,
    "cruise_power_kw": typed.number("kW", 0, 10_000, (2, 300)),
    "nominal_kwh": typed.number("kWh", 0, 10_000, (0.5, 200)),
    "soh_zero_fraction": share,
    "soh_full_fraction": share,
    "unusable_soc_pct": typed.percent,
    "reserve_soc_pct": typed.percent,
    "minimum_departure_soc_pct": typed.percent,
    "final_reserve_min_local": typed.number("min", 0, 600),
    "final_reserve_kw_local": typed.number("kW", 0, 10_000, (2, 300)),
    "final_reserve_min_day": typed.number("min", 0, 600),
}


def first_form(now: str, measures: Measures = USUAL) -> PlainForm:
    """The form of the first start."""
    own = {"fitted": day(now), "temp_limit_c": typed.pack_temperature(measures)}
    return PlainForm("A new logbook", tuple(presented(_FIELDS, measures)), _READERS | own)


def save_first(book: Book, values: Mapping[str, Any], now: str) -> str:
    """Writes what was asked, all or nothing. Returns the registration.

    Raises:
        DataRefused: more packs than positions, a nominal capacity without anything to keep it with, or a record the book holds already.
    """
    from logbook.domain.record import read_record

    groups = [
        (KINDS[kind], [read_record(KINDS[kind].load(), row) for row in rows])
        for kind, rows in _records(BookFacts(book), values, now).items()
        if rows
    ]
    operator = values.get("operator")
    add_many(book, groups, by=operator)
    if operator:
        with book.writing():
            Settings(book).set("operator", operator)
    return str(values["registration"])


def _records(facts: BookFacts, values: Mapping[str, Any], now: str) -> dict[str, list[dict[str, Any]]]:
    """The records by kind, in an order in which each comes after what it names."""
    positions, serials = values.get("positions") or [], values.get("serials") or []
    if len(serials) > len(positions):
        raise DataRefused(
            f"There are {len(serials)} serial numbers for {len(positions)} positions.",
            next_step="Give as many positions as packs, or leave out what is not fitted.",
            field="serials" if positions else "positions",
        )
    if values.get("nominal_kwh") is not None and not serials and not values.get("part_no"):
        raise DataRefused(
            "A nominal capacity is kept with a pack or with its part number, and neither is given.",
            next_step="Give the part number or the serial numbers; or clear it: capacity is then learnt from flights.",
            field="nominal_kwh",
        )
    limits = {name: values[name] for name in _TYPE_FIELDS if values.get(name) is not None}
    part_no, base, operator = values.get("part_no"), values.get("base"), values.get("operator")
    plane = {name: values[name] for name in _PLANE_FIELDS if values.get(name) is not None}
    pack: dict[str, Any] = {"part_no": part_no} if part_no else {}
    if not part_no:
        plane |= {name: value for name, value in limits.items() if name != "nominal_kwh"}
        pack |= {"nominal_kwh": limits["nominal_kwh"]} if "nominal_kwh" in limits else {}
    fitted = f"{values['fitted']}T00:00Z" if values.get("fitted") else f"{now[:10]}T00:00Z"
    new_place = base and base not in facts.places()
    return {
        "pack-type": [{"part_no": part_no} | limits] if part_no else [],
        "aircraft": [plane],
        "pack": [{"serial_no": serial} | pack for serial in serials],
        "person": [{"person": operator}] if operator and operator not in facts.people() else [],
        "place": [{"place": base, "zone": values.get("zone")}] if new_place else [],
        "installation": [
            {"serial_no": serial, "aircraft": values["registration"], "position": position, "fitted": fitted}
            for serial, position in zip(serials, positions, strict=False)
        ],
    }
