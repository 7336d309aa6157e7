"""A lot whose spoilage nobody has decided on: no front names a day, a weight or a pull.

Common practice: spoiled meat is set aside until somebody has decided what is done with it.
"""

import re
import sqlite3
from datetime import UTC, date, datetime, timedelta

import pytest

from curedash.domain.drying.inspections import Felt, Mould, undecided
from curedash.domain.errors import Refused
from curedash.papers.blocks import as_markdown, as_text
from curedash.papers.calendar import calendar_file
from curedash.papers.handover import handover
from curedash.papers.lot_facts import facts_of
from curedash.papers.page_html import page
from curedash.papers.tags import tags_of
from curedash.present.metrics import metrics_text
from curedash.present.needs.diary import agenda_lines
from curedash.present.plain_lots import plain_lots
from curedash.present.rack.state import window_words
from curedash.services.drying.lot_forecast import ahead_of
from curedash.services.drying.observe import answer, decide, log_mould
from curedash.services.find import require_lot
from curedash.services.needs.diary import read_diary
from curedash.services.rack import read_rack
from curedash.store.work import By
from tests.build import NOW

BY = By("2026-11-25T18:00:00Z", "jon", "shell", "tests")
WHITE = Mould("white", "powdery", "spots", "brushed")


def spoil(house: sqlite3.Connection, code: str, at: datetime = NOW) -> int:
    number = require_lot(house, code).id
    answer(house, BY, number, Felt("none", "firm", "rotten"), at)
    return number


def test_an_alarm_counts_until_it_is_decided_however_much_is_seen_later(house) -> None:
    number = spoil(house, "D1", NOW - timedelta(days=30))
    for day in range(20, 0, -1):
        log_mould(house, BY, number, WHITE, NOW - timedelta(days=day))
    assert undecided(require_lot(house, "D1")) == "smell rotten"
    decide(house, BY, number, "thrown away", NOW)
    assert undecided(require_lot(house, "D1")) is None
    for day in range(1, 21):
        log_mould(house, BY, number, WHITE, NOW + timedelta(days=day))
    assert undecided(require_lot(house, "D1")) is None


def spoiled(house: sqlite3.Connection, stage: str) -> str:
    """Log rotten on the first lot of a stage, and give its code."""
    code = next(row.lot.code for row in read_rack(house, NOW).rows if row.lot.stage == stage)
    spoil(house, code)
    return code


STAGES = ("in-cure", "salt-rest", "ferment", "drying", "equalising", "on-hold")


def stages_of(house: sqlite3.Connection) -> list[str]:
    there = {row.lot.stage for row in read_rack(house, NOW).rows}
    return [stage for stage in STAGES if stage in there]


def test_the_rack_the_diary_and_the_calendar_name_no_day(house) -> None:
    stages = stages_of(house)
    assert {"in-cure", "drying", "equalising"} <= set(stages)
    for stage in stages:
        code = spoiled(house, stage)
        row = next(row for row in read_rack(house, NOW).rows if row.lot.code == code)
        assert row.figures.window is None
        causes = [need.cause for need in row.needs]
        assert causes[0] == "decision-asked"
        assert set(causes[1:]) <= {"ph-due"}, stage  # a pH helps to decide; it is not a step on
        for width in (12, 13, 16, 40):  # the narrowest column of the Rack is 12 wide
            assert window_words(row, width, UTC) == "decide first"
        items = [line for line in agenda_lines(read_diary(house, NOW)) if f" {code}: " in line]
        assert items == [f"  {code}: smell rotten: decide first what you do with it"]
        events = calendar_file(house, NOW).replace("\r\n ", "").split("BEGIN:VEVENT")
        titles = [
            re.search("SUMMARY:(.*)", event)[1].strip()
            for event in events[1:]
            if "STATUS:CANCELLED" not in event
        ]
        told = [title for title in titles if title.startswith(f"{code}: ")]
        assert told == [f"{code}: smell rotten: decide first what you do with it"], stage


def test_the_hand_over_says_leave_it_alone_once_and_pull_nothing(house) -> None:
    code = spoiled(house, "drying")
    text = " ".join(as_text(handover(house, NOW, days=8, ask="Mara")).split())
    said = "smell rotten. Leave it alone, do not open or taste it; ask"
    assert text.count(said) == 1
    table = as_markdown(handover(house, NOW, days=8, ask="Mara"))
    row = next(line for line in table.splitlines() if line.startswith(f"| {code} "))
    assert "do not pull: ask" in row
    assert f"{code}: weigh" not in text
    later = date(2026, 12, 12)  # whoever stands in from then on reads it too
    assert said in " ".join(as_text(handover(house, NOW, days=5, first=later)).split())


def test_the_phone_page_the_plain_list_metrics_and_tag_name_no_day(house) -> None:
    code = spoiled(house, "drying")
    html = page(house, NOW)
    row = re.search(
        rf'<a class="lot-row" href="#[^"]*">(?:(?!</a>).)*<b>{code}</b>.*?</a>', html, re.S
    )
    assert row is not None
    assert "decide first" in row[0]
    assert "pull" not in row[0]
    lot = next(part for part in html.split("<section") if f"<h2>{code} " in part)
    assert "decide first what you do with it" in lot
    for word in ("pull at", "<dt>window", "window-key", 'class="window"'):
        assert word not in lot
    rack = read_rack(house, NOW)
    own = next(lines for lines in plain_lots(rack) if lines[0].startswith(f"Lot {code}:"))
    assert "Next: decide first." in own
    assert not any("Pull" in line for line in own)
    samples = [line for line in metrics_text(rack, (), (), NOW).splitlines() if f'"{code}"' in line]
    assert samples
    assert not any("window" in line for line in samples)
    tag = " ".join(
        row.text for row in tags_of(facts_of(house, require_lot(house, code), NOW))[0].rows
    )
    assert "Do not pull it: smell rotten, not decided" in tag
    assert "PULL when" not in tag
    assert "window" not in tag
    with pytest.raises(Refused, match="Put it aside or throw it away"):
        ahead_of(house, code, NOW)


def tag_words(house: sqlite3.Connection, code: str) -> str:
    (tag,) = tags_of(facts_of(house, require_lot(house, code), NOW))
    return " ".join(row.text for row in tag.rows)


def test_the_tag_of_the_cure_names_no_day_out(house) -> None:
    code = spoiled(house, "in-cure")
    tag = " ".join(
        row.text for row in tags_of(facts_of(house, require_lot(house, code), NOW))[0].rows
    )
    assert "decide first: smell rotten" in tag
    assert "earliest out" not in tag
    assert "then it can wait" not in tag


def test_after_the_decision_the_days_come_back(house) -> None:
    before = {row.lot.code: row.figures.window for row in read_rack(house, NOW).rows}
    code = spoiled(house, "drying")
    decide(house, BY, require_lot(house, code).id, "cut away, goes on", NOW + timedelta(minutes=1))
    after = {row.lot.code: row.figures.window for row in read_rack(house, NOW).rows}
    assert before[code] is not None
    assert after == before


def test_the_hand_over_says_what_was_decided_of_a_spoiled_lot(house) -> None:
    number = spoil(house, "D1", NOW - timedelta(days=2))
    assert "Decided before" not in as_text(handover(house, NOW))
    decide(house, BY, number, "set aside for the vet", NOW)
    text = " ".join(as_text(handover(house, NOW)).split())
    assert "Decided before" in text
    assert "D1: smell rotten; decided: set aside for the vet. Do not open or taste it." in text
