"""Freezing against trichina: every row of the table, named after where it was printed."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import Refused
from curedash.domain.facts.trichina import TRICHINA_FREEZING
from curedash.domain.trichina import freezing_count, freezing_row

with (Path(__file__).parent.parent / "data" / "trichina-freezing.csv").open() as _file:
    TABLE = list(csv.DictReader(_file))


def test_literals_are_the_table():
    assert len(TABLE) == len(TRICHINA_FREEZING)
    for literal, row in zip(TRICHINA_FREEZING, TABLE, strict=True):
        for field, value in literal._asdict().items():
            assert (str(value) if isinstance(value, str) else f"{value:g}") == row[field]


@pytest.mark.parametrize(
    "row",
    TABLE,
    ids=[f"{r['source'][:22]} {r['temp_f']}F {r['max_thickness_in']}in" for r in TABLE],
)
def test_each_row_at_its_own_temperature_and_thickness(row):
    found = freezing_row(float(row["temp_c"]), float(row["max_thickness_in"]) * 25.4)
    assert found.days == int(row["days"])


@pytest.mark.parametrize(
    "row", TABLE, ids=[f"{r['temp_f']}F" + r["max_thickness_in"] for r in TABLE]
)
def test_fahrenheit_and_celsius_of_a_row_agree_to_the_printed_digit(row):
    assert (float(row["temp_f"]) - 32) / 1.8 == pytest.approx(float(row["temp_c"]), abs=0.06)


def test_minus_18_uses_the_minus_15_row():
    """Design rule: the row at or above the warmest reading; 20 d, over 6 in 30 d."""
    assert freezing_row(-18, 80).days == 20
    assert freezing_row(-18, 160).days == 30


def test_warmer_than_minus_15_or_thicker_than_27_in_gives_no_credit():
    assert freezing_row(-14.9, 80) is None
    assert freezing_row(-30, 28 * 25.4) is None
    assert freezing_count(100, -14, 80, chilled_c=2).to_go_days is None


def test_game_never_gets_credit():
    count = freezing_count(100, -30, 80, species="Wild boar", chilled_c=2)
    assert (count.row, count.to_go_days) == (None, None)
    assert "wild game" in count.messages[0]


def test_chilling_first_is_said():
    assert any("4 °C" in text for text in freezing_count(1, -18, 80).messages)
    assert not any("begins" in text for text in freezing_count(1, -18, 80, chilled_c=3).messages)


@given(st.floats(-40, 0), st.floats(0.1, 10), st.floats(1, 700))
def test_colder_never_takes_longer(warmest_c, colder_by, thickness_mm):
    warm = freezing_row(warmest_c, thickness_mm)
    cold = freezing_row(warmest_c - colder_by, thickness_mm)
    if warm is not None:
        assert cold is not None
        assert cold.days <= warm.days


@pytest.mark.parametrize(
    ("days", "warm", "thick"), [(-1, -18, 80), (1, float("nan"), 80), (1, -18, 0)]
)
def test_nonsense_is_refused(days, warm, thick):
    with pytest.raises(Refused):
        freezing_count(days, warm, thick)
