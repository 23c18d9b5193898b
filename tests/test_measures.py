"""Units: one place turns them, what is typed comes back as typed, and what is stored is never changed by showing it."""

from itertools import product
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.domain.flight import Flight, Reading
from logbook.domain.plan import PlanInput
from logbook.measures import CHOICES, TIME, USUAL, Measures, effect_words, quantity_of, told
from logbook.units import UNITS, from_stored, plain_number, to_stored

ALL = [Measures(*chosen) for chosen in product(*CHOICES.values())]
COLUMNS = {"kg": "mass_kg", "°C": "outside_temp_c", TIME: "night_min"}


def stored(value: float, quantity: str) -> float:
    """The figure as the file keeps it: through the door of the domain."""
    if quantity == "NM":
        plan = PlanInput.model_validate({"aircraft": "X", "legs": [{"kind": "level", "distance_nm": value}]})
        return float(plan.legs[0].distance_nm or 0)
    flight = {
        "flight_id": "F",
        "date": "2031-05-09",
        "aircraft": "X",
        "state": "open",
        COLUMNS[quantity]: value,
    }
    return float(getattr(Flight.model_validate(flight), COLUMNS[quantity]))


@pytest.mark.parametrize(
    ("unit", "figure", "kept"),
    [
        ("lb", 1, 0.45359237),
        ("km", 1.852, 1),
        ("°F", 32, 0),
        ("°F", 212, 100),
        ("°F", -40, -40),
        ("h", 1.5, 90),
    ],
)
def test_units_are_turned_by_their_definitions(unit: str, figure: float, kept: float) -> None:
    """NIST Special Publication 811 (2008), appendix B.8: pound 0.45359237 kg, nautical mile 1852 m, (°F - 32) / 1.8."""
    assert to_stored(figure, unit) == pytest.approx(kept, rel=1e-12, abs=1e-12)
    assert from_stored(kept, unit) == pytest.approx(figure, rel=1e-12, abs=1e-12)


@given(
    measures=st.sampled_from(ALL),
    quantity=st.sampled_from(["kg", "°C", "NM", TIME]),
    steps=st.integers(1, 1500),
)
def test_what_is_typed_comes_back_as_typed(measures: Measures, quantity: str, steps: int) -> None:
    unit = measures.unit(quantity)
    decimals = 0 if unit == "h:mm" else min(UNITS[unit].decimals, 2)
    text = plain_number(round(steps / 10**decimals, decimals))
    kept = stored(measures.read(text, quantity), quantity)
    shown = measures.figure(kept, quantity)
    if unit == "h:mm":
        assert measures.read(shown, quantity) == steps
    else:
        assert float(shown) == float(text)


@given(
    measures=st.sampled_from(ALL),
    quantity=st.sampled_from(["kg", "°C", "NM", TIME]),
    value=st.floats(0.01, 1400),
)
def test_a_stored_figure_put_into_a_field_is_read_back_as_the_very_same(
    measures: Measures, quantity: str, value: float
) -> None:
    kept = stored(value, quantity)
    assert stored(measures.read(measures.typed(kept, quantity), quantity), quantity) == kept


@pytest.mark.parametrize("measures", ALL)
@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("154 lb", "kg", 69.853), ("154lbs", "kg", 69.853), ("70 kg", "kg", 70), ("68 F", "°C", 20), ("64f", "°C", 17.78),
        ("18c", "°C", 18), ("18 °C", "°C", 18), ("46 km", "NM", 24.838), ("25nm", "NM", 25), ("95 min", TIME, 95),
        ("1:35", TIME, 95), ("1,5 h", TIME, 90),
    ],
)  # fmt: skip
def test_a_named_unit_means_itself_whatever_was_chosen(
    measures: Measures, text: str, quantity: str, value: float
) -> None:
    assert measures.read(text, quantity) == value


@pytest.mark.parametrize(
    ("text", "quantity"), [("154 lb", "°C"), ("18 kg", "NM"), ("5 ft", "kg"), ("1:35", "kg"), ("x", "kg")]
)
def test_a_unit_of_something_else_is_refused(text: str, quantity: str) -> None:
    with pytest.raises(ValueError, match=r"unit|figure|number"):
        USUAL.read(text, quantity)


@given(
    text=st.text(max_size=20),
    measures=st.sampled_from(ALL),
    quantity=st.sampled_from(["kg", "°C", "NM", TIME]),
)
def test_any_text_is_a_finite_figure_or_refused(text: str, measures: Measures, quantity: str) -> None:
    try:
        value = measures.read(text, quantity)
    except ValueError:
        return
    assert isfinite(value)


AMERICAN = Measures("lb", "°F", "km", "h")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Pack A reached 57 °C; its limit is 56 °C.", "Pack A reached 134.6 °F; its limit is 132.8 °F."),
        ("highest about 31 °C (29 to 34 °C)", "highest about 88 °F (84 to 93 °F)"),
        ("30 to 35 °C by now; most to charge is 40 °C", "86 to 95 °F by now; most to charge is 104 °F"),
        ("Pack A is at -5 °C", "Pack A is at 23 °F"),
        ("12 kg lighter (of 140 kg aboard)", "26.5 lb lighter (of 308.6 lb aboard)"),
        ("41 NM out, 12 min after take-off", "75.9 km out, 12 min after take-off"),
        ("F-12 kg-class, 40 % and 12 kWh", "F-12 kg-class, 40 % and 12 kWh"),
    ],
)
def test_our_sentences_are_said_in_the_chosen_units(words: str, said: str) -> None:
    assert AMERICAN.sentence(words) == said
    assert USUAL.sentence(words) == words


def test_a_difference_of_temperatures_has_no_zero_to_move() -> None:
    assert AMERICAN.step(10, "°C") == "18 °F"
    assert (
        effect_words(AMERICAN, "SOC drop for 10 °C colder, below 20 °C")
        == "SOC drop for 18 °F colder, below 68 °F"
    )


def test_names_in_an_answer_are_nobody_s_figures() -> None:
    answer = {"serial_no": "12 kg", "legs": [{"name": "to 12 NM"}], "words": ["12 kg"], "figure": 12}
    assert told(AMERICAN, answer) == {
        "serial_no": "12 kg", "legs": [{"name": "to 12 NM"}], "words": ["26.5 lb"], "figure": 12,
    }  # fmt: skip


def test_every_mass_temperature_and_flight_time_of_a_flight_is_a_quantity() -> None:
    columns = [*Flight.model_fields, *Reading.model_fields]
    assert {name for name in columns if quantity_of(name) == "kg"} == {"mass_kg"}
    assert {name for name in columns if quantity_of(name) == "°C"} == {
        "outside_temp_c", "temp_caution_c", "temp_limit_c", "temp_departure_c", "temp_max_c", "temp_landing_c",
    }  # fmt: skip
    assert quantity_of("level_min") == quantity_of("final_reserve_min") == ""
