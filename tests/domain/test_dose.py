"""Doses against published worked examples: each row of dose-checks.csv named after its source."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dosing import (
    CuringSalt,
    DoseRequest,
    Scale,
    apply_accepted,
    compute_dose,
    resolve_curing_salt,
    weighed_dose,
)
from curedash.domain.dosing.formulas import (
    curing_salt_g,
    ingoing_mg_per_kg,
    plain_salt_pct,
    reached_mg_per_kg,
)
from curedash.domain.errors import Refused

DATA = Path(__file__).parent.parent / "data"
ROWS = {row["id"]: row for row in csv.DictReader((DATA / "dose-checks.csv").open())}
G_PER_LB = 453.59237
G_PER_OZ = G_PER_LB / 16
NO1 = resolve_curing_salt("no1")
NO2 = resolve_curing_salt("no2")


def expected(row_id):
    return float(ROWS[row_id]["expected"])


def dry(**wanted):
    return compute_dose(DoseRequest(**({"green_g": 1000.0, "salt_pct": 2.75} | wanted)))


def test_d01_9_cfr_424_21_quarter_ounce_per_hundred_pounds():
    value = ingoing_mg_per_kg(0.25 * G_PER_OZ, 1, 100 * G_PER_LB)
    assert value == pytest.approx(expected("D01"), rel=1e-12)


def test_d02_9_cfr_424_21_one_ounce_per_hundred_pounds():
    value = ingoing_mg_per_kg(G_PER_OZ, 1, 100 * G_PER_LB)
    assert value == pytest.approx(expected("D02"), rel=1e-12)


def test_d03_identity_nitrate_ounces_per_hundred_pounds():
    dose = compute_dose(
        DoseRequest(
            green_g=100 * G_PER_LB,
            salt_pct=2.5,
            curing_salt=resolve_curing_salt("0/100"),
            cure_pct=100 * 2.75 / 1600,
            scale_division_g=0.0001,
            rule_set="us",
            product_class="comminuted",
        )
    )
    assert dose.nitrate_mg_per_kg == pytest.approx(expected("D03"), rel=1e-6)
    assert dose.verdict != "refused"


def test_d04_fsis_handbook_p19_pump_formula():
    assert reached_mg_per_kg(2, 1000, 10) == pytest.approx(expected("D04"))


def test_d05_book_excerpt_four_ounces_per_hundred_pounds():
    value = ingoing_mg_per_kg(4 * G_PER_OZ, NO1.nitrite_fraction, 100 * G_PER_LB)
    assert value == pytest.approx(expected("D05"))


@pytest.mark.parametrize(("row_id", "grams"), [("D06", 3.2), ("D07", 1.92)])
def test_d06_d07_practitioners_thread_grams_per_kilogram(row_id, grams):
    assert ingoing_mg_per_kg(grams, 0.0625, 1000) == pytest.approx(expected(row_id))


def test_d08_practitioners_thread_solved_back_from_625():
    dose = dry(
        green_g=G_PER_LB,
        wanted_nitrite_mg_per_kg=625,
        curing_salt=NO1,
        scale_division_g=0.01,
        rule_set="us",
        product_class="dry-cured",
    )
    assert dose.ingredient("curing-salt").exact_g == pytest.approx(expected("D08"), abs=5e-5)


def test_d09_fsis_handbook_p19_practitioners_example():
    assert reached_mg_per_kg(32 * 0.0588, 1266, 10) == pytest.approx(expected("D09"), abs=5e-5)


def test_d09_through_the_whole_dose():
    brine = 1266.0
    dose = compute_dose(
        DoseRequest(
            green_g=5000,
            method="injection",
            pump_pct=10,
            water_g=brine - 32 - 200,
            salt_pct=100 * 200 / brine,
            salt_means="besides",
            curing_salt=resolve_curing_salt("5.88/0"),
            cure_pct=100 * 32 / brine,
            scale_division_g=0.1,
            rule_set="us",
            product_class="injected",
        )
    )
    assert dose.ingredient("curing-salt").exact_g == pytest.approx(32)
    assert dose.nitrite_mg_per_kg == pytest.approx(expected("D09"), abs=5e-5)


def test_d10_book_excerpt_four_percent_pick_up():
    assert reached_mg_per_kg(1973 / 1e6 * 2500, 2500, 4) == pytest.approx(expected("D10"))


def test_d11_fsis_handbook_p22_method_two():
    assert curing_salt_g(120, 0.0625, 1500) == pytest.approx(expected("D11"))
    dose = compute_dose(
        DoseRequest(
            green_g=1000,
            method="equilibrium-brine",
            water_g=500,
            salt_pct=3,
            curing_salt=NO1,
            wanted_nitrite_mg_per_kg=120,
            scale_division_g=0.01,
        )
    )
    # D11 leaves salt and cure out of the pickle (2.88 g); the handbook counts them in
    grams = {item.kind: item.exact_g for item in dose.ingredients}
    pickle_g = grams["water"] + grams["salt"] + grams["curing-salt"]
    assert grams["curing-salt"] * 0.0625e6 / (1000 + pickle_g) == pytest.approx(120)
    assert expected("D11") < dose.ingredient("curing-salt").weigh_g == pytest.approx(2.97)
    assert dose.nitrite_mg_per_kg == pytest.approx(120, abs=0.2)


@pytest.mark.parametrize(
    ("row_id", "salt_id", "cure_pct", "salt_pct"),
    [
        ("D12", "no1", 0.25, 2.75),
        ("D13", "nitrited-0.6", 2.0, 2.0),
        ("D14", "no1", 0.60, 2.75),
        ("D16", "nitrited-0.6", 0.25, 2.75),
        ("D17", "no1", 2.5, 2.75),
    ],
)
def test_dry_mixes_by_percent(row_id, salt_id, cure_pct, salt_pct):
    dose = dry(
        curing_salt=resolve_curing_salt(salt_id),
        cure_pct=cure_pct,
        salt_pct=salt_pct,
        scale_division_g=0.01,
        rule_set="us",
        product_class="dry-cured",
    )
    assert dose.nitrite_mg_per_kg == pytest.approx(expected(row_id))


def test_d14_is_not_the_blogs_347():
    dose = dry(curing_salt=NO1, cure_pct=0.6, scale_division_g=0.01)
    assert abs(dose.nitrite_mg_per_kg - 347.4) > 20


def test_d15_weak_salt_cannot_bring_625():
    weak = resolve_curing_salt("nitrited-0.6")
    dose = dry(curing_salt=weak, wanted_nitrite_mg_per_kg=625)
    assert curing_salt_g(625, 0.006, 1000) == pytest.approx(expected("D15"), abs=5e-3)
    assert dose.verdict == "refused"
    besides = dry(curing_salt=weak, wanted_nitrite_mg_per_kg=625, salt_means="besides")
    assert besides.verdict == "refused"


def test_d16_far_too_little_is_a_caution():
    dose = dry(
        curing_salt=resolve_curing_salt("nitrited-0.6"),
        cure_pct=0.25,
        scale_division_g=0.01,
        rule_set="us",
        product_class="dry-cured",
    )
    assert dose.verdict == "caution"
    assert any("far too little" in text for text in dose.messages)


def test_d17_ten_times_too_much_is_refused_under_every_rule_set():
    for rule_set, product_class in (("us", "dry-cured"), ("eu", "non-heat-treated"), (None, None)):
        dose = dry(curing_salt=NO1, cure_pct=2.5, rule_set=rule_set, product_class=product_class)
        assert dose.verdict == "refused"


def test_d18_recipe_page_total_salt():
    dose = dry(curing_salt=NO2, cure_pct=1.0, salt_pct=5.4, salt_means="besides")
    assert dose.total_salt_pct * 10 == pytest.approx(expected("D18"))


# -- rounding to the scale ------------------------------------------------------------------


def test_rounds_down_where_rounding_up_would_pass_the_limit():
    dose = dry(
        green_g=990,
        curing_salt=NO1,
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="comminuted",
    )
    cure = dose.ingredient("curing-salt")
    assert (cure.exact_g, cure.weigh_g) == (pytest.approx(2.475), 2.4)
    assert dose.verdict != "refused"


def test_300_g_on_a_1_g_scale_is_off_by_67_percent_and_says_so():
    dose = dry(
        green_g=300, curing_salt=NO1, cure_pct=0.25, rule_set="us", product_class="dry-cured"
    )
    assert dose.half_division_error_pct == pytest.approx(66.67, abs=0.005)
    assert dose.verdict == "caution"
    assert any("0.1 g" in text and "pre-mix" in text for text in dose.messages)


def test_a_dose_that_would_round_to_nothing_is_refused_and_names_a_scale():
    dose = dry(green_g=150, curing_salt=NO1, cure_pct=0.25)
    assert dose.verdict == "refused"
    assert dict(dose.accepted) == {"scale_division_g": 0.05}


def test_each_amount_goes_to_the_finest_scale_that_carries_it():
    dose = dry(
        green_g=9000, curing_salt=NO1, cure_pct=0.25, scales=(Scale(0.01, 200), Scale(1, 5000))
    )
    assert dose.ingredient("salt").division_g == 1
    assert dose.ingredient("curing-salt").division_g == 0.01


def test_under_twenty_divisions_is_said():
    dose = dry(
        green_g=700,
        curing_salt=NO2,
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
    assert any("fewer than 20 of its steps" in text for text in dose.messages)


# -- salt -----------------------------------------------------------------------------------


def test_includes_and_besides_are_asked_and_total_is_printed_either_way():
    salt = resolve_curing_salt("5.88/0")
    included = dry(curing_salt=salt, cure_pct=0.25, scale_division_g=0.1)
    beside = dry(curing_salt=salt, cure_pct=0.25, scale_division_g=0.1, salt_means="besides")
    assert included.ingredient("salt").exact_g == pytest.approx(25.147)
    assert included.total_salt_pct == pytest.approx(2.75, abs=0.01)
    assert beside.ingredient("salt").exact_g == pytest.approx(27.5)
    assert beside.total_salt_pct == pytest.approx(2.9853)


def test_negative_salt_is_refused_with_the_smallest_that_works():
    dose = dry(curing_salt=NO1, cure_pct=0.9, salt_pct=0.5)
    assert dose.verdict == "refused"
    assert dict(dose.accepted)["salt_pct"] == pytest.approx(0.844)
    assert all(item.exact_g >= 0 for item in dose.ingredients)


@given(st.floats(0, 20), st.floats(0, 2), st.floats(0, 1))
def test_included_salt_adds_up_to_the_recipe(salt_pct, cure_pct, nacl):
    plain = plain_salt_pct(salt_pct, "includes", cure_pct, nacl)
    assert plain + cure_pct * nacl == pytest.approx(salt_pct, abs=1e-9)


# -- round trips ----------------------------------------------------------------------------

GREEN = st.floats(50, 20_000)
WANTED = st.floats(1, 600)


@given(GREEN, WANTED, st.sampled_from(["no1", "no2", "no2-low"]))
def test_wanted_nitrite_comes_back_from_its_grams(green_g, wanted, salt_id):
    salt = resolve_curing_salt(salt_id)
    grams = curing_salt_g(wanted, salt.nitrite_fraction, green_g)
    assert ingoing_mg_per_kg(grams, salt.nitrite_fraction, green_g) == pytest.approx(wanted)


METHOD_FIELDS = {
    "equilibrium": {},
    "ground": {},
    "equilibrium-brine": {"water_g": 800.0},
    "immersion": {"pickup_pct": 4.0, "salt_pct": 12.0},
    "injection": {"pump_pct": 10.0, "salt_pct": 12.0},
}


@given(GREEN, st.floats(50, 600), st.sampled_from(sorted(METHOD_FIELDS)))
def test_wanted_mg_per_kg_is_reached_by_every_method_on_a_fine_scale(green_g, wanted, method):
    dose = dry(
        green_g=green_g,
        method=method,
        curing_salt=NO1,
        wanted_nitrite_mg_per_kg=wanted,
        salt_means="besides",
        scale_division_g=0.0001,
        **METHOD_FIELDS[method],
    )
    assert dose.nitrite_mg_per_kg == pytest.approx(wanted, rel=2e-3)


@given(GREEN, st.floats(0.05, 0.35), st.floats(1.01, 1.5))
def test_more_curing_salt_never_gives_less_nitrite(green_g, cure_pct, factor):
    less = dry(green_g=green_g, curing_salt=NO1, cure_pct=cure_pct, scale_division_g=0.001)
    more = dry(green_g=green_g, curing_salt=NO1, cure_pct=cure_pct * factor, scale_division_g=0.001)
    assert more.nitrite_mg_per_kg >= less.nitrite_mg_per_kg


@given(GREEN, st.floats(0, 4), st.floats(0, 0.25), st.floats(0, 3), st.floats(0, 2))
def test_ingredients_add_up_to_their_percentages(green_g, salt_pct, cure_pct, sugar, pepper):
    dose = dry(
        green_g=green_g,
        salt_pct=salt_pct,
        salt_means="besides",
        curing_salt=NO1,
        cure_pct=cure_pct,
        sugar_pct=sugar,
        extras=(("pepper", pepper),),
        scale_division_g=0.01,
    )
    total = sum(item.exact_g for item in dose.ingredients)
    assert total == pytest.approx(green_g * (salt_pct + cure_pct + sugar + pepper) / 100)
    assert all(item.weigh_g >= 0 for item in dose.ingredients)


# -- limits in the dose ---------------------------------------------------------------------


def test_eu_80_ion_passes_120_as_nano2_and_refuses_156():
    fields = {"rule_set": "eu", "product_class": "non-heat-treated", "scale_division_g": 0.001}
    passes = dry(curing_salt=NO1, wanted_nitrite_mg_per_kg=120, **fields)
    assert passes.verdict == "within-limits"
    too_much = dry(curing_salt=NO1, cure_pct=0.25, **fields)
    assert too_much.verdict == "refused"
    assert "156.25" in too_much.refusal
    assert "80 mg/kg NO2 ion" in too_much.refusal


def test_class_of_another_rule_set_is_never_borrowed():
    asked = {"curing_salt": NO1, "rule_set": "eu", "product_class": "dry-cured"}
    asked["scale_division_g"] = 0.01
    dose = dry(cure_pct=0.25, **asked)
    assert dose.limit.product_class == "non-heat-treated"  # the one that fits, until answered
    assert dose.verdict == "refused"
    dose = dry(cure_pct=0.25, answers=(("class", "sold abroad"),), **asked)
    assert dose.limit is None
    assert dose.verdict == "not-checked"
    assert any("No figure is known" in text for text in dose.messages)


def test_residual_limit_is_shown_but_not_compared():
    asked = {"curing_salt": NO1, "rule_set": "eu", "product_class": "traditional-dry-cured"}
    asked["scale_division_g"] = 0.01
    assert dry(cure_pct=0.25, **asked).must_answer.question == "class"
    dose = dry(cure_pct=0.25, answers=(("class", "a named product"),), **asked)
    assert dose.limit.kind == "residual"
    assert dose.verdict == "not-checked"
    assert any("not for what goes in" in text for text in dose.messages)


def test_canada_counts_both_agents_together():
    dose = dry(
        curing_salt=NO2,
        cure_pct=0.25,
        scale_division_g=0.001,
        rule_set="ca",
        product_class="cured-meat",
    )
    assert dose.verdict == "refused"  # 156.25 + 100 is above 200
    assert dose.limit == dose.nitrate_limit
    accepted = compute_dose(apply_accepted(dose.request, dose.accepted))
    assert accepted.nitrite_mg_per_kg + accepted.nitrate_mg_per_kg <= 200


def test_one_percent_for_a_quarter_is_said_although_inside_625():
    dose = dry(
        curing_salt=NO1,
        cure_pct=0.9,
        rule_set="us",
        product_class="dry-cured",
        style_nitrite_mg_per_kg=156.25,
    )
    assert dose.verdict == "caution"
    assert any("× this style's own dose" in text for text in dose.messages)


def test_over_200_is_said_without_a_style():
    dose = dry(curing_salt=NO1, cure_pct=0.4, rule_set="us", product_class="dry-cured")
    assert dose.verdict == "caution"


@pytest.mark.parametrize(
    "product_class", ["bacon-dry-cured", "bacon-injected", "bacon-immersion", "side-bacon"]
)
def test_nitrate_in_bacon_to_be_fried_is_refused(product_class):
    dose = dry(curing_salt=NO2, cure_pct=0.1, rule_set="us", product_class=product_class)
    assert dose.verdict == "refused"
    assert dict(dose.accepted)["curing_salt"] == "no1"


def test_nitrate_in_belly_dried_asks_which():
    dose = dry(
        curing_salt=NO2,
        cure_pct=0.25,
        rule_set="us",
        product_class="dry-cured",
        cut="flat belly",
        scale_division_g=0.1,
    )
    assert dose.verdict == "caution"
    assert any("Which is it?" in text for text in dose.messages)
    fried = compute_dose(replace(dose.request, eaten="fried"))
    assert fried.verdict == "refused"


def test_nitrite_only_over_thirty_days_is_a_caution():
    fields = {"rule_set": "us", "product_class": "dry-cured", "scale_division_g": 0.1}
    assert dry(curing_salt=NO1, cure_pct=0.25, planned_days=60, **fields).verdict == "caution"
    assert dry(curing_salt=NO1, cure_pct=0.25, planned_days=20, **fields).verdict == "within-limits"


def test_saltpetre_counts_as_sodium_nitrate():
    dose = dry(curing_salt=resolve_curing_salt("saltpetre"), cure_pct=0.05, scale_division_g=0.001)
    assert dose.nitrate_mg_per_kg == pytest.approx(500 * 0.8407, rel=1e-4)
    assert dose.nitrite_mg_per_kg == 0


# -- packs, box, unknown strength -----------------------------------------------------------


def pack(**wanted):
    fields = {"green_g": 1134.0, "method": "pack", "pack_g": 145.0, "pack_for_g": 5 * G_PER_LB}
    return compute_dose(DoseRequest(**(fields | wanted)))


def test_a_pack_at_its_rated_share_of_unknown_strength():
    dose = pack()
    assert dose.ingredient("pack").exact_g == pytest.approx(72.5, abs=0.01)
    assert dose.pack_ratio == pytest.approx(1)
    assert dose.nitrite_mg_per_kg is None
    assert dose.total_salt_pct is None
    assert dose.verdict == "caution"
    assert any("Strength unknown" in text for text in dose.messages)


def test_packs_over_and_under_what_they_are_rated_for():
    assert any("1.2 ×" in text for text in pack(packs=0.6).messages)
    over = pack(packs=0.8)
    assert over.verdict == "refused"
    assert compute_dose(apply_accepted(over.request, over.accepted)).verdict != "refused"


def test_a_pack_of_known_strength_is_held_against_the_limit():
    strong = CuringSalt("jar", "pack", 1.0, 0.0, 90.0)
    dose = pack(curing_salt=strong, rule_set="us", product_class="dry-cured")
    assert dose.nitrite_mg_per_kg == pytest.approx(72 * 0.01 * 1e6 / 1134, rel=0.02)
    assert dose.verdict == "refused"


def test_a_salt_box_has_no_mg_per_kg():
    dose = compute_dose(DoseRequest(green_g=1000, method="salt-box"))
    assert (dose.nitrite_mg_per_kg, dose.total_salt_pct) == (None, None)
    assert dose.verdict == "caution"
    assert dose.messages[0].startswith("No nitrite")


def test_an_unknown_strength_is_never_assumed():
    jar = CuringSalt("jar", "unlabelled jar", None, None, None)
    dose = dry(curing_salt=jar, cure_pct=0.25)
    assert dose.verdict == "refused"
    assert "read it off the label" in dose.refusal


def test_ready_mix_salt_share_cannot_be_included():
    mix = resolve_curing_salt("ready-mix-0.5-0.5")
    assert dry(curing_salt=mix, cure_pct=2).verdict == "refused"
    beside = dry(curing_salt=mix, cure_pct=2, salt_means="besides")
    assert beside.total_salt_pct is None
    assert beside.nitrite_mg_per_kg == pytest.approx(100)


# -- what was weighed -----------------------------------------------------------------------


def test_what_was_weighed_is_what_counts():
    planned = dry(
        curing_salt=NO1,
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="comminuted",
    )
    weighed = weighed_dose(planned, {"curing-salt": 3.0})
    assert weighed.nitrite_mg_per_kg == pytest.approx(187.5)
    assert weighed.verdict == "refused"
    assert weighed.ingredient("salt").weigh_g == planned.ingredient("salt").weigh_g


def test_weighing_something_not_on_the_sheet_is_refused():
    with pytest.raises(Refused, match="not on this sheet"):
        weighed_dose(dry(), {"sugar": 5})


# -- nonsense -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wanted",
    [
        {"green_g": float("nan")},
        {"green_g": float("inf")},
        {"green_g": -1.0},
        {"green_g": 0.0},
        {"green_g": 1e12},
        {"salt_pct": -0.1},
        {"salt_pct": 101.0},
        {"salt_pct": None},
        {"cure_pct": 0.25},
        {"cure_pct": float("nan"), "curing_salt": NO1},
        {"cure_pct": 0.25, "wanted_nitrite_mg_per_kg": 100.0, "curing_salt": NO1},
        {"method": "spoon"},
        {"method": "equilibrium-brine"},
        {"method": "immersion"},
        {"method": "injection"},
        {"method": "pack"},
        {"rule_set": "mars"},
        {"rule_set": "us", "product_class": "shelf-stable"},
        {"scale_division_g": 0.0},
        {"scale_division_g": -1.0},
        {"extras": (("pepper", -1.0),)},
        {"water_g": float("inf")},
    ],
)
def test_nonsense_is_refused_in_one_sentence(wanted):
    with pytest.raises(Refused) as refused:
        dry(**wanted)
    assert "\n" not in str(refused.value)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize("text", ["", "pink", "6.25", "a/b", "60/50", "-1/0", "nan/0", "1/2/3/4"])
def test_what_is_no_curing_salt_is_refused(text):
    with pytest.raises(Refused):
        resolve_curing_salt(text)


def test_a_label_with_a_comma_and_percent_signs_is_read():
    salt = resolve_curing_salt(" 5,88 % / 0 % ")
    assert (salt.nitrite_pct, salt.nitrate_pct, salt.nacl_pct) == (5.88, 0.0, 94.12)


def test_an_own_jar_is_found_first():
    own = CuringSalt("no1", "my jar", 5.0, 0.0, 95.0)
    assert resolve_curing_salt("no1", [own]) is own
