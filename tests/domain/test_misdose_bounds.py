"""What went in against what was planned: both sides of each bound, numbers by hand."""

from dataclasses import replace

import pytest

from curedash.domain.dosing import DoseRequest, compute_dose, misdose, resolve_curing_salt
from curedash.domain.dosing.contents import contents_of

NO1, NO2 = resolve_curing_salt("no1"), resolve_curing_salt("no2")
ASKED = DoseRequest(
    green_g=1000,
    salt_pct=2.75,
    curing_salt=NO1,
    cure_pct=0.25,
    scale_division_g=0.1,
    rule_set="us",
    product_class="dry-cured",
    cut="loin",
    planned_days=20,
)
PLANNED = compute_dose(ASKED)  # 2.5 g of 6.25 %: 156.25 mg/kg


def choices(grams: float, **more) -> set[str]:
    return {one.choice for one in misdose(PLANNED, {"curing-salt": grams}, **more).open}


def test_625_itself_is_not_over_the_ceiling():
    """10 g of 6.25 % in 1000 g are 625 mg/kg."""
    at = misdose(PLANNED, {"curing-salt": 10.0}, stage="raw")
    over = misdose(PLANNED, {"curing-salt": 10.1}, stage="raw")
    assert at.inside.nitrite_mg_per_kg == pytest.approx(625)
    assert not any("poison" in text or "kills" in text for text in at.messages)
    for bench in (at, over):
        offered = {one.choice for one in bench.open}
        assert "go-on-asked" in offered or "go-on" not in offered  # not by one key
    first = over.open[0].choice
    assert first in ("put-aside", "throw-away")
    assert {one.choice for one in over.open} < {one.choice for one in at.open} | {
        "put-aside",
        "throw-away",
        "decide",
        "weigh-anew",
    }
    assert len(over.messages) > len(set(at.messages) & set(over.messages))


def test_more_meat_is_named_above_the_near_share_only():
    """5 g instead of 2.5 g: as much meat again, 1000 g; within 2 % nothing is said."""
    twice = misdose(PLANNED, {"curing-salt": 5.0}, stage="in-cure", hours=2.0)
    assert twice.meat_to_plan_g == pytest.approx(1000)
    near = misdose(PLANNED, {"curing-salt": 2.55}, stage="raw")
    assert near.meat_to_plan_g is None
    none = misdose(PLANNED, {"curing-salt": 0.0}, stage="raw")
    assert none.meat_to_plan_g is None
    text = next(text for text in twice.choices if "raw meat" in text)
    assert text == "Add 1000 g raw meat, with the other salts for that weight."
    pumped = compute_dose(
        replace(ASKED, method="injection", pump_pct=10, water_g=500, product_class="injected")
    )
    assert pumped.verdict != "refused"
    grams = pumped.ingredient("curing-salt").weigh_g
    assert misdose(pumped, {"curing-salt": 2 * grams}).meat_to_plan_g is None
    brine = compute_dose(replace(ASKED, method="equilibrium-brine", water_g=500))
    more = misdose(brine, {"curing-salt": 2 * brine.ingredient("curing-salt").weigh_g})
    assert more.meat_to_plan_g == pytest.approx(1500, rel=0.01)  # meat and water


def test_no_curing_salt_planned_has_no_meat_to_bring_it_down():
    plain = compute_dose(replace(ASKED, cure_pct=None, curing_salt=None, product_class=None))
    assert misdose(plain, {"salt": 30.0}).meat_to_plan_g is None


@pytest.mark.parametrize(
    ("grams", "short"), [(2.5, False), (2.46, False), (2.44, True), (1.0, True)]
)
def test_what_is_missing_is_added_from_two_hundredths_on(grams, short):
    assert ("add" in choices(grams, stage="in-cure", hours=2.0)) is short


def test_what_is_missing_is_said_in_grams_with_what_it_does_to_the_days():
    raw = misdose(PLANNED, {"curing-salt": 1.0})
    cure = misdose(PLANNED, {"curing-salt": 1.0}, stage="in-cure", hours=2.0)
    text = next(text for text in raw.choices if "Add 1.5 g " in text)
    assert text.startswith("Before the cure or in its first ")
    assert text.endswith(" now and turn it well.")
    (now,) = [text for text in cure.choices if text.startswith("Add 1.5 g ")]
    assert now.endswith(" now and turn it well. Its days in the cure count from then.")
    salt = misdose(PLANNED, {"salt": 20.0}, stage="in-cure", hours=2.0)
    assert any(text.startswith("Add 5.2 g salt now") for text in salt.choices)  # 25.2 planned


@pytest.mark.parametrize(
    ("stage", "hours", "said"),
    [
        ("in-cure", 49.0, "Nothing can be added any more: it was salted 2 d ago."),
        ("in-cure", 72.0, "Nothing can be added any more: it was salted 3 d ago."),
        ("drying", None, "Nothing can be added any more: it is out of the cure."),
    ],
)
def test_too_late_says_why(stage, hours, said):
    bench = misdose(PLANNED, {"curing-salt": 1.0}, stage=stage, hours=hours)
    assert said in bench.messages
    assert "add" not in {one.choice for one in bench.open}
    as_planned = misdose(PLANNED, {}, stage=stage, hours=hours)
    assert not any("any more" in text for text in as_planned.messages)


def test_the_same_grams_of_another_salt_are_far_off_by_their_nitrate():
    """No. 2 brings nitrate that was not planned: grams alike, nitrate not."""
    other = misdose(PLANNED, {}, really=NO2, stage="raw")
    assert other.inside.nitrate_mg_per_kg > 0
    assert other.planned.nitrate_mg_per_kg == 0
    same = misdose(PLANNED, {}, stage="raw")
    assert {one.choice for one in other.open} != {one.choice for one in same.open}
    weaker = resolve_curing_salt("0.6/0")
    weak = misdose(PLANNED, {}, really=weaker, stage="raw")
    assert weak.inside.nitrite_mg_per_kg == pytest.approx(2.5 * 0.006 * 1e6 / 1000)


def test_a_leak_takes_its_even_share_or_a_saturated_brine():
    """50 g lost from 1000 + 27.7 g: 4.87 %; saturated (26.4 %): 13.2 g of the 27.7 g of salts."""
    bench = misdose(PLANNED, {}, lost_liquid_g=50.0, stage="in-cure", hours=5.0)
    salts = sum(item.weigh_g for item in PLANNED.ingredients)
    even = 1 - 50 / (1000 + salts)
    most = 1 - 50 * 0.264 / salts
    assert bench.inside.nitrite_mg_per_kg == pytest.approx(156.25 * even, rel=1e-3)
    assert bench.inside_low.nitrite_mg_per_kg == pytest.approx(156.25 * most, rel=1e-2)
    assert "top-up-leak" in {one.choice for one in bench.open} or "new-bag" in {
        one.choice for one in bench.open
    }
    dry = misdose(PLANNED, {})
    assert dry.inside_low is None


def test_a_leak_out_of_a_pack_takes_the_pack_with_it():
    pack = compute_dose(
        DoseRequest(
            green_g=2250,
            method="pack",
            pack_g=145,
            pack_for_g=2250,
            curing_salt=resolve_curing_salt("0.5/0"),
        )
    )
    bench = misdose(pack, {}, lost_liquid_g=100.0)
    whole = contents_of(pack.request, [("pack", 145.0)]).nitrite_mg_per_kg
    assert bench.inside_low.nitrite_mg_per_kg == pytest.approx(
        whole * (1 - 100 * 0.264 / 145), rel=1e-2
    )


def test_notes_and_what_is_said_of_the_meat_are_not_told_again():
    venison = compute_dose(replace(ASKED, species="venison"))
    assert any("Game" in text for text in venison.messages)
    bench = misdose(venison, {"curing-salt": 1.0}, stage="raw")
    assert not any("Game" in text for text in bench.messages)
    notes = {each.text for each in PLANNED.findings if each.level == "note"}
    assert not notes & set(misdose(PLANNED, {}).messages)


def test_what_lies_in_the_cure_since_nobody_knows_when():
    said = misdose(PLANNED, {"curing-salt": 1.0}, stage="in-cure", hours=None).messages
    assert "Nothing can be added any more: it is in the cure." in said
    said = misdose(PLANNED, {"curing-salt": 1.0}, stage="drying", hours=None).messages
    assert "Nothing can be added any more: it is out of the cure." in said


def test_sugar_that_is_short_can_be_added_too():
    """5 g of sugar planned: 0.5 g short is a tenth, 0.1 g two percent and as planned."""
    sweet = compute_dose(replace(ASKED, sugar_pct=0.5))
    short = misdose(sweet, {"sugar": 4.5}, stage="raw", hours=0.0)
    assert [one.choice for one in short.open] == ["add", "go-on"]
    assert short.choices[0] == "Add 0.5 g sugar now and turn it well."
    near = misdose(sweet, {"sugar": 4.9}, stage="raw", hours=0.0)
    assert [one.choice for one in near.open] == ["go-on"]


def test_more_meat_is_worded_in_the_unit_of_the_household():
    twice = misdose(PLANNED, {"curing-salt": 5.0}, stage="in-cure", hours=2.0)
    text = next(text for text in twice.choices if "raw meat" in text)
    worded = text.worded(lambda quantity: f"{quantity.value / 1000:g} kg")  # type: ignore[attr-defined]
    assert worded == "Add 1 kg raw meat, with the other salts for that weight."


@pytest.mark.parametrize(
    "way", [{"method": "immersion", "pickup_pct": 10}, {"method": "injection", "pump_pct": 10}]
)
def test_no_more_meat_is_offered_to_a_brine(way):
    brine = compute_dose(replace(ASKED, water_g=500, salt_pct=10, cure_pct=1.0, **way))
    line = brine.ingredient("curing-salt")
    opened = misdose(brine, {"curing-salt": 2 * line.weigh_g}, stage="raw", hours=0.0).open
    assert opened
    assert "more-meat" not in {one.choice for one in opened}
