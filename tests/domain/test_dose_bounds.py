"""Both sides of every bound of a dose: limits, floors, pre-mixes, scales; numbers by hand.

Limits: 9 CFR 424.21(c), 424.22(b) and FSIS Handbook 7620.3 (US), Regulation (EU) 2023/2108,
CFIA Meat Hygiene Manual (CA), as in `tests/data/nitrite-limits.csv`.
"""

from dataclasses import replace

import pytest

from curedash.domain.dosing import (
    DoseRequest,
    Scale,
    apply_accepted,
    compute_dose,
    premix,
    premix_for,
    resolve_curing_salt,
    weighed_dose,
)
from curedash.domain.dosing.contents import basis_g, contents_of
from curedash.domain.dosing.limit_checks import (
    STYLE_RATIO,
    limit_findings,
    limits_compared,
    limits_of,
    over_limit,
)
from curedash.domain.dosing.result import Contents, kept_of, within_words
from curedash.domain.errors import Refused

NO1, NO2 = resolve_curing_salt("no1"), resolve_curing_salt("no2")
LOIN = DoseRequest(green_g=1000, salt_pct=2.75, curing_salt=NO2, cure_pct=0.25, cut="loin")


def what_was_compared(
    request: DoseRequest, exact: Contents, rounded: Contents
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a dose was held against, and what it was not, both in words."""
    compared, left_out = limits_compared(request, exact, rounded)
    return within_words(kept_of(compared)), left_out


def inside(nitrite: float, nitrate: float = 0.0, salt: float = 0.0) -> Contents:
    return Contents(2.75, nitrite, nitrate, salt)


def found(request: DoseRequest, nitrite: float, nitrate: float = 0.0) -> list[tuple[str, str, str]]:
    both = inside(nitrite, nitrate, nitrate)
    return [(each.level, each.field, each.text) for each in limit_findings(request, both, both)]


def found_in(request: DoseRequest, both: Contents) -> list[tuple[str, str, str]]:
    return [(each.level, each.field, each.text) for each in limit_findings(request, both, both)]


def rules(rule_set: str | None, **more: object) -> DoseRequest:
    return replace(LOIN, rule_set=rule_set, **more)  # type: ignore[arg-type]


# ── limits ────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("request_", "limit"),
    [
        (rules("us"), 625.0),
        (rules("us", method="ground"), 156.25),
        (rules("us", method="injection", pump_pct=10), 200.0),
        (rules("us", cut="belly", eaten="fried"), 200.0),
        (rules("gb"), 150.0),
        (rules("eu-before-2025"), 150.0),
    ],
)
def test_a_limit_is_broken_from_three_hundredths_above_it(request_, limit):
    """The only tolerance is conversion rounding: 0.03 mg/kg in the limit's own basis."""
    for nitrite, over in ((limit, False), (limit + 0.029, False), (limit + 0.04, True)):
        assert over_limit(request_, inside(nitrite)) is over
        refused = [each for each in found(request_, nitrite) if each[0] == "refused"]
        assert bool(refused) is over
        assert all(field == "cure_pct" for _level, field, _text in refused)
        compared, _ = what_was_compared(request_, inside(nitrite), inside(nitrite))
        assert bool(compared) is not over


def test_the_eu_limit_counts_the_ion():
    """80 mg/kg of the ion are 119.98 mg/kg NaNO2: 68.9953 / 46.0055 (molar masses)."""
    at = 80 * 68.9953 / 46.0055
    eu = rules("eu")
    assert not over_limit(eu, inside(at))
    assert over_limit(eu, inside(at + 0.1))
    ((level, field, text), *_) = found(eu, 121.2)
    assert (level, field) == ("refused", "cure_pct")
    assert "121.2 mg/kg, 80.815 as NO2 ion," in text
    assert "80 mg/kg NO2 ion (eu, non-heat-treated: " in text
    (compared,), _ = what_was_compared(eu, inside(110), inside(110))
    assert compared.endswith("nitrite 73.35 mg/kg")


def test_above_625_is_refused_under_every_rule_set_and_without_one():
    for rule_set in (None, "us", "eu", "ca", "gb", "codex"):
        asked = rules(rule_set)
        assert not [each for each in found(asked, 625.02) if "every rule set" in each[2]]
        ((level, field, text), *_) = found(asked, 626)
        assert (level, field) == ("refused", "cure_pct")
        assert text == "Nitrite 626 mg/kg is above 625 mg/kg, refused under every rule set."
        assert over_limit(asked, inside(626))
        assert over_limit(asked, inside(624)) is (rule_set in ("eu", "ca", "gb"))


def test_what_is_accepted_instead_of_too_much_is_within_the_ceiling():
    """0.25 % of 6.25 % brings 156.25 mg/kg; a ten-fold slip goes back to it, not to the edge."""
    dose = compute_dose(rules("us", cure_pct=2.5, scale_division_g=0.01))
    assert dose.verdict == "refused"
    again = compute_dose(apply_accepted(dose.request, dose.accepted))
    assert again.verdict != "refused"
    assert again.nitrite_mg_per_kg == pytest.approx(156.25)


def test_contents_nobody_knows_break_nothing_and_are_said():
    unknown = Contents(2.75, None, 10.0, 10.0)
    half = Contents(2.75, 10.0, None, 10.0)
    for each in (unknown, half, Contents(2.75, 10.0, 10.0, None)):
        assert limit_findings(rules("us"), each, each) == []
        assert what_was_compared(rules("us"), each, each) == (
            (),
            ("the strength is unknown: no mg/kg",),
        )
    assert not over_limit(rules("us"), unknown)
    assert not over_limit(rules("us"), half)
    mixed = limit_findings(rules("us"), inside(700), unknown)
    assert mixed == []


def test_the_worse_of_plan_and_scale_counts():
    exact, weighed = inside(600, 100, 100), inside(630, 90, 90)
    for one, other in ((exact, weighed), (weighed, exact)):
        texts = [each.text for each in limit_findings(rules("us"), one, other)]
        assert texts[0].startswith("Nitrite 630 mg/kg is above 625")
    compared, _ = what_was_compared(rules("us"), inside(100, 50, 50), inside(90, 60, 60))
    assert [text.rpartition(": ")[2] for text in compared] == [
        "nitrite 100 mg/kg",
        "nitrate 60 mg/kg",
    ]


def test_nitrate_alone_is_held_to_its_own_limit():
    """9 CFR 424.21(c): 3 1/2 oz in 100 lb of dry cure are 2187.5 mg/kg; 700 in a pumped piece."""
    assert over_limit(rules("us"), inside(0, 2187.6))
    assert not over_limit(rules("us"), inside(0, 2187.5))
    pumped = rules("us", method="injection", pump_pct=10)
    assert not over_limit(pumped, inside(0, 700.02))
    assert over_limit(pumped, inside(0, 700.3))
    assert what_was_compared(rules("us"), inside(0, 0.5), inside(0, 0.5))[0] == (
        "within the limit of 2187.5 mg/kg NaNO3 (United States, dry-cured): nitrate 0.5 mg/kg",
    )
    assert what_was_compared(rules("us"), inside(0.5), inside(0.5))[0] == (
        "within the limit of 625 mg/kg NaNO2 (United States, dry-cured): nitrite 0.5 mg/kg",
    )
    nothing = inside(0)
    assert what_was_compared(rules("us"), nothing, nothing) == (
        (),
        ("no nitrite and no nitrate in it",),
    )
    assert found(rules(None), 0, 0.5) == [
        ("not-checked", "rule_set", "No rule set picked: nitrate not checked against a limit.")
    ]


def test_canada_counts_both_as_salts_once():
    """CFIA: 200 mg/kg of nitrite and nitrate together, 100 at least."""
    ca = rules("ca")
    assert not over_limit(ca, inside(120, 80, 80))
    assert over_limit(ca, inside(120, 81, 81))
    assert len(found(ca, 120, 81)) == 1
    (compared,), left_out = what_was_compared(ca, inside(120, 60, 60), inside(120, 60, 60))
    assert compared.startswith("within the limit of 200 mg/kg as salts (Canada, cured-meat): ")
    assert compared.endswith("nitrite and nitrate 180 mg/kg")
    assert left_out == ()
    (level, field, text) = found(ca, 99)[0]
    assert (level, field) == ("caution", "cure_pct")
    assert text.startswith("Nitrite+nitrate 99 mg/kg is under the 100 mg/kg")
    assert [each for each in found(ca, 100) if each[0] == "caution"] == []


def test_another_canadian_text_is_named_where_another_row_counts():
    side = rules("ca", cut="belly", eaten="fried")
    text = next(each for each in found(side, 100, 60) if "Another Canadian text" in each[2])
    assert text[:2] == ("caution", "product_class")
    assert "160 of 200 mg/kg (CFIA" in text[2]
    assert not any("Another" in each[2] for each in found(side, 100, 0))
    assert any("Another" in each[2] for each in found(side, 100, 0.5))
    assert not any("Another" in each[2] for each in found(rules("us"), 100, 60))


def test_nitrate_as_another_salt_counts_by_the_rule_of_each_row():
    """81 mg/kg of KNO3 are 68.1 as NaNO3 (84.9947 / 101.1032); Canada counts salts as they are."""
    ca, both = rules("ca"), inside(120, 68.1, 81)
    assert over_limit(ca, both)
    (refused,) = [each for each in found_in(ca, both) if each[0] == "refused"]
    assert refused[2].startswith("Nitrite+nitrate 201 mg/kg is above the limit of 200 mg/kg")
    assert what_was_compared(ca, both, both)[0] == ()
    fine = inside(120, 67.3, 80)
    assert not over_limit(ca, fine)
    assert what_was_compared(ca, fine, fine)[0][0].endswith("nitrite and nitrate 200 mg/kg")
    us, petre = rules("us"), inside(100, 2000, 2379)  # 2187.5 as NaNO3 there
    assert not over_limit(us, petre)
    assert not [each for each in found_in(us, petre) if each[0] == "refused"]
    assert what_was_compared(us, petre, petre)[0][1].endswith("nitrate 2000 mg/kg")


def test_what_is_not_checked_is_said_of_each_agent():
    """Without a rule set both are named; nitrate above its limit is named by its own name."""
    assert [text for _level, _field, text in found(rules(None), 50, 0.5)] == [
        "No rule set picked: nitrite not checked against a limit.",
        "No rule set picked: nitrate not checked against a limit.",
    ]
    both = inside(100, 50, 50)
    assert what_was_compared(rules(None), both, both) == (
        (),
        (
            "No rule set picked: nitrite not checked against a limit",
            "No rule set picked: nitrate not checked against a limit",
        ),
    )
    over = [each for each in found(rules("us"), 0, 2300) if each[0] == "refused"]
    assert over[0][2].startswith("Nitrate 2300 mg/kg is above the limit of 2187.5 mg/kg NaNO3 (us,")


def test_packs_above_the_ceiling_are_brought_below_it():
    """1250 mg/kg are twice the ceiling of 625: half a pack."""
    pack = DoseRequest(
        green_g=2250, method="pack", pack_g=150, pack_for_g=2250, curing_salt=NO1, rule_set="us"
    )
    (first, *_) = limit_findings(pack, inside(1250), inside(1250))
    assert (first.level, first.field, first.fix) == ("refused", "packs", (("packs", 0.5),))


def test_a_style_has_its_own_dose():
    """1.5 times what the style brings is said (design value)."""
    style = rules("us", style_nitrite_mg_per_kg=100)
    assert not [each for each in found(style, 100 * STYLE_RATIO) if "style" in each[2]]
    said = [each for each in found(style, 100 * STYLE_RATIO + 1) if "style" in each[2]]
    assert [each[:2] for each in said] == [("caution", "cure_pct")]


def test_why_nothing_was_compared_names_the_field():
    assert found(rules(None), 100) == [
        ("not-checked", "rule_set", "No rule set picked: nitrite not checked against a limit.")
    ]
    fish = found(rules("us", species="salmon"), 100)
    assert fish[0][:2] == ("not-checked", "product_class")
    assert "not for fish: nitrite not checked" in fish[0][2]
    eu = found(rules("eu"), 100, 50)
    assert eu == [
        (
            "not-checked",
            "product_class",
            "No figure is known for nitrate (eu, non-heat-treated): not checked against a limit.",
        )
    ]
    _, left_out = what_was_compared(rules("eu"), inside(100, 50, 50), inside(100, 50, 50))
    assert left_out[0] == (
        "No figure is known for nitrate (eu, non-heat-treated): not checked against a limit"
    )
    box = rules("us", method="salt-box")
    assert what_was_compared(box, inside(1), inside(1)) == ((), ("a salt box gives no mg/kg",))


def test_a_residual_and_a_finished_limit_are_not_compared_with_what_goes_in():
    """EU 65 mg/kg left in traditional products; 200 finished in a home-curing mix."""
    for rule_set, picked, words in (
        ("eu", "traditional-dry-cured", "Limit 65 mg/kg is for nitrite left in the product"),
        (
            "us-household",
            "home-curing-mix",
            "Limit 200 mg/kg is for nitrite in the finished product",
        ),
    ):
        asked = rules(rule_set, product_class=picked, answers=(("class", "by its name"),))
        (level, field, text) = found(asked, 100)[0]
        assert (level, field) == ("not-checked", "product_class")
        assert text.startswith(f"{words}, not for what goes in: not checked ({rule_set}, ")
        compared, left_out = what_was_compared(asked, inside(100), inside(100))
        assert compared == ()
        assert left_out[0] == text.rstrip(".")
        assert not over_limit(asked, inside(100))


def test_a_figure_not_checked_against_the_text_is_a_note():
    (level, field, text) = found(rules("gb"), 100)[0]
    assert (level, field) == ("note", "product_class")
    assert text.startswith("The nitrite limit of 150 mg/kg: figure not checked")


@pytest.mark.parametrize(("ratio", "said"), [(1.0, False), (1.5, False), (1.51, True)])
def test_more_than_half_above_the_style_is_a_caution(ratio, said):
    asked = rules("us", style_nitrite_mg_per_kg=100.0)
    texts = [each for each in found(asked, 100 * ratio) if "style's own dose" in each[2]]
    assert bool(texts) is said
    assert all(each[:2] == ("caution", "cure_pct") for each in texts)
    if said:
        assert texts[0][2] == "Nitrite 151 mg/kg is 1.5 × this style's own dose."


@pytest.mark.parametrize(("nitrite", "said"), [(200.0, False), (200.02, False), (200.1, True)])
def test_over_200_is_said_within_any_limit(nitrite, said):
    high = [each for each in found(rules("us"), nitrite) if "decimal mark" in each[2]]
    assert bool(high) is said
    assert all(each[:2] == ("caution", "cure_pct") for each in high)


@pytest.mark.parametrize(
    ("nitrite", "days", "eaten", "said"),
    [
        (39.9, 31, None, True),
        (40.0, 31, None, False),
        (39.9, 30, None, False),
        (39.9, None, "as-is", True),
        (39.9, 31, "cooked-soon", False),
        (39.9, 31, "fried", False),
        (0.5, 31, None, True),
    ],
)
def test_under_40_is_said_of_what_is_long_dried(nitrite, days, eaten, said):
    """FSIS Handbook 7620.3: 40 mg/kg at least in what keeps without a refrigerator."""
    asked = rules("us", planned_days=days, eaten=eaten)
    low = [each for each in found(asked, nitrite) if "far too little" in each[2]]
    assert [each[:2] for each in low] == ([("caution", "cure_pct")] if said else [])


def test_limits_of_gives_one_for_each_agent():
    nitrite, nitrate = limits_of(rules("us"))
    assert (nitrite.agent, nitrite.mg_per_kg) == ("nitrite", 625)
    assert (nitrate.agent, nitrate.mg_per_kg) == ("nitrate", 2187.5)
    assert limits_of(rules(None)) == (None, None)


# ── contents ──────────────────────────────────────────────────────────────────────────────


def test_the_basis_is_meat_or_meat_and_water():
    assert basis_g(DoseRequest(green_g=1000, water_g=400)) == 1000
    brine = DoseRequest(green_g=1000, method="equilibrium-brine", water_g=400)
    assert basis_g(brine) == 1400
    assert basis_g(replace(brine, water_g=None)) == 1000


def test_a_brine_counts_its_water_once():
    """1000 g meat, 400 g water, 100 g salt: 100 / 1500 = 6.67 %."""
    brine = DoseRequest(green_g=1000, method="equilibrium-brine", water_g=400)
    by_request = contents_of(brine, [("salt", 100.0)])
    by_line = contents_of(replace(brine, water_g=None), [("salt", 100.0), ("water", 400.0)])
    other = contents_of(brine, [("salt", 100.0), ("water", 900.0)])
    assert by_request.total_salt_pct == pytest.approx(100 * 100 / 1500)
    assert by_line.total_salt_pct == pytest.approx(100 * 100 / 1500)
    assert other.total_salt_pct == pytest.approx(100 * 100 / 2000)  # what was weighed counts
    dry = contents_of(replace(brine, water_g=None), [("salt", 100.0)])
    assert dry.total_salt_pct == pytest.approx(100 * 100 / 1100)


def test_a_pumped_brine_brings_its_share_of_the_pump():
    """10 % pump of a brine with 50 g salt in 500 g: 1 % salt in the meat; nothing for no brine."""
    pumped = DoseRequest(green_g=1000, method="injection", pump_pct=10)
    weights = [("salt", 50.0), ("water", 450.0)]
    assert contents_of(pumped, weights).total_salt_pct == pytest.approx(1.0)
    assert contents_of(pumped, []).total_salt_pct == 0.0
    dry = DoseRequest(green_g=1000)
    assert contents_of(dry, [("salt", 50.0)]).total_salt_pct == pytest.approx(5.0)


# ── pre-mixes ─────────────────────────────────────────────────────────────────────────────


def test_a_pre_mix_of_both_agents_by_hand():
    """1 part 6.25/4 (89.75 % NaCl) in 4 parts of salt: 1.25 and 0.8 %, (89.75 + 400) / 5 NaCl."""
    made = premix(NO2, 4, 250)
    assert (made.curing_salt_g, made.plain_salt_g, made.parts_plain) == (50, 200, 4)
    assert (made.salt.nitrite_pct, made.salt.nitrate_pct) == (
        pytest.approx(NO2.nitrite_pct / 5),
        pytest.approx(NO2.nitrate_pct / 5),
    )
    assert made.salt.nacl_pct == pytest.approx((NO2.nacl_pct + 400) / 5)
    assert (made.salt.id, made.salt.nitrate_as) == (f"{NO2.id}-1-4", NO2.nitrate_as)
    assert (made.salt.source, made.salt.how) == (NO2.source, NO2.how)


@pytest.mark.parametrize(
    ("parts", "grams", "fits"),
    [
        (100, 200, True),
        (100.5, 200, False),
        (0, 200, False),
        (4, 0.5, True),
        (4, 0, False),
        (4, 50_000, True),
        (4, 50_000.5, False),
    ],
)
def test_a_pre_mix_has_bounds_and_says_them(parts, grams, fits):
    if fits:
        assert premix(NO1, parts, grams).parts_plain == parts
        return
    with pytest.raises(Refused, match=r"for example (4|200 g)\."):
        premix(NO1, parts, grams)


def test_a_salt_of_unknown_strength_is_not_diluted():
    unknown = replace(NO1, nitrite_pct=None)
    with pytest.raises(Refused, match="is not known: read it off the label"):
        premix(unknown, 4, 200)
    with pytest.raises(Refused, match="is not known"):
        premix(replace(NO1, nitrate_pct=None), 4, 200)
    assert premix(replace(NO1, nacl_pct=None), 4, 200).salt.nacl_pct is None


SMALL = DoseRequest(
    green_g=300, salt_pct=2.75, cure_pct=0.25, curing_salt=NO1, scale_division_g=0.1
)


def test_the_pre_mix_for_a_dose_keeps_its_nitrite():
    """0.75 g on 0.1 g steps want 20 steps: 1 part in 2 makes 2.25 g; ten doses are 7.5 g."""
    jar, better = premix_for(SMALL)
    assert (jar.parts_plain, better.cure_pct) == (2, 0.75)
    assert (better.wanted_nitrite_mg_per_kg, better.wanted_nitrate_mg_per_kg) == (None, None)
    assert (jar.curing_salt_g, jar.plain_salt_g) == (pytest.approx(7.5), pytest.approx(15))
    exact = compute_dose(replace(better, scale_division_g=0.001))
    assert exact.nitrite_mg_per_kg == pytest.approx(156.25, rel=0.001)
    wanted = replace(SMALL, cure_pct=None, wanted_nitrite_mg_per_kg=156.25)
    again = premix_for(wanted)
    assert again[1].cure_pct == pytest.approx(0.75)
    assert again[1].wanted_nitrite_mg_per_kg is None


def test_a_pre_mix_is_for_the_scale_that_weighs_the_curing_salt_best():
    """1 g on 0.1 g steps wants 20 steps, 2 g: 1 part in 1, whatever the coarse scale shows."""
    two = replace(SMALL, green_g=400, scales=(Scale(1.0, 5000), Scale(0.1, 200)))
    jar, better = premix_for(two)
    assert (jar.parts_plain, better.cure_pct) == (1, 0.5)
    one = premix_for(replace(SMALL, green_g=400))
    assert (one[0].parts_plain, one[1].cure_pct) == (1, 0.5)


def test_a_pre_mix_for_a_wanted_nitrate_is_a_percentage():
    """100 mg/kg of 4 % nitrate are 0.25 %."""
    wanted = replace(SMALL, curing_salt=NO2, cure_pct=None, wanted_nitrate_mg_per_kg=100.0)
    jar, better = premix_for(wanted)
    assert (better.wanted_nitrate_mg_per_kg, better.wanted_nitrite_mg_per_kg) == (None, None)
    assert better.cure_pct == pytest.approx(0.25 * (1 + jar.parts_plain))


def test_no_pre_mix_where_there_is_nothing_to_dilute():
    pack = DoseRequest(green_g=300, method="pack", pack_g=145, pack_for_g=5000, curing_salt=NO1)
    assert premix_for(replace(SMALL, curing_salt=None)) is None
    assert premix_for(replace(SMALL, cure_pct=0.0)) is None
    assert premix_for(replace(SMALL, curing_salt=replace(NO1, nitrite_pct=None))) is None
    assert premix_for(pack) is None
    assert premix_for(replace(pack, cure_pct=0.25)) is None


def test_a_large_dose_makes_a_jar_for_ten():
    """5 g a dose on 1 g steps: 20 steps are 20 g, 1 part in 3; ten doses are 50 g."""
    asked = replace(SMALL, green_g=2000, scale_division_g=1.0)
    jar, better = premix_for(asked)
    assert better.cure_pct == pytest.approx(0.25 * (1 + jar.parts_plain))
    assert 5 * (1 + jar.parts_plain) >= 20
    assert jar.curing_salt_g == pytest.approx(50.0)
    assert jar.plain_salt_g == pytest.approx(jar.curing_salt_g * jar.parts_plain)


# ── computing ─────────────────────────────────────────────────────────────────────────────


def test_what_was_weighed_is_compared_anew():
    """3.0 g of 6.25 % in 1000 g are 187.5 mg/kg."""
    dose = compute_dose(rules("us", scale_division_g=0.1))
    assert not dose.as_weighed
    weighed = weighed_dose(dose, {"salt": 25.0, "curing-salt": 3.0})
    assert weighed.as_weighed is True
    assert weighed.accepted == ()
    assert weighed.nitrite_mg_per_kg == pytest.approx(187.5)
    assert (weighed.limit.mg_per_kg, weighed.nitrate_limit.mg_per_kg) == (625, 2187.5)
    assert weighed.compared[0].endswith("nitrite 187.5 mg/kg")
    assert weighed.not_compared == dose.not_compared
    assert "9 CFR 424.21(c)" in dose.not_compared[0]


def test_an_ingredient_nobody_has_is_refused_with_the_ones_there_are():
    dose = compute_dose(rules("us", scale_division_g=0.1))
    with pytest.raises(Refused) as refused:
        weighed_dose(dose, {"pepper": 3.0})
    assert "salt, " in str(refused.value)
    with pytest.raises(Refused, match=r"salt -1 g makes no sense"):
        weighed_dose(dose, {"salt": -1.0})


def test_a_question_before_saving_offers_its_usual_value():
    ground = DoseRequest(
        green_g=1000, salt_pct=2.75, method="ground", eaten="as-is", style_nitrite_mg_per_kg=156.25
    )
    dose = compute_dose(ground)
    assert dose.must_answer is not None
    assert dose.accepted == dose.must_answer.fix
    assert compute_dose(rules("us")).accepted == ()


@pytest.mark.parametrize(
    ("request_", "level", "text"),
    [
        (
            replace(LOIN, green_g=20_000, scales=(Scale(1, 300),)),
            "note",
            "salt: weigh in 2 portions",
        ),
        (
            DoseRequest(green_g=300, salt_pct=2.75, sugar_pct=0.01),
            "note",
            "sugar: too little for that scale; the scale would show nothing.",
        ),
        (
            DoseRequest(green_g=20, salt_pct=2),
            "caution",
            "salt: too little for that scale; the scale would show nothing.",
        ),
    ],
)
def test_what_a_scale_cannot_show_is_said(request_, level, text):
    said = [
        (each.level, each.text)
        for each in compute_dose(request_).findings
        if each.field == "scale_division_g" and each.text.startswith(text.partition(":")[0] + ":")
    ]
    assert len(said) == 1
    assert said[0][0] == level
    assert said[0][1].startswith(text)


def test_nothing_is_said_of_what_weighs_well():
    fine = compute_dose(rules("us", scale_division_g=0.1, sugar_pct=0.5))
    assert not [each for each in fine.findings if "too little for that" in each.text]
    assert not [each for each in fine.findings if "portions" in each.text]
    assert fine.half_division_error_pct == pytest.approx(2.0)  # 0.05 of 2.5 g


def test_a_dose_is_rounded_down_where_up_would_pass_the_limit():
    """990 g · 0.25 % = 2.475 g; 2.5 g are 157.8 mg/kg of 156.25, so 2.4 g."""
    dose = compute_dose(
        rules("us", green_g=990, method="ground", salt_pct=2.75, scale_division_g=0.1)
    )
    cure = dose.ingredient("curing-salt")
    assert cure.exact_g == pytest.approx(2.475)
    assert cure.weigh_g == pytest.approx(2.4)


def test_accepted_values_take_the_place_of_others():
    named = apply_accepted(LOIN, (("curing_salt", "no1"),))
    assert named.curing_salt.id == "no1"
    several = replace(LOIN, scales=(Scale(1.0), Scale(0.1, 200)))
    finer = apply_accepted(several, (("scale_division_g", 0.01),))
    assert (finer.scales, finer.scale_division_g) == ((), 0.01)
    assert apply_accepted(several, (("salt_pct", 3.0),)).scales == several.scales
    wanted = replace(LOIN, cure_pct=None, wanted_nitrite_mg_per_kg=700.0)
    less = apply_accepted(wanted, (("cure_pct", 0.25),))
    assert (less.cure_pct, less.wanted_nitrite_mg_per_kg) == (0.25, None)
    assert apply_accepted(wanted, (("salt_pct", 3.0),)).wanted_nitrite_mg_per_kg == 700.0


def test_several_faults_at_once_have_one_way_out():
    both = replace(LOIN, salt_pct=30.0, cure_pct=25.0, rule_set="us", scale_division_g=0.1)
    dose = compute_dose(both)
    assert dose.verdict == "refused"
    assert compute_dose(apply_accepted(both, dose.accepted)).verdict != "refused"


def test_a_box_and_a_pack_of_unknown_strength_stay_unknown_once_weighed():
    box = compute_dose(
        DoseRequest(green_g=1000, method="salt-box", salt_pct=40, curing_salt=NO2, cure_pct=0.25)
    )
    assert any("Not checked against a limit: at most" in text for text in box.messages)
    weighed = weighed_dose(box, {"salt": 380.0})
    assert weighed.nitrite_mg_per_kg is None
    assert any("Not checked against a limit" in text for text in weighed.messages)
    label = resolve_curing_salt("0.5/0")
    pack = compute_dose(
        DoseRequest(green_g=2250, method="pack", pack_g=145, pack_for_g=2250, curing_salt=label)
    )
    assert pack.nitrite_mg_per_kg == pytest.approx(145 * 0.005 * 1e6 / 2250)
    assert pack.pack_ratio == pytest.approx(1.0)


def test_a_class_that_does_not_fit_offers_the_one_that_does():
    dose = compute_dose(rules("us", method="ground", product_class="dry-cured", cure_pct=0.2))
    assert dose.accepted == (("product_class", "comminuted"),)


def test_weighing_judges_everything_anew():
    dose = compute_dose(rules("us", scale_division_g=0.1))
    stale = replace(
        dose,
        limit=None,
        nitrate_limit=None,
        held_against=((dose.limit, 1.0),),
        not_compared=("old",),
        accepted=(("cure_pct", 0.1),),
    )
    again = weighed_dose(stale, {"salt": 0.0, NO2.name: 2.0})
    assert (again.limit, again.nitrate_limit) == (dose.limit, dose.nitrate_limit)
    assert again.not_compared == dose.not_compared
    assert again.accepted == ()
    assert again.compared[0].endswith("nitrite 125 mg/kg")
    assert (again.ingredient("salt").weigh_g, again.ingredient("curing-salt").weigh_g) == (0, 2)


def test_what_was_said_of_a_box_and_a_pack_is_said_once_after_weighing():
    bear = DoseRequest(green_g=1000, salt_pct=40, species="bear", pieces=2)
    box = compute_dose(replace(bear, method="salt-box", curing_salt=NO2, cure_pct=0.25))
    pack = compute_dose(
        replace(bear, green_g=2250, salt_pct=None, method="pack", pack_g=145, pack_for_g=2250)
    )
    for dose, text in ((box, "In a salt box mg/kg"), (pack, "Strength unknown: mg/kg")):
        weighed = weighed_dose(dose, {dose.ingredients[0].kind: 3.0})
        assert [each.startswith(text) for each in weighed.messages].count(True) == 1
        assert [each.startswith("Bear:") for each in weighed.messages].count(True) == 1
        assert len(set(weighed.messages)) == len(weighed.messages)


def test_a_coarse_scale_is_no_slip_of_the_salt():
    """2.75 % of 10 g round to nothing on 1 g steps; the plan is 2.75 % all the same."""
    dose = compute_dose(DoseRequest(green_g=10, salt_pct=2.75))
    assert dose.total_salt_pct == 0
    assert not [each for each in dose.findings if each.question == "little-salt"]


def test_each_filling_of_the_pan_can_be_off():
    """500 g on a pan for 300 g are two fillings: 2 · 0.5 of 500 g."""
    dose = compute_dose(rules("us", green_g=200_000, scales=(Scale(1.0, 300),)))
    assert dose.ingredient("curing-salt").portions == 2
    assert dose.half_division_error_pct == pytest.approx(0.2)


def test_one_gram_too_much_is_rounded_down_to_none():
    """0.25 % of 390 g are 0.975 g; 1 g would be 160 of 156.25 mg/kg."""
    dose = compute_dose(rules("us", green_g=390, method="ground"))
    assert dose.ingredient("curing-salt").weigh_g == 0
    assert dose.verdict == "refused"
    assert "no-nitrite" in {each.question for each in dose.findings}  # what is weighed counts


def test_nothing_and_a_gram_are_not_too_little_for_a_scale():
    for request in (
        DoseRequest(green_g=1000, salt_pct=0.0),
        DoseRequest(green_g=40, salt_pct=2.75),
    ):
        said = compute_dose(request).messages
        assert not [text for text in said if "too little for that scale" in text]


def test_a_pack_says_what_stays_in_it():
    pack = DoseRequest(green_g=1000, method="pack", pack_g=150, pack_for_g=2250)
    assert compute_dose(pack).pack_left_g == pytest.approx(150 - 150 / 2.25)


def test_the_way_out_of_two_faults_names_both():
    both = replace(LOIN, salt_pct=30.0, cure_pct=25.0, rule_set="us", scale_division_g=0.1)
    assert dict(compute_dose(both).accepted).keys() == {"cure_pct", "salt_pct"}
