"""Losses, bases and tares: the worked cases, and what must hold for any weights."""

import math
from datetime import UTC

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from curedash.domain.drying.lot_figures import figures, loss_on, target_net_g
from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.domain.weighing.doubts import (
    Doubt,
    Expectation,
    WeighInContext,
    WeighInEntry,
    weigh_in_doubts,
)
from curedash.domain.weighing.weights import (
    bag_leaked,
    divide,
    loss_pct,
    net_from_gross,
    rebase_factor,
    tare_after,
)
from curedash.services.weighing.weigh import hint
from tests.build import NOW, lot, weighed

grams = st.floats(1, 50_000)
DAY = 86_400.0


# ── worked cases ──────────────────────────────────────────────────────────────────────────


def test_larding_changes_the_tare_and_not_the_loss() -> None:
    """Hang 5000, now 4000, 400 g lard on: still 20 %, and 35 % is 3650 g on the scale."""
    tare = tare_after(0, 4000, 4400)
    assert tare == 400
    assert loss_pct(5000, net_from_gross(4400, tare)) == 20
    lean = lot(hang_g=5000.0, target_lo_pct=35.0, target_hi_pct=35.0, tare_g=tare)
    assert hint(lean, NOW, UTC).target_on_scale_g == pytest.approx((3650, 3650))


def test_a_divided_piece_hands_its_loss_to_its_parts() -> None:
    """Hang 1000, now 700, cut into 400 + 280 with 20 trimmed: bases 571.4 and 400.0, both 30 %."""
    first, second = divide(1000, 700, (400, 280))
    assert round(first, 1) == 571.4
    assert second == pytest.approx(400.0)
    assert loss_pct(first, 400) == pytest.approx(30)
    assert loss_pct(second, 280) == pytest.approx(30)


def test_the_weigh_in_line_of_the_rack() -> None:
    """1071 − 28 tare is 1043 net: 32.0 % of 1534, and 46 g above the heavier end of 35–40 %."""
    net = net_from_gross(1071, 28)
    assert round(loss_pct(1534, net), 1) == 32.0
    hung = weighed((30, 1534), (0, net), tare_g=28.0)
    shown = figures(hung, NOW, UTC)
    assert (round(shown.loss_pct, 1), round(shown.to_go_g)) == (32.0, 46)
    assert [round(grams) for grams in hint(hung, NOW, UTC).target_on_scale_g] == [948, 1025]


def test_a_target_keeps_its_grams_on_another_base() -> None:
    on_green = lot(hang_g=1500.0, green_g=1600.0, target_lo_pct=30.0, target_hi_pct=40.0)
    assert target_net_g(on_green) == (900, 1050)
    for base in ("hang", "green"):
        assert figures(on_green, NOW, UTC, base).target_g == (900, 1050)
    by_green = replace(on_green, target_base="green")
    assert target_net_g(by_green) == pytest.approx((960, 1120))


def test_a_bag_that_lost_more_than_one_percent_leaked() -> None:
    assert bag_leaked(1000, 989)
    assert not bag_leaked(1000, 991)


def test_a_bag_did_not_leak_what_the_scale_may_be_off_by() -> None:
    # 1 lb 5 oz and 1 lb 4.7 oz on a scale in tenths of an ounce: three divisions
    assert not bag_leaked(595.3, 586.8, 2.8349523125)
    assert bag_leaked(595.3, 583.9, 2.8349523125)


@pytest.mark.parametrize(
    "call",
    [
        lambda: loss_pct(0, 10),
        lambda: loss_pct(10, 0),
        lambda: loss_pct(math.nan, 10),
        lambda: loss_pct(10, math.inf),
        lambda: net_from_gross(20, 28),
        lambda: net_from_gross(20, -1),
        lambda: rebase_factor(700, 800),
        lambda: rebase_factor(700, 0),
        lambda: tare_after(10, 1000, 900),
        lambda: divide(1000, 700, (400, 320)),
        lambda: divide(1000, 700, ()),
        lambda: divide(1000, 700, (-400, 280)),
    ],
)
def test_what_is_outside_the_range_is_refused_never_clamped(call) -> None:
    with pytest.raises(Refused):
        call()


# ── properties ────────────────────────────────────────────────────────────────────────────


@given(grams, st.floats(0.1, 0.999), st.floats(0.01, 1))
def test_taking_meat_off_keeps_the_loss(base_g: float, left: float, kept: float) -> None:
    net_g = base_g * left
    after_g = net_g * kept
    factor = rebase_factor(net_g, after_g)
    assert loss_pct(base_g * factor, after_g) == pytest.approx(loss_pct(base_g, net_g))


@given(grams, st.floats(0.1, 0.999), st.lists(st.floats(0.01, 1), min_size=1, max_size=6))
def test_dividing_keeps_the_loss_and_makes_no_meat(
    base_g: float, left: float, shares: list[float]
) -> None:
    now_g = base_g * left
    parts = tuple(now_g * share / sum(shares) for share in shares)
    bases = divide(base_g, now_g, parts)
    assert sum(bases) == pytest.approx(base_g)
    for child_base, part in zip(bases, parts, strict=True):
        assert loss_pct(child_base, part) == pytest.approx(loss_pct(base_g, now_g))


@given(grams, st.floats(0, 500), st.floats(-400, 2000))
def test_a_tare_change_keeps_the_net_weight(net_g: float, tare_g: float, change_g: float) -> None:
    assume(tare_g + change_g >= 0)
    gross = net_g + tare_g
    tare = tare_after(tare_g, gross, gross + change_g)
    assert net_from_gross(gross + change_g, tare) == pytest.approx(net_g, abs=1e-6)


@given(grams, st.floats(0.1, 89), st.floats(0, 30))
def test_a_target_is_ascending_in_grams_and_in_percent(
    base_g: float, lo_pct: float, width_pct: float
) -> None:
    assume(lo_pct + width_pct < 90)
    hung = lot(hang_g=base_g, target_lo_pct=lo_pct, target_hi_pct=lo_pct + width_pct)
    light, heavy = target_net_g(hung)
    assert light <= heavy
    assert (loss_on(base_g, heavy), loss_on(base_g, light)) == pytest.approx(
        (lo_pct, lo_pct + width_pct), abs=1e-9
    )


# ── doubts ────────────────────────────────────────────────────────────────────────────────

DRYING = WeighInContext(
    stage="drying",
    division_g=1,
    last_net_g=1058,
    last_at=0,
    base_g=1534,
    moisture_pct=72,
    thickness_mm=80,
)


def ask(gross_g: float, tare_g: float = 28, days: float = 7, context=DRYING) -> tuple[Doubt, ...]:
    return weigh_in_doubts(WeighInEntry(gross_g, tare_g, days * DAY), context)


def kinds(doubts: tuple[Doubt, ...]) -> list[str]:
    return [doubt.kind for doubt in doubts]


def test_an_ordinary_weight_raises_no_question() -> None:
    assert ask(1071) == ()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [(10_710, 1071), (107.1, 1071), (1.071, 1071), (37.8, 1071.6), (2.36, 1070.5)],
)
def test_a_factor_or_a_unit_left_out_offers_the_fix(typed: float, meant: float) -> None:
    (doubt,) = ask(typed)
    assert doubt.kind == "slip"
    assert doubt.likely_fix_g == pytest.approx(meant, abs=0.5)


def test_two_figures_swapped_offer_the_fix() -> None:
    (doubt,) = ask(1701)
    assert (doubt.kind, doubt.likely_fix_g) == ("slip", 1071)


def test_heavier_is_asked_above_two_divisions_or_half_a_percent() -> None:
    limit = max(2 * 1, 0.005 * 1058)
    assert ask(28 + 1058 + limit - 0.1) == ()
    assert kinds(ask(28 + 1058 + limit + 0.1)) == ["heavier"]
    coarse = WeighInContext(division_g=5, last_net_g=1058, last_at=0)
    assert ask(28 + 1067, context=coarse) == ()
    assert kinds(ask(28 + 1069, context=coarse)) == ["heavier"]


def test_lighter_than_its_dry_matter_is_asked() -> None:
    context = WeighInContext(last_net_g=480, last_at=0, base_g=1534, moisture_pct=72)
    assert kinds(ask(428, tare_g=0, days=30, context=context)) == ["too-light"]
    assert ask(431, tare_g=0, days=30, context=context) == ()


def test_faster_than_meat_can_dry_is_asked() -> None:
    """80 mm: 600/80 = 7.5 % a day, plus the slack of 0.5 %."""
    limit = 1058 * (1 - 0.075 - 0.005)
    assert ask(28 + limit + 1, days=1) == ()
    assert kinds(ask(28 + limit - 1, days=1)) == ["too-fast"]


def test_a_net_weight_typed_for_the_scale_offers_the_tare_back() -> None:
    context = WeighInContext(last_net_g=1058, last_at=0, base_g=1534, thickness_mm=80)
    (doubt,) = ask(1056, tare_g=120, days=0.5, context=context)
    assert (doubt.kind, doubt.likely_fix_g) == ("too-fast", 1176)


def test_a_weight_that_fits_the_neighbour_better_names_it() -> None:
    context = WeighInContext(
        last_net_g=1058,
        last_at=0,
        base_g=1534,
        thickness_mm=80,
        expected=Expectation("C2", 1071, 7),
        others=(Expectation("C3", 962, 6), Expectation("C4", 700, 5)),
    )
    (doubt,) = ask(965, context=context)
    assert (doubt.kind, doubt.lot_code) == ("other-lot", "C3")
    assert "C3" in doubt.question
    assert ask(1080, context=context) == ()


def test_far_from_its_own_forecast_is_asked() -> None:
    context = WeighInContext(last_net_g=1058, last_at=0, expected=Expectation("C2", 1071, 7))
    assert kinds(ask(871, context=context)) == ["far-off"]
    assert ask(1030, context=context) == ()


def test_an_earlier_time_than_the_newest_is_asked() -> None:
    assert kinds(ask(1071, days=-1)) == ["earlier"]


def test_in_the_cure_a_gain_is_normal_and_a_slip_is_not() -> None:
    context = WeighInContext(stage="in-cure", green_g=1134)
    assert ask(1160, tare_g=0, context=context) == ()
    assert kinds(ask(116, tare_g=0, context=context)) == ["slip"]


def test_a_cured_weight_far_from_green_is_asked() -> None:
    context = WeighInContext(stage="in-cure", green_g=1000)
    assert kinds(ask(690, tare_g=0, context=context)) == ["slip"]
    assert ask(710, tare_g=0, context=context) == ()


def test_a_long_pause_is_no_slip() -> None:
    context = WeighInContext(last_net_g=1000, last_at=0, base_g=1000, thickness_mm=80)
    assert ask(560, tare_g=0, days=75, context=context) == ()


def test_nothing_known_raises_nothing() -> None:
    assert weigh_in_doubts(WeighInEntry(1, 0, 0), WeighInContext()) == ()


@given(
    st.floats(0.1, 499_999),
    st.floats(0, 400),
    st.floats(-1e9, 1e9),
    st.one_of(st.none(), grams),
    st.one_of(st.none(), st.floats(10, 300)),
)
def test_doubting_never_fails_and_every_fix_is_a_weight(
    gross_g: float, tare_g: float, at: float, last_g: float | None, thickness_mm: float | None
) -> None:
    context = WeighInContext(last_net_g=last_g, last_at=0, base_g=last_g, thickness_mm=thickness_mm)
    for doubt in weigh_in_doubts(WeighInEntry(gross_g, tare_g, at), context):
        assert doubt.question.endswith("?")
        assert doubt.likely_fix_g is None or doubt.likely_fix_g > 0
