"""A hang weight nobody weighed, estimated and held against pieces that somebody did weigh.

Source of the weights: home logs with their hang weight in tests/data/series/published.csv (elk,
saucisson, lamb); none of them says how thick it was, so a piece three times as long as thick is
taken, as the program does.
"""

import csv
import math
from collections import defaultdict
from pathlib import Path

import pytest

from curedash.domain.drying.forecast import Basis, forecast, never_weighed, over_starts
from curedash.domain.drying.start_guess import start_from_days, start_from_green
from curedash.domain.errors import Refused

SERIES = Path(__file__).parents[1] / "data" / "series" / "published.csv"


def weighed_logs() -> dict[str, list[tuple[float, float]]]:
    """Day and net weight [g] of every log that is in grams."""
    found: dict[str, list[tuple[float, float]]] = defaultdict(list)
    grams = set()
    with SERIES.open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            grams |= {row["id"]} if row["unit"] == "g" else set()
            if row["id"] in grams:
                found[row["id"]].append((float(row["day"]), float(row["value"])))
    return found


def test_the_hang_weight_of_published_logs_lies_within_the_guess_from_days_alone() -> None:
    inside, looked_at = 0, 0
    for points in weighed_logs().values():
        hang_g = points[0][1]
        thick_mm = (4 * hang_g / 1.05e-3 / (3 * math.pi)) ** (1 / 3)
        for day, net_g in points[1:]:
            if day >= 3:
                guess = start_from_days(net_g, day, thick_mm)
                looked_at += 1
                inside += abs(guess.hang_g - hang_g) <= guess.pm_g
    assert looked_at >= 25
    assert inside / looked_at >= 0.8


def test_a_green_weight_narrows_the_guess_and_a_roast_widens_it() -> None:
    weighed, roast = start_from_green(1000, None, 700), start_from_green(1000, 150, 700)
    assert weighed.hang_g == roast.hang_g == pytest.approx(970)
    assert weighed.pm_g == pytest.approx(40)
    assert roast.pm_g > 3 * weighed.pm_g
    assert start_from_days(700, 21, 70).pm_g > 2 * weighed.pm_g
    assert start_from_green(600, 60, 700).hang_g == 700  # it hung with no less than it weighs


@pytest.mark.parametrize(("net_g", "days", "thick_mm"), [(0, 1, 70), (700, -1, 70), (700, 1, 0)])
def test_nonsense_is_refused(net_g: float, days: float, thick_mm: float) -> None:
    with pytest.raises(Refused):
        start_from_days(net_g, days, thick_mm)


def test_a_window_of_a_guessed_start_holds_that_of_a_weighed_one() -> None:
    points = weighed_logs()["elk-638"]
    hang_g = points[0][1]
    later = [(day, net_g) for day, net_g in points if 5 <= day <= 12]
    thick_mm = (4 * hang_g / 1.05e-3 / (3 * math.pi)) ** (1 / 3)
    guess = start_from_days(later[0][1], later[0][0], thick_mm)
    rows = [(0.0, 1.0), *((day, net_g / guess.hang_g) for day, net_g in later)]
    told = over_starts(Basis(rows, 30.0, base_g=guess.hang_g), guess.pm_g)
    sure = forecast(Basis([(d, g / hang_g) for d, g in points if d <= 12], 30.0, base_g=hang_g))
    assert told.window_day is not None
    assert sure.window_day is not None
    reached = next(day for day, net_g in points if net_g <= 0.7 * hang_g)
    assert told.window_day[0] <= sure.window_day[0] <= sure.window_day[1] <= told.window_day[1]
    assert told.window_day[0] <= reached <= told.window_day[1]
    assert never_weighed(30.0, thick_mm).window_day is not None
