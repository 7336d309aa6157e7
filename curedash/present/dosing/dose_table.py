"""The dose of every lot as a table: grams as the scale shows them, salt, mg/kg, days out.

It is drawn for a width and a number of lines; what has no room is left out from the right, and
said so. Lots that do not fit are scrolled to, their grams are in the line of the sum.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from math import ceil

from curedash.domain.curing.cure_time import CureWindow
from curedash.domain.dosing import Dose, DoseRequest, Premix, premix_for
from curedash.domain.dosing.answers import THICKNESS
from curedash.domain.dosing.classes import answered
from curedash.domain.dosing.limits import NOT_CHECKED, Limit, exceeds
from curedash.domain.dosing.rounding import COARSE_ERROR_PCT
from curedash.domain.dosing.words import plain as plain_number
from curedash.domain.facts.units import G_PER_OZ
from curedash.domain.record import record, replace
from curedash.domain.wording import by_number, facts, listed
from curedash.present.display_units import bare, in_pounds, retold
from curedash.present.dosing.dose_weights import dose_words, in_ounces, ounces_on
from curedash.present.dosing.doses import limit_words, limits_of, scale_decimals
from curedash.present.dosing.sheet_lines import bag_weight, ingredient_words
from curedash.present.numbers import number
from curedash.present.words import (
    NOTHING,
    Line,
    cells,
    count,
    cut,
    days,
    left,
    plain,
    right,
    wrapped,
)
from curedash.services.dosing.add_batch import PlannedLot

UNIT = " g"  # doses stay in grams, whatever weights are shown in
SENTENCE = 96  # cells of a line of words at most: longer ones are hard to follow back
LOT, GREEN, LEAST = 7, 7, 6  # with a sign before the lot
GREEN_LB, GREEN_LB_LONG = 8, 13  # 2lb4.8oz, 12 lb 14.8 oz
MOST_HEAD = 10  # cells of an ingredient's name at least, before it is cut
WORST = ("refused", "caution", "not-checked", "within-limits")  # verdicts, worst first
MOST_LINES = 3  # of one sentence under the table
SCALE = "scale_division_g"  # the field of a finding about the scale
HANG, MOST_HUNG = 2, 5  # cells a sentence beside the form is indented by; lines of it
DAYS_FROM = 60  # columns from which there is room for all salt and the days out
WEIGHED = ("equilibrium", "equilibrium-brine", "pack")  # their days follow from the thickness
_AGAINST = " not checked against a limit."
LONG_FROM = 80  # columns from which there is room to say what the mg/kg are


@record
class Tail:
    """Cells of the columns behind the ingredients: all salt, nitrite, nitrate, days out."""

    salt: int
    nitrite: int
    nitrate: int  # 0: no nitrate in it
    out: int
    green: bool = True  # whether there is room for the green weights, which the form has too

    @property
    def cells(self) -> int:
        """Cells of all of them."""
        return self.salt + self.nitrite + self.nitrate + self.out


@record
class Column:
    """One ingredient of the table."""

    name: str
    head: str
    width: int
    decimals: int
    unit: str = UNIT  # of every cell; empty where each has its own
    whole: bool = True  # a dose in ounces has its grams behind it


@record
class DoseTable:
    """The lines of the table: its head, one a lot, the sum, and what there is to say."""

    head: Line
    lots: tuple[Line, ...]
    total: Line | None
    messages: tuple[Line, ...]
    left_out: str  # the ingredients there is no column for, in words


def dose_table(
    planned: Sequence[PlannedLot],
    code: str,
    day: datetime,
    zone: tzinfo,
    width: int,
    *,
    sources: bool = True,
) -> DoseTable:
    """Draw the doses of a batch.

    Parameters
    ----------
    planned : the lots of the batch, at least one
    code : the letter of the batch
    day : when the cure begins (aware); days out are counted from it
    sources : whether the texts the limits are from are said too
    """
    tail = _tail_for(planned, width)
    columns = _columns(planned, width, tail)
    lots = tuple(
        _lot_line(f"{code}{n}", lot, columns, tail, (day, zone), width)
        for n, lot in enumerate(planned, 1)
    )
    total = _total_line(planned, columns, tail, width) if len(planned) > 1 else None
    left_out = _left_out(planned, len(columns))
    said = message_lines(planned, code, width, left_out, sources=sources)
    return DoseTable(_head(columns, tail, width), lots, total, said, left_out)


def _tail_for(planned: Sequence[PlannedLot], width: int) -> "Tail":
    """The columns behind the ingredients; nitrate has one where any is in it."""
    nitrate = any(lot.dose.nitrate_mg_per_kg for lot in planned)
    if width < DAYS_FROM:
        return Tail(0, 8, 8 if nitrate else 0, 0, green=False)
    if width < LONG_FROM:
        return Tail(7, 8, 8 if nitrate else 0, 14 if nitrate else 15, green=not nitrate)
    return Tail(8, 9, 15, 14) if nitrate else Tail(8, 15, 0, 15)


def _left_out(planned: Sequence[PlannedLot], kept: int) -> str:
    """The ingredients there is no column for; the sheet has them all."""
    names = dict.fromkeys(item.name for lot in planned for item in lot.dose.ingredients)
    return f"not shown here, but on the sheet: {listed([*names][kept:])}" if [*names][kept:] else ""


def _columns(planned: Sequence[PlannedLot], width: int, tail: Tail) -> list[Column]:
    """The ingredients there is room for."""
    names = dict.fromkeys(item.name for lot in planned for item in lot.dose.ingredients)
    room = width - LOT - tail.green * _green_cells(width) - tail.cells
    for whole in (True, False):
        columns, left_over = _fitting([_column(name, planned, whole) for name in names], room)
        if len(columns) == len(names):
            break
    gap = 2 if width >= LONG_FROM else 1  # one blank reads as one phrase
    wide = []
    for c in columns:
        wanted = max(c.width, cells(c.head + c.unit) + gap)
        width_now = min(wanted, c.width + left_over)
        left_over -= width_now - c.width
        wide.append(replace(c, width=width_now))
    return wide


def _fitting(columns: Sequence[Column], room: int) -> tuple[list[Column], int]:
    """The columns there is room for, and the cells that are left."""
    kept: list[Column] = []
    for column in columns:
        if room < column.width:
            break
        kept.append(column)
        room -= column.width
    return kept, room


def _column(name: str, planned: Sequence[PlannedLot], whole: bool) -> Column:
    """One ingredient, as wide as its longest weight."""
    items = [i for lot in planned for i in lot.dose.ingredients if i.name == name]
    shared = any(lot.bag for lot in planned)  # a share of what the scale shows
    fine = [item.division_g for item in items if not in_ounces(item.division_g)]
    decimals = scale_decimals(min(fine)) + shared if fine else 1
    own = any(ounces_on(item.weigh_g, item.division_g) for item in items)
    column = Column(name, _short(name, planned), 0, decimals, "" if own else UNIT, whole)
    texts = [_weighed(item.weigh_g, item.division_g, column) for item in items]
    texts.append(_summed(planned, column))
    word = min(map(cells, column.head.split()), default=0)  # its shortest word is never cut
    return replace(column, width=max(LEAST, min(word, MOST_HEAD), *map(cells, texts)) + 1)


def _weighed(grams: float, division_g: float, column: Column) -> str:
    """A cell: grams alone, or with the unit where one of the column is weighed in ounces."""
    if column.unit:
        return number(grams, column.decimals)
    if column.whole:
        return dose_words(grams, division_g, column.decimals)
    return ounces_on(grams, division_g) or f"{number(grams, column.decimals)} g"


def _summed(planned: Sequence[PlannedLot], column: Column) -> str:
    """The sum of a column: in ounces where all of it is weighed so."""
    items = [i for lot in planned for i in lot.dose.ingredients if i.name == column.name]
    alike = {item.division_g for item in items}
    total = sum(item.weigh_g for item in items)
    return _weighed(total, alike.pop() if len(alike) == 1 else 0.0, column)


def _green_cells(width: int) -> int:
    """Cells of the green weight; pounds and ounces are never turned into tenths of a pound."""
    if not in_pounds():
        return GREEN
    return GREEN_LB_LONG if width >= LONG_FROM else GREEN_LB


def _green(grams: float, width: int) -> str:
    """A green weight in its column, without its spaces where there is no room for them."""
    room = _green_cells(width)
    if not in_pounds():
        return right(bare(grams), room)
    to_oz = bare(round(grams / G_PER_OZ) * G_PER_OZ)
    ways = (bare(grams), bare(grams).replace(" ", ""), to_oz.replace(" ", ""))
    return right(next((way for way in ways if cells(way) <= room), ways[-1]), room)


def _short(name: str, planned: Sequence[PlannedLot]) -> str:
    """The head of an ingredient; the curing salt's long name is known from its field."""
    kinds = {item.kind for lot in planned for item in lot.dose.ingredients if item.name == name}
    if "curing-salt" in kinds:
        return "curing"
    return "pack" if "pack" in kinds else plain(name)


def _head(columns: Sequence[Column], tail: Tail, width: int) -> Line:
    green = "green" if in_pounds() else "green g"
    text = left("  Lot", LOT) + (right(green, _green_cells(width)) if tail.green else "")
    text += "".join(right(_column_head(c), c.width) for c in columns)
    wide = width >= LONG_FROM
    text += right("NaCl %", tail.salt) if tail.salt else ""
    if tail.nitrate:
        text += right("nitrite", tail.nitrite)
        text += right("nitrate mg/kg" if wide else "nitrate", tail.nitrate)
    else:
        text += right("nitrite mg/kg" if wide else "mg/kg", tail.nitrite)
    if tail.out:
        text += "  out of cure" if wide else "  out"
    return ((cut(text, width), "quiet"),)


def _column_head(column: Column) -> str:
    """The ingredient with its unit, else as much of its name as has room, in whole words."""
    room = column.width - 1
    whole = column.head + column.unit
    ways = (whole, column.head, *reversed(column.head.split()))
    short = cut(column.head, room).rstrip("…") + "."
    return next((way for way in ways if cells(way) <= room), short)


def _lot_line(
    code: str,
    lot: PlannedLot,
    columns: Sequence[Column],
    tail: Tail,
    salted: tuple[datetime, tzinfo],
    width: int,
) -> Line:
    dose = lot.dose
    tone = {"refused": "act", "caution": "today"}.get(dose.verdict, "")
    sign = {"refused": "!", "caution": "·"}.get(dose.verdict, " ")  # as before its sentence
    text = left(f"{sign} {code}", LOT)
    text += _green(lot.piece.green_g, width) if tail.green else ""
    for column in columns:
        item = next((i for i in dose.ingredients if i.name == column.name), None)
        shown = NOTHING if item is None else _weighed(item.weigh_g, item.division_g, column)
        text += right(shown, column.width)
    box = dose.request.method == "salt-box"
    text += right(_or_word(dose.total_salt_pct, 2, box), tail.salt) if tail.salt else ""
    text += right(_or_word(dose.nitrite_mg_per_kg, 0, box), tail.nitrite)
    if tail.nitrate:
        text += right(_or_word(dose.nitrate_mg_per_kg, 0, box), tail.nitrate)
    window = None if _waits_for_thickness(lot) else lot.window
    text += f"  {out_words(window, *salted)}" if tail.out else ""
    return ((cut(text, width), tone),)


def _waits_for_thickness(lot: PlannedLot) -> bool:
    """Whether its days wait for a thickness that is neither given nor said to be unknown."""
    weighed = lot.dose.request.method in WEIGHED
    asks = () if lot.window is None or lot.piece.thickness_mm is not None else lot.window.asks
    open_ones = (about for about, _ in asks if not answered(lot.dose.request, about))
    return weighed and THICKNESS in open_ones


def _or_word(value: float | None, decimals: int, box: bool) -> str:
    if value is not None:
        return number(value, decimals)
    return NOTHING if box else "?"


def out_words(window: CureWindow | None, day: datetime, zone: tzinfo) -> str:
    """Earliest and usual day out of the cure: ``12–14 Dec``.

    Example
    -------
    >>> out_words(None, datetime(2026, 11, 25), None)
    '–'
    """
    if window is None or window.earliest_days is None or window.usual_days is None:
        return NOTHING
    start = day.astimezone(zone).date()
    first = start + timedelta(days=ceil(window.earliest_days))
    return days(first, start + timedelta(days=ceil(window.usual_days)))


def cure_words(lot: PlannedLot, day: datetime, zone: tzinfo) -> str:
    """``23–24 days in the cure, out 18–19 Dec``; nothing while they are not known."""
    window = None if _waits_for_thickness(lot) else lot.window
    if window is None or window.earliest_days is None or window.usual_days is None:
        return ""
    first, last = ceil(window.earliest_days), ceil(window.usual_days)
    span = f"{first}–{count(last, 'day')}" if last > first else count(last, "day")
    return f"{span} in the cure, out {out_words(window, day, zone)}"


def _grams(dose: Dose, name: str) -> float | None:
    return next((item.weigh_g for item in dose.ingredients if item.name == name), None)


def _total_line(
    planned: Sequence[PlannedLot], columns: Sequence[Column], tail: Tail, width: int
) -> Line:
    green_g = sum(lot.piece.green_g for lot in planned)
    text = left("  all", LOT) + (_green(green_g, width) if tail.green else "")
    for column in columns:
        text += right(_summed(planned, column), column.width)
    return ((cut(text, width), "quiet"),)


def message_lines(
    planned: Sequence[PlannedLot],
    code: str,
    width: int,
    left_out: str = "",
    *,
    sources: bool = True,
    beside_bars: bool = False,
) -> tuple[Line, ...]:
    """What is refused, the limits with their sources, what to mind, the days, the rest.

    Parameters
    ----------
    left_out : what the table has no column for, said behind the verdict
    beside_bars : whether bars show the limits the doses are within; the lines of a sentence
        behind its first are indented then, so that the next one is seen to begin
    """
    limits = dict.fromkeys(text for lot in planned for text in _limit_texts(lot.dose))
    dates = dict.fromkeys(text for lot in planned for text in _day_texts(lot.window))
    said_first = verdict_lines(planned)
    verdict = said_first[-1]
    if beside_bars:
        said_first = [each for each in said_first if each[1] != "good"]
    refused = [retold(text) for text in _refusals(planned)]
    more = [("! " + text, "act") for text in refused if text not in verdict[0]]
    judged = [*said_first, *more]
    against = [(text, "quiet") for text in limits if sources]
    texts = [*judged, *against] if refused else [*against, *judged]
    texts += [(text, "quiet") for text in (left_out,) if text]
    texts += [(text, "") for text in _bags(planned, code)]
    asks = dict.fromkeys(text for lot in planned for text in asked_of(lot.window, lot.dose))
    unchecked = [] if verdict[0].startswith("· not checked") else _unchecked(planned)
    cautions = (*_texts(planned, "caution", verdict[0]), *asks, *unchecked)
    said = [retold(text) for text in cautions]
    texts += [("· " + text, "today") for text in said if text not in verdict[0]]
    uncompared = dict.fromkeys(text for lot in planned for text in lot.dose.not_compared)
    texts += [(text, "quiet") for text in uncompared if text.endswith("not computed here")]
    named = sources and any(NOT_CHECKED in text for text in limits)  # at the limit itself
    notes = [text for text in _texts(planned, "note") if not (named and NOT_CHECKED in text)]
    rest = (*_premix(planned), *dates, *notes)
    texts += [(text, "quiet") for text in rest]
    hang = HANG * beside_bars
    most = MOST_HUNG if beside_bars else MOST_LINES
    return tuple(
        ((" " * hang * (n > 0) + line, tone),)
        for text, tone in texts
        for n, line in enumerate(wrapped(plain(retold(text)), min(width, SENTENCE) - hang, most))
    )


def _unchecked(planned: Sequence[PlannedLot]) -> list[str]:
    """What was held against no limit; the agents of one reason in one sentence."""
    by_reason: dict[str, list[str]] = {}
    for text in _texts(planned, "not-checked"):
        why, _, what = text.removesuffix(_AGAINST).rpartition(": ")
        if text.endswith(_AGAINST) and why:
            by_reason.setdefault(why, []).append(what)
        else:
            by_reason[text] = []
    return [f"{why}: {listed(of)}{_AGAINST}" if of else why for why, of in by_reason.items()]


def verdict_lines(planned: Sequence[PlannedLot]) -> list[tuple[str, str]]:
    """The worst verdict of the lots in sentences with their tones; what was compared comes first,
    in a line of its own.
    """
    worst = min((lot.dose for lot in planned), key=lambda dose: WORST.index(dose.verdict))
    within = [(retold(_within_words(worst)), "good")] if worst.compared else []
    if worst.verdict == "within-limits":
        return within
    if worst.verdict == "not-checked":
        return [*within, (f"· {retold(worst.unchecked_words)}", "today")]
    if worst.verdict == "refused":
        return [(f"! refused: {retold(_first_refusal(worst))}", "act")]
    return [(f"· {retold(worst.verdict_words)}", "today")]


def _first_refusal(dose: Dose) -> str:
    """What is refused first; of two sentences about one field the last, which names the limit."""
    refused = [finding for finding in dose.findings if finding.level == "refused"]
    return [each.text for each in refused if each.field == refused[0].field][-1]


def _within_words(dose: Dose) -> str:
    """The limits a dose is within, short: ``nitrite 156.2 of 625 mg/kg``."""
    parts = (compared_words(limit, value) for limit, value in dose.within)
    return f"within the {by_number(len(dose.within), 'limit', 'limits')}: {listed(parts)}"


def compared_words(limit: Limit, value: float) -> str:
    """``nitrite 156.2 of 625 mg/kg``: what was held against a limit, as findings say it."""
    most = limit.mg_per_kg or 0.0
    held = plain_number(value, 5 if exceeds(value, most) else 4)
    return f"{limit.agent.replace('+', ' and ')} {held} of {most:g} mg/kg"


def _bags(planned: Sequence[PlannedLot], code: str) -> list[str]:
    """What is weighed for each bag of several pieces."""
    found = []
    for bag in dict.fromkeys(lot.bag for lot in planned if lot.bag):
        inside = [planned[n].dose for n in bag]
        scales = inside[0].request.shelf_of_scales
        parts = [
            f"{bag_weight(sum(_grams(dose, item.name) or 0.0 for dose in inside), scales)}"
            f" {ingredient_words(item.name, 18)}"
            for item in inside[0].ingredients
        ]
        codes = " + ".join(f"{code}{n + 1}" for n in bag)
        found.append(f"{codes} in one bag, weighed together: {listed(parts)}")
    return found


def premix_of(planned: Sequence[PlannedLot]) -> tuple[Premix, DoseRequest] | None:
    """A weaker jar and the dose with it, where the scale is too coarse for the curing salt."""
    for lot in planned:
        error_pct = lot.dose.half_division_error_pct
        if error_pct is not None and error_pct > COARSE_ERROR_PCT:
            return premix_for(lot.dose.request)
    return None


def _premix(planned: Sequence[PlannedLot]) -> list[str]:
    found = premix_of(planned)
    return [] if found is None else [f"pre-mix, F8 makes it a jar: {found[0].recipe}"]


def _refusals(planned: Sequence[PlannedLot]) -> list[str]:
    """What is refused, once a field: the first lot's sentence serves for the others."""
    found: dict[str, str] = {}
    for lot in planned:
        refused = [finding for finding in lot.dose.findings if finding.level == "refused"]
        found = {each.field: each.text for each in refused} | found  # the last names the limit
    return list(found.values())


def _texts(planned: Sequence[PlannedLot], level: str, said: str = "") -> list[str]:
    """Sentences of one level, each once, with the lots it is about if not all.

    A scale too coarse for several lots is one sentence, of the first; what ``said`` holds is none.
    """
    found: dict[str, list[str]] = {}
    for lot in planned:
        texts = {
            f.field if f.field == SCALE else f.text: f.text
            for f in reversed(lot.dose.findings)
            if f.level == level
        }
        for key in reversed(texts):
            found.setdefault(key, []).append(texts[key])
    return [
        first if len(of) == len(planned) else f"{retold(first)} ({count(len(of), 'lot')})"
        for first, *more in found.values()
        if (of := [first, *more]) and retold(first) not in said
    ]


def _limit_texts(dose: Dose) -> list[str]:
    """Each limit with its source; that the dose is within it, where it is."""
    within = dict(dose.within)
    return [
        limit_words(limit).replace("limit ", "within the limit: ", 1)
        if limit in within
        else limit_words(limit)
        for limit in limits_of(dose)
    ]


def asked_of(window: CureWindow | None, dose: Dose) -> tuple[str, ...]:
    """What is asked about a piece itself, and not answered: its thickness, how cold it lies."""
    asks = () if window is None else window.asks
    return tuple(text for about, text in asks if not answered(dose.request, about))


def _day_texts(window: CureWindow | None) -> list[str]:
    if window is None:
        return []
    rest = []
    if window.salt_rest is not None:
        rest = [f"then a salt rest of about {ceil(window.salt_rest.days_90)} d"]
    by_rule = facts(f"days by “{window.rule_name}”", _second_day(window))
    return [*([by_rule] if window.rule_name else []), *window.messages, *rest]


def _second_day(window: CureWindow) -> str:
    """What the two days are, where salt needs longer to the core than the rule gives it."""
    first, last, core = window.earliest_days, window.usual_days, window.diffusion
    if core is None or first is None or last is None or last < core.days_95:
        return ""
    if ceil(first) == ceil(last):
        return ""
    by_core = "the core at 90 % of its salt" if first == core.days_90 else "the rule"
    return f"the first day is {by_core}, the second the core at 95 % of its salt"
