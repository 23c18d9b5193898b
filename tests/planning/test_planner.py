"""Plans answered by a forecaster with fixed rates, so that every expected figure is worked out by hand beside it."""

import json

import pytest

from logbook.errors import DataRefused
from logbook.planning.words import percent_middle
from tests.planning.linear import AIRCRAFT, FITTED, Linear, aircraft, asked, fitted, plan

CIRCUITS = {"kind": "circuits", "circuits": 6}
CLIMB = {"kind": "climb", "climb_ft": 2000}
HALF_HOUR = {"kind": "level", "minutes": 30}


def test_six_circuits_of_one_kwh_from_twenty_leave_seventy_percent():
    answer = asked(plan(CIRCUITS))
    assert answer.verdict == "fits"
    assert [pack.landing_soc_pct.mid for pack in answer.packs] == [70, 70]
    assert answer.energy_kwh.mid == 6


def test_the_emptier_pack_decides_and_is_named():
    answer = asked(plan(CIRCUITS), packs=fitted(100.0, 55.0))
    assert answer.verdict == "does_not_fit"
    assert "P2" in answer.because
    assert "25 %" in answer.because
    assert answer.packs[0].margin_pct > 0 > answer.packs[1].margin_pct


def test_the_pack_that_holds_less_decides():
    answer = asked(plan(CIRCUITS), Linear(usable_kwh=(10.0, 5.0)))
    assert [pack.landing_soc_pct.mid for pack in answer.packs] == [70, 40]
    assert "P2" in answer.because


def test_the_pessimistic_end_decides_not_the_middle():
    """Middle 35 %, spread of a tenth of the 65 points: 28.5 % is below the 30 % wanted."""
    thirteen = {"kind": "circuits", "circuits": 13}
    assert asked(plan(thirteen)).verdict == "fits"
    answer = asked(plan(thirteen), Linear(spread=0.1))
    assert answer.verdict == "does_not_fit"
    assert answer.packs[0].landing_soc_pct.low == pytest.approx(28.5)
    assert "28 %" in answer.because
    assert "Even the middle" not in answer.because


@pytest.mark.parametrize(
    ("middle", "needed", "words"),
    [(27.6, 30, "28 %"), (27.4, 30, "27 %"), (29.7, 30, "29.7 %"), (29.96, 30, "29.9 %")],
)
def test_the_middle_is_rounded_as_in_the_table_beside_it_and_never_reads_as_what_it_is_below(
    middle, needed, words
):
    assert percent_middle(middle, below=needed) == words


@pytest.mark.parametrize(("power", "said"), [({}, True), ({"power_kw": 4}, False)])
def test_a_wait_between_flights_without_a_power_is_said_to_count_no_energy(power, said):
    """At 4 kW five minutes are a third of a kWh; without a power they are none, which must not be silent."""
    answer = asked(plan(CIRCUITS, {"kind": "ground", "minutes": 5, **power}, CIRCUITS))
    assert (
        any("5 min on the ground on the way are counted without energy" in one for one in answer.cautions)
        is said
    )
    first = asked(plan({"kind": "ground", "minutes": 5}, CIRCUITS))
    assert not any("on the ground on the way" in one for one in first.cautions)  # the usual start and taxi


class TestReserve:
    def test_by_day_half_an_hour_at_20_kw_from_20_kwh_is_half_the_charge(self):
        """30 min × 20 kW / 20 kWh = 50 %; illustrative arithmetic, computed here."""
        answer = asked(plan(CLIMB, HALF_HOUR))
        assert answer.final_reserve_min == 30
        assert answer.final_reserve_kw == 20
        assert answer.packs[0].final_reserve_soc_pct.mid == 50
        assert answer.packs[0].needed_soc_pct == 50
        assert answer.packs[0].landing_soc_pct.mid == 30  # 4 kWh up and 10 kWh along
        assert answer.verdict == "does_not_fit"
        assert answer.minutes_left.mid == pytest.approx(18)
        assert "30 min" in answer.because

    def test_in_circuits_ten_minutes_at_24_kw_is_a_fifth_so_the_percent_rule_speaks(self):
        """10 min × 24 kW / 20 kWh = 20 %; illustrative arithmetic, computed here."""
        answer = asked(plan(CIRCUITS))
        assert answer.packs[0].final_reserve_soc_pct.mid == 20
        assert answer.packs[0].needed_soc_pct == 30
        assert "reserve of 30 %" in answer.because
        assert "local flight" in answer.final_reserve_rule

    def test_any_landing_by_night_asks_for_the_night_reserve(self):
        answer = asked(plan(CIRCUITS, landings_night=1))
        assert answer.final_reserve_min == 45
        assert answer.packs[0].needed_soc_pct == 75
        assert "night" in answer.final_reserve_rule

    def test_a_smaller_pack_needs_more_percent_for_the_same_minutes(self):
        answer = asked(plan(CLIMB), Linear(usable_kwh=(10.0, 8.0)))
        assert [pack.needed_soc_pct for pack in answer.packs] == [50, 62.5]

    def test_minutes_and_percent_never_contradict_each_other(self):
        for minutes in range(1, 40):
            typed = plan({"kind": "level", "minutes": minutes})
            answer = asked(typed, Linear(spread=0.1, usable_spread=0.05), aircraft(reserve_soc_pct=None))
            assert (answer.minutes_left.low >= answer.final_reserve_min) == (answer.verdict == "fits")

    def test_without_any_reserve_nothing_can_be_told(self):
        bare = aircraft(reserve_soc_pct=None, final_reserve_min_local=None)
        answer = asked(plan(CIRCUITS), craft=bare)
        assert answer.verdict == "cannot_tell"
        assert "no reserve is set" in answer.because

    def test_without_any_reserve_the_forecast_is_given_but_nothing_is_judged_by_it(self):
        bare = aircraft(reserve_soc_pct=None, final_reserve_min_local=None)
        judged, unjudged = asked(plan(CIRCUITS)), asked(plan(CIRCUITS), craft=bare)
        for with_reserve, without in zip(judged.packs, unjudged.packs, strict=True):
            assert without.landing_soc_pct == with_reserve.landing_soc_pct
            assert (without.needed_soc_pct, without.margin_pct, without.chance_below_reserve) == (None,) * 3
        assert unjudged.energy_kwh == judged.energy_kwh
        assert unjudged.minutes_left_at_kw == bare.cruise_power_kw
        assert [words for words in unjudged.cautions if "judged" in words] == [
            "Neither a reserve in percent nor a final reserve (local flight by day) is set: nothing is judged."
        ]

    def test_a_missing_final_reserve_is_said(self):
        answer = asked(plan(CIRCUITS), craft=aircraft(final_reserve_min_local=None))
        assert answer.final_reserve_min is None
        assert any("No final reserve" in caution for caution in answer.cautions)

    def test_unusable_charge_does_not_count_as_minutes(self):
        packs = tuple(pack._replace(unusable_soc_pct=10.0) for pack in FITTED)
        answer = asked(plan(CIRCUITS), packs=packs)
        assert answer.packs[0].final_reserve_soc_pct.mid == 30
        assert answer.minutes_left.mid == pytest.approx((70 - 10) / 100 * 20 * 60 / 24)


class TestWhatIsNotKnown:
    def test_an_unknown_departure_charge_is_not_guessed(self):
        answer = asked(plan(CIRCUITS), packs=fitted(100.0, None))
        assert answer.verdict == "cannot_tell"
        assert "departure charge of pack P2" in answer.because
        assert answer.packs[0].landing_soc_pct is None
        json.dumps(answer.to_json())

    def test_a_charge_typed_into_the_plan_takes_its_place(self):
        typed = plan(CIRCUITS, packs=[{"serial_no": "P2", "soc_departure_pct": 80}])
        answer = asked(typed, packs=fitted(100.0, None))
        assert [pack.landing_soc_pct.mid for pack in answer.packs] == [70, 50]

    def test_no_packs_fitted_is_refused(self):
        with pytest.raises(DataRefused, match="No packs are fitted"):
            asked(plan(CIRCUITS), packs=())

    def test_a_pack_that_is_not_fitted_is_refused_by_name(self):
        with pytest.raises(DataRefused, match="P9 is not fitted"):
            asked(plan(CIRCUITS, packs=[{"serial_no": "P9"}]))


class TestGoingFurther:
    def test_one_more_circuit_after_a_go_around_is_counted(self):
        fits = asked(plan({"kind": "circuits", "circuits": 13}))
        assert fits.go_around.fits
        assert fits.go_around.landing_low_pct == 30
        full = asked(plan({"kind": "circuits", "circuits": 14}))
        assert full.verdict == "fits"
        assert not full.go_around.fits
        assert full.go_around.landing_low_pct == 25
        assert "does not fit" in full.go_around.words

    @pytest.mark.parametrize(("charge", "most"), [(100, 14), (99, 13), (35, 1), (30, 0), (29, None)])
    def test_the_circuits_that_fit_are_counted(self, charge, most):
        """A circuit takes 1 kWh of 20, five points; 30 % must remain."""
        answer = asked(plan({"kind": "circuits", "circuits": 2}), packs=fitted(charge, charge))
        assert answer.circuits_that_fit == most

    def test_a_diversion_must_keep_the_reserve_too(self):
        """2 kWh climb, 10 min at 20 kW along: 74 % at the place, 50 % needed; 12 NM at 80 kt more is 9 min or 15 %."""
        legs = ({"kind": "climb", "climb_ft": 1000}, {"kind": "level", "minutes": 10})
        typed = plan(*legs, diversion={"distance_nm": 12})
        answer = asked(typed)
        assert answer.packs[0].landing_soc_pct.mid == pytest.approx(100 - 10 - 100 / 6)
        assert answer.diversion.landing_low_pct == pytest.approx(100 - 10 - 100 / 6 - 15)
        assert answer.verdict == "fits"
        assert "alternate" in answer.because
        too_far = asked(plan(*legs, diversion={"distance_nm": 20}))
        assert too_far.verdict == "does_not_fit"
        assert not too_far.diversion.fits


class TestWhatWouldFit:
    def remedies(self, answer):
        return {remedy.change: remedy for remedy in answer.would_fit}

    def test_a_plan_that_fits_needs_nothing(self):
        assert asked(plan(CIRCUITS)).would_fit == ()

    def test_each_remedy_alone_makes_the_plan_fit_and_a_little_less_does_not(self):
        """2000 ft (4 kWh) and 30 min (10 kWh) from full leave 30 %, 50 % are needed: 4 kWh too much."""
        charged = fitted(90.0, 95.0)
        typed = {"mass_kg": 600, "legs": (CLIMB, {"kind": "level", "minutes": 18})}
        answer = asked(plan(*typed["legs"], mass_kg=600), packs=charged)
        assert answer.verdict == "does_not_fit"  # 90 − 50 = 40
        found = self.remedies(answer)
        assert found["charge"].amount == 100
        assert found["minutes"].amount == 6  # 18 min cost 6 kWh, 2 kWh too much
        assert found["mass"].amount == pytest.approx(600 - 480, abs=0.5)  # 10 kWh × m/600 = 8 kWh
        assert found["power"].amount == pytest.approx(20 * 4 / 6, abs=0.1)
        fewer = plan(CLIMB, {"kind": "level", "minutes": 18 - 6}, mass_kg=600)
        assert asked(fewer, packs=charged).verdict == "fits"
        almost = plan(CLIMB, {"kind": "level", "minutes": 18 - 5}, mass_kg=600)
        assert asked(almost, packs=charged).verdict == "does_not_fit"

    def test_fewer_circuits_are_proposed_in_whole_ones(self):
        answer = asked(plan({"kind": "circuits", "circuits": 20}))
        found = self.remedies(answer)
        assert found["circuits"].amount == 6
        assert "14 instead of 20" in found["circuits"].words
        assert "charge" not in found  # already full

    def test_the_time_to_charge_follows_from_the_pace(self):
        pace = [{"soc_from_pct": 0, "soc_to_pct": 80, "points_per_min": 1.25}]
        typed = plan({"kind": "circuits", "circuits": 4}, charging_pace=pace)
        answer = asked(typed, packs=fitted(40.0, 45.0))
        charge = self.remedies(answer)["charge"]
        assert charge.amount == 50
        assert charge.minutes_to_charge == pytest.approx(8)
        assert "8 min" in charge.words

    def test_slower_flight_is_proposed_where_it_helps(self):
        """40 NM at 80 kt take 30 min and 10 kWh; energy goes with power^(2/3) under the cube root assumption."""
        answer = asked(plan({"kind": "level", "distance_nm": 41, "track_deg": 90}))
        power = self.remedies(answer)["power"]
        assert power.amount < 20
        assert "check it in the manual" in power.words
        slower = plan({"kind": "level", "distance_nm": 41, "track_deg": 90, "power_kw": power.amount})
        assert asked(slower).verdict == "fits"


class TestLegTable:
    def test_the_table_adds_up_leg_by_leg(self):
        answer = asked(plan(CLIMB, HALF_HOUR, {"kind": "descent"}), Linear(ground=1.0, departure=0.5))
        assert [row.kind for row in answer.legs] == ["ground", "climb", "level", "descent"]
        assert [row.energy_kwh.mid for row in answer.legs] == pytest.approx([1, 4.5, 10, 0])
        assert [row.packs[0].soc_pct.mid for row in answer.legs] == pytest.approx([95, 72.5, 22.5, 22.5])
        assert answer.legs[-1].packs[0].soc_pct == answer.packs[0].landing_soc_pct
        assert answer.legs[2].total_min == 34
        assert answer.legs[3].total_min == 38  # 2000 ft down at 500 ft/min, said as an assumption
        assert any("500 ft/min" in said for said in answer.assumptions)

    def test_the_charge_to_go_on_with_is_the_reserve_and_what_is_still_to_fly(self):
        answer = asked(plan(CLIMB, HALF_HOUR))
        assert [row.packs[0].go_on_pct for row in answer.legs] == pytest.approx([50 + 70, 50 + 50, 50])

    def test_going_on_with_exactly_that_charge_just_fits(self):
        answer = asked(plan(CLIMB, {"kind": "level", "minutes": 12}), Linear(spread=0.08, gauge=0.7))
        least = answer.legs[0].packs[0].go_on_pct
        again = asked(
            plan(CLIMB, {"kind": "level", "minutes": 12}),
            Linear(spread=0.08, gauge=0.7),
            packs=fitted(least, least),
        )
        assert again.packs[0].margin_pct == pytest.approx(0, abs=1e-9)

    def test_the_turn_back_charge_is_the_reserve_and_the_way_home(self):
        """20 NM out at 80 kt is 15 min home at 20 kW: 5 kWh, a quarter of 20."""
        answer = asked(plan({"kind": "level", "distance_nm": 20, "track_deg": 40}))
        last = answer.legs[-1]
        assert last.home_nm == pytest.approx(20)
        assert last.packs[0].turn_back_pct == pytest.approx(50 + 25)

    def test_a_wind_on_the_nose_home_raises_the_turn_back_charge(self):
        leg = {"kind": "level", "distance_nm": 20, "track_deg": 90}
        windy = asked(plan(leg, wind_dir=270, wind_kt=20))
        assert windy.legs[-1].minutes == pytest.approx(12)
        assert windy.legs[-1].packs[0].turn_back_pct == pytest.approx(50 + 100 * 20 / 60 * 20 / 20)

    def test_without_a_track_the_way_home_is_left_open(self):
        answer = asked(plan(HALF_HOUR))
        assert answer.legs[-1].packs[0].turn_back_pct is None
        assert answer.legs[-1].packs[0].go_on_pct == 50

    def test_a_ground_leg_typed_first_is_the_start_and_not_a_second_one(self):
        answer = asked(plan({"kind": "ground", "minutes": 6, "power_kw": 5}, CIRCUITS), Linear(ground=1.0))
        assert [row.kind for row in answer.legs] == ["ground", "circuits"]
        assert answer.legs[0].energy_kwh.mid == pytest.approx(1.5)
        assert answer.legs[0].minutes == 6


class TestMoreWind:
    def test_the_plan_is_judged_again_in_more_wind(self):
        """20 NM into 20 kt at 80 kt take 20 min, into 28 kt 23.1 min: 7.7 of 20 kWh."""
        typed = plan({"kind": "level", "distance_nm": 20, "track_deg": 90}, wind_dir=90, wind_kt=20)
        answer = asked(typed)
        assert answer.packs[0].landing_soc_pct.mid == pytest.approx(100 - 100 / 3)
        assert answer.more_wind.landing_low_pct == pytest.approx(
            100 - 100 * 20 / 52 * 60 / 60 * 20 / 20, abs=0.01
        )
        assert answer.more_wind.fits
        assert "1.4 times the wind" in answer.more_wind.words

    def test_in_still_air_there_is_nothing_to_say(self):
        assert asked(plan(CIRCUITS)).more_wind is None


class TestHandbook:
    def test_it_stands_beside_the_record_with_the_reason(self):
        answer = asked(plan(CIRCUITS), Linear(circuit=1.2, usable_kwh=(9.0, 10.0)), handbook=Linear())
        assert answer.handbook.verdict == "fits"
        assert answer.handbook.packs[0].landing_soc_pct.mid == 70
        assert answer.handbook.energy_kwh.mid == 6
        why = " ".join(answer.handbook.why)
        assert "7.2 kWh" in why
        assert "20 % more" in why
        assert "P1 holds 9.0 kWh" in why
        assert "P2" not in why

    def test_agreement_is_said_too(self):
        assert "agree" in asked(plan(CIRCUITS), handbook=Linear()).handbook.why[0]


class TestCautions:
    def test_concerns_come_first_and_the_advice_last(self):
        answer = asked(plan(CIRCUITS), concerns=("Defect open: left brake weak.",))
        assert answer.cautions[0] == "Defect open: left brake weak."
        assert "planning aid" in answer.cautions[-1]
        assert "flight manual" in answer.cautions[-1]

    def test_cold_packs_and_low_departure_charge_are_named(self):
        packs = (FITTED[0]._replace(temp_c=-3.0), FITTED[1]._replace(soc_pct=70.0))
        answer = asked(
            plan({"kind": "circuits", "circuits": 2}),
            craft=aircraft(minimum_departure_soc_pct=80.0),
            packs=packs,
        )
        said = " ".join(answer.cautions)
        assert "P1 is cold-soaked" in said
        assert "P2 departs with 70 %" in said
        assert "30 points apart" in said

    def test_a_charge_that_nobody_typed_for_this_plan_is_pointed_out(self):
        packs = tuple(pack._replace(soc_as_of="recorded 2031-05-08T17:20Z") for pack in FITTED)
        typed = plan(CIRCUITS, packs=[{"serial_no": "P1", "soc_departure_pct": 99}])
        said = [caution for caution in asked(typed, packs=packs).cautions if "Read the gauge" in caution]
        assert len(said) == 1
        assert "P2" in said[0]
        assert "2031-05-08" in said[0]


class TestKind:
    @pytest.mark.parametrize(
        ("legs", "others", "case"),
        [
            ([CIRCUITS], {}, "local"),
            ([CLIMB, HALF_HOUR], {}, "day"),
            ([CLIMB, HALF_HOUR], {"place_from": "A", "place_to": "A"}, "local"),
            ([CLIMB, HALF_HOUR], {"kind": "local"}, "local"),
            ([CLIMB, HALF_HOUR], {"kind": "cross-country"}, "day"),
            ([CLIMB, HALF_HOUR], {"kind": "local", "place_from": "A", "place_to": "B"}, "day"),
            ([CLIMB, {"kind": "level", "distance_nm": 10, "track_deg": 0}], {}, "day"),
            ([CIRCUITS], {"landings_night": 1}, "night"),
        ],
    )
    def test_the_case_of_the_final_reserve(self, legs, others, case):
        minutes = {"local": 10, "day": 30, "night": 45}[case]
        assert asked(plan(*legs, **others)).final_reserve_min == minutes


def test_the_answer_is_plain_json_with_the_documented_keys():
    answer = asked(plan(CLIMB, {"kind": "level", "distance_nm": 10, "track_deg": 0}), handbook=Linear())
    plain = json.loads(json.dumps(answer.to_json()))
    assert {
        "verdict",
        "because",
        "packs",
        "minutes_left",
        "final_reserve_min",
        "final_reserve_rule",
        "chance_below_reserve",
        "handbook",
        "legs",
        "points",
        "cautions",
    } <= set(plain)
    assert {"serial_no", "landing_soc_pct", "chance_below_reserve"} <= set(plain["packs"][0])
    assert {"low", "mid", "high"} <= set(plain["packs"][0]["landing_soc_pct"])
    assert {"low", "mid", "high"} <= set(plain["minutes_left"])


def test_the_aircraft_used_here_is_an_ordinary_record():
    assert AIRCRAFT.registration == "ZZ-EAA"
