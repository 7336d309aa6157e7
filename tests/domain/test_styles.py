"""The style library: whole, consistent with itself, with the limits and with the doses."""

import json
from dataclasses import asdict

import pytest

from curedash.domain.dosing import METHODS, DoseRequest, compute_dose, resolve_curing_salt
from curedash.domain.dosing.limits import product_classes
from curedash.domain.errors import NotFound, Refused
from curedash.domain.facts.nitrite_limits import RULE_SET_LABELS
from curedash.domain.household.styles import (
    Style,
    check_style,
    new_style,
    style,
    style_from,
    styles,
    usual_cure_pct,
)

ALL = pytest.mark.parametrize("one", styles(), ids=[one.id for one in styles()])


def test_the_library_has_the_styles_people_make():
    ids = {one.id for one in styles()}
    assert len(ids) == len(styles()) >= 18
    assert "bresaola" in ids
    for flag in ("by-date-only", "two-stage", "fermented", "cook-before-eating", "no-nitrite"):
        assert any(flag in one.flags for one in styles()), flag
    assert any(one.weighed_as_group for one in styles())


@ALL
def test_each_style_is_whole(one):
    check_style(one)
    assert one.salt_lo_pct <= one.salt_pct <= one.salt_hi_pct
    assert one.temp_lo_c < one.temp_hi_c
    assert one.rh_lo_pct < one.rh_hi_pct
    assert 0 < one.min_age_days <= one.planned_days
    assert one.source
    assert one.how in ("read", "quoted", "derived", "memory")
    assert one.disagree.endswith(".")
    assert one.method in dict(METHODS)
    for rule_set, product_class in one.product_classes:
        assert product_class in dict(product_classes(rule_set))


@ALL
@pytest.mark.parametrize("rule_set", [name for name, _label in RULE_SET_LABELS])
def test_no_style_starts_with_a_refused_dose(one, rule_set):
    cure_pct = usual_cure_pct(one, rule_set)
    dose = compute_dose(
        DoseRequest(
            green_g=1134,
            method=one.method,
            salt_pct=one.salt_pct,
            curing_salt=resolve_curing_salt(one.curing_salt) if cure_pct else None,
            cure_pct=cure_pct or None,
            scale_division_g=0.01,
            rule_set=rule_set,
            product_class=one.class_for(rule_set),
            cut=one.cut,
            style_nitrite_mg_per_kg=one.nitrite_mg_per_kg,
            planned_days=one.planned_days,
            eaten=one.eaten,
        )
    )
    assert dose.verdict != "refused", dose.messages


def test_an_unknown_style_is_not_found_and_can_be_made():
    with pytest.raises(NotFound):
        style("goose leg")
    made = new_style("goose leg")
    assert (made.loss_lo_pct, made.loss_hi_pct, made.base) == (30, 40, "hang")


@pytest.mark.parametrize("name", ["", "   ", "!!!", "x" * 61, "a\x1bb"])
def test_a_style_needs_a_name(name):
    with pytest.raises(Refused):
        new_style(name)


def test_a_style_comes_back_from_its_own_table():
    for one in styles():
        assert style_from(asdict(one)) == one


def test_a_style_comes_back_from_the_file_of_the_household():
    for one in (*styles(), new_style("goose leg")):
        assert style_from(json.loads(json.dumps(asdict(one)))) == one


def test_product_classes_as_a_table():
    made = style_from({"id": "a", "name": "b", "product_classes": {"eu": "non-heat-treated"}})
    assert made.class_for("eu") == "non-heat-treated"
    assert made.class_for("us") is None


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"id": "a"},
        {"id": "a", "name": "b", "colour": 1},
        {"id": "a", "name": "b", "loss_lo_pct": "35"},
        {"id": "a", "name": "b", "loss_lo_pct": True},
        {"id": "a", "name": "b", "loss_lo_pct": float("nan")},
        {"id": "a", "name": "b", "loss_lo_pct": 50.0},
        {"id": "a", "name": "b", "base": "dry"},
        {"id": "a", "name": "b", "method": "spoon"},
        {"id": "a", "name": "b", "curing_salt": "magic"},
        {"id": "a", "name": "b", "weigh_every_days": 0},
        {"id": "a", "name": "b", "product_classes": 3},
        {"id": "a", "name": "b", "fermented": 1},
        {"id": "a", "name": "b", "salt_pct": -1.0},
        {"id": "a", "name": "b", "salt_pct": 4.0},
        {"id": "a", "name": "b", "cure_pct": 300.0},
        {"id": "a", "name": "b", "temp_lo_c": 20.0},
        {"id": "a", "name": "b", "rh_hi_pct": 101.0},
        {"id": "a", "name": "b", "shape": "star"},
        {"id": "a", "name": "b", "planned_days": -1},
        {"id": "a", "name": "b", "product_classes": {"mars": "dry-cured"}},
        {"id": "a", "name": "b", "product_classes": [["us", "keep-refrigerated"]]},
        {"id": "a", "name": "b", "product_classes": [["us"]]},
    ],
)
def test_a_table_that_makes_no_sense_is_refused(values):
    with pytest.raises(Refused):
        style_from(values)


def test_like_an_unknown_style():
    with pytest.raises(NotFound):
        style_from({"id": "a", "name": "b", "like": "nothing"})


def test_defaults_are_those_of_a_new_style():
    assert Style("a", "b").nitrite_mg_per_kg == pytest.approx(156.25)
