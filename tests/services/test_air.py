"""The air of places on simulated time: a quiet month, a warm one, a silent one, fresh meat."""

import sqlite3
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from curedash.domain.errors import FileTrouble
from curedash.domain.places.air import window_stats
from curedash.domain.places.bad_readings import follow
from curedash.domain.records import Reading
from curedash.services.household import household
from curedash.services.needs import alert_rules, check
from curedash.services.places import places, roll_up, sensors
from curedash.services.places.air_view import air_of_places, curves, long_curves
from curedash.services.places.log_air import AirLog, Sample, local_ordinals
from curedash.store import places as rows
from curedash.store import roll_ups
from curedash.store.work import By, quiet
from tests.airy import Cellar, cycles, steady, stuck_reason

START = datetime(2026, 10, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)


# ── a month ───────────────────────────────────────────────────────────────────────────────


def test_the_cycles_are_those_of_a_real_fridge() -> None:
    seen = [cycles(START + timedelta(minutes=n)) for n in range(24 * 60)]
    temps, humid = [t for t, _ in seen], [h for _, h in seen]
    assert (min(temps), max(temps)) == (pytest.approx(9.7, abs=0.1), pytest.approx(14.5, abs=0.2))
    assert (min(humid), max(humid)) == (41, 85)
    assert sum(temps) / len(temps) == pytest.approx(10.8, abs=0.3)
    assert sum(humid) / len(humid) == pytest.approx(67, abs=3)


def test_a_month_of_compressor_cycles_raises_nothing(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START, temp_c=(8, 14), rh_pct=(60, 80))
    cellar.lot("C1", "drying")
    cellar.pass_time(30 * 24, cycles, every_s=300, look_every_h=2)
    assert cellar.opened() == []
    assert check.current_needs(conn, cellar.now) == []


def test_a_database_error_while_readings_are_judged_is_one_sentence(
    conn: sqlite3.Connection,
) -> None:
    """It was raised as the driver's own error, which ended a listener."""
    cellar = Cellar(conn, START)
    sample = Sample(cellar.place.id, 0, int(START.timestamp()), 4.0, 75.0)
    conn.execute("ALTER TABLE sensor RENAME TO sensor_away")
    with pytest.raises(FileTrouble):
        cellar.log.store([sample], START)
    conn.execute("ALTER TABLE sensor_away RENAME TO sensor")
    assert cellar.log.store([sample], START) == {}


def test_six_warm_hours_raise_one_act_and_it_clears_by_itself(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(48, steady(3.5))
    cellar.pass_time(9, steady(12))
    assert cellar.opened() == [("place-too-warm", "act")]
    cellar.pass_time(72, steady(3.5))
    assert cellar.opened() == [("place-too-warm", "act")]
    assert cellar.cleared() == ["place-too-warm"]
    assert cellar.told() == ["place-too-warm"]


def test_one_defrost_an_evening_raises_nothing(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "equalising")
    cellar.pass_time(10 * 24, lambda at: (15.0 if at.hour == 20 else 3.4, 80.0 + at.minute / 60))
    assert cellar.opened() == []


def test_three_hours_of_silence_raise_one_act(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(24, steady(4))
    cellar.pass_time(3, None)
    assert cellar.opened() == []
    cellar.pass_time(40, None)
    assert cellar.opened() == [("place-silent", "act")]
    assert cellar.told() == ["place-silent", "place-silent"]  # and once more after a day
    cellar.pass_time(24, steady(4))
    assert cellar.cleared() == ["place-silent"]


def test_a_sensor_that_comes_late_each_time_does_not_flap(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(24, steady(4))
    for _ in range(10):
        cellar.pass_time(3.5, None, look_every_h=0.25)
        cellar.pass_time(0.25, steady(4), every_s=900, look_every_h=0.25)
    assert cellar.opened() == [("place-silent", "act")]


def test_fresh_meat_may_be_wet_until_its_grace_ends(conn: sqlite3.Connection) -> None:
    """85–90 % for 48 h after hanging raises nothing; a place that stays wet does, afterwards."""
    cellar = Cellar(conn, START, rh_pct=(70, 80))
    cellar.pass_time(24, steady(11, 75))
    cellar.lot("C1", "drying", hung=cellar.now)
    cellar.pass_time(48, lambda at: (11.0 + at.minute / 100, 85.0 + at.hour % 6))
    cellar.pass_time(24 * 4, steady(11, 76))
    assert cellar.opened() == []
    cellar.pass_time(48, steady(11, 88))
    assert cellar.opened() == [("place-too-humid", "today")]


def test_wet_after_the_grace_is_told(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START, rh_pct=(70, 80))
    cellar.lot("C1", "drying")
    cellar.pass_time(24 * 5, steady(11, 88))
    assert cellar.opened() == [("place-too-humid", "today")]
    first = next(at for at, look in cellar.looks if look.new)
    assert timedelta(hours=72) <= first - START <= timedelta(hours=74)


def test_a_mean_around_its_limit_does_not_flap(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START, rh_pct=(70, 80))
    cellar.pass_time(24, steady(4, 75))
    cellar.pass_time(20 * 24, lambda at: (4 + at.minute / 100, 80 + 1.2 * (-1) ** at.toordinal()))
    assert len(cellar.opened()) <= 1


def test_bagged_lots_do_not_care_for_humidity(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START, rh_pct=(70, 80))
    cellar.lot("C1", "equalising")
    cellar.lot("C2", "drying", in_bag=1, hung=START - timedelta(days=9))
    cellar.pass_time(48, steady(4, 40))
    assert cellar.opened() == []


def test_a_place_nobody_measures_is_never_silent(conn: sqlite3.Connection, by: By) -> None:
    places.add_place(conn, by, "Attic", watch="not-watched")
    places.add_place(conn, by, "Larder", watch="sensor")
    assert check.current_needs(conn, datetime(2027, 11, 1, tzinfo=UTC)) == []


# ── sensors ───────────────────────────────────────────────────────────────────────────────


def test_two_sensors_are_judged_apart_and_never_averaged(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    low = sensors.ensure_sensor(conn, cellar.by(), cellar.place, "bottom")
    for hour in range(30):
        cellar.now = START + hour * HOUR
        cellar._readings(cellar.now + HOUR, steady(8.5), 600, cellar.sensor.id)
        cellar._readings(cellar.now + HOUR, steady(1.5), 600, low.id)
    now = cellar.now + HOUR
    found = {need.cause: need for need in check.current_needs(conn, now)}
    assert set(found) == {"place-too-warm", "place-sensors-apart"}
    assert found["place-too-warm"].message.startswith("top: mean of 6 h is 8.5 °C, over 7")
    assert "bottom and top are 7.0 °C apart" in found["place-sensors-apart"].message
    (shown,) = air_of_places(conn, now)
    assert [round(s.temp.mean, 1) for s in shown.series if s.temp] == [8.5, 1.5]


def test_one_of_two_sensors_gone_is_told_by_its_name_until_it_is_retired(
    conn: sqlite3.Connection,
) -> None:
    cellar = Cellar(conn, START)
    low = sensors.ensure_sensor(conn, cellar.by(), cellar.place, "bottom")
    cellar.pass_time(4, steady(4), sensor_id=low.id)
    cellar.pass_time(4, steady(4))
    (need,) = check.current_needs(conn, cellar.now)
    assert (need.cause, need.message) == ("place-silent", "bottom: no reading for 4 h")
    sensors.retire(conn, cellar.by(), low)
    assert check.current_needs(conn, cellar.now) == []


def test_a_flat_line_is_no_weather_and_becomes_silence(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(24, steady(4))
    cellar.pass_time(14, lambda _: (4.4, 71.0))
    assert cellar.opened() == [("place-silent", "act")]
    (need,) = check.current_needs(conn, cellar.now)
    assert need.message == "no usable reading for 14 h: it sends the same value again and again"
    flat = rows.readings(conn, cellar.place.id, int((START + 24 * HOUR).timestamp()) + 1)
    assert {reading.bad for reading in flat} == {"flat"}
    cellar.pass_time(6, steady(4))
    assert cellar.cleared() == ["place-silent"]


def test_a_sensor_that_is_stuck_is_known_after_a_restart_too(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    for _ in range(14):
        cellar.log = AirLog(conn)
        cellar.pass_time(1, lambda _: (4.4, 71.0))
    assert [cause for cause, _ in cellar.opened()] == ["place-silent"]


def test_a_humidity_that_stands_at_its_end_leaves_the_temperature(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START, rh_pct=(70, 80))
    cellar.lot("C1", "in-cure")
    cellar.pass_time(30, lambda at: (9.0 + at.minute / 100, 100.0))
    assert ("place-too-warm", "act") in cellar.opened()
    since = int((START + 20 * HOUR).timestamp())
    found = rows.good_readings(conn, cellar.place.id, since, 1 << 40)
    assert found
    assert {reading.rh_pct for reading in found} == {None}


def test_a_sensor_that_never_sent_anything_usable_is_told(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(1, lambda _: (85.0, 70.0))
    (need,) = check.current_needs(conn, cellar.now)
    assert need.message == "no usable reading so far: it sends its power-on value"


def test_an_offset_counts_from_now_on_and_bad_values_are_judged_before_it(
    conn: sqlite3.Connection,
) -> None:
    cellar = Cellar(conn, START)
    sensors.set_offset(conn, cellar.by(), cellar.sensor, temp_c=-0.5, rh_pct=3)
    cellar.log.store(
        [
            Sample(cellar.place.id, cellar.sensor.id, 1, 4.0, 70.0),
            Sample(cellar.place.id, cellar.sensor.id, 2, 85.0, 70.0),
            Sample(cellar.place.id, cellar.sensor.id, 3, 4.0, 99.0),
        ],
        START,
    )
    found = rows.readings(conn, cellar.place.id, 0)
    assert [(r.temp_c, r.rh_pct, r.bad) for r in found] == [
        (3.5, 73.0, None),
        (85.0, 70.0, "power-on"),
        (3.5, 100.0, None),
    ]


def test_the_salt_test_sets_the_offset_from_the_table_of_greenspan(
    conn: sqlite3.Connection,
) -> None:
    """75.3 % over saturated salt water at 25 °C (Greenspan, J. Res. NBS 81A, 1977, 89)."""
    cellar = Cellar(conn, START)
    found = sensors.salt_test(
        conn, cellar.by(), cellar.sensor, shown_pct=79.3, temp_c=25, on=START.date()
    )
    assert found.rh_offset_pct == pytest.approx(-4.0, abs=0.05)
    assert (found.salt_test_on, found.salt_test_rh_pct) == ("2026-10-01", 79.3)


def test_a_run_is_what_the_whole_series_says() -> None:
    series = [(n * 1800.0, 4.0 + (n // 40) % 2, 71.0 if n < 90 else 100.0) for n in range(140)]
    run = None
    for n, (at, temp_c, rh_pct) in enumerate(series):
        run = follow(run, at, temp_c, rh_pct)
        assert run.verdict == stuck_reason(series[: n + 1])


# ── clocks, zones, midnight ───────────────────────────────────────────────────────────────


@pytest.mark.parametrize("day", [datetime(2026, 3, 29), datetime(2026, 10, 25)])
def test_the_night_the_clock_changes_neither_rings_nor_loses_an_hour(
    conn: sqlite3.Connection, by: By, day: datetime
) -> None:
    zone = ZoneInfo("Europe/Vienna")
    household.choose(conn, by, "zone", "Europe/Vienna")
    start = day.replace(tzinfo=zone).astimezone(UTC) - 12 * HOUR
    cellar = Cellar(conn, start)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(60, steady(4), look_every_h=0.5)
    assert cellar.opened() == []
    rolled = roll_ups.days(conn, cellar.place.id, day.toordinal(), day.toordinal())
    hours = 23 if day.month == 3 else 25
    assert [item.n for item in rolled] == [hours * 6]


def test_a_laptop_in_another_zone_counts_the_same(
    conn: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    cellar = Cellar(conn, START)
    household.choose(conn, cellar.by(), "zone", "Europe/Vienna")
    cellar.lot("C1", "in-cure")
    cellar.pass_time(30, steady(9))
    here = check.current_needs(conn, cellar.now)
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    away = cellar.now.astimezone(ZoneInfo("Asia/Tokyo"))
    assert check.current_needs(conn, away) == here
    assert household.zone_name(conn) == "Europe/Vienna"


def test_midnight_is_no_edge_for_means_and_silence(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, datetime(2026, 10, 1, 20, 30, tzinfo=UTC))
    cellar.pass_time(2, steady(4), look_every_h=0.25)
    cellar.pass_time(4, None, look_every_h=0.25)
    (first,) = [at for at, look in cellar.looks if look.new]
    assert first == datetime(2026, 10, 2, 1, 45, tzinfo=UTC)


def test_a_clock_that_is_behind_says_so_and_nothing_else(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(30, steady(9))
    assert cellar.opened() == [("place-too-warm", "act")]
    alert_rules.set_rule(conn, cellar.by(), "sensor-silent", 4)
    behind = cellar.now - timedelta(minutes=11)
    assert [n.cause for n in check.current_needs(conn, behind)] == ["clock-implausible"]
    check.keep(conn, check.awake_needs(conn, behind), behind)
    stands = {need.cause for need in check.remembered(conn)[0]}
    assert stands == {"place-too-warm", "clock-implausible"}
    check.keep(conn, check.awake_needs(conn, cellar.now), cellar.now)
    assert {need.cause for need in check.remembered(conn)[0]} == {"place-too-warm"}
    five_weeks = cellar.now + timedelta(days=35)
    assert [n.cause for n in check.current_needs(conn, five_weeks)] == ["place-silent"]


# ── long histories ────────────────────────────────────────────────────────────────────────


def fill(conn: sqlite3.Connection, place_id: int, sensor_id: int, count: int, last_at: int) -> None:
    with quiet(conn):
        conn.execute(
            "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ?1)"
            " INSERT INTO reading SELECT ?2, ?3 - 60 * i, ?4, 4 + (i * 7919 % 100) / 100.0,"
            " 70 + (i * 104729 % 100) / 10.0, NULL FROM n",
            (count, place_id, last_at, sensor_id),
        )
    last = Reading(last_at, 4.0, 71.0, sensor_id)
    rows.add_readings(conn, place_id, [last])


def test_a_day_boiled_down_is_what_its_readings_say(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(50, cycles)
    day = START.date().toordinal()
    first, second = roll_ups.days(conn, cellar.place.id, day, day + 1)
    start, end = int(START.timestamp()), int((START + 24 * HOUR).timestamp())
    points = [
        (r.at, r.temp_c)
        for r in rows.readings(conn, cellar.place.id, start, end - 1)
        if r.temp_c is not None
    ]
    stats = window_stats(points, end, 24, 3 * 3600)
    assert stats is not None
    assert first.n == len(points) == 143
    assert (first.temp_min_c, first.temp_max_c) == (stats.low, stats.high)
    assert first.temp_mean_c == pytest.approx(stats.mean)
    assert second.n == 144


def test_late_readings_boil_their_day_down_anew(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(50, steady(4))
    late = int((START + 5 * HOUR).timestamp()) + 7
    cellar.log.store([Sample(cellar.place.id, cellar.sensor.id, late, 20.0, 70.0)], cellar.now)
    cellar.pass_time(1, steady(4))
    first = roll_ups.days(conn, cellar.place.id, START.toordinal(), START.toordinal())[0]
    assert first.temp_max_c == 20


def test_thinning_keeps_extremes_and_the_days_as_they_were(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(5 * 24, cycles, every_s=120, look_every_h=24)
    days = START.toordinal(), START.toordinal() + 4
    before = roll_ups.days(conn, cellar.place.id, *days)
    later = cellar.now + timedelta(days=40)
    hourly = roll_ups.curve(conn, cellar.place.id, 0, 1 << 40, 3600)
    gone = roll_up.thin(conn, cellar.by(), 30, later)
    left = len(rows.readings(conn, cellar.place.id, 0))
    assert gone > 3000
    assert left <= 5 * 24 * 4 + 4
    assert roll_ups.days(conn, cellar.place.id, *days) == before[: len(before)]
    after = roll_ups.curve(conn, cellar.place.id, 0, 1 << 40, 3600)
    for whole, thin in zip(hourly, after, strict=True):
        assert (whole[0], whole[1], whole[2], whole[3]) == (thin[0], thin[1], thin[2], thin[3])
        assert (whole[5], whole[6]) == (thin[5], thin[6])
    assert roll_up.thin(conn, cellar.by(), 30, later) == 0
    roll_up.roll_up_days(conn, later)
    assert roll_ups.days(conn, cellar.place.id, *days) == before


def test_a_million_readings_keep_check_and_curve_instant(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    fill(conn, cellar.place.id, cellar.sensor.id, 1_000_000, int(START.timestamp()))
    took = {}
    for name, do in (
        ("check", lambda: check.current_needs(conn, START)),
        ("places", lambda: air_of_places(conn, START)),
        ("week", lambda: curves(conn, cellar.place, START)),
    ):
        began = time.perf_counter()
        found = do()
        took[name] = time.perf_counter() - began
        assert found or name == "check"
    assert max(took.values()) < 0.25, took


def test_the_curve_of_a_week_holds_every_extreme(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(7 * 24, cycles, look_every_h=24)
    (points,) = curves(conn, cellar.place, cellar.now).values()
    assert 160 <= len(points) <= 170
    temps = [r.temp_c for r in rows.readings(conn, cellar.place.id, 0) if r.temp_c is not None]
    assert max(p.temp_hi_c for p in points if p.temp_hi_c) == max(temps)
    assert all(p.dew_point_c < p.temp_c for p in points if p.dew_point_c and p.temp_c)
    assert all(0 < p.deficit_hpa < 10 for p in points if p.deficit_hpa)
    assert all(b.at > a.at for a, b in pairwise(points))


def test_a_year_is_drawn_from_its_days(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.pass_time(40 * 24, steady(11, 75), every_s=3600, look_every_h=24)
    (points,) = long_curves(conn, cellar.place, cellar.now, 365).values()
    assert len(points) == 40
    assert points[1].temp_c == pytest.approx(11, abs=0.1)
    assert all(p.temp_lo_c <= p.temp_c <= p.temp_hi_c for p in points if p.temp_c)
    assert all(p.dew_point_c for p in points)


def test_days_are_counted_where_the_household_lives() -> None:
    at = int(datetime(2026, 10, 1, 22, 30, tzinfo=UTC).timestamp())
    first = datetime(2026, 10, 1).toordinal()
    assert local_ordinals([at], UTC) == {first}
    assert local_ordinals([at], ZoneInfo("Europe/Vienna")) == {first + 1}
    assert local_ordinals([at, at + 1], ZoneInfo("Asia/Kathmandu")) == {first + 1}
