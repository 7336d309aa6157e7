"""The small parts of a dose one by one, each value counted by hand.

Formulas: FSIS Processing Inspectors' Calculations Handbook 7620.3 (ingoing nitrite, pump, pick-up);
rounding and mass balance are arithmetic.
"""

from math import inf, nan

import pytest

from curedash.domain.dosing import DoseRequest, compute_dose, misdose, resolve_curing_salt
from curedash.domain.dosing.formulas import (
    brine_strength_pct,
    curing_salt_g,
    ingoing_mg_per_kg,
    pack_share_g,
    plain_salt_pct,
    reached_mg_per_kg,
)
from curedash.domain.dosing.limits import (
    breaks,
    known_product_class,
    limit_for,
    nitrite_in_basis,
    product_classes,
    value_against,
)
from curedash.domain.dosing.request import Scale
from curedash.domain.dosing.rounding import (
    best_scale,
    down_to_division,
    finer_division_g,
    half_division_error_pct,
    portions_on,
    to_division,
)
from curedash.domain.errors import Refused
from curedash.domain.facts.nitrite_limits import NITRITE_LIMITS, PRODUCT_CLASS_LABELS
from curedash.domain.record import replace

NO1 = resolve_curing_salt("no1")

# ── formulas ──────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("formula", "values", "meant"),
    [
        (ingoing_mg_per_kg, (2.5, 0.0625, 1000), 156.25),
        (ingoing_mg_per_kg, (0, 0.0625, 1000), 0),
        (ingoing_mg_per_kg, (3, 0, 1000), 0),
        (ingoing_mg_per_kg, (0.12, 1, 1000), 120),  # pure nitrite
        (ingoing_mg_per_kg, (5, 0.0625, 0.5), 625_000),
        (curing_salt_g, (156.25, 0.0625, 1000), 2.5),
        (curing_salt_g, (0, 0.0625, 1000), 0),
        (curing_salt_g, (120, 1, 1000), 0.12),
        (curing_salt_g, (120, 0.06, 0.5), 0.001),
        (plain_salt_pct, (2.75, "includes", 0.25, 0.9375), 2.515625),
        (plain_salt_pct, (2.75, "besides", 0.25, 0.9375), 2.75),
        (plain_salt_pct, (0, "includes", 0.25, 1), -0.25),
        (plain_salt_pct, (100, "includes", 100, 0), 100),
        (plain_salt_pct, (3, "includes", 0, 0.5), 3),
        (reached_mg_per_kg, (2, 1000, 10), 200),
        (reached_mg_per_kg, (0, 0.5, 10), 0),
        (reached_mg_per_kg, (1, 1000, 0), 0),
        (reached_mg_per_kg, (1, 1000, 100), 1000),
        (pack_share_g, (150, 3000, 1000), 50),
        (pack_share_g, (0.5, 0.5, 0.5), 0.5),
        (brine_strength_pct, (100, 900), 10),
        (brine_strength_pct, (0, 0.5), 0),
    ],
)
def test_a_formula_gives_what_is_counted_by_hand(formula, values, meant):
    assert formula(*values) == pytest.approx(meant, rel=1e-12)


BAD = [
    (ingoing_mg_per_kg, (-1, 0.1, 1000), "curing salt -1 makes no sense; give 0 or more."),
    (ingoing_mg_per_kg, (inf, 0.1, 1000), "curing salt inf makes no sense; give 0 or more."),
    (ingoing_mg_per_kg, (1, -0.1, 1000), "share -0.1 makes no sense; give 0 to 1."),
    (ingoing_mg_per_kg, (1, 1.1, 1000), "share 1.1 makes no sense; give 0 to 1."),
    (ingoing_mg_per_kg, (1, 0.1, 0), "basis 0 makes no sense; give more than 0."),
    (ingoing_mg_per_kg, (1, 0.1, inf), "basis inf makes no sense; give more than 0."),
    (curing_salt_g, (-1, 0.1, 1000), "wanted mg/kg -1 makes no sense; give 0 or more."),
    (curing_salt_g, (1, 0, 1000), "share 0 makes no sense; give more than 0."),
    (curing_salt_g, (1, 1.1, 1000), "share 1.1 makes no sense; give 0 to 1."),
    (curing_salt_g, (1, 0.1, 0), "basis 0 makes no sense; give more than 0."),
    (plain_salt_pct, (-1, "includes", 0, 0), "salt -1 makes no sense; give 0 to 100."),
    (plain_salt_pct, (101, "includes", 0, 0), "salt 101 makes no sense; give 0 to 100."),
    (plain_salt_pct, (1, "includes", -1, 0), "curing salt -1 makes no sense; give 0 to 100."),
    (plain_salt_pct, (1, "includes", 101, 0), "curing salt 101 makes no sense; give 0 to 100."),
    (plain_salt_pct, (1, "includes", 1, -0.1), "salt share -0.1 makes no sense; give 0 to 1."),
    (plain_salt_pct, (1, "includes", 1, 1.1), "salt share 1.1 makes no sense; give 0 to 1."),
    (reached_mg_per_kg, (-1, 1, 1), "agent -1 makes no sense; give 0 or more."),
    (reached_mg_per_kg, (1, 0, 1), "brine 0 makes no sense; give more than 0."),
    (reached_mg_per_kg, (1, 1, -1), "pump or pick-up -1 makes no sense; give 0 to 100."),
    (reached_mg_per_kg, (1, 1, 101), "pump or pick-up 101 makes no sense; give 0 to 100."),
    (pack_share_g, (0, 1, 1), "pack 0 makes no sense; give more than 0."),
    (pack_share_g, (1, 0, 1), "meat the pack is for 0 makes no sense; give more than 0."),
    (pack_share_g, (1, 1, 0), "green weight 0 makes no sense; give more than 0."),
    (brine_strength_pct, (-1, 1), "salt -1 makes no sense; give 0 or more."),
    (brine_strength_pct, (1, 0), "water 0 makes no sense; give more than 0."),
    (to_division, (-1, 0.1), "-1 g cannot be weighed out; give 0 g or more."),
    (to_division, (nan, 0.1), "nan g cannot be weighed out; give 0 g or more."),
    (to_division, (1, 0), "A step of 0 g makes no sense; give 0.1 or 1 g."),
    (to_division, (1, inf), "A step of inf g makes no sense; give 0.1 or 1 g."),
    (half_division_error_pct, (0, 1), "A dose of 0 g has no weighing error; give more than 0 g."),
    (
        half_division_error_pct,
        (inf, 1),
        "A dose of inf g has no weighing error; give more than 0 g.",
    ),
    (
        known_product_class,
        ("ham",),
        "There is no product class “ham”; choose "
        + ", ".join(name for name, _ in PRODUCT_CLASS_LABELS[:-1])
        + f" or {PRODUCT_CLASS_LABELS[-1][0]}.",
    ),
    (limit_for, ("us", "comminuted", "salt"), "A limit is for nitrite or nitrate, not for 'salt'."),
    (nitrite_in_basis, (-1, "NaNO2"), "-1 mg/kg is not an amount; give 0 or more."),
    (nitrite_in_basis, (1, "salt"), "There is no basis “salt”; choose NaNO2, NO2 ion or KNO2."),
    (
        best_scale,
        ((), 1),
        "There is no scale to weigh with; give its smallest step, for example 0.1 g.",
    ),
]


@pytest.mark.parametrize(("formula", "values", "sentence"), BAD)
def test_what_makes_no_sense_is_refused_in_a_sentence(formula, values, sentence):
    with pytest.raises(Refused) as told:
        formula(*values)
    assert str(told.value) == sentence


# ── rounding to the scale ─────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("grams", "division_g", "nearest", "down"),
    [
        (2.475, 0.1, 2.5, 2.4),
        (2.45, 0.1, 2.5, 2.4),
        (0.25, 0.5, 0.5, 0.0),
        (0.3, 0.1, 0.3, 0.3),
        (0.15, 0.1, 0.2, 0.1),
        (27.44, 0.5, 27.5, 27.0),
        (0, 1, 0, 0),
        (0.0005, 0.001, 0.001, 0.0),
    ],
)
def test_a_mark_of_the_scale(grams, division_g, nearest, down):
    assert to_division(grams, division_g) == nearest
    assert down_to_division(grams, division_g) == down


def test_half_a_division_counts_for_each_filling_of_the_pan():
    assert half_division_error_pct(10, 1) == 5
    assert half_division_error_pct(10, 1, 3) == 15
    assert half_division_error_pct(0.5, 1) == 100


def test_the_finest_scale_that_carries_it_else_the_one_that_carries_most():
    fine, coarse, open_ended = Scale(0.01, 200), Scale(1, 5000), Scale(2, None)
    assert best_scale([coarse, fine], 200) == fine
    assert best_scale([fine, coarse], 200.5) == coarse
    assert best_scale([coarse, Scale(5, 3000), fine], 6000) == coarse
    assert best_scale([fine, Scale(5, 3000), coarse], 6000) == coarse
    assert best_scale([fine, open_ended, coarse], 6000) == open_ended


@pytest.mark.parametrize(
    ("most_g", "grams", "times"),
    [
        (2000, 4560, 3),
        (2000, 2000, 1),
        (2000, 4000, 2),
        (2000, 2000.5, 2),
        (2000, 0, 1),
        (None, 99_999, 1),
        (0.5, 1, 2),
    ],
)
def test_how_often_the_pan_is_filled(most_g, grams, times):
    assert portions_on(Scale(1, most_g), grams) == times


def test_the_coarsest_division_within_ten_percent():
    # half of 0.1 g is exactly ten percent of 0.5 g
    assert finer_division_g(0.5) == 0.1
    assert finer_division_g(0.49) == 0.05
    assert finer_division_g(5) == 1.0
    assert finer_division_g(0.004) is None


# ── limits ────────────────────────────────────────────────────────────────────────────────


def test_each_figure_of_a_row_is_handed_on():
    """9 CFR 424.22(b): 120 mg/kg ingoing in immersed bacon."""
    limit = limit_for("us", "bacon-immersion", "nitrite")
    assert (limit.rule_set, limit.product_class, limit.agent, limit.kind, limit.basis) == (
        "us",
        "bacon-immersion",
        "nitrite",
        "ingoing",
        "NaNO2",
    )
    assert (limit.mg_per_kg, limit.how) == (120, "quoted")
    assert limit.comparable
    for row in NITRITE_LIMITS:
        for agent in row.agent.split("+"):
            if row.max_mg_per_kg is not None:
                found = limit_for(row.rule_set, row.product_class, agent)
                assert [getattr(found, name) for name in NAMES] == list(row)


NAMES = (
    "rule_set",
    "product_class",
    "agent",
    "kind",
    "basis",
    "mg_per_kg",
    "source",
    "how",
    "min_mg_per_kg",
    "applies_from",
)


def test_the_classes_of_a_rule_set_are_its_own():
    assert [name for name, _ in product_classes("ca")] == ["cured-meat", "side-bacon", "slow-cured"]
    assert [name for name, _ in product_classes("us-household")] == ["home-curing-mix"]


def test_both_agents_are_added_where_the_row_counts_both():
    """Canada: 200 mg/kg nitrite and nitrate together, as the salts weighed in."""
    both = limit_for("ca", "cured-meat", "nitrate")
    assert value_against(both, 120, 60) == 180
    assert value_against(both, 120, 60, 75) == 195
    assert breaks(both, 120, 80.04)
    assert not breaks(both, 120, 80.02)
    assert breaks(both, 120, 60, 80.04)  # as salts: the heavier potassium salt counts
    assert not breaks(both, 120, 90, 60)


def test_what_cannot_be_compared_breaks_nothing():
    assert not breaks(None, 1e6, 1e6)
    assert not breaks(limit_for("eu", "traditional-dry-cured", "nitrite"), 1e6, 0)  # residual
    open_ended = replace(limit_for("us", "comminuted", "nitrite"), mg_per_kg=None)
    assert not breaks(open_ended, 1e6, 0)


# ── the bench of what went in ─────────────────────────────────────────────────────────────


def asked(**wanted):
    fields = {
        "green_g": 1000.0,
        "salt_pct": 2.5,
        "salt_means": "besides",
        "curing_salt": NO1,
        "cure_pct": 0.25,
        "scale_division_g": 0.1,
        "rule_set": "us",
        "product_class": "dry-cured",
    }
    return compute_dose(DoseRequest(**(fields | wanted)))


@pytest.mark.parametrize(
    ("lost_g", "high", "low"),
    # 25 g salt and 2.5 g curing salt on 1000 g; a leak takes at least its even share of
    # 1027.5 g, at most a saturated brine's, 26.4 % of it, of the 27.5 g
    [
        (100, 156.25 * (1 - 100 / 1027.5), 156.25 * (1 - 26.4 / 27.5)),
        (10, 156.25 * (1 - 10 / 1027.5), 156.25 * (1 - 2.64 / 27.5)),
        (500, 156.25 * (1 - 500 / 1027.5), 0.0),
        (5000, 0.0, 0.0),
    ],
)
def test_a_leak_leaves_a_range(lost_g, high, low):
    bench = misdose(asked(), {}, lost_liquid_g=lost_g)
    assert bench.inside.nitrite_mg_per_kg == pytest.approx(high, abs=1e-9)
    assert bench.inside_low.nitrite_mg_per_kg == pytest.approx(low, abs=1e-9)
    assert bench.planned.nitrite_mg_per_kg == pytest.approx(156.25)


def test_more_meat_that_brings_it_back_to_the_plan():
    # 5 g in place of 2.5 g on 1000 g: as much again
    assert misdose(asked(), {"curing-salt": 5.0}).meat_to_plan_g == pytest.approx(1000)
    assert misdose(asked(), {"curing-salt": 2.5}).meat_to_plan_g is None
    assert misdose(asked(), {"curing-salt": 1.0}).meat_to_plan_g is None
    brine = asked(method="injection", water_g=1000.0, pump_pct=10.0, salt_pct=10.0, cure_pct=2.0)
    doubled = next(line for line in brine.ingredients if line.kind == "curing-salt").weigh_g * 2
    assert misdose(brine, {"curing-salt": doubled}).meat_to_plan_g is None


@pytest.mark.parametrize(
    ("stage", "hours", "said"),
    [
        ("drying", 47.0, "it was salted 47 h ago"),
        ("drying", 48.0, "it was salted 2 d ago"),
        ("in-cure", 72.0, "it was salted 3 d ago"),
        ("drying", None, "it is out of the cure"),
        ("drying", 500.0, "it was salted 21 d ago"),
    ],
)
def test_what_is_short_and_too_late_says_since_when(stage, hours, said):
    found = misdose(asked(), {"curing-salt": 1.0}, stage=stage, hours=hours)
    assert f"Nothing can be added any more: {said}." in found.messages


@pytest.mark.parametrize("lost_g", [-1.0, inf, nan])
def test_a_leak_of_no_size_is_refused(lost_g):
    with pytest.raises(Refused) as told:
        misdose(asked(), {}, lost_liquid_g=lost_g)
    assert str(told.value) == f"{lost_g:g} g of lost liquid makes no sense; give 0 g or more."


@pytest.mark.parametrize(
    ("given_g", "open_choices"),
    [(2.5, ["go-on"]), (2.46, ["go-on"]), (2.44, ["add", "go-on"])],  # two percent of 2.5 g: 0.05
)
def test_two_percent_short_is_as_planned(given_g, open_choices):
    bench = misdose(asked(), {"curing-salt": given_g}, stage="raw", hours=0.0)
    assert [one.choice for one in bench.open] == open_choices


def test_two_percent_over_is_as_planned():
    assert misdose(asked(), {"curing-salt": 2.54}).meat_to_plan_g is None
    assert misdose(asked(), {"curing-salt": 2.56}).meat_to_plan_g == pytest.approx(24)


@pytest.mark.parametrize("method", ["immersion", "injection"])
def test_no_more_meat_is_put_to_a_brine(method):
    share = {"immersion": {"pickup_pct": 10.0}, "injection": {"pump_pct": 10.0}}[method]
    brine = asked(method=method, water_g=1000.0, salt_pct=10.0, cure_pct=1.5, **share)
    line = next(line for line in brine.ingredients if line.kind == "curing-salt")
    assert misdose(brine, {"curing-salt": line.weigh_g * 1.5}).meat_to_plan_g is None


def test_a_bench_keeps_both_sides():
    bench = misdose(asked(), {"curing-salt": 1.0}, stage="in-cure", hours=1.0)
    assert [(line.kind, line.planned_g, line.given_g) for line in bench.lines] == [
        ("salt", 25.0, 25.0),
        ("curing-salt", 2.5, 1.0),
    ]
    assert (bench.lines[1].top_up_g, bench.lines[1].over_g) == (1.5, 0.0)
    assert bench.inside_low is None
    assert bench.choices[0] == (
        "Add 1.5 g curing salt no. 1 (pink) now and turn it well."
        " Its days in the cure count from then."
    )
    raw = misdose(asked(), {"curing-salt": 1.0}, stage="raw", hours=0.0).choices[0]
    assert raw == "Add 1.5 g curing salt no. 1 (pink) now and turn it well."


def test_half_a_gram_short_can_be_added_too():
    bench = misdose(asked(), {"curing-salt": 2.0}, stage="raw", hours=0.0)
    assert bench.choices[0] == "Add 0.5 g curing salt no. 1 (pink) now and turn it well."


def test_how_far_over_follows_the_agents():
    """Ten times 2.5 g on 1000 g is 1562.5 mg/kg, above any printed figure."""
    bench = misdose(asked(), {"curing-salt": 25.0}, stage="in-cure", hours=1.0)
    assert [one.choice for one in bench.open] == ["throw-away", "put-aside", "decide"]
    doubled = misdose(asked(), {"curing-salt": 5.0}, stage="raw", hours=0.0)
    assert "more-meat" in [one.choice for one in doubled.open]
    assert "Add 1000 g raw meat, with the other salts for that weight." in [
        str(text) for text in doubled.choices
    ]


@pytest.mark.parametrize("typed", ["none", "None", " no ", "plain", "plain salt"])
def test_no_curing_salt_is_plain_salt_in_the_words_a_person_types(typed: str) -> None:
    assert resolve_curing_salt(typed).id == "plain"
