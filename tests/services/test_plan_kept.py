"""Kept plans: the forecast as given beside what came, scored apart from hindcasts; a page for paper."""

import io

import pytest

from logbook.errors import DataRefused
from logbook.reports.html_page import write_html
from logbook.services.export_plan import plan_page
from logbook.services.plan import keep_plan, plan_flight
from logbook.services.plan_desk import PlanDesk
from logbook.services.plan_kept import kept_plans, review_of, score_of
from logbook.store.records import Records
from tests import club

FULL = [
    {"serial_no": serial, "soc_departure_pct": 90, "temp_departure_c": 20} for serial in (club.P1, club.P2)
]


@pytest.fixture
def desk(book) -> PlanDesk:
    return PlanDesk(book, lambda: club.NOW, {})


def keep(book, title="two <b>circuits</b>", **plan) -> str:
    data = {
        "aircraft": club.WATT,
        "kind": "circuits",
        "packs": FULL,
        "aboard": 1,
        "legs": [{"kind": "circuits", "circuits": 2}],
    }
    return keep_plan(book, plan_flight(book, data | plan, clock=lambda: club.NOW), title=title, by=club.ADA)


def fly(book, plan_id, flight_id="F1", landed=70, **changes):
    readings = [club.reading(serial, soc_landing_pct=landed) for serial in (club.P1, club.P2)]
    flown = {"kind": "circuits", "circuits": 2, "climb_ft": 0, "level_min": 0, "readings": readings} | changes
    return club.put(book, "flight", club.flight(flight_id, plan_id=plan_id, **flown))


def test_a_plan_nobody_flew_has_no_error_and_is_not_scored(book) -> None:
    keep(book)
    review = kept_plans(book)[0]
    assert review.flight_id is None
    assert [pack.error for pack in review.packs] == [None, None]
    assert score_of([review]).plans == 0


def test_a_flown_plan_is_compared_pack_by_pack_with_the_forecast_as_it_was_given(book) -> None:
    plan_id = keep(book)
    given = kept_plans(book)[0].packs
    fly(book, plan_id, landed=60, pilot_estimate_soc_pct=75)
    review = review_of(book, plan_id)
    assert [pack.mid for pack in review.packs] == [
        pack.mid for pack in given
    ]  # learning changes nothing kept
    assert review.flight_id == "F1"
    for pack in review.packs:
        assert pack.actual == 60
        assert pack.error == pytest.approx(60 - pack.mid)
        assert pack.inside == (pack.low <= 60 <= pack.high)
    assert review.own_error == -15
    assert "Your own estimate was 15 points off" in " ".join(review.words)


def test_the_score_is_of_kept_forecasts_alone(book) -> None:
    plan_id = keep(book)
    fly(book, plan_id, landed=60)
    fly(
        book,
        None,
        "F2",
        off_blocks="2031-05-09T12:30Z",
        takeoff=None,
        landing=None,
        on_blocks="2031-05-09T13:10Z",
    )
    reviews = kept_plans(book)
    score = score_of(reviews)
    errors = [pack.error for pack in reviews[0].packs]
    assert score.plans == 1
    assert score.mae_pct == pytest.approx(sum(map(abs, errors)) / 2)
    assert score.bias_pct == pytest.approx(sum(errors) / 2)


def test_flown_otherwise_and_used_otherwise_are_told_apart_and_add_up(book, desk) -> None:
    plan_id = keep(book)
    fly(book, plan_id, landed=50, circuits=5)
    review = desk.review(plan_id)
    pack = review.packs[0]
    assert pack.given_flown is not None
    assert pack.given_flown < pack.mid  # five circuits cost more than the two that were planned
    assert (pack.given_flown - pack.mid) + (pack.actual - pack.given_flown) == pytest.approx(pack.error)
    assert "Circuits: 2 planned, 5 flown." in review.words


def test_a_leg_whose_energy_a_recorder_knows_is_named_when_it_differs(book) -> None:
    plan_id = keep(book)
    phases = [{"sequence": 1, "phase": "circuit", "minutes": 12, "mean_kw": 40}]
    fly(book, plan_id, phases=phases)
    assert any(words.startswith("Energy of circuits:") for words in review_of(book, plan_id).words)


def test_a_flight_is_linked_afterwards_by_a_correction_that_is_kept(book, desk) -> None:
    plan_id = keep(book)
    club.put(book, "flight", club.flight_at(8, "NEW", day="2099-01-01"))
    assert [row["flight_id"] for row in desk.flights_for(plan_id)] == ["NEW"]
    desk.link(plan_id, "NEW", club.BEN)
    assert review_of(book, plan_id).flight_id == "NEW"
    assert desk.flights_for(plan_id) == []


def test_a_flight_begun_from_a_plan_carries_the_plan_and_no_reading(book, desk) -> None:
    from logbook.services.unfinished import Entry

    plan_id = keep(book, handled_by=club.BEN)
    entry = desk.entry(review_of(book, plan_id), Entry("X", club.WATT, "2031-06-30"))
    assert entry.values["plan_id"] == (plan_id, "confirmed")
    assert entry.values["pilot"][0] == club.BEN
    assert not [name for name in entry.values if "soc" in name or "temp" in name]


def test_the_page_fits_eighty_columns_and_html_reads_no_title_as_markup(book) -> None:
    plan_id = keep(book, place_from=club.FIELD, outside_temp_c=30, wind_dir=270, wind_kt=12)
    paper, text = plan_page(book, plan_id)
    stream = io.StringIO()
    write_html(stream, paper)
    html = stream.getvalue()
    assert "two <b>circuits</b>" in paper.title
    assert max(map(len, text.splitlines())) <= 80
    assert "TURN BACK" in text
    assert "<b>" not in html
    assert "&lt;b&gt;" in html
    assert "<svg" in html
    for page in (text, html):
        assert "the pilot" in page


def test_what_was_kept_by_another_program_is_no_crash(book) -> None:
    club.put(book, "plan", {"plan_id": "ODD", "aircraft": club.WATT, "inputs": "not json", "answer": "[1]"})
    assert review_of(book, "ODD").packs == ()
    with pytest.raises(DataRefused, match="without its answer"):
        plan_page(book, "ODD")
    with pytest.raises(DataRefused, match="no plan"):
        review_of(book, "NONE")
    assert Records(book, "plan").find("ODD") is not None
