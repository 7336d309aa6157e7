"""What needs a person at a place: means out of bounds and silence, put into words."""

from collections.abc import Sequence
from dataclasses import dataclass

from curedash.domain.air import (
    AirAlarm,
    Band,
    air_alarms,
    in_grace,
    max_gap_s,
    silence,
    strictest_limits,
    window_stats,
)
from curedash.domain.needs import Need
from curedash.domain.records import LotState, Place, Reading
from curedash.domain.times import moment

LOOK_BACK_H = 24.0
SEALED = ("equalising", "on-hold", "keeping")
#: alarm → (what is said, usual next action); value, limit and hours are put in
WORDS = {
    "too-warm": ("mean of {hours:.0f} h is {value:.1f} °C, over {limit:g}",
                 "check door, plug and thermostat; look at what is sealed first"),
    "warm": ("mean of {hours:.0f} h is {value:.1f} °C, over {limit:g}", "turn it colder"),
    "cold": ("mean of {hours:.0f} h is {value:.1f} °C, under {limit:g}",
             "turn it warmer; salt moves slowly in the cold"),
    "too-humid": ("mean of {hours:.0f} h is {value:.0f} % RH, over {limit:g}",
                  "air it, hang less, look for mould"),
    "too-dry": ("mean of {hours:.0f} h is {value:.0f} % RH, under {limit:g}",
                "raise the humidity, or the rim hardens"),
    "silent": ("no reading for {value:.0f} h", "look at the place and at its sensor"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlaceView:
    """A place with what hangs in it and its latest readings, oldest first."""

    place: Place
    lots: Sequence[LotState]
    readings: Sequence[Reading]
    last: Reading | None
    open_causes: frozenset[str] = frozenset()


def place_needs(view: PlaceView, now_s: float) -> list[Need]:
    """The needs of one place.

    Parameters
    ----------
    view : the place, its lots and the good readings of the last day and a gap before
    now_s : the moment asked about [epoch s]
    """
    gap_s = max_gap_s(view.place.watch)
    temps = [(float(r.at), r.temp_c) for r in view.readings if r.temp_c is not None]
    humid = [(float(r.at), r.rh_pct) for r in view.readings if r.rh_pct is not None]
    place = view.place
    alarms = air_alarms(
        window_stats(temps, now_s, 24.0, gap_s),
        window_stats(temps, now_s, 6.0, gap_s),
        window_stats(humid, now_s, 24.0, gap_s),
        limits=strictest_limits(lot.stage for lot in view.lots),
        band=Band(place.temp_lo_c, place.temp_hi_c, place.rh_lo_pct, place.rh_hi_pct),
        open_causes=frozenset(cause.removeprefix("place-") for cause in view.open_causes),
        humidity_matters=humidity_matters(view.lots, now_s),
    )
    quiet = silence(None if view.last is None else float(view.last.at), now_s, place.watch)
    found = [quiet] if quiet is not None else list(alarms)
    return [_need(place, alarm) for alarm in found]


def humidity_matters(lots: Sequence[LotState], now_s: float) -> bool:
    """False where every lot is bagged or sealed, and while freshly loaded meat still drips."""
    if lots and all(lot.in_bag or lot.stage in SEALED for lot in lots):
        return False
    return not in_grace(loaded_at(lots), now_s)


def loaded_at(lots: Sequence[LotState]) -> float | None:
    """When meat was last hung here [epoch s], None if nothing hangs."""
    hung = [moment(lot.hang_at).timestamp() for lot in lots
            if lot.hang_at is not None and lot.stage in ("drying", "ferment")]  # fmt: skip
    return max(hung, default=None)


def _need(place: Place, alarm: AirAlarm) -> Need:
    message, action = WORDS[alarm.cause]
    said = message.format(value=alarm.value, limit=alarm.limit, hours=alarm.hours)
    return Need(alarm.level, f"place-{alarm.cause}", said, action,
                place=place.name, place_id=place.id)  # fmt: skip
