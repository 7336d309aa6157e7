"""A place whose air is simulated: readings arrive and somebody looks, on simulated time."""

import math
import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta

from curedash.domain.places.bad_readings import follow
from curedash.domain.records import Place
from curedash.domain.times import utc_text
from curedash.services.needs import watch
from curedash.services.places import places, sensors
from curedash.services.places.log_air import AirLog, Sample
from curedash.store import batches, lots
from curedash.store.work import By, change

Air = Callable[[datetime], tuple[float | None, float | None] | None]


class Cellar:
    """One place with a sensor, some lots, and a clock the test moves."""

    def __init__(
        self,
        conn: sqlite3.Connection,
        start: datetime,
        *,
        name: str = "Cellar",
        temp_c: tuple[float, float] | None = None,
        rh_pct: tuple[float, float] | None = None,
    ) -> None:
        self.conn, self.now, self.start = conn, start, start
        self.place: Place = places.add_place(
            conn, self.by(), name, temp_c=temp_c, rh_pct=rh_pct, watch="sensor"
        )
        self.sensor = sensors.ensure_sensor(conn, self.by(), self.place, "top")
        self.log = AirLog(conn)
        self.looks: list[tuple[datetime, watch.Look]] = []
        self._batch: int | None = None

    def by(self) -> By:
        return By(utc_text(self.now), "tester", "watch", "session-1")

    def lot(self, code: str, stage: str, *, hung: datetime | None = None, **more) -> int:
        """A lot of this stage since the start."""
        since = utc_text(hung or self.start)
        values = {
            "code": code,
            "stage": stage,
            "stage_at": since,
            "style": "bresaola",
            "style_name": "Bresaola",
            "green_g": 1000.0,
            "target_lo_pct": 35.0,
            "target_hi_pct": 40.0,
            "created_at": since,
            "place_id": self.place.id,
            "weigh_every_days": 400.0,
            **more,
        }
        if stage == "drying":
            values |= {"hang_g": 960.0, "hang_at": since}
        with change(self.conn, self.by(), "add lot", subject=code) as work:
            if self._batch is None:
                self._batch = batches.add(
                    work,
                    code=code[:1],
                    name="Test",
                    species="beef",
                    style="bresaola",
                    method=more.get("method", "injection"),
                    product_class="dry-cured",
                    rule_set="us",
                    recipe="{}",
                    salted_at=since,
                    created_at=since,
                )
            values.pop("method", None)
            lot_id = lots.add(work, batch_id=self._batch, **values)
            lots.add_stage(work, lot_id, stage, since, self.place.id, None)
        return lot_id

    def pass_time(
        self,
        hours: float,
        air: Air | None,
        *,
        every_s: int = 600,
        look_every_h: float = 1.0,
        sensor_id: int | None = None,
    ) -> None:
        """Let hours pass: readings come every few minutes, and somebody looks now and then."""
        end = self.now + timedelta(hours=hours)
        while self.now < end:
            upto = min(end, self.now + timedelta(hours=look_every_h))
            self._readings(upto, air, every_s, sensor_id or self.sensor.id)
            self.now = upto
            self.looks.append((self.now, watch.look(self.conn, self.by(), self.now)))
            watch.mark_announced(self.conn, self.looks[-1][1].tell, self.now)

    def _readings(self, upto: datetime, air: Air | None, every_s: int, sensor_id: int) -> None:
        samples, at = [], self.now
        while air is not None and at < upto:
            at += timedelta(seconds=every_s)
            values = air(at)
            if values is not None:
                second = int(at.timestamp())
                samples.append(Sample(self.place.id, sensor_id, second, *values))
        if samples:
            self.log.store(samples, upto)

    def opened(self) -> list[tuple[str, str]]:
        """Cause and level of everything that opened, in order."""
        return [(need.cause, need.level) for _, look in self.looks for need in look.new]

    def told(self) -> list[str]:
        """Cause of everything that was told, in order."""
        return [need.cause for _, look in self.looks for need in look.tell]

    def cleared(self) -> list[str]:
        """Cause of everything that cleared, in order."""
        return [need.cause for _, look in self.looks for need in look.cleared]


def cycles(at: datetime) -> tuple[float, float]:
    """A compressor's hourly cycles: 9.7–14.5 °C and 41–85 % RH, mean near 10.8 °C and 67 %."""
    share = (at.timestamp() % 3600) / 3600
    spike = math.exp(-((share - 0.5) ** 2) / 0.008)
    temp_c = 9.9 + 0.2 * math.sin(at.timestamp() / 7000) + 4.5 * spike
    rh_pct = (
        67 + 18.5 * math.sin(2 * math.pi * share) - 26.5 * math.exp(-((share - 0.7) ** 2) / 0.004)
    )
    return round(temp_c, 2), round(max(41.0, min(85.0, rh_pct + 2)), 1)


def steady(temp_c: float, rh_pct: float = 75.0) -> Air:
    """Nearly the same air all the time; a living sensor is never quite still."""

    def air(at: datetime) -> tuple[float, float]:
        wobble = 0.1 * math.sin(at.timestamp() / 900)
        return round(temp_c + wobble, 2), round(rh_pct + 3 * wobble, 1)

    return air


def stuck_reason(points) -> str | None:
    """What a sensor's readings in order of time come to: `Run.verdict` of the last one."""
    run = None
    for at, temp_c, rh_pct in points:
        run = follow(run, at, temp_c, rh_pct)
    return None if run is None else run.verdict
