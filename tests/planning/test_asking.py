"""Plans answered from the estimates: an invented aeroplane before its first flight, and one with a simulated record."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import there_and_back_plan
from logbook.energy.demand import Demand, PackStart
from logbook.energy.estimator import Estimator, estimate
from logbook.energy.record import AircraftFacts, PackFacts
from logbook.energy.what_if import usual_circuit_min
from logbook.errors import DataRefused
from logbook.planning.asking import Asked, answer_plan
from logbook.planning.fitted import FittedPack
from tests.planning.linear import circuits_plan, plan
from tests.world.facts import history_of
from tests.world.season import make_world

RATES = {
    "handbook_ground_kwh": 0.3,
    "handbook_climb_kwh_per_1000ft": 1.4,
    "handbook_level_kwh_per_min": 0.35,
    "handbook_circuit_kwh": 1.6,
    "handbook_departure_kwh": 0.5,
    "handbook_mass_kg": 600.0,
    "empty_mass_kg": 420.0,
    "climb_rate_fpm": 500.0,
    "cruise_power_kw": 21.0,
    "cruise_tas_kt": 78.0,
}
RESERVES = {
    "reserve_soc_pct": 25.0,
    "final_reserve_min_local": 10.0,
    "final_reserve_kw_local": 30.0,
    "final_reserve_min_day": 20.0,
    "final_reserve_kw_day": 20.0,
}
PACKS = (PackFacts("P1", 12.0, 0.5, 1.0, 0.0), PackFacts("P2", 12.0, 0.5, 1.0, 0.0))
FITTED = (FittedPack("P1", "front", 100.0, 90.0, 18.0, 0.0), FittedPack("P2", "rear", 98.0, 85.0, 18.0, 0.0))
SIX = circuits_plan("ZZ-EAA", 6, mass_kg=600.0)


def craft(**changes):
    known = {**RATES, **RESERVES, **changes}
    return Aircraft(registration="ZZ-EAA", positions=["front", "rear"], **known)


def unflown(packs=PACKS, **changes):
    return Estimator(AircraftFacts("ZZ-EAA", ("front", "rear"), **{**RATES, **changes}), packs)


@pytest.fixture(scope="module")
def flown():
    """An aeroplane with 120 simulated flights: estimator, aircraft record, fitted packs."""
    history = history_of(make_world(4, 120, days=200))
    facts = history.aircraft
    known = {name: getattr(facts, name) for name in RATES if getattr(facts, name) is not None}
    aircraft = Aircraft(
        registration=facts.registration, positions=list(facts.positions), **{**known, **RESERVES}
    )
    fitted = tuple(
        FittedPack(reading.serial_no, reading.position or "", 100.0, reading.soh_pct, 18.0)
        for reading in history.flights[-1].readings
    )
    return estimate(history), aircraft, fitted


LEGS = st.one_of(
    st.builds(lambda n: {"kind": "circuits", "circuits": n}, st.integers(0, 12)),
    st.builds(lambda ft: {"kind": "climb", "climb_ft": ft}, st.floats(0, 4000)),
    st.builds(
        lambda m, kw: {"kind": "level", "minutes": m, "power_kw": kw}, st.floats(0.5, 60), st.floats(0, 40)
    ),
    st.builds(
        lambda nm, track: {"kind": "level", "distance_nm": nm, "track_deg": track},
        st.floats(0.5, 40),
        st.floats(0, 359),
    ),
    st.builds(
        lambda m, ft: {"kind": "airwork", "minutes": m, "climb_ft": ft}, st.floats(1, 30), st.floats(0, 2000)
    ),
    st.builds(
        lambda m, kw: {"kind": "ground", "minutes": m, "power_kw": kw}, st.floats(0, 20), st.floats(0, 10)
    ),
    st.just({"kind": "descent"}),
)
PLANS = st.fixed_dictionaries(
    {"legs": st.lists(LEGS, min_size=1, max_size=5)},
    optional={
        "mass_kg": st.floats(430, 720),
        "outside_temp_c": st.floats(-20, 40),
        "wind": st.tuples(st.floats(0, 359), st.floats(0, 45)),
        "landings_night": st.integers(0, 2),
        "diversion": st.fixed_dictionaries({"distance_nm": st.floats(1, 20)}),
        "handled_by": st.sampled_from(["A", "B"]),
    },
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(PLANS, st.floats(0, 100), st.floats(0, 100), st.one_of(st.none(), st.floats(0, 100)))
def test_whatever_is_planned_the_answer_is_finite_and_in_order(flown, typed, first, second, soh):
    estimator, aircraft, fitted = flown
    packs = tuple(
        pack._replace(soc_pct=soc, soh_pct=soh) for pack, soc in zip(fitted, (first, second), strict=True)
    )
    if "wind" in typed:
        typed["wind_dir"], typed["wind_kt"] = typed.pop("wind")
    asked = plan(*typed.pop("legs"), **typed)
    try:
        answer = answer_plan(asked, aircraft, packs, estimator)
    except DataRefused:  # the wind: what is refused and why has tests of its own
        with pytest.raises(DataRefused, match="No heading"):
            answer_plan(asked, aircraft, packs, estimator)
        return
    json.dumps(answer.to_json(), allow_nan=False)
    for pack in answer.packs:
        landing = pack.landing_soc_pct
        assert 0 <= landing.low <= landing.mid <= landing.high <= 100
        assert 0 <= pack.chance_below_reserve <= 1
    assert 0 <= answer.minutes_left.low <= answer.minutes_left.mid <= answer.minutes_left.high
    if answer.diversion is None:
        fits = all(pack.margin_pct >= 0 for pack in answer.packs)
    else:
        fits = answer.diversion.fits
    assert (answer.verdict == "fits") == fits
    if answer.verdict == "fits" and answer.final_reserve_min is not None:
        assert answer.minutes_left.low >= answer.final_reserve_min - 1e-9
    assert answer.verdict != "fits" or answer.circuits_that_fit is not None


class TestBeforeTheFirstFlight:
    def test_the_handbook_answers_with_a_wide_interval_and_says_so(self):
        answer = answer_plan(SIX, craft(), FITTED, unflown())
        drop = (
            100 * (0.3 + 6 * 1.6) / 2 / (12 * 0.95)
        )  # ground and six circuits, even share, SOH 90 of a scale from 0.5
        assert answer.packs[0].landing_soc_pct.mid == pytest.approx(100 - drop, abs=2)
        width = answer.packs[0].landing_soc_pct.high - answer.packs[0].landing_soc_pct.low
        assert width > 10
        assert any("no flights" in caution for caution in answer.cautions)
        assert "adds nothing" in " ".join(answer.handbook.why)
        assert answer.handbook.packs[0].landing_soc_pct.mid == pytest.approx(
            answer.packs[0].landing_soc_pct.mid
        )

    def test_the_emptier_and_older_pack_decides(self):
        answer = answer_plan(SIX, craft(), FITTED, unflown())
        assert answer.packs[1].margin_pct < answer.packs[0].margin_pct
        assert "P2" in answer.because

    def test_an_unknown_state_of_health_is_answered_wider_with_the_reason(self):
        known = answer_plan(SIX, craft(), FITTED, unflown())
        unsaid = tuple(pack._replace(soh_pct=None) for pack in FITTED)
        unknown = answer_plan(SIX, craft(), unsaid, unflown())
        widths = [
            pack.landing_soc_pct.high - pack.landing_soc_pct.low
            for pack in (known.packs[0], unknown.packs[0])
        ]
        assert widths[1] > widths[0]
        assert any("state of health of pack P1 is unknown" in caution for caution in unknown.cautions)

    def test_a_state_of_health_tried_out_leaves_no_trace(self):
        estimator = unflown()
        first = answer_plan(SIX, craft(), FITTED, estimator)
        worn = tuple(pack._replace(soh_pct=20.0) for pack in FITTED)
        tried = answer_plan(SIX, craft(), worn, estimator)
        again = answer_plan(SIX, craft(), FITTED, estimator)
        assert tried.packs[0].landing_soc_pct.mid < first.packs[0].landing_soc_pct.mid - 10
        assert again == first

    def test_without_capacity_nothing_can_be_told(self):
        answer = answer_plan(SIX, craft(), FITTED, unflown((PackFacts("P1"), PackFacts("P2"))))
        assert answer.verdict == "cannot_tell"
        assert "capacity of pack P1" in answer.because

    def test_without_rates_and_flights_nothing_can_be_told(self):
        nothing = {name: None for name in RATES if name.startswith("handbook")}
        answer = answer_plan(SIX, craft(**nothing), FITTED, unflown(**nothing))
        assert answer.verdict == "cannot_tell"
        assert "neither flights nor handbook" in answer.because

    def test_one_silent_rate_is_bridged_and_said(self):
        answer = answer_plan(
            SIX, craft(handbook_circuit_kwh=None), FITTED, unflown(handbook_circuit_kwh=None)
        )
        # circuits are all that is flown: nothing stated bears on them, so nothing is told
        assert answer.verdict == "cannot_tell"
        mixed = plan({"kind": "climb", "climb_ft": 1000}, {"kind": "circuits", "circuits": 1})
        answer = answer_plan(
            mixed, craft(handbook_circuit_kwh=None), FITTED, unflown(handbook_circuit_kwh=None)
        )
        assert answer.verdict != "cannot_tell"
        assert any("circuit" in caution and "wide" in caution for caution in answer.cautions)

    def test_circuits_have_no_minutes_before_the_first_was_flown(self):
        assert usual_circuit_min(unflown()) is None
        assert answer_plan(SIX, craft(), FITTED, unflown()).block_min is None

    def test_an_aeroplane_with_one_pack_is_answered(self):
        facts = AircraftFacts("ZZ-EAA", ("belly",), **RATES)
        one = Aircraft(registration="ZZ-EAA", positions=["belly"], **RATES, **RESERVES)
        answer = answer_plan(
            circuits_plan("ZZ-EAA", 3),
            one,
            (FittedPack("P9", "belly", 100.0, 95.0, 20.0),),
            Estimator(facts, (PackFacts("P9", 24.0, 0.5, 1.0),)),
        )
        assert answer.packs[0].landing_soc_pct.mid == pytest.approx(100 - 100 * 5.1 / 23.4, abs=1.5)
        assert "the pack lands" in answer.because

    def test_a_missing_pack_is_said(self):
        answer = answer_plan(SIX, craft(), FITTED[:1], unflown())
        assert any("1 of 2 positions" in caution for caution in answer.cautions)


class TestWithARecord:
    def test_the_plan_says_exactly_what_the_estimates_say(self, flown):
        estimator, aircraft, fitted = flown
        unsaid = tuple(pack._replace(soh_pct=None) for pack in fitted)
        answer = answer_plan(circuits_plan("X-TEST", 4, mass_kg=610.0), aircraft, unsaid, estimator)
        starts = [PackStart(pack.serial_no, pack.position, 100.0, None, 18.0) for pack in fitted]
        direct = estimator.forecast(Demand(circuits=4, mass_kg=610.0, departs=False, kind="circuits"), starts)
        assert [pack.landing_soc_pct[:3] for pack in answer.packs] == [
            (one.low, one.mid, one.high) for one in direct
        ]
        assert answer.packs[0].chance_below_reserve == direct[0].chance_below(25.0)

    def test_the_record_speaks_and_the_handbook_stands_beside_it(self, flown):
        estimator, aircraft, fitted = flown
        answer = answer_plan(circuits_plan("X-TEST", 4), aircraft, fitted, estimator)
        assert answer.packs[0].landing_soc_pct.n == estimator.filter.flights
        assert answer.handbook.packs[0].landing_soc_pct.n == 0
        assert answer.handbook.why
        ours, theirs = answer.packs[0].landing_soc_pct, answer.handbook.packs[0].landing_soc_pct
        assert ours.high - ours.low < theirs.high - theirs.low

    def test_circuits_have_the_minutes_they_usually_take(self, flown):
        estimator, aircraft, fitted = flown
        answer = answer_plan(circuits_plan("X-TEST", 4), aircraft, fitted, estimator)
        assert 4 * 3 < answer.block_min < 4 * 9

    def test_far_beyond_the_record_is_answered_with_the_reason(self, flown):
        estimator, aircraft, fitted = flown
        answer = answer_plan(circuits_plan("X-TEST", 60), aircraft, fitted, estimator)
        assert answer.verdict == "does_not_fit"
        assert any("more circuits than any flight" in caution for caution in answer.cautions)
        assert answer.packs[0].landing_soc_pct.low == 0
        json.dumps(answer.to_json(), allow_nan=False)

    def test_the_remedies_really_make_it_fit(self, flown):
        estimator, aircraft, fitted = flown
        low = tuple(pack._replace(soc_pct=75.0) for pack in fitted)
        typed = circuits_plan("X-TEST", 8, mass_kg=640.0)
        answer = answer_plan(typed, aircraft, low, estimator)
        assert answer.verdict == "does_not_fit"
        found = {remedy.change: remedy for remedy in answer.would_fit}
        fewer = circuits_plan("X-TEST", 8 - int(found["circuits"].amount), mass_kg=640.0)
        assert answer_plan(fewer, aircraft, low, estimator).verdict == "fits"
        one_more = circuits_plan("X-TEST", 9 - int(found["circuits"].amount), mass_kg=640.0)
        assert answer_plan(one_more, aircraft, low, estimator).verdict == "does_not_fit"
        if "charge" in found:
            charged = tuple(pack._replace(soc_pct=found["charge"].amount) for pack in low)
            assert answer_plan(typed, aircraft, charged, estimator).verdict == "fits"

    def test_departing_with_the_charge_to_go_on_just_fits(self, flown):
        estimator, aircraft, fitted = flown
        typed = circuits_plan("X-TEST", 4)
        row = answer_plan(typed, aircraft, fitted, estimator).legs[0]
        least = [pack.go_on_pct for pack in row.packs]
        alone = tuple(pack._replace(soc_pct=soc) for pack, soc in zip(fitted, least, strict=True))
        # what is still to fly after the start; the start itself takes some points more
        assert answer_plan(typed, aircraft, alone, estimator).packs[0].margin_pct == pytest.approx(
            -2.5, abs=2.5
        )

    def test_a_state_of_health_far_from_the_record_is_said(self, flown):
        estimator, aircraft, fitted = flown
        near = answer_plan(circuits_plan("X-TEST", 4), aircraft, fitted, estimator)
        assert not any("last recorded" in caution for caution in near.cautions)
        worn = tuple(pack._replace(soh_pct=30.0) for pack in fitted)
        far = answer_plan(circuits_plan("X-TEST", 4), aircraft, worn, estimator)
        assert any("one reading among many" in caution for caution in far.cautions)
        assert far.packs[0].landing_soc_pct.mid <= near.packs[0].landing_soc_pct.mid

    def test_being_asked_teaches_nothing(self, flown):
        estimator, aircraft, fitted = flown
        estimator.filter.settle()  # the last flight waits for what follows it, until somebody asks
        before = (
            estimator.filter.state.x.copy(),
            estimator.filter.state.p.copy(),
            dict(estimator.filter.people.at),
        )
        stranger = there_and_back_plan("X-TEST", 9, 40, 1800, handled_by="Nobody Known", mass_kg=611.0)
        answer_plan(stranger, aircraft, tuple(pack._replace(soh_pct=33.0) for pack in fitted), estimator)
        assert (estimator.filter.state.x == before[0]).all()
        assert (estimator.filter.state.p == before[1]).all()
        assert estimator.filter.people.at == before[2]

    def test_more_of_anything_never_lands_fuller(self, flown):
        estimator, aircraft, fitted = flown
        lands = [
            answer_plan(circuits_plan("X-TEST", n), aircraft, fitted, estimator).packs[0].landing_soc_pct.mid
            for n in range(1, 9)
        ]
        assert lands == sorted(lands, reverse=True)

    def test_a_headwind_never_moves_the_point_of_no_return_out(self, flown):
        estimator, aircraft, fitted = flown
        where = []
        for speed in (0, 8, 16, 24):
            typed = there_and_back_plan("X-TEST", 15, 90, 1500, wind_dir=90, wind_kt=speed)
            where.append(answer_plan(typed, aircraft, fitted, estimator).points.no_return.distance_nm)
        assert where == sorted(where, reverse=True)

    def test_an_edit_looks_ahead_a_few_times_only(self, flown, monkeypatch):
        """Each look ahead takes a fifth of a millisecond; a screen redraws at 60 a second (`tests.bench.plan_speed`)."""
        estimator, aircraft, fitted = flown
        looks = []
        ahead = Asked.ahead

        def counted(self, *args, **options):
            looks.append(args)
            return ahead(self, *args, **options)

        monkeypatch.setattr(Asked, "ahead", counted)
        typed = there_and_back_plan(
            "X-TEST", 15, 90, 1500, wind_dir=45, wind_kt=12, diversion={"distance_nm": 6}
        )
        answer_plan(typed, aircraft, fitted, estimator)
        assert 0 < len(looks) <= 80  # 65, with both points of no return, the wind and the diversion
