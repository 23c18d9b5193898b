"""What was typed on the plan form turned into a plan, and a plan turned back into what would be typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.measures import USUAL, Measures
from logbook.services.flight_form import owner_of
from logbook.services.leg_words import leg_line
from logbook.services.liked_units import typed_in
from logbook.services.plain_form import FormField, Values
from logbook.services.plan_form import CIRCUITS, LEGS, THERE_AND_BACK, PlanForm
from logbook.units import plain_number, to_cell

_AS_TYPED: Final = (
    "handled_by", "aboard", "mass_kg", "outside_temp_c", "place_from", "place_to", "landings_night", "elevation_ft",
    "return_power_kw", "return_tas_kt", "circuit_min",
)  # fmt: skip
"""Fields that stand in a plan as they were read."""


_WITHOUT_FIELD: Final = (("descent_fpm", "rate of descent"), ("charging_pace", "pace of charging"))


class Typed(NamedTuple):
    """What the fields say.

    Attributes:
        plan: as in `docs/interface.md`; None while it is not whole.
        lacking: what is to be typed or corrected first.
        field: the field that is meant.
    """

    plan: dict[str, Any] | None
    lacking: str = ""
    field: str = ""


def plan_of(form: PlanForm, values: Values, kept: frozenset[str] = frozenset()) -> Typed:
    """The plan that was typed. A field that is wrong is never left out silently: then there is no plan.

    Args:
        form: the form.
        values: what stands in its fields.
        kept: fields whose improbable value was confirmed.
    """
    read: dict[str, Any] = {}
    for field in form.fields:
        meaning = form.meaning(field.name, values)
        wrong = meaning.problem
        if meaning.doubt and field.name not in kept:
            wrong = wrong or f"{meaning.echo}: {meaning.doubt} Enter in the field keeps it."
        if wrong:
            return Typed(None, f"{_label(field)}: {wrong}", field.name)
        if meaning.value is not None:
            read[field.name] = meaning.value
    legs, lacking = _legs(form, read)
    if lacking:
        return Typed(None, lacking, form.names[0])
    return Typed(_plan(form, read, legs))


def _plan(form: PlanForm, read: Mapping[str, Any], legs: list[dict[str, Any]]) -> dict[str, Any]:
    plan: dict[str, Any] = {"aircraft": form.aircraft, "legs": legs}
    if form.way == CIRCUITS:
        plan["kind"] = CIRCUITS
    plan |= {name: read[name] for name in (*_AS_TYPED, "date", "kind") if name in read}
    if "wind" in read:
        plan["wind_dir"], plan["wind_kt"] = read["wind"]
    packs = [pack for serial in form.serials if len(pack := _pack_of(serial, read)) > 1]
    if packs:
        plan["packs"] = packs
    if "diversion" in read:
        plan["diversion"] = _diversion(read)
    return plan


def _label(field: FormField) -> str:
    return f"{field.part}, {field.label}" if field.part.startswith("Pack ") else field.label


def _legs(form: PlanForm, read: Mapping[str, Any]) -> tuple[list[dict[str, Any]], str]:
    if form.way == CIRCUITS:
        if "circuits" not in read:
            return [], "How many circuits? Type a number."
        return [{"kind": "circuits", "circuits": read["circuits"]}], ""
    if form.way == THERE_AND_BACK:
        return _there_and_back(form, read)
    legs = [bare(read[name]) for name in form.names if name.startswith("leg.") and name in read]
    return legs, "" if legs else "Type the first leg, such as: climb 2000"


def bare(leg: Mapping[str, Any]) -> dict[str, Any]:
    """A leg without the place it leads to, which the plan keeps as its name."""
    found = {name: value for name, value in leg.items() if name != "to"}
    return found | {"name": f"to {leg['to']}"} if "to" in leg else found


def _there_and_back(form: PlanForm, read: Mapping[str, Any]) -> tuple[list[dict[str, Any]], str]:
    from logbook.domain.plan import there_and_back_plan

    out = read.get("out")
    if out is None:
        return [], "Where to? Type a place, or distance and track such as 25nm 090."
    if "distance_nm" not in out:
        return [], "Out: a distance is needed, such as 25nm 090."
    if "track_deg" not in out:
        return [], "Out: a track is needed, such as 25nm 090."
    if "climb_ft" not in read:
        return [], "How many feet of climb?"
    plan = there_and_back_plan(
        form.aircraft,
        out["distance_nm"],
        out["track_deg"],
        read["climb_ft"],
        land_there=read.get("land_there") == "yes",
        power_kw=read.get("level_kw", out.get("power_kw")),
    )
    return [leg.model_dump(by_alias=True, exclude_none=True) for leg in plan.legs], ""


def _pack_of(serial: str, read: Mapping[str, Any]) -> dict[str, Any]:
    mine = {name.rpartition(".")[2]: value for name, value in read.items() if owner_of(name) == serial}
    return {"serial_no": serial} | mine


def _diversion(read: Mapping[str, Any]) -> dict[str, Any]:
    way = {
        name: value
        for name, value in read["diversion"].items()
        if name not in ("kind", "to", "wind_dir", "wind_kt", "cas_kt")
    }
    if "diversion_climb_ft" in read:
        way["climb_ft"] = read["diversion_climb_ft"]
    if "to" in read["diversion"]:
        way["place"] = read["diversion"]["to"]
    return way


def as_legs(form: PlanForm, values: Values) -> dict[str, tuple[str, str]]:
    """What a short way amounts to, leg by leg, as it would be typed: `leg.1` and so on."""
    read = {
        name: meaning.value
        for name in form.names
        if (meaning := form.meaning(name, values)).value is not None and not meaning.problem
    }
    legs, lacking = _legs(form, read)
    if lacking:
        return {}
    return {f"leg.{number}": (leg_line(leg, form.measures), "read") for number, leg in enumerate(legs, 1)}


def left_out(plan: Mapping[str, Any]) -> list[str]:
    """What a kept plan says that no field takes, in words."""
    found = [words for name, words in _WITHOUT_FIELD if plan.get(name)]
    if any(
        name and not str(name).startswith("to ")
        for leg in plan.get("legs") or ()
        for name in [leg.get("name")]
    ):
        found.append("names of legs")
    if plan.get("wind_kt") and plan.get("wind_dir") is None:
        found.append("a wind without direction")
    return found


def values_of(plan: Mapping[str, Any], measures: Measures = USUAL) -> tuple[str, dict[str, tuple[str, str]]]:
    """A kept plan as it would be typed: its way, and text and source of each field.

    The packs' readings are those of that day and are left out: what the gauges say now must be read now.
    """
    found: dict[str, str] = {}
    legs = list(plan.get("legs") or ())
    way = (
        CIRCUITS
        if len(legs) == 1 and legs[0]["kind"] == CIRCUITS and set(legs[0]) <= {"kind", "circuits"}
        else LEGS
    )
    if way == CIRCUITS:
        found["circuits"] = str(legs[0]["circuits"])
    else:
        found |= {f"leg.{number}": leg_line(leg, measures) for number, leg in enumerate(legs, 1)}
    found |= {
        name: typed_in(to_cell(plan[name]), name, measures)
        for name in _AS_TYPED
        if plan.get(name) is not None
    }
    if plan.get("kind") is not None and plan["kind"] != (CIRCUITS if way == CIRCUITS else ""):
        found["kind"] = str(plan["kind"])
    if plan.get("wind_kt") is not None and plan.get("wind_dir") is not None:
        found["wind"] = f"{plan['wind_dir']:03.0f}/{plain_number(plan['wind_kt'])}"
    diversion = plan.get("diversion")
    if diversion:
        found["diversion"] = leg_line(
            {"kind": ""} | {k: v for k, v in diversion.items() if k not in ("place", "climb_ft")}, measures
        ).strip()
        if diversion.get("climb_ft") is not None:
            found["diversion_climb_ft"] = plain_number(diversion["climb_ft"])
    return way, {name: (text, "read") for name, text in found.items()}
