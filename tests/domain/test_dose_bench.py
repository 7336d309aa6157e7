"""Pre-mixes, the mis-dose bench, shared packs: what comes after or around a dose."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dosing import (
    CuringSalt,
    DoseRequest,
    compute_dose,
    group_request,
    misdose,
    pack_share,
    premix,
    premix_for,
    resolve_curing_salt,
    share_packs,
    weighed_dose,
)
from curedash.domain.errors import Refused
from curedash.domain.facts.cautions import CAUTIONS, cautions_for

NO1 = resolve_curing_salt("no1")


def asked(**wanted):
    fields = {
        "green_g": 1000.0,
        "salt_pct": 2.75,
        "curing_salt": NO1,
        "cure_pct": 0.25,
        "scale_division_g": 0.1,
        "rule_set": "us",
        "product_class": "dry-cured",
    }
    return DoseRequest(**(fields | wanted))


# -- pre-mix --------------------------------------------------------------------------------


@given(st.sampled_from(["no1", "no2", "nitrited-0.6"]), st.integers(1, 19), st.floats(10, 5000))
def test_a_premix_keeps_every_gram(salt_id, parts, batch_g):
    salt = resolve_curing_salt(salt_id)
    jar = premix(salt, parts, batch_g)
    assert jar.curing_salt_g + jar.plain_salt_g == pytest.approx(batch_g)
    nitrite_g = jar.curing_salt_g * salt.nitrite_fraction
    assert batch_g * jar.salt.nitrite_fraction == pytest.approx(nitrite_g)
    shares = jar.salt.nitrite_pct + jar.salt.nitrate_pct + jar.salt.nacl_pct
    assert shares == pytest.approx(100)


@given(st.floats(60, 1500), st.sampled_from([0.1, 0.5, 1.0]))
def test_a_proposed_premix_brings_the_same_nitrite_with_less_error(green_g, division_g):
    request = asked(green_g=green_g, scale_division_g=division_g)
    before = compute_dose(request)
    found = premix_for(request)
    if found is None:
        return
    after = compute_dose(found[1])
    assert after.verdict != "refused"
    assert after.half_division_error_pct < before.half_division_error_pct
    exact = sum(i.exact_g for i in after.ingredients if i.kind == "curing-salt")
    assert exact * found[0].salt.nitrite_fraction * 1e6 / green_g == pytest.approx(156.25)
    salts = sum(i.exact_g for i in after.ingredients)
    assert salts == pytest.approx(green_g * 0.0275 + exact * found[0].salt.nitrite_fraction)


def test_a_premix_for_300_g_on_a_1_g_scale_is_within_ten_percent():
    jar, better = premix_for(asked(green_g=300, scale_division_g=1.0))
    assert compute_dose(better).half_division_error_pct <= 10
    assert jar.curing_salt_g >= 50  # itself weighed within one percent


def test_a_premix_goes_by_its_label():
    jar = premix(NO1, 4, 500)
    assert "1.25 %" in jar.label[1]
    assert "NOT TABLE SALT" in jar.label[2]
    assert "100 g curing salt and 400 g" in jar.recipe


def test_no_premix_of_what_is_not_known_or_makes_no_sense():
    with pytest.raises(Refused):
        premix(CuringSalt("x", "jar", None, None, None), 4, 100)
    for parts, batch_g in ((0, 100), (-1, 100), (4, 0), (float("nan"), 100), (4, float("inf"))):
        with pytest.raises(Refused):
            premix(NO1, parts, batch_g)


# -- mis-dose -------------------------------------------------------------------------------


def test_a_spoon_for_a_gram_is_counted_and_top_up_is_named():
    short = misdose(compute_dose(asked()), {"curing-salt": 1.0, "salt": 20.0})
    lines = {line.kind: line for line in short.lines}
    assert lines["curing-salt"].top_up_g == pytest.approx(1.5)
    assert lines["salt"].top_up_g == pytest.approx(25.2 - 20)
    assert short.inside.nitrite_mg_per_kg == pytest.approx(62.5)
    assert any("Add 1.5 g" in choice for choice in short.choices)
    assert short.meat_to_plan_g is None


def test_adding_the_top_up_reaches_the_plan():
    planned = compute_dose(asked())
    bench = misdose(planned, {"curing-salt": 0.7})
    topped = {line.name: line.given_g + line.top_up_g for line in bench.lines}
    after = weighed_dose(planned, topped)
    assert after.nitrite_mg_per_kg == pytest.approx(planned.nitrite_mg_per_kg)


def test_ten_times_too_much_names_the_meat_that_would_bring_it_down():
    planned = compute_dose(asked())
    bench = misdose(planned, {"curing-salt": 25.0})
    assert bench.inside.nitrite_mg_per_kg == pytest.approx(1562.5)
    more = replace(planned.request, green_g=1000 + bench.meat_to_plan_g)
    diluted = weighed_dose(replace(planned, request=more), {"curing-salt": 25.0})
    assert diluted.nitrite_mg_per_kg == pytest.approx(156.25)
    assert any("625 mg/kg" in text for text in bench.messages)


def test_the_bench_gives_no_verdict():
    bench = misdose(compute_dose(asked()), {"curing-salt": 25.0})
    assert not hasattr(bench, "verdict")
    for word in ("safe", "done", "expired"):
        assert word not in " ".join((*bench.messages, *bench.choices)).casefold()


def test_another_curing_salt_than_planned():
    bench = misdose(compute_dose(asked()), {}, really=resolve_curing_salt("nitrited-0.6"))
    assert bench.inside.nitrite_mg_per_kg == pytest.approx(15)


@given(st.floats(1, 400))
def test_a_leak_gives_a_range_never_above_what_went_in(lost_g):
    planned = compute_dose(asked())
    bench = misdose(planned, {}, lost_liquid_g=lost_g)
    low, high = bench.inside_low.nitrite_mg_per_kg, bench.inside.nitrite_mg_per_kg
    assert 0 <= low <= high < planned.nitrite_mg_per_kg


@pytest.mark.parametrize("lost_g", [-1.0, float("nan"), float("inf")])
def test_a_leak_that_makes_no_sense_is_refused(lost_g):
    with pytest.raises(Refused):
        misdose(compute_dose(asked()), {}, lost_liquid_g=lost_g)


# -- packs and groups -----------------------------------------------------------------------


@given(st.lists(st.floats(100, 5000), min_size=1, max_size=8), st.floats(0.1, 5))
def test_shared_packs_are_used_up(greens, packs):
    requests = [
        DoseRequest(green_g=g, method="pack", pack_g=145, pack_for_g=2268, scale_division_g=0.01)
        for g in greens
    ]
    shared = share_packs(requests, packs)
    assert sum(one.packs for one in shared) == pytest.approx(packs)
    rates = [one.packs / one.green_g for one in shared]
    assert rates == pytest.approx([rates[0]] * len(rates))
    share = pack_share([compute_dose(one) for one in shared])
    assert share.used_g == pytest.approx(145 * packs, abs=0.01 * len(greens))
    assert share.packs_opened * 145 == pytest.approx(share.used_g + share.left_g, abs=1e-6)


def test_a_group_is_one_dose_for_pieces_dosed_alike():
    one = compute_dose(group_request([asked(green_g=180), asked(green_g=195)]))
    assert one.request.green_g == 375
    assert any("2 pieces together" in text for text in one.messages)
    with pytest.raises(Refused):
        group_request([asked(), asked(cure_pct=0.2)])
    with pytest.raises(Refused):
        group_request([])


def test_a_spice_may_not_take_the_name_of_another_line():
    for extras in ((("Salt", 1.0),), (("pepper", 1.0), ("Pepper ", 1.0)), ((" ", 1.0),)):
        with pytest.raises(Refused):
            compute_dose(asked(extras=extras))


# -- cautions -------------------------------------------------------------------------------


def test_cautions_are_short_and_each_belongs_somewhere():
    assert len({caution.id for caution in CAUTIONS}) == len(CAUTIONS)
    for caution in CAUTIONS:
        assert len(caution.text) < 130
        assert caution.text in cautions_for(caution.where)
    assert cautions_for("nowhere") == ()
