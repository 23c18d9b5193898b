"""After any sequence of entries, corrections, strikings, restorings and answers two things hold: what is kept for
speed equals a fresh computation, and every state each record ever had can be read back.

More sequences than in the normal run: `LOGBOOK_EXAMPLES=300 pytest tests/store/test_history_machine.py`.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path
from typing import Any
from unittest.mock import patch

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from logbook.errors import DataRefused
from logbook.services import pack_kept, people_kept, refresh
from logbook.services.answer import answer
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.pack_status import pack_rows
from logbook.services.people_kept import people_sums
from logbook.services.questions import show
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.units import instant_of, minutes_of
from tests import club
from tests.club import club_book, put

START = minutes_of("2031-05-09T06:00Z")
SLOTS = st.integers(0, 11)
SOC = st.sampled_from([None, 10, 30, 41, 60, 62, 90, 91])
SOH = st.sampled_from([None, 80, 90, 98])
SPARE = "LARK-09"
PACKS = st.sampled_from([club.P1, club.P2, SPARE])
AEROPLANES = st.sampled_from([club.WATT, club.VOLT])
SOURCES = st.sampled_from(["read", "remembered", "not-read"])


def moment(slot: int, minutes: int = 0) -> str:
    """A moment in one of a few half-hour slots, so that events meet, touch and coincide."""
    return instant_of(START + 30 * slot + minutes)


class Club(RuleBasedStateMachine):
    """What three people might do to one book in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="machine-"))
        self.states: dict[tuple[str, str, str], list[dict[str, Any]]] = {}
        self.count = 0

    @initialize()
    def settle(self) -> None:
        path = self.folder / "book.logbook"
        if not TEMPLATE:
            TEMPLATE.append(Path(tempfile.mkdtemp(prefix="machine-")) / "club.logbook")
            with club_book(TEMPLATE[0]) as book:
                put(book, "pack", club.pack(SPARE))
        shutil.copyfile(TEMPLATE[0], path)
        self.book = Book.open(path)
        self.flights: list[str] = []
        self.charges: list[str] = []
        self.others: list[tuple[str, str]] = []
        for _, row in enumerate(self.book.connection.execute("SELECT id FROM installation").fetchall()):
            self.others.append(("installation", row[0]))
        for kind, record_id in [
            *self.others,
            ("pack", club.P1),
            ("aircraft", club.WATT),
            ("pack-type", "PK-12"),
        ]:
            self.watch(kind, record_id)

    def teardown(self) -> None:
        if hasattr(self, "book"):
            with patch.object(refresh, "_MANY", 0):  # one sweep over all flights finds the same, too
                assert check(self.book) == []
            self.book.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    # ---- what was, is and must stay readable

    def now(self, kind: str, record_id: str) -> dict[tuple[str, str, str], dict[str, Any]]:
        """The recorded state of a record and its parts, by table, id and owner."""
        shown = show(self.book, kind, record_id)
        if kind == "charge":
            return {("charge", record_id, row["serial_no"]): row for row in shown["packs"]}
        table = kind.replace("-", "_")
        apart = {"versions", "token", "flags", "answers", "derived", "readings", "crew", "phases"}
        found = {(table, record_id, ""): {k: v for k, v in shown.items() if k not in apart}}
        for reading in shown.get("readings", ()):
            plain = {k: v for k, v in reading.items() if k != "derived"}
            found["reading", record_id, reading["serial_no"]] = plain
        return found

    def watch(self, kind: str, record_id: str) -> None:
        """Notes the state of a record if it is not the one noted last."""
        for key, state in self.now(kind, record_id).items():
            known = self.states.setdefault(key, [])
            if not known or known[-1] != state:
                known.append(state)

    def tell(self, kind: str, data: dict[str, Any], record_id: str) -> bool:
        """Adds; says whether it was taken."""
        try:
            put(self.book, kind, data)
        except DataRefused:
            return False
        self.watch(kind, record_id)
        return True

    def change(self, kind: str, record_id: str, changes: dict[str, Any]) -> None:
        """Corrects; a correction that cannot be must leave everything as it was."""
        before = self.now(kind, record_id)
        try:
            correct(self.book, kind, record_id, changes, by=club.BEN, why="found on paper")
        except DataRefused:
            assert self.now(kind, record_id) == before
        self.watch(kind, record_id)

    # ---- what people do

    @rule(
        slot=SLOTS,
        length=st.sampled_from([10, 25, 30, 50, 700]),
        aircraft=AEROPLANES,
        packs=st.lists(PACKS, max_size=2, unique=True),
        socs=st.tuples(SOC, SOC, SOC, SOC),
        soh=SOH,
        source=SOURCES,
        outcome=st.sampled_from(["flown", "ground-run"]),
        meter=st.sampled_from([None, 10.0, 11.0]),
    )
    def fly(  # noqa: PLR0917 - one for each thing that may differ
        self, slot, length, aircraft, packs, socs, soh, source, outcome, meter
    ) -> None:
        self.count += 1
        flight_id = f"F{self.count}"
        readings = [
            club.reading(
                serial,
                soc_departure_pct=socs[2 * i],
                soc_landing_pct=socs[2 * i + 1],
                soh_pct=soh,
                source=source,
            )
            for i, serial in enumerate(packs)
        ]
        data = club.flight(
            flight_id,
            aircraft=aircraft,
            outcome=outcome,
            off_blocks=moment(slot),
            takeoff=None,
            landing=None,
            on_blocks=moment(slot, length),
            meter_start=meter,
            readings=readings,
        )
        if self.tell("flight", data, flight_id):
            self.flights.append(flight_id)

    @rule(slot=SLOTS, pack=PACKS, start=SOC, end=SOC, minutes=st.sampled_from([None, 20, 400]))
    def charge(self, slot, pack, start, end, minutes) -> None:
        self.count += 1
        charge_id = f"C{self.count}"
        ended = None if minutes is None else moment(slot, minutes)
        data = club.charge(charge_id, pack, moment(slot), ended=ended, soc_start_pct=start, soc_end_pct=end)
        if self.tell("charge", data, charge_id):
            self.charges.append(charge_id)

    @rule(slot=SLOTS, pack=PACKS, aircraft=AEROPLANES, length=st.sampled_from([None, 30, 120]))
    def fit(self, slot, pack, aircraft, length) -> None:
        self.count += 1
        record_id = f"I{self.count}"
        removed = None if length is None else moment(slot, length)
        data = club.fitting(
            pack,
            f"place {self.count % 3}",
            aircraft,
            installation_id=record_id,
            fitted=moment(slot),
            removed=removed,
        )
        if self.tell("installation", data, record_id):
            self.others.append(("installation", record_id))

    @rule(slot=SLOTS, pack=PACKS, reason=st.sampled_from([None, "repair"]))
    def observe(self, slot, pack, reason) -> None:
        self.count += 1
        record_id = f"O{self.count}"
        data = {"observation_id": record_id, "serial_no": pack, "at": moment(slot), "baseline_break": reason}
        if self.tell("observation", data, record_id):
            self.others.append(("observation", record_id))

    @rule(slot=SLOTS, pack=PACKS)
    def find_defect(self, slot, pack) -> None:
        self.count += 1
        record_id = f"D{self.count}"
        data = {
            "defect_id": record_id,
            "serial_no": pack,
            "found": moment(slot),
            "text": f"number {self.count}",
            "needs_inspection": 1,
        }
        if self.tell("defect", data, record_id):
            self.others.append(("defect", record_id))

    @precondition(lambda self: any(kind == "defect" for kind, _ in self.others))
    @rule(slot=SLOTS, which=st.integers(0, 50))
    def mend(self, slot, which) -> None:
        self.count += 1
        defects = [record_id for kind, record_id in self.others if kind == "defect"]
        record_id = f"M{self.count}"
        data = {
            "entry_id": record_id,
            "completed": moment(slot),
            "text": "done",
            "closes_defect": defects[which % len(defects)],
        }
        if self.tell("maintenance", data, record_id):
            self.others.append(("maintenance", record_id))

    @precondition(lambda self: self.flights)
    @rule(
        which=st.integers(0, 50),
        change=st.one_of(
            st.tuples(st.just("off_blocks"), SLOTS.map(moment)),
            st.tuples(st.just("on_blocks"), SLOTS.map(moment)),
            st.tuples(st.just("aircraft"), AEROPLANES),
            st.tuples(st.just("struck"), st.sampled_from([0, 1])),
            st.tuples(st.just("state"), st.sampled_from(["open", "closed"])),
            st.tuples(st.just("outcome"), st.sampled_from(["flown", "aborted"])),
            st.tuples(st.just("meter_end"), st.sampled_from([None, 10.5, 12.0])),
            st.tuples(st.just("remarks"), st.text(max_size=5)),
            st.tuples(st.just("pilot"), st.sampled_from([club.ADA, club.BEN])),
            st.tuples(st.just("second_person"), st.sampled_from([None, club.CLEO])),
            st.tuples(st.just("function"), st.sampled_from(["pic", "dual"])),
        ),
    )
    def correct_flight(self, which, change) -> None:
        field, value = change
        self.change(
            "flight", self.flights[which % len(self.flights)], {field: "" if value is None else value}
        )

    @precondition(lambda self: self.flights)
    @rule(
        which=st.integers(0, 50),
        pack=PACKS,
        change=st.one_of(
            st.tuples(st.just("soc_departure_pct"), SOC),
            st.tuples(st.just("soc_landing_pct"), SOC),
            st.tuples(st.just("soh_pct"), SOH),
            st.tuples(st.just("source"), SOURCES),
            st.tuples(st.just("serial_no"), PACKS),
        ),
    )
    def correct_reading(self, which, pack, change) -> None:
        flight_id = self.flights[which % len(self.flights)]
        if change[0] == "serial_no" and pack not in {
            key[2] for key in self.now("flight", flight_id) if key[0] == "reading"
        }:
            return
        if change[0] == "serial_no":
            self.rename_reading(flight_id, pack, change[1])
        else:
            self.change("flight", flight_id, {f"{pack}.{change[0]}": "" if change[1] is None else change[1]})

    def rename_reading(self, flight_id: str, pack: str, other: str) -> None:
        """The reading of one pack turns out to be another's: its history goes with it."""
        self.change("flight", flight_id, {f"{pack}.serial_no": other})
        now = self.now("flight", flight_id)
        if ("reading", flight_id, pack) not in now:
            past = self.states.pop(("reading", flight_id, pack))
            self.states["reading", flight_id, other] = [*past, now["reading", flight_id, other]]

    @precondition(lambda self: self.charges)
    @rule(
        which=st.integers(0, 50),
        change=st.one_of(
            st.tuples(st.just("started"), SLOTS.map(moment)),
            st.tuples(st.just("ended"), SLOTS.map(moment)),
            st.tuples(st.just("soc_end_pct"), SOC),
            st.tuples(st.just("serial_no"), PACKS),
            st.tuples(st.just("struck"), st.sampled_from([0, 1])),
        ),
    )
    def correct_charge(self, which, change) -> None:
        field, value = change
        charge_id = self.charges[which % len(self.charges)]
        old = next(key[2] for key in self.now("charge", charge_id))
        self.change("charge", charge_id, {field: "" if value is None else value})
        new = next(key[2] for key in self.now("charge", charge_id))
        if new != old:
            past = self.states.pop(("charge", charge_id, old))
            self.states["charge", charge_id, new] = [*past, *self.states.get(("charge", charge_id, new), [])]

    @precondition(lambda self: self.others)
    @rule(
        which=st.integers(0, 50),
        slot=SLOTS,
        pack=PACKS,
        what=st.sampled_from(["when", "until", "pack", "struck", "restored"]),
    )
    def correct_other(self, which, slot, pack, what) -> None:
        kind, record_id = self.others[which % len(self.others)]
        when = {"installation": "fitted", "observation": "at", "defect": "found", "maintenance": "completed"}[
            kind
        ]
        changes: dict[str, Any] = {
            "when": {when: moment(slot)},
            "until": {"removed": moment(slot)} if kind == "installation" else {when: moment(slot)},
            "pack": {"serial_no": pack},
            "struck": {"struck": 1},
            "restored": {"struck": 0},
        }[what]
        self.change(kind, record_id, changes)

    @rule()
    def look_at_packs(self) -> None:
        """What packs have accrued, and the sums it goes on from, are kept then; any change after it must be noticed."""
        with patch.object(pack_kept, "WORTH", 0), patch.object(pack_kept, "LEFT_FOR_LATER", 1):
            pack_rows(self.book)

    @rule()
    def look_at_people(self) -> None:
        """The same of what people flew."""
        with patch.object(people_kept, "WORTH", 0):
            people_sums(self.book)

    @rule(
        change=st.sampled_from(
            [{"time_in_service_from": "meter"}, {"time_in_service_from": ""}, {"soh_zero_fraction": 0.6}]
        )
    )
    def restate_aircraft(self, change) -> None:
        self.change("aircraft", club.WATT, change)

    @rule(full=st.sampled_from([1.0, 0.9]))
    def restate_type(self, full) -> None:
        self.change("pack-type", "PK-12", {"soh_full_fraction": full})

    @rule(state=st.sampled_from(["fitted", "quarantined"]), slot=SLOTS)
    def ground(self, state, slot) -> None:
        self.change("pack", club.P1, {"state": state, "state_since": moment(slot)})

    @rule(nominal=st.sampled_from(["", "9", "13"]))
    def restate_pack(self, nominal) -> None:
        self.change("pack", club.P1, {"nominal_kwh": nominal})

    @rule(reserve=st.sampled_from(["20", "31", ""]))
    def change_policy(self, reserve) -> None:
        self.change("aircraft", club.WATT, {"reserve_soc_pct": reserve})

    @precondition(lambda self: self.flights)
    @rule(which=st.integers(0, 50))
    def answer_a_flag(self, which) -> None:
        flight_id = self.flights[which % len(self.flights)]
        flags = show(self.book, "flight", flight_id)["flags"]
        if flags:
            flag = flags[which % len(flags)]
            answer(
                self.book, flight_id, flag["rule"], "looked into", serial_no=flag["serial_no"], by=club.ADA
            )

    # ---- what must hold

    @invariant()
    def nothing_is_wrong_with_the_book(self) -> None:
        if hasattr(self, "book"):
            assert Derived(self.book).stale() == []
            assert check(self.book) == []

    @invariant()
    def every_earlier_state_can_be_read(self) -> None:
        for (table, record_id, owner), states in self.states.items():
            shown = show(self.book, table.replace("reading", "flight").replace("_", "-"), record_id)
            kept = [version["was"] for version in shown["versions"] if version["record"] == table]
            for state in states[:-1]:
                assert state in kept, (table, record_id, owner, state)


TEMPLATE: list[Path] = []
EXAMPLES = int(os.environ.get("LOGBOOK_EXAMPLES", "8"))
TestAnySequence = Club.TestCase
TestAnySequence.settings = settings(
    max_examples=EXAMPLES, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
)
