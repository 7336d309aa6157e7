"""Sensors: made known, corrected by an offset, tested over salt, taken out of use."""

from datetime import date
from sqlite3 import Connection

from curedash.domain.errors import NotFound, Refused
from curedash.domain.places.vapour import salt_test_offset_pct
from curedash.domain.records import Place, Sensor
from curedash.domain.typed.words import on_one_line
from curedash.domain.wording import no_such
from curedash.store import places, sensors
from curedash.store.work import By, Work, at_once, change

MAX_NAME = 80
MAX_OFFSET_C = 10.0  # design values: a sensor further off is broken, not off
MAX_OFFSET_PCT = 20.0


def sensors_of(conn: Connection, place: Place) -> list[Sensor]:
    """The sensors of one place, retired ones too."""
    return [sensor for sensor in sensors.all_sensors(conn) if sensor.place_id == place.id]


def require_sensor(conn: Connection, place: Place, name: str) -> Sensor:
    """The sensor with this name.

    Raises
    ------
    NotFound: names the sensors there are
    """
    found = sensors.by_name(conn, place.id, _clean(name))
    if found is None:
        known = [sensor.name for sensor in sensors_of(conn, place)]
        raise NotFound(no_such(f"sensor of {place.name} called", name[:40], known))
    return found


@at_once
def ensure_sensor(
    conn: Connection, by: By, place: Place, name: str, *, live: bool = True
) -> Sensor:
    """The sensor with this name, made if it is not there; a place it reports from is watched.

    Parameters
    ----------
    live : False for readings of long ago: they make nobody wait for the next one
    """
    clean = _clean(name)
    found = sensors.by_name(conn, place.id, clean)
    if found is None or (live and (place.watch != "sensor" or found.retired_at is not None)):
        with change(conn, by, "add sensor", subject=f"{place.name}: {clean}") as work:
            if found is None:
                sensors.add(work, place.id, clean)
            else:
                sensors.update(work, found.id, retired_at=None)
            if live:
                places.update(work, place.id, watch="sensor")
        found = sensors.by_name(conn, place.id, clean)
    assert found is not None
    return found


@at_once
def set_offset(
    conn: Connection,
    by: By,
    sensor: Sensor,
    *,
    temp_c: float | None = None,
    rh_pct: float | None = None,
) -> Sensor:
    """Choose what is added to what the sensor sends from now on; what is None stays.

    Raises
    ------
    Refused: an offset so large that the sensor is broken rather than off
    """
    if temp_c is not None and not abs(temp_c) <= MAX_OFFSET_C:
        raise Refused(f"An offset is at most ±{MAX_OFFSET_C:g} °C; a sensor further off is broken.")
    if rh_pct is not None and not abs(rh_pct) <= MAX_OFFSET_PCT:
        raise Refused(
            f"An offset is at most ±{MAX_OFFSET_PCT:g} %; a sensor further off is broken."
        )
    values = {"temp_offset_c": temp_c, "rh_offset_pct": rh_pct}
    with change(conn, by, "set offset", subject=sensor.name) as work:
        sensors.update(work, sensor.id, **{k: v for k, v in values.items() if v is not None})
    return _again(conn, sensor)


@at_once
def salt_test(
    conn: Connection,
    by: By,
    sensor: Sensor,
    *,
    shown_pct: float,
    temp_c: float,
    on: date,
    correct: bool = True,
) -> Sensor:
    """Record what a sensor showed in a closed jar over wet table salt.

    Parameters
    ----------
    shown_pct : what the sensor itself showed, before any offset [%]
    temp_c : temperature of jar and sensor [°C], 0–40
    correct : also set its humidity offset from the result

    Raises
    ------
    Refused: outside the table, or so far off that the sensor is broken
    """
    offset_pct = salt_test_offset_pct(shown_pct, temp_c)
    if correct and abs(offset_pct) > MAX_OFFSET_PCT:
        raise Refused(
            f"It is {abs(offset_pct):.0f} % off: is the salt wet, the jar closed for 8 h and the"
            f" number right? More than {MAX_OFFSET_PCT:g} % is a broken sensor."
        )
    with change(conn, by, "salt test", subject=sensor.name) as work:
        _keep_test(work, sensor, shown_pct, temp_c, on, offset_pct if correct else None)
    return _again(conn, sensor)


def _keep_test(
    work: Work, sensor: Sensor, shown_pct: float, temp_c: float, on: date, offset: float | None
) -> None:
    values: dict[str, object] = {
        "salt_test_on": on.isoformat(),
        "salt_test_rh_pct": shown_pct,
        "salt_test_temp_c": temp_c,
    }
    if offset is not None:
        values["rh_offset_pct"] = offset
    sensors.update(work, sensor.id, **values)


@at_once
def retire(conn: Connection, by: By, sensor: Sensor) -> None:
    """Take a sensor out of use: its readings stay, nobody waits for more."""
    with change(conn, by, "retire sensor", subject=sensor.name) as work:
        sensors.update(work, sensor.id, retired_at=by.now)


def _again(conn: Connection, sensor: Sensor) -> Sensor:
    found = sensors.by_name(conn, sensor.place_id, sensor.name)
    return sensor if found is None else found


def _clean(name: str) -> str:
    clean = on_one_line(name)
    if not clean or len(clean) > MAX_NAME:
        raise Refused(f"A sensor needs a name of at most {MAX_NAME} characters, e.g. top shelf.")
    return clean
