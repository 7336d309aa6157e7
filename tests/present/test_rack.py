"""Lines of the Rack: fixed widths, whatever is in the names."""

import re
from datetime import UTC, date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing.ferment import FermentState
from curedash.domain.drying.lot_figures import figures
from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import field_names, replace
from curedash.domain.records import StoredForecast
from curedash.domain.times import utc_text
from curedash.present import display_units, signs
from curedash.present.rack.around import (
    Asked,
    counts_words,
    legend_lines,
    marked_line,
    needs_strip,
    title_line,
)
from curedash.present.rack.columns import far_words, state_of
from curedash.present.rack.layout import (
    BESIDE,
    HEAD,
    HEADS,
    LAYOUTS,
    MIDDLE,
    NARROW,
    PHONE,
    TINY,
    WIDE,
    WIDEST,
    Layout,
    axis_of,
    heads_line,
    layout_for,
)
from curedash.present.rack.meat import meat_words
from curedash.present.rack.row import COLUMNS, Around, row_line
from curedash.present.rack.state import window_words
from curedash.present.rack.trend import REACHED, STEPS, TARGET, trend
from curedash.present.words import cells, plain, text_of
from curedash.services.rack import RackRow, in_rack_order
from tests.build import NOW, lot, weighed
from tests.hostile import HOSTILE

HERE = Around(UTC, today=NOW.date())


def row(record, needs=(), base="hang"):
    return RackRow(record, figures(record, NOW, UTC, base), tuple(needs))


DRYING = weighed((31, 1534), (24, 1420), (14, 1300), (7, 1164), tare_g=28.0, code="C2")
NEED = Need("act", "past-target", "weigh-in 3 d late", "weigh it", lot="C2", lot_id=1)


EVERY = (*LAYOUTS, BESIDE)
NAMED = pytest.mark.parametrize("layout", EVERY, ids=lambda at: f"{at.columns}-{at.axis}")


@NAMED
def test_the_columns_fill_their_breakpoint_exactly(layout):
    widths = [width for name in field_names(Layout)[1:] if (width := getattr(layout, name))]
    assert HEAD + sum(widths) + len(widths) - 1 == layout.columns - 1, "the last cell stays blank"
    assert cells(heads_line(layout)) == layout.columns


def test_every_width_has_a_head_and_every_head_a_width():
    named = [name for name, _, _ in HEADS]
    assert {"columns", *named} == set(field_names(Layout))
    assert named == [name for name, _ in COLUMNS]


@pytest.mark.parametrize("columns", [*range(40, 61), 79, 80, 99, 100, 119, 120, 140, 160, 300])
def test_a_layout_never_needs_more_than_there_is(columns):
    assert layout_for(columns).columns <= columns


def test_the_line_of_the_drawing():
    asked = replace(HERE, action=("w", "weigh it"))
    line = text_of(row_line(row(DRYING, [NEED]), MIDDLE, asked))
    assert line.startswith(
        "!  C2   Beef eye, thick end  24 of 35 % ▂▃▅▅ drying               w weigh it"
    )
    assert line.rstrip().endswith("w weigh it")
    wide = text_of(row_line(row(DRYING, [NEED]), WIDE, asked))
    assert " 24.1 of 35 % 1.27 ▂▃▅▅ ▔▔▔ " in wide


def test_sixty_columns_keep_loss_target_and_the_key():
    line = text_of(row_line(row(DRYING, [NEED]), NARROW, replace(HERE, action=("w", "weigh it"))))
    assert len(line) == 60
    assert " 24 of 35 % drying " in line
    assert line.rstrip().endswith(" w weigh")


@pytest.mark.parametrize("columns", [40, 45, 59])
def test_a_phone_keeps_lot_meat_loss_and_when(columns):
    line = text_of(row_line(row(DRYING), layout_for(columns), HERE))
    assert cells(line) == columns
    assert line.startswith("   C2   Beef eye")
    assert " 24/35 % " in line
    ready = weighed((40, 1000), (1, 640))
    assert text_of(row_line(row(ready), layout_for(columns), HERE)).rstrip().endswith(" ready")
    keyed = text_of(row_line(row(ready), layout_for(columns), replace(HERE, action=("f", "feel"))))
    assert keyed.rstrip().endswith(" f feel") == (columns >= PHONE.columns)
    assert layout_for(columns).columns == columns
    assert TINY.columns == 40


# ── what it is ────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("batch", "piece", "width", "words"),
    [
        ("Silverside", "thick end", 26, "Beef silverside, thick end"),
        ("Silverside", "thick end", 20, "Beef silverside"),
        ("Silverside", "middle", 18, "Beef silverside"),
        ("Silverside", "thick end", 22, "Beef silverside, thick"),
        ("Silverside", "middle", 22, "Beef silverside middle"),
        ("Small leg muscle", "nut", 22, "Beef small leg muscle"),
        ("Christmas", "loin, centre", 14, "Beef loin"),
        ("Cheek", "left cheek", 13, "Beef cheek"),
        ("Belly", "half, skin off", 11, "Beef belly"),
        ("Collar", "neck side, tied", 22, "Beef collar, neck side"),
        ("Cheek", "left cheek", 21, "Beef left cheek"),
        ("Flank strips", "strip", 21, "Beef flank strips"),
        ("Beef cheek", "strip", 21, "Beef cheek, strip"),
        ("Belly", "", 21, "Beef belly"),
        ("", "nut", 21, "Beef nut"),
    ],
)
def test_the_meat_of_a_row_is_cut_and_piece(batch, piece, width, words):
    assert meat_words(lot(batch_name=batch, piece=piece), width) == words


def test_lots_of_one_batch_have_its_cut_before_what_tells_them_apart():
    """A code tells them apart too: "Pork shoulder side" alone would be taken for a shoulder."""
    for piece, brief in (("thick end", "thick"), ("middle", "middle"), ("thin end", "thin")):
        silverside = lot(batch_name="Silverside", piece=piece)
        found = [meat_words(silverside, width) for width in (26, 22, 15)]
        assert found[0] == f"Beef silverside, {piece}"
        assert found[1].replace(",", "") == f"Beef silverside {brief}"
        assert found[2] == "Beef silverside"
    collar = lot(batch_name="Collar", piece="shoulder side, tied", species="pork")
    assert [meat_words(collar, width) for width in (22, 14)] == [
        "Pork collar, shoulder",
        "Pork collar",
    ]


def test_a_ferment_past_its_time_is_before_what_lies_in_salt_too_long():
    box = lot(id=1, stage="in-cure", salt_box=True, hang_g=None, position=1)
    sour = lot(id=2, stage="ferment", hang_g=None, position=2)
    late = Need("act", "salt-box-overdue", "too long", "take it out", lot="A1", lot_id=1)
    ph = Need("act", "ph-due", "no pH for 96 h, limit 80 h", "measure", lot="A2", lot_id=2)
    rows = [row(box, [late]), row(sour, [ph]), row(DRYING)]
    assert [each.lot.id for each in in_rack_order(rows)][:2] == [2, 1]


def test_the_marked_lot_is_named_whole_with_its_next_action_and_its_key():
    told = text_of(marked_line(row(DRYING, [NEED]), "w", 80, weigh_key="w"))
    assert told.rstrip() == "› C2 Beef eye, thick end: weigh-in 3 d late: w weigh it"
    seen = text_of(marked_line(row(DRYING, [NEED]), "w", 80, weigh_key="w", why=False))
    assert seen.rstrip() == "› C2 Beef eye, thick end: w weigh it", "a line above has its reason"
    quiet = text_of(marked_line(row(DRYING), "", 80, weigh_key="w"))
    assert quiet.rstrip() == (
        "› C2 Beef eye, thick end · Fridge 2 · weighed 7 d ago · digits or w weigh it"
    )
    collar = weighed((31, 1534), (7, 1164), batch_name="Collar", piece="tied", species="pork")
    assert "Pork collar, tied" in text_of(marked_line(row(collar), "", 80, weigh_key="w"))


# ── how far, how fast ─────────────────────────────────────────────────────────────────────

HEIGHT = {char: n for n, char in enumerate(STEPS + REACHED)}
WAYS = st.lists(st.tuples(st.floats(0.5, 400), st.floats(0, 1.5)), min_size=1, max_size=16)


@pytest.mark.parametrize(("left_g", "words"), [(634, "37/35%"), (648, "35/35%"), (654, "34/35%")])
def test_a_share_without_room_for_its_decimals_is_rounded_and_never_up_to_its_target(left_g, words):
    """36.6 % is 37 %, 35.2 % is 35 %; 34.6 % has not reached 35 %."""
    assert far_words(row(weighed((31, 1000), (0, left_g))), 6) == words


def test_two_lots_as_far_after_other_times_have_the_same_height_and_other_slopes():
    quick, slow = weighed((21, 1000), (0, 825)), weighed((42, 1000), (0, 825))
    drawn = [trend(row(record).figures.way, 8) for record in (quick, slow)]
    assert drawn == ["▂▃▄ ▔▔▔▔", "▁▂▂▃▃▄ ▔"]


def test_a_lot_that_stalled_is_flat_and_one_past_its_range_is_marked():
    stalled = weighed((42, 1000), (21, 790), (0, 789))
    assert trend(row(stalled).figures.way, 8) == "▂▃▅▅▅▅ ▔"
    over = row(weighed((28, 1000), (0, 590)))
    assert state_of(over, NOW.date())[0][0].startswith("over ")
    inside = row(weighed((28, 1000), (0, 640)))
    assert state_of(inside, NOW.date())[0] == ["ready"]
    for lot_row in (over, inside):
        assert trend(lot_row.figures.way, 8).rstrip(TARGET).rstrip().endswith(REACHED)


@given(WAYS, st.integers(4, 20))
def test_a_trend_fits_and_its_last_cell_is_the_way_gone(steps, width):
    way = [(0.0, 0.0), *sorted(steps)]
    drawn = trend(way, width)
    assert len(drawn) == width
    bars = drawn.rstrip(TARGET).rstrip()
    assert bars
    last = way[-1][1]
    assert bars[-1] == (REACHED if last >= 1 - 1e-9 else STEPS[min(6, int(last * 7))])


def test_a_trend_begins_at_the_hang_weight_at_every_width():
    """Its first cell is one step after hanging: never a later weigh-in alone."""
    way = row(weighed((56, 1000), (28, 720), (0, 660))).figures.way
    assert [trend(way, width)[0] for width in (4, 8, 16)] == ["▃", "▂", "▂"]


# ── when ──────────────────────────────────────────────────────────────────────────────────


def test_the_windows_of_all_rows_stand_on_one_axis():
    stored = StoredForecast(1, 1, utc_text(NOW), "body", 45.0, 40.0, 50.0, None, "weigh-ins")
    record = weighed((31, 1534), (7, 1400), forecast=stored)
    axis = axis_of([(date(2026, 12, 4), date(2026, 12, 14))], date(2026, 11, 25), 16)
    heads = heads_line(WIDEST, axis)
    axis = axis_of([(date(2026, 12, 4), date(2026, 12, 14))], date(2026, 11, 25), WIDEST.axis)
    heads = heads_line(WIDEST, axis)
    bar = text_of(row_line(row(record), WIDEST, Around(UTC, axis)))[heads.index("now") :]
    assert heads.rstrip().endswith("now ┊3 Dec ┊17   Do, on row ›"), (
        "16 cells of two days from the 25th"
    )
    assert axis.step_d == 2
    assert bar.rstrip() == "    ░░░▓░░ ┊", "days 9 to 19 from today, the middle one the 14th"
    assert [axis.on(cell).day for cell in axis.marks()] == [3, 17], "below each day its mark"


def test_the_next_action_stands_with_its_key_where_something_is_to_be_done():
    around = Around(UTC, axis_of([], date(2026, 11, 25), 16), ("s", "take it out"))
    assert text_of(row_line(row(DRYING, [NEED]), WIDEST, around)).rstrip().endswith("s take it out")


@pytest.mark.parametrize("layout", [WIDEST, WIDE, MIDDLE], ids=lambda layout: str(layout.columns))
@pytest.mark.parametrize(
    ("net_g", "state", "far", "brief"),
    [
        (651, "drying", "34.9 of 35 %", "34 of 35 %"),
        (650, "ready", "35.0 of 35 %", "35 of 35 %"),
        (600, "ready", "40.0 of 35 %", "40 of 35 %"),
        (599, "over 1 g", "40.1 of 35 %", "40 of 35 %"),
    ],
)
def test_ready_and_over_are_words(layout, net_g, state, far, brief):
    """The target is 35–40 % of 1000 g: between 600 and 650 g it is ready."""
    shown = text_of(row_line(row(weighed((40, 1000), (1, net_g))), layout, HERE))
    assert f" {far if layout.far == 12 else brief} " in shown
    assert re.search(rf" {state}( since 24 Nov)? ", shown)
    assert "past" not in shown


@pytest.mark.parametrize(
    ("since", "words", "tone"),
    [
        (0, "ready", ""),
        (1, "ready", "today"),
        (6, "ready", "act"),
        (7, "long ready", ""),
        (24, "long ready", "today"),
    ],
)
def test_what_is_ready_for_long_differs_from_what_is_ready_since_yesterday(since, words, tone):
    reached = row(weighed((40, 1000), (since, 640)))
    assert reached.figures.window is None
    figures_now = replace(reached.figures, window=(NOW.date() - timedelta(days=since),) * 2)
    needs = (replace(NEED, level=tone),) if tone else ()
    found, told = state_of(RackRow(reached.lot, figures_now, needs), NOW.date())
    assert found[0] == words
    assert told == ("act" if tone == "act" else ""), "its sign, its code and its key are amber"


def test_a_salt_box_past_its_last_day_is_overdue_and_a_cured_piece_is_cured():
    cure = {"stage": "in-cure", "hang_g": None, "hang_at": None}
    box = lot(stage_at="2026-11-09T09:00:00Z", salt_box=True, **cure)
    late = Need("act", "salt-box-overdue", "too long", "take it out", lot="A1", lot_id=1)
    shown = text_of(row_line(row(box, [late]), MIDDLE, HERE))
    assert " 16 of 14 days   salt box 2 d overdue " in shown, "its stage is beside the alarm"
    bag = replace(box, salt_box=False)
    cured = text_of(row_line(row(bag), MIDDLE, HERE))
    assert " 16 of 14 days   cured since 23 Nov " in cured
    young = replace(bag, stage_at="2026-11-20T09:00:00Z")
    assert " 5 of 14 days    in cure, out 4 Dec" in text_of(row_line(row(young), MIDDLE, HERE))
    assert " 16/14 d overdue " in text_of(row_line(row(box, [late]), PHONE, HERE))
    assert " 5/14 d  out 4 Dec " in text_of(row_line(row(young), PHONE, HERE))


def test_an_estimated_hang_weight_shows_about():
    record = weighed((31, 1534), (7, 1164), hang_pm_g=40.0)
    assert "≈24.1 of 35 %" in text_of(row_line(row(record), replace(MIDDLE, far=13), HERE))
    assert "≈24 of 35 % " in text_of(row_line(row(record), WIDE, HERE))
    assert "≈24/35 % " in text_of(row_line(row(record), MIDDLE, HERE))


def test_what_is_to_go_is_never_a_zero_in_either_unit(monkeypatch):
    assert display_units.left_short(0.2, 7) == "1 g"
    monkeypatch.setattr(display_units, "in_pounds", lambda: True)
    # 0.2 g is 0.01 oz, 108 g is 3.8 oz and 1167 g 2.6 lb, by hand
    assert display_units.left_short(0.2, 7) == "0.1 oz"
    assert display_units.left_short(108, 7) == "3.8 oz"
    assert display_units.left_short(1167, 7) == "2.6 lb"
    assert display_units.to_go(-14) == "0.5 oz past"


@pytest.mark.parametrize("units", ["g", "lb"])
@pytest.mark.parametrize(
    ("grams", "reached"), [(0.01, False), (0.4, False), (1.3, False), (0.0, True), (-0.3, True)]
)
def test_reached_is_said_exactly_where_the_need_says_it(grams, reached, units):
    """In both units and both places: what is to go is never a zero."""
    display_units.show_in(units)
    try:
        words = display_units.to_go(grams)
        assert ("reached" in words) == reached
        assert not words.startswith("0 g")
        assert "0.0" not in words
    finally:
        display_units.show_in()


@NAMED
def test_a_weight_older_than_the_rhythm_is_asked_for_in_its_row(layout):
    """Weighed every 7 days, the last weigh-in is 28 days ago: its key is there, no bare sign."""
    late = weighed((60, 1534), (53, 1420), (35, 1300), (28, 1164), code="C2")
    asked = replace(HERE, action=("w", "weigh it"))
    old = text_of(row_line(row(late, [NEED]), layout, asked))
    fresh = text_of(row_line(row(DRYING), layout, HERE))
    assert (re.search(r" w weigh( it)?$", old.rstrip()) is not None) == (layout.act > 0)
    assert ("weigh it" in old) == (layout.act == 13)
    assert "weigh" not in fresh
    assert cells(old) == layout.columns
    assert "*" not in old + fresh
    kept = replace(late, stage="equalising")
    assert "*" not in text_of(row_line(row(kept), layout, HERE))


@pytest.mark.parametrize(
    ("layout", "words"),
    [
        (WIDE, "0 of 14 days in cure, out 10 Dec"),
        (MIDDLE, "0 of 14 days in cure, out 10 Dec"),
        (PHONE, " out 10 Dec"),
    ],
)
def test_the_day_out_of_the_cure(layout, words):
    record = lot(stage="in-cure", stage_at="2026-11-26T09:00:00Z", hang_g=None, hang_at=None)
    line = text_of(row_line(row(record), layout, HERE))
    assert " ".join(line.split()).endswith(" ".join(words.split()))
    assert len(line) == layout.columns


def test_a_salt_box_does_not_wait():
    record = lot(stage="in-cure", stage_at=utc_text(NOW), hang_g=None, salt_box=True)
    for layout, words in (
        (WIDE, "0 of 14 days out by 9 Dec"),
        (MIDDLE, "0 of 14 days out by 9 Dec"),
        (PHONE, " out by 9 Dec"),
    ):
        shown = text_of(row_line(row(record), layout, HERE))
        assert " ".join(shown.split()).endswith(words.strip())
    later = lot(stage="in-cure", stage_at="2026-11-26T09:00:00Z", hang_g=None, salt_box=True)
    assert text_of(row_line(row(later), PHONE, HERE)).rstrip().endswith(" by 10 Dec")


def test_a_window_from_a_rule_is_called_that():
    stored = StoredForecast(1, 1, utc_text(NOW), "rule", 45.0, 40.0, 50.0, None, "rule of thumb")
    record = weighed((31, 1534), (7, 1400), forecast=stored)
    assert " ready ~4–14 Dec " in text_of(row_line(row(record), MIDDLE, HERE))


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2026, 11, 30), date(2027, 11, 13), "30 Nov–13 Nov'27"),
        (date(2027, 11, 20), date(2028, 3, 1), "20 Nov–1 Mar'28"),
        (date(2026, 12, 19), date(2027, 1, 4), "19 Dec–4 Jan"),
    ],
)
def test_a_window_says_the_year_of_its_end_where_it_is_not_plain(first, last, said):
    given = row(DRYING)
    far = RackRow(DRYING, replace(given.figures, window=(first, last)), ())
    for layout in EVERY:
        line = text_of(row_line(far, layout, HERE))
        assert said + " " in line or "–" + said.partition("–")[2].partition("'")[0] not in line
    assert f"{said} " in text_of(row_line(far, WIDEST, HERE))
    assert window_words(far, 40, UTC, NOW.date()) == said


def test_the_beginning_of_a_rules_window_alone_is_said_to_be_the_beginning():
    stored = StoredForecast(1, 1, utc_text(NOW), "rule", 80.0, 55.0, 107.0, None, "rule of thumb")
    record = weighed((31, 1534), (7, 1400), forecast=stored)
    for layout in (WIDE, MIDDLE):
        assert " ready ~19 Dec–9 Feb " in text_of(row_line(row(record), layout, HERE))
    assert text_of(row_line(row(record), PHONE, HERE)).rstrip().endswith("from ~19 Dec")


def test_a_lot_that_likely_never_gets_there_says_so_instead_of_a_date():
    stalled = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.51, "weigh-ins")
    record = weighed((31, 1534), (7, 1400), forecast=stalled)
    for layout in (WIDE, MIDDLE):
        shown = text_of(row_line(row(record), layout, HERE))
        assert "stalled" in shown
        assert "Dec" not in shown
    likely = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.49, "weigh-ins")
    record = weighed((31, 1534), (7, 1400), forecast=likely)
    assert "19 Dec" in text_of(row_line(row(record), WIDE, HERE))


@pytest.mark.parametrize("layout", [WIDEST, BESIDE])
def test_where_dates_have_an_axis_a_stalled_row_says_the_whole_of_it(layout):
    stored = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.51, "weigh-ins")
    stalled = row(weighed((31, 1534), (7, 1400), forecast=stored))
    line = text_of(row_line(stalled, layout, HERE))
    assert " stalled " in line
    assert line.rstrip().endswith(" may never come")
    assert cells(line) == layout.columns
    asked = text_of(row_line(stalled, layout, Around(UTC, action=("w", "weigh it"))))
    assert "may never come   w weigh it" in asked, "what is to be done is where it always is"


@pytest.mark.parametrize("layout", [WIDEST, BESIDE, WIDE, MIDDLE, NARROW])
def test_a_window_that_may_never_come_is_marked_from_one_in_five(layout):
    for chance, mark in ((None, ""), (0.19, ""), (0.2, "?"), (0.5, "?")):
        stored = StoredForecast(1, 1, utc_text(NOW), "body", 40.0, 36.0, 45.0, chance, "weigh-ins")
        shown = text_of(
            row_line(row(weighed((31, 1534), (7, 1400), forecast=stored)), layout, HERE)
        )
        days = "30 Nov–9 Dec"
        assert re.search(days + r"(.?)", shown + " ")[1].strip() == mark, (chance, shown)
        assert cells(shown) == layout.columns


def test_where_the_days_fill_the_column_the_mark_stays_and_the_last_day_goes():
    stored = StoredForecast(1, 1, utc_text(NOW), "body", 80.0, 55.0, 107.0, 0.3, "weigh-ins")
    shown = row(weighed((31, 1534), (7, 1400), forecast=stored))
    assert text_of(row_line(shown, PHONE, HERE)).rstrip().endswith("from 19 Dec?")


@pytest.mark.parametrize("name", HOSTILE)
@NAMED
def test_hostile_names_keep_the_width(name, layout):
    record = weighed((31, 1534), (7, 1164), piece=name, place=name, batch_name=name)
    line = text_of(row_line(row(record), layout, HERE))
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
    assert line.endswith("Wed 25 Nov ")
    assert "1 need: ! 1 now (must not wait), • 0 today" in line or width <= 60
    assert "13 lots, 1 need" in line or width <= 80
    assert "…" not in line


@pytest.mark.parametrize(
    ("width", "words"),
    [
        (45, "0 today  % hang "),
        (60, "0 today  % of hang weight lost "),
        (80, "0 today  % = loss from hang weight "),
        (120, "0 today    % = loss from hang weight "),
    ],
)
def test_the_title_names_the_base_always_in_plain_english(width, words):
    shown = title_line([row(DRYING)], [], base="hang", today=date(2026, 11, 25), width=width)
    assert words in text_of(shown)
    green = title_line([row(DRYING)], [], base="green", today=date(2026, 11, 25), width=width)
    assert "green" in text_of(green)


@pytest.mark.parametrize(("width", "lots"), [(80, "RACK "), (120, "13 lots, ")])
def test_the_title_says_what_the_sign_of_what_must_not_wait_means(width, lots):
    rows = [row(DRYING, [NEED])] + [row(DRYING)] * 12
    late = Need("today", "weigh-in-due", "weigh-in 3 d late", "weigh it", lot="C2", lot_id=1)
    for needs, said in (([NEED, late], True), ([late], False)):
        shown = title_line(rows, needs, base="hang", today=date(2026, 11, 25), width=width)
        assert ("! 1 now (must not wait), • 1 today " in text_of(shown)) == said
        assert ("must not wait" in text_of(shown)) == said
        assert "hung" in text_of(shown) or "hang weight" in text_of(shown)
    assert f"{lots}2 needs: ! 1 now (must" in text_of(
        title_line(rows, [NEED, late], base="hang", today=date(2026, 11, 25), width=width)
    )


@NAMED
def test_the_heads_say_in_what_order_the_rows_are_or_the_key_that_orders_them(layout):
    fresh, kept = heads_line(layout), heads_line(layout, order_key="o")
    assert "urgent first" in fresh.casefold()
    assert "o: " not in fresh
    assert "o: urgent first " in kept or layout.columns < PHONE.columns
    assert cells(kept) == layout.columns
    assert ("How far, trend" in fresh) == (layout in (MIDDLE, BESIDE))
    assert ("Ready, or step ends" in fresh) == (layout.when == 20)


def test_a_trend_without_a_head_of_its_own_is_named_by_the_one_before_it():
    line = text_of(row_line(row(DRYING), MIDDLE, HERE))
    at = heads_line(MIDDLE).index("How far, trend")
    assert line[at:].startswith("24 of 35 % ▂▃▅▅ ")
    assert heads_line(MIDDLE)[at + 16 :].startswith("Ready, or step ends ")


@pytest.mark.parametrize(
    ("batch", "piece", "species", "words"),
    [
        ("Silverside", "thick end", "beef", "Beef, thick"),
        ("Silverside", "middle", "beef", "Beef, middle"),
        ("Silverside", "thin end", "beef", "Beef, thin"),
        ("Fennel salami", "string of six", "pork", "Pork salami"),
        ("Small ham", "boned", "pork", "Pork ham"),
        ("Small leg muscle", "nut", "pork", "Pork leg"),
        ("Flank strips", "strip", "beef", "Beef strips"),
        ("Venison", "saddle strip", "venison", "Venison strip"),
        ("Cheek", "left cheek", "pork", "Pork cheek"),
        ("Collar", "neck side, tied", "pork", "Pork collar"),
    ],
)
def test_on_a_phone_no_name_is_cut_and_lots_of_one_batch_differ(batch, piece, species, words):
    assert meat_words(lot(batch_name=batch, piece=piece, species=species), 13) == words


def test_the_title_counts_needs_as_they_are_told_one_by_one():
    late = Need("today", "weigh-in-due", "weigh-in 3 d late", "weigh it", lot="C2", lot_id=1)
    gathered = Need("today", "weigh-in-due", "2 lots to weigh", "go round", place_id=4)
    silent = Need("act", "silent", "no reading for 5 h", "look", place="Fridge", place_id=4)
    warm = Need("act", "warm", "9 °C for 6 h", "look", place="Fridge", place_id=4)
    rows = [row(DRYING, [NEED, late]), row(DRYING, [late]), row(DRYING)]
    needs = [NEED, silent, warm, gathered]
    assert counts_words(rows, needs) == f"{len(rows)} lots · 3 now · 1 today"
    assert counts_words(rows, [NEED, gathered]) == f"{len(rows)} lots · 1 now · 1 today"


def test_the_strip_holds_two_lines_and_counts_the_rest():
    needs = [Asked("today", f"something with some words number {n}") for n in range(9)]
    first, second = needs_strip(needs, 80)
    assert cells(text_of(first)) == cells(text_of(second)) == 80
    assert text_of(second).endswith("+ 7 more ")


def test_green_base_changes_what_is_shown_but_not_the_grams_to_go():
    hang, green = row(DRYING), row(DRYING, base="green")
    assert hang.figures.to_go_g == green.figures.to_go_g
    assert hang.figures.loss_pct != green.figures.loss_pct


@NAMED
def test_a_window_that_has_passed_is_told_in_words(layout):
    """Hung 31 days ago, its window on days 24 to 30."""
    gone = StoredForecast(1, None, "", "", 27.0, 24.0, 30.0, None, "weigh-ins")
    text = text_of(row_line(row(replace(DRYING, forecast=gone)), layout, HERE))
    assert "overdue" in text
    assert ("was 24 Nov" in text) == (layout.when == 20)
    held = replace(DRYING, forecast=gone, stage="on-hold")
    assert "overdue" not in text_of(row_line(row(held), layout, HERE))


def test_the_strip_says_what_each_need_asks_for_and_the_key_of_the_rest():
    late = [Asked("act", f"C{n}: " + "word " * 8, "s", "take it out") for n in range(1, 5)]
    lines = [text_of(line) for line in needs_strip(late, 80, 2, more_key="a")]
    assert lines[0].startswith("! C1: ")
    assert lines[0].endswith("  s take it out ")
    assert lines[1].endswith("s take it out  a shows all 4 needs "), (
        "never without its key and verb"
    )
    assert all(cells(line) == 80 for line in lines)
    (narrow,) = (text_of(line) for line in needs_strip(late, 45, 1, rest=5, more_key="a"))
    assert narrow.endswith("…  s  a: all 9 "), "its reason first: the row has the key"
    assert cells(narrow) == 45


def test_what_is_done_is_under_the_column_of_the_rows():
    (line,) = needs_strip([Asked("act", "H1: in the salt box, 1 d overdue", "s", "rinse")], 80, 1)
    assert text_of(line).index("s rinse") == heads_line(MIDDLE).index("Do")


@NAMED
def test_the_signs_of_the_rows_are_explained_where_there_is_room(layout):
    drawn = text_of(row_line(row(DRYING, [NEED]), layout, HERE)) + heads_line(layout)
    for room in (12, 5):
        lines = [text_of(line) for line in legend_lines(drawn, layout.columns, room)]
        text = " ".join(" ".join(lines).split())
        assert "! now: must not wait" in text
        assert ("one cell a week" in text) == (layout.trend > 0 and layout.columns > 60)
        assert "the dark one is the middle" not in text, "no window is drawn"
        assert "equalising" not in text
        assert "• today" not in text
        assert len(lines) <= room
        assert all(cells(line) < layout.columns for line in lines)
    (only,) = legend_lines(drawn, layout.columns, 1)
    assert text_of(only).startswith("  ! now: must not wait"), "what is clear is left out first"
    assert legend_lines("", layout.columns, 9) == [], "what does not occur is not explained"


def test_a_ferment_shows_no_weight_to_lose_yet():
    salami = lot(stage="ferment", stage_at="2026-11-21T09:00:00Z")
    shown = text_of(row_line(row(salami), MIDDLE, HERE))
    assert "g " not in shown[30:66]
    assert " no pH yet       ferment " in shown


@pytest.mark.parametrize(
    ("left_c_h", "words", "hours"),
    [(None, "pH 5.3 by 29 Nov", "1 of 80"), (70.0, "pH 5.3 by 26 Nov", "1 of 8")],
)
def test_a_ferment_names_the_ph_to_reach_and_the_last_day_for_it(left_c_h, words, hours):
    """Begun at 18:00 on the 25th: 80 h at the longest, or 7 h until its degree-hours run out."""
    record = lot(stage="ferment", stage_at="2026-11-25T18:00:00Z")
    warm = None if left_c_h is None else 25.6
    state = FermentState(1.0, 0.0, left_c_h, warm, warm, 0.0, None, None, False)
    fermenting = RackRow(record, figures(record, NOW, UTC, "hang"), (), state)
    shown = text_of(row_line(fermenting, MIDDLE, HERE))
    assert f" {hours} h {words} " in " ".join(shown.split()) + " "
    late = replace(state, hours=96.0, total_c_h=None)
    spans = row_line(RackRow(record, fermenting.figures, (NEED,), late), MIDDLE, HERE)
    tones = {words.strip(): tone for words, tone in spans}
    assert tones["pH overdue 16 h"] == "act", "16 h past the longest time, 80 h"
    soured = replace(state, ph=5.2, reached=True)
    shown = text_of(row_line(RackRow(record, fermenting.figures, (), soured), MIDDLE, HERE))
    assert " pH 5.3 reached " in shown


def test_on_a_phone_a_key_has_its_verb_where_the_days_leave_room():
    ready = row(weighed((40, 1000), (1, 640)))
    young = row(lot(stage="in-cure", stage_at="2026-11-25T09:00:00Z", hang_g=None, hang_at=None))
    turn = replace(HERE, action=("t", "turn it"))
    assert text_of(row_line(ready, PHONE, replace(HERE, action=("f", "feel it")))).endswith(
        " ready     f feel "
    )
    assert text_of(row_line(young, PHONE, turn)).endswith(" out 9 Dec t turn ")
    later = row(replace(young.lot, stage_at="2026-11-26T09:00:00Z"))
    assert text_of(row_line(later, PHONE, turn)).endswith(" out 10 Dec     t ")


def test_the_title_says_how_many_needs_are_of_the_air_of_a_place():
    silent = Need("today", "place-silent", "no reading for 5 h", "look", place="Fridge", place_id=4)
    together = Need("today", "weigh-in-due", "2 lots to weigh", "go round", place_id=4)
    shown = title_line(
        [row(DRYING)], [NEED, silent, together], base="hang", today=NOW.date(), width=80
    )
    assert "! 1 now, • 2 today, 1 for Fridge  " in text_of(shown)
    told = title_line(
        [row(DRYING)], [NEED, silent], base="hang", today=NOW.date(), width=80, places=False
    )
    assert "! 1 now (must not wait), • 1 today  %" in text_of(told), "a line below names the place"
    warm = replace(silent, place="Cellar", place_id=5)
    more = title_line([row(DRYING)], [NEED, silent, warm], base="hang", today=NOW.date(), width=80)
    assert "! 1 now, • 2 today, 2 for places  " in text_of(more)
    long = replace(silent, place="The white fridge in the barn behind the house")
    cut_off = title_line([row(DRYING)], [NEED, long], base="hang", today=NOW.date(), width=80)
    assert "! 1 now, • 1 today, 1 for a place  " in text_of(cut_off)


def test_a_row_on_a_plain_console_has_no_number_for_a_curve():
    drawn = signs.in_set(signs.ASCII, "0.42 ▁▂▃▄▅▆▇█ Silver…")
    assert drawn == "0.42 .:-=+x%# Silver~"
