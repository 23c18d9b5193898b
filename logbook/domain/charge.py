"""A charge: one row for each pack of a session, as the file has it."""

from __future__ import annotations

from typing import ClassVar, Self

from pydantic import model_validator

from logbook.domain.fields import Celsius, Instant, Kwh, Name, Number, Percent, Text
from logbook.domain.record import Record


class Charge(Record):
    """One pack's part in a charging session; rows with the same `charge_id` are one session.

    Attributes:
        purpose: full, top-up, storage, preheat or cooling, in the operator's words; the last two feed no efficiency.
        energy_kwh: this pack's own meter, losses included [kWh].
        shared_energy_kwh: one meter for the session, the same in each row and counted once [kWh].
    """

    kind: ClassVar[str] = "charge"

    charge_id: Name | None = None
    serial_no: Name
    started: Instant
    ended: Instant | None = None
    place: Name | None = None
    charger: Name | None = None
    purpose: Name | None = None
    ended_because: Text | None = None
    soc_start_pct: Percent | None = None
    soc_end_pct: Percent | None = None
    temp_start_c: Celsius | None = None
    temp_end_c: Celsius | None = None
    energy_kwh: Kwh | None = None
    shared_energy_kwh: Kwh | None = None
    price: Number | None = None
    text: Text | None = None

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        if self.ended is not None and self.ended < self.started:
            raise ValueError(f"the charge ends ({self.ended}) before it starts ({self.started})")
        return self
