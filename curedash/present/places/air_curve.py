"""A week of air drawn with characters: temperature with dew point, humidity, drying power."""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from itertools import groupby, pairwise, zip_longest

from curedash.domain.records import Place
from curedash.present.chart import Chart, Spread
from curedash.present.display_units import degrees, temp, temp_unit
from curedash.present.words import MONTHS, WEEKDAYS, Line, Span, cut, filled
from curedash.services.places.air_view import AirPoint, Failure

#: what can be drawn, in the order of the key that changes it: head, lines drawn, decimals
_TEMP, _RH = ("temp_lo_c", "temp_hi_c"), ("rh_lo_pct", "rh_hi_pct")
PANELS: dict[str, tuple[str, tuple[str, ...], tuple[str, ...]]] = {
    "temp": ("temperature [{unit}], mean, lowest, highest", ("temp_c",), _TEMP),
    "humid": ("relative humidity [%], mean, lowest, highest", ("rh_pct",), _RH),
    "dew": ("temperature and dew point [{unit}]", ("temp_c", "dew_point_c"), ()),
    "deficit": ("vapour-pressure deficit [hPa]: drying power", ("deficit_hpa",), ()),
}
LEAST_WIDTH, LEAST_HEIGHT = 30, 6
BESIDE_FROM, GAP = 110, 2  # columns that hold two curves; between them
HOUR_S = 3600
ALONE = "•"  # one reading draws no line
SPREAD = "░"  # lowest to highest
WEEK_PARTS = 28  # design value: six hours each
LONG_S = 36 * HOUR_S  # design value: readings further apart are not joined
LEAST_SPAN_S = 2 * HOUR_S  # of the axis
MANY_DAYS = timedelta(days=15)  # from here on a day is named by its month


def toned(text: str) -> list[Span]:
    """A drawn line with its tones: the means stand out from what lies behind them."""
    return [
        ("".join(run), "quiet" if behind else "strong")
        for behind, run in groupby(text, lambda char: char == SPREAD)
    ]


def week_lines(
    points: Sequence[AirPoint],
    place: Place,
    zone: tzinfo,
    width: int,
    height: int,
    span: tuple[datetime, datetime],
) -> list[Line]:
    """The temperature of a place, and its humidity beside it where there is room.

    What is drawn and what the signs mean is said above and below, where there are lines for it.
    """
    panels = ("temp", "humid") if width >= BESIDE_FROM else ("temp",)
    each = width // len(panels)
    named = height >= LEAST_HEIGHT + 3
    columns: list[list[Line]] = []
    for panel in panels:
        room = each - GAP if panel != panels[-1] else each
        drawn = curve_lines(points, panel, place, zone, room, height - 2 * named, span=span)
        lines: list[Line] = [tuple(toned(line)) for line in drawn]
        if named:
            head: Line = ((f"  {head_of(panel)}", "quiet"),)
            lines = [head, *lines, ((f"  {signs_words(place, panel)}", "quiet"),)]
        columns.append([filled(line, each) for line in lines])
    blank = filled((), each)
    return [sum(row, ()) for row in zip_longest(*columns, fillvalue=blank)]


def head_of(panel: str) -> str:
    """What a panel shows, with the unit it is shown in."""
    return PANELS[panel][0].format(unit=temp_unit())


def next_panel(panel: str) -> str:
    """The one after this, round and round."""
    names = list(PANELS)
    return names[(names.index(panel) + 1) % len(names)]


def curve_lines(
    points: Sequence[AirPoint],
    panel: str,
    place: Place,
    zone: tzinfo,
    width: int,
    height: int,
    failed: Sequence[Failure] = (),
    span: tuple[datetime, datetime] | None = None,
) -> list[str]:
    """The curve as lines of at most ``width`` cells; the band of the place as two lines in it.

    Failures that a person wrote down stand in the temperature at their highest, as a row of x.

    Parameters
    ----------
    points : what was read, oldest first; none, one or many
    panel : which of `PANELS`
    place, zone : its band; where its days begin
    width, height : the room there is [cells, lines]
    failed : what a person wrote down
    span : first and last moment on the axis (aware); None: as far as there are readings
    """
    _, names, spread = PANELS[panel]
    drawn = [_values(points, name) for name in names]
    outages = _failure_points(failed) if panel == "temp" else []
    if not any(drawn) and not outages:
        return ["", cut("  Nothing was read in these days.", width)]
    spreads = _spreads(points, spread)
    band = _band(place, panel)
    heights = [value for values in (*drawn, outages) for _, value in values]
    heights += [end for _, low, high in spreads for end in (low, high)] + band
    levels = level_ticks(min(heights), max(heights))
    at = [*(p.at for p in points), *(int(end) for f in failed for end in (f.since, f.until))]
    across, up = _axis(at, span), (levels[0], levels[-1])
    named, moments = [(level, f"{level:g}") for level in levels], _days(*across, zone, width)
    wide, high = max(LEAST_WIDTH, width), max(LEAST_HEIGHT, height)
    chart = Chart(wide, high, across, up, named, moments)
    for level in band:
        chart.level(level)
    _draw(chart, drawn, spreads)
    for second, value in outages:
        chart.sign(second, value, "x")
    return [cut(line, width) for line in chart.rows()]


def _draw(
    chart: Chart, drawn: Sequence[Sequence[tuple[int, float]]], spreads: Sequence[Spread]
) -> None:
    """The means as lines over lowest to highest, open where nothing was read for long."""
    for part in _unbroken(_close_together(chart, spreads)):
        chart.area([(at, low, high) for at, low, high in part], SPREAD)
    for values in drawn:
        means = [(at, sum(rest) / len(rest)) for at, *rest in _close_together(chart, values)]
        for run in _unbroken(means):
            chart.line([(at, value) for at, value in run])
            if len(run) == 1:
                chart.sign(run[0][0], run[0][1], ALONE)


def _close_together(chart: Chart, values: Sequence[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """What lies close together as one: means of means, the lowest low, the highest high.

    In a week that is six hours, so that a fridge that goes on and off draws no hatch; in months
    a cell.
    """
    begin, end = chart.across
    parts = WEEK_PARTS if end - begin < MANY_DAYS.total_seconds() else chart.sheet.width - 1
    found: dict[int, list[tuple[float, ...]]] = {}
    for each in values:
        found.setdefault(min(parts - 1, int(chart.x(each[0]) * parts)), []).append(each)
    return [_as_one(cell) for cell in found.values()]


def _as_one(cell: Sequence[tuple[float, ...]]) -> tuple[float, ...]:
    at = sum(each[0] for each in cell) / len(cell)
    if len(cell[0]) > 2:
        return at, min(each[1] for each in cell), max(each[2] for each in cell)
    return at, sum(each[1] for each in cell) / len(cell)


def _unbroken(values: Sequence[tuple[float, ...]]) -> list[list[tuple[float, ...]]]:
    """The runs between which nothing was read for long."""
    if not values:
        return []
    steps = [after[0] - before[0] for before, after in pairwise(values)]
    longest_s = max(LONG_S, 4 * min(steps, default=0))
    runs = [[values[0]]]
    for step_s, each in zip(steps, values[1:], strict=True):
        if step_s > longest_s:
            runs.append([])
        runs[-1].append(each)
    return runs


def _spreads(points: Sequence[AirPoint], spread: Sequence[str]) -> list[Spread]:
    """Lowest and highest of each stretch; none for a panel that shows means alone."""
    if not spread:
        return []
    lows, highs = (dict(_values(points, name)) for name in spread)
    return [(at, low, highs[at]) for at, low in lows.items() if at in highs]


def _axis(at: Sequence[int], span: tuple[datetime, datetime] | None) -> tuple[int, int]:
    """First and last second on the axis, always apart: a single reading is in its middle."""
    asked = () if span is None else (int(span[0].timestamp()), int(span[1].timestamp()))
    begin, end = min((*at, *asked)), max((*at, *asked))
    missing_s = max(0, LEAST_SPAN_S - (end - begin))
    return begin - missing_s // 2, end + missing_s // 2


def level_ticks(low: float, high: float) -> list[float]:
    """Round levels for the axis, from below the lowest to above the highest: halves or wholes.

    Example
    -------
    >>> level_ticks(10.7, 13.2)
    [10.5, 11.0, 11.5, 12.0, 12.5, 13.0, 13.5]
    >>> level_ticks(66, 93)
    [65, 70, 75, 80, 85, 90, 95]
    """
    step = next(
        (s * 10**n for n in range(12) for s in (0.5, 1, 2, 5) if (high - low) / (s * 10**n) <= 6),
        high - low,
    )
    first, last = low // step, -(-high // step)
    last = max(last, first + 1)
    return [step * (first + n) for n in range(int(last - first) + 1)]


def signs_words(place: Place, panel: str) -> str:
    """What the signs of a panel mean; nothing where there is one line alone."""
    if not PANELS[panel][2]:
        return "⠒ temperature above, dew point below" if panel == "dew" else ""
    return f"⠒ mean   {SPREAD} lowest to highest" + ("   ── band" if _band(place, panel) else "")


def _values(points: Sequence[AirPoint], name: str) -> list[tuple[int, float]]:
    found = [(p.at, getattr(p, name)) for p in points if getattr(p, name) is not None]
    return [(at, degrees(value)) for at, value in found] if name.endswith("_c") else found


def _band(place: Place, panel: str) -> list[float]:
    ends = (getattr(place, name) for name in PANELS[panel][2])  # named alike
    known = [end for end in ends if end is not None]
    return [degrees(end) for end in known] if panel == "temp" else known


def _failure_points(failed: Sequence[Failure]) -> list[tuple[int, float]]:
    """Every hour of the failures at the highest temperature."""
    return [
        (int(min(at, f.until)), degrees(f.highest_c))
        for f in failed
        for at in range(int(f.since), int(f.until) + HOUR_S, HOUR_S)
    ]


def failed_words(failed: Sequence[Failure], zone: tzinfo) -> str:
    """``x: off or warm Tue 24 Nov 22:00 to 07:00, up to 14.0 °C``; nothing where there is none."""
    parts = []
    for f in failed:
        began, ended = (datetime.fromtimestamp(end, zone) for end in (f.since, f.until))
        until = f"{ended:%H:%M}" if ended - began < timedelta(days=1) else _stamp(ended)
        parts.append(f"{_stamp(began)} to {until}, up to {temp(f.highest_c)}")
    return f"x: off or warm {'; '.join(parts)}" if parts else ""


def _stamp(at: datetime) -> str:
    return f"{WEEKDAYS[at.weekday()]} {at.day} {MONTHS[at.month - 1]} {at:%H:%M}"


def _days(begin: int, end: int, zone: tzinfo, width: int) -> list[tuple[float, str]]:
    """Midnights of the zone with the day's name, as many as there is room for."""
    first = datetime.fromtimestamp(begin, zone)
    last = datetime.fromtimestamp(end, zone)
    long = last - first > MANY_DAYS
    day = first.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    found: list[tuple[float, str]] = []
    while day <= last:
        month = f" {MONTHS[day.month - 1]}" if long or not found else ""
        name = "" if long else f"{WEEKDAYS[day.weekday()]} "
        found.append((day.timestamp(), f"{name}{day.day}{month}"))
        day += timedelta(days=1)
    step = max(1, -(-len(found) * 9 // max(1, width)))
    return found[::step] or [(float(begin), f"{first:%H:%M}")]
