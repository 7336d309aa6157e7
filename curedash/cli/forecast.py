"""``curedash forecast``: the pull window of a lot or of a file, and how it was computed."""

from __future__ import annotations

import argparse
import sys
from datetime import timedelta

from curedash.cli.context import Context
from curedash.cli.dispatch import OK
from curedash.cli.parser import Parser
from curedash.domain.errors import Refused, UsageError
from curedash.domain.said import grams, say

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.forecast import Forecast

Rows = list[tuple[float, float]]


def run(argv: list[str], context: Context) -> int:
    """Forecast a lot or a file; what comes out is the window, as text, JSON or a curve."""
    chosen = _parser().parse_args(argv)
    if bool(chosen.file) == bool(chosen.lot):
        raise UsageError(
            "Name a lot, or a file of weigh-ins: curedash forecast D1, or curedash forecast --file"
            " weighs.csv --target 35."
        )
    if chosen.lot:
        rows, seen, target, more = lot_forecast(chosen, context)
    else:
        rows, seen, target = file_forecast(chosen)
        more = {}
    if chosen.json:
        context.json(more | document(seen))
    else:
        heads = [f"{more['lot']}: {' to '.join(_dates(more))}"] if more else []
        tails = _weigh_words(more, context) if more else []
        days = _days(chosen.lot, context) if chosen.lot else None
        print("\n".join([*heads, *lines(seen, target, days), *tails]))
    if chosen.plot:
        from curedash.cli.forecast_plot import plot

        plot(rows, seen, target, sys.stderr if chosen.json else sys.stdout)
    return OK


def lot_forecast(
    chosen: argparse.Namespace, context: Context
) -> tuple[Rows, Forecast, float, dict[str, object]]:
    """Weigh-ins (day, loss %), forecast and target of a lot, and its days by the calendar."""
    from curedash.domain.lot_figures import target_net_g
    from curedash.domain.times import moment
    from curedash.services import household
    from curedash.services.find import require_lot
    from curedash.services.forecasts import look_ahead, points_of, weigh_again_day
    from curedash.store.weigh_ins import of_lot

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    seen = look_ahead(conn, lot, context.now)
    hung = moment(lot.hang_at or lot.stage_at).astimezone(household.zone(conn))

    def day(number: float) -> str:
        return (hung + timedelta(days=number)).date().isoformat()

    target_g = target_net_g(lot)
    base_g = lot.base_g
    if target_g is None or base_g is None:
        raise Refused(f"{lot.code} has no hang weight yet; weigh it when it is hung.")
    points = points_of(lot, [row for row in of_lot(conn, lot.id) if row.curve])
    window, again = seen.window_day, weigh_again_day(lot, seen)
    told: dict[str, object] = {
        "lot": lot.code,
        "hung_on": hung.date().isoformat(),
        "weigh_again_by": None if again is None else day(again),
        "pull_window": None if window is None else [day(window[0]), day(window[1])],
        "median_date": None if seen.median_day is None else day(seen.median_day),
        "pull_at_g_on_scale": [round(grams + lot.tare_g, 1) for grams in target_g],
    }
    rows = [(at, 100.0 * (1.0 - share)) for at, share in points]
    return rows, seen, 100.0 * (1.0 - target_g[1] / base_g), told


def _weigh_words(told: dict[str, object], context: Context) -> list[str]:
    """When the next weigh-in is due by the rhythm, and the day of one that tells most."""
    from curedash.domain.needs import days_to_weigh_in
    from curedash.services import household
    from curedash.services.find import require_lot

    conn = context.open()
    lot, zone = require_lot(conn, str(told["lot"])), household.zone(conn)
    due = days_to_weigh_in(lot, context.now, zone, household.need_rules(conn))
    today = context.now.astimezone(zone).date()
    parts = []
    if due is not None:
        on = "now" if due <= 0 else f"{(today + timedelta(days=due)).isoformat()}"
        parts.append(f"next weigh-in due {on}")
    if (again := told["weigh_again_by"]) is not None:
        on = "today" if str(again) <= today.isoformat() else f"on {again}"
        parts.append(f"one {on} narrows the window most")
    return ["; ".join(parts)] if parts else []


def _days(code: str, context: Context) -> tuple[int, int]:
    """Days since it was hung by the calendar: today, and at the newest weigh-in."""
    from curedash.domain.times import calendar_days, moment
    from curedash.services import household
    from curedash.services.find import require_lot

    conn = context.open()
    lot, zone = require_lot(conn, code), household.zone(conn)
    hung = lot.hang_at or lot.stage_at
    last = lot.curve[0].at if lot.curve else hung
    return calendar_days(hung, context.now, zone), calendar_days(hung, moment(last), zone)


def _dates(told: dict[str, object]) -> list[str]:
    window = told["pull_window"]
    return [str(day) for day in window] if isinstance(window, list) else ["no window"]


def file_forecast(chosen: argparse.Namespace) -> tuple[Rows, Forecast, float]:
    """Weigh-ins (day, loss %), their forecast and the target of a file's options."""
    from curedash.cli.forecast_files import read_air, read_history, read_table
    from curedash.domain.forecast import forecast
    from curedash.domain.units import parse_length_mm, parse_pct

    net = [(day, g) for day, g in read_table(chosen.file, ("day", "net_g"))]
    if not net:
        raise Refused(f"{chosen.file} holds no weigh-in: give at least the hang weight.")
    base_g = net[0][1]
    if not 0.0 < base_g < 1e6:
        raise Refused(
            say(
                "The hang weight of {base} makes no sense: give its net weight.", base=grams(base_g)
            )
        )
    target = parse_pct(chosen.target)
    seen = forecast(
        [(day, g / base_g) for day, g in net],
        target,
        base_g=base_g,
        scale_division_g=chosen.division,
        diameter_mm=parse_length_mm(chosen.diameter) if chosen.diameter else None,
        length_mm=parse_length_mm(chosen.length) if chosen.length else None,
        in_bag=True if chosen.bag else None,
        moisture_pct=parse_pct(chosen.moisture) if chosen.moisture else None,
        history=read_history(chosen.history) if chosen.history else (),
        air=read_air(chosen.air) if chosen.air else (),
    )
    return [(day, 100.0 * (1.0 - g / base_g)) for day, g in net], seen, target


def document(seen: Forecast) -> dict[str, object]:
    """The forecast as JSON: days since hanging."""
    window = seen.window_day
    return {
        "median_day": _rounded(seen.median_day),
        "window_day": [_rounded(window[0]), _rounded(window[1])] if window else None,
        "p_levels_off": _rounded(seen.p_levels_off, 3),
        "method": seen.method,
        "weigh_ins_used": seen.weigh_ins_used,
        "as_of_day": _rounded(seen.as_of_day),
        "loss_now_pct": _rounded(seen.loss_now_pct),
        "base": "hang",
    }


def lines(seen: Forecast, target: float, days: tuple[int, int] | None = None) -> list[str]:
    """The forecast in words; of a lot with the days since it was hung, now and when weighed."""
    ins = f"{seen.weigh_ins_used} weigh-in{'' if seen.weigh_ins_used == 1 else 's'}"
    at = f"day {seen.as_of_day:.0f}" if days is None else f"day {days[0]}, weighed on day {days[1]}"
    told = [f"{at}: {seen.loss_now_pct:.1f} % lost of {target:g} %, {ins}"]
    if seen.window_day is None or seen.median_day is None:
        told.append(f"no pull window: it levels off before {target:g} %")
    else:
        lo, hi = seen.window_day
        told.append(f"pull window: day {lo:.0f} to {hi:.0f}, median {seen.median_day:.0f}")
    if seen.p_levels_off is not None and seen.p_levels_off >= 0.05:
        told.append(f"levels off short of the target: {100 * seen.p_levels_off:.0f} in 100")
    told.append(f"from: {seen.method}")
    return told


def _rounded(value: float | None, digits: int = 2) -> float | None:
    return None if value is None else round(value, digits)


def _parser() -> Parser:
    parser = Parser(
        "forecast",
        "The pull window of a piece: 80 % of the pieces like it reach the target inside it.",
        "curedash forecast --file weighs.csv --target 35 --diameter 80mm --json",
    )
    parser.add_argument("lot", nargs="?", help="a lot of the household's file")
    parser.add_argument("--file", metavar="CSV", help="weigh-ins: columns day, net_g")
    parser.add_argument("--target", default="35", metavar="PCT", help="loss to pull at (35)")
    parser.add_argument("--diameter", metavar="LEN", help="as hung, e.g. 80mm; else from weight")
    parser.add_argument("--length", metavar="LEN", help="as hung; else from weight and diameter")
    parser.add_argument("--bag", action="store_true", help="hangs in a vapour-permeable bag")
    parser.add_argument("--moisture", metavar="PCT", help="moisture as hung (72)")
    parser.add_argument("--division", type=float, default=1.0, metavar="G", help="of the scale (1)")
    parser.add_argument("--air", metavar="CSV", help="the place: columns day, temp_c, rh_pct")
    parser.add_argument("--history", metavar="JSON", help="the household's finished pieces")
    parser.add_argument("--json", action="store_true", help="as JSON")
    parser.add_argument("--plot", action="store_true", help="draw the curve")
    return parser
