"""The dose sheet of a lot: planned beside weighed with times, and what was said of it."""

from dataclasses import dataclass
from datetime import datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.cure_time import COLD_C, WARM_C
from curedash.domain.curing.turning import turn_every_days
from curedash.domain.dosing import Contents, Dose
from curedash.domain.places.air import HOUR_S, max_gap_s, window_stats
from curedash.domain.quantity_text import celsius, phrase
from curedash.domain.records import DoseLine, Event, LotState
from curedash.domain.times import moment
from curedash.services.dosing.bags import planned_dose
from curedash.services.dosing.batch_sheet import is_raw_pork
from curedash.services.dosing.recipe import MISDOSE
from curedash.services.dosing.tick import dose_weighed
from curedash.services.household import household
from curedash.store import lots, places

TURN = "turn"


@dataclass(frozen=True, slots=True)
class DoseSheet:
    """Everything on the sheet of one lot."""

    lot: LotState
    lines: tuple[DoseLine, ...]
    planned: Dose | None  # None: the lot has no recipe
    went_in: Dose | None  # as ticked, as planned where nothing was
    misdoses: tuple[Event, ...]
    turned: tuple[Event, ...]
    turn_every_days: float | None
    cure_air: str | None
    zone: tzinfo
    raw_pork: bool = False  # eaten uncooked, and not frozen as a step

    @property
    def open_lines(self) -> tuple[DoseLine, ...]:
        """What is still to be weighed."""
        return tuple(line for line in self.lines if line.ticked_at is None)

    @property
    def inside(self) -> Contents | None:
        """Salt, nitrite and nitrate as kept with the lot, which a leak lowers."""
        if self.went_in is None:
            return None
        lot, as_salt = self.lot, self.went_in.contents.nitrate_salt_mg_per_kg
        kept = (lot.total_salt_pct, lot.nitrite_mg_per_kg, lot.nitrate_mg_per_kg)
        return Contents(*kept, as_salt)


def dose_sheet(conn: Connection, lot: LotState, now: datetime) -> DoseSheet:
    """Read the sheet of a lot.

    Parameters
    ----------
    now : the moment asked about (aware); the air in the cure is averaged until then
    """
    lines = tuple(lots.dose_lines(conn, lot.id))
    planned = planned_dose(conn, lot) if lines else None
    went_in = None if planned is None else dose_weighed(conn, lot, planned, lines)
    misdoses = tuple(lots.events(conn, lot_id=lot.id, kind=MISDOSE))
    turned = tuple(lots.events(conn, lot_id=lot.id, kind=TURN))
    every, air, zone = turn_every_days(lot.method), cure_air(conn, lot, now), household.zone(conn)
    raw_pork = is_raw_pork(conn, lot)
    return DoseSheet(
        lot, lines, planned, went_in, misdoses, turned, every, air, zone, raw_pork=raw_pork
    )


def cure_air(conn: Connection, lot: LotState, now: datetime) -> str | None:
    """Say when a lot in cure has been too cold or too warm on the mean; None when not, or unknown.

    Each sensor is averaged by itself; the one furthest out speaks.
    """
    if lot.stage != "in-cure" or lot.place_id is None:
        return None
    since = moment(lot.stage_at).timestamp()
    hours = (now.timestamp() - since) / HOUR_S
    place = next((p for p in places.all_places(conn) if p.id == lot.place_id), None)
    if hours <= 0 or place is None:
        return None
    series: dict[int, list[tuple[float, float]]] = {}
    for reading in places.good_readings(conn, place.id, int(since), int(now.timestamp())):
        if reading.temp_c is not None:
            series.setdefault(reading.sensor_id, []).append((reading.at, reading.temp_c))
    now_s, gap_s = now.timestamp(), max_gap_s(place.watch)
    stats = (window_stats(points, now_s, hours, gap_s) for points in series.values())
    means = [found.mean for found in stats if found is not None]
    out = [(mean - WARM_C if mean > WARM_C else COLD_C - mean, mean) for mean in means]
    worst = max((pair for pair in out if pair[0] > 0), default=None)
    if worst is None:
        return None
    mean = celsius(worst[1], f"{worst[1]:.1f} °C")
    if worst[1] > WARM_C:
        warm = "{mean} on average in cure, warmer than {most}"
        return phrase(warm, mean=mean, most=celsius(WARM_C))
    cold = "{mean} on average in cure, colder than {least}: allow more days"
    return phrase(cold, mean=mean, least=celsius(COLD_C))
