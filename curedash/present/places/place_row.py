"""A place in one row: what it reads, where that lies in its band, how the days before were."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.domain.record import record, replace
from curedash.present.display_units import degrees, kilos, temp_unit
from curedash.present.lines import air_words
from curedash.present.numbers import number
from curedash.present.places.air import age, age_words
from curedash.present.words import NOTHING, SIGNS, Line, filled, left, plain, right
from curedash.services.places.air_view import PlaceAir

STEPS = "▁▂▃▄▅▆▇█"
INSIDE, END, HERE = "░", "│", "•"
LOTS_CELLS = 10  # from the space before what hangs to the head of the lots
LEAST_SPAN_C = 2.0  # design value: a steady place without a band is drawn as a level line


@record
class Widths:
    """Cells of the columns at one breakpoint; 0 leaves a column out."""

    columns: int
    name: int
    bar: int  # cells of a band from end to end, both ends included
    humid: bool  # whether humidity has its bar too
    days: bool
    lots: bool
    watch: bool = False


PHONE = Widths(40, 12, 5, False, False, False)
NARROW = Widths(60, 16, 5, True, True, False)
MIDDLE = Widths(80, 16, 7, True, True, True)
WIDE = Widths(100, 20, 11, True, True, True)
WIDEST = Widths(120, 24, 15, True, True, True, True)
WIDTHS = (WIDEST, WIDE, MIDDLE, NARROW)


def widths_for(columns: int) -> Widths:
    """The widest that fits; on a phone the name has what the others leave."""
    spare = max(0, columns - PHONE.columns)
    phone = replace(PHONE, columns=columns, name=PHONE.name + spare)
    return next((each for each in WIDTHS if columns >= each.columns), phone)


def heads(columns: int) -> str:
    """The heads of the columns."""
    use = widths_for(columns)
    bar = use.bar + 2
    parts = ["  " + left("Place", use.name), right(temp_unit(), 5), left("in band", bar)]
    parts += [right("% RH", 4), *([left("in band", bar)] if use.humid else []), right("age", 6)]
    if use.days:
        parts.append(left("7 days", 7))
    if use.lots:
        parts += [right("hanging", 8), right("lots", 4)]
    if use.watch:
        parts.append("read")
    return " ".join(parts)


def place_row(item: PlaceAir, means_c: Sequence[float | None], level: str, columns: int) -> Line:
    """One place as one line; its sign and tone say whether it needs somebody.

    Parameters
    ----------
    item, means_c : its air, and the mean of each of the last days [°C]
    level : of the worst need of this place, empty without one
    columns : cells there are
    """
    use, place, last = widths_for(columns), item.place, item.last
    temp_c, rh_pct = (None, None) if last is None else (last.temp_c, last.rh_pct)
    head = f"{SIGNS.get(level, ' ')} {left(plain(place.name), use.name)} "
    if last is None:
        unread = "nobody measures here" if place.watch == "not-watched" else "no reading yet"
        before = heads(columns).index("lots") - LOTS_CELLS if use.lots else columns
        return filled([(left(head + unread, before), level), *_load(item, use)], columns)
    shown = NOTHING if temp_c is None else number(degrees(temp_c), 1)
    humid = NOTHING if rh_pct is None else f"{rh_pct:.0f}"
    warm = band_bar(temp_c, place.temp_lo_c, place.temp_hi_c, use.bar)
    wet = band_bar(rh_pct, place.rh_lo_pct, place.rh_hi_pct, use.bar)
    line = [
        (head, level),
        (right(shown, 5), level),
        (f" {warm} ", _tone(temp_c, place.temp_lo_c, place.temp_hi_c)),
        (right(humid, 4), level),
        (f" {wet} " if use.humid else " ", _tone(rh_pct, place.rh_lo_pct, place.rh_hi_pct)),
        (right(age(item.age_s), 6), "quiet"),
    ]
    if use.days:
        line.append((" " + left(days_line(means_c, place.temp_lo_c, place.temp_hi_c), 7), ""))
    return (*line, *_load(item, use))


def _load(item: PlaceAir, use: Widths) -> Line:
    """What lies or hangs in a place, read or not, and who reads its air."""
    parts = []
    if use.lots:
        hanging = kilos(item.hanging_g) if item.hanging_g else ""
        lots = str(item.lots) if item.lots else ""
        parts.append((f" {right(hanging, 8)} {right(lots, 4)}", "quiet"))
    if use.watch:
        parts.append((f" {WATCHED[item.place.watch]}", "quiet"))
    return tuple(parts)


WATCHED = {"sensor": "sensor", "hand-log": "by hand", "not-watched": "not watched"}


def _tone(value: float | None, low: float | None, high: float | None) -> str:
    """Quiet inside the band, marked outside of it."""
    below = value is not None and low is not None and value < low - 1e-9
    above = value is not None and high is not None and value > high + 1e-9
    return "today" if below or above else "quiet"


def band_bar(value: float | None, low: float | None, high: float | None, cells: int) -> str:
    """Where a value lies in its band: a dot between two ends, or in the cell before or after.

    An end that is not wanted is left open. Nothing is drawn without a band.

    Parameters
    ----------
    value, low, high : in the same unit
    cells : from end to end, both included, at least 3; one more on either side

    Example
    -------
    >>> band_bar(3.0, 2.0, 5.0, 7), band_bar(9.0, 2.0, 5.0, 7), band_bar(5.0, None, 5.0, 7)
    (' │░•░░░│ ', ' │░░░░░│•', '  ░░░░•│ ')
    """
    if low is None and high is None:
        return " " * (cells + 2)
    ends = (" " if low is None else END), (" " if high is None else END)
    bar = [" ", ends[0], *INSIDE * (cells - 2), ends[1], " "]
    if value is not None:
        bar[_where(value, low, high, cells)] = HERE
    return "".join(bar)


def _where(value: float, low: float | None, high: float | None, cells: int) -> int:
    """Which cell of the bar a value is in; of an open band in the middle, or near its end."""
    inner = cells - 2
    if low is not None and value < low - 1e-9:
        return 0
    if high is not None and value > high + 1e-9:
        return cells + 1
    if low is None or high is None or high <= low:
        near = high if high is not None else low
        far = abs(value - (near or 0.0)) > OPEN_NEAR
        at_high = inner - 1 if high is not None else 0
        return 2 + (inner // 2 if far else at_high)
    return 2 + min(inner - 1, int((value - low) / (high - low) * inner))


OPEN_NEAR = 2.0  # design value: so near an end, in its unit, a value is drawn beside it


def days_line(means: Sequence[float | None], low: float | None, high: float | None) -> str:
    """The days as heights: the middle half is inside the band; a gap where nothing was read.

    Without a band they run from the coldest to the warmest day.

    Example
    -------
    >>> days_line([3.0, 3.5, None, 9.0, 1.0], 2.0, 5.0), days_line([8.0, 8.0], None, None)
    ('▄▅ █▁', '▅▅')
    """
    known = [mean for mean in means if mean is not None]
    if not known:
        return ""
    if low is None or high is None or high <= low:
        middle, reach = (min(known) + max(known)) / 2, max(LEAST_SPAN_C, max(known) - min(known))
    else:
        middle, reach = (low + high) / 2, 2 * (high - low)
    bottom = middle - reach / 2
    return "".join(
        " "
        if mean is None
        else STEPS[max(0, min(len(STEPS) - 1, int((mean - bottom) / reach * len(STEPS))))]
        for mean in means
    )


def now_words(item: PlaceAir) -> str:
    """``3.6 °C, 78 %, 4 min ago``; nothing before anything was read."""
    if item.last is None:
        return ""
    return f"{air_words(item.last.temp_c, item.last.rh_pct)}, {age_words(item.age_s)}"
