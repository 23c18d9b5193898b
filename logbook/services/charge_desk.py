"""The part of the desk that is about charging: sessions, their form, and when a pack is full."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.services.unfinished import Entry, new_id
from logbook.store.records import Records

if TYPE_CHECKING:
    from logbook.services.charge_fields import ChargeForm
    from logbook.services.charge_now import Asked
    from logbook.services.desk import Desk
    from logbook.services.flagged_charges import FlaggedCharges
    from logbook.services.flight_form import Values

Row = dict[str, Any]


class ChargeDesk(NamedTuple):
    """Charging, on an open book."""

    desk: Desk

    def subjects(self) -> list[tuple[str, str]]:
        """What can be charged: value and words; aeroplanes flown last first."""
        from logbook.services.charge_entry import subjects

        return subjects(self.desk.book)

    def packs_of(self, subject: str) -> list[tuple[str, str]]:
        """Serial number and position of the packs of an aeroplane, or of the pack itself."""
        from logbook.services.charge_entry import packs_of

        return [(slot.serial_no, slot.position) for slot in packs_of(self.desk.book, subject)]

    def sessions(self, limit: int | None = None) -> list[Row]:
        """Sessions, newest first, as `services.charging.sessions` gives them (slow: to be called elsewhere)."""
        from logbook.services.charging import sessions

        return sessions(self.desk.book, limit=limit)

    def now(self, serial_no: str, asked: Asked | None = None) -> list[str]:
        """May it be charged now, and when it will be at so many percent, in words (slow: to be called elsewhere)."""
        from logbook.services.charge_now import Asked, charge_now, in_words

        at = self.desk.clock()
        question = asked or Asked()
        words = in_words(charge_now(self.desk.book, serial_no, question._replace(at=question.at or at)))
        measures = self.desk.measures
        return [measures.sentence(line) for line in words]

    def answers(self, asked: Sequence[tuple[str, str, Asked | None]]) -> list[str]:
        """The answers for several packs, each said once where it holds for all of them (slow: to be called elsewhere).

        Args:
            asked: serial number, name to call it by, what is known at the charger.
        """
        said: dict[str, list[str]] = {}
        for serial, name, known in asked:
            for line in self.now(serial, known):
                said.setdefault(line, []).append(name)
        return [
            line if len(names) == len(asked) else f"{', '.join(names)}: {line}"
            for line, names in said.items()
        ]

    def lines_of(self, packs: Sequence[Row]) -> list[tuple[str, str, str, str]]:
        """The filled fields of a session: label, value, unit, remark; those of each pack behind its name."""
        from logbook.services.charging import OF_A_PACK, OF_THE_SESSION
        from logbook.services.money import currency_of
        from logbook.services.record_words import lines

        common = {name: packs[0][name] for name in OF_THE_SESSION}
        measures = self.desk.measures
        found = lines("charge", common, measures, currency_of(self.desk.book))
        for row in packs:
            mine = {name: row[name] for name in OF_A_PACK}
            found.append((f"Pack {row['serial_no']}", "", "", ""))
            found += lines("charge", mine, measures)
        return found

    def known_flagged(self) -> FlaggedCharges | None:
        """Charges with an unanswered flag, if they were looked for since the book changed last."""
        from logbook.services.flagged_charges import known_flagged

        return known_flagged(self.desk.book, self.desk.learned)

    def flagged(self) -> FlaggedCharges:
        """Charges with an unanswered flag (slow: to be called elsewhere)."""
        from logbook.services.flagged_charges import learn_flagged

        return learn_flagged(self.desk.book, self.desk.learned)

    def running(self) -> list[Row]:
        """Sessions that have begun and not ended: id, since, serial numbers; newest first."""
        found: dict[str, Row] = {}
        for _, row in Records(self.desk.book, "charge").select(
            "ended IS NULL AND struck = 0", order="started DESC", limit=40
        ):
            session = found.setdefault(
                row["charge_id"], {"charge_id": row["charge_id"], "started": row["started"], "packs": []}
            )
            session["packs"].append(row["serial_no"])
        return list(found.values())

    def begin(self, subject: str, day: str | None = None) -> Entry:
        """A charge to be entered, of today unless another day is named."""
        from logbook.services.typed_time import local_day

        home = self.desk.home_zone(subject)
        zone = home if self.desk.setting("clock") == "local" else "UTC"
        return Entry(
            new_id(),
            subject,
            day or local_day(self.desk.clock(), home),
            zone,
            kind="charge",
            measures=self.desk.measures,
        )

    def go_on_with(self, charge_id: str) -> Entry:
        """A charge that is running, to be ended; or one that has ended, to be corrected."""
        from logbook.services.charge_entry import values_of
        from logbook.services.typed_time import local_day

        shown = self.desk.show("charge", charge_id)
        serials = {row["serial_no"] for row in shown["packs"]}
        planes = [
            name for name, _ in self.subjects() if serials & {serial for serial, _ in self.packs_of(name)}
        ]
        begun = self.begin(planes[0] if planes else min(serials))
        day = local_day(shown["packs"][0]["started"], self.desk.home_zone(begun.aircraft))
        ended = all(row["ended"] for row in shown["packs"])
        return begun._replace(
            flight_id=charge_id,
            day=day,
            outcome="correction" if ended else begun.outcome,
            closing=True,
            seen=shown["token"],
            values=values_of(shown, begun.zone, begun.measures),
        )

    def meanwhile(self, entry: Entry) -> tuple[Entry, list[str]]:
        """An entry upon the session as it is now, and what somebody else changed in it, in words."""
        from logbook.services.charge_meanwhile import meanwhile

        return meanwhile(entry, self.desk.show("charge", entry.flight_id))

    def form(self, entry: Entry) -> ChargeForm:
        """The form for a charge."""
        from logbook.services.charge_entry import charge_form
        from logbook.services.typed_time import Clock

        clock = Clock(entry.day, entry.zone, self.desk.home_zone(entry.aircraft))
        running = self.desk.show("charge", entry.flight_id) if entry.closing else None
        return charge_form(
            self.desk.book, entry.aircraft, clock, running, measures=entry.measures, now=self.desk.clock
        )

    def save(self, form: ChargeForm, values: Values, entry: Entry) -> list[Row]:
        """Saves the charge and gives the flags of its session, and those of the flights whose readings it does not meet."""
        from logbook.services.charge_cases import ChargeFlags
        from logbook.services.charge_entry import save_charge
        from logbook.store.derived import Derived

        save_charge(
            self.desk.book, form, values, entry.flight_id,
            closing=entry.closing, by=self.desk.operator, clock=self.desk.clock, seen=entry.seen,
        )  # fmt: skip
        serials, charge_id = [slot.serial_no for slot in form.packs], entry.flight_id
        started = str(self.desk.show("charge", charge_id)["packs"][0]["started"])
        beside = Derived(self.desk.book).flags_for_charges([(charge_id, started)])[charge_id]
        return [*ChargeFlags(self.desk.book, serials).of_session(charge_id), *beside]
