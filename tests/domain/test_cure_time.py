"""Days in the cure: every rule against its printed example, and the two kinds of window."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing.cure_time import (
    cure_days_by_rules,
    cure_window,
    days_by_rule,
    rules_for,
)
from curedash.domain.curing.turning import turn_every_days
from curedash.domain.dosing import METHODS
from curedash.domain.errors import Refused
from curedash.domain.facts.cure_time_rules import CURE_TIME_RULES, MORE_CURE_TIME_RULES

DATA = Path(__file__).parent.parent / "data"
with (DATA / "cure-time-rules.csv").open() as _file:
    TABLE = list(csv.DictReader(_file))


def test_literals_are_the_table():
    assert len(CURE_TIME_RULES) == len(TABLE)
    for rule, row in zip(CURE_TIME_RULES, TABLE, strict=True):
        assert rule.name == row["rule"]
        assert "+".join(rule.applies_to) == row["applies_to"]
        assert (rule.formula, rule.source, rule.how) == (
            row["formula_days"],
            row["source"],
            row["how"],
        )
        kind = {"inch": "thickness", "lb": "weight", "kg": "weight", "": "fixed"}[rule.unit]
        assert kind == row["kind"]


@pytest.mark.parametrize("number", range(len(TABLE)), ids=[row["rule"] for row in TABLE])
def test_the_printed_example_of_89_mm_and_2_kg(number):
    days = days_by_rule(CURE_TIME_RULES[number], 2000, 89)
    printed = TABLE[number]["example_89mm_2kg_days"].split("..")
    assert days.days_lo == pytest.approx(float(printed[0]), abs=0.05)
    assert days.days_hi == pytest.approx(float(printed[-1]), abs=0.05)


def test_further_rules_keep_their_own_example():
    for rule in MORE_CURE_TIME_RULES:
        days = days_by_rule(rule, 2000, min(89, rule.most_mm or 89))
        assert (days.days_lo, days.days_hi) == pytest.approx(rule.example_days, abs=0.05)


def test_only_rules_of_the_method_are_offered():
    assert all("bag" in rule.applies_to for rule in rules_for("equilibrium"))
    assert all("brine" in rule.applies_to for rule in rules_for("equilibrium-brine"))
    assert all("box" in rule.applies_to for rule in rules_for("salt-box"))
    assert len(rules_for("salt-box")) == 3
    assert rules_for("salt-box", 25)[0].name.startswith("twenty-four hours")
    assert rules_for("ground") == rules_for("injection") == ()


def test_nine_days_for_an_89_mm_slab_says_what_the_core_holds():
    """The design's own figure: 9 d, core at about 21 % (7–39 %)."""
    window = cure_window(
        "equilibrium", 2000, 89, "slab", 5, rule="quarter inch a day to the core plus two"
    )
    assert any("core at about 21 % (7–39 %)" in text for text in window.messages)
    assert window.earliest_days == window.diffusion.days_90 > 9


def test_one_week_per_inch_is_enough_up_to_69_mm_slab_and_95_mm_round():
    """Design figures: 7 d per inch suffices to about 69 mm slab or 95 mm round (core 90 %)."""
    for shape, most_mm in (("slab", 69), ("round", 95)):
        below = cure_window("equilibrium", 2000, most_mm - 1, shape, 5)
        above = cure_window("equilibrium", 2000, most_mm + 1, shape, 5)
        assert below.earliest_days == pytest.approx(7 * (most_mm - 1) / 25.4)
        assert above.earliest_days > 7 * (most_mm + 1) / 25.4


def test_a_salt_box_is_overdue_from_its_rules_day_and_has_no_core_day():
    window = cure_window("salt-box", 2000, 89, "round", 4)
    assert window.overdue_from_days == window.usual_days == 5
    assert window.diffusion is None
    assert 0 < window.mean_uptake.central < 100
    assert window.salt_rest.days_95 > window.salt_rest.days_90


def test_too_cold_and_too_warm_is_said():
    assert any("colder" in m for m in cure_window("equilibrium", 1000, 60, "slab", 1).messages)
    assert any("warmer" in m for m in cure_window("equilibrium", 1000, 60, "slab", 6).messages)
    (whose,) = cure_window("equilibrium", 1000, 60, "slab", 4).messages
    assert whose.startswith("These days are for the salt; nitrite moves")


@pytest.mark.parametrize("method", ["equilibrium", "equilibrium-brine", "immersion", "salt-box"])
@pytest.mark.parametrize("temp_c", [-1.1, 7.1, 12, 20, 25, 40])
def test_no_days_where_no_rule_was_ever_used_for_the_temperature(method, temp_c):
    """Common practice: the rules of thumb are for a fridge, 2 to 5 °C."""
    window = cure_window(method, 1000, 60, "slab", temp_c)
    assert (window.earliest_days, window.usual_days, window.overdue_from_days) == (None,) * 3
    assert any(text.startswith("No days are given below") for text in window.messages)


def test_no_days_without_salt():
    window = cure_window("equilibrium", 1000, 60, "slab", 4, salt_pct=0.0)
    assert window.usual_days is None
    assert "No days are given at 0 % salt" in window.messages[0]
    assert cure_window("equilibrium", 1000, 60, "slab", 4, salt_pct=2.5).usual_days


def test_ten_kilograms_have_no_days_without_a_thickness():
    window = cure_window("equilibrium", 10_000, None, "round", 4)
    assert window.usual_days is None
    assert "measure the thickest spot" in window.messages[-1]


def test_a_salt_rest_is_no_longer_than_one_is_used_for():
    """10 kg with the skin on: by diffusion the rest would be over a year."""
    window = cure_window("salt-box", 10_000, 200, "slab", 4, skin=True)
    assert window.salt_rest is None
    assert any(text.startswith("No days for the salt rest") for text in window.messages)
    assert cure_window("salt-box", 10_000, 140, "round", 4).salt_rest.days_90 < 120


def test_a_pick_up_has_its_stop():
    """1 kg at 10 % pick-up is out at 1100 g; sweet pickle 3.5 d a pound is the latest day."""
    window = cure_window("immersion", 1000, 50, "slab", 4, pickup_pct=10)
    assert window.stop_g == pytest.approx(1100)
    assert window.overdue_from_days == pytest.approx(3.5 * 1000 / 453.59237)
    assert "1100 g" in window.messages[-1]
    assert "cannot wait" in window.messages[-1]


@pytest.mark.parametrize(
    ("green_g", "thickness_mm", "shape", "asked"),
    [
        (11_340, 60, "slab", True),  # a slab of 42 × 42 cm
        (2, 390, "slab", True),
        (5000, 20, "round", True),
        (1134, 80, "round", False),
        (5000, 45, "slab", False),  # half a side of belly
        (9000, 160, "round", False),  # a leg
        (400, 22, "slab", False),  # a duck breast
    ],
)
def test_a_weight_and_a_thickness_that_make_no_piece_are_asked_about(
    green_g, thickness_mm, shape, asked
):
    window = cure_window("equilibrium", green_g, thickness_mm, shape, 4)
    assert any("Is it a slip?" in text for _about, text in window.asks) is asked


def test_without_a_thickness_the_longest_rule_decides_and_it_is_asked():
    assert cure_window("equilibrium", 300, None, "slab", 4).earliest_days == 14
    window = cure_window("equilibrium", 2000, None, "slab", 4)
    assert window.rule_name == "two to three weeks per kg"
    assert any("Thickness not given" in text for _about, text in window.asks)


@given(
    st.sampled_from([name for name, _label in METHODS]),
    st.floats(50, 20_000),
    st.one_of(st.none(), st.floats(5, 300)),
    st.sampled_from(["slab", "round", "sphere"]),
    st.floats(-2, 12),
)
def test_earliest_is_never_after_usual_and_never_before_the_rule(
    method, green_g, thickness_mm, shape, temp_c
):
    window = cure_window(method, green_g, thickness_mm, shape, temp_c)
    if window is None:
        assert method in ("ground", "injection")
        return
    if window.usual_days is None:
        assert any(text.startswith("No days") for text in window.messages)
        return
    assert 0 < window.earliest_days <= window.usual_days
    assert -1 <= temp_c <= 7
    chosen = next(rule for rule in window.rules if rule.name == window.rule_name)
    assert window.earliest_days >= chosen.days_lo


@given(st.floats(20, 200), st.floats(1.05, 1.5))
def test_a_thicker_piece_never_comes_out_earlier(thickness_mm, factor):
    thin = cure_window("equilibrium", 2000, thickness_mm, "slab", 4)
    thick = cure_window("equilibrium", 2000, thickness_mm * factor, "slab", 4)
    if thick.earliest_days is not None:  # too thick for any rule
        assert thick.earliest_days >= thin.earliest_days


@pytest.mark.parametrize(
    ("method", "green_g", "thickness_mm", "rule"),
    [
        ("spoon", 1000, 60, None),
        ("equilibrium", 0, 60, None),
        ("equilibrium", float("nan"), 60, None),
        ("equilibrium", 1000, 0, None),
        ("equilibrium", 1000, 60, "by the moon"),
    ],
)
def test_nonsense_is_refused(method, green_g, thickness_mm, rule):
    with pytest.raises(Refused):
        cure_window(method, green_g, thickness_mm, "slab", 4, rule=rule)


def test_turning():
    assert turn_every_days("salt-box") == 3
    assert turn_every_days("injection") is None
    assert len(cure_days_by_rules("equilibrium", 2000, 89)) == 7
