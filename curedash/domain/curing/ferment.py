"""A fermenting lot: degree-hours from the readings of its place, pH, and what that needs."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from curedash.domain.curing.degree_hours import (
    BASE_TEMP_C,
    LONGEST_GAP_H,
    LONGEST_H,
    DegreeHours,
    degree_hours,
    limit_c_h,
    ph_reached,
)
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.needs.lot_needs import DECIDE, Check, LotView, Need
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import moment, utc_text

HOUR_S = 3600.0
DECIDED_FOR_H = 24.0  # design value
PH_FIRST = "measure the pH, read the place, decide"
MEASURE_NOW = f"measure the pH (above {TARGET_PH:g} decide: keep or discard)"
Series = Sequence[tuple[float, float]]  # epoch s, °C, in order of time


@record
class FermentState:
    """How far a ferment has come; None where nothing was measured."""

    hours: float  # since it began, until the pH was reached or now
    total_c_h: float | None
    limit_c_h: float | None
    highest_c: float | None  # highest hourly mean so far
    last_c: float | None
    longest_gap_h: float
    ph: float | None
    ph_hours_ago: float | None
    reached: bool
    gap_ended_h_ago: float = 0.0  # of that longest gap; 0 where nothing was read since

    @property
    def known(self) -> bool:
        """Whether readings lie close enough for the sum to mean something."""
        return self.longest_gap_h <= LONGEST_GAP_H + 1e-9

    @property
    def over(self) -> bool:
        """Whether the sum is above its limit and no pH ended the count."""
        return self._above and not self.reached

    @property
    def late(self) -> bool:
        """Whether the pH was measured too late to show that it was reached in time."""
        return self.reached and (self._above or not (self.known or self.hours <= LONGEST_H))

    @property
    def _above(self) -> bool:
        if self.total_c_h is None or self.limit_c_h is None:
            return False
        return self.total_c_h > self.limit_c_h * (1 + 1e-9)

    @property
    def hours_left(self) -> float | None:
        """Hours to the limit at the last temperature; None where nothing adds up or is unknown."""
        if self.total_c_h is None or self.limit_c_h is None or self.last_c is None:
            return None
        above = self.last_c - BASE_TEMP_C
        if self.reached or not self.known or above <= 1e-9:
            return None
        left = min(self.limit_c_h, limit_c_h(self.last_c)) - self.total_c_h
        return max(0.0, left / above)


def ferment_state(
    since_s: float, now_s: float, series: Sequence[Series], phs: Sequence[tuple[float, float]]
) -> FermentState:
    """Add up a ferment from the readings of its place.

    Parameters
    ----------
    since_s, now_s : when it began and the moment asked about [epoch s], in that order
    series : the readings of each sensor by itself [epoch s, °C]; one from before it began helps
    phs : logged pH [epoch s, pH], in order of time; the first one at 5.3 or below ends the count

    Returns
    -------
    the state; of several sensors the one with the highest sum among those without a long gap

    Source
    ------
    `domain/curing/degree_hours.py`; a stretch before the first or after the last reading is
    a gap too

    Example
    -------
    >>> hourly = [(3600.0 * hour, 24.0) for hour in range(11)]
    >>> state = ferment_state(0, 36_000, [hourly], [])
    >>> round(state.total_c_h, 1), state.known, state.reached
    (84.4, True, False)
    """
    ended = next((at for at, ph in phs if ph_reached(ph)), None)
    end_s = now_s if ended is None else max(since_s, min(ended, now_s))
    hours = max(0.0, end_s - since_s) / HOUR_S
    last = phs[-1] if phs else None
    ph = None if last is None else last[1]
    ago = None if last is None else (now_s - last[0]) / HOUR_S
    sums = [found for one in series if (found := _sum(one, since_s, end_s)) is not None]
    best = _best(sums)
    if best is None:
        return FermentState(hours, None, None, None, None, hours, ph, ago, ended is not None)
    heat, (gap_h, gap_end_s), last_c = best
    heats = heat.total_c_h, heat.limit_c_h, heat.highest_hourly_c
    gap_ago = (end_s - gap_end_s) / HOUR_S
    return FermentState(hours, *heats, last_c, gap_h, ph, ago, ended is not None, gap_ago)


def _soured(state: FermentState) -> Check:
    def soured(view: LotView) -> Need | None:
        if not state.reached or (state.late and not _decided(view.lot, view.now, state)):
            return None
        said = f"pH {TARGET_PH:g} reached"
        return view.need("today", "ferment-over", said, "weigh it and hang it to dry")

    return soured


def ferment_checks(state: FermentState) -> tuple[Check, ...]:
    """What a ferment needs, as checks of its lot.

    Parameters
    ----------
    state : how far it has come

    Returns
    -------
    degree-hours above the limit or unknown (act), a pH not measured for long: today, and act once
    the longest time of the table has passed without one, where it is too cold to add up; a pH that
    is reached: today
    """

    def degree_hours_check(view: LotView) -> Need | None:
        if state.late and not _decided(view.lot, view.now, state):
            return view.need("act", "ph-late", late_words(state), "decide: keep or discard")
        if state.reached or _decided(view.lot, view.now, state):
            return None
        if state.over:
            return view.need(
                "act",
                "degree-hours-over",
                f"{state.total_c_h:.0f} °C·h without pH {TARGET_PH:g}, "
                f"the limit is {state.limit_c_h:.0f}",
                MEASURE_NOW,
            )
        if state.known:
            return None
        said, action, asks = f"{_gap_words(state)}: degree-hours are not known", PH_FIRST, ""
        if state.ph_hours_ago is not None and state.ph_hours_ago < view.rules.ph_wait_hours:
            said = f"{said}, pH {state.ph:g} is above {TARGET_PH:g}"
            action, asks = "decide, or enter the temperature of that time", DECIDE
        return view.need("act", "degree-hours-unknown", said, action, asks)

    def ph_due(view: LotView) -> Need | None:
        waited = state.hours if state.ph_hours_ago is None else state.ph_hours_ago
        if state.reached or waited < view.rules.ph_wait_hours:
            return None
        if waited <= LONGEST_H:
            last = "no pH" if state.ph is None else f"pH {state.ph:g}, none"
            said = f"{last} for {waited:.0f} h of ferment"
            return view.need("today", "ph-due", said, "measure the pH")
        late = f"pH overdue {max(1.0, waited - LONGEST_H):.0f} h"
        last = f"fermenting for {waited:.0f} h"
        if state.ph is not None:
            last = f"last {state.ph:g}, {waited:.0f} h ago"
        return view.need("act", "ph-due", f"{late}: {last}", MEASURE_NOW)

    return degree_hours_check, ph_due, _soured(state)


def open_question(state: FermentState, lot: LotState, now: datetime) -> str | None:
    """Say what of a ferment is open when its lot goes on, or nothing.

    Parameters
    ----------
    state : how far it has come
    lot : the lot
    now : the moment it goes on

    Returns
    -------
    the pH that is not reached, or measured too late, with what the degree-hours say; None where it
    is reached in time or a decision was recorded (within a day, while it is not reached)

    Source
    ------
    `domain/facts/degree_hours.py`, target pH
    """
    if _decided(lot, now, state):
        return None
    if state.reached:
        return late_words(state) if state.late else None
    ph = "No pH was measured in its ferment" if state.ph is None else f"The last pH is {state.ph:g}"
    said = f"{ph}, and {TARGET_PH:g} is not reached"
    if state.over:
        return f"{said} within the degree-hours allowed"
    return said if state.known else f"{said}; its degree-hours are not known"


def late_words(state: FermentState) -> str:
    """That a pH came too late to show when it was reached."""
    when = f"pH {TARGET_PH:g} was measured only after {state.hours:.0f} h of ferment"
    if state.known:
        return f"{when}, at {state.total_c_h:.0f} °C·h; the limit is {state.limit_c_h:.0f}"
    return f"{when}; nobody knows whether it was reached in time"


def _decided(lot: LotState, now: datetime, state: FermentState) -> bool:
    """A decision in own words holds for a day while the sum goes on, then for good."""
    since_at = now - timedelta(hours=DECIDED_FOR_H)
    if state.reached:  # since the pH that ended the sum, whatever was measured after it
        since_at = min(since_at, moment(lot.stage_at) + timedelta(hours=state.hours))
    since = utc_text(since_at)
    return any(look.kind == "decision" and look.at >= since for look in lot.looks)


def _gap_words(state: FermentState) -> str:
    gap = f"no reading for {state.longest_gap_h:.0f} h"
    return f"{gap}, up to {state.gap_ended_h_ago:.0f} h ago" if state.gap_ended_h_ago else gap


Gap = tuple[float, float]  # how long [h], and when it ended [epoch s]
_Sum = tuple[DegreeHours, Gap, float]  # the sum, the longest gap, the last temperature


def _sum(series: Series, since_s: float, end_s: float) -> _Sum | None:
    """Degree-hours of one sensor; both ends of the ferment are readings like any other."""
    inside = [(at, temp_c) for at, temp_c in series if since_s <= at <= end_s]
    before = [(at, temp_c) for at, temp_c in series if at < since_s]
    if not inside:
        return None
    first_at, first_c = inside[0]
    lead_h = (first_at - since_s) / HOUR_S
    start_c = first_c
    if before:
        start_c = max(first_c, before[-1][1])
        lead_h = (first_at - before[-1][0]) / HOUR_S
    points = [(since_s, start_c), *inside, (end_s, inside[-1][1])]
    sums = degree_hours([((at - since_s) / HOUR_S, temp_c) for at, temp_c in points])
    gaps = [((end - start) / HOUR_S, end) for (start, _), (end, _) in pairwise(points)]
    return sums, max([(lead_h, first_at), *gaps]), inside[-1][1]


def _best(sums: Sequence[_Sum]) -> _Sum | None:
    known = [found for found in sums if found[1][0] <= LONGEST_GAP_H + 1e-9]
    if known:
        return max(known, key=lambda found: found[0].total_c_h)
    return min(sums, key=lambda found: found[1][0], default=None)
