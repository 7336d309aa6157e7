"""A lot before its curve begins: the days of its cure or rest as a bar, and what comes when."""

from __future__ import annotations

from datetime import date, timedelta, tzinfo

from curedash.domain.drying.inspections import undecided
from curedash.domain.record import record
from curedash.domain.times import local_day, moment
from curedash.present.rack.state import whole_days
from curedash.present.words import (
    Line,
    ago,
    cells,
    count,
    day,
    days,
    filled,
    left,
    packed,
    plain,
    weekday,
    wrapped,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.records import LotState
    from curedash.services.lot_view import LotView

DONE, TO_GO, MAY_END, BEYOND, TURNED = "█", "░", "▓", "▲", "•"
MOST_CELLS = 4  # of a day in the bar
HEAD = 8
SIGNS = (
    (DONE, "day over"),
    (TO_GO, "to go"),
    (MAY_END, "may come out"),
    (BEYOND, "too long"),
    (TURNED, "turned"),
)
Pair = tuple[str, str, str]  # head, words, tone


@record
class Stay:
    """Days of one stay, counted by the calendar from the day it began."""

    begun: date
    today: date
    earliest: int
    usual: int
    ends: date
    stops: bool = False  # it salts on: days behind its end are too many
    turned: tuple[date, ...] = ()

    @property
    def day(self) -> int:
        """Which day of it today is: 0 on the first."""
        return (self.today - self.begun).days


def before_curve_lines(
    view: LotView, today: date, zone: tzinfo, width: int, height: int
) -> list[Line]:
    """What a lot without a curve is waiting for, as lines of exactly ``width`` cells."""
    lot, stay = view.lot, _stay(view, today, zone)
    if stay is not None:
        lines = [_head(lot, stay), *_bar_lines(stay, width), (), *_pairs(view, stay, zone, width)]
    elif lot.stage == "raw":
        lines = [(("Not in salt yet.", "strong"),), (), *_raw_pairs(view, today, width)]
    else:
        lines = [(("No curve yet.", ""),), ((_why_none(lot), "quiet"),)]
    if len(lines) > height:
        lines = [line for line in lines if line]
    return [filled(line, width) for line in lines[: max(1, height)]]


def stay_bar(stay: Stay, width: int) -> tuple[str, int]:
    """The bar of its days, and how many of the cells one day takes; 0: less than one.

    Example
    -------
    >>> nine = Stay(date(2026, 11, 16), date(2026, 11, 25), 12, 14, date(2026, 11, 30))
    >>> stay_bar(nine, 20), stay_bar(nine, 9)
    (('█████████░░░▓▓', 1), ('██████░░▓', 0))
    """
    whole = max(1, stay.usual, stay.day)
    each = min(MOST_CELLS, width // whole)
    wide = each * whole if each else width
    signs = [_sign(stay, at * whole // wide) for at in range(wide)]
    return "".join(signs), each


def _sign(stay: Stay, number: int) -> str:
    """Of the day with this number, the first one 0."""
    if number >= stay.usual:
        return BEYOND if stay.stops else MAY_END
    if number < stay.day:
        return DONE
    return TO_GO if number < stay.earliest else MAY_END


def _stay(view: LotView, today: date, zone: tzinfo) -> Stay | None:
    """Its days in the cure or in the rest behind it; None where no end is known."""
    lot = view.lot
    begun = local_day(lot.stage_at, zone)
    if lot.stage == "in-cure":
        if lot.cure_usual_days is None or undecided(lot) is not None:
            return None
        usual = whole_days(lot.cure_usual_days)
        earliest = usual if lot.has_stop else whole_days(lot.cure_earliest_days or usual)
        ends = begun + timedelta(days=usual)
        if lot.has_stop:  # to the hour, as the Rack has it
            ends = (
                (moment(lot.stage_at) + timedelta(days=lot.cure_usual_days)).astimezone(zone).date()
            )
        return Stay(
            begun, today, min(earliest, usual), usual, ends, lot.has_stop, _turned(view, zone)
        )
    until = None if lot.stage_until is None else local_day(lot.stage_until, zone)
    if lot.stage in ("salt-rest", "equalising"):
        planned = None if lot.rest_days is None else whole_days(lot.rest_days)
        length = planned if until is None else (until - begun).days
        if length:
            return Stay(begun, today, length, length, begun + timedelta(days=length))
    return None


def _turned(view: LotView, zone: tzinfo) -> tuple[date, ...]:
    """The days on which it was turned since it was salted."""
    since = view.lot.stage_at
    turns = [line.at for line in view.log if line.kind == "turn" and line.at >= since]
    return tuple(sorted({local_day(at, zone) for at in turns}))


def softening_words(view: LotView, today: date, zone: tzinfo, width: int) -> str | None:
    """``softens ██████░░ day 6 of 8, until 28 Nov``: the line below the curve meanwhile."""
    stay = _stay(view, today, zone)
    if stay is None or view.lot.stage != "equalising":
        return None
    words = f" day {stay.day} of {stay.usual}, until {day(stay.ends)}"
    bar, _ = stay_bar(stay, max(4, width - cells(words) - HEAD))
    return left("softens", HEAD) + bar + words


def _head(lot: LotState, stay: Stay) -> Line:
    """``Day 9 of 14: 5 days to go``."""
    over = stay.day - stay.usual
    if over < 0:
        rest = f"{count(-over, 'day')} to go"
    elif lot.has_stop and lot.stage == "in-cure":
        rest = "out today" if not over else f"{count(over, 'day')} too long"
    else:
        rest = "its time is up; it can wait" if lot.can_wait else "its time is up"
    tone = "act" if over > 0 and lot.has_stop else "strong"
    return ((f"Day {stay.day} of {stay.usual}: {rest}", tone),)


def _bar_lines(stay: Stay, width: int) -> list[Line]:
    """The bar, turns below it in their days, its ends in dates, and what the signs mean."""
    bar, each = stay_bar(stay, width)
    lines: list[Line] = [((bar, ""),)]
    if each and stay.turned:
        marks = [" "] * len(bar)
        for on in stay.turned:
            at = each * (on - stay.begun).days
            if at < len(marks):
                marks[at] = TURNED
        lines.append((("".join(marks).rstrip(), ""),))
    first, last = day(stay.begun), day(stay.begun + timedelta(days=max(stay.usual, stay.day)))
    room = max(len(bar), cells(first) + cells(last) + 2)
    lines.append(((left(first, room - cells(last)) + last, "quiet"),))
    used = {*bar, TURNED} if stay.turned and each else {*bar}
    words = [f"{sign} {means}" for sign, means in SIGNS if sign in used]
    return [*lines, *(((text, "quiet"),) for text in packed(words, width))]


def _pairs(view: LotView, stay: Stay, zone: tzinfo, width: int) -> list[Line]:
    """When it was salted, when it is turned, when it comes out, what follows."""
    lot = view.lot
    if lot.stage != "in-cure":
        begun = "resting" if lot.stage == "salt-rest" else "softens"
        ends: list[Pair] = [
            (begun, f"since {weekday(stay.begun)}", ""),
            ("until", weekday(stay.ends), "strong"),
        ]
        return [line for pair in ends for line in _pair(pair, width)]
    rule = f" by {plain(lot.cure_rule)}" if lot.cure_rule else ""
    first = stay.ends if lot.has_stop else stay.begun + timedelta(days=stay.earliest)
    found: list[Pair] = [("salted", weekday(local_day(lot.salted_at or lot.stage_at, zone)), "")]
    found += _turn_pairs(view, stay)
    found.append(("out", days(first, stay.ends) + rule, "strong"))
    found.append(("then", _after(lot), ""))
    return [line for pair in found for line in _pair(pair, width)]


def _turn_pairs(view: LotView, stay: Stay) -> list[Pair]:
    """When it was turned last and is turned next, where there is something to turn."""
    if view.turn_every_days is None:
        return []
    last, found = stay.begun, list[Pair]()
    if stay.turned:
        last = stay.turned[-1]
        times = f", {len(stay.turned)} times" if len(stay.turned) > 1 else ""
        found.append(("turned", f"{day(last)}, {ago((stay.today - last).days)}{times}", ""))
    due = last + timedelta(days=max(1, round(view.turn_every_days)))
    if due >= stay.ends or stay.day >= stay.usual:
        return found
    late = due <= stay.today
    words = "due today" if due == stay.today else f"due {'since ' if late else ''}{weekday(due)}"
    return [*found, ("turn", words, "today" if late else "")]


def _raw_pairs(view: LotView, today: date, width: int) -> list[Line]:
    """What is still to be done before the cure, and when it would be out."""
    lot, found = view.lot, list[Pair]()
    if lot.dose_open:
        of = lot.dose_open + lot.dose_ticked
        found.append(("dose", f"{lot.dose_open} of {count(of, 'line')} to tick", "act"))
    if lot.cure_usual_days is not None:
        usual = whole_days(lot.cure_usual_days)
        earliest = min(usual, whole_days(lot.cure_earliest_days or usual))
        long = f"{earliest}–{usual} days" if earliest < usual else count(usual, "day")
        rule = f" by {plain(lot.cure_rule)}" if lot.cure_rule else ""
        found.append(("cure", long + rule, ""))
        out = days(today + timedelta(days=earliest), today + timedelta(days=usual))
        found.append(("", f"salted today, it comes out {out}", "quiet"))
        found.append(("then", _after(lot), ""))
    return [line for pair in found for line in _pair(pair, width)]


def _after(lot: LotState) -> str:
    """What comes behind the cure: rest, ferment or drying, with its target."""
    if lot.has_rest and lot.rest_days is not None:
        return f"rest in the cold, {count(whole_days(lot.rest_days), 'day')}"
    if lot.has_rest:
        return "rest in the cold"
    if lot.ferments:
        return "ferment"
    if lot.by_date:
        return "drying"
    target = f"{lot.target_lo_pct:g}–{lot.target_hi_pct:g} %"
    return f"hang it, dry it to {target} lost"


def _pair(pair: Pair, width: int) -> list[Line]:
    head, words, tone = pair
    return [
        ((left(head if not at else "", HEAD), "quiet"), (text, tone))
        for at, text in enumerate(wrapped(words, width - HEAD))
    ]


def _why_none(lot: LotState) -> str:
    if undecided(lot) is not None:
        return "Decide first what you do with it."
    return "It begins with the hang weight." if lot.hang_g is None else "No weigh-in counts yet."
