"""`datapackage.json`: what a package says of itself, by the Frictionless Data Package specification.

Source: Data Package and Table Schema, https://specs.frictionlessdata.io (version 1, which readers of version 2 take too).
"""

from __future__ import annotations

import json
import re
from typing import Any, Final

from logbook.exchange.layout import LAYOUTS, FileLayout

MARKER: Final = {"writer": "electric-aeroplane-logbook", "format": 1, "guard": "apostrophe"}
"""What our packages carry under `logbook`: text cells of such a package are guarded, and bared on reading."""

_DATES: Final = frozenset(
    {"date", "made_on", "limit_date", "valid_from", "valid_until", "deferred_until", "next_due_date"}
)
_INSTANTS: Final = frozenset(
    {
        *(
            "off_blocks",
            "takeoff",
            "landing",
            "on_blocks",
            "expected_back",
            "entered_at",
            "started",
            "ended",
            "fitted",
            "removed",
        ),
        *("found", "completed", "made_at", "signed_at", "state_since", "as_of", "issued"),
    }
)
_AT: Final = frozenset({"observation", "capacity-check", "answer"})
_UNITS: Final = (
    ("_kwh_per_1000ft", "kWh per 1000 ft"),
    ("_kwh_per_min", "kWh per minute"),
    ("_soc_pct", "% of what the pack holds when full"),
    ("_pct", "%"),
    ("_kwh", "kWh"),
    ("_kw", "kW"),
    ("_min", "minutes"),
    ("_ft", "feet"),
    ("_fpm", "feet per minute"),
    ("_kg", "kg"),
    ("_kt", "knots"),
    ("_deg", "degrees"),
    ("_mohm", "megohm"),
    ("_hours", "hours"),
    ("_fraction", "fraction of the nominal capacity"),
    ("_temp_c", "degrees Celsius"),
    ("_c", "degrees Celsius"),
    ("_mv", "millivolt"),
    ("_v", "volt"),
    ("_s", "seconds"),
)


def is_ours(package: object) -> bool:
    """Whether a parsed `datapackage.json` carries our marker."""
    return isinstance(package, dict) and package.get("logbook") == MARKER


def descriptor() -> str:
    """The text of `datapackage.json`: the same for every package, without time, book or path."""
    package = {
        "profile": "tabular-data-package",
        "name": "logbook",
        "title": "Logbook of electric aeroplanes",
        "logbook": MARKER,
        "resources": [_resource(layout) for layout in LAYOUTS.values()],
    }
    return json.dumps(package, indent=1, ensure_ascii=False) + "\n"


def _resource(layout: FileLayout) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "fields": [_field(layout, column) for column in layout.columns],
        "missingValues": [""],
    }
    if layout.kind != "reading":  # the pack may be unknown there, and no part of a primary key may be
        schema["primaryKey"] = list(layout.key)
    keys = [
        {"fields": [column], "reference": {"resource": name, "fields": [there]}}
        for column, name, there in layout.refs
    ]
    if keys:
        schema["foreignKeys"] = keys
    return {
        "name": layout.name,
        "path": f"{layout.name}.csv",
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {
            "delimiter": ",",
            "lineTerminator": "\r\n",
            "quoteChar": '"',
            "doubleQuote": True,
            "skipInitialSpace": False,
        },
        "schema": schema,
    }


def _field(layout: FileLayout, column: str) -> dict[str, Any]:
    field: dict[str, Any] = {"name": column} | _type(layout, column)
    unit = unit_of(column)
    if unit is not None and field["type"] in ("number", "integer"):
        field["description"] = f"[{unit}]"
    if column in layout.key and layout.kind != "reading":
        field["constraints"] = {"required": True}
    return field


def unit_of(column: str) -> str | None:
    """The unit a column's name tells, in words; None where it tells none."""
    if "price" in column:
        return None
    plain = re.sub(r"_(local|day|night|brought_forward)$", "", column)
    named = plain if plain.startswith("_") else f"_{plain}"
    return next((words for ending, words in _UNITS if named.endswith(ending)), None)


def _type(layout: FileLayout, column: str) -> dict[str, str]:
    if column in _DATES:
        return {"type": "date"}
    if column in _INSTANTS or (column == "at" and layout.kind in _AT):
        return {"type": "datetime", "format": "%Y-%m-%dT%H:%MZ"}
    return {"type": {float: "number", int: "integer"}.get(layout.types[column], "string")}
