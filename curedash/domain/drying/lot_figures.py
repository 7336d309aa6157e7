"""The figures of one lot that every front shows: loss, grams to go, rate, trend, pull window.

A lot is the record that the store hands back; in the examples something with the fields that the
formula reads stands in for it.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise

from curedash.domain.drying.drying_rate import RATE_SPAN_DAYS, days_to_loss, rate_pct_per_day
from curedash.domain.drying.inspections import undecided
from curedash.domain.fast_json import loads_numbers
from curedash.domain.record import record
from curedash.domain.records import CurvePoint, LotState
from curedash.domain.times import SECONDS_PER_DAY, calendar_days, days_between, moment, utc_text

SLOWING_PER_DAY = 0.02  # design value: drying slows as the curve flattens
WITH_THE_MOVE_DAYS = 0.5  # design value: weighed so long before a move, it was weighed with it
EXPECTED_PM_PCT = 0.4  # design value: scale noise and day-to-day wander, percent of the base


@record
class Figures:
    """What is computed of a lot at one moment, on one base."""

    day: int
    day_of: float | None
    base: str
    base_g: float | None
    approx: bool
    loss_pct: float | None
    target_pct: tuple[float, float]
    target_g: tuple[float, float] | None
    to_go_g: float | None
    rate_pct_per_day: float | None
    way: tuple[tuple[float, float], ...]  # (day since hanging [d], share of the way [1])
    way_far: float | None  # share at the far end of the target [1]
    window: tuple[date, date] | None
    median: date | None
    window_note: str
    days_since_weigh_in: int | None
    window_passed: bool = False  # it dries on, and the last day of its window is over


def base_of(lot: LotState, base: str) -> tuple[str, float | None]:
    """The base a loss is shown on: the hang weight, or the green weight.

    Parameters
    ----------
    lot : hang weight and green weight [g], both already followed through cuts
    base : ``hang`` or ``green``

    Returns
    -------
    name and weight of the base [g]; None before there is a hang weight, or a green one

    Source
    ------
    definition; the base shrinks with meat that is cut off (`rebase_factor`), so the loss stays

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> base_of(Lot(base_g=None, green_now_g=550.0), "green")
    ('green', 550.0)
    """
    if base == "green":
        return "green", lot.green_now_g
    return "hang", lot.base_g


def target_net_g(lot: LotState) -> tuple[float, float] | None:
    """Weights between which a piece is pulled, on the base that its target was given on.

    Parameters
    ----------
    lot : its target as a loss [% of ``target_base``], 0–90, and its bases [g]

    Returns
    -------
    lighter and heavier end [g net], ascending; None before there is such a base

    Source
    ------
    definition

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> target_net_g(Lot(base_g=1500.0, target_base="hang", target_lo_pct=30, target_hi_pct=40))
    (900.0, 1050.0)
    """
    _, base_g = base_of(lot, lot.target_base)
    if base_g is None:
        return None
    return base_g * (1 - lot.target_hi_pct / 100), base_g * (1 - lot.target_lo_pct / 100)


def net_now_g(lot: LotState) -> float | None:
    """What a lot weighs by its newest weigh-in, meat taken off since then followed.

    Parameters
    ----------
    lot : its curve [g net], newest first, each weight with the share of the original hang weight
        that the base stood at [0–1]; and that share now

    Returns
    -------
    weight [g net], None before the first point of the curve

    Source
    ------
    a cut changes base and weight alike (`rebase_factor`)

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> net_now_g(Lot(curve=[CurvePoint("2026-11-25T18:00:00Z", 800.0, 1.0)], base_factor=0.875))
    700.0
    """
    if not lot.curve:
        return None
    newest = lot.curve[0]
    return newest.net_g * lot.base_factor / newest.base_factor


def loss_on(base_g: float | None, net_g: float | None) -> float | None:
    """How much lighter a piece is than its base.

    Parameters
    ----------
    base_g : hang weight, or green weight if that is the base [g], above 0
    net_g : weight now without tare [g]

    Returns
    -------
    loss [% of base], below 100; negative when the piece is heavier than its base; None when
    either weight is unknown

    Source
    ------
    definition

    Example
    -------
    >>> loss_on(5000.0, 4000.0), loss_on(None, 4000.0)
    (20.0, None)
    """
    if base_g is None or net_g is None:
        return None
    return 100.0 * (base_g - net_g) / base_g


def curve_days(lot: LotState) -> list[tuple[float, float]]:
    """The weigh-ins as the formulas of the drying curve want them.

    Parameters
    ----------
    lot : its curve, at most 16 points, its hang weight [g] and when it was hung

    Returns
    -------
    (day since hanging [d], share of the base left [1]), oldest first; empty before hanging

    Source
    ------
    definition; a day is 24 hours

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> point = CurvePoint("2026-11-25T18:00:00Z", 700.0, 0.875)
    >>> curve_days(Lot(hang_at="2026-11-15T06:00:00Z", hang_g=1000.0, curve=[point]))
    [(10.5, 0.8)]
    """
    if lot.hang_at is None or lot.hang_g is None:
        return []
    hung, hang_g = moment(lot.hang_at), lot.hang_g
    return [
        (
            (moment(p.at) - hung).total_seconds() / SECONDS_PER_DAY,
            p.net_g / (hang_g * p.base_factor),
        )
        for p in reversed(lot.curve)
    ]


def weighed(lot: LotState) -> Sequence[CurvePoint]:
    """The points of a curve that were read off a scale, newest first: no estimated start."""
    if lot.start_from is None:
        return lot.curve
    return [point for point in lot.curve if point.at != lot.hang_at]


def weighed_in_this_stay(lot: LotState) -> Sequence[CurvePoint]:
    """The points read off a scale since a lot was hung up to dry again, newest first.

    Days sealed between two stays are no drying days. What ferments dries before it is moved on.
    """
    points = weighed(lot)
    if lot.stage != "drying" or lot.hang_at is None or lot.stage_at[:10] <= lot.hang_at[:10]:
        return points
    if lot.ferments:
        return points
    begun = utc_text(moment(lot.stage_at) - timedelta(days=WITH_THE_MOVE_DAYS))
    return [point for point in points if point.at >= begun]


def rate_over(lot: LotState, apart_days: float) -> tuple[float, float] | None:
    """Drying rate between the newest weigh-in and the nearest one some days before it.

    Parameters
    ----------
    lot : its curve, newest first, and its hang weight [g]
    apart_days : at least so many days lie between them [d], above 0

    Returns
    -------
    rate [% of the hang weight a day] and the days between [d]; None without two such weigh-ins

    Source
    ------
    definition; meat that was cut off in between is not a loss

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> days = [("2026-11-25T18:00:00Z", 626.0), ("2026-11-18T18:00:00Z", 630.0)]
    >>> curve = [CurvePoint(*at, 1.0) for at in days]
    >>> lot = Lot(hang_g=1000.0, start_from=None, curve=curve, stage="drying", hang_at=None)
    >>> rate, over = rate_over(lot, 5)
    >>> round(rate, 3), over
    (0.057, 7.0)
    """
    if not lot.curve or lot.hang_g is None:
        return None
    newest = lot.curve[0]
    limit = utc_text(moment(newest.at) - timedelta(days=apart_days))
    before = next((point for point in weighed_in_this_stay(lot) if point.at <= limit), None)
    if before is None or before is newest:
        return None
    days = days_between(before.at, newest.at)
    lost_g = before.net_g / before.base_factor - newest.net_g / newest.base_factor
    return 100.0 * lost_g / lot.hang_g / days, days


def figures(lot: LotState, now: datetime, zone: tzinfo, base: str = "hang") -> Figures:
    """Every figure of a lot at one moment.

    Parameters
    ----------
    lot : as the store hands it back
    now : the moment asked about (aware)
    zone : calendar days are counted here
    base : ``hang`` or ``green``; what loss and rate are shown on (the target stays in grams)

    Returns
    -------
    loss [% of the base], target [% and g net], what is left to its heavier end [g], rate
    [% of the base a day], pull window [days of the zone]; None for what is not known yet

    Source
    ------
    `loss_on`, `target_net_g`, `rate_pct_per_day` of the drying curve, and the stored forecast

    Example
    -------
    >>> from datetime import UTC
    >>> from types import SimpleNamespace as Lot
    >>> days = [("2026-11-25T18:00:00Z", 1043.0), ("2026-11-18T18:00:00Z", 1058.0)]
    >>> shown = figures(Lot(
    ...     hang_g=1534.0, base_g=1534.0, base_factor=1.0, hang_pm_g=None, stage="drying",
    ...     start_from=None,
    ...     hang_at="2026-10-20T18:00:00Z", curve=[CurvePoint(*at, 1.0) for at in days],
    ...     stage_at="2026-10-20T18:00:00Z", ferments=False, forecast=None,
    ...     target_lo_pct=35.0, target_hi_pct=40.0, target_base="hang",
    ...     last_at="2026-11-25T18:00:00Z", looks=(),
    ...     dose_verdict=None), datetime(2026, 11, 25, 19, tzinfo=UTC), UTC)
    >>> shown.day, round(shown.loss_pct, 1), round(shown.to_go_g), round(shown.rate_pct_per_day, 2)
    (36, 32.0, 46, 0.14)
    """
    shown, base_g = base_of(lot, base)
    net_g = net_now_g(lot)
    target = target_net_g(lot)
    since = lot.hang_at if lot.stage == "drying" and lot.hang_at else lot.stage_at
    window, median, note = _window(lot, zone)
    return Figures(
        day=calendar_days(since, now, zone),
        day_of=lot.cure_usual_days if lot.stage == "in-cure" else None,
        base=shown,
        base_g=base_g,
        approx=lot.hang_pm_g is not None and shown == "hang",
        loss_pct=loss_on(base_g, net_g),
        target_pct=(lot.target_lo_pct, lot.target_hi_pct),
        target_g=target,
        to_go_g=None if target is None or net_g is None else net_g - target[1],
        rate_pct_per_day=_rate(lot, base_g),
        way=way_to_target(lot),
        way_far=_far_share(lot),
        window=window,
        median=median,
        window_note=note,
        days_since_weigh_in=calendar_days(lot.last_at, now, zone) if lot.last_at else None,
        window_passed=window is not None
        and lot.stage == "drying"
        and window[1] < now.astimezone(zone).date(),
    )


def expected_net_g(lot: LotState, when: datetime) -> tuple[float, float] | None:
    """What a hanging lot should weigh at a moment, and how far off that may be.

    Parameters
    ----------
    lot : its curve, base [g] and stored forecast
    when : the moment (aware), the last weigh-in or later

    Returns
    -------
    weight and half its width [g net]; None before two points of the curve

    Source
    ------
    the stored forecast; beyond it, or before there is one, the rate of the last weigh-ins, slowing
    as the curve does, with a width that grows with the days: design values, an estimate

    Example
    -------
    >>> from datetime import UTC
    >>> from types import SimpleNamespace as Lot
    >>> days = [("2026-11-25T18:00:00Z", 700.0), ("2026-11-18T18:00:00Z", 735.0)]
    >>> lot = Lot(base_g=1000.0, base_factor=1.0, hang_at="2026-10-20T18:00:00Z", stage="drying",
    ...           start_from=None, stage_at="2026-10-20T18:00:00Z",
    ...           forecast=None, curve=[CurvePoint(*at, 1.0) for at in days])
    >>> [round(g, 1) for g in expected_net_g(lot, datetime(2026, 12, 2, 18, tzinfo=UTC))]
    [669.3, 16.3]
    """
    told = _foretold_net_g(lot, when)
    if told is not None:
        return told
    if lot.stage != "drying" or lot.base_g is None or len(lot.curve) < 2:
        return None
    rate = _rate(lot, lot.base_g)
    if rate is None:
        return None
    newest = lot.curve[0]
    days = max(0.0, (when - moment(newest.at)).total_seconds() / SECONDS_PER_DAY)
    step_pct = max(rate, 0.0) * days / (1 + SLOWING_PER_DAY * days)
    net_g = newest.net_g * lot.base_factor / newest.base_factor - lot.base_g * step_pct / 100
    pm_g = lot.base_g * (EXPECTED_PM_PCT + 0.4 * step_pct) / 100
    return net_g, pm_g


def _foretold_net_g(lot: LotState, when: datetime) -> tuple[float, float] | None:
    """Middle and half width of the stored forecast at a moment [g net], None outside it."""
    stored = lot.forecast
    if stored is None or not stored.near or lot.hang_at is None or lot.base_g is None:
        return None
    if lot.stage not in ("drying", "ferment"):
        return None
    day = (when - moment(lot.hang_at)).total_seconds() / SECONDS_PER_DAY
    try:
        found = _between(loads_numbers(stored.near), day)
    except (ValueError, TypeError, IndexError, ZeroDivisionError):
        return None  # damaged: it is computed anew
    if found is None:
        return None
    low, mid, high = found
    pm_pct = max((high - low) / 2, EXPECTED_PM_PCT)
    return lot.base_g * (1 - mid / 100), lot.base_g * pm_pct / 100


def _between(rows: Sequence[Sequence[float]], day: float) -> tuple[float, float, float] | None:
    """Low, middle and high loss at a day from rows of day and these three."""
    for before, after in pairwise(rows):
        if before[0] <= day <= after[0]:
            part = (day - before[0]) / (after[0] - before[0])
            low, mid, high = (before[i] + part * (after[i] - before[i]) for i in (1, 2, 3))
            return low, mid, high
    return None


def _rate(lot: LotState, base_g: float | None) -> float | None:
    """Drying rate of late, in percent of the base a day [%/d]."""
    if base_g is None or lot.base_g is None or len(weighed(lot)) < 2:
        return None
    share_pct = 100.0 * lot.base_factor / base_g
    points: list[tuple[float, float]] = []
    for point in weighed_in_this_stay(lot):  # newest first; one beyond the span is enough
        day = moment(point.at).timestamp() / SECONDS_PER_DAY
        points.append((day, 100.0 - share_pct * point.net_g / point.base_factor))
        if points[0][0] - day > RATE_SPAN_DAYS:
            break
    points.reverse()
    return rate_pct_per_day(points)


def way_to_target(lot: LotState) -> tuple[tuple[float, float], ...]:
    """How much of the way from its hang weight to its target a lot has gone, by day.

    Parameters
    ----------
    lot : its curve, hang weight [g] and target, all on the base of today

    Returns
    -------
    (day since hanging [d], share of the way to the heavier end of the target [1]), oldest first,
    from (0, 0); a share is below 0 when it is heavier than it was hung and above 1 past that end;
    empty before hanging, or where the target is no lighter than the hang weight

    Source
    ------
    definition; meat that was cut off is no loss

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> point = CurvePoint("2026-11-25T18:00:00Z", 1280.0, 1.0)
    >>> way = way_to_target(Lot(hang_g=1600.0, base_g=1600.0, base_factor=1.0, curve=[point],
    ...     hang_at="2026-11-15T18:00:00Z", target_base="hang", target_lo_pct=40,
    ...     target_hi_pct=50))
    >>> [(day, round(share, 6)) for day, share in way]
    [(0.0, 0.0), (10.0, 0.5)]
    """
    target, whole_g = target_net_g(lot), lot.base_g
    if target is None or not whole_g or target[1] >= whole_g:
        return ()
    needed = 1 - target[1] / whole_g
    points = [(day, (1 - left) / needed) for day, left in curve_days(lot) if day > 0]
    return ((0.0, 0.0), *points)


def _far_share(lot: LotState) -> float | None:
    """Share of the way at the lighter end of the target [1]."""
    target, whole_g = target_net_g(lot), lot.base_g
    if target is None or not whole_g or target[1] >= whole_g:
        return None
    return (whole_g - target[0]) / (whole_g - target[1])


def weigh_again_on(lot: LotState, zone: tzinfo) -> date | None:
    """The day by which one more weigh-in tells most about the window, None where none does."""
    stored = lot.forecast
    if stored is None or stored.weigh_again_day is None or lot.hang_at is None:
        return None
    if lot.stage != "drying" or undecided(lot) is not None:
        return None
    return (moment(lot.hang_at).astimezone(zone) + timedelta(days=stored.weigh_again_day)).date()


def past_range_in_days(lot: LotState) -> float | None:
    """Days until a lot inside its target range leaves it.

    Parameters
    ----------
    lot : its curve, base and target [g]

    Returns
    -------
    days at the rate of late [d], 0 or more, too early rather than too late, since drying slows;
    None outside the range, when it does not dry, or when nothing moves

    Source
    ------
    `days_to_loss` of the drying curve

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> days = [("2026-11-25T18:00:00Z", 640.0), ("2026-11-15T18:00:00Z", 690.0)]
    >>> lot = Lot(stage="drying", hang_at="2026-10-20T18:00:00Z", hang_g=1000.0, base_g=1000.0,
    ...           stage_at="2026-10-20T18:00:00Z", ferments=False, start_from=None,
    ...           base_factor=1.0, curve=[CurvePoint(*at, 1.0) for at in days],
    ...           target_base="hang", target_lo_pct=35.0, target_hi_pct=40.0,
    ...           looks=(), dose_verdict=None)
    >>> round(past_range_in_days(lot), 1)
    8.0
    """
    target, net_g = target_net_g(lot), net_now_g(lot)
    if lot.stage != "drying" or target is None or net_g is None or lot.base_g is None:
        return None
    if not target[0] <= net_g <= target[1] or undecided(lot) is not None:
        return None
    since = len(weighed_in_this_stay(lot))
    points = [(day, 100.0 * (1.0 - share)) for day, share in curve_days(lot)]
    return days_to_loss(points[len(points) - since :], 100.0 * (1.0 - target[0] / lot.base_g))


#: Shares of 1 from which the chance that the target is never reached is shown, and takes the place
#: of a window. Design values.
SHORT_SHOWN, SHORT_LIKELY = 0.2, 0.5
STALLED = "stalled, may not get there"
DECIDE_FIRST = "decide first"  # in place of a window or a day out


def chance_short(lot: LotState) -> float | None:
    """Chance that a lot never reaches its target [0–1], where it is high enough to be shown."""
    chance = None if lot.forecast is None else lot.forecast.p_levels_off
    if chance is None or chance < SHORT_SHOWN or not pull_is_ahead(lot):
        return None
    return chance


def is_stalled(lot: LotState) -> bool:
    """Whether it is likelier than not that a lot never reaches its target."""
    return (chance_short(lot) or 0.0) > SHORT_LIKELY


def opens_on(lot: LotState) -> str | None:
    """The UTC day on which the pull window shown opens, None without one."""
    stored = lot.forecast
    if stored is None or stored.median_day is None or stored.lo_day is None:
        return None
    if stored.hi_day is None or lot.hang_at is None or not pull_is_ahead(lot):
        return None
    if is_stalled(lot):
        return None
    return utc_text(moment(lot.hang_at) + timedelta(days=stored.lo_day))[:10]


def pull_is_ahead(lot: LotState) -> bool:
    """Whether a pull window is told of this lot: it dries, or waits on hold to dry on.

    Of one that waits for a decision none is told: it is not to be pulled.
    """
    return lot.stage in ("drying", "on-hold") and undecided(lot) is None


def _window(lot: LotState, zone: tzinfo) -> tuple[tuple[date, date] | None, date | None, str]:
    if undecided(lot) is not None:
        return None, None, DECIDE_FIRST
    stored = lot.forecast
    if stored is None or lot.hang_at is None or stored.median_day is None:
        return None, None, "" if stored is None else stored.method
    if not pull_is_ahead(lot):
        return None, None, ""
    if is_stalled(lot):
        return None, None, STALLED
    hung = moment(lot.hang_at).astimezone(zone)

    def day(number: float) -> date:
        return (hung + timedelta(days=number)).date()

    lo, hi = stored.lo_day, stored.hi_day
    span = None if lo is None or hi is None else (day(lo), day(hi))
    return span, day(stored.median_day), stored.method
