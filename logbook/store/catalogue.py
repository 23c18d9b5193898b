"""What the store knows of each table: its key, what it refers to, and how the files call its columns."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple


class Table(NamedTuple):
    """One table of records.

    Attributes:
        name: the table.
        file_id: how the files call the column `id`.
        key: the column by which people know the record, or empty.
        refs: columns that hold the number of a row in another table.
        lists: columns that hold a list, as JSON.
        parent: the table this is a part of, or empty.
        sort: the order of the files.
    """

    name: str
    file_id: str = "record_id"
    key: str = ""
    refs: Mapping[str, str] = MappingProxyType({})
    lists: tuple[str, ...] = ()
    parent: str = ""
    sort: str = "id"


KEYS: Final = {"aircraft": "registration", "pack": "serial_no", "person": "person"}
"""The tables that others refer to, with the column that names the row."""

_PACK: Final = {"serial_no": "pack"}
_BOTH: Final = {"aircraft": "aircraft", "serial_no": "pack"}

TABLES: Final = {
    table.name: table
    for table in (
        Table("pack_type", key="part_no", lists=("energy_by_decile",)),
        Table("aircraft", key="registration", lists=("positions", "energy_by_decile")),
        Table("pack", key="serial_no", lists=("energy_by_decile",)),
        Table("person", key="person"),
        Table("place", key="place"),
        Table("installation", "installation_id", refs=_BOTH),
        Table("person_item", "item_id", refs={"person": "person", "aircraft": "aircraft"}),
        Table(
            "flight",
            "flight_id",
            refs={
                "aircraft": "aircraft",
                "pilot": "person",
                "second_person": "person",
                "handled_by": "person",
                "safety_pilot": "person",
            },
        ),
        Table("reading", parent="flight", refs=_PACK, sort="serial_no"),
        Table("crew", parent="flight", refs={"person": "person"}, sort="person"),
        Table("phase", parent="flight", sort="sequence"),
        Table("charge", "charge_id", refs=_PACK, sort="id, serial_no"),
        Table("observation", "observation_id", refs=_PACK),
        Table("capacity_check", "check_id", refs=_PACK),
        Table("defect", "defect_id", refs=_BOTH),
        Table("maintenance", "entry_id", refs=_BOTH),
        Table("component", "component_id", refs={"aircraft": "aircraft"}),
        Table("plan", "plan_id", refs={"aircraft": "aircraft"}),
        Table("signature", "signature_id"),
        Table("answer", "answer_id", refs=_PACK),
        Table("recording", "recording_id"),
        Table("paper", "paper_id"),
    )
}
"""Every table of records, in an order in which each comes after what it refers to."""

PARTS: Final = ("reading", "crew", "phase")
"""The tables whose rows are parts of a flight."""
