"""The calendar file, opened by two parsers that did not write it (vobject, ics)."""

import re
import sqlite3
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import ics
import pytest
import vobject

from curedash.papers.calendar import calendar_file
from curedash.present.needs.diary import away_words, title
from curedash.services.find import require_lot
from curedash.services.household import household
from curedash.services.needs import away
from curedash.services.needs.diary import read_diary
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import dump
from curedash.store.work import By
from tests.build import NOW


def events(text: str) -> dict[str, Any]:
    """The events as vobject reads them, by UID."""
    found = [c for c in vobject.readOne(text).components() if c.name == "VEVENT"]
    uids = [event.uid.value for event in found]
    assert len(uids) == len(set(uids))
    return dict(zip(uids, found, strict=True))


def test_two_other_parsers_find_every_day_of_the_diary(house: sqlite3.Connection) -> None:
    text = calendar_file(house, NOW, days=14)
    by_vobject = events(text)
    by_ics = {event.uid: event for event in ics.Calendar(text).events}
    items = [i for i in read_diary(house, NOW, days=14).items if i.kind != "ferment-look"]
    assert by_vobject.keys() == by_ics.keys()
    names = sorted(event.summary.value for event in by_vobject.values())
    assert names == sorted(event.name for event in by_ics.values())
    for item in items:
        assert title(item) in names
    for uid, event in by_vobject.items():
        start = event.dtstart.value
        day = start.date() if isinstance(start, datetime) else start
        assert by_ics[uid].begin.date() == day


def test_a_pull_event_says_the_grams_and_never_that_it_is_ready(house: sqlite3.Connection) -> None:
    text = calendar_file(house, NOW)
    pulls = [e for e in events(text).values() if "pull at" in e.summary.value]
    assert "D1: weigh; pull at 742 g or less on the scale" in [p.summary.value for p in pulls]
    for event in pulls:
        start, end = event.dtstart.value, event.dtend.value
        assert not isinstance(start, datetime)  # whole days: the weight decides, not the hour
        assert end > start
        assert "hook and net (28 g)" in event.description.value or "D1" not in event.summary.value
    for word in ("ready", "safe", "expired", "done"):
        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE)


def test_the_end_of_a_span_is_not_included(house: sqlite3.Connection) -> None:
    item = next(i for i in read_diary(house, NOW).items if i.kind == "pull" and i.last > i.first)
    event = next(
        e for e in events(calendar_file(house, NOW)).values() if e.summary.value == title(item)
    )
    assert event.dtstart.value == item.first
    assert event.dtend.value == item.last + timedelta(days=1)


def test_only_what_must_be_acted_on_rings(house: sqlite3.Connection) -> None:
    for event in events(calendar_file(house, NOW)).values():
        rings = "valarm" in event.contents
        assert rings == isinstance(event.dtstart.value, datetime), event.summary.value
        assert not (rings and "pull at" in event.summary.value)


# ── taken in again ────────────────────────────────────────────────────────────────────────


def sequences(text: str) -> dict[str, int]:
    return {uid: int(event.sequence.value) for uid, event in events(text).items()}


def test_the_same_household_gives_the_same_file(house: sqlite3.Connection) -> None:
    assert calendar_file(house, NOW) == calendar_file(house, NOW)


def test_a_changed_window_keeps_its_uid_and_raises_its_sequence(house: sqlite3.Connection) -> None:
    first = calendar_file(house, NOW)
    lot = require_lot(house, "D1")
    uid = next(u for u, e in events(first).items() if e.summary.value.startswith("D1: weigh; pull"))
    house.execute(
        "UPDATE forecast SET lo_day = lo_day + 3, hi_day = hi_day + 5 WHERE lot_id = ?", (lot.id,)
    )
    second = calendar_file(house, NOW)
    assert sequences(second)[uid] == sequences(first)[uid] + 1
    moved = events(second)[uid].dtstart.value - events(first)[uid].dtstart.value
    assert moved == timedelta(days=3)
    same = {u for u in sequences(first) if "pull" not in u and ".5." not in u}
    assert same
    assert all(sequences(second).get(u) == 0 for u in same)
    assert sequences(calendar_file(house, NOW)) == sequences(second)


def test_a_weigh_in_moves_the_next_one_instead_of_doubling_it(
    house: sqlite3.Connection, by: By
) -> None:
    before = events(calendar_file(house, NOW))
    lot = require_lot(house, "D1")
    seen = preview(lot, "770 g", NOW, UTC)
    weigh(house, by, lot.id, seen, keep_doubtful=True)
    after = events(calendar_file(house, NOW))
    uid = next(u for u, e in before.items() if e.summary.value == "D1: weigh" and "weigh-1" in u)
    assert after[uid].dtstart.value > before[uid].dtstart.value


def test_what_is_no_more_comes_as_cancelled_until_its_day_is_over(
    house: sqlite3.Connection,
) -> None:
    first = calendar_file(house, NOW)
    house.execute("UPDATE lot SET stage = 'closed' WHERE code = 'D1'")
    second = events(calendar_file(house, NOW))
    gone = [u for u, e in second.items() if e.summary.value.startswith("D1")]
    assert gone
    for uid in gone:
        assert second[uid].status.value == "CANCELLED"
        assert int(second[uid].sequence.value) == sequences(first)[uid] + 1
    again = events(calendar_file(house, NOW))
    assert {u: again[u].sequence.value for u in gone} == {u: second[u].sequence.value for u in gone}
    later = events(calendar_file(house, NOW + timedelta(days=200)))
    assert not [u for u in gone if u in later]


def test_the_memory_of_the_calendar_has_no_line_in_the_log(house: sqlite3.Connection) -> None:
    before = house.execute("SELECT count(*) FROM change").fetchone()
    calendar_file(house, NOW)
    assert house.execute("SELECT count(*) FROM change").fetchone() == before
    assert "calendar-told" in dict(house.execute("SELECT name, value FROM setting"))
    assert dump.count(house) > 0


# ── daylight saving ───────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 10, 20, 18, tzinfo=UTC),  # the clocks of Vienna go back on 25 Oct 2026
        datetime(2027, 3, 20, 18, tzinfo=UTC),  # and forward on 28 Mar 2027
    ],
)
def test_the_hour_stays_on_both_sides_of_daylight_saving(
    house: sqlite3.Connection, by: By, now: datetime
) -> None:
    household.choose(house, by, "zone", "Europe/Vienna")
    house.execute("UPDATE lot SET stage = 'ferment', by_date = 0 WHERE code = 'J1'")
    text = calendar_file(house, now, hour=18)
    vienna = ZoneInfo("Europe/Vienna")
    offsets = set()
    others = {event.uid: event for event in ics.Calendar(text).events}
    for event in events(text).values():
        start = event.dtstart.value
        if isinstance(start, datetime) and event.summary.value.startswith(("J1", "D1: weigh")):
            assert start.astimezone(vienna).hour == 18
            offsets.add(start.astimezone(vienna).utcoffset())
            other = others[event.uid.value]
            assert other.begin.datetime.astimezone(UTC) == start.astimezone(UTC)
    assert len(offsets) == 2
    assert "TZID=Europe/Vienna" in text
    assert "BEGIN:VTIMEZONE" in text


def test_names_cannot_break_out_of_a_line(house: sqlite3.Connection) -> None:
    evil = "x\r\nEND:VEVENT\r\nBEGIN:VEVENT;,\\"
    house.execute("UPDATE lot SET piece = ? WHERE code = 'D1'", (evil,))
    house.execute("UPDATE batch SET name = '牛; , \\ ö' WHERE code = 'D'")
    text = calendar_file(house, NOW)
    assert text.count("BEGIN:VEVENT\r\n") == len(events(text)) == text.count("END:VEVENT\r\n")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    weighs = [e for e in events(text).values() if e.summary.value == "D1: weigh"]
    assert "牛; , \\ ö" in weighs[0].description.value


# ── days away ─────────────────────────────────────────────────────────────────────────────


def test_days_away_are_kept_shown_and_taken_back(house: sqlite3.Connection, by: By) -> None:
    from curedash.domain.errors import NotFound, Refused
    from curedash.domain.needs.days_away import Away

    block = Away(date(2026, 12, 1), date(2026, 12, 8))
    kept = away.add_away(house, by, block, NOW, "skiing")
    assert [b.block for b in away.blocks(house)] == [block]
    with pytest.raises(Refused, match="away already"):
        away.add_away(house, by, Away(date(2026, 12, 8), date(2026, 12, 9)), NOW)
    with pytest.raises(Refused, match="over already"):
        away.add_away(house, by, Away(date(2026, 11, 1), date(2026, 11, 8)), NOW)
    weighs = [i.first for i in read_diary(house, NOW, days=30).items if i.kind == "weigh"]
    assert not [day for day in weighs if block.first <= day <= block.last]
    away.remove_away(house, by, kept.id)
    assert away.blocks(house) == []
    with pytest.raises(NotFound):
        away.remove_away(house, by, kept.id)


def test_what_passes_its_target_while_away(house: sqlite3.Connection) -> None:
    from curedash.domain.needs.days_away import Away

    rows = away.report(house, Away(date(2026, 12, 1), date(2026, 12, 8)), NOW)
    found = {row.lot.code: row for row in rows}
    assert found["H1"].asks == "out-before"
    assert found["J1"].asks == "stand-in"
    assert found["G1"].asks == "due-before"  # its cure time was up on 24 Nov
    assert "decide before leaving" in away_words(found["G1"])
    assert found["D1"].passes == "will"
    assert found["D1"].weigh_before == date(2026, 11, 30)
    assert found["F2"].passes == "no"
    low, middle, high = found["D1"].on_return_pct or (0, 0, 0)
    assert 31 < low <= middle <= high < 45
    assert [row.asks for row in rows][:2] == ["out-before", "stand-in"]


def test_a_forecast_from_an_old_weigh_in_is_weighed_before_it_is_pulled(
    house: sqlite3.Connection,
) -> None:
    """D1 hangs at its target by its forecast, but nobody has weighed it for seven weeks."""
    from curedash.domain.needs.days_away import Away

    later = NOW + timedelta(days=45)
    first = later.date() + timedelta(days=3)
    rows = away.report(house, Away(first, first + timedelta(days=6)), later)
    d1 = next(row for row in rows if row.lot.code == "D1")
    assert (d1.passes, d1.asks, d1.weigh_before) == ("may", "weigh", later.date())
    assert "pull it before leaving" not in away_words(d1)
    assert "weigh it on" in away_words(d1)
