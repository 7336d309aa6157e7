"""Weights and temperatures in the units a person chose; grams and °C underneath."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.quantity_text import celsius, found_in, grams, kelvins, millimetres, phrase
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.typed.units import parse_length_mm, parse_temp_c
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.domain.weighing.weights import net_from_gross
from curedash.present import display_units


@pytest.fixture
def in_pounds():
    display_units.show_in("lb", "F", "in")
    yield
    display_units.show_in()


def test_grams_and_celsius_are_what_stands_without_a_choice():
    assert display_units.mass(1043.2) == "1043.2 g"
    assert display_units.mass(1043.2, whole=True) == "1043 g"
    assert display_units.mass_change(-15) == "−15 g"
    assert display_units.mass_range(948.4, 1025.2, whole=True) == "948–1025 g"
    assert display_units.kilos(3210) == "3.2 kg"
    assert display_units.temp(3.52) == "3.5 °C"
    assert display_units.temp_range(2, 5) == "2–5 °C"


def test_pounds_and_fahrenheit(in_pounds):
    # NIST SP 811 (2008), appendix B.8: 1 lb = 453.59237 g, 1 oz = 28.349523125 g
    assert display_units.mass(2 * 453.59237 + 4.8 * 28.349523125) == "2 lb 4.8 oz"
    assert display_units.mass_change(-15) == "−0.5 oz"
    assert display_units.mass_change(0.4) == "±0 oz"
    assert display_units.kilos(4535.9237) == "10.0 lb"
    # the two fixed points of the scales: ice 0 °C = 32 °F, steam 100 °C = 212 °F
    assert (display_units.temp(0, 0), display_units.temp(100, 0)) == ("32 °F", "212 °F")
    assert display_units.temp_range(2, 5) == "35.6–41 °F"
    assert display_units.mass_range(649.2, 697.4) == "1 lb 6.9 oz to 1 lb 8.6 oz"
    assert display_units.mass_range(136.1, 453.6) == "4.8 oz to 1 lb 0 oz"
    assert display_units.mass_range(136.1, 175.8) == "4.8–6.2 oz"
    assert display_units.mass_range(649.2, 649.3) == "1 lb 6.9 oz"
    assert display_units.temp_difference(5) == "9 °F"


@given(st.floats(0.0, 200_000.0))
def test_what_is_shown_can_be_typed_back_within_half_a_tenth_of_an_ounce(grams):
    shown = display_units.pounds(grams)
    assert parse_weight_g(shown, allow_zero=True) == pytest.approx(grams, abs=0.0501 * 28.3495)


@given(st.floats(-40.0, 60.0))
def test_a_temperature_can_be_typed_back(temp_c):
    display_units.show_in("g", "F")
    try:
        shown = display_units.temp(temp_c).replace("−", "-")
    finally:
        display_units.show_in()
    assert parse_temp_c(shown) == pytest.approx(temp_c, abs=0.0501 / 1.8)


@given(st.floats(10.0, 400.0))
def test_a_thickness_can_be_typed_back(thickness_mm):
    display_units.show_in(lengths="in")
    try:
        shown = display_units.length(thickness_mm)
    finally:
        display_units.show_in()
    assert parse_length_mm(shown) == pytest.approx(thickness_mm, abs=0.00501 * 25.4)


@given(st.floats(-60_000.0, 60_000.0), st.sampled_from((6, 7)))
def test_a_narrow_column_is_never_cut(grams, width):
    for unit in ("g", "lb"):
        display_units.show_in(unit)
        shown = display_units.mass_short(grams, width)
        display_units.show_in()
        assert len(shown) <= (width if unit == "lb" or grams > -9999.5 else 8)


def test_sentences_from_below_are_told_in_the_units_shown(in_pounds):
    # 8.2 · 1.8 + 32 = 46.76; 1.5 K are 2.7 °F; 100 g / 28.349523125 = 3.527 oz; 76.2 mm are 3 in
    mean, limit = celsius(8.2, "8.2 °C"), celsius(7, "7")
    cases = {
        phrase(
            "mean of 6 h is {mean}, over {limit}", mean=mean, limit=limit
        ): "mean of 6 h is 46.8 °F, over 44.6",
        phrase(
            "top and door are {apart} apart", apart=kelvins(1.5, "1.5 °C")
        ): "top and door are 2.7 °F apart",
        phrase(
            "{code}: {said}", code="C2", said=phrase("{short} short", short=grams(100))
        ): "C2: 3.5 oz short",
        phrase(
            "{net} net ({gross} on the scale)", net=grams(680), gross=grams(708, "708")
        ): "1 lb 8 oz net (1 lb 9 oz on the scale)",
        phrase(
            "give {least} to {most}", least=millimetres(25.4, "25"), most=millimetres(76.2)
        ): "give 1 to 3 in",
        "28 g of salt": "28 g of salt",  # a dose is plain text: it is weighed out in grams
    }
    for said, told in cases.items():
        assert display_units.retold(said) == told


def test_a_refusal_keeps_its_quantities_on_its_way_up(in_pounds):
    with pytest.raises(Refused) as refusal:
        net_from_gross(28, 1071)
    assert str(refusal.value).startswith("The scale shows 28 g but 1071 g of that is tare")
    assert display_units.retold(str(refusal.value)).startswith(
        "The scale shows 1 oz but 2 lb 5.8 oz"
    )


def test_stored_words_are_told_anew_where_their_numbers_were_kept(in_pounds):
    stored = "Fridge {2} warm, highest 11.0 °C, 9.5 h over 7 °C; 7 °C on the door"
    said = found_in(stored, celsius(11, "11.0 °C"), celsius(7))
    assert said == stored
    assert display_units.retold(said) == (
        "Fridge {2} warm, highest 51.8 °F, 9.5 h over 44.6 °F; 7 °C on the door"
    )


def test_sentences_stay_as_they_are_in_grams_and_celsius():
    said = phrase("{a}, {b}, {c}", a=grams(1043.2), b=celsius(8.2), c=millimetres(80))
    assert display_units.retold(said) == said == "1043.2 g, 8.2 °C, 80 mm"


# ── numbers without a unit ────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("typed", "last_g", "grams"),
    [
        # by hand with 1 lb = 453.59237 g, 1 oz = 28.349523125 g (NIST SP 811, appendix B.8)
        ("2 4.6", None, 2 * 453.59237 + 4.6 * 28.349523125),
        ("2 4.6", 1049.0, 2 * 453.59237 + 4.6 * 28.349523125),
        ("2 0", None, 2 * 453.59237),
        ("2 4 + 1 3", None, 3 * 453.59237 + 7 * 28.349523125),
        ("37.5", 1049.0, 37.5 * 28.349523125),
        ("20+17.5", 1049.0, 37.5 * 28.349523125),
        ("1043", 1049.0, 1043.0),
        ("1043", None, 1043.0),  # 1043 oz are 29.6 kg: no piece
        ("1 043", None, 1043.0),
        ("37.5 g", 1049.0, 37.5),
        ("2 lb 4.6 oz", 100.0, 2 * 453.59237 + 4.6 * 28.349523125),
        ("½ lb", None, 453.59237 / 2),
    ],
)
def test_a_bare_number_in_pounds_is_what_fits(in_pounds, typed, last_g, grams):
    assert parse_weight_g(display_units.typed_weight(typed, last_g)) == pytest.approx(grams)


@pytest.mark.parametrize(("typed", "last_g"), [("37.5", None), ("500", None), ("104", 1049.0)])
def test_what_may_be_ounces_or_grams_is_asked_about(in_pounds, typed, last_g):
    with pytest.raises(Ambiguous) as asked:
        display_units.typed_weight(typed, last_g)
    assert f"{typed} oz" in str(asked.value)
    assert f"{typed} g" in str(asked.value)
    assert sorted(asked.value.readings) == pytest.approx(
        [float(typed), float(typed) * 28.349523125]
    )


def test_a_list_of_bare_numbers_in_pounds(in_pounds):
    assert parse_weights_g(display_units.typed_weights("1134 1088")) == [1134, 1088]
    assert parse_weights_g(display_units.typed_weights("14 10", 700.0)) == pytest.approx(
        [14 * 28.349523125, 10 * 28.349523125]
    )
    assert parse_weights_g(display_units.typed_weights("4536 / 4")) == [1134] * 4
    assert display_units.typed_weights("2 lb 4 oz, 3 lb") == "2 lb 4 oz, 3 lb"
    with pytest.raises(Ambiguous):
        display_units.typed_weights("36 37.5")


@given(st.text(max_size=40), st.none() | st.floats(1, 1e5))
def test_in_pounds_any_text_is_read_or_refused(text, last_g):
    display_units.show_in("lb")
    try:
        for meant in (display_units.typed_weight, display_units.typed_weights):
            with contextlib.suppress(CuredashError):
                assert isinstance(meant(text, last_g), str)
    finally:
        display_units.show_in()


@given(st.text(max_size=40))
def test_in_grams_nothing_is_put_into_what_was_typed(text):
    assert display_units.typed_weight(text) == text == display_units.typed_weights(text)


def test_costs_of_a_pound():
    """17.33 a kg are 7.86 a pound (× 0.45359237, NIST SP 811)."""
    assert display_units.cost(17.333, "EUR") + "/" + display_units.cost_unit() == "17.33 EUR/kg"
    display_units.show_in("lb")
    try:
        assert display_units.cost(17.333, "EUR") + "/" + display_units.cost_unit() == "7.86 EUR/lb"
        assert display_units.cost(17.333, "$") == "$7.86"
    finally:
        display_units.show_in()


def test_examples_follow_the_units(in_pounds):
    told = (
        display_units.band_example(),
        display_units.tare_example(),
        display_units.estimate_example(),
        display_units.outage_example(),
        display_units.scale_example(),
        display_units.thickness_example(),
    )
    assert not [text for text in told if any(u in text for u in ("C ", "11C", " g", "kg", "mm"))]
    assert parse_weight_g("1 oz") == pytest.approx(28.35, abs=0.01)
