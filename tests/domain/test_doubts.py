"""What a weigh-in is asked about: logs of real pieces pass, sudden losses do not."""

import csv
import json
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from curedash.domain.drying.lot_figures import expected_net_g
from curedash.domain.weighing.doubts import (
    Expectation,
    WeighInContext,
    WeighInEntry,
    cut_doubt,
    green_doubt,
    weigh_in_doubts,
)
from tests.build import NOW, weighed

SERIES = Path(__file__).parents[1] / "data" / "series"
DAY = 86_400.0
Log = list[tuple[float, float]]  # days since hanging, net grams


def kinds(log: Log, net_g: float, day: float, thickness_mm: float | None) -> list[str]:
    """What is asked about a weight typed on a day, after this log; no forecast is stored."""
    points = [(day - at, grams) for at, grams in log]
    expected = expected_net_g(weighed(*points, now=NOW, thickness_mm=thickness_mm), NOW)
    at = NOW.timestamp()
    context = WeighInContext(
        last_net_g=log[-1][1],
        last_at=(NOW - timedelta(days=day - log[-1][0])).timestamp(),
        base_g=log[0][1],
        thickness_mm=thickness_mm,
        expected=None if expected is None else Expectation("C2", *expected),
    )
    return [doubt.kind for doubt in weigh_in_doubts(WeighInEntry(net_g, 0.0, at), context)]


def published() -> dict[str, Log]:
    """The series in print that have a start; losses as grams of a piece of 1000 g."""
    logs: dict[str, Log] = {}
    with (SERIES / "published.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            value = float(row["value"])
            net_g = value if row["unit"] == "g" else 1000 - 10 * value
            logs.setdefault(row["id"], []).append((float(row["day"]), net_g))
    return {name: log for name, log in logs.items() if log[0][0] == 0 and len(log) > 2}


@pytest.mark.parametrize("name", sorted(published()))
@pytest.mark.parametrize("thickness_mm", [None, 45.0, 80.0])
def test_no_weigh_in_of_a_published_log_is_asked_about(name, thickness_mm):
    """The sources stand in the file: a home log of 2014, two papers."""
    log = published()[name]
    for n in range(1, len(log)):
        day, net_g = log[n]
        assert kinds(log[:n], net_g, day, thickness_mm) == []


def simulated() -> list[tuple[float, Log]]:
    """Every second simulated piece: its diameter and its log, slips of 8 g included."""
    text = (SERIES / "simulated-households.json").read_text(encoding="utf-8")
    pieces = json.loads(text)["pieces"][::2]
    return [(p["diameter_mm"], list(zip(p["day"], p["net_g"], strict=True))) for p in pieces]


def test_one_weigh_in_in_a_hundred_is_asked_about_at_most():
    """Of 3 % slips of 8 g many are rightly called heavier; far off and too fast stay rare."""
    found, weigh_ins = Counter(), 0
    for diameter_mm, log in simulated():
        for n in range(1, len(log)):
            weigh_ins += 1
            found.update(kinds(log[:n], log[n][1], log[n][0], diameter_mm))
    assert weigh_ins > 2000
    assert found["heavier"] < 0.01 * weigh_ins
    assert sum(found.values()) - found["heavier"] < 0.004 * weigh_ins


def test_a_sudden_loss_of_more_than_eight_points_is_asked_about():
    """Past the first days, weighed within a week, 8.6 points of the hang weight gone."""
    asked = of = 0
    for diameter_mm, log in simulated():
        for n in range(3, len(log)):
            (before, last_g), day = log[n - 1], log[n][0]
            if day - before <= 7 and 0.08 < 1 - last_g / log[0][1] < 0.3:
                of += 1
                asked += bool(kinds(log[:n], last_g - 0.086 * log[0][1], day, diameter_mm))
    assert of > 500
    assert asked > 0.8 * of


def test_the_slip_of_a_cold_user_is_asked_about():
    """16.4 % lost, then 25 % five days later."""
    log: Log = [(0, 1000), (7, 930), (14, 880), (20, 850), (25, 836)]
    assert kinds(log, 750, 30, 80.0) == ["far-off"]
    assert kinds(log, 812, 30, 80.0) == []


def test_a_fast_first_week_is_no_sudden_loss():
    """Before there is a rate only physics judges: 9 % in the first three days of a thin piece."""
    assert kinds([(0, 500)], 455, 3, 45.0) == []


def test_more_than_a_published_first_week_is_asked_about():
    """The fastest of the published series, a small sausage of 380 g, lost 25.0 % in a week."""
    assert kinds([(0, 380)], 285, 7, 60.0) == []
    assert kinds([(0, 1000)], 690, 7, 60.0) == ["far-off"]
    assert kinds([(0, 1000)], 450, 7, 60.0) != []


# ── parts of a cut ────────────────────────────────────────────────────────────────────────

OUNCE_G = 28.349523125  # exact by the international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("whole_g", "parts_g", "asked"),
    [
        (700, 700, None),
        (700, 689, None),
        (700, 688, "missing"),
        (700, 704, None),
        (700, 705, "heavier"),
        (700, 349, "missing"),
        (3000, 2966, None),
        (3000, 2965, "missing"),
    ],
)
def test_parts_may_weigh_less_by_knife_and_scale(whole_g, parts_g, asked):
    """By hand: 1 % and four steps of 1 g for two parts, 11 g of 700 and 34 g of 3000."""
    found = cut_doubt(whole_g, parts_g, 2, 1.0, trimmed=False)
    assert (found and found.kind) == asked


def test_what_was_trimmed_off_is_not_asked_about_until_half_is_gone():
    assert cut_doubt(700, 400, 2, 1.0, trimmed=True) is None
    assert cut_doubt(700, 349, 2, 1.0, trimmed=True).kind == "missing"


@pytest.mark.parametrize(("readings", "asked"), [(1, ["too-fast"]), (2, [])])
def test_parts_added_up_are_no_drying_within_minutes(readings, asked):
    """0.7 oz less than 2 lb 9.4 oz, five minutes after: 1.7 %, or the knife and four weighings."""
    last_g = (2 * 16 + 9.4) * OUNCE_G
    at = NOW.timestamp()
    context = WeighInContext(
        last_net_g=last_g,
        last_at=at - 300,
        base_g=1.3 * last_g,
        thickness_mm=80.0,
        readings=readings,
    )
    found = weigh_in_doubts(WeighInEntry(last_g - 0.7 * OUNCE_G, 0.0, at), context)
    assert [doubt.kind for doubt in found] == asked


def test_two_tenths_of_an_ounce_within_minutes_are_the_scale():
    """Two steps of a scale in ounces, 6 g on one that shows grams; 13 g of 680 are asked about."""
    last_g = 24 * OUNCE_G
    at = NOW.timestamp()
    context = WeighInContext(last_net_g=last_g, last_at=at - 300, base_g=900.0, thickness_mm=80.0)
    assert weigh_in_doubts(WeighInEntry(23.8 * OUNCE_G, 0.0, at), context) == ()
    assert weigh_in_doubts(WeighInEntry(674.0, 0.0, at), context) == ()
    found = weigh_in_doubts(WeighInEntry(667.0, 0.0, at), context)
    assert [doubt.kind for doubt in found] == ["too-fast"]
    assert "in 5 min" in found[0].question


def test_two_figures_swapped_are_offered_only_where_the_fix_raises_no_question():
    """A piece of 1240 g net with 28 g of tare: 1430 g is 162 g more, and 1340 g still 72 g."""
    expected = Expectation("A2", 1214.5, 26.5)
    context = WeighInContext(last_net_g=1240, last_at=0, base_g=1290, expected=expected)

    def asked(gross_g: float) -> tuple[str, float | None]:
        (doubt,) = weigh_in_doubts(WeighInEntry(gross_g, 28, 4 * DAY), context)
        return str(doubt.question), doubt.likely_fix_g

    assert asked(1430) == ("162 g heavier than last time. Was something left on it?", None)
    assert asked(1500) == ("232 g heavier than last time. Was something left on it?", None)
    assert asked(1320) == ("52 g heavier than last time: 1230 g?", 1230)


@pytest.mark.parametrize(
    ("green_g", "known_g", "hung_g", "asked"),
    [
        (100, 1520, 1460, "It was hung at 1460 g. Is a green weight of 100 g right?"),
        (15200, 1520, 1460, "It was hung at 1460 g. Is a green weight of 15200 g right?"),
        (1025, 1520, 1460, "It was hung at 1460 g. Is a green weight of 1025 g right?"),
        (1570, 15200, 1460, None),
        (2080, 1520, 1460, None),
        (10000, 1000, None, "10000 g is far from the green weight so far, 1000 g. Right?"),
        (100, 1000, None, "100 g is far from the green weight so far, 1000 g. Right?"),
        (1340, 1000, None, None),
    ],
)
def test_a_green_weight_put_right_goes_with_what_the_lot_weighed(green_g, known_g, hung_g, asked):
    """The bands are design values of our own: hung with 0.7 to 1.35 of green."""
    doubt = green_doubt(green_g, known_g, hung_g)
    assert (None if doubt is None else str(doubt.question)) == asked


DRY, RESTED, BRINED = (0.85, 1.02), (0.7, 1.02), (0.85, 1.25)


@pytest.mark.parametrize(
    ("net_g", "shares", "asked"),
    [
        (
            1470,
            DRY,
            "1470 g net is 28 % more than the green weight 1150 g: meat gets lighter in a dry cure."
            " Is it right?",
        ),
        (1176, DRY, "1176 g net is 2 % more than the green weight 1150 g"),
        (1172, DRY, None),
        (980, DRY, None),
        (960, DRY, "960 g net is 17 % less than the green weight 1150 g: much for a cure."),
        (960, RESTED, None),
        (1400, BRINED, None),
        (1470, BRINED, "1470 g net is 28 % more than the green weight 1150 g: much for a cure."),
    ],
)
def test_a_weight_out_of_the_cure_is_held_against_the_green_one(net_g, shares, asked):
    """Design values: 2 % of water after rinsing, 15 % lost dry, 25 % taken up of a brine."""
    context = WeighInContext(stage="in-cure", green_g=1150, shares=shares)
    found = [str(doubt.question) for doubt in weigh_in_doubts(WeighInEntry(net_g, 0, DAY), context)]
    assert found == [] if asked is None else found[0].startswith(asked)


def test_two_divisions_of_the_scale_and_an_estimate_ask_nothing():
    """100 g green shown as 102 g; a guess of 1000 ± 40 g hung at 1060 g."""
    small = WeighInContext(stage="in-cure", green_g=50, shares=DRY)
    assert not weigh_in_doubts(WeighInEntry(52, 0, DAY), small)
    guess = WeighInContext(stage="in-cure", green_g=1000, shares=DRY, spread_g=60)
    assert not weigh_in_doubts(WeighInEntry(1060, 0, DAY), guess)
