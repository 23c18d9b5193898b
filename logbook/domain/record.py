"""What every record has in common, whatever it records."""

from __future__ import annotations

from typing import Any, ClassVar, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError, model_validator

from logbook.domain.fields import Instant, Name, Yes
from logbook.errors import DataRefused

R = TypeVar("R", bound="Part")


class Part(BaseModel):
    """A group of values that belong together: frozen, refuses unknown keys, empty means unknown."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, populate_by_name=True
    )
    kind: ClassVar[str]
    """The word for this kind of thing in commands and messages, e.g. `flight`."""

    @model_validator(mode="before")
    @classmethod
    def _empty_means_unknown(cls, data: object) -> object:
        if isinstance(data, dict) and (None in data.values() or "" in data.values()):
            return {key: value for key, value in data.items() if value is not None and value != ""}
        return data

    def columns(self) -> dict[str, Any]:
        """The values by column name (those of the files), in the order of the files."""
        return self.model_dump(by_alias=True)


class Record(Part):
    """One record as it was written down.

    Attributes:
        struck: 1 when the record was struck out; nothing is ever deleted.
        entered_by: who wrote it down.
        entered_at: when it was written down (UTC).
    """

    struck: Yes = 0
    entered_by: Name | None = None
    entered_at: Instant | None = None


class Keyed(Record):
    """A record known by a name of its own (registration, serial number, a person's name).

    Attributes:
        record_id: what the versions of the record are filed under; absent: its first name.
    """

    record_id: Name | None = None


def read_record(model: type[R], data: object) -> R:
    """Makes a record of loose data (from JSON, a form, a file).

    Raises:
        DataRefused: it cannot be such a record; says which field, why, and what to do.
    """
    if not isinstance(data, dict):
        raise DataRefused(
            f"A {model.kind} must be an object with named fields.", next_step="See docs/interface.md."
        )
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise _refusal(model, error) from None


def _refusal(model: type[Part], error: ValidationError) -> DataRefused:
    """The first thing wrong, in words that do not repeat what was typed."""
    first = error.errors(include_url=False, include_context=True)[0]
    field = ".".join(str(part) for part in first["loc"])
    kind = first["type"]
    if kind == "extra_forbidden":
        return DataRefused(
            f"A {model.kind} has no field '{field}'.", next_step="Remove it or correct its name.", field=field
        )
    if kind == "missing":
        return DataRefused(f"A {model.kind} needs the field '{field}'.", next_step="Add it.", field=field)
    message = first["msg"].removeprefix("Value error, ")
    where = f"Field '{field}' of the {model.kind}: " if field else f"This {model.kind}: "
    return DataRefused(where + message + ".", next_step="Correct it and enter it again.", field=field)
