"""What was typed on the flight form as the flight it becomes: its columns, a reading for each pack, and crew rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.services.flight_fields import TIMES
from logbook.services.flight_form import COUNTS, Form, Values, meanings, owner_of, taken
from logbook.services.flight_shares import SHARES, crew_of

_OF_OTHERS: Final = frozenset({"defect", *SHARES})
"""Fields that are no columns of the flight but records of their own."""


def record_of(form: Form, values: Values, *, flight_id: str, open_only: bool) -> dict[str, Any]:
    """The flight that was typed, as the columns of `docs/interface.md`; fields with problems are left out."""
    read = {name: meaning.value for name, meaning in meanings(form, values).items() if not meaning.problem}
    record: dict[str, Any] = {
        "flight_id": flight_id,
        "aircraft": form.choice.aircraft,
        "date": form.choice.clock.day,
        "state": "open" if open_only else "closed",
        "outcome": form.choice.outcome,
    }
    record |= {name: value for name, value in read.items() if "." not in name and name not in _OF_OTHERS}
    record |= {f"{name}_source": source for name in TIMES if (source := _from_file(name, record, values))}
    crew = crew_of(read, record.get("pilot"), record.get("second_person"))
    if crew:
        record["crew"] = crew
    if taken(values, "plan_id"):  # it comes with a plan, and is no field
        record["plan_id"] = taken(values, "plan_id")
    owners = [slot.serial_no for slot in form.packs]
    record["readings"] = [reading for serial in owners if (reading := _reading(serial, read, values))]
    whole = _reading("", read, values) if any(owner_of(name) == "" for name in form.names) else {}
    if whole:
        record["readings"].append(whole | {"serial_no": None})
    return record


def _from_file(name: str, record: Mapping[str, Any], values: Values) -> str:
    """The source of a time that was taken from a file and left as it was; empty where somebody wrote it down."""
    source = values[name][1] if record.get(name) else ""
    return source if source in ("track", "recorder") else ""


def _reading(serial: str, read: Mapping[str, Any], values: Values) -> dict[str, Any]:
    """One pack's reading with where it comes from; empty where nothing was read."""
    mine = {name.rpartition(".")[2]: value for name, value in read.items() if owner_of(name) == serial}
    sources = {source for name, (_, source) in values.items() if owner_of(name) == serial}
    if not mine and "not-read" not in sources:
        return {}
    if not any(name.startswith("soc_") for name in mine) and "not-read" in sources:
        source = "not-read"
    else:
        source = next((one for one in COUNTS if one in sources), "read")
    return mine | {"serial_no": serial, "source": source}
