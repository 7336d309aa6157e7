"""A forecast in words and as a JSON document, of a file or of a lot."""

from __future__ import annotations

from curedash.domain.drying.lot_figures import SHORT_LIKELY, SHORT_SHOWN, STALLED
from curedash.domain.wording import count
from curedash.present.display_units import temp
from curedash.present.numbers import rounded, rounded_parts
from curedash.present.words import days, plain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from typing import Any

    from curedash.domain.drying.forecast import Evidence, Forecast
    from curedash.domain.drying.forecast.layer import Trust
    from curedash.services.drying.forecasts import AirLately
    from curedash.services.drying.lot_forecast import LotAhead


def forecast_document(seen: Forecast, moved: Sequence[Evidence] = ()) -> dict[str, Any]:
    """The forecast in days since hanging, and which evidence moved it how far."""
    window = seen.window_day
    return {
        "median_day": rounded(seen.median_day, 2),
        "window_day": [rounded(window[0], 2), rounded(window[1], 2)] if window else None,
        "p_levels_off": rounded(seen.p_levels_off, 3),
        "method": seen.method,
        "weigh_ins_used": seen.weigh_ins_used,
        "as_of_day": rounded(seen.as_of_day, 2),
        "loss_now_pct": rounded(seen.loss_now_pct, 2),
        "base": "hang",
        "laws": [] if seen.trust is None else _laws(seen.trust, seen.as_of_day),
        "evidence": [
            {
                "from": one.what,
                "median_day": rounded(one.median_day, 2),
                "window_day": None
                if one.window_day is None
                else [rounded(end, 2) for end in one.window_day],
                "moved_days": rounded(one.moved_days, 2),
            }
            for one in moved
        ],
    }


def _laws(trust: Trust, now: float) -> list[dict[str, Any]]:
    from curedash.domain.drying.forecast.layer import NAMES

    return [
        {"law": name, "weight": rounded(weight, 3), "median_day": rounded(now + left, 2)}
        for name, weight, left in zip(NAMES, trust.weights, trust.lefts, strict=True)
    ]


def is_stalled(found: LotAhead) -> bool:
    """Whether it is likelier than not that the lot never reaches its target."""
    return (found.seen.p_levels_off or 0.0) > SHORT_LIKELY


def lot_forecast_document(found: LotAhead) -> dict[str, Any]:
    """The same of a lot, with its days by the calendar."""
    return {
        "lot": found.lot.code,
        "hung_on": found.hung_on.isoformat(),
        "weigh_again_by": _iso(found.weigh_again),
        **_days_document(found),
        "stalled": is_stalled(found),
        "pull_at_g_on_scale": [round(grams, 1) for grams in found.pull_at_g],
        "place": found.place,
        "place_air": None if found.air is None else _air_document(found.air),
        "present": None if found.present is None else _present(found.present),
    } | forecast_document(found.seen, found.evidence)


def _air_document(air: AirLately) -> dict[str, Any]:
    """The air of another place that was reckoned with, and whether it was read there."""
    source = "readings" if air.read else "band"
    return {**rounded_parts(air, "temp_c", "rh_pct", decimals=2), "from": source}


def _present(now: LotAhead) -> dict[str, Any]:
    """The forecast of the lot as it is now, shown beside the one asked for."""
    return {"target_pct": rounded(now.target_pct, 2), **_days_document(now)}


def _days_document(found: LotAhead) -> dict[str, Any]:
    """The days of a window; none where the piece may not get there."""
    if is_stalled(found):
        return {"pull_window": None, "median_date": None}
    window = None if found.window is None else [_iso(day) for day in found.window]
    return {"pull_window": window, "median_date": _iso(found.median)}


def what_if_lines(found: LotAhead) -> list[str]:
    """What would be, beside what is: two windows, and that nothing was saved."""
    rows = [("would be", found)]
    if found.present is not None:
        rows.insert(0, ("is", found.present))
    return [
        *(f"{found.lot.code} {verb}: {_window_at(ahead)}" for verb, ahead in rows),
        *_air_there(found),
        "Nothing was saved.",
    ]


def _air_there(found: LotAhead) -> list[str]:
    """Which air of another place the window rests on, and how far that is trusted."""
    from curedash.domain.drying.forecast.layer import AIR_MISFIT
    from curedash.services.drying.forecasts import LATELY_DAYS

    air = found.air
    if air is None:
        return []
    ground = (
        f"its mean of the last {LATELY_DAYS} days"
        if air.read
        else "the middle of its band, as nothing was read there lately"
    )
    return [
        f"The air in {plain(found.place or '')} is taken as {_air_words(air)}: {ground}.",
        f"The change in days is uncertain by ±{100 * AIR_MISFIT:.0f} %, a design"
        " value; the window is wider for it.",
    ]


def _air_words(air: AirLately) -> str:
    return f"{temp(air.temp_c)}, {air.rh_pct:.0f} %"


def what_if_words(found: LotAhead) -> str:
    """``C1 is ready 9–15 Dec; would be ready 12–20 Dec at 38 % in Cellar (12.5 °C, 76 %). …``"""
    present = found.present or found
    where = f" in {plain(found.place)}" if found.place else ""
    if found.air is not None:
        where += f" ({'' if found.air.read else 'by its range '}{_air_words(found.air)})"
    would = f"would be {_window_words(found)} at {found.target_pct:.0f} %{where}"
    return f"{found.lot.code} is {_window_words(present)}; {would}. Nothing saved."


def _window_words(found: LotAhead) -> str:
    if found.window is None or is_stalled(found):
        return "without a window"
    return f"ready {days(*found.window)}"


def _window_at(found: LotAhead) -> str:
    ends = None if is_stalled(found) else found.window
    days = "no window" if ends is None else " to ".join(day.isoformat() for day in ends)
    where = f", in {plain(found.place)}" if found.place else ""
    return f"{days}, at {found.target_pct:.0f} % of hang weight{where}"


def forecast_lines(
    seen: Forecast, target_pct: float, days: tuple[int, int] | None = None
) -> list[str]:
    """The forecast in words; of a lot with the days since it was hung, now and when weighed."""
    ins = count(seen.weigh_ins_used, "weigh-in")
    at = f"day {seen.as_of_day:.0f}" if days is None else f"day {days[0]}, weighed on day {days[1]}"
    told = [f"{at}: {seen.loss_now_pct:.1f} % lost of {target_pct:g} %, {ins}"]
    chance = seen.p_levels_off or 0.0
    if seen.window_day is None or seen.median_day is None or chance > SHORT_LIKELY:
        told.append(f"{STALLED}: no day for {target_pct:g} %")
    else:
        lo, hi = seen.window_day
        told.append(f"pull window: day {lo:.0f} to {hi:.0f}, median {seen.median_day:.0f}")
    if chance >= SHORT_SHOWN:
        told.append(f"chance that it never gets there: {100 * chance:.0f} in 100")
    told.append(f"from: {seen.method}")
    return told


def lot_forecast_lines(found: LotAhead) -> list[str]:
    """The same of a lot: its window by the calendar first, when to weigh it last."""
    ends = None if is_stalled(found) else found.window
    window = ["no window"] if ends is None else [day.isoformat() for day in ends]
    days = (found.day_now, found.day_weighed)
    return [
        f"{found.lot.code}: {' to '.join(window)}",
        *forecast_lines(found.seen, found.target_pct, days),
        *_weigh_words(found),
    ]


def _weigh_words(found: LotAhead) -> list[str]:
    """When the next weigh-in is due by the rhythm, and the day of one that tells most."""
    parts = []
    if (due := found.weigh_due) is not None:
        parts.append(f"next weigh-in due {'now' if due <= found.today else due.isoformat()}")
    if (again := found.weigh_again) is not None:
        on = "today" if again <= found.today else again.isoformat()
        parts.append(f"{on} is best for the window")
    return ["; ".join(parts)] if parts else []


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
