"""Readings that arrive: corrected by the sensor's offset, judged, and stored in one commit."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.facts.air import FLAT_H, STUCK_AT_END_H
from curedash.domain.needs.lot_needs import clock_need
from curedash.domain.places.bad_readings import Run, bad_reason, follow
from curedash.domain.records import Reading, Sensor
from curedash.services.household import household
from curedash.services.needs.alert_rules import rules_of
from curedash.services.needs.check import WRITTEN_ON
from curedash.store import log, places, roll_ups, sensors
from curedash.store.work import note_stored, quiet

SEED_READINGS = 5_000  # of one sensor, looked at once to know whether it repeats itself
QUARTER_S = 900
SEED_S = 2 * 3600 * max(FLAT_H, STUCK_AT_END_H)


@dataclass(frozen=True, slots=True)
class Sample:
    """What a sensor sent, as it sent it."""

    place_id: int
    sensor_id: int
    at: int  # epoch seconds
    temp_c: float | None
    rh_pct: float | None
    own_time: bool = True  # False: stamped with this machine's clock


class AirLog:
    """Stores what arrives; remembers how each sensor went on, so a stuck one is noticed."""

    def __init__(self, conn: Connection) -> None:
        self.conn = conn
        self._zone = household.zone(conn)
        self._runs: dict[int, Run | None] = {}
        self._marked: dict[int, str | None] = {}

    def store(self, samples: Sequence[Sample], now: datetime) -> dict[str, int]:
        """Store samples durably in one transaction.

        Returns
        -------
        how many of them were marked as no weather, by reason

        Raises
        ------
        FileTrouble (or Busy): nothing was saved
        """
        before = dict(self._runs), dict(self._marked)
        marks: list[tuple[Sample, float, str]] = []
        by_place: dict[int, list[Reading]] = {}
        try:
            with quiet(self.conn):  # what it is judged by is read here too: any fault is worded
                known = {sensor.id: sensor for sensor in sensors.all_sensors(self.conn)}
                unsure = self._clock_is_wrong(now)
                for sample in samples:
                    reading = self._judged(sample, known.get(sample.sensor_id), unsure, marks)
                    by_place.setdefault(sample.place_id, []).append(reading)
                self._write(by_place, marks)
        except BaseException:
            self._runs, self._marked = before
            raise
        note_stored()
        bad = [r.bad for readings in by_place.values() for r in readings if r.bad is not None]
        return {reason: bad.count(reason) for reason in sorted(set(bad))}

    def _write(
        self, by_place: dict[int, list[Reading]], marks: list[tuple[Sample, float, str]]
    ) -> None:
        for place_id, readings in by_place.items():
            places.insert_readings(self.conn, place_id, readings)
            days = local_ordinals((r.at for r in readings), self._zone)
            roll_ups.forget_days(self.conn, place_id, days)
        for sample, began, bad in marks:
            sensors.mark(self.conn, sample.place_id, sample.sensor_id, int(began), sample.at, bad)

    def _judged(
        self,
        sample: Sample,
        sensor: Sensor | None,
        unsure: bool,
        marks: list[tuple[Sample, float, str]],
    ) -> Reading:
        """The reading with its offset, or with the reason why it is not weather."""
        bad = bad_reason(sample.temp_c, sample.rh_pct)
        if unsure and not sample.own_time:
            bad = bad or "time-unsure"
        temp_c, rh_pct = _number(sample.temp_c), _number(sample.rh_pct)
        if bad is not None and bad != "zero-humidity":
            return Reading(sample.at, temp_c, rh_pct, sample.sensor_id, bad)
        if sensor is not None:
            temp_c, rh_pct = _corrected(sensor, temp_c, rh_pct)
        stuck = self._stuck(sample, temp_c, rh_pct, marks)
        return Reading(sample.at, temp_c, rh_pct, sample.sensor_id, stuck or bad)

    def _stuck(
        self,
        sample: Sample,
        temp_c: float | None,
        rh_pct: float | None,
        marks: list[tuple[Sample, float, str]],
    ) -> str | None:
        """The verdict on its sensor; with the first one the readings before are marked too."""
        sensor_id = sample.sensor_id
        if sensor_id not in self._runs:
            self._seed(sample)
        run = self._runs[sensor_id]
        if run is not None and sample.at <= run.at:
            return None  # late or repeated: says nothing about how the sensor goes on
        run = self._runs[sensor_id] = follow(run, sample.at, temp_c, rh_pct)
        verdict = run.verdict
        if verdict is not None and self._marked.get(sensor_id) != verdict:
            marks.append((sample, run.began, verdict))
        self._marked[sensor_id] = verdict
        return verdict

    def _seed(self, sample: Sample) -> None:
        since, sensor_id = int(sample.at - SEED_S), sample.sensor_id
        run: Run | None = None
        for reading in sensors.latest(self.conn, sample.place_id, sensor_id, since, SEED_READINGS):
            if reading.at < sample.at:
                run = follow(run, reading.at, reading.temp_c, reading.rh_pct)
        self._runs[sample.sensor_id] = run

    def _clock_is_wrong(self, now: datetime) -> bool:
        newest = log.newest_recorded_at(self.conn)
        return clock_need(now, newest, WRITTEN_ON, rules_of(self.conn)[0]) is not None


def local_ordinals(times: Iterable[int], zone: tzinfo) -> set[int]:
    """Ordinals of the calendar days in a zone that these epoch seconds fall on."""
    quarters = {at // QUARTER_S for at in times}  # no zone changes within a quarter of an hour
    return {
        datetime.fromtimestamp(quarter * QUARTER_S, zone).date().toordinal() for quarter in quarters
    }


def _corrected(
    sensor: Sensor, temp_c: float | None, rh_pct: float | None
) -> tuple[float | None, float | None]:
    """With the sensor's offsets; a humidity stays what humidity can be."""
    if temp_c is not None:
        temp_c += sensor.temp_offset_c
    if rh_pct is not None and rh_pct > 0:
        rh_pct = min(100.0, max(0.0, rh_pct + sensor.rh_offset_pct))
    return temp_c, rh_pct


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value
