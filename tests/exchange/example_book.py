"""A small book that holds one of everything, with histories, strikes, answers and awkward text."""

from pathlib import Path

from logbook.services.add import add
from logbook.services.answer import answer
from logbook.services.correct import correct, strike
from logbook.store.database import Book

NASTY = [
    '=1+2";=1+2',
    "'=x",
    "''@y",
    "\t=1",
    "-3\r\nb",
    "\0zero",
    '"quoted", twice',
    "\x1b[2J",
    "\u202eabc",
    "Ü ñ 漢",
    " edge ",
    "a\rb",
    "'",
]


def clock() -> str:
    return "2031-06-01T10:00Z"


def make_book(path: Path) -> Book:
    book = Book.open(path, create=True)

    def enter(kind: str, data: object) -> None:
        add(book, kind, data, by="=Ann", clock=clock)

    enter(
        "pack-type", {"part_no": "PT-1", "nominal_kwh": 11.5, "limit_hours": 500, "cycle_definition": "+full"}
    )
    enter(
        "aircraft",
        {
            "registration": "X-ABC",
            "class": "trainer",
            "positions": ["front", "re;ar", "[x]"],
            "reserve_soc_pct": 30,
            "handbook_level_kwh_per_min": 0.000001,
            "temp_limit_c": 58,
        },
    )
    enter("aircraft", {"registration": "X-NONE"})
    enter(
        "pack",
        [{"serial_no": "S2", "part_no": "PT-1"}, {"serial_no": "S1", "part_no": "PT-1", "state": "fitted"}],
    )
    enter("person", [{"person": "=Ann", "licence_no": "L1"}, {"person": "Ben", "role_text": "@student"}])
    enter("place", {"place": "HOME", "latitude_deg": 45.5, "longitude_deg": -0.000001})
    enter(
        "installation",
        {"serial_no": "S1", "aircraft": "X-ABC", "position": "front", "fitted": "2030-01-01T00:00Z"},
    )
    enter("person-item", {"person": "Ben", "item": "solo authorisation", "valid_until": "2031-12-31"})
    for number, text in enumerate(NASTY):
        enter(
            "flight",
            {
                "flight_id": f"F-{number:02d}",
                "aircraft": "X-ABC",
                "pilot": "=Ann",
                "second_person": "Ben",
                "remarks": text,
                "kind": "circuits",
                "night_min": number,
                "ifr_min": 12.5,
                "instrument_min": 3,
                "simulated_instrument_min": 4,
                "ground_training_min": 30,
                "safety_pilot": "=Ann" if number % 2 else "Ben",
                "approaches_text": text,
                "device_text": text,
                "outside_temp_c": -5.5,
                "off_blocks": f"2031-05-{number + 1:02d}T08:30Z",
                "on_blocks": f"2031-05-{number + 1:02d}T09:30Z",
                "crew": [{"person": "Ben", "function": "dual", "handled": 1}],
                "phases": [{"sequence": 1, "phase": "climb", "minutes": 5}],
                "readings": [
                    {"serial_no": "S2", "soc_departure_pct": 97.5, "soc_landing_pct": 25},
                    {"serial_no": "S1", "soh_pct": 95},
                ],
            },
        )
    enter(
        "charge",
        [
            {"charge_id": "C1", "serial_no": "S1", "started": "2031-05-02T10:00Z"},
            {"charge_id": "C1", "serial_no": "S2", "started": "2031-05-02T10:00Z"},
        ],
    )
    fallen = {"charge_id": "C2", "serial_no": "S1", "started": "2031-05-03T10:00Z"}
    enter("charge", fallen | {"ended": "2031-05-03T11:00Z", "soc_start_pct": 80, "soc_end_pct": 40})
    enter("observation", {"serial_no": "S1", "at": "2031-05-20T10:00Z", "baseline_break": "firmware"})
    enter("capacity-check", {"serial_no": "S1", "at": "2031-05-21T10:00Z", "kwh": 10.1234})
    enter("defect", {"aircraft": "X-ABC", "found": "2031-05-03T12:00Z", "text": "-tyre worn"})
    enter("maintenance", {"aircraft": "X-ABC", "text": "tyre changed", "completed": "2031-05-04T12:00Z"})
    enter("component", {"aircraft": "X-ABC", "name": "motor"})
    seen = {"observation_id": "O-1", "serial_no": "S1", "at": "2031-05-22T10:00Z"}
    enter("observation", seen | {"counter_hours": 2})
    enter(
        "maintenance", {"entry_id": "E-1", "aircraft": "X-ABC", "text": "x", "completed": "2031-05-05T12:00Z"}
    )
    told = {"figures": '{"is":1,"was":2}', "words": "=looked into"}
    enter("answer", {"observation_id": "O-1", "serial_no": "S1", "rule": "counter_back"} | told)
    enter("answer", {"entry_id": "E-1", "rule": "hours_back"} | told)
    enter("plan", {"plan_id": "P1", "aircraft": "X-ABC", "inputs": '{"legs": []}'})
    enter(
        "signature",
        {
            "flight_id": "F-00",
            "person": "=Ann",
            "fingerprint": "ab",
            "signed_at": "2031-06-01T10:00Z",
            "payload": "{}",
            "signature": "x",
        },
    )
    enter(
        "paper",
        {
            "what": "pack",
            "which": "S1",
            "as_of": "2031-06-01T10:00Z",
            "issued": "2031-06-01T10:00Z",
            "by_whom": "=Ann",
            "digest": "ab" * 32,
            "format": "pdf html",
            "file_name": "-pack S1",
            "line": "Paper check: pack=S1",
        },
    )
    enter(
        "recording",
        {
            "flight_id": "F-00",
            "file_name": "=card.csv",
            "digest": "ab" * 32,
            "mapping": "-club recorder",
            "units": "front: soc %",
            "started": "2031-05-01T08:20Z",
            "ended": "2031-05-01T09:40Z",
            "row_count": 4801,
            "used_count": 4800,
            "left_out": '{"no time": 1}',
            "gap_limit_s": 5,
            "energy_kwh": 7.43,
            "findings": '{"takeoff": "2031-05-01T08:36Z", "packs": [{"serial_no": "S2", "soc_landing_pct": 25}], "notes": ["=x"]}',
        },
    )
    correct(
        book,
        "flight",
        "F-01",
        {"S2.soc_landing_pct": "50", "remarks": "=HYPERLINK(1)"},
        by="Ben",
        why="'typo",
    )
    correct(book, "aircraft", "X-ABC", {"base": "HOME"})
    strike(book, "flight", "F-02", by="Ben", why="-twice")
    strike(book, "charge", "C1", why="wrong pack")
    answer(book, "C2", "charge_fell", "=gauge was replaced", by="Ben")
    answer(book, "F-00", "landing_below_reserve", "talked it over", serial_no="S2", by="=Ann")
    return book
