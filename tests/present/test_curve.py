"""The drawn curve of a lot that dries no more: the days of drying fill it, the rest is words."""

import re
from datetime import UTC, date, timedelta

import pytest

from curedash.domain.curing.stages import spans
from curedash.domain.drying.lot_figures import figures
from curedash.domain.record import replace
from curedash.domain.times import moment, utc_text
from curedash.present.drying.curve import lot_curve_lines
from curedash.present.drying.lot import facts
from curedash.present.words import cells, text_of
from curedash.services.drying.lot_curve import LotCurve, Point
from curedash.services.lot_view import LotView, water_of
from tests.build import NOW, weighed

HUNG_DAYS = 364  # since hanging, today
LOSSES = ((0, 0.0), (10, 12.0), (20, 21.0), (30, 28.0), (40, 33.0), (364, 35.0))


def finished(*after: tuple[str, float]):
    """Hung 364 days ago, 40 days of drying, then what is named with its first day."""
    hung = NOW - timedelta(days=HUNG_DAYS)
    entries = [("drying", hung), *((to, hung + timedelta(days=on)) for to, on in after)]
    record = weighed((HUNG_DAYS, 1534), (324, 1028), tare_g=28.0, code="C2")
    last = entries[-1]
    record = replace(record, hang_at=utc_text(hung), stage=last[0], stage_at=utc_text(last[1]))
    points = tuple(Point(n, "", d, pct, 0.0, "stage", None) for n, (d, pct) in enumerate(LOSSES))
    shown = LotCurve(record, "hang", False, points, (), spans(entries, NOW), (30.0, 35.0), None)
    return record, shown


def axis_days(lines) -> list[int]:
    """The days written under the axis."""
    texts = [text_of(line) for line in lines]
    ticks = next(text for text in texts if re.search(r"\d d\b", text) and "│" not in text)
    return [int(found) for found in re.findall(r"\d+", ticks)]


@pytest.mark.parametrize("size", [(43, 12), (60, 6), (60, 14), (100, 30)])
def test_the_axis_ends_with_the_days_of_drying(size):
    width, height = size
    _, curve = finished(("equalising", 40), ("keeping", 52), ("closed", 364))
    lines = lot_curve_lines(curve, float(HUNG_DAYS), width, height)
    assert len(lines) <= height
    assert {cells(text_of(line)) for line in lines} == {width}
    assert 20 <= axis_days(lines)[-1] <= 41
    parts = ("then equalising 12 d", "keeping 312 d", "closed on day 364", "35.0 % lost by then")
    told = text_of(lines[-1]).rstrip()
    assert told == ", ".join(parts[: told.count(",") + 1])
    assert told.count(",") == 3 or len(", ".join(parts[: told.count(",") + 2])) > width


def test_what_still_dries_runs_to_today_and_says_nothing_of_later():
    _, curve = finished()
    lines = lot_curve_lines(curve, float(HUNG_DAYS), 80, 14)
    assert axis_days(lines)[-1] > 300
    assert not any("then " in text_of(line) for line in lines)


@pytest.mark.parametrize("height", [5, 8, 12, 30])
def test_the_ends_of_the_target_stand_on_the_axis(height):
    _, curve = finished()
    texts = [text_of(line) for line in lot_curve_lines(curve, float(HUNG_DAYS), 60, height)]
    heads = [text.partition("├")[0].strip(" %") for text in texts if "├" in text]
    marked = {float(head) for head in heads if head}
    assert 30.0 in marked or 35.0 in marked
    assert marked <= {30.0, 35.0}
    assert height < 8 or any("─ target 30–35 %" in text for text in texts)


def test_every_sign_that_is_drawn_is_explained_where_there_is_room():
    _, curve = finished(("equalising", 40), ("drying", 52))
    first, second, *others = curve.points
    shown = replace(curve, points=(first, replace(second, flagged="slip"), *others))
    texts = [text_of(line) for line in lot_curve_lines(shown, float(HUNG_DAYS), 44, 16)]
    assert any("?" in text and "│" in text for text in texts)
    told = " ".join(" ".join(texts[-2:]).split())
    assert told == "─ target 30–35 % ┊ stage ? doubtful • weigh-in"


def test_a_rate_only_while_it_dries():
    for after, told in (((), True), ((("closed", 40),), False), ((("on-hold", 40),), False)):
        record, curve = finished(*after)
        shown = figures(record, NOW, UTC, "hang")
        view = LotView(record, None, shown, (), curve, (), (), water_of(record), None, ())
        known = {name: value for name, value, _ in facts(view, date(2026, 11, 25), UTC)}
        assert ("rate" in known) is told


def test_a_lot_closed_in_another_year_names_it():
    record, curve = finished(("closed", 3))
    shown = figures(record, NOW, UTC, "hang")
    view = LotView(record, None, shown, (), curve, (), (), water_of(record), None, ())
    on = moment(record.stage_at)
    known = {name: value for name, value, _ in facts(view, date(2026, 11, 25), UTC)}
    assert known["stage"] == f"closed {on.day} {on:%b} 2025"
