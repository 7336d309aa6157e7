"""The drawn curve of a lot that dries no more: the days of drying fill it, the rest is words."""

import re
from datetime import UTC, date, datetime, timedelta

import pytest

from curedash.domain.curing.stages import spans
from curedash.domain.drying.lot_figures import figures
from curedash.domain.record import replace
from curedash.domain.records import StoredForecast
from curedash.domain.times import moment, utc_text
from curedash.present.drying.curve import (
    CENTRE,
    DOUBTFUL,
    FAN,
    REBASE,
    STAGE,
    TODAY,
    WEIGH_IN,
    lot_curve_lines,
)
from curedash.present.drying.lot import facts
from curedash.present.signs import SETS, in_set
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


def axis_dates(lines) -> list[date]:
    """The days written under the axis, in the year after it was hung."""
    texts = [text_of(line) for line in lines]
    axis = next(text for text in texts if re.search(r"\d [A-Z][a-z]{2}", text) and "│" not in text)
    hung = (NOW - timedelta(days=HUNG_DAYS)).date()
    found = [
        datetime.strptime(f"{each} {hung.year}", "%d %b %Y").date()
        for each in re.findall(r"\d+ [A-Z][a-z]{2}", axis)
    ]
    return [each if each >= hung else each.replace(year=each.year + 1) for each in found]


@pytest.mark.parametrize("size", [(43, 12), (60, 6), (60, 14), (100, 30)])
def test_the_axis_ends_with_the_days_of_drying(size):
    width, height = size
    _, curve = finished(("equalising", 40), ("keeping", 52), ("closed", 364))
    lines = lot_curve_lines(curve, NOW, UTC, width, height)
    assert len(lines) <= height
    assert {cells(text_of(line)) for line in lines} == {width}
    hung = (NOW - timedelta(days=HUNG_DAYS)).date()
    assert axis_dates(lines)[0] == hung
    assert 20 <= (axis_dates(lines)[-1] - hung).days <= 41
    parts = ("then equalising 12 d", "keeping 312 d", "closed on day 364", "35.0 % lost by then")
    told = text_of(lines[-1]).rstrip()
    assert told == ", ".join(parts[: told.count(",") + 1])
    assert told.count(",") == 3 or len(", ".join(parts[: told.count(",") + 2])) > width


def test_what_still_dries_runs_to_today_and_says_nothing_of_later():
    _, curve = finished()
    texts = [text_of(line) for line in lot_curve_lines(curve, NOW, UTC, 80, 14)]
    axis = next(text for text in texts if "2026" in text)
    assert re.findall(r"[A-Z][a-z]{2} \d{4}", axis)[-1] in ("Sep 2026", "Oct 2026", "Nov 2026")
    assert not any("then " in text for text in texts)


def forecast_ahead(weighed_to: int):
    """Hung 40 days ago at 40 g a kilogram a week; a window of days 50 to 60 is stored."""
    hung = NOW - timedelta(days=40)
    stored = StoredForecast(1, None, "", "", 55.0, 50.0, 60.0, None, "weigh-ins")
    record = replace(finished()[0], hang_at=utc_text(hung), forecast=stored)
    points = tuple(
        Point(n, "", float(d), 0.6 * d, 0.0, "stage", None)
        for n, d in enumerate(range(0, weighed_to + 1, 7))
    )
    stays = spans([("drying", hung)], NOW)
    return LotCurve(record, "hang", False, points, (), stays, (30.0, 35.0), (50.0, 60.0))


@pytest.mark.parametrize("size", [(36, 8), (43, 12), (60, 14), (72, 21), (110, 24)])
def test_the_window_is_a_bracket_on_its_dates_and_the_fan_leads_to_it(size):
    """Hung on 16 October: days 50 and 60 are 5 and 15 December, today is 25 November."""
    width, height = size
    lines = lot_curve_lines(forecast_ahead(35), NOW, UTC, width, height)
    texts = [text_of(line) for line in lines]
    axis = next(text for text in texts if "┘" in text and "pull window" not in text)
    assert axis.lstrip().startswith("16 Oct")
    assert re.search(r"5–15 Dec └─*┘", axis)
    left = next(text.index("│") + 1 for text in texts if "│" in text)
    room = width - left
    assert abs(axis.index("└") - left - 50 / 60 * (room - 1)) <= 1
    assert axis.rstrip().endswith("┘")
    assert len(axis.rstrip()) == width
    today = {text.index(":") for text in texts if ":" in text and "│" in text}
    assert len(today) == 1
    assert abs(today.pop() - left - 40 / 60 * (room - 1)) <= 1
    fan = [(x, y) for y, text in enumerate(texts) for x, char in enumerate(text) if char == "░"]
    drawn = [(x, y) for x, y in fan if "│" in texts[y] or "┤" in texts[y]]
    assert min(x for x, _ in drawn) >= left + 35 / 60 * (room - 1) - 1
    assert max(x for x, _ in drawn) <= width
    assert any("+" in text and ("│" in text or "┤" in text) for text in texts)


def test_a_lot_that_is_there_names_the_day_it_got_there():
    curve = forecast_ahead(35)
    there = replace(curve, points=(*curve.points, Point(9, "", 38.0, 31.0, 0.0, "stage", None)))
    there = replace(there, window_days=(37.0, 37.0))
    texts = [text_of(line) for line in lot_curve_lines(there, NOW, UTC, 60, 14)]
    assert any("reached 22 Nov └┘" in text or "└┘ reached 22 Nov" in text for text in texts)
    assert not any("░" in text for text in texts)


def test_weigh_ins_too_close_for_their_signs_leave_the_line_between_them():
    curve = forecast_ahead(35)
    daily = tuple(Point(n, "", n / 4, n / 8, 0.0, "stage", None) for n in range(150))
    texts = [
        text_of(line) for line in lot_curve_lines(replace(curve, points=daily), NOW, UTC, 60, 20)
    ]
    signs = sum(text.count("•") for text in texts[:-3])
    assert 5 <= signs <= 60 / 2


@pytest.mark.parametrize("height", [5, 8, 12, 30])
def test_the_ends_of_the_target_stand_on_the_axis(height):
    _, curve = finished()
    texts = [text_of(line) for line in lot_curve_lines(curve, NOW, UTC, 60, height)]
    heads = [text.partition("┤")[0].strip(" %") for text in texts if "──" in text and "┤" in text]
    marked = {float(head) for head in heads if head}
    assert 30.0 in marked or 35.0 in marked
    assert marked <= {30.0, 35.0}
    assert height < 8 or any("─ target 30–35 %" in text for text in texts)


def test_every_sign_that_is_drawn_is_explained_where_there_is_room():
    _, curve = finished(("equalising", 40), ("drying", 52))
    first, second, *others = curve.points
    shown = replace(curve, points=(first, replace(second, flagged="slip"), *others))
    texts = [text_of(line) for line in lot_curve_lines(shown, NOW, UTC, 44, 16)]
    assert any("?" in text and "│" in text for text in texts)
    told = " ".join(" ".join(texts[-2:]).split())
    assert told == "─ target 30–35 % • weigh-in ┊ stage ? doubtful"


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


def test_every_sign_of_a_curve_is_another_one_in_each_set_of_signs():
    """In letters and digits the fan is not drawn like the target, nor a stage like today."""
    signs = (WEIGH_IN, DOUBTFUL, REBASE, STAGE, FAN, CENTRE, TODAY, "─")
    for name in SETS:
        shown = [in_set(name, sign) for sign in signs]
        assert len(set(shown)) == len(signs), (name, shown)


def test_a_window_behind_a_target_that_is_reached_is_its_first_day():
    curve = forecast_ahead(35)
    there = replace(curve, points=(*curve.points, Point(9, "", 38.0, 31.0, 0.0, "stage", None)))
    texts = [text_of(line) for line in lot_curve_lines(there, NOW, UTC, 60, 14)]
    assert any("reached 5 Dec └┘" in text or "└┘ reached 5 Dec" in text for text in texts)
