"""The columns of a row in words: its one state, how far it is, and when it is ready."""

from __future__ import annotations

from datetime import date, timedelta, tzinfo
from math import ceil

from curedash.domain.drying.lot_figures import DECIDE_FIRST, STALLED, chance_short
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.needs.lot_needs import WEIGH_AGAIN
from curedash.domain.records import LotState
from curedash.domain.times import local_day, moment
from curedash.present.display_units import REACHED_WITHIN_G, left_short
from curedash.present.numbers import number
from curedash.present.rack.state import (
    CURED,
    MAY_NOT_COME,
    OUT_NOW,
    OVER,
    OVERDUE,
    READY,
    is_over,
    whole_days,
)
from curedash.present.words import ABOUT, NOTHING, Span, cells, count, cut, day, days, left, stage

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    from curedash.services.rack import RackRow

LONG_D = 7  # design value: ready for so many days is long
LONG_READY = "long ready"
ON_WAY = ("drying", "in cure", "salt box")  # states that a day says enough of
ROUGH = 0.03  # design value: ± of a hang weight from which its loss is shown in whole percent
WHOLE = 0.05  # a target so near a whole percent is shown as one


def fitted(choices: Sequence[str], width: int) -> str:
    """The first wording that fits, else the last one cut."""
    for words in choices:
        if cells(words) <= width:
            return words
    return cut(choices[-1], width)


# ── one state a row ───────────────────────────────────────────────────────────────────────


def state_of(row: RackRow, today: date | None) -> tuple[list[str], str]:
    """The wordings of the one state a lot is in, the longest first, and its tone."""
    lot = row.lot
    if row.figures.window_note == DECIDE_FIRST:
        return ["to decide", "decide"], level_tone(row)
    if lot.stage == "raw":
        return _raw_state(row)
    if lot.stage == "in-cure":
        return _cure_state(row)
    if lot.stage == "drying":
        return _drying_state(row, today)
    return [stage(lot.stage), stage(lot.stage, short=True)], "quiet"


def level_tone(row: RackRow) -> str:
    """The tone of what must not wait. What is for today has it in its sign, its code and its key:
    those are enough, and every row of that kind has them.
    """
    return "act" if row.level == "act" else ""


def _raw_state(row: RackRow) -> tuple[list[str], str]:
    lot = row.lot
    if lot.dose_open:
        return (["salting, no day yet", "salting"] if lot.dose_ticked else ["to salt"]), "quiet"
    return ["salted" if lot.dose_ticked else "raw"], "quiet"


def _cure_state(row: RackRow) -> tuple[list[str], str]:
    figures = row.figures
    if any(need.cause in OUT_NOW for need in row.needs):
        late = figures.day - whole_days(figures.day_of or 0.0)
        return [f"{late} d {OVERDUE}" if late > 0 else "due today", OVERDUE], level_tone(row)
    if figures.day_of is None or whole_days(figures.day_of) > figures.day:
        return ["in cure"], "quiet"
    return ["out today" if row.lot.has_stop else CURED], level_tone(row)


def _drying_state(row: RackRow, today: date | None) -> tuple[list[str], str]:
    figures = row.figures
    if is_reached(row):
        return _reached_state(row, today)
    if is_stalled_now(row):
        return ["stalled"], level_tone(row)
    if figures.window_passed:
        return [OVERDUE], level_tone(row)
    return [stage(row.lot.stage)], "quiet"


def _reached_state(row: RackRow, today: date | None) -> tuple[list[str], str]:
    figures = row.figures
    if is_over(row):
        assert figures.target_g is not None  # it is over it
        light_g = figures.target_g[0] - figures.target_g[1] - (figures.to_go_g or 0.0)
        return [f"{OVER} {left_short(light_g, 7)}", OVER], level_tone(row)
    if figures.window is None or today is None or figures.window[0] > today:
        return [READY], level_tone(row)
    if (today - figures.window[0]).days < LONG_D:
        return [READY], level_tone(row)
    return [LONG_READY, READY], level_tone(row)


def is_reached(row: RackRow) -> bool:
    """Whether a drying lot is inside its target range, or lighter."""
    grams = row.figures.to_go_g
    return row.lot.stage == "drying" and grams is not None and grams <= REACHED_WITHIN_G


def is_stalled_now(row: RackRow) -> bool:
    """Whether it hardly loses anything, or likely never reaches its target."""
    levels = (need for need in row.needs if need.cause == "levelling")
    return row.figures.window_note == STALLED or any(n.asks != WEIGH_AGAIN for n in levels)


# ── how far ───────────────────────────────────────────────────────────────────────────────


def far_span(row: RackRow, width: int) -> Span:
    """How far, in the tone of its need where that is what the need is about."""
    causes = [need.cause for need in row.needs]
    own = causes and causes[0] in ("ph-due", "dose-not-ticked")
    return left(far_words(row, width), width), (own and level_tone(row)) or "strong"


def far_words(row: RackRow, width: int) -> str:
    """How far of how much: of its target, of the days of its cure, of its pH, of its doses."""
    lot = row.lot
    if lot.stage == "raw":
        choices = _dose_choices(lot)
    elif lot.stage == "in-cure":
        choices = _cure_choices(row)
    elif lot.stage == "ferment":
        choices = _ferment_choices(row)
    else:
        choices = _loss_choices(row)
    return fitted(choices, width)


def _dose_choices(lot: LotState) -> list[str]:
    every = lot.dose_open + lot.dose_ticked
    if not every:
        return [NOTHING]
    done = lot.dose_ticked
    return [f"{done} of {every} doses", f"{done}/{every} doses", f"{done}/{every}"]


def _cure_choices(row: RackRow) -> list[str]:
    now, of = max(0, row.figures.day), row.figures.day_of
    if of is None:
        return [f"day {now}"]
    whole = whole_days(of)
    return [f"{now} of {whole} days", f"{now} of {whole} d", f"{now}/{whole} d"]


def cure_words(row: RackRow) -> str:
    """Where there is room: ``day 2 of 7``, ``planned 5 days, now 1 longer``."""
    now, of = max(0, row.figures.day), whole_days(row.figures.day_of or 0.0)
    over = now - of
    return f"planned {count(of, 'day')}, now {over} longer" if over > 0 else f"day {now} of {of}"


def _ferment_choices(row: RackRow) -> list[str]:
    state = row.ferment
    if state is None:
        return ["no pH yet", "no pH"]
    if state.ph is None:  # all that is known is how long it has been at it
        now, of = f"{state.hours:.0f}", f"{state.hours - ph_overdue_h(row):.0f}"
        return [f"{now} of {of} h", f"{now}/{of} h", "no pH"]
    ph = f"pH {number(state.ph, 1)}"
    return [f"{ph}, to {TARGET_PH:g}", f"{ph}→{TARGET_PH:g}", ph]


def _loss_choices(row: RackRow) -> list[str]:
    lot, figures = row.lot, row.figures
    loss = figures.loss_pct
    if loss is None:
        return ["not weighed", "no weight", NOTHING] if lot.stage == "drying" else [NOTHING]
    about = ABOUT if figures.approx else ""
    shown = about + number(loss, _decimals(lot))
    target = target_of(row)
    if lot.stage == "keeping" or target is None:
        return [f"{shown} %", f"{shown}%"]
    near = round(target)
    wanted = number(target, 0 if abs(target - near) < WHOLE else 1)
    below = ceil(target) - 1  # not there yet: it is never rounded up to its target
    whole = about + number(min(round(loss), below) if loss < target else round(loss))
    return [
        f"{shown} of {wanted} %",
        f"{shown} of {near} %",
        f"{whole} of {near} %",
        f"{whole}/{near} %",
        f"{whole}/{near}%",
        f"{whole} %",
    ]


def target_of(row: RackRow) -> float | None:
    """The loss at which its target range begins, on the base that is shown [%]."""
    figures = row.figures
    if figures.target_g is None or not figures.base_g:
        return None
    return 100.0 * (1 - figures.target_g[1] / figures.base_g)


def _decimals(lot: LotState) -> int:
    """Of a loss: none where the hang weight may be off by a tenth."""
    unsure = lot.hang_pm_g is not None and lot.hang_g is not None
    return 0 if unsure and (lot.hang_pm_g or 0.0) > ROUGH * (lot.hang_g or 0.0) else 1


# ── when: its state, and the days that come ───────────────────────────────────────────────────


def when_span(row: RackRow, width: int, zone: tzinfo, today: date | None) -> Span:
    """State and day of a lot in one wording: ``in cure, out 30 Nov``, ``ready since 23 Nov``."""
    states, tone = state_of(row, today)
    dates = [words for words in date_choices(row, zone, today) if words != NOTHING]
    stage_id = row.lot.stage
    if stage_id == "in-cure" and states != [CURED]:
        where = "salt box" if row.lot.salt_box else "in cure"
        if states[-1] == OVERDUE:
            late = where + _glue(states[0]) + states[0]
            return fitted([late, f"{OVERDUE} {dates[0]}", OVERDUE], width), tone
        states = [where] if states == ["in cure"] else [f"{where}, {states[0]}", *states]
    both = [state + _glue(words) + words for state in states for words in dates]
    if dates and stage_id == "equalising":
        return fitted([*both, *dates], width), ""
    if stage_id == "ferment" and ph_overdue_h(row) > 0:
        return fitted(dates, width), level_tone(row)
    if dates and (stage_id == "ferment" or states[0] in ON_WAY):
        return fitted(dates if stage_id == "drying" else [both[0], *dates], width), ""
    return fitted([*both, *states], width), tone


def _glue(words: str) -> str:
    return " " if words[:1].isdigit() or words.startswith(("since ", "until ", "to ")) else ", "


def date_choices(row: RackRow, zone: tzinfo, today: date | None) -> list[str]:
    """The longest wording first."""
    lot, figures = row.lot, row.figures
    if figures.window_note == DECIDE_FIRST:
        return [NOTHING]
    if lot.stage == "drying":
        return _drying_dates(row, today)
    if lot.stage == "in-cure" and lot.cure_usual_days is not None:
        return _cure_dates(row, zone)
    if lot.stage == "ferment":
        return _ferment_dates(row, zone)
    if lot.stage == "keeping":
        return [f"since {day(local_day(lot.stage_at, zone))}"]
    if lot.stage_until is not None and lot.stage in ("equalising", "salt-rest", "on-hold"):
        until = day(local_day(lot.stage_until, zone))
        return [f"until {until}", f"to {until}"]
    return [NOTHING]


def _drying_dates(row: RackRow, today: date | None) -> list[str]:
    figures = row.figures
    if figures.window is None or figures.window_note == STALLED:
        return [NOTHING]
    first, last = figures.window
    if is_reached(row):
        return [NOTHING] if is_over(row) else [f"since {day(first)}"]
    if figures.window_passed:
        return [f"was {days(first, last)}", f"was {day(last)}"]
    mark = "" if chance_short(row.lot) is None else MAY_NOT_COME
    span = days(first, last, today)
    rule = "~" if "rule" in figures.window_note else ""
    begins = f"from {rule}{day(first)}{mark}"
    return [f"ready {rule}{span}{mark}", f"{rule}{span}{mark}", f"ready {begins}", begins]


def _cure_dates(row: RackRow, zone: tzinfo) -> list[str]:
    out = out_day(row.lot, zone)
    choices, _tone = _cure_state(row)
    if choices[0] == CURED:
        return [f"since {day(out)}"]
    if choices[-1] == OVERDUE:
        return [day(out)]
    return [f"out by {day(out)}", f"by {day(out)}"] if row.lot.has_stop else [f"out {day(out)}"]


def _ferment_dates(row: RackRow, zone: tzinfo) -> list[str]:
    """The pH that ends it, and by when: its degree-hours run out, or else its longest time."""
    state = row.ferment
    if state is None or state.reached:
        return [f"pH {TARGET_PH:g} reached"] if state else [NOTHING]
    over_h = ph_overdue_h(row)
    if over_h > 0:
        late = f"{OVERDUE} {max(1.0, over_h):.0f} h"
        return [f"pH {late}", f"pH {OVERDUE}", OVERDUE]
    limit = moment(row.lot.stage_at).astimezone(zone) + timedelta(hours=state.hours - over_h)
    return [f"pH {TARGET_PH:g} by {day(limit.date())}", f"to pH {TARGET_PH:g}"]


def ph_overdue_h(row: RackRow) -> float:
    """Hours that a ferment is past the last moment for its pH, negative before it [h]."""
    from curedash.domain.curing.degree_hours import LONGEST_H

    state = row.ferment
    if state is None or state.reached:
        return 0.0
    return state.hours - LONGEST_H if state.hours_left is None else -state.hours_left


def out_day(lot: LotState, zone: tzinfo) -> date:
    """The day out of the cure."""
    assert lot.cure_usual_days is not None  # asked before
    if lot.has_stop:
        ends = moment(lot.stage_at).astimezone(zone) + timedelta(days=lot.cure_usual_days)
        return ends.date()
    return local_day(lot.stage_at, zone) + timedelta(days=whole_days(lot.cure_usual_days))


def span_of(row: RackRow, zone: tzinfo) -> tuple[date, date] | None:
    """The days ahead that are drawn on the axis: its window, or the one day it waits for."""
    lot, figures = row.lot, row.figures
    if lot.stage == "drying" and not is_reached(row) and figures.window_note != STALLED:
        return figures.window
    if lot.stage == "in-cure" and lot.cure_usual_days is not None:
        return (out_day(lot, zone),) * 2
    if lot.stage_until is not None and lot.stage in ("equalising", "salt-rest", "on-hold"):
        return (local_day(lot.stage_until, zone),) * 2
    return None
