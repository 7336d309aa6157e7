"""Limits: literals against the table, molar masses against an independent library, comparison."""

import csv
from pathlib import Path

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dosing.limits import (
    exceeds,
    limit_for,
    nitrate_as_nano3,
    nitrate_in_basis,
    nitrite_as_nano2,
    nitrite_in_basis,
    product_classes,
    value_against,
)
from curedash.domain.errors import Refused
from curedash.domain.facts import molar_mass
from curedash.domain.facts.curing_salts import CURING_SALTS
from curedash.domain.facts.nitrite_limits import (
    FLOOR_CLASSES,
    NITRITE_LIMITS,
    PRODUCT_CLASS_LABELS,
    RULE_SET_LABELS,
)

DATA = Path(__file__).parent.parent / "data"


def rows(name):
    with (DATA / name).open() as file:
        return list(csv.DictReader(file))


def as_text(value):
    return "" if value is None else f"{value:g}" if isinstance(value, (int, float)) else value


@pytest.mark.parametrize(
    ("literals", "name"),
    [(NITRITE_LIMITS, "nitrite-limits.csv"), (CURING_SALTS, "curing-salts.csv")],
)
def test_literals_are_the_table(literals, name):
    table = rows(name)
    assert len(literals) == len(table)
    for literal, row in zip(literals, table, strict=True):
        for field, value in literal._asdict().items():
            if isinstance(value, (int, float)):
                assert value == float(row[field])
            else:
                assert as_text(value) == row[field]


SUBSTANCES = [
    ("NO2", molar_mass.NO2),
    ("NO3", molar_mass.NO3),
    ("NaNO2", molar_mass.NANO2),
    ("KNO2", molar_mass.KNO2),
    ("NaNO3", molar_mass.NANO3),
    ("KNO3", molar_mass.KNO3),
    ("NaCl", molar_mass.NACL),
]


@pytest.mark.parametrize(("formula", "value"), SUBSTANCES)
def test_molar_masses_against_periodictable(formula, value):
    assert value == pytest.approx(periodictable.formula(formula).mass, rel=1e-4)


def test_conversions_against_periodictable():
    mass = {name: periodictable.formula(name).mass for name, _value in SUBSTANCES}
    assert nitrite_in_basis(120, "NO2 ion") == pytest.approx(
        120 * mass["NO2"] / mass["NaNO2"], rel=1e-4
    )
    assert nitrite_as_nano2(100, "KNO2") == pytest.approx(
        100 * mass["NaNO2"] / mass["KNO2"], rel=1e-4
    )
    assert nitrate_as_nano3(100, "KNO3") == pytest.approx(
        100 * mass["NaNO3"] / mass["KNO3"], rel=1e-4
    )


def test_eu_80_mg_ion_is_120_as_sodium_nitrite():
    """Regulation (EU) 2023/2108 as summarised: 80 mg/kg ion = 120 mg/kg as NaNO2."""
    assert round(nitrite_as_nano2(80, "NO2 ion")) == 120


def test_saltpetre_note_of_the_table():
    """curing-salts.csv: 100 % KNO3 = 84.07 % as NaNO3."""
    assert round(nitrate_as_nano3(100, "KNO3"), 2) == 84.07


@given(st.floats(0, 1e5), st.sampled_from(["NaNO2", "NO2 ion", "KNO2"]))
def test_nitrite_comes_back_from_every_basis(amount, basis):
    assert nitrite_as_nano2(nitrite_in_basis(amount, basis), basis) == pytest.approx(amount)


@given(st.floats(0, 1e5), st.sampled_from(["NaNO3", "NO3 ion", "KNO3"]))
def test_nitrate_comes_back_from_every_basis(amount, basis):
    assert nitrate_as_nano3(nitrate_in_basis(amount, basis), basis) == pytest.approx(amount)


@pytest.mark.parametrize(
    ("value", "limit", "broken"),
    [
        (156.25, 156.25, False),
        (156.2599, 156.25, False),
        (156.28, 156.25, False),
        (156.29, 156.25, True),
        (156.25000000000003, 156.25, False),
        (80.015, 80, False),
        (80.8, 80, True),
        (200.9, 200, True),
        (700.3, 700, True),
        (625.9, 625, True),
        (81.0, 80, True),
        (2187.5, 2187.5, False),
        (2187.6, 2187.5, True),
        (0.0, 0, False),
    ],
)
def test_the_only_tolerance_is_conversion_rounding(value, limit, broken):
    assert exceeds(value, limit) is broken


def test_no_row_is_ever_borrowed():
    pairs = {(row.rule_set, row.product_class) for row in NITRITE_LIMITS}
    for rule_set, _label in RULE_SET_LABELS:
        for product_class, _label in PRODUCT_CLASS_LABELS:
            limit = limit_for(rule_set, product_class, "nitrite")
            if (rule_set, product_class) not in pairs:
                assert limit is None
            elif limit is not None:
                assert (limit.rule_set, limit.product_class) == (rule_set, product_class)


def test_floors_are_no_classes_to_pick():
    offered = {name for rule, _l in RULE_SET_LABELS for name, _label in product_classes(rule)}
    assert not offered & set(FLOOR_CLASSES)
    assert limit_for("us", "shelf-stable", "nitrite") is None


def test_canadas_row_serves_both_agents_and_adds_them():
    nitrite = limit_for("ca", "cured-meat", "nitrite")
    assert nitrite == limit_for("ca", "cured-meat", "nitrate")
    assert value_against(nitrite, 120, 60) == 180
    assert value_against(nitrite, 120, 60, 71) == 191


def test_what_is_no_limit_question_is_refused():
    with pytest.raises(Refused):
        limit_for("us", "dry-cured", "ascorbate")
    with pytest.raises(Refused):
        nitrite_in_basis(-1, "NaNO2")
    with pytest.raises(Refused):
        exceeds(float("nan"), 80)
    with pytest.raises(Refused):
        nitrate_in_basis(1, "HNO3")
