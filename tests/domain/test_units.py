"""Typed weights, lengths, temperatures and shares; pint is the reference for every unit."""

import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, Doubtful, Refused
from curedash.domain.facts import units as facts
from curedash.domain.typed import unit_sizes
from curedash.domain.typed.bands import typed_band, typed_place
from curedash.domain.typed.pack_line import typed_packs
from curedash.domain.typed.pounds import many_in_pounds
from curedash.domain.typed.unit_sizes import Ambiguous, f_to_c
from curedash.domain.typed.units import (
    parse_length_mm,
    parse_pct,
    parse_pct_range,
    parse_rh_pct,
    parse_rh_range_pct,
    parse_temp_c,
    parse_temp_range_c,
)
from curedash.domain.typed.weights import (
    MAX_WEIGHT_G,
    parse_weight_g,
    parse_weights_g,
    split_evenly,
)

PARSERS = (
    parse_weight_g,
    parse_weights_g,
    parse_length_mm,
    parse_temp_c,
    parse_rh_pct,
    parse_pct,
    parse_temp_range_c,
    parse_rh_range_pct,
    parse_pct_range,
    typed_band,
)
REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1043", 1043),
        ("1043 g", 1043),
        ("  1043  g ", 1043),
        ("1043g", 1043),
        ("1043 G", 1043),
        ("1043.5", 1043.5),
        ("1043,5", 1043.5),
        ("1043.", 1043),
        ("1.043 kg", 1043),
        ("1,043 kg", 1043),
        (",5 kg", 500),
        ("1,043.5", 1043.5),
        ("1.043,5 g", 1043.5),
        ("1'043", 1043),
        ("1 043", 1043),
        ("1 043,5 g", 1043.5),
        ("1\u202f043 g", 1043),
        ("１０４３", 1043),
        ("１．０４３ｋｇ", 1043),
        ("٣٤", 34),
        ("0.250 g", 0.25),
        ("2310+2250", 4560),
        ("2310 + 2250 g", 4560),
        ("1 kg 200 g", 1200),
        ("2 lb 4.8 oz", 2 * facts.G_PER_LB + 4.8 * facts.G_PER_OZ),
        ("2lb4.8oz", 2 * facts.G_PER_LB + 4.8 * facts.G_PER_OZ),
        ("2 lb, 4.8 oz", 2 * facts.G_PER_LB + 4.8 * facts.G_PER_OZ),
        ("36.8oz", 36.8 * facts.G_PER_OZ),
        ("2½ lb", 2.5 * facts.G_PER_LB),
        ("2 1/2 lb", 2.5 * facts.G_PER_LB),
        ("½ lb", 0.5 * facts.G_PER_LB),
        ("1/2 lb", 0.5 * facts.G_PER_LB),
        ("1 lb 2 oz + 1 lb 3 oz", 2 * facts.G_PER_LB + 5 * facts.G_PER_OZ),
    ],
)
def test_a_weight_as_people_type_it(text: str, grams: float) -> None:
    assert parse_weight_g(text) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize("text", ["1,043", "1.043", "1,043 g", "1.043 g", "1,134+1,088", "0,250"])
def test_a_mark_that_may_be_a_thousand_is_asked_about_with_the_likely_reading_first(
    text: str,
) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_weight_g(text)
    likely, literal = caught.value.readings
    assert likely == pytest.approx(1000 * literal)
    assert str(caught.value).startswith(f"Is that {likely:g} g or {literal:g} g?")


def test_the_last_weight_settles_the_mark_and_a_far_one_does_not() -> None:
    assert parse_weight_g("1,043", last_g=1071) == 1043
    assert parse_weight_g("1.043", last_g=1071) == 1043
    assert parse_weight_g("1.043", last_g=1.1) == 1.043
    with pytest.raises(Ambiguous):
        parse_weight_g("1.043", last_g=30)


def test_a_dose_may_say_that_marks_are_decimal() -> None:
    assert parse_weight_g("2.475 g", marks_are_decimal=True) == 2.475


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "g",
        "abc",
        "nan",
        "inf",
        "-inf",
        "NaN g",
        "1e3",
        "-15",
        "−15",
        "+5",
        "2310+",
        "0",
        "0 g",
        "10 71",
        "2 lb 4",
        "2½",
        "2.1+2.2 kg",
        "1.2.3",
        "1,04,3.5",
        "9" * 199,
        "9" * 5000,
        "600 kg",
        "🥩",
        "[bold]12[/bold]",
        "'; drop table lot; --",
        "1043 ml",
        "1043 gr",
        "12 fl oz",
        "1071-28",
        "4536 g / 4",
        "1043\n1071",
        "1043 g 5 kg",
        "½½ lb",
        "5/4 lb",
    ],
)
def test_what_is_no_weight_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(Refused) as caught:
        parse_weight_g(text)
    assert "\n" not in str(caught.value)
    assert str(caught.value).endswith((".", "oz", "g")), str(caught.value)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize("text", ["1 tsp", "2 teaspoons", "½ cup", "a pinch", "1 tbsp salt", "TSP"])
def test_spoons_are_refused_with_the_reason(text: str) -> None:
    with pytest.raises(Refused, match="measure volume"):
        parse_weight_g(text)


def test_zero_is_a_tare_only_where_allowed() -> None:
    assert parse_weight_g("0", allow_zero=True) == 0
    with pytest.raises(Refused, match="more than 0"):
        parse_weight_g("0")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1134 1088 990 1041", [1134, 1088, 990, 1041]),
        ("1134, 1088; 990\n1041 g", [1134, 1088, 990, 1041]),
        ("1.134 kg, 1.088 kg", [1134, 1088]),
        ("1.134 kg 1.088 kg", [1134, 1088]),
        ("2310+2250 990", [4560, 990]),
        ("1 kg, 990 g", [1000, 990]),
        ("1 kg + 990 g, 3 kg", [1990, 3000]),
        ("4536 g / 4", [1134] * 4),
        ("4536/4", [1134] * 4),
        ("4536 ÷ 4", [1134] * 4),
        ("4536 in 4", [1134] * 4),
        ("4536 g divide in 4", [1134] * 4),
        ("4536 g split into 4 pieces", [1134] * 4),
        ("2310+2250 / 2", [2280] * 2),
        ("2 lb 4.8 oz 2½ lb", [2 * facts.G_PER_LB + 4.8 * facts.G_PER_OZ, 2.5 * facts.G_PER_LB]),
        ("10 lb / 4", [2.5 * facts.G_PER_LB] * 4),
        ("1043", [1043]),
    ],
)
def test_several_pieces_in_one_field(text: str, grams: list[float]) -> None:
    assert parse_weights_g(text) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1134,1088",
        "1134,1088,990",
        "1 043",
        "4536/0",
        "4536/2.5",
        "4536/999",
        "/4",
        "4 lb 990",
        "1134 -5",
        "1 " * 99 + "0",
        "in 4",
        "1134 x",
        "x 4",
    ],
)
def test_a_list_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_weights_g(text)


@pytest.mark.parametrize("text", ["1,134 1,088", "1 kg 990 g"])
def test_a_list_with_two_readings_is_asked_about(text: str) -> None:
    with pytest.raises(Doubtful):
        parse_weights_g(text)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("80mm", 80),
        ("80", 80),
        ("8 cm", 80),
        ("8,5cm", 85),
        ("3 in", 76.2),
        ("3¼ in", 82.55),
        ('3½"', 88.9),
        ("3 1/4 in", 82.55),
        ("0.3 ft", 91.44),
    ],
)
def test_a_thickness(text: str, mm: float) -> None:
    assert parse_length_mm(text) == pytest.approx(mm, rel=1e-12)


def test_a_bare_thickness_too_small_to_be_mm_is_asked_about() -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_length_mm("3")
    assert caught.value.readings == pytest.approx((30, 76.2, 3))
    assert parse_length_mm("3", default_unit="in") == pytest.approx(76.2)


@pytest.mark.parametrize("text", ["", "0", "-3mm", "80 g", "3 m", "nan", "80 90", "mm", "x" * 500])
def test_what_is_no_thickness_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_length_mm(text)


@pytest.mark.parametrize(
    ("text", "temp_c"),
    [
        ("3.5C", 3.5),
        ("3,5 °C", 3.5),
        ("3.5", 3.5),
        ("-1.5C", -1.5),
        ("−1.5 ℃", -1.5),
        ("38F", 10 / 3),
        ("41 °F", 5),
        ("-40F", -40),
        ("+4C", 4),
        ("276.65 K", 3.5),
        ("85.0", 85),
    ],
)
def test_a_temperature(text: str, temp_c: float) -> None:
    assert parse_temp_c(text) == pytest.approx(temp_c, abs=1e-9)


def test_a_bare_temperature_follows_the_default_unit() -> None:
    assert parse_temp_c("41", default_unit="F") == pytest.approx(5)


@pytest.mark.parametrize("text", ["", "999", "-300", "abc", "3.5 C 4", "3.5 g", "nan", "--3", "C"])
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_temp_c(text)


def test_humidity_and_shares() -> None:
    assert parse_rh_pct("78%") == parse_rh_pct("78") == parse_rh_pct("78 % rH") == 78
    assert parse_pct("2,75 %") == parse_pct("2.75") == 2.75
    assert parse_pct("1,043") == 1.043
    for text in ("101", "-1", "", "78 g", "nan"):
        with pytest.raises(Refused):
            parse_rh_pct(text)
    with pytest.raises(Refused, match="outside 0 to 10 %"):
        parse_pct("25", hi_pct=10)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("2..5C", (2, 5)),
        ("2-5C", (2, 5)),
        ("2–5 °C", (2, 5)),
        ("2 to 5 C", (2, 5)),
        ("2…5", (2, 5)),
        ("-1..4C", (-1, 4)),
        ("-2--1", (-2, -1)),
        ("2C..5C", (2, 5)),
        ("2C..5", (2, 5)),
        ("5..2", (2, 5)),
        ("32..41F", (0, 5)),
        ("2.5..3.5C", (2.5, 3.5)),
    ],
)
def test_a_temperature_band(text: str, ends: tuple[float, float]) -> None:
    assert parse_temp_range_c(text) == pytest.approx(ends, abs=1e-9)


def test_a_humidity_band_and_a_target_range() -> None:
    assert parse_rh_range_pct("70..80%") == parse_rh_range_pct("70%-80 %") == (70, 80)
    assert parse_pct_range("30..40%") == parse_pct_range("30 - 40") == (30, 40)
    for text in ("", "70", "70..", "..", "70..170%", "70..70", "a..b", "-"):
        with pytest.raises(Refused):
            parse_rh_range_pct(text)


# ── against pint, whose registry carries the same definitions independently ───────────────


SHOP_WORDS = {"#", "gramme", "grammes", "kilo", "kilos", "ozs", "kgs", "lbs"}  # not in pint


@pytest.mark.parametrize("word", sorted(unit_sizes._WEIGHTS_G.keys() - SHOP_WORDS))
def test_the_kitchen_table_of_weights_equals_pint(word: str) -> None:
    assert unit_sizes.grams_per(word) == pytest.approx(
        REGISTRY.Quantity(1, word).to("gram").magnitude, rel=1e-15
    )


@pytest.mark.parametrize("word", ["mm", "cm", "in", "inch", "inches", "millimetre", "centimeters"])
def test_the_kitchen_table_of_lengths_equals_pint(word: str) -> None:
    assert unit_sizes.mm_per(word) == pytest.approx(
        REGISTRY.Quantity(1, word).to("millimeter").magnitude, rel=1e-15
    )


@given(st.floats(-130, 300))
def test_fahrenheit_equals_pint(temp_f: float) -> None:
    expected = REGISTRY.Quantity(temp_f, "degF").to("degC").magnitude
    assert f_to_c(temp_f) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "grams"),
    [("3 stone", 3 * 14 * facts.G_PER_LB), ("104.3 dag", 1043), ("1043000 mg", 1043)],
)
def test_other_units_are_read_by_pint(text: str, grams: float) -> None:
    assert parse_weight_g(text) == pytest.approx(grams, rel=1e-12)


def test_the_kitchen_units_load_neither_pint_nor_the_slow_modules() -> None:
    code = (
        "import sys; before = set(sys.modules)\n"
        "from curedash.domain.typed.units import parse_temp_c\n"
        "from curedash.domain.typed.weights import parse_weight_g\n"
        "parse_weight_g('2 lb 4.8 oz'); parse_temp_c('3.5C')\n"
        "slow = {'re', 'enum', 'pathlib', 'decimal', 'pint', 'typing', 'dataclasses'}\n"
        "print(sorted(slow & (set(sys.modules) - before)))"
    )
    ran = subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True)
    assert ran.stdout.strip() == "[]", ran.stderr + ran.stdout


# ── properties ────────────────────────────────────────────────────────────────────────────

near_text = st.text(alphabet="0123456789.,'+-/ ½¼glbozkCF%°…–−\u00a0ｇ３", max_size=30)


@pytest.mark.parametrize("parser", PARSERS, ids=lambda parser: parser.__name__)
@given(text=st.one_of(st.text(max_size=250), near_text))
def test_no_text_raises_anything_but_the_programs_own_errors(parser, text: str) -> None:
    sentence = ""
    try:
        parser(text)
    except CuredashError as error:
        sentence = str(error)
    assert "\n" not in sentence


@pytest.mark.parametrize("text", ["0.0\u00a00", "1'234.5.6", "1'234.5'678", "1.5'678"])
@pytest.mark.parametrize("parser", PARSERS, ids=lambda parser: parser.__name__)
def test_marks_behind_a_decimal_mark_are_refused_in_words(parser, text: str) -> None:
    with pytest.raises(CuredashError):
        parser(text)


@given(near_text)
def test_a_weight_that_is_read_is_positive_and_below_the_bound(text: str) -> None:
    try:
        grams = parse_weight_g(text)
    except CuredashError:
        return
    assert 0 < grams < MAX_WEIGHT_G


@given(st.floats(0.1, 400_000), st.sampled_from([".", ","]))
def test_grams_with_one_decimal_come_back(grams: float, mark: str) -> None:
    text = f"{grams:.1f}"
    assert parse_weight_g(text.replace(".", mark) + " g") == float(text)


@given(st.floats(0.1, 400), st.sampled_from([".", ","]))
def test_kilograms_with_three_decimals_come_back(kilograms: float, mark: str) -> None:
    text = f"{kilograms:.3f}"
    assert parse_weight_g(f"{text.replace('.', mark)} kg") == pytest.approx(float(text) * 1000)


@given(st.integers(1, 99), st.floats(0.1, 15.9))
def test_pounds_and_ounces_come_back(pounds: int, ounces: float) -> None:
    text = f"{pounds} lb {ounces:.1f} oz"
    expected = pounds * facts.G_PER_LB + float(f"{ounces:.1f}") * facts.G_PER_OZ
    assert parse_weight_g(text) == pytest.approx(expected)
    assert parse_weights_g(f"{text} {text}") == pytest.approx([expected, expected])


@given(st.lists(st.integers(1, 99_999), min_size=1, max_size=20))
def test_a_list_of_whole_grams_comes_back(grams: list[int]) -> None:
    assert parse_weights_g(" ".join(map(str, grams))) == grams
    assert parse_weights_g(", ".join(f"{piece} g" for piece in grams)) == grams


@given(st.floats(1, 400_000), st.integers(1, 200))
def test_pieces_divided_evenly_add_up(total_g: float, parts: int) -> None:
    pieces = split_evenly(total_g, parts)
    assert len(pieces) == parts
    assert sum(pieces) == pytest.approx(total_g)


@given(st.floats(-40, 60), st.floats(0.1, 30))
def test_a_temperature_band_comes_back(low: float, width: float) -> None:
    ends = (float(f"{low:.1f}"), float(f"{low + width:.1f}"))
    if ends[0] == ends[1]:
        return
    assert parse_temp_range_c(f"{ends[0]}..{ends[1]}C") == pytest.approx(ends)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Chamber 50-55F 70-75%", "Chamber"),
        ("Chamber 50–55 F 70–75 %", "Chamber"),
        ("Chamber 50..55F 70..75%", "Chamber"),
        ("Chamber: 50 to 55 °F and 70 to 75 % RH", "Chamber"),
        ("Chamber 50 - 55 70 - 75", "Chamber"),
        ("Chamber 2 - 50-55F, 70-75%", "Chamber 2"),
        ("50F-55F 70%-75%", ""),
    ],
)
def test_a_place_and_its_band_are_read_in_every_form(typed: str, name: str) -> None:
    read = typed_place(typed, default_unit="F")
    assert read == (name, pytest.approx((10.0, 115 / 9)), (70.0, 75.0))
    if not name:
        assert typed_band(typed, default_unit="F") == read[1:]


@pytest.mark.parametrize(
    ("typed", "temp", "rh"),
    [
        ("Fridge 4C", (2.0, 6.0), None),
        ("Chamber 13C 75%", (11.0, 15.0), (70.0, 80.0)),
        ("Chamber 55F", (pytest.approx(51 / 1.8 - 32 / 1.8), pytest.approx(15.0)), None),
        ("Chamber, 12.5 °C and 98 %", (10.5, 14.5), (93.0, 100.0)),
        ("Chamber 10-14C 75%", (10.0, 14.0), (70.0, 80.0)),
        ("Freezer -18C", (-20.0, -16.0), None),
    ],
)
def test_a_set_point_is_the_band_around_it(typed, temp, rh) -> None:
    name = typed.replace(",", "").split()[0]
    assert typed_place(typed) == (name, temp, rh)


@pytest.mark.parametrize(
    "typed", ["Chamber max 55F", "Chamber < 70%", "Chamber up to 12 °C", "Keller 8 C to"]
)
def test_half_a_band_never_becomes_part_of_a_name(typed: str) -> None:
    with pytest.raises(Refused, match="one end of a range"):
        typed_place(typed)


@pytest.mark.parametrize("typed", ["Fridge 2", "Box A1-B2", "12a", "Keller 3. Fach", "Cold room C"])
def test_a_number_in_a_name_stays_there(typed: str) -> None:
    assert typed_place(typed) == (typed, None, None)


@pytest.mark.parametrize("typed", ["", "Chamber", "41F", "2..5C warm", "2..5C 3..6C", "x" * 300])
def test_what_is_no_band_is_refused(typed: str) -> None:
    with pytest.raises(Refused):
        typed_band(typed)


# ── pounds and ounces without a unit; by hand with 1 lb = 453.59237 g, 1 oz = 28.349523125 g ──


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("2 8.5", "2 lb 8.5 oz"),
        ("2 8.5, 2 6", "2 lb 8.5 oz, 2 lb 6 oz"),
        ("2 8.5; 2 6", "2 lb 8.5 oz, 2 lb 6 oz"),
        ("2 8.5\n2 6", "2 lb 8.5 oz, 2 lb 6 oz"),
        ("2 8.5,2 6", "2 lb 8.5 oz, 2 lb 6 oz"),
        ("2 8.5 2 6", "2 lb 8.5 oz, 2 lb 6 oz"),
        ("10 9 / 4", "10 lb 9 oz / 4"),
        ("1134 1088", "1134 g, 1088 g"),
        ("40oz 2 lb", "40oz 2 lb"),
    ],
)
def test_pounds_and_ounces_of_several_pieces(typed: str, read: str) -> None:
    assert many_in_pounds(typed) == read


def test_a_pair_weighs_what_its_pounds_and_ounces_weigh() -> None:
    read = parse_weights_g(many_in_pounds("2 8.5, 2 6"))
    assert read == pytest.approx([2 * 453.59237 + 8.5 * 28.349523125, 38 * 28.349523125])


@pytest.mark.parametrize(
    ("typed", "asked", "first"),
    [
        ("14 10", "14 lb 10 oz, or 14 oz, 10 oz?", "14 lb 10 oz"),
        ("40 38", "40 oz or 40 g?", "40 oz, 38 oz"),
        ("2.5", "2.5 lb or 2.5 oz?", "2.5 lb"),
        ("38 / 4", "38 oz or 38 g?", "38 oz / 4"),
    ],
)
def test_what_may_be_two_things_is_asked_with_the_likely_first(
    typed: str, asked: str, first: str
) -> None:
    with pytest.raises(Ambiguous) as caught:
        many_in_pounds(typed)
    assert asked in str(caught.value)
    assert caught.value.typed == first
    parse_weights_g(first)


@pytest.mark.parametrize("typed", ["2 8, 3", "2 8.5 3", "2 17, 3 2", "2 8 1, 3 2"])
def test_numbers_that_do_not_pair_are_never_guessed(typed: str) -> None:
    with pytest.raises((Refused, Ambiguous)):
        many_in_pounds(typed)


@given(st.lists(st.tuples(st.integers(0, 54), st.integers(0, 159)), min_size=1, max_size=6))
def test_pairs_with_commas_always_come_back(pairs: list[tuple[int, int]]) -> None:
    kept = [(lb, tenths / 10) for lb, tenths in pairs if lb or tenths]
    if len(kept) < 2:
        return
    read = parse_weights_g(many_in_pounds(", ".join(f"{lb} {oz:g}" for lb, oz in kept)))
    assert read == pytest.approx([lb * 453.59237 + oz * 28.349523125 for lb, oz in kept])


@pytest.mark.parametrize("typed", ["85u", "9.6fg", "40fg", "2 T", "3 ton", "1 M_sun", "5 eV"])
def test_no_unit_is_a_weight_that_no_kitchen_has(typed: str) -> None:
    with pytest.raises(Refused, match="is not a unit of weight"):
        parse_weight_g(typed)


@pytest.mark.parametrize("unit", sorted(unit_sizes._RARE_WEIGHTS - {"dkg"}))
def test_the_rare_weights_equal_pint(unit: str) -> None:
    expected = REGISTRY.Quantity(1.0, unit).to("gram").magnitude
    assert unit_sizes.grams_per(unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", sorted(unit_sizes._RARE_LENGTHS))
def test_the_rare_lengths_equal_pint(unit: str) -> None:
    expected = REGISTRY.Quantity(1.0, unit).to("millimeter").magnitude
    assert unit_sizes.mm_per(unit) == pytest.approx(expected, rel=1e-12)


def test_a_dash_behind_a_number_is_not_called_negative() -> None:
    with pytest.raises(Refused) as caught:
        parse_weight_g("5-")
    assert "negative" not in str(caught.value)
    with pytest.raises(Refused, match="negative"):
        parse_weight_g("-5")


@pytest.mark.parametrize(
    "text", ["two", "some packs of the blue one", "200 packs for 5 lb", "2 packs for 5 stones", "x"]
)
def test_a_ready_mixed_pack_that_is_not_read_says_the_way_out_first(text: str) -> None:
    """The end of a long sentence may be cut beside a field of 80 columns."""
    with pytest.raises(Refused, match=r"^Type it like 2 packs for 5 lb: "):
        typed_packs(text)
