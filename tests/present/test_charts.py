"""Every chart, of no point, one, two and many, equal ones, with gaps, of a day and of three years.

What is asserted is arithmetic: as many lines and cells as there is room for, and no chart fails.
"""

import io
import json
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from curedash.cli.forecast_plot import plot
from curedash.domain.curing.stages import spans
from curedash.domain.drying.forecast import Basis, forecast
from curedash.domain.record import replace
from curedash.domain.records import Place, StoredForecast
from curedash.papers.curve_svg import Curve, svg
from curedash.present.drying.curve import laid_over_lines, lot_curve_lines
from curedash.present.places.air_curve import PANELS, curve_lines
from curedash.present.words import cells, text_of
from curedash.services.drying.lot_curve import LotCurve, Point
from curedash.services.places.air_view import AirPoint, Failure
from tests.build import NOW, weighed

HOUR_S, DAY_S = 3600, 86_400
NOBODY = Place(1, "Chamber", None, None, None, None, "sensor", None)
BANDED = Place(1, "Chamber", 10.0, 14.0, 72.0, 82.0, "sensor", None)
END_S = int(NOW.timestamp())

sizes = st.tuples(st.integers(24, 160), st.integers(5, 50))
#: -60 to 200: what a broken sensor sends; the usual air; none at all
values = st.one_of(st.none(), st.floats(-60, 200), st.just(12.0))
#: how long before now, in seconds: within a day, a week, three years; with gaps as drawn
ages = st.one_of(st.integers(0, DAY_S), st.integers(0, 7 * DAY_S), st.integers(0, 1096 * DAY_S))


@st.composite
def air(draw):
    """Stretches of air in order of time, some with half of it."""
    at = sorted(draw(st.lists(ages, max_size=40)), reverse=True)
    found = []
    for age in at:
        temp_c, rh_pct = draw(values), draw(st.one_of(st.none(), st.floats(0, 100)))
        found.append(
            AirPoint(END_S - age, temp_c, temp_c, temp_c, rh_pct, rh_pct, rh_pct, temp_c, rh_pct)
        )
    return found


def point(temp_c: float, age_s: int = 0) -> AirPoint:
    return AirPoint(END_S - age_s, temp_c, temp_c, temp_c, 76.0, 76.0, 76.0, 8.0, 3.0)


@given(
    air(),
    st.sampled_from(sorted(PANELS)),
    st.sampled_from([NOBODY, BANDED]),
    sizes,
    st.booleans(),
    st.booleans(),
)
@example([], "temp", BANDED, (80, 20), True, False)
@example([point(12.3)], "temp", BANDED, (80, 20), True, False)
@example([point(12.3)], "temp", NOBODY, (80, 20), False, False)
@example([point(12.3, 60), point(12.3)], "humid", NOBODY, (80, 20), False, False)
@example([point(3000.0, 60), point(-40.0)], "temp", BANDED, (80, 20), False, False)
@example([point(12.3)], "temp", BANDED, (80, 20), False, True)
def test_the_air_of_a_place_is_drawn(points, panel, place, size, asked, failed):
    width, height = size
    span = (NOW - timedelta(days=7), NOW) if asked else None
    told = [Failure(END_S - HOUR_S, END_S, 14.0)] if failed else []
    lines = curve_lines(points, panel, place, UTC, width, height, told, span)
    assert 0 < len(lines) <= max(6, height)
    assert all(cells(line) <= width for line in lines)


def test_one_reading_is_a_mark_between_the_days_that_were_asked_for():
    span = (NOW - timedelta(days=7), NOW)
    lines = curve_lines([point(12.3)], "temp", BANDED, UTC, 80, 20, (), span)
    first = NOW - timedelta(days=6)
    assert f"{first.day} " in lines[-1]
    assert lines[-1].count(":") == 0
    assert any("•" in line for line in lines)


days = st.one_of(st.floats(0, 1), st.floats(0, 60), st.floats(0, 1096))
losses = st.one_of(st.floats(-900, 99), st.floats(0, 60), st.just(30.0))


@st.composite
def curves(draw):
    """A lot's curve with whatever may be known of it."""
    pairs = sorted(draw(st.lists(st.tuples(days, losses), max_size=30)), key=lambda pair: pair[0])
    ends = sorted(draw(st.tuples(losses, losses)))
    window = draw(st.one_of(st.none(), st.tuples(days, days).map(lambda two: tuple(sorted(two)))))
    target = draw(st.one_of(st.none(), st.just(tuple(ends)), st.just((35.0, 40.0))))
    return drawn(pairs, target, window, draw(st.booleans()))


def drawn(pairs, target, window, ended=False) -> LotCurve:
    hung = NOW - timedelta(days=1096)
    entries = [("drying", hung)] + ([("closed", hung + timedelta(days=700))] if ended else [])
    lot = weighed((1096, 1534), (1000, 1028), code="C2")
    if window is not None:
        near = json.dumps([[window[0], 1.0, 2.0, 3.0], [window[1], 10.0, 20.0, 30.0]])
        lot = replace(
            lot,
            forecast=StoredForecast(1, None, "", "", window[0], *window, 0.0, "weigh-ins", near),  # type: ignore[call-arg]
        )
    points = tuple(Point(n, "", d, pct, 0.0, "stage", None) for n, (d, pct) in enumerate(pairs))
    return LotCurve(lot, "hang", False, points, (), spans(entries, NOW), target, window)


@given(curves(), st.one_of(st.none(), days), sizes)
@example(drawn([], None, None), None, (80, 20))
@example(drawn([(0.0, 0.0)], (35.0, 40.0), None), 0.0, (80, 20))
@example(drawn([(0.0, 0.0), (0.0, 0.0)], (0.0, 0.0), (0.0, 0.0)), 0.0, (80, 20))
@example(drawn([(1096.0, 12.0)] * 3, (35.0, 35.0), (1096.0, 1096.0), True), 1096.0, (24, 5))
def test_the_curve_of_a_lot_is_drawn(curve, today, size):
    width, height = size
    now = NOW if today is None else NOW - timedelta(days=1096) + timedelta(days=today)
    lines = lot_curve_lines(curve, now, UTC, width, height)
    assert bool(lines) is bool(curve.points)
    assert len(lines) <= max(height, 6)
    assert {cells(text_of(line)) for line in lines} <= {width}


@given(st.lists(st.lists(st.tuples(days, losses), max_size=8), max_size=12), sizes)
@example([[], [(0.0, 0.0)]], (80, 20))
def test_finished_lots_are_laid_over_each_other(lots, size):
    width, height = size
    lines = laid_over_lines([(f"D{n}", points) for n, points in enumerate(lots)], width, height)
    assert lines
    assert all(cells(text_of(line)) <= width for line in lines)


@given(curves())
@example(drawn([], None, None))
@example(drawn([(0.0, 0.0)], None, None))
def test_the_curve_on_paper_is_drawn(curve):
    pairs = tuple((p.day, p.loss_pct) for p in curve.points)
    text = svg(Curve(pairs, curve.target_pct, curve.window_days, "hang", "C2"))
    assert text.endswith("</svg>")
    assert "nan" not in text
    assert "inf" not in text


@pytest.mark.parametrize(
    "rows",
    [
        [(0.0, 1.0)],
        [(0.0, 1.0), (0.5, 0.99)],
        [(0.0, 1.0), (7.0, 1.0), (14.0, 1.0)],
        [(0.0, 1.0), (7.0, 0.93), (700.0, 0.8)],
        [(7.0 * n, 1.0 - 0.3 * n / 150) for n in range(157)],
    ],
)
def test_the_shell_draws_a_forecast(rows):
    seen = forecast(Basis(rows, 35, base_g=1000))
    out = io.StringIO()
    plot([(d, 100 * (1 - share)) for d, share in rows], seen, 35, out)
    assert "loss %" in out.getvalue()


def test_the_shell_draws_a_forecast_of_a_lot_without_a_weigh_in():
    out = io.StringIO()
    plot([], forecast(Basis([(0.0, 1.0)], 35, base_g=1000)), 35, out)
    assert out.getvalue()


def test_a_clock_that_goes_back_in_autumn_gives_no_day_twice():
    from zoneinfo import ZoneInfo  # the night of 25 October 2026 has 25 hours in Vienna

    zone = ZoneInfo("Europe/Vienna")
    end = datetime(2026, 10, 27, 12, tzinfo=UTC)
    points = [replace_at(int(end.timestamp()) - HOUR_S * n) for n in range(168, 0, -4)]
    axis = curve_lines(points, "temp", BANDED, zone, 80, 20, (), (end - timedelta(days=7), end))[-1]
    assert axis.count("25") == 1


def replace_at(at: int) -> AirPoint:
    return AirPoint(at, 12.0, 12.0, 12.0, 76.0, 76.0, 76.0, 8.0, 3.0)
