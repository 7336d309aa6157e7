"""Freezing against trichina: every row of the table, named after where it was printed."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing.trichina import (
    freezing_count,
    freezing_row,
    is_domestic_pork,
    names_pork,
    no_credit_reason,
)
from curedash.domain.errors import Refused
from curedash.domain.facts.trichina import DOMESTIC_PORK, NO_CREDIT_SOURCE, TRICHINA_FREEZING

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
    warm = freezing_count(100, -14, 80, species="pork", chilled_c=2)
    assert (warm.row, warm.counted_days, warm.to_go_days) == (None, 0, None)
    assert "no day counts" in warm.messages[0]


CDC_FREEZING = (  # CDC, Trichinellosis: Prevention & Control (2019), read
    "Freezing wild game meats, unlike freezing pork products, may not effectively kill all worms"
)


@pytest.mark.parametrize(
    "species",
    [
        "Wild boar",
        "feral hog",
        "feral pig",
        "Feral swine",
        "razorback",
        "warthog",
        "boar",
        "bear",
        "wild pork",
        "javelina",
        "venison",
        "game",
    ],
)
def test_wild_game_gets_no_credit_by_the_cdc(species):
    count = freezing_count(100, -30, 80, species=species, chilled_c=2)
    assert (count.row, count.counted_days, count.to_go_days) == (None, 0, None)
    assert "wild game" in count.messages[0]
    assert CDC_FREEZING[14:] in NO_CREDIT_SOURCE
    assert not is_domestic_pork(species)


@pytest.mark.parametrize(
    "species",
    [
        "",
        "  ",
        "hog",
        "swine",
        "beef",
        "horse",
        "seal",
        "walrus",
        "pigeon",
        "hedgehog",
        "guinea pig",
        "porkish",
        "pig and bear",
        "pork, feral",
        "мясо",
        "pork\x00",
    ],
)
def test_what_is_not_on_the_list_gets_no_credit(species):
    """An allow-list: common practice (Missouri Department of Conservation and CDC, quoted)."""
    count = freezing_count(100, -30, 80, species=species, chilled_c=2)
    assert (count.row, count.to_go_days) == (None, None)
    assert "domestic pork only" in count.messages[0]


@given(st.text(max_size=30))
def test_only_a_name_of_the_list_ever_gets_credit(species):
    credit = freezing_count(30, -30, 80, species=species, chilled_c=2).row is not None
    assert credit == (" ".join(species.casefold().split()) in DOMESTIC_PORK)


@pytest.mark.parametrize("species", ["pork", " Pork ", "Domestic  Pig", "pork loin", "market hog"])
def test_domestic_pork_by_its_trade_name_gets_credit(species):
    assert freezing_count(30, -30, 80, species=species, chilled_c=2).to_go_days == 0


def test_nothing_is_said_of_another_meat_than_it_is():
    assert no_credit_reason("pork") is None
    assert no_credit_reason(" beef  heart ") == (
        "The table covers domestic pork only: no credit for beef heart."
    )
    assert "until you say what meat" in no_credit_reason(" ")
    assert [names_pork(word) for word in ("swine", "Sow", "pigeon", "wild pig", "")] == [
        True,
        True,
        False,
        False,
        False,
    ]


@pytest.mark.parametrize("chilled_c", [None, 4.01, 8, 20])
def test_no_day_counts_before_the_meat_was_at_4_c(chilled_c):
    """Former 9 CFR 318.10(c)(2): the count begins with the pork at 40 °F (4 °C) or colder."""
    count = freezing_count(25, -18, 80, species="pork", chilled_c=chilled_c)
    assert (count.begun, count.counted_days, count.to_go_days) == (False, 0, 20)
    assert any("Nothing is counted yet" in text and "4 °C" in text for text in count.messages)


@pytest.mark.parametrize("chilled_c", [4, 3, -18])
def test_a_chilled_piece_counts_from_the_first_hour(chilled_c):
    count = freezing_count(12.5, -18, 80, species="pork", chilled_c=chilled_c)
    assert (count.begun, count.counted_days, count.to_go_days) == (True, 12.5, 8)
    assert not any("counted yet" in text for text in count.messages)


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
        freezing_count(days, warm, thick, species="pork", chilled_c=2)


def test_what_is_said_of_a_freezing_step_sentence_by_sentence():
    assert freezing_count(12.5, -18, 80, species="pork", chilled_c=3).messages == (
        "12.5 of 20 d at -15 °C or colder, up to 6 in thick.",
    )
    assert freezing_count(3, -24, 200, species="pork", chilled_c=4).messages == (
        "3 of 20 d at -23.3 °C or colder, up to 27 in thick.",
    )
    assert freezing_count(3, -18, 80, species="pork").messages == (
        "Nothing is counted yet: how cold was the meat? The count begins once the pork is at 4 °C"
        " or colder.",
        "0 of 20 d at -15 °C or colder, up to 6 in thick.",
    )
    assert freezing_count(3, -18, 80, species="pork", chilled_c=8).messages[0] == (
        "Nothing is counted yet: the meat was at 8 °C. The count begins once the pork is at 4 °C or"
        " colder; give that time and temperature."
    )
    assert freezing_count(3, -12, 80, species="pork", chilled_c=3).messages == (
        "The table has no row for -12 °C at that thickness: no day counts.",
    )
    assert no_credit_reason("Wild boar") == (
        "The table covers domestic pork only: wild game gets no credit, because some worms in it"
        " survive freezing."
    )
    assert no_credit_reason("") == (
        "The table covers domestic pork only: no credit until you say what meat it is."
    )
    assert (
        no_credit_reason("x" * 50)
        == f"The table covers domestic pork only: no credit for {'x' * 40}."
    )


def test_each_temperature_in_a_sentence_is_worded_in_its_own_units():
    """5 °F of the printed table is −15 °C; 8 °C is 46.4 °F."""

    def shown(text):
        return text.worded(lambda quantity: f"{quantity.value * 1.8 + 32:.1f} F")

    said = freezing_count(3, -18, 80, species="pork", chilled_c=8).messages
    assert "the meat was at 46.4 F" in shown(said[0])
    assert "39.2 F or colder" in shown(said[0])
    assert "at 5.0 F or colder" in shown(said[1])
    assert "39.2 F" in shown(freezing_count(3, -18, 80, species="pork").messages[0])
    assert "10.4 F at that" in shown(freezing_count(1, -12, 80, "pork", chilled_c=1).messages[0])


INF = float("inf")
NO_FREEZER = "°C is not a reading of a freezer; give for example -18 °C."


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: freezing_row(61, 80), f"61 {NO_FREEZER}"),
        (lambda: freezing_row(-101, 80), f"-101 {NO_FREEZER}"),
        (lambda: freezing_row(-18, 0), "A thickness of 0 mm makes no sense; give more than 0."),
        (lambda: freezing_row(-18, INF), "A thickness of inf mm makes no sense; give more than 0."),
        (lambda: freezing_count(-1, -18, 80, "pork"), "-1 days makes no sense; give 0 or more."),
        (lambda: freezing_count(INF, -18, 80, "pork"), "inf days makes no sense; give 0 or more."),
    ],
)
def test_a_step_that_cannot_be_is_refused_in_one_sentence(call, said):
    with pytest.raises(Refused) as refused:
        call()
    assert str(refused.value) == said


def test_the_ends_of_what_is_a_reading_and_of_a_row():
    assert freezing_row(60, 80) is None
    assert freezing_row(-100, 80).days == 6
    assert freezing_row(-15, 6 * 25.4).days == 20
    assert freezing_row(-15, 6 * 25.4 + 0.1).days == 30
    assert freezing_row(-15, 27 * 25.4).days == 30
    assert freezing_row(-15, 0.5).days == 20
    full = freezing_count(20, -15, 80, species="pork", chilled_c=4)
    assert (full.to_go_days, full.counted_days) == (0, 20)
    assert freezing_count(19.01, -15, 80, species="pork", chilled_c=4).to_go_days == 1
    assert freezing_count(40, -15, 80, species="pork", chilled_c=4).to_go_days == 0
    assert freezing_count(0, -15, 80, species="pork", chilled_c=4).to_go_days == 20
    assert not freezing_count(30, -15, 80).row


def test_the_row_that_counts_comes_back_with_the_count():
    assert freezing_count(3, -18, 80, species="pork", chilled_c=3).row.days == 20
    assert [names_pork(word) for word in ("pork chop", "hog jowl", "pig cheek", "swine leg")] == [
        True,
        True,
        True,
        True,
    ]
