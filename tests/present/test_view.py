"""Weights and temperatures in the units a person chose; grams and °C underneath."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.units import parse_temp_c, parse_weight_g
from curedash.present import view


@pytest.fixture
def in_pounds():
    view.show_in("lb", "F")
    yield
    view.show_in()


def test_grams_and_celsius_are_what_stands_without_a_choice():
    assert view.mass(1043.2) == "1043.2 g"
    assert view.mass(1043.2, whole=True) == "1043 g"
    assert view.mass_change(-15) == "−15 g"
    assert view.mass_range(948.4, 1025.2, whole=True) == "948–1025 g"
    assert view.kilos(3210) == "3.2 kg"
    assert view.temp(3.52) == "3.5 °C"
    assert view.temp_range(2, 5) == "2–5 °C"


def test_pounds_and_fahrenheit(in_pounds):
    # NIST SP 811 (2008), appendix B.8: 1 lb = 453.59237 g, 1 oz = 28.349523125 g
    assert view.mass(2 * 453.59237 + 4.8 * 28.349523125) == "2 lb 4.8 oz"
    assert view.mass_change(-15) == "−0.5 oz"
    assert view.mass_change(0.4) == "±0 oz"
    assert view.kilos(4535.9237) == "10.0 lb"
    # the two fixed points of the scales: ice 0 °C = 32 °F, steam 100 °C = 212 °F
    assert (view.temp(0, 0), view.temp(100, 0)) == ("32 °F", "212 °F")
    assert view.temp_range(2, 5) == "35.6–41 °F"
    assert view.temp_difference(5) == "9 °F"


@given(st.floats(0.0, 200_000.0))
def test_what_is_shown_can_be_typed_back_within_half_a_tenth_of_an_ounce(grams):
    shown = view.pounds(grams)
    assert parse_weight_g(shown, allow_zero=True) == pytest.approx(grams, abs=0.0501 * 28.3495)


@given(st.floats(-40.0, 60.0))
def test_a_temperature_can_be_typed_back(temp_c):
    view.show_in("g", "F")
    try:
        shown = view.temp(temp_c).replace("−", "-")
    finally:
        view.show_in()
    assert parse_temp_c(shown) == pytest.approx(temp_c, abs=0.0501 / 1.8)


@given(st.floats(-60_000.0, 60_000.0), st.sampled_from((6, 7)))
def test_a_narrow_column_is_never_cut(grams, width):
    for unit in ("g", "lb"):
        view.show_in(unit)
        shown = view.mass_short(grams, width)
        view.show_in()
        assert len(shown) <= (width if unit == "lb" or grams > -9999.5 else 8)


def test_sentences_of_the_services_are_told_in_the_units_shown(in_pounds):
    cases = {
        "mean of 6 h is 8.2 °C, over 7": "mean of 6 h is 46.8 °F, over 44.6",
        "top and door are 1.5 °C apart over a day (3.0 and 4.5)":
            "top and door are 2.7 °F apart over a day (37.4 and 40.1)",
        "levelling: 0.05 %/d over 9 d, 100 g short": "levelling: 0.05 %/d over 9 d, 3.5 oz short",
        "68 of 667 °C·h in 10 h": "68 of 667 °C·h in 10 h",
        "1043 g is far from the last weight: 10430 g?":
            "2 lb 4.8 oz is far from the last weight: 22 lb 15.9 oz?",
        "680 g net (708 on the scale)": "1 lb 8 oz net (1 lb 9 oz on the scale)",
        "5 grams": "5 grams",
    }  # fmt: skip
    for said, told in cases.items():
        assert view.retold(said) == told


def test_sentences_stay_as_they_are_in_grams_and_celsius():
    assert view.retold("mean of 6 h is 8.2 °C, over 7, 100 g") == (
        "mean of 6 h is 8.2 °C, over 7, 100 g"
    )
