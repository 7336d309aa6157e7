"""Air, sensors and alert rules in words and as JSON; shared by both fronts."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from curedash.domain.needs.place_needs import BAD_WORDS
from curedash.domain.places.air import WindowStats
from curedash.domain.places.vapour import salt_test_rh_pct
from curedash.domain.records import Place, Reading, Sensor
from curedash.domain.times import utc_text
from curedash.domain.wording import by_number
from curedash.present.display_units import (
    degrees,
    kilos,
    temp,
    temp_difference,
    temp_tidy,
    temp_unit,
)
from curedash.present.lines import air_words
from curedash.present.numbers import MINUS, number, parts, rounded, rounded_parts
from curedash.present.words import NOTHING, ago, count, plain, stage
from curedash.services.needs.alert_rules import StandingRule
from curedash.services.places.air_view import PlaceAir, SensorAir
from curedash.services.places.outage import Spared, Touched

WIDTH = 21


def rule_line(standing: StandingRule) -> str:
    """``sensor-silent   6 h  (3)  a sensor silent for (now)``."""
    rule = standing.rule
    value = threshold(standing.value, rule.unit, apart=is_difference(rule.id))
    usual = threshold(rule.default, rule.unit, apart=is_difference(rule.id))
    usual = f" (usual {usual})" if standing.own else ""
    return f"{rule.id:<{WIDTH}} {value + usual:<10} {rule.words}"


def threshold(value: float | None, unit: str, *, apart: bool = False) -> str:
    """A threshold with its unit, ``off`` if it is switched off; ``apart``: a difference."""
    if value is not None and unit == "°C":
        return temp_difference(value) if apart else temp_tidy(value)
    return "off" if value is None else f"{value:g} {unit}"


def is_difference(rule_id: str) -> bool:
    """Whether a rule in °C is a difference of two temperatures."""
    return rule_id.startswith(("clears-", "sensors-apart-"))


def rule_document(standing: StandingRule) -> dict[str, Any]:
    """One alert rule as JSON."""
    rule = standing.rule
    return {
        "id": rule.id,
        "value": standing.value,
        **parts(rule, "unit", "default"),
        "own": standing.own,
        "range": [rule.least, rule.most],
        "what": rule.words,
        "source": rule.source,
    }


# ── places and sensors ────────────────────────────────────────────────────────────────────


def age(seconds: float | None) -> str:
    """How old a reading is.

    Example
    -------
    >>> age(30), age(1500), age(5 * 3600), age(3 * 86_400), age(None)
    ('now', '25 min', '5 h', '3 d', '–')
    """
    if seconds is None:
        return NOTHING
    if seconds < 60:
        return "now"
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    return f"{seconds / 3600:.0f} h" if seconds < 172_800 else f"{seconds / 86_400:.0f} d"


def age_words(seconds: float | None) -> str:
    """How old, for a column without a head.

    Example
    -------
    >>> age_words(30), age_words(86_400), age_words(None)
    ('now', '24 h ago', '–')
    """
    words = age(seconds)
    return words if words in ("now", NOTHING) else f"{words} ago"


def range_words(stats: WindowStats | None, unit: str, decimals: int) -> str:
    """A day's mean with its range: ``3.6 (2.9–5.1) °C``."""
    if stats is None:
        return NOTHING
    mean, low, high = stats.mean, stats.low, stats.high
    if unit == "°C":
        mean, low, high, unit = degrees(mean), degrees(low), degrees(high), temp_unit()
    span = f"{number(low, decimals)}–{number(high, decimals)}"
    return f"{number(mean, decimals)} ({span}) {unit}"


def air_line(item: PlaceAir) -> str:
    """``Fridge 2: 3.5 °C, 78 %, 4 min ago; day 3.6 (2.9–5.1) °C, 77 (70–84) %; 3.2 kg``."""
    if item.last is None:
        watch = " (nobody measures here)" if item.place.watch == "not-watched" else ""
        return f"{item.place.name}: no reading yet{watch}"
    parts = [f"{air_words(item.last.temp_c, item.last.rh_pct)}, {age(item.age_s)}"]
    for series in item.series:
        name = f"{series.name or 'by hand'} " if len(item.series) > 1 else ""
        day = [range_words(series.temp, "°C", 1), range_words(series.rh, "%", 0)]
        parts.append(f"{name}day {', '.join(words for words in day if words != NOTHING)}")
    if item.hanging_g:
        parts.append(f"{kilos(item.hanging_g)} hanging")
    return f"{item.place.name}: {'; '.join(parts)}"


def air_document(item: PlaceAir) -> dict[str, Any]:
    """The air of one place as JSON."""
    return {
        "place": item.place.name,
        "watch": item.place.watch,
        "last": None if item.last is None else reading_document(item.last),
        "age_s": None if item.age_s is None else round(item.age_s),
        "sensors": [
            {
                "sensor": series.name or None,
                "last": reading_document(series.last),
                "temp_24h_c": stats_document(series.temp),
                "rh_24h_pct": stats_document(series.rh),
            }
            for series in item.series
        ],
        "lots": item.lots,
        "hanging_g": rounded(item.hanging_g),
        "loaded_at": None if item.loaded_at is None else utc_of(item.loaded_at),
    }


def reading_document(reading: Reading) -> dict[str, Any]:
    """One reading as JSON."""
    return {"at": utc_of(reading.at), **rounded_parts(reading, "temp_c", "rh_pct")}


def stats_document(stats: WindowStats | None) -> dict[str, Any] | None:
    """Mean and range as JSON."""
    return None if stats is None else rounded_parts(stats, "mean", "low", "high")


def utc_of(epoch_s: float) -> str:
    """Epoch seconds as UTC text."""
    return utc_text(datetime.fromtimestamp(epoch_s, UTC))


def sensor_line(place: Place, sensor: Sensor) -> str:
    """``Fridge 2: top shelf, −0.4 °C, +2.0 %, salt test 2026-11-20: 73.3 at 25 °C``."""
    said = [sensor.name]
    if sensor.temp_offset_c or sensor.rh_offset_pct:
        temp_words, rh = temp_difference(sensor.temp_offset_c), number(sensor.rh_offset_pct, 1)
        said.append(f"{_signed(temp_words)}, {_signed(rh)} %")
    if sensor.salt_test_on is not None and sensor.salt_test_rh_pct is not None:
        temp_c = 25.0 if sensor.salt_test_temp_c is None else sensor.salt_test_temp_c
        said.append(
            f"salt test {sensor.salt_test_on}: showed {sensor.salt_test_rh_pct:g} %,"
            f" {salt_test_rh_pct(temp_c):.1f} % is right at {temp_tidy(temp_c)}"
        )
    if sensor.retired_at is not None:
        said.append("out of use")
    return f"{place.name}: {', '.join(said)}"


def _signed(text: str) -> str:
    return text if text.startswith(MINUS) else f"+{text}"


def sensor_document(place: Place, sensor: Sensor) -> dict[str, Any]:
    """One sensor as JSON."""
    return {
        "place": place.name,
        "sensor": sensor.name,
        "temp_offset_c": sensor.temp_offset_c,
        "rh_offset_pct": rounded(sensor.rh_offset_pct),
        **parts(sensor, "salt_test_on", "salt_test_rh_pct", "salt_test_temp_c"),
        "retired": sensor.retired_at is not None,
    }


def touched_line(item: Touched) -> str:
    """``C4: equalising, day 3, 9.5 h, up to 11.0 °C``."""
    return (
        f"{item.lot.code}: {stage(item.stage)}, day {item.stage_day}, {item.hours:.1f} h,"
        f" up to {temp(item.highest_c)}"
    )


def spared_words(item: Spared) -> str:
    """``E1, drying then, inside its 16.0 °C``."""
    if not item.stage:
        return f"{item.lot.code}, not there yet"
    why = "warm on purpose" if item.limit_c is None else f"within its limit of {temp(item.limit_c)}"
    return f"{item.lot.code}, {stage(item.stage)} then, {why}"


def kept_words(place: Place, touched: int, spared: Sequence[Spared]) -> str:
    """``Fridge 2: recorded in 3 lots, most at risk first. Left out: E1, not there yet.``"""
    many = f"recorded in {touched} lots, most at risk first"
    said = by_number(touched, "recorded in 1 lot", many)
    said = said if touched else "recorded; no lot was affected"
    left_out = f" Left out: {'; '.join(map(spared_words, spared))}." if spared else ""
    return f"{place.name}: {said}.{left_out}"


def band_words(temp_c: tuple[float, float] | None, rh_pct: tuple[float, float] | None) -> str:
    """``2–6 °C, 70–80 %``."""
    parts = [_band_words(*temp_c, "°C")] if temp_c is not None else []
    parts += [_band_words(*rh_pct, "%")] if rh_pct is not None else []
    return ", ".join(parts)


def touched_document(item: Touched) -> dict[str, Any]:
    """A lot that a failure touched as JSON."""
    found = parts(item, "stage", "stage_day") | rounded_parts(item, "hours", "highest_c")
    return {"lot": item.lot.code, **found}


def tally_line(place: Place, stored: int, unreadable: int, marked: dict[str, int]) -> str:
    """``Fridge 2: 120 readings saved; 3 lines unreadable; 2 no weather (power-on)``."""
    parts = [count(stored, "reading") + " saved"]
    if unreadable:
        parts.append(count(unreadable, "line") + " unreadable")
    if marked:
        why = ", ".join(BAD_WORDS.get(reason, reason) for reason in marked)
        parts.append(f"{sum(marked.values())} marked as sensor faults: {why}")
    return f"{place.name}: {'; '.join(parts)}"


# ── a place on the screen ─────────────────────────────────────────────────────────────────


def about_lines(item: PlaceAir, now_s: float) -> list[str]:
    """The day of each sensor; then the band, who measures there, and what hangs there."""
    several = len(item.series) > 1
    days = [f"day {_day_words(each, several)}" for each in item.series]
    unread = by_number(
        item.lots,
        "1 lot is here, and nobody has read the air around it yet.",
        f"{item.lots} lots are here, and nobody has read the air around them yet.",
    )
    alone = [unread] if item.lots and item.last is None else []
    return [*days, " · ".join(_wanted_words(item, now_s)), *alone]


def _day_words(series: SensorAir, named: bool) -> str:
    parts = [range_words(series.temp, "°C", 1), range_words(series.rh, "% RH", 0)]
    text = ", ".join(words for words in parts if words != NOTHING) or NOTHING
    return f"{text}  {plain(series.name) or 'by hand'}" if named else text


def _wanted_words(item: PlaceAir, now_s: float) -> list[str]:
    place, parts = item.place, []
    bands = [
        _band_words(place.temp_lo_c, place.temp_hi_c, "°C"),
        _band_words(place.rh_lo_pct, place.rh_hi_pct, "%"),
    ]
    if any(bands):
        parts.append("band " + ", ".join(words for words in bands if words))
    watch = {"sensor": "a sensor", "hand-log": "read by hand", "not-watched": "not watched"}
    if item.hanging_g:
        parts.append(f"{kilos(item.hanging_g)} hanging")
    parts.append(watch[place.watch])
    if item.lots:
        parts.append(count(item.lots, "lot"))
    if item.loaded_at is not None:
        parts.append(f"loaded {ago(int((now_s - item.loaded_at) // 86_400))}")
    return parts


def _band_words(lo: float | None, hi: float | None, unit: str) -> str:
    if lo is None and hi is None:
        return ""
    if unit == "°C":
        lo, hi = (None if end is None else degrees(end) for end in (lo, hi))
        unit = temp_unit()
    if lo is None or hi is None:
        return f"under {hi:.4g} {unit}" if lo is None else f"over {lo:.4g} {unit}"
    return f"{number(lo, 1).removesuffix('.0')}–{number(hi, 1).removesuffix('.0')} {unit}"
