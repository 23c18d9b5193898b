"""What people say about records: answers to flags, countersignatures, plans kept as given, and papers that were issued."""

from __future__ import annotations

from typing import ClassVar, Self

from pydantic import model_validator

from logbook.domain.fields import Instant, Name, Text
from logbook.domain.record import Record


class Answer(Record):
    """Words that close a flag, until the figure it rests on changes.

    Attributes:
        flight_id: the flight whose flag it is; or `charge_id`, the charging session; or `observation_id`; or `entry_id`, the
            maintenance entry. One of the four.
        rule: the rule's id.
        figures: the figures behind the flag when it was answered, as canonical JSON.
    """

    kind: ClassVar[str] = "answer"

    answer_id: Name | None = None
    flight_id: Name | None = None
    charge_id: Name | None = None
    observation_id: Name | None = None
    entry_id: Name | None = None
    serial_no: Name | None = None
    rule: Name
    figures: Text
    words: Text
    by_whom: Name | None = None
    at: Instant | None = None

    @model_validator(mode="after")
    def _to_one_record(self) -> Self:
        owners = (self.flight_id, self.charge_id, self.observation_id, self.entry_id)
        if sum(owner is not None for owner in owners) != 1:
            raise ValueError("an answer belongs to one flight, charge, observation or maintenance entry")
        return self


class Signature(Record):
    """An instructor's countersignature: the signed bytes, the signature, and the key's fingerprint."""

    kind: ClassVar[str] = "signature"

    signature_id: Name | None = None
    flight_id: Name
    person: Name
    fingerprint: Name
    signed_at: Instant
    payload: Text
    signature: Text


class Plan(Record):
    """A plan: its inputs and the forecast as it was given, both as JSON."""

    kind: ClassVar[str] = "plan"

    plan_id: Name | None = None
    aircraft: Name
    made_at: Instant | None = None
    title: Name | None = None
    inputs: Text
    answer: Text | None = None


class IssuedPaper(Record):
    """A paper that was written to a file: what it was of, and the line by which it can be asked whether it is still true.

    Attributes:
        what: which paper: pack, packs, aircraft, year or plan.
        which: serial number, registration, year or id of the one it is of; absent where it is of all.
        as_of: the moment up to which the record counted.
        issued: when it was written.
        digest: over the records behind it, SHA-256 in hexadecimal.
        format: the forms in which it was written, apart by blanks.
        file_name: without its folder.
        line: the last line of the paper, which holds all this and more.
    """

    kind: ClassVar[str] = "paper"

    paper_id: Name | None = None
    what: Name
    which: Name | None = None
    as_of: Instant
    issued: Instant
    by_whom: Name | None = None
    digest: Name
    format: Name
    file_name: Name | None = None
    line: Text
    text: Text | None = None
