"""A lot, the Book and the curve in words: widths, marks, estimates called estimates."""

from datetime import UTC, date, datetime, timedelta

import pytest

from curedash.domain.drying.lot_figures import figures, past_range_in_days
from curedash.domain.household.book import FinishedLot
from curedash.domain.needs.diary import DiaryItem
from curedash.domain.record import replace
from curedash.domain.records import StoredForecast
from curedash.domain.times import utc_text
from curedash.present.curing.cure_days import before_curve_lines
from curedash.present.drying.curve import laid_over_lines, lot_curve_lines
from curedash.present.drying.lot import compact_lines, fact_lines, facts, log_line, title_line
from curedash.present.household.book import NARROW, WIDE, book_row, heads_line, layout_for
from curedash.present.needs.diary import item_words
from curedash.present.words import cells, day, text_of
from curedash.services.drying.lot_curve import LotCurve, Point
from curedash.services.household.history import LogLine
from curedash.services.lot_view import LotView, water_of
from tests.build import NOW, lot, weighed
from tests.hostile import HOSTILE

DRYING = weighed((31, 1534), (24, 1420), (14, 1300), (7, 1164), tare_g=28.0, code="C2")


def curve(record, losses=((0, 0), (7, 7.4), (17, 15.3), (24, 24.1)), window=None) -> LotCurve:
    points = tuple(Point(n, "", d, pct, 0.0, "stage", None) for n, (d, pct) in enumerate(losses))
    return LotCurve(record, "hang", False, points, (), (), (30.0, 35.0), window)


def view(record, **more) -> LotView:
    shown = figures(record, NOW, UTC, "hang")
    found = LotView(record, None, shown, (), curve(record), (), (), water_of(record), None, ())
    return replace(found, **more)


def known_facts(record, on=date(2026, 11, 25)) -> dict[str, str]:
    return {name: value for name, value, _ in facts(view(record), on, UTC)}


@pytest.mark.parametrize("size", [(40, 6), (43, 12), (60, 5), (76, 30)])
def test_a_curve_fills_its_room_exactly(size):
    width, height = size
    stored = StoredForecast(1, None, "", "", 45.0, 40.0, 52.0, None, "weigh-ins")
    lines = lot_curve_lines(
        curve(replace(DRYING, forecast=stored), window=(40.0, 52.0)), NOW, UTC, width, height
    )
    assert {cells(text_of(line)) for line in lines} == {width}
    text = "\n".join(text_of(line) for line in lines)
    assert "░" in text
    assert "+" in text
    assert "•" in text


def test_a_curve_without_points_says_why():
    bare = view(DRYING, lot=lot(hang_g=None))
    lines = before_curve_lines(bare, date(2026, 11, 25), UTC, 40, 10)
    assert text_of(lines[1]).startswith("It begins with the hang weight.")


def test_curves_over_each_other_carry_their_letters():
    drawn = laid_over_lines([("C1", [(0, 0), (10, 12)]), ("C2", [(0, 0), (20, 12)])], 60, 14)
    text = "\n".join(text_of(line) for line in drawn)
    assert "a C1  b C2" in text
    assert "aaa" in text
    assert "bbb" in text


def test_the_water_is_called_an_estimate_and_agrees_with_its_source():
    """A loin at 35 % loss and 2.75 % salt: aw 0.92–0.94, as the rules of the project state it."""
    loin = weighed((31, 1000), (7, 650), style="lonza", total_salt_pct=2.75, green_g=1000.0)
    known = {name: value for name, value, _ in facts(view(loin), date(2026, 11, 25), UTC)}
    assert known["aw"] == "0.92–0.94, estimate"
    assert known["water"].endswith(" % salt, estimate")
    unknown = weighed((31, 1000), (7, 650), style="salami-thick", total_salt_pct=2.75)
    assert water_of(unknown).why_not == "no raw composition is known for this style"


def test_inside_its_range_it_says_when_it_leaves_it_at_the_rate_of_late():
    """3 % in three days, 2 % left to the last value of 35–40 %: two days (arithmetic)."""
    near = weighed((20, 1000), (4, 650), (1, 620))
    assert past_range_in_days(near) == pytest.approx(2.0)
    stored = StoredForecast(1, None, "", "", 15.0, 15.0, 15.0, None, "target reached")
    told = [
        value
        for _, value, _ in facts(view(replace(near, forecast=stored)), date(2026, 11, 25), UTC)
    ]
    assert "over 40 % in about 2 d" in told
    assert past_range_in_days(weighed((20, 1000), (4, 720), (1, 700))) is None, "not there yet"
    assert past_range_in_days(weighed((20, 1000), (4, 610), (1, 590))) is None, "past it"


def test_the_day_to_weigh_again_stands_under_the_window():
    stored = StoredForecast(1, None, "", "", 45.0, 40.0, 52.0, None, "weigh-ins", None, 36.0)
    known = {
        n: v for n, v, _ in facts(view(replace(DRYING, forecast=stored)), date(2026, 11, 25), UTC)
    }
    hung = datetime.fromisoformat(DRYING.hang_at)
    best = day((hung + timedelta(days=36)).date())
    assert known["weigh"] == f"{best} is best for the window"
    late = {
        n: v for n, v, _ in facts(view(replace(DRYING, forecast=stored)), date(2026, 12, 1), UTC)
    }
    assert late["weigh"] == "today is best for the window"
    due = {
        n: v
        for n, v, _ in facts(
            view(replace(DRYING, forecast=stored), weigh_in_days=3), date(2026, 11, 25), UTC
        )
    }
    assert due["weigh"] == f"due Sat 28 Nov; {best} is best for the window"


def test_a_window_that_has_passed_says_so_and_what_to_do():
    """Hung 31 days ago, its window on days 24 to 30; the target was not weighed."""
    stored = StoredForecast(1, None, "", "", 27.0, 24.0, 30.0, None, "weigh-ins", None, 26.0)
    told = facts(view(replace(DRYING, forecast=stored)), date(2026, 11, 25), UTC)
    at = next(n for n, (name, _, _) in enumerate(told) if name == "window")
    assert told[at][1] == "18–24 Nov, passed"
    assert told[at + 1][1] == "weigh it, feel the rim, decide"
    assert "weigh" not in {name for name, _, _ in told}
    last_day = replace(stored, hi_day=31.0)
    told = facts(view(replace(DRYING, forecast=last_day)), date(2026, 11, 25), UTC)
    assert not any("passed" in value for _, value, _ in told)


@pytest.mark.parametrize("width", [35, 46, 60])
def test_facts_keep_their_width(width):
    for name in HOSTILE:
        record = replace(DRYING, tare_what=name, piece=name)
        found = facts(view(record), date(2026, 11, 25), UTC)
        lines = fact_lines(found, width, 12) + compact_lines(found, width, 3)
        assert {cells(text_of(line)) for line in lines} == {width}


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_a_row_of_the_book_is_as_wide_as_its_heads(columns):
    row = FinishedLot(
        id=1,
        code="C2",
        batch="C",
        batch_name="牛肉の燻製",
        piece="[b]end" * 9,
        species="pork",
        cut=None,
        style="coppa",
        style_name="coppa",
        place="Chamber",
        thickness_mm=80.0,
        green_g=1600.0,
        hang_g=1534.0,
        approx=True,
        hang_at=None,
        salted_at=None,
        total_salt_pct=2.75,
        batch_note=None,
        at="2026-11-25T09:00:00Z",
        final_g=1000.0,
        base="hang",
        loss_pct=34.8,
        days=60,
        drying_days=39,
        yield_pct=62.5,
        cost_in=30.0,
        cost_per_kg=30.0,
        currency="EUR",
        cut_face="soft middle",
        liked=4,
        liked_at_pct=34.0,
        note=None,
    )
    layout = layout_for(columns)
    line = text_of(book_row(row, True, layout, UTC))
    assert cells(line) == columns
    assert line.startswith("* C2")
    assert "≈34.8%" in line
    assert cells(heads_line(layout)) <= columns
    assert ("soft middle" in line) == bool(layout.face) == (columns >= WIDE.columns)
    assert ("EUR" in line) == bool(layout.cost) == (columns > NARROW.columns)


def test_a_curing_salt_keeps_its_strength_on_the_lot_page_and_the_dose_sheet():
    from datetime import UTC

    from curedash.domain.facts.curing_salts import CURING_SALTS
    from curedash.domain.records import DoseLine
    from curedash.present.dosing import sheet_lines
    from curedash.present.drying import lot

    name = next(row.name for row in CURING_SALTS if row.id == "no2")
    ticked = DoseLine(
        id=1,
        lot_id=1,
        seq=1,
        kind="salt",
        name=name,
        exact_g=3.84,
        planned_g=3.84,
        weighed_g=3.72,
        ticked_at="2026-11-24T09:00:00Z",
    )
    for draw in (lot.dose_line, sheet_lines.dose_line):
        for width in (60, 80, 120):
            text = "".join(part for part, _ in draw(ticked, UTC, width))
            assert "no. 2, 4 % nitrate " in text or "no. 2 (pink; 4 % nitrate)" in text
        text = "".join(part for part, _ in draw(ticked, UTC, 80))
        assert "curing salt no. 2, 4 % nitrate" in text
    assert text.rstrip().endswith("24 Nov 09:00")


def test_a_batch_named_as_its_style_says_it_once():
    same = replace(DRYING, batch_name="Small leg muscle", style_name="small leg muscle")
    line = text_of(title_line(view(same), 80))
    assert line.casefold().count("small leg muscle") == 1


def test_a_stay_without_drying_is_no_drying_time():
    """Six weeks sealed between two stays: the rate is that of the second one, or not known yet."""
    hung_again = utc_text(NOW - timedelta(days=14))
    again = {"stage": "drying", "stage_at": hung_again, "ferments": False}
    before = (80, 1000), (66, 800), (56, 760)
    one = weighed(*before, (14, 760), (7, 740), (0, 725), **again)
    assert figures(one, NOW, UTC).rate_pct_per_day == pytest.approx(0.25)  # of 2/7, 3.5/14, 1.5/7
    two = weighed(*before, (7, 740), (0, 720), **again)  # nobody weighed it when it was hung again
    assert figures(two, NOW, UTC).rate_pct_per_day == pytest.approx(2 / 7)
    first = weighed(*before, (1, 750), **again)
    assert figures(first, NOW, UTC).rate_pct_per_day is None
    in_range = weighed(*before, (1, 640), **again, target_lo_pct=35.0, target_hi_pct=40.0)
    assert past_range_in_days(in_range) is None


def test_a_line_of_long_ago_shows_its_year_in_place_of_the_hour():
    """From half a year on; on a phone month and year are all there is room for."""
    line = LogLine("2026-05-01T12:00:00Z", "note", "hung", False, 1)
    for today, wide, phone in (
        (date(2026, 11, 25), "1 May 2026  note", "May'26  note"),
        (date(2026, 10, 30), "1 May 12:00  note", "1 May  note"),
    ):
        assert text_of(log_line(line, UTC, 80, today)).lstrip().startswith(wide)
        assert text_of(log_line(line, UTC, 45, today)).lstrip().startswith(phone)


def test_a_wide_window_says_the_year_of_its_end_once():
    window = (date(2026, 11, 30), date(2027, 11, 13))
    seen = view(DRYING)
    far = replace(seen, figures=replace(seen.figures, window=window, median=date(2027, 4, 1)))
    said = {name: words for name, words, _ in facts(far, date(2026, 11, 25), UTC) if name}
    assert said["window"] == "30 Nov–13 Nov'27, mid 1 Apr"
    assert item_words(DiaryItem(*window, "pull", "pull-1", DRYING)).startswith("30 Nov–13 Nov'27 ")
