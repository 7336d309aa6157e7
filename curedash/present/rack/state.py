"""How a lot is on its way, in words: what is to go, and when it is ready."""

from __future__ import annotations

from datetime import date, timedelta, tzinfo
from math import ceil

from curedash.domain.drying.lot_figures import DECIDE_FIRST, STALLED
from curedash.domain.times import local_day, moment
from curedash.present.display_units import REACHED_WITHIN_G, left_short, to_go
from curedash.present.numbers import number
from curedash.present.words import NOTHING, cells, count, cut, day, days

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.services.rack import RackRow

READY, OVER, CURED, OVERDUE = "ready", "over", "cured", "overdue"
MAY_NOT_COME = "?"  # behind a window, from the chance on that is shown
OUT_NOW = ("salt-box-overdue", "pick-up-overdue")


def day_words(row: RackRow) -> str:
    """Days in the stage, of the planned days where there is a plan: ``day 6 of 5``."""
    of = row.figures.day_of
    return f"day {row.figures.day}" + ("" if of is None else f" of {whole_days(of)}")


def whole_days(days: float) -> int:
    """Planned days as calendar days: never rounded down, as the day out is counted.

    Example
    -------
    >>> whole_days(17.2), whole_days(18.0)
    (18, 18)
    """
    return ceil(days - 1e-9)


def is_over(row: RackRow) -> bool:
    """Whether a lot lost more than the far end of its target asks."""
    target, left_g = row.figures.target_g, row.figures.to_go_g
    if target is None or left_g is None:
        return False
    return target[1] + left_g < target[0] - REACHED_WITHIN_G


def _days_to_go(row: RackRow) -> str:
    """Of the cure: ``9 days``, today, or that it is cured or overdue."""
    figures = row.figures
    if figures.day_of is None:
        return NOTHING
    if any(need.cause in OUT_NOW for need in row.needs):
        return OVERDUE
    rest = whole_days(figures.day_of) - figures.day
    if rest > 0:
        return count(rest, "day")
    return "today" if row.lot.has_stop else CURED


# ── when it is ready ──────────────────────────────────────────────────────────────────────


def window_words(row: RackRow, width: int, zone: tzinfo, today: date | None = None) -> str:
    """When it is to be pulled, taken out or looked at, in as many words as fit."""
    choices = _choices(row, zone, today)
    for words in choices:
        if cells(words) <= width:
            return words
    return cut(choices[-1], width)


def _choices(row: RackRow, zone: tzinfo, today: date | None) -> list[str]:
    """The longest wording first."""
    lot, figures = row.lot, row.figures
    if figures.window_note == DECIDE_FIRST:
        return [DECIDE_FIRST]
    reached = figures.to_go_g is not None and figures.to_go_g <= REACHED_WITHIN_G
    if lot.stage == "drying" and reached:
        return _reached_choices(row)
    if figures.window is not None:
        return _window_choices(row, today)
    if figures.window_note == STALLED:
        return [STALLED, "stalled"]
    if lot.stage == "in-cure" and lot.cure_usual_days is not None:
        return _out_choices(row, zone)
    if lot.stage_until is not None and lot.stage in ("equalising", "salt-rest", "on-hold"):
        return [f"until {day(local_day(lot.stage_until, zone))}"]
    if lot.stage == "raw" and lot.dose_open:
        return [f"tick {count(lot.dose_open, 'dose')}"]
    if lot.stage == "raw" and any(need.cause == "cure-not-begun" for need in row.needs):
        return ["not in the cure", "not in cure"]
    if lot.stage == "drying" and lot.hang_g is None:
        return ["not weighed yet", "not weighed"]
    if lot.stage == "ferment":
        return _ferment_choices(row)
    return [NOTHING]


def _reached_choices(row: RackRow) -> list[str]:
    """Inside the range, or lighter than it by so much."""
    figures = row.figures
    if is_over(row) and figures.target_g is not None and figures.to_go_g is not None:
        light_g = figures.target_g[0] - figures.target_g[1] - figures.to_go_g
        light = left_short(light_g, 8)
        return [f"{light} below its range", f"{light} below"]
    if figures.window is None:
        return ["in range"]
    return [f"in range since {day(figures.window[0])}", f"since {day(figures.window[0])}"]


def _window_choices(row: RackRow, today: date | None) -> list[str]:
    figures = row.figures
    assert figures.window is not None  # asked before
    first, last = figures.window
    if figures.window_passed:
        return [f"overdue since {day(last)}", f"overdue {day(last)}", "overdue"]
    span, shorter = days(first, last, today), f"from {day(first)}"
    if "rule" in figures.window_note:
        return [f"{span}, by rule", f"~{span}", f"from ~{day(first)}", f"~{day(first)}…"]
    return [span, shorter]


def _out_choices(row: RackRow, zone: tzinfo) -> list[str]:
    """The day out of the cure, and whether it may wait."""
    lot = row.lot
    assert lot.cure_usual_days is not None  # asked before
    ends = moment(lot.stage_at).astimezone(zone) + timedelta(days=lot.cure_usual_days)
    whole = local_day(lot.stage_at, zone) + timedelta(days=whole_days(lot.cure_usual_days))
    out = day(ends.date() if lot.has_stop else whole)
    state = _days_to_go(row)
    if state == OVERDUE:
        return [f"should have come out on {out}", f"since {out}"]
    if lot.has_stop:
        return [f"out by {out}, not later", f"out by {out}", f"by {out}"]
    if not lot.can_wait:
        return [f"since {out}" if state == CURED else f"until {out}"]
    if state == CURED:
        return [f"since {out}, can wait", f"since {out}"]
    return [f"until {out}, can wait", f"until {out}"]


def _ferment_choices(row: RackRow) -> list[str]:
    state = row.ferment
    if state is None or state.ph is None:
        return ["no pH yet"]
    ph = f"pH {number(state.ph, 1)}"
    return [f"{ph} reached", ph] if state.reached else [ph]


def reached_or_to_go(row: RackRow) -> str:
    """The same as a sentence: ``167 g to go``, ``ready``, ``over``."""
    grams = row.figures.to_go_g
    if grams is None or row.lot.stage == "keeping":
        return ""
    if grams > REACHED_WITHIN_G:
        return to_go(grams)
    return OVER if is_over(row) else READY
