"""What follows from what was typed on the flight form: for other fields, from the last flight, for another aeroplane."""

from __future__ import annotations

from logbook.services.flight_fields import AS_BEFORE
from logbook.services.flight_form import Form, Values, taken


def expected_now(form: Form, values: Values) -> dict[str, str]:
    """What follows from the other fields, as it would be typed: field to text."""

    def said(name: str) -> str:
        text = taken(values, name)
        return str(form.reader(name, values)(text).value or "") if text else ""

    kind, circuits = said("kind"), said("circuits")
    at_home = kind in ("circuits", "local")
    found = {"place_to": said("place_from") if at_home else ""}
    if kind == "circuits":
        found["landings_day"] = circuits
    else:
        found["landings_day"] = str(int(circuits or 0) + 1)
    if said("second_person"):
        found["aboard"] = "2"
        found["second_function"] = {"dual": "instructor", "instructor": "dual"}.get(said("function"), "")
    return {name: text for name, text in found.items() if name in form.names}


def as_before(form: Form, values: Values) -> dict[str, tuple[str, str]]:
    """What "as before" confirms: people, place, kind, aboard and mass from the last flight, where nothing stands yet."""
    return {
        field.name: (field.expected, "confirmed")
        for field in form.fields
        if field.name in AS_BEFORE and field.expected and values.get(field.name, ("", "empty"))[1] == "empty"
    }


def carried_over(old: Form, new: Form, values: Values) -> dict[str, tuple[str, str]]:
    """What was typed, for the form of another aeroplane or day.

    Typed readings follow the order of the packs; what was only confirmed of the other aeroplane's packs and meter is
    not: it was expected of another one. Nothing is taken away from the fields of the old form.
    """
    found = dict(values)
    for before, after in zip(old.packs, new.packs, strict=False):
        for name in (name for name in values if name.startswith(f"{before.serial_no}.")):
            other = after.serial_no + name[len(before.serial_no) :]
            if values[name][1] == "read" and found.get(other, ("", "empty"))[1] == "empty":
                found[other] = values[name]
    if old.choice.aircraft != new.choice.aircraft and values.get("meter_start", ("", ""))[1] == "confirmed":
        del found["meter_start"]
    return found
