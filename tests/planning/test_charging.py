import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import DataRefused
from logbook.planning.charging import PaceBand, minutes_to_charge

PACE = (PaceBand(80, 100, 0.5), PaceBand(0, 80, 1.25))


def test_the_last_part_is_charged_at_its_own_pace():
    assert minutes_to_charge(30, 90, PACE) == pytest.approx(50 / 1.25 + 10 / 0.5)


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_charging_in_two_goes_takes_as_long_as_in_one(a, b, c):
    low, middle, high = sorted((a, b, c))
    whole = minutes_to_charge(low, high, PACE)
    first, second = minutes_to_charge(low, middle, PACE), minutes_to_charge(middle, high, PACE)
    assert whole == pytest.approx(first + second, abs=1e-5)


def test_nothing_to_charge_takes_no_time():
    assert minutes_to_charge(80, 80, PACE) == 0
    assert minutes_to_charge(90, 80, ()) == 0


def test_a_band_without_a_pace_cannot_be_told():
    assert minutes_to_charge(30, 90, [PaceBand(0, 80, 1)]) is None


@pytest.mark.parametrize(
    "bands", [[PaceBand(0, 80, 0)], [PaceBand(80, 80, 1)], [PaceBand(0, 80, 1), PaceBand(70, 100, 1)]]
)
def test_bands_that_contradict_are_refused(bands):
    with pytest.raises(DataRefused):
        minutes_to_charge(10, 90, bands)
