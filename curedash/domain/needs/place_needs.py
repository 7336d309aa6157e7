"""What needs a person at a place: means out of bounds, silence, sensors at odds; put into words.

Every sensor of a place is judged by itself and never averaged with another; of each cause only
the worst is told.
"""

from collections.abc import Mapping, Sequence

from curedash.domain.curing.stages import DRIES_MOST_C
from curedash.domain.drying.lot_figures import loss_on
from curedash.domain.facts import air as facts
from curedash.domain.needs.lot_needs import Need
from curedash.domain.places import air
from curedash.domain.quantity_text import Quantity, QuantityText, celsius, kelvins, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import LotState, Place, Reading, Sensor
from curedash.domain.times import moment

LOOK_BACK_H = 24.0
AFTER_FAILURE_H = 24.0  # design value: the day whose mean a repaired failure still weighs on
SEALED = ("equalising", "on-hold", "keeping")
ACUTE_H = 6.0  # as the mean that is judged at once
NAMED = 4  # lots named in a line
UNLIKELY_OFF_C, OFF_BUT_THERE_C = 10.0, 5.0  # out of band by so much; the band of another place
BY_HAND = 0  # the sensor id of readings nobody's sensor sent
#: alarm → (what is said, usual next action); mean, limit and hours are put in
WORDS = {
    "too-warm": ("mean of {hours} h is {mean}, over {limit}", "check door, plug and thermostat"),
    "warm": ("mean of {hours} h is {mean}, over {limit}", "set it colder"),
    "cold": (
        "mean of {hours} h is {mean}, under {limit}",
        "set it warmer; salt moves slowly in the cold",
    ),
    "too-humid": ("mean of {hours} h is {mean}, over {limit}", "air it, hang less, look for mould"),
    "too-dry": (
        "mean of {hours} h is {mean}, under {limit}",
        "raise the humidity, or expect case hardening",
    ),
    "silent": ("no reading for {hours} h", "look at the place and at its sensor"),
}
TEMPERATURE = ("too-warm", "warm", "cold")
READ_AGAIN = "adjust the fridge, heater or humidifier there, and take a new reading"
READ_IT = "read its thermometer and hygrometer, and log the reading"
#: mark of a bad reading → what it means
BAD_WORDS = {
    "flat": "it sends the same value again and again",
    "humidity-at-end": "its humidity is at the end of its range",
    "power-on": "it sends its power-on value",
    "not-connected": "it does not answer",
    "not-a-number": "it sends no number",
    "out-of-range": "it sends impossible values",
    "zero-humidity": "it sends no humidity",
    "time-unsure": "the clock was wrong",
    "empty": "it sends nothing",
}


@record
class AirRules:
    """What the household allows of the air; defaults are design values, not a standard."""

    limits: Mapping[str, tuple[float | None, float | None, float | None]] = facts.AIR_LIMITS
    sensor_silent_h: float | None = facts.SENSOR_SILENT_H
    hand_log_silent_h: float | None = facts.HAND_LOG_SILENT_H
    grace_h: float = facts.GRACE_AFTER_LOADING_H
    clears_inside_c: float = facts.CLEARS_INSIDE_C
    clears_inside_rh_pct: float = facts.CLEARS_INSIDE_RH_PCT
    sensors_apart_c: float | None = facts.SENSORS_APART_C
    sensors_apart_rh_pct: float | None = facts.SENSORS_APART_RH_PCT

    def silent_h(self, watch: str) -> float | None:
        """How long a place so watched may be silent [h]; None: for ever."""
        return {"sensor": self.sensor_silent_h, "hand-log": self.hand_log_silent_h}.get(watch)


DEFAULT_AIR_RULES = AirRules()


@record
class Heard:
    """When one sensor of a place was last heard of."""

    sensor_id: int
    name: str  # empty for readings by hand
    last_at: int | None  # newest usable reading [epoch s]
    bad_at: int | None = None  # newest unusable one
    bad: str | None = None  # what was wrong with it


@record
class Failed:
    """A failure that a person wrote down, and the lots nobody has decided on since."""

    when: str  # in the time of the household
    hours: float
    highest_c: float
    lots: Sequence[LotState]  # touched and still open, most at risk first


@record
class PlaceView:
    """A place with what hangs in it and its latest usable readings, oldest first."""

    place: Place
    lots: Sequence[LotState]
    readings: Sequence[Reading]
    heard: Sequence[Heard]
    open_causes: frozenset[str] = frozenset()
    lately: frozenset[str] = frozenset()  # causes that cleared within AFTER_FAILURE_H
    failed: Sequence[Failed] = ()

    def need(self, level: str, cause: str, message: str, action: str) -> Need:
        """A need of this place."""
        place = self.place
        return Need(level, cause, message, action, place=place.name, place_id=place.id)


@record
class SensorDay:
    """The means of one sensor over the last day."""

    sensor_id: int
    temp_24h: air.WindowStats | None
    temp_6h: air.WindowStats | None
    rh_24h: air.WindowStats | None


def place_needs(view: PlaceView, now_s: float, rules: AirRules = DEFAULT_AIR_RULES) -> list[Need]:
    """The needs of one place, each cause once.

    Parameters
    ----------
    view : the place, its lots and the usable readings of the last day and a gap before
    now_s : the moment asked about [epoch s]
    rules : the household's thresholds
    """
    found = _failures(view, rules)
    lost = _silent(view, now_s, rules)
    if lost is not None and all(_is_silent(h, view, now_s, rules) for h in view.heard):
        return [*found, lost]
    days = days_of(view, now_s)
    alarms = _worst([pair for day in days for pair in _alarms_of(day, view, now_s, rules)])
    found += [] if lost is None else [lost]
    found += [_need(view, alarm, day, rules) for day, alarm in alarms]
    if not any(alarm.cause in TEMPERATURE for _, alarm in alarms):
        found += _read_out(view, now_s, rules)
        found += _dries_warm(view)
    apart = _apart(view, days, rules)
    return found if apart is None else [*found, apart]


def _dries_warm(view: PlaceView) -> list[Need]:
    """Lots that dry in a place kept too warm for that, as the box they fermented in is."""
    low_c, high_c = view.place.temp_lo_c, view.place.temp_hi_c
    drying = [lot for lot in view.lots if lot.stage == "drying"]
    if not drying or low_c is None or high_c is None or (low_c + high_c) / 2 <= DRIES_MOST_C:
        return []
    band, most = _band_c(low_c, high_c), celsius(DRIES_MOST_C)
    text = "{codes} drying at {band}, over {most}"
    said = phrase(text, codes=_named(drying), band=band, most=most)
    action = "move what hangs there to a cooler place, or add such a place"
    return [view.need("today", "place-dries-warm", said, action)]


def _named(lots: Sequence[LotState]) -> str:
    """The codes of the first few, and how many more."""
    codes = ", ".join(lot.code for lot in lots[:NAMED])
    return f"{codes} + {len(lots) - NAMED}" if lots[NAMED:] else codes


def _read_out(view: PlaceView, now_s: float, rules: AirRules) -> list[Need]:
    """A temperature read by hand that is out for a lot inside, until it was read again or a day on.

    A spike of a sensor is not news, since the next value comes in a minute; after a reading by
    hand nobody looks again unless asked to.
    """
    newest = max(view.readings, key=lambda reading: reading.at, default=None)
    if newest is None or newest.sensor_id != BY_HAND or newest.temp_c is None:
        return []
    if now_s - newest.at > LOOK_BACK_H * air.HOUR_S:
        return []
    found = _over_the_stages(view.lots, newest.temp_c, rules)
    said = [phrase("{what}, read by hand", what=what) for what in found]
    return [view.need("today", "place-read-out", text, READ_AGAIN) for text in said]


def days_of(view: PlaceView, now_s: float) -> list[SensorDay]:
    """The means of each sensor of a place, the readings of different sensors kept apart."""
    gap_s = air.max_gap_s(view.place.watch)
    series: dict[int, list[Reading]] = {}
    for reading in view.readings:
        series.setdefault(reading.sensor_id, []).append(reading)
    return [_day(sensor_id, readings, now_s, gap_s) for sensor_id, readings in series.items()]


def _day(sensor_id: int, readings: Sequence[Reading], now_s: float, gap_s: float) -> SensorDay:
    temps = [(float(r.at), r.temp_c) for r in readings if r.temp_c is not None]
    humid = [(float(r.at), r.rh_pct) for r in readings if r.rh_pct is not None]
    short_s = min(gap_s, facts.HAND_GAP_H * air.HOUR_S) if sensor_id == BY_HAND else gap_s
    return SensorDay(
        sensor_id,
        air.window_stats(temps, now_s, 24.0, gap_s),
        air.window_stats(temps, now_s, 6.0, short_s),
        air.window_stats(humid, now_s, 24.0, gap_s),
    )


def limits_of(view: PlaceView, rules: AirRules) -> air.AirLimits:
    """The temperature limits of a place by the strictest stage inside."""
    return air.strictest_limits((lot.stage for lot in view.lots), dict(rules.limits))


def _alarms_of(
    day: SensorDay, view: PlaceView, now_s: float, rules: AirRules
) -> list[tuple[SensorDay, air.AirAlarm]]:
    place, limits = view.place, limits_of(view, rules)
    alarms = air.air_alarms(
        day.temp_24h,
        None if _read_cold(day, view, limits) else day.temp_6h,
        day.rh_24h,
        limits=limits,
        band=air.Band(place.temp_lo_c, place.temp_hi_c, place.rh_lo_pct, place.rh_hi_pct),
        open_causes=frozenset(cause.removeprefix("place-") for cause in view.open_causes),
        humidity_matters=humidity_matters(view.lots, now_s, rules),
        margins=(rules.clears_inside_c, rules.clears_inside_rh_pct),
    )
    return [(day, alarm) for alarm in alarms if not _left_over(alarm, view)]


def _read_cold(day: SensorDay, view: PlaceView, limits: air.AirLimits) -> bool:
    """Whether somebody who went and looked found it cold: the hours before are no alarm of now."""
    temps = [r.temp_c for r in view.readings if r.sensor_id == BY_HAND and r.temp_c is not None]
    if day.sensor_id != BY_HAND or limits.mean_6h_max_c is None or not temps:
        return False
    return temps[-1] <= limits.mean_6h_max_c


def _left_over(alarm: air.AirAlarm, view: PlaceView) -> bool:
    """A warm day's mean after a failure that was told is the same cause, not a second alert."""
    failed = "place-too-warm" in view.lately or "place-too-warm" in view.open_causes
    return alarm.cause == "warm" and failed and "place-warm" not in view.open_causes


def _worst(
    alarms: Sequence[tuple[SensorDay, air.AirAlarm]],
) -> list[tuple[SensorDay, air.AirAlarm]]:
    """Of several sensors the one furthest out, once for temperature and once for humidity."""
    worst: dict[bool, tuple[SensorDay, air.AirAlarm]] = {}
    for day, alarm in alarms:
        humid = alarm.cause in ("too-humid", "too-dry")
        known = worst.get(humid)
        if known is None or _badness(alarm) > _badness(known[1]):
            worst[humid] = (day, alarm)
    return list(worst.values())


def _badness(alarm: air.AirAlarm) -> tuple[bool, float]:
    return alarm.level == "act", abs(alarm.value - alarm.limit)


# ── a failure as a person saw it ──────────────────────────────────────────────────────────


def _failures(view: PlaceView, rules: AirRules) -> list[Need]:
    """The newest failure of the place on whose lots nobody has decided, once."""
    open_ones = [failed for failed in view.failed if failed.lots]
    if not open_ones:
        return []
    failed, limits = open_ones[-1], dict(rules.limits)
    acute_c = air.strictest_limits((lot.stage for lot in failed.lots), limits).mean_6h_max_c
    acute = acute_c is not None and failed.highest_c > acute_c and failed.hours >= ACUTE_H
    highest = celsius(failed.highest_c, f"{failed.highest_c:.1f} °C")
    said = phrase("was off or warm {when}, up to {highest}", when=failed.when, highest=highest)
    action = f"smell and press {_named(failed.lots)}; record what you decide"
    return [view.need("act" if acute else "today", "place-failed", said, action)]


# ── silence ───────────────────────────────────────────────────────────────────────────────


def _silent(view: PlaceView, now_s: float, rules: AirRules) -> Need | None:
    """The longest silent sensor of the place; an empty one is read by hand for nobody."""
    if not view.lots and view.place.watch == "hand-log":
        return None
    quiet = [heard for heard in view.heard if _is_silent(heard, view, now_s, rules)]
    if not quiet:
        return None
    heard = min(quiet, key=lambda item: item.last_at or 0)
    said = _silence_words(heard, now_s)
    if heard.name and len(view.heard) > 1:
        said = f"{heard.name}: {said}"
    if view.place.watch == "sensor":
        return view.need("act", "place-silent", said, WORDS["silent"][1])
    return view.need("today", "place-silent", said, READ_IT)


def _silence_words(heard: Heard, now_s: float) -> str:
    why = BAD_WORDS.get(heard.bad or "", heard.bad)
    if heard.last_at is None:
        return f"no usable reading so far: {why}"
    hours = (now_s - heard.last_at) / air.HOUR_S
    if heard.bad is not None and (heard.bad_at or 0) > heard.last_at:
        return f"no usable reading for {hours:.0f} h: {why}"
    return WORDS["silent"][0].format(hours=f"{hours:.0f}")


def _is_silent(heard: Heard, view: PlaceView, now_s: float, rules: AirRules) -> bool:
    watch, limit_h = view.place.watch, rules.silent_h(view.place.watch)
    if limit_h is None:
        return False
    if heard.last_at is None:
        return heard.bad_at is not None and watch == "sensor"
    if air.silence(float(heard.last_at), now_s, watch, limit_h) is not None:
        return True
    open_one = watch == "sensor" and "place-silent" in view.open_causes
    return open_one and not _steady(heard, view.readings, now_s, limit_h)


def _steady(heard: Heard, readings: Sequence[Reading], now_s: float, limit_h: float) -> bool:
    """An open silence ends with a second reading: one that comes late each time would flap."""
    since = now_s - limit_h * air.HOUR_S
    fresh = [r for r in readings if r.sensor_id == heard.sensor_id and r.at >= since]
    return len(fresh) > 1


# ── two sensors ───────────────────────────────────────────────────────────────────────────


def _apart(view: PlaceView, days: Sequence[SensorDay], rules: AirRules) -> Need | None:
    """Two sensors of one place whose means of a day are far from each other."""
    names = {heard.sensor_id: heard.name or "by hand" for heard in view.heard}
    known = [day for day in days if day.sensor_id in names]
    for unit, limit, means in (
        ("°C", rules.sensors_apart_c, [(d.temp_24h, d) for d in known]),
        ("% RH", rules.sensors_apart_rh_pct, [(d.rh_24h, d) for d in known]),
    ):
        read = sorted((s.mean, names[d.sensor_id]) for s, d in means if s is not None and s.enough)
        if limit is None or len(read) < 2 or read[-1][0] - read[0][0] <= limit:
            continue
        said = _apart_words(read[0], read[-1], unit)
        action = "put them side by side, then set an offset"
        return view.need("today", "place-sensors-apart", said, action)
    return None


def _apart_words(lower: tuple[float, str], upper: tuple[float, str], unit: str) -> str:
    """``top and door are 1.5 °C apart over a day (3.0 and 4.5)``."""
    (low, first), (high, second) = lower, upper
    apart = f"{high - low:.1f} {unit}"
    ends = {"low": f"{low:.1f}", "high": f"{high:.1f}"}
    if unit != "°C":
        parts: dict[str, str | Quantity] = {"apart": apart, **ends}
    else:
        parts = {
            "apart": kelvins(high - low, apart),
            "low": celsius(low, ends["low"]),
            "high": celsius(high, ends["high"]),
        }
    return phrase(
        "{first} and {second} are {apart} apart over a day ({low} and {high})",
        first=first,
        second=second,
        **parts,
    )


# ── what hangs there ──────────────────────────────────────────────────────────────────────


def humidity_matters(
    lots: Sequence[LotState], now_s: float, rules: AirRules = DEFAULT_AIR_RULES
) -> bool:
    """False where every lot is bagged or sealed, and while freshly loaded meat still drips."""
    if lots and all(lot.in_bag or lot.stage in SEALED for lot in lots):
        return False
    return not air.in_grace(loaded_at(lots), now_s, rules.grace_h)


def judge_reading(
    place: Place,
    lots: Sequence[LotState],
    temp_c: float | None,
    rh_pct: float | None,
    rules: AirRules = DEFAULT_AIR_RULES,
) -> tuple[str, ...]:
    """Say where one reading lies outside the band of its place, or the limit of a lot inside.

    One reading is not a mean: it is said at once; what is out for a lot inside asks to be read
    again.

    Parameters
    ----------
    place : with its band; an end that is None is not judged
    lots : the lots inside
    temp_c, rh_pct : as read [°C, %], None where nobody read it
    rules : the household's limits by stage

    Returns
    -------
    ``62 % is below 72–82 %``, one sentence a cause; empty where nothing is out
    """
    found: list[str] = []
    if temp_c is not None:
        low, high = place.temp_lo_c, place.temp_hi_c
        side = _side(temp_c, low, high)
        if side is not None:
            here, band = _shown_c(temp_c), _band_c(low, high)
            found.append(phrase("{is_at} is {side} {band}", is_at=here, side=side, band=band))
        found += _over_the_stages(lots, temp_c, rules)
    sealed = bool(lots) and all(lot.in_bag or lot.stage in SEALED for lot in lots)
    if rh_pct is not None and not sealed:
        side = _side(rh_pct, place.rh_lo_pct, place.rh_hi_pct)
        if side is not None:
            ends = [end for end in (place.rh_lo_pct, place.rh_hi_pct) if end is not None]
            band = "–".join(f"{end:g}" for end in ends)
            found.append(f"{rh_pct:.0f} % is {side} {band} %")
    return tuple(found)


def unlikely_reading(
    place: Place, others: Sequence[Place], temp_c: float | None
) -> QuantityText | None:
    """Ask about a temperature that was hardly read at this place.

    Parameters
    ----------
    place : with its band
    others : the other places of the household
    temp_c : as read [°C]; None where nobody read it

    Returns
    -------
    the question; None where the temperature lies near the band
    """
    low, high = place.temp_lo_c, place.temp_hi_c
    if temp_c is None or _side(temp_c, low, high) is None:
        return None
    off_c = max(0.0 if high is None else temp_c - high, 0.0 if low is None else low - temp_c)
    there = next((other.name for other in others if _holds(other, temp_c)), None)
    if off_c <= (UNLIKELY_OFF_C if there is None else OFF_BUT_THERE_C):
        return None
    here, band = _shown_c(temp_c), _band_c(low, high)
    if there is None:
        text = "{is_at} in {name}, band {band}: is that right?"
        return phrase(text, is_at=here, name=place.name, band=band)
    text = "{is_at} in {name}, band {band}: is that right, or was it {there}?"
    return phrase(text, is_at=here, name=place.name, band=band, there=there)


def _holds(place: Place, temp_c: float) -> bool:
    """Whether a temperature lies within both ends of a place's band."""
    low, high = place.temp_lo_c, place.temp_hi_c
    return low is not None and high is not None and low <= temp_c <= high


def _side(value: float, low: float | None, high: float | None) -> str | None:
    if low is not None and value < low - 1e-9:
        return "below"
    return "above" if high is not None and value > high + 1e-9 else None


def _shown_c(temp_c: float) -> Quantity:
    return celsius(temp_c, f"{temp_c:g} °C")


def _band_c(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return phrase("{end}", end=_shown_c(high if low is None else low))  # type: ignore[arg-type]
    return phrase("{low}–{high}", low=celsius(low, f"{low:g}"), high=_shown_c(high))


def _over_the_stages(lots: Sequence[LotState], temp_c: float, rules: AirRules) -> list[str]:
    """Over the warmest, or under the coldest, that a lot inside may have for some hours."""

    rows = [(lot, rules.limits.get(lot.stage)) for lot in most_at_risk(lots)]
    for column, side in ((1, "over"), (0, "over"), (2, "under")):
        ends = [(row[column], lot) for lot, row in rows if row is not None]
        known = [(end, lot) for end, lot in ends if end is not None]
        out = [
            (end, lot) for end, lot in known if (temp_c > end if side == "over" else temp_c < end)
        ]
        if not out:
            continue
        end = min(e for e, _ in out) if side == "over" else max(e for e, _ in out)
        text = "{is_at} is {side} {end}, the limit for {lots}"
        here, named = _shown_c(temp_c), _first_of([lot for e, lot in out if e == end])
        return [phrase(text, is_at=here, side=side, end=_shown_c(end), lots=named)]
    return []


def loaded_at(lots: Sequence[LotState]) -> float | None:
    """When meat was last hung here [epoch s], None if nothing hangs."""
    hung = [
        moment(lot.hang_at).timestamp()
        for lot in lots
        if lot.hang_at is not None and lot.stage in ("drying", "ferment")
    ]
    return max(hung, default=None)


def most_at_risk(lots: Sequence[LotState]) -> list[LotState]:
    """The lots of a place in the order in which a failure endangers them."""
    return sorted(lots, key=lambda lot: air.risk_key(lot.stage, is_ground(lot), lost_pct(lot)))


def is_ground(lot: LotState) -> bool:
    """Whether what was outside the meat is inside now: ground, stuffed, fermented."""
    return lot.method == "ground" or lot.ferments


def lost_pct(lot: LotState) -> float | None:
    """Loss of the lot at its last weigh-in [% of the hang weight], None before hanging."""
    return loss_on(lot.base_g, lot.curve[0].net_g) if lot.curve else None


def _need(view: PlaceView, alarm: air.AirAlarm, day: SensorDay, rules: AirRules) -> Need:
    message, action = WORDS[alarm.cause]
    said = phrase(message, hours=f"{alarm.hours:.0f}", **_measured(alarm))
    if (whose := _whose_limit(view, alarm, rules)) is not None:
        said = phrase("{said}, {whose}", said=said, whose=whose)
    name = next((h.name for h in view.heard if h.sensor_id == day.sensor_id), "")
    if name and len(view.heard) > 1:
        said = phrase("{name}: {said}", name=name, said=said)
    if alarm.cause == "too-warm" and view.lots:
        first = ", ".join(lot.code for lot in most_at_risk(view.lots)[:3])
        action = f"{action}; look first at {first}"
    return view.need(alarm.level, f"place-{alarm.cause}", said, action)


def _whose_limit(view: PlaceView, alarm: air.AirAlarm, rules: AirRules) -> str | None:
    """For which lots a limit stands that is not the end of the place's own band."""
    column = {"too-warm": 1, "warm": 0, "cold": 2}.get(alarm.cause)
    own = {"warm": view.place.temp_hi_c, "cold": view.place.temp_lo_c}.get(alarm.cause)
    if column is None or alarm.limit == own:
        return None
    rows = ((lot, rules.limits.get(lot.stage)) for lot in view.lots)
    lots = most_at_risk(
        [lot for lot, row in rows if row is not None and row[column] == alarm.limit]
    )
    return f"the limit for {_first_of(lots)}" if lots else None


def _first_of(lots: Sequence[LotState]) -> str:
    """``D1 (drying)``, or ``D1 (drying) and 3 more``."""
    from curedash.domain.curing.stages import word  # loaded where something is wrong only

    named = f"{lots[0].code} ({word(lots[0].stage)})"
    return named if len(lots) == 1 else f"{named} and {len(lots) - 1} more"


def _measured(alarm: air.AirAlarm) -> dict[str, str | Quantity]:
    """The mean and the limit it passed, as quantities where they are temperatures."""
    if alarm.cause in ("too-humid", "too-dry"):
        return {"mean": f"{alarm.value:.0f} % RH", "limit": f"{alarm.limit:g}"}
    return {
        "mean": celsius(alarm.value, f"{alarm.value:.1f} °C"),
        "limit": celsius(alarm.limit, f"{alarm.limit:g}"),
    }


def heard_of(sensors: Sequence[Sensor], series: Sequence[Heard]) -> list[Heard]:
    """Whom a place waits for: its sensors in use, else whatever was read there last.

    Parameters
    ----------
    sensors : the sensors of the place, retired ones too
    series : when each series of readings was heard of

    Returns
    -------
    one entry a sensor; readings by hand beside a sensor are used, but nobody waits for them
    """
    names = {sensor.id: sensor.name for sensor in sensors if sensor.retired_at is None}
    active = [replace(h, name=names[h.sensor_id]) for h in series if h.sensor_id in names]
    if active or not series:
        return active
    return [max(series, key=lambda heard: heard.last_at or 0)]
