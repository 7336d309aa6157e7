"""The form of a new batch, read: what is typed, what is refused, what would be accepted."""

import math
import re
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from curedash.domain.household.styles import styles
from curedash.present.display_units import show_in
from curedash.present.dosing.dose_table import dose_table
from curedash.present.dosing.form.batch_fields import field, help_words, options, shown_words
from curedash.present.dosing.form.batch_follows import effective
from curedash.present.dosing.form.batch_layout import rows
from curedash.present.dosing.form.batch_lines import LABEL, VALUE
from curedash.present.dosing.form.batch_reading import read_form
from curedash.present.dosing.limit_bars import pane_lines
from curedash.present.words import cells, text_of, wrapped
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.dosing_means import DosingDefaults
from tests.hostile import HOSTILE

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
START = Start(
    code="A",
    defaults=DosingDefaults(),
    styles=styles(),
    places=(("Fridge 2", 3.5),),
    last=None,
    liked={},
    again=None,
    again_request=None,
)
EYE = {
    "name": "Beef eye",
    "style": "bresaola",
    "pieces": "1134 1088 990 1041",
    "thickness": "80",
    "curing_salt": "no2",
    "scale": "0.1",
    "rules": "us",
}
TEXT_FIELDS = [
    "name",
    "species",
    "cut",
    "style",
    "pieces",
    "thickness",
    "salt",
    "curing_salt",
    "cure",
    "sugar",
    "spices",
    "scale",
    "days",
    "target",
    "place",
    "salted",
    "source",
    "note",
    "water",
    "pickup",
    "pump",
    "pack",
    "packs",
    "thick:0",
    "piece:0",
    "from:0",
    "count:0",
    "shop:0",
    "packed:0",
    "price:0",
    "bought:0",
]
METHODS = {
    "equilibrium": {},
    "equilibrium-brine": {"water": "1000 g"},
    "immersion": {"salt": "10", "cure": "1", "pickup": "4"},
    "injection": {"salt": "10", "cure": "0.8", "pump": "10"},
    "ground": {},
    "salt-box": {"salt": ""},
    "pack": {"pack": "145 g for 5 lb", "curing_salt": ""},
}


def read(**typed):
    return read_form(effective(typed, START), START, NOW, UTC)


def test_a_style_fills_in_what_nobody_touched_and_leaves_what_was():
    values = effective(EYE | {"salt": "3"}, START)
    assert (values["species"], values["salt"], values["cure"]) == ("beef", "3", "0.25")
    assert (values["class"], values["target"], values["shape"]) == ("dry-cured", "35–40", "round")
    assert effective(EYE | {"rules": "eu"}, START)["class"] == "non-heat-treated"


def test_the_strength_of_a_curing_salt_is_never_taken_for_granted():
    """Without one named nothing can be saved, though the style says how much."""
    found = read(**(EYE | {"curing_salt": ""}))
    assert found.spec is None
    assert "curing_salt" in found.wanted


def test_another_strength_brings_the_same_nitrite():
    """0.25 % of a 6.25 % salt is 156.25 mg/kg (FSIS Handbook 7620.3); 2.6 % of a 0.6 % one too."""
    values = effective(EYE | {"curing_salt": "nitrited-0.6"}, START)
    assert float(values["cure"]) == pytest.approx(2.6, abs=0.01)
    planned = read(**(EYE | {"curing_salt": "nitrited-0.6"})).planned
    assert planned[0].dose.nitrite_mg_per_kg == pytest.approx(156, abs=1)


def test_four_pieces_in_one_field():
    found = read(**EYE)
    assert found.spec is not None
    assert [piece.green_g for piece in found.spec.pieces] == [1134, 1088, 990, 1041]
    salt, cure = found.planned[0].dose.ingredients
    assert (salt.weigh_g, cure.weigh_g) == (28.6, 2.8)


def test_one_weight_divided():
    found = read(**(EYE | {"pieces": "4536 g / 4"}))
    assert [piece.green_g for piece in found.spec.pieces] == [1134.0] * 4


def test_a_value_left_empty_repeats_the_one_above():
    own = {
        "each": "yes",
        "thick:0": "90",
        "thick:2": "7 cm",
        "from:0": "roast 1",
        "piece:0": "thick end",
        "count:3": "6",
        "condition:0": "frozen",
        "price:0": "38,20 EUR",
    }
    spec = read(**(EYE | own)).spec
    assert [piece.thickness_mm for piece in spec.pieces] == [90, 90, 70, 70]
    assert {piece.source for piece in spec.pieces} == {"roast 1"}
    assert [piece.name for piece in spec.pieces] == ["thick end", "", "", ""]
    assert spec.pieces[3].count == 6
    assert (spec.sources[0].price, spec.sources[0].currency) == (38.2, "EUR")
    assert spec.sources[0].condition == "frozen"


PRICES = [
    # by hand: 3 lb 4 oz is 3.25 lb, 8.50 × 3.25 = 27.625; in kg 1.474175 (NIST SP 811, B.8)
    ("8.50/lb", 27.63, None, "8.50 a lb × 1474.2 g = 27.63"),
    ("8,50 / lb", 27.63, None, "8.50 a lb × 1474.2 g = 27.63"),
    ("$8.50/lb", 27.63, "$", "$8.50 a lb × 1474.2 g = $27.63"),
    ("EUR 8.50 per lb", 27.63, "EUR", "8.50 EUR a lb × 1474.2 g = 27.63 EUR"),
    ("8.50 a lb USD", 27.63, "USD", "8.50 USD a lb × 1474.2 g = 27.63 USD"),
    ("18 EUR/kg", 26.54, "EUR", "18.00 EUR a kg × 1474.2 g = 26.54 EUR"),
    ("0.5 /oz", 26.0, None, "0.50 an oz × 1474.2 g = 26.00"),
    ("2.20/100 g", 32.43, None, "2.20 for 100 g × 1474.2 g = 32.43"),
    ("38,20 EUR", 38.2, "EUR", ""),
    ("€38.20", 38.2, "€", ""),
]


@pytest.mark.parametrize(("typed", "total", "currency", "echo"), PRICES)
def test_a_price_for_a_weight_is_worked_out_and_said(typed, total, currency, echo):
    roast = {"source": "roast 1", "price:0": typed, "bought:0": "3 lb 4 oz"}
    found = read(**(EYE | roast))
    source = found.spec.sources[0]
    assert (source.price, source.currency) == (pytest.approx(total), currency)
    assert source.bought_g == pytest.approx(3.25 * 453.59237)
    assert found.echoes.get("price:0", "") == echo


def test_a_price_for_a_weight_asks_for_the_weight():
    found = read(**(EYE | {"source": "roast 1", "price:0": "8.50/lb"}))
    assert found.spec is None
    assert found.wanted["bought:0"] == "for a price a lb"


@pytest.mark.parametrize("typed", ["8.50/", "8.50/lb/kg", "8.50 a piece", "8 50", "-3", "3.2e5"])
def test_what_is_no_price_is_refused(typed):
    found = read(**(EYE | {"source": "roast 1", "price:0": typed, "bought:0": "1 kg"}))
    assert found.spec is None
    assert "price:0" in found.troubles


def test_thicknesses_one_for_all_or_one_each():
    spec = read(**(EYE | {"thickness": "90 85 8cm 80"})).spec
    assert [piece.thickness_mm for piece in spec.pieces] == [90, 85, 80, 80]
    assert (
        "2 thicknesses for 4 pieces" in read(**(EYE | {"thickness": "90 85"})).troubles["thickness"]
    )


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("black pepper 0.4, juniper 0.2", (("black pepper", 0.4), ("juniper", 0.2))),
        ("black pepper 0,4, juniper 0,2", (("black pepper", 0.4), ("juniper", 0.2))),
        ("pepper 0,4 % juniper 0,2 %", (("pepper", 0.4), ("juniper", 0.2))),
        ("[bold]bay[/] 1", (("[bold]bay[/]", 1.0),)),
        ("", ()),
    ],
)
def test_spices_with_either_decimal_mark(typed, kept):
    assert read(**(EYE | {"spices": typed})).spec.dose.extras == kept


@pytest.mark.parametrize("typed", ["pepper", "0.4", "pepper 0.4 bay", "pepper 400"])
def test_a_spice_is_a_name_and_a_percent(typed):
    found = read(**(EYE | {"spices": typed}))
    assert found.spec is None
    assert "spices" in found.troubles


@pytest.mark.parametrize(
    ("typed", "salt"),
    [
        ("no2", "no2"),
        ("no2 0.25", "no2"),
        ("No. 2 0.25", "No. 2"),
        ("pepper 0.4, #1 0,25 %", "#1"),
        ("pepper 0.4 no1", "no1"),
        ("saltpetre 0.02", "saltpetre"),
        ("nitrited-0.5 2", "nitrited-0.5"),
    ],
)
def test_a_curing_salt_is_no_spice(typed, salt):
    found = read(**(EYE | {"spices": typed}))
    assert found.spec is None
    said = f"“{salt}” is a curing salt: type it in the field curing salt."
    assert found.troubles["spices"] == said


def test_spices_that_sound_like_a_salt_are_read():
    found = read(**(EYE | {"spices": "pink peppercorn 2, bay 1"}))
    assert found.spec.dose.extras == (("pink peppercorn", 2.0), ("bay", 1.0))


def test_wanted_nitrite_in_mg_per_kg():
    """120 mg/kg from a 6.25 % salt is 0.192 g per 100 g (by proportion)."""
    dose = read(**(EYE | {"cure": "120 mg/kg", "scale": "0.01"})).planned[0].dose
    assert dose.ingredients[1].exact_g == pytest.approx(1134 * 0.00192, rel=1e-9)


def test_a_slip_of_the_decimal_mark_is_refused_beside_its_field_with_what_is_accepted():
    """0.25 % typed as 2,5 %: 1562.5 mg/kg (FSIS Handbook 7620.3)."""
    found = read(**(EYE | {"cure": "2,5"}))
    assert found.spec is None
    assert found.troubles["cure"].startswith("too much: ")
    assert found.troubles["cure"].endswith(" % would do (F5 takes it)")
    said = [text_of(line) for line in dose_table(found.planned, "A", NOW, UTC, 80).messages]
    assert sum("1565.3 mg/kg is above the limit" in line for line in said) == 1
    taken = read(**(EYE | {"cure": "2,5"} | found.accepted))
    assert taken.spec is not None


@pytest.mark.parametrize("method", METHODS)
def test_every_method_shows_what_it_needs_and_reads_it(method):
    typed = EYE | {"method": method} | METHODS[method]
    values = effective(typed, START)
    shown = {field_id for row in rows(values, 4, []) for field_id in row}
    assert set(METHODS[method]) - {"salt", "cure"} <= shown | {"curing_salt"}
    assert ("pump" in shown) == (method == "injection")
    assert ("pickup" in shown) == (method == "immersion")
    assert ("pack" in shown) == (method == "pack")
    assert ("cure" in shown) == (method != "pack")
    found = read_form(values, START, NOW, UTC)
    assert not found.wanted
    assert found.spec is not None, found.troubles


@pytest.mark.parametrize("method", METHODS)
def test_what_a_method_lacks_is_wanted(method):
    needs = set(METHODS[method]) & {"water", "pickup", "pump", "pack"}
    found = read(**(EYE | {"method": method, "cure": "", "salt": "2.75"}))
    assert set(found.wanted) >= needs


def test_packs_used_on_all_pieces_are_shared_by_weight():
    typed = EYE | {"method": "pack", "pack": "145 g for 5 lb", "packs": "2", "curing_salt": ""}
    spec = read(**typed).spec
    assert sum(dose.packs for dose in spec.doses) == pytest.approx(2)


@pytest.mark.parametrize("field_id", TEXT_FIELDS)
@pytest.mark.parametrize(
    "text", [*HOSTILE, "-1", "NaN", "inf", "1e999", "9" * 40, "0", "½", "１２"]
)
def test_no_text_whatever_breaks_the_form(field_id, text):
    found = read(**(EYE | {"each": "yes", "from:0": "roast", field_id: text}))
    for dose in (lot.dose for lot in found.planned):
        assert all(math.isfinite(i.weigh_g) and i.weigh_g >= 0 for i in dose.ingredients)
    if found.planned:
        table = dose_table(found.planned, "A", NOW, UTC, 80)
        for line in (table.head, *table.lots, *table.messages):
            assert cells(text_of(line)) <= 80


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(st.sampled_from(TEXT_FIELDS), st.text(max_size=60), max_size=6),
    st.sampled_from(sorted(METHODS)),
)
def test_any_text_in_any_fields(typed, method):
    """A form that can be saved has no refused dose, whatever was typed."""
    found = read(**(EYE | {"method": method} | METHODS[method] | typed))
    if found.spec is not None:
        assert all(lot.dose.verdict != "refused" for lot in found.planned)
        assert found.spec.name.strip()
        assert all(0 < piece.green_g < 1e6 for piece in found.spec.pieces)


def test_every_choice_is_said_in_words():
    values = effective(EYE, START)
    for row in rows(values, 4, ["roast"]):
        for field_id in row:
            if field(field_id).kind == "choice":
                for option, words in options(field_id, values, START):
                    assert shown_words(field_id, option, values, START) == words


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("method", METHODS)
def test_the_table_keeps_its_width(width, method):
    typed = EYE | {"method": method, "sugar": "1", "spices": "black pepper 0.4, juniper 0.2, bay 1"}
    table = dose_table(read(**(typed | METHODS[method])).planned, "A", NOW, UTC, width)
    for line in (table.head, *table.lots, table.total, *table.messages):
        assert cells(text_of(line)) <= width


@pytest.mark.parametrize(("width", "heads"), [(80, ("salt g", "curing g")), (60, ("salt g",))])
def test_the_grams_of_the_table_have_their_unit_in_the_head(width, heads):
    head = text_of(dose_table(read(**EYE).planned, "A", NOW, UTC, width).head)
    assert all(word in head for word in heads)
    assert "curing" in head


def test_the_limit_and_its_source_stand_under_the_table_before_the_cautions():
    """The US limit for dry-cured muscle is 625 mg/kg (FSIS Handbook 7620.3 p.12)."""
    table = dose_table(read(**EYE).planned, "A", NOW, UTC, 80)
    verdict = "within the limits: nitrite 156.2 of 625 mg/kg and nitrate 100 of 2187.5 mg/kg"
    told = [text_of(line) for line in table.messages]
    assert told[0].startswith("within the limit: nitrite 625")
    assert "(US rules, dry-cured; FSIS" in told[0]
    assert told[1].startswith("Handbook 7620.3 p.12")
    cautions = [n for n, line in enumerate(told) if line.startswith("· ")]
    assert told.index(verdict) < min(cautions, default=len(told))
    refused = dose_table(read(**(EYE | {"cure": "2,5"})).planned, "A", NOW, UTC, 80)
    refusal = " ".join(text_of(line) for line in refused.messages[:2])
    assert refusal.startswith("! refused: Nitrite 1565.3 mg/kg is above the limit of 625 mg/kg")
    assert sum("above" in text_of(line) for line in refused.messages) == 1, "said once"


@pytest.mark.parametrize("cure", ["0.18", "0.19", "0.2", "0.25"])
@pytest.mark.parametrize("scale", ["0.1", "0.01"])
def test_a_bar_says_the_figure_that_was_held_against_the_limit(cure, scale):
    """1500 g under 80 mg/kg as NO2 ion: one figure, never below that of the exact grams."""
    typed = {"style": "coppa", "name": "Collar", "pieces": "1500", "days": "20"}
    planned = read(**typed, curing_salt="no1", cure=cure, rules="eu", scale=scale).planned
    bars = [text_of(line) for line in pane_lines(planned, "A", (NOW, UTC), 50, sources=False)]
    (held,) = (found[1] for line in bars if (found := re.search(r"([\d.]+) of 80 mg/kg", line)))
    exact = float(cure) / 100 * 0.0625 * 1e6 * 46.0055 / 68.9953
    assert float(held) >= exact - 0.005
    said = " ".join(text_of(line) for line in dose_table(planned, "A", NOW, UTC, 80).messages)
    refused = f"{held} as NO2 ion, is above the limit of 80 mg/kg"
    assert f"within the limit: nitrite {held} of 80 mg/kg" in said or refused in said


def test_what_is_compared_and_what_is_not_have_a_line_each():
    """Great Britain: 150 mg/kg nitrite in what is eaten uncooked, nothing for nitrate with it."""
    table = dose_table(read(**(EYE | {"rules": "gb", "cure": "0.2"})).planned, "A", NOW, UTC, 80)
    told = [text_of(line).strip() for line in table.messages]
    assert any(
        re.fullmatch(r"within the limit: nitrite [\d.]+ of 150 mg/kg", line) for line in told
    )
    not_checked = [line for line in told if "not checked: " in line]
    assert not_checked == ["· not checked: No figure is known for nitrate (gb, non-heat-treated)"]


def test_days_out_are_those_of_the_rule_and_the_core():
    """78 mm round at 3.5 °C: `one week per inch` says 21.5 d; the later of rule and core counts."""
    found = read(**(EYE | {"thickness": "78", "pieces": "1134", "place": "Fridge 2"}))
    window = found.planned[0].window
    assert window.rule_name == "one week per inch"
    assert window.earliest_days >= 78 / 25.4 * 7
    line = text_of(dose_table(found.planned, "A", NOW, UTC, 80).lots[0])
    out = NOW.date() + timedelta(days=math.ceil(window.earliest_days))
    assert f"{out.day}–" in line or f"{out.day} Dec" in line


def test_many_lots_have_a_sum():
    planned = read(**(EYE | {"pieces": "100 " * 12})).planned
    table = dose_table(planned, "A", NOW, UTC, 80)
    assert len(table.lots) == 12
    assert text_of(table.total).split()[:2] == ["all", "1200"]


@pytest.mark.parametrize("units", [("g", "C", "mm"), ("lb", "F", "in")])
@pytest.mark.parametrize("each", ["no", "yes"])
@pytest.mark.parametrize("method", METHODS)
def test_what_is_said_of_a_field_fits_at_sixty_columns(method, each, units):
    """A wish stands whole beside its empty field, a help in the lines at the foot."""
    show_in(*units)
    try:
        values = effective({"method": method, "each": each, "cure": "1"}, START)
        found = read_form(values, START, NOW, UTC)
        for words in found.wanted.values():
            assert cells("← " + words) <= 60 - 2 - LABEL - VALUE, words
        for field_id in (each for row in rows(values, 2, ["roast 1"]) for each in row):
            name = ("next piece · " if ":" in field_id else "") + field(field_id).label
            words = f"{name}: {help_words(field_id)}"
            most = 1 if options(field_id, values, START) else 2
            assert " ".join(wrapped(words, 60, most)) == words
    finally:
        show_in()


def test_a_scale_too_coarse_for_every_lot_is_one_sentence():
    coarse = EYE | {"pieces": "1134 1088 990 1041", "scale": "1"}
    table = dose_table(read(**coarse).planned, "A", NOW, UTC, 80)
    said = " ".join(text_of(line) for line in table.messages)
    assert said.count("on a scale of 1 g") == 1
