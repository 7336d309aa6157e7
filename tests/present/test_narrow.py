"""What stays on a narrow screen, and what is left out first."""

from datetime import UTC, date

import pytest

from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import replace
from curedash.present.drying.lot import fact_lines
from curedash.present.needs.month import (
    MOST,
    day_cells,
    heads,
    legend,
    month_days,
    month_line,
    name_cells,
)
from curedash.present.rack.around import title_line
from curedash.present.rack.layout import WIDE, heads_line
from curedash.present.rack.row import Around, row_line
from curedash.present.weighing.weigh_line import echo_words
from curedash.present.words import cells, cut, text_of
from curedash.services.weighing.weigh import Preview
from tests.build import NOW, weighed
from tests.present.test_lot import known_facts
from tests.present.test_rack import NEED, row

EVERY_MARK = "=wtpoO!?lergk░"
TO_GO = Preview(1071.0, 28.0, 1043.0, NOW, -15.0, 7, 32.0, "hang", 1534.0, False, 46.0, ())
PAST = replace(TO_GO, to_go_g=-38.0)


@pytest.mark.parametrize(
    ("seen", "width", "words"),
    [
        (
            TO_GO,
            100,
            "1043 g net (1071 − 28 tare) · −15 g in 7 d · 32.0 % lost from hang 1534 g"
            " · 46 g to go",
        ),
        (TO_GO, 80, "1043 g net (1071 − 28 tare) · −15 g in 7 d · 32.0 % lost · 46 g to go"),
        (TO_GO, 60, "1043 g net · −15 g in 7 d · 32.0 % lost · 46 g to go"),
        (PAST, 80, "1043 g net (1071 − 28 tare) · −15 g in 7 d · 32.0 % lost · 38 g past"),
    ],
)
def test_what_is_to_go_stays_while_the_base_and_the_sum_may_go(seen, width, words):
    assert echo_words(seen, width) == words
    assert cells(words) <= width


def test_a_lot_that_was_pulled_has_nothing_to_go_and_no_rate():
    kept = weighed((90, 640), (66, 440), (59, 417), stage="keeping", target_lo_pct=18.0)
    line = text_of(row_line(row(kept), WIDE, Around(UTC)))
    assert "past" not in line
    assert line.split()[-9:-3] == ["34.8", "%", "–", "▄████", "▔▔", "keeping"]
    assert line.split()[-3] == "since"
    known = known_facts(kept)
    assert "to go" not in known
    assert "pull at" not in known
    drying = text_of(row_line(row(replace(kept, stage="drying")), WIDE, Around(UTC)))
    assert "0.51" in drying, "23 g of 640 in 7 days"
    assert " ready " in drying


@pytest.mark.parametrize("stage", ["on-hold", "equalising", "keeping"])
def test_the_rate_of_the_drying_is_not_told_of_a_sealed_bag(stage):
    sealed = weighed((31, 1534), (24, 1420), (14, 1300), (7, 1164), stage=stage)
    rate = "%/d"
    columns = slice(line_of_heads().index(rate) - 1, line_of_heads().index(rate) + len(rate))
    assert text_of(row_line(row(sealed), WIDE, Around(UTC)))[columns].strip() == "–"
    assert rate not in known_facts(sealed)


def line_of_heads() -> str:
    return heads_line(WIDE)


def test_a_long_stage_is_broken_before_the_last_facts_are_shown():
    found = [("stage", "equalising, day 10, until 28 Nov", "strong"), ("lost", "36.6 %", "")]
    found += [(f"fact {n}", "1", "") for n in range(6)]
    lines = [text_of(line).rstrip() for line in fact_lines(found, 35, 6)]
    assert lines[:3] == ["stage   equalising, day 10, until", "        28 Nov", "lost    36.6 %"]
    assert len(lines) == 6
    assert lines[-1] == "more: ← figures"
    assert not any("…" in line for line in lines)


@pytest.mark.parametrize("width", [60, 80, 120, 200])
def test_a_month_stands_under_its_heads_at_every_width(width):
    days, name = month_days(date(2026, 11, 25), width), name_cells(width)
    each = day_cells(width)
    first, second = heads(days, name, each)
    line = month_line(weighed((9, 1000), piece="shoulder side, tied"), [], days, [], name, each)
    assert {cells(first), cells(second), cells(line)} == {name + 1 + len(days) * each}
    assert width - each < cells(line) <= width, "the whole width is used"
    assert 42 <= len(days) <= MOST
    assert second[name + 1 :].startswith("25" + " " * (5 * each - 2) + "30")
    assert ("shoulder side, tied" in line) == (width >= 120)
    assert all(cells(each) <= width and "…" not in each for each in legend(width, EVERY_MARK))


def test_the_title_of_the_rack_names_the_base_before_it_counts_the_lots():
    silent = Need("act", "silent", "no reading for 5 h", "look", place="Fridge", place_id=4)
    rows = [row(weighed((9, 1000)), [NEED])] * 12 + [row(weighed((9, 1000)))] * 14
    due = Need("today", "cure-ready", "cure time is up", "rinse", lot="D1", lot_id=9)
    needs = [silent, *[NEED] * 12000, *[due] * 12000]
    line = text_of(title_line(rows, needs, base="hang", today=date(2026, 11, 25), width=60))
    assert "! 12001 now, • 12000 today  % from hang " in line
    assert "…" not in line


def test_nothing_loose_stands_before_the_sign_of_a_cut():
    assert cut("half, skin off", 12) == "half, skin…"
    assert cut("no. 2 (pink)", 8) == "no. 2…"
