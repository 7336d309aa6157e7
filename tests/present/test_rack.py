"""Lines of the Rack: fixed widths, whatever is in the names."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.drying.lot_figures import figures
from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import replace
from curedash.domain.records import StoredForecast
from curedash.domain.times import UTC, utc_text
from curedash.present import display_units
from curedash.present.rack import (
    LAYOUTS,
    MIDDLE,
    NARROW,
    WIDE,
    counts_words,
    heads_line,
    layout_for,
    needs_strip,
    row_line,
    title_line,
)
from curedash.present.words import cells, plain, text_of
from curedash.services.rack import RackRow
from tests.build import NOW, lot, weighed
from tests.hostile import HOSTILE


def row(record, needs=(), base="hang"):
    return RackRow(record, figures(record, NOW, UTC, base), tuple(needs))


DRYING = weighed((31, 1534), (24, 1420), (14, 1300), (7, 1164), tare_g=28.0, code="C2")
NEED = Need("act", "past-target", "weigh-in 3 d late", "weigh it", lot="C2", lot_id=1)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout.columns))
def test_the_columns_fill_their_breakpoint_exactly(layout):
    gaps = [
        w
        for w in (
            layout.stage,
            layout.place,
            layout.day,
            layout.loss,
            layout.to_go,
            layout.ago,
            layout.rate,
            layout.trend,
            layout.window,
        )
        if w
    ]
    total = 2 + layout.lot + 1 + layout.piece + sum(gaps) + layout.gap * len(gaps)
    assert total == layout.columns
    assert cells(heads_line(layout)) == layout.columns


@pytest.mark.parametrize("columns", [40, 59, 60, 79, 80, 99, 100, 119, 120, 300])
def test_a_layout_never_needs_more_than_there_is_from_sixty_on(columns):
    assert layout_for(columns).columns <= max(60, columns)


def test_the_line_of_the_drawing():
    line = text_of(row_line(row(DRYING, [NEED]), MIDDLE, UTC))
    assert line.startswith("! C2    thick end    drying        31  24.1%      167 1.27")
    assert "▇▅▃▁" in line


def test_sixty_columns_keep_loss_and_grams_to_go():
    line = text_of(row_line(row(DRYING), NARROW, UTC))
    assert len(line) == 60
    assert "24.1%" in line
    assert "  167 " in line


def test_an_estimated_hang_weight_shows_about():
    record = weighed((31, 1534), (7, 1164), hang_pm_g=40.0)
    assert "≈24.1%" in text_of(row_line(row(record), MIDDLE, UTC))


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout.columns))
@pytest.mark.parametrize(
    ("net_g", "words"),
    [
        (758, " 108 "),
        (651, " 1 "),
        (650.3, " 1 "),
        (650, " reached "),
        (649, " 1 past "),
        (542, " 108 past "),
    ],
)
def test_grams_to_go_and_grams_past_the_target(layout, net_g, words):
    """The heavier end of 35–40 % of 1000 g is 650 g."""
    record = weighed((40, 1000), (1, net_g))
    assert words in text_of(row_line(row(record), layout, UTC))


def test_grams_past_the_target_keep_their_column_in_pounds(monkeypatch):
    assert display_units.to_go(-1167, 8) == "1167past"
    monkeypatch.setattr(display_units, "in_pounds", lambda: True)
    # 108 g is 3.8 oz, 3 g 0.1 oz, 14 g 0.5 oz, 400 g 14.1 oz and 1167 g 2.6 lb, by hand
    assert display_units.to_go(-108, 8) == "3.8 past"
    assert display_units.to_go(-400, 8) == "14.1past"
    assert display_units.to_go(-1167, 8) == "3lb past"
    assert display_units.to_go(-3, 8) == "0.1 past", "3 g past is past in both"
    assert (display_units.to_go(-14, 8), display_units.to_go(-14)) == ("0.5 past", "0.5 oz past")


@pytest.mark.parametrize("units", ["g", "lb"])
@pytest.mark.parametrize(
    ("grams", "reached"), [(0.01, False), (0.4, False), (1.3, False), (0.0, True), (-0.3, True)]
)
def test_reached_is_said_exactly_where_the_need_says_it(grams, reached, units):
    """In both units and both places: what is to go is never a zero."""
    display_units.show_in(units)
    try:
        for words in (display_units.to_go(grams, 8), display_units.to_go(grams)):
            assert ("reached" in words) == reached
            assert "0 g" not in words
            assert "0.0" not in words
    finally:
        display_units.show_in()


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout.columns))
def test_a_weight_older_than_the_rhythm_shows_its_age(layout):
    """Weighed every 7 days; the last weigh-in is 7 days ago, then 28."""
    late = weighed((60, 1534), (53, 1420), (35, 1300), (28, 1164), code="C2")
    fresh, old = (text_of(row_line(row(record), layout, UTC)) for record in (DRYING, late))
    assert "%*" in old
    assert "%*" not in fresh
    assert cells(old) == layout.columns
    assert (" 28 d " in old) == (layout.columns == 120)
    kept = replace(late, stage="equalising")
    assert "%*" not in text_of(row_line(row(kept), layout, UTC))


@pytest.mark.parametrize(
    ("layout", "words"),
    [(WIDE, "out 10 Dec, can wait"), (MIDDLE, "out 10 Dec, can wait"), (NARROW, "out 10 Dec")],
)
def test_the_day_out_of_the_cure(layout, words):
    record = lot(stage="in-cure", stage_at="2026-11-26T09:00:00Z", hang_g=None, hang_at=None)
    line = text_of(row_line(row(record), layout, UTC))
    assert line.rstrip().endswith(words)
    assert len(line) == layout.columns


def test_a_salt_box_does_not_wait():
    record = lot(stage="in-cure", stage_at=utc_text(NOW), hang_g=None, salt_box=True)
    for layout, words in (
        (WIDE, "out by 9 Dec, not later"),
        (MIDDLE, "out by 9 Dec"),
        (NARROW, "out by 9 Dec"),
    ):
        assert text_of(row_line(row(record), layout, UTC)).rstrip().endswith(words)
    late = lot(stage="in-cure", stage_at="2026-11-26T09:00:00Z", hang_g=None, salt_box=True)
    assert text_of(row_line(row(late), NARROW, UTC)).rstrip().endswith(" by 10 Dec")


def test_a_window_from_a_rule_is_called_that():
    stored = StoredForecast(1, 1, utc_text(NOW), "rule", 45.0, 40.0, 50.0, None, "rule of thumb")
    record = weighed((31, 1534), (7, 1400), forecast=stored)
    assert "~4–14 Dec" in text_of(row_line(row(record), MIDDLE, UTC))


def test_the_beginning_of_a_rules_window_alone_is_said_to_be_the_beginning():
    stored = StoredForecast(1, 1, utc_text(NOW), "rule", 80.0, 55.0, 107.0, None, "rule of thumb")
    record = weighed((31, 1534), (7, 1400), forecast=stored)
    assert "~19 Dec–9 Feb" in text_of(row_line(row(record), MIDDLE, UTC))
    assert text_of(row_line(row(record), NARROW, UTC)).rstrip().endswith("from ~19 Dec")


def test_a_lot_that_likely_never_gets_there_says_so_instead_of_a_date():
    stalled = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.51, "weigh-ins")
    record = weighed((31, 1534), (7, 1400), forecast=stalled)
    for layout in (WIDE, MIDDLE):
        shown = text_of(row_line(row(record), layout, UTC))
        assert "stalled" in shown
        assert "Dec" not in shown
    likely = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.49, "weigh-ins")
    record = weighed((31, 1534), (7, 1400), forecast=likely)
    assert "19 Dec" in text_of(row_line(row(record), WIDE, UTC))


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout.columns))
def test_hostile_names_keep_the_width(name, layout):
    record = weighed((31, 1534), (7, 1164), piece=name, place=name, batch_name=name)
    line = text_of(row_line(row(record), layout, UTC))
    assert cells(line) == layout.columns
    assert line.isprintable()


@given(st.text(max_size=250))
def test_any_text_becomes_one_harmless_line(text):
    shown = plain(text)
    assert "\n" not in shown
    assert "\x1b" not in shown
    assert plain(shown) == shown


def test_widths_agree_with_the_screen_library():
    """Against rich's table of cell widths (Unicode East Asian Width)."""
    from rich.cells import cell_len

    for name in HOSTILE:
        assert cells(plain(name)) == cell_len(plain(name))


@pytest.mark.parametrize("width", [40, 60, 80, 100, 120])
def test_the_title_fits_and_ends_with_the_day(width):
    rows = [row(DRYING, [NEED])] + [row(DRYING)] * 12
    line = text_of(title_line(rows, [NEED], base="hang", today=date(2026, 11, 25), width=width))
    assert cells(line) == width
    assert line.endswith("Wed 25 Nov")
    assert "1 act · 0 today · 12 quiet" in line or width == 40


@pytest.mark.parametrize(
    ("width", "words"),
    [
        (60, "1 quiet  loss of hang "),
        (80, "1 quiet  loss of hang · o orders "),
        (120, "1 quiet     loss of hang weight · o orders "),
    ],
)
def test_the_title_names_the_base_always_and_the_order_key_where_it_fits(width, words):
    shown = title_line(
        [row(DRYING)], [], base="hang", today=date(2026, 11, 25), width=width, order_key="o"
    )
    assert words in text_of(shown)
    fresh = title_line([row(DRYING)], [], base="hang", today=date(2026, 11, 25), width=width)
    assert "orders" not in text_of(fresh)


def test_the_title_counts_needs_as_they_are_told_one_by_one():
    late = Need("today", "weigh-in-due", "weigh-in 3 d late", "weigh it", lot="C2", lot_id=1)
    gathered = Need("today", "weigh-in-due", "2 lots to weigh", "go round", place_id=4)
    silent = Need("act", "silent", "no reading for 5 h", "look", place="Fridge", place_id=4)
    warm = Need("act", "warm", "9 °C for 6 h", "look", place="Fridge", place_id=4)
    rows = [row(DRYING, [NEED, late]), row(DRYING, [late]), row(DRYING)]
    needs = [NEED, silent, warm, gathered]
    assert counts_words(rows, needs) == "3 act · 1 today · 1 quiet"
    assert counts_words(rows, [NEED, gathered]) == "1 act · 1 today · 1 quiet"


def test_the_strip_holds_two_lines_and_counts_the_rest():
    needs = [Need("today", "x", f"something with some words number {n}", "do") for n in range(9)]
    first, second = needs_strip(needs, 80)
    assert cells(text_of(first)) == cells(text_of(second)) == 80
    assert text_of(second).endswith("more")


def test_green_base_changes_what_is_shown_but_not_the_grams_to_go():
    hang, green = row(DRYING), row(DRYING, base="green")
    assert hang.figures.to_go_g == green.figures.to_go_g
    assert hang.figures.loss_pct != green.figures.loss_pct


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout.columns))
def test_a_window_that_has_passed_is_told_in_words(layout):
    """Hung 31 days ago, its window on days 24 to 30."""
    gone = StoredForecast(1, None, "", "", 27.0, 24.0, 30.0, None, "weigh-ins")
    text = text_of(row_line(row(replace(DRYING, forecast=gone)), layout, UTC))
    assert ("past 24 Nov" if layout is NARROW else "passed 24 Nov") in text
    held = replace(DRYING, forecast=gone, stage="on-hold")
    assert "pass" not in text_of(row_line(row(held), layout, UTC))
