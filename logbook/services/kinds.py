"""The kinds of record people add, list and show, with the model and the table of each."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from logbook.errors import UsageError

if TYPE_CHECKING:
    from logbook.domain.record import Record


class Kind(NamedTuple):
    """One kind of record.

    Attributes:
        name: the word in commands, one of it.
        plural: the word for many.
        table: its table.
        model: module and class in `logbook.domain`, loaded when needed.
        file: base name of its file in a package, or empty.
    """

    name: str
    plural: str
    table: str
    model: str
    file: str

    def load(self) -> type[Record]:
        """The model of the kind."""
        from importlib import import_module

        module, name = self.model.split(":")
        model: type[Record] = getattr(import_module(f"logbook.domain.{module}"), name)
        return model


KINDS = {
    kind.name: kind
    for kind in (
        Kind("pack-type", "pack-types", "pack_type", "pack:PackType", "pack_types"),
        Kind("aircraft", "aircraft", "aircraft", "aircraft:Aircraft", "aircraft"),
        Kind("pack", "packs", "pack", "pack:Pack", "packs"),
        Kind("person", "people", "person", "person:Person", "people"),
        Kind("place", "places", "place", "place:Place", "places"),
        Kind("installation", "installations", "installation", "pack:Installation", "installations"),
        Kind("person-item", "person-items", "person_item", "person:PersonItem", "person_items"),
        Kind("flight", "flights", "flight", "flight:Flight", "flights"),
        Kind("charge", "charges", "charge", "charge:Charge", "charges"),
        Kind("observation", "observations", "observation", "upkeep:Observation", "observations"),
        Kind(
            "capacity-check", "capacity-checks", "capacity_check", "upkeep:CapacityCheck", "capacity_checks"
        ),
        Kind("defect", "defects", "defect", "upkeep:Defect", "defects"),
        Kind("maintenance", "maintenance", "maintenance", "upkeep:Maintenance", "maintenance"),
        Kind("component", "components", "component", "upkeep:Component", "components"),
        Kind("plan", "plans", "plan", "paperwork:Plan", "plans"),
        Kind("signature", "signatures", "signature", "paperwork:Signature", "signatures"),
        Kind("answer", "answers", "answer", "paperwork:Answer", "answers"),
        Kind("recording", "recordings", "recording", "recording:Recording", "recordings"),
        Kind("paper", "papers", "paper", "paperwork:IssuedPaper", "papers"),
    )
}
"""Every kind, in an order in which each comes after what it refers to."""


def kind_of(word: str) -> Kind:
    """The kind a person means by a word, one or many.

    Raises:
        UsageError: there is no such kind.
    """
    for kind in KINDS.values():
        if word in (kind.name, kind.plural, kind.table):
            return kind
    raise UsageError(
        f"There is no kind of record called '{word}'.", next_step=f"Kinds are: {', '.join(KINDS)}."
    )
