"""The tick-off list in lines: planned beside weighed, what went in, when it was ticked."""

from collections.abc import Sequence
from datetime import tzinfo

from curedash.domain.dosing import Contents
from curedash.domain.dosing.request import Scale
from curedash.domain.records import DoseLine, LotState
from curedash.domain.wording import listed
from curedash.present.dosing import dose_weights
from curedash.present.dosing.doses import contents_words
from curedash.present.numbers import number, signed, weight
from curedash.present.weighing.green import green_phrase
from curedash.present.words import (
    NOTHING,
    Line,
    Span,
    cells,
    count,
    cut,
    filled,
    left,
    moment_words,
    plain,
    right,
    stage,
)
from curedash.services.dosing.bags import Bag
from curedash.services.dosing.batch_sheet import LotSheet

GRAMS = 9
OUNCES = 17  # cells of “8.2 oz (232.5 g)”
TIMED_FROM = 76  # columns from which there is room for when it was ticked
NARROW = 60  # columns below which the names have more of them
TABLE = 80  # cells of the widest table
ODD = (0.5, 1.5)  # design value: outside this share of the plan a weight is asked about


def lot_head(sheet: LotSheet, width: int) -> Line:
    """A lot: code, name, green weight, how far its sheet is; no further right than its table."""
    width = min(width, TABLE)
    lot = sheet.lot
    done = len(sheet.lines) - sheet.open_lines
    head = plain(f"{lot.code} {lot.piece}").strip()
    words = f"  {green_phrase(lot)}, {stage(lot.stage)}"
    if sheet.bag is not None:
        words += f", {bag_words(sheet.bag, lot.code)}"
    state = f"{done}/{len(sheet.lines)} ticked"
    room = width - cells(state) - 1
    spans: list[Span] = [(cut(head, room // 2), "strong")]
    spans.append((cut(words, room - cells(spans[0][0])), "quiet"))
    gap = width - sum(cells(text) for text, _ in spans) - cells(state)
    return (*spans, (" " * gap + state, "good" if not sheet.open_lines else "today"))


def bag_words(bag: Bag, code: str) -> str:
    """Who else lies in the bag of a lot: ``one bag with A2``.

    Example
    -------
    >>> bag_words(Bag(("A1", "A2", "A4"), ()), "A2")
    'one bag with A1 and A4'
    """
    return f"one bag with {listed(other for other in bag.codes if other != code)}"


def together_words(bag: Bag, scales: Sequence[Scale] = ()) -> str:
    """What is weighed for a whole bag: ``A1 + A2 together: 56.1 g salt, 5.5 g curing salt``."""
    parts = [
        f"{bag_weight(grams, scales)} {ingredient_words(name, 18)}" for name, grams in bag.together
    ]
    return f"{' + '.join(bag.codes)} together: {', '.join(parts)}"


def bag_weight(grams: float, scales: Sequence[Scale]) -> str:
    """What the scale shows for a whole bag."""
    size = dose_weights.division_for(grams, scales)
    return (
        dose_weights.dose_words(grams, size)
        if size and dose_weights.in_ounces(size)
        else f"{weight(grams)} g"
    )


def sheet_decimals(lines: Sequence[DoseLine], scales: Sequence[Scale]) -> int:
    """Decimals for every weight of a sheet: what its scales show, more where one was typed.

    Parameters
    ----------
    scales : those the dose was rounded to; none known: what the weights have

    Example
    -------
    >>> salt = DoseLine(1, 1, 0, "salt", "salt", 28.02, 28.0, 28.0, None)
    >>> cure = DoseLine(2, 1, 1, "cure", "curing-salt", 2.84, 2.8, 2.85, None)
    >>> sheet_decimals([salt], [Scale(0.1)]), sheet_decimals([salt, cure], [Scale(0.1)])
    (1, 2)
    """
    found = [0]
    for line in lines:
        size = dose_weights.line_division(line, scales)
        if size is not None and not dose_weights.in_ounces(size):
            found.append(_decimals(size))
        for grams in (line.planned_g, line.weighed_g):
            if grams is not None and not (size and dose_weights.ounces_on(grams, size)):
                found.append(_decimals(grams))
    return max(found)


def _decimals(grams: float) -> int:
    return len(f"{grams:.{dose_weights.MOST_DECIMALS}f}".rstrip("0").partition(".")[2])


def scales_of(sheet: LotSheet) -> tuple[Scale, ...]:
    """The scales a sheet was rounded to; none where its recipe is not known."""
    return () if sheet.dose is None else sheet.dose.request.shelf_of_scales


def dose_line(
    line: DoseLine,
    zone: tzinfo,
    width: int,
    decimals: int | None = None,
    scales: Sequence[Scale] = (),
    *,
    ounces: bool = False,
) -> Line:
    """One ingredient: box, name, planned, weighed, when.

    Parameters
    ----------
    decimals : as its whole sheet has
    scales : those the dose was rounded to
    ounces : something of the sheet is weighed in ounces, its column is wider
    """
    ticked = line.ticked_at is not None
    box = "  [x] " if ticked else "  [ ] "
    timed = width >= TIMED_FROM
    name_cells, column = _columns(width, ounces=ounces)
    size = dose_weights.line_division(line, scales)
    text = box + left(ingredient_words(line.name, name_cells), name_cells)
    text += right(dose_weights.dose_words(line.planned_g, size, decimals), column)
    spans: list[Span] = [(text, "")]
    if line.ticked_at is not None and line.weighed_g is not None:
        off = line.weighed_g - line.planned_g
        shown = size is not None and dose_weights.ounces_on(line.weighed_g, size)
        words = right(shown or dose_weights.dose_words(line.weighed_g, size, decimals), GRAMS + 2)
        spans.append((words, "strong"))
        differs = f" ({signed(off)})" if abs(off) > 1e-9 else ""
        spans.append((differs, "today"))
        if timed:
            spans.append((f"  {moment_words(line.ticked_at, zone)}", "quiet"))
    else:
        spans.append((right(NOTHING, GRAMS + 2), "quiet"))
    return filled(spans, width)


def heads_line(width: int, *, ounces: bool = False) -> Line:
    """What the two columns of weights are."""
    name_cells, column = _columns(width, ounces=ounces)
    words = " " * (6 + name_cells) + right("planned", column) + right("weighed", GRAMS + 2)
    return filled([(words, "quiet")], width)


def _columns(width: int, *, ounces: bool) -> tuple[int, int]:
    """Cells of the name and of what is planned."""
    column = OUNCES if ounces else GRAMS + 2
    if width < NARROW and not ounces:
        column = GRAMS
    room = width - 6 - column - GRAMS - 2 - (22 if width >= TIMED_FROM else 8)
    return max(10, min(40, room)), column


def ingredient_words(name: str, width: int) -> str:
    """An ingredient in the longest wording that fits, its strength before its colour.

    Example
    -------
    >>> ingredient_words("curing salt no. 2 (pink; 4 % nitrate)", 30)
    'curing salt no. 2, 4 % nitrate'
    >>> ingredient_words("curing salt no. 2 (pink; 4 % nitrate)", 23)
    'no. 2, 4 % nitrate'
    >>> ingredient_words("curing salt no. 2 (pink; 4 % nitrate)", 12)
    'no. 2'
    """
    full = plain(name)
    shorter = full.replace(" (pink)", "")
    if " (pink; " in full:
        shorter = full.replace(" (pink; ", ", ").removesuffix(")")
    shortest = shorter.removeprefix("curing salt ")
    choices = (full, shorter, shortest)
    bare = shortest.partition(", ")[0] if full != shortest else shortest
    return next((words for words in choices if cells(words) <= width), bare)


def planned_words(line: DoseLine, scales: Sequence[Scale] = ()) -> str:
    """What is planned as the scale shows it, with its unit."""
    return dose_weights.dose_words(line.planned_g, dose_weights.line_division(line, scales))


def contents_line(lot: LotState, width: int) -> Line:
    """What is in it, from what was weighed; planned where nothing was ticked yet."""
    if lot.total_salt_pct is None and lot.nitrite_mg_per_kg is None and not lot.salt_box:
        words = "total salt, nitrite and nitrate unknown"
    else:
        contents = Contents(lot.total_salt_pct, lot.nitrite_mg_per_kg, lot.nitrate_mg_per_kg, None)
        words = contents_words(contents, box=lot.salt_box)
    tone = {"refused": "act", "caution": "today"}.get(lot.dose_verdict or "", "quiet")
    sign = {"refused": "! ", "caution": "· "}.get(lot.dose_verdict or "", "  ")
    if cells(words) > width - 6:
        words = words.replace("total salt", "salt").replace(" mg/kg · ", " · ")
    if cells(words) > width - 6 and lot.total_salt_pct is not None:
        nitrite, nitrate = (
            number(mg or 0.0) for mg in (lot.nitrite_mg_per_kg, lot.nitrate_mg_per_kg)
        )
        salt = f"{number(lot.total_salt_pct, 2)} % salt"
        words = f"{salt}, nitrite {nitrite}, nitrate {nitrate} mg/kg"
        return ((sign + words, tone),)
    return ((cut("    " + sign + words, width), tone),)


def left_words(open_lines: int) -> str:
    """How many lines are still to be ticked."""
    return "everything is ticked" if not open_lines else f"{count(open_lines, 'line')} to tick"


def odd_words(weighed_g: float, planned_g: float, planned: str = "") -> str:
    """What to ask about a weight far from the plan; nothing where it is near, or nothing went in.

    Example
    -------
    >>> odd_words(28, 2.8), odd_words(2.9, 2.8)
    ('That is 10 times the planned 2.8 g', '')
    """
    if not planned_g or not weighed_g or ODD[0] <= weighed_g / planned_g <= ODD[1]:
        return ""
    planned = planned or f"{dose_weights.grams_words(planned_g)} g"
    return f"That is {dose_weights.times_words(weighed_g, planned_g)} the planned {planned}"
