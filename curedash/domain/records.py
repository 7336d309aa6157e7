"""What the store hands back: frozen records, one name and unit per quantity.

Times are ISO-8601 UTC text with a trailing ``Z`` (they sort as text); weights are net grams
unless the name says ``gross``; percentages run 0–100.
"""

from collections import namedtuple
from collections.abc import Sequence

from curedash.domain.record import record, row_record

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NamedTuple

ENDED = ("closed", "discarded")  # stages in which a lot hangs and cures no more


@record
class WeighIn:
    """One weight of one lot, as it was taken."""

    id: int
    lot_id: int
    at: str
    stage: str
    kind: str  # green | cured | hang | stage | final | inherited
    curve: bool  # True: a point of the drying curve
    gross_g: float
    tare_g: float
    net_g: float
    base_factor: float  # share of the original hang weight that the base stood at
    flagged: str | None
    note: str | None
    voided_at: str | None
    own_tare: bool = False  # its tare is of this weight alone; the lot's does not change it


if TYPE_CHECKING:

    class CurvePoint(NamedTuple):
        """A point of the drying curve, base already followed through cuts."""

        at: str
        net_g: float
        base_factor: float

else:  # a lot has sixteen of them and a household thousands of lots: a tuple is made in no time
    CurvePoint = namedtuple("CurvePoint", "at net_g base_factor")


@record
class Look:
    """Something seen on a lot that may ask for a person later, in words."""

    kind: str  # alarm | mould | decision | target | bag | sibling | misdose
    at: str
    text: str


@row_record
class StoredForecast:
    """The last computed pull window of a lot, in days since hanging."""

    lot_id: int
    weigh_in_id: int | None
    as_of: str
    model: str
    median_day: float | None
    lo_day: float | None
    hi_day: float | None
    p_levels_off: float | None
    method: str
    near: str | None = None  # JSON of [day, low, middle, high loss %] for the days just ahead
    weigh_again_day: float | None = None  # by then one more weigh-in tells most [d since hanging]


@row_record
class StoredWindow:
    """A pull window as it was forecast on a day, in days since hanging."""

    lot_id: int
    told_on: str  # UTC day
    told_at: str
    weigh_in_id: int | None
    median_day: float
    lo_day: float
    hi_day: float
    p_levels_off: float | None
    method: str


@row_record
class LotState:
    """A lot as the Rack, the needs and the forecast see it."""

    id: int
    code: str
    batch_id: int
    batch: str
    batch_name: str
    piece: str
    species: str
    style: str
    style_name: str
    method: str
    stage: str
    stage_at: str
    salted_at: str | None
    created_at: str
    place_id: int | None
    place: str | None
    position: float
    parent_id: int | None
    count: int  # pieces weighed together as this one lot
    in_bag: bool
    shape: str
    thickness_mm: float | None
    green_g: float | None  # None: nobody weighed it before the salt
    cured_g: float | None
    hang_g: float | None  # original hang weight; the base is hang_g * base_factor
    hang_at: str | None
    hang_pm_g: float | None  # ± of an estimated hang weight; None: it was weighed
    base_factor: float
    tare_g: float
    tare_what: str | None
    target_lo_pct: float
    target_hi_pct: float
    target_base: str  # hang | green
    cure_earliest_days: float | None
    cure_usual_days: float | None
    cure_rule: str | None
    salt_box: bool
    rest_days: float | None
    min_age_days: float | None
    weigh_every_days: float
    by_date: bool
    ferments: bool
    has_rest: bool
    total_salt_pct: float | None
    nitrite_mg_per_kg: float | None
    nitrate_mg_per_kg: float | None
    dose_verdict: str | None
    dose_open: int  # dose lines not ticked
    dose_ticked: int
    first_tick_at: str | None
    stage_until: str | None  # planned end of equalising or rest
    last_net_g: float | None
    last_gross_g: float | None
    last_at: str | None
    last_kind: str | None
    last_weigh_in_id: int | None
    curve: Sequence[CurvePoint]  # newest first, at most 16
    curve_count: int
    forecast: StoredForecast | None
    green_factor: float = 1.0
    asked: str | None = None  # open questions of its dose, a line each: question, tab, sentence
    green_pm_g: float | None = None  # ± of an estimated green weight; None: it was weighed
    start_from: str | None = None  # green | days: what an estimated hang weight was made from
    planned_on: str | None = None  # day somebody wrote on its sticker
    looks: tuple[Look, ...] = ()  # newest first, at most 6

    @property
    def base_g(self) -> float | None:
        """Hang weight after cuts [g], None before hanging."""
        return None if self.hang_g is None else self.hang_g * self.base_factor

    @property
    def green_now_g(self) -> float | None:
        """Green weight after cuts [g], None where nobody weighed it."""
        return None if self.green_g is None else self.green_g * self.green_factor

    @property
    def has_stop(self) -> bool:
        """Whether the salt goes on working after its last day: a salt box, a short immersion."""
        return self.salt_box or self.method == "immersion"

    @property
    def can_wait(self) -> bool:
        """Whether it may stay in its cure after its last day: its whole dose is in."""
        return not self.has_stop and not self.dose_open

    @property
    def hanging(self) -> bool:
        """True once there is a hang weight."""
        return self.hang_g is not None


@record
class Place:
    """A fridge, chamber or cellar with its own band."""

    id: int
    name: str
    temp_lo_c: float | None
    temp_hi_c: float | None
    rh_lo_pct: float | None
    rh_hi_pct: float | None
    watch: str  # sensor | hand-log | not-watched
    zone: str | None


@row_record
class Reading:
    """Temperature and relative humidity of a place at a time (epoch seconds)."""

    at: int
    temp_c: float | None
    rh_pct: float | None
    sensor_id: int = 0
    bad: str | None = None


@record
class Sensor:
    """Something that measures a place by itself; offsets are added to what it sends."""

    id: int
    place_id: int
    name: str
    temp_offset_c: float
    rh_offset_pct: float
    salt_test_on: str | None  # calendar day
    salt_test_rh_pct: float | None  # what it showed in the jar
    salt_test_temp_c: float | None
    retired_at: str | None


@record
class AirDay:
    """One calendar day of one series of readings, boiled down."""

    day: int  # ordinal of the calendar day in the place's zone
    sensor_id: int
    n: int
    temp_min_c: float | None
    temp_max_c: float | None
    temp_mean_c: float | None
    rh_min_pct: float | None
    rh_max_pct: float | None
    rh_mean_pct: float | None


@record
class DoseLine:
    """One ingredient of a lot's dose sheet."""

    id: int
    lot_id: int
    seq: int
    name: str
    kind: str
    exact_g: float
    planned_g: float
    weighed_g: float | None
    ticked_at: str | None


@record
class Batch:
    """What was salted together on one day from one recipe."""

    id: int
    code: str
    name: str
    species: str
    style: str
    method: str
    product_class: str
    rule_set: str
    salted_at: str | None
    note: str | None
    recipe: str  # JSON of the request the doses were computed from


@record
class Event:
    """Something that happened to a lot or a place, in words and data."""

    id: int
    lot_id: int | None
    place_id: int | None
    at: str
    kind: str
    text: str
    data: str | None
    voided_at: str | None


@record
class StageEntry:
    """A lot entered a stage."""

    id: int
    lot_id: int
    stage: str
    at: str
    place_id: int | None
    note: str | None
    voided_at: str | None


@record
class Change:
    """One line of the append-only log."""

    id: int
    at_utc: str
    recorded_at: str
    session: str
    actor: str
    origin: str
    verb: str
    undoes: int | None
    undone_by: int | None
    subject: str
    before: str
    after: str


@record
class StoredNeed:
    """A need as remembered between checks."""

    id: int
    cause: str
    lot_id: int | None
    place_id: int | None
    level: str
    message: str
    action: str
    opened_at: str
    cleared_at: str | None
    snoozed_until: str | None
    reason: str | None
    told_at: str | None


@record
class Rebase:
    """Base or tare followed something that was not drying; weights as the scale showed them."""

    id: int
    lot_id: int
    at: str
    kind: str  # removed | tare | divided | start
    before_g: float
    after_g: float
    factor: float  # what the base was multiplied by
    tare_before_g: float
    tare_after_g: float
    reason: str


@record
class Finish:
    """How a lot ended, and what was thought of it."""

    lot_id: int
    at: str
    final_g: float | None  # None: it was never weighed
    base: str
    loss_pct: float | None
    days: int | None  # calendar days since salting
    drying_days: int | None
    yield_pct: float | None  # of green weight
    cost_in: float | None
    cost_per_kg: float | None
    currency: str | None
    cut_face: str | None
    liked: int | None  # 1–5
    liked_at_pct: float | None
    note: str | None


@record
class Pack:
    """One bag or parcel; packs mixed of several lots share ``mixed_with``."""

    id: int
    lot_id: int
    at: str
    weight_g: float
    keep_until: str | None
    given_to: str | None
    note: str | None
    mixed_with: int | None
