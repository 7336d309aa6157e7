"""Answers to what a batch is asked: values with their unit, reasons, "unknown" with its reason."""

import pytest

from curedash.domain.dosing.answers import QUESTIONS, read_answer, unknown_reason
from curedash.domain.dosing.classes import compared_with
from curedash.domain.dosing.compute import compute_dose
from curedash.domain.dosing.meat_kinds import check_species, is_other
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.salts import resolve_curing_salt
from curedash.domain.errors import Refused


@pytest.mark.parametrize(
    ("question", "text", "value"),
    [
        ("thickness", "8 cm", 80.0),
        ("thickness", "2 in", 50.8),  # an inch is 25.4 mm
        ("temperature", "4 °C", 4.0),
        ("temperature", "50 F", 10.0),
        ("end-use", "Cooked soon", "cooked-soon"),
        ("end-use", "fried", "fried"),
        ("ferment", "dried cold", None),
        ("thickness", "unknown: no ruler", None),
        ("temperature", "Unknown, no thermometer", None),
    ],
)
def test_an_answer_is_read(question, text, value):
    answer = read_answer(question, text)
    assert answer.value == (pytest.approx(value) if isinstance(value, float) else value)
    assert answer.unknown == text.casefold().startswith("unknown")


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("weather", "wet"),
        ("thickness", "unknown"),
        ("thickness", "unknown: "),
        ("thickness", ""),
        ("temperature", "cold"),
        ("end-use", "raw"),
        ("class", "  "),
    ],
)
def test_a_blank_and_a_bare_unknown_are_no_answers(question, text):
    with pytest.raises(Refused):
        read_answer(question, text)


def test_every_question_takes_unknown_with_its_reason():
    assert all(read_answer(each, "unknown: a present").unknown for each in QUESTIONS)


def test_a_word_that_begins_like_unknown_is_not_it():
    assert unknown_reason("unknownish") is None
    assert unknown_reason("unknown because no ruler") == "no ruler"


BELLY = DoseRequest(
    green_g=1000,
    salt_pct=3,
    curing_salt=resolve_curing_salt("no1"),
    cure_pct=0.25,
    rule_set="us",
    cut="belly",
    method="equilibrium",
)


def test_the_end_use_of_belly_is_asked_before_saving_and_unknown_keeps_the_stricter_limit():
    """9 CFR 424.22(b): bacon, dry-cured 200 ppm; dry-cured that is not fried 625."""
    from dataclasses import replace

    asked = compute_dose(BELLY).must_answer
    assert asked is not None
    assert asked.question == "end-use"
    unknown = compute_dose(replace(BELLY, answers=(("end-use", "unknown: a present"),)))
    assert unknown.must_answer is None
    assert unknown.limit.mg_per_kg == 200
    assert any("End use" in text or "end use" in text for text in unknown.messages)
    told = compute_dose(replace(BELLY, eaten="as-is"))
    assert told.must_answer is None
    assert told.limit.mg_per_kg == 625


@pytest.mark.parametrize("species", ["", "beef", "Wild boar", "ducks", "pork, fresh", "wild"])
def test_known_meat_passes(species):
    check_species(species)


@pytest.mark.parametrize(
    ("species", "said"),
    [
        ("unicorn", "is not a meat known here"),
        ("pokr", "Is it pork"),
        ("venson", "Is it venison"),
        ("other", "Say which meat"),
    ],
)
def test_unknown_meat_is_refused_with_what_is_near(species, said):
    with pytest.raises(Refused) as refused:
        check_species(species)
    assert said in str(refused.value)
    assert "other: " in str(refused.value)


def test_other_meat_is_named_and_nothing_is_compared():
    from dataclasses import replace

    check_species("other: alpaca")
    assert is_other("other: alpaca")
    assert not is_other("another beef")
    request = replace(BELLY, cut="loin", species="other: alpaca")
    found = compared_with(request)
    assert (found.nitrite, found.nitrate, found.counts) == (None, None, ())
    dose = compute_dose(request)
    assert dose.verdict != "within-limits"
    assert any("alpaca" in text for text in dose.messages)
    picked = replace(request, product_class="dry-cured", answers=(("class", "like lamb"),))
    assert compared_with(picked).counts == ()
