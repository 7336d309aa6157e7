"""The pull window: golden reference, published logs, simulated households, nonsense."""

import csv
import json
import math
import random
import time
from pathlib import Path

import numpy as np
import pytest

from curedash.domain.drying.drying_rate import weigh_again_by
from curedash.domain.drying.forecast import (
    REACHED,
    RULE_OF_THUMB,
    AirDay,
    Basis,
    FinishedPiece,
    Posterior,
    forecast,
    read_finished,
)
from curedash.domain.drying.forecast.drying_body import (
    Body,
    air_of,
    body_of,
    dry,
    fresh,
    loss_of,
    steps_to,
)
from curedash.domain.drying.forecast.laws import weighed
from curedash.domain.drying.forecast.matrix import inverse
from curedash.domain.drying.forecast.posterior import Point
from curedash.domain.drying.forecast.window import _correlations
from curedash.domain.errors import Refused
from curedash.domain.facts import forecast_prior as prior
from tests.bench import forecast_table as table
from tests.bench.reference_window import page_window

SERIES = Path(__file__).parents[1] / "data" / "series"
PIECES = json.loads((SERIES / "simulated-households.json").read_text())["pieces"]
NO_AIR = air_of(())


def published(piece_id):
    rows = csv.DictReader((SERIES / "published.csv").open(encoding="utf-8"))
    return [(float(r["day"]), float(r["value"])) for r in rows if r["id"] == piece_id]


def points_of(net):
    return [(day, g / net[0][1]) for day, g in net]


def curve(days, level=0.5, tau=60.0, n=0.85):
    return [(d, 1 - level * (1 - math.exp(-((d / tau) ** n)))) for d in days]


# ── the body ──────────────────────────────────────────────────────────────────────────────


def test_golden_reference_grid_of_the_specification():
    net = list(zip((0, 2, 4, 6, 8, 10), (379, 356, 338, 330, 320, 310), strict=True))
    assert page_window(points_of(net), 28) == pytest.approx((17.35, 20.72, 26.08), abs=0.006)


def test_scipys_stiff_solver_agrees_on_the_same_equations_typed_again():
    """Checks the implicit steps, not the equations: those are the body's own, written out."""
    from scipy.integrate import solve_ivp

    body, theta = Body(0.04, 0.2, 0.72), prior.POPULATION_MEAN
    diffusion, film, weak, tau = (math.exp(x) for x in theta[:4])
    volume, couple = np.array([16, 20, 13]) / 49, (8 / 3, 8.0, 28.0)
    ends, warmth = (
        1 + body.radius_m / body.length_m,
        math.exp(prior.WARMTH_PER_K * (prior.NO_AIR_TEMP_C - prior.WARMTH_AT_C)),
    )

    def change(t, x):
        loss = body.moisture - (1 - body.moisture) * volume @ x
        shrink = (1 - loss) ** (2 / 3)
        free = diffusion * 86_400e-10 * ends * warmth / body.radius_m**2 / shrink
        fall = [
            math.exp(prior.DIFFUSION_FALL * (m / (1 + m) - body.moisture))
            for m in ((x[0] + x[1]) / 2, (x[1] + x[2]) / 2, x[2])
        ]
        left = math.exp(-weak)
        gives = film * 2e-3 / body.radius_m * ends / (1 - body.moisture) * warmth * shrink
        gives *= left + (1 - left) * math.exp(-t / tau)
        inside = free * couple[2] * fall[2]

        # Sorption curve straightened around the outer shell, as the body does.
        aw = math.exp(-prior.WATER_ACTIVITY / x[2])
        slope = aw * prior.WATER_ACTIVITY / x[2] ** 2
        out = gives * (aw - 0.72) / (1 + gives * slope / inside)
        one = free * couple[0] * fall[0] * (x[0] - x[1])
        two = free * couple[1] * fall[1] * (x[1] - x[2])
        return np.array([-one, one - two, two - out]) / volume

    days = [5.0, 20.0, 60.0, 120.0]
    solved = solve_ivp(change, (0, 120), fresh(body), "BDF", days, rtol=1e-6, atol=1e-8)
    state, start = fresh(body), 0.0
    for day, x in zip(days, solved.y.T, strict=True):
        marks = np.arange(start, day, 0.1) + 0.1
        for leg in steps_to(start, map(float, marks), NO_AIR):
            state = dry(theta, body, leg, state)
        start = day
        exact = body.moisture - (1 - body.moisture) * float(volume @ x)
        assert loss_of(body, state) == pytest.approx(exact, abs=2e-3)


def test_numpy_inverts_the_same_matrix():
    a = [list(map(float, row)) for row in prior.WITHIN]
    assert np.allclose(inverse(a), np.linalg.inv(np.array(a)), rtol=1e-8)


def test_normal_points_have_mean_0_and_variance_1():
    z = np.array(prior.NORMAL_POINTS)
    z = np.vstack([z, -z])
    assert np.allclose(z.T @ z / len(z), np.eye(5), atol=5e-3)


# ── published logs ────────────────────────────────────────────────────────────────────────


def test_elk_leg_2014_home_log_closes_in_on_its_day():
    """It dried faster after a stall on days 6 to 8 that no forecast could see coming."""
    log = published("elk-638")
    truth = 14 + (468 - 638 * 0.72) / (468 - 456)
    inside, widths = [], []
    for used in (4, 5, 6, 7, 10, 11, 12):
        seen = forecast(Basis(points_of(log[:used]), 28, base_g=638, in_bag=True))
        lo, hi = seen.window_day
        inside.append(lo <= truth <= hi)
        widths.append(hi - lo)
    assert sum(inside) >= 5
    assert widths[-1] < 3 < widths[0]


def test_saucisson_2009_home_log():
    log = published("saucisson")
    seen = forecast(Basis(points_of(log), 40, base_g=380, diameter_mm=50, moisture_pct=60))
    assert seen.weigh_ins_used == 3
    assert log[-1][0] < seen.window_day[0] < 45


def test_matassino_2012_capocollo_mean_of_54():
    log = [(d, 1 - loss / 100) for d, loss in published("capocollo-castrates")]
    seen = forecast(Basis(log[:3], 45, base_g=2500, diameter_mm=110))
    assert seen.p_levels_off < 0.5
    assert 110 < seen.window_day[0] < seen.window_day[1] < 220


@pytest.mark.parametrize("mm", [35, 55, 80])
def test_pmc9955731_table_1_salami_lie_in_the_rule_of_thumb(mm):
    ((day, loss),) = published(f"salami-{mm}mm")
    told = forecast(Basis([(0, 1.0)], loss, base_g=900, diameter_mm=mm))
    assert told.method == RULE_OF_THUMB
    assert told.window_day[0] <= day <= told.window_day[1]


def test_the_rule_of_thumb_holds_the_published_pairs_of_start_and_end():
    held = [scored.inside for _, scored in table.pairs()]
    assert len(held) == 17
    assert 0.75 <= sum(held) / len(held) <= 0.95
    assert not any(scored.late for _, scored in table.pairs())


@pytest.mark.parametrize("name", ["simulated-households", "other-law-a", "other-law-b"])
def test_after_two_weigh_ins_the_rule_of_thumb_holds_what_it_was_not_made_from(name):
    scored = list(table.second_weigh_ins(table.left_out(table.series(name))))
    assert len(scored) > 50
    assert sum(one.inside for one in scored) / len(scored) >= 0.75
    assert sum(one.late for one in scored) / len(scored) <= 0.2
    assert sum(one.early for one in scored) / len(scored) <= 0.14


# ── what it must do ───────────────────────────────────────────────────────────────────────


def cut(piece, share):
    """Weigh-ins up to the first that has come a share of the way, as the series are scored."""
    net, goal = piece["net_g"], piece["target_loss_pct"] / 100
    for i, g in enumerate(net):
        if 1 - g / net[0] >= share * goal:
            return i if 1 - g / net[0] < goal and i >= 2 else None
    return None


def test_half_way_error_and_coverage_hold_on_every_fourth_household():
    errors, inside = [], []
    for piece in PIECES:
        at = cut(piece, 0.5)
        truth = piece["reached_on_day"]
        if piece["household"] % 4 or at is None or truth is None:
            continue
        net = list(zip(piece["day"], piece["net_g"], strict=True))[: at + 1]
        air = [AirDay(*a) for a in piece["air"] if a[0] <= net[-1][0]]
        seen = forecast(
            Basis(
                points_of(net),
                piece["target_loss_pct"],
                base_g=net[0][1],
                air=air,
                diameter_mm=piece["diameter_mm"],
                length_mm=piece["length_mm"],
                moisture_pct=piece["green_moisture_pct"],
            )
        )
        if seen.window_day is None:
            inside.append(False)
            continue
        errors.append(abs(seen.median_day - truth) / (truth - net[-1][0]))
        inside.append(seen.window_day[0] <= truth <= seen.window_day[1])
    assert len(inside) > 50
    assert float(np.median(errors)) < 0.22
    assert 0.68 < sum(inside) / len(inside) < 0.92


def finished(piece):
    return FinishedPiece(
        tuple(piece["day"]),
        tuple(float(g) for g in piece["net_g"]),
        piece["diameter_mm"],
        piece["length_mm"],
        piece["green_moisture_pct"],
        piece["in_bag"],
        tuple(AirDay(*a) for a in piece["air"]),
    )


@pytest.mark.parametrize("household", [3, 5, 8, 12, 17, 20])
def test_finished_lots_narrow_the_window_and_are_named(household):
    """Narrower for the days left; in days only two in five, since they move the middle later."""
    own = [p for p in PIECES if p["household"] == household]
    new, history = own[-1], [read_finished(finished(p)) for p in own[:-1]]
    net = list(zip(new["day"], new["net_g"], strict=True))[:4]
    kw = {"base_g": net[0][1], "diameter_mm": new["diameter_mm"]}
    alone = forecast(Basis(points_of(net), 35, **kw))
    informed = forecast(Basis(points_of(net), 35, history=history, **kw))
    assert informed.method == "weigh-ins, 7 lots dried here"

    def width(seen):
        return (seen.window_day[1] - seen.window_day[0]) / (seen.median_day - seen.as_of_day)

    assert width(informed) < width(alone)


def test_finished_lots_narrow_nearly_every_households_window():
    """On the logarithm of the days left, on which a window is made, by four weigh-ins.

    In days this does not hold: alone a window is too early more often than not, the finished lots
    move the middle later, and 80 % of a longer wait are more days. Nor does it hold one truth more:
    it narrows by a tenth and holds 74 of 100 instead of 79 where the air of the new piece is not
    known. What is asserted is what holds: narrower in all but one household, wider in none by more
    than 1 %, and no further off.
    """
    ratios, inside, alone_off, off = [], [], [], []
    for household in sorted({p["household"] for p in PIECES}):
        own = [p for p in PIECES if p["household"] == household]
        new, truth = own[-1], own[-1]["reached_on_day"]
        net = list(zip(new["day"], new["net_g"], strict=True))[:4]
        if truth is None or truth <= net[-1][0]:
            continue
        history = [read_finished(finished(p)) for p in own[:-1]]
        kw = {"base_g": net[0][1], "diameter_mm": new["diameter_mm"]}
        goal = new["target_loss_pct"]
        seen = [forecast(Basis(points_of(net), goal, history=some, **kw)) for some in ((), history)]
        if seen[0].posterior is None:
            continue
        now = seen[0].as_of_day
        wide = [math.log((s.window_day[1] - now) / (s.window_day[0] - now)) for s in seen]
        ratios.append(wide[1] / wide[0])
        alone_off.append(abs(seen[0].median_day - truth) / (truth - now))
        off.append(abs(seen[1].median_day - truth) / (truth - now))
        inside.append(seen[1].window_day[0] <= truth <= seen[1].window_day[1])
    assert len(ratios) > 35
    assert sum(ratio >= 1 for ratio in ratios) <= 1
    assert max(ratios) < 1.01
    assert float(np.median(ratios)) < 0.92
    assert float(np.median(off)) <= float(np.median(alone_off)) + 0.005
    assert sum(inside) / len(inside) > 0.7


def test_pieces_of_two_other_laws_and_of_ours_are_forecast_alike():
    """On the third that was left out when the numbers were made; the bench prints the whole."""
    bars = {"other-law-a": 0.28, "other-law-b": 0.27, "simulated-households": 0.26}
    for name, most in bars.items():
        errors, inside = [], []
        pieces = json.loads((SERIES / f"{name}.json").read_text())["pieces"]
        for n, piece in enumerate(pieces):
            at, truth = cut(piece, 0.5), piece["reached_on_day"]
            if piece.get("household", n) % 3 != 2 or at is None or truth is None:
                continue
            net = list(zip(piece["day"], piece["net_g"], strict=True))[: at + 1]
            if truth <= net[-1][0]:
                continue
            seen = forecast(
                Basis(
                    points_of(net),
                    piece["target_loss_pct"],
                    base_g=net[0][1],
                    diameter_mm=piece["diameter_mm"],
                    in_bag=piece["in_bag"],
                    scale_division_g=piece.get("division_g", 1),
                )
            )
            errors.append(abs(seen.median_day - truth) / (truth - net[-1][0]))
            inside.append(seen.window_day[0] <= truth <= seen.window_day[1])
        assert float(np.median(errors)) <= most, name
        assert 0.7 <= sum(inside) / len(inside) <= 0.93, name


def test_the_laws_keep_to_their_own_formulas():
    """A root law to its root, an even rate to a straight line: days left in closed form."""
    even = [Point(d, 0.01 * d, 1e-5) for d in (0.0, 5.0, 10.0, 15.0)]
    root = [Point(d, 0.03 * d**0.5, 1e-5) for d in (0.0, 4.0, 9.0, 16.0, 25.0)]
    by_name = {law.name: law for law in weighed(even, 0.15, 0.30)}
    assert math.exp(by_name["an even rate"].log_left) == pytest.approx(15.0, rel=1e-3)
    assert max(by_name.values(), key=lambda law: law.record).name == "an even rate"
    by_name = {law.name: law for law in weighed(root, 0.15, 0.30)}
    assert math.exp(by_name["diffusion"].log_left) == pytest.approx(75.0, rel=0.02)
    assert max(by_name.values(), key=lambda law: law.record).name == "diffusion"


def test_elk_in_a_bag_and_lamb_legs_are_not_late():
    """Real logs, from every prefix of 25-85 % of the way to their own last weight."""
    off = []
    for name, bag in (("elk-638", True), ("lamb-leg-1", None), ("lamb-leg-3", None)):
        net = published(name)
        goal = 1 - net[-1][1] / net[0][1]
        for n in range(3, len(net)):
            if 0.25 <= (1 - net[n - 1][1] / net[0][1]) / goal <= 0.85:
                seen = forecast(Basis(points_of(net[:n]), 100 * goal, base_g=net[0][1], in_bag=bag))
                off.append((seen.median_day - net[-1][0]) / (net[-1][0] - net[n - 1][0]))
    assert len(off) == 17
    assert abs(float(np.median(off))) <= 0.10
    assert float(np.median(np.abs(off))) <= 0.24


def test_one_more_weigh_in_agrees_with_all_from_nothing():
    piece = PIECES[7]
    net = points_of(list(zip(piece["day"], piece["net_g"], strict=True)))[:15]
    kw = {"base_g": piece["net_g"][0], "diameter_mm": piece["diameter_mm"]}
    stored = forecast(Basis(net[:-1], 40, **kw)).posterior.to_bytes()
    added = forecast(Basis(net, 40, posterior=Posterior.from_bytes(stored), **kw))
    anew = forecast(Basis(net, 40, **kw))
    assert added.median_day == pytest.approx(anew.median_day, rel=0.03)
    assert added.window_day == pytest.approx(anew.window_day, rel=0.05)


@pytest.mark.parametrize("stored", [b"", b"{}", b"[1]", b"\xff", b'["body-0",1,2,3,4,5,6,7,8]'])
def test_a_foreign_posterior_is_not_read(stored):
    assert Posterior.from_bytes(stored) is None


def test_days_on_hold_are_no_drying_days():
    plain = forecast(Basis(curve((0, 7, 14, 21)), 35, base_g=1000, diameter_mm=75))
    held = [(d + (10 if d > 14 else 0), y) for d, y in curve((0, 7, 14, 21))]
    paused = forecast(Basis(held, 35, base_g=1000, diameter_mm=75, paused=[(14, 24)]))
    assert paused.median_day == pytest.approx(plain.median_day + 10)


def test_a_slip_of_the_scale_moves_little():
    good = curve((0, 4, 8, 12, 16, 20, 24, 28))
    slipped = [(d, y + (0.02 if d == 24 else 0)) for d, y in good]
    kw = {"base_g": 1000, "diameter_mm": 75}
    a, b = forecast(Basis(good, 35, **kw)), forecast(Basis(slipped, 35, **kw))
    assert b.median_day == pytest.approx(a.median_day, rel=0.12)


def test_damp_place_makes_it_level_off():
    air = [AirDay(d, 8.0, 90.0) for d in range(60)]
    net = curve((0, 7, 14, 21, 28, 35, 42, 49, 56), level=0.24, tau=14)
    seen = forecast(Basis(net, 38, base_g=1000, diameter_mm=70, air=air))
    assert seen.p_levels_off > 0.5


def test_expected_weight_on_the_way():
    seen = forecast(Basis(curve((0, 7, 14, 21)), 35, base_g=1000, diameter_mm=75))
    light, middle, heavy = (1000 * (1 - pct / 100) for pct in reversed(seen.loss_on(28.0)))
    assert light < middle < heavy < 1000 * curve((21,))[0][1] + 5
    assert middle == pytest.approx(1000 * curve((28,))[0][1], abs=15)
    assert seen.loss_on(20.0) is None
    assert seen.loss_on(9999.0) is None


def test_loss_on_green_weight_counts_what_the_cure_took():
    """On a base heavier than the hang weight the same grams are the same day."""
    hang = forecast(Basis(curve((0, 7, 14, 21)), 35, base_g=1000, diameter_mm=75))
    green = [(d, y * 0.96) for d, y in curve((0, 7, 14, 21))]
    seen = forecast(Basis(green, 100 * (1 - 0.65 * 0.96), base_g=1000, diameter_mm=75))
    assert seen.median_day == pytest.approx(hang.median_day, rel=0.02)


def test_target_passed_tells_the_day():
    seen = forecast(Basis([(0, 1), (10, 0.8), (20, 0.6)], 30, base_g=900))
    assert (seen.method, seen.median_day, seen.window_day) == (
        REACHED,
        pytest.approx(15.0),
        pytest.approx((15.0, 15.0)),
    )


@pytest.mark.parametrize(
    "points",
    [
        [],
        [(0, 1)],
        [(0, 1), (7, 0.93)],
        [(0, 1)] * 5,
        [(0, 1), (7, 1), (14, 1), (21, 1)],
        [(0, 1), (7, 1.01), (14, 1.02), (21, 1.03)],
        [(0, 1), (7, 0.4), (14, 0.999)],
        [(0, 1), (1, 0.31), (2, 0.303), (3, 0.302)],
        [(0, 1), (0.001, 0.99), (0.002, 0.98)],
        [(300, 1), (307, 0.97), (330, 0.95)],
        [(0, 1), (7, 0.95), (1500, 0.7)],
        [(i / 10, 1 - i / 40000) for i in range(10_000)],
    ],
)
def test_odd_weigh_ins_give_a_sane_answer(points):
    seen = forecast(Basis(points, 72, base_g=1000))
    now = points[-1][0] if points else 0
    assert seen.p_levels_off is None or 0 <= seen.p_levels_off <= 1
    if seen.window_day is not None:
        lo, hi = seen.window_day
        assert now < lo <= seen.median_day <= hi < math.inf


@pytest.mark.parametrize(
    ("points", "target", "more"),
    [
        ([(0, 1), (7, math.nan)], 35, {}),
        ([(0, 1), (math.inf, 0.9)], 35, {}),
        ([(0, 1), (7, 0.9), (3, 0.8)], 35, {}),
        ([(0, 1), (7, 0.0)], 35, {}),
        ([(0, 1), (7, -3)], 35, {}),
        ([(-3, 1), (7, 0.9)], 35, {}),
        ([(0, 1), (7, 1.2)], 35, {}),
        ([(0, 1)], 0, {}),
        ([(0, 1)], math.nan, {}),
        ([(0, 1)], 35, {"diameter_mm": -1}),
        ([(0, 1)], 35, {"moisture_pct": 99}),
        ([(0, 1)], 35, {"base_g": 0}),
        ([(0, 1)], 35, {"base_g": math.nan}),
        ([(0, 1)], 35, {"scale_division_g": 0}),
    ],
)
def test_nonsense_is_refused_with_a_sentence(points, target, more):
    with pytest.raises(Refused, match=r"^[A-Z0-9].*\w.*[:.]"):
        forecast(Basis(points, target, **({"base_g": 1000} | more)))


def test_random_weigh_ins_never_break_it():
    rng = random.Random(7)
    for _ in range(150):
        days = sorted(rng.uniform(0, 200) for _ in range(rng.randint(1, 12)))
        points = [(d, rng.uniform(0.3, 1.0)) for d in days]
        try:
            seen = forecast(Basis(points, rng.uniform(5, 60), base_g=rng.uniform(100, 9000)))
        except Refused:
            continue
        if seen.window_day is not None and seen.method != REACHED:
            assert points[-1][0] < seen.window_day[0] <= seen.median_day <= seen.window_day[1]


def test_sixty_weigh_ins_and_one_more_cost_little():
    """Bounds three times those asked for, since the tests may share the processor."""
    net = [(d, round(1000 * y) / 1000) for d, y in curve([3.0 * i for i in range(60)], tau=150)]
    kw = {"base_g": 1000, "diameter_mm": 80}
    post = forecast(Basis(net[:-1], 42, **kw)).posterior

    def fastest(**more):
        spent = []
        for _ in range(5):
            start = time.perf_counter()
            forecast(Basis(net, 42, **kw, **more))
            spent.append(time.perf_counter() - start)
        return min(spent)

    assert fastest() < 0.180
    assert fastest(posterior=post) < 0.015


def test_body_guesses_what_was_not_measured():
    guessed = body_of(1000.0)
    assert guessed.length_m == pytest.approx(6 * guessed.radius_m, rel=1e-6)
    litres = math.pi * guessed.radius_m**2 * guessed.length_m * 1000
    assert litres * prior.MEAT_DENSITY_KG_M3 / 1000 == pytest.approx(1.0)


@pytest.mark.parametrize("tau", [25.0, 40.0, 70.0])
def test_a_weight_the_day_after_the_last_tells_little(tau: float) -> None:
    """Half a percent more lost, read twice on a scale of 1 g: days pass before it says much."""
    points = [
        (d, round(1500 * (1 - 0.5 * (1 - math.exp(-((d / tau) ** 0.9))))) / 1500)
        for d in (0.0, 7.0, 14.0)
    ]
    found = forecast(
        Basis(points, 32.0, base_g=1500.0, scale_division_g=1.0, diameter_mm=70.0, in_bag=False)
    )
    assert found.window_day is not None
    again = weigh_again_by(14.0, found.narrows, found.window_day[0], 7.0)
    assert 17.0 <= again <= 21.0
    tells = dict(found.narrows)
    assert tells[15.0] < 0.8 * tells[21.0]


def test_noise_of_the_scale_weakens_what_a_weight_tells_as_spearman_says() -> None:
    """Attenuation (Spearman 1904): seen = true × √(variance / (variance + noise))."""
    losses = [0.01 * n for n in range(1, 11)]
    ends = [math.exp(-loss) for loss in losses]
    spread = sum((x - 0.055) ** 2 for x in losses) / len(losses)
    true, seen = _correlations([losses, losses], ends, [0.0, 3 * spread])
    assert true == pytest.approx(1.0)
    assert seen == pytest.approx(math.sqrt(1 / 4))
